//! The housing's sections in torsion: rings that are closed, and stretches that an opening cuts.

use super::mating::SectionLoad;
use super::open_section::OpenSection;
use super::plane_section::Piece;
use super::ring_section::RingSection;
use crate::standards::torsion::{OpenStretch, SHEAR_SHARE, closed_tube};

/// A section in torsion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Twisted {
    /// A closed ring: its least wall, mm, and the area within the wall's middle, mm².
    Closed { wall: f64, enclosed: f64 },
    /// One that an opening cuts, and the open stretch that it is a part of.
    Open { section: OpenSection, stretch: OpenStretch },
}

impl Twisted {
    /// Whether an opening cuts it.
    pub(super) const fn is_open(&self) -> bool {
        matches!(self, Self::Open { .. })
    }

    /// Shear stress, N/mm². Of an open section the equivalent of shear and of the tension along the bar by the energy of
    /// distortion, each the greatest, as if they met in one place.
    pub(super) fn shear(&self, load: &SectionLoad) -> f64 {
        match self {
            Self::Closed { wall, enclosed } => closed_tube(load.twist, *enclosed, *wall).get(),
            Self::Open { section, stretch } => {
                // Forces act at the shaft; the section turns about its shear centre.
                let torque = load.twist.abs()
                    + load.shear[0].abs() * section.centre[1].abs()
                    + load.shear[1].abs() * section.centre[0].abs();
                let free = stretch.free_share() * torque * section.thickness / section.torsion;
                let pull = stretch.bimoment(torque) * section.reach / section.warping;
                (torque * section.flow / section.warping + free).hypot(SHEAR_SHARE * pull)
            }
        }
    }
}

/// The sections at even distances, told apart; those that are not closed on the mesh are missing.
pub(super) fn sections(
    cuts: &[(f64, Vec<Piece>)],
    step: f64,
    chord: f64,
    shear_share: f64,
    until: f64,
) -> Vec<(f64, Twisted)> {
    let rings: Vec<Option<RingSection>> = cuts.iter().map(|(_, cut)| RingSection::of(cut, chord)).collect();
    let one = |(i, (x, cut)): (usize, &(f64, Vec<Piece>))| {
        let found = match rings[i]? {
            RingSection::Closed { wall, enclosed } => Twisted::Closed { wall, enclosed },
            RingSection::Open { wall } => {
                let section = OpenSection::of(cut, wall)?;
                let length = open_length(&rings, i, step);
                let stretch = OpenStretch::new(length, section.torsion, section.warping, shear_share);
                Twisted::Open { section, stretch }
            }
        };
        Some((*x, found))
    };
    cuts.iter().enumerate().filter(|(_, (x, _))| *x < until).filter_map(one).collect()
}

/// Length of the open stretch about a section: from the last closed ring ahead of it to the next one behind. One that is open to the
/// end of the bar is held at one end only, which is as if it were twice as long.
fn open_length(rings: &[Option<RingSection>], at: usize, step: f64) -> f64 {
    let closed = |ring: &Option<RingSection>| matches!(ring, Some(RingSection::Closed { .. }));
    let ahead = rings[..at].iter().rev().take_while(|ring| !closed(ring)).count();
    let behind = rings[at..].iter().take_while(|ring| !closed(ring)).count();
    let length = step * ((ahead + behind) as f64 + 1.0);
    if at + behind == rings.len() { 2.0 * length } else { length }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sections 3 mm apart: two open ones lie between closed rings that are 9 mm apart. By hand.
    #[test]
    fn an_open_stretch_reaches_from_ring_to_ring() {
        let closed = Some(RingSection::Closed { wall: 5.0, enclosed: 100.0 });
        let open = Some(RingSection::Open { wall: 5.0 });
        let rings = [closed, closed, open, open, closed, open];
        assert!(
            (open_length(&rings, 2, 3.0) - 9.0).abs() < 1e-12
                && (open_length(&rings, 3, 3.0) - 9.0).abs() < 1e-12
        );
        assert!((open_length(&rings, 5, 3.0) - 12.0).abs() < 1e-12, "open to the end");
    }
}
