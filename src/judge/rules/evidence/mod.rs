//! The rule of evidence: runs, under criteria, at every place, as far as their vehicles cover it.

mod explain;
mod listen;
mod outside;
mod weigh;

use crate::judge::court::Case;
use crate::judge::finding::{Write, blank, lower};
use crate::judge::places::Place;
use crate::judge::statements;
use crate::model::assessment::{ClaimResult, Code, CoverRow, PlaceResult, State, Tested, Voice};
use crate::model::governance::{ClaimSpec, Criterion, Per};
use listen::{Heard, Weight, listen};
use weigh::weigh;

/// Judges a leaf by evidence. Coverage rows go to `rows`.
pub fn judge(case: &Case, spec: &ClaimSpec, rows: &mut Vec<CoverRow>) -> ClaimResult {
    let mut out = blank(spec);
    let claim = spec.id.text.as_str();
    let per = spec.per.unwrap_or(Per::Assembly);
    let out_of_use = |name: &str| case.excluding(claim, name).is_some();
    let places = case.places(per, &out_of_use);
    if let Some(na) = not_applicable(case, spec, per, &places, &mut out) {
        return na;
    }
    // The dew-point margin belongs to the argument of dryness, not to a test.
    let criteria: Vec<&Criterion> =
        case.criteria(claim).into_iter().filter(|c| c.quantity.text != "dew_margin").collect();
    if criteria.is_empty() {
        out.reason(Code::CriterionMissing, "", "no criterion is agreed for this claim", Some(spec.at));
    }
    out.state = State::Supported;
    if per == Per::Open {
        for c in case.a.pairs.iter().flat_map(|p| [&p.id, &p.place]).filter_map(|n| case.excluding(claim, n)) {
            out.rests_on(case, &c.id.text);
            out.cap(State::WithConditions);
        }
    }
    let mut judged = 0;
    for place in &places {
        // Parts, nodes, fabricators may be taken out of use; the assembly itself and its open surface may not.
        let excluding =
            if matches!(per, Per::Assembly | Per::Open) { None } else { case.excluding(claim, &place.name) };
        if let Some(c) = excluding {
            out.rests_on(case, &c.id.text);
            out.place_state(&place.name, State::WithConditions, format!("out of use by {}", c.id));
            out.cap(State::WithConditions);
            continue;
        }
        judged += 1;
        let mut state = State::Supported;
        for criterion in &criteria {
            state = lower(state, at_place(case, spec, place, criterion, &mut out, rows));
        }
        if criteria.is_empty() {
            state = State::NotYet;
        }
        if !out.places.iter().any(|p| p.place == place.name) {
            out.place_state(&place.name, state, "");
        }
        out.state = lower(out.state, state);
    }
    if judged == 0 && per == Per::Fabricator {
        out.reason(Code::Missing, per.word(), "every fabricator is taken out of use", Some(case.a.board.at));
        out.cap(State::NotYet);
    }
    for id in case.unreported(claim) {
        out.reason(Code::Planned, id, format!("{id} is planned for this claim and not reported"), None);
        out.cap(State::NotYet);
    }
    worst_voice(&mut out, &places);
    out
}

/// Statements that a claim does not apply, and the conflicts that they may hold.
fn not_applicable(
    case: &Case,
    spec: &ClaimSpec,
    per: Per,
    places: &[Place],
    out: &mut ClaimResult,
) -> Option<ClaimResult> {
    let claim = &spec.id.text;
    let planned = !case.runs(claim).is_empty() || !case.unreported(claim).is_empty();
    let sealed: Vec<_> = case.a.contacts.iter().filter(|c| c.sealed).collect();
    match statements::holding(case, spec) {
        Some(s) if (per == Per::Assembly && planned) || (per != Per::Assembly && !places.is_empty()) => {
            out.reason(
                Code::Conflict,
                "",
                "it is stated not to apply, and yet the site has places or runs for it",
                Some(s.at),
            );
        }
        Some(s) => {
            out.state = State::NotApplicable;
            out.saw(format!("{} ({}; {} {})", s.reason, s.proof, s.by, s.on), s.at);
        }
        None if !places.is_empty() => return None,
        None if per == Per::Contact && !sealed.is_empty() => {
            out.state = State::NotApplicable;
            for c in sealed {
                out.saw(format!("{} of {} is sealed", c.id, c.refdes), c.at);
            }
        }
        None => {
            out.reason(
                Code::Missing,
                per.word(),
                format!("no place of this kind ({}) is listed, and nobody states that there is none", per.word()),
                Some(case.a.assembly.at),
            );
        }
    }
    Some(out.clone())
}

