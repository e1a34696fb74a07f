//! Takes calculations; gives every published answer beside the value of this build, as one table with its digest.

use serde_json::{Value, json};

use super::calc::{Calc, Check, Known, sources};
use crate::diag::sha256_hex;
use crate::model::document::record_bytes;

/// Name and version of the schema of [`SelfTest::table`].
pub const SCHEMA: &str = "galipot.selftest/1";

/// Every standing, the best known first.
pub const STANDINGS: [Known; 5] = [Known::Seen, Known::Memory, Known::Practice, Known::Reference, Known::Hand];

/// One answer: what a source prints for one output of a calculation, and what was computed.
#[derive(Debug, Clone)]
pub struct Row<'a> {
    pub calc: &'a Calc,
    pub check: &'a Check,
    pub symbol: &'static str,
    /// Unit as the calculation states it: "=" for that of its readings.
    pub unit: &'static str,
    /// NaN when the check names no value.
    pub expected: f64,
    /// The value of this build, or in words why there is none.
    pub computed: Result<f64, String>,
    /// Largest deviation that counts as met, in the unit of the output.
    pub allowed: f64,
}

impl Row<'_> {
    pub fn met(&self) -> bool {
        self.computed.as_ref().is_ok_and(|v| (v - self.expected).abs() <= self.allowed)
    }

    /// Title of the document behind the check.
    pub fn source(&self) -> &'static str {
        sources::find(self.check.source).map_or(self.check.source, |s| s.text)
    }
}

/// The answers of some calculations, in their order.
#[derive(Debug, Clone)]
pub struct SelfTest<'a> {
    pub calcs: Vec<&'a Calc>,
    pub rows: Vec<Row<'a>>,
}

/// Computes every check of every calculation. Nothing is left out: a check that names no value, or a value that the
/// calculation does not give, is a miss, and so is a calculation without a check.
pub fn run<'a>(calcs: &[&'a Calc]) -> SelfTest<'a> {
    let mut rows = Vec::new();
    for &calc in calcs {
        for check in calc.checks {
            answers(calc, check, &mut rows);
        }
        if calc.checks.is_empty() {
            rows.push(lacking(calc, &NO_CHECK, "the calculation has no check"));
        }
    }
    SelfTest { calcs: calcs.to_vec(), rows }
}

static NO_CHECK: Check =
    Check { inputs: &[], expected: &[], relative: 0.0, absolute: 0.0, source: "house", known: Known::Practice };

fn lacking<'a>(calc: &'a Calc, check: &'a Check, why: &str) -> Row<'a> {
    Row { calc, check, symbol: "", unit: "", expected: f64::NAN, computed: Err(why.into()), allowed: 0.0 }
}

fn answers<'a>(calc: &'a Calc, check: &'a Check, rows: &mut Vec<Row<'a>>) {
    if check.expected.is_empty() {
        rows.push(lacking(calc, check, "the check names no value"));
    }
    let got = calc.evaluate(check.inputs);
    for (symbol, expected) in check.expected {
        let computed = match &got {
            Ok(values) => {
                let value = values.iter().find(|v| v.0 == *symbol).map(|v| v.1);
                value.ok_or_else(|| format!("{} gives no {symbol}", calc.id))
            }
            Err(why) => Err(why.clone()),
        };
        let unit = calc.outputs.iter().find(|o| o.symbol == *symbol).map_or("", |o| o.unit);
        let allowed = check.absolute + check.relative * expected.abs();
        rows.push(Row { calc, check, symbol, unit, expected: *expected, computed, allowed });
    }
}

