//! Takes nothing; gives the registry of diagnostic codes: one entry, one heading in docs, one case folder.

/// A diagnostic code with the sentence that explains it.
pub struct Code {
    pub code: &'static str,
    pub meaning: &'static str,
}

macro_rules! codes {
    ($($name:ident = $code:literal, $meaning:literal;)*) => {
        $(#[doc = $meaning] pub const $name: &str = $code;)*
        /// Every code that galipot can report, in order of name.
        pub const CODES: &[Code] = &[$(Code { code: $code, meaning: $meaning }),*];
    };
}

codes! {
    AMBIGUOUS_SET = "ambiguous-set", "A --set path fits more than one record.";
    BAD_DATE = "bad-date", "A date is not a calendar date of the form 2026-03-31.";
    BAD_ENCODING = "bad-encoding", "A file is not UTF-8 text, or begins with a byte-order mark.";
    BAD_ID = "bad-id", "An id has characters other than A-Z, 0-9, dot, underscore and hyphen, or a wrong length.";
    BAD_NUMBER = "bad-number", "A cell or value that must be a number is not one.";
    BAD_PATH = "bad-path", "A path is absolute, leaves the site, or is written in a form that another system reads differently.";
    BAD_QUANTITY = "bad-quantity", "A quantity is not a number followed by a known unit.";
    BAD_SET = "bad-set", "A --set argument is not of the form PATH=VALUE, or names no record or field.";
    BARE_NUMBER = "bare-number", "A number without a unit stands where a quantity with a unit is needed.";
    CYCLE = "cycle", "Records refer to each other in a circle.";
    DANGLING_REFERENCE = "dangling-reference", "A record refers to an id that no record has.";
    DUPLICATE_ID = "duplicate-id", "Two records of one kind have the same id.";
    MISSING_FIELD = "missing-field", "A record lacks a field that it must have.";
    MISSING_FILE = "missing-file", "A record names a file that is not in the site.";
    MISSING_TABLE = "missing-table", "A file lacks a table that it must have.";
    NOT_A_SITE = "not-a-site", "The folder has no galipot.toml.";
    OUT_OF_RANGE = "out-of-range", "A value lies outside the range that is plausible for its field.";
    ROW_LENGTH = "row-length", "A row has more or fewer cells than the header.";
    TABLE_HEADER = "table-header", "A table lacks a column, has an unknown one, or gives it an unknown unit.";
    TABLE_ORDER = "table-order", "Times do not rise within one series, or a row stands twice.";
    TABLE_TOKEN = "table-token", "A cell holds a token that the declared dialect does not know.";
    TEMPLATE = "template", "A template that the site overrides cannot be read.";
    TOML_SYNTAX = "toml-syntax", "A file is not valid TOML.";
    UNKNOWN_AND_GIVEN = "unknown-and-given", "A field is listed as unknown and given a value.";
    UNKNOWN_KEY = "unknown-key", "A key is not one that the record knows.";
    UNKNOWN_TABLE = "unknown-table", "A table does not belong in this folder.";
    UNKNOWN_WORD = "unknown-word", "A word is not one of the words that the field allows.";
    UNPLACED_FILE = "unplaced-file", "A file lies in a folder that galipot does not know, so nothing would read it.";
    WRONG_DIMENSION = "wrong-dimension", "A quantity has another dimension than its field.";
    WRONG_TYPE = "wrong-type", "A value has another type than its field.";
    XLSX = "xlsx", "A spreadsheet cannot be read, or a cell of it holds a formula error.";
    CONTRADICTION = "contradiction", "Two fields of one record contradict each other.";
}
