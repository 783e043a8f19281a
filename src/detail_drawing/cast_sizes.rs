//! Sizes of what stays as cast, feature by feature: on the casting, and with contraction on its pattern and in its core box.
//!
//! Sizes are the design's; where stock is left on a face, those of the casting's table of stock. Draft adds metal to them and is in none.

use solidwright::geometry::{Stretch, V3};

use super::numbers::as_cast;
use super::tables::{broken, table};
use crate::design::{Design, Ribs, ShiftBoxPad};
use crate::drafting::SheetContent;
use crate::faces::{Feature, Role, plain_names};
use crate::forms::{Casting, StockRow};
use crate::housing::{Size, shift_box_face};
use crate::units::{Mm, Units};
use crate::words::counted;

/// For whom sizes are told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Told {
    /// Who measures castings: all of them.
    Casting,
    /// Who makes the pattern: what it gives, with contraction.
    Pattern,
    /// Who makes the core box: what the core gives, with contraction.
    CoreBox,
}

/// What gives a size its form.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum By {
    /// The pattern.
    Pattern,
    /// The core.
    Core,
    /// Pattern and core, with metal between them.
    Both,
}

/// A feature, and its sizes in words.
pub(super) struct Row {
    name: String,
    sizes: Vec<(By, String)>,
}

impl Row {
    pub(super) fn of(name: impl Into<String>) -> Self {
        Self { name: name.into(), sizes: vec![] }
    }

    pub(super) fn with(mut self, by: By, size: String) -> Self {
        self.sizes.push((by, size));
        self
    }

    pub(super) fn and(mut self, by: By, size: Option<String>) -> Self {
        self.sizes.extend(size.map(|size| (by, size)));
        self
    }
}

/// How wide sizes are written before they go on in the next line, mm on paper.
const REACH: f64 = 118.0;

/// The table of cast sizes.
pub(super) fn cast_sizes(design: &Design, made: &Casting, told: Told) -> Option<SheetContent> {
    let scale = if told == Told::Casting { Stretch::NONE } else { made.settings.scale };
    let sizes = Sizes { design, made, units: design.units(), scale };
    let is_told = |by: By| match told {
        Told::Casting => true,
        Told::Pattern => by == By::Pattern,
        Told::CoreBox => by == By::Core,
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    for row in sizes.rows(told) {
        let words: Vec<String> =
            row.sizes.into_iter().filter(|(by, _)| is_told(*by)).map(|(_, size)| size).collect();
        if words.is_empty() {
            continue;
        }
        for (k, line) in broken(&words.join("; "), REACH).into_iter().enumerate() {
            rows.push(vec![if k == 0 { row.name.clone() } else { String::new() }, line]);
        }
    }
    let title = match told {
        Told::Casting => "Cast sizes, on the raw casting; draft adds metal to them. X from datum A",
        Told::Pattern => "Sizes of the pattern, with contraction; draft adds to them. X from datum A",
        Told::CoreBox => {
            "Sizes of the core in its box, with contraction; draft takes off them. X from datum A"
        }
    };
    (!rows.is_empty()).then(|| table(title, &["feature", "sizes"], &rows))
}

/// What sizes are told of, and how they are written.
pub(super) struct Sizes<'a> {
    pub(super) design: &'a Design,
    pub(super) made: &'a Casting,
    units: Units,
    scale: Stretch,
}

