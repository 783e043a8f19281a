//! Reports on what was built, for the terminal and for JSON: the finished part, its forms, and the time taken.

use serde_json::{Value, json};

use super::{feeding, joints, moulding, rigging};
use crate::checks::{MachinedFit, machined_fits};
use crate::design::Form;
use crate::export::form_files::{FormFiles, PieceFigures, Seconds};
use crate::export::{sidecar, size};
use crate::forms::{PROVES_GEOMETRY_ONLY, Product, title};
use crate::units::Mm;
use crate::words::counted;
use solidwright::geometry::Stretch;

/// Describes a form in lines for the terminal. `seconds` is the time in which the finished part was built; `fillets`
/// also lists the fillets that have the requested radius.
pub fn text(product: &Product, files: &FormFiles, chord: f64, seconds: f64, fillets: bool) -> String {
    if files.form == Form::Finished {
        finished(product, files, chord, seconds, fillets)
    } else {
        further(product, files, fillets)
    }
}

/// Describes a form other than the finished part.
fn further(product: &Product, files: &FormFiles, fillets: bool) -> String {
    let mut out = format!("{}, {}\n", title(product.design()), files.form.name());
    for piece in &files.pieces {
        out.push_str(&format!(
            "  {}: {}, {}{}\n",
            piece.name,
            counted(piece.faces, "face"),
            product.design().units().fine_volume(piece.mass.volume),
            scale(piece.scale)
        ));
    }
    if let Some(size) = files.pieces.first().and_then(|p| size(files.form, p.scale)) {
        out.push_str(&format!("  {size}\n"));
    }
    if files.form == Form::TrialPrint {
        out.push_str(&format!("  {PROVES_GEOMETRY_ONLY}\n"));
    }
    for note in &files.notes {
        out.push_str(&format!("  note: {note}\n"));
    }
    if let (Form::Casting, Ok(casting), Ok(drawing), Ok(partings)) =
        (files.form, product.casting(), product.drawing(), product.partings())
    {
        out.push_str(&moulding::text(product.design(), casting, drawing, partings, fillets));
        if let Some(advised) = &files.advised {
            out.push_str(&feeding::text(
                product.design(),
                advised,
                files.rigging.as_ref().and_then(|r| r.as_ref().ok()),
                false,
            ));
        }
    }
    out
}

fn scale(s: Stretch) -> String {
    if s.is_none() {
        String::new()
    } else if s.is_uniform() {
        format!(", scaled by {:.4}", s.axial())
    } else {
        format!(", scaled by {:.4} along the shaft and {:.4} across it", s.axial(), s.radial())
    }
}

fn finished(product: &Product, files: &FormFiles, chord: f64, seconds: f64, fillets: bool) -> String {
    let (design, housing, time) = (product.design(), product.finished(), &files.seconds);
    let (brep, mass) = (housing.solid.brep(), housing.solid.mass());
    let (c, units) = (mass.centroid, design.units());
    let (whole, pieces) = joints::whole(&housing.joints);
    let mut out = format!(
        "{}, finished\n  \
         {} faces, {} edges, one closed solid, checked\n  \
         volume {}, mass {} ({}), centre of mass {}\n  \
         fillets: {whole} of {pieces} joint segments at full radius\n  \
         mesh {} triangles within {}\n  \
         solid {:.1} ms, STEP {:.1} ms, mesh {:.1} ms, STL {:.1} ms\n",
        title(design),
        brep.faces.len(),
        brep.edges.len(),
        units.fine_volume(mass.volume),
        units.mass(design.casting().mass(mass.volume)),
        design.casting().alloy().name,
        units.centre([c.x, c.y, c.z]),
        files.pieces.iter().map(|p| p.triangles).sum::<usize>(),
        units.show(Mm::new(chord)),
        seconds * 1e3,
        time.step * 1e3,
        time.mesh * 1e3,
        time.stl * 1e3,
    );
    for note in &files.notes {
        out.push_str(&format!("  note: {note}\n"));
    }
    out.push_str(&joints::table(&housing.joints, design.units(), fillets));
    out.push_str(&joints::sharp_edges(&housing.sharp_edged));
    out.push_str(&joints::rounder_edges(&housing.rounder, design.units()));
    out.push_str(&joints::filled_hollows(&housing.filled));
    out.push_str(&joints::filled_places(housing, units));
    if fillets {
        out.push_str(&joints::given_up(&housing.demotions, design.units()));
    }
    out
}

