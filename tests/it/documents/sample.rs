//! Documents built by hand: one that looks like a dossier and holds every block, one whose every string is hostile.

use galipot::diag::{At, FileId};
use galipot::model::assessment::{Cover, State};
use galipot::model::document::*;
use galipot::model::workings::WorkingId;

/// Text that tries to be markup, in every language that a form is written in.
pub const HOSTILE: [&str; 30] = [
    "<script>alert(1)</script>",
    "</style><img src=x onerror=alert(1)>",
    "<!-- gone --> ]]> <![CDATA[",
    "[a](javascript:alert(1)) ![b](http://x.example/b.png)",
    "javascript:alert(1) http://x.example www.x.example a@x.example",
    "|a|b|\\|c\\\\|",
    "`code` ``more`` ```fence```",
    "**bold** *slant* __bold__ _slant_ ~~gone~~ $x$",
    "# heading\n## second\n- list\n1. one\n> quote",
    "---\n===\n***\n___",
    "1) first",
    "+ plus",
    ": definition",
    "[^1]: foot [ref] [ref]: /url [[wiki]]",
    "\u{202e}txt.exe\u{2066} \u{200b}\u{feff}",
    "nul \u{0} bell \u{7} escape \u{1b}[31m \u{85} del \u{7f}",
    "  lead\tand\r\ntrail  ",
    "&amp; &#60;b&#62; &nbsp; &lt",
    "a\\",
    "{{ template }} {% block %} @@title@@ @@chapters@@",
    "\" onmouseover=\"alert(1)\" ' x='",
    "100 % of 5 < 6 > 4 & 3_under_score 2*3*4 a * b",
    "trailing hash ##",
    "\u{a0}µ Ω 漢字 é\u{301} \u{a0}",
    "",
    "!",
    "#import \"@preview/a:1.0.0\": * #read(\"/etc/passwd\") #eval(\"1\")",
    "\") #panic() [] ] ) \\\") #\"",
    "$ #sys.version $ // gone /* gone */ --- ... <label> @label",
    "```typ #panic()``` \\u{41} ~ = heading / term: x",
];

const NOWHERE: At = At { file: FileId(0), start: 0, end: 0, line: 1, column: 1 };

pub fn t(text: &str) -> Inline {
    Inline::Text(text.into())
}

fn p(text: &str) -> Block {
    Block::Paragraph(vec![t(text)])
}

fn w(text: &str, n: u32) -> Inline {
    Inline::Value { text: text.into(), behind: Behind::Working(WorkingId(n)) }
}

fn at(text: &str, place: &str) -> Inline {
    Inline::Value { text: text.into(), behind: Behind::Place(place.into(), NOWHERE) }
}

fn to(anchor: &str, text: &str) -> Inline {
    Inline::To { anchor: anchor.into(), text: vec![t(text)] }
}

fn chapter(name: &str, number: &str, title: &str, blocks: Vec<Block>) -> Chapter {
    Chapter { name: name.into(), number: number.into(), title: title.into(), audience: "all".into(), blocks }
}

/// A document of the size and manner of a dossier's body.
pub fn document() -> Document {
    let identity = [
        ("Document", "DOC-HF-OV2230-NC1-001"),
        ("Revision", "A, draft"),
        ("As of", "2026-03-31"),
        ("Assembly", "OV-2230 F, valve positioner"),
        ("Process", "NC-1 rev 3"),
        ("Environment", "outdoor IP54 box, -25 to 55 degC"),
        ("Life", "15 years"),
        ("Criteria", "CS-4, signed 2025-09-12"),
        ("Content hash", "91ab6a0f5d0c4f1e9f7f3c2b11a0d0cc5a4a77e0b6b3b5a1d5e6f7a8b9c0d1e2"),
        ("Tool", "galipot 0.1.0"),
        ("Supersedes", "none"),
    ];
    Document {
        title: "May the residue stay on OV-2230 F?".into(),
        identity: identity.map(|(a, b)| (a.into(), b.into())).to_vec(),
        running: "DOC-HF-OV2230-NC1-001 rev A  OV-2230 F  91ab6a0f5d0c".into(),
        mark: Some("DRAFT".into()),
        day: galipot::model::Day::parse("2026-03-31"),
        chapters: vec![verdict(), claims(), coverage(), electrical(), conditions(), approvals(), sheets()],
    }
}

