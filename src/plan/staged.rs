//! Takes plain numbers and one way of buying evidence; gives, by an integer programme, the cheapest treatments at each of its ends.

use super::instance::{Instance, Kind, Step, Work};
use super::policy::{Leaf, Policy};
use super::program::{Found, Program, Sum, Var};
use super::reach::Won;

/// Amounts go into the programme in thousands, so that its numbers stay near 1.
const UNIT: f64 = 1e-3;
/// Branches for a solution to start from.
const STARTS: u64 = 2000;

/// What is done at one end of a policy.
#[derive(Debug, Clone, PartialEq)]
pub struct End {
    pub leaf: Leaf,
    /// In order of assembly; those that stay as today have none.
    pub steps: Vec<Step>,
}

/// The cheapest way to follow a policy.
#[derive(Debug, Clone, PartialEq)]
pub struct Followed {
    pub policy: Policy,
    pub ends: Vec<End>,
    /// Expected present value of its cost, packages included.
    pub cost: f64,
    /// No way to follow it costs less than this.
    pub bound: f64,
    pub proven: bool,
    /// Expected number of assemblies that end without a supported treatment.
    pub contained: f64,
}

/// A change that an assembly may make, with its yes-or-no variable.
struct Option_ {
    a: usize,
    t: usize,
    month: u32,
    var: Var,
}

/// A number that is fixed, and a sum of variables.
#[derive(Debug, Clone, Default)]
struct Linear {
    fixed: f64,
    sum: Sum,
}

impl Linear {
    fn add(&mut self, other: &Self, factor: f64) {
        self.fixed += factor * other.fixed;
        self.sum.extend(other.sum.iter().map(|(v, c)| (*v, factor * c)));
    }
}

/// One programme under construction.
struct Builder<'a> {
    of: &'a Instance,
    p: Program,
    fixed: f64,
    /// Changes decided today, the same at every end.
    now: Vec<Option_>,
    /// Staying as today, where that may be: assembly and its variable.
    stays: Vec<(usize, Var)>,
}

/// Solves a policy. `branches` limits the search.
///
/// # Errors
/// In words, when no treatment fits into the lines, or nothing was found within the limits.
pub fn follow(of: &Instance, policy: &Policy, branches: u64, stop: &dyn Fn() -> bool) -> Result<Followed, String> {
    let leaves = policy.leaves(of);
    let mut b = Builder { of, p: Program::default(), fixed: 0.0, now: Vec::new(), stays: Vec::new() };
    b.decide_now();
    let later: Vec<Vec<Option_>> = leaves.iter().map(|l| b.at_end(l)).collect();
    let found = b.p.solve(branches, stop)?;
    let end = |(leaf, later): (&Leaf, &Vec<Option_>)| End { leaf: leaf.clone(), steps: steps(&found, &b.now, later) };
    Ok(Followed {
        ends: leaves.iter().zip(&later).map(end).collect(),
        cost: found.objective / UNIT + b.fixed,
        bound: found.bound / UNIT + b.fixed,
        proven: found.proven,
        contained: policy.contained(of),
        policy: policy.clone(),
    })
}

/// What is done when it is known in some month that some packages have succeeded.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// Without packages.
    pub cost: f64,
    /// Nothing that could be done costs less.
    pub bound: f64,
    pub steps: Vec<Step>,
    /// Those of the steps that are decided today.
    pub now: Vec<Step>,
}

/// The cheapest treatments at one end alone: as if it were foreseen when today's changes are decided, or with these of
/// today's changes and no others.
///
/// # Errors
/// As [`follow`].
pub fn known(
    of: &Instance,
    won: Won,
    month: u32,
    now: Option<&[Step]>,
    branches: u64,
    stop: &dyn Fn() -> bool,
) -> Result<Known, String> {
    let leaf = Leaf { won, chance: 1.0, month, results: Vec::new() };
    let mut b = Builder { of, p: Program::default(), fixed: 0.0, now: Vec::new(), stays: Vec::new() };
    b.decide_now();
    for i in 0..b.now.len() {
        let (var, step) = (b.now[i].var, (b.now[i].a, b.now[i].t, b.now[i].month));
        if let Some(now) = now {
            b.p.equal(&[(var, 1.0)], if now.contains(&step) { 1.0 } else { 0.0 });
        }
    }
    let later = b.at_end(&leaf);
    let start = b.start(&later, now, stop);
    let found = b.p.solve_from(start.as_ref(), branches, stop)?;
    Ok(Known {
        cost: found.objective / UNIT + b.fixed,
        bound: found.bound / UNIT + b.fixed,
        steps: steps(&found, &b.now, &later),
        now: steps(&found, &b.now, &[]),
    })
}

