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

/// Distances and steps of a search that count as none against a coordinate: Newton's method has converged there, mm.
pub(crate) const CONVERGED: f64 = 1e-12;

/// Vectors shorter than this have no direction: over a metre they are rounding noise. Millimetres, or a share of a unit vector.
pub(crate) const NO_DIRECTION: f64 = 1e-12;

/// Keeps a division from zero where its result does not matter then; no measure of anything.
pub(crate) const NOT_ZERO: f64 = 1e-300;

/// Two angles, or directions by the sine of the angle between them, that differ by less are one, radians. Half a
/// micrometre in half a kilometre: no design means such a difference, and no arithmetic makes it.
pub(crate) const SAME_ANGLE: f64 = 1e-9;

/// Lines whose directions differ by a sine below this may be one line, if their ends lie together as well; axes at such an
/// angle are taken for parallel.
pub(crate) const SAME_DIRECTION: f64 = 1e-6;

/// Arcs of a turned surface that leave a gap of less, radians, leave none.
pub(crate) const CLOSED_TURN: f64 = 1e-6;

/// An arc that sweeps less than this, radians, is a full circle: its ends are one point.
pub(crate) const FULL_TURN: f64 = 1e-12;

/// Lines of an outline meet nowhere when the sine between them is below this.
pub(crate) const LINES_PARALLEL: f64 = 1e-12;

/// The same where two pieces of one outline are tested for crossing.
pub(crate) const PIECES_PARALLEL: f64 = 1e-14;

/// A line of a turned profile is parallel or square to the axis when its ends differ by less, mm: then its face is a cylinder
/// or plane and no cone, whose apex would lie kilometres away.
pub(crate) const UPRIGHT: f64 = SNAP * 1e-3;

/// A place where curves run into each other tangentially is known less well than one found at an angle ([`SNAP`]). Within this, mm, it is the end or the vertex that it should be; boxes grown by it miss none.
pub(crate) const TANGENT_SNAP: f64 = 10.0 * SNAP;

/// A point found on a curve by its parameter counts as on a surface within this, mm, ten times [`ON_SURFACE`].
pub(crate) const NEAR_SURFACE: f64 = 10.0 * ON_SURFACE;

/// A whole curve lies on a surface when it does at several places within this, mm: as far as surfaces may differ that were
/// made one ([`SAME`]).
pub(crate) const CURVE_ON_SURFACE: f64 = 100.0 * ON_SURFACE;

/// A plane curve in which two quadrics are said to meet lies on both within this, mm; where it does not, it is traced.
pub(crate) const PLANE_CURVE_FIT: f64 = 1e3 * ON_SURFACE;

/// Candidates for edges that are shorter than this, mm, are none.
pub(crate) const SHORTEST_EDGE: f64 = 0.5 * SNAP;

/// Vertices of a filleted body that come out nearer to each other than this, mm, can't be told apart.
pub(crate) const DISTINCT_VERTICES: f64 = 3.0 * SNAP;

/// A vertex counts as on a contact curve within this, mm: twice [`VERTEX_FIT`].
pub(crate) const ON_CONTACT_CURVE: f64 = 4.0 * SNAP;

/// Step to both sides of a face, mm, at which the bodies under a fillet are asked whose face it is.
pub(crate) const FACE_STEP: f64 = SNAP;

/// Slack at the ends of fillet segments, mm: neighbours share their end planes, no gap may open between them.
pub(crate) const SEGMENT_SLACK: f64 = ON_SURFACE;

/// Surfaces whose normals differ by a sine below this touch along the curve or at the point in question.
pub(crate) const TANGENT: f64 = 1e-4;

/// An edge is smooth, and no ball's spine, when the sine of the angle between its faces is below this.
pub(crate) const SMOOTH_EDGE: f64 = 1e-5;

/// Sine of the angle between two faces up to which a joint counts as filled: about one degree.
pub(crate) const FILLED_JOINT: f64 = 0.02;

