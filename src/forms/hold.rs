//! Whether the casting contains the finished part: metal of the part outside the casting cannot be machined from it.
//!
//! Draft and stock only add metal, and a ball that rolls over larger bodies leaves larger fillets, so the part lies
//! within the casting wherever both have their fillets. It may not where the casting's solid does not close with a
//! fillet, or where its edges had to be rounded more. So points on the part's exact surfaces are tested by exact
//! membership in the casting.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::faces::Feature;
use crate::housing::Housing;
use crate::units::Units;
use solidwright::geometry::{Frame, P3, V3};
use solidwright::mesh::{MeshError, triangulate};
use solidwright::solid::fillet::{Joint, JointState};
use solidwright::solid::{Brep, SolidTree};

/// Metal of the finished part outside the casting, at one feature.
#[derive(Clone, Debug, PartialEq)]
pub struct MissingMetal {
    /// The feature.
    pub feature: Feature,
    /// Faces of the finished part over that metal, the largest share first.
    pub faces: Vec<String>,
    /// mm³, measured square to those faces.
    pub volume: f64,
    /// Its greatest depth, mm.
    pub depth: f64,
    /// The place of that depth.
    pub at: P3,
    /// Least radius of the casting's fillets at this feature, where it is less than requested, and the requested
    /// radius, mm.
    pub radius: Option<[f64; 2]>,
}

impl MissingMetal {
    /// Depth from which a part cannot be made of its casting, mm: half the tolerance of the smallest size in the finest grade
    /// that sand casting reaches (ISO 8062-3, DCTG 7: 0.74 mm up to 10 mm). What lacks less is within the tolerance of
    /// any face that stays as cast.
    pub const DEEP: f64 = 0.37;

    /// Whether the part cannot be machined from its casting for it.
    pub fn is_deep(&self) -> bool {
        self.depth > Self::DEEP
    }
}

/// Greatest number of faces named.
const NAMED: usize = 3;

impl MissingMetal {
    /// What is wrong and what to do, behind the feature's name.
    pub fn named(&self, units: Units) -> String {
        format!("{}: {}", self.feature, self.message(units))
    }

    /// What is told where this metal was laid on the casting.
    pub fn laid_on(&self, units: Units) -> String {
        let Self { feature, volume, depth, at, faces, .. } = self;
        format!(
            "laid on by up to {} at {feature} near {}, below {}: the casting's fillets would leave about {} of the finished part \
             outside; blend it in by hand",
            units.to_places(*depth, 2),
            units.place([at.x, at.y, at.z]),
            faces.iter().take(NAMED).map(String::as_str).collect::<Vec<_>>().join(", "),
            units.small_volume(*volume)
        )
    }

    /// What is wrong and what to do, without the feature's name.
    pub fn message(&self, units: Units) -> String {
        let Self { volume, depth, at, .. } = self;
        let metal = format!(
            "about {} of the finished part is outside the casting, up to {} deep near {}, below {}; ",
            units.small_volume(*volume),
            units.to_places(*depth, 2),
            units.place([at.x, at.y, at.z]),
            self.faces.iter().take(NAMED).map(String::as_str).collect::<Vec<_>>().join(", ")
        );
        let radius = self.radius.map(|both| both.map(|mm| units.to_places(mm, 2)));
        let cure = match radius {
            Some([made, asked]) if self.radius.is_some_and(|[made, _]| made > 0.0) => format!(
                "the casting has room for fillets of {made} there, not of {asked}: set that radius in \
                 `casting.fillets`"
            ),
            Some([_, asked]) => format!(
                "the casting's joints stay sharp there, because its solid does not close with a fillet of {asked}: set a smaller one in \
                 `casting.fillets`, or turn the feature or the parting plane (`casting.mould.parting_clock`)"
            ),
            None => "set smaller fillets there in `casting.fillets`, or, where no fillet is the cause, make the feature's walls \
                     thicker or its hollow smaller, or turn or move it"
                .to_owned(),
        };
        metal + &cure
    }
}

/// A place on the finished part below which its metal lies outside the casting.
#[derive(Clone, Copy, Debug)]
pub(super) struct BarePlace {
    /// The feature.
    pub(super) feature: Feature,
    /// On the finished part's surface.
    pub(super) at: P3,
    /// Into the metal, of length 1.
    pub(super) inwards: V3,
    /// How deep, mm.
    pub(super) depth: f64,
}

/// A smaller volume at one feature is not reported, mm³.
const LEAST: f64 = 1.0;

