//! `casting`, `trial_print`, `forms`.

use super::body::Body;
use super::draw::{Draw, Page};

const FEATURES: [&str; 9] = [
    "flange",
    "tail",
    "shift_box_pad",
    "mount_pad",
    "second_mount_pad",
    "sender_boss",
    "rail_tube",
    "ribs",
    "plugs",
];

pub fn write(d: &mut Draw, p: &mut Page, body: &Body) {
    p.section("casting", |p| {
        let alloys = ["aluminium_356_t6", "aluminium_a356_t6", "grey_iron", "ductile_iron"];
        let alloy = if d.chance(0.6) { Some(d.pick(&alloys)) } else { None };
        if let Some(alloy) = alloy {
            p.word("alloy", alloy);
        }
        if d.chance(0.1) {
            let iron = alloy.is_some_and(|alloy| alloy.ends_with("iron"));
            p.word("density", if iron { "7150 kg/m3" } else { "2700 kg/m3" });
        }
        if d.aside(3).chance(0.1) {
            p.word("fed", "[gearbox_face, mount_pad, sender_boss]");
        }
        p.section("fillets", |p| fillets(d, p));
        p.section("mould", |p| mould(d, p));
        p.section("stock", |p| stock(d, p));
        p.section("contraction", |p| {
            if d.chance(0.3) {
                p.word("axial", format!("{} %", d.pick(&["0.9", "1", "1.04", "1.3", "1.5"])));
            }
            if d.chance(0.2) {
                p.word("radial", format!("{} %", d.pick(&["0.8", "1", "1.1", "1.3"])));
            }
        });
        p.section("prints", |p| prints(d, p));
        let mut aside = d.aside(7);
        if aside.chance(0.1) {
            p.section("marks", |p| marks(&mut aside, p));
        }
    });
    trial_print(d, p, body);
    if d.chance(0.15) {
        p.word("forms", d.pick(&["[finished]", "[finished, casting]", "[casting, pattern, core, core-box]"]));
    }
}

fn marks(d: &mut Draw, p: &mut Page) {
    p.word("part_number", d.pick(&["TH-1042", "7", "A/3.05 B"]));
    for key in ["alloy", "arrow"] {
        if d.chance(0.3) {
            p.word(key, "false");
        }
    }
    if d.chance(0.4) {
        p.mm("height", d.length(5.0, 12.0));
    }
    if d.chance(0.3) {
        p.mm("stroke", 1.0);
    }
    if d.chance(0.3) {
        p.mm("raised", 1.0);
    }
}

fn fillets(d: &mut Draw, p: &mut Page) {
    if d.chance(0.75) {
        p.mm("outside", d.length(2.0, 10.0));
    }
    if d.chance(0.4) {
        p.mm("cavity", if d.chance(0.15) { 0.0 } else { d.length(2.0, 8.0) });
    }
    if d.chance(0.6) {
        p.mm("edges", if d.chance(0.25) { 0.0 } else { d.length(1.0, 3.0) });
    }
    if d.chance(0.35) {
        for feature in FEATURES {
            if d.chance(0.3) {
                p.mm(feature, d.length(2.0, 10.0));
            }
        }
    }
}

fn mould(d: &mut Draw, p: &mut Page) {
    if d.chance(0.35) {
        p.deg("parting_clock", d.pick(&[0.0, 90.0, 90.0, 45.0, 30.0]));
    }
    // What loose pieces are asked for follows from other values: a further draw would change all housings.
    if d.chance(0.4) {
        let draft = d.pick(&[0.5, 1.0, 2.0, 2.5, 3.0]);
        p.deg("draft", draft);
        if draft > 2.0 {
            p.mm("loose_clearance", 0.3);
        }
    }
    if d.chance(0.3) {
        let draft = d.pick(&[0.5, 1.0, 2.0]);
        p.deg("core_draft", draft);
        if draft < 1.0 {
            p.word("loose_pieces", false);
            p.word("feeders_and_gates", true);
        }
    }
}

fn stock(d: &mut Draw, p: &mut Page) {
    if d.chance(0.3) {
        p.mm("all", d.length(2.0, 5.0));
    }
    if d.chance(0.4) {
        p.word("grade", d.pick(&["D", "E", "F", "G", "H", "J"]));
    }
    if d.chance(0.3) {
        p.mm("top", d.length(0.0, 2.0));
    }
    if d.chance(0.3) {
        p.word("tolerance_grade", d.count(8, 12));
    }
    if d.chance(0.3) {
        p.mm("cored_above", d.length(16.0, 40.0));
    }
}

fn prints(d: &mut Draw, p: &mut Page) {
    if d.chance(0.2) {
        p.mm("front_length", d.length(30.0, 90.0));
    }
    if d.chance(0.2) {
        p.mm("rear_length", d.length(25.0, 60.0));
    }
    if d.chance(0.2) {
        p.deg("taper", d.pick(&[5.0, 7.0, 10.0]));
    }
    if d.chance(0.2) {
        p.mm("clearance", d.length(0.3, 0.8));
    }
    if d.chance(0.3) {
        p.mm("vent", d.pick(&[0.0, 8.0, 10.0]));
    }
    if d.chance(0.2) {
        p.mm("dowels", d.pick(&[6.0, 10.0]));
    }
}

/// A printer that takes the flange, if one is named at all.
fn trial_print(d: &mut Draw, p: &mut Page, body: &Body) {
    p.section("trial_print", |p| {
        let large = body.flange_diameter > 200.0;
        if large || d.chance(0.4) {
            let side = body.flange_diameter * 1.02 + 12.0;
            let bed = [180.0, 220.0, 250.0, 300.0, 350.0, 400.0, 500.0];
            let bed = bed.into_iter().find(|b| *b >= side).unwrap_or(600.0);
            p.word("bed_length", format!("{bed} mm"));
            p.word("bed_width", format!("{bed} mm"));
            p.word("bed_height", format!("{} mm", d.pick(&[180.0, 220.0, 250.0, 300.0])));
        }
        if d.chance(0.4) {
            p.word("material", d.pick(&["pla", "petg", "abs", "asa", "pa", "pc"]));
        }
        if d.chance(0.1) {
            p.mm("margin", d.length(2.0, 8.0));
        }
        if d.chance(0.1) {
            p.word("shrink", format!("{} %", d.pick(&["0.2", "0.3", "0.5"])));
        }
        if d.chance(0.15) {
            p.mm("peg", d.length(3.0, 6.0));
        }
        if d.chance(0.1) {
            p.mm("clearance", d.length(0.1, 0.3));
        }
        if d.chance(0.1) {
            p.mm("wall", d.length(0.8, 2.0));
        }
        if d.chance(0.15) {
            p.word("half_section", true);
        }
    });
}
