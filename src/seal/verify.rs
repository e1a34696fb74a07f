//! Takes the files of a bag; gives all that is wrong with it, and what its approvals are worth.

use std::collections::BTreeMap;

use serde_json::Value;

use super::approval::{About, Approval, approvals};
use super::bagit::{DECLARATION, Files, INFO, MANIFEST, TAG_MANIFEST, read_info, read_manifest};
use super::contents::{self, AUDIENCES, Previous, README};
use super::copy::{self, PREVIOUS, WHOLE, audience_of, forms_of, joined, reads, sections};
use super::labels;
use super::paths::folded;
use super::people;
use super::problem::{Problem, problem};
use crate::diag::sha256_hex;
use crate::model::Day;
use crate::model::bundle::inputs_and_record;

/// What a bag is and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Report {
    pub document: String,
    pub revision: String,
    /// Content digest; of the whole bag, when this is a copy.
    pub digest: String,
    /// Reader of a copy; none for a whole bag.
    pub copy_for: Option<String>,
    /// Route of the verdict; empty when the reader of a copy may not see it.
    pub verdict: String,
    pub conditions: usize,
    /// The information states the number of conditions, as it did in earlier formats.
    pub conditions_stated: bool,
    pub as_of: String,
    pub tool: String,
    /// The format of the whole bag.
    pub format: String,
    pub previous: Option<Previous>,
    /// Digest of inputs and record, as stated.
    pub inputs_and_record: String,
    pub problems: Vec<Problem>,
    pub approvals: Vec<Approval>,
    /// Approvals are not for the reader of this copy.
    pub approvals_withheld: bool,
    /// Labels and values of the whole bag.
    pub info: Vec<(String, String)>,
    /// Digest of the record.
    pub record: String,
    /// Digest of the record of the revision before, when the bag holds it.
    pub previous_record: Option<String>,
    /// Files that a copy leaves out: path, digest.
    pub withheld: Vec<(String, String)>,
}

impl Report {
    pub fn intact(&self) -> bool {
        self.problems.is_empty()
    }
}

/// Checks a bag. `found` is what the reader of the folder met that is no file, as (path, words).
pub fn verify(files: &Files, found: &[(String, String)]) -> Report {
    let mut problems: Vec<Problem> = found.iter().map(|(p, why)| problem("link", p, why.clone())).collect();
    clashes(files, &mut problems);
    let copy = files.keys().any(|p| p.starts_with(WHOLE));
    let listed = layer(files, "", &mut problems);
    for path in files.keys().filter(|p| !listed.contains_key(*p) && *p != TAG_MANIFEST) {
        let statement = path.strip_suffix(".sig").unwrap_or(path);
        let approval = path.starts_with("signatures/") && statement.ends_with(".json") && files.contains_key(statement);
        if !approval {
            problems.push(problem("unlisted", path, "it was never sealed: it is not of the bag, and may be removed"));
        }
    }
    for name in ["bagit.txt", INFO, MANIFEST, README] {
        if !listed.contains_key(name) {
            problems.push(problem("missing", name, "the tag manifest does not list it"));
        }
    }
    let layer_holds = |p: &str| p.starts_with("data/") || if copy { p.starts_with(WHOLE) } else { p == AUDIENCES };
    let tag = |p: &str| ["bagit.txt", INFO, MANIFEST, README].contains(&p) || layer_holds(p);
    for path in listed.keys().filter(|p| !tag(p)) {
        problems.push(problem("unlisted", path, "no bag holds such a file: it was sealed by somebody else"));
    }
    let mut report = if copy {
        of_copy(files, &listed, &mut problems)
    } else {
        let digest = files.get(TAG_MANIFEST).map(|b| sha256_hex(b)).unwrap_or_default();
        of_whole(files, "", &listed, digest, &mut problems)
    };
    if report.copy_for.is_none() {
        forms(files, &listed, &[], &report.format, &mut problems);
        stated_digest(files, &listed, &report, &mut problems);
    }
    agrees(files, &mut report, &mut problems);
    if let Some(b) = files.get(contents::PREVIOUS_STANDING) {
        let before = report.previous.as_ref().map(|p| &p.digest);
        let wrong = match super::standing::read_standing(b) {
            Ok((_, digest)) if Some(&digest) == before => None,
            Ok(_) => Some("it is not about the revision before".to_string()),
            Err(e) => Some(e),
        };
        problems.extend(wrong.map(|text| problem("information", contents::PREVIOUS_STANDING, text)));
    }
    let people = if report.withheld.iter().any(|w| w.0 == people::TABLE) {
        Vec::new()
    } else {
        people::checked(files, &mut problems)
    };
    labels::readme(files, &report, &people, &mut problems);
    report.approvals = approvals(
        files,
        &About {
            document: &report.document,
            revision: &report.revision,
            digest: &report.digest,
            verdict: &report.verdict,
            conditions: report.conditions,
            as_of: Day::parse(&report.as_of),
            people: &people,
            ordered: contents::ordered(&report.format),
        },
    );
    for a in report.approvals.iter().filter(|a| !a.valid) {
        problems.push(problem("approval", &a.file, a.because()));
    }
    problems.sort();
    problems.dedup();
    report.problems = problems;
    report
}