/// Chord error of the mesh over which the places are spread, mm; they are moved to the exact surfaces afterwards.
const CHORD: f64 = 0.2;

/// Greatest distance between neighbouring places in a row, and between rows, mm.
const APART: f64 = 1.75;

/// Thinner metal is ignored, mm: flush faces of part and casting coincide, and no machine makes a more accurate fillet.
const SKIN: f64 = 0.02;

/// Greatest depth searched, mm.
const DEEPEST: f64 = 40.0;

/// Least step in the search for the deepest place, mm, and its moves at most.
const FINEST: f64 = 0.02;
const MOST_MOVES: usize = 100;

/// Where the finished part is asked for metal that a casting lacks: places in even rows over its boundary, put on its exact surfaces.
pub(super) struct Asked<'a> {
    finished: &'a Housing,
    places: Vec<AskedPlace>,
}

/// One such place.
#[derive(Clone, Copy, Debug)]
struct AskedPlace {
    face: usize,
    /// The area that it represents, mm².
    area: f64,
    at: P3,
    /// Into the metal, of length 1.
    inwards: V3,
}

/// Where a casting lacks metal of the finished part.
#[derive(Debug, Default)]
pub(super) struct BarePlaces {
    /// The places of features at which it is told.
    pub(super) told: Vec<BarePlace>,
    /// All that were found.
    found: Vec<Bare>,
}

/// What a casting lacks, by feature, largest first, and where.
pub(super) type Lacking = (Vec<MissingMetal>, BarePlaces);

impl<'a> Asked<'a> {
    /// The places of a finished part: the same for each casting of it.
    ///
    /// # Errors
    /// Where it has no mesh.
    pub(super) fn of(finished: &'a Housing) -> Result<Self, MeshError> {
        let brep = finished.solid.brep();
        let mesh = triangulate(&finished.solid, CHORD)?;
        let of_triangle = |t: usize| -> Vec<AskedPlace> {
            let face = mesh.face_of[t] as usize;
            let one = |(p, area): (P3, f64)| {
                let (at, inwards) = on_surface(brep, face, p);
                AskedPlace { face, area, at, inwards }
            };
            places(mesh.corners(t)).into_iter().map(one).collect()
        };
        let places = (0..mesh.triangles.len()).into_par_iter().flat_map_iter(of_triangle).collect();
        Ok(Self { finished, places })
    }

    /// The finished part.
    pub(super) fn finished(&self) -> &'a Housing {
        self.finished
    }

    /// What a casting lacks.
    pub(super) fn lacking(&self, casting: &Housing) -> Lacking {
        self.lacking_at(self.places.par_iter().copied(), casting)
    }

    /// The same where a casting is one before with metal laid on: only what was bare then can be bare now.
    pub(super) fn still_lacking(&self, before: &BarePlaces, casting: &Housing) -> Lacking {
        self.lacking_at(before.found.par_iter().map(|b| b.place), casting)
    }

    fn lacking_at(&self, of: impl ParallelIterator<Item = AskedPlace>, casting: &Housing) -> Lacking {
        let (joints, casting) = (&casting.joints, casting.solid.tree());
        let (finished, brep) = (self.finished, self.finished.solid.brep());
        let bare = |place: AskedPlace| {
            let depth = depth(finished, casting, place.at, place.inwards);
            (depth > 0.0).then_some(Bare { place, depth })
        };
        let all: Vec<Bare> = of.filter_map(bare).collect();
        let mut found: BTreeMap<Feature, Found> = BTreeMap::new();
        let mut places = Vec::new();
        for b in &all {
            let tag = &brep.faces[b.place.face].tag;
            let feature = Feature::of(tag);
            places.push(BarePlace { feature, at: b.place.at, inwards: b.place.inwards, depth: b.depth });
            found.entry(feature).or_default().take(tag.to_string(), b);
        }
        for f in found.values_mut() {
            f.deepen(finished, casting);
        }
        let told = found.into_iter().map(|(feature, f)| f.told(feature, joints));
        let mut metal: Vec<MissingMetal> = told.filter(|l| l.volume > LEAST).collect();
        metal.sort_by(|a, b| b.volume.total_cmp(&a.volume).then_with(|| a.feature.cmp(&b.feature)));
        places.retain(|b| metal.iter().any(|l| l.feature == b.feature));
        // The deepest place of each feature was looked for between these.
        places.extend(metal.iter().filter_map(|l| BarePlace::deepest(finished, casting, l)));
        (metal, BarePlaces { told: places, found: all })
    }
}

