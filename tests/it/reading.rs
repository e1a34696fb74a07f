//! Reading: units, `--set`, tables, spreadsheets, all mistakes at once, and no panic on any bytes.

use crate::builder::{self, Files};
use galipot::cli::show::{self, Style};
use galipot::diag::{Diagnostic, Sources};
use galipot::model::governance::TreeKind;
use galipot::model::site::Site;
use galipot::read;
use proptest::prelude::*;

const AB: &str = "assemblies/ab-10.toml";
const RUN: &str = "runs/RUN-1/run.toml";
const CSV: &str = "runs/RUN-1/sir.csv";

type Told = Result<(Site, Vec<Diagnostic>), (Sources, Vec<Diagnostic>)>;

fn read(files: Files, set: &[&str]) -> Told {
    let set: Vec<String> = set.iter().map(|s| (*s).to_string()).collect();
    read::read(files, None, &set)
}

fn with(files: Files, set: &[&str]) -> Site {
    match read(files, set) {
        Ok((site, _)) => site,
        Err((sources, problems)) => panic!("{}", show::full(&sources, &problems, &Style::default())),
    }
}

fn site(files: Files) -> Site {
    with(files, &[])
}

fn told(files: Files, set: &[&str]) -> String {
    match read(files, set) {
        Ok(_) => "accepted".to_string(),
        Err((sources, problems)) => show::short(&sources, &problems, &Style::default()),
    }
}

/// The base site with another table of readings, its digest brought up to date.
fn with_table(csv: &str, dialect: &str) -> Files {
    let mut files = builder::base();
    builder::put(&mut files, CSV, csv);
    builder::stamp(&mut files, "RUN-1", "sir.csv");
    builder::patch(&mut files, RUN, "table = \"sir\"", &format!("table = \"sir\"\ndialect = \"{dialect}\""));
    files
}

#[test]
fn the_base_site_reads_without_a_warning() {
    let (s, warnings) = read(builder::base(), &[]).expect("a valid site");
    assert_eq!(warnings, []);
    assert_eq!(s.assemblies.len(), 1);
    let table = &s.runs[0].tables[0];
    assert_eq!((table.rows(), table.text("board", 1), table.number("R", 5)), (8, "B2", 1e13));
    assert!(table.number("R", 7).is_nan());
    assert_eq!(s.sources.cite(table.at(7)), "runs/RUN-1/sir.csv:9");
    assert!(s.runs[0].altered.is_empty());
    assert_eq!(s.as_of.to_string(), "2026-03-31");
    assert!(s.quantities > 60, "{}", s.quantities);
}

#[test]
fn the_order_of_files_does_not_matter() {
    let mut files = builder::base();
    let a = format!("{:?}", site(files.clone()));
    files.reverse();
    assert_eq!(a, format!("{:?}", site(files)));
}

#[test]
fn units_are_read_as_people_write_them() {
    let mut files = builder::base();
    builder::patch(&mut files, AB, "\"36.7 um\"", "\"36.7 µm\"");
    builder::patch(&mut files, AB, "\"1e9 ohm\"", "\"1 GΩ\"");
    builder::patch(&mut files, AB, "\"60 ug/cm2\"", "\"387.096 µg/in²\"");
    builder::patch(&mut files, AB, "\"35 cm2\"", "\"5.425 in2\"");
    let s = site(files);
    let a = &s.assemblies[0];
    let close = |x: f64, y: f64| assert!((x - y).abs() <= 1e-9 * y.abs(), "{x} {y}");
    close(a.components[0].gap.as_ref().expect("given").in_unit("um"), 36.7);
    close(a.pairs[0].r_need.as_ref().expect("given").in_unit("ohm"), 1e9);
    close(a.flux_uses[0].dose.as_ref().expect("given").in_unit("ug/cm2"), 60.0);
    close(a.zones[0].area.in_unit("cm2"), 5.425 * 6.4516);
}

