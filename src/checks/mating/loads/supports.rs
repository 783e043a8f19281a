//! Where the housing rests: the load of a case is shared evenly by all mount pads.

use super::Case;
use crate::design::{Design, MountPad};
use crate::faces::Feature;
use crate::units::Mm;

/// A place where a mount takes its share of each case.
#[derive(Clone, Copy, Debug)]
pub(in crate::checks) struct Support<'d> {
    /// The pad's feature.
    pub(in crate::checks) feature: Feature,
    /// The pad.
    pub(in crate::checks) pad: &'d MountPad,
    /// Share of the load.
    pub(in crate::checks) share: f64,
    /// Station of the mount, mm.
    pub(in crate::checks) station: f64,
    /// How far the mount lies to the right of the shaft, mm.
    pub(in crate::checks) side: f64,
    /// How far below the shaft the mount takes its force, mm.
    pub(in crate::checks) drop: f64,
}

/// All mount pads, from the gearbox face aft; an error without any.
pub(in crate::checks) fn supports<'d>(design: &'d Design, lever: Mm) -> Result<Vec<Support<'d>>, String> {
    let pads =
        [(Feature::MountPad, design.mount_pad()), (Feature::SecondMountPad, design.second_mount_pad())];
    let pads: Vec<(Feature, &MountPad)> =
        pads.into_iter().filter_map(|(feature, pad)| Some((feature, pad?))).collect();
    if pads.is_empty() {
        return Err("the part has no `mount_pad`".to_owned());
    }
    let share = 1.0 / pads.len() as f64;
    let of = |(feature, pad): (Feature, &'d MountPad)| Support {
        feature,
        pad,
        share,
        station: pad.station().get(),
        side: pad.side_offset().get(),
        drop: (pad.drop() + lever).get(),
    };
    let mut out: Vec<Support<'d>> = pads.into_iter().map(of).collect();
    out.sort_by(|a, b| a.station.total_cmp(&b.station));
    Ok(out)
}

/// The cases as the mounts feel them. The joint's force on the bushing is borne by gearbox and mounts together, which no statics tells
/// apart; so each is judged by the most that it may have to bear. The gearbox face and the housing bear all of it if the mounts give
/// ([`section_load`]). The mounts bear the most if the gearbox does not resist turning about the engine's mounts, so many mm ahead of its
/// face: F (b + a) / (m + a) with the bushing at b and the mounts at m on the mean. It acts up or across, whichever is worse.
pub(in crate::checks) fn at_mounts(cases: &[Case], supports: &[Support<'_>], ahead: f64) -> Vec<Case> {
    let middle: f64 = supports.iter().map(|s| s.share * s.station).sum();
    let felt = |case: &Case| {
        let [bushing, force] = case.bushing;
        let arm = middle + ahead;
        if force <= 0.0 || arm <= 0.0 {
            return vec![*case];
        }
        let borne = force * (bushing + ahead) / arm;
        let alone = Case { bushing: [0.0; 2], is_joint: true, ..*case };
        vec![Case { up: case.up + borne, ..alone }, Case { across: case.across + borne, ..alone }]
    };
    cases.iter().flat_map(felt).collect()
}

/// What a case asks of a plane section square to the shaft, N and N mm about the shaft's axis there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(in crate::checks) struct SectionLoad {
    /// Along the shaft.
    pub(in crate::checks) pull: f64,
    /// Across the vehicle, and up.
    pub(in crate::checks) shear: [f64; 2],
    /// Moment whose lever lies along the first direction, and along the second.
    pub(in crate::checks) bending: [f64; 2],
    /// About the shaft.
    pub(in crate::checks) twist: f64,
}

/// The load on the section at a station: of all supports behind it. Moments add up with their signs; of those that no sign
/// is known of, the sizes add up. The joint's force on the bushing turns with the shaft, so it acts in the worst direction.
pub(in crate::checks) fn section_load(case: &Case, station: f64, supports: &[Support<'_>]) -> SectionLoad {
    let mut out = SectionLoad::default();
    for s in supports.iter().filter(|s| s.station > station) {
        let arm = s.station - station;
        out.pull += s.share * case.along;
        out.shear[0] += s.share * case.across;
        out.shear[1] += s.share * case.up;
        out.bending[0] += s.share * case.across * arm;
        out.bending[1] += s.share * (case.up * arm + case.along * s.drop);
        out.twist += s.share * (case.couple + case.across * s.drop + case.up * s.side);
    }
    let [bushing, force] = case.bushing;
    if bushing > station {
        out.shear[1] += force;
        out.bending[1] += force * (bushing - station);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Statics, by hand: 1000 N up, shared by two mounts at stations 150 and 225, bend the gearbox face by
    /// 500 · 150 + 500 · 225 N mm; a section between them feels the second mount alone.
    #[test]
    fn two_mounts_share_the_load() {
        let design = Design::of_text(include_str!("../../../../params/two_mounts.yaml"));
        let all = supports(&design, Mm::new(25.0)).expect("mounts");
        let [first, second] = [all[0].station, all[1].station];
        assert!(first < second && (second - 225.0).abs() < 1e-9, "{all:?}");
        let case = Case { name: "up", up: 1000.0, ..Case::NONE };
        let face = section_load(&case, 0.0, &all);
        assert!((face.bending[1] - 500.0 * (first + 225.0)).abs() < 1e-6, "{face:?}");
        let between = section_load(&case, 200.0, &all);
        assert!(
            (between.bending[1] - 500.0 * 25.0).abs() < 1e-6 && (between.shear[1] - 500.0).abs() < 1e-9,
            "{between:?}"
        );
        let couple = Case { up: 0.0, couple: 8000.0, ..case };
        assert!((section_load(&couple, 200.0, &all).twist - 4000.0).abs() < 1e-9, "half the couple");
        assert!((section_load(&couple, 0.0, &all).twist - 8000.0).abs() < 1e-9, "all of it");
        // By hand: 300 N on a bushing at 280 bend the face by 84 000 N mm, whatever the mounts bear.
        let joint = Case { bushing: [280.0, 300.0], ..Case::NONE };
        let [face, behind] = [0.0, 290.0].map(|x| section_load(&joint, x, &all));
        assert!(
            (face.bending[1] - 84_000.0).abs() < 1e-9 && (face.shear[1] - 300.0).abs() < 1e-9,
            "{face:?}"
        );
        assert_eq!(behind, SectionLoad::default(), "behind the bushing");
        // By hand: mounts at 120 and 225, so at 172.5 on the mean; about the face they bear 300 · 280 / 172.5 N, about engine mounts
        // 400 mm ahead 300 · 680 / 572.5. Up or across, and nothing is left at the bushing.
        let moved = [first, second].iter().sum::<f64>() / 2.0;
        for ahead in [0.0, 400.0] {
            let [up, across] = at_mounts(&[joint], &all, ahead).try_into().expect("two cases");
            let wanted = 300.0 * (280.0 + ahead) / (moved + ahead);
            assert!(
                (up.up - wanted).abs() < 1e-9 && (across.across - wanted).abs() < 1e-9,
                "{up:?} {across:?}"
            );
            assert!(up.across.abs() + across.up.abs() + up.bushing[1].abs() < 1e-12, "{up:?} {across:?}");
        }
        assert_eq!(at_mounts(&[case], &all, 0.0).len(), 1, "no joint, no more cases");
    }
}
