//! Loose pieces of the pattern: what holds a half in the sand is cut off it, stays in the sand when the half is drawn, and is then
//! drawn sideways into the hollow that the half has left, and out.
//!
//! Each piece is proved on its own exact faces: none faces against its pull or lies in the shadow of another by more than is
//! dressed by hand, and all of it passes through the hollow, with the pieces that are drawn later still in place. Where no
//! piece does, the reason is told, and the half stays as it is there.

mod column;
mod fairing;
mod no_piece;
mod parted;
mod places;
mod region;
mod side_core;
mod site;
mod together;
mod way;

use std::sync::Arc;

use super::pattern::tell_lumps;
use super::undercuts::{Boundary, CHORD, Spot, Traced, Undercut, held_faces};
use super::{Casting, FormError, FormPieces, Piece, Settings, pattern, unmeshed};
use crate::faces::{Feature, Role};
use crate::units::Units;
use crate::words::in_a_row;
use solidwright::geometry::{P3, V3};
use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::{Solid, Tag};

pub use fairing::FairedLips;
pub(super) use fairing::ShallowLips;
pub use no_piece::NoPiece;
use parted::{Parted, PartedStore};
pub(super) use places::held_places;
pub use places::{FILLED_BELOW, HeldPlace};
pub use region::Dovetail;
use region::Region;
use side_core::PlacedCore;
pub use side_core::SideCore;
use site::{Site, grouped, sites};
use way::{Beneath, Way, Ways, travel, under, ways};

/// Area at one place that a pattern maker dresses by hand instead of making a loose piece for it, mm²: a square of 5 mm
/// (practice, no source).
pub const DRESSED: f64 = 25.0;

/// Greatest number of places of one half for which a piece is looked for.
const MOST_SITES: usize = 12;

/// How many ways are tried on the mesh and on exact solids for one place.
const MOST_TRIED: usize = 24;
const MOST_MADE: usize = 3;

/// By how much the room of a piece is widened where its walls only just touch a face of the half, mm.
const WIDER: [f64; 4] = [0.0, 0.37, 0.83, 1.41];

/// Sides of the small parts on which ways are tried, mm.
const GRAIN: f64 = 4.0;

/// How far about a place the half is looked at, mm.
const ABOUT: f64 = 30.0;

/// Share of the form's size by which pictures show a piece off its half.
const OFF: f64 = 0.1;

/// A loose piece, as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct LoosePiece {
    /// The name of its piece.
    pub name: String,
    /// Whether it belongs to the upper half.
    pub upper: bool,
    /// The features that hold the half there.
    pub features: Vec<Feature>,
    /// The area by which they do, mm².
    pub held: f64,
    /// The direction in which it is drawn off its sand.
    pub draw: V3,
    /// How far it is drawn that way until it can be lifted out, mm, unscaled.
    pub travel: f64,
    /// How it hangs in its half; `None` where there is no room for a dovetail.
    pub dovetail: Option<Dovetail>,
    /// What is left on it to be dressed by hand.
    pub dressed: Vec<Undercut>,
}

/// A place that holds a half, and gets no loose piece.
#[derive(Clone, Debug, PartialEq)]
pub struct StillHeld {
    /// Whether it belongs to the upper half.
    pub upper: bool,
    /// The features that hold it.
    pub features: Vec<Feature>,
    /// The area by which they do, mm².
    pub area: f64,
    /// A point of it, mm.
    pub at: V3,
    /// Why there is no piece.
    pub why: NoPiece,
}

impl StillHeld {
    /// What is told of it, in a unit.
    pub fn text(&self, units: Units) -> String {
        format!(
            "NO LOOSE PIECE for {}, {} near {}, {} half: {}; no side core either, for want of room or because its solid does not close: form it \
             with a core by hand, or change the shape",
            names(&self.features),
            units.area(self.area),
            units.place([self.at.x, self.at.y, self.at.z]),
            half_name(self.upper),
            self.why.text(units)
        )
    }
}

/// Which half.
pub fn half_name(upper: bool) -> &'static str {
    if upper { "upper" } else { "lower" }
}

/// Features in a row.
pub fn names(features: &[Feature]) -> String {
    in_a_row(&features.iter().map(|feature| feature.name()).collect::<Vec<_>>())
}

/// The pattern with its loose pieces: both halves, and behind them the pieces in the order in which they are drawn. `held` is what
/// holds the halves in one piece.
///
/// # Errors
/// See [`FormError`].
pub fn pattern_in_pieces(casting: &Casting, held: &[Undercut]) -> Result<FormPieces, FormError> {
    let mut out = in_pieces(casting, held)?;
    tell_lumps(&mut out, casting.settings.units);
    Ok(out)
}

