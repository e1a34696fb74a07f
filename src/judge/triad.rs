//! Takes judged claims; gives, for each critical place, which leg of moisture, bias and ions is broken, and by what.

use crate::judge::court::Case;
use crate::judge::places::traps_flux;
use crate::model::assembly::{Geometry, NetPair};
use crate::model::assessment::{ClaimResult, Leg, PlaceResult, State, Triad};
use crate::model::governance::{Per, TreeKind};
use crate::quantity::significant;

/// A place where moisture, bias and ions may meet.
struct Spot<'a> {
    name: String,
    why: String,
    pairs: Vec<&'a NetPair>,
    /// A part that traps flux.
    body: bool,
    /// Zone of it, or itself.
    zones: Vec<String>,
    /// Nodes that it is, or that its pairs belong to.
    nodes: Vec<String>,
}

/// Claims of one tree that speak of ions, by the kind of place that they speak of.
struct Speaking {
    tree: TreeKind,
    body: &'static [&'static str],
    open: &'static str,
    overlap: &'static [&'static str],
    liquid: &'static [&'static str],
    node: &'static str,
    pair: &'static str,
    /// Claims on the board as a whole.
    whole: &'static [&'static str],
    holds: &'static str,
}

const LEAVE: Speaking = Speaking {
    tree: TreeKind::Leave,
    body: &["C3.2"],
    open: "C3.1",
    overlap: &["C3.3", "C2.3"],
    liquid: &["C2.3"],
    node: "C4.1",
    pair: "C3.11",
    whole: &[],
    holds: "residue binds its ions here",
};
const WASH: Speaking = Speaking {
    tree: TreeKind::Wash,
    body: &["W2", "W11.1"],
    open: "",
    overlap: &[],
    liquid: &[],
    node: "W11.2",
    pair: "",
    whole: &["W1", "W3"],
    holds: "residue is washed and rinsed off",
};
const PRESENT: Speaking = Speaking {
    tree: TreeKind::Present,
    body: &["I2", "I11.1"],
    node: "I11.2",
    whole: &["I1", "I3"],
    holds: "residue is washed and rinsed off",
    ..WASH
};

/// The triad at every part that traps flux, every stressed pair elsewhere, every node of high impedance and, where the
/// residue stays, every zone with a liquid flux; argued from the claims of the tree that carries the route.
pub fn triads(case: &Case, claims: &[ClaimResult], tree: TreeKind) -> Vec<Triad> {
    let speaking = match tree {
        TreeKind::Leave => &LEAVE,
        TreeKind::Wash => &WASH,
        TreeKind::Present => &PRESENT,
    };
    spots(case, tree).into_iter().map(|s| triad(case, claims, speaking, s)).collect()
}

fn triad(case: &Case, claims: &[ClaimResult], speaking: &Speaking, s: Spot) -> Triad {
    let legs = vec![moisture(case, claims), bias(case, speaking.tree, &s), ions(case, claims, speaking, &s)];
    Triad { place: s.name, why_critical: s.why, legs }
}

/// Highest field of a spot, V/mm; none when no pair is listed there.
fn field(case: &Case, s: &Spot) -> Option<f64> {
    s.pairs.iter().map(|p| case.field(p) / 1000.0).max_by(f64::total_cmp)
}

