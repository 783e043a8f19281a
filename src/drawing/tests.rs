//! Handedness, area, lines, sameness.

use super::*;
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::mesh::triangulate;
use solidwright::solid::{self, Brep, Primitive, Solid, SolidTree, Tag, rounded_rectangle};

use raster::{FINE, Ink, NOTHING};

const CAPTIONS: Captions =
    Captions { title: "A part", formed: "AS CAST", cut: "MACHINED", bar: (100.0, "100 MM") };

fn tags<const N: usize>() -> [Tag; N] {
    std::array::from_fn(|i| Tag::formed("sample", &format!("face {i}")))
}

fn boundary(primitive: Primitive) -> Solid {
    let mut tree = SolidTree::new();
    tree.add(primitive);
    Solid::of(tree).expect("one primitive has a boundary")
}

/// A block from a corner.
fn cuboid(at: P3, size: V3) -> Solid {
    let outline =
        rounded_rectangle(P2::new(0.5 * size.x, 0.5 * size.y), V2::new(size.x, size.y), 0.0, &tags::<1>()[0]);
    let frame = Frame { origin: at, ..Frame::world() };
    boundary(Primitive::prism("sample", frame, outline, size.z, 0.0, tags()).expect("a block"))
}

/// A cylinder along the frame's z.
fn cylinder(frame: &Frame, radius: f64, height: f64) -> Solid {
    boundary(solid::cylinder("sample", *frame, radius, height, &tags()).expect("a cylinder"))
}

fn raster(solid: &Solid, view: View, scale: f64) -> Raster {
    let mesh = triangulate(solid, 0.05).expect("a mesh");
    let mut raster = Raster::new(&mesh, &Eye::new(view.axes(), &mesh, scale, FINE));
    raster.fill(&mesh);
    let (faces, mesh) = together(&[Shown::new(solid.brep(), &mesh)]);
    raster.ink(&mesh, &strokes(&faces, &mesh));
    raster
}

#[test]
fn directions_appear_where_a_draughtsman_expects_them() {
    let (aft, right, up) = (V3::x(), V3::y(), V3::z());
    let seen = |view: View, v: V3| view.axes().see(v);
    assert!(seen(View::Rear, right).x > 0.9, "right is right from behind");
    assert!(seen(View::Front, right).x < -0.9, "right is left from the front");
    assert!(seen(View::Left, aft).x > 0.9, "the gearbox face is left in the left view");
    assert!(seen(View::Right, aft).x < -0.9, "and right in the right view");
    assert!(seen(View::Top, aft).x > 0.9 && seen(View::Bottom, aft).x > 0.9, "stations line up");
    assert!(seen(View::Top, right).y > 0.9 && seen(View::Bottom, right).y < -0.9, "rolled, not mirrored");
    for view in View::ALL {
        let axes = view.axes();
        assert!((axes.right.cross(&axes.up) - axes.toward).norm() < 1e-12, "{view:?} is a mirror image");
        assert!(
            (axes.unsee(axes.see(V3::new(1.0, 2.0, 3.0))) - V3::new(1.0, 2.0, 3.0)).norm() < 1e-12,
            "{view:?}"
        );
        let upright = !matches!(view, View::Top | View::Bottom);
        assert!(!upright || axes.see(up).y > 0.5, "{view:?} stands upright");
    }
}

#[test]
fn a_box_covers_its_area() {
    let brep = cuboid(P3::new(5.0, -3.0, 2.0), V3::new(40.0, 30.0, 20.0));
    let areas = [(View::Rear, 600.0), (View::Left, 800.0), (View::Top, 1200.0), (View::Bottom, 1200.0)];
    let oblique = (800.0 + 600.0 + 1200.0) / 3.0_f64.sqrt();
    for (view, area) in areas.into_iter().chain([(View::RearRightAbove, oblique)]) {
        let raster = raster(&brep, view, 4.0);
        let covered = raster.seen.iter().filter(|t| **t != NOTHING).count();
        let expected = area * (4.0 * FINE as f64).powi(2);
        assert!((covered as f64 / expected - 1.0).abs() < 0.003, "{view:?}: {covered} of {expected}");
    }
}

#[test]
fn no_sample_inside_a_part_is_left_out() {
    let brep = cylinder(&Frame::from_zx(P3::origin(), V3::new(0.3, -0.5, 0.8), V3::x()), 20.0, 35.0);
    for view in View::ALL {
        let raster = raster(&brep, view, 3.0);
        for row in raster.seen.chunks(raster.width) {
            let Some(first) = row.iter().position(|t| *t != NOTHING) else { continue };
            let last = row.iter().rposition(|t| *t != NOTHING).unwrap_or(first);
            assert!(row[first..=last].iter().all(|t| *t != NOTHING), "a gap in {view:?}");
        }
    }
}

#[test]
fn hidden_lines_are_left_out_and_seams_not_drawn() {
    // From the side a standing cylinder shows two end lines and two outlines and nothing between.
    let solid = cylinder(&Frame::world(), 20.0, 40.0);
    let raster = raster(&solid, View::Left, 4.0);
    let row = raster.height / 2;
    let inked = |i: &usize| raster.ink[row * raster.width + i] != Ink::None;
    let columns: Vec<usize> = (0..raster.width).filter(inked).collect();
    let half = 20.0 * raster.scale;
    let off = |i: &usize| ((*i as f64 + 0.5 - raster.width as f64 * 0.5).abs() - half).abs();
    assert!(columns.len() >= 4 && columns.iter().all(|i| off(i) < 4.0), "{columns:?}");
}

