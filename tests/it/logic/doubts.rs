//! Doubts that galipot raises, those that people raise, and answers that hold or do not.

use super::site::{C, CORNERS, N, S, Site, X, build, clean, condition, level, overlap};
use galipot::model::assessment::DefeaterStatus;

const TV: &str = "vehicles/tv-1.toml";
const AB: &str = "assemblies/ab-10.toml";

/// A fail on boards that were colder than the product gets: DF5, major, open.
fn doubted() -> Site {
    clean()
        .add(TV, &build(7, "cold", (225, 60, 70), &[("SP-21", "L-1", 60, true)]))
        .plan("RUN-7", "C3.1")
        .with_run("RUN-7", "BLD-7", "2025-10-20")
        .sir("RUN-7", |b, p, t| if p == "C1" { 6.0 } else { level(b, p, t) })
}

const ID: &str = "DF5:C3.1:RUN-7";

fn answer(doubt: &str, status: &str, evidence: &str, by: &str, on: &str) -> String {
    format!(
        "[[answer]]\ndoubt = \"{doubt}\"\nassemblies = [\"AB-10\"]\nstatus = \"{status}\"\ntext = \"It is so.\"\nevidence = [{evidence}]\nby = \"{by}\"\non = {on}\n"
    )
}

fn status(s: Site, claim: galipot::model::assessment::State) -> DefeaterStatus {
    let j = s.judge();
    j.is("C3.1", claim, "");
    j.doubt(ID).expect("the doubt").status
}

#[test]
fn a_refutation_needs_evidence_that_holds() {
    let refuted = |evidence: &str| doubted().register(&answer(ID, "refuted", evidence, "ENG", "2026-01-10"));
    assert_eq!(status(doubted(), N), DefeaterStatus::Open);
    assert_eq!(status(refuted("\"RUN-2\""), S), DefeaterStatus::Refuted);
    assert_eq!(status(refuted("\"C7.1\""), S), DefeaterStatus::Refuted);
    assert_eq!(status(refuted("\"RUN-2\", \"RUN-7\""), S), DefeaterStatus::Refuted);
    for nothing in [
        "",
        "\"RUN-7\"",
        "\"C3.1\"",
        "\"galipot.toml\"",
        "\"runs/RUN-2/sir.csv\"",
        "\"RUN-99\"",
        "\"run-2\"",
        "\"C3\"",
        "\"C3.4\"",
        "\"W0\"",
        "\"RUN-2\", \"RUN-99\"",
    ] {
        assert_eq!(status(refuted(nothing), N), DefeaterStatus::Open, "{nothing}");
    }
}

#[test]
fn evidence_of_an_answer_that_does_not_count_itself() {
    let refuted = |s: Site| s.register(&answer(ID, "refuted", "\"RUN-2\"", "ENG", "2026-01-10"));
    // Run 2 is altered, out of scope, failing, or of another assembly.
    let j = refuted(doubted()).run("RUN-2", "method_edition = \"2007\"", "method_edition = \"1999\"").judge();
    assert_eq!(j.doubt(ID).expect("it").status, DefeaterStatus::Open);
    let j = refuted(doubted()).sir("RUN-2", |b, p, t| if p == "B1" { 6.0 } else { level(b, p, t) }).judge();
    assert_eq!(j.doubt(ID).expect("it").status, DefeaterStatus::Open);
    let s = refuted(doubted());
    let ab = String::from_utf8(s.files.iter().find(|f| f.0 == AB).expect("it").1.clone()).expect("text");
    let s = s.file("assemblies/ab-20.toml", &ab.replace("AB-10", "AB-20"));
    let j = s
        .patch(
            "protocols/pt-1.toml",
            "id = \"RUN-2\"\nclaims = [\"C3.1\", \"C3.2\", \"C3.7\"]\nassemblies = [\"AB-10\"]",
            "id = \"RUN-2\"\nclaims = [\"C3.1\", \"C3.2\", \"C3.7\"]\nassemblies = [\"AB-20\"]",
        )
        .judge();
    assert_eq!(j.doubt(ID).expect("it").status, DefeaterStatus::Open);
}