fn verdict() -> Chapter {
    let weakest =
        [("U7, QFN-32, cold cell", "+0.13 decade", 0), ("K3, selective zone at highest dose", "+0.10 decade", 1)];
    let weakest =
        weakest.map(|(place, margin, n)| vec![Block::Paragraph(vec![t(place), t(": "), w(margin, n)])]).to_vec();
    chapter(
        "verdict",
        "1",
        "Verdict",
        vec![
            Block::Verdict {
                route: "Yes, with 5 conditions".into(),
                state: "with-conditions".into(),
                lines: vec![
                    vec![
                        t("The weakest claim is "),
                        to("C3.2", "C3.2"),
                        t(" at U7: "),
                        w("8.13", 0),
                        t(" against a limit of "),
                        at("8.0", "criteria/cs-4.toml:14"),
                        t(" (log10 ohm)."),
                    ],
                    vec![t("Valid until 2026-10-01, when the handling audit lapses.")],
                ],
            },
            p(
                "For: outdoor IP54, 15 years, units with serial 26W14-0001 and later. Not for: any use above 48 V between the pairs of chapter 4; uncoated variants.",
            ),
            Block::Heading { level: 2, text: vec![t("Weakest places")], anchor: None },
            Block::List { ordered: true, items: weakest },
            Block::Heading { level: 2, text: vec![t("What failed")], anchor: None },
            Block::List {
                ordered: false,
                items: vec![
                    vec![Block::Paragraph(vec![
                        t("Flood dose: "),
                        Inline::Code("RUN-108".into()),
                        t(" at "),
                        Inline::Place("runs/RUN-108/sir.csv:4022".into()),
                    ])],
                    vec![
                        p("One of twelve coating panels."),
                        Block::List {
                            ordered: false,
                            items: vec![vec![p("The panel was wiped.")], vec![p("The repeat without wiping passed.")]],
                        },
                    ],
                ],
            },
            Block::Caution(vec![t(
                "This verdict is wrong if a pen flux reappears, if the paste formulation changes from rev 4, or if boards from FAB-2 enter.",
            )]),
            Block::Quote(vec![p(
                "Nothing here replaces the standards that it cites, local codes, or the judgement of licensed practice.",
            )]),
        ],
    )
}

fn claims() -> Chapter {
    let row = |id: &str, text: &str, state: State, margin: Inline, reason: &str| {
        vec![
            vec![Inline::Here(id.into()), Inline::Code(id.into())],
            vec![t(text)],
            vec![Inline::State(state)],
            vec![margin],
            vec![t(reason), Inline::Break, Inline::Place("claims/leave.toml:88".into())],
        ]
    };
    let rows = vec![
        row("C0", "Residue may stay", State::WithConditions, w("+0.10 decade", 1), "5 conditions"),
        row("C2", "Flux is heated everywhere", State::Supported, w("+14 degC", 2), ""),
        row("C3.2", "Insulation under bodies holds", State::WithConditions, w("+0.13 decade", 0), "MARGINAL(RUN-107)"),
        row("C3.7", "Field is inside what was tested", State::NotYet, w("-300 V/mm", 3), "NOT_COVERED(K9)"),
        row(
            "C5.1",
            "Coating adheres over residue",
            State::Contradicted,
            at("3", "runs/RUN-109/panels.csv:9"),
            "One panel of class 3",
        ),
        row("C8.9", "Optical parts stay clear", State::NotApplicable, t(""), "No optical part"),
    ];
    chapter(
        "claims",
        "2",
        "Claims",
        vec![
            p(
                "Every claim with its state, worst margin and reason. S supported, C with conditions, N not supported yet, X contradicted.",
            ),
            Block::Table(Table {
                caption: "Claims of the leave route".into(),
                head: ["Claim", "Text", "State", "Margin", "Reason"].map(Into::into).to_vec(),
                rows,
                numeric: vec![false, false, false, true, false],
                wide: false,
            }),
            Block::Fold {
                summary: vec![t("Why "), Inline::Code("C3.7".into()), t(" is not supported yet")],
                blocks: vec![
                    p("RUN-107 was taken at 100 V/mm; the pair needs 400 V/mm."),
                    Block::Heading { level: 3, text: vec![t("What would close it")], anchor: Some("closing".into()) },
                    p("TV-3 at 400 V/mm, three boards, nine weeks."),
                ],
            },
        ],
    )
}

