//! Takes a test cell and a place; gives, dimension by dimension, whether the test speaks about the place.

mod board;
mod build;
mod climate;
mod material;

use crate::judge::court::Case;
use crate::judge::places::Place;
use crate::model::assembly::Assembly;
use crate::model::assessment::{Cover, CoverCell};
use crate::model::evidence::{Build, Pattern, Run, Vehicle};
use crate::model::governance::Criterion;

/// Dimensions that several cells may cover together: they bracket a window or gather a set. Spacing is among
/// them only because field (K9) asks for spacing and voltage of every pair from one and the same cell.
pub const TOGETHER: &[&str] = &["K4", "K5", "K6", "K8", "K9", "K19", "K21"];

/// One cell of a test: which board, built how, which pattern, run how.
pub struct Cell<'a> {
    pub claim: &'a str,
    pub run: &'a Run,
    pub vehicle: &'a Vehicle,
    pub build: &'a Build,
    pub pattern: Option<&'a Pattern>,
    pub criterion: &'a Criterion,
}

impl Cell<'_> {
    /// Whether the tested board is the product itself at the revision of the assembly.
    pub fn is_product(&self, a: &Assembly) -> bool {
        self.vehicle.assembly.as_ref().is_some_and(|x| x.text == a.id.text)
            && self.vehicle.assembly_rev.as_ref().is_some_and(|r| r.text == a.rev.text)
    }
}

/// How one dimension came out for one cell, before bridges.
pub struct Found {
    pub cover: Cover,
    pub tested: String,
    pub needed: String,
    pub no_more_severe: bool,
    /// For a dimension that cells cover together: what is needed in all, and what this cell brings.
    pub needs: Vec<String>,
    pub brings: Vec<String>,
}

impl Found {
    fn single(covered: bool, tested: impl Into<String>, needed: impl Into<String>, no_more_severe: bool) -> Self {
        Self {
            cover: if covered { Cover::Covered } else { Cover::Not },
            tested: tested.into(),
            needed: needed.into(),
            no_more_severe,
            needs: Vec::new(),
            brings: Vec::new(),
        }
    }

    fn not_needed(why: impl Into<String>) -> Self {
        Self {
            cover: Cover::NotNeeded,
            tested: String::new(),
            needed: why.into(),
            no_more_severe: true,
            needs: Vec::new(),
            brings: Vec::new(),
        }
    }

    /// A dimension that cells cover together: covered by this cell alone only when it brings everything.
    fn part(needs: Vec<String>, brings: Vec<String>, tested: impl Into<String>, no_more_severe: bool) -> Self {
        let missing = needs.iter().filter(|n| !brings.contains(n)).count();
        let cover = if needs.is_empty() {
            Cover::NotNeeded
        } else if missing == 0 {
            Cover::Covered
        } else {
            Cover::Not
        };
        Self { cover, tested: tested.into(), needed: needs.join("; "), no_more_severe, needs, brings }
    }
}

/// Judges one dimension. The product itself at its revision carries its own fluxes, doses, body and board; only
/// formulation (K1), climate, time and lots still differ from run to run.
pub fn dimension(case: &Case, place: &Place, cell: &Cell, k: &str) -> Found {
    if cell.is_product(&case.a.assembly)
        && !matches!(k, "K1" | "K14" | "K15" | "K16" | "K17" | "K18" | "K19" | "K20" | "K21")
    {
        return Found::single(true, "the product itself", "as built", true);
    }
    match k {
        "K1" => material::k1_formulation(case, place, cell),
        "K2" => material::k2_alloy(case, cell),
        "K3" => material::k3_powder(case, cell),
        "K4" => material::k4_stack(place, cell),
        "K5" => material::k5_dose(case, place, cell),
        "K6" => build::k6_reflow(case, cell),
        "K7" => board::k7_body(place, cell),
        "K8" => board::k8_spacing(place, cell),
        "K9" => board::k9_field(case, place, cell),
        "K10" => board::k10_waveform(place, cell),
        "K11" => board::k11_finish(case, cell),
        "K12" => board::k12_mask(case, cell),
        "K13" => board::k13_laminate(case, cell),
        "K14" => build::k14_coating(place, cell),
        "K15" => climate::k15_environment(case, cell),
        "K16" => climate::k16_duration(cell),
        "K17" => build::k17_line(case, cell),
        "K18" => build::k18_wipe(place, cell),
        "K19" => build::k19_ageing(case, cell),
        "K20" => material::k20_incoming(case, cell),
        "K21" => material::k21_lots(place, cell),
        other => Found::single(false, "", format!("{other} is not a dimension"), false),
    }
}