#[test]
fn two_answers_cannot_hold_each_other_up() {
    // C3.2 is doubted too, and each doubt is answered by the other claim.
    let both = || {
        doubted()
            .patch(
                "protocols/pt-1.toml",
                "id = \"RUN-7\"\nclaims = [\"C3.1\"]",
                "id = \"RUN-7\"\nclaims = [\"C3.1\", \"C3.2\"]",
            )
            .sir("RUN-7", |_, _, _| 6.0)
            .register(&answer(ID, "refuted", "\"C3.2\"", "ENG", "2026-01-10"))
    };
    let j = both().register(&answer("DF5:C3.2:RUN-7", "refuted", "\"C3.1\"", "ENG", "2026-01-10")).judge();
    j.is("C3.1", N, "OPEN_DEFEATER(DF5:C3.1:RUN-7)").is("C3.2", N, "OPEN_DEFEATER(DF5:C3.2:RUN-7)");
    // With one of them answered by itself the other may lean on it.
    let j = both().register(&answer("DF5:C3.2:RUN-7", "refuted", "\"RUN-2\"", "ENG", "2026-01-10")).judge();
    j.is("C3.1", S, "").is("C3.2", S, "");
}

#[test]
fn an_acceptance_needs_the_customer_in_office() {
    let accepted = |by: &str, on: &str| doubted().register(&answer(ID, "accepted", "", by, on));
    assert_eq!(status(accepted("REL", "2026-01-10"), C), DefeaterStatus::Accepted);
    for (by, on) in [
        ("ENG", "2026-01-10"),
        ("BUY", "2026-01-10"),
        ("CHK", "2026-01-10"),
        ("REL", "2023-01-10"),
        ("REL", "2026-05-10"),
    ] {
        assert_eq!(status(accepted(by, on), N), DefeaterStatus::Open, "{by} {on}");
    }
    // Through a waiver: of this claim, and in force.
    let waiver = |claim: &str, to: &str| {
        let w = format!(
            "[[waiver]]\nid = \"WV-1\"\nassembly = \"AB-10\"\nclaims = [\"{claim}\"]\nscope = \"s\"\nlimit_of_use = \"indoors\"\ncustomer_authority = \"REL\"\nfrom = 2026-01-01\nto = {to}\n"
        );
        let a = answer(ID, "accepted", "", "ENG", "2026-01-10").replace("by = ", "waiver = \"WV-1\"\nby = ");
        doubted().register(&w).register(&a)
    };
    assert_eq!(status(waiver("C3.1", "2026-12-31"), C), DefeaterStatus::Accepted);
    let j = waiver("C3.2", "2026-12-31").judge();
    assert_eq!(j.doubt(ID).expect("it").status, DefeaterStatus::Open);
    assert_eq!(status(waiver("C3.1", "2026-03-30"), N), DefeaterStatus::Open);
}

#[test]
fn the_last_answer_counts_and_the_worse_of_two_on_one_day() {
    let early = answer(ID, "refuted", "\"RUN-2\"", "ENG", "2026-01-10");
    let later = answer(ID, "open", "", "ENG", "2026-02-10");
    assert_eq!(status(doubted().register(&early).register(&later), N), DefeaterStatus::Open);
    assert_eq!(status(doubted().register(&later).register(&early), N), DefeaterStatus::Open);
    let same = later.replace("2026-02-10", "2026-01-10");
    assert_eq!(status(doubted().register(&early).register(&same), N), DefeaterStatus::Open);
    let future = later.replace("2026-02-10", "2026-12-10");
    assert_eq!(status(doubted().register(&early).register(&future), S), DefeaterStatus::Refuted);
    let confirmed = answer(ID, "confirmed", "", "REL", "2026-02-10");
    assert_eq!(status(doubted().register(&early).register(&confirmed), N), DefeaterStatus::Confirmed);
    // An answer for another assembly is none.
    assert_eq!(status(doubted().register(&early.replace("DF5:C3.1:RUN-7", "df5:C3.1:RUN-7")), N), DefeaterStatus::Open);
}

fn doubt(claim: &str, kind: &str, severity: &str) -> String {
    format!(
        "[[doubt]]\nid = \"DB-1\"\nassembly = \"AB-10\"\nclaim = \"{claim}\"\nkind = \"{kind}\"\nseverity = \"{severity}\"\ntext = \"I doubt it.\"\nraised_by = \"REL\"\nraised_on = 2026-01-05\n"
    )
}

