//! Shallow lips of bodies askew to the mould, filled down to the parting plane: a pattern maker fairs them in instead of making a loose
//! piece for each.
//!
//! A round boss that crosses the parting plane askew overhangs by a millimetre or two along its sides. Under such a lip stands an upright block
//! with draft, from the parting plane to the lip's highest place, as wide as the lip overhangs. The metal stays on the part.

use super::super::undercuts::{Half, Held};
use super::super::{Casting, FormError};
use super::site::{Site, beside, sites};
use super::{DRESSED, GRAIN};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Primitive, rounded_rectangle};

/// Largest area of a lip, mm², and its greatest height over the parting plane, mm, to be filled (practice, no source): more is too much
/// metal for the part.
const AREA: f64 = 150.0;
const HEIGHT: f64 = 10.0;

/// Width of one block across its lip, mm, beyond which it is divided, for lips bend; and the same of short ones.
const WIDE: f64 = 1.6;
const WIDEST: f64 = 3.0;

/// How far a block reaches over its lip along it, outwards, upwards, into the metal behind it, and below the parting plane, mm.
const ALONG: f64 = 0.9;
const OUT: f64 = 0.12;
const OVER: f64 = 0.25;
const INTO: f64 = 1.0;
const BELOW: f64 = 0.31;

/// Parts of a lip no longer than this are short, mm.
const SHORT: f64 = 3.0;

/// A feature with lips that are filled, and the area by which they held the pattern, mm².
pub type FairedLips = (Feature, f64);

/// The shallow lips of the pattern's halves at some features.
pub(in crate::forms) struct ShallowLips<'a> {
    /// Each half, with its lips and the feature of each.
    halves: Vec<(&'a Half, Vec<(Site, Feature)>)>,
    /// Draft of what is laid under them, radians.
    draft: f64,
}

impl<'a> ShallowLips<'a> {
    /// Looks for them; none where the pattern has no halves.
    pub(in crate::forms) fn of(casting: &'a Casting, features: &[Feature]) -> Result<Self, FormError> {
        let mut out = Self { halves: vec![], draft: casting.settings.draft };
        if casting.pattern.is_err() {
            return Ok(out);
        }
        for traced in &casting.traced()?.halves {
            let lip = |site: Site| {
                let feature = site.features(&traced.boundary).first().copied()?;
                let shallow = (DRESSED..AREA).contains(&site.area) && features.contains(&feature);
                shallow.then_some((site, feature))
            };
            // Only what may belong to a place of one of the features is asked whether it holds.
            let of = |holder: u32| features.contains(&Feature::of(traced.boundary.tag(holder)));
            let all = sites(traced.held_parts_of(GRAIN / 4.0, |parts| beside(parts, of)));
            let lips: Vec<(Site, Feature)> = all.into_iter().filter_map(lip).collect();
            out.halves.push((&traced.half, lips));
        }
        Ok(out)
    }

    /// Blocks under them, each wider by `more` mm, and what they free.
    pub(in crate::forms) fn fairings(&self, more: f64) -> (Vec<Primitive>, Vec<FairedLips>) {
        let (mut out, mut told): (Vec<Primitive>, Vec<FairedLips>) = (vec![], vec![]);
        for (half, lips) in &self.halves {
            for (site, feature) in lips {
                let Some(blocks) = filled(half, site, *feature, self.draft, more) else { continue };
                out.extend(blocks);
                match told.iter_mut().find(|(known, _)| known == feature) {
                    Some((_, area)) => *area += site.area,
                    None => told.push((*feature, site.area)),
                }
            }
        }
        (out, told)
    }
}

