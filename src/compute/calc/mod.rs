//! Takes an id and numbers; gives the calculation with its formula, its result and its substituted form.

pub mod expr;
pub mod ions;
mod kind;
pub mod sources;

macro_rules! calculations {
    ($($topic:literal: $($name:ident)*;)*) => {
        $($(pub mod $name;)*)*
        static REGISTRY: &[&Calc] = &[$($(&$name::CALC,)*)*];
        static TOPICS: &[(&str, &[&Calc])] = &[$(($topic, &[$(&$name::CALC),*])),*];
    };
}

calculations! {
    "Bounds of readings":
        tolerance_factor variance_components cluster_size lower_tolerance_bound upper_tolerance_bound
        upper_tolerance_bound_log order_statistic censored_fit censored_share readings_needed tolerance_plan;
    "Limits, guard bands and margins":
        guard_band guard_risks margin_lower margin_upper margin_range;
    "Means, differences, charts and capability":
        mean_value log_mean difference_of_means paired_shift t_factor individuals_limits individuals_rules
        ewma_chart capability dose_trend;
    "Trends, groups and sample sizes":
        theil_sen mann_kendall robust_location mann_whitney welch equivalence_paired equivalence_means
        group_size paired_size t_power;
    "Insulation over time":
        window_minimum drop_events drift_slope detection_probability ecm_ratio resistance_facts;
    "Ions":
        ionic_content mass_per_area mass_balance charge_balance nacl_equivalent nacl_onsager
        solvent_extract area_basis local_content predicted_content;
    "Leakage and field":
        comb_squares pair_leakage leakage_need guard_leakage field_strength transimpedance_error
        hold_droop divider_error pull_up_error spacing_caution;
    "Solder paste, residue and gaps":
        paste_fractions btc_gap residue_fill cavity_fill paste_dose deposit_residue
        area_ratio_rectangle area_ratio_circle transfer_efficiency powder_type residue_cover;
    "Humidity":
        dew_point dew_margin surface_humidity wet_hours deliquescence_hours board_lag absolute_humidity
        saturation_pressure coating_time peck;
    "Lines at high frequency":
        microstrip microstrip_thick dielectric_loss line_under_residue thick_line coplanar resonator_shift;
    "Reflow":
        profile_facts profile_shape window_use;
    "Counts and agreement":
        non_inferiority non_inferiority_size proportion_bounds proportion_upper wilson_interval newcombe_difference
        fisher_exact success_run kappa;
    "Life":
        weibull_fit;
    "Money":
        cost_item cost_sum wash_hour belt_hours belt_year batch_loads batch_machines batch_year outside_year
        cost_per_board cost_by_share last_machine wash_use use_sum weighted_use yearly_count month_factors span_factor recurring_value single_value joint_chance chance_of_failure
        weighted_cost saving share_of present_value internal_rate payback pert triangular;
    "Failure modes":
        action_priority;
    "Values as given":
        as_given;
}

pub use kind::{Args, Calc, Check, Gives, Known, Symbol, gives, many, one, whole};

use crate::diag::nearest;
use crate::model::document::Formula;
use crate::model::workings::Working;
use crate::quantity::significant;

/// Every calculation, in the order in which the manual lists them.
pub fn registry() -> &'static [&'static Calc] {
    REGISTRY
}

/// The same, under the headings of the manual.
pub fn topics() -> &'static [(&'static str, &'static [&'static Calc])] {
    TOPICS
}

/// The calculation of an id.
pub fn find(id: &str) -> Option<&'static Calc> {
    REGISTRY.iter().copied().find(|c| c.id == id)
}

/// Tolerance on the ends of a range, for values that rounding put just outside.
const SLACK: f64 = 1e-9;

impl Calc {
    /// Computes from (symbol, value) pairs; a list has several pairs of one symbol. Gives (symbol, value) of every
    /// output, all finite.
    ///
    /// # Errors
    /// A symbol that is unknown, missing, given twice or outside its range; an input for which there is no result.
    pub fn evaluate(&self, inputs: &[(&str, f64)]) -> Result<Vec<(&'static str, f64)>, String> {
        for (name, value) in inputs {
            let Some(s) = self.symbols.iter().find(|s| s.symbol == *name) else {
                let known = self.symbols.iter().map(|s| s.symbol);
                return Err(match nearest(name, known.clone()) {
                    Some(n) => format!("{} has no input {name}; did you mean {n}?", self.id),
                    None => {
                        format!("{} has no input {name}; it needs {}", self.id, known.collect::<Vec<_>>().join(", "))
                    }
                });
            };
            if !value.is_finite() {
                return Err(format!("{name} is not a finite number"));
            }
            if *value < s.low - SLACK * s.low.abs() || *value > s.high + SLACK * s.high.abs() {
                return Err(format!("{name} = {value} is outside {} to {} {}", s.low, s.high, s.unit));
            }
            if s.whole && value.fract() != 0.0 {
                return Err(format!("{name} = {value} is not a whole number"));
            }
        }
        for s in self.symbols {
            match inputs.iter().filter(|i| i.0 == s.symbol).count() {
                0 => return Err(format!("{} needs {} ({}, in {})", self.id, s.symbol, s.meaning, s.unit)),
                n if n > 1 && !s.many => return Err(format!("{} is given {n} times", s.symbol)),
                _ => {}
            }
        }
        let values = (self.run)(&Args(inputs))?;
        let out: Vec<_> = self.outputs.iter().map(|o| o.symbol).zip(values).collect();
        match out.iter().find(|o| !o.1.is_finite()) {
            Some((s, _)) => Err(format!("{} gives no finite {s} for these inputs", self.id)),
            None => Ok(out),
        }
    }