impl BarePlace {
    /// The deepest place of a feature.
    fn deepest(finished: &Housing, casting: &SolidTree, lacking: &MissingMetal) -> Option<Self> {
        let brep = finished.solid.brep();
        let own = (0..brep.faces.len()).filter(|f| lacking.faces.contains(&brep.faces[*f].tag.to_string()));
        let on = own.map(|face| on_surface(brep, face, lacking.at));
        let (at, inwards) =
            on.min_by(|a, b| (a.0 - lacking.at).norm().total_cmp(&(b.0 - lacking.at).norm()))?;
        let depth = depth(finished, casting, at, inwards);
        (depth > 0.0).then_some(Self { feature: lacking.feature, at, inwards, depth })
    }
}

/// One of them below which metal lies outside the casting.
#[derive(Clone, Copy, Debug)]
struct Bare {
    place: AskedPlace,
    depth: f64,
}

/// Places spread over a triangle, each with the area that it represents: in rows along the longest side, so that a
/// sliver gets no more of them than its area requires.
fn places([a, b, c]: [P3; 3]) -> Vec<(P3, f64)> {
    let [ab, bc, ca] = [(b - a).norm(), (c - b).norm(), (a - c).norm()];
    let longest = ab.max(bc).max(ca);
    let [a, b, c] = if ab >= longest {
        [a, b, c]
    } else if bc >= longest {
        [b, c, a]
    } else {
        [c, a, b]
    };
    let area = 0.5 * (b - a).cross(&(c - a)).norm();
    if area <= 0.0 {
        return vec![];
    }
    let count = |length: f64| (length / APART).ceil().max(1.0);
    let rows = count(2.0 * area / longest);
    let mut out = Vec::new();
    for k in 0..rows as usize {
        // The row's share of the height, from the longest side on, and what narrows towards the corner beyond.
        let left = |share: f64| 1.0 - (k as f64 + share) / rows;
        let middle = left(0.5);
        let (from, along) = (c + (a - c) * middle, (b - a) * middle);
        let in_row = count(longest * middle);
        let each = area * (left(0.0).powi(2) - left(1.0).powi(2)) / in_row;
        out.extend((0..in_row as usize).map(|i| (from + along * ((i as f64 + 0.5) / in_row), each)));
    }
    out
}

/// The nearest point of a face's surface, and the direction into the metal there.
fn on_surface(brep: &Brep, face: usize, p: P3) -> (P3, V3) {
    let face = &brep.faces[face];
    let on = face.surface.closest(p);
    (on, -face.outward(on))
}

/// Depth of the finished part's metal outside the casting below a place on its boundary.
fn depth(finished: &Housing, casting: &SolidTree, p: P3, inwards: V3) -> f64 {
    let bare = |d: f64| !casting.contains(p + inwards * d) && finished.solid.tree().contains(p + inwards * d);
    if !bare(SKIN) {
        return 0.0;
    }
    let (mut inside, mut beyond) = (SKIN, 2.0 * SKIN);
    while bare(beyond) && beyond < DEEPEST {
        (inside, beyond) = (beyond, 1.5 * beyond);
    }
    for _ in 0..6 {
        let middle = 0.5 * (inside + beyond);
        if bare(middle) {
            inside = middle;
        } else {
            beyond = middle;
        }
    }
    inside
}

/// The result at one feature.
struct Found {
    faces: BTreeMap<String, f64>,
    depth: f64,
    at: P3,
    /// The face of that place.
    face: usize,
}

impl Default for Found {
    fn default() -> Self {
        Self { faces: BTreeMap::new(), depth: 0.0, at: P3::origin(), face: 0 }
    }
}

impl Found {
    fn take(&mut self, face: String, bare: &Bare) {
        let place = &bare.place;
        *self.faces.entry(face).or_insert(0.0) += place.area * bare.depth;
        if bare.depth > self.depth {
            (self.depth, self.at, self.face) = (bare.depth, place.at, place.face);
        }
    }

