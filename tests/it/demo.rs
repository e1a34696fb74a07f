//! The example site `hallow-fen`: it is read, its readings are those of the generator, and its states are the oracle's.

use crate::builder::{Files, load};
use galipot::model::Day;
use galipot::model::assessment::{AssemblyResult, Assessment, Code, Cover, State};
use galipot::model::governance::TreeKind;
use galipot::model::workings::Workings;
use galipot::pipeline::{Assessed, Options, assess};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

mod deletion;
#[path = "../../examples/make_hallow_fen/make/mod.rs"]
mod make;
mod oracle;
mod reader;
mod scenes;

/// Folder of the site.
fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen")
}

/// Every file of the site but its page for people, read once.
fn files() -> &'static Files {
    static FILES: OnceLock<Files> = OnceLock::new();
    FILES.get_or_init(|| load(folder()))
}

fn with(set: &[&str]) -> Assessed {
    let options = Options { set: set.iter().map(ToString::to_string).collect(), ..Options::default() };
    match assess(files().clone(), &options) {
        Ok(a) => a,
        Err(r) => {
            let cite = |l: &galipot::diag::Label| r.sources.cite(l.at);
            let list: Vec<String> = r
                .problems
                .iter()
                .map(|p| format!("{}: {}; {}", p.labels.first().map_or(String::new(), cite), p.headline, p.hint))
                .collect();
            panic!("the site is refused:\n{}", list.join("\n"));
        }
    }
}

/// The site as committed, assessed once.
fn base() -> &'static Assessed {
    static BASE: OnceLock<Assessed> = OnceLock::new();
    BASE.get_or_init(|| with(&[]))
}

fn of<'a>(a: &'a Assessment, id: &str) -> &'a AssemblyResult {
    a.assemblies.iter().find(|x| x.id == id).unwrap_or_else(|| panic!("no assembly {id}"))
}

/// Tree of a claim by the first letter of its id.
fn tree(claim: &str) -> TreeKind {
    match claim.as_bytes()[0] {
        b'W' => TreeKind::Wash,
        b'I' => TreeKind::Present,
        _ => TreeKind::Leave,
    }
}

#[test]
fn the_generator_gives_the_committed_bytes() {
    let committed: std::collections::BTreeMap<_, _> = files().iter().cloned().collect();
    for (path, text) in make::generate() {
        let bytes = committed.get(&path).unwrap_or_else(|| panic!("{path} is not committed"));
        assert!(*bytes == text.as_bytes(), "{path} differs: run `cargo run --example make_hallow_fen`");
    }
    for (path, bytes) in committed.iter().filter(|(p, _)| p.ends_with("/run.toml")) {
        let text = std::str::from_utf8(bytes).expect("text");
        let folder = path.trim_end_matches("run.toml");
        let stamped = make::stamp(text, |p| committed.get(&format!("{folder}{p}")).cloned());
        assert!(stamped == text, "{path} holds an old digest: run `cargo run --example make_hallow_fen`");
    }
}

#[test]
fn the_site_is_read_without_a_warning() {
    let a = base();
    let list: Vec<&str> = a.warnings.iter().map(|w| w.headline.as_str()).collect();
    assert!(list.is_empty(), "{list:?}");
    let size: usize = files().iter().map(|f| f.1.len()).sum();
    assert!(size < 15_000_000, "the site has grown to {size} bytes");
}