    /// The printed formula, one line per output.
    pub fn printed(&self) -> String {
        self.formula.join("\n")
    }

    /// The printed formula in every written form, one for each line; a line in words has its text only.
    pub fn formulas(&self) -> Vec<Formula> {
        let signs = |line: &str| expr::parse(line).filter(|_| self.closed);
        let one = |line: &&str| match signs(line) {
            Some((symbol, e)) => {
                Formula { text: (*line).to_string(), mathml: e.mathml(&symbol), typst: e.typst(&symbol) }
            }
            None => Formula::words(*line),
        };
        self.formula.iter().map(one).collect()
    }

    /// Every symbol in every written form; none where the formula is in words.
    pub fn signs(&self) -> Vec<Formula> {
        let all = self.symbols.iter().map(|s| s.symbol).chain(self.outputs.iter().map(|o| o.symbol));
        all.filter(|_| self.closed).map(expr::sign).collect()
    }

    /// The formula with numbers in place: "LTB = 9.62 - 3.659 * 0.33 = 8.41253". A formula in words is followed by its
    /// inputs. `outputs` may be empty when there is no result.
    pub fn substitute(&self, inputs: &[(&str, f64)], outputs: &[(&str, f64)]) -> String {
        let mut values: Vec<(String, f64)> = inputs.iter().map(|(s, v)| ((*s).to_string(), *v)).collect();
        let result = |symbol: &str| outputs.iter().find(|o| o.0 == symbol).map(|o| o.1);
        if self.closed {
            let mut lines = Vec::new();
            for (symbol, e) in self.formula.iter().filter_map(|l| expr::parse(l)) {
                let value = result(&symbol).unwrap_or_else(|| e.value(&values));
                lines.push(format!("{symbol} = {} = {}", e.substitute(&values), significant(value, 6)));
                values.push((symbol, value));
            }
            return lines.join("\n");
        }
        let mut parts: Vec<String> = Vec::new();
        for s in self.symbols {
            let v: Vec<f64> = inputs.iter().filter(|i| i.0 == s.symbol).map(|i| i.1).collect();
            match v.as_slice() {
                [] => {}
                [x] => parts.push(format!("{} = {}", s.symbol, significant(*x, 6))),
                list => {
                    let shown: Vec<String> = list.iter().take(6).map(|x| significant(*x, 6)).collect();
                    let rest = if list.len() > 6 { format!(", ... {} values", list.len()) } else { String::new() };
                    parts.push(format!("{} = {}{rest}", s.symbol, shown.join(", ")));
                }
            }
        }
        let gives: Vec<String> = outputs.iter().map(|(s, v)| format!("{s} = {}", significant(*v, 6))).collect();
        format!("{}, with {}: {}", self.printed(), parts.join(", "), gives.join(", "))
    }
}

/// The formula of a working with its inputs in place; empty when the calculation is not known or gave no result.
pub fn substituted(working: &Working) -> String {
    let Some(calc) = find(working.calc).filter(|_| !working.outputs.is_empty()) else { return String::new() };
    let inputs: Vec<(&str, f64)> = working.inputs.iter().map(|i| (i.symbol, i.value)).collect();
    let outputs: Vec<(&str, f64)> = working.outputs.iter().map(|o| (o.symbol, o.value)).collect();
    calc.substitute(&inputs, &outputs)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrong_inputs_are_named() {
        let c = find("lower_tolerance_bound").expect("it is registered");
        assert!(c.evaluate(&[("mean", 9.0), ("k", 3.0)]).unwrap_err().contains("needs s"));
        assert!(c.evaluate(&[("mean", 9.0), ("k", 3.0), ("s", -1.0)]).unwrap_err().contains("outside"));
        assert!(c.evaluate(&[("mean", f64::NAN), ("k", 3.0), ("s", 1.0)]).is_err());
        assert!(c.evaluate(&[("mean", 9.0), ("mean", 9.0), ("k", 3.0), ("s", 1.0)]).unwrap_err().contains("2 times"));
        assert!(c.evaluate(&[("maen", 9.0)]).unwrap_err().contains("mean"));
    }
}
