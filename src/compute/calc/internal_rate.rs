//! Takes cash flows; gives the rates at which their present value is nothing.

use super::{Args, Calc, Check, Known, gives, many};
use crate::model::workings::Strength;

pub const CALC: Calc = Calc {
    id: "internal_rate",
    title: "Internal rate of return",
    formula: &["IRR: rate above -1 at which the net present value is 0, the one closest to 0 when there are several; n: how many there are"],
    closed: false,
    symbols: &[many("flow", "flow of a period, the first one today", "=", -1e15, 1e15)],
    outputs: &[gives("IRR", "rate per period", "1"), gives("n", "real rates above -1", "1")],
    holds_when: "flows change their sign once; with more changes there may be several rates, and none of them means much",
    strength: Strength::Informs,
    weak_because: "a rate says nothing of the amount; compare present values",
    sources: &["trade"],
    checks: &[
        Check {
            // Case cash_simple_0.08 of the reference set t07.
            inputs: &[("flow", -100000.0), ("flow", 30000.0), ("flow", 35000.0), ("flow", 40000.0), ("flow", 45000.0)],
            expected: &[("IRR", 0.17093686339499115), ("n", 1.0)],
            relative: 0.0,
            absolute: 1e-12,
            source: "trade",
            known: Known::Reference,
        },
        Check {
            // -1 + 2.3 x - 1.32 x^2 with x = 1/(1 + r): the roots are 10 and 20 percent.
            inputs: &[("flow", -1.0), ("flow", 2.3), ("flow", -1.32)],
            expected: &[("IRR", 0.1), ("n", 2.0)],
            relative: 0.0,
            absolute: 1e-9,
            source: "house",
            known: Known::Hand,
        },
    ],
    run: |a: &Args| {
        let rates = rates(&a.many("flow"))?;
        let closest = rates.iter().copied().reduce(|b, r| if r.abs() < b.abs() { r } else { b });
        Ok(vec![closest.ok_or("no rate makes these flows worth nothing")?, rates.len() as f64])
    },
};

/// All real rates above -1 that make the present value 0, in rising order.
///
/// # Errors
/// No flow but zeros, or more than 1200 flows.
pub fn rates(flows: &[f64]) -> Result<Vec<f64>, String> {
    if flows.len() > 1200 {
        return Err("more than 1200 flows".into());
    }
    let first = flows.iter().position(|f| *f != 0.0).ok_or("flows that are all nothing have no rate")?;
    let last = flows.iter().rposition(|f| *f != 0.0).unwrap_or(first);
    let mut rates: Vec<f64> = roots(&flows[first..=last]).into_iter().map(|x| 1.0 / x - 1.0).collect();
    rates.retain(|r| r.is_finite() && *r > -1.0);
    rates.reverse();
    Ok(rates)
}

/// Changes of sign of a list.
fn changes(c: &[f64]) -> usize {
    let signs: Vec<bool> = c.iter().filter(|v| **v != 0.0).map(|v| *v > 0.0).collect();
    signs.windows(2).filter(|w| w[0] != w[1]).count()
}

fn polynomial(c: &[f64], x: f64) -> f64 {
    c.iter().rev().fold(0.0, |sum, v| sum * x + v)
}

/// Positive roots of the polynomial with coefficients from the lowest power up, in rising order. Between the roots of
/// its derivative it is monotone, so each such stretch holds one root or none.
fn roots(c: &[f64]) -> Vec<f64> {
    if changes(c) == 0 {
        return Vec::new();
    }
    let mut cuts = vec![0.0];
    if changes(c) > 1 {
        let largest = c.iter().fold(0.0f64, |m, v| m.max(v.abs()));
        let slope: Vec<f64> = c.iter().enumerate().skip(1).map(|(i, v)| v * i as f64 / largest).collect();
        cuts.extend(roots(&slope));
    }
    // Beyond the bound of Cauchy there is no root.
    let leading = c[c.len() - 1].abs();
    let bound = 1.0 + c[..c.len() - 1].iter().fold(0.0f64, |m, v| m.max(v.abs() / leading));
    cuts.push(bound.max(2.0 * cuts[cuts.len() - 1]));
    let size = |x: f64| c.iter().rev().fold(0.0, |sum, v| sum * x + v.abs());
    let zero = |x: f64| polynomial(c, x).abs() <= 4e-16 * c.len() as f64 * size(x);
    let mut out: Vec<f64> = Vec::new();
    for w in cuts.windows(2) {
        let (mut low, mut high) = (w[0], w[1]);
        // A root of the derivative that is one of the polynomial too is a double root.
        if high != cuts[cuts.len() - 1] && zero(high) {
            if out.last().is_none_or(|r| (r - high).abs() > 1e-7 * high) {
                out.push(high);
            }
            continue;
        }
        if low > 0.0 && zero(low) {
            continue;
        }
        let start = if low == 0.0 { c[0] } else { polynomial(c, low) };
        if (start > 0.0) == (polynomial(c, high) > 0.0) {
            continue;
        }
        for _ in 0..2000 {
            // Towards 0 by halves, so that small roots keep their digits.
            let mid = if low == 0.0 { 0.5 * high } else { 0.5 * (low + high) };
            if mid <= low || mid >= high || mid == 0.0 {
                break;
            }
            if (polynomial(c, mid) > 0.0) == (start > 0.0) { low = mid } else { high = mid }
        }
        out.push(high);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rates_of_odd_flows() {
        assert_eq!(rates(&[-100.0, -5.0]), Ok(vec![]));
        assert_eq!(rates(&[1.0, -2.0, 1.5]), Ok(vec![]), "the parabola never reaches 0");
        assert!(rates(&[0.0, 0.0]).is_err() && rates(&[]).is_err());
        let three = rates(&[-1.0, 3.6, -4.31, 1.716]).expect("rates");
        // (1 + r) = 1.1, 1.2, 1.3.
        assert!(three.iter().zip([0.1, 0.2, 0.3]).all(|(r, w)| (r - w).abs() < 1e-9) && three.len() == 3, "{three:?}");
        let double = rates(&[-1.0, 2.2, -1.21]).expect("rates");
        assert!(double.len() == 1 && (double[0] - 0.1).abs() < 1e-6, "{double:?}");
        let month: Vec<f64> = std::iter::once(-1000.0).chain(std::iter::repeat_n(10.0, 360)).collect();
        let r = rates(&month).expect("a rate");
        // 0.9623 percent a month, by bisection of 10 (1 - (1+r)^-360) / r = 1000.
        assert!(r.len() == 1 && (10.0 * (1.0 - libm::pow(1.0 + r[0], -360.0)) / r[0] - 1000.0).abs() < 1e-6, "{r:?}");
    }
}
