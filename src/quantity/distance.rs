//! Takes a value, its limit and the margin between them; gives how far they lie apart, as a power of ten.

/// How far a value lies from its limit, in powers of ten, so that margins of different kinds can be ranked: a logarithm
/// as it is, any other number by the factor between value and limit. Positive on the side that meets the limit; NaN for
/// what has no margin.
///
/// Grades, counts and temperatures have no factor. One that stands exactly at its limit is at distance 0, one beyond it
/// at a negative distance; one that has room left is NaN, because its room compares with nothing. A count that may not
/// happen at all and did not (0 against 0) is NaN too: it did not happen, and that is all.
pub fn distance(value: f64, limit: f64, margin: f64, unit: &str) -> f64 {
    if !margin.is_finite() {
        return f64::NAN;
    }
    if is_log(unit) {
        return margin;
    }
    let beyond = |m: f64| if limit == 0.0 { m } else { m / limit.abs() };
    if matches!(unit, "" | "1" | "degC" | "°C") || limit == 0.0 {
        return match margin {
            0.0 if limit != 0.0 => 0.0,
            m if m < 0.0 => beyond(m),
            _ => f64::NAN,
        };
    }
    // Of value and limit, the guarded value is the limit moved by the margin.
    let (high, low) = ((value.abs()).max(limit.abs()), (value.abs()).min(limit.abs()));
    let size = if value > 0.0 && limit > 0.0 && low > 0.0 { libm::log10(high / low) } else { beyond(margin).abs() };
    if margin < 0.0 { -size } else { size }
}

/// Whether a unit is logarithmic, so that its differences are decades.
pub fn is_log(unit: &str) -> bool {
    unit.starts_with("log10") || unit.starts_with("lg") || unit.starts_with("dec")
}

#[cfg(test)]
mod tests {
    use super::distance;

    #[test]
    fn a_margin_of_nothing_is_never_left_out() {
        assert_eq!(distance(1.0, 1.0, 0.0, ""), 0.0, "a grade at its limit");
        assert_eq!(distance(2.0, 1.0, -1.0, ""), -1.0, "a grade beyond it");
        assert_eq!(distance(1.0, 0.0, -1.0, "1"), -1.0, "a count that may not happen and did");
        assert!(distance(0.0, 0.0, 0.0, "1").is_nan(), "a count that may not happen and did not");
        assert!(distance(0.0, 2.0, 2.0, "").is_nan(), "room in grades compares with nothing");
    }

    #[test]
    fn a_factor_ranks_and_a_difference_does_not() {
        // 3.3 V over 200 um against 25 V/mm has less room than 48 V over 600 um against 100 V/mm in V/mm, not as a factor.
        let (near, far) = (distance(100.0, 80.0, 20.0, "V/mm"), distance(25.0, 16.5, 8.5, "V/mm"));
        assert!(near < far, "{near} {far}");
    }
}
