//! What people get wrong in `plan/`: each mistake alone, in a small plan that is right without it.

use crate::builder;
use galipot::diag::Diagnostic;
use galipot::read;

const PLAN: &str = include_str!("../../cases/plan/plan.toml");

/// Code and headline of every problem of a site with this plan.
fn told(plan: &str) -> Vec<String> {
    let mut files = builder::base();
    builder::put(&mut files, "plan/plan.toml", plan);
    let of = |all: Vec<Diagnostic>| -> Vec<String> {
        all.iter()
            .map(|d| {
                assert!(!d.labels.is_empty() && !d.hint.is_empty(), "no place or no next step: {d:?}");
                format!("{}: {}", d.code, d.headline)
            })
            .collect()
    };
    match read::read(files, None, &[]) {
        Ok((_, warnings)) => of(warnings),
        Err((_, problems)) => of(problems),
    }
}

/// What stands once in the plan, what takes its place, and all that is told then.
const MISTAKES: &[(&str, &str, &[&str])] = &[
    ("power = 78\n", "", &["missing-field: the wash line BELT is of kind belt and has no `power`"]),
    ("saponifier = 4\n", "", &["missing-field: the wash line BELT is of kind belt and has no `saponifier`"]),
    ("peak = 1.2\n", "", &["missing-field: the wash line TUB is of kind batch and has no `peak`"]),
    (
        "load = [{ assembly = \"AB-10\", boards = 16 }]\n",
        "",
        &["missing-field: the wash line TUB is of kind batch and has no `load`"],
    ),
    (
        "per_load = [{ text = \"water\", price = 9 }]\n",
        "",
        &["missing-field: the wash line TUB is of kind batch and has no `per_load`"],
    ),
    ("per_board = 7\n", "", &["missing-field: the wash line HOUSE is of kind outside and has no `per_board`"]),
    (
        "saponifier = 4\n",
        "saponifier = 4\npanels_an_hour = 0.2\n",
        &["contradiction: BELT washes 0.2 panels an hour, too few for this shift"],
    ),
    ("hours = 4000", "hours = 2000", &["contradiction: the shifts of BELT do not rise"]),
    (
        "panels = 5000",
        "panels = 900",
        &[
            "contradiction: the shifts of BELT do not rise",
            "contradiction: all assemblies need 1000 panels on BELT in year 1, more than its last shift is enough for",
        ],
    ),
    (
        "panels = 5000",
        "panels = 1100",
        &["contradiction: all assemblies need 1250 panels on BELT in year 2, more than its last shift is enough for"],
    ),
    ("price = -40", "price = -140", &["out-of-range: the items of `yearly` of BELT sum to -40, below 0"]),
    ("price = 50 ", "price = -50 ", &["out-of-range: the items of `once` of NC sum to -100, below 0"]),
    ("replace_month = 12\n", "", &["contradiction: the wash line BELT has one of `replace_month` and `replace_price`"]),
    ("replace_month = 12\n", "replace_month = 12.5\n", &["contradiction: `replace_month` is 12.5, not a whole number"]),
    (
        "boards = 16 }",
        "boards = 16 }, { assembly = \"AB-10\", boards = 8 }",
        &["duplicate-id: the wash line TUB has two loads of AB-10"],
    ),
    (
        "conversion = 38000\n",
        "",
        &[
            "missing-field: the treatment SOAP is saponified on BELT, which has no `conversion`",
            "contradiction: BELT cannot be paid early like this",
        ],
    ),
    (
        "route = \"leave\"\n",
        "route = \"leave\"\nline = \"TUB\"\n",
        &["contradiction: the treatment LEAVE leaves the residue and has a `line`"],
    ),
    ("line = \"TUB\"\n", "", &["missing-field: the treatment BATCH washes and has no `line`"]),
    (
        "today = \"NOW\"",
        "today = \"BATCH\"",
        &[
            "contradiction: BATCH is the treatment of today and has a lead, and every assembly has it already",
            "contradiction: BATCH is the treatment of today and is not of the route present",
        ],
    ),
    (
        "line = \"BELT\"\nlead = 0\n",
        "line = \"BELT\"\nlead = 0\nassemblies = [\"AB-10\"]\n",
        &["contradiction: NOW is the treatment of today and is not for all assemblies, and every assembly has it"],
    ),
    ("months = 24", "months = 24.5", &["contradiction: `months` is 24.5, not a whole number"]),
    ("seed = 1\n", "seed = 1.5\n", &["contradiction: `seed` is 1.5, not a whole number"]),
    ("year = 2", "year = 3", &["contradiction: the plan ends after 24 months, before year 3"]),
    (
        "[[volume]]",
        "[[volume]]\nassembly = \"AB-10\"\nyear = 2\nboards = 4000\n[[volume]]",
        &["duplicate-id: two volumes are of AB-10 in year 2"],
    ),
    (
        "id = \"NC\"",
        "id = \"LEAVE\"",
        &[
            "duplicate-id: a treatment and a programme are both called LEAVE",
            "dangling-reference: no programme and no wash line is called `NC`",
        ],
    ),
    ("actions = [\"A3\"]", "actions = [\"A3\", \"A2\"]", &["contradiction: the action A2 is bought twice"]),
    ("text = \"one\"\n", "text = \"one\"\nafter = [\"A2\"]\n", &["cycle: actions wait for each other: A1 -> A2 -> A1"]),
    ("text = \"three\"\n", "text = \"three\"\nafter = [\"A3\"]\n", &["cycle: actions wait for each other: A3 -> A3"]),
    (
        "success = true, month = 6",
        "success = false, month = 6",
        &[
            "contradiction: STAGED has no path for success of P2 after failure of P1",
            "contradiction: two paths of STAGED hold the same outcome after failure of P1 and failure of P2",
        ],
    ),
    (
        "success = true, month = 1 ",
        "success = false, month = 1 ",
        &[
            "contradiction: STAGED has no path for success of P1",
            "contradiction: two paths of STAGED hold the same outcome after failure of P1",
        ],
    ),
    (
        "{ package = \"P2\", success = true, month = 6 }, ",
        "",
        &["contradiction: two paths of STAGED hold the same outcome after failure of P1"],
    ),
    (
        "result = [{ package = \"P1\", success = true, month = 1 }]",
        "result = [{ package = \"P2\", success = true, month = 1 }, { package = \"P2\", success = true, month = 2 }]",
        &["contradiction: a path of STAGED has two results of P2"],
    ),
    (
        "result = [{ package = \"P1\", success = true, month = 1 }]",
        "result = [{ package = \"P2\", success = false, month = 6 }]",
        &[
            "contradiction: STAGED has no path for success of P1 after success of P2",
            "contradiction: two paths of STAGED hold the same outcome after failure of P2",
        ],
    ),
    (
        "success = false, month = 6",
        "success = false, month = 7",
        &["contradiction: P2 is paid in different months on paths of STAGED after failure of P1"],
    ),
    (
        "\"LEAVE\", month = 8",
        "\"LEAVE\", month = 25",
        &["contradiction: month 25 lies after the 24 months of the plan"],
    ),
    (
        "\"LEAVE\", month = 8 }",
        "\"LEAVE\", month = 8 }, { assembly = \"AB-10\", treatment = \"BATCH\", month = 8 }",
        &["contradiction: AB-10 changes twice in month 8"],
    ),
    ("what = \"NC\"", "what = \"NX\"", &["dangling-reference: no programme and no wash line is called `NX`"]),
    ("what = \"NC\"", "what = \"HOUSE\"", &["contradiction: HOUSE cannot be paid early like this"]),
    (", machines = 1", "", &["contradiction: TUB cannot be paid early like this"]),
    ("what = \"NC\", ", "what = \"NC\", machines = 2, ", &["contradiction: NC cannot be paid early like this"]),
    ("BELT.kwh_price", "BELT.kwh_prise", &["dangling-reference: no number of plan/ is called `BELT.kwh_prise`"]),
    ("BELT.hours_2", "BELT.hours_3", &["dangling-reference: no number of plan/ is called `BELT.hours_3`"]),
    ("TUB.machine_price", "TUB.salvage", &["dangling-reference: no number of plan/ is called `TUB.salvage`"]),
    (
        "BELT.hours_2",
        "BELT.kwh_price",
        &[
            "duplicate-id: two records say how sure BELT.kwh_price is",
            "out-of-range: BELT.kwh_price would be 3000 in some draws, and it lies from 0 to 5",
        ],
    ),
    ("mode = 0.2\n", "", &["missing-field: BELT.kwh_price is triangular and has no `mode`"]),
    ("mode = 0.2\n", "mode = 0.4\n", &["contradiction: the values of BELT.kwh_price do not rise"]),
    ("mode = 3000\n", "mode = 3000\nlow = 10\n", &["contradiction: BELT.hours_2 is fixed and has `low`"]),
    ("sd = 5000", "sd = 0", &["contradiction: the standard deviation of TUB.machine_price is 0"]),
    ("mean = 90000", "mean = -1", &["contradiction: TUB.machine_price is lognormal, and its mean is -1"]),
    (
        "low = 0.1\n",
        "low = -0.1\n",
        &["out-of-range: BELT.kwh_price would be -0.1 in some draws, and it lies from 0 to 5"],
    ),
    (
        "lognormal\"\nmean = 90000\nsd = 5000",
        "normal\"\nmean = 90000\nsd = 50000",
        &["out-of-range: TUB.machine_price would be -10000 in some draws, and it lies from 0 to 1000000000"],
    ),
    ("id = \"STAGED\"", "id = \"BEST\"", &["duplicate-id: galipot adds a plan BEST itself"]),
    (
        "[[uncertain]]\nparameter = \"BELT.hours_2\"",
        "[[gate]]\nid = \"G-1\"\ntitle = \"A step\"\n[[uncertain]]\nparameter = \"BELT.hours_2\"",
        &["missing-field: the gate G-1 waits for nothing"],
    ),
    ("high = 1.5", "high = 5", &["out-of-range: P1.chance would be 1.25, and it lies between 0 and 1"]),
    (
        "parameter = \"TUB.machine_price\"",
        "parameter = \"P2.chance\"",
        &["contradiction: P2.chance lies between 0 and 1, and a lognormal shape has no such ends"],
    ),
];

