//! Takes what was heard at a place where nothing carries the claim; gives the reasons, one per voice.

use super::listen::{Heard, Weight};
use crate::judge::court::Case;
use crate::judge::coverage::TOGETHER;
use crate::judge::finding::Write;
use crate::judge::places::Place;
use crate::model::assessment::{ClaimResult, Code, Cover, GateEffect};

/// Why nothing carries the claim at a place: every voice that does not count says so.
pub(super) fn explain_absence(case: &Case, place: &Place, heard: &[Heard], out: &mut ClaimResult) {
    for h in heard.iter().filter(|h| h.weight == Weight::None) {
        let at = Some(h.voice.at);
        let run = &h.voice.run;
        match h.voice.counts_as {
            "not shown" => {
                out.reason(Code::NotShown, run.clone(), format!("{run}: {}", h.voice.reason), at);
            }
            "expired" => out.reason(Code::ExpiredAge, run.clone(), format!("{run} is too old to count"), at),
            "exploratory" | "criterion agreed after the data" => {
                out.reason(Code::CriterionAfterData, run.clone(), format!("{run}: {}", h.voice.counts_as), at);
            }
            "not covered" | "no build is named" => {
                let ks: Vec<String> = h
                    .founds
                    .iter()
                    .filter(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension))
                    .map(|(c, _)| format!("{} (tested {}; needed {})", c.dimension, c.tested, c.needed))
                    .collect();
                let detail: Vec<&str> = h
                    .founds
                    .iter()
                    .filter(|(c, _)| c.cover == Cover::Not && !TOGETHER.contains(&c.dimension))
                    .map(|(c, _)| c.dimension)
                    .collect();
                let words = if ks.is_empty() { h.voice.counts_as.to_string() } else { ks.join(", ") };
                out.reason(
                    Code::NotCovered,
                    detail.join(","),
                    format!("{}: {run} does not cover it: {words}", place.name),
                    at,
                );
            }
            why if why.starts_with("G8") => {
                out.reason(Code::Inadmissible, "G8", format!("{run} {}: {why}", h.voice.cell), at);
            }
            "inadmissible: readings too far apart" => {
                out.reason(Code::Inadmissible, "G9", format!("{run}: {}", h.voice.counts_as), at);
            }
            "inadmissible" => {
                let s = case.court.standing(run);
                let gate = s.gates.iter().find(|g| g.effect == GateEffect::Inadmissible);
                let (name, words, at) = gate.map_or(("", "", at), |g| (g.gate, g.text.as_str(), Some(g.at)));
                out.reason(Code::Inadmissible, name, format!("{run} is inadmissible ({name}): {words}"), at);
            }
            why => out.reason(Code::Missing, run.clone(), format!("{run}: {why}"), at),
        }
    }
    for h in heard.iter().filter(|h| h.weight == Weight::Marginal) {
        out.reason(
            Code::Marginal,
            h.voice.run.clone(),
            format!("{}: {}", h.voice.run, h.voice.reason),
            Some(h.voice.at),
        );
    }
    for h in heard.iter().filter(|h| h.weight == Weight::HarsherFail) {
        out.reason(
            Code::OpenDefeater,
            h.voice.run.clone(),
            format!("{} failed on a harsher or different vehicle: {}", h.voice.run, h.voice.reason),
            Some(h.voice.at),
        );
    }
}
