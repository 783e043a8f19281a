//! A plane picture to scale, for the side view and for the driveline: it grows as items are added.

use std::fmt::Write as _;

/// Margin around everything, mm.
const MARGIN: f64 = 30.0;

/// A drawing that grows as items are added; z is up.
pub(super) struct Drawn {
    body: String,
    pub(super) low: [f64; 2],
    pub(super) high: [f64; 2],
    /// Size of text, mm of the part.
    text: f64,
}

impl Drawn {
    /// An empty picture whose text has this size, mm of the part.
    pub(super) fn new(text: f64) -> Self {
        Self { body: String::new(), low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2], text }
    }

    pub(super) fn include(&mut self, x: f64, z: f64) {
        self.low = [self.low[0].min(x), self.low[1].min(z)];
        self.high = [self.high[0].max(x), self.high[1].max(z)];
    }

    pub(super) fn shape(&mut self, points: &[[f64; 2]], style: &str) {
        let mut path = String::new();
        for (i, [x, z]) in points.iter().enumerate() {
            self.include(*x, *z);
            let _ = write!(path, "{}{x:.2} {:.2} ", if i == 0 { "M" } else { "L" }, -z);
        }
        let _ = writeln!(self.body, "<path d=\"{path}Z\" {style}/>");
    }

    pub(super) fn rectangle(&mut self, [x0, x1]: [f64; 2], [z0, z1]: [f64; 2], style: &str) {
        self.shape(&[[x0, z0], [x1, z0], [x1, z1], [x0, z1]], style);
    }

    pub(super) fn line(&mut self, [x0, z0]: [f64; 2], [x1, z1]: [f64; 2], style: &str) {
        self.include(x0, z0);
        self.include(x1, z1);
        let _ = writeln!(
            self.body,
            "<line x1=\"{x0:.2}\" y1=\"{:.2}\" x2=\"{x1:.2}\" y2=\"{:.2}\" {style}/>",
            -z0, -z1
        );
    }

    pub(super) fn text(&mut self, x: f64, z: f64, anchor: &str, text: &str) {
        let escaped = text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        let half = 0.3 * self.text * text.chars().count() as f64;
        let middle = match anchor {
            "start" => x + half,
            "end" => x - half,
            _ => x,
        };
        self.include(middle - half, z);
        self.include(middle + half, z + self.text);
        let _ = writeln!(
            self.body,
            "<text x=\"{x:.2}\" y=\"{:.2}\" text-anchor=\"{anchor}\">{escaped}</text>",
            -z
        );
    }

    /// The picture as SVG; a unit of it is a millimetre.
    pub(super) fn svg(&self) -> String {
        let [x, z] = [self.low[0] - MARGIN, self.high[1] + MARGIN];
        let [w, h] = [self.high[0] - self.low[0] + 2.0 * MARGIN, self.high[1] - self.low[1] + 2.0 * MARGIN];
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w:.1}mm\" height=\"{h:.1}mm\" viewBox=\"{x:.2} {:.2} {w:.2} {h:.2}\">\n\
             <rect x=\"{x:.2}\" y=\"{:.2}\" width=\"{w:.2}\" height=\"{h:.2}\" fill=\"#fff\"/>\n{}{}</svg>\n",
            -z,
            -z,
            style(self.text),
            self.body
        )
    }
}

pub(super) const NEW: &str = "class=\"new\"";
pub(super) const OLD: &str = "class=\"old\"";
pub(super) const BOX: &str = "class=\"gearbox\"";
pub(super) const WORKS: &str = "class=\"works\"";
pub(super) const CENTRE: &str = "class=\"centre\"";
pub(super) const POINT: &str = "class=\"point\"";

/// The styles of all items: the larger the text, the wider the lines.
fn style(text: f64) -> String {
    let wide = |width: f64| width * text / 9.0;
    let (body, old, other, thin, point) = (wide(0.8), wide(0.9), wide(0.6), wide(0.4), wide(1.2));
    let (dash, gap, long, dot) = (wide(6.0), wide(3.0), wide(12.0), wide(2.0));
    format!(
        "<style>text{{font:{text}px sans-serif;fill:#222}} .new{{fill:#c9d6df;stroke:#1f3a4d;stroke-width:{body:.1}}} \
         .old{{fill:none;stroke:#9a4b1f;stroke-width:{old:.1};stroke-dasharray:{dash:.1} {gap:.1}}} \
         .gearbox{{fill:#e6e3da;stroke:#666;stroke-width:{other:.1}}} \
         .works{{fill:#efe2b8;stroke:#6b5a17;stroke-width:{other:.1}}} \
         .centre{{stroke:#888;stroke-width:{thin:.1};stroke-dasharray:{long:.1} {gap:.1} {dot:.1} {gap:.1}}} \
         .point{{stroke:#0a6b3d;stroke-width:{point:.1};fill:none}}</style>\n"
    )
}
