//! Places on a plot that stand for a row of the sweep: on the page a click on one opens the row's card.

use crate::report::document::html::escaped;
use crate::report::sweep::cards::{Reach, linked};
use crate::sweep::cards::RowCard;

/// Half the width of the place about a dot, pixels: wide enough for a finger on a dot of three.
const DOT: i32 = 7;

/// A place on a plot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Upper left and lower right corner, pixels of the plot.
    corners: [(i32, i32); 2],
    /// The row that it stands for.
    row: u64,
    /// What a pointer over it shows.
    words: String,
    /// Whether a key leads there too.
    reach: Reach,
}

impl Spot {
    /// About a dot. Rows of dots are reached by key in the bands and tables.
    pub(super) fn dot((x, y): (i32, i32), row: u64, words: String) -> Self {
        Self { corners: [(x - DOT, y - DOT), (x + DOT, y + DOT)], row, words, reach: Reach::ByPointer }
    }

    /// A cell between two corners.
    pub(super) fn cell([a, b]: [(i32, i32); 2], row: u64, words: String) -> Self {
        let corners = [(a.0.min(b.0), a.1.min(b.1)), (a.0.max(b.0), a.1.max(b.1))];
        Self { corners, row, words, reach: Reach::ByKey }
    }

    fn drawn(&self, shown: &[RowCard]) -> String {
        let [low, high] = self.corners;
        let place = format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"transparent\"><title>{}</title></rect>",
            low.0,
            low.1,
            high.0 - low.0,
            high.1 - low.1,
            escaped(&self.words)
        );
        linked(self.row, shown, &place, self.reach)
    }
}

/// A plot's drawing with its spots, for the page: those whose row has a card lead to it.
pub(in crate::report::sweep) fn with_spots(svg: &str, spots: &[Spot], shown: &[RowCard]) -> String {
    let svg = &svg[svg.find("<svg").unwrap_or(0)..];
    let end = svg.rfind("</svg>").unwrap_or(svg.len());
    let drawn: String = spots.iter().map(|spot| format!("{}\n", spot.drawn(shown))).collect();
    format!("{}{drawn}{}", &svg[..end], &svg[end..])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sweep::row::RowVerdict;

    /// A spot whose row has a card is a link to it; another one only tells its words. The drawing itself stays as it is.
    #[test]
    fn spots_lead_to_the_cards_of_their_rows() {
        let card = RowCard {
            index: 3,
            values: vec![],
            verdict: RowVerdict::Pass,
            counts: [0, 0],
            mass: None,
            reason: None,
            picture: None,
        };
        let spots = [
            Spot::dot((100, 50), 3, "6 mm: margin 2 mm, row 3".to_owned()),
            Spot::cell([(40, 80), (20, 60)], 4, "row 4".to_owned()),
        ];
        let drawn = with_spots("<?xml?><svg><path/></svg>\n", &spots, &[card]);
        let link = "<a href=\"#row-3\" tabindex=\"-1\" aria-label=\"row 3\"><rect x=\"93\" y=\"43\" width=\"14\" height=\"14\"";
        assert!(drawn.starts_with("<svg><path/>") && drawn.trim_end().ends_with("</svg>"), "{drawn}");
        assert!(drawn.contains(link) && !drawn.contains("#row-4"), "{drawn}");
        assert!(
            drawn.contains("<rect x=\"20\" y=\"60\" width=\"20\" height=\"20\""),
            "corners in any order: {drawn}"
        );
    }
}