fn in_pieces(casting: &Casting, held: &[Undercut]) -> Result<FormPieces, FormError> {
    let mut out = pattern(casting)?;
    let settings = &casting.settings;
    let traced = casting.traced()?;
    if !settings.loose_pieces || held.iter().map(|u| u.area).sum::<f64>() <= DRESSED {
        out.held_at = traced.held_points(held);
        out.undrawn = held.to_vec();
        return Ok(out);
    }
    let outside = super::pattern_outside(casting)?;
    let (mut loose, mut left, mut cores) = (Vec::new(), Vec::new(), Vec::new());
    for (k, upper) in [(0, true), (1, false)] {
        let start = LooseHalf::of(out.pieces[k].clone(), upper, settings, &traced.halves[k]);
        let (mut half, drawn) = start.freed(&outside, &out.dowels)?;
        left.push(drawn);
        cores.extend(half.core_pieces());
        out.pieces[k] = half.main;
        out.still_held.extend(half.still_held);
        // Each was proved with those before it still in place.
        loose.extend(half.pieces.into_iter().rev());
    }
    let named = |name: &str, piece: Piece| Piece {
        apart: piece.apart,
        ..Piece::from_solid(name, piece.solid, piece.scale)
    };
    for (k, (piece, told)) in loose.into_iter().enumerate() {
        let name = format!("pattern, loose piece {}", k + 1);
        out.pieces.push(named(&name, piece));
        out.loose.push(LoosePiece { name, ..told });
    }
    for (k, (piece, told)) in cores.into_iter().enumerate() {
        let name = format!("pattern, side core {}", k + 1);
        out.pieces.push(named(&name, piece));
        out.side_cores.push(SideCore { name, ..told });
    }
    let core = |u: &Undercut| out.still_held.iter().any(|held| held.features.contains(&u.holder()));
    let left: Vec<&Traced> =
        left.iter().zip(&traced.halves).map(|(left, whole)| left.as_ref().unwrap_or(whole)).collect();
    (out.undrawn, out.to_dress) = held_faces(left.iter().copied()).into_iter().partition(core);
    out.held_at = left.iter().flat_map(|half| half.held_points(&out.undrawn)).collect();
    Ok(out)
}

/// Whether a face lies between the halves, and not between one and a loose piece.
fn parting(tag: &Tag) -> bool {
    Feature::of(tag) == Feature::Parting && !matches!(Role::of(tag), Role::LooseSide | Role::LooseSeat)
}

fn meshed(solid: &Solid) -> Result<Mesh, FormError> {
    triangulate(solid, CHORD).map_err(unmeshed("pattern"))
}

/// Places at which a half is held by more than is dressed by hand, the largest first.
fn holding(half: &Traced) -> Vec<Site> {
    sites(half.held_parts(GRAIN)).into_iter().filter(|site| site.area > DRESSED).collect()
}

/// A half of the pattern while pieces are parted off it.
struct LooseHalf<'a> {
    settings: &'a Settings,
    upper: bool,
    /// What is left of it.
    main: Piece,
    /// As it was: its boundary is the hollow that it and its pieces leave in the sand.
    traced: &'a Traced,
    /// A height over everything.
    top: f64,
    /// How far pictures move a piece off it, mm.
    off: f64,
    pieces: Vec<(Piece, LoosePiece)>,
    /// The whole boundary of each piece.
    standing: Vec<Boundary>,
    still_held: Vec<StillHeld>,
    /// Its side cores.
    cores: Vec<PlacedCore>,
    /// What has been parted off already: orders in which pieces are made are tried one after the other, and begin alike.
    parted: PartedStore,
}

impl<'a> LooseHalf<'a> {
    fn of(main: Piece, upper: bool, settings: &'a Settings, traced: &'a Traced) -> Self {
        let Traced { boundary, half, .. } = traced;
        let heights = boundary.facets.iter().flat_map(|f| f.corners).map(|c| c.p.coords.dot(&half.pull));
        let top = heights.fold(0.0, f64::max) + 10.0;
        let off = OFF * main.solid.brep().bounds().diagonal();
        Self {
            settings,
            upper,
            main,
            traced,
            top,
            off,
            pieces: vec![],
            standing: vec![],
            still_held: vec![],
            cores: vec![],
            parted: PartedStore::default(),
        }
    }

    /// Parts off a piece wherever the half is held.
    fn part_off(&mut self, dowels: &[P3]) -> Result<(), FormError> {
        let found = sites(self.traced.held_parts(GRAIN));
        for group in grouped(found, &self.traced.boundary).into_iter().take(MOST_SITES) {
            self.part_off_group(&group, dowels)?;
        }
        Ok(())
    }

