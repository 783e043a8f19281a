//! Shorthand for sections of plain values: each key is declared once, for the section as read and for its values.

use crate::params::section_reader::{Key, SectionReader};

/// Declares a section as read (a [`crate::params::parameter::Parameter`] for each key) and, beside it, a struct of its values
/// once all are valid. The doc comment above a key is its text in the reference; keys after `optional` may be absent.
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
            $($(#[doc = $doc])+ pub $field: crate::params::parameter::Parameter<$kind>,)*
            $($(#[doc = $odoc])+ pub $ofield: crate::params::parameter::Parameter<$okind>,)*
        }

        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $values {
            $($(#[doc = $doc])+ pub $field: $kind,)*
            $($(#[doc = $odoc])+ pub $ofield: Option<$okind>,)*
        }

        impl crate::params::section_reader::Section for $keys {
            fn read(s: &mut crate::params::section_reader::SectionReader<'_>) -> Self {
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

/// Requests a key from a sheet.
pub(super) fn key<'s, 'r, T>(
    sheet: &'s mut SectionReader<'r>,
    name: &'static str,
    doc: &'static str,
    make: impl FnOnce(Key<'s, 'r>) -> T,
) -> T {
    make(sheet.key(name, doc.trim_start()))
}