#[test]
fn doubts_of_people() {
    clean().register(&doubt("C3.1", "undercut", "major")).expect("C3.1", N, "OPEN_DEFEATER(DB-1)");
    clean().register(&doubt("C3.1", "undercut", "minor")).expect("C3.1", N, "OPEN_DEFEATER(DB-1)");
    clean().register(&doubt("C3.1", "undercut", "note")).expect("C3.1", S, "");
    let closing = condition("CND-1", "C3.1", "answers = [\"DB-1\"]");
    clean().register(&doubt("C3.1", "undercut", "minor")).register(&closing).expect("C3.1", C, "OPEN_DEFEATER(DB-1)");
    clean().register(&doubt("C3.1", "undercut", "major")).register(&closing).expect("C3.1", N, "OPEN_DEFEATER(DB-1)");
    for (kind, state) in [("rebut", X), ("undercut", N), ("undermine", N)] {
        let s = clean().register(&doubt("C3.1", kind, "major")).register(&answer(
            "DB-1",
            "confirmed",
            "",
            "REL",
            "2026-02-01",
        ));
        s.expect("C3.1", state, "");
    }
    clean()
        .register(&doubt("C3.1", "rebut", "major"))
        .register(&answer("DB-1", "refuted", "\"RUN-2\"", "ENG", "2026-02-01"))
        .expect("C3.1", S, "");
    // An accepted note caps nothing either.
    clean()
        .register(&doubt("C3.1", "undercut", "note"))
        .register(&answer("DB-1", "accepted", "", "REL", "2026-02-01"))
        .expect("C3.1", S, "");
    // A doubt on a group of claims, or on the root, counts there.
    let j = clean().register(&doubt("C3", "undercut", "major")).judge();
    assert!(j.codes("C3").contains(&"OPEN_DEFEATER(DB-1)".to_string()), "{:?}", j.codes("C3"));
    let s = clean().register(&doubt("C0", "rebut", "major")).register(&answer(
        "DB-1",
        "confirmed",
        "",
        "REL",
        "2026-02-01",
    ));
    s.expect("C0", X, "CONFLICT(DB-1)");
    // Raised after the day of judgement it is not known.
    clean().register(&doubt("C3.1", "undercut", "major").replace("2026-01-05", "2026-05-05")).expect("C3.1", S, "");
}

#[test]
fn df1_df2_vehicles_and_lots() {
    // DF1 where the claim does not cover incoming ions: migration on boards that were cleaned and not measured.
    let ecm = |s: Site| s.patch(TV, "bare_ionic = \"0.2 ug/cm2\"", "unknown = [\"bare_ionic\"]");
    let c36 = super::site::criterion("LIM-CORR", "sir", "C3.9")
        .replace("statistic = \"LTB\"\np = 0.9\nconf = 0.9", "statistic = \"mean\"");
    let s =
        ecm(clean()).add("criteria/cs-1.toml", &c36).replace("protocols/pt-1.toml", "\"C3.7\"]", "\"C3.7\", \"C3.9\"]");
    s.expect("C3.9", N, "OPEN_DEFEATER(DF1:C3.9:TV-1)");
    // DF2 beside the lots that K21 asks for.
    let j = clean().patch(TV, "lot = \"L-3\"", "lot = \"L-2\"").judge();
    assert!(j.doubt("DF2:C3.1:lots").is_some());
}

#[test]
fn df3_controls_that_shifted_between_runs() {
    let s = clean();
    let csv = |s: &Site| {
        String::from_utf8(s.files.iter().find(|f| f.0 == "runs/RUN-3/sir.csv").expect("it").1.clone()).expect("text")
    };
    let shifted: String = csv(&s)
        .lines()
        .map(|l| l.replace("K3-1,C1,1.2589e11", "K3-1,C1,2.0e10").replace("K3-2,C1,1.5849e11", "K3-2,C1,2.5e10") + "\n")
        .collect();
    let j = s.file("runs/RUN-3/sir.csv", &shifted).stamp("RUN-3", "sir.csv").judge();
    assert!(j.doubt("DF3:C3.1:controls").is_some());
    j.is("C3.1", N, "OPEN_DEFEATER(DF3:C3.1:controls)");
}

#[test]
fn df7_df8_audits_and_gaps() {
    let audit = "[[audit]]\nid = \"AU-1\"\nkind = \"bench\"\ndate = 2026-02-01\nauditor = \"ENG\"\nassemblies = [\"AB-10\"]\nmax_minor = 3\nreport = \"AU-1.pdf\"\n\n[[audit.finding]]\nseverity = \"minor\"\ntext = \"An operator wipes with a cloth.\"\nunknown = [\"closed_on\"]\n";
    let j = clean().file("audits/au-1.toml", audit).judge();
    assert!(j.doubt("DF7:C6.5:AU-1").is_some());
    let s = clean().patch(AB, "gap_source = \"measured\"", "gap_source = \"datasheet\"");
    s.expect("C3.2", N, "OPEN_DEFEATER(DF8:C3.2:U3)");
    let j = clean().patch(AB, "gap_source = \"measured\"", "gap_source = \"calculated\"").judge();
    assert_eq!(j.doubt("DF8:C3.2:U3").expect("it").status, DefeaterStatus::Noted);
}

