//! A parameter as read: its value if it is valid, and its origin.

use crate::finding::Place;

/// Where a value came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// The file sets it.
    Given,
    /// The file sets it, but the value is invalid; a finding says why.
    Bad,
    /// The file leaves it out.
    Absent,
    /// A trade default was taken.
    Assumed,
}

/// What a value decides, and so who should confirm a trade default for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Concern {
    /// The finished part, or how it is printed: whoever designs it.
    Part,
    /// Casting and pattern: the foundry.
    Mould,
    /// The core and its box: the foundry.
    Core,
    /// Mould and core alike: the foundry.
    MouldAndCore,
}

/// What the definition of a key says of it, whatever it holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KeyDoc {
    /// What it is, in a sentence or two.
    pub about: &'static str,
    /// What it decides.
    pub concern: Concern,
}

/// One parameter: key path, place, and value.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter<T> {
    value: Option<T>,
    path: String,
    place: Option<Place>,
    origin: Origin,
    doc: KeyDoc,
}

impl<T> Parameter<T> {
    /// A slot as the reader fills it.
    pub(super) fn new(
        path: String,
        doc: KeyDoc,
        origin: Origin,
        place: Option<Place>,
        value: Option<T>,
    ) -> Self {
        Self { value, path, place, origin, doc }
    }

    /// The report of a trade default that stands in for it.
    pub fn assumed(&self, value: String, reason: &str, source: &str) -> Assumed {
        let (reason, source) = (reason.to_owned(), source.to_owned());
        Assumed { key: self.path.clone(), doc: self.doc, value, reason, source }
    }

    /// The value, unless it is absent or invalid.
    pub fn get(&self) -> Option<T>
    where
        T: Clone,
    {
        self.value.clone()
    }

    /// Full key path, such as `gearbox_face.flange.thickness`; list items count from 1.
    pub fn path(&self) -> &str {
        &self.path
    }

    /// Its place in the file; for a key that the file leaves out, the section it would belong to.
    pub fn place(&self) -> Option<Place> {
        self.place
    }

    /// Where the value came from.
    pub fn origin(&self) -> Origin {
        self.origin
    }

    /// Whether the file leaves it out and no default was assumed.
    pub fn is_absent(&self) -> bool {
        self.origin == Origin::Absent
    }

    /// Fills an absent slot with a trade default.
    pub fn assume(&mut self, value: T) {
        if self.is_absent() {
            self.value = Some(value);
            self.origin = Origin::Assumed;
        }
    }
}

/// A list of sections as read.
#[derive(Debug, Clone, PartialEq)]
pub struct ParameterList<T> {
    /// The items, in the order of the file.
    pub items: Vec<T>,
    /// Full key path.
    pub path: String,
    /// Place of the list's key; for an absent list, of the section it would belong to.
    pub place: Option<Place>,
    /// Whether the file has a valid list.
    pub origin: Origin,
}

/// A trade default used for a key that the file leaves out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumed {
    /// Full key path.
    pub key: String,
    /// What its definition says of it.
    pub doc: KeyDoc,
    /// The value taken, in the file's units.
    pub value: String,
    /// Why this value.
    pub reason: String,
    /// Where it comes from.
    pub source: String,
}
