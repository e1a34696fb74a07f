//! Takes Rust files; complains of missing captions, broken layers, crates away from home, and long files.

use super::{none, project, rust_files, text};

/// Rooms of the ground floor, lowest first: each may use those before it.
const GROUND: &[&str] = &["diag", "quantity", "model"];
/// Rooms that never know each other.
const STAGES: &[&str] = &["read", "compute", "judge", "compose", "render", "seal", "compare"];
/// Modules above the stages.
const ABOVE: &[&str] = &["pipeline", "batch", "manual", "plan", "cli"];

/// Outside crates with the one file that may name them; none for those that are words of the whole house.
const HOMES: &[(&str, Option<&str>)] = &[
    ("annotate_snippets", Some("src/cli/show.rs")),
    ("calamine", Some("src/read/sheet.rs")),
    ("clap", Some("src/cli/args.rs")),
    ("jiff", Some("src/model/day.rs")),
    ("libm", None),
    ("microlp", Some("src/plan/program.rs")),
    ("minijinja", Some("src/compose/template.rs")),
    ("pulldown_cmark", Some("src/compose/prose.rs")),
    ("rayon", None),
    ("serde_json", None),
    ("sha2", Some("src/diag/digest.rs")),
    ("ssh_key", Some("src/seal/approval.rs")),
    ("strsim", Some("src/diag/suggest.rs")),
    ("tempfile", None),
    ("toml", Some("src/read/toml.rs")),
    ("unicode_normalization", Some("src/seal/paths.rs")),
];

/// Lines at which a file is thought over again.
const LONG: usize = 400;
/// Files that were thought over and left long, with the reason.
const LONG_WITH_REASON: &[(&str, &str)] = &[
    ("src/compose/tests.rs", "one hand-made site and the pages that come of it"),
    ("src/model/assessment.rs", "every word that the judge can say, in one vocabulary"),
    ("src/model/governance.rs", "records side by side; splitting them would hide that they refer to each other"),
    ("src/model/record.rs", "one macro and its reader: the declaration and its reading must be seen together"),
    ("src/plan/staged.rs", "one integer programme; its rows must be seen together to be believed"),
    ("tests/it/calculations.rs", "one test beside the other for the numbers of all calculations"),
    ("tests/it/computing.rs", "one table of readings and its numbers worked by hand after the other"),
    ("tests/it/documents/sample.rs", "one document that holds every node there is"),
];

/// A file begins with one line that says what it takes and gives.
fn caption(path: &str, text: &str) -> Option<String> {
    let first = text.lines().next().unwrap_or_default();
    let words = first.strip_prefix("//! ").unwrap_or_default();
    match words {
        "In work." if path.starts_with("tests/it/") => None,
        "" => Some(format!("{path}: begins without a caption `//! Takes ...; gives ...`")),
        w if w.split(' ').count() < 3 => Some(format!("{path}: its caption says nothing")),
        w if !w.ends_with('.') && !w.ends_with('?') => Some(format!("{path}: its caption is no sentence")),
        w if w.chars().count() > 130 => Some(format!("{path}: its caption is too long for a map")),
        _ => None,
    }
}

