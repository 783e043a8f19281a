//! Shorthand for structs with private fields and one reading method a field.

/// Declares a struct whose fields are private and read by methods of the same name: plain fields are copied out,
/// those under `by reference` are lent as the type after the arrow.
macro_rules! record {
    (
        $(#[$about:meta])*
        pub struct $name:ident {
            $($(#[$doc:meta])* $field:ident: $kind:ty,)*
            $(by reference: $($(#[$rdoc:meta])* $rfield:ident: $rkind:ty => $lent:ty,)*)?
        }
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $(pub(super) $field: $kind,)*
            $($(pub(super) $rfield: $rkind,)*)?
        }

        impl $name {
            $($(#[$doc])* pub fn $field(&self) -> $kind { self.$field })*
            $($($(#[$rdoc])* pub fn $rfield(&self) -> &$lent { &self.$rfield })*)?
        }
    };
}

pub(super) use record;
