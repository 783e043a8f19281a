//! Whole parameter files drawn at random: every section that shapes the part, from the schema's keys and the ranges the
//! trade uses, and from no file that exists. What depends on other values is derived from them, as one who draws a housing
//! would, so that most are accepted; none is corrected afterwards, and nothing keeps features from adjoining, from meeting
//! or from standing at one round number.

#[path = "drawn_housing/body.rs"]
mod body;
#[path = "drawn_housing/casting.rs"]
mod casting;
#[path = "drawn_housing/draw.rs"]
mod draw;
#[path = "drawn_housing/face.rs"]
mod face;
#[path = "drawn_housing/fittings.rs"]
mod fittings;
#[path = "drawn_housing/mount.rs"]
mod mount;
#[path = "random.rs"]
mod random;
#[path = "drawn_housing/sender.rs"]
mod sender;
#[path = "drawn_housing/shift_box.rs"]
mod shift_box;

#[allow(unused_imports, reason = "one of its users only draws")]
pub use random::Random;

use body::Body;
use draw::{Draw, Page};

/// The parameter file of a seed, the same for the same seed.
pub fn drawn(seed: u64) -> String {
    let mut draw = Draw::new(seed);
    let d = &mut draw;
    let mut page = Page::new(d.inch);
    let p = &mut page;
    p.word("units", if d.inch { "in" } else { "mm" });
    let mut body = Body::draw(d);
    p.section("housing", |p| {
        p.word("name", format!("drawn housing {seed}"));
        if d.chance(0.3) {
            p.word("description", "Drawn at random");
        }
        p.word("invented", true);
        p.mm("overall_length", body.length);
    });
    face::write(d, p, &mut body);
    body.write_shell(p);
    body.write_tail(d, p);
    if d.chance(0.35) {
        fittings::rail_tube(d, p, &mut body);
    }
    if d.chance(0.65) {
        shift_box::write(d, p, &mut body);
    }
    mount::write(d, p, &mut body);
    if d.chance(0.7) {
        sender::write(d, p, &body);
    }
    if d.chance(0.45) {
        fittings::plugs(d, p, &body);
    }
    if d.chance(0.4) {
        fittings::ribs(d, p, &body);
    }
    casting::write(d, p, &body);
    page.text()
}
