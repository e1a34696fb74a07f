//! Takes plans and paths; gives their pictures, each with its numbers in words for those who can't see it.

use super::ledger::{Ledger, share, signed, thousands};
use super::loses::{moved, together};
use super::parameters::named;
use crate::model::document::{Figure, Plot, Swing, Track};
use crate::model::planning::{Cause, CostRow, PathResult, PlanResult};
use crate::quantity::significant;

/// Causes of cost in the order in which a waterfall shows them.
pub const CAUSES: [&str; 10] = [
    "lines, as long as they are kept",
    "lines, while they run",
    "lines replaced",
    "lines converted",
    "machines bought",
    "lines retired, less salvage",
    "programmes, yearly",
    "programmes, once",
    "tests",
    "boards: handling, probing, containment",
];
const KEPT: usize = 0;
const RUNNING: usize = 1;
const REPLACED: usize = 2;
const CONVERTED: usize = 3;
const BOUGHT: usize = 4;
const RETIRED: usize = 5;
const PROGRAMME_YEARLY: usize = 6;
const PROGRAMME_ONCE: usize = 7;
const TESTS: usize = 8;
const BOARDS: usize = 9;

/// Present value of a row by cause. The cost of a year of a line is kept apart into what falls as long as it is kept,
/// `F` of its working for each of `n` machines, and the rest.
pub fn causes(l: &Ledger, row: &CostRow) -> Vec<(usize, f64)> {
    let whole = |cause: usize| vec![(cause, row.present.value)];
    match row.cause {
        Cause::Running => {}
        Cause::Replaced => return whole(REPLACED),
        Cause::Converted => return whole(CONVERTED),
        Cause::Bought => return whole(BOUGHT),
        Cause::Retired => return whole(RETIRED),
        Cause::Programme => return whole(if row.once { PROGRAMME_ONCE } else { PROGRAMME_YEARLY }),
        Cause::Test => return whole(TESTS),
        Cause::Boards => return whole(BOARDS),
    }
    let given = |symbol: &str| {
        let w = l.p.workings.items.get(row.amount.working.0 as usize)?;
        w.inputs.iter().find(|i| i.symbol == symbol).map(|i| i.value)
    };
    let kept = given("F").unwrap_or(0.0) * given("n").unwrap_or(1.0);
    let share = if row.amount.value == 0.0 { 0.0 } else { kept / row.amount.value };
    vec![(KEPT, row.present.value * share), (RUNNING, row.present.value * (1.0 - share))]
}

/// Expected present cost of a plan by cause.
pub fn by_cause(l: &Ledger, plan: &PlanResult) -> [f64; CAUSES.len()] {
    let mut out = [0.0; CAUSES.len()];
    for path in &plan.paths {
        for (cause, present) in path.rows.iter().flat_map(|r| causes(l, r)) {
            out[cause] += path.chance.value * present;
        }
    }
    out
}

/// From the cost of keeping to the cost of a plan, cause by cause.
pub fn waterfall(l: &Ledger, keep: &PlanResult, plan: &PlanResult) -> Figure {
    let (was, is) = (by_cause(l, keep), by_cause(l, plan));
    let differs = CAUSES.iter().zip(was.iter().zip(is)).map(|(c, (a, b))| ((*c).to_string(), b - a));
    let mut steps: Vec<(String, f64)> = differs.filter(|s| s.1.abs() >= 0.5).collect();
    // Rows that do not add up to the cost are not hidden in a bar of their own size.
    let rest = plan.cost.value - keep.cost.value - steps.iter().map(|s| s.1).sum::<f64>();
    if rest.abs() >= 500.0 {
        steps.push(("in no row of cost".into(), rest));
    }
    let words: Vec<String> = steps.iter().map(|(c, x)| format!("{c} {}", signed(*x))).collect();
    let (less, more) = moved(l, plan);
    let all = match (less.is_empty(), more.is_empty()) {
        (false, false) => {
            format!("; together {} falls and {} comes on top", signed(together(&less)), signed(together(&more)))
        }
        _ => String::new(),
    };
    let k = |x: f64| x / 1000.0;
    Figure {
        name: format!("waterfall-{}", plan.id),
        caption: format!("From the cost of keeping to the cost of {}, by cause, present value", plan.id),
        alternative: format!(
            "Keeping costs {} {unit}; {}; {} costs {} {unit}.",
            thousands(keep.cost.value),
            if words.is_empty() { "nothing differs".to_string() } else { format!("{}{all}", words.join("; ")) },
            plan.id,
            thousands(plan.cost.value),
            unit = l.unit()
        ),
        plot: Plot::Waterfall {
            from: ("keeping all as it is".into(), k(keep.cost.value)),
            steps: steps.into_iter().map(|(c, x)| (c, k(x))).collect(),
            to: (plan.id.clone(), k(plan.cost.value)),
            unit: l.unit(),
        },
    }
}

