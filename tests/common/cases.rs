//! Named solids: what a test asserts of them, and what an example writes for other programs to judge.

use super::random_tree::counted_volume;
use super::solid;
use solidwright::solid::SolidTree;

/// A named solid and what is known of it.
pub struct Case {
    pub name: String,
    pub tree: SolidTree,
    /// The volume in closed form; without one it is counted.
    pub volume: Option<f64>,
    /// How far, relative, the volume may be off its closed form.
    pub within: f64,
    /// The number of handles of all shells together.
    pub genus: Option<usize>,
    pub bodies: usize,
    pub faces: Option<usize>,
    pub edges: Option<usize>,
}

#[derive(Default)]
pub struct Cases(pub Vec<Case>);

impl Cases {
    pub fn from(fill: fn(&mut Self)) -> Self {
        let mut out = Self::default();
        fill(&mut out);
        out
    }

    fn push(&mut self, name: &str, tree: &SolidTree, volume: Option<f64>, genus: Option<usize>) -> &mut Case {
        self.0.push(Case {
            name: name.to_owned(),
            tree: tree.clone(),
            volume,
            within: 1e-9,
            genus,
            bodies: 1,
            faces: None,
            edges: None,
        });
        self.0.last_mut().unwrap()
    }

    /// A solid of known volume and number of handles.
    pub fn closed(&mut self, name: &str, tree: &SolidTree, volume: f64, genus: usize) -> &mut Case {
        self.push(name, tree, Some(volume), Some(genus))
    }

    /// A solid of known volume.
    pub fn exact(&mut self, name: &str, tree: &SolidTree, volume: f64) -> &mut Case {
        self.push(name, tree, Some(volume), None)
    }

    /// A solid whose volume is held against a count of random points.
    pub fn counted(&mut self, name: &str, tree: &SolidTree) -> &mut Case {
        self.push(name, tree, None, None)
    }

    /// Asserts that every solid is sound and what is known of it holds.
    pub fn hold(&self) {
        assert!(!self.0.is_empty(), "no cases");
        self.0.iter().for_each(Case::hold);
    }
}

impl Case {
    fn hold(&self) {
        let name = &self.name;
        let solid = solid(&self.tree).unwrap_or_else(|e| panic!("{name}: {e}"));
        let (brep, report) = (solid.brep(), solid.report());
        let found = report.mass.volume;
        if let Some(volume) = self.volume {
            let off = (found / volume - 1.0).abs();
            assert!(off < self.within, "{name}: volume {found} is not {volume} ({off:.1e})");
        } else {
            let (volume, error) = counted_volume(&self.tree, 7, 60_000);
            let off = (found - volume).abs();
            assert!(off < 4.0 * error, "{name}: volume {found} but counted {volume} ± {error}");
        }
        assert_eq!(brep.bodies(), self.bodies, "{name}: bodies");
        if let Some(genus) = self.genus {
            assert_eq!(report.genus.iter().sum::<usize>(), genus, "{name}: genus");
        }
        if let Some(faces) = self.faces {
            assert_eq!(brep.faces.len(), faces, "{name}: faces");
        }
        if let Some(edges) = self.edges {
            assert_eq!(brep.edges.len(), edges, "{name}: edges");
        }
    }
}