#[test]
fn df6_df9_df11_df12_df13_df14_print_what_is_held_down_elsewhere() {
    let j = clean().patch("processes/processes.toml", "fluxes = [\"SP-21\"]", "fluxes = [\"SP-21\", \"SF-08\"]");
    let selective = "[[material]]\nid = \"SF-08\"\nkind = \"sel_flux\"\ntitle = \"Selective flux\"\nformulation_rev = \"4\"\nwater_soluble = false\n";
    let j = j.add("materials/materials.toml", selective).judge();
    j.is("C2.1", N, "OPEN_DEFEATER(DF6:C2.1:stack)");
    let j = clean().replace(TV, "v_bias = \"5 V\"", "v_bias = \"50 V\"").judge();
    assert!(j.doubt("DF9:C3.7:pairs").is_some());
    let j = clean()
        .register(
            &condition("CND-1", "C3.1", "").replace("feed = \"register/register.toml\"", "feed = \"nowhere.csv\""),
        )
        .judge();
    assert!(j.doubt("DF11:C3.1:CND-1").is_some());
    let j = clean().plan("RUN-9", "C3.1").judge();
    assert!(j.doubt("DF12:C11.1:RUN-9").is_some());
    let step = "[[process.step]]\nkind = \"rework\"\nmachine = \"bench\"\nrecipe = \"RW-1\"\nrecipe_rev = \"1\"\nfluxes = [\"SP-21\"]\nmetered = true\nrate = \"5 %\"\n\n[[process]]\nid = \"PR-WASH\"";
    let j = clean().patch("processes/processes.toml", "[[process]]\nid = \"PR-WASH\"", step).judge();
    assert!(j.doubt("DF13:C6.5:RW-1").is_some());
}

#[test]
fn df10_df14_df17_df26() {
    // A product that stands by for half of its life in a humidity above what wets its acid.
    let acid = "solids = \"45 %\"\nsoftening = \"70 degC\"\n\n[[material.acid]]\nname = \"glutaric\"\ndeliquescence = \"70 %RH\"\n\n[[lot]]\nid = \"L-1\"";
    let humid = || {
        clean().patch("materials/materials.toml", "solids = \"45 %\"\n\n[[lot]]\nid = \"L-1\"", acid).patch(
            "environments/indoor.toml",
            "standby = 0.2",
            "standby = 0.5",
        )
    };
    let j = humid().judge();
    assert_eq!(j.doubt("DF10:C3.10:standby").map(|d| d.status), Some(DefeaterStatus::Open));
    let j = humid().patch("environments/indoor.toml", "standby = 0.5", "standby = 0.2").judge();
    assert!(j.doubt("DF10:C3.10:standby").is_none());
    let margin = super::site::criterion("LIM-SOFT", "softening_margin", "C2.7").replace("8.0 log10 ohm", "10 K");
    let hot = |t: u32| {
        humid().add("criteria/cs-1.toml", &margin).patch(
            AB,
            "fill = \"58 %\"",
            &format!("fill = \"58 %\"\nlocal_max = \"{t} degC\""),
        )
    };
    let j = hot(55).judge();
    assert!(j.doubt("DF14:C2.7:U3").is_some());
    j.is("C2.7", S, "");
    hot(62).expect("C2.7", N, "NOT_SHOWN(SP-21)");
    assert!(clean().judge().doubt("DF17:I12:returns").is_some());
    let early = "[[acceptance]]\nclaim = \"C9.2\"\nassembly = \"AB-10\"\nstatus = \"approved\"\ndocument = \"FA-1\"\nby = \"REL\"\non = 2025-09-25\n";
    let j = clean().register(early).judge();
    assert!(j.a.assessment.assemblies[0].defeaters.iter().any(|d| d.standard == "DF26"));
    let j = clean().register(&early.replace("2025-09-25", "2026-01-25")).judge();
    assert!(!j.a.assessment.assemblies[0].defeaters.iter().any(|d| d.standard == "DF26"));
}

