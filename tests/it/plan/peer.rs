//! Takes plain numbers and steps; gives their cost month by month, and the best plan by trying every one: written from docs/plan.md.

use galipot::plan::instance::{Instance, Kind, Line, Scheme, Step, Test, Work};
use galipot::plan::policy::Policy;
use galipot::plan::reach::Won;

/// Numbers for made-up sites: the multiplicative generator of Park and Miller, 1988.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed * 7919 + 1)
    }
    /// A whole number from 0 to below `n`.
    pub fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0 * 48271 % 2_147_483_647;
        self.0 / 7 % n
    }
    /// A number from `low` to `high` in steps of a hundredth of the way.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.below(101) as f64 / 100.0
    }
    pub fn chance(&mut self, percent: u64) -> bool {
        self.below(100) < percent
    }
}

/// Cost of steps, month by month, without packages. Infinite when a line has too little room.
pub fn cost(of: &Instance, steps: &[Step]) -> f64 {
    let n = of.boards.len();
    let at = |a: usize, m: u32| {
        let last = steps.iter().filter(|s| s.0 == a && s.2 <= m).max_by_key(|s| s.2);
        last.map_or(of.today, |s| s.1)
    };
    let once = |m: u32, x: f64| x * of.once.powi(m as i32);
    let mut sum = 0.0;
    let mut machines = vec![0.0; of.lines.len()];
    let mut converted: Vec<bool> = (0..of.lines.len())
        .map(|l| of.treatments[of.today].line == Some(l) && of.treatments[of.today].saponified)
        .collect();
    let mut started = vec![false; of.programmes.len()];
    let uses = |l: usize, m: u32| (0..n).any(|a| of.treatments[at(a, m)].line == Some(l));
    for m in 1..=of.months {
        let w = of.recurring.powi(m as i32) / 12.0;
        let year = (m as usize - 1) / 12;
        for a in 0..n {
            sum += w * of.boards[a][year] * of.treatments[at(a, m)].board;
        }
        for (l, line) in of.lines.iter().enumerate() {
            let on: Vec<usize> = (0..n).filter(|&a| of.treatments[at(a, m)].line == Some(l)).collect();
            let soap = on.iter().any(|&a| of.treatments[at(a, m)].saponified);
            let panels: f64 = on.iter().map(|&a| of.panels[a][year]).sum();
            if !on.is_empty() {
                match &line.work {
                    Work::Shifts { steps, hour, saponifier } => {
                        let Some((_, hours)) = steps.iter().find(|s| s.0 >= panels) else { return f64::INFINITY };
                        sum += w * (line.yearly + hours * (hour + if soap { *saponifier } else { 0.0 }));
                    }
                    Work::Follows { panels_an_hour, hour, saponifier } => {
                        let hour = hour + if soap { *saponifier } else { 0.0 };
                        sum += w * (line.yearly + panels / panels_an_hour * hour);
                    }
                    Work::Batch { boards, load, capacity, peak, price } => {
                        let loads: f64 = on.iter().map(|&a| of.boards[a][year] / boards[a].expect("a load")).sum();
                        let need = (loads * peak / capacity - 1e-9).ceil().max(0.0);
                        sum += w * (need * line.yearly + loads * load);
                        if need > machines[l] {
                            sum += once(m, (need - machines[l]) * price);
                            machines[l] = need;
                        }
                    }
                    Work::Outside { board } => {
                        sum += w * (line.yearly + on.iter().map(|&a| of.boards[a][year]).sum::<f64>() * board);
                    }
                }
            }
            if soap && !converted[l] && !matches!(line.work, Work::Batch { .. } | Work::Outside { .. }) {
                converted[l] = true;
                sum += once(m, line.conversion);
            }
            if let Some((month, price)) = line.replace.filter(|r| r.0 == m) {
                sum += if on.is_empty() { 0.0 } else { once(month, price) };
            }
            let today = of.treatments[of.today].line == Some(l);
            let gone = |m: u32| !(m..=of.months).any(|k| uses(l, k));
            if today && gone(m) && (m == 1 || !gone(m - 1)) {
                sum += once(m, line.retire);
            }
        }
        for (g, p) in of.programmes.iter().enumerate() {
            let any = |list: &[usize]| (0..n).any(|a| list.contains(&at(a, m)));
            if any(&p.treatments) && (p.beside.is_empty() || any(&p.beside)) {
                sum += w * p.yearly;
                if !started[g] {
                    started[g] = true;
                    let longest = p.treatments.iter().map(|t| of.treatments[*t].lead).max().unwrap_or(0);
                    sum += once(m.saturating_sub(longest), p.once);
                }
            }
        }
    }
    sum
}