fn coverage() -> Chapter {
    let mut head = vec!["Run, cell".to_owned(), "Place".into()];
    head.extend((1..=21).map(|k| format!("K{k}")));
    let rows = (0..9).map(|r: usize| {
        let mut row = vec![vec![t(&format!("RUN-{} nominal", 101 + r))], vec![t(["U7", "K3", "U12 to U15"][r % 3])]];
        row.extend((0..21).map(|k| {
            let cover = [Cover::Covered, Cover::Covered, Cover::NotNeeded, Cover::Covered, Cover::Bridged, Cover::Not]
                [(r * 5 + k * 7) % 6];
            vec![Inline::Cover(cover)]
        }));
        row
    });
    let rows = rows.collect();
    chapter(
        "coverage",
        "3",
        "Coverage",
        vec![
            p("= covered, B covered by a bridge, - not covered, . not needed."),
            Block::Table(Table {
                caption: "What each run says of each place".into(),
                head,
                rows,
                numeric: vec![],
                wide: true,
            }),
        ],
    )
}

/// A curve of the shape that a run of insulation resistance has, without chance.
fn comb(level: f64, seed: usize, drop: Option<f64>) -> Vec<(f64, f64)> {
    let point = |i: usize| {
        let h = i as f64 * 0.5;
        let ripple = ((i * 7919 + seed * 104_729) % 101) as f64 / 101.0 - 0.5;
        let dip = if drop == Some(h) { 1.8 } else { 0.0 };
        (h, level + 1.1 / (1.0 + h / 4.0) + 0.03 * ripple - dip)
    };
    (0..=336).map(point).collect()
}

fn electrical() -> Chapter {
    let panels = [
        ("RUN-101, lot 1, nominal", 9.78),
        ("RUN-102, lot 2, nominal", 9.62),
        ("RUN-103, lot 3, cold", 9.47),
        ("RUN-107, selective zone, 200 ug/cm2", 9.02),
        ("RUN-116, board trial", 9.3),
    ];
    let panels = panels.iter().enumerate().map(|(k, &(title, level))| {
        let drop = (k == 4).then_some(88.0);
        Panel {
            title: title.into(),
            curves: (0..24)
                .map(|c| comb(level + (c as f64 - 12.0) * 0.035, c + 31 * k, drop.filter(|_| c == 3)))
                .collect(),
            controls: (0..3).map(|c| comb(11.2 + 0.1 * c as f64, 77 + c, None)).collect(),
            drops: drop.map(|h| (h, level + (3.0 - 12.0) * 0.035 + 0.05 - 1.8)).into_iter().collect(),
            place: format!("runs/RUN-10{k}/sir.csv"),
        }
    });
    let combs = Plot::Combs {
        panels: panels.collect(),
        limit: 8.0,
        guard: 0.12,
        low: 6.0,
        high: 13.0,
        hours: 168.0,
        window: (24.0, 168.0),
    };
    let dots = Plot::Dots {
        rows: vec![
            (
                "OV-3415 as built, 40 degC and 70 %RH, all six boards of RUN-111 and of the repeat".into(),
                vec![5.6, 6.1, 7.0, 7.4, 8.2, 9.1],
                9.6,
            ),
            ("washed".into(), vec![0.6, 0.7, 0.9, 1.0, 1.2, 1.4], f64::NAN),
            ("beyond the axis".into(), vec![-3.0, 14.0], f64::NAN),
        ],
        limit: 2.5,
        unit: "nA".into(),
        low: 0.0,
        high: 10.0,
    };
    let figure = |name: &str, caption: &str, alternative: &str, plot| {
        Block::Figure(Figure { name: name.into(), caption: caption.into(), alternative: alternative.into(), plot })
    };
    chapter(
        "electrical",
        "4",
        "Electrical evidence",
        vec![
            figure(
                "combs",
                "Insulation resistance of every comb",
                "All combs stay above the limit of 8.0 (log10 ohm) between 24 h and 168 h; the lowest is in the selective zone at 200 ug/cm2. One comb of RUN-116 drops at 88 h and recovers.",
                combs,
            ),
            figure(
                "dots",
                "Leakage at the sensor node",
                "As built, every board leaks more than the limit; washed, none does.",
                dots,
            ),
        ],
    )
}

