//! Every numeric tolerance of the geometry: name, value, meaning, reason.
//!
//! All lengths are millimetres. A part is at most about a metre long, so one unit in the last place of
//! a coordinate is about `1e-13`; the kernel's own arithmetic keeps about `1e-11`.
//! The order is fixed: `STEP_OFF < ON_SURFACE < SAME < SNAP < SLIVER`.

/// A point counts as on a surface when its exact distance is below this.
/// Ten thousand times the rounding noise, far below any other length here.
pub const ON_SURFACE: f64 = 1e-9;

/// Two carriers (planes, cylinders, circles …) are one when they differ by less than this everywhere
/// in the part. A part told in inches and the same in millimetres differ by about `1e-13`.
pub const SAME: f64 = 1e-7;

/// Two computed vertices closer than this are one vertex; shorter edges do not exist.
/// Well above the error of a vertex found at a flat angle, well below any drawn length.
pub const SNAP: f64 = 1e-6;

/// Gaps and walls thinner than this are nearly always a slip in the dimensions.
pub const SLIVER: f64 = 5e-6;

/// Smallest step off a surface at which membership is still asked.
/// A hundred times the rounding noise of a coordinate, so the answer is never rounding.
pub const STEP_OFF: f64 = 1e-11;

/// How far from a touching point its neighbourhood is asked for faces, mm. The faces part by the square of this
/// over their radii, a hundred-thousandth of a millimetre at 10 mm.
pub const TOUCH_REACH: f64 = 1e-3;

/// Step to both sides of a face there, mm; well below that gap.
pub const TOUCH_STEP: f64 = 1e-9;

/// Greatest step off an edge along a face when the two sides of an edge are tested.
pub const SIDE_STEP: f64 = 0.05;

/// An intersection curve written as a B-spline lies on both surfaces within this.
pub const SPLINE_FIT: f64 = 1e-6;

/// An edge that is a line, circle or ellipse lies on the surfaces of both its faces within this. Two merged
/// carriers may differ by [`SAME`], and a face may sit on either.
pub const EDGE_FIT: f64 = 2.0 * SAME;

/// An edge that is a B-spline lies on the surfaces of both its faces within this: twice [`SPLINE_FIT`],
/// because the fit is proved at other points than those looked at later.
pub const SPLINE_EDGE_FIT: f64 = 2.0 * SPLINE_FIT;

/// A vertex lies within this of the ends of its edges: vertices closer than [`SNAP`] were made one.
pub const VERTEX_FIT: f64 = 2.0 * SNAP;

/// Directions whose sine of the angle between them is below this are parallel.
/// Over a metre that is [`SAME`] and a little less.
pub const PARALLEL: f64 = 1e-10;

/// Margin by which boxes are grown before they are said not to meet.
pub const BOX_MARGIN: f64 = 1e-4;

/// Relative difference allowed between two independent volume integrals of one solid.
pub const VOLUME_AGREEMENT: f64 = 1e-6;

/// Finest chord error of a mesh, mm: a tenth of a micrometre. Below it the number of triangles of a usual part
/// fills the memory and no process could use them.
pub const LEAST_CHORD: f64 = 1e-4;
/// Gap between edges, vertices and faces that a file admits to its reader. Edges lie on their faces within
/// [`SPLINE_FIT`] and vertices on their edges within [`SNAP`]; a few times their sum.
pub const FILE_UNCERTAINTY: f64 = 1e-5;

/// Components of unit directions below this are rounding noise and written as zero: over a metre they
/// move nothing by more than the last place of a coordinate.
pub const FILE_DIRECTION: f64 = 1e-15;

/// Knots nearer to the end of a piece of a spline than this share of the piece's range are left out.
pub const SPLINE_PIECE: f64 = 1e-9;

/// Least and greatest factor by which a boundary may be stretched. Materials shrink by at most a few
/// hundredths; beyond these the gaps of a stretched boundary would outgrow [`FILE_UNCERTAINTY`].
pub const LEAST_STRETCH: f64 = 0.5;
/// See [`LEAST_STRETCH`].
pub const MOST_STRETCH: f64 = 2.0;
