//! The casting beside the finished part: whether it would be written, what metal it lacks, and how its fillets came out.

use solidwright::solid::fillet::{Demotion, JointState};
use tailpattern::forms::{self, MissingMetal};
use tailpattern::units::Units;

use crate::measure::Row;

/// What a casting came to.
pub(crate) struct Cast {
    /// Its joints: whole, smaller, sharp.
    pub(crate) joints: [usize; 3],
    /// Metal of the finished part outside it, by feature.
    pub(crate) missing: Vec<MissingMetal>,
    /// What its features gave up for their fillets.
    demotions: Vec<Demotion>,
}

impl Cast {
    pub(crate) fn of(casting: &forms::Casting) -> Self {
        let housing = &casting.moulded.casting;
        let mut joints = [0; 3];
        for joint in &housing.joints {
            let place = match joint.state() {
                JointState::Whole => 0,
                JointState::Smaller => 1,
                JointState::Sharp => 2,
            };
            joints[place] += 1;
        }
        Self { joints, missing: casting.missing.clone(), demotions: housing.demotions.clone() }
    }

    /// mm³, by exact membership below places all over the finished part.
    fn outside(&self) -> f64 {
        self.missing.iter().fold(0.0, |sum, m| sum + m.volume)
    }

    /// Whether the program writes it.
    fn written(&self) -> bool {
        !self.missing.iter().any(MissingMetal::is_deep)
    }

    /// What [`crate::table::csv_line`] tells of it.
    pub(crate) fn csv(&self) -> String {
        let [whole, smaller, sharp] = self.joints;
        format!("{},{:.2},{whole},{smaller},{sharp}", self.written(), self.outside())
    }

    /// All that it lacks, and what its features gave up.
    pub(crate) fn in_full(&self) -> String {
        let mut out = String::new();
        for missing in &self.missing {
            out += &format!("the casting lacks: {}\n", missing.named(Units::Mm));
        }
        for d in &self.demotions {
            let at = d.at.map_or_else(String::new, |p| format!(" near ({:.1}, {:.1}, {:.1})", p.x, p.y, p.z));
            out += &format!("casting, {}: {:?}, {}{at}\n", d.body, d.change, d.why);
        }
        out
    }
}

/// A line for each housing, and the sums.
pub(crate) fn table(rows: &[Row]) -> String {
    let cast: Vec<(u64, &[usize; 3], &Cast)> =
        rows.iter().filter_map(|r| Some((r.seed, &r.joints, r.cast.as_ref()?))).collect();
    if cast.is_empty() {
        return String::new();
    }
    let whole = |joints: &[usize; 3]| 100.0 * joints[0] as f64 / joints.iter().sum::<usize>().max(1) as f64;
    let mut out =
        "castings:   seed  written  outside mm³  deepest mm  fillets whole, finished %  casting %\n"
            .to_owned();
    for (seed, finished, cast) in &cast {
        let deepest = cast.missing.iter().map(|m| m.depth).fold(0.0, f64::max);
        let written = if cast.written() { "yes" } else { "no" };
        out += &format!(
            "{seed:16}  {written:>7}  {:11.1}  {deepest:10.2}  {:26.1}  {:9.1}\n",
            cast.outside(),
            whole(finished),
            whole(&cast.joints)
        );
    }
    let sum = |joints: Vec<[usize; 3]>| {
        joints.iter().fold([0; 3], |sum: [usize; 3], own| [0, 1, 2].map(|k| sum[k] + own[k]))
    };
    let finished = sum(cast.iter().map(|c| *c.1).collect());
    let castings = sum(cast.iter().map(|c| c.2.joints).collect());
    let written = cast.iter().filter(|c| c.2.written()).count();
    let holding = cast.iter().filter(|c| c.2.missing.is_empty()).count();
    out += &format!(
        "castings with a solid: {}; written {written}, the others refused because they lack metal; {holding} hold the finished part but for 1 mm³ at a feature\n",
        cast.len()
    );
    out + &format!(
        "whole fillets of these housings: finished {:.2} % of {}, casting {:.2} % of {}\n",
        whole(&finished),
        finished.iter().sum::<usize>(),
        whole(&castings),
        castings.iter().sum::<usize>()
    )
}