#[test]
fn set_replaces_a_value_and_keeps_its_unit() {
    let limit = |s: &Site| s.criteria[0].value.clone();
    let s = with(builder::base(), &["LIM-SIR.value=8.5"]);
    assert_eq!(limit(&s).in_unit("log10 ohm"), 8.5);
    assert_eq!(s.sources.cite(limit(&s).at), "--set:1");
    assert_eq!(s.overrides.len(), 1);
    assert_eq!(s.overrides[0].old.as_deref(), Some("8.0 log10 ohm"));
    assert_eq!(s.overrides[0].new, "8.5 log10 ohm");
    let s = with(builder::base(), &["LIM-SIR.value=\"8.4 log10 ohm\"", "criterion.value=8.6 log10 ohm"]);
    assert_eq!(limit(&s).in_unit("log10 ohm"), 8.6);
    assert_eq!(s.overrides[1].old.as_deref(), Some("8.4 log10 ohm"));
}

#[test]
fn set_finds_records_by_id_by_kind_and_inside_others() {
    let set = [
        "AB-10.U3.gap=40 um",
        "site.hv_threshold=50",
        "AB-10.board.finish=tin",
        "NP-1.safety=true",
        "TV-1.C1.v_bias=10 V",
        "BLD-1.washed=water",
        "Z1/SP-21.order=2",
        "ENV-IN.bin.2.board_rise=-1",
        "RUN-1.end=2025-10-14T08:00:00+01:00",
        "AB-10.peak_factor=1.5",
        "leave/C3.1.title=Another title",
        "RUN-2.what=another lot",
        "LIM-SIR.applies_to=[\"C3.1\", \"C3.2\"]",
    ];
    let s = with(builder::base(), &set);
    let a = &s.assemblies[0];
    assert_eq!(a.components[0].gap.as_ref().expect("given").written, "40 um");
    assert_eq!(s.facts.hv_threshold.written, "50 V");
    assert_eq!(a.board.finish.text, "tin");
    assert!(a.pairs[0].safety);
    assert_eq!(s.vehicles[0].pattern[0].v_bias.written, "10 V");
    assert_eq!(s.vehicles[0].build[0].washed.word(), "water");
    assert_eq!(a.flux_uses[0].order.si, 2.0);
    assert_eq!(s.environments[0].bin[1].board_rise.written, "-1 K");
    assert_eq!(s.runs[0].run.end.day.to_string(), "2025-10-14");
    assert_eq!(a.assembly.peak_factor.as_ref().expect("given").si, 1.5);
    assert!(a.assembly.unknown.iter().all(|u| u.text != "peak_factor"));
    let claim = s.claims.iter().find(|c| c.tree == TreeKind::Leave && c.id.text == "C3.1").expect("built in");
    assert_eq!(claim.title.text, "Another title");
    assert_eq!(s.protocols[0].planned[1].what.text, "another lot");
    assert_eq!(s.criteria[0].applies_to.len(), 2);
    assert_eq!(s.overrides.len(), set.len());
    assert_eq!(s.overrides[9].old, None);
}

#[test]
fn set_matches_ids_with_dots_and_hyphens_to_the_longest_that_leads_on() {
    let mut files = builder::base();
    let copy = String::from_utf8(files.iter().find(|f| f.0 == AB).expect("there").1.clone()).expect("text");
    builder::put(&mut files, "assemblies/ab-10.2.toml", copy.replace("AB-10", "AB-10.2").replace("U3", "U7"));
    let s = with(files.clone(), &["AB-10.2.U7.gap=41 um", "AB-10.U3.gap=42 um", "AB-10.2.rev=D"]);
    assert_eq!(s.assembly("AB-10.2").expect("there").components[0].gap.as_ref().expect("given").written, "41 um");
    assert_eq!(s.assembly("AB-10").expect("there").components[0].gap.as_ref().expect("given").written, "42 um");
    assert_eq!(s.assembly("AB-10.2").expect("there").assembly.rev.text, "D");
    let text = told(files, &["NP-1.v_peak=4 V"]);
    assert!(text.contains("ambiguous-set") && text.contains("AB-10.2.NP-1.v_peak, AB-10.NP-1.v_peak"), "{text}");
}

#[test]
fn set_values_are_checked_like_written_ones() {
    let text = told(builder::base(), &["AB-10.customer=WERN"]);
    assert!(text.starts_with("--set:1:16: dangling-reference: customer `WERN` does not exist"), "{text}");
    let text = told(builder::base(), &["NP-1.v_peak=1 V"]);
    assert!(text.starts_with("--set:1:13: contradiction:"), "{text}");
    let text = told(builder::base(), &["U3.gap=40 V", "U3.steet_mask=masked"]);
    assert!(text.contains("--set:1:8: wrong-dimension") && text.contains("did you mean `U3.street_mask`?"), "{text}");
}

