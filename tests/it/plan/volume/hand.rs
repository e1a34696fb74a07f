//! Takes the site that `galipot new` writes; gives a planning of it made by hand, with believable numbers.

use crate::builder;
use crate::new_site;
use galipot::diag::At;
use galipot::model::planning::*;
use galipot::model::workings::{Input, Origin, Output, Working, WorkingId, Workings};
use galipot::pipeline::Assessed;
use std::sync::OnceLock;

/// The site that `galipot new` writes: one assembly and a folder of plans.
pub fn site() -> &'static Assessed {
    static SITE: OnceLock<Assessed> = OnceLock::new();
    SITE.get_or_init(|| match builder::assess(new_site::files()) {
        Ok(a) => a,
        Err(r) => panic!("{:?}", r.problems),
    })
}

/// Pushes workings that give a number as it stands.
struct Hand(Workings);

impl Hand {
    fn id(&mut self, value: f64) -> WorkingId {
        let input = Input { symbol: "given", value, unit: String::new(), origin: Origin::Constant("by hand") };
        self.0.push(Working {
            calc: "as_given",
            subject: format!("by hand {}", self.0.items.len()),
            assemblies: Vec::new(),
            inputs: vec![input],
            outputs: vec![Output { symbol: "value", value, unit: String::new() }],
            n: 1,
        })
    }
    fn a(&mut self, value: f64) -> Amount {
        Amount { value, working: self.id(value) }
    }
    fn row(&mut self, (of, cause): (&str, Cause), text: &str, months: (u32, u32), amounts: (f64, f64)) -> CostRow {
        let (of, text, (from, to)) = (of.to_string(), text.to_string(), months);
        CostRow { of, cause, text, from, to, once: from == to, amount: self.a(amounts.0), present: self.a(amounts.1) }
    }
    /// Hours, water, effluent, energy, saponifier.
    fn used(&mut self, [h, w, e, k, s]: [f64; 5]) -> Option<Used> {
        let (hours, water_m3, effluent_m3) = (self.a(h), self.a(w), self.a(e));
        Some(Used { hours, water_m3, effluent_m3, energy_kwh: self.a(k), saponifier_l: self.a(s) })
    }
    /// A year of the belt: what it costs while it is kept, and its hours.
    fn belt(&mut self, months: (u32, u32), kept: f64, hours: f64, present: f64) -> CostRow {
        let given =
            |symbol, value: f64| Input { symbol, value, unit: "EUR".into(), origin: Origin::Constant("by hand") };
        let mut row = self.row(("BELT", Cause::Running), "BELT runs for LP-40", months, (kept + hours * 20.0, present));
        row.amount.working = self.0.push(Working {
            calc: "belt_year",
            subject: format!("BELT: a year {}", self.0.items.len()),
            assemblies: Vec::new(),
            inputs: vec![given("F", kept), given("H", hours), given("c_h", 20.0)],
            outputs: vec![Output { symbol: "C", value: row.amount.value, unit: "EUR".into() }],
            n: 1,
        });
        row
    }
    fn path(&mut self, text: &str, chance: f64, cost: f64, rows: Vec<CostRow>) -> PathResult {
        PathResult {
            text: text.into(),
            chance: self.a(chance),
            results: Vec::new(),
            steps: Vec::new(),
            cost: self.a(cost),
            rows,
            machines: Vec::new(),
            lines: vec![("BELT".into(), 1, 60)],
            used: self.used([0.0, 4321.5, 0.0, 0.0, 0.0]),
            flows: vec![0.0, 7777.25],
        }
    }
    fn plan(&mut self, id: &str, title: &str, paths: Vec<PathResult>, cost: f64, saving: f64) -> PlanResult {
        PlanResult {
            id: id.into(),
            title: title.into(),
            at: None,
            paths,
            cost: self.a(cost),
            saving: self.a(saving),
            given_back: None,
            forbidden: Vec::new(),
            alike: Vec::new(),
            spread: None,
            tornado: Vec::new(),
            payback: None,
            contained: 0.0,
            used: self.used([5_432.0, 2_345.0, 2_222.0, 65_432.0, 77.0]),
        }
    }
}

