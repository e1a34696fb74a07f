//! The printed signs are the computed formula: MathML and Typst are read back, compared and evaluated.

mod mathml;
mod signs;
mod typst;

use crate::calculations::{Lot, sample};
use galipot::compute::calc::{self, Calc, expr, expr::Expr};
use std::collections::BTreeSet;

/// Numbers such as 1e-5 are printed as a power of ten; the tree as it is then read back.
fn as_printed(e: &Expr) -> Expr {
    let both = |op: char, a: Expr, b: Expr| Expr::Binary(op, Box::new(a), Box::new(b));
    match e {
        Expr::Number(_, w) => match w.split_once('e') {
            None => e.clone(),
            Some((mantissa, exponent)) => {
                let digits = signs::number(exponent.trim_start_matches('-'));
                let exponent = if exponent.starts_with('-') { Expr::Minus(Box::new(digits)) } else { digits };
                let ten = both('^', signs::number("10"), exponent);
                if mantissa == "1" { ten } else { both('*', signs::number(mantissa), ten) }
            }
        },
        Expr::Symbol(_) => e.clone(),
        Expr::Minus(a) => Expr::Minus(Box::new(as_printed(a))),
        Expr::Binary(op, a, b) => both(*op, as_printed(a), as_printed(b)),
        Expr::Call(f, list) => Expr::Call(f.clone(), list.iter().map(as_printed).collect()),
    }
}

/// The lines of a closed calculation: left side and tree, as the program reads its text.
fn lines(calc: &Calc) -> Vec<(String, Expr)> {
    calc.formula.iter().map(|l| expr::parse(l).unwrap_or_else(|| panic!("{}: {l}", calc.id))).collect()
}

/// Evaluates what was read back from print beside the function, at unequal points over the declared range.
fn evaluates(calc: &Calc, printed: &[(String, Expr)], form: &str) {
    let mut lot = Lot(23);
    let mut compared = 0;
    for _ in 0..400 {
        let inputs = sample(calc, &mut lot);
        let Ok(outputs) = calc.evaluate(&inputs) else { continue };
        let mut values: Vec<(String, f64)> = inputs.iter().map(|(s, v)| ((*s).to_string(), *v)).collect();
        for ((symbol, e), (output, value)) in printed.iter().zip(&outputs) {
            assert_eq!(symbol, output, "{}", calc.id);
            let again = e.value(&values);
            let near = (again - value).abs() <= 1e-9 * (value.abs() + again.abs()) + 1e-12;
            assert!(
                near,
                "{}, {form}: {symbol} is {again} as printed, {value} by the function, at {inputs:?}",
                calc.id
            );
            values.push((symbol.clone(), *value));
        }
        compared += 1;
    }
    assert!(compared > 20, "{}: only {compared} samples could be compared", calc.id);
}

#[test]
fn mathml_read_back_is_the_computed_formula() {
    for calc in calc::registry().iter().filter(|c| c.closed) {
        let forms = calc.formulas();
        let printed: Vec<_> = forms.iter().map(|f| mathml::read(&f.mathml, &known(calc))).collect();
        let wanted: Vec<_> = lines(calc).iter().map(|(s, e)| (s.clone(), as_printed(e))).collect();
        assert_eq!(printed, wanted, "{}", calc.id);
        evaluates(calc, &printed, "MathML");
    }
}

#[test]
fn typst_read_back_is_the_computed_formula() {
    for calc in calc::registry().iter().filter(|c| c.closed) {
        let forms = calc.formulas();
        let printed: Vec<_> = forms.iter().map(|f| typst::read(&f.typst, &known(calc))).collect();
        let wanted: Vec<_> = lines(calc).iter().map(|(s, e)| (s.clone(), as_printed(e))).collect();
        assert_eq!(printed, wanted, "{}", calc.id);
        evaluates(calc, &printed, "Typst");
    }
}

/// What stands on paper for each symbol of a calculation, with the symbol.
fn known(calc: &Calc) -> Vec<(String, String)> {
    let all = calc.symbols.iter().map(|s| s.symbol).chain(calc.outputs.iter().map(|o| o.symbol));
    let mut out: Vec<_> = all.map(|s| (signs::looks(s), s.to_string())).collect();
    out.sort();
    out.dedup();
    out
}

