//! Two records side by side: nothing is missed, nothing is invented, and what moved can be walked back.

mod hostile;
mod revisions;

use crate::builder::{self, Files};
use galipot::compare::compare;
use galipot::compose::{self, Audience, Volume};
use galipot::model::Day;
use galipot::model::changes::{Changes, Course, Item, Topic, Way};
use galipot::pipeline::{self, Assessed, Options};
use serde_json::{Value, json};
use std::path::Path;
use std::sync::OnceLock;

const ASSEMBLIES: [&str; 4] = ["OV-1107", "OV-2230", "OV-3415", "OV-4502"];

fn example() -> Files {
    builder::load(Path::new(env!("CARGO_MANIFEST_DIR")).join("qualification-examples/hallow-fen"))
}

fn judged(files: Files, day: Option<&str>) -> Assessed {
    let options = Options { as_of: day.and_then(Day::parse), set: Vec::new() };
    pipeline::assess(files, &options).unwrap_or_else(|r| panic!("{:#?}", r.problems))
}

fn record_of(a: &Assessed, assembly: &str) -> Value {
    let volume = Volume::draft(Audience::All);
    compose::record(&a.site, &a.workings, &a.assessment, assembly, &volume).unwrap_or_else(|d| panic!("{d:#?}"))
}

/// Records of the example site: on its own day, and eight months later.
fn records() -> &'static [(Value, Value)] {
    static ALL: OnceLock<Vec<(Value, Value)>> = OnceLock::new();
    ALL.get_or_init(|| {
        let (spring, autumn) = (judged(example(), None), judged(example(), Some("2026-11-30")));
        ASSEMBLIES.iter().map(|id| (record_of(&spring, id), record_of(&autumn, id))).collect()
    })
}

fn between(old: &Value, new: &Value) -> Changes {
    compare(old, new).unwrap_or_else(|e| panic!("{e:#?}"))
}

/// Numbers in an order that is the same on every run.
struct Walk(u64);

impl Walk {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }
}

#[test]
fn a_record_and_itself_differ_in_nothing() {
    for (spring, autumn) in records() {
        for r in [spring, autumn] {
            let c = between(r, r);
            assert!(c.is_empty() && !c.states_moved() && c.same_document(), "{:#?}", c.items);
            assert!(
                c.counts.iter().all(|n| n.old == n.new && n.same == n.new && n.within_noise == 0),
                "{:#?}",
                c.counts
            );
            assert!(c.count("claim").is_some_and(|n| n.same == r["claims"].as_array().map_or(0, Vec::len)));
        }
    }
}

/// What of a change can be walked back: titles, units and reasons are those of the new record.
fn both_ways(i: &Item, back: bool) -> String {
    let (way, course) = match (back, i.way) {
        (false, w) => (w, i.course),
        (true, Way::Added) => (Way::Removed, i.course.reverse()),
        (true, Way::Removed) => (Way::Added, i.course.reverse()),
        (true, Way::Changed) => (Way::Changed, i.course.reverse()),
    };
    let moves: Vec<Value> = i
        .moves
        .iter()
        .map(|m| if back { json!([m.name, m.to, m.from]) } else { json!([m.name, m.from, m.to]) })
        .collect();
    json!([i.topic.word(), i.kind, i.id, way.word(), course.word(), moves]).to_string()
}

#[test]
fn the_way_back_is_the_mirror() {
    let r = records();
    let pairs = r.iter().map(|(a, b)| (a, b)).chain([(&r[0].0, &r[1].0), (&r[1].0, &r[3].1), (&r[2].0, &r[0].1)]);
    for (a, b) in pairs {
        let (there, back) = (between(a, b), between(b, a));
        assert!(!there.items.is_empty());
        for (x, y) in [(&there.items, &back.items), (&there.noise, &back.noise)] {
            let mut one: Vec<String> = x.iter().map(|i| both_ways(i, false)).collect();
            let mut other: Vec<String> = y.iter().map(|i| both_ways(i, true)).collect();
            one.sort();
            other.sort();
            let missing: Vec<&String> = one.iter().filter(|l| !other.contains(l)).take(5).collect();
            assert!(one == other, "{missing:#?}");
        }
        let swapped: Vec<_> = back.counts.iter().map(|n| (n.kind, n.new, n.old, n.same, n.within_noise)).collect();
        let counts: Vec<_> = there.counts.iter().map(|n| (n.kind, n.old, n.new, n.same, n.within_noise)).collect();
        assert_eq!(counts, swapped);
    }
}

