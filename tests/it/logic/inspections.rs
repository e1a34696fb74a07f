//! Inspections and audits: what passes them wrongly when it is missing, old, failed, washed or empty.

use super::site::{C, CORNERS, N, S, Site, X, build, clean, condition, overlap, overlap_of};

const AB: &str = "assemblies/ab-10.toml";
const CS: &str = "criteria/cs-1.toml";
const TV: &str = "vehicles/tv-1.toml";

fn threshold(quantity: &str, value: &str, claim: &str) -> String {
    format!(
        "[[criterion]]\nid = \"TH-{}\"\nquantity = \"{quantity}\"\noperator = \"ge\"\nvalue = {value}\nstatistic = \"each\"\nguard_rule = \"none\"\nstandard = \"AABUS\"\nedition = \"2025\"\nclause = \"QA-7 9\"\nstanding = \"agreed\"\nrationale = \"Agreed.\"\napplies_to = [\"{claim}\"]\nset = \"CS-1\"\n",
        quantity.replace('_', "-")
    )
}

/// An unheated cell of the selective flux in run 7, at a dose; it fails when `low`.
fn unheated(s: Site, dose: u32, low: bool) -> Site {
    let text = build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true), ("SF-08", "SF-08-A", dose, false)]);
    let s = s.add(TV, &text).plan("RUN-7", "C2.4").with_run("RUN-7", "BLD-7", "2025-10-20");
    let s = s.add(CS, &super::site::criterion("LIM-COLD", "sir", "C2.4"));
    if low { s.sir("RUN-7", |_, _, _| 6.0) } else { s }
}

#[test]
fn heat_seen_or_tested_unheated() {
    overlap().expect("C2.4", S, "");
    let shadow = || {
        overlap().patch(
            AB,
            "dose_ucl = \"60 ug/cm2\"\nmetered = true\nheated_fraction = 1.0",
            "dose_ucl = \"60 ug/cm2\"\nmetered = true\nheated_fraction = 0.9",
        )
    };
    shadow().expect("C2.4", N, "NOT_COVERED(K5)");
    unheated(shadow(), 60, false).expect("C2.4", S, "");
    unheated(shadow(), 60, true).expect("C2.4", N, "NOT_COVERED(K5)");
    unheated(shadow(), 60, false).run("RUN-7", "method_edition = \"2007\"", "method_edition = \"1999\"").expect(
        "C2.4",
        N,
        "NOT_COVERED(K5)",
    );
    // A washed cell shows nothing of flux that stays.
    let washed = build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true), ("SF-08", "SF-08-A", 60, false)])
        .replace("washed = \"no\"", "washed = \"water\"");
    let s = shadow()
        .add(TV, &washed)
        .plan("RUN-7", "C2.4")
        .with_run("RUN-7", "BLD-7", "2025-10-20")
        .add(CS, &super::site::criterion("LIM-COLD", "sir", "C2.4"));
    s.expect("C2.4", N, "NOT_COVERED(K5)");
}

#[test]
fn a_planned_run_holds_an_inspection_down() {
    overlap().plan("RUN-9", "C2.4").expect("C2.4", N, "PLANNED(RUN-9)");
    clean().plan("RUN-9", "C11.1").expect("C11.1", S, "");
}

fn lots() -> Site {
    let upper = threshold("lot_spread", "2", "C6.6").replace("\"ge\"", "\"le\"");
    clean().add(CS, &threshold("lots", "3", "C6.6")).add(CS, &upper).replace(
        "protocols/pt-1.toml",
        "\"C3.7\"]",
        "\"C3.7\", \"C6.6\"]",
    )
}

