//! `galipot sign`: adds an approval to a bag. The signature is made by ssh-keygen, which knows keys, agents and passphrases.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use super::args::Args;
use super::site::unknown;
use super::{Outcome, bags, disk, terminal, turn};
use crate::model::Day;
use crate::seal::{self, Person, Report, Standing, Statement};

/// Roles that sign.
const ROLES: [&str; 4] = ["prepare", "review", "approve", "accept"];

/// What is declared.
pub struct Words<'a> {
    pub role: &'a str,
    pub person: Option<&'a str>,
    pub reject: Option<&'a str>,
    pub reason: Option<&'a str>,
}

/// Writes a statement and its signature beside the earlier ones; those about a copy into a folder beside the copy, or `out`.
/// What would not count is not written.
///
/// # Errors
/// In words, when the bag is not intact, the words are wrong, or ssh-keygen fails.
pub fn run(args: &Args, bag: &Path, key: &Path, words: &Words, out: Option<&Path>) -> Result<Outcome, String> {
    let date = date(args)?;
    checked(words)?;
    // The number of an approval and what stands before it hold for one signer at a time.
    let _turn = turn::take(bag);
    let folder = bags::read(bag)?;
    let report = folder.report();
    if !report.intact() {
        return Err(format!("{} is not intact, so it is not signed: galipot verify {0}", bag.display()));
    }
    let target = target(bag, &report, out)?;
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
    let (number, after) = seal::next_number(&folder.files);
    let declared = Statement {
        document: report.document.clone(),
        revision: report.revision.clone(),
        digest: report.digest.clone(),
        verdict: report.verdict.clone(),
        conditions: report.conditions,
        role: words.role.to_string(),
        meaning: if words.reject.is_some() { "rejected".into() } else { usual.to_string() },
        person: person.id.clone(),
        date,
        reason: words.reject.or(words.reason).map(|r| r.trim().to_string()),
        after,
    };
    let against = against(bag, &report, &people, &declared, &public);
    if !against.is_empty() {
        return Ok(refused(args, &against));
    }
    let statement = seal::statement(&declared);
    let signature = signed(key, &statement)?;
    let (file, sig) = seal::file_names(number, words.role, &person.id);
    let mut files = folder.files.clone();
    files.insert(file.clone(), statement.clone());
    files.insert(sig.clone(), signature.clone());
    let checked = seal::verify(&files, &folder.odd);
    let approval = checked.approvals.last().filter(|a| a.file == file).ok_or("the statement was not found again")?;
    if !approval.binds() {
        return Err(format!("the signature that was made does not count: {}", approval.because()));
    }
    let place = |name: &str| target.join(name.trim_start_matches("signatures/"));
    if place(&file).exists() || place(&sig).exists() {
        return Err(format!("{} is there already; bring it to the whole bag first", place(&file).display()));
    }
    // The statement last: a signature without one is debris, a statement without one would count against the bag.
    fs::create_dir_all(&target).map_err(|e| format!("{}: {e}", target.display()))?;
    disk::write_file(&place(&sig), &signature).map_err(|e| e.to_string())?;
    disk::write_file(&place(&file), &statement).map_err(|e| e.to_string())?;
    if args.json {
        let doc = serde_json::json!({"schema": "galipot.sign/1", "signed": true, "file": file,
            "path": place(&file).to_string_lossy(), "identity": approval.identity, "role": approval.role,
            "meaning": approval.meaning, "date": approval.date, "valid": approval.valid,
            "authorised": approval.authorised, "why": [], "reasons": []});
        terminal::json(&doc);
        return Ok(Outcome::Holds);
    }
    terminal::out(&format!(
        "{}  {} by {} ({}) on {date}, {}\n",
        place(&file).display(),
        approval.meaning,
        person.id,
        person.name,
        if report.copy_for.is_some() { "about the whole bag" } else { "it counts" }
    ));
    if report.copy_for.is_some() {
        terminal::out(&format!(
            "put this file and {} into signatures/ of the whole bag, before anybody else signs there: it counts there like \
             any other. It binds to content digest {}\n",
            place(&sig).display(),
            report.digest
        ));
    }
    Ok(Outcome::Holds)
}

/// The day that is signed.
fn date(args: &Args) -> Result<Day, String> {
    if !args.set.is_empty() {
        return Err("--set replaces values of a site; an approval is about a bag as it was sealed: leave it out".into());
    }
    args.as_of.ok_or_else(|| "say --as-of DATE, the day on which you sign: today's date is never read silently".into())
}