impl SelfTest<'_> {
    /// Answers met and missed.
    pub fn counts(&self) -> (usize, usize) {
        count(self.rows.iter())
    }

    /// Answers met and missed of one standing.
    pub fn of_standing(&self, known: Known) -> (usize, usize) {
        count(self.rows.iter().filter(|r| r.check.known == known))
    }

    /// Answers met and missed of one calculation.
    pub fn of_calc(&self, id: &str) -> (usize, usize) {
        count(self.rows.iter().filter(|r| r.calc.id == id))
    }

    /// Keys of the documents that the checks rest on, in order.
    pub fn sources(&self) -> Vec<&'static str> {
        let mut keys: Vec<&'static str> = self.rows.iter().map(|r| r.check.source).collect();
        keys.sort_unstable();
        keys.dedup();
        keys
    }

    /// The whole table. It holds nothing of the machine, the day or the folder.
    pub fn table(&self) -> Value {
        let (met, missed) = self.counts();
        let standings = STANDINGS.iter().map(|k| {
            let (met, missed) = self.of_standing(*k);
            json!({"standing": k.word(), "met": met, "missed": missed})
        });
        let document = |key: &&str| {
            let known = sources::find(key);
            json!({"key": key, "text": known.map(|s| s.text), "standing": known.map(|s| s.standing)})
        };
        json!({
            "schema": SCHEMA,
            "tool": {"name": "galipot", "version": env!("CARGO_PKG_VERSION")},
            "calculations": self.calcs.len(),
            "answers": self.rows.len(),
            "met": met,
            "missed": missed,
            "by_standing": standings.collect::<Vec<_>>(),
            "checks": self.rows.iter().map(entry).collect::<Vec<_>>(),
            "sources": self.sources().iter().map(document).collect::<Vec<_>>(),
        })
    }

    /// The bytes that the digest covers: [`Self::table`] as it is written.
    pub fn bytes(&self) -> Vec<u8> {
        record_bytes(&self.table())
    }

    /// SHA-256 of [`Self::bytes`].
    pub fn digest(&self) -> String {
        sha256_hex(&self.bytes())
    }
}

fn count<'a, 'b: 'a>(rows: impl Iterator<Item = &'a Row<'b>>) -> (usize, usize) {
    rows.fold((0, 0), |(met, missed), r| if r.met() { (met + 1, missed) } else { (met, missed + 1) })
}

fn entry(r: &Row) -> Value {
    let inputs: Vec<Value> = r.check.inputs.iter().map(|(s, v)| json!([s, v])).collect();
    json!({
        "calc": r.calc.id,
        "inputs": inputs,
        "output": r.symbol,
        "unit": r.unit,
        "expected": r.expected,
        "computed": r.computed.as_ref().ok(),
        "tolerance": r.allowed,
        "met": r.met(),
        "reason": r.computed.as_ref().err(),
        "source": r.check.source,
        "standing": r.check.known.word(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::calc::{guard_band, registry};
    use super::*;

    const RIGHT: Check = guard_band::CALC.checks[0];
    static WRONG: Calc = Calc {
        checks: &[
            RIGHT,
            Check { expected: &[("g", 0.21)], ..RIGHT },
            Check { expected: &[("other", 0.2)], ..RIGHT },
            Check { expected: &[], ..RIGHT },
            Check { inputs: &[("f", 1.64)], ..RIGHT },
        ],
        ..guard_band::CALC
    };
    static BARE: Calc = Calc { id: "bare", checks: &[], ..guard_band::CALC };

    #[test]
    fn every_answer_of_this_build_is_met() {
        let t = run(registry());
        let misses: Vec<String> = t.rows.iter().filter(|r| !r.met()).map(|r| format!("{r:?}")).collect();
        assert!(misses.is_empty(), "{misses:#?}");
        assert!(t.counts().0 > 100);
        assert_eq!(t.digest(), run(registry()).digest());
    }

    #[test]
    fn planted_wrong_answers_are_misses_with_their_reason() {
        let t = run(&[&WRONG, &BARE]);
        assert_eq!(t.counts(), (1, 5));
        assert_eq!((t.of_calc("guard_band"), t.of_calc("bare")), ((1, 4), (0, 1)));
        let why = |i: usize| t.rows[i].computed.clone().unwrap_err();
        assert!((t.rows[1].computed.clone().unwrap() - 0.2).abs() < 0.01 && !t.rows[1].met());
        assert!(why(2).contains("no other") && why(3).contains("no value") && why(5).contains("no check"));
        assert!(why(4).contains("needs u"), "{}", why(4));
        let doc = t.table();
        assert_eq!((doc["met"].as_u64(), doc["missed"].as_u64()), (Some(1), Some(5)));
        assert_ne!(t.digest(), run(&[&guard_band::CALC]).digest());
    }

    #[test]
    fn standings_add_up_and_every_one_is_listed() {
        let t = run(registry());
        let sum: usize = STANDINGS.iter().map(|k| t.of_standing(*k).0 + t.of_standing(*k).1).sum();
        assert_eq!(sum, t.rows.len());
        let sum: usize = registry().iter().map(|c| t.of_calc(c.id).0).sum();
        assert_eq!(sum, t.counts().0);
    }
}
