//! Sites that hold little or nothing: which leaves may hold there, each with its reason.

use crate::builder::{self, Files};
use crate::new_site;
use galipot::model::assessment::State;

/// The least that is a site.
pub const ONLY_SITE: &str = r#"[site]
id = "S1"
name = "Nobody's mill"
as_of = 2026-03-31
hv_threshold = "60 V"
regimes = ["10 V", "60 V"]
max_conditions = 7
retention = "15 years"
retention_basis = "none"
"#;

/// The least that a site with an assembly can be read from.
fn bare() -> Files {
    let text = |path: &str, t: &str| (path.to_string(), t.as_bytes().to_vec());
    vec![
        text("galipot.toml", ONLY_SITE),
        text(
            "people/a.toml",
            "[[person]]\nid = \"AA\"\nname = \"A\"\norg = \"customer\"\nrole = \"r\"\nvalid_from = 2020-01-01\nvalid_to = 2030-01-01\n",
        ),
        text(
            "customers/a.toml",
            "[[customer]]\nid = \"CC\"\nname = \"C\"\nsector = \"s\"\nquality_agreement = \"q\"\n",
        ),
        text(
            "environments/a.toml",
            "[[environment]]\nid = \"EE\"\ntitle = \"e\"\noutdoor = false\nsource = \"estimate\"\nsalt = false\ngas = false\n\
             dust = false\nswing = \"10 K\"\nowner = \"AA\"\nunknown = [\"logged\", \"condensing\", \"standby\"]\n\
             [[environment.bin]]\nt = \"20 degC\"\nrh = \"50 %RH\"\nhours = \"8760 h\"\npowered = true\nboard_rise = \"0 K\"\n",
        ),
        text(
            "processes/a.toml",
            "[[process]]\nid = \"PP\"\nrev = \"1\"\ntitle = \"p\"\nline = \"l\"\nwash = \"none\"\n[[process.step]]\nkind = \"reflow\"\n\
             machine = \"m\"\nrecipe = \"r\"\nrecipe_rev = \"1\"\n",
        ),
        text(
            "assemblies/a.toml",
            "[assembly]\nid = \"AB\"\nrev = \"1\"\nproduct = \"p\"\ndrawing = \"d\"\nbom_rev = \"1\"\nlayout_rev = \"1\"\n\
             customer = \"CC\"\nenvironment = \"EE\"\nprocess = \"PP\"\npresent_process = \"PP\"\nwash_process = \"PP\"\n\
             ipc_class = 2\nlife = \"5 years\"\nvolume = 1\npanel_up = 1\npanel_area = \"10 cm2\"\nsides = 1\ndocument = \"DD\"\n\
             document_rev = \"1\"\nunknown = [\"peak_factor\", \"effectivity\"]\n\
             [board]\nlaminate = \"l\"\nhalogen_free = true\nmask = \"m\"\nfinish = \"f\"\nfabricators = [\"F1\"]\nmask_defined = \"NSMD\"\n",
        ),
    ]
}

/// Leaves that hold in a site, as tree and id.
fn holding(files: Files) -> Vec<String> {
    let a = match builder::assess(files) {
        Ok(a) => a,
        Err(r) => {
            panic!("{}", galipot::cli::show::short(&r.sources, &r.problems, &galipot::cli::show::Style::default()))
        }
    };
    let x = &a.assessment.assemblies[0];
    assert_eq!((x.state, x.wash_state, x.present_state), (State::NotYet, State::NotYet, State::NotYet));
    assert_eq!(x.interim, Some("no-supported-interim"));
    x.claims
        .iter()
        .filter(|c| c.leaf && matches!(c.state, State::Supported | State::WithConditions))
        .map(|c| format!("{}/{}", c.tree.word(), c.id))
        .collect()
}

/// Leaves that an assembly without any evidence may hold, each with the reason.
const WITHOUT_EVIDENCE: &[(&str, &str)] = &[
    ("leave/C1.6", "a site with a bare number is not read, so every quantity that was read has its unit"),
    ("leave/C11.4", "it speaks of the tool on this machine, whose known answers were computed"),
];

