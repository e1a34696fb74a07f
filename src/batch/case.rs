//! Takes the inputs of one case; gives its numbers, lists and files, or says which one is missing or wrong.

use serde_json::{Map, Value};

/// The inputs of one case.
pub struct Case<'a> {
    pub inputs: &'a Value,
    /// Bytes of a file that the case names.
    pub files: &'a (dyn Fn(&str) -> Result<Vec<u8>, String> + Sync),
}

/// Results by field name, in order.
#[derive(Debug, Default)]
pub struct Fields(pub Map<String, Value>);

impl Fields {
    /// Adds a number; what is not finite is written in words, as JSON has none.
    pub fn put(mut self, name: &str, x: f64) -> Self {
        self.0.insert(name.to_string(), number(x));
        self
    }

    /// Adds a whole number.
    pub fn count(mut self, name: &str, n: i64) -> Self {
        self.0.insert(name.to_string(), Value::from(n));
        self
    }

    /// Adds any value.
    pub fn add(mut self, name: &str, v: impl Into<Value>) -> Self {
        self.0.insert(name.to_string(), v.into());
        self
    }
}

/// A number as JSON; "nan", "inf" and "-inf" in words.
pub fn number(x: f64) -> Value {
    match x {
        _ if x.is_nan() => Value::from("nan"),
        _ if x.is_infinite() => Value::from(if x > 0.0 { "inf" } else { "-inf" }),
        _ => Value::from(x),
    }
}

/// A JSON number, or the words "nan", "inf", "-inf".
fn read(v: &Value) -> Option<f64> {
    match v.as_str() {
        Some("nan") => Some(f64::NAN),
        Some("inf") => Some(f64::INFINITY),
        Some("-inf") => Some(f64::NEG_INFINITY),
        Some(_) => None,
        None => v.as_f64(),
    }
}

impl<'a> Case<'a> {
    /// The value of a name, none when it is missing or null.
    pub fn value(&self, name: &str) -> Option<&'a Value> {
        self.inputs.get(name).filter(|v| !v.is_null())
    }

    /// A finite number.
    ///
    /// # Errors
    /// Missing, or not a finite number.
    pub fn one(&self, name: &str) -> Result<f64, String> {
        let v = self.value(name).ok_or_else(|| format!("no input {name}"))?;
        v.as_f64().filter(|x| x.is_finite()).ok_or_else(|| format!("{name} = {v} is not a finite number"))
    }

    /// A finite number within `low` to `high`, both included.
    ///
    /// # Errors
    /// Missing, not a number, or outside.
    pub fn within(&self, name: &str, low: f64, high: f64) -> Result<f64, String> {
        let x = self.one(name)?;
        if (low..=high).contains(&x) { Ok(x) } else { Err(format!("{name} = {x} is outside {low} to {high}")) }
    }

    /// A share strictly between 0 and 1.
    ///
    /// # Errors
    /// Missing, not a number, or outside.
    pub fn share(&self, name: &str) -> Result<f64, String> {
        let x = self.one(name)?;
        if x > 0.0 && x < 1.0 { Ok(x) } else { Err(format!("{name} = {x} is not between 0 and 1")) }
    }

    /// A whole number within `low` to `high`.
    ///
    /// # Errors
    /// Missing, not whole, or outside.
    pub fn whole(&self, name: &str, low: f64, high: f64) -> Result<f64, String> {
        let x = self.within(name, low, high)?;
        if x.fract() == 0.0 { Ok(x) } else { Err(format!("{name} = {x} is not a whole number")) }
    }

    /// A text.
    ///
    /// # Errors
    /// Missing, or no text.
    pub fn text(&self, name: &str) -> Result<&'a str, String> {
        let v = self.value(name).ok_or_else(|| format!("no input {name}"))?;
        v.as_str().ok_or_else(|| format!("{name} = {v} is not a text"))
    }

    /// A list of finite numbers; empty only where `least` is 0.
    ///
    /// # Errors
    /// Missing, no list, shorter than `least`, or with an entry that is not a finite number.
    pub fn list(&self, name: &str, least: usize) -> Result<Vec<f64>, String> {
        let v = self.value(name).ok_or_else(|| format!("no input {name}"))?;
        let items = v.as_array().ok_or_else(|| format!("{name} is not a list"))?;
        if items.len() < least {
            return Err(format!("{name} has {} values, at least {least} are needed", items.len()));
        }
        let one = |(i, v): (usize, &Value)| {
            read(v).filter(|x| x.is_finite()).ok_or_else(|| format!("{name}[{i}] = {v} is not a finite number"))
        };
        items.iter().enumerate().map(one).collect()
    }

    /// The bytes of the file that an input names.
    ///
    /// # Errors
    /// No such input, or no such file.
    pub fn file(&self, name: &str) -> Result<Vec<u8>, String> {
        (self.files)(self.text(name)?)
    }
}