#[test]
fn columns_may_stand_in_any_order_and_in_any_declared_unit() {
    let csv = "flag,R_Gohm,pattern,board,t_d\nok,21,C1,B1,0\nok,28.0,C1,B1,1\nnoread,,C1,B1,2.5\n";
    let s = site(with_table(csv, "plain"));
    let t = &s.runs[0].tables[0];
    assert_eq!(t.numbers("t"), Some(&[0.0, 24.0, 60.0][..]));
    assert_eq!((t.number("R", 1), t.text("flag", 2)), (28e9, "noread"));
}

#[test]
fn decimal_commas_need_their_dialect() {
    let csv = "t_h;board;pattern;R_ohm;flag\r\n0,0;B1;C1;2,1E+10;ok\r\n24;B1;C1;3,25e10;ok\r\n";
    let s = site(with_table(csv, "semicolon"));
    assert_eq!(s.runs[0].tables[0].numbers("R"), Some(&[2.1e10, 3.25e10][..]));
    let tab = "t_h\tboard\tpattern\tR_ohm\tflag\n0.5\tB1\tC1\t2.1e10\tok\n";
    assert_eq!(site(with_table(tab, "tab")).runs[0].tables[0].numbers("t"), Some(&[0.5][..]));
    assert!(told(with_table(csv, "plain"), &[]).contains("table-header"));
}

#[test]
fn quoted_cells_hold_separators_and_quotes() {
    let csv = "sample,board,place,looked_for,found,photo\n";
    let mut files = with_table(csv, "plain");
    let body = "board,place,looked_for,found,photo\nB1,all,\"white, dry \"\"bloom\"\"\",no,none\nB2,all,\"two\nlines\",no,none\n";
    builder::put(&mut files, CSV, body);
    builder::stamp(&mut files, "RUN-1", "sir.csv");
    builder::patch(&mut files, RUN, "table = \"sir\"", "table = \"findings\"");
    let text = told(files.clone(), &[]);
    assert!(text.starts_with("runs/RUN-1/sir.csv:3:8: table-token: looked_for is longer than 120"), "{text}");
    builder::put(&mut files, CSV, body.replace("two\nlines", "two lines"));
    builder::stamp(&mut files, "RUN-1", "sir.csv");
    assert_eq!(site(files).runs[0].tables[0].text("looked_for", 0), "white, dry \"bloom\"");
}

#[test]
fn a_spreadsheet_reads_like_the_same_text() {
    let text = site(builder::base());
    let mut files = builder::base();
    let sheet = std::fs::read(builder::tests("cases/sheets/sir.xlsx")).expect("the fixture");
    builder::remove(&mut files, CSV);
    builder::put(&mut files, "runs/RUN-1/sir.xlsx", sheet);
    builder::patch(&mut files, RUN, "path = \"sir.csv\"", "path = \"sir.xlsx\"");
    builder::stamp(&mut files, "RUN-1", "sir.xlsx");
    let sheet = site(files);
    let (a, b) = (&text.runs[0].tables[0], &sheet.runs[0].tables[0]);
    assert_eq!(a.rows(), b.rows());
    for row in 0..a.rows() {
        for name in ["board", "pattern", "flag"] {
            assert_eq!(a.text(name, row), b.text(name, row));
        }
        for name in ["t", "R"] {
            assert_eq!(a.number(name, row).to_bits(), b.number(name, row).to_bits(), "{name} of row {row}");
        }
    }
    assert_eq!((a.lines[0], b.lines[0]), (2, 2));
}

#[test]
fn a_changed_file_is_read_and_reported_as_changed() {
    let mut files = builder::base();
    builder::patch(&mut files, CSV, "3.2e10", "3.3e10");
    let s = site(files.clone());
    let digest = galipot::diag::sha256_hex(&files.iter().find(|f| f.0 == CSV).expect("there").1);
    assert_eq!(s.runs[0].altered, [(CSV.to_string(), digest)]);
    assert_eq!(s.runs[0].tables[0].rows(), 8);
    builder::patch(&mut files, CSV, "3.3e10", "OL");
    assert!(told(files, &[]).contains("table-token"));
}