fn at(what: &str) -> At {
    let s = &site().site.plan;
    s.action(what).map(|x| x.at).or_else(|| s.line(what).map(|x| x.at)).expect("a record of that id")
}

fn keep(h: &mut Hand) -> PlanResult {
    let rows = vec![
        h.belt((1, 60), 18_000.0, 2_600.0, 286_000.0),
        h.row(("BELT", Cause::Replaced), "BELT is replaced", (30, 30), (200_000.0, 165_000.0)),
    ];
    let path = h.path("nothing changes", 1.0, 451_000.0, rows);
    h.plan(KEEP, "Keep all as it is", vec![path], 451_000.0, 0.0)
}

fn loses(h: &mut Hand) -> PlanResult {
    let rows = vec![
        h.belt((1, 60), 18_000.0, 2_550.0, 282_000.0),
        h.row(("BELT", Cause::Replaced), "BELT is replaced", (30, 30), (200_000.0, 165_000.0)),
        h.row(("NO-CLEAN", Cause::Programme), "yearly", (5, 60), (9_000.0, 33_000.0)),
    ];
    let mut path = h.path("LP-40 is left", 1.0, 480_000.0, rows);
    path.steps = vec![("LP-40".into(), "LEAVE".into(), 5)];
    let mut plan = h.plan("HYBRID", "Leave, and keep the line", vec![path], 480_000.0, -29_000.0);
    plan.forbidden = vec!["LP-40 ends with LEAVE, whose leave tree is not yet supported".into()];
    plan
}

fn best(h: &mut Hand) -> PlanResult {
    let action = site().site.plan.actions.first().expect("an action").id.text.clone();
    let rows = vec![
        h.belt((1, 4), 18_000.0, 2_600.0, 24_000.0),
        h.row(("BELT", Cause::Retired), "BELT is sold", (5, 5), (-2_000.0, -1_940.0)),
        h.row((&action, Cause::Test), "test", (0, 0), (4_000.0, 4_000.0)),
    ];
    let mut good = h.path("the test succeeds", 0.6, 123_400.0, rows);
    good.results = vec![(action.clone(), true, 0)];
    good.steps = vec![("LP-40".into(), "LEAVE".into(), 7)];
    good.lines = vec![("BELT".into(), 1, 6)];
    let rows = vec![h.belt((1, 60), 18_000.0, 2_600.0, 286_000.0)];
    let mut bad = h.path("the test fails", 0.4, 455_000.0, rows);
    bad.results = vec![(action, false, 0)];
    let mut plan = h.plan(BEST, "Test first", vec![good, bad], 256_040.0, 194_960.0);
    let low = (-40_000.0, 0.0, 400);
    plan.spread = Some(Spread {
        mean: 191_300.0,
        sd: 161_200.0,
        error: 1_610.0,
        exact_mean: 192_400.0,
        exact_sd: 160_700.0,
        p5: -21_100.0,
        p50: 311_700.0,
        p95: 341_900.0,
        loss: 0.37,
        histogram: vec![low, (0.0, 40_000.0, 3), (40_000.0, 280_000.0, 1), (280_000.0, 360_000.0, 600)],
    });
    let u = &site().site.plan.uncertain;
    plan.tornado = u
        .iter()
        .take(1)
        .map(|u| Bar {
            parameter: u.parameter.text.clone(),
            low: 0.125,
            high: 0.375,
            saving_low: 233_100.0,
            saving_high: 122_200.0,
            basis: u.basis.text.clone(),
            at: u.at,
        })
        .collect();
    plan.payback = Some(14.0);
    plan.contained = 0.4;
    plan
}

