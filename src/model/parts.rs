//! The record in parts, each for one audience: slices of its text that join to it byte by byte.

/// A run of members of the record for one audience.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Name of its first member.
    pub name: String,
    pub audience: &'static str,
    pub text: String,
}

/// Who may read a member of the record. What a laboratory needs to match the record with its own work is for all; what
/// the customer's product is, and what was judged of it, is for the customer.
pub fn audience_of(member: &str) -> &'static str {
    match member {
        "schema" | "tool" | "document" | "as_of" | "run_count" | "runs" | "criteria" | "manifest" | "built_in"
        | "templates" => "all",
        _ => "customer",
    }
}

/// The parts of a record as it is written. A member begins with a line of two spaces and a quotation mark; whatever has
/// no such line is one part for the customer.
pub fn parts(record: &str) -> Vec<Part> {
    let mut out: Vec<Part> = Vec::new();
    let mut before = String::new();
    for line in record.split_inclusive('\n') {
        let member = line.strip_prefix("  \"").and_then(|l| l.split_once('"')).map(|l| l.0);
        match (member, out.last_mut()) {
            (Some(name), Some(last)) if last.audience == audience_of(name) => last.text.push_str(line),
            (Some(name), _) => out.push(Part {
                name: name.to_string(),
                audience: audience_of(name),
                text: std::mem::take(&mut before) + line,
            }),
            (None, Some(last)) => last.text.push_str(line),
            (None, None) => before.push_str(line),
        }
    }
    if out.is_empty() && !before.is_empty() {
        out.push(Part { name: "record".into(), audience: "customer", text: before });
    }
    out
}

/// Name of a part: its number and the name of its first member.
pub fn file_name(number: usize, name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
    format!("{number:03}-{plain}")
}

/// Label of the member that stands for a part that is left out.
pub fn label(file_name: &str) -> String {
    format!("withheld {file_name}")
}

/// The text that stands for a part that is left out: one member more, with its audience and its SHA-256.
pub fn placeholder(file_name: &str, audience: &str, sha256: &str, first: bool, last: bool) -> String {
    format!(
        "{}  \"{}\": {{\"audience\": \"{audience}\", \"sha256\": \"{sha256}\"}}{}\n",
        if first { "{\n" } else { "" },
        label(file_name),
        if last { "\n}" } else { "," }
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_join_to_the_record_and_stand_for_one_audience_each() {
        let record = "{\n  \"schema\": \"s\",\n  \"runs\": [\n    {\n      \"id\": \"R\"\n    }\n  ],\n  \"route\": \"leave\",\n  \
                      \"claims\": [],\n  \"criteria\": []\n}\n";
        let all = parts(record);
        let seen: Vec<(&str, &str)> = all.iter().map(|p| (p.name.as_str(), p.audience)).collect();
        assert_eq!(seen, [("schema", "all"), ("route", "customer"), ("criteria", "all")]);
        assert_eq!(all.iter().map(|p| p.text.as_str()).collect::<String>(), record);
        for odd in ["", "{}\n", "{\"route\": 1}", "{\n \"a\": 1\n}\n", "  \"", "no record"] {
            assert_eq!(parts(odd).iter().map(|p| p.text.as_str()).collect::<String>(), odd);
        }
    }

    /// Whichever part is left out, what remains is JSON.
    #[test]
    fn a_record_without_some_of_its_parts_is_json() {
        let record = "{\n  \"schema\": 1,\n  \"route\": 2,\n  \"runs\": 3\n}\n";
        let all = parts(record);
        for shown in 0..8_u32 {
            let text: String = all
                .iter()
                .enumerate()
                .map(|(i, p)| match shown >> i & 1 {
                    1 => p.text.clone(),
                    _ => placeholder(&file_name(i, &p.name), p.audience, "0", i == 0, i + 1 == all.len()),
                })
                .collect();
            let v: serde_json::Value = serde_json::from_str(&text).expect("JSON");
            assert_eq!(v.as_object().map(serde_json::Map::len), Some(3), "{text}");
        }
    }
}
