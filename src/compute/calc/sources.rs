//! Takes a key; gives the document behind a formula, with its edition and how well it is known.

/// A document that formulas and checks rest on.
#[derive(Debug, Clone, Copy)]
pub struct Source {
    pub key: &'static str,
    /// Title, number, edition, year; errata where known.
    pub text: &'static str,
    /// seen, memory or practice.
    pub standing: &'static str,
}

const fn source(key: &'static str, text: &'static str, standing: &'static str) -> Source {
    Source { key, text, standing }
}

/// Every document, in order of key.
pub const SOURCES: &[Source] = &[
    source(
        "Bissell1990",
        "A. F. Bissell, How reliable is your capability index?, Applied Statistics 39 (1990) 331-340",
        "memory",
    ),
    source(
        "ClopperPearson1934",
        "C. J. Clopper, E. S. Pearson, The use of confidence or fiducial limits, Biometrika 26 (1934) 404-413",
        "memory",
    ),
    source(
        "Cohen1960",
        "J. Cohen, A coefficient of agreement for nominal scales, Educational and Psychological Measurement 20 (1960) 37-46",
        "memory",
    ),
    source(
        "Cohen1988",
        "J. Cohen, Statistical power analysis for the behavioral sciences, 2nd edition (1988)",
        "memory",
    ),
    source("Fisher1935", "R. A. Fisher, The design of experiments (1935), chapter II: the tea tasting", "memory"),
    source(
        "Gevorgian1995",
        "S. Gevorgian, L. J. P. Linner, E. L. Kollberg, CAD models for shielded multilayered CPW, IEEE Trans. Microwave Theory Tech. 43 (1995) 772-779",
        "memory",
    ),
    source(
        "Gilbert1987",
        "R. O. Gilbert, Statistical methods for environmental pollution monitoring (1987), chapters 16 and 17",
        "memory",
    ),
    source("GUM", "JCGM 100:2008, guide to the expression of uncertainty in measurement, clauses 5 and G.4", "memory"),
    source(
        "HallbergPeck1991",
        "O. Hallberg, D. S. Peck, Recent humidity accelerations, a base for testing standards, Quality and Reliability Engineering International 7 (1991) 169-180",
        "memory",
    ),
    source(
        "HammerstadJensen1980",
        "E. Hammerstad, O. Jensen, Accurate models for microstrip computer-aided design, IEEE MTT-S International Microwave Symposium (1980) 407-409",
        "memory",
    ),
    source(
        "Hampel1974",
        "F. R. Hampel, The influence curve and its role in robust estimation, Journal of the American Statistical Association 69 (1974) 383-393",
        "memory",
    ),
    source("house", "Definition of this program; no outside document", "practice"),
    source(
        "HylandWexler1983",
        "R. W. Hyland, A. Wexler, Formulations for the thermodynamic properties of the saturated phases of H2O, ASHRAE Transactions 89 (1983), coefficients as in the ASHRAE handbook",
        "memory",
    ),
    source("IEC60812", "IEC 60812:2018, failure modes and effects analysis: ordinals", "memory"),
    source(
        "IEC61189-5-501",
        "IEC 61189-5-501, SIR testing of solder fluxes: squares of the common patterns, rule on controls",
        "seen",
    ),
    source("ILAC-G8", "ILAC-G8:09/2019, decision rules and statements of conformity: guard bands", "seen"),
    source("IPC-2221", "IPC-2221, Table 6-1, spacing of conductors by voltage", "seen"),
    source("IPC-5704", "IPC-5704, cleanliness of unpopulated boards: chloride", "seen"),
    source("IPC-7525", "IPC-7525, stencil design: area ratio", "seen"),
    source(
        "IPC-TM-650-2.3.25",
        "IPC-TM-650 2.3.25 revision D, solvent extract: total and per area, volume per area",
        "seen",
    ),
    source("IPC-TM-650-2.3.28", "IPC-TM-650 2.3.28 revision B, ionic analysis by ion chromatography", "seen"),
    source("IPC-TM-650-2.6.14.1", "IPC-TM-650 2.6.14.1 (09/2000), electrochemical migration", "seen"),
    source("IPC-TM-650-2.6.3.7", "IPC-TM-650 2.6.3.7 (03/2007), surface insulation resistance", "seen"),
    source(
        "ISO16269-6",
        "ISO 16269-6, determination of statistical tolerance intervals: exact one-sided factor",
        "memory",
    ),
    source("ISO7870-2", "ISO 7870-2, control charts: rules beside the limits", "memory"),
    source(
        "ItohMittra1973",
        "T. Itoh, R. Mittra, Spectral-domain approach for calculating the dispersion characteristics of microstrip lines, IEEE Trans. Microwave Theory Tech. 21 (1973) 496-499",
        "memory",
    ),
    source("J-STD-005", "J-STD-005, solder pastes: main range of the powder types", "seen"),
    source("JCGM106", "JCGM 106:2012, measurement uncertainty in conformity assessment", "memory"),
    source("Loader2000", "C. Loader, Fast and accurate computation of binomial probabilities (2000)", "memory"),
    source(
        "MannWhitney1947",
        "H. B. Mann, D. R. Whitney, On a test of whether one of two random variables is stochastically larger than the other, Annals of Mathematical Statistics 18 (1947) 50-60",
        "memory",
    ),
    source(
        "MeekerEscobar1998",
        "W. Q. Meeker, L. A. Escobar, Statistical methods for reliability data (1998), chapter 8",
        "memory",
    ),
    source(
        "Newcombe1998",
        "R. G. Newcombe, Interval estimation for the difference between independent proportions, Statistics in Medicine 17 (1998) 873-890, method 10",
        "memory",
    ),
    source("NIST-6.3.2.2", "NIST/SEMATECH e-Handbook of statistical methods, 6.3.2.2, individuals charts", "memory"),
    source("NIST-6.3.2.4", "NIST/SEMATECH e-Handbook of statistical methods, 6.3.2.4, EWMA charts", "memory"),
    source("NIST-7.2.4", "NIST/SEMATECH e-Handbook of statistical methods, 7.2.4, proportions", "seen"),
    source("NIST-7.2.6.3", "NIST/SEMATECH e-Handbook of statistical methods, 7.2.6.3, tolerance intervals", "seen"),
    source(
        "NIST-8.4.1.3",
        "NIST/SEMATECH e-Handbook of statistical methods, 8.4.1.3, maximum likelihood for Weibull life",
        "seen",
    ),
    source(
        "Peck1986",
        "D. S. Peck, Comprehensive model for humidity testing correlation, Proc. IEEE International Reliability Physics Symposium (1986) 44-50",
        "memory",
    ),
    source(
        "Roberts1959",
        "S. W. Roberts, Control chart tests based on geometric moving averages, Technometrics 1 (1959) 239-250",
        "memory",
    ),
    source(
        "RobinsonStokes1959",
        "R. A. Robinson, R. H. Stokes, Electrolyte solutions (1959): limiting law of Onsager with its constants in water at 25 degC, limiting conductivities of ions",
        "memory",
    ),
    source(
        "Schuirmann1987",
        "D. J. Schuirmann, A comparison of the two one-sided tests procedure and the power approach, Journal of Pharmacokinetics and Biopharmaceutics 15 (1987) 657-680",
        "memory",
    ),
    source(
        "Searle1992",
        "S. R. Searle, G. Casella, C. E. McCulloch, Variance components (1992): one-way layout",
        "memory",
    ),
    source(
        "Sen1968",
        "P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal of the American Statistical Association 63 (1968) 1379-1389",
        "memory",
    ),
    source("trade", "Common practice of the trade, no document", "practice"),
    source(
        "Wadell1991",
        "B. C. Wadell, Transmission line design handbook (1991): coplanar lines, with and without ground under them",
        "memory",
    ),
    source(
        "Welch1947",
        "B. L. Welch, The generalization of Student's problem when several different population variances are involved, Biometrika 34 (1947) 28-35",
        "memory",
    ),
    source(
        "Wilson1927",
        "E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal of the American Statistical Association 22 (1927) 209-212",
        "memory",
    ),
    source(
        "WMO-8",
        "WMO-No. 8, Guide to instruments and methods of observation, annex 4.B: humidity over water",
        "seen",
    ),
];

/// The document of a key.
pub fn find(key: &str) -> Option<&'static Source> {
    SOURCES.iter().find(|s| s.key == key)
}
