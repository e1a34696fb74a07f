//! Takes the states of the three trees; gives the route of the assembly, by the outcome table.

use crate::model::assessment::{Route, State};

/// Route, and for a route that is not yet found what may be done meanwhile.
pub fn route(leave: State, wash: State, present: State) -> (Route, Option<&'static str>) {
    let holds = |s: State| matches!(s, State::Supported | State::WithConditions);
    match leave {
        State::Supported => (Route::Leave, None),
        State::WithConditions => (Route::LeaveWithConditions, None),
        State::Contradicted if holds(wash) => (Route::WashSaponified, None),
        State::Contradicted if holds(present) => (Route::KeepPresent, None),
        State::Contradicted => (Route::NoSupportedRoute, None),
        State::NotYet | State::NotApplicable => {
            let interim = match (holds(wash), holds(present)) {
                (true, true) if wash > present => "wash-saponified",
                (_, true) => "keep-present",
                (true, false) => "wash-saponified",
                (false, false) => "no-supported-interim",
            };
            (Route::NotYet, Some(interim))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use State::{Contradicted as X, NotYet as N, Supported as S, WithConditions as C};

    #[test]
    fn every_row_of_the_outcome_table() {
        for (w, i) in [(S, S), (N, X), (X, N)] {
            assert_eq!(route(S, w, i), (Route::Leave, None));
            assert_eq!(route(C, w, i), (Route::LeaveWithConditions, None));
        }
        assert_eq!(route(X, C, N), (Route::WashSaponified, None));
        assert_eq!(route(X, N, S), (Route::KeepPresent, None));
        assert_eq!(route(X, X, C), (Route::KeepPresent, None));
        assert_eq!(route(X, N, N), (Route::NoSupportedRoute, None));
        assert_eq!(route(N, S, X), (Route::NotYet, Some("wash-saponified")));
        assert_eq!(route(N, C, S), (Route::NotYet, Some("keep-present")));
        assert_eq!(route(N, X, C), (Route::NotYet, Some("keep-present")));
        assert_eq!(route(N, N, X), (Route::NotYet, Some("no-supported-interim")));
    }

    #[test]
    fn nothing_applicable_is_not_yet() {
        assert_eq!(route(State::NotApplicable, N, N), (Route::NotYet, Some("no-supported-interim")));
    }
}
