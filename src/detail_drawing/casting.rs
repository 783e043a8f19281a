//! The casting: overall sizes, the finished contour within it, parting, datum targets, stock, and what is cast solid.

use solidwright::geometry::{P2, V2, V3};

use super::cast_sizes::{Told, cast_sizes};
use super::numbers::{as_cast, degrees, length, plain};
use super::pad_views::{Way, cutting_letters, cutting_plane};
use super::subject::{OVER, Subject, Views, cast_outside, cut, line, loops};
use super::tables::{table, told};
use crate::checks::Limits;
use crate::design::Form;
use crate::drafting::{Annotated, Callout, CalloutLine, Entity, Layer, Margin, Shape, SheetContent, Span};
use crate::faces::{Feature, Role, plain_names};
use crate::forms::{
    self, CastSolid, Casting, DatumTarget, FormError, StockRow, TargetHolds, TargetsFound, cast_solid,
};
use crate::units::{Mm, Units};
use crate::words::counted;

/// Cosine below which the parting plane lies in the section.
const SQUARE: f64 = 1e-9;

/// Half the size of a datum target's cross, mm on paper.
const TARGET: f64 = 2.0;

/// The datum targets of the first set-up, or why there are none.
pub(super) type Targets<'a> = Result<&'a TargetsFound, FormError>;

/// Those that there are.
pub(super) fn listed<'a>(found: &Targets<'a>) -> &'a [DatumTarget] {
    match found {
        Ok(Ok(targets)) => targets,
        _ => &[],
    }
}

/// An overall size as measured on the solid, to a tenth of a millimetre or a hundredth of an inch.
fn overall(subject: &Subject, factor: f64, ends: [P2; 2]) -> Span {
    let exact = (ends[1] - ends[0]).norm() / factor;
    let value = match subject.units {
        Units::Mm => (exact * 10.0).round() / 10.0,
        Units::Inch => Mm::inches((Mm::new(exact).to_inches() * 100.0).round() / 100.0).get(),
    };
    Span { ends, text: length(subject.units, value), value }
}

/// The section, the finished part's section within it.
pub(super) fn main_section(
    subject: &Subject,
    views: &Views,
    (made, finished): (&Casting, &[Vec<P2>]),
    targets: &[DatumTarget],
    factor: f64,
) -> Option<Annotated> {
    let mut out = Annotated::new(cut(&views.main, factor), factor)?;
    for mut corners in loops(finished, factor) {
        corners.extend(corners.first().copied());
        out.content.entities.push(Entity { layer: Layer::Phantom, shape: Shape::Chain(corners) });
    }
    let view = out.view;
    out.content.entities.push(line(
        Layer::Centre,
        P2::new(view.low.x - OVER, 0.0),
        P2::new(view.high.x + OVER, 0.0),
    ));
    let along = [view.low, P2::new(view.high.x, view.low.y)];
    let up = [P2::new(view.high.x, view.low.y), view.high];
    out.distances(Margin::Bottom, vec![overall(subject, factor, along)]);
    out.distances(Margin::Right, vec![overall(subject, factor, up)]);
    out.notes(Margin::Left, vec![parting(subject, made, P2::new(view.low.x - OVER, 0.0))]);
    let across = targets.iter().filter(|t| t.holds != TargetHolds::Along);
    let on_sheet = |t: &DatumTarget| {
        let p = views.main.from.vector(t.at.coords);
        (P2::new(p.x, p.y) * factor, t.name.to_owned())
    };
    crosses(&mut out, &across.map(on_sheet).collect::<Vec<_>>());
    Some(out)
}

/// The crosses of datum targets, then their names beside them.
fn crosses(out: &mut Annotated, targets: &[(P2, String)]) {
    for (at, _) in targets {
        for way in [V2::new(TARGET, TARGET), V2::new(TARGET, -TARGET)] {
            out.content.line(Layer::Dimension, at - way, at + way);
        }
    }
    for (at, name) in targets {
        out.label(*at, TARGET, name);
    }
}

/// The parting line in the section, with the draft of the walls that lean from it.
fn parting(subject: &Subject, made: &Casting, at: P2) -> Callout {
    let settings = &made.settings;
    let across = settings.up.dot(&V3::z()).abs();
    let words = if across < SQUARE {
        vec!["this section lies in".to_owned(), "the parting plane".to_owned()]
    } else {
        let mould = subject.design.casting().mould();
        vec![
            "parting line".to_owned(),
            format!("draft {} from it,", degrees(mould.draft())),
            format!("{} in the core box", degrees(mould.core_draft())),
        ]
    };
    Callout { at, lines: words.into_iter().map(CalloutLine::Words).collect() }
}

