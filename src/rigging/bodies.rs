//! The solids of feeders, chills, sprue, runners and gates.

use super::chills::frame;
use super::gates::{BASIN, BASIN_WIDE};
use super::{PlacedChill, RiggingBody, RiggingError, Site, StandingFeeder};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, V2, V3};
use solidwright::solid::{Primitive, PrimitiveError, Solid, SolidTree, cylinder, rounded_rectangle, turned};
use std::f64::consts::PI;

/// How far a neck reaches into the casting's metal, in its diameters.
const INTO: f64 = 0.2;

/// How far a chill reaches into the casting in the picture, mm: it is dressed to a curved face.
const BEDDED: f64 = 2.0;

/// A bar along the shaft or across it, from the parting plane up, or down where its thickness is less than zero.
pub(super) struct Block {
    pub(super) low: P2,
    pub(super) high: P2,
    pub(super) thick: f64,
}

impl Block {
    /// Its volume without draft, mm³.
    pub(super) fn volume(&self) -> f64 {
        let size = self.high - self.low;
        size.x * size.y * self.thick.abs()
    }

    /// With draft away from the parting plane: as wide as meant at half its height.
    fn primitive(&self, role: Role, site: &Site) -> Result<Primitive, PrimitiveError> {
        let tag = Feature::Rigging.formed(role);
        let (parting, height) = (site.parting, self.thick.abs());
        // The frame is turned over where the bar hangs down.
        let z = if self.thick < 0.0 { -parting.up } else { parting.up };
        let frame = Frame::from_zx(parting.place(P2::origin(), 0.0), z, V3::x());
        let flip = |p: P2| P2::new(p.x, p.y * frame.y.dot(&parting.across).signum());
        let (low, high) = (flip(self.low), flip(self.high));
        let middle = P2::from((low.coords + high.coords) * 0.5);
        let size = (high - low).abs() + V2::repeat(site.draft.tan() * height);
        let outline = rounded_rectangle(middle, size, 0.0, &tag);
        Primitive::prism(
            Feature::Rigging.name(),
            frame,
            outline,
            height,
            site.draft,
            [tag.clone(), tag.clone()],
        )
    }
}

fn solid(bodies: Vec<Primitive>) -> Result<Solid, RiggingError> {
    let mut tree = SolidTree::new();
    for body in bodies {
        tree.add(body);
    }
    Solid::of(tree).map_err(|e| RiggingError::Solid(Box::new(e)))
}

fn poured(name: String, solid: Solid, hidden: f64) -> RiggingBody {
    let volume = solid.mass().volume - hidden;
    RiggingBody { name, solid, poured: true, volume }
}

/// A feeder with its neck.
pub(super) fn feeder(number: usize, of: &StandingFeeder, site: &Site) -> Result<RiggingBody, RiggingError> {
    let [side, neck] =
        [Role::RigFeeder(number), Role::FeederNeck(number)].map(|r| Feature::Rigging.formed(r));
    let (name, parting) = (Feature::Rigging.name(), site.parting);
    let axis = Frame::from_zx(of.at, parting.up, V3::x());
    let (wide, slope, top) =
        (site.radius_at_plane(&of.feeder), site.draft.tan(), of.feeder.height - of.below);
    let profile = [
        (0.0, -of.below),
        (wide - slope * of.below, -of.below),
        (wide, 0.0),
        (wide - slope * top, top),
        (0.0, top),
    ];
    let body = turned(name, axis, &profile, &[side])?;
    let out = (of.at - of.contact).normalize();
    let (radius, into) = (0.5 * of.feeder.neck, INTO * of.feeder.neck);
    let frame = Frame::from_zx(of.contact - out * into, out, parting.up);
    let rod =
        cylinder(name, frame, radius, into + of.neck + 0.6 * wide, &[neck.clone(), neck.clone(), neck])?;
    Ok(poured(format!("feeder {number}"), solid(vec![body, rod])?, PI * radius * radius * into))
}

/// A chill.
pub(super) fn chill(number: usize, of: &PlacedChill) -> Result<RiggingBody, RiggingError> {
    let tag = Feature::Rigging.formed(Role::Chill(number));
    let on = frame(of);
    let frame = on.moved_to(on.point(0.0, 0.0, -BEDDED));
    let tags = [tag.clone(), tag.clone(), tag];
    let body = cylinder(Feature::Rigging.name(), frame, 0.5 * of.diameter, of.thickness + BEDDED, &tags)?;
    let volume = PI * (0.5 * of.diameter).powi(2) * of.thickness;
    Ok(RiggingBody { name: format!("chill {number}"), solid: solid(vec![body])?, poured: false, volume })
}

/// The sprue with its basin; its diameters at foot and top, and its height.
pub(super) fn sprue(at: P2, [foot, top, height]: [f64; 3], site: &Site) -> Result<RiggingBody, RiggingError> {
    let tag = Feature::Rigging.formed(Role::Sprue);
    let axis = Frame::from_zx(site.parting.place(at, 0.0), site.parting.up, V3::x());
    let (foot, top) = (0.5 * foot, 0.5 * top);
    let wide = BASIN_WIDE * top;
    let profile = [
        (0.0, 0.0),
        (foot, 0.0),
        (top, height),
        (wide, height),
        (wide, height + BASIN),
        (0.0, height + BASIN),
    ];
    let body = turned(Feature::Rigging.name(), axis, &profile, &[tag])?;
    Ok(poured("sprue".to_owned(), solid(vec![body])?, 0.0))
}

/// All runners as one solid.
pub(super) fn runner(bars: &[Block], site: &Site) -> Result<RiggingBody, RiggingError> {
    let bodies = bars.iter().map(|bar| bar.primitive(Role::Runner, site)).collect::<Result<_, _>>()?;
    Ok(poured("runner".to_owned(), solid(bodies)?, 0.0))
}

/// A gate, of which some volume lies in the casting's metal.
pub(super) fn gate(number: usize, of: &Block, hidden: f64, site: &Site) -> Result<RiggingBody, RiggingError> {
    let body = of.primitive(Role::RigGate(number), site)?;
    Ok(poured(format!("gate {number}"), solid(vec![body])?, hidden))
}
