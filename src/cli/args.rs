//! The command line as it is written: verbs, options, help. The only home of clap.

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

use crate::compose::Audience;
use crate::model::Day;

/// Judges whether flux residue may stay on a board, and writes the dossier that says why.
///
/// galipot reads a folder of evidence under version control, computes and judges it, and writes a
/// dossier for the customer's engineer. It supports and does not replace licensed practice, the
/// purchased standards and local codes.
#[derive(Debug, Parser)]
#[command(name = "galipot", version, max_term_width = 100)]
pub struct Args {
    /// Folder of the site; found by walking up to galipot.toml when left out.
    #[arg(long, global = true, value_name = "DIR")]
    pub site: Option<PathBuf>,
    /// Day on which all evidence is judged; the site's own `as_of` when left out. Today is never assumed.
    #[arg(long, global = true, value_name = "DATE", value_parser = day)]
    pub as_of: Option<Day>,
    /// Replaces one value for this call only, for example LIM-SIR.value=8.5; marks all output WHAT-IF.
    #[arg(long, global = true, value_name = "PATH=VALUE")]
    pub set: Vec<String>,
    /// Writes JSON to standard output, and nothing else there.
    #[arg(long, global = true)]
    pub json: bool,
    /// How problems are shown: drawn into the source, or one line each.
    #[arg(long, global = true, value_enum, default_value_t = Format::Human)]
    pub format: Format,
    #[command(subcommand)]
    pub verb: Verb,
}

/// How problems are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Human,
    Short,
}

/// Who may read a volume.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Reader {
    All,
    Customer,
    Internal,
    Lab,
}

impl From<Reader> for Audience {
    fn from(r: Reader) -> Self {
        match r {
            Reader::All => Audience::All,
            Reader::Customer => Audience::Customer,
            Reader::Internal => Audience::Internal,
            Reader::Lab => Audience::Lab,
        }
    }
}

/// Who a copy of an issued revision is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CopyFor {
    Customer,
    Lab,
}

/// Kinds of files that come back from outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Intake {
    Remarks,
}

