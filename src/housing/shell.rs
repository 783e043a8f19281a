//! The shell: an outside that follows the cavity, and the cavity.

use super::frames::shaft;
use super::{CLEAR, Parts};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::params::schema::RegisterKind;
use solidwright::geometry::P2;
use solidwright::solid::{Corner, Primitive, PrimitiveError, polygon, round_corners};

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    outside(design, parts)?;
    cavity(design, parts)
}

fn outside(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let side = Feature::Shell.formed(Role::Outside);
    let profile = design.shell().outside();
    let mut points: Vec<P2> = profile.iter().map(|p| P2::new(p.radius.get(), p.x.get())).collect();
    let (first, last) = (points[0], points[points.len() - 1]);
    points.push(P2::new(0.0, last.y));
    points.insert(0, P2::new(0.0, first.y));
    let mut tags = vec![side; points.len()];
    let ends = points.len() - 2;
    tags[0] = Feature::GearboxFace.cut(Role::Face);
    tags[ends] = Feature::Shell.formed(Role::RearEnd);
    let outline = round_corners(&polygon(&points, &tags), &|c| eased(design, c));
    parts.added.push(Primitive::revolve(Feature::Shell.name(), shaft(0.0), outline)?);
    Ok(())
}

/// Greatest radius of a corner of the outside, in distances from the axis.
const MOST: f64 = 0.45;

/// Radius of a corner of the outside. Where the slope changes little a fillet's radius would make a sliver of a face:
/// there the corner is eased over a wall's thickness.
fn eased(design: &Design, corner: &Corner) -> f64 {
    let radii = design.casting().fillets();
    let radius = if corner.turn > 0.0 { radii.edges() } else { radii.outside() };
    if radius.get() <= 0.0 || corner.before.tag != corner.after.tag {
        return 0.0;
    }
    let eased = 0.5 * design.shell().cavity()[0].wall.get() / (0.5 * corner.turn.abs()).tan();
    // A ring about the axis must not meet itself.
    radius.get().max(eased).min(MOST * corner.before.to.x)
}

/// Corners of the cavity that turn by less are left alone, radians.
const STEEP: f64 = 0.35;

/// The cavity from the gearbox face (or the spigot's front) to its last station.
fn cavity(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let register = design.gearbox_face().register();
    let ahead = match register.kind() {
        RegisterKind::Spigot => register.length().get() + CLEAR,
        RegisterKind::Recess => CLEAR,
    };
    let stations = design.shell().cavity();
    let first = stations[0].radius.get();
    let mut points = vec![P2::new(0.0, -ahead), P2::new(first, -ahead)];
    points.extend(stations.iter().map(|s| P2::new(s.radius.get(), s.x.get())));
    // The first station may lie on the cutter's straight start: keep one point of each place.
    points.dedup_by(|a, b| (*a - *b).norm() < solidwright::tolerance::SNAP);
    points.push(P2::new(0.0, points[points.len() - 1].y));
    let wall = Feature::Cavity.formed(Role::CavityWall);
    let mut tags = vec![wall; points.len()];
    tags[points.len() - 2] = Feature::Cavity.formed(Role::RearEnd);
    for (i, pair) in points.windows(2).enumerate().take(points.len() - 2) {
        if (pair[0].y - pair[1].y).abs() < solidwright::tolerance::SNAP && i > 0 {
            tags[i] = Feature::Cavity.formed(Role::CavityStep);
        }
    }
    let radii = design.casting().fillets();
    let inside = |c: &Corner| {
        let steep = c.turn.abs() > STEEP && c.before.from.y > -ahead && c.before.to.x > 0.0;
        if steep && c.turn > 0.0 {
            radii.cavity().get()
        } else if steep {
            radii.edges().get()
        } else {
            0.0
        }
    };
    let outline = round_corners(&polygon(&points, &tags), &inside);
    parts.cut.push(Primitive::revolve(Feature::Cavity.name(), shaft(0.0), outline)?);
    Ok(())
}