#[test]
fn a_claim_of_the_site_replaces_the_built_in_one_in_its_place() {
    let before = site(builder::base());
    let mut files = builder::base();
    let own = "[[claim]]\nid = \"C3.1\"\ntree = \"leave\"\nparent = \"C3\"\ntitle = \"Own words\"\n\
        text = \"The combs stay high.\"\nrule = \"evidence\"\n\n[[claim]]\nid = \"C3.90\"\ntree = \"leave\"\n\
        parent = \"C3\"\ntitle = \"More\"\ntext = \"And one more.\"\nrule = \"evidence\"\n";
    builder::put(&mut files, "claims/own.toml", own);
    let after = site(files);
    let at = |s: &Site, id: &str| {
        s.claims.iter().position(|c| c.tree == TreeKind::Leave && c.id.text == id).expect("the claim")
    };
    assert_eq!(after.claims.len(), before.claims.len() + 1);
    assert_eq!(at(&after, "C3.1"), at(&before, "C3.1"));
    assert_eq!(after.claims[at(&after, "C3.1")].title.text, "Own words");
    assert!(at(&after, "C3.90") > at(&after, "C3.1") && at(&after, "C3.90") < at(&after, "C4"));
}

#[test]
fn files_that_look_like_built_in_ones_do_not_take_their_place() {
    let mut files = builder::base();
    builder::put(&mut files, "built-in/leave.toml", "");
    builder::put(&mut files, "--set", "");
    let text = told(files, &["U3.gap=40 um"]);
    assert_eq!(text.matches("unplaced-file").count(), 2, "{text}");
}

#[test]
fn a_criterion_for_a_design_that_no_vehicle_has_is_a_warning() {
    let mut files = builder::base();
    builder::patch(&mut files, "criteria/cs-1.toml", "[\"B-24\"]", "[\"B-25\"]");
    let (_, warnings) = read(files, &[]).expect("no error");
    assert_eq!(warnings.len(), 1);
    assert_eq!(warnings[0].hint, "did you mean \"B-24\"?");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Any bytes put anywhere into any file: problems or a site, never a panic, and every place inside its file.
    #[test]
    fn damaged_sites_never_panic(
        file in 0usize..1000, at in 0usize..100_000, cut in 0usize..40,
        bytes in proptest::collection::vec(any::<u8>(), 0..12),
    ) {
        let mut files = builder::base();
        let n = file % files.len();
        let body = &mut files[n].1;
        let from = at % (body.len() + 1);
        let to = (from + cut).min(body.len());
        body.splice(from..to, bytes);
        if let Err((sources, problems)) = read(files, &[]) {
            prop_assert!(!problems.is_empty());
            let _ = show::full(&sources, &problems, &Style::default());
            for l in problems.iter().flat_map(|p| &p.labels) {
                prop_assert!(l.at.end as usize <= sources.get(l.at.file).bytes.len());
                prop_assert!(l.at.start <= l.at.end && l.at.line > 0 && l.at.column > 0);
            }
        }
    }

    /// Tokens that mean something to TOML and CSV, in odd places.
    #[test]
    fn odd_tokens_never_panic(
        file in 0usize..1000, line in 0usize..1000,
        token in proptest::sample::select(vec![
            "[[", "]]", "[run]", "[[run.file]]", "\"\"\"", "'''", "= =", "id = 1", "unknown = [1]", "é = \"µ\"", "\u{feff}",
            ",,,,,", "\"", "\r", "1e400", "-", "[assembly.board]", "file = [[]]", "pattern = [1]", "[[vehicle.build]]",
            "tree = 3", "like = [\"\"]", "zone = \"\"", "\u{0}", "bin = [{}]", "flux = {}", "t_h,t_h", "nan",
        ]),
    ) {
        let mut files = builder::base();
        let n = file % files.len();
        let body = String::from_utf8(files[n].1.clone()).expect("text");
        let mut lines: Vec<&str> = body.lines().collect();
        lines.insert(line % (lines.len() + 1), token);
        files[n].1 = lines.join("\n").into_bytes();
        if let Err((sources, problems)) = read(files, &[]) {
            let _ = show::full(&sources, &problems, &Style::default());
        }
    }

    #[test]
    fn any_set_argument_is_taken_or_refused(arg in "[A-Z0-9a-z./=\"\\[\\] -]{0,30}", unicode in ".{0,20}") {
        let _ = read(builder::base(), &[&arg, &unicode]);
        let _ = read(builder::base(), &[&format!("U3.gap={unicode}"), &format!("{unicode}.gap=1")]);
    }
}
