//! Colours of faces, with the names that readers show.

use crate::solid::{Finish, Tag};

/// A colour with a name.
#[derive(Clone, Debug, PartialEq)]
pub struct Paint {
    /// What readers call it.
    pub name: String,
    /// Red, green, blue, 0 to 1, sRGB.
    pub share: [f64; 3],
}

impl Paint {
    /// A paint by its name and its red, green and blue from 0 to 1, sRGB.
    pub fn new(name: &str, share: [f64; 3]) -> Self {
        Self { name: name.to_owned(), share }
    }

    /// A paint by its name and its red, green and blue from 0 to 255, sRGB.
    pub fn of_bytes(name: &str, rgb: [u8; 3]) -> Self {
        Self::new(name, rgb.map(|c| f64::from(c) / 255.0))
    }

    /// That of formed faces where the caller has no paints of its own: sand grey.
    pub fn formed() -> Self {
        Self::new("formed", [0.58, 0.56, 0.53])
    }

    /// That of cut faces where the caller has no paints of its own: bright steel.
    pub fn cut() -> Self {
        Self::new("cut", [0.72, 0.82, 0.92])
    }

    /// The paint of a face by its finish, where the caller has no paints of its own.
    pub fn of(tag: &Tag) -> Self {
        match tag.finish {
            Finish::Formed => Self::formed(),
            Finish::Cut => Self::cut(),
        }
    }

    /// Red, green, blue, 0 to 255, sRGB.
    pub fn rgb(&self) -> [u8; 3] {
        self.share.map(|c| (c * 255.0).round() as u8)
    }
}

/// The paints of a file that tells its faces' colours paint by paint.
#[derive(Clone, Debug)]
pub struct Paints {
    /// In the order of the file.
    pub list: Vec<Paint>,
    /// Which of them a face has, by its number in the list. Beyond the list: no colour.
    pub of: fn(&Tag) -> usize,
}

impl Default for Paints {
    /// A paint for formed faces, one for those that are cut.
    fn default() -> Self {
        Self { list: vec![Paint::formed(), Paint::cut()], of: |tag| usize::from(tag.finish == Finish::Cut) }
    }
}
