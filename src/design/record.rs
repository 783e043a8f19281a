//! Shorthand for structs with private fields and one getter for each field.

/// Declares a struct whose fields are private and read by methods of the same name: plain fields are copied out,
/// those in `lent` are lent as the type after the arrow, those in `optional` may be absent.
macro_rules! record {
    (
        $(#[$about:meta])*
        pub struct $name:ident {
            $($(#[$doc:meta])* $field:ident: $kind:ty,)*
        }
        $(lent { $($(#[$rdoc:meta])* $rfield:ident: $rkind:ty => $lent:ty,)* })?
        $(optional { $($(#[$odoc:meta])* $ofield:ident: $okind:ty,)* })?
    ) => {
        $(#[$about])*
        #[derive(Debug, Clone, PartialEq)]
        pub struct $name {
            $(pub(super) $field: $kind,)*
            $($(pub(super) $rfield: $rkind,)*)?
            $($(pub(super) $ofield: Option<$okind>,)*)?
        }

        impl $name {
            $($(#[$doc])* pub fn $field(&self) -> $kind { self.$field })*
            $($($(#[$rdoc])* pub fn $rfield(&self) -> &$lent { &self.$rfield })*)?
            $($($(#[$odoc])* pub fn $ofield(&self) -> Option<&$okind> { self.$ofield.as_ref() })*)?
        }
    };
}

pub(super) use record;
