//! Takes nothing; gives the extracts of boards, parts and places: ions in mg/L, as a chromatograph reports them.

use super::Files;
use super::chance::Chance;
use super::levels::standardised;
use super::sir::boards;

/// One ion at one place: content wanted in ug/cm2, its spread as a share, and what the mass balance predicts.
struct Ion {
    name: &'static str,
    content: f64,
    spread: f64,
    expected: Option<f64>,
}

const fn ion(name: &'static str, content: f64, spread: f64) -> Ion {
    Ion { name, content, spread, expected: None }
}
const fn predicted(name: &'static str, content: f64, spread: f64, expected: f64) -> Ion {
    Ion { name, content, spread, expected: Some(expected) }
}

/// Extracts of one place: the boards or samples, volume in mL, area in cm2.
struct Place<'a> {
    name: &'a str,
    basis: &'static str,
    boards: Vec<String>,
    volume: f64,
    area: f64,
    ions: &'a [Ion],
}

/// Rows of a run. The chromatograph reads `content * area / volume` mg/L plus a blank of 0.012 mg/L; ug/cm2 times
/// cm2 over mL is mg/L.
fn extract(files: &mut Files, run: &str, places: &[Place]) {
    const BLANK: f64 = 0.012;
    let mut chance = Chance::of_run(run);
    let with_expected = places.iter().flat_map(|p| p.ions).any(|i| i.expected.is_some());
    let mut out = String::from(
        "sample,board,place,ion,conc_mg_L,blank_mg_L,volume_mL,dilution,area_cm2,area_basis,lod_mg_L,recovery_pct",
    );
    out.push_str(if with_expected { ",expected_ug_cm2\n" } else { "\n" });
    let mut sample = 0;
    for p in places {
        let drawn: Vec<Vec<f64>> =
            p.ions.iter().map(|i| standardised(&mut chance, p.boards.len(), i.content, i.content * i.spread)).collect();
        for (b, board) in p.boards.iter().enumerate() {
            sample += 1;
            for (i, ion) in p.ions.iter().enumerate() {
                let conc = drawn[i][b] * p.area / p.volume + BLANK;
                let recovery = 94.0 + libm::floor(chance.uniform() * 7.0);
                out.push_str(&format!(
                    "X{sample:02},{board},{},{},{conc:.3},{BLANK},{:.0},1,{},{},0.004,{recovery:.0}",
                    p.name, ion.name, p.volume, p.area, p.basis
                ));
                if with_expected {
                    out.push_str(&ion.expected.map_or(",".to_string(), |e| format!(",{e}")));
                }
                out.push('\n');
            }
        }
    }
    files.add(run, "ionic.csv", out);
}

/// A whole board, both sides.
fn board<'a>(names: Vec<String>, area: f64, ions: &'a [Ion]) -> Place<'a> {
    Place { name: "board", basis: "both_sides", boards: names, volume: area / 2.0, area, ions }
}

pub fn all(files: &mut Files) {
    // Bare boards: FAB-2 brings 1.4 ug/cm2 of chloride where 0.75 was agreed.
    let bare = |fabricator, prefix, ions| Place {
        name: fabricator,
        basis: "both_sides",
        boards: boards(prefix, 6, 1),
        volume: 120.0,
        area: 240.0,
        ions,
    };
    let clean = [ion("Cl", 0.31, 0.11), ion("Br", 0.22, 0.12), ion("SO4", 0.18, 0.15)];
    let dirty = [ion("Cl", 1.40, 0.07), ion("Br", 0.30, 0.12), ion("SO4", 0.35, 0.15)];
    extract(files, "RUN-118", &[bare("FAB-1", "F1L", &clean), bare("FAB-2", "F2L", &dirty)]);
    // Whole boards, with what the mass balance predicts: 6.4 paste + 2.8 liquid + 1.0 hand = 10.2 ug/cm2 of weak acids.
    let gateway = [predicted("WOA", 8.9, 0.06, 10.2), predicted("Cl", 0.44, 0.08, 0.47), ion("Na", 0.21, 0.12)];
    let positioner = [predicted("WOA", 13.6, 0.06, 15.0), predicted("Cl", 0.46, 0.08, 0.50), ion("Na", 0.24, 0.12)];
    let pump = [predicted("WOA", 11.8, 0.06, 13.1), predicted("Cl", 0.45, 0.08, 0.49), ion("Na", 0.22, 0.12)];
    let six = |prefix: &str| (21..=26).map(|i| format!("{prefix}{i:02}")).collect::<Vec<_>>();
    extract(files, "RUN-122", &[board(six("G"), 240.0, &gateway)]);
    extract(files, "RUN-146", &[board(six("V"), 190.0, &positioner)]);
    extract(files, "RUN-147", &[board(six("B"), 150.0, &pump)]);
    // Parts, wires and the tape that replaced the temporary mask.
    let part = [ion("Cl", 0.12, 0.15), ion("SO4", 0.09, 0.18)];
    let lots = |name, prefix| Place {
        name,
        basis: "both_sides",
        boards: boards(prefix, 6, 1),
        volume: 50.0,
        area: 60.0,
        ions: &part,
    };
    extract(files, "RUN-142", &[lots("parts", "PT"), lots("wires", "WR"), lots("tape", "TP")]);
    // Local extraction under the washed parts of OV-3415.
    let washed = [ion("WOA", 0.40, 0.10), ion("Na", 0.15, 0.12)];
    let local = |name, area| Place { name, basis: "local", boards: six("D"), volume: 2.0, area, ions: &washed };
    extract(files, "RUN-149", &[local("U2", 0.16), local("C51", 0.05)]);
}
