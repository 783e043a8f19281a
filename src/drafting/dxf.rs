//! A sheet as a DXF file of release 2000: circles, arcs, ellipses and lines as such, dimensions as dimension entities
//! that measure at the scale of their view, each meaning on a layer of its own.
//!
//! Group codes from memory of the published DXF reference; a general reader audits the files in the reference checks.
//! Millimetres of paper. Equal input gives equal bytes: handles are counted.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use solidwright::geometry::P2;

use super::dashes::shorter_pattern;
use super::entity::{Dashes, Layer, Shape};
use super::page::{Anchor, DimensionKind, Lettering, Page, SheetDimension};
use super::svg::name;
use crate::words::fixed;

/// Decimals of coordinates.
const DECIMALS: usize = 6;

/// The text style, and the file of its font where it is installed.
const STYLE: &str = "SHEET";
const FONT: &str = "DejaVuSansCondensed.ttf";

/// Handles of what other objects refer to; those of entities follow.
mod handle {
    pub(super) const BLOCK_RECORDS: u32 = 0x1;
    pub(super) const MODEL: u32 = 0x2;
    pub(super) const PAPER: u32 = 0x3;
    pub(super) const ROOT: u32 = 0x4;
    pub(super) const GROUPS: u32 = 0x5;
    pub(super) const FIRST: u32 = 0x40;
}

/// The whole file.
pub fn dxf(page: &Page) -> String {
    let mut blocks = Writer::from(0x2000);
    let mut records = Writer::from(0x1000);
    let mut entities = Writer::from(0x10_0000);
    for (layer, shape) in page.content.entities.iter().map(|e| (e.layer, &e.shape)) {
        entities.shape(layer, shape, handle::MODEL);
    }
    page.content.arrows.iter().for_each(|a| entities.solid(a, handle::MODEL));
    page.content.texts.iter().for_each(|t| entities.text(t, handle::MODEL));
    let styles = styles(page);
    for (k, dimension) in page.content.dimensions.iter().enumerate() {
        let name = format!("*D{}", k + 1);
        let record = records.record(&name);
        blocks.block(&name, record, |out| {
            dimension.lines.iter().for_each(|s| out.shape(Layer::Dimension, s, record));
            dimension.arrows.iter().for_each(|a| out.solid(a, record));
            out.text(&dimension.text, record);
        });
        entities.dimension(dimension, &name, &style_name(dimension.factor));
    }
    let mut out = Writer::from(handle::FIRST);
    out.header(page);
    out.tables(&styles, &records.text);
    out.section("BLOCKS");
    for (name, record) in [("*Model_Space", handle::MODEL), ("*Paper_Space", handle::PAPER)] {
        out.block(name, record, |_| {});
    }
    out.text += &blocks.text;
    out.end();
    out.section("ENTITIES");
    out.text += &entities.text;
    out.end();
    out.objects();
    out.put(0, "EOF");
    out.text
}

/// One style of dimensions for each scale, told by how many times a length on paper the part's is.
fn styles(page: &Page) -> BTreeMap<String, f64> {
    page.content.dimensions.iter().map(|d| (style_name(d.factor), 1.0 / d.factor)).collect()
}

fn style_name(factor: f64) -> String {
    format!("SCALE_{}", fixed(factor * 1000.0, 0))
}

/// Text with counted handles.
struct Writer {
    text: String,
    next: u32,
}

impl Writer {
    fn from(first: u32) -> Self {
        Self { text: String::new(), next: first }
    }

    fn put(&mut self, code: u16, value: impl std::fmt::Display) {
        // Writing to a string cannot fail.
        let _done = write!(self.text, "{code}\n{value}\n");
    }

    fn number(&mut self, code: u16, value: f64) {
        self.put(code, fixed(value, DECIMALS));
    }

    fn point(&mut self, code: u16, p: P2) {
        self.number(code, p.x);
        self.number(code + 10, p.y);
        self.number(code + 20, 0.0);
    }

    fn hex(&mut self, code: u16, handle: u32) {
        self.put(code, format!("{handle:X}"));
    }

    /// A new handle.
    fn own(&mut self) -> u32 {
        self.next += 1;
        self.next - 1
    }

    fn section(&mut self, name: &str) {
        self.put(0, "SECTION");
        self.put(2, name);
    }

