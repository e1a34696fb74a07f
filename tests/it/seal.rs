//! Issued revisions: bags that stock tools check, approvals, copies for one reader, and everything that may go wrong.

mod approvals;
mod copies;
mod example;
mod folders;
mod leaks;
mod mutations;
mod rebuilt;
mod remarks;
mod signing;
mod tampered;
mod turns;
mod waived;

use std::collections::BTreeMap;

use galipot::model::Day;
use galipot::model::bundle::{Bundle, Section};
use galipot::seal::{self, Bag, Contents, Files, Identity, Input, Pdf, Person, Previous, Statement};
use ssh_key::{HashAlg, LineEnding, PrivateKey, SshSig};

/// Throw-away keys, public on purpose.
pub const KEYS: [&str; 2] = ["TEST_ONLY_ed25519", "TEST_ONLY_other_ed25519"];

pub fn key(name: &str) -> PrivateKey {
    let path = crate::builder::tests("reference/t14_sshsig").join(name);
    PrivateKey::from_openssh(std::fs::read(path).expect("a key")).expect("a key of OpenSSH")
}

pub fn public(name: &str) -> String {
    let line = key(name).public_key().to_openssh().expect("a line");
    line.split(' ').take(2).collect::<Vec<_>>().join(" ")
}

pub fn day(text: &str) -> Day {
    Day::parse(text).expect("a day")
}

/// People of the small bag: two of the house, one of the customer.
pub fn people() -> Vec<Person> {
    let one = |id: &str, org: &str, authority: &[&str], key: &str| Person {
        id: id.into(),
        name: format!("{id} of the tests"),
        org: org.into(),
        role: "engineer".into(),
        authority: authority.iter().map(|a| (*a).to_string()).collect(),
        from: day("2025-01-01"),
        to: day("2027-12-31"),
        keys: vec![public(key)],
    };
    vec![one("QM", "manufacturer", &["review", "approve"], KEYS[0]), one("RE", "customer", &["accept"], KEYS[1])]
}

/// An input with the audience that its place usually gives it.
pub fn input((path, bytes): (String, Vec<u8>)) -> Input {
    let audience = match path.split('/').next().expect("a folder") {
        "cost" | "templates" => "internal",
        "runs" => "all",
        _ => "customer",
    };
    Input { path, bytes, audience: audience.into() }
}

/// A dossier of three sections, one of them for the customer.
pub fn contents(revision: &str, previous: Option<Previous>) -> Contents {
    let section = |name: &str, audience: &str, figures: &[&str]| Section {
        name: name.into(),
        audience: audience.into(),
        title: format!("Section {name}"),
        markdown: format!("\n## {name}\n\ntext of {name}\n"),
        html: format!("<section id=\"{name}\">text of {name}</section>\n"),
        typst: format!("#chapter(\"{name}\")\n#p[#\"text of {name}\"]\n"),
        figures: figures.iter().map(|f| (*f).to_string()).collect(),
    };
    let sections = vec![
        section("head", "all", &[]),
        section("verdict", "customer", &[]),
        section("electrical", "all", &["combs"]),
        section("foot", "all", &[]),
    ];
    let joined = |form: fn(&Section) -> &str| sections.iter().map(form).collect::<String>().into_bytes();
    let record = serde_json::json!({
        "document": {"number": "D-1", "revision": revision},
        "as_of": "2026-03-31",
        "route": "leave",
        "route_conditions": ["CO-1", "CO-2"],
        "assembly": {"id": "A", "revision": "C"},
        "claims": [{"id": "C3.1", "place": "secret pair"}],
        "runs": [{"id": "RUN-1"}],
        "criteria": [],
    });
    let record = String::from_utf8(galipot::model::document::record_bytes(&record)).expect("text");
    let inputs = vec![
        ("assemblies/A.toml".to_string(), b"secret net\n".to_vec()),
        ("cost/line.toml".to_string(), b"secret price\n".to_vec()),
        ("runs/R/empty.csv".to_string(), Vec::new()),
        ("runs/R/r\u{e9}sum\u{e9} 100 %.csv".to_string(), b"1;2\n".to_vec()),
        (
            "templates/55-house.md".to_string(),
            b"title: House\nnumber: H\naudience: internal\n---\naudience: all, a secret wish\n".to_vec(),
        ),
    ];
    let mut lines: String = inputs.iter().map(|(p, b)| format!("{}  {p}\n", galipot::diag::sha256_hex(b))).collect();
    lines.push_str(&format!("{}  record.json\n", galipot::diag::sha256_hex(record.as_bytes())));
    Contents {
        identity: Identity {
            organisation: "The house".into(),
            document: "D-1".into(),
            revision: revision.into(),
            assembly: "A".into(),
            assembly_revision: "C".into(),
            as_of: "2026-03-31".into(),
            record_digest: galipot::diag::sha256_hex(lines.as_bytes()),
            previous,
            commit: None,
            uncommitted: Vec::new(),
            tool: "galipot 0".into(),
        },
        bundle: Bundle {
            files: vec![
                ("dossier.html".into(), joined(|s| &s.html)),
                ("dossier.md".into(), joined(|s| &s.markdown)),
                ("dossier.typ".into(), joined(|s| &s.typst)),
                ("figures/combs.svg".into(), b"<svg/>".to_vec()),
                ("record.json".into(), record.into_bytes()),
            ],
            sections,
        },
        inputs: inputs.into_iter().map(input).collect(),
        built_in: vec![("templates/01-verdict.md".into(), b"template\n".to_vec())],
        people: people(),
        previous_record: None,
        previous_standing: None,
        pdf: Pdf::Made { bytes: b"%PDF text of verdict".to_vec(), by: "typst 0.15.1".into() },
    }
}

