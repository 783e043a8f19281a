//! Why and where a ball could not be rolled.

use super::filled_places::Corner;
use crate::geometry::P3;
use crate::solid::brep::Brep;
use crate::solid::evaluate::EvaluateError;
use crate::solid::primitive::Primitive;
use crate::solid::tag::Tag;

/// How near each other two faults of an offset solid are one, in radii of the ball.
const SAME_FAULT: f64 = 2.0;

/// Why a joint has no fillet of its radius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum FilletFailure {
    /// The ball would rest on a sharp edge, where no tangent fillet starts.
    #[error("the ball rests on a sharp edge")]
    SharpEdge,
    /// The supports run into each other so flatly that the ball's path can't be told.
    #[error("the walls meet too flatly")]
    Flat,
    /// The ball's path turns more tightly than the ball.
    #[error("the joint turns more tightly than the radius")]
    Tight,
    /// Fillets from both sides of a narrow gap would run through each other.
    #[error("fillets from both sides of a narrow gap would run through each other")]
    Gap,
    /// The offset solid has no proper boundary.
    #[error("the ball's path was not found")]
    NoWay,
}

/// A rounded edge of a body about which the ball's path turns too tightly.
#[derive(Clone, Debug)]
pub(super) struct TightEdge {
    /// Its face.
    pub(super) tag: Tag,
    /// Its radius, mm.
    pub(super) radius: f64,
    /// The least radius with which the path would turn widely enough, mm.
    pub(super) needed: f64,
}

/// Why a ball could not be rolled over some place.
#[derive(Clone, Debug)]
pub(super) struct LocatedFailure {
    pub(super) failure: FilletFailure,
    pub(super) at: Option<P3>,
    /// Faces about the place.
    pub(super) tags: Vec<Tag>,
    /// A rounded edge that is too sharp for the ball.
    pub(super) tight: Option<Box<TightEdge>>,
    /// Whether it is creases of an earlier ball that a later one can't take over.
    pub(super) creases: bool,
    /// The stretch of the path that is too tight.
    pub(super) corner: Option<Box<Corner>>,
}

impl LocatedFailure {
    pub(super) fn about(failure: FilletFailure, at: Option<P3>, tags: Vec<Tag>) -> Self {
        Self { failure, at, tags, tight: None, creases: false, corner: None }
    }

    /// A failure at a place between faces of an offset solid.
    pub(super) fn between(offset: &Brep, faces: &[usize], at: P3, failure: FilletFailure) -> Self {
        Self::about(failure, Some(at), faces.iter().map(|f| offset.faces[*f].tag.clone()).collect())
    }

    /// What a ball can do nothing about: an offset solid without a proper boundary. What lies within the ball's reach of a fault
    /// told before is taken for the same one.
    pub(super) fn of(errors: &[EvaluateError], radius: f64) -> Vec<Self> {
        let mut out: Vec<Self> = Vec::new();
        for error in errors {
            let at = error.place();
            let told = |f: &Self| f.at.zip(at).is_none_or(|(a, b)| (a - b).norm() < SAME_FAULT * radius);
            if !out.iter().any(told) {
                out.push(Self::about(FilletFailure::NoWay, at, error.tags().to_vec()));
            }
        }
        out
    }

    /// Whether it may be about a body: one that bears a face of the names and comes near the place.
    pub(super) fn concerns(&self, body: &Primitive, radius: f64, names: &dyn Fn(&Tag) -> bool) -> bool {
        self.at.is_none_or(|p| body.bounds().distance(p) < 2.0 * radius)
            && body.patches().iter().any(|p| names(&p.tag))
    }
}
