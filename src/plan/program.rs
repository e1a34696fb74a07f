//! Takes an integer programme; gives its best solution with the bound that was proven. The only home of microlp.

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolutionStatus, SolveOptions, SolveOutcome, Variable};

/// Branches between two looks at whether to go on.
const BATCH: u64 = 200;

/// A linear programme with some variables whole, to be made as small as it can be.
#[derive(Debug, Clone)]
pub struct Program {
    problem: Problem,
    variables: Vec<Variable>,
    rows: usize,
}

/// A variable of a [`Program`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Var(usize);

/// A sum of variables with factors.
pub type Sum = Vec<(Var, f64)>;

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// In order of the variables; whole ones are whole.
    values: Vec<f64>,
    pub objective: f64,
    /// No solution is smaller than this; the objective itself where it is proven to be the smallest.
    pub bound: f64,
    pub proven: bool,
}

impl Found {
    pub fn value(&self, v: Var) -> f64 {
        self.values[v.0]
    }
    /// Whether a yes-or-no variable is yes.
    pub fn yes(&self, v: Var) -> bool {
        self.value(v) > 0.5
    }
}

impl Default for Program {
    fn default() -> Self {
        Self { problem: Problem::new(OptimizationDirection::Minimize), variables: Vec::new(), rows: 0 }
    }
}

impl Program {
    fn push(&mut self, v: Variable) -> Var {
        self.variables.push(v);
        Var(self.variables.len() - 1)
    }
    /// A number of at least `low`.
    pub fn number(&mut self, cost: f64, low: f64) -> Var {
        let v = self.problem.add_var(cost, (low, f64::INFINITY));
        self.push(v)
    }
    /// A number between 0 and 1 that need not be whole.
    pub fn share(&mut self, cost: f64) -> Var {
        let v = self.problem.add_var(cost, (0.0, 1.0));
        self.push(v)
    }
    /// A whole number from 0 to `high`.
    pub fn whole(&mut self, cost: f64, high: i32) -> Var {
        let v = self.problem.add_integer_var(cost, (0, high));
        self.push(v)
    }
    /// Yes (1) or no (0).
    pub fn choice(&mut self, cost: f64) -> Var {
        let v = self.problem.add_binary_var(cost);
        self.push(v)
    }

    fn row(&mut self, sum: &[(Var, f64)], op: ComparisonOp, right: f64) {
        let mut merged: Vec<(usize, f64)> = Vec::with_capacity(sum.len());
        let mut sorted: Vec<(usize, f64)> = sum.iter().map(|(v, c)| (v.0, *c)).collect();
        sorted.sort_by_key(|t| t.0);
        for (v, c) in sorted {
            match merged.last_mut() {
                Some(last) if last.0 == v => last.1 += c,
                _ => merged.push((v, c)),
            }
        }
        let terms: Vec<(Variable, f64)> =
            merged.into_iter().filter(|t| t.1 != 0.0).map(|(v, c)| (self.variables[v], c)).collect();
        if !terms.is_empty() {
            self.problem.add_constraint(terms.as_slice(), op, right);
            self.rows += 1;
        }
    }
    /// The sum is at most `right`.
    pub fn at_most(&mut self, sum: &[(Var, f64)], right: f64) {
        self.row(sum, ComparisonOp::Le, right);
    }
    /// The sum is at least `right`.
    pub fn at_least(&mut self, sum: &[(Var, f64)], right: f64) {
        self.row(sum, ComparisonOp::Ge, right);
    }
    /// The sum is `right`.
    pub fn equal(&mut self, sum: &[(Var, f64)], right: f64) {
        self.row(sum, ComparisonOp::Eq, right);
    }

    /// Numbers of variables and of rows.
    pub fn size(&self) -> (usize, usize) {
        (self.variables.len(), self.rows)
    }

    /// Solves it, looking at most at `branches` branches, and asking `stop` between some of them.
    ///
    /// # Errors
    /// In words, when there is no solution, or none was found within the limits.
    pub fn solve(&self, branches: u64, stop: &dyn Fn() -> bool) -> Result<Found, String> {
        self.solve_from(None, branches, stop)
    }

    /// As [`Self::solve`], with a solution to start from.
    ///
    /// # Errors
    /// As there.
    pub fn solve_from(&self, start: Option<&Found>, branches: u64, stop: &dyn Fn() -> bool) -> Result<Found, String> {
        let mut left = branches;
        let mut options = SolveOptions::default();
        options.warm_start = start.map(|f| self.variables.iter().copied().zip(f.values.iter().copied()).collect());
        options.node_limit = Some(BATCH.min(left));
        let mut outcome = self.problem.solve_with(options).map_err(|e| e.to_string())?;
        loop {
            left = left.saturating_sub(BATCH);
            let proven = outcome.is_optimal();
            if proven || left == 0 || stop() {
                return self.found(&outcome);
            }
            outcome = outcome.resume().map_err(|e| e.to_string())?;
        }
    }

    fn found(&self, outcome: &SolveOutcome) -> Result<Found, String> {
        let Some(s) = outcome.solution() else {
            return Err("no solution was found within the limits".into());
        };
        let proven = s.status() == SolutionStatus::Optimal;
        let objective = s.objective();
        let bound = if proven { objective } else { s.stats().best_bound.unwrap_or(f64::NEG_INFINITY) };
        Ok(Found { values: self.variables.iter().map(|v| s.var_value(*v)).collect(), objective, bound, proven })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_knapsack_worked_by_hand() {
        // Values 60, 100, 120 of weights 10, 20, 30 into 50: the last two, a textbook example from memory.
        let mut p = Program::default();
        let take: Vec<Var> = [60.0, 100.0, 120.0].iter().map(|v| p.choice(-v)).collect();
        p.at_most(&[(take[0], 10.0), (take[1], 20.0), (take[2], 30.0)], 50.0);
        let found = p.solve(1000, &|| false).expect("a solution");
        assert!(found.proven && (found.objective + 220.0).abs() < 1e-9, "{found:?}");
        assert!(!found.yes(take[0]) && found.yes(take[1]) && found.yes(take[2]));
    }

    #[test]
    fn what_has_no_solution_says_so() {
        let mut p = Program::default();
        let a = p.choice(1.0);
        p.at_least(&[(a, 1.0)], 2.0);
        assert!(p.solve(1000, &|| false).is_err());
    }
}
