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
    /// What a signed bridge may carry of it: the whole of a single dimension, or some of its needs.
    pub carry: Carry,
}

/// How far reasoning may carry evidence across a gap of coverage (domain table of K1 to K21).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Carry {
    /// No reasoning replaces a test here.
    No,
    /// A bridge may carry it.
    Yes,
    /// A bridge may carry these needs and no others.
    Needs(Vec<String>),
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
            carry: Carry::No,
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
            carry: Carry::No,
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
        let needed = needs.join("; ");
        Self { cover, tested: tested.into(), needed, no_more_severe, needs, brings, carry: Carry::No }
    }

    /// The same, and a bridge may carry it when `admissible`.
    fn bridged_if(self, admissible: bool) -> Self {
        Self { carry: if admissible { Carry::Yes } else { Carry::No }, ..self }
    }

    /// The same, and a bridge may carry some of its needs.
    fn bridged_for(self, needs: Vec<String>) -> Self {
        Self { carry: Carry::Needs(needs), ..self }
    }

    /// Whether a bridge may carry everything that this cell lacks.
    fn carried(&self) -> bool {
        match &self.carry {
            Carry::No => false,
            Carry::Yes => true,
            Carry::Needs(some) => self.needs.iter().all(|n| self.brings.contains(n) || some.contains(n)),
        }
    }
}

/// Judges one dimension. The product itself at its revision carries its own fluxes, doses, body and board; only
/// formulation (K1), climate, time and lots still differ from run to run.
pub fn dimension<'a>(case: &Case<'a>, place: &Place<'a>, cell: &Cell<'a>, k: &str) -> Found {
    if cell.is_product(&case.a.assembly)
        && !matches!(k, "K1" | "K14" | "K15" | "K16" | "K17" | "K18" | "K19" | "K20" | "K21")
    {
        return Found::single(true, "the product itself", "as built", true);
    }
    match k {
        "K1" => material::k1_formulation(case, place, cell, false),
        "K2" => material::k2_alloy(case, place, cell),
        "K3" => material::k3_powder(case, place, cell),
        "K4" => material::k4_stack(case, place, cell),
        "K5" => material::k5_dose(case, place, cell),
        "K6" => build::k6_reflow(case, cell),
        "K7" => board::k7_body(place, cell),
        "K8" => board::k8_spacing(case, place, cell),
        "K9" => board::k9_field(case, place, cell),
        "K10" => board::k10_waveform(place, cell),
        "K11" => board::k11_finish(case, cell),
        "K12" => board::k12_mask(case, cell),
        "K13" => board::k13_laminate(case, cell),
        "K14" => build::k14_coating(case, place, cell),
        "K15" => climate::k15_environment(case, cell),
        "K16" => climate::k16_duration(cell),
        "K17" => build::k17_line(case, cell),
        "K18" => build::k18_wipe(place, cell),
        "K19" => build::k19_ageing(case, cell),
        "K20" => material::k20_incoming(case, cell),
        "K21" => material::k21_lots(case, place, cell),
        other => Found::single(false, "", format!("{other} is not a dimension"), false),
    }
}

/// What several cells lack together in one of the dimensions of [`TOGETHER`].
pub fn lacking(k: &str, founds: &[&Found]) -> Vec<String> {
    // One cell that covers all by itself, as the product does, leaves nothing to gather.
    if founds.iter().any(|f| f.cover == Cover::Covered) {
        return Vec::new();
    }
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

/// Whether signed bridges carry what several cells lack together; gives their ids.
pub fn carried(k: &str, missing: &[String], founds: &[(&CoverCell, &Found)]) -> Option<Vec<String>> {
    let mut ids: Vec<String> = Vec::new();
    let mut use_bridge = |admits: &dyn Fn(&Carry) -> bool| {
        let found = founds.iter().find(|(c, f)| c.bridge.is_some() && admits(&f.carry));
        let id = found.and_then(|(c, _)| c.bridge.clone());
        if let Some(id) = &id
            && !ids.contains(id)
        {
            ids.push(id.clone());
        }
        id.is_some()
    };
    let all = if k == "K21" {
        use_bridge(&|c| *c == Carry::Yes)
    } else {
        missing.iter().all(|n| use_bridge(&|c| matches!(c, Carry::Needs(some) if some.contains(n))))
    };
    all.then_some(ids)
}

/// All dimensions of a claim for one cell, bridges applied.
pub fn cells<'a>(
    case: &Case<'a>,
    claim: &str,
    covers: &[crate::model::Text],
    place: &Place<'a>,
    cell: &Cell<'a>,
) -> Vec<(CoverCell, Found)> {
    // Where the stack as a whole is asked for (K4), one cell may hold only some of its fluxes.
    let stack = covers.iter().any(|k| k.text == "K4");
    covers
        .iter()
        .filter_map(|k| NAMES.iter().find(|n| **n == k.text))
        .map(|&k| {
            let found = match k {
                "K1" if stack => material::k1_formulation(case, place, cell, true),
                _ => dimension(case, place, cell, k),
            };
            let may = found.cover == Cover::Not && found.carry != Carry::No;
            let bridge = if may { bridge(case, claim, &cell.run.id, k) } else { None };
            let cover = if bridge.is_some() && found.carried() { Cover::Bridged } else { found.cover };
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

/// A set whose rows name no board speaks of all of its builds: it covers what each of them covers.
pub fn merge(mut all: Vec<Vec<(CoverCell, Found)>>) -> Vec<(CoverCell, Found)> {
    let mut out = if all.is_empty() { Vec::new() } else { all.remove(0) };
    for other in all {
        for ((c, f), (c2, f2)) in out.iter_mut().zip(other) {
            c.no_more_severe &= c2.no_more_severe;
            f.no_more_severe &= f2.no_more_severe;
            if c.tested != c2.tested {
                c.tested = format!("{} and {}", c.tested, c2.tested);
            }
            // Lots are gathered; everything else must be brought by each build.
            if c.dimension == "K21" {
                f.brings.extend(f2.brings);
            } else {
                f.brings.retain(|b| f2.brings.contains(b));
            }
            if c2.cover < c.cover {
                (c.cover, f.cover) = (c2.cover, f2.cover);
                (c.bridge, f.carry) = (c2.bridge, f2.carry);
            }
        }
    }
    out
}

/// A bridge that the customer's engineer approved while in office and that has not run out.
fn bridge(case: &Case, claim: &str, run: &str, k: &str) -> Option<String> {
    let as_of = case.court.as_of();
    case.site()
        .bridges
        .iter()
        .filter(|b| b.run.text == run && b.assembly.text == case.id())
        .filter(|b| b.claims.iter().any(|c| c.text == claim) && b.dimensions.iter().any(|d| d.text == k))
        .find(|b| {
            let (Some(by), Some(on), Some(expires)) = (&b.approved_by, b.approved_on, b.expires) else { return false };
            case.customer_signs(by, on, &[]) && on <= as_of && as_of <= expires
        })
        .map(|b| b.id.text.clone())
}

/// Names of all dimensions, in order.
pub const NAMES: &[&str] = &[
    "K1", "K2", "K3", "K4", "K5", "K6", "K7", "K8", "K9", "K10", "K11", "K12", "K13", "K14", "K15", "K16", "K17",
    "K18", "K19", "K20", "K21",
];
