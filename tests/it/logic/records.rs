//! Records that tests add to the clean site: builds, criteria, bridges, conditions, a mixed zone, a tree of alternatives.

use super::site::{BOARDS, Site, clean};

/// A build of the vehicle for the boards of run `i`: profile, peak, time above liquidus, soak; fluxes as (material,
/// lot, dose, heated).
pub fn build(i: usize, profile: &str, shape: (u32, u32, u32), fluxes: &[(&str, &str, u32, bool)]) -> String {
    let boards: Vec<String> = (0..BOARDS).map(|b| format!("\"L{i}-{b}\"")).collect();
    let (peak, tal, soak) = shape;
    let mut out = format!(
        "[[vehicle.build]]\nid = \"BLD-{i}\"\ncell = \"cell {i}\"\nboards = [{}]\nline = \"Line 2, Mill Lane\"\n\
         date = 2025-09-15\noperator = \"OPS\"\nprofile = \"{profile}\"\npeak = \"{peak} degC\"\ntal = \"{tal} s\"\n\
         soak = \"{soak} s\"\npasses = 1\natmosphere = \"air\"\nrecipe = \"OV-10:5\"\nrework_cycles = 0\nwashed = \"no\"\n\
         wiped = \"never\"\naged = false\ncoated = false\n",
        boards.join(", ")
    );
    for (material, lot, dose, heated) in fluxes {
        out.push_str(&format!(
            "\n[[vehicle.build.flux]]\nmaterial = \"{material}\"\nformulation_rev = \"4\"\nlot = \"{lot}\"\n\
             dose = \"{dose} ug/cm2\"\nheated = {heated}\n"
        ));
    }
    out
}

/// Cold and hot corner of the clean assembly, and between them.
pub const CORNERS: [(&str, (u32, u32, u32)); 3] =
    [("cold", (235, 60, 70)), ("hot", (245, 75, 90)), ("nominal", (240, 68, 80))];

/// The clean site with a second zone where a selective flux comes over the paste, and three runs (4, 5, 6) of boards
/// with both, dose 60 ug/cm2, so that C3.3 is supported.
pub fn overlap() -> Site {
    overlap_of(&[("SP-21", 60, true), ("SF-08", 60, true)])
}

/// The same with other fluxes on the boards: (material, dose, heated).
pub fn overlap_of(fluxes: &[(&str, u32, bool)]) -> Site {
    let mut s = clean()
        .add("materials/materials.toml", SELECTIVE)
        .add("assemblies/ab-10.toml", ZONE)
        .patch("processes/processes.toml", "fluxes = [\"SP-21\"]", "fluxes = [\"SP-21\", \"SF-08\"]")
        .add("criteria/cs-1.toml", &criterion("LIM-MIX", "sir", "C3.3"));
    for (i, (profile, shape)) in CORNERS.into_iter().enumerate() {
        let lot = |m: &str| if m == "SP-21" { format!("L-{}", i + 1) } else { format!("{m}-A") };
        let lots: Vec<String> = fluxes.iter().map(|f| lot(f.0)).collect();
        let of: Vec<_> = fluxes.iter().zip(&lots).map(|(f, l)| (f.0, l.as_str(), f.1, f.2)).collect();
        s = s.add("vehicles/tv-1.toml", &build(i + 4, profile, shape, &of)).plan(&format!("RUN-{}", i + 4), "C3.3");
        s = s.with_run(&format!("RUN-{}", i + 4), &format!("BLD-{}", i + 4), &format!("2025-10-1{i}"));
    }
    s
}