/// Names that some system takes for one.
fn clashes(files: &Files, problems: &mut Vec<Problem>) {
    let mut seen: BTreeMap<String, &String> = BTreeMap::new();
    for path in files.keys() {
        if let Some(other) = seen.insert(folded(path), path) {
            problems.push(problem("bad-path", path, format!("it differs from {other} only by case or composition")));
        }
    }
}

/// Checks tag manifest, tag files, manifest and payload; gives the digest of every listed file.
fn layer(files: &Files, root: &str, problems: &mut Vec<Problem>) -> BTreeMap<String, String> {
    let mut all = BTreeMap::new();
    for (name, needed) in [(TAG_MANIFEST, "the tag manifest"), (MANIFEST, "the manifest")] {
        let path = format!("{root}{name}");
        let Some(bytes) = files.get(&path) else {
            problems.push(problem("missing", &path, format!("{needed} is not there")));
            continue;
        };
        for (file, digest) in read_manifest(&path, bytes, problems) {
            let data = file.starts_with("data/");
            if data != (name == MANIFEST) || file == TAG_MANIFEST || file.starts_with("signatures/") {
                problems.push(problem("bad-line", &path, format!("{file} has no place in {needed}")));
                continue;
            }
            held(files, &format!("{root}{file}"), &digest, problems);
            all.insert(file, digest);
        }
    }
    if files.get(&format!("{root}bagit.txt")).is_some_and(|b| b != DECLARATION.as_bytes()) {
        problems.push(problem("declaration", &format!("{root}bagit.txt"), "it is not the declaration of BagIt 1.0"));
    }
    all
}

/// Whether a file is there with the digest that it was sealed with.
fn held(files: &Files, path: &str, digest: &str, problems: &mut Vec<Problem>) {
    match files.get(path) {
        None => problems.push(problem("missing", path, "it was sealed and is not there")),
        Some(b) if sha256_hex(b) != digest => {
            problems.push(problem("altered", path, "its bytes are not those sealed"));
        }
        Some(_) => {}
    }
}

/// Whether the written forms are there, and are the sum of the sections that a manifest names; a digest stands for one
/// that is withheld.
fn forms(
    files: &Files,
    manifest: &BTreeMap<String, String>,
    audiences: &[(String, String)],
    format: &str,
    problems: &mut Vec<Problem>,
) {
    for form in forms_of(format).unwrap_or_default() {
        let parts: Vec<_> = sections(manifest, *form)
            .map(|(p, d)| (p.clone(), files.get(p).map(Vec::as_slice).ok_or((audience_of(audiences, p), d.as_str()))))
            .collect();
        if form.path == PREVIOUS && parts.is_empty() && !manifest.contains_key(PREVIOUS) {
            continue;
        }
        if files.get(form.path).is_none_or(|b| *b != joined(form.ending, &parts)) {
            problems.push(problem("form", form.path, "it is not the sum of its sections"));
        }
    }
}

/// Value of a label; empty when it is missing.
pub fn value(info: &[(String, String)], label: &str) -> String {
    info.iter().find(|i| i.0 == label).map_or(String::new(), |i| i.1.clone())
}

