//! Cast sizes of what stands on the shell: ribs and gussets, rail tube, pads, bosses.

use super::cast_sizes::{By, Row, Sizes};
use super::numbers::degrees;
use crate::design::{
    Boss, FlangeGusset, HollowOpens, LongitudinalRib, MountPad, MountPlate, PadFace, PadHollow, Plug,
    RailForm, Rectangle, RetainingScrew, Ribs, RingRib, SenderBoss, ShiftBoxPad, Tie,
};
use crate::faces::{Feature, PlugId, Role, plain_names};
use crate::housing::{sender_stand, shift_box_face};
use crate::units::{Deg, Mm};
use crate::words::counted;

/// Neighbours that differ in their clock angle only: one of them without it, and the angles of all.
fn alike<T: Clone + PartialEq>(all: &[T], clock: impl Fn(&mut T) -> &mut Deg) -> Vec<(T, Vec<Deg>)> {
    let mut out: Vec<(T, Vec<Deg>)> = Vec::new();
    for one in all {
        let mut bare = one.clone();
        let own = std::mem::replace(clock(&mut bare), Deg::new(0.0));
        match out.last_mut().filter(|(known, _)| *known == bare) {
            Some((_, clocks)) => clocks.push(own),
            None => out.push((bare, vec![own])),
        }
    }
    out
}

/// Clock angles in words.
fn clocks(all: &[Deg]) -> String {
    format!("clock {}", all.iter().map(|clock| degrees(*clock)).collect::<Vec<_>>().join(", "))
}

