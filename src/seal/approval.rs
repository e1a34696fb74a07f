//! Takes a statement, its signature and the people of a bag; says whether it is an approval. The only home of SSHSIG.

use serde_json::{Value, json};
use ssh_key::{Algorithm, LineEnding, PublicKey, SshSig};

use super::authority::{Why, against, why};
use super::bagit::Files;
use super::people::Person;
use crate::diag::sha256_hex;
use crate::model::Day;

/// The namespace of approvals, so that a signature made for something else is none.
pub const NAMESPACE: &str = "galipot-approval";

/// What somebody declares about a bag.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Statement {
    pub document: String,
    pub revision: String,
    /// Content digest of the bag.
    pub digest: String,
    /// Route of the verdict.
    pub verdict: String,
    /// Number of conditions of the verdict.
    pub conditions: usize,
    /// prepare, review, approve or accept.
    pub role: String,
    /// prepared, reviewed, approved, accepted, accepted-with-conditions or rejected.
    pub meaning: String,
    /// Id of the person.
    pub person: String,
    pub date: Day,
    pub reason: Option<String>,
    /// SHA-256 of every statement that stood in the bag before, in order.
    pub after: Vec<String>,
}

/// What somebody of a role declares when nothing else is said; none for a word that is no role.
pub fn meaning_of(role: &str, conditions: usize) -> Option<&'static str> {
    Some(match role {
        "prepare" => "prepared",
        "review" => "reviewed",
        "approve" => "approved",
        "accept" if conditions > 0 => "accepted-with-conditions",
        "accept" => "accepted",
        _ => return None,
    })
}

/// The bytes that are signed.
pub fn statement(s: &Statement) -> Vec<u8> {
    let v = json!({
        "schema": "galipot.approval/1",
        "document": s.document, "revision": s.revision, "digest": s.digest,
        "verdict": s.verdict, "conditions": s.conditions,
        "role": s.role, "meaning": s.meaning, "person": s.person, "date": s.date.to_string(),
        "reason": s.reason, "after": s.after,
    });
    format!("{v:#}\n").into_bytes()
}

fn read(bytes: &[u8]) -> Result<Statement, String> {
    let v: Value = serde_json::from_slice(bytes).map_err(|e| e.to_string())?;
    let text = |k: &str| v[k].as_str().map(str::to_string).ok_or_else(|| format!("it has no {k}"));
    if text("schema")? != "galipot.approval/1" {
        return Err("its schema is not galipot.approval/1".into());
    }
    let after = v["after"].as_array().ok_or("it has no list of earlier statements")?;
    let s = Statement {
        document: text("document")?,
        revision: text("revision")?,
        digest: text("digest")?,
        verdict: text("verdict")?,
        conditions: v["conditions"].as_u64().and_then(|n| usize::try_from(n).ok()).ok_or("it has no conditions")?,
        role: text("role")?,
        meaning: text("meaning")?,
        person: text("person")?,
        date: Day::parse(&text("date")?).ok_or("its date is none")?,
        reason: v["reason"].as_str().map(str::to_string),
        after: after.iter().map(|x| x.as_str().unwrap_or_default().to_string()).collect(),
    };
    if statement(&s) != bytes {
        return Err("its bytes are not those that galipot writes for it".into());
    }
    Ok(s)
}

/// Paths of a statement and of its signature: the number counts the approvals of a bag from 1.
pub fn file_names(number: usize, role: &str, person: &str) -> (String, String) {
    let plain: String = person.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' }).collect();
    let name = format!("signatures/{number:02}-{role}-{plain}.json");
    (name.clone(), format!("{name}.sig"))
}

/// The number of the next approval, and the digests of the statements before it.
pub fn next_number(files: &Files) -> (usize, Vec<String>) {
    let all: Vec<&Vec<u8>> = statements(files).map(|f| f.1).collect();
    (all.len() + 1, all.iter().map(|b| sha256_hex(b)).collect())
}

/// Statements in order of their number, which has two digits or more.
fn statements(files: &Files) -> impl Iterator<Item = (&String, &Vec<u8>)> {
    let mut all: Vec<_> = files.iter().filter(|f| f.0.starts_with("signatures/") && f.0.ends_with(".json")).collect();
    all.sort_by_key(|f| (f.0.find('-'), f.0));
    all.into_iter()
}

/// What became of one statement.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Approval {
    /// Path of the statement.
    pub file: String,
    /// Id of the person, as stated; empty when the statement cannot be read.
    pub identity: String,
    pub role: String,
    pub meaning: String,
    pub date: String,
    /// The signature is over these bytes, by a key, in the namespace, and the statement is about this bag.
    pub valid: bool,
    /// The key is that person's, and the person may sign in that role on that day.
    pub authorised: bool,
    /// Name and office of the person, by the table of people; empty when it does not hold the person.
    pub name: String,
    pub office: String,
    /// What is declared about: verdict, number of conditions, content digest, and the reason if one is given.
    pub verdict: String,
    pub conditions: usize,
    pub digest: String,
    pub reason: Option<String>,
    /// Why it is not valid or not authorised.
    pub why: Vec<Why>,
}