/// A root with two alternatives: insulation of combs (C3.1) and under bodies (C3.2), tagged as given.
pub fn any(one: &str, two: &str) -> Site {
    let leaf = |id: &str, per: &str, tag: &str| {
        let tag = if tag.is_empty() { String::new() } else { format!("phenomenon = \"{tag}\"\n") };
        format!(
            "[[claim]]\nid = \"{id}\"\ntree = \"leave\"\nparent = \"C0\"\ntitle = \"One\"\ntext = \"It is.\"\nrule = \"evidence\"\nper = \"{per}\"\ncovers = [\"K1\"]\nwashed = \"unwashed\"\n{tag}\n"
        )
    };
    let root = "[[claim]]\nid = \"C0\"\ntree = \"leave\"\ntitle = \"Root\"\ntext = \"It is.\"\ncombine = \"any\"\n\n";
    // The other claims of the tree hang below a claim that nobody asks for.
    let rest: String = (1..=11)
        .map(|i| format!("[[claim]]\nid = \"C{i}\"\ntree = \"leave\"\nparent = \"C12\"\ntitle = \"Aside\"\ntext = \"Aside.\"\ncombine = \"all\"\n\n"))
        .collect();
    clean().file("claims/own.toml", &format!("{root}{}{}{rest}", leaf("C3.1", "open", one), leaf("C3.2", "body", two)))
}

/// A criterion of insulation on the comb.
pub fn criterion(id: &str, quantity: &str, claim: &str) -> String {
    format!(
        "[[criterion]]\nid = \"{id}\"\nquantity = \"{quantity}\"\noperator = \"ge\"\nvalue = \"8.0 log10 ohm\"\n\
         statistic = \"LTB\"\np = 0.9\nconf = 0.9\ngeometry = [\"COMB-02\"]\nwindow = [\"1 h\", \"4 h\"]\n\
         guard_rule = \"1.64u\"\nstandard = \"AABUS\"\nedition = \"2025\"\nclause = \"QA-7 3.3\"\nstanding = \"agreed\"\n\
         rationale = \"The customer's limit.\"\napplies_to = [\"{claim}\"]\nset = \"CS-1\"\n"
    )
}

const SELECTIVE: &str = r#"
[[material]]
id = "SF-08"
kind = "sel_flux"
title = "Selective flux"
formulation_rev = "4"
water_soluble = false
solids = "3 %"

[[lot]]
id = "SF-08-A"
material = "SF-08"
formulation_rev = "4"
made_on = 2025-06-01
expires_on = 2026-01-01

[[material]]
id = "TF-03"
kind = "tacky"
title = "Tacky flux"
formulation_rev = "4"
water_soluble = false
solids = "60 %"

[[lot]]
id = "TF-03-A"
material = "TF-03"
formulation_rev = "4"
made_on = 2025-06-01
expires_on = 2026-01-01
"#;

const ZONE: &str = r#"
[[zone]]
id = "Z2"
side = "bottom"
coated = false
area = "5 cm2"

[[flux_use]]
zone = "Z2"
flux = "SP-21"
order = 1
dose = "60 ug/cm2"
metered = true
heated_fraction = 1.0
wiped = "never"

[[flux_use]]
zone = "Z2"
flux = "SF-08"
order = 2
dose = "40 ug/cm2"
dose_ucl = "60 ug/cm2"
metered = true
heated_fraction = 1.0
wiped = "never"
"#;

/// A bridge that the customer's engineer approved.
pub fn bridge(run: &str, claim: &str, k: &str) -> String {
    format!(
        "[[bridge]]\nid = \"BR-{run}-{k}\"\nrun = \"{run}\"\nassembly = \"AB-10\"\nclaims = [\"{claim}\"]\n\
         dimensions = [\"{k}\"]\nreason = \"shown alike\"\ndata_ref = \"report 12\"\napproved_by = \"REL\"\n\
         approved_on = 2026-01-10\nexpires = 2026-12-31\n"
    )
}

/// A complete condition of a claim; `more` holds further keys.
pub fn condition(id: &str, claim: &str, more: &str) -> String {
    format!(
        "[[condition]]\nid = \"{id}\"\nassembly = \"AB-10\"\nclaims = [\"{claim}\"]\ntext = \"It is kept.\"\n\
         parameter = \"parameter of {id}\"\nsense = \"le\"\nlimit = 4\nverification = \"every lot\"\n\
         feed = \"register/register.toml\"\nfeed_on = 2026-03-20\nfrequency = \"30 days\"\nowner = \"ENG\"\n\
         due = 2026-09-01\nbreach_action = \"stop and ask\"\nstop_ship = true\n{more}\n"
    )
}