fn conditions() -> Chapter {
    let row = |id: &str, text: &str, limit: Inline, owner: &str| {
        vec![vec![t(id)], vec![t(text)], vec![limit], vec![t(owner)]]
    };
    chapter(
        "conditions",
        "5",
        "Conditions",
        vec![
            Block::Table(Table {
                caption: "Conditions in force".into(),
                head: ["Condition", "Text", "Limit", "Owner"].map(Into::into).to_vec(),
                rows: vec![
                    row(
                        "CO-1",
                        "Selective dose, upper confidence limit, weekly feed",
                        at("160 ug/cm2", "conditions/co-1.toml:6"),
                        "process engineer",
                    ),
                    row("CO-2", "Boards of FAB-1 only", at("1", "conditions/co-2.toml:4"), "purchasing"),
                    row("CO-3", "Coat within", at("72 h", "conditions/co-3.toml:5"), "line lead"),
                ],
                numeric: vec![false, false, true, false],
                wide: false,
            }),
            Block::Rule,
            Block::Code("sha256sum -c manifest.txt\n\tevery line: OK".into()),
        ],
    )
}

fn approvals() -> Chapter {
    let sign = |role: &str, meaning: &str| Block::Signature {
        role: role.into(),
        name: "R. Ahlgrim".into(),
        meaning: meaning.into(),
    };
    chapter(
        "approvals",
        "6",
        "Approvals",
        vec![
            p("Each signature is for the content hash on top."),
            sign("Reliability engineer of the customer", "I accept the residue under the conditions of chapter 5."),
            sign("Quality engineer", "The evidence is complete and was checked."),
        ],
    )
}

fn sheets() -> Chapter {
    let sheet = |n: u32| {
        Block::Sheet(Box::new(Sheet {
            name: WorkingId(n).name(),
            calc: "tolerance-bound".into(),
            title: "Lower tolerance bound".into(),
            subject: format!("RUN-{}, cell cold, QFN-48", 101 + n),
            formula: vec![Formula {
                text: "LTB = m - k * s".into(),
                mathml: "<mrow><mi>LTB</mi><mo>=</mo><mi>m</mi><mo>−</mo><mi>k</mi><mo>×</mo><mi>s</mi></mrow>".into(),
                typst: "\"LTB\" = m - k times s".into(),
            }],
            symbols: vec![Formula { text: "m".into(), mathml: "<mi>m</mi>".into(), typst: "m".into() }],
            substituted: "LTB = 9.47 - 3.659 * 0.334 = 8.25".into(),
            inputs: vec![
                (
                    "m".into(),
                    "9.47".into(),
                    "mean of log10 of the window minima".into(),
                    vec![Inline::Place("runs/RUN-103/sir.csv:2".into()), t(" and 16 151 rows more")],
                ),
                ("s".into(), "0.334".into(), "standard deviation".into(), vec![to("W0002", "W0002")]),
                (
                    "k".into(),
                    "3.659".into(),
                    "factor of the noncentral t distribution".into(),
                    vec![t("constant of the method")],
                ),
            ],
            outputs: vec![("LTB".into(), "8.25".into(), "bound that 99 % exceed, with 95 % confidence".into())],
            strength: "decides".into(),
            weak_because: String::new(),
            sources: vec!["ISO 16269-6:2014, clause 6".into()],
            n: 16152,
        }))
    };
    chapter("sheets", "D", "Calculation sheets", (0..5).map(sheet).collect())
}