    /// Looks at what is left of the half, faces towards its pieces with it: whatever holds it still, and is not told yet, is told. `None` where
    /// nothing was parted off.
    fn look_again(&mut self) -> Result<Option<Traced>, FormError> {
        if self.pieces.is_empty() {
            return Ok(None);
        }
        let left = self.drawn(&self.main.solid)?;
        self.tell_held(&holding(&left), &left.boundary);
        Ok(Some(left))
    }

    /// A solid as this half is drawn, faces towards its pieces with it.
    fn drawn(&self, solid: &Solid) -> Result<Traced, FormError> {
        let walls = Arc::new(Boundary::without([(solid.brep(), &meshed(solid)?)], parting));
        Ok(Traced::half(&walls, self.traced.half.pull))
    }

    /// Tells those places that hold the half and are not told yet.
    fn tell_held(&mut self, places: &[Site], walls: &Boundary) {
        for site in places {
            if !self.still_held.iter().any(|told| self.is_told_by(site, told)) {
                self.still_held.push(StillHeld {
                    upper: self.upper,
                    features: site.features(walls),
                    area: site.area,
                    at: self.traced.half.vector(site.at()),
                    why: NoPiece::Remains,
                });
            }
        }
    }

    /// Whether a place is the one that is told.
    fn is_told_by(&self, site: &Site, told: &StillHeld) -> bool {
        site.distance(P3::from(self.traced.half.own(told.at))) < 2.0 * GRAIN
    }

    /// Looks for a piece for a place, and parts it off; else tells why there is none.
    fn piece_for(&mut self, site: &Site, dowels: &[P3]) -> Result<Option<NoPiece>, FormError> {
        let Ways { walls, all } = self.ways(site);
        let mut why = all.first().and_then(|way| {
            let face = self.traced.boundary.tag(way.by?).clone();
            Some(NoPiece::Sand { area: way.held, face })
        });
        let beneath = Beneath::of(walls);
        let mut made = 0;
        for way in all.iter().filter(|way| way.held <= DRESSED).take(MOST_TRIED) {
            if dowels.iter().any(|p| self.near_dowel(&way.region, *p)) {
                why = Some(NoPiece::Dowel);
                continue;
            }
            let metal = self.main.solid.tree();
            let inner =
                beneath.within(&way.region, &self.traced.half, &self.traced.boundary, |p| metal.contains(p));
            if let Err(stuck) = travel(
                &inner,
                self.traced.half.vector(way.draw),
                self.traced.half.pull,
                &self.traced.boundary,
                &self.standing,
            ) {
                let farther = match why {
                    Some(NoPiece::Room { room }) => room.max(stuck.room),
                    _ => stuck.room,
                };
                why = Some(NoPiece::Room { room: farther });
                continue;
            }
            if made == MOST_MADE {
                break;
            }
            made += 1;
            // Where its walls only just touch a face of the half, they are moved a little.
            for wider in WIDER {
                match self.made(&way.wider(wider), site)? {
                    Ok(()) => return Ok(None),
                    Err(against) => {
                        let touches = matches!(against, NoPiece::Solid(_));
                        why = Some(against);
                        if !touches {
                            break;
                        }
                    }
                }
            }
        }
        Ok(Some(why.unwrap_or(NoPiece::Room { room: 0.0 })))
    }