/// Share of a radius by which the ball may be smaller than asked without being another one. Round numbers of a design
/// can make the offset solid touch itself in a point; a radius smaller by this clears it. A wooden pattern's fillets
/// are made no truer (common practice, no source).
pub(crate) const SAME_RADIUS: f64 = 0.02;

/// Fillets whose radii differ by less, mm, are rolled by one ball.
pub(crate) const SAME_LEVEL: f64 = 1e-9;

/// Radii of edges and fillets that differ by less, mm, are equal: they were computed from the same one.
pub(crate) const SAME_EDGE_RADIUS: f64 = 1e-6;

/// Least difference of the radii of two balls that roll one after the other, mm.
pub(crate) const LEAST_LEVEL_STEP: f64 = 1e-3;

/// A ball's path that turns by less more tightly than the ball, in shares of the ball's curvature, folds by less than matters:
/// by the fourth power of the fold's width, below a tenth of a micrometre.
pub(crate) const LEAST_FOLD: f64 = 1e-4;

/// How far a crease may begin from its true place along the path, in radii of the ball: it strays by the fourth power.
pub(crate) const CREASE_END: f64 = 0.004;

/// How far the cubic pieces of a crease may lie off both canals, mm.
pub(crate) const CREASE_FIT: f64 = 1e-9;

/// The same within [`CREASE_STEEP`] radii of the ball from a crease's end, mm: places along the canals change fast there.
pub(crate) const CREASE_STEEP_FIT: f64 = 1e-10;

/// See [`CREASE_STEEP_FIT`]; in radii of the ball.
pub(crate) const CREASE_STEEP: f64 = 0.02;

/// Least distance between knots of a crease, mm.
pub(crate) const CREASE_KNOTS: f64 = 1e-6;

/// Two canals cross in a crease when the sine between them is above this; in a fold, and on an arc between them, they only touch.
pub(crate) const CREASE_ANGLE: f64 = 1e-5;

/// A crease is followed across its chord while the sine between it and the planes across the chord is above this.
pub(crate) const CREASE_RISE: f64 = 1e-3;

/// The same of the arcs at its ends, along which it begins.
pub(crate) const CREASE_RISE_AT_END: f64 = 1e-2;

/// Last step by which a point of a crease is found along both canals, in shares of a millimetre and the ball's radius.
pub(crate) const CREASE_CONVERGED: f64 = 1e-12;

/// Least depth by which the arcs of two fillets reach into each other's ball, mm, that counts.
pub(crate) const LEAST_OVERLAP: f64 = 1e-3;

/// A ball's place that is nearer to a point of a crease than the radius by more than this, mm, takes the crease away. A crease's end
/// strays by less ([`LEAST_FOLD`]).
pub(crate) const CREASE_NEARER: f64 = 1e-6;

/// Steps of Newton's method along a curve shorter than this share of it are none.
pub(crate) const CURVE_CONVERGED: f64 = 1e-14;

/// How far beyond its estimated ends a canal may still be met, mm. Ends that are known are met within [`TANGENT_SNAP`].
pub(crate) const CANAL_END: f64 = 0.05;

/// Within this of a vertex on the touched surface, mm, a touch is the vertex itself: where a curve runs smoothly from
/// one face into the next, the place is only known as well as a double root.
pub(crate) const TOUCH_AT_VERTEX: f64 = 0.01;

/// How far about an unsolved touching point faces are looked for, mm: branches may be missing that far.
pub(crate) const UNSOLVED_REACHES: [f64; 4] = [TOUCH_REACH, 0.02, 0.2, 0.6];

/// Within this distance of an unsolved touching point a branch that is lost ends quietly, mm.
pub(crate) const UNSOLVED_RADIUS: f64 = 0.5;

/// Within this distance (mm) of a node a branch is taken as straight: it strays from that by its curvature
/// times the square over eight, below 1e-8 mm for radii above 10 mm.
pub(crate) const NODE_RADIUS: f64 = 1e-3;

