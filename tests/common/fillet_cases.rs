//! Bodies with root fillets: what a test asserts of them, and what an example writes for Open CASCADE to fillet too.

use std::f64::consts::PI;

use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::fillet::{FilletPlan, FilletRequest, FilletResult, filleted, uncut};
use solidwright::solid::{Primitive, Solid, SolidTree, Tag, cylinder, rounded_rectangle, turned};

/// Bodies added to one another, and the ball that rolls along all their joints.
pub struct FilletCase {
    pub name: String,
    /// As drawn, with sharp edges.
    pub plain: Vec<Primitive>,
    /// The same with their edges rounded a little, as castings are: a ball can't get round a sharp edge.
    pub bodies: Vec<Primitive>,
    /// What trims them, where they end flush: no ball rolls along a joint that ends at a common face.
    pub trim: Option<Primitive>,
    pub radius: f64,
    /// Volume that the fillets add, in closed form.
    pub added: Option<f64>,
    /// The only kinds of surface that the fillets may have; empty where none is exact.
    pub surfaces: Vec<&'static str>,
}

/// A case evaluated and validated with and without its fillets.
pub struct Filleted {
    /// The bodies as drawn.
    pub plain: Solid,
    /// The bodies with their edges rounded, to which the fillets add.
    pub sharp: Solid,
    pub solid: Solid,
    pub fillets: FilletResult,
    pub plan: FilletPlan,
}

impl FilletCase {
    fn new(name: &str, bodies: Vec<Primitive>, radius: f64) -> Self {
        let rounded = bodies.iter().map(|b| uncut(b, ROUND_EDGE, radius)).collect();
        Self {
            name: name.to_owned(),
            plain: bodies,
            bodies: rounded,
            trim: None,
            radius,
            added: None,
            surfaces: vec![],
        }
    }

    fn adds(mut self, volume: f64) -> Self {
        self.added = Some(volume);
        self
    }

