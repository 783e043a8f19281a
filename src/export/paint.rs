//! The colours of a part's faces: cast, machined, parting.

use crate::faces::Feature;
use solidwright::export::{Paint, Paints};
use solidwright::solid::{Finish, Tag};

/// As it comes out of the mould: sand grey.
pub fn cast() -> Paint {
    Paint::new("cast", [0.58, 0.56, 0.53])
}

/// Cut on a machine: bright steel.
pub fn machined() -> Paint {
    Paint::new("machined", [0.72, 0.82, 0.92])
}

/// On a parting face of a mould or pattern: brick red.
pub fn parting() -> Paint {
    Paint::new("parting", [0.78, 0.36, 0.26])
}

/// All of them, in the order in which STEP files tell them.
pub fn paints() -> Paints {
    Paints { list: vec![cast(), machined(), parting()], of: number }
}

/// The paint of a face: of a parting plane or a cut across, else of its finish.
pub fn of(tag: &Tag) -> Paint {
    match number(tag) {
        0 => cast(),
        1 => machined(),
        _ => parting(),
    }
}

fn number(tag: &Tag) -> usize {
    match tag.finish {
        Finish::Formed if matches!(Feature::of(tag), Feature::Parting | Feature::PrintCut) => 2,
        Finish::Formed => 0,
        Finish::Cut => 1,
    }
}