/// Reasons that say nothing are none.
fn checked(words: &Words) -> Result<(), String> {
    let empty = |w: Option<&str>| w.is_some_and(|w| w.trim().is_empty());
    if empty(words.reject) {
        return Err("a rejection says why: --reject REASON".into());
    }
    if empty(words.reason) {
        return Err("--reason is empty: write it, or leave it out".into());
    }
    Ok(())
}

/// Where the two files go.
fn target(bag: &Path, report: &Report, out: Option<&Path>) -> Result<PathBuf, String> {
    match (&report.copy_for, out) {
        (None, None) => Ok(bag.join("signatures")),
        (None, Some(_)) => Err("--out is for a copy; approvals of a whole bag lie in its signatures/".into()),
        (Some(reader), _) if report.approvals_withheld => Err(format!(
            "this is a copy for the reader {reader}, which shows neither verdict nor approvals: nobody can sign what he \
             does not see"
        )),
        (Some(_), Some(out)) => Ok(out.to_path_buf()),
        (Some(_), None) => {
            let whole = bag.canonicalize().map_err(|e| format!("{}: {e}", bag.display()))?;
            let name = whole.file_name().unwrap_or_default().to_string_lossy().into_owned();
            Ok(bag.join("..").join(format!("{name}-signatures")))
        }
    }
}

/// Everything that would keep the approval from counting, or would come too late: code, words.
fn against(bag: &Path, report: &Report, people: &[Person], s: &Statement, key: &str) -> Vec<(&'static str, String)> {
    let mut out: Vec<(&'static str, String)> =
        seal::refused(report, people, s, key).into_iter().map(|w| (w.code, w.text)).collect();
    let others = bags::beside(bag);
    if seal::standing(report, &others) == Standing::Rejected || seal::replaced_by(report, &others).is_some() {
        let text = format!(
            "revision {} is {}: what follows is another revision",
            report.revision,
            seal::stands(report, &others).trim_end_matches('.')
        );
        out.push(("closed", text));
    }
    out
}

fn refused(args: &Args, against: &[(&'static str, String)]) -> Outcome {
    if args.json {
        let reasons: Vec<_> = against.iter().map(|r| serde_json::json!({"code": r.0, "text": r.1})).collect();
        terminal::json(&serde_json::json!({"schema": "galipot.sign/1", "signed": false, "reasons": reasons}));
    } else {
        let mut text = String::from("nothing is signed, because it would not count:\n");
        against.iter().for_each(|r| text.push_str(&format!("  - {}\n", r.1)));
        terminal::out(&text);
    }
    Outcome::DoesNotHold
}

/// The public half of a key, as OpenSSH writes it.
fn public_key(key: &Path) -> Result<String, String> {
    let beside = key.with_file_name(format!("{}.pub", key.file_name().unwrap_or_default().to_string_lossy()));
    for path in [key.to_path_buf(), beside] {
        if let Ok(text) = fs::read_to_string(&path)
            && let Some(line) =
                text.lines().find(|l| l.starts_with("ssh-") || l.starts_with("ecdsa-") || l.starts_with("sk-"))
        {
            return Ok(line.to_string());
        }
    }
    let out = Command::new("ssh-keygen").arg("-y").arg("-f").arg(key).output();
    let out = out.map_err(|e| format!("ssh-keygen of OpenSSH cannot be run: {e}"))?;
    if out.status.success() {
        Ok(String::from_utf8_lossy(&out.stdout).trim().to_string())
    } else {
        let said = String::from_utf8_lossy(&out.stderr).trim().to_string();
        Err(format!("{}: no key that ssh-keygen can read: {said}{}", key.display(), advice(&said)))
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
        let said = String::from_utf8_lossy(&out.stderr).trim().to_string();
        return Err(format!("ssh-keygen did not sign: {said}{}", advice(&said)));
    }
    Ok(out.stdout)
}

/// What to do about a key whose passphrase nobody could be asked for.
fn advice(said: &str) -> &'static str {
    if said.to_lowercase().contains("passphrase") {
        "; a key with a passphrase needs a terminal, or an agent that holds it: `ssh-add KEY`, then --key KEY.pub"
    } else {
        ""
    }
}
