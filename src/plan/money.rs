//! Takes numbers and calculations; gives numbers with their working, each also a sum of products of what is uncertain.

use super::poly::Poly;
use crate::compute::calc::Calc;
use crate::compute::calc::expr::{self, Expr};
use crate::compute::describe::describe;
use crate::compute::work::work;
use crate::model::economy::{Item, Uncertain};
use crate::model::planning::Amount;
use crate::model::workings::{Origin, Workings};
use crate::quantity::Quantity;
use std::collections::BTreeMap;

/// A number of the plan: its value, where it comes from, and how it moves with what is uncertain.
#[derive(Debug, Clone)]
pub struct Money {
    pub value: f64,
    pub poly: Poly,
    pub origin: Origin,
}

impl Money {
    /// A number that the site states.
    pub fn stated(q: &Quantity) -> Self {
        Self { value: q.si, poly: Poly::constant(q.si), origin: Origin::Place(q.at) }
    }
    /// A number that the method brings along.
    pub fn fixed(value: f64, why: &'static str) -> Self {
        Self { value, poly: Poly::constant(value), origin: Origin::Constant(why) }
    }
    /// A number that the site may leave out, which is then 0.
    pub fn or_none(q: &Option<Quantity>) -> Self {
        q.as_ref().map_or_else(|| Self::fixed(0.0, "not stated: none"), Self::stated)
    }
    /// A number that is counted from the site.
    pub fn counted(value: f64, like: &Quantity) -> Self {
        Self { value, poly: Poly::constant(value), origin: Origin::Place(like.at) }
    }
    /// For pages: the value and the working that gave it.
    ///
    /// # Panics
    /// If it was not computed; what reaches a page is.
    pub fn amount(&self) -> Amount {
        let Origin::Working(working) = self.origin else { panic!("{} was not computed", self.value) };
        Amount { value: self.value, working }
    }
}

/// Inputs of a calculation by symbol.
pub type Inputs<'a> = Vec<(&'static str, &'a Money)>;

/// The workings of a plan, and what is uncertain in it.
#[derive(Debug)]
pub struct Ledger {
    pub workings: Workings,
    pub currency: String,
    /// Parameter, whether its numbers are factors; in the order of the variables.
    variables: Vec<(String, bool)>,
    /// Value of every variable as the site states it: that of its parameter, or 1 for a factor.
    pub base: Vec<f64>,
    /// Subjects of what does not follow an uncertain number, because its formula is no sum of products.
    pub still: Vec<String>,
    /// Workings that several rows share, by what they are.
    shared: BTreeMap<String, Vec<Money>>,
}

impl Ledger {
    /// `uncertain` gives the variables, in order.
    pub fn new(currency: &str, uncertain: &[&Uncertain]) -> Self {
        let variables: Vec<(String, bool)> =
            uncertain.iter().map(|u| (u.parameter.text.clone(), u.relative == Some(true))).collect();
        Self {
            workings: Workings { describe: Some(describe), ..Workings::default() },
            currency: currency.to_string(),
            base: vec![f64::NAN; variables.len()],
            variables,
            still: Vec::new(),
            shared: BTreeMap::new(),
        }
    }

    /// The number under the name of a parameter: a variable, when it is uncertain.
    pub fn named(&mut self, parameter: &str, m: Money) -> Money {
        let Some(i) = self.variables.iter().position(|v| v.0 == parameter) else { return m };
        let variable = Poly::variable(i as u16);
        let factor = self.variables[i].1;
        self.base[i] = if factor { 1.0 } else { m.value };
        let poly = if factor { variable.mul(&m.poly) } else { variable };
        Money { poly, ..m }
    }

    /// Carries out a calculation; gives its results in order.
    ///
    /// # Errors
    /// Why there is no result, in words.
    pub fn work(&mut self, calc: &'static Calc, subject: &str, inputs: &Inputs) -> Result<Vec<Money>, String> {
        let given = inputs.iter().map(|(s, m)| (*s, m.value, m.origin.clone())).collect();
        let done = work(&mut self.workings, calc, subject, inputs.len(), &self.currency, given)
            .map_err(|e| format!("{subject}: {e}"))?;
        let mut known: Vec<(String, Poly)> = inputs.iter().map(|(s, m)| ((*s).to_string(), m.poly.clone())).collect();
        let certain = inputs.iter().all(|(_, m)| m.poly.constant_value().is_some());
        let mut out = Vec::new();
        for (i, value) in done.values.iter().enumerate() {
            let printed = || calc.formula.get(i).filter(|_| calc.closed).and_then(|l| expr::parse(l));
            let poly = if certain { None } else { printed().and_then(|(_, e)| poly(&e, &known)) };
            if !certain && poly.is_none() && !self.still.iter().any(|s| s == subject) {
                self.still.push(subject.to_string());
            }
            let poly = poly.unwrap_or_else(|| Poly::constant(*value));
            known.push((calc.outputs[i].symbol.to_string(), poly.clone()));
            out.push(Money { value: *value, poly, origin: Origin::Working(done.id) });
        }
        Ok(out)
    }