/// What the tag files of a whole bag say of it.
fn of_whole(
    files: &Files,
    root: &str,
    listed: &BTreeMap<String, String>,
    digest: String,
    problems: &mut Vec<Problem>,
) -> Report {
    let path = format!("{root}{INFO}");
    let info = files.get(&path).map(|b| read_info(b, problems)).unwrap_or_default();
    let mut say = |text: String| problems.push(problem("information", &path, text));
    let format = value(&info, "Galipot-Format");
    if forms_of(&format).is_none() {
        say(format!("the format is \"{format}\", and this program knows up to {}", contents::FORMAT));
    }
    if format != contents::FIRST_FORMAT {
        let (stated, there) = (value(&info, contents::PDF), listed.contains_key("data/dossier.pdf"));
        if stated.is_empty() || stated.starts_with(contents::NO_PDF) == there {
            say(format!("{} is \"{stated}\", and the bag holds {} PDF", contents::PDF, if there { "a" } else { "no" }));
        }
    }
    // A bag of an earlier format states its verdict here, a later one in its record.
    let verdict = if copy::states_verdict(&format) { &["Galipot-Verdict", "Galipot-Conditions"][..] } else { &[] };
    for label in ["External-Identifier", "Bagging-Date", "Galipot-Revision"].iter().chain(verdict) {
        if value(&info, label).is_empty() {
            say(format!("{label} is missing"));
        }
    }
    let conditions_stated = !value(&info, "Galipot-Conditions").is_empty();
    let conditions = value(&info, "Galipot-Conditions").parse().unwrap_or_else(|_| {
        if conditions_stated {
            say("Galipot-Conditions is no number".into());
        }
        0
    });
    let previous = match (value(&info, "Galipot-Previous-Revision"), value(&info, "Galipot-Previous-Digest")) {
        (r, d) if r == "none" && d == "none" => None,
        (revision, digest) => {
            let revision_is_one = super::revision::checked(&revision).is_ok();
            if !revision_is_one || digest.len() != 64 {
                say("the previous revision is neither none nor a revision with a digest".into());
            }
            Some(Previous { revision, digest })
        }
    };
    if root.is_empty() {
        labels::size(files, &info, problems);
        let listed_audiences = files.get(AUDIENCES).and_then(|b| copy::audiences(b)).unwrap_or_default();
        let paths: Vec<&String> = listed_audiences.iter().map(|a| &a.0).collect();
        if !listed.keys().filter(|p| p.starts_with("data/")).eq(paths) {
            problems.push(problem("information", AUDIENCES, "it does not list every payload file once"));
        }
    }
    Report {
        document: value(&info, "External-Identifier"),
        revision: value(&info, "Galipot-Revision"),
        digest,
        copy_for: None,
        verdict: value(&info, "Galipot-Verdict"),
        conditions,
        conditions_stated,
        as_of: value(&info, "Bagging-Date"),
        tool: value(&info, "Bag-Software-Agent"),
        format,
        previous,
        inputs_and_record: value(&info, "Galipot-Inputs-And-Record"),
        info,
        record: listed.get("data/record.json").cloned().unwrap_or_default(),
        previous_record: listed.get(PREVIOUS).cloned(),
        ..Report::default()
    }
}

