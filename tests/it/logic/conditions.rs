//! Conditions, assumptions, waivers: complete or not, in conflict, too many; what they may lift and what not.

use super::site::{C, N, S, Site, X, any, clean, condition, level};

#[test]
fn a_condition_caps_its_claim_and_lacks_nothing() {
    let j = clean().register(&condition("CND-1", "C3.1", "")).judge();
    j.is("C3.1", C, "").is("C3.2", S, "");
    assert_eq!(j.claim("C3.1").conditions, ["CND-1"]);
    assert!(j.a.assessment.assemblies[0].conditions[0].lacks.is_empty());
    for (old, new) in [
        ("owner = \"ENG\"", "unknown = [\"owner\"]"),
        ("feed = \"register/register.toml\"", "unknown = [\"feed\"]"),
        ("feed = \"register/register.toml\"", "feed = \"register/other.csv\""),
        ("feed = \"register/register.toml\"", "feed = \"CHART-9\""),
        ("feed_on = 2026-03-20\n", ""),
        ("feed_on = 2026-03-20", "feed_on = 2026-01-20"),
        ("feed_on = 2026-03-20", "feed_on = 2026-04-20"),
        ("frequency = \"30 days\"", "unknown = [\"frequency\"]"),
        ("due = 2026-09-01", "unknown = [\"due\"]"),
        ("due = 2026-09-01", "due = 2026-03-30"),
        ("breach_action = \"stop and ask\"", "unknown = [\"breach_action\"]"),
        ("stop_ship = true", "unknown = [\"stop_ship\"]"),
    ] {
        let j = clean().register(&condition("CND-1", "C3.1", "").replace(old, new)).judge();
        j.is("C3.1", N, "CONDITION_INCOMPLETE(CND-1)");
        assert!(!j.a.assessment.assemblies[0].conditions[0].lacks.is_empty(), "{new}");
    }
    // The owner left.
    let s = clean().register(&condition("CND-1", "C3.1", ""));
    let s = s.patch(
        "people/people.toml",
        "authority = [\"prepare\"]\nvalid_from = 2024-01-01\nvalid_to = 2028-12-31",
        "authority = [\"prepare\"]\nvalid_from = 2024-01-01\nvalid_to = 2026-03-30",
    );
    s.expect("C3.1", N, "CONDITION_INCOMPLETE(CND-1)");
}

#[test]
fn an_empty_text_is_no_answer() {
    let refused = |s: Site| galipot::pipeline::assess(s.files, &Default::default()).is_err();
    for old in ["breach_action = \"stop and ask\"", "feed = \"register/register.toml\"", "verification = \"every lot\""]
    {
        let key = old.split('"').next().expect("a key");
        for new in [format!("{key}\"\""), format!("{key}\"  \"")] {
            assert!(refused(clean().register(&condition("CND-1", "C3.1", "").replace(old, &new))), "{new}");
        }
    }
    assert!(refused(clean().patch("labs/labs.toml", "accreditation = \"T-0042\"", "accreditation = \"\"")));
    assert!(refused(clean().run("RUN-1", "analysis_version = \"1\"", "analysis_version = \"\"")));
}

#[test]
fn a_condition_on_a_claim_above_the_leaves_binds_there() {
    let j = clean().register(&condition("CND-1", "C3", "")).judge();
    assert_eq!(j.claim("C3").conditions, ["CND-1"]);
    j.is("C3.1", S, "");
    let j = clean().register(&condition("CND-1", "C0", "").replace("owner = \"ENG\"", "unknown = [\"owner\"]")).judge();
    assert!(j.codes("C0").contains(&"CONDITION_INCOMPLETE(CND-1)".to_string()), "{:?}", j.codes("C0"));
}

/// A tree of which C3.1 is the root's one child that holds.
fn one_leaf() -> Site {
    any("", "").plan("RUN-9", "C3.2")
}

#[test]
fn two_conditions_that_cannot_both_hold() {
    let pair = |a: &str, b: &str, name: &str| {
        let one = condition("CND-1", "C3.1", "").replace("parameter of CND-1", "dose");
        let two = condition("CND-2", "C3.1", "").replace("parameter of CND-2", name);
        let one = one.replace("sense = \"le\"\nlimit = 4", a);
        one_leaf().register(&one).register(&two.replace("sense = \"le\"\nlimit = 4", b))
    };
    pair("sense = \"le\"\nlimit = 4", "sense = \"ge\"\nlimit = 5", "dose").expect(
        "C0",
        N,
        "CONDITION_CONFLICT(CND-1,CND-2)",
    );
    pair("sense = \"ge\"\nlimit = 5", "sense = \"le\"\nlimit = 4", "dose").expect(
        "C0",
        N,
        "CONDITION_CONFLICT(CND-1,CND-2)",
    );
    pair("sense = \"le\"\nlimit = 4", "sense = \"ge\"\nlimit = 5", " Dose ").expect(
        "C0",
        N,
        "CONDITION_CONFLICT(CND-1,CND-2)",
    );
    pair("sense = \"le\"\nlimit = 5", "sense = \"ge\"\nlimit = 5", "dose").expect("C0", C, "");
    pair("sense = \"le\"\nlimit = 4", "sense = \"ge\"\nlimit = \"5 K\"", "dose").expect("C0", C, "");
}

