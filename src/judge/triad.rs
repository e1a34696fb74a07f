//! Takes judged claims; gives, for each critical place, which leg of moisture, bias and ions is broken, and by what.

use crate::judge::court::Case;
use crate::judge::places::traps_flux;
use crate::model::assessment::{ClaimResult, Leg, State, Triad};
use crate::model::governance::TreeKind;
use crate::model::workings::WorkingId;
use crate::quantity::significant;

/// The triad at every part that traps flux and every stressed pair elsewhere.
pub fn triads(case: &Case, claims: &[ClaimResult]) -> Vec<Triad> {
    let leaf = |id: &str| claims.iter().find(|c| c.tree == TreeKind::Leave && c.id == id);
    let state_at = |id: &str, place: &str| -> Option<State> {
        let c = leaf(id)?;
        c.places
            .iter()
            .filter(|p| p.place == place || p.place.ends_with(&format!("@{place}")))
            .map(|p| p.state)
            .min()
            .or(Some(c.state))
    };
    let mut places: Vec<(String, String, f64)> = Vec::new();
    for p in &case.a.pairs {
        let e = case.field(p) / 1000.0;
        let name = p.place.text.clone();
        let words = format!(
            "{}/{} {} V over {}: {} V/mm",
            p.net_a,
            p.net_b,
            significant(p.v_peak.si, 3),
            p.spacing,
            significant(e, 3)
        );
        match places.iter_mut().find(|x| x.0 == name) {
            Some(x) if e > x.2 => *x = (name, words, e),
            Some(_) => {}
            None => places.push((name, words, e)),
        }
    }
    for c in case.a.components.iter().filter(|c| traps_flux(c.body_class)) {
        if !places.iter().any(|p| p.0 == c.refdes.text) {
            places.push((c.refdes.text.clone(), format!("{} that can trap flux", c.body_class), 0.0));
        }
    }
    places.sort_by(|a, b| b.2.total_cmp(&a.2).then_with(|| a.0.cmp(&b.0)));
    let dry = leaf("C3.10");
    places
        .into_iter()
        .map(|(place, why_critical, e)| {
            let body = case.a.components.iter().any(|c| c.refdes.text == place && traps_flux(c.body_class));
            let ions = if body { "C3.2" } else { "C3.1" };
            let ion_state = state_at(ions, &place);
            let facts = |name: &str| -> Vec<WorkingId> {
                case.court
                    .workings
                    .facts
                    .iter()
                    .filter(|f| f.assembly == case.id() && f.name == name)
                    .map(|f| f.working)
                    .take(3)
                    .collect()
            };
            let env = case.environment();
            let condensing = env.condensing.as_ref().is_none_or(|q| q.si > 0.0);
            let dry_holds = dry.is_some_and(|c| c.state >= State::WithConditions && c.state != State::NotApplicable);
            let moisture = match (condensing, dry_holds) {
                (false, true) => (true, "broken: the dew-point margin holds in every bin (C3.10)".to_string()),
                (true, true) => (false, "present: it condenses; the product was tested wet (C3.10)".to_string()),
                (_, false) => (false, "present: dryness is not shown (C3.10)".to_string()),
            };
            let biased = case
                .a
                .pairs
                .iter()
                .filter(|p| p.place.text == place)
                .map(|p| p.duty_biased.si * p.v_peak.si)
                .fold(0.0, f64::max);
            let bias = if e == 0.0 {
                (false, "not stated: no pair of conductors is listed here".to_string())
            } else if biased == 0.0 {
                (true, "broken: the pair carries no bias in any state of use".to_string())
            } else {
                (false, format!("present: {} V/mm in use", significant(e, 3)))
            };
            let ion = match ion_state {
                Some(State::Supported) => (true, format!("broken: residue binds its ions here ({ions})")),
                Some(State::WithConditions) => (true, format!("broken under conditions ({ions})")),
                Some(State::Contradicted) => (false, format!("present: contradicted ({ions})")),
                _ => (false, format!("not shown ({ions})")),
            };
            Triad {
                place,
                why_critical,
                legs: vec![
                    Leg {
                        leg: "moisture",
                        broken: moisture.0,
                        text: moisture.1,
                        claims: vec!["C3.10".into()],
                        workings: facts("dew_margin"),
                    },
                    Leg {
                        leg: "bias",
                        broken: bias.0,
                        text: bias.1,
                        claims: vec!["C3.7".into()],
                        workings: Vec::new(),
                    },
                    Leg {
                        leg: "ions",
                        broken: ion.0,
                        text: ion.1,
                        claims: vec![ions.into()],
                        workings: leaf(ions).map(|c| c.workings.iter().copied().take(3).collect()).unwrap_or_default(),
                    },
                ],
            }
        })
        .collect()
}