/// What several cells lack together in one of the dimensions of [`TOGETHER`].
pub fn lacking(k: &str, founds: &[&Found]) -> Vec<String> {
    let brought = |n: &String| founds.iter().any(|f| f.brings.contains(n));
    if k == "K21" {
        let mut lots: Vec<&String> = founds.iter().flat_map(|f| f.brings.iter()).collect();
        lots.sort();
        lots.dedup();
        let missing = 3usize.saturating_sub(lots.len());
        return if missing == 0 { Vec::new() } else { vec![format!("{} of three lots", lots.len())] };
    }
    let mut needs: Vec<&String> = founds.iter().flat_map(|f| f.needs.iter()).collect();
    needs.sort();
    needs.dedup();
    needs.into_iter().filter(|n| !brought(n)).cloned().collect()
}

/// All dimensions of a claim for one cell, bridges applied.
pub fn cells(
    case: &Case,
    claim: &str,
    covers: &[crate::model::Text],
    place: &Place,
    cell: &Cell,
) -> Vec<(CoverCell, Found)> {
    covers
        .iter()
        .filter_map(|k| NAMES.iter().find(|n| **n == k.text))
        .map(|&k| {
            let found = dimension(case, place, cell, k);
            let bridge = (found.cover == Cover::Not).then(|| bridge(case, claim, &cell.run.id, k)).flatten();
            let cover = if bridge.is_some() { Cover::Bridged } else { found.cover };
            let c = CoverCell {
                dimension: k,
                cover,
                tested: found.tested.clone(),
                needed: found.needed.clone(),
                no_more_severe: found.no_more_severe,
                bridge,
            };
            (c, found)
        })
        .collect()
}

/// A bridge that the customer approved before the day of judgement and that has not run out.
fn bridge(case: &Case, claim: &str, run: &str, k: &str) -> Option<String> {
    let as_of = case.court.as_of();
    case.site()
        .bridges
        .iter()
        .filter(|b| b.run.text == run && b.assembly.text == case.id())
        .filter(|b| b.claims.iter().any(|c| c.text == claim) && b.dimensions.iter().any(|d| d.text == k))
        .filter(|_| !UNBRIDGEABLE.contains(&k))
        .find(|b| {
            let approved = b.approved_by.as_ref().and_then(|p| case.site().person(p)).is_some_and(|p| {
                p.org == crate::model::governance::Org::Customer && p.valid_from <= as_of && as_of <= p.valid_to
            });
            approved && b.approved_on.is_some_and(|d| d <= as_of) && b.expires.is_some_and(|d| as_of <= d)
        })
        .map(|b| b.id.text.clone())
}

/// Dimensions that no reasoning carries evidence across: waveform, duration, wiping, ageing.
const UNBRIDGEABLE: &[&str] = &["K10", "K16", "K18", "K19"];

/// Names of all dimensions, in order.
pub const NAMES: &[&str] = &[
    "K1", "K2", "K3", "K4", "K5", "K6", "K7", "K8", "K9", "K10", "K11", "K12", "K13", "K14", "K15", "K16", "K17",
    "K18", "K19", "K20", "K21",
];
