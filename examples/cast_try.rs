//! Try.
use tailpattern::design::Design;
use tailpattern::params::{self, Source};
use tailpattern::{drawing, forms, housing, mesh};
fn main() {
    for name in std::env::args().skip(1) {
        let source = Source::from_bytes(&name, std::fs::read(&name).unwrap()).unwrap();
        let design = Design::validate(params::read(&source).unwrap()).value.unwrap();
        let finished = housing::build(&design).unwrap();
        let t = std::time::Instant::now();
        let cast = match forms::casting(&design, &finished) {
            Ok(c) => c,
            Err(e) => {
                println!("{name}: {e}");
                continue;
            }
        };
        println!("{name}: casting {:?}", t.elapsed());
        let stem = std::path::Path::new(&name).file_stem().unwrap().to_string_lossy().to_string();
        let all: Vec<(&str, Box<dyn Fn() -> Result<forms::Made, forms::FormError>>)> = vec![
            ("pattern", Box::new(|| forms::pattern(&cast))),
            ("core", Box::new(|| forms::core(&cast))),
            ("box", Box::new(|| forms::core_box(&cast))),
            ("print", Box::new(|| forms::trial_print(&design, &finished))),
        ];
        for (form, make) in all {
            let t = std::time::Instant::now();
            match make() {
                Ok(m) => {
                    println!("  {form} {:?} notes {:?}", t.elapsed(), m.notes);
                    for p in &m.pieces {
                        println!(
                            "    {} {} faces {:.1} cm3 bodies {}",
                            p.name,
                            p.brep.faces.len(),
                            p.report.mass.volume / 1e3,
                            p.brep.bodies()
                        );
                        let mesh = match mesh::triangulate(&p.brep, 0.05) {
                            Ok(m) => m,
                            Err(e) => {
                                println!("      MESH {e}");
                                continue;
                            }
                        };
                        let png = drawing::eight_views(&p.brep, &mesh, &p.name).unwrap();
                        std::fs::write(format!("/tmp/form_{stem}_{}.png", p.stem), png).unwrap();
                    }
                }
                Err(e) => println!("  {form}: ERROR {e}"),
            }
        }
        for u in forms::undercuts(&cast).unwrap().iter().take(8) {
            println!("   undercut {} {:.1} mm2 at {:?}", u.face, u.area, u.at);
        }
        let best = forms::best_parting(&design).unwrap();
        println!("   {:?}", best.iter().min_by(|a, b| a.1.total_cmp(&b.1)));
    }
}