/// A point of a traced curve lies on both surfaces within this, mm.
pub(crate) const TRACE_FIT: f64 = 1e-10;

/// Shortest step along a traced curve, mm; one that needs shorter ones is lost.
pub(crate) const SHORTEST_STEP: f64 = 1e-7;

/// Cells of a survey smaller than this, mm, are not divided further: they lie about a cone's apex, where the surface has no
/// tangent plane.
pub(crate) const SMALLEST_CELL: f64 = 1e-5;

/// Relative distance from tangency (of a cosine to one) under which a plane through a cone's apex touches it.
pub(crate) const APEX_TOUCH: f64 = 1e-12;

/// Determinants of a second form below this share of its square size are zero: the contact is degenerate.
pub(crate) const DEGENERATE_FORM: f64 = 1e-6;

/// How far a spine may stray from the two surfaces that it is the intersection of, mm. Well below [`ON_SURFACE`].
pub(crate) const SPINE_FIT: f64 = 2e-10;

/// Half axes of an ellipse that differ by less than this share are those of a circle: rounding alone.
pub(crate) const ROUND_ELLIPSE: f64 = 1e-12;

/// Distance between a canal as a file has it and the exact one, mm, before the stretch of the file.
pub(crate) const CANAL_FILE_FIT: f64 = 4e-7;

/// Places nearer than this to the start of a ray are the start itself, mm.
pub(crate) const RAY_START: f64 = SNAP;

/// A straight way between two places of the surface leaves the material only where it does so farther than this from its
/// ends, mm.
pub(crate) const WAY_END: f64 = 1e-5;

/// A line meets a surface where it is found within this of it, mm.
pub(crate) const RAY_FIT: f64 = SAME;

/// A ball has found its size when nothing is nearer to its centre than its radius less this, mm.
pub(crate) const BALL_FIT: f64 = SAME;

/// A point this far outside a loop still counts as on the face, mm: neighbours overlap by it, so that nothing passes
/// between them.
pub(crate) const FACE_OVERLAP: f64 = 2.0 * SAME;

/// A direction this far outside two normals still lies between them, as a sine.
pub(crate) const BETWEEN_NORMALS: f64 = 1e-5;

/// Margin by which boxes are grown before they are said not to meet.
pub const BOX_MARGIN: f64 = 1e-4;

/// How far about what is kept of bodies curves are looked for, mm: farther than any step that is taken off a surface.
pub(crate) const KEPT_ABOUT: f64 = 1.0;

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

// Intersections and curves.

/// How far outside its rectangle a branch is followed before it ends, mm; more than [`SURVEY_MARGIN`], on whose border
/// branches start.
pub(crate) const OVERRUN: f64 = 0.1;

/// How far a survey looks beyond rectangle and boxes, mm.
pub(crate) const SURVEY_MARGIN: f64 = 0.05;

/// How far beside its piece a canal's face is taken to end, radians.
pub(crate) const OFF_CANAL: f64 = 0.01;

/// Sections longer than this, mm, are followed point by point instead: a nearly parabolic ellipse has a centre so far off
/// that its points lose their last digits.
pub(crate) const LONGEST_ELLIPSE: f64 = 1e4;

/// Step of the differences by which the curvature at a touching point is measured, mm.
pub(crate) const CURVATURE_STEP: f64 = 1e-3;

/// Three planes with unit normals have no point in common when the determinant of the normals is below this.
pub(crate) const SINGULAR: f64 = 1e-12;

/// A line runs along a ruling of a cylinder or cone, and meets it once at most, when the square term of the surface's
/// equation along the line's unit direction is below this.
pub(crate) const ALONG_RULING: f64 = 1e-12;

/// Lengths of a unit step of a parameter, mm, that are less count as this: at a cone's apex such a step has none.
pub(crate) const LEAST_SCALE: f64 = 1e-9;

