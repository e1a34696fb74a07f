//! `galipot sign`: adds an approval to a bag. The signature is made by ssh-keygen, which knows keys, agents and passphrases.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use super::args::Args;
use super::site::unknown;
use super::{Outcome, bags, disk, terminal, turn};
use crate::model::Day;
use crate::seal::{self, Statement};

/// Roles that sign.
const ROLES: [&str; 4] = ["prepare", "review", "approve", "accept"];

/// What is declared.
pub struct Words<'a> {
    pub role: &'a str,
    pub person: Option<&'a str>,
    pub reject: Option<&'a str>,
    pub reason: Option<&'a str>,
}

/// Writes a statement and its signature beside the earlier ones.
///
/// # Errors
/// In words, when the bag is not intact, the person or role is not known, or ssh-keygen fails.
pub fn run(args: &Args, bag: &Path, key: &Path, words: &Words) -> Result<Outcome, String> {
    // The number of an approval and what stands before it hold for one signer at a time.
    let _turn = turn::take(bag);
    let folder = bags::read(bag)?;
    let report = folder.report();
    if !report.intact() {
        return Err(format!("{} is not intact, so it is not signed: galipot verify {0}", bag.display()));
    }
    if report.copy_for.is_some() {
        return Err("this is a copy; approvals belong to the whole bag".into());
    }
    let usual = seal::meaning_of(words.role, report.conditions)
        .ok_or_else(|| unknown("role", words.role, ROLES.iter().copied()))?;
    let people = seal::people(&folder.files)?;
    let public = public_key(key)?;
    let person = match words.person {
        Some(id) => people
            .iter()
            .find(|p| p.id == id)
            .ok_or_else(|| unknown("person", id, people.iter().map(|p| p.id.as_str())))?,
        None => people.iter().find(|p| p.keys.iter().any(|k| same_key(k, &public))).ok_or(
            "no person of the bag has this key; write it as `keys` of the person before the revision is issued, or name \
             the person with --person",
        )?,
    };
    let as_of = Day::parse(&report.as_of).ok_or("the bag has no day of judgement")?;
    let date = args.as_of.unwrap_or(as_of);
    let (number, after) = seal::next_number(&folder.files);
    let statement = seal::statement(&Statement {
        document: report.document.clone(),
        revision: report.revision.clone(),
        digest: report.digest.clone(),
        verdict: report.verdict.clone(),
        conditions: report.conditions,
        role: words.role.to_string(),
        meaning: if words.reject.is_some() { "rejected".into() } else { usual.to_string() },
        person: person.id.clone(),
        date,
        reason: words.reject.or(words.reason).map(str::to_string),
        after,
    });
    let signature = signed(key, &statement)?;
    let (file, sig) = seal::file_names(number, words.role, &person.id);
    let mut files = folder.files.clone();
    files.insert(file.clone(), statement.clone());
    files.insert(sig.clone(), signature.clone());
    let checked = seal::verify(&files, &folder.odd);
    let approval = checked.approvals.last().filter(|a| a.file == file).ok_or("the statement was not found again")?;
    if !approval.valid {
        return Err(format!("the signature that was made does not verify: {}", approval.why.join("; ")));
    }
    // The statement last: a signature without one is debris, a statement without one would count against the bag.
    disk::write_file(&bag.join(&sig), &signature).map_err(|e| e.to_string())?;
    disk::write_file(&bag.join(&file), &statement).map_err(|e| e.to_string())?;
    let worth = if approval.authorised {
        "it counts".to_string()
    } else {
        format!("it does not count: {}", approval.why.join("; "))
    };
    if args.json {
        let doc = serde_json::json!({"schema": "galipot.sign/1", "file": file, "identity": approval.identity,
            "role": approval.role, "meaning": approval.meaning, "date": approval.date, "valid": approval.valid,
            "authorised": approval.authorised, "why": approval.why});
        terminal::json(&doc);
    } else {
        terminal::out(&format!(
            "{}  {} by {} ({}) on {date}, {}\n{worth}\n",
            bag.join(&file).display(),
            approval.meaning,
            person.id,
            person.name,
            if args.as_of.is_some() { "as stated" } else { "the day of judgement; --as-of states another" }
        ));
    }
    Ok(if approval.binds() { Outcome::Holds } else { Outcome::DoesNotHold })
}

/// The public half of a key, as OpenSSH writes it.
fn public_key(key: &Path) -> Result<String, String> {
    let beside = key.with_file_name(format!("{}.pub", key.file_name().unwrap_or_default().to_string_lossy()));
    for path in [key.to_path_buf(), beside] {
        if let Ok(text) = std::fs::read_to_string(&path)
            && let Some(line) =
                text.lines().find(|l| l.starts_with("ssh-") || l.starts_with("ecdsa-") || l.starts_with("sk-"))
        {
            return Ok(line.to_string());
        }
    }
    let out = Command::new("ssh-keygen").arg("-y").arg("-f").arg(key).stderr(Stdio::inherit()).output();
    let out = out.map_err(|e| format!("ssh-keygen of OpenSSH cannot be run: {e}"))?;
    if out.status.success() {
        Ok(String::from_utf8_lossy(&out.stdout).trim().to_string())
    } else {
        Err(format!("{}: no key that ssh-keygen can read", key.display()))
    }
}

/// Whether two lines name the same key: algorithm and base64 are equal.
fn same_key(a: &str, b: &str) -> bool {
    let two = |s: &str| s.split_whitespace().take(2).map(str::to_string).collect::<Vec<_>>();
    two(a) == two(b)
}

/// The detached signature over some bytes, in the namespace of approvals.
fn signed(key: &Path, bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut child = Command::new("ssh-keygen")
        .args(["-Y", "sign", "-n", seal::NAMESPACE, "-f"])
        .arg(key)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|e| format!("ssh-keygen of OpenSSH cannot be run: {e}"))?;
    let written = child.stdin.take().map(|mut i| i.write_all(bytes));
    let out = child.wait_with_output().map_err(|e| e.to_string())?;
    if !out.status.success() || written.is_none_or(|w| w.is_err()) {
        return Err(format!("ssh-keygen did not sign: {}", String::from_utf8_lossy(&out.stderr).trim()));
    }
    Ok(out.stdout)
}
