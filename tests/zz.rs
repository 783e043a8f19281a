use std::f64::consts::PI;
use tailpattern::export::{readback::census, step::*};
use tailpattern::geometry::*;
use tailpattern::solid::{evaluate::evaluate, validate::validate, *};

fn seg(t: &Tag, from: (f64, f64), to: (f64, f64)) -> Segment {
    Segment { from: P2::new(from.0, from.1), to: P2::new(to.0, to.1), arc: None, tag: t.clone() }
}
fn arc(t: &Tag, from: (f64, f64), to: (f64, f64), c: (f64, f64), ccw: bool) -> Segment {
    Segment { arc: Some((P2::new(c.0, c.1), ccw)), ..seg(t, from, to) }
}
fn turned(name: &str, frame: Frame, pts: &[(f64, f64)]) -> Primitive {
    let n = pts.len();
    let s = (0..n)
        .map(|i| {
            seg(
                &if i % 2 == 0 {
                    Tag::machined(name, &format!("wall {i}"))
                } else {
                    Tag::cast(name, &format!("wall {i}"))
                },
                pts[i],
                pts[(i + 1) % n],
            )
        })
        .collect();
    Primitive::revolve(name, frame, s).unwrap()
}
fn cyl(name: &str, frame: Frame, r: f64, a: f64, b: f64) -> Primitive {
    turned(name, frame, &[(0.0, a), (r, a), (r, b), (0.0, b)])
}
fn cone(name: &str, frame: Frame, r0: f64, r1: f64, a: f64, b: f64) -> Primitive {
    let mut p = vec![(0.0, a)];
    if r0 > 0.0 {
        p.push((r0, a));
    }
    if r1 > 0.0 {
        p.push((r1, b));
    }
    p.push((0.0, b));
    turned(name, frame, &p)
}
fn torus(name: &str, frame: Frame, major: f64, minor: f64) -> Primitive {
    let t = Tag::cast(name, "tube");
    Primitive::revolve(
        name,
        frame,
        vec![
            arc(&t, (major + minor, 0.0), (major - minor, 0.0), (major, 0.0), true),
            arc(&t, (major - minor, 0.0), (major + minor, 0.0), (major, 0.0), true),
        ],
    )
    .unwrap()
}
fn ball(name: &str, frame: Frame, r: f64) -> Primitive {
    let t = Tag::cast(name, "skin");
    Primitive::revolve(
        name,
        frame,
        vec![arc(&t, (0.0, -r), (0.0, r), (0.0, 0.0), true), seg(&t, (0.0, r), (0.0, -r))],
    )
    .unwrap()
}
fn block(name: &str, frame: Frame, x: f64, y: f64, h: f64) -> Primitive {
    let p = [(-x, -y), (x, -y), (x, y), (-x, y)];
    let s = (0..4).map(|i| seg(&Tag::cast(name, &format!("side {i}")), p[i], p[(i + 1) % 4])).collect();
    Primitive::prism(name, frame, s, h, 0.0, [Tag::cast(name, "bottom"), Tag::machined(name, "top")]).unwrap()
}
fn fr(o: [f64; 3], z: [f64; 3]) -> Frame {
    Frame::from_z(P3::from(o), V3::from(z))
}

fn rng(s: &mut u64) -> f64 {
    *s ^= *s << 13;
    *s ^= *s >> 7;
    *s ^= *s << 17;
    (*s >> 11) as f64 / (1u64 << 53) as f64
}

