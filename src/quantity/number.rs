//! Takes a number; gives it as honest text: a few significant digits, the same on every machine.

/// `digits` significant digits; powers of ten beyond 1e5 and below 1e-3 as `2.04e10`.
pub fn significant(x: f64, digits: usize) -> String {
    if x == 0.0 {
        return "0".into();
    }
    if !x.is_finite() {
        return if x.is_nan() { "undefined".into() } else { "unbounded".into() };
    }
    let e = format!("{:.*e}", digits.saturating_sub(1), x);
    let (mantissa, exponent) = e.split_once('e').unwrap_or((&e, "0"));
    let exponent: i32 = exponent.parse().unwrap_or(0);
    if !(-3..=5).contains(&exponent) {
        return format!("{mantissa}e{exponent}");
    }
    let decimals = (digits as i32 - 1 - exponent).max(0) as usize;
    format!("{x:.decimals$}")
}

/// As [`significant`], with the sign always written.
pub fn signed(x: f64, digits: usize) -> String {
    let t = significant(x, digits);
    if x > 0.0 { format!("+{t}") } else { t }
}

/// The shortest text that a person takes in: `1e16` rather than a row of zeros.
pub fn compact(x: f64) -> String {
    if x == 0.0 || !x.is_finite() || (1e-3..1e6).contains(&x.abs()) { format!("{x}") } else { format!("{x:e}") }
}

/// The shortest text that reads back as the same number.
pub fn shortest(x: f64) -> String {
    format!("{x}")
}