#[test]
fn df16_the_seller_ran_the_test() {
    let s = clean().patch(
        "labs/labs.toml",
        "accreditation = \"T-0042\"",
        "accreditation = \"T-0042\"\nsells = [\"SP-21\"]",
    );
    s.expect("C3.1", N, "OPEN_DEFEATER(DF16:C3.1:RUN-1)");
    clean().patch("labs/labs.toml", "\"independent\"", "\"supplier\"").expect(
        "C3.1",
        N,
        "OPEN_DEFEATER(DF16:C3.1:RUN-1)",
    );
}

#[test]
fn df19_df21_df23_df24() {
    clean().run("RUN-1", "age_at_start = \"48 h\"\n", "").expect("C3.1", N, "OPEN_DEFEATER(DF19:C3.1:RUN-1)");
    clean().run("RUN-1", "age_at_start = \"48 h\"", "age_at_start = \"20 h\"").expect(
        "C3.1",
        N,
        "OPEN_DEFEATER(DF19:C3.1:RUN-1)",
    );
    // One photograph for two boards.
    let photo = |s: Site, run: &str, board: &str| {
        let entry = format!(
            "\n[[run.file]]\npath = \"p.png\"\nsha256 = \"{}\"\nrole = \"photo\"\ntaken_of = \"{board}\"\n",
            "0".repeat(64)
        );
        s.add(&format!("runs/{run}/run.toml"), &entry).file(&format!("runs/{run}/p.png"), "picture").stamp(run, "p.png")
    };
    photo(clean(), "RUN-1", "L1-0").expect("C3.1", S, "");
    photo(photo(clean(), "RUN-1", "L1-0"), "RUN-2", "L2-0").expect("C3.1", N, "OPEN_DEFEATER(DF21:C3.1:RUN-2)");
    // The lot had lapsed when the boards were built, or was made later.
    let lot = |old: &str, new: &str| clean().patch("materials/materials.toml", old, new);
    lot("expires_on = 2026-01-01", "expires_on = 2025-09-01").expect("C3.1", N, "OPEN_DEFEATER(DF23:C3.1:L-1)");
    lot("made_on = 2025-06-01", "made_on = 2025-09-12").expect("C3.1", N, "OPEN_DEFEATER(DF23:C3.1:L-1)");
    let j = overlap().judge();
    assert!(j.doubt("DF24:C7.1:INC-1").is_some(), "one run carries it");
    assert!(j.doubt("DF24:C3.1:RUN-1").is_none());
}

#[test]
fn a_change_that_has_come_opens_its_claims_again() {
    let change = |claim: &str, on: &str, material: &str| {
        format!(
            "[[change]]\nid = \"CH-1\"\n{material}text = \"Another resin\"\nnotified_on = 2026-03-02\neffective_on = {on}\nclaims = [\"{claim}\"]\n"
        )
    };
    let with = |text: String| clean().add("materials/materials.toml", &text);
    let paste = "material = \"SP-21\"\n";
    with(change("C3.1", "2026-03-15", paste)).expect("C3.1", N, "EXPIRED_CHANGE(CH-1)");
    with(change("C3.1", "2026-06-01", paste)).expect("C3.1", S, "");
    with(change("C3.1", "2026-03-15", "")).expect("C3.1", N, "EXPIRED_CHANGE(CH-1)");
    // Named after the group it counts there.
    let j = with(change("C3", "2026-03-15", paste)).judge();
    assert!(j.codes("C3").contains(&"EXPIRED_CHANGE(CH-1)".to_string()), "{:?}", j.codes("C3"));
    // A mask that may be this board's counts; a flux that never comes does not.
    let mask = "[[material]]\nid = \"MSK-3\"\nkind = \"mask\"\ntitle = \"Mask\"\nformulation_rev = \"1\"\nwater_soluble = false\n\n";
    with(format!("{mask}{}", change("C3.1", "2026-03-15", "material = \"MSK-3\"\n"))).expect("C3.1", N, "");
    let other = "[[material]]\nid = \"SP-99\"\nkind = \"paste\"\ntitle = \"Paste\"\nformulation_rev = \"1\"\nwater_soluble = false\n\n";
    with(format!("{other}{}", change("C3.1", "2026-03-15", "material = \"SP-99\"\n"))).expect("C3.1", S, "");
    // New evidence at the new state answers it.
    let s = with(change("C3.1", "2026-03-15", paste)).register(&answer(
        "EXPIRED_CHANGE:C3.1:CH-1",
        "refuted",
        "\"RUN-2\"",
        "ENG",
        "2026-03-20",
    ));
    s.expect("C3.1", S, "");
    let _ = CORNERS;
}
