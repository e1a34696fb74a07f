//! The best plan: equal to brute force on small sites, never made worse by a further option, and true to the states.

use super::peer;
use galipot::plan::search::{Limits, best};

const GO_ON: &dyn Fn() -> bool = &|| false;

#[test]
fn brute_force_finds_nothing_better_on_500_small_sites() {
    let (mut with_packs, mut staged) = (0, 0);
    for seed in 1..=500 {
        let of = peer::site(seed);
        let packs = of.relevant();
        let (contained, cost) = peer::least(&of, &packs);
        let found = best(&of, &packs, &Limits::default(), GO_ON).unwrap_or_else(|e| panic!("site {seed}: {e}"));
        let f = &found.followed;
        assert!(found.search.proven, "site {seed}: {:?}", found.search);
        assert!((f.contained - contained).abs() < 1e-9, "site {seed}: contained {} and {contained}", f.contained);
        assert!((f.cost - cost).abs() < 1e-6 * (1.0 + cost.abs()), "site {seed}: {} and {cost}", f.cost);
        // What the programme says it costs is what its steps cost.
        let again: f64 = f
            .ends
            .iter()
            .map(|e| {
                let packs: f64 = e.leaf.results.iter().map(|r| of.packs[r.0].cost * of.paid(r.2)).sum();
                e.leaf.chance * (peer::cost(&of, &e.steps) + packs)
            })
            .sum();
        assert!((again - cost).abs() < 1e-6 * (1.0 + cost.abs()), "site {seed}: its steps cost {again}, not {cost}");
        with_packs += usize::from(!packs.is_empty());
        staged += usize::from(f.ends.len() > 2);
    }
    assert!(with_packs > 100 && staged > 10, "{with_packs} sites with packages, {staged} plans in stages");
}