    /// As [`Self::work`], the first result alone.
    ///
    /// # Errors
    /// As there.
    pub fn first(&mut self, calc: &'static Calc, subject: &str, inputs: &Inputs) -> Result<Money, String> {
        self.work(calc, subject, inputs).map(|mut all| all.swap_remove(0))
    }

    /// As [`Self::first`], once for everything with the same subject and the same values.
    ///
    /// # Errors
    /// As there.
    pub fn once(&mut self, calc: &'static Calc, subject: &str, inputs: &Inputs) -> Result<Money, String> {
        self.all_once(calc, subject, inputs).map(|mut all| all.swap_remove(0))
    }

    /// As [`Self::work`], once for everything with the same subject and the same values.
    ///
    /// # Errors
    /// As there.
    pub fn all_once(&mut self, calc: &'static Calc, subject: &str, inputs: &Inputs) -> Result<Vec<Money>, String> {
        let values: Vec<u64> = inputs.iter().map(|(_, m)| m.value.to_bits()).collect();
        let key = format!("{}: {subject}: {values:?}", calc.id);
        if let Some(all) = self.shared.get(&key) {
            return Ok(all.clone());
        }
        let all = self.work(calc, subject, inputs)?;
        self.shared.insert(key, all.clone());
        Ok(all)
    }

    /// Sum of numbers; of one alone, itself when it was computed.
    ///
    /// # Errors
    /// As [`Self::work`].
    pub fn sum(&mut self, subject: &str, parts: &[Money]) -> Result<Money, String> {
        match parts {
            [one] if matches!(one.origin, Origin::Working(_)) => Ok(one.clone()),
            [] => {
                let nothing = Money::fixed(0.0, "nothing is paid");
                self.first(&crate::compute::calc::cost_sum::CALC, subject, &vec![("c", &nothing)])
            }
            _ => {
                let inputs: Inputs = parts.iter().map(|m| ("c", m)).collect();
                self.first(&crate::compute::calc::cost_sum::CALC, subject, &inputs)
            }
        }
    }

    /// Sum of counts a year: boards, panels, loads; of one alone, itself.
    ///
    /// # Errors
    /// As [`Self::work`].
    pub fn count(&mut self, subject: &str, parts: &[Money]) -> Result<Money, String> {
        match parts {
            [one] => Ok(one.clone()),
            _ => {
                self.once(&crate::compute::calc::yearly_count::CALC, subject, &parts.iter().map(|m| ("N", m)).collect())
            }
        }
    }

    /// Sum of items, each its amount times its price.
    ///
    /// # Errors
    /// As [`Self::work`].
    pub fn items(&mut self, subject: &str, items: &[Item]) -> Result<Money, String> {
        let mut parts = Vec::new();
        for item in items {
            parts.push(match &item.amount {
                None => Money::stated(&item.price),
                Some(n) => {
                    let (n, p) = (Money::stated(n), Money::stated(&item.price));
                    let subject = format!("{subject}: {}", item.text);
                    self.first(&crate::compute::calc::cost_item::CALC, &subject, &vec![("n", &n), ("p", &p)])?
                }
            });
        }
        self.sum(subject, &parts)
    }
}

/// A printed formula as a sum of products; none where it is no such sum.
fn poly(e: &Expr, known: &[(String, Poly)]) -> Option<Poly> {
    let of = |e: &Expr| poly(e, known);
    Some(match e {
        Expr::Number(x, _) => Poly::constant(*x),
        Expr::Symbol(s) => known.iter().find(|k| k.0 == *s)?.1.clone(),
        Expr::Minus(a) => of(a)?.scale(-1.0),
        Expr::Binary('+', a, b) => of(a)?.add(&of(b)?),
        Expr::Binary('-', a, b) => of(a)?.sub(&of(b)?),
        Expr::Binary('*', a, b) => of(a)?.mul(&of(b)?),
        Expr::Binary('/', a, b) => of(a)?.scale(1.0 / of(b)?.constant_value()?),
        Expr::Binary(_, a, b) => Poly::constant(libm::pow(of(a)?.constant_value()?, of(b)?.constant_value()?)),
        Expr::Call(f, list) => match (f.as_str(), list.as_slice()) {
            ("sum", [Expr::Symbol(s)]) => {
                known.iter().filter(|k| k.0 == *s).fold(Poly::constant(0.0), |sum, k| sum.add(&k.1))
            }
            _ => return None,
        },
    })
}
