//! Takes the README; shows that its excerpts are what galipot says today, and that its commands run.

use crate::tidy::{block, none, project};
use std::path::Path;
use std::process::Command;

const SITE: &str = "qualification-examples/hallow-fen";

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn readme() -> String {
    std::fs::read_to_string(root().join("README.md")).expect("the README")
}

/// Standard output and exit status of galipot, run in the project's folder with an empty environment.
fn galipot(args: &[&str]) -> (String, i32) {
    let done = Command::new(env!("CARGO_BIN_EXE_galipot")).args(args).current_dir(root()).env_clear().output();
    let done = done.expect("galipot runs");
    (String::from_utf8(done.stdout).expect("text"), done.status.code().expect("an exit status"))
}

fn fenced(text: &str) -> String {
    format!("```text\n{}\n```", text.trim_end())
}

#[test]
fn what_it_looks_like_is_what_it_says() {
    let (status, code) = galipot(&["status", "--site", SITE]);
    assert_eq!(code, 1, "not every assembly of the example may leave its residue");
    let mut wrong = block("README.md", "status", &fenced(&status));
    let room = tempfile::tempdir().expect("a folder");
    let out = room.path().join("drafts");
    let (_, code) = galipot(&["draft", "--site", SITE, "--out", out.to_str().expect("a plain name")]);
    assert_eq!(code, 0);
    let dossier = |id: &str| std::fs::read_to_string(out.join(id).join("dossier.md")).expect("a dossier");
    wrong.extend(block("README.md", "dossier", &quoted(&verdict(&dossier("OV-2230")))));
    wrong.extend(block("README.md", "sheet", &quoted(&sheet(&dossier("OV-1107")))));
    none(wrong);
}

/// The page of the verdict, down to its first heading.
fn verdict(dossier: &str) -> String {
    let from = dossier.find("\n## 1 ").expect("a verdict page") + 1;
    let to = from + dossier[from..].find("\n### ").expect("a heading behind the weakest places");
    dossier[from..to].to_string()
}

/// The first sheet of a lower tolerance bound, from its heading down to its results.
fn sheet(dossier: &str) -> String {
    let title = dossier.find("\nLower tolerance bound").expect("a lower tolerance bound");
    let from = dossier[..title].rfind("\n###").expect("the heading of a sheet") + 1;
    let to = from + dossier[from..].find("\nCalculation:").expect("the end of a sheet");
    dossier[from..to].to_string()
}

/// As a quotation: headings made small, and links taken off their words, since their targets stay in the dossier.
fn quoted(text: &str) -> String {
    let mut out = String::new();
    for line in text.trim_end().lines() {
        let line = match line.trim_start_matches('#') {
            rest if rest.len() < line.len() => format!("**{}**", rest.trim()),
            _ => unlinked(line),
        };
        out.push_str(format!("> {line}").trim_end());
        out.push('\n');
    }
    out
}

/// `[words](#target)` becomes words; a mark such as `[^3]` goes.
fn unlinked(line: &str) -> String {
    let mut out = String::new();
    let mut rest = line;
    while let Some((before, link)) = rest.split_once('[') {
        let Some((words, after)) = link.split_once(']') else { break };
        out.push_str(before);
        rest = after;
        if words.starts_with('^') {
            continue;
        }
        out.push_str(words);
        if let Some(behind) = after.strip_prefix("(#") {
            rest = behind.split_once(')').map_or("", |x| x.1);
        }
    }
    out + rest
}

#[test]
fn links_are_taken_off_their_words() {
    assert_eq!(unlinked("a [b](#c) d[^4], [e](#f)g"), "a b d, eg");
    assert_eq!(unlinked("plain"), "plain");
}

#[test]
fn the_two_commands_stand_in_it_and_run() {
    let text = readme();
    let commands: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix("    cargo ")).collect();
    assert_eq!(commands[..2], ["run -- draft --site qualification-examples/hallow-fen --out drafts", "test"]);
    let room = tempfile::tempdir().expect("a folder");
    for line in commands.iter().filter_map(|c| c.strip_prefix("run -- ")) {
        let place = |word: &str| match word {
            w if w == "my-site" || w.split('/').next() == Some("drafts") => {
                room.path().join(w).to_string_lossy().into_owned()
            }
            w => w.to_string(),
        };
        let args: Vec<String> = line.split(' ').map(place).collect();
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let (said, code) = galipot(&args);
        assert!(!said.is_empty() && (0..=1).contains(&code), "galipot {line}: {code}");
    }
    for id in ["OV-1107", "OV-2230", "OV-3415", "OV-4502"] {
        for form in ["dossier.html", "dossier.md", "record.json"] {
            assert!(room.path().join("drafts").join(id).join(form).is_file(), "{id}/{form} was not written");
        }
    }
}

/// Links of the pages that lead to no file.
fn dead_links(pages: &[(String, String)]) -> Vec<String> {
    let mut out = Vec::new();
    for (page, text) in pages {
        let folder = root().join(page).parent().expect("a folder").to_path_buf();
        // Blocks of code hold no links.
        let text: String = text.split("```").step_by(2).collect();
        for target in text.split("](").skip(1).filter_map(|t| t.split([')', '#']).next()).filter(|t| !t.is_empty()) {
            if !folder.join(target).exists() {
                out.push(format!("{page}: {target} is not there"));
            }
        }
    }
    out
}

#[test]
fn every_link_leads_to_a_file() {
    let mut pages = project();
    let read = |p: &str| !p.contains('/') || p.starts_with("docs/") || p.starts_with("qualification-examples/");
    pages.retain(|(p, _)| p.ends_with(".md") && read(p));
    assert!(pages.len() > 7, "{} pages", pages.len());
    none(dead_links(&pages));
    let dead = vec![("docs/a.md".to_string(), "see [b](b.md) and [c](#c)".to_string())];
    assert_eq!(dead_links(&dead).len(), 1);
}
