//! What the volume says of the example in words: what to contain, what is committed, what waits, why the obvious plan loses.

use super::super::{GO_ON, judged, planning, site};
use super::hand;
use crate::builder::patch;
use galipot::compose::plan;
use galipot::model::document::{Block, Document, Figure, Plot};
use galipot::model::planning::{BEST, ClosingSet, Planning};
use galipot::plan::money::Ledger;
use galipot::plan::{gaps, reach::packs};

fn example() -> Document {
    let a = judged();
    plan::volume(&a.site, &a.assessment, planning(), &[]).0
}

fn by_hand(p: &Planning) -> Document {
    let a = hand::site();
    plan::volume(&a.site, &a.assessment, p, &[]).0
}

fn markdown(document: &Document) -> String {
    let pages = galipot::render::pages(document, "plan");
    let file = pages.into_iter().find(|p| p.0 == "plan.md").expect("a page");
    // Links are looked at elsewhere.
    let text = String::from_utf8(file.1).expect("UTF-8");
    let mut out = String::new();
    for (i, part) in text.split("](#").enumerate() {
        let rest = if i == 0 { part } else { part.split_once(')').map_or("", |x| x.1) };
        out.push_str(&rest.replace(['[', '*'], ""));
    }
    out
}

/// Lines of the section under a heading.
fn section<'a>(md: &'a str, heading: &str) -> Vec<&'a str> {
    let from = md.find(&format!("\n### {heading}")).unwrap_or_else(|| panic!("no section {heading}"));
    md[from + 1..].lines().skip(1).take_while(|l| !l.starts_with('#')).filter(|l| !l.is_empty()).collect()
}

/// The box at the top.
fn top(md: &str) -> String {
    let lines = md.lines().skip_while(|l| !l.starts_with("## 1 ")).skip(1);
    lines.skip_while(|l| !l.starts_with('>')).take_while(|l| l.starts_with('>')).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_box_says_all_that_a_director_decides_on() {
    let md = markdown(&example());
    let top = top(&md);
    for words in [
        "Contain OV-4502 now: no route of it is supported today, the present process included; STOP SHIPMENT",
        "5th, 50th and 95th percentile",
        "chance of a loss",
        "What loses: TV-3 fails, WASH-4502 fails, chance 0.11, costs 1",
        "keeping 1279.6 kEUR",
        "Ends without a supported route: OV-4502 if TV-3 fails, WASH-4502 fails",
        "Next test to buy: TV-3, 23.0 kEUR; worth +",
        "Why R2 loses: 64000 of 107200 boards a year are no longer washed; what falls is -308.1 kEUR, what comes on top +388.0",
        "Not yet, RETIRE_INLINE: Retire the in-line washer and give up its floor. OV-3415: BATCH is supported, but WB is not",
        "R6 costs about the same and is forbidden: no choice.",
    ] {
        assert!(top.contains(words), "no {words} in\n{top}");
    }
    assert!(top.contains("Not distinguishable from it in cost: R5. Choose"), "the forbidden one is no choice: {top}");
    for path in &planning().plans.last().expect("the best plan").paths {
        assert!(top.contains(&format!("cost {:.1} kEUR", path.cost.value / 1000.0)), "{}: {top}", path.text);
    }
    assert!(top.lines().count() < 40, "{top}");
}

#[test]
fn what_must_be_done_now_begins_with_containment_and_holds_every_payment_before_the_first_result() {
    let md = markdown(&example());
    let now = section(&md, "What must be done now");
    assert!(now[0].starts_with("- Contain OV-4502 now: "), "{now:?}");
    for words in ["X contradicted", "Do not pretend that the present process is harmless", "PF-02 was found on a bench"]
    {
        assert!(now[0].contains(words), "no {words} in {}", now[0]);
    }
    let committed = now.iter().find(|l| l.contains("Committed before the first result")).expect("what is committed");
    for words in ["174.6 kEUR", "151.6 in month 0", "TV-3 23.0 in month 0", "months 0 to 2"] {
        assert!(committed.contains(words), "no {words} in {committed}");
    }
    let sums = &planning().sums;
    let c = sums.committed.as_ref().expect("something is committed");
    let paid: f64 = c.rows.iter().map(|r| r.amount.value).sum();
    assert!((paid - c.all.value).abs() < 1e-6 && c.known == 3, "{} before month {}", c.all.value, c.known);
    for (id, month) in [("OV-1107", "month 5"), ("OV-2230", "month 5")] {
        let waits =
            format!("{id} waits until {month}: until then it is made with PRESENT, whose claims are not supported");
        assert!(now.iter().any(|l| l.contains(&waits) && l.contains("though LEAVE is supported today")), "{now:?}");
    }
    assert!(now.iter().any(|l| l.contains("OV-3415 waits until") && l.contains("BATCH and INLINE-SAP are supported")));
    assert!(!now.iter().any(|l| l.contains("OV-4502 waits")), "nothing else is supported for it");
}

#[test]
fn the_reason_why_the_obvious_plan_loses_is_in_its_causes() {
    let md = markdown(&example());
    let why = section(&md, "Why the obvious plan loses").join("\n");
    for words in [
        "64000 of 107200 boards a year",
        "WL-1 stays in use for what is left: a year of it costs 150.5 instead of 222.8",
        "What falls: lines, while they run -308.1",
        "programmes, yearly +198.4, programmes, once +151.6, lines converted +38.0, together +388.0",
    ] {
        assert!(why.contains(words), "no {words} in\n{why}");
    }
    assert!(!why.contains("nearly all"));
}

fn figures<'a>(blocks: &'a [Block], out: &mut Vec<&'a Figure>) {
    for b in blocks {
        match b {
            Block::Figure(f) => out.push(f),
            Block::Fold { blocks, .. } => figures(blocks, out),
            _ => {}
        }
    }
}

