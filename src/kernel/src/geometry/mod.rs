//! Pure geometry. Millimetres, radians, right-handed frames, `f64` throughout.
//!
//! Holds afterwards: every [`Surface`]'s implicit value is a true signed distance (its gradient is a unit
//! vector wherever it exists), so `|f(p)|` bounds how far the surface is from `p`. The intersection code
//! builds its proofs on that.
//! Does not promise: anything about trimmed faces; trimming belongs to `solid`.

mod bounds;
mod contact_curve;
mod crease_curve;
mod curve;
mod curve_fit;
mod frame;
pub mod intersect;
mod offset_surface;
mod roots;
mod spine;
mod spline;
mod stretch;
mod surface;

pub use bounds::Bounds;
pub use contact_curve::ContactCurve;
pub use crease_curve::CreaseCurve;
pub use curve::{Circle, Curve, Ellipse, Line};
pub use frame::Frame;
pub use offset_surface::OffsetSurface;
pub use roots::{MidpointValues, Root, isolate_roots};
pub use spine::{Jet, Spine};
pub use spline::BSpline;
pub use stretch::{Stretch, StretchError};
pub use surface::{Canal, Chart, ChartStep, Cone, Cylinder, Plane, Ruling, Sphere, Surface, Torus};

/// A point in space, mm.
pub type P3 = nalgebra::Point3<f64>;
/// A vector in space, mm or unitless.
pub type V3 = nalgebra::Vector3<f64>;
/// A point of a plane, mm or a surface parameter pair.
pub type P2 = nalgebra::Point2<f64>;
/// A vector of a plane.
pub type V2 = nalgebra::Vector2<f64>;