/// One criterion at one place.
fn at_place(
    case: &Case,
    spec: &ClaimSpec,
    place: &Place,
    criterion: &Criterion,
    out: &mut ClaimResult,
    rows: &mut Vec<CoverRow>,
) -> State {
    let heard = listen(case, spec, place, criterion, rows);
    let mut state = weigh(case, spec, place, criterion, &heard, out);
    if heard.is_empty() {
        out.reason(
            Code::Missing,
            place.name.clone(),
            format!("no run reports {} at {} under {}", criterion.quantity, place.name, criterion.id),
            Some(criterion.at),
        );
        state = lower(state, State::NotYet);
    }
    let worst_of = |weights: &[Weight]| {
        let of = heard.iter().filter(|h| weights.contains(&h.weight));
        of.min_by(|a, b| a.voice.margin.total_cmp(&b.voice.margin))
    };
    // A fail whose cause was shown to lie outside the process no longer speaks for the place.
    let best = worst_of(&[Weight::Fail])
        .filter(|_| state == State::Contradicted)
        .or_else(|| worst_of(&[Weight::Pass, Weight::Bridged, Weight::Marginal]))
        .or_else(|| worst_of(&[Weight::HarsherFail, Weight::None]));
    if let Some(h) = best {
        out.places.push(under_condition(case, &spec.id.text, place, h, state).unwrap_or_else(|| PlaceResult {
            place: place.name.clone(),
            state,
            text: h.voice.reason.clone(),
            value: h.voice.value,
            limit: h.voice.limit,
            margin: h.voice.margin,
            unit: h.voice.unit.clone(),
            run: h.voice.run.clone(),
            working: Some(h.voice.working),
            tested: None,
            aside: (h.weight == Weight::None).then(|| aside(case, &h.voice)),
        }));
    }
    for h in heard {
        if !out.runs.contains(&h.voice.run) && !matches!(h.weight, Weight::None) {
            out.runs.push(h.voice.run.clone());
        }
        if !out.workings.contains(&h.voice.working) {
            out.workings.push(h.voice.working);
        }
        out.voices.push(h.voice);
    }
    state
}

/// Why the number of a run that carries nothing does not count, in a few words.
fn aside(case: &Case, v: &Voice) -> String {
    match v.counts_as {
        "inadmissible" => format!("does not count: {}", case.court.standing(&v.run).first_failed),
        "not covered" => "from a run that does not cover the place".into(),
        "not shown" => "not shown".into(),
        why => format!("does not count: {}", why.trim_start_matches("inadmissible: ")),
    }
}

