//! Takes changes to a small clean site; gives the site, judged, with short ways to ask for states and reasons.
//!
//! One assembly with an open pair and a body, one vehicle with a comb at 0.2 mm and a body pattern at 5 V, three runs
//! of three lots at both corners of the reflow window, bare boards measured: C3.1, C3.2 and C3.7 are supported.
//! Readings last four hours only, so that a test is quick; the criterion's window says so.

use crate::builder::{self, Files};
use galipot::model::assessment::{ClaimResult, Code, Defeater, RunStanding, State};
use galipot::pipeline::{self, Assessed, Options};

pub use super::records::{CORNERS, any, bridge, build, condition, criterion, overlap, overlap_of};
pub use State::{Contradicted as X, NotApplicable as NA, NotYet as N, Supported as S, WithConditions as C};

/// Boards of every run.
pub const BOARDS: usize = 8;
/// Readings every 20 minutes up to this hour.
const HOURS: f64 = 4.0;

const ASSEMBLY: &str = include_str!("clean/assembly.toml");
const VEHICLE: &str = include_str!("clean/vehicle.toml");
const PEOPLE: &str = include_str!("clean/people.toml");
const SITE: &str = include_str!("clean/site.toml");
const CUSTOMER: &str = include_str!("clean/customer.toml");
const CRITERIA: &str = include_str!("clean/criteria.toml");
const PROTOCOL: &str = include_str!("clean/protocol.toml");
const MATERIALS: &str = include_str!("clean/materials.toml");
const PROCESSES: &str = include_str!("clean/processes.toml");
const LABS: &str = include_str!("clean/labs.toml");
const ENVIRONMENT: &str = include_str!("clean/environment.toml");
const RUN: &str = include_str!("clean/run.toml");
const INCOMING: &str = include_str!("clean/incoming.toml");

/// Resistance in log10 ohm of the clean site: a decade and more above the limit, boards a tenth apart.
pub fn level(board: usize, pattern: &str, _t: f64) -> f64 {
    let spread = [0.0, 0.1, -0.1, 0.05, -0.05, 0.12, -0.12, 0.02];
    let base = if pattern == "B1" { 9.6 } else { 9.8 };
    base + spread[board % BOARDS]
}

/// The digits of a run's id: its boards are named after them.
fn number(run: &str) -> String {
    run.chars().filter(char::is_ascii_digit).collect()
}

/// A site under change.
pub struct Site {
    pub files: Files,
}

/// The clean site.
pub fn clean() -> Site {
    let mut s = Site { files: Vec::new() };
    for (path, text) in [
        ("galipot.toml", SITE),
        ("customers/wren.toml", CUSTOMER),
        ("assemblies/ab-10.toml", ASSEMBLY),
        ("vehicles/tv-1.toml", VEHICLE),
        ("people/people.toml", PEOPLE),
        ("criteria/cs-1.toml", CRITERIA),
        ("protocols/pt-1.toml", PROTOCOL),
        ("materials/materials.toml", MATERIALS),
        ("processes/processes.toml", PROCESSES),
        ("labs/labs.toml", LABS),
        ("environments/indoor.toml", ENVIRONMENT),
        ("register/register.toml", ""),
    ] {
        builder::put(&mut s.files, path, text);
    }
    for i in 1..=3 {
        s = s.with_run(&format!("RUN-{i}"), &format!("BLD-{i}"), &format!("2025-10-0{i}"));
    }
    let csv = "sample,board,place,ion,conc_mg_L,blank_mg_L,volume_mL,dilution,area_cm2,area_basis,lod_mg_L\n\
               S1,P1,FAB-1,Cl,0.40,0.0,50,1,100,both_sides,0.01\nS2,P2,FAB-1,Cl,0.42,0.0,50,1,100,both_sides,0.01\n\
               S3,P3,FAB-1,Cl,0.38,0.0,50,1,100,both_sides,0.01\n";
    s.file("runs/INC-1/run.toml", INCOMING).file("runs/INC-1/ionic.csv", csv).stamp("INC-1", "ionic.csv")
}

impl Site {
    /// Plans a run of the clean protocol for a claim.
    pub fn plan(self, run: &str, claim: &str) -> Site {
        let text = format!(
            "[[protocol.planned]]\nid = \"{run}\"\nclaims = [\"{claim}\"]\nassemblies = [\"AB-10\"]\nwhat = \"more\"\n"
        );
        self.add("protocols/pt-1.toml", &text)
    }

