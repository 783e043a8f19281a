//! The guide: the pages to read after the README, which `cargo doc` shows as chapters.
//!
//! The pages are the `.md` files beside this file. `tests/cli/readme.rs` runs their commands, compares the output that
//! they quote and follows their links. Links between pages are defined twice: at the end of each page for readers of the
//! file, and ahead of it here for `cargo doc`; the first definition counts.

#![allow(clippy::doc_markdown, reason = "pages are prose: names of programs and formats are no code")]

/// Includes each page as a module, with links to the others.
macro_rules! pages {
    ($($page:ident)*) => {$(
        #[doc = "[parameters]: crate::guide::parameters"]
        #[doc = "[forms]: crate::guide::forms"]
        #[doc = "[drawings]: crate::guide::drawings"]
        #[doc = "[checks]: crate::guide::checks"]
        #[doc = "[fits and driveline]: crate::guide::fits"]
        #[doc = "[placing]: crate::guide::place"]
        #[doc = "[report]: crate::guide::report"]
        #[doc = "[first article]: crate::guide::inspect"]
        #[doc = "[sweeps]: crate::guide::sweep"]
        #[doc = "[guarantees]: crate::guide::guarantees"]
        #[doc = "[limits]: crate::guide::limits"]
        #[doc = ""]
        #[doc = include_str!(concat!(stringify!($page), ".md"))]
        pub mod $page {}
    )*};
}

pages! {
    parameters
    forms
    drawings
    checks
    fits
    place
    report
    inspect
    sweep
    guarantees
    limits
}