/// How the saving moves with each uncertain number; none for a plan without any.
pub fn tornado(l: &Ledger, plan: &PlanResult) -> Option<Figure> {
    let first = plan.tornado.first()?;
    let digits = |x: f64| if x.is_finite() { significant(x, 3) } else { "open".into() };
    let bars = plan.tornado.iter().map(|b| Swing {
        name: format!("{}: {} -> {}", named(l, &b.parameter), digits(b.low), digits(b.high)),
        low: digits(b.low),
        high: digits(b.high),
        at_low: b.saving_low / 1000.0,
        at_high: b.saving_high / 1000.0,
    });
    Some(Figure {
        name: format!("tornado-{}", plan.id),
        caption: format!("How the saving of {} moves with each uncertain number alone", plan.id),
        alternative: format!(
            "The saving of {} is {} as stated. It moves most with this number: {}. It is {} at {} and {} at {}. The table below has every number.",
            plan.id,
            told(l, plan.saving.value),
            named(l, &first.parameter),
            told(l, first.saving_low),
            digits(first.low),
            told(l, first.saving_high),
            digits(first.high)
        ),
        plot: Plot::Tornado { bars: bars.collect(), centre: plan.saving.value / 1000.0, unit: l.unit() },
    })
}

/// Where the draws of the saving fell; none where nothing was drawn.
pub fn histogram(l: &Ledger, plan: &PlanResult) -> Option<Figure> {
    let s = plan.spread.as_ref().filter(|s| !s.histogram.is_empty())?;
    let k = |x: f64| x / 1000.0;
    let marks =
        [("5th percentile: ", s.p5), ("50th percentile: ", s.p50), ("95th percentile: ", s.p95), ("mean: ", s.mean)];
    let mut marks: Vec<(String, f64)> = marks.iter().map(|(n, x)| (format!("{n}{}", signed(*x)), k(*x))).collect();
    marks.push(("nothing saved".into(), 0.0));
    Some(Figure {
        name: format!("histogram-{}", plan.id),
        caption: format!("Saving of {} in {} draws", plan.id, l.p.draws),
        alternative: format!(
            "Mean {}; 5th, 50th and 95th percentile {}, {} and {}; loss in a share of {} of the draws. The draws gather in {}.",
            told(l, s.mean),
            told(l, s.p5),
            told(l, s.p50),
            told(l, s.p95),
            share(s.loss),
            heaps(&s.histogram)
        ),
        plot: Plot::Histogram {
            bins: s.histogram.iter().map(|(a, b, n)| (k(*a), k(*b), *n)).collect(),
            marks,
            unit: format!("saving, {}", l.unit()),
        },
    })
}

