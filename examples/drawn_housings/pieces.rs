//! What the pattern's loose pieces come to: which halves leave the sand with them, and why others do not.

use tailpattern::forms::{DRESSED, Drawing, FormPieces, NoPiece, StillHeld};
use tailpattern::units::Units;
use tailpattern::words::place;

/// A place that holds a half although loose pieces were looked for.
pub(crate) struct Left {
    /// The kind of reason.
    pub(crate) why: &'static str,
    /// All that is told of it.
    pub(crate) text: String,
}

/// The pattern of one housing with its loose pieces.
pub(crate) struct Pieces {
    /// Whether anything holds the halves in one piece by more than is dressed by hand.
    pub(crate) held: bool,
    /// Halves that loose pieces were parted off, or that hold.
    pub(crate) halves: usize,
    /// Those of them that leave the sand.
    pub(crate) free: usize,
    /// Number of loose pieces.
    pub(crate) count: usize,
    /// What holds still.
    pub(crate) left: Vec<Left>,
}

/// What became of a pattern.
pub(crate) fn of(drawing: &Drawing, form: &FormPieces) -> Pieces {
    let concerned = |upper: bool| {
        form.loose.iter().any(|piece| piece.upper == upper)
            || form.still_held.iter().any(|held| held.upper == upper)
    };
    let free = |upper: bool| !form.still_held.iter().any(|held| held.upper == upper);
    let halves: Vec<bool> = [true, false].into_iter().filter(|upper| concerned(*upper)).collect();
    Pieces {
        held: drawing.undercuts.iter().map(|u| u.area).sum::<f64>() > DRESSED,
        halves: halves.len(),
        free: halves.iter().filter(|upper| free(**upper)).count(),
        count: form.loose.len(),
        left: form.still_held.iter().map(left).collect(),
    }
}

fn left(held: &StillHeld) -> Left {
    let why = match &held.why {
        NoPiece::Sand { .. } => "sand holds the piece whichever way it is drawn",
        NoPiece::Room { .. } => "no room in the hollow",
        NoPiece::Dowel => "a dowel stands there",
        NoPiece::Apart => "something else comes off",
        NoPiece::Bodies(_) => "several bodies",
        NoPiece::Solid(_) => "no sound solid",
        NoPiece::Remains => "holds still after pieces were parted off",
    };
    let at = place([held.at.x, held.at.y, held.at.z], 1);
    let names: Vec<_> = held.features.iter().map(|feature| feature.name()).collect();
    Left {
        why,
        text: format!(
            "{:.0} mm² of {} near {at}: {}",
            held.area,
            names.join(" and "),
            held.why.text(Units::Mm)
        ),
    }
}
