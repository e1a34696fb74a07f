//! Takes a path inside the site; gives what the file is for: which tables it holds, or that it is free data.

use crate::diag::nearest;
use crate::model::assembly::*;
use crate::model::economy::*;
use crate::model::evidence::*;
use crate::model::governance::*;
use crate::model::processes::*;
use crate::model::site::PLAN_DIGESTS;
use crate::model::{FieldSpec, Record};

/// One kind of table that a file may hold.
#[derive(Debug)]
pub struct TableRule {
    /// Kind of record, which is also the name of the table.
    pub kind: &'static str,
    /// What the record is, in a sentence.
    pub about: &'static str,
    pub fields: &'static [FieldSpec],
    /// Written `[[kind]]`, any number of times; else `[kind]`, at most once.
    pub many: bool,
    /// The file is nothing without it.
    pub required: bool,
}

/// One kind of file.
#[derive(Debug)]
pub struct Room {
    /// For people: where such files lie.
    pub pattern: &'static str,
    pub doc: &'static str,
    pub tables: &'static [TableRule],
}

const fn many<T: Record>() -> TableRule {
    TableRule { kind: T::KIND, about: T::ABOUT, fields: T::FIELDS, many: true, required: false }
}
const fn one<T: Record>() -> TableRule {
    TableRule { kind: T::KIND, about: T::ABOUT, fields: T::FIELDS, many: false, required: false }
}
const fn needed<T: Record>() -> TableRule {
    TableRule { kind: T::KIND, about: T::ABOUT, fields: T::FIELDS, many: false, required: true }
}

/// Every kind of TOML file, in the order in which an engineer meets them.
pub const ROOMS: &[Room] = &[
    Room { pattern: "galipot.toml", doc: "The site and the rules of the house.", tables: &[needed::<SiteFacts>()] },
    Room { pattern: "people/*.toml", doc: "People, their roles and authorities.", tables: &[many::<Person>()] },
    Room {
        pattern: "customers/*.toml",
        doc: "Customers and the clauses that touch cleaning.",
        tables: &[many::<Customer>(), many::<Requirement>()],
    },
    Room {
        pattern: "labs/*.toml",
        doc: "Laboratories, their scopes and instruments.",
        tables: &[many::<Lab>(), many::<Instrument>()],
    },
    Room { pattern: "environments/*.toml", doc: "Where and how products are used.", tables: &[many::<Environment>()] },
    Room {
        pattern: "assemblies/*.toml",
        doc: "One assembly: board, parts, conductor pairs, zones, fluxes, pilot build.",
        tables: &[
            needed::<Assembly>(),
            needed::<Board>(),
            many::<Component>(),
            many::<NetPair>(),
            many::<Node>(),
            many::<Rf>(),
            many::<Contact>(),
            many::<KeepOut>(),
            many::<Zone>(),
            many::<FluxUse>(),
            one::<Reflow>(),
            one::<Coating>(),
            one::<Pilot>(),
            many::<Aperture>(),
            many::<NotApplicable>(),
        ],
    },
    Room {
        pattern: "materials/*.toml",
        doc: "Materials, their lots and coming changes.",
        tables: &[many::<Material>(), many::<Lot>(), many::<Change>()],
    },
    Room {
        pattern: "processes/*.toml",
        doc: "Processes step by step, what the wash does besides, and routes of repair.",
        tables: &[many::<Process>(), many::<HiddenFunction>(), many::<RepairRoute>()],
    },
    Room {
        pattern: "vehicles/*.toml",
        doc: "One test vehicle with its patterns and builds.",
        tables: &[needed::<Vehicle>()],
    },
    Room {
        pattern: "protocols/*.toml",
        doc: "What was planned and signed before the data.",
        tables: &[many::<Protocol>()],
    },
    Room {
        pattern: "criteria/*.toml",
        doc: "Limits and how long evidence counts, each set agreed as a whole.",
        tables: &[many::<CriteriaSet>(), many::<Criterion>(), many::<Age>()],
    },
    Room { pattern: "audits/*.toml", doc: "Audits on the floor.", tables: &[many::<Audit>()] },
    Room {
        pattern: "register/*.toml",
        doc: "Conditions, assumptions, doubts and what became of them.",
        tables: &[
            many::<Condition>(),
            many::<Assumption>(),
            many::<Doubt>(),
            many::<Answer>(),
            many::<Bridge>(),
            many::<Waiver>(),
            many::<OutsideCause>(),
            many::<Acceptance>(),
            many::<Chart>(),
            many::<Trigger>(),
            many::<FailureMode>(),
        ],
    },
    Room {
        pattern: "comments/*.toml",
        doc: "Remarks of reviewers and what became of them, one file per assembly.",
        tables: &[many::<Comment>()],
    },
    Room {
        pattern: "plan/*.toml",
        doc: "What washing, leaving and testing cost, what is planned, and the steps that cannot be taken back.",
        tables: &[
            one::<Economy>(),
            many::<WashLine>(),
            many::<Treatment>(),
            many::<Programme>(),
            many::<Volume>(),
            many::<Action>(),
            many::<Package>(),
            many::<Plan>(),
            many::<Uncertain>(),
            many::<Gate>(),
        ],
    },
    Room {
        pattern: "claims/*.toml",
        doc: "Claims that replace a built-in claim of the same tree and id, or come on top.",
        tables: &[many::<ClaimSpec>()],
    },
    Room {
        pattern: "runs/*/run.toml",
        doc: "One run. The folder has the name of the run and holds the files that it lists.",
        tables: &[needed::<Run>()],
    },
];

