//! Why a place that holds a half gets no loose piece, and what to change.

use crate::faces::plain_names;
use crate::units::Units;
use crate::words::counted;
use solidwright::solid::Tag;

/// Why a place gets no loose piece.
#[derive(Clone, Debug, PartialEq)]
pub enum NoPiece {
    /// Whichever way it is drawn, this face holds it most.
    Sand {
        /// Least area that holds it, mm².
        area: f64,
        /// The face.
        face: Tag,
    },
    /// The hollow that its half leaves is too narrow.
    Room {
        /// How far it can be moved at most, mm.
        room: f64,
    },
    /// A dowel between the halves stands there.
    Dowel,
    /// It would cut something else off its half.
    Apart,
    /// It would be of several bodies.
    Bodies(usize),
    /// A solid has no valid boundary.
    Solid(String),
    /// The half still holds there although pieces were parted off it.
    Remains,
}

impl NoPiece {
    /// What is told of it, in a unit.
    pub fn text(&self, units: Units) -> String {
        match self {
            Self::Sand { area, face } => {
                let area = units.area(*area);
                format!("whichever way it is drawn, {area} hold it, most of it on {face}")
            }
            Self::Room { room } => {
                let room = units.near(*room);
                format!(
                    "it comes off its sand, but the hollow that the half leaves lets it move by {room} only"
                )
            }
            Self::Apart => "it would cut something else off its half".to_owned(),
            Self::Dowel => "a dowel between the halves stands there".to_owned(),
            Self::Bodies(count) => format!("it would be of {}", counted(*count, "separate body")),
            Self::Solid(error) => error.clone(),
            Self::Remains => "it holds the half although pieces were parted off it".to_owned(),
        }
    }

    /// What to change so that the mould opens there.
    pub fn change(&self) -> String {
        match self {
            Self::Sand { face, .. } => format!(
                "form it with a core made by hand, or change it so that {} looks away from the parting plane or stands out less",
                plain_names::face(face)
            ),
            Self::Room { .. } => {
                "form it with a core made by hand, or let it stand out less, so that a piece can move into the hollow"
                    .to_owned()
            }
            Self::Dowel => "use smaller dowels (casting.prints.dowels), or form it with a core made by hand".to_owned(),
            Self::Apart | Self::Bodies(_) | Self::Solid(_) | Self::Remains => {
                "form it with a core made by hand, or change the shape there".to_owned()
            }
        }
    }
}
