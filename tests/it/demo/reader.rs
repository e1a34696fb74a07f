//! What a fresh reader of the example's dossiers stumbled over: each once, so that it does not come back.

use super::*;
use galipot::compose::{Audience, status, why};
use galipot::model::assessment::{Leg, Triad};
use galipot::pipeline::draft;

/// The dossier of an assembly as Markdown.
fn dossier(a: &Assessed, id: &str) -> String {
    let bundle = draft(a, id, Audience::All).unwrap_or_else(|d| panic!("{}", d.headline));
    let file = bundle.files.into_iter().find(|f| f.0 == "dossier.md").expect("a dossier");
    String::from_utf8(file.1).expect("text")
}

/// The dossier of the site as committed, written once for all tests.
fn committed(id: &str) -> &'static str {
    static ALL: OnceLock<std::collections::BTreeMap<String, String>> = OnceLock::new();
    let make = || ["OV-1107", "OV-2230", "OV-3415", "OV-4502"].map(|i| (i.to_string(), dossier(base(), i))).into();
    &ALL.get_or_init(make)[id]
}

fn explained(a: &Assessed, id: &str, claim: &str) -> String {
    let text = why::human(&a.site, &a.workings, &a.assessment, id, claim).expect("a claim");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn spot<'a>(a: &'a Assessment, id: &str, place: &str) -> &'a Triad {
    let found = of(a, id).triads.iter().find(|t| t.place == place);
    found.unwrap_or_else(|| panic!("{id} has no critical place {place}"))
}

fn ions<'a>(a: &'a Assessment, id: &str, place: &str) -> &'a Leg {
    spot(a, id, place).legs.iter().find(|l| l.leg == "ions").expect("a leg")
}

/// The number that a leg prints, and the subject of its working.
fn number(leg: &Leg) -> Option<(f64, &'static str)> {
    let w = base().workings.get(*leg.workings.first()?);
    Some((w.outputs.first()?.value, w.subject.as_str()))
}

#[test]
fn ions_are_bound_only_where_a_claim_says_so() {
    let a = &base().assessment;
    // The pair of D4 lies where selective flux comes on top of paste: the comb with paste alone says nothing there.
    for place in ["D4", "Z2"] {
        let leg = ions(a, "OV-2230", place);
        assert_eq!(
            (leg.claims.as_slice(), leg.text.as_str()),
            (&["C3.3", "C2.3"].map(String::from)[..], "broken under CO-1")
        );
        let (margin, _) = number(leg).expect("a number");
        assert!((margin - 0.1037).abs() < 0.001, "{margin}");
    }
    assert_eq!(ions(a, "OV-2230", "K1").claims, ["C3.3", "C2.3"]);
    assert_eq!(ions(a, "OV-2230", "Z3").claims, ["C3.3", "C2.3"]);
    assert!(ions(a, "OV-2230", "R40").claims.contains(&"C3.1".to_string()));
    assert_eq!(ions(a, "OV-4502", "Q3").text, "broken under CO-42");
    assert!(committed("OV-2230").contains("ions bound only under CO-1 at D4, Z2"));
}

#[test]
fn a_leg_shows_the_number_of_its_own_place_or_none() {
    let a = &base().assessment;
    for (place, pattern) in [("C31", " R04:"), ("U7", " Q48:")] {
        let (_, subject) = number(ions(a, "OV-2230", place)).expect("a number");
        assert!(subject.contains(pattern), "{place}: {subject}");
    }
    let (_, subject) = number(ions(a, "OV-4502", "C71")).expect("a number");
    assert!(!subject.contains("L08"), "{subject}");
    // Nothing that counts covers U4.
    let leg = ions(a, "OV-4502", "U4");
    assert!(!leg.broken && leg.workings.is_empty() && leg.text == "not shown here", "{leg:?}");
}

#[test]
fn a_wash_route_is_argued_from_washed_boards() {
    let a = &base().assessment;
    for t in &of(a, "OV-3415").triads {
        for l in t.legs.iter().filter(|l| l.leg == "ions") {
            assert!(l.claims.iter().all(|c| c.starts_with('W')), "{}: {:?}", t.place, l.claims);
        }
    }
    assert!(ions(a, "OV-3415", "N1").claims.contains(&"W11.2".to_string()));
    assert!(committed("OV-3415").contains("**residue washed off** at every critical place"));
    // With neither wash supported the question is that of leaving again: the node fails, and so does its pair.
    let without = with(&["CO-31.due=2026-01-01"]).assessment;
    for place in ["N1", "J1"] {
        let leg = ions(&without, "OV-3415", place);
        assert!(!leg.broken && leg.text.contains("contradicted"), "{place}: {leg:?}");
    }
}

