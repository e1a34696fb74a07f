//! The only room that touches disk, clock, environment and terminal: one file per verb.
#![allow(
    clippy::disallowed_macros,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "this room is the one door to the world"
)]

pub mod args;
pub mod bags;
pub mod batch;
pub mod calc;
pub mod compare;
pub mod disk;
pub mod draft;
pub mod gaps;
pub mod given;
pub mod intake;
pub mod issue;
pub mod new;
pub mod plan;
pub mod rebuild;
pub mod redact;
pub mod remarks;
pub mod selftest;
pub mod show;
pub mod sign;
pub mod signatures;
pub mod site;
pub mod status;
pub mod terminal;
pub mod turn;
pub mod typst;
pub mod verify;
pub mod why;

use std::process::ExitCode;

/// What became of a command: 0 holds, 1 something asked about does not hold, 2 could not be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    Holds,
    DoesNotHold,
}

/// Parses the command line and runs the verb.
pub fn run() -> ExitCode {
    let args = match args::parse() {
        Ok(a) => a,
        Err(code) => return code,
    };
    let done = outside(&args.verb).and_then(|()| verb(&args));
    match done {
        Ok(Outcome::Holds) => ExitCode::SUCCESS,
        Ok(Outcome::DoesNotHold) => ExitCode::from(1),
        Err(text) => {
            terminal::error(&text);
            ExitCode::from(2)
        }
    }
}

/// Nobody writes into a bag or among issued revisions: refused before anything is read.
fn outside(verb: &args::Verb) -> Result<(), String> {
    use args::Verb;
    match verb {
        Verb::New { dir } => bags::outside(dir),
        Verb::Redact { out, .. } => bags::outside(out),
        Verb::Draft { out, .. } | Verb::Sign { out, .. } | Verb::Plan { out, .. } | Verb::Selftest { out } => {
            out.as_deref().map_or(Ok(()), bags::outside)
        }
        Verb::Compare { out, .. } | Verb::Calc { out, .. } => out.as_deref().map_or(Ok(()), bags::outside),
        _ => Ok(()),
    }
}

fn verb(args: &args::Args) -> Result<Outcome, String> {
    match &args.verb {
        args::Verb::New { dir } => new::run(dir),
        args::Verb::Status => status::run(args),
        args::Verb::Why { assembly, claim } => why::run(args, assembly, claim),
        args::Verb::Draft { assemblies, out, audience, pdf } => {
            draft::run(args, assemblies, out.as_deref(), *audience, *pdf)
        }
        args::Verb::Plan { out, limit } => plan::run(args, out.as_deref(), *limit),
        args::Verb::Gaps { assembly } => gaps::run(args, assembly.as_deref()),
        args::Verb::Selftest { out } => selftest::run(args, out.as_deref()),
        args::Verb::Issue { assembly, revision, allow_uncommitted, first } => {
            issue::run(args, assembly, revision, (*allow_uncommitted, *first))
        }
        args::Verb::Sign { bag, role, key, person, reject, reason, out } => {
            let words =
                sign::Words { role, person: person.as_deref(), reject: reject.as_deref(), reason: reason.as_deref() };
            sign::run(args, bag, key, &words, out.as_deref())
        }
        args::Verb::Signatures { bag } => signatures::run(args, bag),
        args::Verb::Verify { bags, rebuild } => verify::run(args, bags, *rebuild),
        args::Verb::Intake { file, kind } => intake::run(args, file, *kind),
        args::Verb::Redact { bag, audience, out } => redact::run(bag, *audience, out),
        args::Verb::Compare { old, new, out } => compare::run(args, old, new, out.as_deref()),
        args::Verb::Calc { batch: Some(file), .. } => batch::run(file),
        args::Verb::Calc { out: Some(folder), .. } => calc::pages(folder),
        args::Verb::Calc { id, inputs, .. } => calc::run(args, id.as_deref(), inputs),
    }
}
