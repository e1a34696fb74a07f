//! Coverage by how it was built: reflow (K6), coating (K14), line (K17), wiping (K18), ageing (K19).

use super::{Cell, Found};
use crate::judge::court::Case;
use crate::judge::places::Place;
use crate::model::assembly::Wiped;
use crate::model::evidence::ProfileCell;
use crate::model::governance::Independence;
use crate::quantity::significant;

/// K6: a cold cell no hotter than the coldest place, a hot cell no colder than the hottest, the same atmosphere.
pub fn k6_reflow(case: &Case, cell: &Cell) -> Found {
    let needs = vec!["cold corner".to_string(), "hot corner".to_string()];
    let Some(r) = &case.a.reflow else {
        return Found::part(needs, Vec::new(), "the reflow of the assembly is not stated", false);
    };
    let b = cell.build;
    if cell.is_product(&case.a.assembly) {
        return Found::part(needs.clone(), needs, "the product itself", true);
    }
    let (Some(peak), Some(tal), Some(soak)) = (&b.peak, &b.tal, &b.soak) else {
        return Found::part(needs, Vec::new(), "the reflow of the build is not stated", false);
    };
    let atmosphere = b.atmosphere.as_ref().is_some_and(|x| x.text == r.atmosphere.text);
    let mut brings = Vec::new();
    // A thermocouple reads to about 3 K and a time to about 5 %; equal within that counts as equal.
    let cold = peak.si <= r.coldest_peak.si + 3.0 && tal.si <= r.tal_min.si * 1.05 && soak.si <= r.soak_min.si * 1.05;
    let passes = b.passes.as_ref().map_or(1.0, |p| p.si);
    let hot = peak.si >= r.hottest_peak.si - 3.0 && passes >= r.passes.si;
    // With a trend shown, a bridge may carry another 3 K; never another atmosphere.
    let mut carry = Vec::new();
    if atmosphere && peak.si <= r.coldest_peak.si + 6.0 {
        carry.push(needs[0].clone());
    }
    if atmosphere && peak.si >= r.hottest_peak.si - 6.0 && passes >= r.passes.si {
        carry.push(needs[1].clone());
    }
    if atmosphere && cold {
        brings.push(needs[0].clone());
    }
    if atmosphere && hot {
        brings.push(needs[1].clone());
    }
    let cell_name = match b.profile {
        Some(ProfileCell::Cold) => "cold",
        Some(ProfileCell::Hot) => "hot",
        Some(ProfileCell::Nominal) => "nominal",
        None => "unnamed",
    };
    let tested = format!(
        "{cell_name}: peak {} degC, {} s above liquidus, soak {} s, {} passes, {}",
        significant(peak.in_unit("degC"), 3),
        significant(tal.si, 3),
        significant(soak.si, 3),
        passes,
        b.atmosphere.as_ref().map_or("atmosphere unknown", |t| t.text.as_str())
    );
    let colder = peak.si < r.coldest_peak.si - 3.0 || tal.si < r.tal_min.si * 0.95 || soak.si < r.soak_min.si * 0.95;
    let hotter = peak.si > r.hottest_peak.si + 3.0 || passes > r.passes.si;
    let mut f = Found::part(needs, brings, tested, !colder && !hotter && atmosphere).bridged_for(carry);
    f.needed = format!(
        "cold corner {} degC, {} s, soak {} s; hot corner {} degC, {} passes; {}",
        significant(r.coldest_peak.in_unit("degC"), 3),
        significant(r.tal_min.si, 3),
        significant(r.soak_min.si, 3),
        significant(r.hottest_peak.in_unit("degC"), 3),
        r.passes.si,
        r.atmosphere
    );
    f
}

/// K14: coated from coated, uncoated from uncoated.
pub fn k14_coating(case: &Case, place: &Place, cell: &Cell) -> Found {
    use crate::model::governance::Per;
    let word = |c: bool| if c { "coated" } else { "uncoated" };
    // A product in its own use carries its coating where the product has it.
    if cell.is_product(&case.a.assembly) && place.per == Per::Assembly {
        return Found::single(true, "the product itself", "as built", true);
    }
    Found::single(
        cell.build.coated == place.coated,
        word(cell.build.coated),
        word(place.coated),
        cell.build.coated == place.coated,
    )
}

/// K17: the same type of line, recipes and people.
pub fn k17_line(case: &Case, cell: &Cell) -> Found {
    let (a, t) = (&case.process().line.text, &cell.build.line.text);
    // A second line may be shown to be equal; a coupon that a supplier built may not.
    let supplier = case.site().lab(&cell.run.lab).is_some_and(|l| l.independence == Independence::Supplier);
    Found::single(a == t, t, a, a == t).bridged_if(!supplier)
}

/// K18: wiped as in production.
pub fn k18_wipe(place: &Place, cell: &Cell) -> Found {
    let worst = place.fluxes.iter().map(|f| f.wiped).max().unwrap_or(Wiped::Never);
    let t = cell.build.wiped;
    Found::single(worst == t, t.word(), worst.word(), worst == t || t == Wiped::Never)
}

/// K19: an aged cell among the runs, when life is long or the temperature swings.
pub fn k19_ageing(case: &Case, cell: &Cell) -> Found {
    let life = case.a.assembly.life.in_unit("years");
    let swing = case.environment().swing.si;
    if life <= 5.0 && swing <= 60.0 {
        let why = format!("life {} years, swing {} K", significant(life, 2), significant(swing, 2));
        return Found { no_more_severe: !cell.build.aged, ..Found::not_needed(why) };
    }
    let needs = vec!["an aged cell".to_string()];
    let brings = if cell.build.aged { needs.clone() } else { Vec::new() };
    Found::part(needs, brings, if cell.build.aged { "aged" } else { "fresh" }, !cell.build.aged)
}
