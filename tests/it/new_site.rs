//! Takes the files of `galipot new`; shows that they are complete, small, read as they stand and with every example on.

use crate::builder::{self, Files};
use galipot::model::assessment::State;
use galipot::model::governance::TreeKind;
use std::fmt::Write;
use std::path::Path;

pub fn files() -> Files {
    builder::load(Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/new-site"))
}

/// Hours from the first to the last reading, and from one reading to the next.
const LAST: u32 = 168;
const STEP: u32 = 2;

/// A plain linear congruential sequence (constants of Knuth's MMIX), so that anybody can make the readings again.
struct Noise(u64);

impl Noise {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    /// Mean 0 and standard deviation 1, near enough to normal: twelve uniform numbers less six.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// The readings of RUN-001: three boards of two combs, one control.
fn sir() -> String {
    let mut noise = Noise(1);
    let mut combs = Vec::new();
    for board in ["A1", "A2", "A3"] {
        let of_board = 9.6 + 0.08 * noise.normal();
        for pattern in ["K1", "K2"] {
            combs.push((board, pattern, of_board + 0.06 * noise.normal()));
        }
    }
    combs.push(("C1", "K1", 11.4));
    let mut out = String::from("t_h,board,pattern,R_ohm,flag\n");
    for t in (0..=LAST).step_by(STEP as usize) {
        for (board, pattern, mean) in &combs {
            let hours = f64::from(t);
            let settling = 1.1 * libm::exp(-hours / 5.0) + 0.04 * libm::log10((hours + 1.0) / 25.0);
            let lg = mean + settling + 0.01 * noise.normal();
            let exponent = libm::floor(lg);
            let _ = writeln!(out, "{t},{board},{pattern},{:.2}e{exponent},ok", libm::pow(10.0, lg - exponent));
        }
    }
    out
}

fn chamber() -> String {
    let mut noise = Noise(2);
    let mut out = String::from("t_h,T_c,RH_pct\n");
    for t in (0..=LAST).step_by(STEP as usize) {
        let _ = writeln!(out, "{t},{:.1},{:.1}", 40.0 + 0.2 * noise.normal(), 90.0 + 0.6 * noise.normal());
    }
    out
}

/// The readings of RUN-002: chloride on five bare boards.
fn ions() -> String {
    let mut noise = Noise(3);
    let mut out = String::from(
        "sample,board,place,ion,conc_mg_L,blank_mg_L,volume_mL,dilution,area_cm2,area_basis,lod_mg_L,recovery_pct\n",
    );
    for i in 1..=5 {
        let conc = 0.26 + 0.012 * noise.normal();
        let _ = writeln!(out, "S{i},BB-{i},FAB-1,Cl,{conc:.3},0.012,60,1,48.0,both_sides,0.01,97");
    }
    out
}

#[test]
fn the_readings_are_what_their_generator_gives() {
    for (path, made) in
        [("runs/RUN-001/sir.csv", sir()), ("runs/RUN-001/chamber.csv", chamber()), ("runs/RUN-002/ions.csv", ions())]
    {
        let all = files();
        let found = all.iter().find(|f| f.0 == path).unwrap_or_else(|| panic!("{path} is missing"));
        assert!(found.1 == made.as_bytes(), "{path} differs from its generator");
    }
}

/// Every record of the examples that are switched off with `#:`, switched on.
fn switched_on(path: &str, text: &str) -> Files {
    let mut all = files();
    builder::put(&mut all, path, text.replace("#: ", ""));
    all
}

fn assess(what: &str, files: Files) -> galipot::pipeline::Assessed {
    let a = match builder::assess(files) {
        Ok(a) => a,
        Err(r) => {
            let style = galipot::cli::show::Style::default();
            panic!("{what}:\n{}", galipot::cli::show::short(&r.sources, &r.problems, &style));
        }
    };
    assert!(a.warnings.is_empty(), "{what}: {:?}", a.warnings);
    assert!(a.site.runs.iter().all(|r| r.altered.is_empty()), "{what}: a digest is wrong");
    a
}

#[test]
fn the_list_in_the_program_is_the_folder() {
    let listed: Vec<&str> = galipot::cli::new::FILES.iter().map(|f| f.0).collect();
    let found = files();
    assert_eq!(listed, found.iter().map(|f| f.0.as_str()).collect::<Vec<_>>());
    for ((path, inside), (_, outside)) in galipot::cli::new::FILES.iter().zip(&found) {
        assert!(*inside == outside.as_slice(), "{path} differs");
    }
}

#[test]
fn it_is_small_and_every_file_says_first_what_it_is_for() {
    let all = files();
    let bytes: usize = all.iter().map(|f| f.1.len()).sum();
    assert!(bytes < 70_000, "{bytes} bytes");
    for (path, bytes) in &all {
        let text = std::str::from_utf8(bytes).expect("text");
        if path.ends_with(".toml") {
            assert!(text.starts_with("# "), "{path} does not begin with a comment");
        }
        let long = text.lines().find(|l| l.chars().count() > 125);
        assert!(long.is_none(), "{path}: {long:?}");
    }
}

#[test]
fn it_reads_and_is_not_yet_with_something_supported() {
    let a = assess("as it stands", files());
    let x = &a.assessment.assemblies[0];
    assert_eq!((x.state, x.wash_state, x.present_state), (State::NotYet, State::NotYet, State::NotYet));
    let leaf = |id: &str| x.claim(TreeKind::Leave, id).unwrap_or_else(|| panic!("no {id}"));
    for id in ["C1.1", "C1.2", "C1.3", "C1.5", "C1.6", "C2.1", "C2.4", "C2.7", "C6.9", "C7.1", "C7.5", "C10.2"] {
        assert_eq!(leaf(id).state, State::Supported, "{id}: {:?}", leaf(id).reasons);
    }
    for id in ["C1.4", "C2.2", "C3.1", "C3.2", "C6.6", "C7.4"] {
        assert_eq!(leaf(id).state, State::NotYet, "{id}");
    }
    for id in ["C2.3", "C3.3", "C3.8", "C4.2", "C4.3"] {
        assert_eq!(leaf(id).state, State::NotApplicable, "{id}: {:?}", leaf(id).reasons);
    }
    assert!(x.claims.iter().all(|c| c.state != State::Contradicted));
}

#[test]
fn every_example_that_is_switched_off_reads_when_it_is_switched_on() {
    let mut seen = Vec::new();
    for (path, bytes) in files() {
        let text = String::from_utf8(bytes).expect("text");
        if !path.ends_with(".toml") || !text.contains("#: ") {
            continue;
        }
        let on = switched_on(&path, &text);
        let a = assess(&path, on);
        assert!(a.assessment.assemblies[0].state < State::WithConditions, "{path}");
        seen.extend(
            text.lines()
                .filter_map(|l| l.strip_prefix("#: "))
                .filter(|l| l.trim().starts_with("[["))
                .map(str::to_string),
        );
    }
    assert!(seen.len() >= 12, "{seen:?}");
}

#[test]
fn every_kind_of_record_has_an_example() {
    let all: String = files().into_iter().map(|f| String::from_utf8(f.1).expect("text") + "\n").collect();
    let has = |header: String| {
        all.lines().any(|l| {
            let l = l.trim_start_matches(['#', ':', ' ']);
            l == header || l.starts_with(&format!("{header} "))
        })
    };
    // Where an example would be wrong even if it were switched on, it is a plain comment.
    let missing: Vec<&str> = galipot::read::layout::ROOMS
        .iter()
        .flat_map(|r| r.tables)
        .filter(|t| !has(if t.many { format!("[[{}]]", t.kind) } else { format!("[{}]", t.kind) }))
        .map(|t| t.kind)
        .collect();
    assert_eq!(missing, Vec::<&str>::new());
}

/// State and codes of one claim of the leave tree.
fn claim(files: Files, id: &str) -> (State, Vec<&'static str>) {
    let a = assess(id, files);
    let c = a.assessment.assemblies[0].claim(TreeKind::Leave, id).expect("the claim").clone();
    (c.state, c.reasons.iter().map(|r| r.code.word()).collect())
}

#[test]
fn a_predicted_leakage_counts_as_far_as_its_run_does() {
    // The run has one small departure; answered, the prediction holds.
    let mut sound = files();
    builder::patch(
        &mut sound,
        "criteria/criteria.toml",
        "value = \"20 min\"\nstatistic",
        "value = \"200 min\"\nstatistic",
    );
    assert_eq!(claim(sound.clone(), "C3.11"), (State::Supported, vec![]));
    let mut unplanned = sound.clone();
    builder::patch(&mut unplanned, "protocols/protocol.toml", "id = \"RUN-001\"", "id = \"RUN-009\"");
    builder::patch(&mut unplanned, "register/register.toml", "#: run = \"RUN-001\"\n#: assembly", "#: assembly");
    assert_eq!(claim(unplanned, "C3.11"), (State::NotYet, vec!["CRITERION_AFTER_DATA", "PLANNED"]));
    let mut altered = sound.clone();
    builder::patch(&mut altered, "runs/RUN-001/sir.csv", "\n0,A1,K1,5", "\n0,A1,K1,6");
    let a = builder::assess(altered).expect("it reads");
    let c = a.assessment.assemblies[0].claim(TreeKind::Leave, "C3.11").expect("the claim");
    assert_eq!((c.state, c.reasons[0].code.word()), (State::NotYet, "INADMISSIBLE"));
    let mut old = sound;
    builder::patch(&mut old, "galipot.toml", "as_of = 2026-03-31", "as_of = 2029-03-31");
    let (state, codes) = claim(old, "C3.11");
    assert!(state == State::NotYet && codes.contains(&"EXPIRED_AGE"), "{state:?} {codes:?}");
}
