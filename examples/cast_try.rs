//! Try.
use std::path::Path;
use tailpattern::design::Design;
use tailpattern::geometry::V3;
use tailpattern::housing::{self, AsCast, Size};
use tailpattern::params::{self, Source};
use tailpattern::{drawing, mesh};
fn main() {
    for name in std::env::args().skip(1) {
        let source = Source::from_bytes(&name, std::fs::read(&name).unwrap()).unwrap();
        let design = Design::validate(params::read(&source).unwrap()).value.unwrap();
        let stock = |_: &tailpattern::solid::Tag, s: Size, n: V3| match s {
            Size::Bore(_) => 3.5,
            _ => {
                if n.z > 0.5 {
                    5.0
                } else {
                    4.0
                }
            }
        };
        let mould = AsCast {
            up: V3::z(),
            draft: 1.5f64.to_radians(),
            core_draft: 1.5f64.to_radians(),
            stock: &stock,
            cored_above: 30.0,
        };
        let t = std::time::Instant::now();
        match housing::build_as_cast(&design, &mould) {
            Ok(m) => {
                println!(
                    "{name}: {} faces, volume {:.1} cm3, {:?}",
                    m.casting.brep.faces.len(),
                    m.casting.report.mass.volume / 1e3,
                    t.elapsed()
                );
                let (w, a) = tailpattern::report::joints::whole(&m.casting.joints);
                println!("  {w} of {a}; loose {:?}", m.loose);
                print!("{}", tailpattern::report::joints::table(&m.casting.joints, design.units(), false));
                for s in &m.stocked {
                    println!("  {} {:?} {:?}", s.tag, s.size, s.stock);
                }
                let mesh = mesh::triangulate(&m.casting.brep, 0.05).unwrap();
                let png = drawing::eight_views(&m.casting.brep, &mesh, design.name()).unwrap();
                let stem = Path::new(&name).file_stem().unwrap().to_string_lossy().to_string();
                std::fs::write(format!("/tmp/cast_{stem}.png"), png).unwrap();
            }
            Err(e) => println!("{name}: ERROR {e}"),
        }
    }
}
