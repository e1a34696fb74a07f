//! The rule of inspections: named checks of facts of the site, each one function.

mod belief;
mod line;
mod residue;
mod scope;
mod surveillance;
mod washing;

use crate::judge::court::Case;
use crate::judge::finding::{Write, blank};
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::ClaimSpec;

type Check = fn(&Case, &ClaimSpec, &mut ClaimResult);

/// Every check by its name.
const CHECKS: &[(&str, Check)] = &[
    ("built-as-claimed", scope::built_as_claimed),
    ("process-frozen", scope::process_frozen),
    ("requirements-closed", scope::requirements_closed),
    ("environment-sourced", scope::environment_sourced),
    ("places-complete", scope::places_complete),
    ("units-closed", scope::units_closed),
    ("flux-stack-complete", residue::flux_stack_complete),
    ("composition-known", residue::composition_known),
    ("heat-seen", residue::heat_seen),
    ("stays-hard", residue::stays_hard),
    ("apertures-release", line::apertures_release),
    ("lots-alike", line::lots_alike),
    ("legacy-repair", line::legacy_repair),
    ("hidden-functions-replaced", line::hidden_functions_replaced),
    ("time-to-coat", line::time_to_coat),
    ("charts-live", surveillance::charts_live),
    ("triggers-owned", surveillance::triggers_owned),
    ("returns-coded", surveillance::returns_coded),
    ("witness-interval", surveillance::witness_interval),
    ("runs-reconciled", belief::runs_reconciled),
    ("labs-in-scope", belief::labs_in_scope),
    ("files-intact", belief::files_intact),
    ("tool-checked", belief::tool_checked),
    ("decision-rule-fixed", belief::decision_rule_fixed),
    ("second-person", belief::second_person),
    ("time-to-wash", washing::time_to_wash),
    ("parts-bear-wash", washing::parts_bear_wash),
];

/// Judges a leaf by a named check. A check begins supported and takes away.
pub fn judge(case: &Case, spec: &ClaimSpec) -> ClaimResult {
    let mut out = blank(spec);
    let name = spec.check.as_ref().map_or("", |c| c.text.as_str());
    match CHECKS.iter().find(|(n, _)| *n == name) {
        Some((_, check)) => {
            out.state = State::Supported;
            check(case, spec, &mut out);
            // Reconciliation counts what waits; every other claim waits with its runs.
            for id in case.unreported(&spec.id).into_iter().filter(|_| name != "runs-reconciled") {
                lacks(&mut out, Code::Planned, id, format!("{id} is planned for this claim and not reported"), None);
            }
        }
        None => out.reason(Code::CriterionMissing, "", format!("the check \"{name}\" is not known"), Some(spec.at)),
    }
    out
}

/// Takes a claim down to not-yet with a reason.
fn lacks(out: &mut ClaimResult, code: Code, detail: &str, text: impl Into<String>, at: Option<crate::diag::At>) {
    out.reason(code, detail, text, at);
    out.cap(State::NotYet);
}
