//! Takes a number of repetitions; prints what a staged plan saves, and the seconds of a million draws of it.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    clippy::disallowed_types,
    reason = "a bench measures time and prints it"
)]

use galipot::compute::maths::distribution::Distribution;
use galipot::plan::poly::Poly;
use galipot::plan::spread::{Case, spreads};
use std::time::Instant;

const DRAWS: usize = 1_000_000;
const SEED: u64 = 20_250_613;

/// Low, mode and high of: price of a kWh, crew, factor on the fixed cost, replacement, price of effluent, cost a year without
/// the wash, the same once, price of a machine, hours of the first shift, cost of a load, chance of the first test.
const UNCERTAIN: [[f64; 3]; 11] = [
    [0.12, 0.17, 0.29],
    [0.5, 0.75, 1.0],
    [0.9, 1.0, 1.2],
    [220e3, 310e3, 380e3],
    [4.0, 5.4, 9.0],
    [25e3, 36.5e3, 60e3],
    [130e3, 151_640.0, 230e3],
    [80e3, 96e3, 130e3],
    [1500.0, 2100.0, 3000.0],
    [14.0, 17.3, 24.0],
    [0.45, 0.65, 0.8],
];

/// Factor on what is paid in a month, at 9 % a year.
fn at(month: i32) -> f64 {
    libm::pow(1.09, -f64::from(month) / 12.0)
}

/// Factor on what a year costs in these months.
fn years(from: i32, to: i32) -> f64 {
    (from..=to).map(at).sum::<f64>() / 12.0
}

/// Cost of keeping everything, and the plan: see `staged` in peers.py, which says the same for numpy.
fn model() -> (Poly, Case) {
    let x = |i: u16| Poly::variable(i);
    let c = Poly::constant;
    let hour = x(0).scale(78.0 * 0.755).add(&x(4).scale(0.6 * 0.92)).add(&x(1).scale(24.5));
    let hour = hour.add(&c(0.6 * 2.70 + 2.15 + 3.20));
    let fixed = x(2).scale(61_820.0);
    let (full, part) = (fixed.add(&hour.scale(4200.0)), fixed.add(&hour.mul(&x(8))));
    let keep = full.scale(years(1, 72)).add(&x(3).scale(at(36)));
    let begin = x(6).add(&c(23_000.0)).add(&full.scale(years(1, 5)));
    let two = part.add(&x(5)).add(&c(6000.0));
    let batch = |month: i32, machines: f64, loads: f64| {
        let once = x(7).scale(machines).add(&c(18_000.0 - 25_000.0)).scale(at(month));
        let year = x(9).scale(loads).add(&x(5)).add(&c(machines * 15_530.0));
        once.add(&year.scale(years(month, 72)))
    };
    let left = begin.add(&two.scale(years(6, 8))).add(&batch(9, 1.0, 325.0));
    let until = begin.add(&two.scale(years(6, 11))).add(&c(14_000.0 * at(8)));
    let washed = until.add(&batch(12, 2.0, 2225.0));
    let stays = two.add(&x(8).scale(3.9)).scale(years(12, 72)).add(&x(3).scale(at(36)));
    let stays = until.add(&c(38_000.0 * at(12))).add(&stays);
    let paths =
        vec![(vec![(0, true)], left), (vec![(0, false), (1, true)], washed), (vec![(0, false), (1, false)], stays)];
    (keep, Case { paths })
}

fn main() {
    let repetitions = std::env::args().skip(1).find_map(|a| a.parse().ok()).unwrap_or(5);
    let of = UNCERTAIN.map(|[low, mode, high]| Distribution::Triangular { low, mode, high });
    let (keep, case) = model();
    let chances = [Poly::variable(10), Poly::constant(0.7)];
    let run = || spreads(&of, &chances, &keep, std::slice::from_ref(&case), SEED, DRAWS);
    let seconds: Vec<f64> = (0..=repetitions)
        .map(|_| {
            let began = Instant::now();
            std::hint::black_box(run());
            began.elapsed().as_secs_f64()
        })
        .collect();
    let s = &run()[0];
    println!(
        "{{\"mean\": {}, \"exact_mean\": {}, \"sd\": {}, \"p5\": {}, \"p50\": {}, \"p95\": {}, \"loss\": {}, \"seconds\": {:?}}}",
        s.mean,
        s.exact_mean,
        s.sd,
        s.p5,
        s.p50,
        s.p95,
        s.loss,
        &seconds[1..]
    );
}