    fn end(&mut self) {
        self.put(0, "ENDSEC");
    }

    fn header(&mut self, page: &Page) {
        self.section("HEADER");
        self.put(9, "$ACADVER");
        self.put(1, "AC1015");
        self.put(9, "$DWGCODEPAGE");
        self.put(3, "ANSI_1252");
        self.put(9, "$INSUNITS");
        self.put(70, 4);
        self.put(9, "$MEASUREMENT");
        self.put(70, 1);
        self.put(9, "$LTSCALE");
        self.number(40, 1.0);
        self.put(9, "$EXTMIN");
        self.point(10, P2::origin());
        self.put(9, "$EXTMAX");
        self.point(10, P2::from(page.format.size()));
        self.put(9, "$HANDSEED");
        self.put(5, "7FFFFFF");
        self.end();
    }

    /// The head of a table; `count` is a hint to readers.
    fn table(&mut self, name: &str, count: usize) -> u32 {
        let own = self.own();
        self.put(0, "TABLE");
        self.put(2, name);
        self.hex(5, own);
        self.hex(330, 0);
        self.put(100, "AcDbSymbolTable");
        self.put(70, count);
        own
    }

    /// The head of a table's entry.
    fn entry(&mut self, kind: &str, owner: u32, class: &str, name: &str) {
        let own = self.own();
        self.put(0, kind);
        self.hex(if kind == "DIMSTYLE" { 105 } else { 5 }, own);
        self.hex(330, owner);
        self.put(100, "AcDbSymbolTableRecord");
        self.put(100, class);
        self.put(2, name);
        self.put(70, 0);
    }

    fn tables(&mut self, styles: &BTreeMap<String, f64>, records: &str) {
        self.section("TABLES");
        self.viewport();
        self.line_types();
        self.layers();
        let owner = self.table("STYLE", 1);
        self.entry("STYLE", owner, "AcDbTextStyleTableRecord", STYLE);
        for (code, value) in [(40, 0.0), (41, 1.0), (50, 0.0)] {
            self.number(code, value);
        }
        self.put(71, 0);
        self.number(42, 2.5);
        self.put(3, FONT);
        self.put(4, "");
        self.put(0, "ENDTAB");
        for name in ["VIEW", "UCS"] {
            self.table(name, 0);
            self.put(0, "ENDTAB");
        }
        let owner = self.table("APPID", 1);
        self.entry("APPID", owner, "AcDbRegAppTableRecord", "ACAD");
        self.put(0, "ENDTAB");
        self.dimension_styles(styles);
        self.put(0, "TABLE");
        self.put(2, "BLOCK_RECORD");
        self.hex(5, handle::BLOCK_RECORDS);
        self.hex(330, 0);
        self.put(100, "AcDbSymbolTable");
        self.put(70, 2);
        for (name, own) in [("*Model_Space", handle::MODEL), ("*Paper_Space", handle::PAPER)] {
            self.block_record(name, own);
        }
        self.text += records;
        self.put(0, "ENDTAB");
        self.end();
    }

    fn viewport(&mut self) {
        let owner = self.table("VPORT", 1);
        self.entry("VPORT", owner, "AcDbViewportTableRecord", "*Active");
        self.put(0, "ENDTAB");
    }

    fn line_types(&mut self) {
        let owner = self.table("LTYPE", 6);
        let width = super::entity::Weight::Narrow.width();
        for (name, dashes) in [
            ("ByBlock", Dashes::None),
            ("ByLayer", Dashes::None),
            ("CONTINUOUS", Dashes::None),
            ("DASHED", Dashes::Dashed),
            ("LONG_DASH_DOT", Dashes::LongDashDot),
            ("LONG_DASH_DOUBLE_DOT", Dashes::LongDashDoubleDot),
        ] {
            self.entry("LTYPE", owner, "AcDbLinetypeTableRecord", name);
            let lengths: Vec<f64> = dashes.lengths().iter().map(|share| share * width).collect();
            self.put(3, "");
            self.put(72, 65);
            self.put(73, lengths.len());
            self.number(40, lengths.iter().sum());
            for (k, length) in lengths.into_iter().enumerate() {
                self.number(49, if k % 2 == 0 { length } else { -length });
                self.put(74, 0);
            }
        }
        self.put(0, "ENDTAB");
    }