#[test]
fn more_conditions_than_a_line_can_keep() {
    let many = |n: usize, same: bool| {
        (1..=n).fold(one_leaf(), |s, i| {
            let c = condition(&format!("CND-{i}"), "C3.1", "");
            s.register(&if same {
                c.replace(&format!("parameter of CND-{i}"), "dose").replace("limit = 4", &format!("limit = {i}"))
            } else {
                c
            })
        })
    };
    many(7, false).expect("C0", C, "");
    many(8, false).expect("C0", N, "TOO_MANY_CONDITIONS");
    // Of conditions that ask for the same the tightest counts, and only it.
    many(8, true).expect("C0", C, "");
}

#[test]
fn a_run_that_holds_only_under_a_condition() {
    let under = |s: Site| s.run("RUN-1", "controls = [", "under = [\"CND-1\"]\ncontrols = [");
    let c = condition("CND-1", "C10.1", "");
    under(clean()).register(&c).expect("C3.1", C, "").is("C3.7", S, "");
    clean().runs("controls = [", "under = [\"CND-1\"]\ncontrols = [").register(&c).expect("C3.7", C, "");
    under(clean()).register(&c.replace("owner = \"ENG\"", "unknown = [\"owner\"]")).expect(
        "C3.1",
        N,
        "CONDITION_INCOMPLETE(CND-1)",
    );
    // A condition of another assembly is not this one's to keep.
    let ab = |s: &Site| {
        String::from_utf8(s.files.iter().find(|f| f.0 == "assemblies/ab-10.toml").expect("it").1.clone()).expect("text")
    };
    let s = under(clean());
    let other = ab(&s).replace("AB-10", "AB-20");
    s.file("assemblies/ab-20.toml", &other).register(&c.replace("AB-10", "AB-20")).expect(
        "C3.1",
        N,
        "CONDITION_INCOMPLETE(CND-1)",
    );
}

#[test]
fn a_place_out_of_use() {
    // FAB-2 supplies dirty boards; a complete condition of that claim takes it out.
    let csv = "sample,board,place,ion,conc_mg_L,blank_mg_L,volume_mL,dilution,area_cm2,area_basis,lod_mg_L\nS1,P1,FAB-1,Cl,0.40,0.0,50,1,100,both_sides,0.01\nS2,P2,FAB-1,Cl,0.42,0.0,50,1,100,both_sides,0.01\nS4,P4,FAB-2,Cl,4.0,0.0,50,1,100,both_sides,0.01\n";
    let two = || {
        clean()
            .patch("assemblies/ab-10.toml", "[\"FAB-1\"]", "[\"FAB-1\", \"FAB-2\"]")
            .file("runs/INC-1/ionic.csv", csv)
            .stamp("INC-1", "ionic.csv")
    };
    two().expect("C7.1", X, "CONFLICT(INC-1)");
    let c = condition("CND-1", "C7.1", "excludes = [\"FAB-2\"]");
    two().register(&c).expect("C7.1", C, "");
    two().register(&c.replace("stop_ship = true", "unknown = [\"stop_ship\"]")).expect("C7.1", X, "CONFLICT(INC-1)");
    two().register(&condition("CND-1", "C3.1", "excludes = [\"FAB-2\"]")).expect("C7.1", X, "CONFLICT(INC-1)");
    // All of them out leaves nobody to buy from.
    two().register(&condition("CND-1", "C7.1", "excludes = [\"FAB-1\", \"FAB-2\"]")).expect(
        "C7.1",
        N,
        "MISSING(fabricator)",
    );
    // The open surface and the assembly itself are never out of use.
    let fails = |s: Site| s.sir("RUN-1", |b, p, t| level(b, p, t) - 4.0);
    fails(clean()).register(&condition("CND-1", "C3.1", "excludes = [\"AB-10\"]")).expect("C3.1", X, "CONFLICT(RUN-1)");
    fails(clean()).register(&condition("CND-1", "C3.1", "excludes = [\"U3\"]")).expect("C3.1", X, "CONFLICT(RUN-1)");
}

