//! The joints of cast faces and their fillets, for the terminal and for JSON.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use super::columns::{self, Align};
use crate::faces::Feature;
use crate::housing::Housing;
use crate::units::{Mm, Units};
use crate::words::counted;
use solidwright::solid::fillet::{Change, Demotion, FilledPlace, Joint, JointState};

fn text(state: JointState) -> &'static str {
    match state {
        JointState::Sharp => "left sharp",
        JointState::Smaller => "smaller radius",
        JointState::Whole => "whole",
    }
}

/// Number of joint segments with the full radius, and of all segments.
pub fn whole(joints: &[Joint]) -> (usize, usize) {
    (joints.iter().filter(|j| j.state() == JointState::Whole).count(), joints.len())
}

/// A table of joints by pair of faces and state, those below the full radius first; with `all` also those at full
/// radius.
pub fn table(joints: &[Joint], units: Units, all: bool) -> String {
    columns::text(rows(joints, units, all), 2, &[Align::Left])
}

/// The rows of that table: faces, and what became of the fillet between them.
pub(super) fn rows(joints: &[Joint], units: Units, all: bool) -> Vec<[String; 2]> {
    let mut rows: BTreeMap<(JointState, String, String), Vec<&Joint>> = BTreeMap::new();
    for j in joints {
        let state = j.state();
        if all || state != JointState::Whole {
            let why = j.failure.map_or_else(String::new, |t| units.sentence(&t.to_string()));
            rows.entry((state, format!("{} / {}", j.faces[0], j.faces[1]), why)).or_default().push(j);
        }
    }
    let cells = |((state, faces, why), pieces): ((JointState, String, String), Vec<&Joint>)| {
        let [asked, made] = [pieces[0].asked, pieces[0].made].map(|r| units.show(Mm::new(r)));
        let at = pieces[0].at;
        let count =
            if pieces.len() > 1 { format!(", {}", counted(pieces.len(), "segment")) } else { String::new() };
        let place = format!("near {}", units.place([at.x, at.y, at.z]));
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        [faces, format!("requested {asked}, made {made},  {}{count}, {place}{why}", text(state))]
    };
    rows.into_iter().map(cells).collect()
}

/// A line about features whose cast edges stay sharp, empty where there are none.
pub fn sharp_edges(features: &[String]) -> String {
    if features.is_empty() {
        return String::new();
    }
    format!(
        "  edges left sharp, because there is no room or the solid does not close: {}\n",
        features.join(", ")
    )
}

/// A line about features whose edges are rounded more than requested, empty where there are none.
pub fn rounder_edges(features: &BTreeMap<String, f64>, units: Units) -> String {
    if features.is_empty() {
        return String::new();
    }
    let one = |(feature, by): (&String, &f64)| format!("{feature} by up to {}", units.show(Mm::new(*by)));
    let all: Vec<String> = features.iter().map(one).collect();
    format!("  edges rounded more than requested, because a fillet needs it: {}\n", all.join(", "))
}

/// A line about hollows that are filled, because the fillets close them off; empty where there are none.
pub fn filled_hollows(hollows: &[BTreeSet<Feature>]) -> String {
    if hollows.is_empty() {
        return String::new();
    }
    let between = |h: &BTreeSet<Feature>| h.iter().map(|f| f.name()).collect::<Vec<_>>().join(" and ");
    let all: Vec<String> = hollows.iter().map(between).collect();
    format!("  hollows filled, because the fillets around them close them off: at {}\n", all.join("; "))
}

/// A line about corners that are filled with a little metal, because a ball can't roll there; empty where there are none. Those
/// that other bodies hide are not told.
pub fn filled_places(housing: &Housing, units: Units) -> String {
    let faces = &housing.solid.brep().faces;
    let seen = |f: &&FilledPlace| faces.iter().any(|face| face.tag == *f.tag());
    let places: Vec<&FilledPlace> = housing.filled_places.iter().filter(seen).collect();
    if places.is_empty() {
        return String::new();
    }
    let one = |f: &&FilledPlace| {
        let at = f.at().map(|p| format!(" near {}", units.place([p.x, p.y, p.z])));
        format!("{}{}", Feature::of(f.tag()), at.unwrap_or_default())
    };
    let all: Vec<String> = places.iter().map(one).collect();
    format!("  corners filled with a little more metal, because no ball rolls there: {}\n", all.join("; "))
}

/// Fillets and edges that were reduced so that the rest can have their fillets, in the order in which they were
/// reduced; empty where there are none.
pub fn given_up(demotions: &[Demotion], units: Units) -> String {
    if demotions.is_empty() {
        return String::new();
    }
    let mm = |x: f64| units.show(Mm::new(x));
    let mut out = "  reduced so that the solid closes, with the reason:\n".to_owned();
    for d in demotions {
        let what = match d.change {
            Change::Radius { from, to } if to > 0.0 => {
                format!("fillets of {} instead of {}", mm(to), mm(from))
            }
            Change::Radius { from, .. } => format!("no fillets instead of {}", mm(from)),
            Change::Edges { more } => format!("edges rounded by {} more", mm(more)),
        };
        let at = d.at.map_or_else(String::new, |p| format!(", near {}", units.place([p.x, p.y, p.z])));
        let why = units.sentence(&d.why.to_string());
        out.push_str(&format!("    {}: {what}{at}: {why}\n", d.body));
    }
    out
}

/// The joints as a list of objects; lengths in mm.
pub fn list(joints: &[Joint]) -> Value {
    let one = |j: &Joint| {
        json!({
            "faces": [j.faces[0].to_string(), j.faces[1].to_string()],
            "asked_mm": j.asked,
            "made_mm": j.made,
            "state": text(j.state()),
            "reason": j.failure.map(|t| t.to_string()),
            "length_mm": j.length,
            "at_mm": [j.at.x, j.at.y, j.at.z],
        })
    };
    joints.iter().map(one).collect()
}