    /// Adds a run of the clean kind, on a build of the vehicle, begun on a day.
    pub fn with_run(self, id: &str, build: &str, day: &str) -> Site {
        let n = number(id);
        let toml = RUN
            .replace("RUN-ID", id)
            .replace("BUILD-ID", build)
            .replace("START-DAY", day)
            .replace("CONTROLS", &format!("[\"K{n}-1\", \"K{n}-2\"]"));
        self.file(&format!("runs/{id}/run.toml"), &toml).chamber(id, |_| (40.1, 89.6)).sir(id, level)
    }

    /// The chamber log of a run, temperature and humidity by hour, every ten minutes.
    pub fn chamber(self, run: &str, air: impl Fn(f64) -> (f64, f64)) -> Site {
        self.chamber_for(run, HOURS, air)
    }

    /// The same for another number of hours.
    pub fn chamber_for(self, run: &str, hours: f64, air: impl Fn(f64) -> (f64, f64)) -> Site {
        let row = |i: u32| {
            let t = f64::from(i) / 6.0;
            let (c, rh) = air(t);
            format!("{t:.4},{c},{rh}\n")
        };
        let rows: String = (0..=(hours * 6.0) as u32).map(row).collect();
        self.file(&format!("runs/{run}/chamber.csv"), &format!("t_h,T_c,RH_pct\n{rows}")).stamp(run, "chamber.csv")
    }

    /// Writes a file anew.
    pub fn file(mut self, path: &str, text: &str) -> Site {
        builder::put(&mut self.files, path, text);
        self
    }

    /// Adds text at the end of a file.
    pub fn add(mut self, path: &str, text: &str) -> Site {
        let old = self.files.iter().find(|f| f.0 == path).map_or(Vec::new(), |f| f.1.clone());
        let new = format!("{}\n{text}\n", String::from_utf8(old).expect("text"));
        builder::put(&mut self.files, path, new);
        self
    }

    /// Adds records to the register: conditions, answers, doubts, waivers.
    pub fn register(self, text: &str) -> Site {
        self.add("register/register.toml", text)
    }

    /// Replaces a text that stands exactly once in a file.
    pub fn patch(mut self, path: &str, old: &str, new: &str) -> Site {
        builder::patch(&mut self.files, path, old, new);
        self
    }

    /// Replaces a text that stands once in the record of a run.
    pub fn run(self, id: &str, old: &str, new: &str) -> Site {
        self.patch(&format!("runs/{id}/run.toml"), old, new)
    }

    /// The same change in all three runs.
    pub fn runs(mut self, old: &str, new: &str) -> Site {
        for i in 1..=3 {
            self = self.run(&format!("RUN-{i}"), old, new);
        }
        self
    }

    /// Replaces every occurrence in a file.
    pub fn replace(mut self, path: &str, old: &str, new: &str) -> Site {
        let file = self.files.iter_mut().find(|f| f.0 == path).unwrap_or_else(|| panic!("no file {path}"));
        let text = String::from_utf8(file.1.clone()).expect("text");
        assert!(text.contains(old), "\"{old}\" must stand in {path}");
        file.1 = text.replace(old, new).into_bytes();
        self
    }

    /// The laboratory's digest of a file as it is now.
    pub fn stamp(mut self, run: &str, name: &str) -> Site {
        builder::stamp(&mut self.files, run, name);
        self
    }

    /// Readings of a run as log10 ohm by board (0 to 7), pattern and hour; two control boards beside them.
    pub fn sir(self, run: &str, value: impl Fn(usize, &str, f64) -> f64) -> Site {
        self.channels(run, &["C1", "B1"], 20.0, value)
    }

    /// Readings of some patterns of a run, an interval of minutes apart.
    pub fn channels(self, run: &str, patterns: &[&str], minutes: f64, value: impl Fn(usize, &str, f64) -> f64) -> Site {
        self.channels_for(run, HOURS, patterns, minutes, value)
    }