fn assumption(status: &str, review: &str) -> String {
    format!(
        "[[assumption]]\nid = \"AS-1\"\nassemblies = [\"AB-10\"]\nclaims = [\"C3.1\"]\ntext = \"The room is heated.\"\nbasis = \"letter\"\nfalsifier = \"a log\"\nowner = \"REL\"\nreview_on = {review}\nstatus = \"{status}\"\n"
    )
}

#[test]
fn assumptions() {
    clean().register(&assumption("accepted", "2026-09-01")).expect("C3.1", S, "");
    clean().register(&assumption("accepted_with_limit", "2026-09-01")).expect("C3.1", C, "");
    clean().register(&assumption("open", "2026-09-01")).expect("C3.1", N, "ASSUMPTION(AS-1)");
    clean().register(&assumption("accepted", "2026-03-30")).expect("C3.1", N, "ASSUMPTION(AS-1)");
    clean().register(&assumption("accepted_with_limit", "2026-03-30")).expect("C3.1", N, "ASSUMPTION(AS-1)");
    clean().register(&assumption("falsified", "2026-09-01")).expect("C3.1", X, "CONFLICT(AS-1)");
    let j = clean().register(&assumption("accepted", "2026-04-02")).judge();
    assert_eq!(j.claim("C3.1").valid_until_from, "assumption AS-1");
    // One that a group of claims rests on counts there.
    let j = clean().register(&assumption("falsified", "2026-09-01").replace("[\"C3.1\"]", "[\"C3\"]")).judge();
    j.is("C3", X, "CONFLICT(AS-1)").is("C0", X, "");
}

fn waiver(from: &str, to: &str, by: &str) -> String {
    format!(
        "[[waiver]]\nid = \"WV-1\"\nassembly = \"AB-10\"\nclaims = [\"C3.1\"]\nscope = \"one lot less\"\nlimit_of_use = \"indoors\"\ncustomer_authority = \"{by}\"\nfrom = {from}\nto = {to}\n"
    )
}

#[test]
fn waivers_lift_for_a_time_and_never_a_contradiction() {
    let two = || clean().patch("vehicles/tv-1.toml", "lot = \"L-3\"", "lot = \"L-2\"");
    two().expect("C3.1", N, "NOT_COVERED(K21)");
    let j = two().register(&waiver("2026-01-01", "2026-06-30", "REL")).judge();
    j.is("C3.1", C, "ACCEPTED-RISK(WV-1)");
    assert_eq!(j.claim("C3.1").valid_until.map(|d| d.to_string()).as_deref(), Some("2026-06-30"));
    for w in [
        waiver("2026-01-01", "2026-03-30", "REL"),
        waiver("2026-04-01", "2026-06-30", "REL"),
        waiver("2026-01-01", "2026-06-30", "ENG"),
        waiver("2026-01-01", "2026-06-30", "BUY"),
        waiver("2023-01-01", "2026-06-30", "REL"),
        waiver("2026-01-01", "2026-06-30", "REL").replace("[\"C3.1\"]", "[\"C3\"]"),
    ] {
        two().register(&w).expect("C3.1", N, "NOT_COVERED(K21)");
    }
    let s = clean().sir("RUN-1", |b, p, t| level(b, p, t) - 4.0).register(&waiver("2026-01-01", "2026-06-30", "REL"));
    s.expect("C3.1", X, "CONFLICT(RUN-1)");
    // Nothing to lift: nothing is lifted, and nothing lowered.
    clean().register(&waiver("2026-01-01", "2026-06-30", "REL")).expect("C3.1", S, "");
}

#[test]
fn valid_until_is_the_least_and_says_from_what() {
    let until = |s: Site| {
        let j = s.judge();
        let c = j.claim("C3.1");
        (c.valid_until.map(|d| d.to_string()).unwrap_or_default(), c.valid_until_from.clone())
    };
    assert_eq!(until(clean()), ("2027-10-01".to_string(), "age of RUN-1".to_string()));
    assert_eq!(
        until(clean().register(&condition("CND-1", "C3.1", ""))),
        ("2026-09-01".to_string(), "condition CND-1".to_string())
    );
    let s = clean().patch(
        "criteria/cs-1.toml",
        "agreed_by = [\"ENG\", \"REL\"]",
        "agreed_by = [\"ENG\", \"REL\"]\nvalid_to = 2026-08-15",
    );
    assert_eq!(until(s), ("2026-08-15".to_string(), "criteria set CS-1".to_string()));
    let s = clean().register(&condition("CND-1", "C3.1", "")).register(&assumption("accepted", "2026-05-05"));
    assert_eq!(until(s), ("2026-05-05".to_string(), "assumption AS-1".to_string()));
}
