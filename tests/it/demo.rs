//! The example site `hallow-fen`: it is read, its readings are those of the generator, and its states are the oracle's.

use std::path::Path;

#[path = "../../examples/make_hallow_fen/make/mod.rs"]
mod make;

/// Folder of the site.
fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen")
}

/// Every file of the site: path with forward slashes, bytes; in order of path.
fn files() -> Vec<(String, Vec<u8>)> {
    fn walk(root: &Path, folder: &Path, out: &mut Vec<(String, Vec<u8>)>) {
        for entry in std::fs::read_dir(folder).expect("a folder of the site") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                walk(root, &path, out);
            } else {
                let inside = path.strip_prefix(root).expect("inside").to_string_lossy().replace('\\', "/");
                out.push((inside, std::fs::read(&path).expect("a file of the site")));
            }
        }
    }
    let mut out = Vec::new();
    walk(&folder(), &folder(), &mut out);
    out.sort();
    out
}

#[test]
fn the_generator_gives_the_committed_bytes() {
    let committed: std::collections::BTreeMap<_, _> = files().into_iter().collect();
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
fn the_site_is_read() {
    match galipot::read::read(files(), None, &[]) {
        Ok((site, warnings)) => {
            for w in &warnings {
                let at = w.labels.first().map_or(String::new(), |l| site.sources.cite(l.at));
                println!("warning {at}: {} {}", w.code, w.headline);
            }
            assert!(warnings.is_empty(), "{} warnings", warnings.len());
            assert_eq!(site.assemblies.len(), 4);
        }
        Err((sources, problems)) => {
            for p in &problems {
                let at = p.labels.first().map_or(String::new(), |l| sources.cite(l.at));
                println!("{at}: {} {} -> {}", p.code, p.headline, p.hint);
            }
            panic!("{} problems", problems.len());
        }
    }
}