#[test]
fn lots_alike() {
    lots().expect("C6.6", S, "");
    lots().patch(TV, "lot = \"L-3\"", "lot = \"L-2\"").expect("C6.6", N, "LOT_MISMATCH(K21)");
    lots().sir("RUN-3", |b, p, t| super::site::level(b, p, t) - 1.2).expect("C6.6", N, "NOT_SHOWN(K21)");
    // Washed boards tell nothing of lots of residue; equal readings tell nothing of spread.
    lots().replace(TV, "washed = \"no\"", "washed = \"water\"").expect("C6.6", N, "LOT_MISMATCH(K21)");
    lots().run("RUN-3", "method_edition = \"2007\"", "method_edition = \"1999\"").expect(
        "C6.6",
        N,
        "LOT_MISMATCH(K21)",
    );
}

fn returns(builds: &str, yes: &str) -> Site {
    let s = clean();
    let run =
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/INC-1/run.toml").expect("it").1.clone()).expect("text");
    let zero = "0".repeat(64);
    let (head, _) = run.split_once("[[run.file]]").expect("files");
    let toml = head
        .replace("INC-1", "RET-1")
        .replace("incoming_ionic", "returns")
        .replace("lab = \"DALE\"", &format!("{builds}lab = \"DALE\""));
    let toml = format!(
        "{toml}\n[[run.file]]\npath = \"f.csv\"\nsha256 = \"{zero}\"\nrole = \"readings\"\ntable = \"findings\"\n"
    );
    let product = format!(
        "[vehicle]\nid = \"PROD\"\ntitle = \"The product\"\nassembly = \"AB-10\"\nassembly_rev = \"C\"\nfabricator = \"FAB-1\"\nlaminate = \"LAM-7\"\nhalogen_free = true\nmask = \"MSK-3\"\nmask_defined = \"NSMD\"\nfinish = \"ENIG\"\nprewashed = false\nunknown = [\"bare_ionic\"]\nboard_lot = \"BL-40\"\n\n{}",
        build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true)])
    );
    let chart = "[[chart]]\nid = \"CH-1\"\nquantity = \"returns\"\nassemblies = [\"AB-10\"]\nrun = \"RET-1\"\nreaction = \"analyse\"\nowner = \"ENG\"\nreturns_coded = true\nunknown = [\"witness_interval\"]\n";
    s.register(chart)
        .file("vehicles/prod.toml", &product)
        .plan("RET-1", "C10.3")
        .add(CS, "[[age]]\nkind = \"returns\"\nmonths = 60\nset = \"CS-1\"")
        .file("runs/RET-1/run.toml", &toml)
        .file("runs/RET-1/f.csv", &format!("board,place,looked_for,found,photo\nL7-0,all,residue_related,{yes},none\n"))
        .stamp("RET-1", "f.csv")
}

#[test]
fn returns_on_unwashed_units_contradict_and_on_unknown_ones_are_a_question() {
    returns("builds = [\"BLD-7\"]\n", "no").expect("C10.3", S, "");
    returns("builds = [\"BLD-7\"]\n", "yes").expect("C10.3", X, "CONFLICT(RET-1)");
    let washed =
        returns("builds = [\"BLD-7\"]\n", "yes").patch("vehicles/prod.toml", "washed = \"no\"", "washed = \"water\"");
    washed.expect("C10.3", S, "");
    returns("", "yes").expect("C10.3", N, "OPEN_DEFEATER(RET-1)");
    returns("", "no").expect("C10.3", S, "");
    clean().expect("C10.3", N, "MISSING");
}

fn audit(kind: &str, more: &str) -> String {
    format!(
        "[[audit]]\nid = \"AU-1\"\nkind = \"{kind}\"\ndate = 2026-02-01\nauditor = \"ENG\"\nassemblies = [\"AB-10\"]\nmax_minor = 1\nreport = \"AU-1.pdf\"\n{more}"
    )
}

fn finding(severity: &str, closed: &str) -> String {
    format!("\n[[audit.finding]]\nseverity = \"{severity}\"\ntext = \"something\"\n{closed}\n")
}

