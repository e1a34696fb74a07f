//! `galipot why ASSEMBLY CLAIM`: one claim explained.

use super::args::Args;
use super::{Outcome, site, terminal};
use crate::compose::why;
use crate::model::assessment::State;

/// Prints everything that stands behind one claim.
///
/// # Errors
/// In words, when the site cannot be read or the assembly or claim is not known.
pub fn run(args: &Args, assembly: &str, claim: &str) -> Result<Outcome, String> {
    let (_, a) = site::assess(args)?;
    let text = if args.json {
        format!("{:#}\n", why::json(&a.site, &a.workings, &a.assessment, assembly, claim)?)
    } else {
        why::human(&a.site, &a.workings, &a.assessment, assembly, claim)?
    };
    terminal::out(&text);
    let state = a
        .assessment
        .assemblies
        .iter()
        .filter(|x| x.id == assembly)
        .flat_map(|x| &x.claims)
        .find(|c| c.id == claim)
        .map(|c| c.state);
    Ok(match state {
        Some(State::Contradicted | State::NotYet) | None => Outcome::DoesNotHold,
        Some(_) => Outcome::Holds,
    })
}
