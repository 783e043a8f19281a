//! The model part: metadata, colours, meshes, places.

use std::fmt::{self, Write as _};

use crate::geometry::V3;

use super::super::body::{Body, Metadata, PackError, Palette};

/// Namespace of the core specification.
const CORE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";

/// Number of the list of base materials; objects are counted on from it.
const MATERIALS: usize = 1;

/// Bytes of a vertex and of a triangle in the text, about.
const LINE: usize = 64;

/// The model part as text.
pub(super) fn text(bodies: &[Body], metadata: &Metadata) -> Result<String, PackError> {
    let lines: usize = bodies.iter().map(|b| b.mesh.vertices.len() + b.mesh.triangles.len()).sum();
    let mut out = String::with_capacity(1024 + LINE * lines);
    let entries = metadata.entries()?;
    let palette = Palette::new(bodies);
    let names = bodies.iter().map(|b| b.name.as_str()).chain(palette.0.iter().map(|p| p.name.as_str()));
    for text in names.chain(entries.iter().map(|(_, value)| *value)) {
        check_characters(text)?;
    }
    // Writing into a string can't fail, so there is one error that no one will see.
    let _ = write(&mut out, bodies, &metadata.prefix, &entries, &palette);
    Ok(out)
}

fn write(
    out: &mut String,
    bodies: &[Body],
    prefix: &str,
    entries: &[(String, &str)],
    palette: &Palette,
) -> fmt::Result {
    writeln!(out, r#"<?xml version="1.0" encoding="UTF-8"?>"#)?;
    // The caller's namespace is a name only, there is nothing to fetch.
    let own = format!("urn:{prefix}:metadata:1");
    writeln!(out, r#"<model unit="millimeter" xmlns="{CORE}" xmlns:{prefix}="{own}">"#)?;
    for (name, value) in entries {
        writeln!(out, r#"<metadata name="{name}">{}</metadata>"#, Escaped(&value_text(value)))?;
    }
    writeln!(out, "<resources>")?;
    writeln!(out, r#"<basematerials id="{MATERIALS}">"#)?;
    for paint in &palette.0 {
        let [r, g, b] = paint.rgb();
        let name = name_text(&paint.name);
        let name = Escaped(&name);
        writeln!(out, r##"<base name="{name}" displaycolor="#{r:02X}{g:02X}{b:02X}"/>"##)?;
    }
    writeln!(out, "</basematerials>")?;
    for (i, body) in bodies.iter().enumerate() {
        object(out, body, MATERIALS + 1 + i, palette)?;
    }
    writeln!(out, "</resources>\n<build>")?;
    for (i, body) in bodies.iter().enumerate() {
        let id = MATERIALS + 1 + i;
        write!(out, r#"<item objectid="{id}""#)?;
        if body.shift != V3::zeros() {
            // Rows of a matrix that is multiplied from the right: the shift is the last.
            let [x, y, z] = [body.shift.x, body.shift.y, body.shift.z].map(unsigned_zero);
            write!(out, r#" transform="1 0 0 0 1 0 0 0 1 {x} {y} {z}""#)?;
        }
        writeln!(out, "/>")?;
    }
    writeln!(out, "</build>\n</model>")
}

fn object(out: &mut String, body: &Body, id: usize, palette: &Palette) -> fmt::Result {
    let paint_of = palette.of_faces(body);
    let paint_of = |t: usize| paint_of[body.mesh.face_of[t] as usize].unwrap_or(0);
    // What has no paint of its own, or is shown by a reader that paints whole objects, takes the commonest.
    let mut uses = vec![0usize; palette.0.len()];
    for t in 0..body.mesh.triangles.len() {
        uses[paint_of(t)] += 1;
    }
    let commonest = (0..uses.len()).rev().max_by_key(|p| uses[*p]).unwrap_or(0);
    let single = uses.iter().filter(|n| **n > 0).count() == 1;
    let name = name_text(&body.name);
    let name = Escaped(&name);
    writeln!(out, r#"<object id="{id}" type="model" name="{name}" pid="{MATERIALS}" pindex="{commonest}">"#)?;
    writeln!(out, "<mesh>\n<vertices>")?;
    for p in &body.mesh.vertices {
        // Rust prints the fewest digits that read back as the same number, without an exponent.
        let [x, y, z] = [p.x, p.y, p.z].map(unsigned_zero);
        writeln!(out, r#"<vertex x="{x}" y="{y}" z="{z}"/>"#)?;
    }
    writeln!(out, "</vertices>\n<triangles>")?;
    for (t, [a, b, c]) in body.mesh.triangles.iter().enumerate() {
        write!(out, r#"<triangle v1="{a}" v2="{b}" v3="{c}""#)?;
        if !single {
            // Written even where it is the object's own: not all readers mix the two.
            write!(out, r#" pid="{MATERIALS}" p1="{}""#, paint_of(t))?;
        }
        writeln!(out, "/>")?;
    }
    writeln!(out, "</triangles>\n</mesh>\n</object>")
}

/// Minus nought would print its sign.
fn unsigned_zero(x: f64) -> f64 {
    x + 0.0
}

/// A text with all that XML would misread written otherwise. Only the named forms (`&amp;` …) are used: the 3MF
/// Consortium's own reader refuses a file with a numbered one (`&#10;`).
struct Escaped<'a>(&'a str);

impl fmt::Display for Escaped<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for c in self.0.chars() {
            match c {
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '&' => f.write_str("&amp;")?,
                '"' => f.write_str("&quot;")?,
                _ => f.write_char(c)?,
            }
        }
        Ok(())
    }
}

/// A value with line ends as readers give them back, whatever is written (XML 1.0, section 2.11).
fn value_text(value: &str) -> String {
    value.replace("\r\n", "\n").replace('\r', "\n")
}

/// A name on one line: in an attribute readers turn line ends and tabs into spaces (XML 1.0, section 3.3.3).
fn name_text(name: &str) -> String {
    value_text(name).replace(['\n', '\t'], " ")
}

/// Whether XML 1.0 (section 2.2) can hold all characters of a text.
fn check_characters(text: &str) -> Result<(), PackError> {
    let holds = |c: char| matches!(c, '\t' | '\n' | '\r' | '\u{20}'..='\u{FFFD}' | '\u{10000}'..);
    match text.chars().find(|c| !holds(*c)) {
        None => Ok(()),
        Some(character) => Err(PackError::Character { text: text.to_owned(), character }),
    }
}