#[test]
fn audits_in_age_without_a_finding_that_matters() {
    let age = "[[age]]\nkind = \"handling-audit\"\nmonths = 12\nset = \"CS-1\"";
    let with = |text: String| clean().add(CS, age).file("audits/au-1.toml", &text);
    clean().expect("C7.3", N, "MISSING(handling)");
    with(audit("handling", "")).expect("C7.3", S, "");
    clean().file("audits/au-1.toml", &audit("handling", "")).expect("C7.3", N, "CRITERION_MISSING(handling-audit)");
    with(audit("handling", "").replace("2026-02-01", "2025-02-01")).expect("C7.3", N, "EXPIRED_AGE(AU-1)");
    with(audit("handling", "").replace("2026-02-01", "2026-05-01")).expect("C7.3", N, "MISSING(handling)");
    let open = "unknown = [\"closed_on\"]";
    with(audit("handling", &finding("major", open))).expect("C7.3", N, "OPEN_DEFEATER(AU-1)");
    with(audit("handling", &finding("major", "closed_on = 2026-02-20"))).expect("C7.3", S, "");
    with(audit("handling", &finding("major", "closed_on = 2026-05-20"))).expect("C7.3", N, "OPEN_DEFEATER(AU-1)");
    with(audit("handling", &finding("minor", open))).expect("C7.3", S, "");
    with(audit("handling", &(finding("minor", open) + &finding("minor", open)))).expect(
        "C7.3",
        N,
        "OPEN_DEFEATER(AU-1)",
    );
    // As evidence of an answer an audit is worth no more than as a claim.
    let answer = "[[answer]]\ndoubt = \"DB-1\"\nassemblies = [\"AB-10\"]\nstatus = \"refuted\"\ntext = \"Audited.\"\nevidence = [\"AU-1\"]\nby = \"ENG\"\non = 2026-02-25\n";
    let doubt = "[[doubt]]\nid = \"DB-1\"\nassembly = \"AB-10\"\nclaim = \"C3.1\"\nkind = \"undercut\"\nseverity = \"major\"\ntext = \"Hands.\"\nraised_by = \"REL\"\nraised_on = 2026-01-05\n";
    let doubted = |text: String| with(text).register(doubt).register(answer);
    doubted(audit("handling", "")).expect("C3.1", S, "");
    doubted(audit("handling", &finding("major", open))).expect("C3.1", N, "OPEN_DEFEATER(DB-1)");
    doubted(audit("handling", "").replace("2026-02-01", "2025-02-01")).expect("C3.1", N, "OPEN_DEFEATER(DB-1)");
}

#[test]
fn rework_flux_counts_as_tested_only_where_it_passed() {
    let step = "[[process.step]]\nkind = \"rework\"\nmachine = \"bench\"\nrecipe = \"RW-1\"\nrecipe_rev = \"1\"\nfluxes = [\"TF-03\"]\nmetered = true\nrate = \"1 %\"\nmax_cycles = 1\n\n[[process]]\nid = \"PR-WASH\"";
    let age = "[[age]]\nkind = \"rework-audit\"\nmonths = 12\nset = \"CS-1\"";
    let s = |cycles: u32, low: bool| {
        let text = build(7, "nominal", CORNERS[2].1, &[("SP-21", "L-1", 60, true), ("TF-03", "TF-03-A", 60, true)]);
        let text = text.replace("rework_cycles = 0", &format!("rework_cycles = {cycles}"));
        let s = overlap()
            .patch("processes/processes.toml", "[[process]]\nid = \"PR-WASH\"", step)
            .add(CS, age)
            .file("audits/au-1.toml", &audit("rework", ""))
            .add(TV, &text)
            .plan("RUN-7", "C3.3")
            .with_run("RUN-7", "BLD-7", "2025-10-20");
        if low { s.sir("RUN-7", |_, _, _| 6.0) } else { s }
    };
    s(1, false).expect("C6.5", S, "");
    s(0, false).expect("C6.5", N, "NOT_COVERED(K4)");
    s(1, true).expect("C6.5", N, "NOT_COVERED(K4)");
    let unmetered = s(1, false).patch("processes/processes.toml", "metered = true\nrate", "metered = false\nrate");
    unmetered.expect("C6.5", N, "MISSING(RW-1)");
}