    fn has(mut self, surfaces: &[&'static str]) -> Self {
        self.surfaces = surfaces.to_vec();
        self
    }

    /// The same with longer bodies, trimmed where they are to end.
    fn trimmed(mut self, longer: &[Primitive], trim: Primitive) -> Self {
        self.bodies = longer.iter().map(|b| uncut(b, ROUND_EDGE, self.radius)).collect();
        self.trim = Some(trim);
        self
    }

    /// The bodies as drawn alone.
    pub fn plain_tree(&self) -> SolidTree {
        union(&self.plain)
    }

    fn cut_off(&self, mut tree: SolidTree) -> SolidTree {
        if let Some(trim) = &self.trim {
            tree.trim(trim.clone());
        }
        tree
    }

    /// Every joint between two different bodies filleted.
    ///
    /// # Errors
    /// What is wrong with the solid, sharp or filleted.
    pub fn build(&self) -> Result<Filleted, String> {
        let plain = Solid::of(self.plain_tree()).map_err(|e| format!("as drawn: {e}"))?;
        let sharp = Solid::of(self.cut_off(union(&self.bodies))).map_err(|e| format!("sharp: {e}"))?;
        let name = |a: &Tag, b: &Tag| Tag::formed(&a.feature, &format!("fillet to {}", b.feature));
        let requests = self.bodies.iter().map(|b| FilletRequest::new(b.clone(), b.clone(), self.radius));
        let mut plan = FilletPlan::new(requests.collect());
        let fillets = filleted(&mut plan, &name).map_err(|_| "no fillets with creases")?;
        let mut tree = SolidTree::new();
        let left = plan.sharp().map(|s| s.0);
        fillets.body.iter().chain(left).for_each(|p| tree.add(p.clone()));
        let solid = Solid::of(self.cut_off(tree)).map_err(|e| format!("filleted: {e}"))?;
        Ok(Filleted { plain, sharp, solid, fillets, plan })
    }
}

/// Radius of edges that a ball must get round, mm.
const ROUND_EDGE: f64 = 0.3;

fn union(bodies: &[Primitive]) -> SolidTree {
    let mut tree = SolidTree::new();
    for b in bodies {
        tree.add(b.clone());
    }
    tree
}

fn names(feature: &str) -> [Tag; 3] {
    ["bottom", "side", "top"].map(|role| Tag::formed(feature, role))
}

fn up(x: f64, y: f64, z: f64) -> Frame {
    Frame::world().moved_to(P3::new(x, y, z))
}

fn boss(feature: &str, frame: Frame, radius: f64, height: f64) -> Primitive {
    cylinder(feature, frame, radius, height, &names(feature)).unwrap()
}

/// A rounded rectangle, extruded.
fn pad(feature: &str, frame: Frame, size: (f64, f64), corner: f64, height: f64) -> Primitive {
    let [bottom, side, top] = names(feature);
    let outline = rounded_rectangle(P2::origin(), V2::new(size.0, size.1), corner, &side);
    Primitive::prism(feature, frame, outline, height, 0.0, [bottom, top]).unwrap()
}

fn plate() -> Primitive {
    pad("plate", Frame::world(), (120.0, 90.0), 0.0, 10.0)
}

/// A rod along x.
fn tube() -> Primitive {
    boss("tube", Frame::from_z(P3::new(-80.0, 0.0, 0.0), V3::x()), 40.0, 160.0)
}

/// A cone along x, from 62 mm to 40 mm over 180 mm.
fn cone() -> Primitive {
    let points = [(0.0, 0.0), (62.0, 0.0), (40.0, 180.0), (0.0, 180.0)];
    turned("cone", Frame::from_z(P3::new(-90.0, 0.0, 0.0), V3::x()), &points, &names("cone")).unwrap()
}

/// A plate on edge along the cone, round at both ends, the edges of its crest rounded, 2 degrees of draft.
fn rib() -> Primitive {
    let frame = Frame::from_zx(P3::new(0.0, 0.0, 70.0), -V3::z(), V3::x());
    let [bottom, side, top] = names("rib");
    let outline = rounded_rectangle(P2::origin(), V2::new(110.0, 10.0), 5.0, &side);
    let draft = -2.0f64.to_radians();
    Primitive::rounded_prism("rib", frame, outline, 50.0, draft, [top, bottom], [1.5, 0.0]).unwrap()
}

/// Volume of the ring at the foot of a round boss of radius `big` on a plane.
///
/// Pappus: the section (1 − π/4)r² turns about the boss's axis with its centroid (10 − 3π)/(12 − 3π)·r off the wall.
fn ring(big: f64, r: f64) -> f64 {
    PI * r * r * ((2.0 - PI / 2.0) * big + (5.0 / 3.0 - PI / 2.0) * r)
}

/// The cases that Open CASCADE can be asked about.
pub fn simple() -> Vec<FilletCase> {
    let upright = || Frame::from_zx(P3::origin(), V3::z(), V3::x());
    let skew = Frame::from_zx(P3::new(10.0, 12.0, 0.0), V3::new(0.35, 0.1, 1.0).normalize(), V3::x());
    let straight = (1.0 - PI / 4.0) * 3.0 * 3.0 * 2.0 * (28.0 + 18.0);
    let case = FilletCase::new;
    vec![
        case("boss on plane", vec![plate(), boss("boss", up(3.0, 2.0, 5.0), 12.0, 30.0)], 4.0)
            .adds(ring(12.0, 4.0))
            .has(&["torus"]),
        case("pad on plane", vec![plate(), pad("pad", up(0.0, 0.0, 5.0), (40.0, 30.0), 6.0, 20.0)], 3.0)
            .adds(ring(6.0, 3.0) + straight)
            .has(&["torus", "cylinder"]),
        case("boss on cylinder", vec![tube(), boss("boss", upright(), 15.0, 70.0)], 5.0),
        case("pad on cylinder", vec![tube(), pad("pad", Frame::world(), (50.0, 40.0), 8.0, 60.0)], 5.0),
        case("pad on cone", vec![cone(), pad("pad", Frame::world(), (90.0, 60.0), 9.0, 85.0)], 4.0),
        case("rib on cone", vec![cone(), rib()], 4.0),
        case("boss on cone", vec![cone(), boss("boss", upright(), 18.0, 85.0)], 4.0),
        case("skew boss on cone", vec![cone(), boss("boss", skew, 18.0, 90.0)], 4.0),
        case("two bosses that meet", two_bosses(15.0, [30.0; 2]), 3.0)
            .trimmed(&two_bosses(15.0, [50.0, 42.0]), boss("saw", up(0.0, 0.0, 35.0), 60.0, 40.0))
            .has(&["torus", "cylinder", "sphere"]),
    ]
}

/// Two bosses on a plate, radius 12 and 10, their axes so far apart.
fn two_bosses(apart: f64, heights: [f64; 2]) -> Vec<Primitive> {
    let first = boss("first boss", up(-5.0, 1.0, 5.0), 12.0, heights[0]);
    vec![plate(), first, boss("second boss", up(-5.0 + apart, 1.0, 5.0), 10.0, heights[1])]
}

/// Steps of 0.5 mm from an axis that lies 31 mm beside the cone's to one that lies 36 mm beside it.
pub const BESIDE: [f64; 11] = [31.0, 31.5, 32.0, 32.5, 33.0, 33.5, 34.0, 34.5, 35.0, 35.5, 36.0];

/// A sender's boss, radius 20, skew across a cone, its axis so far beside the cone's: as in the housing it starts
/// beside the cone's axis, or it runs across and stands out on both sides.
pub fn beside_a_cone(offset: f64, both_sides: bool) -> FilletCase {
    let axis = V3::new(12.0f64.to_radians().sin(), 12.0f64.to_radians().cos(), 0.0);
    let foot = P3::new(10.0, 0.0, offset);
    let start = if both_sides { -76.0 } else { 0.0 };
    let frame = Frame::from_zx(foot + axis * start, axis, V3::z());
    let name = if both_sides { "across" } else { "beside" };
    let bodies = vec![cone(), boss("boss", frame, 20.0, 76.0 - start)];
    FilletCase::new(&format!("boss {name} a cone by {offset:.1}"), bodies, 4.0)
}

/// Thin rods that lean on a plate, by angles in degrees off its face: below about 39 degrees the ball's path, on the side to which
/// the rod leans, turns more tightly than the ball, and the fillet's two sides end in a crease.
pub fn leaning() -> Vec<FilletCase> {
    let case = |angle: f64| {
        let (up, along) = angle.to_radians().sin_cos();
        let axis = V3::new(along, 0.0, up);
        let frame = Frame::from_zx(P3::new(-10.0, 0.0, 5.0), axis, V3::y());
        let rod = boss("rod", frame, 3.0, 60.0);
        FilletCase::new(&format!("rod that leans at {angle}"), vec![plate(), rod], 5.0)
    };
    [25.0, 35.0, 45.0].into_iter().map(case).collect()
}

/// Flat bars that lean on a plate on their narrow edge, by angles in degrees off its face: the ball's path folds at both corners of the
/// edge, and the two creases run into one where three sheets meet.
pub fn leaning_bars() -> Vec<FilletCase> {
    let case = |angle: f64| {
        let (up, along) = angle.to_radians().sin_cos();
        let frame = Frame::from_zx(P3::new(-10.0, 0.0, 5.0), V3::new(along, 0.0, up), V3::y());
        let bar = pad("bar", frame, (2.4, 8.0), 1.0, 70.0);
        FilletCase::new(&format!("bar that leans at {angle}"), vec![plate(), bar], 5.0)
    };
    [25.0, 30.0, 35.0].into_iter().map(case).collect()
}

/// All of them.
pub fn hard() -> Vec<FilletCase> {
    let one = |both_sides: bool| BESIDE.iter().map(move |offset| beside_a_cone(*offset, both_sides));
    one(false).chain(one(true)).collect()
}

/// A disc on a post over a plate: the gap is narrower than the ball.
pub fn narrow_gap() -> FilletCase {
    let bodies = vec![
        plate(),
        boss("post", up(0.0, 0.0, 5.0), 15.0, 20.0),
        boss("disc", up(0.0, 0.0, 22.0), 30.0, 10.0),
    ];
    FilletCase::new("a disc over a plate", bodies, 9.0)
}

/// A tunnel between a floor, two walls and a roof, whose ends are lower than the ball is high, while its middle is higher; with the
/// hollow that closes so, or with a block that stands in it.
pub fn tunnel(blocked: bool) -> FilletCase {
    let box_of = |name: &str, x: (f64, f64), y: (f64, f64), z: (f64, f64)| {
        let middle = up(0.5 * (x.0 + x.1), 0.5 * (y.0 + y.1), z.0);
        pad(name, middle, (x.1 - x.0, y.1 - y.0), 0.0, z.1 - z.0)
    };
    let mut bodies = vec![
        plate(),
        box_of("left wall", (-40.0, 40.0), (20.0, 30.0), (5.0, 38.0)),
        box_of("right wall", (-40.0, 40.0), (-30.0, -20.0), (5.0, 38.0)),
        box_of("front roof", (-36.0, -14.0), (-22.0, 22.0), (18.0, 42.0)),
        box_of("rear roof", (14.0, 36.0), (-22.0, 22.0), (18.0, 42.0)),
        box_of("middle roof", (-16.0, 16.0), (-24.0, 24.0), (26.0, 45.0)),
    ];
    if blocked {
        bodies.push(box_of("block", (-15.0, 15.0), (-21.0, 21.0), (9.0, 27.0)));
    }
    FilletCase::new("a tunnel", bodies, 5.0)
}

/// A pad with rounded corners on a plate.
pub fn rounded_pad() -> FilletCase {
    let bodies = vec![plate(), pad("pad", up(0.0, 0.0, 5.0), (60.0, 40.0), 8.0, 25.0)];
    FilletCase::new("a pad on a plate", bodies, 6.0)
}

/// A cone that meets a plate at 135 degrees, 25 mm from its axis.
pub fn blunt_cone() -> FilletCase {
    let points = [(0.0, 0.0), (30.0, 0.0), (10.0, 20.0), (0.0, 20.0)];
    let cone = turned("cone", up(0.0, 0.0, 5.0), &points, &names("cone")).unwrap();
    FilletCase::new("a cone on a plate", vec![plate(), cone], 9.0)
}

/// A cube that stands about a point of its floor.
pub fn block_about(floor: P3, size: f64) -> Primitive {
    pad("block", up(floor.x, floor.y, floor.z), (size, size), 0.0, size)
}

/// A round hole along z, from a height on.
pub fn upright_hole(feature: &str, (x, y): (f64, f64), radius: f64, from: f64, length: f64) -> Primitive {
    boss(feature, up(x, y, from), radius, length)
}

/// A rail along a plate, and a higher block across it whose wall is flush with the rail's, but for a gap; with their balls, that of the
/// block smaller than the other.
pub fn flush_walls(gap: f64) -> Vec<FilletRequest> {
    let rail = pad("rail", up(0.0, 0.0, 5.0), (90.0, 20.0), 4.0, 15.0);
    let block = pad("block", up(0.0, 5.0 + gap, 5.0), (40.0, 30.0), 4.0, 40.0);
    let asked = |body: &Primitive, ball: f64| {
        let rounded = uncut(body, ROUND_EDGE, ball);
        FilletRequest::new(rounded.clone(), rounded, ball)
    };
    vec![asked(&plate(), 6.0), asked(&rail, 6.0), asked(&block, 3.0)]
}

/// A tube along x that ends in a flange, and a pad under it, wider than the tube, whose base lies at the height of the tube's axis; with
/// their balls, that of the flange smaller than the other.
pub fn pad_beside_a_tube() -> Vec<FilletRequest> {
    let along = |x: f64| Frame::from_z(P3::new(x, 0.0, 0.0), V3::x());
    let tube = boss("tube", along(0.0), 36.5, 150.0);
    let flange = boss("flange", along(-5.0), 60.0, 15.0);
    let pad = pad("pad", up(90.0, 0.0, -52.0), (60.0, 100.0), 8.0, 52.0);
    let asked = |body: &Primitive, ball: f64| {
        let rounded = uncut(body, ROUND_EDGE, ball);
        FilletRequest::new(rounded.clone(), rounded, ball)
    };
    vec![asked(&tube, 6.0), asked(&flange, 3.0), asked(&pad, 6.0)]
}