#[test]
fn the_months_without_support_are_marked() {
    let document = example();
    let mut all = Vec::new();
    document.chapters.iter().for_each(|c| figures(&c.blocks, &mut all));
    let paths = &planning().plans.last().expect("the best plan").paths;
    let good = paths.iter().position(|p| p.results.iter().any(|r| r.0 == "TV-3" && r.1)).expect("a path") + 1;
    let of = |name: String| all.iter().find(|f| f.name == name).unwrap_or_else(|| panic!("no {name}"));
    let Plot::Timeline { tracks, .. } = &of(format!("months-{good}")).plot else { panic!("another plot") };
    let track = |id: &str| tracks.iter().find(|t| t.name == id).expect("a row");
    assert_eq!(track("OV-1107").marked, [(1, 5)], "supported as soon as its residue stays");
    let own = track("OV-4502");
    assert_eq!(own.marked, [(own.spans[0].0, own.spans[0].1)], "what TV-3 lifts is supported after it");
    let bad = paths.iter().position(|p| p.steps.iter().any(|s| s.1 == "CONTAINED")).expect("a path") + 1;
    let Plot::Timeline { tracks, .. } = &of(format!("months-{bad}")).plot else { panic!("another plot") };
    let own = tracks.iter().find(|t| t.name == "OV-4502").expect("a row");
    assert_eq!(own.marked.last().expect("a mark").1, planning().months, "containment is never called supported");
    // A number that moves is named in words, with its unit and both its ends.
    let tornado = of(format!("tornado-{BEST}"));
    let Plot::Tornado { bars, .. } = &tornado.plot else { panic!("another plot") };
    assert!(bars.iter().any(|b| b.name == "WL-1, price of a kWh, EUR: 0.120 -> 0.290"), "{bars:?}");
    assert!(bars.iter().any(|b| b.name == "WL-1, cost a year, as a factor on it: 0.900 -> 1.20"), "{bars:?}");
}

#[test]
fn plans_that_change_nothing_are_told_in_the_same_words() {
    let md = markdown(&example());
    let row = |id: &str| {
        let row = md.lines().find(|l| l.starts_with(&format!("| {id} |"))).unwrap_or_else(|| panic!("no {id}"));
        // Each leads to its own place; the number of that is left out.
        let cells = row.split('|').skip(2).take(9).map(|c| c.trim().split('^').next().unwrap_or(""));
        cells.map(str::to_string).collect::<Vec<_>>()
    };
    assert_eq!(row("KEEP"), row("R0"));
    assert!(row("R0").contains(&"nothing".to_string()), "{:?}", row("R0"));
    let a = judged();
    let screen = plan::human(&a.site, &a.assessment, planning());
    assert!(!screen.contains("+0..+0"), "{screen}");
    assert!(screen.starts_with("CONTAIN OV-4502 NOW "), "{screen}");
    let best = screen.lines().find(|l| l.starts_with("BEST  ")).expect("the best plan");
    assert!(best.contains("~ R5") && !best.contains("R6"), "{best}");
}