/// Least curvature, 1/mm, that a traced curve or the path of a canal is taken to have: straight ones need bounds as well.
pub(crate) const STRAIGHT: f64 = 1e-6;

/// The same for one stretch of a traced curve, 1/mm.
pub(crate) const STRAIGHT_PIECE: f64 = 1e-9;

/// Curvatures of a spine below this, 1/mm, are none: its radius of curvature is beyond every part.
pub(crate) const STRAIGHT_SPINE: f64 = 1e-12;

/// Neighbouring sections of a canal are at least this far apart at a point, in that of their centres; nearer ones
/// meet there.
pub(crate) const SECTIONS_APART: f64 = 1e-12;

/// An edge of a canal's face may lie beyond the end of its spine by no more than this, mm: no ball comes there, and files hold the canal
/// only up to there.
pub(crate) const CANAL_OVERRUN: f64 = 1e-3;

/// A canal known to fold does so where neighbouring sections are nearer to each other than this, in the distance of their
/// centres: from there on no intersection with it is followed. At a crease, where its face ends, they are farther apart but for the
/// crease's very ends.
pub(crate) const FOLDED: f64 = 1e-2;

/// Roots of a function that differ by less are one, as a share of the parameter plus one.
pub(crate) const SAME_ROOT: f64 = 1e-13;

/// The nearest place on a spine is found when its parameter moves by less, as a share of the parameter plus one.
pub(crate) const SAME_PARAMETER: f64 = 1e-13;

/// The nearest place on a B-spline is found when its parameter moves by less than this share of the range.
pub(crate) const SPLINE_CONVERGED: f64 = 1e-14;

/// Sine of a cone's half angle, from least to greatest, by which [`SAME`] is divided for the distance of two cones' apexes:
/// that of slim cones shifts far by a small change, and hardly moves the surface.
pub(crate) const APEX_SINE: (f64, f64) = (1e-3, 0.1);

/// Places of a sphere nearer to the far pole of its map, by one plus the cosine, are mapped as if they lay here: the pole
/// itself lies at infinity.
pub(crate) const FAR_POLE: f64 = 1e-9;

/// Least distance between neighbouring sections anywhere on a fillet segment, in that of their centres.
pub(crate) const SECTION_STRETCH: f64 = 0.05;

/// The same for a ball that rolls inside a body, along surfaces that were made wide enough for it.
pub(crate) const SECTION_STRETCH_WITHIN: f64 = 0.01;

// Meshes.

/// Coordinates on a face's map smaller than this become zero: the triangulation refuses subnormal-like numbers.
pub(crate) const ZERO_ON_MAP: f64 = 1e-30;

/// A number of pieces of an edge is rounded up only when it exceeds a whole number by more than this.
pub(crate) const WHOLE_PIECES: f64 = 1e-9;

/// The same for rows and columns of points inside a face.
pub(crate) const WHOLE_ROWS: f64 = 1e-6;

// Probes.

/// A mesh is taken to stray from its solid by its chord error, a tenth of it more, and this, mm.
pub(crate) const MESH_SLACK: f64 = 1e-6;

/// Material wraps around an edge where the sine between the outward normals of its sides is above this.
pub(crate) const WRAPPED_EDGE: f64 = 1e-6;

/// Greatest distance of a piece of a loop from its edge, on the face's map and in space, mm.
pub(crate) const PIECE_SAG: f64 = 5e-3;

/// A point this near to a piece of a loop on the map is decided on the edge itself, mm. The maps of tori and
/// balls stretch by less than this exceeds [`PIECE_SAG`].
pub(crate) const NEAR_PIECE: f64 = 5e-2;

/// Parameters within this share of an edge's range from its end are the end.
pub(crate) const EDGE_END: f64 = 1e-9;

/// Step of the differences by which an edge's second derivative is measured, as a share of its range.
pub(crate) const PARAMETER_STEP: f64 = 1e-5;

