//! Takes the Typst source of a dossier with its figures; gives its PDF, made by the `typst` program.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::disk::{self, Existing};
use crate::model::Day;
use crate::pipeline;

/// Names the program; empty for none.
const VARIABLE: &str = "GALIPOT_TYPST";
/// How to get it.
pub const ADVICE: &str =
    "`cargo install typst-cli --locked` builds it; where it does not lie on the PATH, GALIPOT_TYPST names it";
/// What a page is held to: an archive's PDF that a screen reader can read.
const STANDARD: &str = "a-2a,ua-1";
/// How long one dossier may take.
const LIMIT: Duration = Duration::from_secs(600);

/// The `typst` program of this machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typst {
    path: PathBuf,
    /// "typst 0.15.1".
    pub version: String,
}

/// Looks for the program; nothing when there is none, or none is wanted.
///
/// # Errors
/// In words, when the one that was named, or found, does not run.
pub fn find() -> Result<Option<Typst>, String> {
    let path = match std::env::var_os(VARIABLE) {
        Some(named) if named.is_empty() => return Ok(None),
        Some(named) => PathBuf::from(named),
        None => {
            let folders = std::env::var_os("PATH").unwrap_or_default();
            let name = format!("typst{}", std::env::consts::EXE_SUFFIX);
            match std::env::split_paths(&folders).map(|f| f.join(&name)).find(|p| p.is_file()) {
                Some(found) => found,
                None => return Ok(None),
            }
        }
    };
    let said = Command::new(&path).arg("--version").env_clear().stdin(Stdio::null()).output();
    let said = said.map_err(|e| format!("{} does not run: {e}; {ADVICE}", path.display()))?;
    let text = String::from_utf8_lossy(&said.stdout).into_owned();
    let mut words = text.split_whitespace();
    match (words.next(), words.next()) {
        (Some("typst"), Some(number)) if said.status.success() => {
            Ok(Some(Typst { path, version: format!("typst {number}") }))
        }
        _ => Err(format!("{} is not typst; {ADVICE}", path.display())),
    }
}

impl Typst {
    /// The PDF of `dossier.typ` among the files. The program sees these files and its own fonts, and nothing else.
    ///
    /// # Errors
    /// In words, when the program fails, takes too long, or the disk refuses.
    pub fn pdf(&self, files: &[(String, Vec<u8>)], day: Day) -> Result<Vec<u8>, String> {
        let room =
            tempfile::Builder::new().prefix("galipot-").tempdir().map_err(|e| format!("no folder to work in: {e}"))?;
        let of = |name: &str| room.path().join(name);
        let mut seen = Vec::new();
        for (path, bytes) in files {
            if path.starts_with("figures/") {
                seen.push((path.clone(), pipeline::on_paper(bytes)));
            } else if path == "dossier.typ" {
                seen.push((path.clone(), bytes.clone()));
            }
        }
        disk::write_folder(&of("in"), &seen, Existing::Refuse).map_err(|e| e.to_string())?;
        let seconds = Day::parse("1970-01-01").map_or(0, |first| first.days_until(day)) * 86_400;
        let said = fs::File::create(of("said")).map_err(|e| format!("{}: {e}", of("said").display()))?;
        let mut child = Command::new(&self.path)
            .args(["compile", "--ignore-system-fonts", "--diagnostic-format", "short", "--pdf-standard", STANDARD])
            .arg(format!("--creation-timestamp={seconds}"))
            .arg("--root")
            .arg(of("in"))
            // The source asks for no package, and none could be had.
            .arg("--package-path")
            .arg(of("none"))
            .arg("--package-cache-path")
            .arg(of("none"))
            .arg(of("in/dossier.typ"))
            .arg(of("dossier.pdf"))
            .current_dir(room.path())
            .env_clear()
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(said)
            .spawn()
            .map_err(|e| format!("{}: {e}", self.path.display()))?;
        let began = Instant::now();
        let status = loop {
            match child.try_wait().map_err(|e| format!("{}: {e}", self.path.display()))? {
                Some(status) => break status,
                None if began.elapsed() > LIMIT => {
                    let _ = child.kill();
                    let _ = child.wait();
                    return Err(format!("{} did not finish in {} s", self.version, LIMIT.as_secs()));
                }
                None => std::thread::sleep(Duration::from_millis(20)),
            }
        };
        if !status.success() {
            return Err(format!("{} made no PDF: {}", self.version, told(&of("said"))));
        }
        disk::read_file(&of("dossier.pdf"), disk::LARGEST)
    }
}

/// The first lines that the program said.
fn told(path: &Path) -> String {
    let text = fs::read(path).map(|b| String::from_utf8_lossy(&b).into_owned()).unwrap_or_default();
    text.lines().take(5).collect::<Vec<_>>().join("\n  ")
}