/// The text without its comments. A `//` inside a text between quotes ends the line too, which hides no import.
fn code(text: &str) -> String {
    text.lines().map(|l| l.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

fn is_name(c: char) -> bool {
    c.is_alphanumeric() || c == '_'
}

/// The names that stand behind `prefix`, with those of a group in braces: `crate::{a, b::c}` gives a and b.
fn names_behind(code: &str, prefix: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (i, _) in code.match_indices(prefix) {
        if code[..i].ends_with(is_name) {
            continue;
        }
        let rest = &code[i + prefix.len()..];
        if !rest.starts_with('{') {
            out.push(rest.chars().take_while(|c| is_name(*c)).collect());
            continue;
        }
        let mut depth = 0;
        let mut fresh = true;
        for (at, c) in rest.char_indices() {
            match c {
                '{' => (depth, fresh) = (depth + 1, depth == 0),
                '}' if depth == 1 => break,
                '}' => depth -= 1,
                ',' => fresh = depth == 1,
                _ if c.is_whitespace() => {}
                _ if depth == 1 && fresh => {
                    out.push(rest[at..].chars().take_while(|c| is_name(*c)).collect());
                    fresh = false;
                }
                _ => {}
            }
        }
    }
    out
}

/// Number of modules above a file: 1 for `src/diag/mod.rs` and `src/pipeline.rs`, 2 for `src/diag/place.rs`.
fn depth(path: &str) -> usize {
    let inside = path.trim_start_matches("src/").trim_end_matches(".rs");
    inside.split('/').filter(|p| !["mod", "lib", "main"].contains(p)).count()
}

/// Rooms that a file names although the plan of the house keeps them apart.
fn layers(path: &str, text: &str) -> Vec<String> {
    let inside = path.trim_start_matches("src/");
    let room = inside.split(['/', '.']).next().unwrap_or_default();
    let forbidden: Vec<&str> = if let Some(i) = GROUND.iter().position(|g| *g == room) {
        [&GROUND[i + 1..], STAGES, ABOVE].concat()
    } else if STAGES.contains(&room) {
        [STAGES, ABOVE].concat().into_iter().filter(|s| *s != room).collect()
    } else if ["pipeline", "batch", "manual", "plan"].contains(&room) {
        vec!["cli"]
    } else if ["cli", "lib", "main"].contains(&room) {
        Vec::new()
    } else {
        return vec![format!("{path}: {room} has no place in the plan of the house")];
    };
    let code = code(text);
    let mut named = names_behind(&code, "crate::");
    for n in depth(path)..depth(path) + 2 {
        // In a file at depth n, n times `super` is the crate itself; once more inside its own `mod tests`.
        named.extend(names_behind(&code, &"super::".repeat(n.max(1))));
    }
    // Tests in a room of their own may run the whole flow.
    let tests = path.ends_with("/tests.rs");
    named.retain(|n| forbidden.contains(&n.as_str()) && !(tests && n == "pipeline"));
    named.sort();
    named.dedup();
    named.iter().map(|n| format!("{path}: {room} must not know {n}")).collect()
}

/// Whether a file speaks of the crate `name`, and not of a module of its own that is called alike.
fn speaks_of(text: &str, name: &str) -> bool {
    let code = code(text);
    let local = code.contains(&format!("mod {name};"))
        || code.split(';').filter_map(|s| s.split_once("use ").map(|u| u.1)).any(|path| {
            let ours = path.starts_with("super::") || path.starts_with("crate::");
            ours && path.match_indices(name).any(|(i, _)| {
                let after = &path[i + name.len()..];
                !path[..i].ends_with(is_name) && (after.is_empty() || after.trim_start().starts_with([',', '}']))
            })
        });
    code.match_indices(name).any(|(i, _)| {
        let before = &code[..i];
        let outside = before.ends_with("::") && !before.trim_end_matches("::").ends_with(is_name);
        let plain = !before.ends_with([':', '.', '_']) && !before.ends_with(is_name);
        let used = code[i + name.len()..].starts_with("::") || before.ends_with("extern crate ");
        let imported = before.ends_with("use ") && code[i + name.len()..].starts_with([';', ' ']);
        (used || imported) && (outside || (plain && !local))
    })
}

/// Crates that a file names although they live elsewhere.
fn strangers(path: &str, text: &str) -> Vec<String> {
    let abroad = |(name, home): &&(&str, Option<&str>)| home.is_some_and(|h| h != path) && speaks_of(text, name);
    HOMES.iter().filter(abroad).map(|(n, h)| format!("{path}: {n} lives in {}", h.unwrap_or_default())).collect()
}

/// Long files without a reason, and reasons without a long file.
fn lengths<'a>(files: impl Iterator<Item = (&'a str, &'a str)>, reasons: &[(&str, &str)]) -> Vec<String> {
    let long: Vec<(&str, usize)> =
        files.map(|(path, text)| (path, text.lines().count())).filter(|(_, n)| *n > LONG).collect();
    let mut out = Vec::new();
    for (path, n) in &long {
        if !reasons.iter().any(|r| r.0 == *path) {
            out.push(format!(
                "{path}: {n} lines; think again at {LONG}: split it, or give the reason in the tidy test"
            ));
        }
    }
    for (path, _) in reasons {
        if !long.iter().any(|l| l.0 == *path) {
            out.push(format!("{path}: a reason for its length, and it is not long"));
        }
    }
    out
}

#[test]
fn every_file_begins_with_a_caption() {
    none(
        rust_files(&project(), &["src/", "tests/", "benches/", "examples/"])
            .filter_map(|(p, t)| caption(p, t))
            .collect(),
    );
}

#[test]
fn stages_never_know_each_other() {
    none(rust_files(&project(), &["src/"]).flat_map(|(p, t)| layers(p, t)).collect());
}

#[test]
fn each_outside_crate_has_one_home() {
    let texts = project();
    let mut wrong: Vec<String> = rust_files(&texts, &["src/"]).flat_map(|(p, t)| strangers(p, t)).collect();
    for (name, home) in HOMES {
        let used = match home {
            Some(h) => texts.iter().any(|(p, t)| p == h && speaks_of(t, name)),
            None => rust_files(&texts, &["src/"]).any(|(_, t)| speaks_of(t, name)),
        };
        if !used {
            wrong.push(format!("{name} does not live in {}", home.unwrap_or("src/")));
        }
    }
    none(wrong);
}

#[test]
fn every_dependency_has_a_home_and_a_reason() {
    let texts = project();
    let known = |name: &str| HOMES.iter().any(|h| h.0 == name.replace('-', "_"));
    none(dependencies(text(&texts, "Cargo.toml"), known));
}

/// Dependencies without a comment above them, and those that a program is built from without a home.
fn dependencies(manifest: &str, known: impl Fn(&str) -> bool) -> Vec<String> {
    let mut out = Vec::new();
    let mut table = "";
    let mut above = "";
    for line in manifest.lines() {
        if line.starts_with('[') {
            table = line;
        } else if table.ends_with("dependencies]") && line.starts_with(|c: char| c.is_ascii_alphabetic()) {
            let name = line.split([' ', '=', '.']).next().unwrap_or_default();
            if !above.starts_with("# ") {
                out.push(format!("Cargo.toml: no line above {name} says why it is there"));
            }
            if table == "[dependencies]" && !known(name) {
                out.push(format!("Cargo.toml: {name} has no home in the tidy test"));
            }
        }
        above = line;
    }
    out
}

#[test]
fn long_files_have_a_reason() {
    let texts = project();
    for (path, why) in LONG_WITH_REASON {
        println!("long: {path}: {why}");
    }
    none(lengths(rust_files(&texts, &["src/", "tests/", "benches/", "examples/"]), LONG_WITH_REASON));
}

#[test]
fn bad_files_are_complained_of() {
    assert!(caption("a.rs", "use x;\n//! Takes a; gives b.").is_some());
    assert!(caption("a.rs", "").is_some());
    assert!(caption("a.rs", "//! In work.").is_some());
    assert!(caption("a.rs", "//! Takes a file and never ends").is_some());
    assert!(caption("a.rs", "//! Takes a; gives b.\n").is_none());

    let one = |path: &str, text: &str| layers(path, text).join(" ");
    assert!(one("src/judge/rules/x.rs", "use crate::read::layout;").contains("must not know read"));
    assert!(one("src/judge/mod.rs", "use crate::{diag::At, compute::{self, calc}};").contains("compute"));
    assert!(one("src/judge/mod.rs", "use super::compose;").contains("compose"));
    assert!(one("src/judge/rules/x.rs", "super::super::super::render::f()").contains("render"));
    assert!(one("src/judge/x.rs", "mod tests { use super::super::super::cli; }").contains("cli"));
    assert!(one("src/diag/place.rs", "use crate::model::Day;").contains("model"));
    assert!(one("src/quantity/mod.rs", "use crate::model::Day;").contains("model"));
    assert!(one("src/model/mod.rs", "use crate::compute::calc;").contains("compute"));
    assert!(one("src/pipeline.rs", "use crate::cli::show;").contains("cli"));
    assert!(one("src/compose/tests.rs", "use crate::cli::show;").contains("cli"));
    assert!(one("src/compose/mod.rs", "use crate::pipeline;").contains("pipeline"));
    assert_eq!(one("src/compose/tests.rs", "use crate::pipeline::assess;"), "");
    assert!(one("src/gossip/mod.rs", "").contains("no place"));
    assert_eq!(one("src/judge/rules/x.rs", "use crate::judge::court;\n// see crate::read\nuse super::read;"), "");
    assert_eq!(one("src/cli/why.rs", "use crate::{pipeline, compose::status};"), "");

    assert!(!strangers("src/read/set.rs", "use ::toml::de::DeTable;\nuse super::toml;").is_empty());
    assert!(!strangers("src/read/mod.rs", "let t: toml::Value = x;").is_empty());
    assert!(!strangers("src/cli/draft.rs", "#[derive(clap::Args)] struct A;").is_empty());
    assert!(!strangers("src/cli/draft.rs", "use clap as c;").is_empty());
    assert!(strangers("src/read/mod.rs", "mod toml;\nlet t = toml::parse(x);").is_empty());
    assert!(strangers("src/read/set.rs", "use super::{set, toml};\nlet t = toml::parse(x);").is_empty());
    assert!(strangers("src/read/toml.rs", "use toml::Spanned;").is_empty());

    let many = "x\n".repeat(LONG + 1);
    assert_eq!(lengths([("a.rs", many.as_str())].into_iter(), &[]).len(), 1);
    assert_eq!(lengths([("a.rs", "x\n")].into_iter(), &[("a.rs", "why")]).len(), 1);
    assert!(lengths([("a.rs", many.as_str())].into_iter(), &[("a.rs", "why")]).is_empty());

    assert_eq!(dependencies("[dependencies]\nserde = \"1\"\n", |_| true).len(), 1);
    assert_eq!(dependencies("[dependencies]\n# Why.\nserde = \"1\"\n", |_| false).len(), 1);
    assert!(dependencies("[dev-dependencies]\n# Why.\nserde = \"1\"\n", |_| false).is_empty());
}