pub fn small(revision: &str, previous: Option<&Bag>) -> Bag {
    let before = |b: &Bag| Previous { revision: seal::verify(&b.files, &[]).revision, digest: b.digest.clone() };
    seal::bag(&contents(revision, previous.map(before))).expect("a bag")
}

/// Signs a bag as `galipot sign` does, with whatever the test changes in the statement.
pub fn sign(bag: &mut Files, person: &str, role: &str, name: &str, change: impl Fn(&mut Statement)) {
    let report = seal::verify(bag, &[]);
    let (number, after) = seal::next_number(bag);
    let mut s = Statement {
        document: report.document,
        revision: report.revision,
        digest: report.digest,
        verdict: report.verdict,
        conditions: report.conditions,
        role: role.into(),
        meaning: seal::meaning_of(role, report.conditions).unwrap_or("approved").into(),
        person: person.into(),
        date: day("2026-04-02"),
        reason: None,
        after,
    };
    change(&mut s);
    let bytes = seal::statement(&s);
    let sig = SshSig::sign(&key(name), seal::NAMESPACE, HashAlg::Sha512, &bytes).expect("a signature");
    let (file, beside) = seal::file_names(number, role, person);
    bag.insert(file, bytes);
    bag.insert(beside, sig.to_pem(LineEnding::LF).expect("text").into_bytes());
}

/// A bag with two approvals that count.
pub fn signed() -> Files {
    let mut bag = small("1", None).files;
    sign(&mut bag, "QM", "approve", KEYS[0], |_| {});
    sign(&mut bag, "RE", "accept", KEYS[1], |_| {});
    bag
}

/// Codes of the problems of a bag, each once.
pub fn codes(bag: &Files) -> Vec<&'static str> {
    let mut all: Vec<&str> = seal::verify(bag, &[]).problems.iter().map(|p| p.code).collect();
    all.sort_unstable();
    all.dedup();
    all
}

