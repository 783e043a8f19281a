//! Ends of turned bodies that lie inside a neighbour: they need no draft, and no ball comes near them.
//!
//! The shell and the register start in the gearbox face, flush with its plate. Drafted together with it they would get its
//! roofs, whose edges no ball can roll over, though all of that lies within the plate.

use crate::faces::{Feature, Role};
use solidwright::solid::{Primitive, Profile, Segment, beside_end, put_end};
use solidwright::tolerance::SNAP;

/// How far inside its neighbour an end is put, as a share of the neighbour's length there, and at most, mm.
const SHARE: f64 = 0.5;
const MOST: f64 = 10.0;

/// Shortest way into a neighbour that counts, mm.
const LEAST: f64 = 2.0;

/// Stations along the way, and points around each, at which the neighbour is asked.
const ALONG: usize = 6;
const AROUND: usize = 64;

/// The bodies with those flat ends of turned ones that lie within a neighbour of the same name drawn back into it.
pub(super) fn drawn_back(bodies: &[Primitive]) -> Vec<Primitive> {
    (0..bodies.len()).map(|i| shorter(bodies, i).unwrap_or_else(|| bodies[i].clone())).collect()
}

fn shorter(bodies: &[Primitive], i: usize) -> Option<Primitive> {
    let p = &bodies[i];
    let (profile, None) = p.shape()? else { return None };
    let mut outline = profile.segments().to_vec();
    let mut changed = false;
    for k in 0..outline.len() {
        let others = || bodies.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, q)| q);
        let holds = others().find_map(|q| way_into(p, profile, k, q));
        if let Some(by) = holds {
            draw_back(&mut outline, k, by, Feature::of_body(p));
            changed = true;
        }
    }
    if changed { Primitive::revolve(p.feature(), *p.frame(), outline).ok() } else { None }
}

/// Whether an outline's piece is an end of the body, and in which direction of the axis the body lies from it.
fn end(profile: &Profile, k: usize) -> Option<f64> {
    let s = &profile.segments()[k];
    let (lo, hi) = profile.extent();
    let on_axis = s.from.x.min(s.to.x) < SNAP;
    let at = |y: f64| s.is_flat() && on_axis && (s.from.y - y).abs() < SNAP;
    if at(lo.y) { Some(1.0) } else { at(hi.y).then_some(-1.0) }
}

/// How far an end can be drawn back so that a neighbour of its name holds all that this takes.
fn way_into(p: &Primitive, profile: &Profile, k: usize, q: &Primitive) -> Option<f64> {
    let s = &profile.segments()[k];
    let inwards = end(profile, k)?;
    let own = q.patches().iter().any(|f| f.tag == s.tag) && q.shape()?.1.is_some();
    let wall = &profile.segments()[beside_end(profile.segments(), k).0];
    if !own || wall.arc.is_some() || wall.is_flat() {
        return None;
    }
    let room = (wall.to.y - wall.from.y).abs();
    let radius = s.from.x.max(s.to.x).max(wall.from.x).max(wall.to.x);
    let frame = p.frame();
    let inside = |by: f64| {
        (0..AROUND).all(|a| {
            let (sin, cos) = (std::f64::consts::TAU * a as f64 / AROUND as f64).sin_cos();
            q.contains(frame.point(radius * cos, radius * sin, s.from.y + inwards * by))
        })
    };
    // The neighbour's own end may lie in the same plane.
    let reaches = |by: f64| (0..=ALONG).all(|n| inside(0.01 + (by - 0.01) * n as f64 / ALONG as f64));
    let deep = (1..=40).map(|n| LEAST * f64::from(n)).take_while(|by| reaches(*by)).last()?;
    let by = (SHARE * deep).min(MOST).min(0.5 * room);
    (by > 0.5 * LEAST).then_some(by)
}

/// Moves an end along its wall, into its body.
fn draw_back(outline: &mut [Segment], k: usize, by: f64, feature: Feature) {
    let wall = &outline[beside_end(outline, k).0];
    let y = outline[k].from.y;
    let at_start = (wall.from.y - y).abs() < (wall.to.y - y).abs();
    let (near, far) = if at_start { (wall.from, wall.to) } else { (wall.to, wall.from) };
    let corner = near + (far - near) * (by / (far.y - near.y).abs());
    put_end(outline, k, corner);
    outline[k].tag = feature.formed(Role::Joint);
}
