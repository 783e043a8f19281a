//! What stands on pages: strips as wide as the text, one below another, put on as many pages as it takes.

use std::rc::Rc;

use super::font::Weight;

/// Red, green, blue, 0 to 1.
pub(super) type Colour = [f32; 3];

/// How a text looks; the size in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Style {
    pub(super) weight: Weight,
    pub(super) size: f64,
    pub(super) colour: Colour,
}

/// Something drawn; places and sizes in points, from the upper left corner, y down.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Item {
    /// A text, its baseline's start.
    Text { at: [f64; 2], style: Style, text: String },
    /// A filled rectangle, its upper left corner.
    Fill { at: [f64; 2], size: [f64; 2], colour: Colour },
    /// A picture by its number, its upper left corner.
    Image { at: [f64; 2], size: [f64; 2], number: usize },
}

impl Item {
    fn moved(&self, by: [f64; 2]) -> Self {
        let mut out = self.clone();
        let (Self::Text { at, .. } | Self::Fill { at, .. } | Self::Image { at, .. }) = &mut out;
        *at = [at[0] + by[0], at[1] + by[1]];
        out
    }
}

/// A strip that no page break divides.
#[derive(Clone, Debug, Default)]
pub(super) struct Strip {
    /// Room above it, left out at the top of a page.
    pub(super) above: f64,
    /// Its height.
    pub(super) height: f64,
    /// What it shows, from its own corner.
    pub(super) items: Vec<Item>,
    /// Whether it stands on one page with the next strip.
    pub(super) keep: bool,
    /// What is repeated above it at the top of a page: the heads of its table.
    pub(super) head: Option<Rc<Strip>>,
}

/// The room for text on a page: left, top, width, height.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) width: f64,
    pub(super) height: f64,
}

/// Pages being filled.
struct Filling {
    frame: Frame,
    pages: Vec<Vec<Item>>,
    /// The height used on the last page.
    used: f64,
}

/// Puts strips on pages.
pub(super) fn pages(strips: &[Strip], frame: Frame) -> Vec<Vec<Item>> {
    let mut filling = Filling { frame, pages: vec![vec![]], used: 0.0 };
    let mut rest = strips;
    while !rest.is_empty() {
        let kept = rest.iter().take_while(|s| s.keep).count() + 1;
        let (chain, after) = rest.split_at(kept.min(rest.len()));
        filling.chain(chain);
        rest = after;
    }
    filling.pages
}

impl Filling {
    /// Strips that stand together, if a page is high enough for them.
    fn chain(&mut self, chain: &[Strip]) {
        let height: f64 = chain.iter().map(|s| s.above + s.height).sum();
        if self.used + height > self.frame.height {
            self.turn(chain.first());
        }
        for strip in chain {
            if self.used > 0.0 && self.used + strip.above + strip.height > self.frame.height {
                self.turn(Some(strip));
            }
            self.put(strip);
        }
    }

    /// A new page, unless the last one is empty; with the heads of the table to which the next strip belongs.
    fn turn(&mut self, next: Option<&Strip>) {
        if self.used > 0.0 {
            self.pages.push(vec![]);
            self.used = 0.0;
        }
        if let Some(head) = next.and_then(|s| s.head.clone()) {
            self.put(&head);
        }
    }

    fn put(&mut self, strip: &Strip) {
        let above = if self.used > 0.0 { strip.above } else { 0.0 };
        let by = [self.frame.left, self.frame.top + self.used + above];
        if let Some(page) = self.pages.last_mut() {
            page.extend(strip.items.iter().map(|item| item.moved(by)));
        }
        self.used += above + strip.height;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Frame = Frame { left: 0.0, top: 0.0, width: 100.0, height: 100.0 };

    fn strip(height: f64, number: usize) -> Strip {
        let item = Item::Image { at: [0.0; 2], size: [1.0; 2], number };
        Strip { height, items: vec![item], ..Strip::default() }
    }

    fn numbers(pages: &[Vec<Item>]) -> Vec<Vec<usize>> {
        let number = |item: &Item| if let Item::Image { number, .. } = item { *number } else { 0 };
        pages.iter().map(|page| page.iter().map(number).collect()).collect()
    }

    #[test]
    fn a_heading_goes_with_what_follows_it() {
        let heading = Strip { keep: true, ..strip(10.0, 2) };
        let out = pages(&[strip(80.0, 1), heading, strip(20.0, 3)], FRAME);
        assert_eq!(numbers(&out), [vec![1], vec![2, 3]], "not alone at the foot of a page");
    }

    #[test]
    fn heads_are_repeated_on_the_next_page() {
        let head = Strip { keep: true, ..strip(10.0, 9) };
        let row = |number| Strip { head: Some(Rc::new(head.clone())), ..strip(40.0, number) };
        let out = pages(&[head.clone(), row(1), row(2), row(3)], FRAME);
        assert_eq!(numbers(&out), [vec![9, 1, 2], vec![9, 3]], "above the third row too");
    }

    #[test]
    fn what_is_higher_than_a_page_is_put_on_several() {
        let kept = |number| Strip { keep: true, ..strip(60.0, number) };
        let out = pages(&[kept(1), kept(2), strip(60.0, 3)], FRAME);
        assert_eq!(numbers(&out), [vec![1], vec![2], vec![3]], "each on a page of its own");
    }
}