/// Where the draws gather: stretches that hold more than their neighbours on both sides, with a valley between them that
/// is less than half as deep as either. One heap may hide in another; then this says too little, never too much.
pub fn peaks(bins: &[(f64, f64, usize)]) -> Vec<usize> {
    let most = bins.iter().map(|b| b.2).max().unwrap_or(0);
    let mut out: Vec<usize> = Vec::new();
    let mut valley = 0;
    for (i, b) in bins.iter().enumerate() {
        match out.last().copied() {
            None if b.2 * 20 >= most && b.2 > 0 => (out, valley) = (vec![i], b.2),
            None => {}
            Some(last) if valley * 2 < bins[last].2 && valley * 2 < b.2 && b.2 * 20 >= most => {
                out.push(i);
                valley = b.2;
            }
            Some(last) if b.2 > bins[last].2 => {
                if let Some(top) = out.last_mut() {
                    *top = i;
                }
                valley = b.2;
            }
            Some(_) => valley = valley.min(b.2),
        }
    }
    out
}

fn heaps(bins: &[(f64, f64, usize)]) -> String {
    let at: Vec<String> = peaks(bins).iter().map(|&i| signed((bins[i].0 + bins[i].1) / 2.0)).collect();
    match at.len() {
        0 => "no place".into(),
        1 => format!("one heap around {}", at[0]),
        n => format!("{n} heaps, around {}", at.join(" and ")),
    }
}

/// An amount that is told in words of a figure.
fn told(l: &Ledger, x: f64) -> String {
    format!("{} {}", signed(x), l.unit())
}

/// The months of one path: rows are assemblies, events are tests, machines, replacement and lines that go. A stretch on a
/// treatment that the claims of the assembly do not support bears a mark.
pub fn timeline(l: &Ledger, path: &PathResult, number: usize) -> Figure {
    let mut kinds: Vec<(String, String)> = Vec::new();
    let mut tracks = Vec::new();
    let mut said = Vec::new();
    for a in &l.assessment.assemblies {
        let course = l.course(path, &a.id);
        let (mut spans, mut marked, mut words) = (Vec::new(), Vec::new(), Vec::new());
        for (i, (treatment, from)) in course.iter().enumerate() {
            let last = course.get(i + 1).map_or(l.p.months, |next| next.1.saturating_sub(1));
            let kind = kinds.iter().position(|k| k.1 == l.title(treatment)).unwrap_or_else(|| {
                let letter = letter(treatment, &kinds);
                kinds.push((letter, l.title(treatment)));
                kinds.len() - 1
            });
            spans.push(((*from).max(1), last, kind));
            let supported = l.supported(path, &a.id, treatment);
            if !supported {
                marked.push(((*from).max(1), last));
            }
            words.push(format!("{treatment}{} from month {from}", if supported { "" } else { " without support" }));
        }
        said.push(format!("{}: {}", a.id, words.join(", ")));
        tracks.push(Track { name: a.id.clone(), spans, marked });
    }
    let mut events: Vec<(u32, String)> = Vec::new();
    for (package, success, month) in &path.results {
        let how = if *success { "succeeds" } else { "fails" };
        events.push((*month, format!("{package} is paid, and {how}")));
    }
    let of_line = |r: &&CostRow| matches!(r.cause, Cause::Replaced | Cause::Converted | Cause::Bought | Cause::Retired);
    events.extend(path.rows.iter().filter(of_line).map(|r| (r.from, r.text.clone())));
    events.sort();
    let listed: Vec<String> = events.iter().map(|(m, w)| format!("month {m} {w}")).collect();
    Figure {
        name: format!("months-{number}"),
        caption: format!("Months of path {number} of the best plan: {}", path.text.trim_end_matches('.')),
        alternative: format!(
            "{}. {}",
            said.join("; "),
            if listed.is_empty() { "No event.".to_string() } else { format!("Events: {}.", listed.join("; ")) }
        ),
        plot: Plot::Timeline { months: l.p.months, kinds, tracks, events },
    }
}

/// The first letter of a treatment that no other kind bears yet, else its first two.
fn letter(treatment: &str, kinds: &[(String, String)]) -> String {
    let free = |c: &String| kinds.iter().all(|k| k.0 != *c);
    let letters = treatment.chars().filter(|c| c.is_alphanumeric()).map(|c| c.to_uppercase().to_string());
    letters.clone().find(free).unwrap_or_else(|| (kinds.len() + 1).to_string())
}
