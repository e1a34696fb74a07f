//! Takes the records that were found; gives the index of their ids, duplicates, and references without a target.

use super::route::{Placed, name_of};
use crate::diag::{At, Diagnostic, FileId, Log, codes, nearest};
use crate::model::Reference;
use crate::model::raw::{Node, Raw, Table};
use std::collections::{BTreeMap, BTreeSet};

/// Kinds whose ids are known only inside their own file.
const LOCAL: &[&str] =
    &["component", "net_pair", "node", "rf", "contact", "keep_out", "zone", "pattern", "not_applicable"];

/// Coverage dimensions run from K1 to this.
const DIMENSIONS: u32 = 21;

/// Gates of admissibility, which a criterion may serve like a claim.
const GATES: &[&str] = &["G1", "G2", "G3", "G4", "G5", "G6", "G7", "G8", "G9", "G10", "G11", "G12"];

/// Where every id stands.
#[derive(Debug, Default)]
pub struct Names {
    /// By kind and, for local kinds, file.
    ids: BTreeMap<(String, Option<FileId>), BTreeMap<String, At>>,
    /// Kinds of which some record may be unseen, because its file or header could not be read.
    unsure: BTreeSet<&'static str>,
}

impl Names {
    /// Indexes all records and reports ids that stand twice. `built_in` tells files that travel inside the program.
    pub fn collect(
        placed: &[Placed],
        unsure: BTreeSet<&'static str>,
        built_in: &dyn Fn(FileId) -> bool,
        log: &mut Log,
    ) -> Self {
        let mut names = Self { unsure, ..Self::default() };
        // Built-in claims first, so that the site's own claim of the same name takes its place.
        let (inside, own): (Vec<&Placed>, Vec<&Placed>) = placed.iter().partition(|p| built_in(p.file));
        for p in inside {
            names.add(p, &mut Log::default());
        }
        let claims = names.ids.remove(&("claim".to_string(), None));
        for p in own {
            names.add(p, log);
        }
        if let Some(claims) = claims {
            let all = names.ids.entry(("claim".to_string(), None)).or_default();
            for (id, at) in claims {
                all.entry(id).or_insert(at);
            }
        }
        names
    }

    fn add(&mut self, p: &Placed, log: &mut Log) {
        let kind = p.rule.kind;
        let t = &p.table;
        let named = match kind {
            "claim" => text(t, "id").map(|(id, at)| (format!("{}/{id}", text(t, "tree").map_or("", |x| x.0)), at)),
            "age" => text(t, "kind").map(|(k, at)| (format!("{k} in {}", text(t, "set").map_or("", |x| x.0)), at)),
            "not_applicable" => text(t, "claim").map(|(c, at)| (c.to_string(), at)),
            "aperture" => None,
            _ => p.id().map(|(id, at)| (id.to_string(), at)),
        };
        if let Some((id, at)) = named {
            self.insert(kind, p.file, id, at, log);
        }
        if let Some(Node { raw: Raw::List(like), .. }) = t.get("like") {
            for n in like {
                if let Raw::Text(s) = &n.raw {
                    self.insert(kind, p.file, s.clone(), n.at, log);
                }
            }
        }
        for inner in ["pattern", "build", "planned"] {
            for table in tables(t, inner) {
                if let Some((id, at)) = name_of(table) {
                    self.insert(inner, p.file, id.to_string(), at, log);
                }
            }
        }
    }

    fn insert(&mut self, kind: &str, file: FileId, id: String, at: At, log: &mut Log) {
        let ids = self.ids.entry((kind.to_string(), scope(kind, file))).or_default();
        match ids.get(&id) {
            Some(&first) => log.push(
                Diagnostic::error(
                    codes::DUPLICATE_ID,
                    format!("two records of kind {kind} are called {}", id.escape_debug()),
                    "give one of them another id, or remove it",
                )
                .at(at, "second")
                .at(first, "first"),
            ),
            None => {
                ids.insert(id, at);
            }
        }
    }

    fn of(&self, kind: &str, file: FileId) -> impl Iterator<Item = &str> {
        self.ids.get(&(kind.to_string(), scope(kind, file))).into_iter().flat_map(|m| m.keys().map(String::as_str))
    }