#[test]
fn no_two_symbols_of_a_calculation_look_alike() {
    for calc in calc::registry() {
        let known = known(calc);
        let looks: BTreeSet<_> = known.iter().map(|k| &k.0).collect();
        assert_eq!(looks.len(), known.len(), "{}: {known:?}", calc.id);
    }
}

#[test]
fn formulas_in_words_stay_words() {
    for calc in calc::registry() {
        let text: Vec<_> = calc.formulas().iter().map(|f| f.text.clone()).collect();
        assert_eq!(text.join("\n"), calc.printed());
        for f in calc.formulas() {
            assert_eq!(f.mathml.is_empty(), !calc.closed, "{}", calc.id);
            assert_eq!(f.typst.is_empty(), !calc.closed, "{}", calc.id);
        }
    }
}

/// Bracketing that no calculation may happen to need, and a printer that forgets it must be found.
#[test]
fn every_needed_bracket_is_printed() {
    let texts = [
        "a - (b - c)",
        "a - (b + c) * (-d)",
        "a * (-b) + (-c) * d",
        "(a + b) * c / (d - (-a))",
        "(a / b)^(c / d)",
        "a^(b * c / (d + a)) + a^((b + c) / -d) + a^(b / c / d) + a^(b / (c * d)) + a^(b / c * d)",
        "a^((b / c) / (c / d)) * b^(sum(x) / d)",
        "(a^b)^c",
        "a^b^c",
        "(-a)^2 - -a^2",
        "-(a + b)",
        "-(a * b) * c",
        "a / b / c * d",
        "a / (b / c)",
        "a * (b * c)",
        "a + (b + c)",
        "a + (-b * c)",
        "sqrt(a + b)^2 * sqrt(c)",
        "sum(x) * a + a * sum(x) - sum(x) / count(x)",
        "sum(x)^2 - (-sum(x))",
        "abs(a - b)^2 + floor(a / b) * max(a, min(b, c))",
        "8.617e-5 * a + 1e-3^b - 2e6 / c",
        "a^-b + exp(-a) * ln(b) * log10(c)",
        "z(a)^2 * t(b, c) + rho_s1 * n_eff^2 + p1^2 + x_a_b",
    ];
    let names = ["a", "b", "c", "d", "x", "rho_s1", "n_eff", "p1", "x_a_b", "y_1"];
    let known: Vec<(String, String)> = names.iter().map(|s| (signs::looks(s), (*s).to_string())).collect();
    for text in texts {
        let (left, e) = expr::parse(&format!("y_1 = {text}")).unwrap_or_else(|| panic!("{text}"));
        assert_eq!(mathml::read(&e.mathml(&left), &known), ("y_1".into(), as_printed(&e)), "{text}");
        assert_eq!(typst::read(&e.typst(&left), &known), ("y_1".into(), as_printed(&e)), "{text}");
    }
}

/// The readers would not see a printer's fault if they read everything: these are refused or read otherwise.
#[test]
fn the_readers_tell_formulas_apart() {
    let known: Vec<(String, String)> = ["a", "b", "y"].iter().map(|s| (signs::looks(s), (*s).to_string())).collect();
    let row = |inner: &str| format!("<mrow><mi>y</mi><mo>=</mo>{inner}</mrow>");
    let read = |inner: &str| mathml::read(&row(inner), &known).1;
    let fenced = read("<mi>a</mi><mo>×</mo><mrow><mo>(</mo><mi>a</mi><mo>+</mo><mi>b</mi><mo>)</mo></mrow>");
    // Without the bracket, a row alone holds nothing together: a reader sees a × a + b.
    let bare = read("<mi>a</mi><mo>×</mo><mrow><mi>a</mi><mo>+</mo><mi>b</mi></mrow>");
    assert_ne!(fenced, bare);
    assert_eq!(bare, expr::parse("y = a * a + b").expect("a formula").1);
    assert_eq!(typst::read("y = a times (a + b)", &known).1, fenced);
    assert_ne!(typst::read("y = frac(a, b) times a", &known).1, typst::read("y = frac(a, b times a)", &known).1);
    for bad in ["<mi>a", "<mi>q</mi>", "<mfrac><mi>a</mi></mfrac>", "<mi>a</mi><mi>b</mi>"] {
        assert!(std::panic::catch_unwind(|| read(bad)).is_err(), "{bad}");
    }
}
