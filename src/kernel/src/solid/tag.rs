//! What a face belongs to.

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::sync::Arc;

/// How a face comes to be, as the caller says.
///
/// The kernel does one thing by it: a fillet runs up to a flat end that is cut with its whole section and stops there, as if
/// the end had been cut after the fillets were made ([`super::fillet::lengthened`]), while edges about formed ends may be
/// rounded so that a ball can roll around them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Finish {
    /// Left as it was made at first: cast, moulded, printed.
    Formed,
    /// Cut to size afterwards.
    Cut,
}

/// The name of a face: the feature that made it, the role it has there, and its finish. Tags of one name are equal.
#[derive(Clone, Debug)]
pub struct Tag {
    /// The feature: a body or a hole that the caller knows by this name, such as `flange`.
    pub feature: Arc<str>,
    /// The role in the feature: `counterbore`, `side` …
    pub role: Arc<str>,
    /// Formed or cut.
    pub finish: Finish,
    /// The caller's own class of the face, zero unless it sets one. It is carried to every face that a body gives, and
    /// never read here.
    pub class: u32,
}

impl Tag {
    /// A formed face.
    pub fn formed(feature: &str, role: &str) -> Self {
        Self { feature: feature.into(), role: role.into(), finish: Finish::Formed, class: 0 }
    }

    /// A cut face.
    pub fn cut(feature: &str, role: &str) -> Self {
        Self { feature: feature.into(), role: role.into(), finish: Finish::Cut, class: 0 }
    }
}

impl Tag {
    /// What tells it apart from others.
    fn key(&self) -> (&str, &str, Finish) {
        (&self.feature, &self.role, self.finish)
    }
}

impl PartialEq for Tag {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Tag {}

impl Ord for Tag {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key().cmp(&other.key())
    }
}

impl PartialOrd for Tag {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Hash for Tag {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.key().hash(state);
    }
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.feature, self.role)
    }
}