/// A bevel 0.05 mm wide runs around a rod's end, nearly flush with the cone behind it; no sample lies on most of it. The outline is a whole
/// circle all the same, not a dashed one.
#[test]
fn the_outline_of_a_face_narrower_than_a_sample_is_whole() {
    let points = [(0.0, 0.0), (20.0, 0.0), (20.0, 40.0), (19.95, 40.05), (0.0, 60.4)];
    let rod = solid::turned("sample", Frame::world(), &points, &tags::<5>()).expect("a rod");
    let raster = raster(&boundary(rod), View::Top, 2.0);
    let radius = 20.0 * raster.scale;
    for k in 0..720 {
        let (sin, cos) = (std::f64::consts::PI * f64::from(k) / 360.0).sin_cos();
        let at = |r: f64| {
            let (x, y) = (0.5 * raster.width as f64 + r * cos, 0.5 * raster.height as f64 - r * sin);
            raster.ink[y as usize * raster.width + x as usize]
        };
        assert!(
            [-2.0, -1.0, 0.0, 1.0].iter().any(|d| at(radius + d) == Ink::Full),
            "a gap at {k} half degrees"
        );
    }
}

#[test]
fn equal_parts_give_equal_bytes() {
    let solid = cylinder(&Frame::world(), 20.0, 40.0);
    let mesh = triangulate(&solid, 0.05).expect("a mesh");
    let draw = || eight_views(&[Shown::new(solid.brep(), &mesh)], V3::z(), CAPTIONS).expect("a picture");
    let first = draw();
    assert_eq!(first, draw(), "the same bytes again");
    let decoder = png::Decoder::new(std::io::Cursor::new(&first));
    let reader = decoder.read_info().expect("a PNG");
    assert_eq!(reader.info().size(), SHEET_SIZE, "size");
}

/// A block over another, each 20 by 10 by 10 mm: moved up by 15 mm it leaves 15 mm of paper between both, and a marked
/// face has its own colour.
#[test]
fn bodies_stand_apart_and_marked_faces_are_red() {
    let solids = [0.0, 10.0].map(|z| cuboid(P3::new(0.0, 0.0, z), V3::new(20.0, 10.0, 10.0)));
    let meshes = [0, 1].map(|k| triangulate(&solids[k], 0.05).expect("a mesh"));
    let marked: Vec<Tag> = solids[1].brep().faces.iter().map(|f| f.tag.clone()).collect();
    let mut bodies = [0, 1].map(|k| Shown::new(solids[k].brep(), &meshes[k]));
    bodies[1].moved = V3::new(0.0, 0.0, 15.0);
    bodies[1].marked = &marked;
    let (faces, mesh) = together(&bodies);
    let eye = Eye::new(View::Left.axes(), &mesh, 4.0, FINE);
    let mut raster = Raster::new(&mesh, &eye);
    raster.fill(&mesh);
    let column = raster.width / 2;
    let seen: Vec<u32> = (0..raster.height).map(|row| raster.seen[row * raster.width + column]).collect();
    let gap = seen.iter().skip_while(|t| **t == NOTHING).skip_while(|t| **t != NOTHING);
    let gap = gap.take_while(|t| **t == NOTHING).count() as f64 / raster.scale;
    assert!((gap - 15.0).abs() < 2.0 / raster.scale, "{gap} mm");
    let looks: Vec<bodies::Look> = (0..12).map(|face| faces.look_at(face, P3::origin())).collect();
    assert!(looks[..6].iter().all(|l| *l != bodies::Look::Marked), "{looks:?}");
    assert!(looks[6..].iter().all(|l| *l == bodies::Look::Marked), "{looks:?}");
}

/// Of a marked face only what lies about the places given is drawn as marked, wherever its body is moved to.
#[test]
fn a_face_is_red_only_about_the_places_given() {
    let solid = cuboid(P3::origin(), V3::new(20.0, 10.0, 10.0));
    let mesh = triangulate(&solid, 0.05).expect("a mesh");
    let marked: Vec<Tag> = solid.brep().faces.iter().map(|f| f.tag.clone()).collect();
    let places = MarkedPlaces::new([P3::new(20.0, 2.0, 3.0), P3::new(20.0, 2.0, 4.0)], 1.0);
    let moved = V3::new(0.0, 0.0, 15.0);
    let body = Shown { moved, marked: &marked, places: Some(&places), ..Shown::new(solid.brep(), &mesh) };
    let (faces, _) = together(&[body]);
    let is_marked =
        |x: f64, y: f64, z: f64| faces.look_at(0, P3::new(x, y, z) + moved) == bodies::Look::Marked;
    assert!(is_marked(20.0, 2.0, 3.5) && is_marked(20.0, 2.9, 3.0) && is_marked(20.0, 2.0, 4.99));
    assert!(!is_marked(20.0, 3.1, 3.0) && !is_marked(20.0, 2.0, 5.1) && !is_marked(0.0, 2.0, 3.0));
}

#[test]
fn nothing_can_not_be_drawn() {
    let (brep, mesh) = (Brep::default(), Mesh::default());
    assert!(
        matches!(eight_views(&[Shown::new(&brep, &mesh)], V3::z(), CAPTIONS), Err(PictureError::Empty)),
        "no triangles"
    );
}