fn steps(found: &Found, now: &[Option_], later: &[Option_]) -> Vec<Step> {
    let mut out: Vec<Step> =
        now.iter().chain(later).filter(|o| found.yes(o.var)).map(|o| (o.a, o.t, o.month)).collect();
    out.sort_unstable();
    out
}

impl Builder<'_> {
    /// Present value of what an assembly costs more in a treatment than as today, from a month on.
    fn more(&self, a: usize, t: usize, month: u32) -> f64 {
        self.of.rate_from(a, t, month) - self.of.rate_from(a, self.of.today, month)
    }

    /// Changes that may be decided today, with the states as they are.
    fn decide_now(&mut self) {
        for a in 0..self.of.assemblies() {
            self.fixed += self.of.rate_from(a, self.of.today, 1);
            for t in 0..self.of.treatments.len() {
                let kind = &self.of.treatments[t];
                let month = kind.lead.max(1);
                if t == self.of.today || kind.contained || month > self.of.months || !self.of.may(a, t, 0) {
                    continue;
                }
                let var = self.p.choice(UNIT * self.more(a, t, month));
                self.now.push(Option_ { a, t, month, var });
            }
        }
    }

    /// Changes that may be decided at one end, with all that they cost there.
    fn at_end(&mut self, leaf: &Leaf) -> Vec<Option_> {
        for (p, _, month) in &leaf.results {
            self.fixed += leaf.chance * self.of.packs[*p].cost * self.of.paid(*month);
        }
        let later = self.options(leaf);
        let mut starts: Vec<u32> = vec![1];
        starts.extend(self.now.iter().chain(&later).map(|o| o.month));
        starts.extend(self.of.changes_of_volume());
        starts.sort_unstable();
        starts.dedup();
        for line in 0..self.of.lines.len() {
            self.line(line, leaf, &later, &starts);
        }
        for programme in 0..self.of.programmes.len() {
            self.programme(programme, leaf, &later, &starts);
        }
        later
    }

    /// Every assembly is changed today, changes now that all is known, or stays as it is where that is supported.
    fn options(&mut self, leaf: &Leaf) -> Vec<Option_> {
        let of = self.of;
        let kinds = || (0..of.treatments.len()).filter(|&t| t != of.today);
        let first = |t: usize| (leaf.month + of.treatments[t].lead).max(1);
        let may = |a: usize, t: usize| of.may(a, t, leaf.won);
        let mut months: Vec<u32> = kinds()
            .filter(|&t| (0..of.assemblies()).any(|a| may(a, t)))
            .map(first)
            .filter(|m| *m <= of.months)
            .collect();
        months.sort_unstable();
        months.dedup();
        let mut out = Vec::new();
        for a in 0..of.assemblies() {
            let mut sum: Sum = self.now.iter().filter(|o| o.a == a).map(|o| (o.var, 1.0)).collect();
            let known = out.len();
            for t in kinds().filter(|&t| may(a, t)) {
                // What waits for nothing is not put off; what needs a line may wait for the change of another assembly.
                let Kind { line, contained, .. } = of.treatments[t];
                let waits = |m: u32| m > first(t) && !contained && line.is_some();
                for &month in months.iter().filter(|m| **m == first(t) || waits(**m)) {
                    let var = self.p.choice(UNIT * leaf.chance * self.more(a, t, month));
                    sum.push((var, 1.0));
                    out.push(Option_ { a, t, month, var });
                }
            }
            if may(a, of.today) || (sum.is_empty() && out.len() == known) {
                let stay = self.p.choice(0.0);
                self.stays.push((a, stay));
                sum.push((stay, 1.0));
            }
            self.p.equal(&sum, 1.0);
        }
        // Nobody waits for money alone.
        let at_once = |o: &Option_| o.month == first(o.t);
        for o in out.iter().filter(|o| !at_once(o)) {
            let others =
                out.iter().filter(|x| at_once(x)).chain(&self.now).filter(|x| x.a != o.a && x.month == o.month);
            let row: Sum = others.map(|x| (x.var, 1.0)).chain([(o.var, -1.0)]).collect();
            self.p.at_least(&row, 0.0);
        }
        out
    }

    /// A plain solution to start from: every assembly on one line where it may, else without a line, else as it may be; the
    /// cheapest over all lines.
    fn start(&self, later: &[Option_], now: Option<&[Step]>, stop: &dyn Fn() -> bool) -> Option<Found> {
        let of = self.of;
        let favourites = std::iter::once(None).chain((0..of.lines.len()).map(Some));
        let found = favourites.filter_map(|favourite| {
            let mut p = self.p.clone();
            for a in 0..of.assemblies() {
                let rank = |o: &&Option_| {
                    let line = of.treatments[o.t].line;
                    let near = if line == favourite {
                        0
                    } else if line.is_none() {
                        1
                    } else {
                        2
                    };
                    (near, o.month, o.t)
                };
                let given = |o: &&Option_| now.is_none_or(|n| n.contains(&(o.a, o.t, o.month)));
                let today = self.now.iter().filter(|o| o.a == a).filter(given);
                let fixed = now.is_some_and(|n| n.iter().any(|s| s.0 == a));
                let best = today.chain(later.iter().filter(|o| o.a == a && !fixed)).min_by_key(rank);
                let var = best.map(|o| o.var).or_else(|| self.stays.iter().find(|s| s.0 == a).map(|s| s.1))?;
                p.equal(&[(var, 1.0)], 1.0);
            }
            p.solve(STARTS, stop).ok()
        });
        found.min_by(|a, b| a.objective.total_cmp(&b.objective))
    }

    /// How far an assembly has a treatment of a kind in the stretch that begins with `start`.
    fn has(&self, a: usize, start: u32, later: &[Option_], is: &dyn Fn(usize) -> bool) -> Linear {
        let today = if is(self.of.today) { 1.0 } else { 0.0 };
        let changed = self.now.iter().chain(later).filter(|o| o.a == a && o.month <= start);
        let terms = changed.map(|o| (o.var, if is(o.t) { 1.0 } else { 0.0 } - today));
        Linear { fixed: today, sum: terms.filter(|t| t.1 != 0.0).collect() }
    }

    /// `sum` of variables is at least what `linear` is, times `factor`.
    fn covers(&mut self, sum: &[(Var, f64)], linear: &Linear, factor: f64) {
        let mut row: Sum = sum.to_vec();
        row.extend(linear.sum.iter().map(|(v, c)| (*v, -factor * c)));
        self.p.at_least(&row, factor * linear.fixed);
    }

    /// A variable that is yes as soon as any of the assemblies is: one row for each, which keeps the programme tight.
    fn covers_each(&mut self, sum: &[(Var, f64)], each: &[Linear]) {
        each.iter().filter(|l| l.fixed != 0.0 || !l.sum.is_empty()).for_each(|l| self.covers(sum, l, 1.0));
    }

    /// Last month of the stretch that begins with `starts[q]`.
    fn end(&self, starts: &[u32], q: usize) -> u32 {
        starts.get(q + 1).map_or(self.of.months, |s| s - 1)
    }

    fn line(&mut self, l: usize, leaf: &Leaf, later: &[Option_], starts: &[u32]) {
        let of = self.of;
        let line = &of.lines[l];
        let on = |t: usize| of.treatments[t].line == Some(l);
        let soaped = |t: usize| on(t) && of.treatments[t].saponified;
        // In every stretch: whether the line is in use; whether with saponifier, or how many machines.
        let (mut used, mut counts): (Vec<Sum>, Vec<Sum>) = (Vec::new(), Vec::new());
        for (q, &start) in starts.iter().enumerate() {
            let end = self.end(starts, q);
            let weight = UNIT * leaf.chance * of.span(start, end);
            let replaced = line.replace.filter(|r| r.0.max(1) >= start && r.0.max(1) <= end);
            let once = UNIT * leaf.chance * replaced.map_or(0.0, |(m, price)| price * of.paid(m));
            let each: Vec<Linear> = (0..of.assemblies()).map(|a| self.has(a, start, later, &on)).collect();
            let each_soaped: Vec<Linear> = (0..of.assemblies()).map(|a| self.has(a, start, later, &soaped)).collect();
            let year = Instance::year(start);
            let total = |each: &[Linear], size: &dyn Fn(usize) -> f64| {
                let mut all = Linear::default();
                each.iter().enumerate().for_each(|(a, l)| all.add(l, size(a)));
                all
            };
            let panels = |a: usize| of.panels[a][year];
            match &line.work {
                Work::Shifts { steps, hour, saponifier } => {
                    let most = steps.last().map_or(1.0, |s| s.0.max(1.0));
                    let (mut all, mut with, mut room, mut room_with) = (Sum::new(), Sum::new(), Sum::new(), Sum::new());
                    for (most_panels, hours) in steps {
                        for soap in [false, true] {
                            let hour = hour + if soap { *saponifier } else { 0.0 };
                            let v = self.p.choice(weight * (line.yearly + hours * hour) + once);
                            all.push((v, 1.0));
                            room.push((v, most_panels / most));
                            if soap {
                                with.push((v, 1.0));
                                room_with.push((v, most_panels / most));
                            }
                        }
                    }
                    self.p.at_most(&all, 1.0);
                    self.covers(&room, &total(&each, &panels), 1.0 / most);
                    self.covers(&room_with, &total(&each_soaped, &panels), 1.0 / most);
                    self.covers_each(&all, &each);
                    self.covers_each(&with, &each_soaped);
                    used.push(all);
                    counts.push(with);
                }
                Work::Follows { panels_an_hour, saponifier, .. } => {
                    let (open, with) = (self.p.choice(weight * line.yearly + once), self.p.choice(0.0));
                    self.covers_each(&[(open, 1.0)], &each);
                    self.covers_each(&[(with, 1.0)], &each_soaped);
                    // Saponifier for all hours, when any board needs it.
                    let hours = total(&each, &|a| panels(a) / panels_an_hour);
                    let most: f64 = (0..of.assemblies()).map(|a| panels(a) / panels_an_hour).sum::<f64>().max(1e-9);
                    let extra = self.p.number(weight * saponifier * most, 0.0);
                    let mut over = Linear { fixed: -1.0, sum: vec![(with, 1.0)] };
                    over.add(&hours, 1.0 / most);
                    self.covers(&[(extra, 1.0)], &over, 1.0);
                    used.push(vec![(open, 1.0)]);
                    counts.push(vec![(with, 1.0)]);
                }
                Work::Batch { capacity, peak, .. } => {
                    let all: f64 = (0..of.assemblies()).map(|a| of.loads(a, l, year)).sum();
                    let high = (all * peak / capacity).ceil().max(1.0);
                    let n = self.p.whole(weight * line.yearly, high as i32);
                    let open = self.p.choice(once);
                    let loads = total(&each, &|a| of.loads(a, l, year) * peak / capacity);
                    self.covers(&[(n, 1.0)], &loads, 1.0);
                    self.covers_each(&[(open, 1.0)], &each);
                    used.push(vec![(open, 1.0)]);
                    counts.push(vec![(n, 1.0)]);
                }
                Work::Outside { .. } => {
                    let open = self.p.choice(weight * line.yearly + once);
                    self.covers_each(&[(open, 1.0)], &each);
                    used.push(vec![(open, 1.0)]);
                    counts.push(Vec::new());
                }
            }
        }
        if of.used_today(l) && line.retire > 0.0 {
            // No line is kept idle to put off what its end costs.
            for (q, &start) in starts.iter().enumerate() {
                let mut row = used[q].clone();
                let mut fixed = 0.0;
                for a in 0..of.assemblies() {
                    let on = self.has(a, start, later, &on);
                    row.extend(on.sum.iter().map(|(v, c)| (*v, -c)));
                    fixed += on.fixed;
                }
                self.p.at_most(&row, fixed);
            }
        }
        match &line.work {
            Work::Batch { price, .. } => self.rising(*price, leaf, &counts, starts, &|m| m),
            Work::Outside { .. } => {}
            _ if of.treatments[of.today].saponified && of.used_today(l) => {}
            _ => self.rising(line.conversion, leaf, &counts, starts, &|m| m),
        }
        if of.used_today(l) && line.retire != 0.0 {
            self.retired(line.retire, leaf, &used, starts);
        }
    }

    /// A cost once, each time that the greatest number so far rises: paid in the month that `when` makes of the first
    /// month of the stretch.
    fn rising(&mut self, cost: f64, leaf: &Leaf, numbers: &[Sum], starts: &[u32], when: &dyn Fn(u32) -> u32) {
        if cost == 0.0 {
            return;
        }
        let mut before: Option<Var> = None;
        for (q, number) in numbers.iter().enumerate() {
            let paid = |q: usize| starts.get(q).map_or(0.0, |s| self.of.paid(when(*s)));
            let most = self.p.number(UNIT * leaf.chance * cost * (paid(q) - paid(q + 1)), 0.0);
            let row: Sum = number.iter().map(|(v, c)| (*v, -c)).chain([(most, 1.0)]).collect();
            self.p.at_least(&row, 0.0);
            if let Some(b) = before {
                self.p.at_least(&[(most, 1.0), (b, -1.0)], 0.0);
            }
            before = Some(most);
        }
    }

    /// A line of today that is used in no later stretch is retired in the first of them.
    fn retired(&mut self, cost: f64, leaf: &Leaf, used: &[Sum], starts: &[u32]) {
        let paid = |q: usize| if q == 0 { 0.0 } else { starts.get(q).map_or(0.0, |s| self.of.paid(*s)) };
        let needed: Vec<Var> = (0..used.len())
            .map(|q| (UNIT * leaf.chance * cost * (paid(q + 1) - paid(q)), q))
            .map(|(c, _)| self.p.share(c))
            .collect();
        for (q, use_) in used.iter().enumerate() {
            let next = needed.get(q + 1).copied();
            // needed = used now or later.
            let now: Sum = use_.iter().map(|(v, c)| (*v, -c)).chain([(needed[q], 1.0)]).collect();
            self.p.at_least(&now, 0.0);
            if let Some(n) = next {
                self.p.at_least(&[(needed[q], 1.0), (n, -1.0)], 0.0);
            }
            let most: Sum = now.into_iter().chain(next.map(|n| (n, -1.0))).collect();
            self.p.at_most(&most, 0.0);
        }
        // Used today, so needed when the plan begins, whatever happens in month 1.
        let last = UNIT * leaf.chance * cost;
        let gone_at_once = self.p.share(last * self.of.paid(1));
        self.p.equal(&[(needed[0], 1.0), (gone_at_once, 1.0)], 1.0);
    }

    fn programme(&mut self, g: usize, leaf: &Leaf, later: &[Option_], starts: &[u32]) {
        let of = self.of;
        let scheme = &of.programmes[g];
        let longest = scheme.treatments.iter().map(|t| of.treatments[*t].lead).max().unwrap_or(0);
        let mut active = Vec::new();
        for (q, &start) in starts.iter().enumerate() {
            let weight = UNIT * leaf.chance * of.span(start, self.end(starts, q));
            let has = |list: &[usize]| -> Vec<Linear> {
                (0..of.assemblies()).map(|a| self.has(a, start, later, &|t| list.contains(&t))).collect()
            };
            let (some, beside) = (has(&scheme.treatments), has(&scheme.beside));
            let v = self.p.share(weight * scheme.yearly);
            if scheme.beside.is_empty() {
                self.covers_each(&[(v, 1.0)], &some);
            } else {
                let (x, y) = (self.p.choice(0.0), self.p.choice(0.0));
                self.covers_each(&[(x, 1.0)], &some);
                self.covers_each(&[(y, 1.0)], &beside);
                self.p.at_least(&[(v, 1.0), (x, -1.0), (y, -1.0)], -1.0);
            }
            active.push(vec![(v, 1.0)]);
        }
        self.rising(scheme.once, leaf, &active, starts, &|m| m.saturating_sub(longest));
    }
}