#[test]
fn an_announced_change_stands_beside_every_date() {
    let text = status::human(&base().site, &base().assessment);
    assert_eq!(text.matches("but from 2026-06-01: CH-01 opens 14 claims again").count(), 2, "{text}");
    for id in ["OV-1107", "OV-2230"] {
        let line = committed(id).lines().find(|l| l.contains("**Valid until:**")).expect("a date");
        assert!(line.contains("formulation revision 4 of P-21") && line.contains("**2026-06-01**"), "{line}");
        assert!(explained(base(), id, "C3.1").contains("but from 2026-06-01 CH-01 opens it again"));
        assert!(explained(base(), id, "C0").contains("but from 2026-06-01 CH-01 opens it again"));
    }
    assert!(!explained(base(), "OV-1107", "C7.3").contains("CH-01"), "the notice does not touch the audit of handling");
}

#[test]
fn no_margin_of_nothing_is_left_out() {
    let page = committed("OV-2230");
    let both = "-0.01 dec as tested at 200 ug/cm2; +0.10 dec at 160 ug/cm2, kept by CO-1";
    let unlinked: Vec<String> = page
        .lines()
        .map(|l| {
            let mut out = l.to_string();
            while let (Some(i), Some(j)) =
                (out.find("](#"), out.find("](#").and_then(|i| out[i..].find(')').map(|j| i + j)))
            {
                out.replace_range(i..=j, "");
            }
            out.replace('[', "")
        })
        .collect();
    let table = |caption: &str| -> Vec<&String> {
        let from = unlinked.iter().position(|l| l.contains(caption)).unwrap_or_else(|| panic!("no table {caption}"));
        unlinked[from..].iter().skip(4).take_while(|l| l.starts_with('|')).collect()
    };
    for caption in ["Weakest five places", "All places, the weakest first"] {
        let rows = table(caption);
        assert!(rows[0].starts_with("| Z1 | C5.1") && rows[0].contains("| 0 |"), "{rows:#?}");
        assert!(rows.iter().any(|r| r.starts_with("| Z2 | C") && r.contains(both)), "{rows:#?}");
    }
    let open = table("claims that are not supported, the worst first");
    assert!(open.iter().any(|r| r.contains("C3.3") && r.contains(both)), "{open:#?}");
    assert!(table("Leave the residue").iter().any(|r| r.contains("C3.3") && r.contains(both)));
    assert!(explained(base(), "OV-2230", "C3.3").contains(both));
    assert!(status::human(&base().site, &base().assessment).contains("0 at Z1, C5.1"));
    // One rule in tree and table: 80 of 100 V/mm is nearer than 16.5 of 25.
    let field = of(&base().assessment, "OV-2230").claim(TreeKind::Leave, "C3.7").expect("C3.7");
    assert_eq!(field.place, "NP-201 @D4");
    let weakest = page.lines().find(|l| l.contains("**Weakest claim:**")).expect("a line");
    assert!(weakest.contains("[C2.3]"), "{weakest}");
}

#[test]
fn the_value_of_a_comb_can_be_recomputed() {
    let w = &base().workings;
    let lowest: Vec<_> = w.run_facts.iter().filter(|f| f.name == "window_minimum").collect();
    assert!(lowest.len() > 20, "{}", lowest.len());
    for f in &lowest {
        let done = w.get(f.working.expect("a working"));
        assert_eq!(done.outputs[0].value.to_bits(), f.value.to_bits(), "{} {}", f.run, f.place);
        let known = |s: &galipot::model::workings::SampleSet| {
            s.run == f.run && s.quantity == "sir" && s.samples.iter().any(|x| x.value == f.value)
        };
        assert!(w.sets.iter().any(known), "{} {}", f.run, f.place);
    }
    let page = committed("OV-1107");
    assert!(page.contains("lowest median of three consecutive readings"));
    assert!(page.contains("Lowest raw reading 8.65 log10 ohm"), "figure and table say what each shows");
}