/// Step of the differences by which the turn of the normal is measured where there is no closed form, mm.
pub(crate) const NORMAL_STEP: f64 = 1e-4;

/// A round of the search for the nearest places of two faces that gains less than this ends it, mm.
pub(crate) const PAIR_GAIN: f64 = 1e-11;

/// Distances that are shorter by less than this are no shorter, mm: Newton's method has arrived.
pub(crate) const NO_SHORTER: f64 = 1e-14;

/// Additions to the diagonal that are tried in turn where a search runs along a valley of one depth, whose matrix has no
/// inverse: the first lies just above rounding, the last keeps steps short.
pub(crate) const VALLEY_DAMPING: [f64; 3] = [1e-9, 1e-3, 0.1];

/// A round of taking turns between a triangle and a solid that gains less ends the search, mm.
pub(crate) const TURNS_GAIN: f64 = 1e-10;

/// Boxes of triangles nearer to each other than this touch, mm: the triangles may cross.
pub(crate) const TOUCHING_BOXES: f64 = 1e-9;

/// Segments are parallel when the square of the sine between them is below this.
pub(crate) const SEGMENTS_PARALLEL: f64 = 1e-14;

/// A ray this near to a triangle's side, as a share of the triangle, meets it: no ray slips through between neighbours. Boxes
/// are larger by it, mm, so that a ray in the plane of a box's side enters it.
pub(crate) const TRIANGLE_SIDE: f64 = 1e-9;

/// A ray sees a triangle edge on when the volume of its direction and two of the sides is below this share of the product of
/// their lengths.
pub(crate) const EDGE_ON: f64 = 1e-14;

/// Slack of a cosine by which directions are said to be turned far enough from each other: rounding must hide none.
pub(crate) const TURN_SLACK: f64 = 1e-9;

/// How far a search along a ray goes on past a place that it found or grazed, mm.
pub(crate) const PAST_ROOT: f64 = 1e-4;

/// Coefficients of a quadratic equation along a unit direction below this are zero: the ray runs along the surface.
pub(crate) const NO_COEFFICIENT: f64 = 1e-14;

/// A place on a ray takes a last step of Newton's method where the sine between ray and surface is above this, and the place
/// within [`POLISH_REACH`] of the surface.
pub(crate) const POLISH_SLOPE: f64 = 1e-6;

/// See [`POLISH_SLOPE`]; mm.
pub(crate) const POLISH_REACH: f64 = 1e-6;

/// A ray grazes a surface when the sine between them is below this: Newton's method finds nothing there.
pub(crate) const GRAZING_RAY: f64 = 1e-3;

/// Steps of Newton's method along a ray shorter than this are none, mm.
pub(crate) const RAY_CONVERGED: f64 = 1e-11;

/// Triangles count as opposed a little before the exact normals do, which turn within a triangle: a cosine.
pub(crate) const NEARLY_OPPOSED: f64 = -0.3;

/// A way is turned away from a normal at its end by no more than this, a little more than a wall's may be: a cosine.
pub(crate) const THROUGH_WALL: f64 = 0.3;

/// A way may leave the room between an edge's normals by this, which turn along a piece of the edge: a sine.
pub(crate) const BESIDE_EDGE: f64 = 0.1;

/// Least turn between the normals of a group of triangles: rounding alone.
pub(crate) const NO_TURN: f64 = 1e-12;

/// Last step of the search along the surface for a shorter ray, mm.
pub(crate) const LAST_WALL_STEP: f64 = 1e-5;

/// Rays no farther from each other than this cross a surface once or not at all where one of them does, mm.
pub(crate) const NEIGHBOUR_RAYS: f64 = 0.2;

/// Two places nearer to each other than this, mm, have no way between them: the normals alone tell whether a wall is there.
pub(crate) const NO_WAY: f64 = 1e-9;

/// What a ball touches nearer to the sample than this, mm, is the sample's own neighbourhood.
pub(crate) const OWN_NEIGHBOURHOOD: f64 = 1e-5;
