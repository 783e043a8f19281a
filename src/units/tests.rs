//! Tests of quantities and how they are shown.

use super::*;

#[test]
fn numbers_are_shown_short() {
    assert_eq!(Mm::new(12.700_000_000_1).to_string(), "12.7 mm", "trailing zeros go");
    assert_eq!(Mm::new(-0.000_001).to_string(), "0 mm", "no minus zero");
    assert_eq!(Units::Inch.show(Mm::new(2.0)), "0.0787 in (2 mm)", "both units");
}

/// A square inch is 645.16 mm² and a cubic inch 16.387064 cm³, exactly (of the inch of 25.4 mm).
#[test]
fn areas_volumes_and_places_have_the_files_unit() {
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.area(1290.32)), ["1290 mm²", "2.00 in²"]);
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.volume(163_870.64)), ["163.9 cm³", "10.00 in³"]);
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.fine_volume(16_387.064)), ["16.387 cm³", "1.000 in³"]);
    let centre = [25.4, -12.7, 0.0];
    let told = [Units::Mm, Units::Inch].map(|u| u.centre(centre));
    assert_eq!(told, ["x 25.40 y -12.70 z 0.00 mm", "x 1.000 y -0.500 z 0.000 in"]);
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.rounded(49.2125, 2)), ["49.21 mm", "1.9375 in (49.21 mm)"]);
    let places = [Units::Mm, Units::Inch].map(|u| [u.to_places(25.4, 1), u.between([0.0254, 12.7], 3)]);
    assert_eq!(places, [["25.4 mm", "0.025 to 12.700 mm"], ["1.000 in", "0.0010 to 0.5000 in"]]);
    // 16 ounces of 28.349523125 g each.
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.mass(0.453_592_37)), ["0.454 kg", "1.000 lb (0.454 kg)"]);
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.near(38.1)), ["38 mm", "1.50 in"]);
    assert_eq!([Units::Mm, Units::Inch].map(|u| u.alone(Mm::new(6.35))), ["6.35 mm", "0.25 in"]);
    let at = [25.4, -50.8, -0.001];
    assert_eq!(
        [Units::Mm, Units::Inch].map(|u| u.place(at)),
        ["(25.4, -50.8, 0.0) mm", "(1.00, -2.00, 0.00) in"]
    );
}
