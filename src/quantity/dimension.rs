//! Takes exponents of base dimensions; gives their product, and the name that people use for it.

/// Exponents of length, mass, time, current, temperature, amount, and of the dimensions of the
/// trade that have no SI base: relative humidity, decades, and money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Dimension(pub [i8; 9]);

const L: usize = 0;
const M: usize = 1;
const T: usize = 2;
const I: usize = 3;
const K: usize = 4;
const N: usize = 5;
const RH: usize = 6;
const DEC: usize = 7;
const CUR: usize = 8;

const fn dim(pairs: &[(usize, i8)]) -> Dimension {
    let mut d = [0; 9];
    let mut i = 0;
    while i < pairs.len() {
        d[pairs[i].0] = pairs[i].1;
        i += 1;
    }
    Dimension(d)
}

impl Dimension {
    pub const NONE: Self = dim(&[]);
    pub const LENGTH: Self = dim(&[(L, 1)]);
    pub const MASS: Self = dim(&[(M, 1)]);
    pub const TIME: Self = dim(&[(T, 1)]);
    pub const CURRENT: Self = dim(&[(I, 1)]);
    pub const TEMPERATURE: Self = dim(&[(K, 1)]);
    pub const AMOUNT: Self = dim(&[(N, 1)]);
    pub const HUMIDITY: Self = dim(&[(RH, 1)]);
    pub const DECADES: Self = dim(&[(DEC, 1)]);
    pub const MONEY: Self = dim(&[(CUR, 1)]);
    pub const VOLTAGE: Self = dim(&[(L, 2), (M, 1), (T, -3), (I, -1)]);
    pub const RESISTANCE: Self = dim(&[(L, 2), (M, 1), (T, -3), (I, -2)]);
    pub const CONDUCTANCE: Self = dim(&[(L, -2), (M, -1), (T, 3), (I, 2)]);
    pub const CAPACITANCE: Self = dim(&[(L, -2), (M, -1), (T, 4), (I, 2)]);
    pub const FREQUENCY: Self = dim(&[(T, -1)]);
    pub const POWER: Self = dim(&[(L, 2), (M, 1), (T, -3)]);
    pub const ENERGY: Self = dim(&[(L, 2), (M, 1), (T, -2)]);
    pub const FORCE: Self = dim(&[(L, 1), (M, 1), (T, -2)]);
    pub const PRESSURE: Self = dim(&[(L, -1), (M, 1), (T, -2)]);
    pub const CHARGE: Self = dim(&[(T, 1), (I, 1)]);

    pub fn times(self, other: Self, power: i8) -> Option<Self> {
        let mut out = self.0;
        for (o, x) in out.iter_mut().zip(other.0) {
            *o = o.checked_add(x.checked_mul(power)?)?;
        }
        Some(Self(out))
    }

    /// The trade's name of the dimension, or its exponents when it has none.
    pub fn name(self) -> String {
        const NAMES: &[(Dimension, &str)] = &[
            (Dimension::NONE, "a plain number"),
            (Dimension::LENGTH, "a length"),
            (dim(&[(L, 2)]), "an area"),
            (dim(&[(L, 3)]), "a volume"),
            (Dimension::MASS, "a mass"),
            (Dimension::TIME, "a time"),
            (Dimension::CURRENT, "a current"),
            (Dimension::TEMPERATURE, "a temperature"),
            (Dimension::AMOUNT, "an amount of substance"),
            (Dimension::HUMIDITY, "a relative humidity"),
            (Dimension::DECADES, "a number of decades"),
            (Dimension::MONEY, "a sum of money"),
            (Dimension::VOLTAGE, "a voltage"),
            (Dimension::RESISTANCE, "a resistance"),
            (Dimension::CONDUCTANCE, "a conductance"),
            (Dimension::CAPACITANCE, "a capacitance"),
            (Dimension::FREQUENCY, "a frequency"),
            (Dimension::POWER, "a power"),
            (Dimension::ENERGY, "an energy"),
            (Dimension::FORCE, "a force"),
            (Dimension::PRESSURE, "a pressure"),
            (Dimension::CHARGE, "a charge"),
            (dim(&[(L, 1), (M, 1), (T, -3), (I, -1)]), "a field strength"),
            (dim(&[(L, -2), (M, 1)]), "a mass per area"),
            (dim(&[(L, -3), (M, 1)]), "a mass per volume"),
            (dim(&[(K, 1), (T, -1)]), "a heating rate"),
            (dim(&[(L, 1), (T, -1)]), "a speed"),
            (dim(&[(L, 3), (T, -1)]), "a flow"),
            (dim(&[(L, -3), (M, -1), (T, 3), (I, 2)]), "a conductivity"),
            (dim(&[(L, 2), (T, -1)]), "a diffusivity"),
        ];
        if let Some((_, n)) = NAMES.iter().find(|(d, _)| *d == self) {
            return (*n).to_string();
        }
        let symbols = ["L", "M", "T", "I", "K", "N", "RH", "decade", "money"];
        let parts: Vec<String> = symbols
            .iter()
            .zip(self.0)
            .filter(|(_, e)| *e != 0)
            .map(|(s, e)| if e == 1 { (*s).to_string() } else { format!("{s}^{e}") })
            .collect();
        format!("the dimension {}", parts.join(" "))
    }
}
