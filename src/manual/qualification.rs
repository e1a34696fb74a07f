//! Takes a self-test; gives the record that qualifies the tool: what was compared, what that shows, what it does not show.

use super::{Cell, DEFERENCE, cell, chapter, inputs, labelled, says, table, unit};
use crate::compute::calc::sources;
use crate::compute::selftest::{Row, STANDINGS, SelfTest};
use crate::model::document::{Block, Document, Inline};
use crate::quantity::{compact, significant};

/// The record of a self-test on a `target`, such as "x86_64 linux". It holds neither day nor folder.
pub fn record(t: &SelfTest, target: &str) -> Document {
    let (met, missed) = t.counts();
    let digest = t.digest();
    let version = env!("CARGO_PKG_VERSION");
    let verdict = if missed == 0 { "every known answer is met" } else { "known answers are missed" };
    Document {
        title: format!("Self-test of galipot {version}"),
        identity: vec![
            ("Tool".into(), format!("galipot {version}")),
            ("Target".into(), target.into()),
            ("Result".into(), format!("{verdict}: {met} met, {missed} missed")),
            ("Digest of the table (SHA-256 of selftest.json)".into(), digest.clone()),
        ],
        running: format!("galipot {version} · self-test · {} met, {missed} missed · {}", met, &digest[..16]),
        mark: (missed > 0).then(|| "ANSWERS MISSED".to_string()),
        day: None,
        chapters: vec![
            chapter("result", 1, "Result", result(t)),
            chapter("meaning", 2, "What this record shows, and what it does not", meaning(&digest)),
            chapter("answers", 3, "Every answer", vec![answers("Known answers and computed values", t.rows.iter())]),
            chapter("calculations", 4, "By calculation", vec![by_calculation(t)]),
            chapter("sources", 5, "Sources", vec![documents(t)]),
        ],
    }
}

fn result(t: &SelfTest) -> Vec<Block> {
    let (met, missed) = t.counts();
    let mut out = vec![says(format!(
        "{} calculations, {} known answers: {met} met, {missed} missed.",
        t.calcs.len(),
        t.rows.len()
    ))];
    if missed > 0 {
        out.push(Block::Caution(cell(
            "This build misses known answers. No result of the calculations named here may be relied on.",
        )));
        out.push(answers("Answers that are missed", t.rows.iter().filter(|r| !r.met())));
    }
    let rows = STANDINGS.iter().map(|k| {
        let (met, missed) = t.of_standing(*k);
        vec![cell(k.word()), cell(explained(k.word())), cell(met.to_string()), cell(missed.to_string())]
    });
    out.push(table("By standing of the answer", &["Standing", "Means", "Met", "Missed"], &[2, 3], rows.collect()));
    out
}

fn explained(standing: &str) -> &'static str {
    match standing {
        "seen" => "the value was read in the named document",
        "from memory" => "the value is that of the named document, from memory",
        "common practice" => "the trade computes so; no document",
        "reference library" => "an independent library computed it for the same inputs",
        _ => "a limit case, or a sum done by hand",
    }
}

fn meaning(digest: &str) -> Vec<Block> {
    let list = |items: &[&str]| Block::List { ordered: false, items: items.iter().map(|i| vec![says(*i)]).collect() };
    vec![
        says("It shows:"),
        list(&[
            "For each answer below, what this build computes, and that it differs from the known value by no more than \
             the stated tolerance, which follows from the digits that the source gives.",
            "Where each answer comes from, and how well that source is known.",
            "That two machines compute alike: the table holds nothing of the machine, the day or the folder, so equal \
             digests mean equal values to the last bit.",
        ]),
        says("It does not show:"),
        list(&[
            "That a method suits a board. Each holds under conditions and is weak for a reason; the page of methods names \
             both.",
            "Anything about inputs that are not below. Larger sets of reference values, limits and random inputs belong \
             to the tests of the program, not to this record.",
            "That an answer from memory or from common practice is that of the edition in force: check it there.",
            "That files are read, claims judged and pages written rightly. Other tests of the program do that.",
        ]),
        Block::List {
            ordered: false,
            items: vec![labelled(
                "To check the table",
                "sha256sum selftest.json, in the folder of this record, prints:",
            )],
        },
        Block::Code(digest.to_string()),
        says("The dossiers of this build cite the same digest."),
        says(DEFERENCE),
    ]
}

fn answers<'a, 'b: 'a>(caption: &str, rows: impl Iterator<Item = &'a Row<'b>>) -> Block {
    let head = ["Calculation", "For", "Result", "Known", "Computed", "Within", "Met", "Source", "Standing"];
    table(caption, &head, &[3, 4, 5], rows.map(answer).collect())
}

fn answer(r: &Row) -> Vec<Cell> {
    let known = if r.expected.is_finite() { compact(r.expected) } else { "no value".into() };
    let (computed, met) = match &r.computed {
        Ok(v) => (significant(*v, 10), if r.met() { cell("yes") } else { vec![Inline::Strong(cell("NO"))] }),
        Err(why) => (why.clone(), vec![Inline::Strong(cell("NO"))]),
    };
    let result = format!("{} {}", r.symbol, if r.unit == "1" { "" } else { unit(r.unit) });
    let standing = r.check.known.word();
    let words = [r.calc.id.into(), inputs(r.check.inputs), result, known, computed, significant(r.allowed, 2)];
    let mut out: Vec<Cell> = words.map(|w: String| cell(w.trim())).to_vec();
    out.extend([met, cell(r.check.source), cell(standing)]);
    out
}

fn by_calculation(t: &SelfTest) -> Block {
    let rows = t.calcs.iter().map(|c| {
        let (met, missed) = t.of_calc(c.id);
        vec![cell(c.id), cell(c.title), cell(met.to_string()), cell(missed.to_string())]
    });
    table("Answers of each calculation", &["Calculation", "Title", "Met", "Missed"], &[2, 3], rows.collect())
}

fn documents(t: &SelfTest) -> Block {
    let rows = t.sources().into_iter().map(|key| {
        let s = sources::find(key);
        let standing = match s.map_or("", |s| s.standing) {
            "seen" => "read in the document",
            "memory" => "from memory",
            "practice" => "common practice, no document",
            _ => "not on the list of sources",
        };
        vec![cell(key), cell(s.map_or("unknown", |s| s.text)), cell(standing)]
    });
    table("Documents behind the answers", &["Key", "Document", "Document is known"], &[], rows.collect())
}