    /// Moves the deepest place along its face to where the metal outside the casting is deepest: first by half the distance
    /// of neighbouring places, then by smaller and smaller steps.
    fn deepen(&mut self, finished: &Housing, casting: &SolidTree) {
        let brep = finished.solid.brep();
        let mut step = 0.5 * APART;
        let mut moves = 0;
        while step > FINEST && moves < MOST_MOVES {
            let (at, n) = on_surface(brep, self.face, self.at);
            let Frame { x, y, .. } = Frame::from_z(at, n);
            let (x, y) = (y, -x);
            let around = [x, -x, y, -y, x + y, -x - y, x - y, y - x];
            let deeper = around.into_iter().find_map(|d| {
                let (p, inwards) = on_surface(brep, self.face, at + d * step);
                // Beyond the face's end its surface runs through the metal or through air.
                let outside = !finished.solid.tree().contains(p - inwards * SKIN);
                let depth = depth(finished, casting, p, inwards);
                (outside && depth > self.depth).then_some((depth, p))
            });
            match deeper {
                Some(deeper) => (self.depth, self.at) = deeper,
                None => step *= 0.5,
            }
            moves += 1;
        }
    }

    fn told(self, feature: Feature, joints: &[Joint]) -> MissingMetal {
        let volume = self.faces.values().sum();
        let mut faces: Vec<(String, f64)> = self.faces.into_iter().collect();
        faces.sort_by(|a, b| b.1.total_cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
        let faces = faces.into_iter().map(|f| f.0).collect();
        MissingMetal {
            feature,
            faces,
            volume,
            depth: self.depth,
            at: self.at,
            radius: worst(feature, joints),
        }
    }
}

/// The least radius made at a feature where it differs from the requested one, and the requested one.
fn worst(feature: Feature, joints: &[Joint]) -> Option<[f64; 2]> {
    let own =
        |j: &&Joint| j.state() != JointState::Whole && j.faces.iter().any(|t| Feature::of(t) == feature);
    joints.iter().filter(own).map(|j| [j.made, j.asked]).min_by(|a, b| a[0].total_cmp(&b[0]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The places of a triangle represent all of it, lie in it, and are as many as its area requires.
    fn check(corners: [P3; 3], most: usize) {
        let [a, b, c] = corners;
        let cross = (b - a).cross(&(c - a));
        let area = 0.5 * cross.norm();
        let found = places(corners);
        let sum: f64 = found.iter().map(|p| p.1).sum();
        assert!((sum - area).abs() < 1e-9 * area, "they represent {sum} of {area} mm²");
        assert!(found.len() <= most, "{} places for {area} mm²", found.len());
        for (p, _) in &found {
            let side = |p: &P3, q: P3, r: P3| (r - q).cross(&(p - q)).dot(&cross);
            let least = side(p, a, b).min(side(p, b, c)).min(side(p, c, a));
            assert!(least > 0.0, "{p} lies outside");
        }
        // The places' own mean is the triangle's: its middle.
        let mean: V3 = found.iter().map(|(p, share)| p.coords * (*share / area)).sum();
        assert!((mean - (a.coords + b.coords + c.coords) / 3.0).norm() < APART, "they lie to one side");
    }

    #[test]
    fn slivers_get_no_more_places_than_their_area_requires() {
        let p = P3::new;
        check([p(0.0, 0.0, 1.0), p(200.0, 0.0, 1.0), p(90.0, 4.0, 1.0)], 300);
        check([p(90.0, 4.0, 0.0), p(0.0, 0.0, 0.0), p(200.0, 0.0, 3.0)], 300);
        check([p(0.0, 0.0, 0.0), p(0.0, 20.0, 0.0), p(0.0, 0.0, 30.0)], 140);
        check([p(0.0, 0.0, 0.0), p(0.1, 0.0, 0.0), p(0.0, 0.1, 0.0)], 1);
        assert!(places([P3::origin(); 3]).is_empty(), "what has no area needs no place");
    }

    #[test]
    fn a_message_names_its_feature_once() {
        let missing = MissingMetal {
            feature: Feature::MountPad,
            faces: vec![],
            volume: 12.0,
            depth: 1.5,
            at: P3::origin(),
            radius: Some([2.0, 4.0]),
        };
        assert_eq!(
            missing.named(Units::Mm),
            format!("mount_pad: {}", missing.message(Units::Mm)),
            "the feature stands in front"
        );
        let [mm, inch] =
            [Units::Mm, Units::Inch].map(|units| [missing.message(units), missing.laid_on(units)]);
        assert!(mm[0].starts_with("about 12 mm³") && mm[0].contains("fillets of 2.00 mm there"), "{mm:?}");
        // 12 mm³ are 0.00073 of the 16,387.064 mm³ in a cubic inch; 1.5 mm are 0.0591 in.
        assert!(
            inch[0].starts_with("about 0.0007 in³") && inch[0].contains("up to 0.0591 in deep"),
            "{inch:?}"
        );
        assert!(inch.iter().all(|text| !text.contains("mm")), "{inch:?}");
    }
}
