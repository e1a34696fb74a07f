//! Calculations: the printed formula is the computed one; published and reference values; extremes.

use galipot::compute::calc::{self, Calc, expr};

/// Numbers that look random and are the same every time.
struct Lot(u64);

impl Lot {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

/// A sample of the declared ranges, unequal for all symbols; wide positive ranges are sampled by their logarithm.
fn sample(calc: &Calc, lot: &mut Lot) -> Vec<(&'static str, f64)> {
    let mut out = Vec::new();
    for s in calc.symbols {
        for _ in 0..if s.many { 5 } else { 1 } {
            let u = lot.unit();
            let x = if s.low > 0.0 && s.high / s.low > 1e3 {
                s.low * libm::pow(s.high / s.low, u)
            } else if s.high - s.low >= 1e9 {
                let half = libm::pow(10.0, lot.unit() * libm::log10(s.high));
                if s.low < 0.0 && u < 0.5 { -half } else { half }
            } else {
                s.low + (s.high - s.low) * u
            };
            let x = if s.whole { x.round() } else { x };
            out.push((s.symbol, x.clamp(s.low, s.high)));
        }
    }
    out
}

#[test]
fn the_printed_formula_is_the_computed_one() {
    for calc in calc::registry().iter().filter(|c| c.closed) {
        let mut lot = Lot(7);
        let mut compared = 0;
        for _ in 0..400 {
            let inputs = sample(calc, &mut lot);
            let Ok(outputs) = calc.evaluate(&inputs) else { continue };
            let mut values: Vec<(String, f64)> = inputs.iter().map(|(s, v)| (s.to_string(), *v)).collect();
            assert_eq!(calc.formula.len(), outputs.len(), "{}: a line for every output", calc.id);
            for (line, (symbol, value)) in calc.formula.iter().zip(&outputs) {
                let (left, e) = expr::parse(line).unwrap_or_else(|| panic!("{}: {line}", calc.id));
                assert_eq!(left, *symbol, "{}", calc.id);
                let again = e.value(&values);
                assert!(
                    (again - value).abs() <= 1e-9 * (value.abs() + again.abs()) + 1e-12,
                    "{}: {line} gives {again}, the function {value}, at {inputs:?}",
                    calc.id
                );
                values.push((left, *value));
            }
            compared += 1;
        }
        assert!(compared > 20, "{}: only {compared} samples could be compared", calc.id);
    }
}

#[test]
fn every_calculation_is_described() {
    let mut ids: Vec<&str> = calc::registry().iter().map(|c| c.id).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), calc::registry().len());
    for c in calc::registry() {
        assert!(!c.checks.is_empty(), "{} has no check", c.id);
        assert!(!c.weak_because.is_empty() && !c.holds_when.is_empty() && !c.sources.is_empty(), "{}", c.id);
        for key in c.sources.iter().chain(c.checks.iter().map(|k| &k.source)) {
            assert!(calc::sources::find(key).is_some(), "{}: no source {key}", c.id);
        }
        if c.closed {
            let mut used = Vec::new();
            for line in c.formula {
                expr::parse(line).unwrap_or_else(|| panic!("{}: {line}", c.id)).1.symbols(&mut used);
            }
            for s in c.symbols {
                assert!(used.iter().any(|u| u == s.symbol), "{} does not use {}", c.id, s.symbol);
            }
            for u in used {
                let known = c.symbols.iter().any(|s| s.symbol == u) || c.outputs.iter().any(|o| o.symbol == u);
                assert!(known, "{} uses the unknown {u}", c.id);
            }
        }
    }
}

#[test]
fn no_input_in_range_makes_a_calculation_hang_or_give_no_number() {
    for calc in calc::registry() {
        let mut lot = Lot(11);
        for round in 0..60 {
            let mut inputs = sample(calc, &mut lot);
            for (i, input) in inputs.iter_mut().enumerate() {
                let s = calc.symbols.iter().find(|s| s.symbol == input.0).expect("a symbol");
                match (round + i) % 3 {
                    0 => input.1 = s.low,
                    1 => input.1 = s.high,
                    _ => {}
                }
            }
            if let Ok(out) = calc.evaluate(&inputs) {
                assert!(out.iter().all(|o| o.1.is_finite()), "{} {inputs:?}", calc.id);
            }
        }
    }
}