fn line(h: &mut Hand) -> LineCost {
    let share = LineShare {
        assembly: "LP-40".into(),
        boards: 8_123.0,
        average: h.a(8.71),
        saved_if_it_leaves: h.a(9_876.54),
        alone: h.a(17.31),
    };
    LineCost {
        line: "BELT".into(),
        title: "In-line washer".into(),
        in_use: true,
        boards: 8_123.0,
        panels: 2_031.0,
        yearly: h.a(18_512.25),
        unit_cost: h.a(28.91),
        unit: "hour",
        year: Some(h.a(70_550.75)),
        average: Some(h.a(8.69)),
        marginal: Some(h.a(0.03)),
        avoidable: Some(h.a(70_549.5)),
        used: h.used([1_801.0, 901.0, 811.0, 75_601.0, 0.0]),
        shares: vec![share],
        machines: None,
        needed_hours: Some(h.a(99.25)),
        warnings: vec!["the average cost of a board is not what is saved when it leaves".into()],
        at: at("BELT"),
    }
}

/// A planning with believable numbers, no two alike where the page must tell them apart.
pub fn planning() -> Planning {
    let mut h = Hand(Workings { describe: site().workings.describe, ..Workings::default() });
    let a = site().site.plan.actions.first().expect("an action");
    let plans = vec![keep(&mut h), loses(&mut h), best(&mut h)];
    let lines = vec![line(&mut h)];
    let (id, place) = (a.id.text.clone(), a.at);
    let lifts = vec![("LP-40".to_string(), "C3.1".to_string())];
    let action = ClosingAction {
        action: id.clone(),
        text: a.text.text.clone(),
        cost: 4_010.0,
        weeks: 6.5,
        span: (0.0, 6.5),
        chance: 0.61,
        lifts,
        before: Vec::new(),
        at: place,
    };
    let closing = ClosingSet {
        assembly: "LP-40".into(),
        tree: "leave".into(),
        actions: vec![action],
        cost: h.a(4_020.0),
        weeks: 6.25,
        chance: h.a(0.62),
        stated: false,
        beyond: vec!["C9.9".into()],
        wider: Vec::new(),
    };
    let rows: Vec<CostRow> = plans[2].paths[0].rows.iter().filter(|r| r.once && r.from == 0).cloned().collect();
    let sums = Sums {
        committed: Some(Committed { known: 2, rows, all: h.a(4_050.0) }),
        unwashed: vec![Unwashed { plan: "HYBRID".into(), boards: h.a(8_123.0), of: h.a(9_321.0) }],
    };
    let value = EvidenceValue {
        package: id.clone(),
        cost: 4_030.0,
        with: 256_140.0,
        without: 452_360.0,
        value: h.a(196_220.0),
        break_even: Some(0.07),
        contained: (0.4, 1.0),
        instead: "nothing changes".into(),
    };
    let why = "leave tree not yet supported".to_string();
    let allowed =
        Allowed { assembly: "LP-40".into(), treatment: "LEAVE".into(), today: false, after: vec![vec![id]], why };
    let gate = GateState {
        id: "GO".into(),
        title: "Retire the line".into(),
        open: false,
        waits: vec![(false, "LP-40 has no supported route".into()), (true, "a fact that is true".into())],
        at: at("BELT"),
    };
    Planning {
        currency: "EUR".into(),
        base: site().assessment.as_of,
        months: 60,
        rate: 0.08,
        lines,
        allowed: vec![allowed],
        plans,
        search: Search {
            proven: false,
            bound: 250_030.0,
            gap: 0.024,
            policies: 5,
            solved: 17,
            stopped: Some("time".into()),
        },
        values: vec![value],
        closing: vec![closing],
        gates: vec![gate],
        draws: 20_000,
        seed: 42,
        generator: "by hand",
        warnings: vec!["a middle misleads".into()],
        sums,
        workings: h.0,
    }
}
