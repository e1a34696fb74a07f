//! Takes nothing; gives what was measured on products: leakage, radio, withstand, damp heat, contacts, coating, washing.

use super::Files;
use super::chance::Chance;
use super::levels::standardised;
use super::sir::{boards, chamber, times};

/// Boards `from` to `to` of a pilot build.
pub fn numbered(prefix: &str, from: usize, to: usize) -> Vec<String> {
    (from..=to).map(|i| format!("{prefix}{i:02}")).collect()
}

/// Rows of a table of kind "findings".
pub struct Findings(String);

impl Findings {
    pub fn new() -> Self {
        Self("board,place,looked_for,found,photo\n".into())
    }

    /// The same answer for many boards; `photo` begins the name of each photograph.
    pub fn add(&mut self, boards: &[String], place: &str, looked_for: &str, found: bool, photo: &str) {
        for (i, b) in boards.iter().enumerate() {
            let word = if found { "yes" } else { "no" };
            let of = if photo == "none" { "none".to_string() } else { format!("{photo}-{:02}", i + 1) };
            self.0.push_str(&format!("{b},{place},{looked_for},{word},{of}\n"));
        }
    }

    pub fn end(self) -> String {
        self.0
    }
}

/// Rows of a table of kind "measured".
pub struct Measured(String);

impl Measured {
    pub fn new() -> Self {
        Self("board,lot,place,quantity,value,unit\n".into())
    }

    pub fn row(&mut self, board: &str, lot: &str, place: &str, quantity: &str, value: &str, unit: &str) {
        self.0.push_str(&format!("{board},{lot},{place},{quantity},{value},{unit}\n"));
    }

    pub fn end(self) -> String {
        self.0
    }
}

fn humid_chamber(files: &mut Files, run: &str, hours: usize, minutes: usize, t: f64, rh: f64) {
    let mut chance = Chance::of_run(&format!("{run} chamber"));
    files.add(run, "chamber.csv", chamber(&mut chance, &times(hours, minutes), t, rh, None));
}

pub fn all(files: &mut Files) {
    leakage(files);
    radio(files);
    high_voltage(files);
    damp_heat(files);
    coating(files);
    contact(files);
    washing(files);
}

/// Six boards of OV-3415, first as built, then washed: nanoamperes become picoamperes. The budget is 25 pA.
fn leakage(files: &mut Files) {
    const BUILT: [&str; 6] = ["7.2", "5.6", "9.1", "6.4", "8.3", "6.9"];
    const WASHED: [&str; 6] = ["9.4", "6.0", "14.0", "9.0", "10.2", "9.7"];
    for (run, values, unit) in [("RUN-111", BUILT, "nA"), ("RUN-112", WASHED, "pA")] {
        let mut m = Measured::new();
        for (b, v) in numbered("D", 1, 6).iter().zip(values) {
            m.row(b, "none", "N1", "leakage", v, unit);
        }
        files.add(run, "leakage.csv", m.end());
        humid_chamber(files, run, 72, 30, 40.0, 70.0);
    }
}

/// Eight boards, each as built, washed, and washed after humidity: residue pulls the antenna down by 3.1 MHz.
fn radio(files: &mut Files) {
    let mut chance = Chance::of_run("RUN-113");
    let own = standardised(&mut chance, 8, 868.4, 0.6);
    let residue = standardised(&mut chance, 8, -3.1, 0.35);
    let humid = standardised(&mut chance, 8, -0.1, 0.35);
    let mut out = String::from("board,structure,state,f_MHz\n");
    for (i, board) in numbered("D", 11, 18).iter().enumerate() {
        for (state, f) in [("as_built", own[i] + residue[i]), ("washed", own[i]), ("humid", own[i] + humid[i])] {
            out.push_str(&format!("{board},RF1,{state},{f:.3}\n"));
        }
    }
    files.add("RUN-113", "rf.csv", out);
}

/// Five washed boards at 93 %RH: no breakdown, partial discharge begins at 1.6 times the working voltage.
fn high_voltage(files: &mut Files) {
    let five = numbered("D", 1, 5);
    let mut f = Findings::new();
    f.add(&five, "NP-301", "breakdown", false, "none");
    files.add("RUN-131", "withstand.csv", f.end());
    let mut m = Measured::new();
    for (b, v) in five.iter().zip(["1.64", "1.58", "1.61", "1.57", "1.62"]) {
        m.row(b, "none", "NP-301", "inception_ratio", v, "1");
    }
    files.add("RUN-131", "inception.csv", m.end());
    humid_chamber(files, "RUN-131", 48, 30, 40.0, 93.0);
}

/// Products in damp heat, functions logged: nothing out of limits.
fn damp_heat(files: &mut Files) {
    for (run, units) in [
        ("RUN-129", numbered("V", 1, 6)),
        ("RUN-130", numbered("G", 1, 8)),
        ("RUN-151", numbered("D", 19, 24)),
        ("RUN-153", numbered("B", 7, 14)),
    ] {
        let mut f = Findings::new();
        f.add(&units, "all", "out_of_limits", false, "none");
        files.add(run, "functions.csv", f.end());
    }
    humid_chamber(files, "RUN-130", 1344, 120, 40.0, 93.0);
    humid_chamber(files, "RUN-151", 504, 60, 40.0, 93.0);
    humid_chamber(files, "RUN-153", 504, 60, 40.0, 93.0);
}