#[test]
fn the_plan_without_a_mistake_is_accepted() {
    assert_eq!(told(PLAN), [""; 0]);
    assert_eq!(told(&PLAN.replace("id = \"A3\"", "id = \"A4\"").replace("[\"A3\"]", "[\"A4\"]")), [""; 0]);
}

#[test]
fn each_mistake_is_told_alone_with_its_place() {
    let mut wrong = Vec::new();
    for (old, new, expected) in MISTAKES {
        assert_eq!(PLAN.matches(old).count(), 1, "\"{old}\" must stand once");
        let (mut got, mut want) = (told(&PLAN.replacen(old, new, 1)), expected.to_vec());
        got.sort();
        want.sort_unstable();
        if got != want {
            wrong.push(format!("{old:?} -> {new:?}\n  wanted {want:#?}\n  told {got:#?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn an_economy_stands_once() {
    let (head, rest) = PLAN.split_once("\n[[wash_line]]").expect("a line");
    let two = |other: &str| {
        let mut files = builder::base();
        builder::put(&mut files, "plan/plan.toml", PLAN);
        builder::put(&mut files, "plan/second.toml", other);
        read::read(files, None, &[]).err().map(|(_, p)| p.iter().map(|d| d.headline.clone()).collect::<Vec<_>>())
    };
    assert_eq!(two(head), Some(vec!["plan/ has two tables [economy]".to_string()]));
    let none = format!("[[wash_line]]{rest}");
    assert_eq!(told(&none), ["missing-table: plan/ has records and no [economy]"]);
    // An economy that cannot be read is one complaint, not two.
    assert_eq!(told(&PLAN.replacen("rate = 0.09\n", "", 1)), ["missing-field: economy lacks `rate`"]);
}

#[test]
fn packages_are_at_most_twenty_four() {
    let action = |n: usize| {
        format!("[[action]]\nid = \"X{n}\"\ntext = \"x\"\ncost = 1\nweeks = 1\nchance = 0.5\nbasis = \"guess\"\n")
    };
    // Two packages, and 22 or 23 actions that stand alone.
    let with = |n| format!("{PLAN}{}", (0..n).map(action).collect::<String>());
    assert_eq!(told(&with(22)), [""; 0]);
    assert_eq!(told(&with(23)), ["out-of-range: plan/ has 25 packages and actions in none, more than 24"]);
}
