//! The measuring sheet and its probe points as CSV, with empty columns for what is measured.

use super::plan::{bare, degrees};
use crate::inspection::{
    Characteristic, CharacteristicKind, MeasuringSheet, ProbePlan, angles_to_axes, suggestion,
};
use crate::units::Units;

/// Rows as CSV. Cells hold no line breaks.
fn written(rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        // Writing to memory does not fail.
        let _ = writer.write_record(&row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A name of a column with its unit.
fn with_unit(name: &str, units: Units) -> String {
    format!("{name}_{}", units.name())
}

/// The characteristics, one a row, with empty columns for readings.
pub fn characteristics_csv(plan: &MeasuringSheet, units: Units) -> String {
    use crate::inspection::column::{ARTICLE, NUMBER, READING, REMARK, UNCERTAINTY};
    let unit = |name: &str| with_unit(name, units);
    let head = vec![
        ARTICLE.to_owned(),
        NUMBER.to_owned(),
        "what".to_owned(),
        "characteristic".to_owned(),
        unit("nominal"),
        unit("least"),
        unit("greatest"),
        "datums".to_owned(),
        "instrument".to_owned(),
        unit(UNCERTAINTY),
        unit(READING),
        REMARK.to_owned(),
    ];
    let row = |c: &Characteristic| {
        // Angles carry their unit in the cell: the heads name that of lengths.
        let number = |value: Option<f64>| match (value, &c.kind) {
            (None, _) => String::new(),
            (Some(v), CharacteristicKind::HalfAngle) => format!("{} deg", degrees(v)),
            (Some(v), _) => bare(units, v),
        };
        let measured = suggestion(plan, c);
        let [nominal, least, greatest, uncertainty] = match c.kind {
            CharacteristicKind::Thread => [None; 4],
            _ => [c.nominal, c.limits.least, c.limits.greatest, Some(measured.uncertainty)],
        };
        vec![
            "1".to_owned(),
            c.number.to_string(),
            c.what.clone(),
            c.words(),
            number(nominal),
            number(least),
            number(greatest),
            c.datum_letters(),
            measured.gauge.words().to_owned(),
            number(uncertainty),
            String::new(),
            String::new(),
        ]
    };
    written(std::iter::once(head).chain(plan.characteristics.iter().map(row)))
}

/// The probe points, one a row, with empty columns for the places measured.
pub fn points_csv(plan: &MeasuringSheet, points: &ProbePlan, units: Units) -> String {
    use crate::inspection::column::{ARTICLE, ELEMENT, MEASURED};
    let unit = |name: &str| with_unit(name, units);
    let mut head = vec![ARTICLE.to_owned(), ELEMENT.to_owned(), "point".to_owned()];
    head.extend(["x", "y", "z"].map(unit));
    head.extend(["normal_x", "normal_y", "normal_z", "stylus_x", "stylus_y", "stylus_z"].map(str::to_owned));
    head.extend(["stylus_to_x_deg", "stylus_to_y_deg", "stylus_to_z_deg"].map(str::to_owned));
    head.extend(MEASURED.map(unit));
    let rows = points.points.iter().map(|p| {
        let mut row = vec!["1".to_owned(), plan.elements[p.element].name.clone(), p.number.to_string()];
        row.extend([p.point.x, p.point.y, p.point.z].map(|x| bare(units, x)));
        for d in [p.normal, p.stylus] {
            row.extend([d.x, d.y, d.z].map(|x| crate::words::fixed(x, 6)));
        }
        row.extend(angles_to_axes(p.stylus).map(|angle| crate::words::fixed(angle, 2)));
        row.extend([const { String::new() }; 3]);
        row
    });
    written(std::iter::once(head).chain(rows))
}