/// A place whose marginal run is answered by a condition that caps the dose: the bound of the line through the tested
/// doses, read at the cap. It ranks the place and lifts nothing.
fn under_condition(case: &Case, claim: &str, place: &Place, h: &Heard, state: State) -> Option<PlaceResult> {
    if h.weight != Weight::Marginal || state != State::WithConditions {
        return None;
    }
    let c = case.answering(claim, &h.voice.run).filter(|c| case.is_complete(c))?;
    let of_place = format!("{}/", place.name);
    let fact = |name: &str, starts: &str| {
        let facts = &case.court.workings.facts;
        facts.iter().find(|f| f.assembly == case.id() && f.name == name && f.place.starts_with(starts))
    };
    let at_cap = fact("dose_trend_cap", &of_place)?;
    let against = fact("dose_trend_cap_margin", &at_cap.place)?;
    let margin = against.value;
    if h.voice.unit != at_cap.unit || margin <= h.voice.margin {
        return None;
    }
    let tested = Tested {
        at: tested_dose(case, &h.voice, at_cap.place.trim_start_matches(&of_place)).unwrap_or_else(|| "more".into()),
        kept: c.limit.to_string(),
        condition: c.id.text.clone(),
        value: h.voice.value,
        margin: h.voice.margin,
        working: h.voice.working,
    };
    Some(PlaceResult {
        place: place.name.clone(),
        state,
        text: format!(
            "{} kept by {}; the line through the doses of {}, read there, ranks the place and lifts nothing; tested at {}, {}",
            c.limit, c.id, h.voice.run, tested.at, h.voice.reason
        ),
        value: h.voice.limit + margin,
        limit: h.voice.limit,
        margin,
        unit: h.voice.unit.clone(),
        run: h.voice.run.clone(),
        working: Some(against.working),
        tested: Some(tested),
        aside: None,
    })
}

/// Dose of a flux on the build that a voice speaks of, as it was written.
fn tested_dose(case: &Case, v: &Voice, flux: &str) -> Option<String> {
    let of_voice = |o: &&crate::model::workings::Outcome| o.run == v.run && o.working == v.working;
    let outcome = case.court.workings.outcomes.iter().find(of_voice)?;
    let (_, build) = case.site().build(&case.court.set(outcome).build)?;
    build.flux.iter().find(|f| f.material.text == flux)?.dose.as_ref().map(ToString::to_string)
}

/// The place that keeps the claim from being supported: its number, where it counts, is that of the claim.
fn blocking(out: &mut ClaimResult) -> bool {
    let blocked = out.places.iter().filter(|p| p.state == State::NotYet);
    let size = |p: &PlaceResult| {
        let d = crate::quantity::distance(p.value, p.limit, p.margin, &p.unit);
        if d.is_nan() { f64::INFINITY } else { d }
    };
    let Some(p) = blocked.min_by(|a, b| size(a).total_cmp(&size(b))).cloned() else { return false };
    let counts = p.aside.is_none();
    (out.value, out.margin) = if counts { (p.value, p.margin) } else { (f64::NAN, f64::NAN) };
    out.limit = p.limit;
    if let Some(v) = out.voices.iter().find(|v| Some(v.working) == p.working) {
        out.guard = v.guard;
        out.n = v.n;
        out.criterion = v.criterion.clone();
    }
    out.unit = p.unit;
    out.place = p.place;
    true
}

/// Value, limit and margin of the claim are those of the weakest voice that carries it. A fail comes first, unless
/// its cause was shown to lie outside the process.
fn worst_voice(out: &mut ClaimResult, places: &[Place]) {
    if out.state == State::NotYet && blocking(out) {
        return;
    }
    let argued = out.state >= State::WithConditions && out.state != State::NotApplicable;
    let rank = |v: &Voice| match v.counts_as {
        "H" if argued => 2,
        "H" => 0,
        "P" | "Pb" | "M" => 1,
        "Hs" => 2,
        "not shown" | "not covered" => 3,
        _ => 4,
    };
    let relative = |v: &Voice| {
        let d = crate::quantity::distance(v.value, v.limit, v.margin, &v.unit);
        if d.is_nan() { f64::INFINITY } else { d }
    };
    let best = out.voices.iter().min_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| relative(a).total_cmp(&relative(b))));
    if let Some(v) = best.cloned() {
        out.value = v.value;
        out.limit = v.limit;
        out.guard = v.guard;
        out.margin = v.margin;
        out.unit = v.unit.clone();
        out.n = v.n;
        out.criterion = v.criterion.clone();
        out.place = out
            .places
            .iter()
            .filter(|p| p.run == v.run)
            .min_by(|a, b| a.margin.total_cmp(&b.margin))
            .map(|p| p.place.clone())
            .or_else(|| places.first().map(|p| p.name.clone()))
            .unwrap_or_default();
    } else if let Some(p) = places.first() {
        out.place = p.name.clone();
    }
}
