//! Verdicts of hand-made outcomes: the boundaries, and numbers that are none.

use super::verdict;
use crate::diag::{At, FileId};
use crate::model::assessment::Verdict;
use crate::model::evidence::RunKind;
use crate::model::governance::Statistic;
use crate::model::workings::{HardEvent, Outcome, WorkingId};

const AT: At = At { file: FileId(0), start: 0, end: 0, line: 1, column: 1 };

/// Statistic 8.5 against a lower limit of 8.0 with a guard band of 0.1.
fn outcome() -> Outcome {
    Outcome {
        run: "RUN-1".into(),
        run_kind: RunKind::Sir,
        set: 0,
        criterion: "LIM".into(),
        statistic: Statistic::Ltb,
        value: 8.5,
        guard: 0.1,
        limit: 8.0,
        upper: f64::NAN,
        unit: "log10 ohm".into(),
        margin: 0.4,
        worst: 8.6,
        worst_place: "C1".into(),
        worst_at: AT,
        single_fails: false,
        bound_fails: false,
        n: 24,
        n_eff: 13,
        refused: None,
        needed: None,
        hard_events: Vec::new(),
        open_events: Vec::new(),
        working: WorkingId(0),
    }
}

fn of(change: impl Fn(&mut Outcome)) -> Verdict {
    let mut o = outcome();
    change(&mut o);
    verdict(&o).0
}

#[test]
fn the_four_verdicts_and_their_boundaries() {
    assert_eq!(of(|_| {}), Verdict::Pass);
    assert_eq!(of(|o| o.margin = 0.0), Verdict::Pass);
    assert_eq!(of(|o| o.margin = -1e-9), Verdict::Marginal);
    assert_eq!(of(|o| o.margin = -0.1), Verdict::Marginal);
    assert_eq!(of(|o| o.margin = -0.1001), Verdict::NotShown);
    assert_eq!(of(|o| (o.margin, o.guard) = (-1e-9, 0.0)), Verdict::NotShown);
    assert_eq!(of(|o| (o.margin, o.bound_fails) = (-0.9, true)), Verdict::Fail);
    assert_eq!(of(|o| o.single_fails = true), Verdict::Fail);
    assert_eq!(of(|o| o.hard_events.push(HardEvent { text: "filament".into(), at: AT })), Verdict::Fail);
}

#[test]
fn a_value_beyond_the_limit_is_not_hidden_by_a_refused_statistic() {
    let refused = |o: &mut Outcome| {
        o.refused = Some("3 readings, and the criterion asks for 8".into());
        (o.value, o.margin) = (f64::NAN, f64::NAN);
    };
    assert_eq!(of(refused), Verdict::NotShown);
    let both = |o: &mut Outcome| {
        refused(o);
        o.single_fails = true;
    };
    assert_eq!(of(both), Verdict::Fail);
    // A statistic that was refused and yet stands there carries nothing.
    assert_eq!(of(|o| o.refused = Some("no".into())), Verdict::NotShown);
}

#[test]
fn numbers_that_are_none_never_pass() {
    for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(of(|o| o.value = x), Verdict::NotShown, "value {x}");
        assert_eq!(of(|o| o.margin = x), Verdict::NotShown, "margin {x}");
        assert_eq!(of(|o| o.limit = x), Verdict::NotShown, "limit {x}");
        assert_eq!(of(|o| o.guard = x), Verdict::NotShown, "guard {x}");
    }
    assert_eq!(of(|o| o.guard = -0.1), Verdict::NotShown);
    assert_eq!(of(|o| o.n = 0), Verdict::NotShown);
}

#[test]
fn a_drop_without_a_cause_is_a_question_and_a_proven_one_a_fail() {
    let drop = |o: &mut Outcome| {
        o.single_fails = true;
        o.open_events.push(HardEvent { text: "fell by 1.8 decades".into(), at: AT });
    };
    assert_eq!(of(drop), Verdict::NotShown);
    let proven = |o: &mut Outcome| {
        drop(o);
        o.hard_events.push(HardEvent { text: "caused by residue".into(), at: AT });
    };
    assert_eq!(of(proven), Verdict::Fail);
}