/// The view on the gearbox face, with the parting plane and the targets of datum A on the back of the flange.
pub(super) fn front_view(
    subject: &Subject,
    views: &Views,
    (made, targets): (&Casting, &[DatumTarget]),
    factor: f64,
    side: Margin,
) -> Option<Annotated> {
    let (from, view) = &views.front;
    let mut out = Annotated::new(cast_outside(view, factor), factor)?;
    let frame = out.view.grown(OVER);
    let up = from.vector(made.settings.up);
    let along = V2::new(up.y, -up.x);
    let reach = 0.5 * frame.size().norm();
    let half = 0.5 * subject.design.gearbox_face().flange_diameter().get() * factor;
    let ends = [along * -(half + OVER), along * (half + OVER)].map(P2::from);
    out.content.entities.push(line(Layer::Phantom, ends[0], ends[1]));
    let outward = if (side == Margin::Left) == (along.x < 0.0) { along } else { -along };
    let words = [
        "parting plane, through the shaft\u{2019}s axis".to_owned(),
        format!("draft {}° from here both ways", plain(made.settings.draft.to_degrees(), 2)),
    ];
    let at = P2::from(outward * (half + OVER).min(reach));
    let mut notes = vec![Callout { at, lines: words.into_iter().map(CalloutLine::Words).collect() }];
    let on_sheet = |t: &DatumTarget| {
        let p = from.vector(t.at.coords);
        P2::new(p.x, p.y) * factor
    };
    let flange: Vec<P2> = targets.iter().filter(|t| t.holds == TargetHolds::Along).map(on_sheet).collect();
    let named: Vec<(P2, String)> =
        flange.iter().enumerate().map(|(k, at)| (*at, format!("A{}", k + 1))).collect();
    let last = ["targets A1 to A3 of datum A:".to_owned(), "on the back of the flange, as cast".to_owned()];
    let way = if side == Margin::Left { -1.0 } else { 1.0 };
    if let Some(at) = flange.into_iter().max_by(|a, b| (a.x * way).total_cmp(&(b.x * way))) {
        notes.push(Callout { at, lines: last.into_iter().map(CalloutLine::Words).collect() });
    }
    out.notes(side, notes);
    let width = [out.view.low, P2::new(out.view.high.x, out.view.low.y)];
    out.distances(Margin::Bottom, vec![overall(subject, factor, width)]);
    // Last, so that no leader and no dimension's line runs through the names.
    crosses(&mut out, &named);
    Some(out)
}

/// The view from below.
pub(super) fn bottom_view(views: &Views, factor: f64) -> Option<Annotated> {
    let mut out = Annotated::new(cast_outside(&views.bottom.1, factor), factor)?;
    let ends = [out.view.low.x - OVER, out.view.high.x + OVER].map(|x| P2::new(x, 0.0));
    out.content.entities.push(line(Layer::Centre, ends[0], ends[1]));
    Some(out)
}

/// The view from above.
pub(super) fn top_view(views: &Views, factor: f64) -> Option<Annotated> {
    let mut out = Annotated::new(cast_outside(&views.top.1, factor), factor)?;
    let ends = [out.view.low.x - OVER, out.view.high.x + OVER].map(|x| P2::new(x, 0.0));
    out.content.entities.push(line(Layer::Centre, ends[0], ends[1]));
    let cut = cutting_plane(&mut out, Way::Above);
    cutting_letters(&mut out, cut);
    Some(out)
}

/// Stock, what is cast solid, notes and cautions in columns of a width.
pub(super) fn tables(
    subject: &Subject,
    finished: &Subject,
    (made, found): (&Casting, &Targets),
    reach: f64,
) -> Vec<SheetContent> {
    let targets = listed(found);
    let show = |mm: f64| as_cast(subject.units, mm);
    let row = |r: &StockRow| {
        let stock = r.stock.map_or(String::new(), show);
        let least = r.least.map_or(String::new(), show);
        let what = r.finished.what().to_owned();
        // The finished size as the other sheet has it.
        let finished = length(subject.units, r.finished.get());
        Some(vec![plain_names::face(&r.tag), what, finished, show(r.casting?), stock, least])
    };
    let rows: Vec<Vec<String>> = made.stock.iter().filter_map(row).collect();
    let heads = ["machined face", "size", "finished", "casting", "stock", "left, worst"];
    let mut all = vec![table("Machining stock, square to each face", &heads, &rows)];
    all.extend(cast_sizes(subject.design, made, Told::Casting));
    let solid = solid(finished, made);
    if !solid.is_empty() {
        all.push(table(
            "Cast solid, to be drilled, bored or milled",
            &["machined face", "number", "finished"],
            &solid,
        ));
    }
    if !targets.is_empty() {
        let row = |t: &DatumTarget| {
            let [x, y, z] = [t.at.x, t.at.y, t.at.z].map(show);
            vec![t.name.to_owned(), plain_names::face(&t.tag), x, y, z]
        };
        let rows: Vec<Vec<String>> = targets.iter().map(row).collect();
        let title = "Datum targets, as cast, for the first set-up";
        all.push(table(title, &["target", "on", "X", "Y", "Z"], &rows));
    }
    all.extend(told(&notes(subject, made, found), Form::Casting, reach));
    all
}