impl Approval {
    /// Whether it counts: the one place that decides what a valid approval is.
    pub fn binds(&self) -> bool {
        self.valid && self.authorised
    }

    /// Id and, where it is known, name of the person.
    pub fn named(&self) -> String {
        if self.name.is_empty() { self.identity.clone() } else { format!("{} ({})", self.identity, self.name) }
    }

    /// Why it does not count, in words.
    pub fn because(&self) -> String {
        self.why.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join("; ")
    }
}

/// Everything that keeps a statement from counting that is not yet made: `key` is the public half of the key, as OpenSSH
/// writes it. Order is asked for in a bag of any format: an approval that is made today follows the rules of today.
pub fn refused(report: &super::Report, people: &[Person], s: &Statement, key: &str) -> Vec<Why> {
    let Ok(key) = PublicKey::from_openssh(key) else { return vec![why("key", "it is no public key of OpenSSH")] };
    let about = About {
        document: &report.document,
        revision: &report.revision,
        digest: &report.digest,
        verdict: &report.verdict,
        conditions: report.conditions,
        as_of: Day::parse(&report.as_of),
        people,
        ordered: true,
    };
    against(s, &|k| is_key(k, &key), &report.approvals, &about)
}

/// What a statement must agree with.
pub struct About<'a> {
    pub document: &'a str,
    pub revision: &'a str,
    pub digest: &'a str,
    pub verdict: &'a str,
    pub conditions: usize,
    pub as_of: Option<Day>,
    pub people: &'a [Person],
    /// Whether days, roles and people must follow each other, as they must since the fourth format.
    pub ordered: bool,
}

/// Every statement of a bag in order of its number.
pub fn approvals(files: &Files, about: &About) -> Vec<Approval> {
    let mut before: Vec<String> = Vec::new();
    let mut out = Vec::new();
    for (file, bytes) in statements(files) {
        let signature = files.get(&format!("{file}.sig"));
        let one = one(file, bytes, signature.map(Vec::as_slice), (&before, &out), about);
        out.push(one);
        before.push(sha256_hex(bytes));
    }
    out
}

fn one(
    file: &str,
    bytes: &[u8],
    signature: Option<&[u8]>,
    (before, earlier): (&[String], &[Approval]),
    about: &About,
) -> Approval {
    let mut a = Approval {
        file: file.into(),
        identity: String::new(),
        role: String::new(),
        meaning: String::new(),
        date: String::new(),
        valid: false,
        authorised: false,
        name: String::new(),
        office: String::new(),
        verdict: String::new(),
        conditions: 0,
        digest: String::new(),
        reason: None,
        why: Vec::new(),
    };
    let s = match read(bytes) {
        Ok(s) => s,
        Err(e) => {
            a.why.push(why("statement", format!("the statement cannot be read: {e}")));
            return a;
        }
    };
    (a.identity, a.role, a.meaning, a.date) = (s.person.clone(), s.role.clone(), s.meaning.clone(), s.date.to_string());
    (a.verdict, a.conditions, a.digest, a.reason) =
        (s.verdict.clone(), s.conditions, s.digest.clone(), s.reason.clone());
    if let Some(p) = about.people.iter().find(|p| p.id == s.person) {
        (a.name, a.office) = (p.name.clone(), p.role.clone());
    }
    let number = before.len() + 1;
    if file_names(number, &s.role, &s.person).0 != file {
        a.why.push(why("statement", "its file name is not that of its number, role and person"));
    }
    for (what, stated, found) in [
        ("document", s.document.as_str(), about.document),
        ("revision", &s.revision, about.revision),
        ("digest", &s.digest, about.digest),
        ("verdict", &s.verdict, about.verdict),
    ] {
        if stated != found {
            a.why.push(why("statement", format!("it is about {what} {stated}, and this bag has {found}")));
        }
    }
    if s.conditions != about.conditions {
        a.why.push(why(
            "statement",
            format!("it is about {} conditions, and this bag has {}", s.conditions, about.conditions),
        ));
    }
    if s.after != before {
        a.why.push(why("statement", "the statements that stood before it are not those before it now"));
    }
    let usual = meaning_of(&s.role, s.conditions);
    if usual.is_none() || (s.meaning != "rejected" && Some(s.meaning.as_str()) != usual) {
        let text =
            format!("nobody of the role {} declares \"{}\" about {} conditions", s.role, s.meaning, s.conditions);
        a.why.push(why("statement", text));
    }
    let key = match signature.ok_or_else(|| "it is not signed".to_string()).and_then(|g| signer(NAMESPACE, bytes, g)) {
        Ok(k) => Some(k),
        Err(e) => {
            a.why.push(why("signature", e));
            None
        }
    };
    a.valid = a.why.is_empty();
    let Some(key) = key else { return a };
    a.why.extend(against(&s, &|k| is_key(k, &key), earlier, about));
    a.authorised = a.valid && a.why.is_empty();
    a
}