/// All ways to choose one of each list.
fn product<T: Clone>(lists: &[Vec<T>]) -> Vec<Vec<T>> {
    lists.iter().fold(vec![Vec::new()], |all, list| {
        all.iter().flat_map(|head| list.iter().map(move |x| [head.clone(), vec![x.clone()]].concat())).collect()
    })
}

/// The least (expected number contained, cost) of all plans, by trying them.
pub fn least(of: &Instance, packs: &[usize]) -> (f64, f64) {
    let n = of.boards.len();
    let mut best = (f64::INFINITY, f64::INFINITY);
    for policy in Policy::all(packs, 1000).expect("few packages") {
        let leaves = policy.leaves(of);
        let contained: f64 = leaves
            .iter()
            .map(|l| {
                l.chance
                    * (0..n).filter(|&a| !(0..of.treatments.len()).any(|t| allowed(of, a, t, l.won))).count() as f64
            })
            .sum();
        let paid: f64 = leaves
            .iter()
            .map(|l| l.chance * l.results.iter().map(|r| of.packs[r.0].cost * of.once.powi(r.2 as i32)).sum::<f64>())
            .sum();
        let now: Vec<Vec<Option<Step>>> = (0..n)
            .map(|a| {
                let moves = (0..of.treatments.len())
                    .filter(|&t| t != of.today && allowed(of, a, t, 0))
                    .map(|t| (a, t, of.treatments[t].lead.max(1)))
                    .filter(|s| s.2 <= of.months);
                std::iter::once(None).chain(moves.map(Some)).collect()
            })
            .collect();
        for now in product(&now) {
            let mut expected = paid;
            for leaf in &leaves {
                expected += leaf.chance * at_leaf(of, &now, leaf.won, leaf.month);
            }
            if contained < best.0 - 1e-9 || (contained < best.0 + 1e-9 && expected < best.1) {
                best = (contained.min(best.0), expected);
            }
        }
    }
    best
}

fn allowed(of: &Instance, a: usize, t: usize, won: Won) -> bool {
    !of.treatments[t].contained && of.after[a][t].iter().any(|s| s & won == *s)
}

/// Cheapest completion of what was decided today, when these packages have succeeded and it is this month.
fn at_leaf(of: &Instance, now: &[Option<Step>], won: Won, month: u32) -> f64 {
    let others = || (0..of.treatments.len()).filter(|&t| t != of.today);
    let n = of.boards.len();
    let has_route = |a: usize| (0..of.treatments.len()).any(|t| allowed(of, a, t, won));
    let may = |a: usize, t: usize| if of.treatments[t].contained { !has_route(a) } else { allowed(of, a, t, won) };
    let first = |t: usize| (month + of.treatments[t].lead).max(1);
    let months: Vec<u32> =
        others().filter(|&t| (0..n).any(|a| may(a, t))).map(first).filter(|m| *m <= of.months).collect();
    let later = |t: usize| -> Vec<u32> {
        let waits = |m: u32| m > first(t) && !of.treatments[t].contained && of.treatments[t].line.is_some();
        months.iter().copied().filter(|m| *m == first(t) || waits(*m)).collect()
    };
    let lists: Vec<Vec<Option<Step>>> = (0..n)
        .map(|a| {
            if let Some(s) = now[a] {
                return vec![Some(s)];
            }
            let mut list: Vec<Option<Step>> = Vec::new();
            for t in others().filter(|&t| may(a, t)) {
                for m in later(t) {
                    list.push(Some((a, t, m)));
                }
            }
            let nothing =
                list.is_empty() && !others().any(|t| allowed(of, a, t, 0) && of.treatments[t].lead.max(1) <= of.months);
            if may(a, of.today) || nothing {
                list.push(None);
            }
            list
        })
        .collect();
    // Who waits, waits for the change of another assembly that does not wait.
    let at_once = |s: &Step| now[s.0] == Some(*s) || s.2 == first(s.1);
    let waits_for = |s: &Step, all: &[Option<Step>]| {
        at_once(s) || all.iter().flatten().any(|x| x.0 != s.0 && x.2 == s.2 && at_once(x))
    };
    product(&lists)
        .into_iter()
        .filter(|steps| steps.iter().flatten().all(|s| waits_for(s, steps)))
        .map(|steps| cost(of, &steps.into_iter().flatten().collect::<Vec<_>>()))
        .fold(f64::INFINITY, f64::min)
}