/// Machined faces that the casting does not show, with their finished sizes: alike ones of a feature together.
fn solid(finished: &Subject, made: &Casting) -> Vec<Vec<String>> {
    let units = finished.units;
    let row = |alike: CastSolid| {
        let name = plain_names::face(alike.first);
        let name = match alike.last {
            Some(last) => format!("{name} to {}", Role::of(last)),
            None => name,
        };
        let size = alike.size.text(|mm| format!("Ø{}", as_cast(units, mm)), |mm| as_cast(units, mm));
        vec![name, alike.number.to_string(), size]
    };
    cast_solid(finished.solid, finished.bores, &made.stock).into_iter().map(row).collect()
}

fn notes(subject: &Subject, made: &Casting, targets: &Targets) -> Vec<String> {
    let casting = subject.design.casting();
    let (mould, stock) = (casting.mould(), casting.stock());
    let percent = |share: f64| format!("{} %", plain(100.0 * share, 3));
    let given = match stock.all() {
        Some(all) => format!("{} on every machined face", length(subject.units, all.get())),
        None => format!("machining allowance grade {} (ISO 8062-3)", stock.grade()),
    };
    let mut out = vec![
        "Narrow lines with two dots: contour of the finished part. Narrow lines: ends of faces at roundings."
            .to_owned(),
        format!("Alloy: {}. Tolerance: ISO 8062-3 DCTG {}.", casting.alloy().title, stock.tolerance_grade()),
        format!(
            "Stock: {given}; {} more on faces that lie uppermost.",
            length(subject.units, stock.top().get())
        ),
        format!(
            "Draft {} outside, {} in the core box; it adds metal.",
            degrees(mould.draft()),
            degrees(mould.core_draft())
        ),
        format!(
            "Contraction: {} along the shaft, {} across it. This sheet is without contraction; pattern and core box have it.",
            percent(mould.axial_contraction()),
            percent(mould.radial_contraction())
        ),
        fillets(made),
        match targets {
            Ok(Ok(_)) => {
                "First set-up: on targets A1 to A3, across the shaft by B1 and B2, against turning by C1."
                    .to_owned()
            }
            Ok(Err(none)) => format!("First set-up: {none}; agree it with the machinist."),
            Err(error) => format!("First set-up: {error}."),
        },
    ];
    out.extend(smoothed(made));
    out.extend(may_not_clean_up(subject, made));
    out
}

/// Where metal is laid on whose steps no view shows, if anywhere.
pub(super) fn smoothed(made: &Casting) -> Option<String> {
    let of_fillets = made.laid_on.iter().map(|metal| metal.feature);
    let mut features: Vec<Feature> = Vec::new();
    for feature in made.faired.iter().map(|(feature, _)| *feature).chain(of_fillets) {
        if !features.contains(&feature) {
            features.push(feature);
        }
    }
    let told = forms::names(&features).replace('_', " ");
    (!features.is_empty()).then(|| {
        format!("Metal laid on at {told} is drawn smooth; the files have it in steps: dress it by hand.")
    })
}

/// How many fillets have their full radius.
fn fillets(made: &Casting) -> String {
    let joints = &made.moulded.casting.joints;
    match (joints.len(), crate::report::joints::whole(joints).0) {
        (all, whole) if whole == all => format!("{} at full radius.", counted(all, "fillet")),
        (all, whole) => format!(
            "{whole} of {} at full radius; the casting\u{2019}s report lists the others.",
            counted(all, "fillet")
        ),
    }
}

/// The faces on which the worst casting has less stock than it takes to clean up, if there are any.
fn may_not_clean_up(subject: &Subject, made: &Casting) -> Option<String> {
    let wanted = Limits::of(subject.design).stock_left.value;
    let short = made.stock.iter().filter(|row| row.least.is_some_and(|least| least < wanted));
    let names: Vec<String> = short.map(|row| plain_names::face(&row.tag)).collect();
    (!names.is_empty()).then(|| format!("MAY NOT CLEAN UP in the worst casting: {}.", names.join("; ")))
}