#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Writes a small, complete, commented site that assesses and drafts at once.
    New { dir: PathBuf },
    /// One line per assembly: route, state, worst margin and where, conditions, valid until, what blocks.
    ///
    /// Exit status 1 when leaving is below "with conditions" for any assembly.
    Status,
    /// One claim explained: rule, value, limit, margin, evidence, coverage, next step, file and line.
    ///
    /// Exit status 1 when the claim is below "with conditions".
    Why {
        /// Id of the assembly, for example OV-4502.
        assembly: String,
        /// Id of the claim, for example C3.2.
        claim: String,
    },
    /// Writes dossiers marked DRAFT: Markdown, HTML, Typst source, record and figures, one folder per assembly.
    Draft {
        /// Assemblies; all when none is named.
        assemblies: Vec<String>,
        /// Folder to write into; `drafts` in the site when left out.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Leaves out what the reader may not see.
        #[arg(long, value_enum, default_value_t = Reader::All)]
        audience: Reader,
        /// Adds dossier.pdf, which the typst program makes of dossier.typ; GALIPOT_TYPST names it off the PATH.
        #[arg(long)]
        pdf: bool,
    },
    /// Site plan: every plan weighed, the best one, what to test next, steps that must wait. Internal: it holds costs.
    ///
    /// Exit status 1 when a gate is closed, or when the best plan may leave an assembly without a supported route.
    Plan {
        /// Folder for the volume: plan.md, plan.html, record.json and figures.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Ends the search for the best plan after this time, with the best one found until then.
        #[arg(long, value_name = "SECONDS", value_parser = clap::value_parser!(u32).range(1..))]
        limit: Option<u32>,
    },
    /// The cheapest actions that lift an assembly, or all of the site: cost, weeks, chance, what each lifts, what nothing lifts.
    ///
    /// Exit status 1 when an assembly that is asked about has no supported route.
    Gaps {
        /// Id of the assembly; all, and the whole site, when left out.
        assembly: Option<String>,
    },
    /// Freezes a revision of a dossier: writes the bag issued/<document>/<revision>/, chained to the one before.
    ///
    /// Exit status 1 when something forbids it; every reason is named, and nothing is written.
    Issue {
        /// Id of the assembly.
        assembly: String,
        /// Label of the revision, as the dossier carries it: a whole number or capital letters, rising.
        #[arg(long, value_name = "R")]
        revision: String,
        /// Issues although files of the site differ from the commit; the bag names them.
        #[arg(long)]
        allow_uncommitted: bool,
        /// The chain begins with this revision, although it is neither 1 nor A.
        #[arg(long)]
        first: bool,
    },
    /// Adds an approval to a bag: a statement about its content digest, signed with ssh-keygen on the day --as-of.
    ///
    /// Whoever has a copy signs that: the two files lie beside it then, and belong into signatures/ of the whole bag. Exit
    /// status 1 when the approval would not count; nothing is written then.
    Sign {
        /// Folder of the bag, or of a copy.
        bag: PathBuf,
        /// What you do: prepare, review, approve or accept.
        #[arg(long)]
        role: String,
        /// Private key, or the public key of one that an agent holds.
        #[arg(long, value_name = "FILE")]
        key: PathBuf,
        /// Id of the person in the table of people; found by the key when left out.
        #[arg(long, value_name = "ID")]
        person: Option<String>,
        /// Declares that you reject, and why.
        #[arg(long, value_name = "REASON")]
        reject: Option<String>,
        /// A remark that is signed with the approval.
        #[arg(long, value_name = "TEXT", conflicts_with = "reject")]
        reason: Option<String>,
        /// Folder for the two files about a copy; COPY-signatures beside it when left out.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Lists the approvals of a bag and checks them against the people's authority on their date.
    ///
    /// Exit status 1 when an approval does not count.
    Signatures {
        /// Folder of the bag.
        bag: PathBuf,
    },
    /// Recomputes every digest, the chain and the signatures of bags. Needs nothing but the bags.
    ///
    /// Exit status 1 when anything is not as it was sealed.
    Verify {
        /// Folders of bags; earlier revisions are looked for beside them, under any name.
        #[arg(required = true)]
        bags: Vec<PathBuf>,
        /// Makes the bag again from its inputs, and says what is not equal byte by byte and what was not compared.
        #[arg(long)]
        rebuild: bool,
    },
    /// Takes back a file from outside: the remarks that a reviewer saved from a dossier become open comments.
    Intake {
        /// The file.
        file: PathBuf,
        /// What it is.
        #[arg(long, value_enum)]
        kind: Intake,
    },
    /// Writes a copy of a bag without what is not for a reader; it verifies against the digest of the whole.
    Redact {
        /// Folder of the bag.
        bag: PathBuf,
        /// Reader of the copy.
        #[arg(long, value_enum)]
        audience: CopyFor,
        /// Folder to write; not in a bag, and not among issued revisions.
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
    },
    /// What moved between two revisions: states first, then numbers, conditions, evidence, criteria; and what did not.
    ///
    /// OLD and NEW are bags, folders of one draft, or record.json files. Exit status 1 when a route or state moved.
    Compare {
        /// What was before.
        old: PathBuf,
        /// What is now.
        new: PathBuf,
        /// Folder for changes.md and changes.html.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Lists the calculations; runs one with its formula, numbers, units and source.
    Calc {
        /// Id of the calculation.
        id: Option<String>,
        /// Inputs as NAME=VALUE, in the unit that the calculation states or with a unit: spacing="200 um"; a list
        /// is written NAME=1,2,3.
        inputs: Vec<String>,
        /// Runs all cases of a JSON file and writes their results as JSON.
        #[arg(long, value_name = "FILE", conflicts_with = "id")]
        batch: Option<PathBuf>,
        /// Writes the page of all methods into this folder, as Markdown and HTML.
        #[arg(long, value_name = "DIR", conflicts_with_all = ["id", "batch"])]
        out: Option<PathBuf>,
    },
    /// Computes every known answer of the calculations, and says which are met.
    ///
    /// Exit status 1 when one is missed.
    Selftest {
        /// Folder for the record that qualifies the tool: Markdown, HTML, and the table with its digest.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
}

fn day(text: &str) -> Result<Day, String> {
    Day::parse(text).ok_or_else(|| "not a date of the form 2026-03-31".to_string())
}

/// Parses the command line; on help, version and wrong usage gives the exit status after printing.
///
/// # Errors
/// The exit status: 0 for help and version, 2 for wrong usage.
pub fn parse() -> Result<Args, ExitCode> {
    Args::try_parse().map_err(|e| {
        let _ = e.print();
        ExitCode::from(if e.use_stderr() { 2 } else { 0 })
    })
}

/// The command definition, for the reference of commands.
pub fn command() -> clap::Command {
    <Args as clap::CommandFactory>::command()
}
