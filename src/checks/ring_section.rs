//! The ring of metal about the shaft in a plane section, for torsion: closed, or cut open.

use super::plane_section::{Outline, Piece, outlines};

/// A section square to the shaft as torsion sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum RingSection {
    /// A closed ring.
    Closed {
        /// Its least wall, mm; beside a hole in the wall, that of the metal on the hole's thicker side.
        wall: f64,
        /// Area within the middle line of a wall as thin as that all round, mm²: not more than the true one.
        enclosed: f64,
    },
    /// An opening cuts the ring.
    Open {
        /// Its mean wall, mm: twice the area over the outline's length.
        wall: f64,
    },
}

impl RingSection {
    /// The least ring about the cut's origin that the exact solid may have, where the outlines of the mesh lie within `chord` of
    /// the exact ones; `None` where the section is not closed on the mesh or holds no metal.
    pub(super) fn of(pieces: &[Piece], chord: f64) -> Option<Self> {
        let outlines = outlines(pieces)?;
        let whole: f64 = outlines.iter().map(length).sum();
        let area = outlines.iter().map(area).sum::<f64>() - chord * whole;
        if area <= 0.0 {
            return None;
        }
        let about = |o: &&Outline| holds_origin(o);
        let cavity = outlines.iter().filter(|o| self::area(o) < 0.0).find(about);
        let outside = outlines.iter().filter(|o| self::area(o) > 0.0).find(about);
        let open = Self::Open { wall: 2.0 * area / whole };
        let (Some(cavity), Some(outside)) = (cavity, outside) else { return Some(open) };
        let holes = outlines.iter().filter(|o| self::area(o) < 0.0 && !std::ptr::eq(*o, cavity));
        let wall = least_wall(cavity, outside, holes) - 2.0 * chord;
        // A wall that the mesh is too coarse to tell from none closes no ring.
        if wall <= 0.0 {
            return Some(open);
        }
        let cored = self::area(cavity).abs() - chord * length(cavity);
        Some(Self::Closed { wall, enclosed: cored + 0.5 * wall * length(cavity) })
    }
}

/// The least wall of a ring. Shear flows past a hole in the wall on its thicker side, which alone is then as much as equilibrium needs
/// (lower bound of plasticity, textbook theory, from memory); where it changes sides between two holes, it passes between them.
fn least_wall<'o>(cavity: &Outline, outside: &Outline, holes: impl Iterator<Item = &'o Outline>) -> f64 {
    let mut wall = gap(cavity, outside, f64::MAX);
    let mut passed: Vec<(&Outline, bool)> = Vec::new();
    for hole in holes {
        let [within, beyond] = [cavity, outside].map(|other| gap(hole, other, f64::MAX));
        wall = wall.min(within.max(beyond));
        let inside = within > beyond;
        for (other, side) in &passed {
            if *side != inside {
                wall = gap(hole, other, wall);
            }
        }
        passed.push((hole, inside));
    }
    wall
}

/// Area to the left of an outline.
fn area(outline: &Outline) -> f64 {
    outline.iter().map(|[a, b]| 0.5 * (a[0] * b[1] - b[0] * a[1])).sum()
}

fn length(outline: &Outline) -> f64 {
    outline.iter().map(|[a, b]| (b[0] - a[0]).hypot(b[1] - a[1])).sum()
}

/// Whether the origin lies within: a ray to the right crosses the outline an odd number of times.
fn holds_origin(outline: &Outline) -> bool {
    let crossed =
        |[a, b]: &&Piece| (a[1] > 0.0) != (b[1] > 0.0) && a[0] + (b[0] - a[0]) * a[1] / (a[1] - b[1]) > 0.0;
    outline.iter().filter(crossed).count() % 2 == 1
}

/// The least distance of two outlines that do not cross, or the known one if that is less: it lies at a corner of one of them.
fn gap(one: &Outline, other: &Outline, known: f64) -> f64 {
    let corners = |from: &Outline, to: &Outline, known: f64| {
        from.iter()
            .fold(known, |least, [p, _]| to.iter().fold(least, |least, piece| nearer(*p, piece, least)))
    };
    corners(other, one, corners(one, other, known))
}

/// Distance of a point from a piece, or the known one if that is less.
fn nearer(p: [f64; 2], [a, b]: &Piece, known: f64) -> f64 {
    let (along, from) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
    let square = along[0] * along[0] + along[1] * along[1];
    if from[0].hypot(from[1]) > known + square.sqrt() {
        return known;
    }
    let share = if square > 0.0 { (from[0] * along[0] + from[1] * along[1]) / square } else { 0.0 };
    let share = share.clamp(0.0, 1.0);
    known.min((from[0] - share * along[0]).hypot(from[1] - share * along[1]))
}

#[cfg(test)]
mod tests {
    use super::super::plane_section::{Cut, pieces};
    use super::*;
    use solidwright::geometry::{Frame, P3, V3};
    use solidwright::mesh::triangulate;
    use solidwright::solid::{Solid, SolidTree, Tag, cylinder};

    /// A tube whose bore lies off its middle has a least wall of 9 − 2 = 7; a hole through the wall opens the ring.
    #[test]
    fn a_tube_is_closed_and_a_hole_opens_it() {
        let tag = Tag::formed("tube", "side");
        let tags = [tag.clone(), tag.clone(), tag];
        let frame = |x: f64, y: f64| Frame::from_zx(P3::new(x, y, 0.0), V3::x(), V3::z());
        let mut tree = SolidTree::new();
        tree.add(cylinder("tube", frame(0.0, 2.0), 45.0, 200.0, &tags).expect("a rod"));
        tree.cut(cylinder("tube", frame(-1.0, 0.0), 36.0, 202.0, &tags).expect("a bore"));
        let up = Frame::from_zx(P3::new(100.0, 0.0, 0.0), V3::z(), V3::x());
        tree.cut(cylinder("tube", up, 10.0, 60.0, &tags).expect("a hole"));
        tree.cut(cylinder("tube", frame(140.0, 43.0), 2.0, 40.0, &tags).expect("a bore along the wall"));
        let mesh = triangulate(&Solid::of(tree).expect("a tube"), 0.01).expect("a mesh");
        let at = |x: f64| {
            let cut = Cut { origin: P3::new(x, 0.0, 0.0), axes: [V3::y(), V3::z()] };
            RingSection::of(&pieces((0..mesh.triangles.len()).map(|t| mesh.corners(t)), &cut), 0.01)
                .expect("a section")
        };
        let RingSection::Closed { wall, enclosed } = at(30.0) else { panic!("closed: {:?}", at(30.0)) };
        assert!((wall - 7.0).abs() < 0.03, "{wall}");
        let [least, most] = [36.0, 40.5].map(|r: f64| std::f64::consts::PI * r * r);
        assert!(enclosed > least && enclosed < most, "between the bore and the true middle line: {enclosed}");
        // A bore along the wall, of radius 2 about a point 41 off the tube's own middle at 2: by hand it leaves 43 − 2 − 36 = 5 towards
        // the cavity and 47 − 45 = 2 towards the outside; the ring bears by the thicker side.
        let RingSection::Closed { wall, .. } = at(160.0) else { panic!("closed: {:?}", at(160.0)) };
        assert!((wall - 5.0).abs() < 0.05, "past the bore: {wall}");
        let RingSection::Open { wall } = at(100.0) else { panic!("open: {:?}", at(100.0)) };
        assert!(wall > 8.0 && wall < 9.5, "{wall}");
    }
}