/// Every leaf of a record: the way to it, and the way with the numbers of list members left out.
fn leaves(v: &Value, path: &str, out: &mut Vec<String>) {
    match v {
        Value::Object(m) if !m.is_empty() => m.iter().for_each(|(k, x)| leaves(x, &format!("{path}/{k}"), out)),
        Value::Array(l) if !l.is_empty() => {
            l.iter().enumerate().for_each(|(i, x)| leaves(x, &format!("{path}/{i}"), out))
        }
        _ => out.push(path.to_string()),
    }
}

fn pattern(path: &str) -> String {
    let part =
        |p: &str| if p.bytes().all(|b| b.is_ascii_digit()) && !p.is_empty() { "*".to_string() } else { p.to_string() };
    path.split('/').map(part).collect::<Vec<_>>().join("/")
}

/// What is not compared: places in files, and the numbers of workings. Both move when something is written above or
/// computed before, and then say nothing. `docs/guide.md` names them.
fn compared(pattern: &str) -> bool {
    let parts: Vec<&str> = pattern.split('/').collect();
    let last = parts[parts.len() - 1];
    let place = last == "at" || pattern.ends_with("/origin/place");
    let working = last == "working" || pattern.ends_with("/workings/*") || pattern == "/workings/*/id";
    // An empty list of workings is one of their numbers too.
    !(place || working || (last == "workings" && parts.len() > 2))
}

/// Another value of the same kind, far away.
fn other(v: &Value, path: &str) -> Value {
    let word = |words: &[&str]| {
        let next = words.iter().position(|w| v == w).map_or(0, |i| (i + 1) % words.len());
        json!(words[next])
    };
    let name = path.rsplit('/').next().unwrap_or_default();
    let of_claim = path.starts_with("/claims/");
    match v {
        _ if name == "route" => word(&["leave", "not-yet", "wash-saponified"]),
        _ if name.ends_with("state") => word(&["contradicted", "not-yet", "supported"]),
        Value::Null if ["value", "limit", "guard", "margin"].contains(&name) && of_claim => json!(3.5),
        Value::Null => json!("came"),
        Value::Bool(b) => json!(!b),
        Value::Number(n) => json!(n.as_f64().map_or(1.0, |x| x + x.abs() + 1.0)),
        Value::String(s) => json!(format!("{s}~")),
        Value::Array(_) => json!(["came"]),
        Value::Object(_) => json!({"came": true}),
    }
}

#[test]
fn every_change_of_a_field_is_found() {
    let mut walk = Walk(7);
    let mut patterns = std::collections::BTreeSet::new();
    let mut tried = 0;
    for (record, _) in records() {
        let mut all = Vec::new();
        leaves(record, "", &mut all);
        assert!(all.len() > 5000);
        let mut chosen: Vec<String> = (0..60).map(|_| all[walk.below(all.len())].clone()).collect();
        // One of each kind of leaf, each from another place of the list.
        let from = walk.below(all.len());
        for path in all.iter().cycle().skip(from).take(all.len()) {
            if patterns.insert(pattern(path)) {
                chosen.push(path.clone());
            }
        }
        for path in chosen.iter().filter(|p| *p != "/schema") {
            let mut changed = record.clone();
            let leaf = changed.pointer_mut(path).expect("a leaf");
            // Members of a list of records are objects; one that comes into an empty list is another test.
            if leaf.is_array() && pattern(path).matches('/').count() == 1 && path != "/unused" && path != "/stop_ship" {
                continue;
            }
            let new = other(leaf, path);
            let old = std::mem::replace(leaf, new.clone());
            let c = match compare(record, &changed) {
                Ok(c) => c,
                // A list of records with words in it is refused by name.
                Err(e) => {
                    assert!(old.is_array() && e.iter().any(|e| e.contains("no object")), "{path}: {e:?}");
                    continue;
                }
            };
            tried += 1;
            if compared(&pattern(path)) {
                assert!(!c.is_empty(), "{path} moved from {old} to {new}, and nothing is found");
                let states = ["/route", "/state", "/wash_state", "/present_state"].contains(&path.as_str());
                assert!(!states || c.states_moved(), "{path}");
                // A claim of another id takes its places and results with it.
                let few = pattern(path) == "/claims/*/id" || c.items.len() + c.noise.len() <= 4;
                assert!(few, "{path}: {:#?}", c.items);
            } else {
                assert!(c.is_empty(), "{path} is said not to be compared: {:#?}", c.items);
            }
        }
    }
    assert!(patterns.len() > 150 && tried > 300, "{} kinds of leaves, {tried} tried", patterns.len());
}