#[test]
fn zz() {
    let w = Frame::world();
    let mut list: Vec<(String, SolidTree)> = vec![];
    let mut t = SolidTree::new();
    t.add(block("b", w, 30.0, 20.0, 15.0));
    for (i, (x, y)) in
        [(-20.0, -10.0), (20.0, -10.0), (20.0, 10.0), (-20.0, 10.0), (0.0, 0.0)].into_iter().enumerate()
    {
        t.cut(cyl(&format!("hole {i}"), fr([x, y, -1.0], [0.0, 0.0, 1.0]), 3.0 + i as f64, 0.0, 20.0));
    }
    list.push(("drilled_block".into(), t));
    let mut t = SolidTree::new();
    t.add(cyl("a", w, 20.0, -50.0, 50.0));
    t.add(cyl("b", fr([0.0, 0.0, 0.0], [1.0, 0.0, 0.0]), 12.0, 0.0, 60.0));
    list.push(("cross_add".into(), t));
    let mut t = SolidTree::new();
    t.add(cyl("a", w, 20.0, -50.0, 50.0));
    t.cut(cyl("b", fr([3.0, 0.0, 0.0], [1.0, 0.0, 0.3]), 12.0, -60.0, 60.0));
    list.push(("cross_cut".into(), t));
    let mut t = SolidTree::new();
    t.add(cyl("a", w, 20.0, -50.0, 50.0));
    t.cut(cyl("b", fr([0.0, 0.0, 0.0], [1.0, 0.0, 0.0]), 20.0, -60.0, 60.0));
    list.push(("cross_equal".into(), t));
    let mut t = SolidTree::new();
    t.add(cyl("a", w, 20.0, -50.0, 50.0));
    t.keep(cyl("b", fr([0.0, 0.0, 0.0], [1.0, 0.0, 0.0]), 20.0, -60.0, 60.0));
    list.push(("steinmetz".into(), t));
    let mut t = SolidTree::new();
    t.add(cyl("a", w, 20.0, -50.0, 50.0));
    t.cut(cyl("b", fr([0.0, 19.0, 0.0], [1.0, 0.1, 0.2]), 6.0, -60.0, 60.0));
    list.push(("graze".into(), t));
    let mut t = SolidTree::new();
    t.add(torus("t", w, 30.0, 8.0));
    list.push(("torus".into(), t));
    let mut t = SolidTree::new();
    t.add(torus("t", w, 30.0, 8.0));
    t.cut(cyl("b", fr([30.0, 0.0, 0.0], [0.0, 0.3, 1.0]), 5.0, -30.0, 30.0));
    list.push(("torus_bored".into(), t));
    let mut t = SolidTree::new();
    t.add(torus("t", w, 30.0, 8.0));
    t.cut(cyl("b", fr([0.0, 0.0, 2.0], [1.0, 0.3, 0.1]), 5.0, -60.0, 60.0));
    list.push(("torus_pierced".into(), t));
    let mut t = SolidTree::new();
    t.add(torus("t", w, 30.0, 8.0));
    t.cut(block("b", fr([0.0, 0.0, 0.0], [0.2, 0.3, 1.0]), 60.0, 60.0, 30.0));
    list.push(("torus_halved".into(), t));
    let mut t = SolidTree::new();
    t.add(torus("t", w, 30.0, 8.0));
    t.cut(block("b", w, 60.0, 60.0, 30.0));
    list.push(("torus_mid".into(), t));
    let mut t = SolidTree::new();
    t.add(torus("t", w, 30.0, 8.0));
    t.cut(block("b", fr([5.0, 0.0, -20.0], [0.0, 0.0, 1.0]), 10.0, 70.0, 40.0));
    list.push(("torus_slotted".into(), t));
    let mut t = SolidTree::new();
    t.add(cone("c", w, 30.0, 12.0, 0.0, 60.0));
    t.cut(cyl("b", fr([0.0, 2.0, 25.0], [1.0, 0.0, 0.2]), 7.0, -60.0, 60.0));
    list.push(("cone_bored".into(), t));
    let mut t = SolidTree::new();
    t.add(cone("c", w, 30.0, 0.0, 0.0, 60.0));
    t.add(cyl("b", fr([0.0, 2.0, 25.0], [1.0, 0.0, 0.2]), 7.0, 0.0, 60.0));
    list.push(("cone_apex_boss".into(), t));
    let mut t = SolidTree::new();
    t.add(ball("s", w, 25.0));
    t.cut(cyl("b", fr([4.0, 2.0, 0.0], [1.0, 0.2, 0.2]), 7.0, -60.0, 60.0));
    list.push(("ball_bored".into(), t));
    let mut t = SolidTree::new();
    t.add(ball("s", w, 25.0));
    t.cut(block("b", fr([4.0, 2.0, 10.0], [1.0, 0.2, 0.2]), 60.0, 60.0, 60.0));
    list.push(("ball_cut".into(), t));
    let mut t = SolidTree::new();
    t.add(ball("s", fr([0.0, 0.0, 0.0], [1.0, 2.0, 3.0]), 25.0));
    t.cut(ball("c", fr([12.0, 0.0, 0.0], [0.0, 0.0, 1.0]), 20.0));
    list.push(("balls".into(), t));
    let mut t = SolidTree::new();
    t.add(ball("s", w, 25.0));
    t.cut(block("b", fr([0.0, 0.0, 15.0], [0.0, 0.0, 1.0]), 60.0, 60.0, 60.0));
    t.cut(cyl("h", fr([3.0, 0.0, -30.0], [0.0, 0.0, 1.0]), 5.0, 0.0, 60.0));
    list.push(("ball_pole_off".into(), t));
    let mut t = SolidTree::new();
    t.add(block("b", w, 30.0, 30.0, 40.0));
    t.cut(ball("v", fr([0.0, 0.0, 20.0], [0.3, 0.0, 1.0]), 10.0));
    list.push(("void".into(), t));
    let mut t = SolidTree::new();
    t.add(cyl("tube", w, 40.0, 0.0, 150.0));
    t.add(cone("nose", w, 40.0, 25.0, 150.0, 220.0));
    t.cut(cyl("bore", w, 30.0, 8.0, 140.0));
    t.cut(cyl("seat", w, 15.0, 100.0, 230.0));
    t.add(cyl("boss", fr([0.0, 20.0, 90.0], [1.0, 0.2, 0.3]), 14.0, 20.0, 65.0));
    t.cut(cyl("sender", fr([0.0, 20.0, 90.0], [1.0, 0.2, 0.3]), 8.0, 0.0, 70.0));
    t.cut(cyl("bore2", w, 30.0, 8.0, 140.0));
    t.add(block("pad", fr([0.0, -36.0, 60.0], [0.0, -1.0, 0.0]), 25.0, 18.0, 12.0));
    list.push(("tail".into(), t));
    let mut s = 88172645463325252u64;
    for k in 0..120 {
        let mut t = SolidTree::new();
        let rf = |s: &mut u64| {
            let mut g = || rng(s) * 2.0 - 1.0;
            fr([g() * 15.0, g() * 15.0, g() * 15.0], [g(), g(), g()])
        };
        t.add(cyl("base", w, 25.0, -30.0, 30.0));
        for j in 0..3 {
            let f = rf(&mut s);
            let (a, b, c) = (rng(&mut s), rng(&mut s), rng(&mut s));
            let n = format!("f{j}");
            let p = match (c * 6.0) as i32 {
                0 => block(&n, f, 5.0 + 15.0 * a, 5.0 + 15.0 * b, 40.0),
                1 | 2 => cyl(&n, f, 3.0 + 14.0 * a, -10.0 - 30.0 * b, 40.0),
                3 => cone(&n, f, 3.0 + 15.0 * a, 18.0 * b, -15.0, 35.0),
                4 => ball(&n, f, 8.0 + 16.0 * a),
                _ => torus(&n, f, 12.0 + 14.0 * a, 2.0 + 7.0 * b),
            };
            if rng(&mut s) < 0.5 { t.add(p) } else { t.cut(p) }
        }
        list.push((format!("rnd{k:03}"), t));
    }
    let _ = PI;
    for (name, tree) in list {
        let brep = match evaluate(&tree) {
            Ok(b) => b,
            Err(e) => {
                println!("{name}: EVAL {e}");
                continue;
            }
        };
        if let Err(f) = validate(&brep) {
            println!("{name}: INVALID {} bodies {}", f[0], brep.bodies());
            if brep.bodies() < 2 {
                continue;
            }
        }
        let m = measure(&brep);
        let info = StepInfo {
            id: name.clone(),
            name: name.clone(),
            form: "finished".into(),
            file_stem: name.clone(),
            properties: Some(m),
            ..StepInfo::default()
        };
        let bytes = match step(&brep, &info) {
            Ok(b) => b,
            Err(e) => {
                println!("{name}: STEP {e}");
                continue;
            }
        };
        let c = census(std::str::from_utf8(&bytes).unwrap()).unwrap();
        assert!(c.faults.is_empty(), "{name}: {:?}", c.faults);
        if name == "tail" {
            let t = std::time::Instant::now();
            for _ in 0..200 {
                std::hint::black_box(step(&brep, &info).unwrap());
            }
            println!("tail {} faces {:?} {} bytes", brep.faces.len(), t.elapsed() / 200, bytes.len());
        }
        std::fs::write(format!("/tmp/occ2/{name}.step"), bytes).unwrap();
    }
}