/// Everything measured on the finished part and on the pieces of the forms made beside it; lengths in mm.
pub fn measured<'a>(product: &Product, forms: impl IntoIterator<Item = &'a FormFiles>) -> Value {
    let housing = product.finished();
    let mut figures = sidecar::measured(housing, "finished.step", product.design().name());
    figures["density_kg_m3"] = json!(product.design().casting().density().get());
    figures["fits"] = machined_fits(product.design()).iter().flatten().map(fit).collect();
    figures["fillets"] = joints::list(&housing.joints);
    figures["sharp_edged"] = json!(housing.sharp_edged);
    let further = forms.into_iter().filter(|f| f.form != Form::Finished);
    figures["forms"] = further.map(|f| (f.form.name().to_owned(), form(product, f))).collect();
    figures
}

fn fit(f: &MachinedFit) -> Value {
    json!({
        "what": f.what, "nominal_mm": f.nominal.get(), "fit": f.class,
        "least_mm": f.sizes[0].get(), "greatest_mm": f.sizes[1].get(),
    })
}

fn form(product: &Product, files: &FormFiles) -> Value {
    let piece = |p: &PieceFigures| {
        let c = p.mass.centroid;
        json!({
            "name": p.name,
            "file": format!("{}.step", p.stem),
            "volume_mm3": p.mass.volume,
            "area_mm2": p.mass.area,
            "centroid_mm": [c.x, c.y, c.z],
            "unscaled_volume_mm3": p.unscaled_volume,
            "scale": [p.scale.axial(), p.scale.radial()],
            "extent_mm": [p.extent.x, p.extent.y, p.extent.z],
            "faces": p.faces,
            "triangles_of_faces": p.triangles_of_faces,
        })
    };
    let scale = files.pieces.first().map_or(Stretch::NONE, |p| p.scale);
    let dowels = files.dowels.iter().map(|p| {
        let p = scale.point(*p);
        json!([p.x, p.y, p.z])
    });
    let mut out = json!({
        "pieces": files.pieces.iter().map(piece).collect::<Vec<_>>(),
        "dowels_mm": dowels.collect::<Vec<_>>(),
        "notes": files.notes,
    });
    if let Some(up) = files.split {
        // A core box that comes apart another way than the mould.
        out["split_up"] = json!([up.x, up.y, up.z]);
    }
    if files.form == Form::Pattern {
        out["undrawn"] = files.undrawn.iter().map(moulding::undercut).collect();
        out["to_dress"] = files.to_dress.iter().map(moulding::undercut).collect();
        out["loose"] = files.loose.iter().map(|piece| moulding::loose_piece(piece, scale)).collect();
        out["side_cores"] = files.side_cores.iter().map(|core| moulding::side_core(core, scale)).collect();
        out["still_held"] = files.still_held.iter().map(moulding::still_held).collect();
    }
    if let (Form::Casting, Ok(casting), Ok(drawing), Ok(partings)) =
        (files.form, product.casting(), product.drawing(), product.partings())
    {
        out["moulding"] = moulding::figures(casting, drawing, partings);
        let placed = files.rigging.as_ref().and_then(|r| r.as_ref().ok());
        out["feeding"] = files.advised.as_ref().map_or(Value::Null, |a| feeding::figures(a, placed));
        out["rigging"] = match &files.rigging {
            Some(Ok(placed)) => rigging::figures(placed),
            _ => Value::Null,
        };
    }
    out
}

/// Seconds spent on building the finished part, on each kind of its files, on all further forms, and on all sheets but for
/// their pictures; greatest memory in use in MB (10⁶ bytes).
pub fn timing(build: f64, finished: &Seconds, forms: f64, sheets: f64, memory: Option<f64>) -> Value {
    json!({
        "build_s": build,
        "step_s": finished.step,
        "mesh_s": finished.mesh,
        "stl_s": finished.stl,
        "packed_s": finished.packed,
        "forms_s": forms,
        "picture_s": finished.picture,
        "sheets_s": sheets,
        "peak_rss_mb": memory,
    })
}