/// Takes away members of lists, one at a time.
#[test]
fn whatever_came_or_went_is_found() {
    let record = &records()[1].0;
    for list in record.as_object().expect("an object").iter().filter(|l| l.1.as_array().is_some_and(|x| !x.is_empty()))
    {
        let n = list.1.as_array().map_or(0, Vec::len);
        for i in [0, n / 2, n - 1] {
            let mut less = record.clone();
            less[list.0.as_str()].as_array_mut().expect("a list").remove(i);
            let (went, came) = (between(record, &less), between(&less, record));
            assert!(!went.items.is_empty() && went.items.len() == came.items.len(), "{}[{i}]", list.0);
            if !["unused", "route_conditions"].contains(&list.0.as_str()) {
                assert!(went.items.iter().all(|i| i.way == Way::Removed), "{}[{i}]: {:#?}", list.0, went.items);
                assert!(came.items.iter().all(|i| i.way == Way::Added));
            }
        }
    }
    let mut less = record.clone();
    claim(&mut less, "C3.1")["places"] = json!([]);
    less["runs"][3]["gates"].as_array_mut().expect("gates").remove(2);
    assert!(between(record, &less).items.len() >= 2);
}

fn shuffled(v: &Value, walk: &mut Walk, name: &str) -> Value {
    match v {
        Value::Object(m) => m.iter().map(|(k, x)| (k.clone(), shuffled(x, walk, k))).collect(),
        Value::Array(l) if name != "window" => {
            let mut l: Vec<Value> = l.iter().map(|x| shuffled(x, walk, "")).collect();
            for i in (1..l.len()).rev() {
                l.swap(i, walk.below(i + 1));
            }
            Value::Array(l)
        }
        v => v.clone(),
    }
}

#[test]
fn the_order_of_records_does_not_matter() {
    for (seed, (spring, autumn)) in records().iter().enumerate() {
        let mixed = shuffled(spring, &mut Walk(seed as u64), "");
        assert!(mixed != *spring, "nothing was shuffled");
        assert!(between(spring, &mixed).is_empty());
        assert_eq!(between(spring, autumn), between(&mixed, autumn));
    }
}

#[test]
fn a_new_id_is_one_that_went_and_one_that_came() {
    let old = &records()[1].0;
    let mut new = old.clone();
    new["conditions"][0]["id"] = json!("CO-77");
    let c = between(old, &new);
    let of: Vec<(Way, &str)> = c.of(Topic::Conditions).map(|i| (i.way, i.id.as_str())).collect();
    assert_eq!(of.len(), 2);
    assert!(of.contains(&(Way::Removed, "CO-1")) && of.contains(&(Way::Added, "CO-77")), "{of:?}");
}

fn claim<'a>(record: &'a mut Value, id: &str) -> &'a mut Value {
    let all = record["claims"].as_array_mut().expect("claims");
    all.iter_mut().find(|c| c["id"] == id).expect("the claim")
}

#[test]
fn a_number_moves_when_it_moves_by_more_than_it_is_worth() {
    let old = &records()[1].0;
    let moved = |by: f64| {
        let mut new = old.clone();
        let c = claim(&mut new, "C3.1");
        let guard = c["guard"].as_f64().expect("a guard band");
        for f in ["value", "margin"] {
            c[f] = json!(c[f].as_f64().expect("a number") + by * guard);
        }
        between(old, &new)
    };
    let quiet = moved(-0.5);
    assert!(quiet.items.is_empty() && quiet.noise.len() == 1 && quiet.noise[0].id == "C3.1", "{:#?}", quiet.items);
    assert!(quiet.count("claim").is_some_and(|n| n.within_noise == 1 && n.same + 1 == n.new));
    for (by, course) in [(-1.5, Course::Worse), (1.5, Course::Better)] {
        let loud = moved(by);
        let one: Vec<&Item> = loud.items.iter().collect();
        assert!(one.len() == 1 && one[0].topic == Topic::Numbers && one[0].course == course, "{one:#?}");
        assert!(!loud.states_moved() && loud.noise.is_empty());
    }
    // A limit has no noise, and with it none of what is measured against it.
    let mut new = old.clone();
    let c = claim(&mut new, "C3.1");
    (c["limit"], c["margin"]) = (json!(8.01), json!(c["margin"].as_f64().expect("a margin") - 0.01));
    let c = between(old, &new);
    let fields: Vec<&str> = c.of(Topic::Numbers).flat_map(|i| &i.moves).map(|m| m.name.as_str()).collect();
    assert_eq!(fields, ["limit", "margin"]);
}

