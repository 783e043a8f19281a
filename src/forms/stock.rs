//! Stock on machined faces, and whether the worst casting still cleans up.

use super::Settings;
use crate::design::Design;
use crate::housing::{Housing, Size, StockedFace};
use crate::standards::casting_tolerance::{allowance, tolerance};
use crate::units::Mm;
use solidwright::geometry::V3;
use solidwright::solid::Tag;

/// The required stock.
#[derive(Clone, Debug)]
pub(super) struct Allowance {
    /// Required machining allowance, mm.
    rma: f64,
    /// Stock that the file sets instead.
    given: Option<f64>,
    /// Further stock on faces that lie uppermost.
    top: f64,
    /// Casting tolerance grade.
    grade: u8,
    up: V3,
    /// Stock of the gearbox face, from which lengths are measured on the casting too.
    datum: f64,
}

/// A machined face: finished, as cast, and in the worst case.
#[derive(Clone, Debug, PartialEq)]
pub struct StockRow {
    /// The face.
    pub tag: Tag,
    /// Finished size.
    pub finished: Size,
    /// The same size on the casting, mm, lengths from its own gearbox face; `None` where the feature is cast solid.
    pub casting: Option<f64>,
    /// Stock square to the face, mm.
    pub stock: Option<f64>,
    /// Half the casting tolerance of that size, mm (ISO 8062-3), on the face; `None` where its table has no value.
    pub tolerance: Option<f64>,
    /// Stock left in the worst case, mm: negative where the face would not clean up; `None` where the tolerance is not known.
    pub least: Option<f64>,
    /// How much of the stock is there only so that the end stands upright in the mould and needs no loose piece, mm.
    pub put_out: f64,
}

impl StockRow {
    /// Whether the casting does not show the feature: it is cast solid, and cut from there.
    pub fn is_cast_solid(&self) -> bool {
        self.stock.is_none()
    }

    /// Where a face square to the shaft lies on the casting, mm aft of the finished gearbox face.
    pub fn station(&self) -> Option<f64> {
        match self.finished {
            Size::Thickness(_) => Some(-self.stock?),
            Size::Length { station, aft } => Some(station + aft * self.stock?),
            Size::Height(_) | Size::Round(_) | Size::Bore(_) => None,
        }
    }
}

/// Sizes below this are looked up as this, mm.
const LEAST_SIZE: f64 = 1.0;

impl Allowance {
    /// The allowance of a design.
    pub(super) fn of(design: &Design, finished: &Housing, settings: &Settings) -> Self {
        let bounds = finished.solid.brep().bounds();
        let largest = (bounds.max - bounds.min).max();
        let stock = design.casting().stock();
        let grade = stock.grade();
        // Beyond the table its last row is the best estimate.
        let rma = allowance(largest, grade).or_else(|_| allowance(1000.0, grade)).unwrap_or(3.5);
        let (given, top) = (stock.all().map(Mm::get), stock.top().get());
        let none = Self { rma, given, top, grade: stock.tolerance_grade(), up: settings.up, datum: 0.0 };
        Self { datum: none.of_face(Size::Thickness(settings.flange), -V3::x()), ..none }
    }

    /// The casting's own size, mm, and the share of its tolerance zone that one face has on one side: a round has two faces.
    fn raw(&self, size: Size, stock: f64) -> (f64, f64) {
        match size {
            Size::Thickness(size) | Size::Height(size) => (size + stock, 0.5),
            Size::Length { station, aft } => ((station + aft * stock + self.datum).abs(), 0.5),
            Size::Round(d) => (d + 2.0 * stock, 0.25),
            Size::Bore(d) => (d - 2.0 * stock, 0.25),
        }
    }

    /// Half the tolerance zone on one face, at the casting's own size; `None` where the table has none.
    fn half(&self, size: Size, stock: f64) -> Option<f64> {
        let (raw, share) = self.raw(size, stock);
        tolerance(raw.max(LEAST_SIZE), self.grade).ok().map(|zone| share * zone)
    }

    /// The same to choose a stock by: beyond the table, and for small sizes that it leaves out in coarse grades, the nearest
    /// value of the table. What the worst casting leaves of such a stock is not known.
    fn likely_half(&self, size: Size, stock: f64) -> f64 {
        let (raw, share) = self.raw(size, stock);
        let inside = raw.clamp(LEAST_SIZE, 630.0);
        let zone = tolerance(inside, self.grade).or_else(|_| tolerance(25.0, self.grade));
        share * zone.unwrap_or(3.0)
    }

    /// Stock of a face, mm, by the size rules of ISO 8062:1994 clause 10: allowance and half the zone, looked up at the
    /// casting's size; more where the face lies uppermost.
    pub(super) fn of_face(&self, size: Size, normal: V3) -> f64 {
        let base = self.given.unwrap_or_else(|| {
            let first = self.rma + self.likely_half(size, self.rma);
            // At a row's end, each of two rows may lead to the other's size: the larger stock is safe.
            first.max(self.rma + self.likely_half(size, first))
        });
        // Dross and gas rise to faces that look upwards in the mould.
        if normal.dot(&self.up) > 0.7 { base + self.top } else { base }
    }
}

/// One row for each machined face, in the order of their names.
pub(super) fn stock_report(stocked: &[StockedFace], allowance: &Allowance) -> Vec<StockRow> {
    let row = |s: &StockedFace| {
        let tolerance = s.stock.and_then(|stock| allowance.half(s.size, stock));
        StockRow {
            tag: s.tag.clone(),
            finished: s.size,
            casting: s.stock.map(|stock| allowance.raw(s.size, stock).0),
            stock: s.stock,
            tolerance,
            least: s.stock.zip(tolerance).map(|(stock, half)| stock - half),
            put_out: s.put_out,
        }
    };
    stocked.iter().map(row).collect()
}