/// Adhesion class by cross cut: eleven panels 0 or 1; the twelfth, wiped, class 3. Then twelve of twelve without a wipe.
fn coating(files: &mut Files) {
    let first = boards("CPA", 12, 2);
    let mut m = Measured::new();
    for (b, class) in first.iter().zip(["0", "1", "0", "0", "1", "0", "1", "0", "0", "1", "0", "3"]) {
        m.row(b, "none", "all", "adhesion_class", class, "1");
    }
    files.add("RUN-109", "adhesion.csv", m.end());
    let second = boards("CPB", 12, 2);
    let mut m = Measured::new();
    for (b, class) in second.iter().zip(["0", "0", "1", "0", "0", "1", "0", "0", "0", "1", "0", "0"]) {
        m.row(b, "none", "all", "adhesion_class", class, "1");
    }
    files.add("RUN-132", "adhesion.csv", m.end());
    let mut chance = Chance::of_run("RUN-154");
    let lg = standardised(&mut chance, 12, 2.1, 0.15);
    let mut m = Measured::new();
    for (b, x) in second.iter().zip(lg) {
        m.row(b, "none", "all", "coated_insulation", &format!("{:.0}", libm::pow(10.0, x)), "Gohm");
    }
    files.add("RUN-154", "insulation.csv", m.end());
}

/// Relay of OV-2230 after soldering beside it: no flux inside, contact resistance unmoved.
fn contact(files: &mut Files) {
    let ten = numbered("V", 11, 20);
    let mut f = Findings::new();
    f.add(&ten, "CT-K1", "flux_ingress", false, "PH-152");
    files.add("RUN-152", "opened.csv", f.end());
    let mut m = Measured::new();
    for (b, v) in ten.iter().zip(["0.4", "0.7", "-0.2", "0.5", "0.3", "0.9", "0.1", "0.6", "0.2", "0.4"]) {
        m.row(b, "none", "CT-K1", "contact_shift", v, "mohm");
    }
    files.add("RUN-152", "resistance.csv", m.end());
}

/// Trials with the saponifier: OV-3415 comes clean under its parts, OV-4502 keeps residue under two of ten.
fn washing(files: &mut Files) {
    let ten = numbered("D", 21, 30);
    let mut f = Findings::new();
    f.add(&ten, "U2", "residue_left", false, "PH-148-U2");
    f.add(&ten, "C51", "residue_left", false, "PH-148-C51");
    f.add(&ten, "all", "residue_left", false, "none");
    f.add(&ten, "all", "agent_trapped", false, "none");
    files.add("RUN-148", "looked-under.csv", f.end());
    let mut m = Measured::new();
    for (b, v) in ten.iter().zip(["0.09", "0.12", "0.10", "0.14", "0.08", "0.11", "0.13", "0.10", "0.12", "0.09"]) {
        m.row(b, "none", "all", "rinse_over_blank", v, "uS/cm");
    }
    for (b, v) in ten.iter().zip(["2", "1", "3", "2", "2", "1", "2", "3", "1", "2"]) {
        m.row(b, "none", "all", "water_left", v, "mg");
    }
    files.add("RUN-148", "rinse.csv", m.end());
    let washed = boards("BW", 10, 2);
    let mut f = Findings::new();
    for (i, b) in washed.iter().enumerate() {
        f.add(std::slice::from_ref(b), "U4", "residue_left", matches!(i, 3 | 7), "none");
    }
    files.add("RUN-125", "looked-under.csv", f.end());
    // Three returns of the present process: residue of the water-soluble flux under U4, conductive, the cause.
    let returned: Vec<String> = ["S24-0771", "S24-1902", "S25-0044"].map(String::from).to_vec();
    let mut f = Findings::new();
    f.add(&returned, "U4", "residue_related", true, "PH-117");
    f.add(&returned, "U4", "residue_left", true, "PH-117");
    files.add("RUN-117", "returns.csv", f.end());
    let mut m = Measured::new();
    let mut chance = Chance::of_run("RUN-150");
    let concentration = standardised(&mut chance, 20, 12.1, 0.35);
    let temperature = standardised(&mut chance, 20, 60.2, 0.6);
    for i in 0..20 {
        let load = format!("W{:02}", i + 1);
        m.row(&load, "none", "all", "bath_concentration", &format!("{:.2}", concentration[i]), "%");
        m.row(&load, "none", "all", "bath_temperature", &format!("{:.1}", temperature[i]), "degC");
    }
    files.add("RUN-150", "bath.csv", m.end());
    let mut f = Findings::new();
    f.add(&numbered("D", 1, 10), "all", "residue_left", false, "PH-156");
    files.add("RUN-156", "after-8-h.csv", f.end());
}
