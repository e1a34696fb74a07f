//! Takes the unit of readings and the unit of a limit; gives both in one unit, or says why they can't be compared.

use crate::model::evidence::Run;
use crate::model::governance::{Criterion, Guard};
use crate::model::workings::Origin;
use crate::quantity::{Dimension, Quantity, Unit};

/// A converted number without the dust of conversion in its last bits: 14 significant digits.
pub fn settle(x: f64) -> f64 {
    format!("{x:.13e}").parse().unwrap_or(x)
}

/// How readings become comparable with a limit.
#[derive(Debug, Clone)]
pub struct Scale {
    from: Unit,
    to: Unit,
    /// Resistances are compared as decimal logarithms.
    pub log: bool,
}

impl Scale {
    /// From readings in `readings` to the unit of a criterion.
    ///
    /// # Errors
    /// The dimensions, in words.
    pub fn new(readings: &str, c: &Criterion) -> Result<Self, String> {
        let from = Unit::parse(readings).map_err(|_| format!("readings are in the unknown unit {readings}"))?;
        let log = matches!(from.text(), "log10 ohm" | "lg ohm");
        let fits = |q: &Quantity| q.dimension() == from.dimension() || (log && q.dimension() == Dimension::RESISTANCE);
        for q in [Some(&c.value), c.upper.as_ref()].into_iter().flatten() {
            if !fits(q) {
                return Err(format!(
                    "the limit {} is {}, and readings are {}",
                    q.written,
                    q.dimension().name(),
                    from.dimension().name()
                ));
            }
        }
        let to = if from.dimension() == Dimension::DECADES { from.clone() } else { c.value.unit.clone() };
        Ok(Self { from, to, log })
    }

    /// The unit in which everything is compared.
    pub fn unit(&self) -> &str {
        self.to.text()
    }

    /// A reading in that unit.
    pub fn reading(&self, x: f64) -> f64 {
        if self.from.text() == self.to.text() { x } else { settle(self.to.from_si(self.from.to_si(x))) }
    }

    /// A limit in that unit.
    pub fn limit(&self, q: &Quantity) -> f64 {
        if self.log && q.dimension() == Dimension::RESISTANCE {
            return libm::log10(q.si);
        }
        settle(self.to.from_si(q.si))
    }

    /// An uncertainty in that unit, for a reading near `value`. None when its dimension does not fit.
    pub fn uncertainty(&self, q: &Quantity, value: f64) -> Option<f64> {
        let step = |u: &Unit| u.to_si(1.0) - u.to_si(0.0);
        if q.dimension() == self.to.dimension() {
            return Some((q.number() * step(&q.unit) / step(&self.to)).abs());
        }
        if q.dimension() == Dimension::NONE && q.unit.text() == "%" {
            // A relative uncertainty.
            let share = q.si.abs();
            return match self.log {
                true if share < 1.0 => Some(-libm::log10(1.0 - share)),
                true => None,
                false => Some(share * value.abs()),
            };
        }
        if q.dimension() == Dimension::DECADES {
            // Decades of a value that is no logarithm: the wider side of the two.
            return Some(value.abs() * (libm::pow(10.0, q.si.abs()) - 1.0));
        }
        None
    }
}

/// Guard factor, standard uncertainty and their places: what a criterion's rule makes of a run's statement.
///
/// # Errors
/// The run states no uncertainty, or one that does not fit the readings.
pub fn guard(
    run: &Run,
    c: &Criterion,
    scale: &Scale,
    value: f64,
) -> Result<Option<(f64, f64, Origin, Origin)>, String> {
    let factor = match c.guard_rule {
        Guard::None => return Ok(None),
        Guard::OneSided => 1.64,
        Guard::Expanded => 2.0,
    };
    let constant = match c.guard_rule {
        Guard::OneSided => "one-sided guard band of 95 percent",
        _ => "expanded uncertainty, k = 2",
    };
    let (stated, over) = match (&run.standard_uncertainty, &run.expanded_uncertainty, c.guard_rule) {
        (Some(u), _, Guard::OneSided) | (Some(u), None, _) => (u, 1.0),
        (_, Some(u), _) => (u, 2.0),
        (None, None, _) => return Err("no measurement uncertainty stated".into()),
    };
    match scale.uncertainty(stated, value) {
        Some(u) if u.is_finite() => Ok(Some((factor, u / over, Origin::Constant(constant), Origin::Place(stated.at)))),
        _ => Err(format!(
            "the measurement uncertainty {} is {}, which does not fit the readings",
            stated.written,
            stated.dimension().name()
        )),
    }
}
