//! `galipot gaps`: the cheapest actions that lift an assembly, or the whole site, to a supported route.

use super::args::Args;
use super::site::unknown;
use super::{Outcome, plan, site, terminal};
use crate::compose;

/// Prints the closing sets.
///
/// # Errors
/// In words, when the site cannot be read, holds no plan, or the assembly is not known.
pub fn run(args: &Args, assembly: Option<&str>) -> Result<Outcome, String> {
    let (folder, a) = site::assess(args)?;
    let known = || a.assessment.assemblies.iter().map(|x| x.id.as_str());
    if let Some(x) = assembly.filter(|x| !known().any(|k| k == *x)) {
        return Err(unknown("assembly", x, known()));
    }
    let p = plan::weigh(args, &folder, &a, None)?;
    if args.json {
        terminal::json(&compose::plan::gaps_json(&a.site, &a.assessment, &p, assembly));
    } else {
        terminal::out(&compose::plan::gaps_human(&a.site, &a.assessment, &p, assembly));
    }
    let closed = p.closing.iter().filter(|c| !c.assembly.is_empty()).all(|c| assembly.is_some_and(|a| a != c.assembly));
    Ok(if closed { Outcome::Holds } else { Outcome::DoesNotHold })
}
