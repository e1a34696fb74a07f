//! The logic of claims, from a small clean site and one change per test: state and reason code of every rule.

mod board;
mod conditions;
mod coverage;
mod doubts;
mod fails;
mod gates;
mod inspections;
mod places;
mod records;
pub mod site;
mod trees;
mod verdicts;

use site::{S, clean};

#[test]
fn the_clean_site_is_supported() {
    let j = clean().judge();
    j.is("C3.1", S, "").is("C3.2", S, "").is("C3.7", S, "").is("C7.1", S, "");
    for run in ["RUN-1", "RUN-2", "RUN-3", "INC-1"] {
        assert_eq!(j.standing(run).role, "used", "{run}: {:?}", j.standing(run).gates);
        assert_eq!(j.standing(run).first_failed, "", "{run}");
    }
    assert_eq!(j.codes("C3.1"), Vec::<String>::new());
}
