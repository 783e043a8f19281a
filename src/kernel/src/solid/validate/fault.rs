use crate::geometry::P3;
use crate::solid::tag::Tag;

/// What can be wrong with a boundary.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FaultKind {
    /// A face, edge or vertex number that does not exist.
    #[error("{what} {index} does not exist")]
    Missing {
        /// Vertex, edge or face.
        what: &'static str,
        /// The number.
        index: usize,
    },
    /// A parameter, coordinate or integral that is not a finite number.
    #[error("{what} {index} has a coordinate that is not a finite number")]
    NotFinite {
        /// Vertex, edge or face.
        what: &'static str,
        /// The number.
        index: usize,
    },
    /// A face in no shell or in several.
    #[error("face {face} is in {count} shells and must be in one")]
    ShellOfFace {
        /// The face.
        face: usize,
        /// In how many it is.
        count: usize,
    },
    /// A shell of several separate pieces.
    #[error("shell {shell} falls apart into {pieces} pieces")]
    ShellApart {
        /// The shell.
        shell: usize,
        /// Number of pieces.
        pieces: usize,
    },
    /// The two faces of an edge are in different shells.
    #[error("edge {edge} joins faces of two shells")]
    ShellsJoined {
        /// The edge.
        edge: usize,
    },
    /// A shell without faces, or a solid without shells.
    #[error("the boundary is empty")]
    Empty,
    /// An edge not used exactly twice.
    #[error("edge {edge} is used {count} times and must be used twice")]
    EdgeUses {
        /// The edge.
        edge: usize,
        /// How often.
        count: usize,
    },
    /// An edge whose two faces run along it in the same sense.
    #[error("both faces along edge {edge} run along it in the same sense: one of them is inside out")]
    EdgeSense {
        /// The edge.
        edge: usize,
    },
    /// An edge that starts where it ends, whose range is not rising, or that is too short to exist.
    #[error("edge {edge} is {length} mm long")]
    EdgeShort {
        /// The edge.
        edge: usize,
        /// Its length, mm; negative when its range falls.
        length: f64,
    },
    /// A vertex that is not at the end of its edge.
    #[error("vertex {vertex} is {distance} mm away from the end of edge {edge}")]
    EdgeEnd {
        /// The edge.
        edge: usize,
        /// The vertex.
        vertex: usize,
        /// How far, mm.
        distance: f64,
    },
    /// An edge that leaves the surface of one of its faces.
    #[error("edge {edge} is {distance} mm off the surface of face {face}")]
    OffSurface {
        /// The edge.
        edge: usize,
        /// The face.
        face: usize,
        /// How far, mm.
        distance: f64,
    },
    /// A loop that does not run head to tail, or has no edges.
    #[error("loop {ring} of face {face} is not closed")]
    LoopOpen {
        /// The face.
        face: usize,
        /// Which of its loops.
        ring: usize,
    },
    /// A vertex no edge ends in.
    #[error("vertex {vertex} belongs to no edge")]
    Dangling {
        /// The vertex.
        vertex: usize,
    },
    /// A vertex where several fans of faces touch.
    #[error("{fans} fans of faces touch in vertex {vertex}: the solid is not manifold there")]
    Umbrella {
        /// The vertex.
        vertex: usize,
        /// Number of fans.
        fans: usize,
    },
    /// Counts that no closed surface has.
    #[error(
        "shell {shell}: {vertices} vertices − {edges} edges + {faces} faces − {holes} inner loops is {value}, not 2 − 2·genus"
    )]
    Euler {
        /// The shell.
        shell: usize,
        /// V.
        vertices: usize,
        /// E.
        edges: usize,
        /// F.
        faces: usize,
        /// L − F.
        holes: usize,
        /// V − E + F − (L − F).
        value: f64,
    },
    /// A loop that runs the wrong way round its face.
    #[error("loop {ring} of face {face} runs the wrong way round (area {area} on the chart)")]
    LoopSense {
        /// The face.
        face: usize,
        /// Which of its loops.
        ring: usize,
        /// Signed area in the chart's integral parameters.
        area: f64,
    },
    /// A shell turned inside out.
    #[error("shell {shell} has volume {volume} mm³ and is {}", if *.void { "a void" } else { "an outer shell" })]
    ShellSense {
        /// The shell.
        shell: usize,
        /// Its signed volume, mm³.
        volume: f64,
        /// Whether it is said to be a void.
        void: bool,
    },
    /// A solid without volume.
    #[error("the volume {volume} mm³ is not above zero")]
    Volume {
        /// mm³.
        volume: f64,
    },
    /// Volume integrals along the three axes that differ: the boundary is not closed.
    #[error("the volume by axis is {x}, {y} and {z} mm³: the boundary is not closed")]
    VolumeByAxis {
        /// ∮x dAx, mm³.
        x: f64,
        /// ∮y dAy, mm³.
        y: f64,
        /// ∮z dAz, mm³.
        z: f64,
    },
    /// Area vectors that don't cancel: the boundary is not closed.
    #[error("the area vectors add up to {size} mm² and must cancel: the boundary is not closed")]
    AreaVector {
        /// Length of the sum, mm².
        size: f64,
    },
}

/// A violation: what, which faces, where.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{kind} ({}at {:.4} {:.4} {:.4})", named(.faces), .place.x, .place.y, .place.z)]
pub struct BoundaryFault {
    /// What is wrong.
    pub kind: FaultKind,
    /// The faces concerned, sorted; may be empty where the whole boundary is.
    pub faces: Vec<Tag>,
    /// A point of the place, mm.
    pub place: P3,
}

/// The names of faces before a place.
fn named(faces: &[Tag]) -> String {
    let names: Vec<String> = faces.iter().map(Tag::to_string).collect();
    if names.is_empty() { String::new() } else { names.join(", ") + " " }
}