fn spots<'a>(case: &Case<'a>, tree: TreeKind) -> Vec<Spot<'a>> {
    let a = case.a;
    let mut out: Vec<Spot> = Vec::new();
    for p in &a.pairs {
        match out.iter_mut().find(|s| s.name == p.place.text) {
            Some(s) => s.pairs.push(p),
            None => out.push(Spot {
                name: p.place.text.clone(),
                why: String::new(),
                pairs: vec![p],
                body: false,
                zones: Vec::new(),
                nodes: Vec::new(),
            }),
        }
    }
    for s in &mut out {
        s.pairs.sort_by(|x, y| case.field(y).total_cmp(&case.field(x)));
        let p = s.pairs[0];
        let e = significant(case.field(p) / 1000.0, 3);
        s.why = format!("{}/{} {} V over {}: {e} V/mm", p.net_a, p.net_b, significant(p.v_peak.si, 3), p.spacing);
    }
    for c in a.components.iter().filter(|c| traps_flux(c.body_class)) {
        let zone = c.zone.iter().map(|z| z.text.clone());
        match out.iter_mut().find(|s| s.name == c.refdes.text) {
            Some(s) => {
                s.body = true;
                s.zones.extend(zone);
            }
            None => out.push(Spot {
                name: c.refdes.text.clone(),
                why: format!("{} that can trap flux", c.body_class),
                pairs: Vec::new(),
                body: true,
                zones: zone.collect(),
                nodes: Vec::new(),
            }),
        }
    }
    for n in &a.nodes {
        let of = |p: &&NetPair| p.node.as_ref().is_some_and(|x| x.text == n.id.text);
        out.push(Spot {
            name: n.id.text.clone(),
            why: format!("node of high impedance, leakage at most {}", n.budget),
            pairs: a.pairs.iter().filter(of).collect(),
            body: false,
            zones: Vec::new(),
            nodes: vec![n.id.text.clone()],
        });
    }
    for s in &mut out {
        s.nodes.extend(s.pairs.iter().filter_map(|p| p.node.as_ref()).map(|n| n.text.clone()));
        s.zones.extend(s.pairs.iter().filter_map(|p| p.zone.as_ref()).map(|z| z.text.clone()));
    }
    if tree == TreeKind::Leave {
        out.extend(case.places(Per::LiquidZone, &|_| false).into_iter().map(|z| {
            let names: Vec<&str> = z.fluxes.iter().map(|f| f.flux.text.as_str()).collect();
            Spot {
                why: format!(
                    "zone where {} come{}",
                    names.join(" and "),
                    if names.len() > 1 { " together" } else { "s" }
                ),
                pairs: a
                    .pairs
                    .iter()
                    .filter(|p| p.geometry != Geometry::BodyUnder && p.zone.as_ref().is_some_and(|x| x.text == z.name))
                    .collect(),
                body: false,
                zones: vec![z.name.clone()],
                nodes: Vec::new(),
                name: z.name,
            }
        }));
    }
    for s in &mut out {
        s.zones.sort();
        s.zones.dedup();
        s.nodes.sort();
        s.nodes.dedup();
    }
    let key = |s: &Spot| field(case, s).unwrap_or(0.0);
    out.sort_by(|x, y| key(y).total_cmp(&key(x)).then_with(|| x.name.cmp(&y.name)));
    out
}

fn moisture(case: &Case, claims: &[ClaimResult]) -> Leg {
    let dry = claims.iter().find(|c| c.tree == TreeKind::Leave && c.id == "C3.10");
    let condensing = case.environment().condensing.as_ref().is_none_or(|q| q.si > 0.0);
    let holds = dry.is_some_and(|c| c.state >= State::WithConditions && c.state != State::NotApplicable);
    let (broken, text) = match (condensing, holds) {
        (false, true) => (true, "broken: the dew-point margin holds in every bin"),
        (true, true) => (false, "present: it condenses; the product was tested wet"),
        (_, false) => (false, "present: dryness is not shown"),
    };
    let facts = case.court.workings.facts.iter().filter(|f| f.assembly == case.id() && f.name == "dew_margin");
    let least = facts.min_by(|a, b| a.value.total_cmp(&b.value)).map(|f| f.working);
    Leg {
        leg: "moisture",
        broken,
        text: text.into(),
        claims: vec!["C3.10".into()],
        workings: least.into_iter().collect(),
    }
}

fn bias(case: &Case, tree: TreeKind, s: &Spot) -> Leg {
    let (broken, text) = match field(case, s) {
        None => (false, "not stated: no pair of conductors is listed here".to_string()),
        Some(_) if s.pairs.iter().all(|p| p.duty_biased.si * p.v_peak.si == 0.0) => {
            (true, "broken: no pair here carries bias in any state of use".to_string())
        }
        Some(e) => (false, format!("present: {} V/mm in use", significant(e, 3))),
    };
    let claims = if tree == TreeKind::Leave { vec!["C3.7".to_string()] } else { Vec::new() };
    Leg { leg: "bias", broken, text, claims, workings: Vec::new() }
}

/// A claim at a spot: its state there and the result of the place that gave it.
type Said<'a> = (&'a ClaimResult, State, &'a PlaceResult);