#[test]
fn figures_of_readings_show_limits_on_readings() {
    let line = committed("OV-1107").lines().find(|l| l.contains("curves of RUN-106")).expect("a figure");
    assert!(line.contains("limit 8.00 (") && !line.contains("limit 1.00"), "{line}");
}

#[test]
fn the_line_through_doses_has_its_units_and_its_margin() {
    let w = &base().workings;
    let f = w.fact("OV-2230", "dose_trend_cap_margin", "Z2/LF-08").expect("a margin");
    let against = w.get(f.working);
    assert_eq!(against.calc, "margin_lower");
    assert!((f.value - 0.1037).abs() < 0.001, "{}", f.value);
    let trend = w.get(w.fact("OV-2230", "dose_trend_cap", "Z2/LF-08").expect("a bound").working);
    let unit = |symbol: &str| trend.inputs.iter().find(|i| i.symbol == symbol).map(|i| i.unit.as_str());
    assert_eq!((unit("dose"), unit("x"), unit("mean")), (Some("ug/cm2"), Some("ug/cm2"), Some("log10 ohm")));
    assert!(committed("OV-2230").contains("ranks the place and lifts nothing"));
}

#[test]
fn a_run_that_does_not_count_is_never_printed_as_a_pass() {
    let page = committed("OV-4502");
    for run in ["RUN-128", "RUN-104", "RUN-115"] {
        let rows: Vec<&str> =
            page.lines().filter(|l| l.starts_with(&format!("| [{run}]")) && l.contains("log10 ohm](")).collect();
        assert!(!rows.is_empty(), "{run}");
        for r in rows {
            assert!(!r.contains("**pass**") && !r.contains("| pass |") && !r.contains("**FAIL**"), "{r}");
        }
    }
    assert!(page.contains("does not count: inadmissible (would pass)"));
    assert!(page.contains("does not count: inadmissible (shows a FAIL)"));
}

#[test]
fn nobody_is_asked_to_accept_what_is_not_put_before_them() {
    assert!(!committed("OV-4502").contains("Initials:"));
    assert!(committed("OV-4502").contains("It accepts no route and no risk."));
    assert!(committed("OV-2230").contains("Initials:"));
}

#[test]
fn a_blocked_claim_is_headed_by_the_place_that_blocks_it() {
    let c = of(&base().assessment, "OV-4502").claim(TreeKind::Leave, "C3.2").expect("C3.2");
    assert!(c.place == "U4" && c.margin.is_nan(), "{} {}", c.place, c.margin);
    let text = explained(base(), "OV-4502", "C3.2");
    assert!(
        text.contains("Value none that counts, limit 8.00 log10 ohm, margin -0.13 dec (does not count: G3), at U4"),
        "{text}"
    );
    assert!(committed("OV-4502").lines().any(|l| l.starts_with("| U4 | ") && l.contains("(does not count: G3)")));
}

#[test]
fn an_altered_file_leaves_nothing_covered_and_one_thing_to_do() {
    let mut files = files().clone();
    for path in ["runs/RUN-105/ecm.csv", "runs/RUN-110/ecm.csv"] {
        let file = files.iter_mut().find(|f| f.0 == path).expect("readings");
        let text = String::from_utf8(file.1.clone()).expect("text");
        let (at, _) = text.match_indices('e').next_back().expect("an exponent");
        file.1[at - 1] = if file.1[at - 1] == b'1' { b'2' } else { b'1' };
    }
    let a = assess(files, &Options::default()).expect("it is read");
    let said = explained(&a, "OV-1107", "C3.4");
    assert!(said.contains("Coverage nothing that counts was compared"), "{said}");
    let listed = "put back the file as registered in runs/RUN-105/run.toml:";
    assert!(said.contains(listed) && !said.contains("repeat G1"), "{said}");
    let line: usize = said[said.find(listed).expect("it") + listed.len()..]
        .chars()
        .take_while(char::is_ascii_digit)
        .collect::<String>()
        .parse()
        .expect("a line");
    let record = base().site.sources.iter().find(|(_, f)| f.path == "runs/RUN-105/run.toml").expect("it").1;
    let text = String::from_utf8(record.bytes.clone()).expect("text");
    assert!(text.lines().nth(line - 1).is_some_and(|l| l.contains("sha256")), "line {line}");
}

