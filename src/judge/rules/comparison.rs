//! The rule of comparison: leaving against washing and the present process, by state and worst margin.

use crate::judge::finding::Write;
use crate::model::assessment::{ClaimResult, Code, State};
use crate::model::governance::TreeKind;

/// Judges the claim that leaving is not worse than the alternatives, from the roots of the three trees.
pub fn judge(claims: &[ClaimResult], out: &mut ClaimResult, leave: State) {
    if !matches!(leave, State::Supported | State::WithConditions) {
        out.reason(Code::Missing, "", "leaving is not supported itself, so nothing can be compared", None);
        return;
    }
    let root = |tree: TreeKind| claims.iter().find(|c| c.tree == tree && c.parent.is_none());
    out.state = State::Supported;
    for (tree, word) in [(TreeKind::Wash, "washing"), (TreeKind::Present, "the present process")] {
        let Some(r) = root(tree) else { continue };
        let better = r.state > leave && r.state != State::NotApplicable;
        out.place_state(
            word,
            if better { State::NotYet } else { State::Supported },
            format!("{word} is {}", r.state.word()),
        );
        if better {
            out.reason(
                Code::Conflict,
                word,
                format!("{word} is {}, leaving is {}", r.state.word(), leave.word()),
                None,
            );
            out.cap(State::NotYet);
        }
    }
}
