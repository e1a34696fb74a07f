//! Takes the people of a site; gives the tables that approvals are checked by, and reads them back.

use serde_json::{Value, json};

use super::bagit::Files;
use super::problem::{Problem, problem};
use crate::model::Day;

/// Someone who may sign.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    pub id: String,
    pub name: String,
    /// "manufacturer", "customer" or "laboratory".
    pub org: String,
    pub role: String,
    /// prepare, review, approve, accept, waive.
    pub authority: Vec<String>,
    pub from: Day,
    pub to: Day,
    /// Public keys, each as one line of OpenSSH: algorithm, base64.
    pub keys: Vec<String>,
}

/// `people.json` of the payload.
pub fn table(people: &[Person]) -> Vec<u8> {
    let list: Vec<Value> = people
        .iter()
        .map(|p| {
            json!({"id": p.id, "name": p.name, "org": p.org, "role": p.role, "authority": p.authority,
                "valid_from": p.from.to_string(), "valid_to": p.to.to_string(), "keys": p.keys})
        })
        .collect();
    format!("{:#}\n", json!({"schema": "galipot.people/1", "people": list})).into_bytes()
}

/// Reads [`table`] back; the reason in words when it is none.
pub fn read(bytes: &[u8]) -> Result<Vec<Person>, String> {
    let v: Value = serde_json::from_slice(bytes).map_err(|e| e.to_string())?;
    if v["schema"] != "galipot.people/1" {
        return Err("its schema is not galipot.people/1".into());
    }
    let list = v["people"].as_array().ok_or("it has no list of people")?;
    list.iter()
        .map(|p| {
            let text = |k: &str| p[k].as_str().map(str::to_string).ok_or_else(|| format!("a person has no {k}"));
            let texts = |k: &str| -> Result<Vec<String>, String> {
                let of = p[k].as_array().ok_or_else(|| format!("a person has no {k}"))?;
                of.iter().map(|x| x.as_str().map(str::to_string).ok_or_else(|| format!("{k} is no text"))).collect()
            };
            let day = |k: &str| Day::parse(&text(k)?).ok_or_else(|| format!("{k} is no date"));
            Ok(Person {
                id: text("id")?,
                name: text("name")?,
                org: text("org")?,
                role: text("role")?,
                authority: texts("authority")?,
                from: day("valid_from")?,
                to: day("valid_to")?,
                keys: texts("keys")?,
            })
        })
        .collect()
}

/// The table of people in a bag, and the keys of the same people for `ssh-keygen`.
pub const TABLE: &str = "data/people.json";
const SIGNERS: &str = "data/allowed_signers";

/// The people of a bag, held against its `allowed_signers`; what is wrong is a problem, and then there is nobody.
pub fn checked(files: &Files, problems: &mut Vec<Problem>) -> Vec<Person> {
    match files.get(TABLE).ok_or_else(|| "the bag has no table of people".to_string()).and_then(|b| read(b)) {
        Ok(people) => {
            if files.get(SIGNERS).is_none_or(|b| *b != allowed_signers(&people)) {
                problems.push(problem("people", SIGNERS, "it does not hold the keys of data/people.json, in order"));
            }
            people
        }
        Err(e) => {
            problems.push(problem("people", TABLE, e));
            Vec::new()
        }
    }
}

/// `allowed_signers` for `ssh-keygen -Y verify`: who may sign with which key in the namespace of approvals.
pub fn allowed_signers(people: &[Person]) -> Vec<u8> {
    let mut out = String::new();
    for p in people {
        for k in &p.keys {
            out.push_str(&format!("{} namespaces=\"{}\" {k}\n", p.id, super::NAMESPACE));
        }
    }
    out.into_bytes()
}
