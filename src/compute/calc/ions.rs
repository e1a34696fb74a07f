//! Takes the name of an ion; gives its molar mass and charge.

/// An ion that extracts are analysed for.
#[derive(Debug, Clone, Copy)]
pub struct Ion {
    pub name: &'static str,
    pub formula: &'static str,
    /// g/mol, from the conventional atomic weights (IUPAC), electrons neglected.
    pub molar_mass: f64,
    /// Charge number of the fully dissociated ion.
    pub charge: f64,
}

const fn ion(name: &'static str, formula: &'static str, molar_mass: f64, charge: f64) -> Ion {
    Ion { name, formula, molar_mass, charge }
}

/// Ions in order of name. Polyprotic acids carry their full charge, which overstates that of phosphate near pH 6.
pub const IONS: &[Ion] = &[
    ion("acetate", "C2H3O2", 59.044, -1.0),
    ion("adipate", "C6H8O4", 144.126, -2.0),
    ion("ammonium", "NH4", 18.039, 1.0),
    ion("bromide", "Br", 79.904, -1.0),
    ion("calcium", "Ca", 40.078, 2.0),
    ion("chloride", "Cl", 35.45, -1.0),
    ion("fluoride", "F", 18.998, -1.0),
    ion("formate", "CHO2", 45.017, -1.0),
    ion("glutarate", "C5H6O4", 130.099, -2.0),
    ion("lithium", "Li", 6.94, 1.0),
    ion("magnesium", "Mg", 24.305, 2.0),
    ion("malate", "C4H4O5", 132.071, -2.0),
    ion("methanesulfonate", "CH3SO3", 95.099, -1.0),
    ion("nitrate", "NO3", 62.004, -1.0),
    ion("nitrite", "NO2", 46.005, -1.0),
    ion("phosphate", "PO4", 94.970, -3.0),
    ion("potassium", "K", 39.098, 1.0),
    ion("sodium", "Na", 22.990, 1.0),
    ion("succinate", "C4H4O4", 116.072, -2.0),
    ion("sulfate", "SO4", 96.056, -2.0),
];

/// The ion of a name.
pub fn find(name: &str) -> Option<&'static Ion> {
    IONS.iter().find(|i| i.name == name)
}