#[test]
fn an_assembly_without_evidence_supports_nothing() {
    let allowed: Vec<&str> = WITHOUT_EVIDENCE.iter().map(|x| x.0).collect();
    let held = holding(bare());
    assert_eq!(held, allowed);
}

/// Leaves that the new site may hold when everything that anybody measured, audited or registered is taken away: they
/// rest on records that are themselves what the claim asks for.
const BY_RECORD: &[(&str, &str)] = &[
    ("leave/C1.1", "the pilot's build record states its revisions"),
    ("leave/C1.2", "the pilot's build record states its recipes"),
    ("leave/C1.3", "the clauses are swept, one of them waived by letter"),
    ("leave/C1.5", "parts and pairs are listed from the layout, gaps measured"),
    ("leave/C1.6", "every quantity that was read has its unit"),
    ("leave/C2.4", "the share of heated zone is stated as 1 for the only flux"),
    ("leave/C6.9", "the repair route is written down"),
    ("leave/C7.5", "time and storage to packing are stated, and nothing is coated"),
    ("leave/C11.4", "it speaks of the tool on this machine"),
];

#[test]
fn a_described_assembly_without_evidence_holds_only_what_its_records_are() {
    let files: Files = new_site::files()
        .into_iter()
        .filter(|(p, _)| {
            !["runs/", "vehicles/", "protocols/", "criteria/", "audits/", "register/"].iter().any(|f| p.starts_with(f))
        })
        .collect();
    let allowed: Vec<&str> = BY_RECORD.iter().map(|x| x.0).collect();
    assert_eq!(holding(files), allowed);
}

/// State and reasons of a claim of the new site with one more statement that it does not apply.
fn stated(claim: &str, by: &str, on: &str) -> (State, Vec<String>) {
    let mut files = new_site::files();
    let text = format!(
        "\n[[not_applicable]]\nclaim = \"{claim}\"\nreason = \"We say so.\"\nproof = \"none\"\nby = \"{by}\"\non = {on}\n"
    );
    let file = files.iter_mut().find(|f| f.0 == "assemblies/LP-40.toml").expect("the assembly");
    file.1.extend(text.as_bytes());
    let a = builder::assess(files).expect("it reads");
    let c = a.assessment.assemblies[0].claims.iter().find(|c| c.leaf && c.id == claim).expect("the claim");
    (c.state, c.reasons.iter().map(|r| format!("{} {}", r.code.word(), r.text)).collect())
}

#[test]
fn no_claim_is_stated_away() {
    let conflict = |(state, reasons): (State, Vec<String>), why: &str| {
        assert_eq!(state, State::NotYet, "{why}: {reasons:?}");
        assert!(reasons.iter().any(|r| r.starts_with("CONFLICT") && r.contains(why)), "{why}: {reasons:?}");
    };
    // Whoever says it: ions, wet use, audits, inspections, fields and permits are judged on every board.
    for claim in ["C2.6", "C3.10", "C4.6", "C6.5", "C1.1", "C3.7", "W10", "I12"] {
        conflict(stated(claim, "RE", "2026-01-12"), "always applies");
    }
    // No optical part is listed: that may be stated, by somebody with the authority, before the day of judgement.
    assert_eq!(stated("C4.4", "RE", "2026-01-12").0, State::NotApplicable);
    assert_eq!(stated("C4.4", "QE", "2026-03-31").0, State::NotApplicable);
    assert_eq!(stated("C5.3", "RE", "2026-01-12").0, State::NotApplicable);
    conflict(stated("C4.4", "OP", "2026-01-12"), "OP had no authority");
    conflict(stated("C4.4", "PE", "2026-01-12"), "PE had no authority");
    conflict(stated("C4.4", "RE", "2026-04-01"), "dated 2026-04-01");
    conflict(stated("C4.4", "RE", "2020-01-01"), "no authority");
    // And never against what the site shows.
    conflict(stated("C3.1", "RE", "2026-01-12"), "places or runs");
}
