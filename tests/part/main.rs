//! The part and its forms: from a parameter file to solids, files and checks.

#[path = "../common/drawn_housing.rs"]
#[allow(dead_code, unreachable_pub, reason = "shared with an example")]
mod drawn_housing;
#[path = "../common/edit.rs"]
#[allow(unreachable_pub, reason = "shared with examples")]
mod edit;
#[path = "../common/nesting.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with an example")]
mod nesting;
#[path = "../common/synthetic_article.rs"]
#[allow(unreachable_pub, reason = "shared with examples")]
mod synthetic_article;
#[path = "../common/wrong_housings.rs"]
#[allow(unreachable_pub, reason = "as other modules of this folder")]
mod wrong_housings;

mod cast_sizes;
mod checks;
mod cores;
mod defaults;
mod demo;
mod drawings;
mod drawn_housings;
mod fit_pairs;
mod forms;
mod honest_limits;
mod inspection;
mod inspection_trials;
mod judged_drawn;
mod lead_ins;
mod loads;
mod loose_pieces;
mod marks;
mod maximum_material;
mod neighbours;
mod other_form;
mod packs;
mod pads;
mod place;
mod scans;
mod shallow_lacks;
mod sheet_sections;
mod side_cores;
