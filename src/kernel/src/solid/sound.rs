//! A sound solid: the one noun that meshes, measurements and files are made of.

use super::evaluate::{EvaluateError, evaluate_or_faults};
use super::measure::{MassProperties, measure_stretched};
use super::validate::{BoundaryFault, Report, validate};
use super::{Brep, SolidTree, Tag};
use crate::geometry::{Bounds, P3, Stretch};

/// A solid whose boundary has been found and has passed every check of [`validate`].
///
/// There is no other way to one than [`Solid::of`], and its boundary can't be changed: whoever is given a `Solid` need not ask
/// whether it is sound. Meshes, probes and the writers of files take nothing else.
#[derive(Clone, Debug)]
pub struct Solid {
    tree: SolidTree,
    brep: Brep,
    report: Report,
}

/// Why a tree has no sound solid.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SolidError {
    /// It has no proper boundary.
    #[error(transparent)]
    Boundary(#[from] EvaluateError),
    /// Its boundary failed a check.
    #[error("the solid failed {} of its checks; the first: {}", .0.len(), .0[0])]
    Unsound(Vec<BoundaryFault>),
}

impl SolidError {
    /// Whether the kernel is at fault, not the tree: a boundary that does not close, or that fails its own checks.
    pub fn is_internal(&self) -> bool {
        match self {
            Self::Boundary(error) => error.is_internal(),
            Self::Unsound(_) => true,
        }
    }

    /// Where it is, if it is about one place; of several faults the first that concerns certain faces.
    pub fn place(&self) -> Option<P3> {
        match self {
            Self::Boundary(error) => error.place(),
            Self::Unsound(faults) => {
                faults.iter().find(|f| !f.faces.is_empty()).or(faults.first()).map(|f| f.place)
            }
        }
    }
}

impl SolidError {
    /// The faces it is about; of several faults those of the first that concerns certain faces. The variant has the others.
    pub fn tags(&self) -> &[Tag] {
        match self {
            Self::Boundary(error) => error.tags(),
            Self::Unsound(faults) => faults.iter().find(|f| !f.faces.is_empty()).map_or(&[], |f| &f.faces),
        }
    }
}

impl Solid {
    /// Finds and checks the boundary of a tree.
    ///
    /// # Errors
    /// See [`SolidError`].
    pub fn of(tree: SolidTree) -> Result<Self, SolidError> {
        Self::or_places(tree).map_err(|found| found.0)
    }

    /// The same with the places of all faults that were found, not only of the one that is told.
    ///
    /// # Errors
    /// See [`SolidError`].
    pub fn or_places(tree: SolidTree) -> Result<Self, Box<(SolidError, Vec<P3>)>> {
        let brep = evaluate_or_faults(&tree).map_err(|faults| {
            let places = faults.iter().filter_map(EvaluateError::place).collect();
            Box::new((faults.into_iter().next().unwrap_or(EvaluateError::Empty).into(), places))
        })?;
        let report = validate(&brep).map_err(|faults| {
            let places = faults.iter().map(|f| f.place).collect();
            Box::new((SolidError::Unsound(faults), places))
        })?;
        Ok(Self { tree, brep, report })
    }

    /// How it was put together.
    pub fn tree(&self) -> &SolidTree {
        &self.tree
    }

    /// Its boundary.
    pub fn brep(&self) -> &Brep {
        &self.brep
    }

    /// What the checks of the boundary found.
    pub fn report(&self) -> &Report {
        &self.report
    }

    /// Volume, area, centroid and inertia.
    pub fn mass(&self) -> &MassProperties {
        &self.report.mass
    }

    /// The same of its image under a stretch.
    pub fn mass_stretched(&self, by: &Stretch) -> MassProperties {
        measure_stretched(&self.brep, by)
    }

    /// Boxes around all its bodies but the largest.
    pub fn smaller_bodies(&self) -> Vec<Bounds> {
        let shells = self.brep.shells.iter().zip(&self.report.shell_volumes).filter(|(s, _)| !s.void);
        let mut bodies: Vec<(f64, Bounds)> = shells
            .map(|(shell, volume)| (*volume, self.brep.bounds_of(shell.faces.iter().copied())))
            .collect();
        bodies.sort_by(|a, b| b.0.total_cmp(&a.0));
        bodies.into_iter().skip(1).map(|(_, bounds)| bounds).collect()
    }

    /// A boundary made by hand, for tests of what can't come of a tree.
    #[cfg(test)]
    pub(crate) fn by_hand(brep: Brep) -> Self {
        let mass = super::measure::measure(&brep);
        let report = Report { genus: vec![], shell_volumes: vec![], mass, shortest_edge: None };
        Self { tree: SolidTree::new(), brep, report }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Frame, V3};
    use crate::solid::{cylinder, samples};

    /// Two cylinders that touch along a line have no boundary; what is kept of one of them, off that line, has one: what lies outside is
    /// not looked at.
    #[test]
    fn what_is_not_kept_is_no_fault() {
        let rod = |name: &str, [x, z]: [f64; 2], radius: f64, height: f64| {
            let faces = ["floor", "wall", "roof"].map(|role| Tag::formed(name, role));
            cylinder(name, Frame::world().moved_to(P3::new(x, 0.0, z)), radius, height, &faces)
                .expect("a rod")
        };
        let mut tree = SolidTree::new();
        tree.add(rod("left", [0.0, 0.0], 10.0, 40.0));
        tree.add(rod("right", [20.0, 0.0], 10.0, 40.0));
        assert!(Solid::of(tree.clone()).is_err(), "they touch");
        tree.keep(rod("kept", [-2.0, 5.0], 3.0, 50.0));
        let kept = Solid::of(tree).expect("a rod within the left one");
        let volume = std::f64::consts::PI * 9.0 * 35.0;
        assert!((kept.mass().volume - volume).abs() < 1e-9 * volume, "{} mm³", kept.mass().volume);
        assert_eq!(kept.brep().faces.len(), 4, "floor, roof and two halves of a wall");
    }

    #[test]
    fn an_unsound_boundary_names_faces_and_place() {
        let mut brep = samples::cuboid(P3::origin(), V3::new(2.0, 3.0, 4.0));
        brep.faces.pop();
        brep.shells[0].faces.pop();
        let error = SolidError::Unsound(validate(&brep).expect_err("a face is missing"));
        assert!(error.tags().iter().any(|tag| tag.feature.as_ref() == "sample"), "{error}");
        let place = error.place().expect("a place");
        assert!((0.0..=4.0).contains(&place.x.max(place.y).max(place.z)), "{place}");
    }
}