/// Whether a line of OpenSSH is this key.
fn is_key(line: &str, key: &PublicKey) -> bool {
    PublicKey::from_openssh(line).is_ok_and(|k| k.key_data() == key.key_data())
}

/// The key that signed these bytes in a namespace.
fn signer(namespace: &str, bytes: &[u8], signature: &[u8]) -> Result<PublicKey, String> {
    let text = std::str::from_utf8(signature).map_err(|_| "its signature is no text")?;
    let sig = SshSig::from_pem(text).map_err(|e| format!("its signature cannot be read: {e}"))?;
    // Another spelling of the same signature would be bytes that nobody sealed.
    if sig.to_pem(LineEnding::LF).map_err(|e| format!("its signature cannot be written: {e}"))? != text {
        return Err("its signature is not written as OpenSSH writes it".into());
    }
    if sig.namespace() != namespace {
        return Err(format!("its signature is made for \"{}\"", sig.namespace().escape_debug()));
    }
    // The old RSA signatures rest on SHA-1.
    if matches!(sig.signature().algorithm(), Algorithm::Rsa { hash: None } | Algorithm::Dsa) {
        return Err("its signature is of a kind that is no longer accepted".into());
    }
    let key = PublicKey::from(sig.public_key().clone());
    key.verify(namespace, bytes, &sig).map_err(|_| "its signature is not over these bytes")?;
    Ok(key)
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "a test reads the signatures of the reference set")]
mod tests {
    use super::*;

    fn file(path: &str) -> Vec<u8> {
        let whole = format!("{}/tests/reference/{path}", env!("CARGO_MANIFEST_DIR"));
        std::fs::read(&whole).unwrap_or_else(|e| panic!("{whole}: {e}"))
    }

    /// Signatures made by ssh-keygen of OpenSSH 9.2: good ones, and ones with another message, namespace, key or bit.
    /// Who may sign, and until when, is not asked here.
    #[test]
    fn openssh_signatures_of_the_reference_set() {
        let set: Value = serde_json::from_slice(&file("t14_integrity.json")).expect("JSON");
        let (mut good, mut bad) = (0, 0);
        for case in set["cases"].as_array().expect("cases").iter().filter(|c| c["kind"] == "sshsig_verify") {
            let of = |k: &str| case["inputs"][k].as_str().expect("a text");
            let signers = String::from_utf8(file(of("allowed_signers"))).expect("text");
            let who_and_when = ["valid-before", "valid-after"].iter().any(|w| signers.contains(w))
                || !signers.lines().any(|l| l.starts_with(of("identity")))
                || signers.contains("namespaces=") && !signers.contains(&format!("namespaces=\"{}\"", of("namespace")));
            if who_and_when {
                continue;
            }
            let found = signer(of("namespace"), &file(of("message")), &file(of("signature"))).is_ok_and(|k| {
                signers.lines().any(|l| {
                    let at = l.find("ssh-").expect("a key");
                    PublicKey::from_openssh(&l[at..]).expect("a key").key_data() == k.key_data()
                })
            });
            assert_eq!(Some(found), case["expected"]["verified"].as_bool(), "{}", case["id"]);
            if found { good += 1 } else { bad += 1 }
        }
        assert!(good >= 3 && bad >= 4, "{good} good, {bad} bad");
    }

    #[test]
    fn the_hundredth_approval_comes_after_the_eleventh() {
        let names = ["signatures/02-a-B.json", "signatures/100-a-B.json", "signatures/11-a-B.json"];
        let files: Files = names.iter().map(|n| ((*n).to_string(), Vec::new())).collect();
        let order: Vec<&str> = statements(&files).map(|f| f.0.as_str()).collect();
        assert_eq!(order, [names[0], names[2], names[1]]);
    }

    #[test]
    fn a_statement_is_read_as_it_was_written_and_in_no_other_form() {
        let s = Statement {
            document: "D".into(),
            revision: "1".into(),
            digest: "0".repeat(64),
            verdict: "leave".into(),
            conditions: 0,
            role: "approve".into(),
            meaning: "approved".into(),
            person: "QM".into(),
            date: Day::parse("2026-03-31").expect("a day"),
            reason: None,
            after: vec!["a".into()],
        };
        let bytes = statement(&s);
        assert_eq!(read(&bytes), Ok(s));
        let text = String::from_utf8(bytes).expect("text");
        assert!(read(text.replace("\n", "\n ").as_bytes()).is_err());
        assert!(read(text.replace("approval/1", "approval/2").as_bytes()).is_err());
        assert!(read(b"{}").is_err() && read(b"\xff").is_err());
    }
}
