//! Takes site, record and written sections; gives who may read each input: its own kind, and what the dossier rests on.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::diag::SourceFile;
use crate::model::bundle::Section;
use crate::model::governance::{Org, Person};
use crate::model::site::Site;

/// Reader of every input file in the order of [`Site::inputs`]: `all`, `customer`, `internal` or `lab`.
///
/// A copy holds an input when its kind is for that reader, this dossier cites a line of it, and it names neither another
/// customer nor an assembly of one. What names a conductor pair of this assembly is not for a laboratory.
pub fn readers<'a>(
    site: &'a Site,
    assembly: &str,
    record: &Value,
    sections: &[Section],
) -> Vec<(&'a SourceFile, String)> {
    let mut cited = BTreeSet::new();
    texts(record, &mut cited);
    let written: Vec<&str> = sections.iter().map(|s| s.markdown.as_str()).collect();
    let strangers = strangers(site, assembly);
    let pairs = pairs(site, assembly);
    site.inputs()
        .map(|(_, f)| {
            let kind = of_kind(&f.path, &f.bytes);
            let rests = f.path.starts_with("templates/") || {
                let line = format!("{}:", f.path);
                cited.iter().any(|t| *t == f.path || t.starts_with(&line))
                    || written.iter().any(|t| t.contains(&format!("`{line}")))
            };
            let text = String::from_utf8_lossy(&f.bytes);
            let names = |words: &[String]| words.iter().any(|w| has_word(&text, w));
            let reader = match () {
                () if !rests || names(&strangers) => "internal".to_owned(),
                () if kind == "all" && names(&pairs) => "customer".to_owned(),
                () => kind,
            };
            (f, reader)
        })
        .collect()
}

/// Who may read an input of this kind: what a laboratory needs for its own work goes to everyone, money and people stay
/// in the house, a chapter goes to whom its first lines name, the rest is the customer's.
fn of_kind(path: &str, bytes: &[u8]) -> String {
    match path.split('/').next().unwrap_or_default() {
        "cost" | "people" | "plan" | "quotes" => "internal".into(),
        "criteria" | "labs" | "protocols" | "runs" | "vehicles" => "all".into(),
        "templates" => {
            let text = String::from_utf8_lossy(bytes);
            let head = text.lines().take_while(|l| l.trim_end() != "---");
            let named = head.filter_map(|l| l.strip_prefix("audience:")).last().map(str::trim);
            named.unwrap_or("customer").to_string()
        }
        _ => "customer".into(),
    }
}

/// Every text of the record but those that list all inputs.
fn texts<'a>(v: &'a Value, out: &mut BTreeSet<&'a str>) {
    match v {
        Value::String(s) => drop(out.insert(s)),
        Value::Array(list) => list.iter().for_each(|x| texts(x, out)),
        Value::Object(map) => map.iter().filter(|(k, _)| *k != "manifest").for_each(|(_, x)| texts(x, out)),
        _ => {}
    }
}

/// What no copy for this customer names: other customers, their people, and their assemblies with product, document and pairs.
pub fn strangers(site: &Site, assembly: &str) -> Vec<String> {
    let own = site.assembly(assembly).map_or("", |f| f.assembly.customer.text.as_str());
    let mut out: Vec<String> = Vec::new();
    for c in site.customers.iter().filter(|c| c.id.text != own) {
        out.extend([c.id.text.clone(), c.name.text.clone()]);
    }
    for p in site.people.iter().filter(|p| p.org == Org::Customer && !of_customer(site, p, own)) {
        out.extend([p.id.text.clone(), p.name.text.clone()]);
    }
    for f in site.assemblies.iter().filter(|f| f.assembly.customer.text != own) {
        let a = &f.assembly;
        out.extend([&a.id, &a.product, &a.document, &a.drawing].map(|t| t.text.clone()));
        out.extend(f.pairs.iter().map(|p| p.id.text.clone()));
    }
    // What this customer's own product shares with another is no secret.
    if let Some(f) = site.assembly(assembly) {
        let a = &f.assembly;
        out.retain(|w| ![&a.product, &a.document, &a.drawing].iter().any(|t| t.text == *w));
        out.retain(|w| !f.pairs.iter().any(|p| p.id.text == *w));
    }
    out.retain(|w| !w.is_empty());
    out
}

