//! The guide: every command in it works on the site that `galipot new` writes, and every word that it explains exists.

use crate::commands::galipot;
use galipot::model::assessment::Code;
use std::path::Path;

fn page() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/guide.md")).expect("the guide")
}

/// The commands of a page: lines of its `sh` blocks.
fn commands_of(page: &str) -> Vec<&str> {
    let mut inside = false;
    let mut out = Vec::new();
    for l in page.lines() {
        if l.starts_with("```") {
            inside = l == "```sh";
        } else if inside {
            out.push(l);
        }
    }
    out
}

#[test]
fn every_command_of_the_guide_works() {
    let page = page();
    let dir = tempfile::tempdir().expect("a folder");
    let mut here = dir.path().to_path_buf();
    let commands = commands_of(&page);
    assert!(commands.len() >= 8, "{commands:?}");
    for line in commands {
        // As a shell does: a quoted part belongs to its word.
        let mut words = vec![String::new()];
        let mut quoted = false;
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                ' ' if !quoted => words.push(String::new()),
                c => words.last_mut().expect("one at least").push(c),
            }
        }
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        match words.as_slice() {
            ["cd", to] => here.push(to),
            ["galipot", args @ ..] => {
                let call = galipot(&here, args);
                assert!(call.status < 2, "{line}: {}", call.err);
            }
            other => panic!("{other:?}"),
        }
    }
}

/// Every reason code, so that a new one can't be forgotten on the page: the match is exhaustive.
fn all_codes() -> Vec<&'static str> {
    use Code::*;
    let all = [
        Missing,
        Planned,
        ExpiredAge,
        ExpiredChange,
        LotMismatch,
        NotCovered,
        Inadmissible,
        Marginal,
        Conflict,
        NotShown,
        UnreportedRun,
        OpenDefeater,
        Assumption,
        ConditionIncomplete,
        ConditionConflict,
        CriterionMissing,
        CriterionAfterData,
        InputEstimated,
        AcceptedRisk,
        AwaitingSignature,
        TooManyConditions,
    ];
    for c in all {
        match c {
            Missing | Planned | ExpiredAge | ExpiredChange | LotMismatch | NotCovered | Inadmissible | Marginal
            | Conflict | NotShown | UnreportedRun | OpenDefeater | Assumption | ConditionIncomplete
            | ConditionConflict | CriterionMissing | CriterionAfterData | InputEstimated | AcceptedRisk
            | AwaitingSignature | TooManyConditions => {}
        }
    }
    all.iter().map(|c| c.word()).collect()
}

#[test]
fn every_reason_code_has_its_row() {
    let page = page();
    let row = |code: &str| {
        page.lines().any(|l| {
            l.strip_prefix("| ")
                .is_some_and(|r| r.starts_with(&format!("{code} |")) || r.starts_with(&format!("{code}(")))
        })
    };
    let missing: Vec<&str> = all_codes().into_iter().filter(|c| !row(c)).collect();
    assert_eq!(missing, Vec::<&str>::new());
}