#[test]
fn time_to_wash_is_shown_or_kept() {
    let bounded = || {
        clean().patch(
            "processes/processes.toml",
            "title = \"Reflow and water wash\"",
            "title = \"Reflow and water wash\"\nwash_within = \"8 h\"",
        )
    };
    clean().expect("I6", N, "MISSING(wash_within)");
    bounded().expect("I6", N, "MISSING");
    bounded().register(&condition("CND-1", "I6", "")).expect("I6", C, "");
    bounded().register(&condition("CND-1", "I6", "").replace("owner = \"ENG\"", "unknown = [\"owner\"]")).expect(
        "I6",
        N,
        "CONDITION_INCOMPLETE(CND-1)",
    );
}

#[test]
fn requirements() {
    let clause = |disposition: &str, more: &str| {
        format!(
            "[[requirement]]\nid = \"REQ-1\"\ndocument = \"WS-12\"\ndocument_rev = \"B\"\nclause = \"4.2\"\ntext = \"Boards are washed.\"\nassemblies = [\"AB-10\"]\ndisposition = \"{disposition}\"\nowner = \"REL\"\n{more}"
        )
    };
    let with = |text: String| clean().add("customers/wren.toml", &text);
    clean().expect("C1.3", N, "MISSING");
    with(clause("complied", "")).expect("C1.3", S, "");
    with(clause("open", "")).expect("C1.3", N, "MISSING(REQ-1)");
    with(clause("forbids", "")).expect("C1.3", X, "CONFLICT(REQ-1)");
    with(clause("waived", "")).expect("C1.3", N, "MISSING(REQ-1)");
    with(clause("waived", "customer_ref = \"letter 7\"\n")).expect("C1.3", S, "");
}

#[test]
fn the_ionic_balance_that_does_not_close_is_a_major_doubt() {
    let balance = threshold("ionic_balance", "0.5", "C2.6")
        .replace("\"ge\"", "\"in\"")
        .replace("value = 0.5", "value = 0.5\nupper = 2.0");
    let s = |conc: f64| {
        let run = String::from_utf8(clean().files.iter().find(|f| f.0 == "runs/INC-1/run.toml").expect("it").1.clone())
            .expect("text");
        let toml = run
            .replace("INC-1", "ION-1")
            .replace("incoming_ionic", "ionic")
            .replace("lab = \"DALE\"", "builds = [\"BLD-1\"]\nlab = \"DALE\"");
        let csv = format!(
            "sample,board,place,ion,conc_mg_L,blank_mg_L,volume_mL,dilution,area_cm2,area_basis,lod_mg_L,expected_ug_cm2\nS1,L1-0,all,adipate,{conc},0,50,1,100,both_sides,0.01,2.0\nS2,L1-1,all,adipate,{conc},0,50,1,100,both_sides,0.01,2.0\n"
        );
        clean()
            .add(CS, &balance)
            .add(CS, "[[age]]\nkind = \"ionic\"\nmonths = 36\nset = \"CS-1\"")
            .plan("ION-1", "C2.6")
            .file("runs/ION-1/run.toml", &toml)
            .file("runs/ION-1/ionic.csv", &csv)
            .stamp("ION-1", "ionic.csv")
    };
    s(4.0).patch(TV, "date = 2025-09-11", "date = 2025-09-10").expect("C2.6", S, "");
    let j = s(9.0).judge();
    assert!(j.doubt("DF22:C2.6:ION-1").is_some());
    j.is("C2.6", X, "CONFLICT(ION-1)");
    let _ = overlap_of;
}
