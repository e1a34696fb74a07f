//! Takes the site; gives every derived value with formula, inputs and source.

pub mod calc;
pub mod describe;
mod facts;
pub mod maths;
mod outcome;
pub mod selftest;
mod sets;
pub mod work;

use crate::model::site::Site;
use crate::model::workings::Workings;
use rayon::prelude::*;
use sets::{Ctx, Prepared};

/// Computes everything that the claims need. The order of the result does not depend on threads.
pub fn compute(site: &Site) -> Workings {
    let ctx = |i: usize| Ctx { site, folder: &site.runs[i] };
    let read: Vec<(Workings, Vec<Prepared>)> = (0..site.runs.len())
        .into_par_iter()
        .map(|i| {
            let mut w = Workings::default();
            let prepared = sets::of_run(ctx(i), &mut w);
            (w, prepared)
        })
        .collect();
    let (mut works, mut prepared): (Vec<Workings>, Vec<Vec<Prepared>>) = read.into_iter().unzip();
    // Drops from fresh to aged look at two runs; their workings are entered with the aged one.
    for i in 0..prepared.len() {
        let drops = sets::aged::drops(site, &prepared, i, &mut works[i]);
        prepared[i].extend(drops);
    }
    let judged: Vec<Workings> = works
        .into_par_iter()
        .zip(&prepared)
        .enumerate()
        .map(|(i, (mut w, sets))| {
            w.outcomes = outcome::of_run(ctx(i), sets, &mut w);
            w.sets = sets.iter().map(|p| p.set.clone()).collect();
            w
        })
        .collect();
    let mut all = Workings { describe: Some(describe::describe), ..Workings::default() };
    for w in judged {
        work::append(&mut all, w);
    }
    facts::enter(site, &mut all);
    let answers = selftest::run(calc::registry());
    all.known_answers = answers.counts();
    all.self_test = answers.digest();
    all
}