impl Sizes<'_> {
    /// Gussets behind the flange, alike ones in one row.
    pub(super) fn gussets(&self) -> Vec<Row> {
        let row = |(gusset, angles): (FlangeGusset, Vec<Deg>)| {
            let size = format!(
                "{} thick, edge from {} off the shaft axis at the flange to {} at {}",
                self.across(gusset.thickness.get()),
                self.across(gusset.outer_radius.get()),
                self.across(gusset.tip.1.get()),
                self.station(gusset.tip.0.get())
            );
            let name = counted(angles.len(), "flange gusset");
            Row::of(name).with(By::Pattern, size).with(By::Pattern, clocks(&angles))
        };
        alike(self.design.gearbox_face().gussets(), |g| &mut g.clock).into_iter().map(row).collect()
    }

    pub(super) fn rail_tube(&self) -> Option<Row> {
        let tube = self.design.rail_tube()?;
        let name = match tube.form() {
            RailForm::Hump => "rail hump",
            RailForm::Tube => "rail tube",
        };
        let size = format!(
            "{} about Y {} Z {}, {} to {}",
            self.round(tube.outside_diameter().get()),
            self.across(tube.y().get()),
            self.across(tube.z().get()),
            self.station(tube.from().get()),
            self.station(tube.to().get())
        );
        Some(Row::of(name).with(By::Pattern, size))
    }

    /// Ribs along the shaft, alike ones in one row.
    pub(super) fn longitudinal_ribs(&self) -> Vec<Row> {
        let row = |(rib, angles): (LongitudinalRib, Vec<Deg>)| {
            let [front, rear] = rib.heights.map(|mm| self.across(mm.get()));
            let high = if front == rear {
                format!("{front} high")
            } else {
                format!("{front} high in front, {rear} behind")
            };
            let thick = self.across(rib.thickness.get());
            let ends = [rib.front, rib.rear].map(|(x, _)| self.station(x.get())).join(" to ");
            let size = format!("{thick} thick at the crest, {high}, {ends}");
            let name = counted(angles.len(), "longitudinal rib");
            Row::of(name).with(By::Pattern, size).with(By::Pattern, clocks(&angles))
        };
        let ribs = self.design.ribs().map(Ribs::longitudinal).unwrap_or_default();
        alike(ribs, |rib| &mut rib.clock).into_iter().map(row).collect()
    }

    /// Ribs around the shell.
    pub(super) fn ring_ribs(&self) -> Vec<Row> {
        let row = |(k, rib): (usize, &RingRib)| {
            let size = format!(
                "{} thick at the crest, {} high, crest {}, middle {}",
                self.along(rib.thickness.get()),
                self.across(rib.height.get()),
                self.round(2.0 * rib.outer_radius.get()),
                self.station(rib.station.get())
            );
            Row::of(format!("ring rib {}", k + 1)).with(By::Pattern, size)
        };
        self.design.ribs().map(Ribs::rings).unwrap_or_default().iter().enumerate().map(row).collect()
    }

    fn rectangle(&self, of: &Rectangle) -> String {
        let [length, width, radius] = [of.length, of.width, of.corner_radius].map(Mm::get);
        let corners = if radius > 0.0 { format!(" R{}", self.across(radius)) } else { String::new() };
        format!("{} × {}{corners}", self.along(length), self.across(width))
    }

    pub(super) fn shift_box_pad(&self, pad: &ShiftBoxPad) -> Row {
        let feature = Feature::ShiftBoxPad;
        let outline = match pad.outline() {
            PadFace::Rectangle(outline) => self.rectangle(outline),
            PadFace::Polygon(corners) => {
                format!(
                    "face with {} as on the finished part\u{2019}s drawing",
                    counted(corners.len(), "corner")
                )
            }
        };
        let axis = shift_box_face(pad).z;
        // The stock stands square to the face, which may lean along the shaft.
        let stock = self.left_on(feature, Role::Face);
        let high = self.across(pad.height().get() + stock / axis.yz().norm());
        let place = format!("{high} from the shaft axis, middle {}", self.station(pad.station().get()));
        let opening = pad.opening().map(|opening| format!("opening {}", self.rectangle(&opening)));
        let row = Row::of(plain_names::feature(feature)).with(By::Pattern, outline).with(By::Pattern, place);
        let bosses = pad.hollow().map(|h| h.bosses(pad.holes(), pad.dowels())).unwrap_or_default();
        self.hollow(row.and(By::Core, opening), pad.hollow(), &bosses, (stock, None))
    }

    pub(super) fn mount_pad(&self, feature: Feature, pad: &MountPad) -> Row {
        let stock = self.left_on(feature, Role::Face);
        let low = self.across(pad.drop().get() + stock);
        let row =
            Row::of(plain_names::feature(feature)).with(By::Pattern, self.rectangle(&pad.outline())).with(
                By::Pattern,
                format!("{low} below the shaft axis, middle {}", self.station(pad.station().get())),
            );
        let row = match pad.plate() {
            Some(plate) => self.plate(row, pad, plate, stock),
            None => row,
        };
        let bosses = pad.hollow().map(|h| h.bosses(pad.holes(), &[])).unwrap_or_default();
        self.hollow(row, pad.hollow(), &bosses, (stock, pad.pocket().map(|p| p.get())))
    }

    /// A plate, what ties it to the shell, and the bosses behind its holes.
    fn plate(&self, row: Row, pad: &MountPad, plate: &MountPlate, stock: f64) -> Row {
        let thick = plate.tie_thickness().get();
        let tie = match plate.tie() {
            Tie::Walls { .. } => format!("2 walls {} thick", self.across(thick)),
            Tie::Gussets { count, .. } => {
                format!("{} {} thick", counted(count, "gusset"), self.along(thick))
            }
        };
        let end = pad.holes().and_then(|holes| plate.boss_end(holes));
        let bosses = plate.boss_diameter().zip(end).map(|(diameter, end)| {
            let high = self.across(end.get() + stock);
            format!(
                "bosses {}, ending {high} above the cast face or in the shell",
                self.round(diameter.get())
            )
        });
        row.with(By::Pattern, format!("plate {} thick", self.across(plate.thickness().get() + stock)))
            .with(By::Pattern, tie)
            .and(By::Pattern, bosses)
    }

    /// Walls of a hollow, what closes it, and the bosses in it; with the stock on the pad\u{2019}s face, and the depth of a pocket that is open there.
    fn hollow(
        &self,
        row: Row,
        hollow: Option<&PadHollow>,
        bosses: &[Boss],
        (stock, pocket): (f64, Option<f64>),
    ) -> Row {
        let Some(hollow) = hollow else { return row };
        let (walls, by, closed) = match hollow.opens() {
            HollowOpens::Outside => (By::Pattern, By::Pattern, hollow.floor().get()),
            // The pad\u{2019}s face closes it.
            HollowOpens::Inside => (By::Both, By::Core, hollow.floor().get() + stock),
        };
        let deep = pocket.map(|deep| format!("pocket {} deep from the cast face", self.across(deep + stock)));
        let mut told: Vec<String> = Vec::new();
        for boss in bosses {
            let round = self.round(boss.diameter.get());
            let one = match hollow.opens() {
                HollowOpens::Outside => format!("bosses {round} in it"),
                HollowOpens::Inside => {
                    format!(
                        "bosses {round}, ending {} from the cast face",
                        self.across(boss.depth.get() + stock)
                    )
                }
            };
            if !told.contains(&one) {
                told.push(one);
            }
        }
        let row = row
            .with(walls, format!("walls {} thick", self.across(hollow.wall().get())))
            .and(By::Pattern, deep)
            .with(By::Both, format!("floor {} thick", self.across(closed)));
        told.into_iter().fold(row, |row, one| row.with(by, one))
    }

    pub(super) fn sender_boss(&self, boss: &SenderBoss) -> Row {
        let (feature, axis) = (Feature::SenderBoss, sender_stand(boss).axis);
        // The end is faced whole, or a seat is sunk into it that the casting does not show.
        let sunk = boss.spot_face().filter(|_| self.stock(feature, Role::End).is_some());
        let role = if sunk.is_some() { Role::End } else { Role::SpotFace };
        let stock = self.left_on(feature, role) + sunk.map_or(0.0, |seat| seat.depth.get());
        let size = format!(
            "{}, end {} along its axis from where that is nearest to the shaft axis",
            self.round(boss.diameter().get()),
            self.towards(axis, boss.height().get() + stock)
        );
        let place = format!("foot {}, clock {}", self.station(boss.station().get()), degrees(boss.clock()));
        let neck = boss.neck().map(|neck| {
            let head = self.towards(axis, neck.head.get() + stock);
            format!("neck {} below a head {head} long", self.round(neck.diameter.get()))
        });
        let ear = boss.retaining_screw().and_then(RetainingScrew::ear).map(|ear| {
            let deep = self.towards(axis, ear.depth.get() + stock);
            format!("ear R{}, {deep} deep", self.across(ear.radius.get()))
        });
        Row::of(plain_names::feature(feature))
            .with(By::Pattern, size)
            .with(By::Pattern, place)
            .and(By::Pattern, neck)
            .and(By::Pattern, ear)
    }

    pub(super) fn plugs(&self) -> Vec<Row> {
        let row = |(k, plug): (usize, &Plug)| {
            let own = PlugId { kind: plug.kind(), number: k + 1 };
            let stock = self.left_on(Feature::Plugs, Role::PlugFace(own));
            let size = format!(
                "{}, end {} from the shaft axis, {}, clock {}",
                self.round(plug.diameter().get()),
                self.across(plug.height().get() + stock),
                self.station(plug.station().get()),
                degrees(plug.clock())
            );
            Row::of(format!("boss of plug P{}", k + 1)).with(By::Pattern, size)
        };
        self.design.plugs().iter().enumerate().map(row).collect()
    }
}
