//! One galipot issues at a time: of two, exactly one wins; what a killed one left is cleared away, what a running one uses never.

use std::path::Path;
use std::process::{Child, Command, Stdio};

use crate::commands::galipot;

const HOME: &str = "issued/DOC-HF-OV-1107-NC-001";

fn site() -> tempfile::TempDir {
    let dir = tempfile::tempdir().expect("a folder");
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen");
    for (path, bytes) in crate::builder::load(root) {
        let to = dir.path().join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
    dir
}

fn issuing(site: &Path) -> Child {
    Command::new(env!("CARGO_BIN_EXE_galipot"))
        .args(["issue", "OV-1107", "--revision", "1"])
        .current_dir(site)
        .env_clear()
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it runs")
}

fn debris(site: &Path) -> std::path::PathBuf {
    let left = site.join(HOME).join(".1.4242.new");
    std::fs::create_dir_all(left.join("data")).expect("made");
    std::fs::write(left.join("data/record.json"), "half").expect("written");
    left
}

fn there(site: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(site.join(HOME)).expect("a folder");
    entries.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned()).collect()
}

#[test]
fn of_two_at_once_exactly_one_wins() {
    let dir = site();
    debris(dir.path());
    let both = [issuing(dir.path()), issuing(dir.path()), issuing(dir.path())];
    let mut ended: Vec<(Option<i32>, String)> = both
        .into_iter()
        .map(|c| c.wait_with_output().expect("it ends"))
        .map(|o| (o.status.code(), String::from_utf8_lossy(&o.stdout).into_owned()))
        .collect();
    ended.sort();
    assert_eq!(ended.iter().map(|e| e.0).collect::<Vec<_>>(), [Some(0), Some(1), Some(1)], "{ended:?}");
    assert!(ended[1..].iter().all(|e| e.1.contains("is issued already, and is never changed")), "{ended:?}");
    assert_eq!(there(dir.path()), ["1"], "and what a killed one left is gone");
    assert_eq!(galipot(dir.path(), &["verify", &format!("{HOME}/1")]).status, 0);
}

/// Whoever has the turn may be writing: nobody clears his folder away.
#[cfg(unix)]
#[test]
fn what_a_running_issue_writes_is_left_alone() {
    let dir = site();
    let writing = debris(dir.path());
    let turn = std::fs::File::open(dir.path()).expect("a folder");
    turn.lock().expect("the turn");
    let mut second = issuing(dir.path());
    std::thread::sleep(std::time::Duration::from_secs(4));
    assert!(second.try_wait().expect("a child").is_none(), "it waits for its turn");
    assert!(writing.join("data/record.json").exists());
    drop(turn);
    assert_eq!(second.wait().expect("it ends").code(), Some(0));
    assert_eq!(there(dir.path()), ["1"]);
}

#[test]
fn a_chain_begins_with_1_or_a_unless_it_is_said() {
    let dir = site();
    let file = dir.path().join("assemblies/OV-1107.toml");
    let text = std::fs::read_to_string(&file).expect("it").replace("document_rev = \"1\"", "document_rev = \"2\"");
    std::fs::write(&file, text).expect("written");
    let lost = galipot(dir.path(), &["issue", "OV-1107", "--revision", "2"]);
    assert!(lost.status == 1 && lost.out.contains("or say --first"), "{}{}", lost.out, lost.err);
    assert!(!dir.path().join(HOME).exists(), "nothing was written");
    let begun = galipot(dir.path(), &["issue", "OV-1107", "--revision", "2", "--first"]);
    assert!(begun.status == 0 && begun.out.contains("keep `issued/`"), "{}{}", begun.out, begun.err);
    let status = galipot(dir.path(), &["status"]);
    assert!(status.out.contains("newest revision: 2 candidate"), "{}", status.out);
}