/// Blocks under a lip; none where it stands too high.
fn filled(half: &Half, site: &Site, feature: Feature, draft: f64, more: f64) -> Option<Vec<Primitive>> {
    let mut left: Vec<Vec<&Held>> = vec![site.parts.iter().collect()];
    let mut out = Vec::new();
    while let Some(mut parts) = left.pop() {
        let lip = Lip::of(&parts)?;
        let (long, wide) = (lip.long.1 - lip.long.0, lip.wide.1 - lip.wide.0);
        if parts.len() > 1 && (wide > WIDE && long > SHORT || wide > WIDEST) {
            let along = |held: &Held| held.part.middle().p.coords.xy().dot(&lip.along);
            parts.sort_by(|a, b| along(a).total_cmp(&along(b)));
            let rest = parts.split_off(parts.len() / 2);
            left.extend([parts, rest]);
        } else if lip.top > HEIGHT {
            return None;
        } else {
            out.push(lip.block(half, feature, draft, more)?);
        }
    }
    Some(out)
}

/// A part of a lip in its half's own coordinates.
struct Lip {
    /// Along it, of length 1.
    along: V2,
    /// Across it, away from the metal.
    outwards: V2,
    /// Its extent along and outwards.
    long: (f64, f64),
    wide: (f64, f64),
    /// Its highest place over the parting plane.
    top: f64,
}

impl Lip {
    fn of(parts: &[&Held]) -> Option<Self> {
        let corners = || parts.iter().flat_map(|held| held.part.corners);
        let count = corners().count() as f64;
        let middle = corners().map(|c| c.p.coords.xy()).sum::<V2>() / count;
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for q in corners().map(|c| c.p.coords.xy() - middle) {
            (xx, xy, yy) = (xx + q.x * q.x, xy + q.x * q.y, yy + q.y * q.y);
        }
        let (s, c) = (0.5 * (2.0 * xy).atan2(xx - yy)).sin_cos();
        let along = V2::new(c, s);
        let normal = parts.iter().map(|held| held.part.middle().n.xy() * held.part.area()).sum::<V2>();
        let side = V2::new(-s, c);
        let outwards = if side.dot(&normal) >= 0.0 { side } else { -side };
        let extent = |d: V2| {
            corners()
                .map(|c| c.p.coords.xy().dot(&d))
                .fold((f64::INFINITY, f64::NEG_INFINITY), |e, x| (e.0.min(x), e.1.max(x)))
        };
        let top = corners().map(|c| c.p.z).fold(0.0, f64::max);
        (count > 0.0).then(|| Self { along, outwards, long: extent(along), wide: extent(outwards), top })
    }

    /// The block under it.
    fn block(&self, half: &Half, feature: Feature, draft: f64, more: f64) -> Option<Primitive> {
        let tag = feature.formed(Role::LaidOn);
        let height = self.top + OVER + BELOW + more;
        // As wide at its top as the lip.
        let lean = draft.tan() * height;
        let (u0, u1) = (self.long.0 - ALONG - more - lean, self.long.1 + ALONG + more + lean);
        let (w0, w1) = (self.wide.0 - INTO, self.wide.1 + OUT + 0.5 * more + lean);
        let x = V3::new(self.along.x, self.along.y, 0.0);
        let y = V3::z().cross(&x);
        let turned = y.xy().dot(&self.outwards) < 0.0;
        let (w0, w1) = if turned { (-w1, -w0) } else { (w0, w1) };
        let origin = P3::from(half.vector(V3::z() * -BELOW));
        let frame = Frame::from_zx(origin, half.vector(V3::z()), half.vector(x));
        // The half's own frame may be turned over against the part's.
        let flip = frame.y.dot(&half.vector(y)).signum();
        let (w0, w1) = if flip < 0.0 { (-w1, -w0) } else { (w0, w1) };
        let center = P2::new(0.5 * (u0 + u1), 0.5 * (w0 + w1));
        let outline = rounded_rectangle(center, V2::new(u1 - u0, w1 - w0), 0.0, &tag);
        Primitive::prism(feature.name(), frame, outline, height, draft, [tag.clone(), tag]).ok()
    }
}
