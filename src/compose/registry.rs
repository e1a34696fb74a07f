//! Takes nothing; gives every block that a template may place, with what it shows; see docs/templates.md.

use super::desk::Desk;
use super::{
    annex, asked, claims, coverage, curves, flux, identity, line, outcomes, places, registers, runs, since, triad,
    unproven, verdict, watch, weakest,
};
use crate::model::document::Block;

/// A block that templates place by name.
pub struct Named {
    pub name: &'static str,
    pub shows: &'static str,
    /// Appended at the end when no template places it: what speaks against must not get lost by a template.
    pub obligatory: bool,
    pub make: fn(&Desk) -> Vec<Block>,
}

macro_rules! blocks {
    ($($name:literal $must:ident $make:path, $shows:literal;)*) => {
        /// Every block, in order of name.
        pub const BLOCKS: &[Named] = &[$(Named {
            name: $name, shows: $shows, obligatory: blocks!(@$must), make: $make,
        }),*];
    };
    (@must) => { true };
    (@may) => { false };
}

blocks! {
    "acceptances" may line::acceptances, "first articles, safety files, manuals";
    "ages" may annex::ages, "how long each kind of evidence counts";
    "altered_files" may runs::altered, "files that are not the ones registered";
    "answer" must verdict::answer, "the answer to \"may the residue stay?\" with validity, use, legs relied on";
    "apertures" may places::apertures, "stencil apertures with their area ratios";
    "approvals" must asked::signatures, "lines to sign on";
    "asked" must asked::paragraphs, "one paragraph per residual risk that the signature accepts";
    "asked_short" may verdict::asked_short, "the same in one sentence";
    "assumptions" must registers::assumptions, "what is accepted without a test";
    "audits" may line::audits, "audits with their findings";
    "bare_places" must triad::bare, "places where no leg of the triad is shown to be broken";
    "changes" may line::changes, "present process beside the new one, and what the wash did besides";
    "charts" may watch::charts, "control charts with limits, reaction and owner";
    "claims_explained" may claims::leave_explained, "every leaf claim of leaving: rule, numbers, evidence, next step";
    "claims_present" may claims::present, "tree of the present process";
    "claims_tree" must claims::leave, "tree of leaving the residue";
    "claims_wash" may claims::wash, "tree of the saponified wash";
    "climate" may flux::climate, "environment, climate bins, dew margin, wet hours";
    "comb_figures" must curves::figures, "every comb of every run over time, on one fixed axis";
    "comments" must asked::comments, "remarks of reviewers and what became of them";
    "compared" may verdict::compared, "the three routes, one line each";
    "conditions" must registers::conditions, "the register of conditions";
    "conditions_short" may verdict::conditions, "the conditions of the route, one line each";
    "controls" may curves::controls, "controls, chamber and sampling of every run";
    "coverage_bridged" may coverage::bridged, "cells carried by signed reasoning";
    "coverage_by_run" may coverage::by_run, "why runs do not carry an open place by themselves";
    "coverage_matrix" may coverage::matrix, "the coverage matrix of every claim";
    "criteria" must annex::criteria, "criteria with source and standing";
    "damp_heat" may outcomes::damp_heat, "product in damp heat";
    "deviations" must runs::deviations, "departures from method or plan";
    "dimensions" may coverage::dimensions_named, "the names of K1 to K21";
    "doubt" may verdict::doubt, "the biggest open doubt";
    "doubts" must registers::doubts, "every doubt with its status and answer";
    "downstream" may outcomes::downstream, "coating and joints";
    "drops" must curves::drops, "drops, filaments and other events";
    "failed" must runs::failed, "runs that speak against";
    "failed_short" may runs::failed_short, "failed runs, one line each";
    "failure_modes" may watch::failure_modes, "failure modes, the most severe first";
    "flux_matrix" may flux::matrix, "zone by flux, without a blank cell";
    "functions" may outcomes::functions, "measured leakage, radio, withstand, contacts";
    "gaps" may places::gaps, "gap and fill by calculation against what is known";
    "gates" may runs::gates, "gates that runs did not pass";
    "how_to_check" may identity::how_to_check, "how the digest on every page is made, and how to check it";
    "identity" must identity::table, "what the dossier is about: product, drawing, process, environment, life, customer";
    "incoming_ionic" may outcomes::incoming_ionic, "ions of bare boards and parts as received";
    "instruments" may annex::instruments, "instruments and calibrations";
    "ionic" may outcomes::ionic, "ions of boards and places";
    "laboratories" may annex::laboratories, "laboratories and their scope";
    "leakage_need" may places::leakage_need, "leakage that circuits bear against what insulation gives";
    "limits_of_use" may asked::limits, "limits of use";
    "lots" may outcomes::lots, "extract level of production lots";
    "manifest" must annex::manifest, "input files with size and digest";
    "materials" may flux::materials, "what the fluxes are";
    "migration" may outcomes::migration, "electrochemical migration";
    "not_applicable" must annex::not_applicable, "claims that do not apply, with reason";
    "not_proven" must unproven::not_proven, "claims that are not supported, the worst first";
    "notices" may watch::notices, "changes on notice";
    "others_explained" may claims::others_explained, "every leaf claim of the wash and of the present process";
    "pairs" may places::pairs, "conductor pairs, the highest field first";
    "parts" may places::parts, "parts, the lowest gap first";
    "paste" may flux::paste, "residue of the paste by calculation";
    "places_counted" may places::counted, "how many places there are";
    "process" may outcomes::process, "print, reflow, dose";
    "protocols" may annex::protocols, "what was signed before the data";
    "ranking" may weakest::ranking, "all places by state and margin";
    "register" must runs::register, "every registered run";
    "remarks" may asked::remarks, "a form for the remarks of a reviewer, one row per section";
    "requirements" must line::requirements, "clauses that touch cleaning";
    "run_count" must runs::count_line, "planned = reported + pending";
    "sensitive" may places::sensitive, "nodes, radio, contacts, keep-outs";
    "sheets" must identity::nothing, "a calculation sheet for every working that the copy cites";
    "side_by_side" may claims::side_by_side, "the three routes in a table";
    "signature_accepts" may asked::signature, "what the customer's signature accepts, or that it accepts nothing";
    "since" must since::since, "what moved since the revision before, and what did not";
    "statistics" must outcomes::statistics, "insulation per run, cell and pattern";
    "testing" may outcomes::testing, "circuit test and inspection";
    "triad" may triad::places, "moisture, bias and ions at every critical place";
    "triggers" may watch::triggers, "what would re-open claims";
    "uncovered" must coverage::uncovered, "dimensions that no run covers";
    "under_body" may outcomes::under_body, "what was seen under bodies";
    "untested" must unproven::untested, "what was never tested";
    "unused" may watch::unused, "criteria and runs that no claim uses";
    "wash_runs" may outcomes::wash_runs, "wash runs and returns";
    "weakest" must weakest::five, "the weakest five places";
    "what_if" must annex::what_if, "values that were replaced on the command line";
    "worst_place" must curves::worst_place, "raw data of the weakest place that was measured";
    "wrong_if" must verdict::wrong_if, "what would make the verdict wrong";
}

/// The block of a name.
pub fn find(name: &str) -> Option<&'static Named> {
    BLOCKS.iter().find(|b| b.name == name)
}