    /// The same for another number of hours.
    pub fn channels_for(
        self,
        run: &str,
        hours: f64,
        patterns: &[&str],
        minutes: f64,
        value: impl Fn(usize, &str, f64) -> f64,
    ) -> Site {
        let number = number(run);
        let mut csv = String::from("t_h,board,pattern,R_ohm,flag\n");
        let steps = (hours * 60.0 / minutes).round() as usize;
        for step in 0..=steps {
            let t = step as f64 * minutes / 60.0;
            for pattern in patterns {
                for b in 0..BOARDS {
                    // No two runs read alike to the last digit.
                    let x = value(b, pattern, t) + 1e-4 * number.parse::<f64>().unwrap_or(0.0);
                    let (r, flag) = if x.is_nan() {
                        (String::new(), "noread")
                    } else if x >= 13.0 {
                        ("1e13".to_string(), "ceil")
                    } else {
                        (format!("{:.4e}", 10f64.powf(x)), "ok")
                    };
                    csv.push_str(&format!("{t:.4},L{number}-{b},{pattern},{r},{flag}\n"));
                }
            }
            for k in 1..=2 {
                csv.push_str(&format!("{t:.4},K{number}-{k},C1,{:.4e},ok\n", 10f64.powf(11.0 + 0.1 * f64::from(k))));
            }
        }
        self.file(&format!("runs/{run}/sir.csv"), &csv).stamp(run, "sir.csv")
    }

    /// Reads, computes and judges.
    pub fn judge(self) -> Judged {
        self.judge_on(None)
    }

    /// The same on another day.
    pub fn judge_on(self, day: Option<&str>) -> Judged {
        let as_of = day.map(|d| galipot::model::Day::parse(d).expect("a day"));
        match pipeline::assess(self.files, &Options { as_of, set: Vec::new() }) {
            Ok(a) => Judged { a },
            Err(r) => {
                for p in &r.problems {
                    let at = p.labels.first().map_or(String::new(), |l| r.sources.cite(l.at));
                    println!("{at}: {} {} -> {}", p.code, p.headline, p.hint);
                }
                panic!("the site was refused");
            }
        }
    }

    /// Judges, and expects a state and, when it is not empty, a code with its detail, such as `NOT_COVERED(K2)`.
    pub fn expect(self, claim: &str, state: State, code: &str) -> Judged {
        let j = self.judge();
        j.is(claim, state, code);
        j
    }
}

/// A judged site.
pub struct Judged {
    pub a: Assessed,
}

impl Judged {
    pub fn claim(&self, id: &str) -> &ClaimResult {
        let of = &self.a.assessment.assemblies[0];
        of.claims.iter().find(|c| c.id == id).unwrap_or_else(|| panic!("no claim {id}"))
    }

    pub fn standing(&self, run: &str) -> &RunStanding {
        self.a.assessment.standings.iter().find(|s| s.run == run).unwrap_or_else(|| panic!("no run {run}"))
    }

    pub fn doubt(&self, id: &str) -> Option<&Defeater> {
        self.a.assessment.assemblies[0].defeaters.iter().find(|d| d.id == id)
    }

    /// Reasons as printed codes with their details.
    pub fn codes(&self, claim: &str) -> Vec<String> {
        let print = |c: Code, detail: &str| match detail {
            "" => c.word().to_string(),
            d => format!("{}({d})", c.word()),
        };
        self.claim(claim).reasons.iter().map(|r| print(r.code, &r.detail)).collect()
    }

    /// State and, when it is not empty, a code among the reasons.
    pub fn is(&self, claim: &str, state: State, code: &str) -> &Self {
        let c = self.claim(claim);
        let told = || {
            let reasons: Vec<String> =
                c.reasons.iter().map(|r| format!("  {}({}) {}", r.code.word(), r.detail, r.text)).collect();
            let voices: Vec<String> =
                c.voices.iter().map(|v| format!("  {} {} {}: {}", v.run, v.cell, v.pattern, v.counts_as)).collect();
            format!("{claim} is {:?}\n{}\n{}", c.state, reasons.join("\n"), voices.join("\n"))
        };
        assert_eq!(c.state, state, "{}", told());
        assert!(code.is_empty() || self.codes(claim).iter().any(|x| x == code), "{code} is not among them: {}", told());
        self
    }

    /// A gate of a run as it came out.
    pub fn gate(&self, run: &str, gate: &str) -> String {
        let g = self.standing(run).gates.iter().find(|g| g.gate == gate);
        g.map_or(String::new(), |g| format!("{:?}: {}", g.effect, g.text))
    }
}
