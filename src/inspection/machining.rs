//! What is machined off a casting: each face to be machined, the finished surface below it, and the stock that was planned.

use super::characteristic::MeasuringSheet;
use super::elements::ElementShape;
use super::stock::stock;
use crate::forms::Casting;

/// A face to be machined.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceToMachine {
    /// The element as cast, by its place in the casting's sheet.
    pub element: usize,
    /// The finished surface.
    pub shape: ElementShape,
    /// The planned stock, mm.
    pub planned: f64,
}

/// Everything that is machined.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Machining {
    /// The faces, in the order of the casting's sheet.
    pub faces: Vec<FaceToMachine>,
}

/// Pairs the casting's faces with the finished ones: of several of one name the one whose stock is nearest to the plan.
pub fn machining(made: &Casting, finished: &MeasuringSheet, casting: &MeasuringSheet) -> Machining {
    let face = |(element, cast): (usize, &super::elements::MeasuredElement)| {
        let planned = made.stock.iter().find(|r| r.tag == cast.tag)?.stock.filter(|s| *s > 0.0)?;
        let off = |shape: &ElementShape| (stock(shape, cast.on_surface()).0 - planned).abs();
        let same = finished.elements.iter().filter(|f| f.tag == cast.tag).map(|f| f.shape);
        let shape = same.min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some(FaceToMachine { element, shape, planned })
    };
    Machining { faces: casting.elements.iter().enumerate().filter_map(face).collect() }
}
