//! Takes nothing; gives the registry of diagnostic codes: one entry, one heading in docs, one case folder.

/// A diagnostic code with what it means and, in a second paragraph, what to do about it.
pub struct Code {
    pub code: &'static str,
    pub meaning: &'static str,
}

macro_rules! codes {
    ($($name:ident = $code:literal, $meaning:literal, $advice:literal;)*) => {
        $(#[doc = $meaning] pub const $name: &str = $code;)*
        /// Every code that galipot can report, in order of name.
        pub const CODES: &[Code] = &[$(Code { code: $code, meaning: concat!($meaning, "\n\n", $advice) }),*];
    };
}

codes! {
    AMBIGUOUS_SET = "ambiguous-set", "A --set path fits more than one record.",
        "Write a longer path: the assembly before the part, the tree before the claim (`leave/C3.1.title`). The \
         hint lists the paths that lead to one record each.";
    BAD_DATE = "bad-date", "A date is not a calendar date of the form 2026-03-31.",
        "Write days as `2026-03-31` and moments with their offset from UTC, as `2025-10-06T08:00:00+01:00`. A \
         moment without offset could be two hours off around a change of the clocks, which is enough to spoil a \
         comparison with a chamber log.";
    BAD_ENCODING = "bad-encoding", "A file is not UTF-8 text, or begins with a byte-order mark.",
        "Save the file as UTF-8 without byte-order mark; every editor and spreadsheet program has this choice in \
         its *save as*. If the file came from a laboratory, ask for it in UTF-8 or record the conversion: the \
         digest in the run is that of the file as received.";
    BAD_ID = "bad-id", "An id has characters other than A-Z, 0-9, dot, underscore and hyphen, or a wrong length.",
        "Ids become names of files and anchors, so they hold nothing that a path or a page could misread. Rename \
         the record and everything that refers to it. For a digest, write what `sha256sum FILE` prints.";
    BAD_NUMBER = "bad-number", "A cell or value that must be a number is not one.",
        "Write a finite decimal number. `inf` and `nan` are numbers to TOML, never to a dossier.";
    BAD_PATH = "bad-path", "A path is absolute, leaves the site, or is written in a form that another system reads differently.",
        "Write the path from the folder of the run, with forward slashes, spelt exactly like the file. Such a path \
         means the same on every system, and cannot reach outside the site. Links are not followed for the same \
         reason: put the file itself into the site.";
    BAD_QUANTITY = "bad-quantity", "A quantity is not a number followed by a known unit.",
        "Write one decimal number, a blank and a unit: `\"36.7 um\"`. `um` and `µm`, `ohm` and `Ω`, `cm2` and `cm²` \
         are the same. An interval, an *about* or a *max* belongs into `note`.";
    BAD_SET = "bad-set", "A --set argument is not of the form PATH=VALUE, or names no record or field.",
        "The path is the id of a record (after the id of what holds it, where needed), a dot and a field: \
         `LIM-SIR.value`, `OV-4502.U4.gap`, `site.hv_threshold`, `ENV-IN.bin.2.hours`. A kind stands for its record \
         when there is only one. Nothing is written to any file.";
    BARE_NUMBER = "bare-number", "A number without a unit stands where a quantity with a unit is needed.",
        "Add the unit. A bare number is accepted only for what has no dimension; everything else was once read in \
         the wrong unit by somebody.";
    CONTRADICTION = "contradiction", "Two fields of one record contradict each other.",
        "Find out which of the two is wrong at the source; do not just make them agree. The label marks the one, \
         and a second label the other where both are written down.";
    CYCLE = "cycle", "Records refer to each other in a circle.",
        "Follow the chain in the headline. One of the claims needs another parent, or none when it is the root of \
         its tree.";
    DANGLING_REFERENCE = "dangling-reference", "A record refers to an id that no record has.",
        "The headline shows who refers, by which field, to what. Correct the id, or write the missing record. For \
         readings: a board or pattern that nobody built is a swapped channel until somebody shows otherwise, so \
         correct the vehicle or the file, and say in a deviation what was swapped.";
    DUPLICATE_ID = "duplicate-id", "Two records of one kind have the same id.",
        "Give one of the two another id, or remove it when it is a copy. Both places are marked. A claim in \
         `claims/*.toml` may have the id of a built-in claim: it takes its place.";
    MISSING_FIELD = "missing-field", "A record lacks a field that it must have.",
        "Write the field. Where the hint offers it, a value that nobody knows is named in `unknown = [\"field\"]`: \
         galipot then says in the dossier what cannot be judged because of it. Never write 0 or an empty text for \
         what is not known.";
    MISSING_FILE = "missing-file", "A record names a file that is not in the site.",
        "Put the file where the run says, or correct the path; upper and lower case count. If the file is lost, \
         remove its entry: the run is then judged without it, and a planned run without readings is shown as \
         unreported.";
    MISSING_TABLE = "missing-table", "A file lacks a table that it must have.",
        "Add the table. `docs/files.md` lists what each kind of file holds.";
    NOT_A_SITE = "not-a-site", "The folder has no galipot.toml.",
        "Go into the folder of the site, name it with `--site DIR`, or begin a new one with `galipot new DIR`.";
    OUT_OF_RANGE = "out-of-range", "A value lies outside the range that is plausible for its field.",
        "The range is what is plausible for the field, wide enough for every real case that we know. Check the unit \
         first, then the value against its source. If the value is right, the range is wrong: report it.";
    ROW_LENGTH = "row-length", "A row has more or fewer cells than the header.",
        "Look for a separator inside a value, most often a decimal comma; for a cell that was left out; for a quote \
         that is not closed.";
    TABLE_HEADER = "table-header", "A table lacks a column, has an unknown one, or gives it an unknown unit.",
        "The header names each column with its unit, as `R_ohm` or `R_Gohm`; the columns may stand in any order. \
         `docs/files.md` lists columns and units of every kind of table. Rename a column of the laboratory only \
         with its agreement on what it means.";
    TABLE_ORDER = "table-order", "Times do not rise within one series, or a row stands twice.",
        "Sort by time within each series. A time that stands twice is a duplicated first sample, a reset of the \
         logger or two joined files: find out which, keep one reading, and record it as a deviation.";
    TABLE_TOKEN = "table-token", "A cell holds a token that the declared dialect does not know.",
        "galipot never guesses what a token means. A reading above the ceiling is written as the ceiling with the \
         flag `ceil`, one that was not taken stays empty with `noread`, a content below detection stays empty with \
         the limit in its own column. `galipot intake` writes such a file from that of a laboratory and lists every \
         token that it does not know.";
    TEMPLATE = "template", "A template that the site overrides cannot be read.",
        "Templates are UTF-8 text in the language of the built-in ones. Compare with the built-in chapter of the \
         same name, or remove the file to use that one.";
    TOML_SYNTAX = "toml-syntax", "A file is not valid TOML.",
        "Each line holds one `key = value`; text and quantities stand in quotes, lists in square brackets, a table \
         header alone on its line. One error often hides others on the same line, so read the file again after \
         mending.";
    UNKNOWN_AND_GIVEN = "unknown-and-given", "A field is listed as unknown and given a value.",
        "Remove the field from `unknown` when its value is known, or remove the value when it is not.";
    UNKNOWN_KEY = "unknown-key", "A key is not one that the record knows.",
        "A key that galipot does not know would silently say nothing, so it is a mistake. Correct its spelling; put \
         a remark into `note`.";
    UNKNOWN_TABLE = "unknown-table", "A table does not belong in this folder.",
        "Each folder holds its own kinds of table. Move the table to the folder that the hint names, or correct the \
         spelling of its header.";
    UNKNOWN_WORD = "unknown-word", "A word is not one of the words that the field allows.",
        "The field knows a fixed list of words; the hint names the nearest one or all of them. Upper and lower case \
         count.";
    UNPLACED_FILE = "unplaced-file", "A file lies in a folder that galipot does not know, so nothing would read it.",
        "A file that nothing reads looks like evidence and is none. List it in its run, move it to `documents/`, \
         `photos/` or `feeds/`, or remove it.";
    WRONG_DIMENSION = "wrong-dimension", "A quantity has another dimension than its field.",
        "Check the field and the unit: the headline names both dimensions. `%` is a share and `%RH` a relative \
         humidity; `K` is a difference, and temperatures of a place are written in `degC`.";
    WRONG_TYPE = "wrong-type", "A value has another type than its field.",
        "Write the kind of value that the headline asks for. Text and quantities stand in quotes, numbers, dates, \
         `true` and `false` do not; a header is `[name]` for what stands once and `[[name]]` for what may stand \
         many times.";
    XLSX = "xlsx", "A spreadsheet cannot be read, or a cell of it holds a formula error.",
        "Open the sheet and mend the cell; formulas must have a value. A workbook that cannot be opened is best \
         exported as CSV. Remember that the digest is that of the file as received.";
}
