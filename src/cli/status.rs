//! `galipot status`: one line per assembly.

use super::args::Args;
use super::{Outcome, site, terminal};
use crate::compose::status;
use crate::model::assessment::State;

/// Prints the state of every assembly.
///
/// # Errors
/// In words, when the site cannot be read.
pub fn run(args: &Args) -> Result<Outcome, String> {
    let (_, a) = site::assess(args)?;
    if args.json {
        terminal::json(&status::json(&a.site, &a.assessment));
    } else {
        terminal::out(&status::human(&a.site, &a.assessment));
    }
    let holds = !a.assessment.assemblies.is_empty()
        && a.assessment.assemblies.iter().all(|x| matches!(x.state, State::Supported | State::WithConditions));
    Ok(if holds { Outcome::Holds } else { Outcome::DoesNotHold })
}
