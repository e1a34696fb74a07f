//! Quantities as people write them: spellings, dimensions, conversions, and what is refused.

use super::*;
use crate::diag::FileId;

fn at() -> At {
    At { file: FileId(0), start: 0, end: 0, line: 1, column: 1 }
}

fn si(text: &str) -> f64 {
    Quantity::parse(text, at()).unwrap_or_else(|e| panic!("{text}: {e:?}")).si
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-12 * b.abs().max(1e-300), "{a} is not {b}");
}

#[test]
fn units_of_the_trade_become_si() {
    close(si("36.7 um"), 36.7e-6);
    close(si("36.7 µm"), 36.7e-6);
    close(si("25 pA"), 25e-12);
    close(si("1.4 ug/cm2"), 1.4e-5);
    close(si("40 degC"), 313.15);
    close(si("90 %RH"), 0.9);
    close(si("25 V/mm"), 25e3);
    close(si("1e9 ohm"), 1e9);
    close(si("1 GΩ"), 1e9);
    close(si("868 MHz"), 868e6);
    close(si("10 years"), 10.0 * 365.25 * 86400.0);
    close(si("0.5mm"), 0.5e-3);
    close(si("2.163 uS/cm"), 2.163e-4);
    close(si("8.0 log10 ohm"), 8.0);
}

#[test]
fn square_inches_and_square_centimetres_agree() {
    // IPC-TM-650 2.3.25 history: 10.06 ug/in2 is 1.559 ug/cm2.
    let q = Quantity::parse("10.06 ug/in2", at()).unwrap();
    assert!((q.in_unit("ug/cm2") - 1.559).abs() < 5e-4);
}

#[test]
fn what_is_no_quantity_is_refused() {
    assert_eq!(Quantity::parse("about 3 um", at()), Err(Refusal::NoNumber));
    assert_eq!(Quantity::parse("inf ohm", at()), Err(Refusal::NoNumber));
    assert_eq!(Quantity::parse("1e999 ohm", at()), Err(Refusal::NotFinite));
    assert!(matches!(Quantity::parse("1,5 um", at()), Err(Refusal::UnknownUnit { .. })));
    assert!(matches!(Quantity::parse("3 um/", at()), Err(Refusal::UnknownUnit { .. })));
}

#[test]
fn numbers_print_with_few_digits() {
    assert_eq!(significant(20_400_000_000.0, 3), "2.04e10");
    assert_eq!(significant(8.247, 3), "8.25");
    assert_eq!(significant(0.130_4, 2), "0.13");
    assert_eq!(signed(0.13, 2), "+0.13");
}