    fn layers(&mut self) {
        let owner = self.table("LAYER", 1 + Layer::ALL.len());
        self.layer(owner, "0", "CONTINUOUS", 25);
        for layer in Layer::ALL {
            let stroke = layer.stroke();
            let dashes = match stroke.dashes {
                Dashes::None => "CONTINUOUS",
                Dashes::Dashed => "DASHED",
                Dashes::LongDashDot => "LONG_DASH_DOT",
                Dashes::LongDashDoubleDot => "LONG_DASH_DOUBLE_DOT",
            };
            self.layer(owner, name(layer), dashes, (stroke.weight.width() * 100.0).round() as i32);
        }
        self.put(0, "ENDTAB");
    }

    fn layer(&mut self, owner: u32, name: &str, dashes: &str, weight: i32) {
        self.entry("LAYER", owner, "AcDbLayerTableRecord", name);
        self.put(62, 7);
        self.put(6, dashes);
        self.put(370, weight);
        self.hex(390, 0);
    }

    fn dimension_styles(&mut self, styles: &BTreeMap<String, f64>) {
        let owner = self.table("DIMSTYLE", styles.len());
        self.put(100, "AcDbDimStyleTable");
        for (name, factor) in styles {
            self.entry("DIMSTYLE", owner, "AcDbDimStyleTableRecord", name);
            for (code, value) in [(41, 2.6), (42, 1.0), (44, 2.0), (140, 2.5), (144, *factor), (147, 0.9)] {
                self.number(code, value);
            }
        }
        self.put(0, "ENDTAB");
    }

    /// An entry of the table of blocks; gives its handle.
    fn record(&mut self, name: &str) -> u32 {
        let own = self.own();
        self.block_record(name, own);
        own
    }

    fn block_record(&mut self, name: &str, own: u32) {
        self.put(0, "BLOCK_RECORD");
        self.hex(5, own);
        self.hex(330, handle::BLOCK_RECORDS);
        self.put(100, "AcDbSymbolTableRecord");
        self.put(100, "AcDbBlockTableRecord");
        self.put(2, name);
    }

    fn block(&mut self, name: &str, record: u32, inside: impl FnOnce(&mut Self)) {
        self.head("BLOCK", "0", record, "AcDbBlockBegin");
        self.put(2, name);
        self.put(70, i32::from(name.starts_with("*D")));
        self.point(10, P2::origin());
        self.put(3, name);
        self.put(1, "");
        inside(self);
        self.head("ENDBLK", "0", record, "AcDbBlockEnd");
    }

    fn objects(&mut self) {
        self.section("OBJECTS");
        self.put(0, "DICTIONARY");
        self.hex(5, handle::ROOT);
        self.hex(330, 0);
        self.put(100, "AcDbDictionary");
        self.put(3, "ACAD_GROUP");
        self.hex(350, handle::GROUPS);
        self.put(0, "DICTIONARY");
        self.hex(5, handle::GROUPS);
        self.hex(330, handle::ROOT);
        self.put(100, "AcDbDictionary");
        self.end();
    }
}

/// Entities.
impl Writer {
    fn head(&mut self, kind: &str, layer: &str, owner: u32, class: &str) {
        self.scaled_head(kind, layer, owner, class, 1.0);
    }

    /// The head of an entity whose dashes have a scale of their own.
    fn scaled_head(&mut self, kind: &str, layer: &str, owner: u32, class: &str, dashes: f64) {
        let own = self.own();
        self.put(0, kind);
        self.hex(5, own);
        self.hex(330, owner);
        self.put(100, "AcDbEntity");
        self.put(8, layer);
        if dashes < 1.0 {
            self.number(48, dashes);
        }
        self.put(100, class);
    }