impl Sizes<'_> {
    /// A length along the shaft.
    pub(super) fn along(&self, mm: f64) -> String {
        as_cast(self.units, mm * self.scale.axial())
    }

    /// A station.
    pub(super) fn station(&self, mm: f64) -> String {
        format!("X {}", self.along(mm))
    }

    /// A length across the shaft, and a thickness, whichever way it lies.
    pub(super) fn across(&self, mm: f64) -> String {
        as_cast(self.units, mm * self.scale.radial())
    }

    /// A length in a direction.
    pub(super) fn towards(&self, way: V3, mm: f64) -> String {
        let (axial, radial) = (self.scale.axial(), self.scale.radial());
        as_cast(self.units, mm * V3::new(way.x * axial, way.y * radial, way.z * radial).norm())
    }

    pub(super) fn round(&self, mm: f64) -> String {
        format!("Ø{}", self.across(mm))
    }

    /// What is left on a machined face.
    pub(super) fn stock(&self, feature: Feature, role: Role) -> Option<&StockRow> {
        self.made.stock.iter().find(|row| Feature::of(&row.tag) == feature && Role::of(&row.tag) == role)
    }

    /// How much stands on a machined face, mm; nothing where it is cut from what is cast solid.
    pub(super) fn left_on(&self, feature: Feature, role: Role) -> f64 {
        self.stock(feature, role).and_then(|row| row.stock).unwrap_or(0.0)
    }

    fn rows(&self, told: Told) -> Vec<Row> {
        let design = self.design;
        let mut out = vec![self.shell(), self.cavity(), self.flange()];
        out.extend(self.lugs());
        out.extend(self.gussets());
        out.push(self.tail());
        if told == Told::CoreBox {
            out.push(self.bores());
        }
        out.extend(self.rail_tube());
        out.extend(self.longitudinal_ribs());
        out.extend(self.ring_ribs());
        out.extend(design.shift_box_pad().map(|pad| self.shift_box_pad(pad)));
        let mounts =
            [(Feature::MountPad, design.mount_pad()), (Feature::SecondMountPad, design.second_mount_pad())];
        out.extend(mounts.into_iter().filter_map(|(feature, pad)| Some(self.mount_pad(feature, pad?))));
        out.extend(design.sender_boss().map(|boss| self.sender_boss(boss)));
        out.extend(self.plugs());
        out.extend(self.marks());
        out.push(self.fillets());
        out
    }

    fn shell(&self) -> Row {
        let shell = self.design.shell();
        let mut walls: Vec<(f64, f64)> = shell.cavity().iter().map(|s| (s.x.get(), s.wall.get())).collect();
        walls.dedup();
        let wall = if shell.thinnest() == shell.thickest() {
            format!("wall {}", self.across(shell.thinnest().get()))
        } else {
            let at = |(x, wall): &(f64, f64)| format!("{} at {}", self.across(*wall), self.station(*x));
            format!("wall {}", walls.iter().map(at).collect::<Vec<_>>().join(", "))
        };
        // What follows lies within the tail ring.
        let end = self.design.tail().ring_front();
        let profile = shell.outside().iter().filter(|p| p.x < end).map(|p| (p.x.get(), p.radius.get()));
        let last = shell.outside_radius(end).map(|radius| (end.get(), radius.get()));
        let outside = self.rounds(&mut profile.chain(last));
        Row::of("shell").with(By::Both, wall).with(By::Pattern, format!("outside {outside}"))
    }

    fn cavity(&self) -> Row {
        let stations = self.design.shell().cavity().iter();
        let sizes = self.rounds(&mut stations.map(|s| (s.x.get(), s.radius.get())));
        Row::of("cavity").with(By::Core, sizes)
    }

    /// Diameters of a turned outline at its stations.
    fn rounds(&self, points: &mut dyn Iterator<Item = (f64, f64)>) -> String {
        let at = |(x, radius): (f64, f64)| format!("{} at {}", self.round(2.0 * radius), self.station(x));
        points.map(at).collect::<Vec<_>>().join(", ")
    }

    fn flange(&self) -> Row {
        let face = self.design.gearbox_face();
        let back = face.flange_thickness().get();
        let front = self.stock(Feature::GearboxFace, Role::Face).and_then(StockRow::station).unwrap_or(0.0);
        Row::of("flange").with(
            By::Pattern,
            format!(
                "{}, {} thick, {} to {}",
                self.round(face.flange_diameter().get()),
                self.along(back - front),
                self.station(front),
                self.along(back)
            ),
        )
    }

    fn lugs(&self) -> Option<Row> {
        let lugs = self.design.gearbox_face().lugs()?;
        let size = format!(
            "R{}, root {} wide",
            self.across(lugs.radius().get()),
            self.across(lugs.root_width().get())
        );
        let name = counted(self.design.gearbox_face().bolt_holes().len(), "lug");
        Some(Row::of(name).with(By::Pattern, format!("{size}, as thick as the flange")))
    }

    fn tail(&self) -> Row {
        let tail = self.design.tail();
        let rear = self.stock(Feature::Tail, Role::RearFace).and_then(StockRow::station);
        let ring = format!(
            "{}, {} to {}",
            self.round(tail.outside_diameter().get()),
            self.station(tail.ring_front().get()),
            self.station(rear.unwrap_or(tail.rear().get()))
        );
        let barrel = tail.barrel().map(|barrel| {
            format!("barrel {} to {}", self.round(barrel.diameter.get()), self.station(barrel.rear.get()))
        });
        Row::of("tail ring").with(By::Pattern, ring).and(By::Pattern, barrel)
    }

    /// Bores that the core leaves, and where the faces between them lie.
    fn bores(&self) -> Row {
        let mut told: Vec<String> = Vec::new();
        for row in &self.made.stock {
            let size = match (row.finished, row.casting) {
                (Size::Bore(_), Some(size)) => Some(self.round(size)),
                (Size::Length { .. }, Some(_)) if Feature::of(&row.tag) == Feature::Tail => {
                    row.station().map(|x| self.station(x))
                }
                _ => None,
            };
            let Some(size) = size.map(|size| format!("{} {size}", plain_names::face(&row.tag))) else {
                continue;
            };
            if !told.contains(&size) {
                told.push(size);
            }
        }
        told.into_iter().fold(Row::of("bores"), |row, size| row.with(By::Core, size))
    }

    fn marks(&self) -> Option<Row> {
        let marks = self.design.casting().marks()?;
        let [height, stroke, raised] =
            [marks.height, marks.stroke, marks.raised].map(|mm| self.across(mm.get()));
        let size = format!("letters {height} high, strokes {stroke} wide, raised {raised}");
        Some(Row::of("marks").with(By::Pattern, size))
    }

    /// Radii of fillets and edges: those of balls that were made larger so that the casting holds the finished part.
    fn fillets(&self) -> Row {
        let fillets = self.design.casting().fillets();
        let larger = self.made.laid.share();
        let radius = |r: Mm, share: f64| match r.get() {
            r if r > 0.0 => format!("R{}", self.across(r * share)),
            _ => "sharp".to_owned(),
        };
        let own = fillets.own().iter().filter(|(_, r)| *r != fillets.outside());
        let own = own.map(|(of, r)| format!("at {} {}", plain_names::feature(*of), radius(*r, larger)));
        let corners = self.made.moulded.inner_corners.iter().map(|(of, r)| {
            format!("inner corners of {} {}", plain_names::feature(*of), radius(Mm::new(*r), 1.0))
        });
        let outside = format!("outside {}", radius(fillets.outside(), larger));
        let edges = format!("edges {}", radius(fillets.edges(), 1.0));
        let row = Row::of("fillets").with(By::Pattern, outside);
        let row = own.fold(row, |row, size| row.with(By::Pattern, size));
        let row = row.with(By::Core, format!("cavity {}", radius(fillets.cavity(), larger)));
        corners.fold(row.with(By::Pattern, edges), |row, size| row.with(By::Pattern, size))
    }
}

