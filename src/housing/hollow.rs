//! Closed hollows of a solid: what encloses them, how large they are, and what lies about them.

use std::collections::{BTreeMap, BTreeSet};

use crate::faces::Feature;
use solidwright::geometry::{Bounds, P3, V3};
use solidwright::solid::{Brep, BrepShell, Solid, SolidTree};

/// How deep in the metal about a hollow places are taken, mm: less than any wall is thick.
const IN_THE_METAL: f64 = 0.05;

/// Normals whose sum is shorter are opposite: a place between them has no metal behind it.
const NO_DIRECTION: f64 = 1e-3;

/// Places taken on each edge of a hollow's walls.
const ON_AN_EDGE: u32 = 17;

/// A hollow that is closed all round.
#[derive(Clone, Debug)]
pub struct Hollow {
    /// Features that enclose it.
    pub features: BTreeSet<Feature>,
    /// A point of its wall.
    pub at: P3,
    /// The box about it, parallel to the housing's axes.
    pub extent: Bounds,
    /// Its volume, mm³.
    pub volume: f64,
    /// Places in the metal just behind its walls.
    pub(super) behind: Vec<P3>,
    /// Places in the hollow just before them.
    within: Vec<P3>,
}

impl Hollow {
    /// The largest hollow of a solid; `None` where it has none.
    pub(super) fn largest(solid: &Solid) -> Option<Self> {
        let brep = solid.brep();
        let volume = |i: &usize| solid.report().shell_volumes.get(*i).map_or(0.0, |v| v.abs());
        let voids = (0..brep.shells.len()).filter(|i| brep.shells[*i].void);
        let largest = voids.max_by(|a, b| volume(a).total_cmp(&volume(b)))?;
        let shell = &brep.shells[largest];
        let walls = walls(brep, shell);
        let extent = Bounds::around(walls.iter().map(|w| w.0));
        Some(Self {
            features: shell.faces.iter().map(|f| Feature::of(&brep.faces[*f].tag)).collect(),
            at: walls.first()?.0,
            extent,
            volume: volume(&largest),
            behind: walls.iter().map(|(p, into)| p + into * IN_THE_METAL).collect(),
            within: walls.iter().map(|(p, into)| p - into * IN_THE_METAL).collect(),
        })
    }

    /// Whether all of it was cut out of a tree's bodies: no fillet fills that, as it may fill a gap between bodies.
    pub(super) fn is_cut(&self, tree: &SolidTree) -> bool {
        let bodies = tree.added();
        self.within.iter().all(|p| bodies.contains(*p))
    }

    /// Its size along the shaft, across it and upwards, mm.
    pub fn size(&self) -> V3 {
        self.extent.max - self.extent.min
    }
}

/// Places on the edges of a shell, with the direction from there into the metal.
fn walls(brep: &Brep, shell: &BrepShell) -> Vec<(P3, V3)> {
    let mut sides: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for f in &shell.faces {
        for h in brep.faces[*f].loops.iter().flatten() {
            sides.entry(h.edge).or_default().push(*f);
        }
    }
    let places = |(edge, faces): (&usize, &Vec<usize>)| {
        let (edge, faces) = (*edge, faces.clone());
        (0..ON_AN_EDGE).filter_map(move |k| {
            let p = brep.edge_point(edge, f64::from(k) / f64::from(ON_AN_EDGE - 1));
            let out = faces.iter().map(|f| brep.faces[*f].outward(p)).sum::<V3>();
            Some((p, -out.try_normalize(NO_DIRECTION)?))
        })
    };
    sides.iter().flat_map(places).collect()
}