#[test]
fn next_steps_are_things_that_people_can_do() {
    for a in &base().assessment.assemblies {
        for c in &a.claims {
            let text = explained(base(), &a.id, &c.id);
            assert!(!text.contains("repeat G"), "{text}");
        }
    }
    assert!(explained(base(), "OV-4502", "C2.1").contains("date its closing (`closed_on`)"));
    assert!(explained(base(), "OV-4502", "C3.2").contains("a laboratory whose scope covers method, edition and dates"));
}

#[test]
fn a_drop_stands_beside_the_deviation_that_tells_of_it() {
    let a = of(&base().assessment, "OV-4502");
    let d = a.defeaters.iter().find(|d| d.id == "DF5:C3.10:RUN-104").expect("a doubt");
    assert!(d.text.contains("DV-104-1") && !d.text.contains("recovered, cause not shown in"), "{}", d.text);
    let line =
        committed("OV-4502").lines().find(|l| l.starts_with("- [RUN-104]") && l.contains("fell by")).expect("a drop");
    assert!(line.contains("The drip shield was mounted upside down"), "{line}");
}

#[test]
fn a_statement_that_there_is_no_such_place_speaks_for_every_tree() {
    for claim in ["W11.2", "I11.2", "W11.3", "I11.3", "W11.4", "I11.4"] {
        let c = of(&base().assessment, "OV-2230").claim(tree(claim), claim).expect("a claim");
        assert_eq!(c.state, State::NotApplicable, "{claim}: {:?}", c.reasons);
    }
    // OV-3415 has a node and states nothing about it.
    assert_ne!(
        of(&base().assessment, "OV-3415").claim(TreeKind::Present, "I11.2").expect("it").state,
        State::NotApplicable
    );
}

#[test]
fn what_is_still_to_be_accepted_stands_in_front() {
    let page = committed("OV-2230");
    let line = page.lines().find(|l| l.contains("**Still to be accepted:**")).expect("a line");
    assert!(line.contains("[C9.2]") && line.contains("still open") && line.contains("[C9.4]"), "{line}");
    assert!(page.lines().any(|l| l.starts_with("| [C9.4]") && l.contains("MISSING")));
    let top = explained(base(), "OV-1107", "C0");
    assert!(top.contains("C9 comes after issue and does not count for the technical state"), "{top}");
}

#[test]
fn a_later_day_says_what_it_is_about() {
    let on = |day: &str| {
        let options = Options { as_of: Day::parse(day), ..Options::default() };
        assess(files().clone(), &options).expect("it is read")
    };
    let a = on("2026-05-31");
    let text = status::human(&a.site, &a.assessment).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("feeds are read as they stand: CO-1 stale, last entry 2026-03-27, every 7 days"), "{text}");
    let a = on("2050-01-01").assessment;
    for c in a.assemblies.iter().flat_map(|x| &x.claims).filter(|c| c.leaf && c.state == State::Contradicted) {
        assert!(c.reasons.first().is_none_or(|r| r.code == Code::Conflict), "{}: {:?}", c.id, c.reasons);
    }
}

#[test]
fn no_row_stands_twice_and_none_is_empty() {
    for a in &base().assessment.assemblies {
        for (i, r) in a.coverage.iter().enumerate() {
            assert!(!a.coverage[..i].contains(r), "{}: {} {} {}", a.id, r.claim, r.place, r.run);
        }
        let page = committed(&a.id);
        assert!(!page.contains("FAIL:  ") && !page.contains("FAIL: `"), "{}", a.id);
        let needed: Vec<&str> = page.lines().filter(|l| l.contains("would be needed.")).collect();
        let mut once = needed.clone();
        once.dedup();
        assert_eq!(needed, once, "{}", a.id);
        assert!(
            !page.lines().any(|l| l.starts_with("| ") && l.contains(" | · | ")),
            "{}: a sign without a legend",
            a.id
        );
    }
}

#[test]
fn one_cause_is_one_row_of_the_register_of_doubts() {
    let rows = committed("OV-1107").lines().filter(|l| l.starts_with("| `EXPIRED_CHANGE:")).count();
    assert_eq!(rows, 1);
    let a = with(&["CH-01.effective_on=2026-03-30"]).assessment;
    let c = of(&a, "OV-1107").claim(TreeKind::Leave, "C2.2").expect("C2.2");
    let change = c.reasons.iter().find(|r| r.code == Code::ExpiredChange).expect("the change");
    assert_eq!(change.detail, "CH-01");
}