    fn shape(&mut self, layer: Layer, shape: &Shape, owner: u32) {
        let scale = shorter_pattern(layer, shape);
        let is_dashed = layer.stroke().dashes != Dashes::None;
        let layer = name(layer);
        match shape {
            Shape::Line(a, b) => {
                self.scaled_head("LINE", layer, owner, "AcDbLine", scale);
                self.point(10, *a);
                self.point(11, *b);
            }
            Shape::Arc(arc) => {
                let whole = arc.end - arc.start > std::f64::consts::TAU - 1e-9;
                self.scaled_head(if whole { "CIRCLE" } else { "ARC" }, layer, owner, "AcDbCircle", scale);
                self.point(10, arc.centre);
                self.number(40, arc.radius);
                if !whole {
                    self.put(100, "AcDbArc");
                    self.number(50, arc.start.to_degrees());
                    self.number(51, arc.end.to_degrees());
                }
            }
            Shape::Ellipse(e) => {
                self.scaled_head("ELLIPSE", layer, owner, "AcDbEllipse", scale);
                self.point(10, e.centre);
                self.point(11, P2::from(e.major));
                for (code, value) in
                    [(210, 0.0), (220, 0.0), (230, 1.0), (40, e.ratio), (41, e.start), (42, e.end)]
                {
                    self.number(code, value);
                }
            }
            Shape::Chain(points) => {
                self.scaled_head("LWPOLYLINE", layer, owner, "AcDbPolyline", scale);
                self.put(90, points.len());
                // Dashes run on over the corners of a chain: begun anew at each, its short chords were solid.
                self.put(70, if is_dashed { 128 } else { 0 });
                for p in points {
                    self.number(10, p.x);
                    self.number(20, p.y);
                }
            }
        }
    }

    /// A filled triangle.
    fn solid(&mut self, [a, b, c]: &[P2; 3], owner: u32) {
        self.head("SOLID", name(Layer::Dimension), owner, "AcDbTrace");
        for (code, p) in [(10, a), (11, b), (12, c), (13, c)] {
            self.point(code, *p);
        }
    }

    fn text(&mut self, text: &Lettering, owner: u32) {
        self.head("TEXT", name(Layer::Text), owner, "AcDbText");
        self.point(10, text.at);
        self.number(40, text.height);
        self.put(1, encoded(&text.text));
        self.number(50, if text.upright { 90.0 } else { 0.0 });
        self.put(7, STYLE);
        let side = match text.anchor {
            Anchor::Start => 0,
            Anchor::Middle => 1,
            Anchor::End => 2,
        };
        self.put(72, side);
        if side > 0 {
            self.point(11, text.at);
        }
        self.put(100, "AcDbText");
        self.put(73, 0);
    }

    fn dimension(&mut self, d: &SheetDimension, block: &str, style: &str) {
        self.head("DIMENSION", name(Layer::Dimension), handle::MODEL, "AcDbDimension");
        let (place, kind) = match d.measured {
            DimensionKind::Linear { line, .. } => (line, 32),
            // 64: counts along x; 128: the writing stands where it is told.
            DimensionKind::Ordinate { origin, along_x, .. } => {
                (origin, 32 + 6 + if along_x { 64 } else { 0 })
            }
            // By three points.
            DimensionKind::Angular { arc, .. } => (arc, 32 + 5),
        };
        let middle = d.text.bounds();
        self.put(2, block);
        self.point(10, place);
        self.point(11, middle.low + middle.size() * 0.5);
        self.put(70, kind + 128);
        self.put(71, 5);
        self.number(42, d.value);
        self.put(1, encoded(&d.text.text));
        self.put(3, style);
        match d.measured {
            DimensionKind::Linear { from, to, upright, .. } => {
                self.put(100, "AcDbAlignedDimension");
                self.point(13, from);
                self.point(14, to);
                self.number(50, if upright { 90.0 } else { 0.0 });
                self.put(100, "AcDbRotatedDimension");
            }
            DimensionKind::Ordinate { feature, end, .. } => {
                self.put(100, "AcDbOrdinateDimension");
                self.point(13, feature);
                self.point(14, end);
            }
            DimensionKind::Angular { vertex, on, .. } => {
                self.put(100, "AcDb3PointAngularDimension");
                self.point(13, on[0]);
                self.point(14, on[1]);
                self.point(15, vertex);
            }
        }
    }
}

/// A text with signs beyond plain letters as the format writes them.
fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '\n' | '\r' => out.push(' '),
            '%' => out.push_str("%%%"),
            ' '..='~' => out.push(sign),
            _ => {
                let _done = write!(out, "\\U+{:04X}", u32::from(sign));
            }
        }
    }
    out
}