/// A made-up site of a few assemblies, with a belt today and some of: saponifier on it, batch washers, a house outside.
pub fn site(seed: u64) -> Instance {
    let mut d = Dice::new(seed);
    let n = 1 + d.below(3) as usize;
    let months = 12 + 6 * d.below(4) as u32;
    let years = months.div_ceil(12) as usize;
    let base: Vec<f64> = (0..n).map(|_| 100.0 * (1 + d.below(200)) as f64).collect();
    let grows = d.chance(30);
    let boards: Vec<Vec<f64>> =
        base.iter().map(|b| (0..years).map(|y| b * if grows { 1.0 + 0.2 * y as f64 } else { 1.0 }).collect()).collect();
    let panels: Vec<Vec<f64>> = boards.iter().map(|b| b.iter().map(|x| x / 4.0).collect()).collect();
    let most: f64 = panels.iter().map(|p| p[years - 1]).sum();
    let (hour, saponifier) = (d.between(10.0, 60.0), d.between(0.0, 8.0));
    let work = if d.chance(70) {
        Work::Shifts { steps: vec![(most * d.between(0.2, 0.9), 1800.0), (most * 1.01, 3600.0)], hour, saponifier }
    } else {
        Work::Follows { panels_an_hour: d.between(5.0, 40.0), hour, saponifier }
    };
    let belt = Line {
        yearly: d.between(1e4, 9e4),
        work,
        replace: d.chance(60).then(|| (6 + d.below(u64::from(months)) as u32, d.between(5e4, 4e5))),
        retire: d.between(-3e4, 2e4),
        conversion: d.between(0.0, 5e4),
    };
    let batch = Line {
        yearly: d.between(5e3, 2e4),
        work: Work::Batch {
            boards: base.iter().map(|_| Some((4 + d.below(30)) as f64)).collect(),
            load: d.between(5.0, 30.0),
            capacity: d.between(500.0, 3000.0),
            peak: d.between(1.0, 1.6),
            price: d.between(3e4, 1.5e5),
        },
        replace: None,
        retire: 0.0,
        conversion: 0.0,
    };
    let outside = Line {
        yearly: d.between(0.0, 8e3),
        work: Work::Outside { board: d.between(1.0, 9.0) },
        replace: None,
        retire: 0.0,
        conversion: 0.0,
    };
    let kind = |line, saponified, lead, board, contained| Kind { line, saponified, lead, board, contained };
    let mut treatments = vec![
        kind(Some(0), false, 0, 0.0, false),
        kind(None, false, d.below(7) as u32, d.between(-0.1, 0.3), false),
        kind(Some(0), false, 0, d.between(0.0, 1.0), true),
    ];
    let (lead_b, lead_s, lead_o) = (d.below(6) as u32, d.below(5) as u32, d.below(7) as u32);
    for (line, lead) in [(1, lead_b), (0, lead_s), (2, lead_o)] {
        if d.chance(65) {
            treatments.push(kind(Some(line), true, lead, 0.0, false));
        }
    }
    let packs: Vec<Test> = (0..d.below(3))
        .map(|_| Test {
            cost: d.between(1e3, 4e4),
            months: d.below(7) as u32,
            chance: d.between(0.1, 0.95),
            paid_at_end: d.chance(40),
        })
        .collect();
    let after = (0..n)
        .map(|_| {
            (0..treatments.len())
                .map(|t| match d.below(10) {
                    _ if treatments[t].contained => Vec::new(),
                    0..=3 => vec![0],
                    4..=6 if !packs.is_empty() => vec![1 << d.below(packs.len() as u64)],
                    7 if packs.len() == 2 => vec![3],
                    _ => Vec::new(),
                })
                .collect()
        })
        .collect();
    let others: Vec<usize> = (0..treatments.len()).filter(|&t| t == 1 || t > 2).collect();
    let programmes = vec![
        Scheme {
            treatments: others.clone(),
            beside: Vec::new(),
            yearly: d.between(0.0, 4e4),
            once: d.between(0.0, 1.5e5),
        },
        Scheme { treatments: others, beside: vec![0, 2], yearly: d.between(0.0, 1e4), once: d.between(0.0, 5e3) },
    ];
    let rate: f64 = d.between(0.0, 0.15);
    Instance {
        months,
        once: (1.0 + rate).powf(-1.0 / 12.0),
        recurring: (1.02 / (1.0 + rate)).powf(1.0 / 12.0),
        boards,
        panels,
        lines: vec![belt, batch, outside],
        treatments,
        programmes,
        packs,
        today: 0,
        after,
    }
}