#[test]
fn a_planned_run_that_came_in_says_so() {
    let new = &records()[1].0;
    let mut old = new.clone();
    let runs = old["runs"].as_array_mut().expect("runs");
    let run = runs.iter_mut().find(|r| r["id"] == "RUN-107").expect("the run");
    *run = json!({"id": "RUN-107", "verdict": "planned", "role": "pending", "planned": true, "first_failed": null,
        "expires": null, "gates": []});
    let c = between(&old, new);
    let i = c.of(Topic::Evidence).find(|i| i.id == "RUN-107").expect("it moved");
    assert_eq!((i.way, i.because.as_slice()), (Way::Changed, &["planned before, reported now".to_string()][..]));
}

/// Worst first: what the example shows eight months later, when a notice has taken effect and feeds are stale.
#[test]
fn states_stand_first_and_the_worst_of_them_in_front() {
    let (old, new) = &records()[1];
    let c = between(old, new);
    assert!(c.items.windows(2).all(|w| w[0].topic <= w[1].topic));
    let states: Vec<&Item> = c.of(Topic::States).collect();
    assert_eq!(states[0].kind, "route");
    assert_eq!(
        states[0].moved("route").map(|m| (&m.from, &m.to)),
        Some((&json!("leave-with-conditions"), &json!("no-supported-route")))
    );
    // FAB-2 fails once the condition that keeps it out is no longer watched.
    assert_eq!((states[1].id.as_str(), states[1].course), ("C7.1", Course::Worse));
    assert_eq!(states[1].moved("state").map(|m| &m.to), Some(&json!("contradicted")));
    let why = states[1].because.join("; ");
    assert!(why.contains("CONFLICT(RUN-118)") && why.contains("condition CO-2 no longer carries it"), "{why}");
    for i in states.iter().filter(|i| i.kind == "claim") {
        assert!(!i.because.is_empty(), "{} moved without a reason", i.id);
    }
    let courses: Vec<Course> = states.iter().skip(1).map(|i| i.course).collect();
    assert!(courses.is_sorted(), "{courses:?}");
    let screen = compose::since::human(&c);
    assert!(screen.lines().all(|l| l.chars().count() <= 100), "{screen}");
    assert!(screen.lines().count() <= 100, "{} lines", screen.lines().count());
    assert!(screen.contains("all 189 input files"), "{screen}");
}

#[test]
fn a_row_tells_first_what_decides_and_of_a_text_what_moved_in_it() {
    let (record, _) = &records()[1];
    let mut other = record.clone();
    let c = other["conditions"].as_array_mut().expect("conditions").first_mut().expect("one");
    let text = c["text"].as_str().expect("words").to_string();
    let words: Vec<&str> = text.split(' ').collect();
    assert!(words.len() > 6, "{text}");
    c["text"] = json!(text.replacen(words[3], "MOVED", 1));
    let screen = compose::since::human(&between(record, &other));
    assert!(screen.contains("MOVED") && screen.contains(" ...\""), "{screen}");
    // What carries a verdict stands before what its files are.
    let mut other = record.clone();
    let run = other["runs"].as_array_mut().expect("runs").iter_mut().find(|r| r["verdict"] == "pass").expect("passed");
    run["verdict"] = json!("fail");
    run["files"][0]["sha256"] = json!("0".repeat(64));
    let changes = between(record, &other);
    let screen = compose::since::human(&changes);
    let (verdict, file) = (screen.find("verdict pass -> fail"), screen.find("sha256"));
    assert!(verdict.is_some() && file.is_none_or(|f| verdict < Some(f)), "{screen}");
}