/// A document whose every string is hostile, with every block and every inline.
pub fn hostile() -> Document {
    let h = |n: usize| HOSTILE[n % HOSTILE.len()];
    let every = |n: usize| {
        vec![
            t(h(n)),
            Inline::Strong(vec![t(h(n + 1)), Inline::Emphasis(vec![t(h(n + 2))])]),
            Inline::Emphasis(vec![t(h(n + 3))]),
            Inline::Code(h(n).into()),
            at(h(n + 4), h(n + 5)),
            at("7", h(n)),
            w(h(n + 6), 0),
            w("8", 900),
            Inline::Place(h(n + 7).into()),
            Inline::Here(h(n).into()),
            Inline::Symbol(Formula { text: h(n + 2).into(), mathml: "<mi>y</mi>".into(), typst: h(n).into() }),
            Inline::Symbol(Formula { text: h(n + 3).into(), mathml: h(n).into(), typst: String::new() }),
            Inline::Break,
            Inline::To { anchor: h(n).into(), text: vec![t(h(n + 8)), at("9", "x:1"), to("verdict", "inner")] },
            to("no such place", h(n + 9)),
            Inline::State(State::NotYet),
            t(h(n + 10)),
            Inline::Cover(Cover::Not),
            t(h(n + 11)),
        ]
    };
    let chapters = HOSTILE.iter().enumerate().map(|(n, text)| {
        let blocks = vec![
            Block::Heading { level: 5, text: every(n), anchor: Some((*text).into()) },
            Block::Paragraph(every(n)),
            Block::Paragraph(vec![t(text)]),
            Block::Heading { level: 1, text: vec![t(text)], anchor: None },
            Block::List {
                ordered: n % 2 == 0,
                items: vec![
                    vec![Block::Paragraph(every(n))],
                    vec![p(text), Block::Code((*text).into())],
                    vec![p(text)],
                    vec![],
                ],
            },
            Block::List { ordered: n % 2 == 0, items: vec![vec![p(text)]] },
            Block::Quote(vec![
                p(text),
                Block::List { ordered: false, items: vec![vec![Block::Rule], vec![Block::Quote(vec![p(text)])]] },
            ]),
            Block::Code((*text).into()),
            Block::Formula(vec![
                Formula { text: (*text).into(), mathml: "<mi>y</mi>".into(), typst: (*text).into() },
                Formula::words(*text),
            ]),
            Block::Formula(vec![Formula { text: (*text).into(), mathml: "<mi>y</mi>".into(), typst: "y".into() }]),
            Block::Table(Table {
                caption: (*text).into(),
                head: vec![(*text).into(), "b".into()],
                rows: vec![vec![every(n), vec![t(text)], vec![]], vec![]],
                numeric: vec![true],
                wide: n % 2 == 1,
            }),
            Block::Figure(Figure {
                name: (*text).into(),
                caption: (*text).into(),
                alternative: (*text).into(),
                plot: Plot::Combs {
                    panels: vec![Panel {
                        title: (*text).into(),
                        curves: vec![vec![(f64::NAN, 1.0), (0.0, f64::INFINITY), (3.0, -900.0), (5.0, 8.0)], vec![]],
                        controls: vec![vec![(1e300, -1e300)]],
                        drops: vec![(f64::NAN, f64::NAN), (5.0, 99.0)],
                        place: h(n + 1).into(),
                    }],
                    limit: [8.0, f64::NAN][n % 2],
                    guard: f64::NAN,
                    low: f64::NEG_INFINITY,
                    high: 1e300,
                    hours: 0.0,
                    window: (f64::NAN, -1.0),
                },
            }),
            Block::Figure(Figure {
                name: "x".into(),
                caption: (*text).into(),
                alternative: String::new(),
                plot: Plot::Dots {
                    rows: vec![((*text).into(), vec![f64::NAN, 1e308, -1e308], f64::INFINITY)],
                    limit: 1e-9,
                    unit: (*text).into(),
                    low: 1e-9,
                    high: [2e-9, 0.0][n % 2],
                },
            }),
            Block::Verdict { route: (*text).into(), state: (*text).into(), lines: vec![every(n)] },
            Block::Caution(every(n)),
            Block::Sheet(Box::new(Sheet {
                name: "W0001".into(),
                calc: (*text).into(),
                title: (*text).into(),
                subject: (*text).into(),
                formula: vec![Formula { text: (*text).into(), mathml: (*text).into(), typst: (*text).into() }],
                symbols: vec![Formula { text: (*text).into(), mathml: "<mi>y</mi>".into(), typst: String::new() }],
                substituted: (*text).into(),
                inputs: vec![((*text).into(), (*text).into(), (*text).into(), every(n))],
                outputs: vec![((*text).into(), (*text).into(), (*text).into())],
                strength: (*text).into(),
                weak_because: (*text).into(),
                sources: vec![(*text).into()],
                n: 0,
            })),
            Block::Signature { role: (*text).into(), name: (*text).into(), meaning: (*text).into() },
            Block::Fold {
                summary: every(n),
                blocks: vec![p(text), Block::Fold { summary: vec![t(text)], blocks: vec![] }],
            },
            Block::Rule,
        ];
        Chapter {
            name: (*text).into(),
            number: h(n + 3).into(),
            title: (*text).into(),
            audience: (*text).into(),
            blocks,
        }
    });
    Document {
        title: HOSTILE.join(" "),
        identity: HOSTILE.iter().map(|h| ((*h).into(), (*h).into())).collect(),
        running: HOSTILE.join(" "),
        mark: Some(HOSTILE[1].into()),
        day: None,
        chapters: chapters.collect(),
    }
}