/// A copy: its own bag, the tag files of the whole, what it keeps, and what it leaves out.
fn of_copy(files: &Files, own: &BTreeMap<String, String>, problems: &mut Vec<Problem>) -> Report {
    let mut info = Vec::new();
    if let Some(b) = files.get(INFO) {
        info = read_info(b, problems);
    }
    let reader = value(&info, "Galipot-Copy-For");
    let tag = |name: &str| files.get(&format!("{WHOLE}{name}"));
    let digest = tag(TAG_MANIFEST).map(|b| sha256_hex(b)).unwrap_or_default();
    // The tag files of the whole, against its own tag manifest.
    let name = format!("{WHOLE}{TAG_MANIFEST}");
    let tags = tag(TAG_MANIFEST).map(|b| read_manifest(&name, b, problems)).unwrap_or_default();
    for (file, wanted) in &tags {
        held(files, &format!("{WHOLE}{file}"), wanted, problems);
    }
    for needed in [INFO, MANIFEST, AUDIENCES] {
        if !tags.contains_key(needed) {
            problems.push(problem("missing", &name, format!("the whole tag manifest does not list {needed}")));
        }
    }
    let name = format!("{WHOLE}{MANIFEST}");
    let whole = tag(MANIFEST).map(|b| read_manifest(&name, b, problems)).unwrap_or_default();
    let listed = tag(AUDIENCES).and_then(|b| copy::audiences(b)).unwrap_or_default();
    let mut report = of_whole(files, WHOLE, &whole, digest, problems);
    labels::of_copy(&info, &report, &reader, problems);
    labels::size(files, &info, problems);
    for path in files.keys().filter(|p| p.strip_prefix(WHOLE).is_some_and(|n| !copy::OF_WHOLE.contains(&n))) {
        problems.push(problem("unlisted", path, "it is none of the tag files of the whole bag"));
    }
    let known = forms_of(&report.format).unwrap_or_default();
    for (path, wanted) in &whole {
        if known.iter().any(|f| f.path == path) {
            continue;
        }
        let may = reads(&reader, audience_of(&listed, path));
        match own.get(path) {
            Some(_) if !may => problems.push(problem("withheld", path, format!("it is not for the reader {reader}"))),
            Some(d) if d != wanted => {
                problems.push(problem("altered", path, "its bytes are not those of the whole bag"));
            }
            Some(_) => {}
            None if may => problems.push(problem("withheld", path, format!("it is for the reader {reader}"))),
            None => report.withheld.push((path.clone(), wanted.clone())),
        }
    }
    for path in own.keys().filter(|p| p.starts_with("data/") && !whole.contains_key(*p)) {
        problems.push(problem("unlisted", path, "the whole bag has no such file"));
    }
    forms(files, &whole, &listed, &report.format, problems);
    if copy::without_approvals(&report.format, &reader) {
        report.approvals_withheld = true;
        for path in files.keys().filter(|p| p.starts_with("signatures/")) {
            problems.push(problem(
                "withheld",
                path,
                format!("approvals tell the verdict, which is not for the reader {reader}"),
            ));
        }
    }
    report.copy_for = Some(reader);
    report
}

/// Whether the information names the digest of the inputs and the record that are there.
fn stated_digest(files: &Files, listed: &BTreeMap<String, String>, report: &Report, problems: &mut Vec<Problem>) {
    let Some(record) = files.get("data/record.json") else {
        problems.push(problem("information", INFO, "the bag has no data/record.json that it could speak of"));
        return;
    };
    let inputs = listed.iter().filter_map(|(p, d)| Some((p.strip_prefix("data/inputs/")?, d.clone())));
    if report.inputs_and_record != inputs_and_record(inputs, record) {
        let text = "Galipot-Inputs-And-Record is not the digest of the inputs and the record";
        problems.push(problem("information", INFO, text));
    }
}

/// Whether information and record say the same, as far as this reader may see them; the verdict is taken from the record
/// where only the record tells it.
fn agrees(files: &Files, report: &mut Report, problems: &mut Vec<Problem>) {
    let Some(record) = files.get("data/record.json") else { return };
    let mut say = |text: String| problems.push(problem("information", INFO, text));
    let Ok(v) = serde_json::from_slice::<Value>(record) else {
        say("data/record.json is not JSON".into());
        return;
    };
    let whole = report.copy_for.is_none();
    let (route, conditions) = (v["route"].as_str(), v["route_conditions"].as_array().map(Vec::len));
    if report.verdict.is_empty() {
        report.verdict = route.unwrap_or_default().to_string();
    }
    if !report.conditions_stated {
        report.conditions = conditions.unwrap_or(0);
    }
    for (what, stated, found) in [
        ("document", report.document.as_str(), v["document"]["number"].as_str()),
        ("revision", &report.revision, v["document"]["revision"].as_str()),
        ("day of judgement", &report.as_of, v["as_of"].as_str()),
        ("verdict", &report.verdict, route),
    ] {
        if found != Some(stated) && (whole || found.is_some()) {
            say(format!("{what} is {stated}, and {} in the record", found.unwrap_or("nothing")));
        }
    }
    for (label, member) in [("Galipot-Assembly", "id"), ("Galipot-Assembly-Revision", "revision")] {
        let (stated, found) = (value(&report.info, label), v["assembly"][member].as_str());
        if found.is_some_and(|f| f != stated) {
            say(format!("{label} is {stated}, and {} in the record", found.unwrap_or_default()));
        }
    }
    match conditions {
        Some(n) if n != report.conditions => {
            say(format!("the number of conditions is {}, and {n} in the record", report.conditions));
        }
        None if whole && !copy::states_verdict(&report.format) => {
            say("the record does not name the conditions of its route".into());
        }
        _ => {}
    }
}