#[test]
fn a_bag_holds_what_rfc_8493_asks_for() {
    let bag = small("1", None);
    assert_eq!(bag.files["bagit.txt"], b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n");
    let manifest = String::from_utf8(bag.files["manifest-sha256.txt"].clone()).expect("text");
    let payload: Vec<&String> = bag.files.keys().filter(|p| p.starts_with("data/")).collect();
    assert_eq!(manifest.lines().count(), payload.len());
    // The digest of "secret net" and a line feed, and of nothing (FIPS 180-4), by sha256sum.
    assert!(
        manifest
            .contains("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  data/inputs/runs/R/empty.csv")
    );
    assert!(manifest.contains("  data/inputs/runs/R/r\u{e9}sum\u{e9} 100 %25.csv\n"), "{manifest}");
    let info = String::from_utf8(bag.files["bag-info.txt"].clone()).expect("text");
    let bytes: usize = payload.iter().map(|p| bag.files[*p].len()).sum();
    assert!(info.ends_with(&format!("Payload-Oxum: {bytes}.{}\n", payload.len())), "{info}");
    assert_eq!(codes(&bag.files), Vec::<&str>::new());
    assert_eq!(bag.digest, galipot::diag::sha256_hex(&bag.files["tagmanifest-sha256.txt"]));
    assert_eq!(small("1", None), bag, "the same contents give the same bag");
}

#[test]
fn names_that_some_system_takes_for_one_are_not_sealed() {
    let mut c = contents("1", None);
    c.inputs.push(input(("RUNS/R/empty.csv".into(), Vec::new())));
    assert!(seal::bag(&c).unwrap_err().contains("one file on some systems"));
    let mut c = contents("1", None);
    c.inputs.push(input(("runs/R/re\u{301}sume\u{301} 100 %.csv".into(), Vec::new())));
    assert!(seal::bag(&c).is_err());
    for path in ["../up.toml", "a\\b", "c:x", "a//b"] {
        let mut c = contents("1", None);
        c.inputs.push(input((path.into(), Vec::new())));
        assert!(seal::bag(&c).is_err(), "{path}");
    }
}

#[test]
fn revisions_form_a_chain() {
    let one = small("1", None);
    let two = small("2", Some(&one));
    let ten = small("10", Some(&two));
    let reports: BTreeMap<&str, seal::Report> =
        [("1", &one), ("2", &two), ("10", &ten)].into_iter().map(|(n, b)| (n, seal::verify(&b.files, &[]))).collect();
    let all: Vec<seal::Report> = reports.values().cloned().collect();
    let word = |n: &str, others: &[seal::Report]| seal::chain(&reports[n], others).word();
    assert_eq!([word("1", &all), word("2", &all), word("10", &all)], ["first", "intact", "intact"]);
    assert_eq!(word("2", &[]), "missing-previous");
    assert_eq!(word("10", &[reports["2"].clone()]), "missing-previous");
    // Another revision 1 than the one that was chained.
    let mut other = contents("1", None);
    other.inputs[0].bytes = b"another net\n".to_vec();
    let other = seal::verify(&seal::bag(&other).expect("a bag").files, &[]);
    assert_eq!(word("2", &[other]), "broken");
    // The right one, damaged since.
    let mut damaged = one.files.clone();
    damaged.insert("data/record.json".into(), b"{}".to_vec());
    assert_eq!(word("2", &[seal::verify(&damaged, &[])]), "broken");
    // A revision that does not rise.
    let down = small("1", Some(&two));
    assert_eq!(seal::chain(&seal::verify(&down.files, &[]), &all).word(), "broken");
}

#[test]
fn a_revision_stands_where_its_approvals_and_later_revisions_put_it() {
    let word = |bag: &Files, others: &[&Files]| {
        let others: Vec<seal::Report> = others.iter().map(|o| seal::verify(o, &[])).collect();
        seal::standing(&seal::verify(bag, &[]), &others).word()
    };
    let mut one = small("1", None).files;
    let mut two = small("2", Some(&small("1", None))).files;
    assert_eq!(word(&one, &[&two]), "candidate");
    sign(&mut one, "QM", "approve", KEYS[0], |_| {});
    assert_eq!(word(&one, &[&two]), "candidate");
    let rejects = |s: &mut Statement| (s.meaning, s.reason) = ("rejected".into(), Some("no".into()));
    sign(&mut one, "RE", "accept", KEYS[1], rejects);
    assert_eq!(word(&one, &[&two]), "rejected");
    let rejected = one.clone();
    sign(&mut one, "RE", "accept", KEYS[1], |_| {});
    assert_eq!(word(&one, &[&two]), "issued", "the last word counts");
    sign(&mut two, "QM", "approve", KEYS[0], |_| {});
    assert_eq!(word(&one, &[&two]), "issued", "a candidate supersedes nothing");
    sign(&mut two, "RE", "accept", KEYS[1], |_| {});
    assert_eq!((word(&one, &[&two]), word(&two, &[&one])), ("superseded", "issued"));
    // Only what was issued is superseded: a rejection is told for ever, a candidate stays one.
    let words = |bag: &Files| seal::stands(&seal::verify(bag, &[]), &[seal::verify(&two, &[])]);
    assert_eq!(word(&rejected, &[&two]), "rejected");
    assert_eq!(words(&rejected), "rejected by RE (RE of the tests) on 2026-04-02: no; and replaced by revision 2");
    assert_eq!(words(&one), "superseded by revision 2");
    assert_eq!(words(&small("1", None).files), "candidate, and replaced by revision 2");
    two.insert("data/record.json".into(), b"{}".to_vec());
    assert_eq!((word(&one, &[&two]), word(&two, &[&one])), ("issued", "damaged"));
    // Approval by somebody who may not.
    let mut three = small("3", None).files;
    sign(&mut three, "QM", "approve", KEYS[1], |_| {});
    sign(&mut three, "RE", "accept", KEYS[1], |_| {});
    assert_eq!(word(&three, &[]), "candidate");
}

/// Links, odd names and empty folders are met on disk, not in memory.
#[cfg(unix)]
#[test]
fn links_are_found_and_never_followed() {
    let dir = tempfile::tempdir().expect("a folder");
    let bag = dir.path().join("bag");
    for (path, bytes) in signed() {
        let to = bag.join(path);
        std::fs::create_dir_all(to.parent().expect("a parent")).expect("made");
        std::fs::write(to, bytes).expect("written");
    }
    let verify = || crate::commands::galipot(dir.path(), &["verify", "bag", "--json"]);
    assert_eq!(verify().status, 0, "{}", verify().err);
    std::fs::rename(bag.join("data/dossier.md"), dir.path().join("outside.md")).expect("moved");
    std::os::unix::fs::symlink("../../outside.md", bag.join("data/dossier.md")).expect("linked");
    let call = verify();
    assert!(call.status == 1 && call.out.contains("\"link\"") && call.out.contains("\"missing\""), "{}", call.out);
    std::fs::remove_file(bag.join("data/dossier.md")).expect("removed");
    std::fs::rename(dir.path().join("outside.md"), bag.join("data/dossier.md")).expect("moved back");
    std::fs::create_dir(bag.join("data/empty")).expect("made");
    let call = verify();
    assert!(call.status == 0 && call.out.contains("\"data/empty\""), "no bytes are missing: {}", call.out);
    std::fs::remove_dir(bag.join("data/empty")).expect("removed");
    std::os::unix::fs::symlink(".", bag.join("data/round")).expect("linked");
    assert_eq!(verify().status, 1);
    std::fs::remove_file(bag.join("data/round")).expect("removed");
    assert_eq!(verify().status, 0);
    for odd in ["nowhere", "bag/bagit.txt"] {
        assert_eq!(crate::commands::galipot(dir.path(), &["verify", odd]).status, 2, "{odd}");
    }
}

/// The page of the format names the words of both READMEs by their digests, so that a checker can hold them.
#[test]
fn the_readmes_are_those_of_the_page() {
    let page = include_str!("../../docs/sealed-format.md");
    let whole = small("1", None).files;
    let copy = seal::redact(&whole, "lab").expect("a copy").files;
    let of = |files: &Files| String::from_utf8(files["README.txt"].clone()).expect("text");
    // The person of step 4 stands in four places, alone or in the name of a file.
    let bag = of(&whole).replace("01-approve-QM.json", "@@FILE@@").replace("QM", "@@ID@@");
    for words in [bag, of(&copy)] {
        let digest = galipot::diag::sha256_hex(words.as_bytes());
        assert!(page.contains(&digest), "{digest}: other words are another format");
    }
}