/// Conductor pairs of the assembly, by id.
fn pairs(site: &Site, assembly: &str) -> Vec<String> {
    site.assembly(assembly).map_or(Vec::new(), |f| f.pairs.iter().map(|p| p.id.text.clone()).collect())
}

/// What a copy for this reader should not tell and yet may stand in free text, as (word, what it is).
pub fn sensitive(site: &Site, assembly: &str, reader: &str) -> Vec<(String, &'static str)> {
    let others = site.assemblies.iter().map(|f| &f.assembly.id.text).filter(|id| *id != assembly);
    let mut out: Vec<(String, &str)> = others.map(|id| (id.clone(), "another assembly")).collect();
    out.extend(strangers(site, assembly).into_iter().map(|w| (w, "of another customer")));
    if let (Some(f), "lab") = (site.assembly(assembly), reader) {
        let a = &f.assembly;
        out.extend(site.conditions.iter().map(|c| (c.id.text.clone(), "a condition")));
        out.extend(f.pairs.iter().map(|p| (p.id.text.clone(), "a conductor pair")));
        out.extend([&a.product, &a.drawing].map(|t| (t.text.clone(), "the product")));
        out.extend([&a.process, &a.environment].map(|t| (t.text.clone(), "where the product is made or used")));
        out.extend(site.customers.iter().flat_map(|c| [&c.id, &c.name]).map(|t| (t.text.clone(), "a customer")));
    }
    out.retain(|w| !w.0.is_empty());
    out.sort();
    out.dedup_by(|a, b| a.0 == b.0);
    out
}

/// Every one of these words that a text holds: the word with what it is, the first line that holds it, counted from 1, and
/// how many lines do.
pub fn mentions<'a>(
    text: &str,
    words: &'a [(String, &'static str)],
) -> Vec<(&'a (String, &'static str), usize, usize)> {
    let of = |w: &'a (String, &'static str)| {
        let mut lines = text.lines().enumerate().filter(|(_, l)| has_word(l, &w.0));
        lines.next().map(|(i, _)| (w, i + 1, 1 + lines.count()))
    };
    words.iter().filter_map(of).collect()
}

/// Whether a person of the customer's side speaks for this customer: the only one, or the one that is named.
fn of_customer(site: &Site, p: &Person, customer: &str) -> bool {
    p.customer.as_ref().map_or(site.customers.len() < 2, |c| c.text == customer)
}

/// People who may sign for this assembly: those with some authority, and of customers only the assembly's own.
pub fn signers<'a>(site: &'a Site, assembly: &str) -> Vec<&'a Person> {
    concerned(site, assembly).filter(|p| !p.authority.is_empty()).collect()
}

/// People who may appear in a dossier of this assembly: all but those of other customers.
pub fn concerned<'a>(site: &'a Site, assembly: &str) -> impl Iterator<Item = &'a Person> {
    let own = site.assembly(assembly).map_or("", |f| f.assembly.customer.text.as_str()).to_owned();
    site.people.iter().filter(move |p| p.org != Org::Customer || of_customer(site, p, &own))
}

/// Whether a text holds a word, not as part of a longer one.
pub fn has_word(text: &str, word: &str) -> bool {
    let inside = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    text.match_indices(word)
        .any(|(at, w)| !inside(text[..at].chars().next_back()) && !inside(text[at + w.len()..].chars().next()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_whole() {
        for (text, word) in [("of OV-1.", "OV-1"), ("OV-1", "OV-1"), ("xOV-1 OV-1", "OV-1"), ("\u{e9} CO", "CO")] {
            assert!(has_word(text, word), "{text}");
        }
        for (text, word) in [("OV-12", "OV-1"), ("COV-1", "OV-1"), ("\u{e9}CO", "CO"), ("", "CO")] {
            assert!(!has_word(text, word), "{text}");
        }
    }
}
