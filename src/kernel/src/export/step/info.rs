//! What a STEP file says besides the geometry, and what can be wrong with a request for one.

use crate::geometry::{Curve, P3, Surface, V3};
use crate::solid::{Brep, BrepEdge, MassProperties};

use super::super::paint::Paints;

/// This library and its version.
const OWN: &str = concat!("solidwright ", env!("CARGO_PKG_VERSION"));

/// Names and texts of a STEP file.
#[derive(Clone, Debug)]
pub struct StepInfo {
    /// Product identifier, unique where the file goes: a part number.
    pub id: String,
    /// Product name, shown by CAD programs.
    pub name: String,
    /// Product description.
    pub description: String,
    /// Which form of the part this is, such as `finished`. Names the solid.
    pub form: String,
    /// The header's description: what the file holds, in a line.
    pub header: String,
    /// Name of the file without its extension, for the header.
    pub file_stem: String,
    /// Time of the header, ISO 8601. Fixed unless given, so that equal input gives equal bytes.
    pub time_stamp: String,
    /// The program the data come from, for the header.
    pub originating_system: String,
    /// The program that wrote the file, for the header.
    pub preprocessor: String,
    /// The colours of the faces.
    pub paints: Paints,
    /// Volume, area and centroid, written as validation properties for the reader to compare with its own.
    pub properties: Option<MassProperties>,
}

impl Default for StepInfo {
    /// No names, the start of the Unix epoch, the default paints; this library stands for both programs.
    fn default() -> Self {
        Self {
            id: String::new(),
            name: String::new(),
            description: String::new(),
            form: String::new(),
            header: String::new(),
            file_stem: String::new(),
            time_stamp: "1970-01-01T00:00:00".to_owned(),
            originating_system: OWN.to_owned(),
            preprocessor: OWN.to_owned(),
            paints: Paints::default(),
            properties: None,
        }
    }
}

/// Why no STEP file can be written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StepError {
    /// There is nothing to write.
    #[error("the boundary has no outer shell, so there is no solid to write")]
    Empty,
    /// A number is infinite or undefined.
    #[error("{what} holds a number that is not finite")]
    NotFinite {
        /// Which vertex, edge, face or property.
        what: String,
    },
    /// An index points outside its list.
    #[error("{what} refers to something that is not in the boundary")]
    BadIndex {
        /// Which shell, face or edge.
        what: String,
    },
    /// A face without a loop.
    #[error("face {name} has no edges around it")]
    NoLoop {
        /// Feature and role.
        name: String,
    },
    /// A void shell that cannot be given to one body for certain.
    #[error("a void near {at:.3} lies within the box of {candidates} bodies; it must be one")]
    HomelessVoid {
        /// A point on the void, mm.
        at: P3,
        /// How many bodies could hold it.
        candidates: usize,
    },
}

/// Looks for everything that would spoil the text.
pub(super) fn check(brep: &Brep, info: &StepInfo) -> Result<(), StepError> {
    if brep.bodies() == 0 {
        return Err(StepError::Empty);
    }
    check_indices(brep)?;
    let finite = |good: bool, what: &dyn Fn() -> String| {
        if good { Ok(()) } else { Err(StepError::NotFinite { what: what() }) }
    };
    for (i, p) in brep.vertices.iter().enumerate() {
        finite(point_is_finite(p), &|| format!("vertex {i}"))?;
    }
    for (i, e) in brep.edges.iter().enumerate() {
        finite(edge_is_finite(e), &|| format!("edge {i}"))?;
    }
    for f in &brep.faces {
        finite(surface_is_finite(&f.surface), &|| format!("face {}", f.tag))?;
    }
    if let Some(m) = &info.properties {
        let good = m.volume.is_finite() && m.area.is_finite() && point_is_finite(&m.centroid);
        finite(good, &|| "the list of mass properties".to_owned())?;
    }
    Ok(())
}

fn check_indices(brep: &Brep) -> Result<(), StepError> {
    let bad = |what: String| Err(StepError::BadIndex { what });
    for (i, s) in brep.shells.iter().enumerate() {
        if s.faces.is_empty() || s.faces.iter().any(|f| *f >= brep.faces.len()) {
            return bad(format!("shell {i}"));
        }
    }
    for f in &brep.faces {
        if f.loops.is_empty() || f.loops.iter().any(Vec::is_empty) {
            return Err(StepError::NoLoop { name: f.tag.to_string() });
        }
        if f.loops.iter().flatten().any(|h| h.edge >= brep.edges.len()) {
            return bad(format!("face {}", f.tag));
        }
    }
    for (i, e) in brep.edges.iter().enumerate() {
        if e.start.max(e.end) >= brep.vertices.len() {
            return bad(format!("edge {i}"));
        }
    }
    Ok(())
}

fn point_is_finite(p: &P3) -> bool {
    p.coords.iter().all(|x| x.is_finite())
}

fn vector_is_finite(v: &V3) -> bool {
    v.iter().all(|x| x.is_finite())
}

fn edge_is_finite(e: &BrepEdge) -> bool {
    let curve = match &e.curve {
        Curve::Line(c) => point_is_finite(&c.origin) && vector_is_finite(&c.dir),
        Curve::Circle(c) => frame_is_finite(&c.frame) && c.radius.is_finite(),
        Curve::Ellipse(c) => frame_is_finite(&c.frame) && c.major.is_finite() && c.minor.is_finite(),
        Curve::Spline(c) => c.knots.iter().all(|k| k.is_finite()) && c.control.iter().all(point_is_finite),
    };
    curve && e.range.0.is_finite() && e.range.1.is_finite()
}

fn surface_is_finite(s: &Surface) -> bool {
    let sizes = match s {
        Surface::Canal(s) => s.radius.is_finite(),
        Surface::Plane(_) => true,
        Surface::Cylinder(s) => s.radius.is_finite(),
        Surface::Cone(s) => s.half_angle.is_finite(),
        Surface::Sphere(s) => s.radius.is_finite(),
        Surface::Torus(s) => s.major.is_finite() && s.minor.is_finite(),
    };
    sizes && frame_is_finite(s.frame())
}

fn frame_is_finite(f: &crate::geometry::Frame) -> bool {
    point_is_finite(&f.origin) && [f.x, f.y, f.z].iter().all(vector_is_finite)
}