/// Cosine between a pad's axis and the direction in which the upper half is lifted above which it stands on top in the section.
const LEVEL: f64 = 0.98;

/// Stations of flange, pads, bosses, rings and tail on the pattern, and how far from the shaft axis each is told, mm without contraction.
pub(super) fn pattern_stations(design: &Design, made: &Casting) -> Vec<(f64, f64)> {
    let face = design.gearbox_face();
    let rim = 0.5 * face.flange_diameter().get();
    let row = |feature: Feature, role: Role| {
        made.stock.iter().find(|row| Feature::of(&row.tag) == feature && Role::of(&row.tag) == role)
    };
    let station = |feature, role| row(feature, role).and_then(StockRow::station);
    let front = station(Feature::GearboxFace, Role::Face).unwrap_or(0.0);
    let mut out = vec![(front, rim), (face.flange_thickness().get(), rim)];
    let shell = |x: Mm| (x.get(), design.shell().outside_radius(x).map_or(0.0, Mm::get));
    out.extend(
        design.ribs().into_iter().flat_map(Ribs::rings).map(|r| (r.station.get(), r.outer_radius.get())),
    );
    // Told on its face where the section shows that.
    let on_top = |pad: &ShiftBoxPad| shift_box_face(pad).z.dot(&made.settings.up) > LEVEL;
    out.extend(design.shift_box_pad().map(|pad| {
        if on_top(pad) { (pad.station().get(), pad.height().get()) } else { shell(pad.station()) }
    }));
    out.extend(
        [design.mount_pad(), design.second_mount_pad()].into_iter().flatten().map(|pad| shell(pad.station())),
    );
    out.extend(design.sender_boss().map(|boss| shell(boss.station())));
    out.extend(design.plugs().iter().map(|plug| shell(plug.station())));
    let (tail, ring) = (design.tail(), 0.5 * design.tail().outside_diameter().get());
    let barrel = tail.barrel();
    out.extend(barrel.map(|barrel| (barrel.rear.get(), ring)));
    out.push((tail.ring_front().get(), barrel.map_or(ring, |barrel| 0.5 * barrel.diameter.get())));
    out.push((station(Feature::Tail, Role::RearFace).unwrap_or(tail.rear().get()), ring));
    out
}

/// Stations of the cavity and of the bores behind it in the core box, as above.
pub(super) fn core_stations(design: &Design, made: &Casting) -> Vec<(f64, f64)> {
    let cavity = design.shell().cavity();
    let mut out: Vec<(f64, f64)> = cavity.iter().map(|s| (s.x.get(), s.radius.get())).collect();
    let narrow = cavity.last().map_or(0.0, |s| s.radius.get());
    let of_tail = made.stock.iter().filter(|row| Feature::of(&row.tag) == Feature::Tail);
    let known: Vec<f64> = of_tail.filter_map(StockRow::station).collect();
    out.extend(known.into_iter().map(|x| (x, narrow)));
    out
}
