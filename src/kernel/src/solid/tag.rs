//! What a face belongs to.

use std::fmt;
use std::sync::Arc;

/// How a face comes to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Finish {
    /// Left as it comes out of the mould.
    Cast,
    /// Cut on a machine.
    Machined,
}

/// The name of a face: the feature that made it, the role it has there, and its finish.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tag {
    /// The feature, as in the parameter file: `tail`, `sender_boss` …
    pub feature: Arc<str>,
    /// The role in the feature: `seal counterbore`, `side` …
    pub role: Arc<str>,
    /// Cast or machined.
    pub finish: Finish,
}

impl Tag {
    /// A cast face.
    pub fn cast(feature: &str, role: &str) -> Self {
        Self { feature: feature.into(), role: role.into(), finish: Finish::Cast }
    }

    /// A machined face.
    pub fn machined(feature: &str, role: &str) -> Self {
        Self { feature: feature.into(), role: role.into(), finish: Finish::Machined }
    }
}

impl fmt::Display for Tag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.feature, self.role)
    }
}
