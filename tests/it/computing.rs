//! Computing: what tables become, what criteria make of them, and which inputs must not pass.

use crate::builder::{Files, base, patch, put, stamp};
use galipot::compute::compute;
use galipot::model::workings::{Fact, Outcome, SampleSet, Workings};
use galipot::read::read;

/// The base site with another table in its run, and more criteria.
struct Bench {
    files: Files,
}

impl Bench {
    fn new(kind: &str, csv: &str) -> Self {
        let mut files = base();
        let run = "runs/RUN-1/run.toml";
        patch(&mut files, run, "table = \"sir\"", &format!("table = \"{kind}\""));
        put(&mut files, "runs/RUN-1/sir.csv", csv);
        stamp(&mut files, "RUN-1", "sir.csv");
        Self { files }
    }

    fn run(mut self, old: &str, new: &str) -> Self {
        patch(&mut self.files, "runs/RUN-1/run.toml", old, new);
        self
    }

    fn vehicle(mut self, old: &str, new: &str) -> Self {
        patch(&mut self.files, "vehicles/tv-1.toml", old, new);
        self
    }

    fn criterion(mut self, id: &str, body: &str) -> Self {
        let text = format!(
            "[[criterion]]\nid = \"{id}\"\n{body}\nguard_rule = \"none\"\nstandard = \"AABUS\"\nedition = \"1\"\n\
             clause = \"1\"\nstanding = \"agreed\"\nrationale = \"test\"\napplies_to = [\"C3.1\"]\nset = \"CS-1\"\n"
        );
        put(&mut self.files, &format!("criteria/{id}.toml"), text);
        self
    }

    fn lim(mut self, old: &str, new: &str) -> Self {
        patch(&mut self.files, "criteria/cs-1.toml", old, new);
        self
    }

    fn assembly(mut self, old: &str, new: &str) -> Self {
        patch(&mut self.files, "assemblies/ab-10.toml", old, new);
        self
    }

    fn compute(self) -> Workings {
        match read(self.files, None, &[]) {
            Ok((site, _)) => compute(&site),
            Err((_, problems)) => panic!("{problems:#?}"),
        }
    }
}

fn set<'a>(w: &'a Workings, quantity: &str) -> &'a SampleSet {
    w.sets.iter().find(|s| s.quantity == quantity).unwrap_or_else(|| panic!("no set {quantity}"))
}

fn outcome<'a>(w: &'a Workings, criterion: &str) -> &'a Outcome {
    w.outcomes.iter().find(|o| o.criterion == criterion).unwrap_or_else(|| panic!("no outcome of {criterion}"))
}

fn refused(w: &Workings, criterion: &str) -> String {
    let o = outcome(w, criterion);
    assert!(o.value.is_nan() && o.margin.is_nan(), "a refused statistic has no value");
    o.refused.clone().expect("it must be refused")
}

fn fact<'a>(w: &'a Workings, name: &str, place: &str) -> &'a Fact {
    w.fact("AB-10", name, place).unwrap_or_else(|| panic!("no fact {name} at {place}"))
}

