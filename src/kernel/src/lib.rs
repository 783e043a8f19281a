//! Exact solids in pure Rust: turned profiles and prisms of lines and arcs are joined, cut and filleted by a rolling ball; the
//! result is a boundary representation whose surfaces are exact, with its checks, distances, meshes and files.
//!
//! All lengths are millimetres, all angles radians. No module knows what the solid is for.
//!
//! # What it guarantees
//!
//! - [`solid::Solid::of`] gives a solid whose boundary is closed and checked, or an error that names the faces and the place;
//!   meshes, measurements and files are made of such solids only. Planes,
//!   cylinders, cones, spheres and tori stay what they are; curves that have no closed form lie on both of their surfaces
//!   within 1e-10 mm at every point that is asked for, and within 1e-6 mm as splines in files.
//! - [`solid::validate::validate`] holds a boundary against independent checks: every edge used twice in opposite sense,
//!   closed loops, Euler–Poincaré, no face inside out, and the volume by three integrals.
//! - [`mesh::triangulate`] gives a closed, oriented mesh whose triangles keep the chord error to each face's surface.
//! - Equal input gives equal bytes on every run and for any number of threads.
//!
//! # What it does not guarantee
//!
//! - **Fillets.** The closing of a union by a ball always exists, but where the ball's path turns more tightly than the ball it
//!   has a crease, which no fillet here can hold. There [`solid::fillet::filleted`] rounds the edge a little more, then gives
//!   the whole body a smaller ball, and at last leaves it sharp. Each joint tells what it got, and why.
//! - **Faces that touch without crossing** and leave material or gap of no thickness are refused.
//! - Solids are built from the two primitives only; free-form surfaces can't be read or drawn.
//! - Least walls and distances are found from many starts and refined on the exact faces; they are not proved least.
//!
//! # Use it
//!
//! The crate is not published; name its folder under `[dependencies]` of `Cargo.toml`:
//!
//! ```toml
//! [dependencies]
//! solidwright = { path = "path/to/kernel" }
//! ```
//!
//! # A bored block as a STEP file
//!
//! Each face gets a [`solid::Tag`]: a feature, a role, and how the face comes to be. [`solid::Tag::formed`] is a face left
//! as it was cast, moulded or printed; [`solid::Tag::cut`] one that is cut to size afterwards. Fillets run up to flat cut
//! ends and stop there. [`solid::Primitive::prism`] takes a name, a frame, a closed outline in the frame's xy plane, the
//! height along z, the draft, and the tags of bottom and top. The draft is the angle, in radians, by which the sides lean
//! inwards on their way up; 0 makes them upright.
//!
//! ```
//! use solidwright::export::step::{StepInfo, step};
//! use solidwright::geometry::{Frame, P2, P3, V2, V3};
//! use solidwright::solid::{Primitive, Solid, SolidTree, Tag, cylinder, rounded_rectangle};
//!
//! let [side, bottom, top] = ["side", "bottom", "top"].map(|role| Tag::formed("block", role));
//! let outline = rounded_rectangle(P2::origin(), V2::new(60.0, 40.0), 5.0, &side);
//! let (height, draft) = (20.0, 0.0);
//! let block = Primitive::prism("block", Frame::world(), outline, height, draft, [bottom, top])?;
//! // The bore starts and ends outside the block.
//! let frame = Frame::from_z(P3::new(0.0, 0.0, -1.0), V3::z());
//! let wall = Tag::cut("bore", "wall");
//! let bore = cylinder("bore", frame, 8.0, 22.0, &[wall.clone(), wall.clone(), wall])?;
//!
//! let mut tree = SolidTree::new();
//! tree.add(block);
//! tree.cut(bore);
//! let solid = Solid::of(tree)?;
//! let corners = (4.0 - std::f64::consts::PI) * 5.0 * 5.0;
//! let expected = (60.0 * 40.0 - corners - std::f64::consts::PI * 64.0) * 20.0;
//! assert!((solid.mass().volume - expected).abs() < 1e-6);
//! // Every writer gives bytes; the caller puts them where they belong.
//! let bytes = step(&solid, &StepInfo { name: "block".to_owned(), ..StepInfo::default() })?;
//! let path = std::env::temp_dir().join("solidwright-block.step");
//! std::fs::write(&path, &bytes)?;
//! # std::fs::remove_file(&path)?;
//! assert!(bytes.starts_with(b"ISO-10303-21;"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # A boss on a cone, filleted
//!
//! ```
//! use solidwright::geometry::{Frame, P3, V3};
//! use solidwright::solid::fillet::{FilletPlan, FilletRequest, JointState, filleted, uncut};
//! use solidwright::solid::{Solid, SolidTree, Tag, cylinder, turned};
//!
//! let tags = |of: &str| ["bottom", "side", "top"].map(|role| Tag::formed(of, role));
//! let outline = [(0.0, -40.0), (30.0, -40.0), (22.0, 40.0), (0.0, 40.0)];
//! let cone = turned("cone", Frame::world(), &outline, &[tags("cone").as_slice(), &tags("cone")[..1]].concat())?;
//! let boss = cylinder("boss", Frame::from_z(P3::origin(), V3::x()), 9.0, 45.0, &tags("boss"))?;
//!
//! let radius = 4.0;
//! // No ball rolls over a sharp edge: edges get a small radius first.
//! let bodies = [cone, boss].map(|body| {
//!     let rounded = uncut(&body, 0.3, radius);
//!     FilletRequest::new(rounded.clone(), rounded, radius)
//! });
//! let name = |a: &Tag, b: &Tag| Tag::formed(&a.feature, &format!("fillet to {}", b.feature));
//! let made = filleted(&mut FilletPlan::new(bodies.to_vec()), &name).expect("fillets");
//! assert!(made.joints.iter().all(|joint| joint.state() == JointState::Whole));
//!
//! let mut tree = SolidTree::new();
//! tree.add(made.body.expect("a filleted body"));
//! Solid::of(tree)?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Walls and distances
//!
//! ```
//! use solidwright::geometry::{Frame, P3, V3};
//! use solidwright::probe::Probe;
//! use solidwright::solid::{Solid, SolidTree, Tag, cylinder};
//!
//! let tags = |of: &str| ["bottom", "side", "top"].map(|role| Tag::formed(of, role));
//! let mut tree = SolidTree::new();
//! tree.add(cylinder("tube", Frame::world(), 30.0, 80.0, &tags("tube"))?);
//! // A bore of radius 22, 3 mm off the middle, leaves a wall of 5 mm.
//! let off = Frame::from_z(P3::new(3.0, 0.0, -1.0), V3::z());
//! tree.cut(cylinder("bore", off, 22.0, 82.0, &tags("bore"))?);
//! let solid = Solid::of(tree)?;
//!
//! let probe = Probe::new(&solid, 0.1)?;
//! let wall = probe.thinnest_wall(10.0, |_| true).expect("a wall below 10 mm");
//! assert!((wall.thickness - 5.0).abs() < 1e-6);
//! let near = probe.nearest(P3::new(0.0, 0.0, 40.0), |_| true, 100.0).expect("a face");
//! assert!((near.distance - 19.0).abs() < 1e-9);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # A mesh within a chord
//!
//! ```
//! use solidwright::export::stl;
//! use solidwright::geometry::Frame;
//! use solidwright::mesh::triangulate;
//! use solidwright::solid::{Solid, SolidTree, Tag, cylinder};
//!
//! let tags = ["bottom", "side", "top"].map(|role| Tag::formed("rod", role));
//! let mut tree = SolidTree::new();
//! tree.add(cylinder("rod", Frame::world(), 10.0, 50.0, &tags)?);
//! let solid = Solid::of(tree)?;
//! let [rough, fine] = [triangulate(&solid, 0.1)?, triangulate(&solid, 0.01)?];
//! fine.check_closed()?;
//! assert!(rough.triangles.len() < fine.triangles.len());
//! // An inscribed prism: less than the rod by no more than its side's area times the chord error.
//! let exact = std::f64::consts::PI * 100.0 * 50.0;
//! assert!(fine.volume() < exact && exact - fine.volume() < 0.01 * 2.0 * std::f64::consts::PI * 10.0 * 50.0);
//! let file = stl(&fine, "rod")?;
//! assert_eq!(file.len(), 84 + 50 * fine.triangles.len());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! # Point membership
//!
//! ```
//! use solidwright::geometry::{Frame, P3};
//! use solidwright::solid::{SolidTree, Tag, cylinder};
//!
//! let tags = ["bottom", "side", "top"].map(|role| Tag::formed("ring", role));
//! let mut tree = SolidTree::new();
//! tree.add(cylinder("ring", Frame::world(), 10.0, 5.0, &tags)?);
//! tree.cut(cylinder("ring", Frame::world().moved_to(P3::new(0.0, 0.0, -1.0)), 6.0, 7.0, &tags)?);
//! // Membership needs no boundary: the tree itself is asked, exact to rounding.
//! assert!(tree.contains(P3::new(8.0, 0.0, 2.5)));
//! assert!(!tree.contains(P3::new(5.9, 0.0, 2.5)));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! The modules stand in the order in which each uses those above it.

pub mod tolerance;

pub mod geometry;

pub mod solid;

pub mod mesh;

pub mod probe;

pub mod silhouette;

pub mod export;

#[cfg(feature = "truck")]
pub mod truck;
