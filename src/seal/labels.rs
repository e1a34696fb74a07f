//! Takes the information of a bag; gives that of a copy of it, and what in a copy or a README is not as it must be.

use super::approval::file_names;
use super::bagit::{Files, INFO};
use super::contents::{FORMAT, README};
use super::copy::format_of_copy;
use super::people::Person;
use super::problem::{Problem, problem};
use super::verify::{Report, value};

/// The words of `README.txt` in a bag and in a copy of [`FORMAT`]. Whoever changes them raises the format: the sealed bags
/// of a format hold its words for ever.
pub const OF_COPY: &str = include_str!("../../templates/copy-readme.txt");

/// How to check a bag, with somebody of its own who may approve; once the id and the file are put back, always the same.
pub fn of_bag(people: &[Person]) -> String {
    let approves = |p: &&Person| !p.keys.is_empty() && p.authority.iter().any(|a| a == "approve");
    let id = people.iter().find(approves).map_or("ID", |p| p.id.as_str());
    let file = file_names(1, "approve", id).0;
    let text = include_str!("../../templates/bag-readme.txt");
    text.replace("@@ID@@", id).replace("@@FILE@@", file.trim_start_matches("signatures/"))
}

const OXUM: &str = "Payload-Oxum";

/// Labels and values of a copy in order, without the size of its payload.
pub fn lines(whole: &[(String, String)], reader: &str, digest: &str) -> Vec<(&'static str, String)> {
    let of = |label: &'static str| (label, value(whole, label));
    vec![
        of("Source-Organization"),
        of("External-Identifier"),
        of("Bagging-Date"),
        of("Bag-Software-Agent"),
        ("Galipot-Format", format_of_copy(&value(whole, "Galipot-Format"))),
        ("Galipot-Copy-For", reader.to_string()),
        of("Galipot-Revision"),
        ("Galipot-Whole-Digest", digest.to_string()),
    ]
}

/// Whether a copy says of itself what follows from the whole, and nothing else.
pub fn of_copy(own: &[(String, String)], report: &Report, reader: &str, problems: &mut Vec<Problem>) {
    let mut say = |text: String| problems.push(problem("information", INFO, text));
    if !["customer", "lab"].contains(&reader) {
        say(format!("Galipot-Copy-For is \"{reader}\", which is no reader of copies"));
    }
    let wanted = lines(&report.info, reader, &report.digest);
    for (label, right) in &wanted {
        if value(own, label) != *right {
            say(format!("{label} is {}, and {right} of the whole", value(own, label)));
        }
    }
    for (label, _) in own.iter().filter(|o| o.0 != OXUM && !wanted.iter().any(|w| w.0 == o.0)) {
        say(format!("{label} is no label of a copy"));
    }
}

/// Whether the information states the size of the payload.
pub fn size(files: &Files, info: &[(String, String)], problems: &mut Vec<Problem>) {
    let payload = files.iter().filter(|f| f.0.starts_with("data/"));
    let (bytes, n) = payload.fold((0, 0), |(b, n), f| (b + f.1.len(), n + 1));
    let stated = value(info, OXUM);
    if stated != format!("{bytes}.{n}") {
        problems.push(problem("information", INFO, format!("{OXUM} is {stated}, and the payload is {bytes}.{n}")));
    }
}

/// Whether the README tells the reader what every bag or copy of its format tells.
pub fn readme(files: &Files, report: &Report, people: &[Person], problems: &mut Vec<Problem>) {
    let words = if report.copy_for.is_some() { OF_COPY.to_string() } else { of_bag(people) };
    if report.format == FORMAT && files.get(README).is_some_and(|b| b != words.as_bytes()) {
        problems.push(problem("information", README, "its words are not those of this format"));
    }
}