fn close(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// Boards B1 to B8; three alike combs each; a steady log10 ohm per comb; readings every 15 min to 168 h.
fn steady(level: impl Fn(usize, usize) -> f64) -> String {
    let mut out = String::from("t_h,board,pattern,R_ohm,flag\n");
    for i in 0..=672 {
        for b in 0..8 {
            for c in 0..3 {
                let r = libm::pow(10.0, level(b, c));
                out += &format!("{},B{},C{},{r:e},ok\n", f64::from(i) * 0.25, b + 1, c + 1);
            }
        }
    }
    out
}

/// Eight boards of three combs with a known spread: board effects +-0.2, comb effects +-0.3.
fn eight_boards(csv: String) -> Bench {
    let pattern = "[[vehicle.pattern]]\nid = \"C1\"";
    let comb = "kind = \"comb\"\ndesign = \"B-24\"\nline = \"400 um\"\nspace = \"500 um\"\noverlap = \"15 mm\"\ngaps = 34\n\
                squares = 1020\nv_bias = \"5 V\"\nv_measure = \"5 V\"\nseries_resistor = \"1e6 ohm\"\ndirect = true\n";
    let more: String = ["C2", "C3"].map(|id| format!("[[vehicle.pattern]]\nid = \"{id}\"\n{comb}\n")).concat();
    let boards: Vec<String> = (1..=8).map(|i| format!("\"B{i}\"")).collect();
    Bench::new("sir", &csv)
        .vehicle("boards = [\"B1\", \"B2\"]", &format!("boards = [{}]", boards.join(", ")))
        .vehicle(pattern, &format!("{more}{pattern}"))
        .lim("p = 0.9\nconf = 0.9", "p = 0.99\nconf = 0.95")
}

fn spread(b: usize, c: usize) -> f64 {
    9.62 + [0.2, -0.2][b % 2] + [0.3, 0.0, -0.3][c]
}

#[test]
fn alike_combs_of_one_build_are_one_set_and_boards_are_clusters() {
    let w = eight_boards(steady(spread)).compute();
    let s = set(&w, "sir");
    assert_eq!((s.samples.len(), s.design.as_str(), s.build.as_str()), (24, "B-24", "BLD-1"));
    close(s.interval_min, 15.0, 1e-9);
    let o = outcome(&w, "LIM-SIR");
    assert_eq!(o.n, 24);
    assert_eq!(o.refused, None);
    // MSB = 3 * 0.04 * 8 / 7, MSW = 0.18 * 8 / 16: the boards differ no more than combs do, so r is small.
    let (msb, msw): (f64, f64) = (3.0 * 0.04 * 8.0 / 7.0, 0.09);
    let r = ((msb - msw) / (msb + 2.0 * msw)).max(0.0);
    assert_eq!(o.n_eff, (24.0 / (1.0 + 2.0 * r)).floor() as usize);
    let sd = ((24.0 * 0.04 + 8.0 * 0.18) / 23.0f64).sqrt();
    let k = galipot::compute::calc::tolerance_factor::k(o.n_eff as f64, 0.99, 0.95);
    close(o.value, 9.62 - k * sd, 1e-6);
    close(o.guard, 0.082, 1e-12);
    close(o.margin, o.value - o.guard - 8.0, 1e-12);
    close(o.worst, 9.12, 1e-9);
    let icc = w.run_fact("RUN-1", "icc").expect("the correlation");
    assert_eq!(icc.place, "BLD-1/C2");
    close(icc.value, r, 1e-6);
    assert!(!o.single_fails && !o.bound_fails);
}

#[test]
fn a_spread_that_hides_the_bound_is_no_failure_and_says_what_would_show_it() {
    let w = eight_boards(steady(spread)).lim("8.0 log10 ohm", "8.9 log10 ohm").compute();
    let o = outcome(&w, "LIM-SIR");
    assert!(o.margin < 0.0 && !o.single_fails && !o.bound_fails);
    assert_eq!(o.needed.as_deref(), Some("no number of readings"));
    let w = eight_boards(steady(spread)).lim("8.0 log10 ohm", "8.6 log10 ohm").compute();
    let needed = outcome(&w, "LIM-SIR").needed.clone().expect("a number");
    assert!(needed.starts_with("n_eff "), "{needed}");
}

#[test]
fn one_comb_beyond_the_limit_is_never_hidden_by_the_others() {
    let low = |b, c| if (b, c) == (6, 2) { 6.5 } else { spread(b, c) };
    let w = eight_boards(steady(low)).compute();
    assert!(outcome(&w, "LIM-SIR").single_fails);
    // Not even when the statistic itself is refused.
    let w = eight_boards(steady(low)).run("standard_uncertainty = \"0.05 dec\"\n", "").compute();
    assert_eq!(refused(&w, "LIM-SIR"), "no measurement uncertainty stated");
    assert!(outcome(&w, "LIM-SIR").single_fails);
}

#[test]
fn a_guard_band_without_uncertainty_or_in_another_dimension_is_refused() {
    let w = eight_boards(steady(spread)).run("\"0.05 dec\"", "\"0.05 V\"").compute();
    assert!(refused(&w, "LIM-SIR").contains("does not fit"));
    // A resistance limit is compared by its logarithm, and a relative uncertainty becomes decades.
    let w = eight_boards(steady(spread)).lim("8.0 log10 ohm", "100 Mohm").run("\"0.05 dec\"", "\"10 %\"").compute();
    let o = outcome(&w, "LIM-SIR");
    close(o.limit, 8.0, 1e-12);
    close(o.guard, 1.64 * -libm::log10(0.9), 1e-12);
}

#[test]
fn a_series_that_ends_before_its_window_shows_nothing() {
    let csv: String = steady(spread)
        .lines()
        .filter(|l| !l.starts_with("16") && !l.starts_with("15"))
        .fold(String::new(), |a, l| a + l + "\n");
    let w = eight_boards(csv).compute();
    assert!(refused(&w, "LIM-SIR").contains("end at 149.75 h"), "{}", refused(&w, "LIM-SIR"));
}

#[test]
fn readings_of_one_board_give_no_tolerance_bound() {
    let csv: String = steady(spread)
        .lines()
        .filter(|l| l.starts_with("t_h") || l.contains(",B1,"))
        .fold(String::new(), |a, l| a + l + "\n");
    let w = eight_boards(csv).compute();
    assert!(refused(&w, "LIM-SIR").contains("one board"));
}

#[test]
fn readings_at_the_ceiling_are_never_taken_for_values() {
    let ceiling = |from: usize| {
        let level = move |b: usize, c: usize| if 3 * b + c >= from { 13.0 } else { 9.2 + 0.15 * (3 * b + c) as f64 };
        steady(level).replace("1e13,ok", "1e13,ceil")
    };
    let w = eight_boards(ceiling(11)).compute();
    let why = refused(&w, "LIM-SIR");
    assert!(why.contains("13 of 24 readings stand at the ceiling") && why.contains("0.883"), "{why}");
    let shown = w.get(outcome(&w, "LIM-SIR").working);
    assert_eq!((shown.calc, shown.outputs.len()), ("order_statistic", 1));
    // A quarter at most: fitted by maximum likelihood, so the spread is wider than that of the substituted values.
    let w = eight_boards(ceiling(20)).compute();
    let o = outcome(&w, "LIM-SIR");
    assert_eq!(o.refused, None);
    assert!(o.n_eff <= 20);
    assert!(
        w.items.iter().any(|i| i.calc == "censored_fit" && i.inputs.iter().filter(|x| x.symbol == "c").count() == 4)
    );
}

#[test]
fn controls_are_no_specimens() {
    let level = |b, c| if b == 7 { 8.5 } else { spread(b, c) };
    let w =
        eight_boards(steady(level)).run("channels_planned = 2", "channels_planned = 24\ncontrols = [\"B8\"]").compute();
    assert_eq!(set(&w, "sir").samples.len(), 21);
    close(w.run_fact("RUN-1", "control_min").expect("controls").value, 8.5, 1e-9);
    assert_eq!(w.run_fact("RUN-1", "channels_reported").expect("channels").value, 24.0);
}

#[test]
fn a_limit_agreed_for_another_comb_says_nothing() {
    let w = eight_boards(steady(spread)).lim("geometry = [\"B-24\"]", "geometry = [\"B-53\"]").compute();
    assert!(w.outcomes.iter().all(|o| o.criterion != "LIM-SIR"));
}

/// One comb that drops by 1.8 decades for two readings at 88 h.
fn dropped(bench_event: &str) -> Workings {
    let mut csv = String::from("t_h,board,pattern,R_ohm,flag\n");
    for i in 0..=672 {
        let t = f64::from(i) * 0.25;
        for board in ["B1", "B2"] {
            let low = board == "B1" && (88.0..88.5).contains(&t);
            csv += &format!("{t},{board},C1,{},ok\n", if low { "6e7" } else { "4e9" });
        }
    }
    Bench::new("sir", &csv)
        .criterion("LIM-DROP", "quantity = \"drops\"\noperator = \"le\"\nvalue = 0\nstatistic = \"each\"")
        .run("channels_planned = 2", &format!("channels_planned = 2\n{bench_event}"))
        .compute()
}

#[test]
fn a_drop_without_cause_stays_open_and_one_by_residue_is_hard() {
    let event = |cause: &str, proof: &str| {
        format!(
            "\n[[run.event]]\nboard = \"B1\"\npattern = \"C1\"\nt = \"88 h\"\ncause = \"{cause}\"\n{proof}\nby = \"CLEO\"\n"
        )
    };
    let w = dropped("");
    let s = set(&w, "drops");
    assert_eq!(s.samples.iter().map(|s| s.value).collect::<Vec<_>>(), [1.0, 0.0]);
    assert!(s.open_events[0].text.contains("1.8 decades at 88 h and recovered"), "{:?}", s.open_events);
    assert!(s.hard_events.is_empty());
    assert!(outcome(&w, "LIM-DROP").single_fails);
    assert_eq!(w.curves[0].drops, [88.0]);
    // The smoothed minimum does not see two readings of 15 minutes as noise.
    assert!(set(&w, "sir").samples[0].value < 8.0);

    let w = dropped(&event("residue", "proof = \"sem-1\""));
    assert_eq!(set(&w, "drops").hard_events.len(), 1);
    assert_eq!(set(&w, "sir").hard_events.len(), 1);

    let w = dropped(&event("foreign", "proof = \"sem-1\""));
    assert_eq!(set(&w, "drops").samples[0].value, 0.0);
    assert!(set(&w, "drops").open_events.is_empty());

    // Foreign matter that nobody has shown explains nothing.
    let w = dropped(&event("foreign", "unknown = [\"proof\"]"));
    assert_eq!(set(&w, "drops").samples[0].value, 1.0);
    assert_eq!(set(&w, "drops").open_events.len(), 1);
}

const ECM: &str = "board,pattern,phase,R_ohm,flag,filament_pct\n";

#[test]
fn migration_ratio_is_that_of_the_geometric_means() {
    let start = [10.12, 9.88, 10.31, 9.95, 10.02, 10.20];
    let end = [9.75, 9.41, 9.98, 9.62, 9.70, 9.83];
    let mut csv = String::from(ECM);
    for i in 0..6 {
        csv += &format!(
            "X{i},C1,start,{:e},ok,\nX{i},C1,end,{:e},ok,0\n",
            libm::pow(10.0, start[i]),
            libm::pow(10.0, end[i])
        );
    }
    let bench = |csv: &str| {
        Bench::new("ecm", csv).vehicle("[\"B1\", \"B2\"]", "[\"X0\", \"X1\", \"X2\", \"X3\", \"X4\", \"X5\"]")
    };
    let ratio = "quantity = \"ecm_ratio\"\noperator = \"ge\"\nvalue = 0.1\nstatistic = \"ratio\"";
    let filament = "quantity = \"filament\"\noperator = \"le\"\nvalue = \"20 %\"\nstatistic = \"each\"";
    let w = bench(&csv).criterion("LIM-ECM", ratio).criterion("LIM-FIL", filament).compute();
    let o = outcome(&w, "LIM-ECM");
    close(o.value, 0.43, 0.005);
    close(o.worst, 0.34, 0.005);
    assert!(outcome(&w, "LIM-FIL").margin > 19.9);

    let gone = csv.replacen(",ok,0\n", ",ok,\n", 1);
    let w = bench(&gone).criterion("LIM-FIL", filament).compute();
    assert!(refused(&w, "LIM-FIL").contains("not inspected"));

    let high = csv.replacen(",ok,\n", ",ceil,\n", 1);
    let w = bench(&high).criterion("LIM-ECM", ratio).compute();
    assert!(refused(&w, "LIM-ECM").contains("ceiling before the bias"));
}

const IONIC: &str =
    "sample,board,place,ion,conc_mg_L,blank_mg_L,volume_mL,dilution,area_cm2,area_basis,lod_mg_L,expected_ug_cm2\n";

#[test]
fn what_is_not_detected_counts_as_the_limit_of_detection() {
    let rows = "S1,B1,FAB-1,chloride,,0.01,100,1,100,both_sides,0.05,\n\
                S2,B2,FAB-1,chloride,0.31,0.01,100,1,100,both_sides,0.05,0.4\n";
    let limit = "quantity = \"ionic_chloride\"\noperator = \"le\"\nvalue = \"0.75 ug/cm2\"\nstatistic = \"each\"";
    let w = Bench::new("ionic", &format!("{IONIC}{rows}")).criterion("LIM-CL", limit).compute();
    let values: Vec<f64> = set(&w, "ionic_chloride").samples.iter().map(|s| s.value).collect();
    close(values[0], 0.05, 1e-12);
    close(values[1], 0.30, 1e-12);
    close(set(&w, "ionic_balance").samples[0].value, 0.75, 1e-12);
    close(w.run_fact("RUN-1", "lod").expect("a limit of detection").value, 0.05, 1e-12);
    close(outcome(&w, "LIM-CL").margin, 0.45, 1e-12);
    let mixed = rows.replacen("both_sides", "one_side", 1);
    let w = Bench::new("ionic", &format!("{IONIC}{mixed}")).criterion("LIM-CL", limit).compute();
    assert!(refused(&w, "LIM-CL").contains("one_side"));
}

#[test]
fn upper_bound_of_ions_is_that_of_their_logarithms() {
    let mut csv = String::from(IONIC);
    for (i, c) in ["0.1", "0.2", "0.4", "0.2"].iter().enumerate() {
        csv += &format!("S{i},X{i},FAB-1,chloride,{c},0,100,1,100,both_sides,0.01,\n");
    }
    let w = Bench::new("ionic", &csv)
        .criterion("LIM-CL", "quantity = \"ionic_chloride\"\noperator = \"le\"\nvalue = \"0.75 ug/cm2\"\nstatistic = \"UTB\"\np = 0.95\nconf = 0.95")
        .compute();
    let o = outcome(&w, "LIM-CL");
    let (m, s) = (libm::log10(0.2), libm::log10(2.0) * (2.0f64 / 3.0).sqrt());
    let k = galipot::compute::calc::tolerance_factor::k(4.0, 0.95, 0.95);
    close(o.value, libm::pow(10.0, m + k * s), 1e-9);
    assert!(o.margin < 0.0 && !o.single_fails && o.needed.is_some());
}

#[test]
fn a_radio_shift_is_taken_on_one_and_the_same_board() {
    let mut csv = String::from("board,structure,state,f_MHz\n");
    for (i, d) in [2.6, 3.1, 3.4, 2.9, 3.0, 3.6].iter().enumerate() {
        csv += &format!("B{i},ANT,as_built,{}\nB{i},ANT,washed,868\n", 868.0 - d);
    }
    let limit = "quantity = \"rf_shift\"\noperator = \"le\"\nvalue = \"1 MHz\"\nstatistic = \"shift\"";
    let w = Bench::new("rf", &csv).criterion("LIM-RF", limit).compute();
    let o = outcome(&w, "LIM-RF");
    assert!(o.value > 3.1 && o.single_fails && o.bound_fails);
    assert_eq!(o.needed.as_deref(), Some("no number of readings"));
    let w = Bench::new("rf", &(csv + "B9,ANT,as_built,867\n")).criterion("LIM-RF", limit).compute();
    assert!(refused(&w, "LIM-RF").contains("B9"));
}

#[test]
fn two_arms_give_the_upper_bound_of_their_difference() {
    let limit = "quantity = \"false_fail_difference\"\noperator = \"le\"\nvalue = \"0.4 %\"\nstatistic = \"difference\"\nconf = 0.95";
    let csv = "arm,lot,boards,failures\nold,L1,900,5\nold,L2,900,6\nnew,L3,1800,15\n";
    let w = Bench::new("arms", csv).criterion("LIM-ICT", limit).compute();
    let o = outcome(&w, "LIM-ICT");
    close(o.value, 0.72, 0.005);
    assert_eq!(o.n, 3600);
    assert!(o.margin < 0.0 && !o.single_fails && !o.bound_fails);
    assert!(o.needed.as_deref().is_some_and(|n| n.contains("in each arm")));
    let w = Bench::new("arms", "arm,lot,boards,failures\nold,L1,4800,22\nnew,L3,4800,26\n")
        .criterion("LIM-ICT", limit)
        .compute();
    close(outcome(&w, "LIM-ICT").value, 0.33, 0.005);
    let w = Bench::new("arms", "arm,lot,boards,failures\nnew,L3,4800,0\n").criterion("LIM-ICT", limit).compute();
    assert!(refused(&w, "LIM-ICT").contains("one of the two arms"));
}

#[test]
fn agreement_is_that_of_the_newest_study() {
    let mut csv = String::from("study,inspector,item,reference,rating\n");
    for i in 0..20 {
        let reference = if i < 10 { "accept" } else { "defect" };
        csv += &format!("S-2025,I1,{i},{reference},{}\n", if i % 2 == 0 { "accept" } else { "defect" });
        csv += &format!("S-2026,I1,{i},{reference},{reference}\n");
    }
    let w = Bench::new("agreement", &csv)
        .criterion("LIM-K", "quantity = \"kappa\"\noperator = \"ge\"\nvalue = 0.7\nstatistic = \"each\"")
        .compute();
    close(outcome(&w, "LIM-K").value, 1.0, 1e-12);
    close(set(&w, "kappa_earlier").samples[0].value, 0.0, 1e-12);
}

#[test]
fn window_use_needs_the_windows_and_takes_the_worst() {
    let csv = "profile,tc,t_s,T_c\nP1,TC1,0,50\nP1,TC1,100,150\nP1,TC1,200,200\nP1,TC1,260,217\nP1,TC1,300,241\nP1,TC1,340,217\n";
    let range = |q: &str, a: &str, b: &str| {
        format!("quantity = \"{q}\"\noperator = \"in\"\nvalue = \"{a}\"\nupper = \"{b}\"\nstatistic = \"each\"")
    };
    let usage = "quantity = \"window_use\"\noperator = \"le\"\nvalue = \"80 %\"\nstatistic = \"each\"";
    let bench = || {
        Bench::new("profile", csv)
            .criterion("LIM-P", &range("profile_peak", "235 degC", "250 degC"))
            .criterion("LIM-T", &range("profile_tal", "45 s", "95 s"))
            .criterion("LIM-S", &range("profile_soak", "60 s", "110 s"))
            .criterion("LIM-W", usage)
    };
    let w = bench().criterion("LIM-R", &range("profile_ramp", "0.8 K/s", "2.5 K/s")).compute();
    // Ramp 1.0 K/s: 77 % of its window; peak 241 degC: 20 %.
    close(outcome(&w, "LIM-W").value, 76.47, 0.01);
    close(outcome(&w, "LIM-P").margin, 6.0, 1e-9);
    assert!(refused(&bench().compute(), "LIM-W").contains("profile_ramp"));
}

#[test]
fn measured_values_come_in_one_unit_or_not_at_all() {
    let head = "board,lot,place,quantity,value,unit\n";
    let limit = "quantity = \"leakage\"\noperator = \"le\"\nvalue = \"25 pA\"\nstatistic = \"each\"";
    let csv = format!("{head}B1,L1,N1,leakage,5.6,nA\nB2,L1,N1,leakage,900,pA\n");
    let w = Bench::new("measured", &csv).criterion("LIM-L", limit).compute();
    let o = outcome(&w, "LIM-L");
    assert_eq!((o.unit.as_str(), o.single_fails), ("pA", true));
    close(o.value, 5600.0, 1e-6);
    let csv = format!("{head}B1,L1,N1,leakage,5,pA\nB2,L1,N1,leakage,5,V\n");
    let w = Bench::new("measured", &csv).criterion("LIM-L", limit).compute();
    assert!(refused(&w, "LIM-L").contains("pA and in V"));
    let csv = format!("{head}B1,L1,N1,leakage,5,V\n");
    let w = Bench::new("measured", &csv).criterion("LIM-L", limit).compute();
    assert!(refused(&w, "LIM-L").contains("a current"));
    let three = format!("{limit}\nmin_n = 3");
    let csv = format!("{head}B1,L1,N1,leakage,5,pA\nB2,L1,N1,leakage,6,pA\n");
    let w = Bench::new("measured", &csv).criterion("LIM-L", &three).compute();
    assert_eq!(refused(&w, "LIM-L"), "2 readings, and the criterion asks for 3");
}

#[test]
fn capability_and_chart_limits() {
    let mut csv = String::from("board,lot,place,quantity,value,unit\n");
    for (i, x) in [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1].iter().enumerate() {
        csv += &format!("X{i},L{},all,volume,{x},nL\n", i % 3);
    }
    let cpk = "quantity = \"volume\"\noperator = \"ge\"\nvalue = 0.8\nstatistic = \"Cpk\"\nmin_lots = 3\nspec_low = \"40 nL\"\nspec_high = \"60 nL\"";
    let chart = "quantity = \"volume\"\noperator = \"le\"\nvalue = \"60 nL\"\nstatistic = \"upper_limit\"";
    let w = Bench::new("measured", &csv).criterion("LIM-CPK", cpk).criterion("LIM-UCL", chart).compute();
    close(outcome(&w, "LIM-CPK").value, 0.8970392774803074, 1e-8);
    close(outcome(&w, "LIM-UCL").value, 55.8048888888889, 1e-9);
    let w = Bench::new("measured", &csv).criterion("LIM-CPK", &cpk.replace("min_lots = 3", "min_lots = 4")).compute();
    assert!(refused(&w, "LIM-CPK").contains("3 lots"));
}

#[test]
fn findings_and_bodies_are_counted_one_by_one() {
    let csv = "board,place,looked_for,found,photo\nB1,all,corrosion,no,p1\nB2,all,corrosion,yes,p2\n";
    let limit = "quantity = \"corrosion\"\noperator = \"le\"\nvalue = 0\nstatistic = \"each\"";
    let w = Bench::new("findings", csv).criterion("LIM-COR", limit).compute();
    assert!(outcome(&w, "LIM-COR").single_fails);
    assert_eq!(outcome(&w, "LIM-COR").worst_at.line, 3);
    let csv = "board,refdes,method,gap_um,fill_pct,state,photo\nB1,U3,lift,36,40,dry,p\nB1,U4,lift,37,41,wet,p\nB2,U3,xray,38,,none,p\n";
    let wet = "quantity = \"wet\"\noperator = \"le\"\nvalue = 0\nstatistic = \"each\"";
    let w = Bench::new("under_body", csv).criterion("LIM-WET", wet).compute();
    assert!(outcome(&w, "LIM-WET").single_fails);
    let s = set(&w, "wet");
    // U4 is like U3 on the assembly that the run speaks to.
    assert_eq!((s.place.as_str(), s.samples.len()), ("U3", 3));
    assert_eq!(set(&w, "under_body_fill").samples.len(), 2);
}

#[test]
fn ageing_is_compared_with_fresh_boards_built_alike() {
    let aged = eight_boards(steady(|b, c| spread(b, c) - 0.21)).vehicle("aged = false", "aged = true");
    let mut files = aged.files;
    let text = |files: &Files, path: &str| {
        String::from_utf8(files.iter().find(|f| f.0 == path).expect("a file").1.clone()).expect("text")
    };
    let vehicle = text(&files, "vehicles/tv-1.toml");
    let build = vehicle[vehicle.find("[[vehicle.build]]").expect("a build")..].to_string();
    let fresh = build.replace("BLD-1", "BLD-2").replace("aged = true", "aged = false");
    put(&mut files, "vehicles/tv-1.toml", format!("{vehicle}\n{fresh}"));
    let run = text(&files, "runs/RUN-1/run.toml").replace("RUN-1", "RUN-2").replace("BLD-1", "BLD-2");
    put(&mut files, "runs/RUN-2/run.toml", run);
    put(&mut files, "runs/RUN-2/sir.csv", steady(spread));
    stamp(&mut files, "RUN-2", "sir.csv");
    let bench = Bench { files }.criterion(
        "LIM-AGE",
        "quantity = \"sir_aged_drop\"\noperator = \"le\"\nvalue = \"1 dec\"\nstatistic = \"difference\"",
    );
    let w = bench.compute();
    let o = outcome(&w, "LIM-AGE");
    close(o.value, 0.21, 1e-9);
    assert_eq!((o.n, o.run.as_str()), (24, "RUN-1"));
}

#[test]
fn leakage_follows_from_comb_squares_and_shape_of_the_pair() {
    let bench = || {
        eight_boards(steady(spread))
            .assembly("geometry = \"body_under\"", "geometry = \"trace_trace\"")
            .assembly("r_need = \"1e9 ohm\"\n", "")
            .assembly("v_work = \"3.3 V\"", "v_work = \"620 V\"")
            .assembly("v_peak = \"3.6 V\"", "v_peak = \"620 V\"")
            .assembly("spacing = \"200 um\"", "spacing = \"900 um\"")
            .assembly("facing = \"0.60 mm\"", "facing = \"3.0 mm\"")
    };
    let w = bench().compute();
    let ltb = outcome(&w, "LIM-SIR").value;
    let expected = libm::pow(10.0, ltb) * 1020.0 * 0.3;
    close(fact(&w, "leakage_ltb", "NP-1").value / expected, 1.0, 1e-9);
    close(fact(&w, "leakage_mean", "NP-1").value / (libm::pow(10.0, 9.62) * 1020.0 * 0.3), 1.0, 1e-9);
    // The budget of node N1 is 25 pA.
    close(fact(&w, "leakage_need", "NP-1").value / 2.48e13, 1.0, 1e-9);
    close(fact(&w, "field", "NP-1").value, 620.0 / 0.9, 1e-9);
    // A pair under a body is never judged by an open comb, nor any pair by washed boards.
    let under = eight_boards(steady(spread)).compute();
    assert!(under.fact("AB-10", "leakage_ltb", "NP-1").is_none());
    assert!(under.fact("AB-10", "leakage_need", "NP-1").is_some());
    let washed = bench().vehicle("washed = \"no\"", "washed = \"water\"").compute();
    assert!(washed.fact("AB-10", "leakage_ltb", "NP-1").is_none());
}

#[test]
fn every_working_prints_its_numbers_and_every_link_leads_back() {
    use galipot::compute::calc::substituted;
    use galipot::model::workings::Origin;
    let w = eight_boards(steady(spread)).compute();
    assert!(w.items.len() > 10);
    for (i, item) in w.items.iter().enumerate() {
        let text = substituted(item);
        assert!(item.outputs.is_empty() || !text.is_empty(), "{} {}", item.calc, item.subject);
        for input in &item.inputs {
            if let Origin::Working(id) = input.origin {
                assert!((id.0 as usize) < i, "a working rests on earlier ones");
                let before = &w.items[id.0 as usize];
                assert!(before.outputs.iter().any(|o| o.value == input.value), "{} of {}", input.symbol, item.subject);
            }
        }
    }
    let o = outcome(&w, "LIM-SIR");
    assert_eq!(w.get(o.working).outputs[0].value, o.margin);
}

#[test]
fn the_thread_count_changes_nothing() {
    let text = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
        pool.install(|| format!("{:?}", eight_boards(steady(spread)).compute()))
    };
    assert_eq!(text(1), text(5));
}