    /// The ways for a piece for a place. What was parted off before changes none of them: the sand's wall is that of the whole half.
    fn ways<'s>(&self, site: &'s Site) -> &'s Ways {
        site.ways.get_or_init(|| {
            let walls = self.walls_about(site);
            let all = ways(site, &walls, &self.axes(&site.features(&self.traced.boundary)));
            Ways { walls, all }
        })
    }

    /// The wall of the sand about a place, in small parts.
    fn walls_about(&self, site: &Site) -> Vec<Spot> {
        let (lo, hi) = site.extent();
        let (lo, hi) = (lo.map(|x| x - ABOUT), hi.map(|x| x + ABOUT));
        let near = |p: &P3| (0..2).all(|i| p[i] >= lo[i] && p[i] <= hi[i]);
        let beside =
            |i: usize, ps: &[P3; 3]| ps.iter().all(|p| p[i] < lo[i]) || ps.iter().all(|p| p[i] > hi[i]);
        let all = self.traced.half.parts().filter(|part| {
            let ps = part.corners.map(|c| c.p);
            !beside(0, &ps) && !beside(1, &ps)
        });
        let spots = all.flat_map(|part| part.spots(GRAIN)).filter(|spot| near(&spot.p));
        spots.filter_map(|spot| Some(Spot { n: spot.n.try_normalize(1e-9)?, ..spot })).collect()
    }

    /// Axes of the bodies of some features, in the half's own coordinates: what is drafted along its own axis is drawn along it.
    fn axes(&self, features: &[Feature]) -> Vec<V3> {
        let steps = self.main.solid.tree().steps().iter();
        let bodies = steps.flat_map(|step| step.primitive.parts());
        let own = bodies.filter(|p| p.shape().is_some() && features.contains(&Feature::of_body(p)));
        let mut out: Vec<V3> = Vec::new();
        for axis in own.map(|p| self.traced.half.own(p.frame().z)) {
            if out.iter().all(|known| known.cross(&axis).norm() > 1e-3) {
                out.push(axis);
            }
        }
        out
    }

    fn near_dowel(&self, region: &Region, dowel: P3) -> bool {
        let room = 0.5 * self.settings.dowel + 3.0;
        let (u, v) = region.local(P3::from(self.traced.half.own(dowel.coords)));
        let within = |x: f64, (lo, hi): (f64, f64)| x > lo - room && x < hi + room;
        region.seat.is_none_or(|seat| seat < self.settings.dowel_depth() + 3.0)
            && within(u, (region.along.0, region.along.1 + 12.0))
            && within(v, region.aside)
    }

    /// Makes a piece and proves it; else tells what stands against it.
    fn made(&mut self, way: &Way, site: &Site) -> Result<Result<(), NoPiece>, FormError> {
        let mut region = way.region;
        let tree = self.main.solid.tree();
        region.hang(|p| tree.contains(P3::from(self.traced.half.place(p))));
        let clearance = self.settings.loose_clearance / self.settings.scale.radial();
        let vector = |v: V3| self.traced.half.vector(v);
        let bodies = |region: &Region| {
            Some((region.body(vector, self.top, 0.0).ok()?, region.body(vector, self.top, clearance).ok()?))
        };
        let plain = Region { dovetail: None, ..region };
        let found = bodies(&region).map(|b| (region, b)).or_else(|| bodies(&plain).map(|b| (plain, b)));
        let Some((region, (kept, cut))) = found else {
            return Ok(Err(NoPiece::Solid("its room has no shape".to_owned())));
        };
        let parted = self.parted.of(region, || {
            let (mut piece, mut rest) = (tree.clone(), tree.clone());
            piece.keep(kept);
            rest.cut(cut);
            match rayon::join(|| Solid::of(piece), || Solid::of(rest)) {
                (Ok(piece), Ok(rest)) => Ok((piece, rest)),
                (Err(error), _) | (_, Err(error)) => Err(error.to_string()),
            }
        });
        let Parted { stage, solids } = parted;
        let (piece, rest) = match solids {
            Ok(solids) => solids,
            Err(error) => return Ok(Err(NoPiece::Solid(error))),
        };
        let further = piece.smaller_bodies().len();
        if further > 0 {
            return Ok(Err(NoPiece::Bodies(further + 1)));
        }
        if rest.smaller_bodies().len() > self.main.solid.smaller_bodies().len() {
            return Ok(Err(NoPiece::Apart));
        }
        let draw = self.traced.half.vector(way.draw);
        let mesh = meshed(&piece)?;
        let walls = Arc::new(Boundary::of([(piece.brep(), &mesh)]));
        let dressed = held_faces(&[Traced::whole(&walls, -draw)]);
        let area: f64 = dressed.iter().map(|u| u.area).sum();
        if let Some(worst) = dressed.first().filter(|_| area > DRESSED) {
            return Ok(Err(NoPiece::Sand { area, face: worst.tag.clone() }));
        }
        let all = Boundary::without([(piece.brep(), &mesh)], |_| false);
        let spots = all.facets.iter().flat_map(|facet| facet.spots(GRAIN));
        let spots: Vec<_> = spots.filter_map(|c| Some((c.p, c.n.try_normalize(1e-9)?))).collect();
        let inner = under(&spots, &self.traced.boundary, |p| piece.tree().contains(p));
        let travel = match travel(&inner, draw, self.traced.half.pull, &self.traced.boundary, &self.standing)
        {
            Ok(travel) => travel,
            Err(stuck) => return Ok(Err(NoPiece::Room { room: stuck.room })),
        };
        let flat = V3::new(way.region.inwards.x, way.region.inwards.y, 0.0);
        let apart = self.main.apart - self.traced.half.vector(flat) * self.off;
        let told = LoosePiece {
            name: String::new(),
            upper: self.upper,
            features: site.features(&self.traced.boundary),
            held: site.area,
            draw,
            travel,
            dovetail: region.dovetail.map(|(dovetail, _)| dovetail),
            dressed,
        };
        self.pieces.push((Piece { apart, ..Piece::from_solid("loose", piece, self.main.scale) }, told));
        self.standing.push(all);
        self.main.solid = rest;
        self.parted.stage = stage;
        Ok(Ok(()))
    }
}
