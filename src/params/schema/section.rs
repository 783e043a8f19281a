//! Shorthand for sections of plain values: each key is told once, and stands in the section as read and in its values.

use crate::params::sheet::{Key, Sheet};

/// Declares a section as read (a [`crate::params::slot::Slot`] a key) and, beside it, its values once all are good.
/// The remark above a key is what the reference says of it; keys after `optional` may be absent.
macro_rules! section {
    (
        $(#[$about:meta])*
        pub struct $keys:ident => $values:ident {
            $($(#[doc = $doc:literal])+ $field:ident: $kind:ty = $make:expr;)*
        } optional {
            $($(#[doc = $odoc:literal])+ $ofield:ident: $okind:ty = $omake:expr;)*
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $keys {
            $($(#[doc = $doc])+ pub $field: crate::params::slot::Slot<$kind>,)*
            $($(#[doc = $odoc])+ pub $ofield: crate::params::slot::Slot<$okind>,)*
        }

        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $values {
            $($(#[doc = $doc])+ pub $field: $kind,)*
            $($(#[doc = $odoc])+ pub $ofield: Option<$okind>,)*
        }

        impl crate::params::sheet::Section for $keys {
            fn read(s: &mut crate::params::sheet::Sheet<'_>) -> Self {
                use super::section::key;
                Self {
                    $($field: key(s, stringify!($field), concat!($($doc),+), $make),)*
                    $($ofield: key(s, stringify!($ofield), concat!($($odoc),+), $omake),)*
                }
            }
        }

        impl $keys {
            /// The values, unless one that is needed is missing or bad.
            pub fn values(&self) -> Option<$values> {
                Some($values {
                    $($field: self.$field.get()?,)*
                    $($ofield: self.$ofield.get(),)*
                })
            }
        }
    };
}

pub(super) use section;

/// Asks a sheet for a key.
pub(super) fn key<'s, 'r, T>(
    sheet: &'s mut Sheet<'r>,
    name: &'static str,
    doc: &'static str,
    make: impl FnOnce(Key<'s, 'r>) -> T,
) -> T {
    make(sheet.key(name, doc.trim_start()))
}