#[test]
fn a_control_that_was_not_read_leaves_the_run_without_controls() {
    let csv = steady(spread).lines().fold(String::new(), |mut all, l| {
        let cells: Vec<&str> = l.split(',').collect();
        let gone = cells[1] == "B8";
        all += &if gone { format!("{},B8,{},,noread", cells[0], cells[2]) } else { l.to_string() };
        all + "\n"
    });
    let controls = "channels_planned = 24\ncontrols = [\"B7\", \"B8\"]";
    let w = eight_boards(csv).run("channels_planned = 2", controls).compute();
    assert!(w.run_fact("RUN-1", "control_min").is_none());
}

#[test]
fn a_value_on_its_limit_meets_it_in_every_unit() {
    let csv = "board,lot,place,quantity,value,unit\nB1,L1,N1,leakage,0.025,nA\n";
    let limit = "quantity = \"leakage\"\noperator = \"le\"\nvalue = \"25 pA\"\nstatistic = \"each\"";
    let w = Bench::new("measured", csv).criterion("LIM-L", limit).compute();
    assert_eq!((outcome(&w, "LIM-L").margin, outcome(&w, "LIM-L").single_fails), (0.0, false));
}

#[test]
fn a_tolerance_bound_of_very_small_currents_is_formed() {
    let mut csv = String::from("board,lot,place,quantity,value,unit\n");
    for (i, x) in [5e-12, 6e-12, 5.5e-12, 6.2e-12].iter().enumerate() {
        csv += &format!("B{},L1,N{},leakage,{x:e},A\n", 1 + i % 2, i / 2);
    }
    let limit =
        "quantity = \"leakage\"\noperator = \"le\"\nvalue = \"1e-9 A\"\nstatistic = \"UTB\"\np = 0.9\nconf = 0.9";
    let w = Bench::new("measured", &csv).criterion("LIM-L", limit).compute();
    assert_eq!(outcome(&w, "LIM-L").refused, None);
}
