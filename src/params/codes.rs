//! Codes of the findings that come from reading a parameter file. A code never changes its meaning.

use crate::finding::Code;

/// The file has no content.
pub const EMPTY: Code = Code::new("P001", "empty parameter file");
/// The file is not text.
pub const NOT_UTF8: Code = Code::new("P002", "parameter file is not UTF-8 text");
/// The file is far too large.
pub const TOO_LARGE: Code = Code::new("P003", "parameter file is too large");
/// The text breaks YAML's grammar.
pub const SYNTAX: Code = Code::new("P004", "not valid YAML");
/// A tab indents a line.
pub const TAB: Code = Code::new("P005", "tab in the indentation");
/// A key appears twice in one section.
pub const DUPLICATE_KEY: Code = Code::new("P006", "key given twice");
/// A YAML anchor, alias or merge.
pub const ALIAS: Code = Code::new("P007", "anchor or alias");
/// A YAML tag.
pub const TAG: Code = Code::new("P008", "type tag");
/// Sections nested too deeply.
pub const TOO_DEEP: Code = Code::new("P009", "nested too deeply");
/// More than one document in the file.
pub const SEVERAL_DOCUMENTS: Code = Code::new("P010", "several documents in one file");
/// A key that no section knows.
pub const UNKNOWN_KEY: Code = Code::new("P011", "unknown key");
/// A required key is absent.
pub const MISSING_KEY: Code = Code::new("P012", "required key is missing");
/// A section where a value belongs, or the like.
pub const WRONG_SHAPE: Code = Code::new("P013", "section, list and value mixed up");
/// A text that is not the wanted quantity.
pub const UNREADABLE: Code = Code::new("P014", "value cannot be read");
/// NaN or infinity.
pub const NOT_FINITE: Code = Code::new("P015", "number is not finite");
/// A unit that does not belong to the quantity.
pub const WRONG_UNIT: Code = Code::new("P016", "unit does not fit the quantity");
/// A value outside its allowed range.
pub const OUT_OF_RANGE: Code = Code::new("P017", "value outside its allowed range");
/// A word that is not one of the choices.
pub const NOT_A_CHOICE: Code = Code::new("P018", "not one of the choices");
/// A list with too few or too many items.
pub const LIST_LENGTH: Code = Code::new("P019", "list too short or too long");
/// Nearly all lengths are out of range as they stand, and none is in the other unit.
pub const OTHER_UNITS: Code = Code::new("P020", "lengths in another unit than the file says");
/// A valid value that may not be what was meant.
pub const DOUBTFUL: Code = Code::new("P021", "value that may be meant otherwise");
/// A value that stands in its list twice.
pub const TWICE: Code = Code::new("P022", "value twice in a list");

/// All of them, in the order of their numbers.
pub static ALL: &[Code] = &[
    EMPTY,
    NOT_UTF8,
    TOO_LARGE,
    SYNTAX,
    TAB,
    DUPLICATE_KEY,
    ALIAS,
    TAG,
    TOO_DEEP,
    SEVERAL_DOCUMENTS,
    UNKNOWN_KEY,
    MISSING_KEY,
    WRONG_SHAPE,
    UNREADABLE,
    NOT_FINITE,
    WRONG_UNIT,
    OUT_OF_RANGE,
    NOT_A_CHOICE,
    LIST_LENGTH,
    OTHER_UNITS,
    DOUBTFUL,
    TWICE,
];