/// What the claim says of the places that `is` picks, the worst of them. What holds the claim down as a whole holds it
/// down at every place.
fn said<'a>(claim: Option<&'a ClaimResult>, is: &dyn Fn(&str) -> bool) -> Option<Said<'a>> {
    let c = claim.filter(|c| c.state != State::NotApplicable)?;
    let of_places = c.places.iter().map(|p| p.state).filter(|s| *s != State::NotApplicable).min();
    let whole = of_places.is_none_or(|least| c.state < least).then_some(c.state);
    let p = c
        .places
        .iter()
        .filter(|p| p.state != State::NotApplicable && is(&p.place))
        .min_by(|a, b| crate::judge::finding::weaker(a, b))?;
    Some((c, whole.map_or(p.state, |w| w.min(p.state)), p))
}

fn ions(case: &Case, claims: &[ClaimResult], speaking: &Speaking, s: &Spot) -> Leg {
    let leaf = |id: &str| claims.iter().find(|c| c.tree == speaking.tree && c.id == id);
    let mut all: Vec<Said> = Vec::new();
    let mut hear = |ids: &[&str], is: &dyn Fn(&str) -> bool| all.extend(ids.iter().filter_map(|id| said(leaf(id), is)));
    if s.body {
        hear(speaking.body, &|p| p == s.name);
    }
    let mut mixed = false;
    for z in &s.zones {
        let fluxes = case.fluxes_of(z).len();
        let liquid = case.places(Per::LiquidZone, &|_| false).iter().any(|p| p.name == *z);
        if fluxes > 1 || liquid {
            mixed = true;
            hear(if fluxes > 1 { speaking.overlap } else { speaking.liquid }, &|p| p == z);
        }
    }
    // The open surface is one place of its claim, named after its narrowest pair; it speaks of surfaces with paste alone.
    let open: Vec<&&NetPair> = s.pairs.iter().filter(|p| p.geometry != Geometry::BodyUnder).collect();
    if !mixed && !open.is_empty() {
        let out_of_use = |name: &str| case.excluding(speaking.open, name).is_some();
        let surfaces: Vec<String> = case
            .places(Per::Open, &out_of_use)
            .into_iter()
            .filter(|x| x.pairs.iter().any(|p| open.iter().any(|o| o.id.text == p.id.text)))
            .map(|x| x.name)
            .collect();
        hear(&[speaking.open], &|p| surfaces.iter().any(|x| x == p));
    }
    hear(&[speaking.node], &|p| s.nodes.iter().any(|n| n == p));
    hear(&[speaking.pair], &|p| {
        s.pairs.iter().any(|x| p == x.id.text || p.split_once(" @").is_some_and(|(id, _)| id == x.id.text))
    });
    hear(speaking.whole, &|_| true);
    let worst = all.iter().map(|x| x.1).min();
    let deciding: Vec<&Said> = all.iter().filter(|x| Some(x.1) == worst).collect();
    let text = match worst {
        None => "not shown here: no claim of this route speaks of the ions at this place".to_string(),
        Some(State::Supported) => format!("broken: {}", speaking.holds),
        Some(State::WithConditions) => {
            let mut under: Vec<&str> = deciding.iter().flat_map(|x| &x.0.conditions).map(String::as_str).collect();
            under.sort_unstable();
            under.dedup();
            if under.is_empty() {
                "broken with conditions".into()
            } else {
                format!("broken under {}", under.join(", "))
            }
        }
        Some(State::Contradicted) => "present: contradicted here".to_string(),
        Some(_) => "not shown here".to_string(),
    };
    // The number of the place itself, where it counts.
    let number = deciding
        .iter()
        .map(|x| x.2)
        .filter(|p| p.aside.is_none() && p.working.is_some() && worst != Some(State::NotYet))
        .min_by(|a, b| crate::judge::finding::weaker(a, b))
        .and_then(|p| p.working);
    let mut named: Vec<String> = deciding.iter().map(|x| x.0.id.clone()).collect();
    named.dedup();
    Leg {
        leg: "ions",
        broken: worst.is_some_and(|w| w >= State::WithConditions),
        text,
        claims: named,
        workings: number.into_iter().collect(),
    }
}