#[test]
fn what_lies_behind_what_costs_more_and_what_is_given_back_is_said() {
    let mut p = hand::planning();
    let quiet = markdown(&by_hand(&p));
    for words in ["back from the day of judgement", "It costs more than keeping", "Of the saving customers"] {
        assert!(!quiet.contains(words), "{words}");
    }
    p.base = hand::site().assessment.as_of.plus_months(-3);
    p.plans[2].given_back = Some(p.plans[2].cost);
    p.plans[2].saving.value = -1_000.0;
    let md = markdown(&by_hand(&p));
    assert!(md.contains("which lies 3 months back from the day of judgement"), "{md}");
    assert!(top(&md).contains("It costs more than keeping. It comes first all the same, because fewer assemblies"));
    assert!(top(&md).contains("customers get back 256.0 kEUR") && md.contains("| Given back |"));
    p.base = hand::site().assessment.as_of.plus_days(-3);
    assert!(markdown(&by_hand(&p)).contains("lies less than a month back"));
}

fn closing(text: &str) -> Vec<ClosingSet> {
    let mut files = super::super::example();
    patch(&mut files, "plan/evidence.toml", "[[action]]\nid = \"A-TV3\"", text);
    let (site, mut b) = (site(files), Ledger::new("EUR", &[]));
    gaps::closing(&site, &judged().assessment, &packs(&site.plan), GO_ON, &mut b).expect("closing sets")
}

#[test]
fn a_closing_set_has_a_calendar_and_says_what_a_package_holds_beside_it() {
    let plain = "[[action]]\nid = \"A-TV3\"";
    let sets = closing(plain);
    let set = sets.iter().find(|c| c.tree == "leave").expect("a set");
    assert_eq!(
        (set.wider.len(), &set.wider[0].package, &set.wider[0].idle),
        (1, &"TV-3".into(), &vec!["A-LOG".into()])
    );
    assert!(set.actions.iter().all(|a| a.span == (0.0, a.weeks)), "nothing has to wait for another one");
    // Drawings come first, and lift nothing themselves.
    let prepared = "[[action]]\nid = \"A-DRAW\"\ntext = \"Draw TV-3\"\ncost = 300\nweeks = 2.5\nchance = 1\nbasis = \"Own work\"\n\n\
                    [[action]]\nid = \"A-TV3\"\nafter = [\"A-DRAW\"]";
    let sets = closing(prepared);
    let set = sets.iter().find(|c| c.tree == "leave").expect("a set");
    let of = |id: &str| set.actions.iter().find(|a| a.action == id).unwrap_or_else(|| panic!("no {id}"));
    assert_eq!((of("A-DRAW").span, of("A-TV3").span), ((0.0, 2.5), (2.5, 2.5 + of("A-TV3").weeks)));
    assert_eq!((of("A-DRAW").lifts.len(), &of("A-DRAW").before), (0, &vec!["A-TV3".to_string()]));
    assert_eq!(set.weeks, of("A-TV3").span.1);
    let (a, mut p) = (judged(), planning().clone());
    p.closing = sets.clone();
    let said = plan::gaps_human(&a.site, &a.assessment, &p, None);
    assert!(said.contains("needed before A-TV3") && said.contains("week 2.5-11.5"), "{said}");
    let json = plan::gaps_json(&a.site, &a.assessment, &p, Some("OV-4502"));
    let first = &json["assemblies"][0]["closing"][0]["actions"];
    assert!(
        first.as_array().expect("a list").iter().any(|x| x["before"][0] == "A-TV3" && x["to_week"] == 2.5),
        "{json}"
    );
    let said = plan::gaps_human(&a.site, &a.assessment, planning(), None);
    assert!(said.contains("TV-3 holds all of these and A-LOG, which lifts nothing that blocks"), "{said}");
    let mut whole = set.clone();
    (whole.assembly, whole.tree) = (String::new(), "any".into());
    p.closing = vec![whole];
    let said = plan::gaps_human(&a.site, &a.assessment, &p, None);
    assert!(said.contains("SITE, a route for every assembly: ") && !said.contains("any tree"), "{said}");
}