    fn has(&self, kind: &str, file: FileId, id: &str) -> bool {
        self.ids.get(&(kind.to_string(), scope(kind, file))).is_some_and(|m| m.contains_key(id))
    }

    /// Whether a claim of this tree exists.
    pub fn has_claim(&self, tree: &str, id: &str) -> bool {
        self.has("claim", FileId(0), &format!("{tree}/{id}")) || self.unsure.contains("claim")
    }

    /// Ids of the claims of one tree, or of all trees when `tree` is none.
    pub fn claims<'a>(&'a self, tree: Option<&'a str>) -> impl Iterator<Item = &'a str> {
        self.of("claim", FileId(0)).filter_map(move |n| {
            let (t, id) = n.split_once('/')?;
            tree.is_none_or(|want| want == t).then_some(id)
        })
    }

    /// Reports a reference that leads nowhere, with the chain that leads to it.
    pub fn resolve(&self, file: FileId, r: &Reference, log: &mut Log) {
        let id = r.id.text.as_str();
        let known: Vec<&str> = match r.to {
            "claim" => self.claims(None).collect(),
            "claim or gate" => self.claims(None).chain(GATES.iter().copied()).collect(),
            "run" => self.of("run", file).chain(self.of("planned", file)).collect(),
            "dimension" => {
                let number = id.strip_prefix('K').and_then(|n| n.parse::<u32>().ok());
                if number.is_some_and(|n| (1..=DIMENSIONS).contains(&n) && id == format!("K{n}")) {
                    return;
                }
                Vec::new()
            }
            kind => self.of(kind, file).collect(),
        };
        if known.contains(&id) || self.unsure.contains(r.to.split(' ').next().unwrap_or(r.to)) {
            return;
        }
        let other = self.ids.iter().find(|((k, s), m)| s.is_none() && k != "claim" && m.contains_key(id));
        let hint = if r.to == "dimension" {
            format!("coverage dimensions are K1 to K{DIMENSIONS}")
        } else if let Some(n) = nearest(id, known.iter().copied()) {
            format!("did you mean `{n}`?")
        } else if let Some(((kind, _), _)) = other {
            format!("`{id}` is the id of {}; name {} here", with_article(called(kind)), with_article(r.to))
        } else if known.is_empty() {
            format!("no {} is written yet: add it, or correct the id", r.to)
        } else if known.len() <= 8 {
            format!("known ids of kind {}: {}", r.to, known.join(", "))
        } else {
            format!("add {} with this id, or correct the id", with_article(r.to))
        };
        let from = [called(&r.from.0), r.from.1.as_str()].join(" ");
        log.push(
            Diagnostic::error(
                codes::DANGLING_REFERENCE,
                format!(
                    "{} `{}` does not exist: {} -> {} -> {}",
                    r.to,
                    id.escape_debug(),
                    from.trim_end(),
                    r.field,
                    id.escape_debug()
                ),
                hint,
            )
            .at(r.id.at, format!("no such {}", r.to)),
        );
    }
}

/// What people call a kind.
fn called(kind: &str) -> &str {
    if kind == "planned" { "planned run" } else { kind }
}

/// "a lot", "an assembly".
pub fn with_article(kind: &str) -> String {
    let an = kind.starts_with(['a', 'e', 'i', 'o']);
    format!("{} {kind}", if an { "an" } else { "a" })
}

fn scope(kind: &str, file: FileId) -> Option<FileId> {
    LOCAL.contains(&kind).then_some(file)
}

fn text<'a>(t: &'a Table, name: &str) -> Option<(&'a str, At)> {
    match t.get(name) {
        Some(Node { raw: Raw::Text(s), at }) => Some((s, *at)),
        _ => None,
    }
}

/// Tables of a list inside a table.
pub fn tables<'a>(t: &'a Table, name: &str) -> impl Iterator<Item = &'a Table> {
    let items = match t.get(name) {
        Some(Node { raw: Raw::List(items), .. }) => items.as_slice(),
        _ => &[],
    };
    items.iter().filter_map(|n| if let Raw::Table(t) = &n.raw { Some(t) } else { None })
}