/// Folders whose files are free: named by records, read by people.
pub const FREE: &[(&str, &str)] = &[
    ("photos/", "Photographs."),
    ("documents/", "Reports, letters, data sheets."),
    ("feeds/", "Records that show that conditions go on holding."),
    ("templates/", "Chapters that replace the built-in ones of the same name."),
];

/// What a file is for.
#[derive(Debug, Clone, Copy)]
pub enum Purpose<'a> {
    Tables(&'static Room),
    /// A file in the folder of the run with this id.
    RunData(&'a str),
    Free,
    Ignored,
    /// Nothing would read it; the hint says where it may belong.
    Unplaced(&'static str),
}

/// Finds what a file is for.
pub fn purpose(path: &str) -> Purpose<'_> {
    if matches!(path, "README.md" | ".gitignore" | PLAN_DIGESTS) || path.starts_with(".git") {
        return Purpose::Ignored;
    }
    if let Some(room) = ROOMS.iter().find(|r| fits(r.pattern, path)) {
        return Purpose::Tables(room);
    }
    if path.starts_with("templates/") && !path.ends_with(".md") {
        return Purpose::Unplaced("chapters are templates/NN-name.md; move it to documents/");
    }
    if FREE.iter().any(|(folder, _)| path.starts_with(folder)) {
        return Purpose::Free;
    }
    if let Some((run, _)) = path.strip_prefix("runs/").and_then(|rest| rest.split_once('/')) {
        return Purpose::RunData(run);
    }
    if path.starts_with("runs/") {
        return Purpose::Unplaced("give every run its own folder: runs/<id>/run.toml");
    }
    let folder = path.split('/').next().unwrap_or_default();
    if ROOMS.iter().any(|r| r.pattern.split_once('/').is_some_and(|(f, _)| f == folder)) {
        return Purpose::Unplaced(
            "this folder holds .toml files without sub-folders; move it to documents/ or photos/",
        );
    }
    if path.ends_with(".toml") && path.contains('/') {
        return Purpose::Unplaced(meant(folder));
    }
    Purpose::Unplaced("move it to documents/, photos/ or feeds/, or into the folder of the run that lists it")
}

/// The folder of records that was meant by a folder that galipot does not know.
fn meant(folder: &str) -> &'static str {
    const HINTS: &[(&str, &str)] = &[
        ("people", "did you mean people/?"),
        ("customers", "did you mean customers/?"),
        ("labs", "did you mean labs/?"),
        ("environments", "did you mean environments/?"),
        ("assemblies", "did you mean assemblies/?"),
        ("materials", "did you mean materials/?"),
        ("processes", "did you mean processes/?"),
        ("vehicles", "did you mean vehicles/?"),
        ("protocols", "did you mean protocols/?"),
        ("criteria", "did you mean criteria/?"),
        ("audits", "did you mean audits/?"),
        ("register", "did you mean register/?"),
        ("plan", "did you mean plan/?"),
        ("claims", "did you mean claims/?"),
        ("runs", "did you mean runs/?"),
    ];
    let low = folder.to_lowercase();
    // "old-materials" and "materials2" hold the name; others are a letter or two away.
    let holds = HINTS.iter().find(|h| low.contains(h.0));
    let near = || nearest(&low, HINTS.iter().map(|h| h.0)).and_then(|n| HINTS.iter().find(|h| h.0 == n));
    holds.or_else(near).map_or(
        "records stand in people/, customers/, labs/, environments/, assemblies/, materials/, processes/, vehicles/, \
         protocols/, criteria/, audits/, register/, plan/, claims/ and runs/<id>/",
        |h| h.1,
    )
}

fn fits(pattern: &str, path: &str) -> bool {
    let mut a = pattern.split('/');
    let mut b = path.split('/');
    loop {
        match (a.next(), b.next()) {
            (None, None) => return true,
            (Some("*.toml"), Some(name)) if name.len() > 5 && name.ends_with(".toml") => {}
            (Some("*"), Some(name)) if !name.is_empty() => {}
            (Some(x), Some(y)) if x == y => {}
            _ => return false,
        }
    }
}
