//! The ions and compounds that a concentration may be of, and what one is worth in another.
//!
//! A test result of 1 mg/L "as nitrogen" and one of 1 mg/L "as nitrate" differ by more than four times, so a
//! concentration keeps the species it was written with.

/// What a concentration is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Species {
    Nitrate,
    NitrateN,
    Nitrite,
    NitriteN,
    Phosphate,
    PhosphateP,
    Ammonia,
    AmmoniaN,
    Ammonium,
    CalciumCarbonate,
    Calcium,
    Magnesium,
    Potassium,
    Iron,
    /// Dissolved silicate, counted as SiO₂ as kits do (common practice, no source).
    Silicate,
    Silicon,
    Strontium,
    Iodine,
}

impl Species {
    /// Every species, in the order in which they are searched.
    pub const ALL: [Species; 18] = [
        Species::Nitrate,
        Species::NitrateN,
        Species::Nitrite,
        Species::NitriteN,
        Species::Phosphate,
        Species::PhosphateP,
        Species::Ammonia,
        Species::AmmoniaN,
        Species::Ammonium,
        Species::CalciumCarbonate,
        Species::Calcium,
        Species::Magnesium,
        Species::Potassium,
        Species::Iron,
        Species::Silicate,
        Species::Silicon,
        Species::Strontium,
        Species::Iodine,
    ];

    /// As shown: `NO₃-N`.
    pub fn symbol(self) -> &'static str {
        match self {
            Species::Nitrate => "NO₃",
            Species::NitrateN => "NO₃-N",
            Species::Nitrite => "NO₂",
            Species::NitriteN => "NO₂-N",
            Species::Phosphate => "PO₄",
            Species::PhosphateP => "PO₄-P",
            Species::Ammonia => "NH₃",
            Species::AmmoniaN => "NH₃-N",
            Species::Ammonium => "NH₄",
            Species::CalciumCarbonate => "CaCO₃",
            Species::Calcium => "Ca",
            Species::Magnesium => "Mg",
            Species::Potassium => "K",
            Species::Iron => "Fe",
            Species::Silicate => "SiO₂",
            Species::Silicon => "Si",
            Species::Strontium => "Sr",
            Species::Iodine => "I",
        }
    }

    /// Finds a species by what a person writes: `NO3`, `NO₃⁻`, `nitrate`, `nitrate-N`, `P`.
    ///
    /// A lone `N` is not accepted: it may be the nitrogen of nitrate, of nitrite or of ammonia.
    pub fn named(text: &str) -> Option<Species> {
        let folded = super::lookup::fold(text).to_lowercase().replace(' ', "-").replace("--", "-");
        let name = folded.trim_matches(['(', ')']).trim_end_matches(['+', '-']);
        Species::ALL.into_iter().find(|species| species.names().contains(&name))
    }

    /// Lower case, digits on the line, hyphens for spaces, without the charge.
    pub(super) fn names(self) -> &'static [&'static str] {
        match self {
            Species::Nitrate => &["no3", "nitrate"],
            Species::NitrateN => &["no3-n", "n-no3", "nitrate-n", "nitrate-nitrogen"],
            Species::Nitrite => &["no2", "nitrite"],
            Species::NitriteN => &["no2-n", "n-no2", "nitrite-n", "nitrite-nitrogen"],
            Species::Phosphate => &["po4", "po43", "po4-3", "phosphate", "orthophosphate"],
            Species::PhosphateP => &["po4-p", "p-po4", "p", "phosphate-p", "phosphate-phosphorus", "phosphorus"],
            Species::Ammonia => &["nh3", "ammonia"],
            Species::AmmoniaN => {
                &["nh3-n", "nh4-n", "n-nh3", "n-nh4", "tan", "ammonia-n", "ammonia-nitrogen", "ammonium-n"]
            }
            Species::Ammonium => &["nh4", "ammonium"],
            Species::CalciumCarbonate => &["caco3", "calcium-carbonate"],
            Species::Calcium => &["ca", "ca2", "calcium"],
            Species::Magnesium => &["mg", "mg2", "magnesium"],
            Species::Potassium => &["k", "potassium"],
            Species::Iron => &["fe", "fe2", "fe3", "iron"],
            Species::Silicate => &["sio2", "silicate", "silica"],
            Species::Silicon => &["si", "silicon"],
            Species::Strontium => &["sr", "sr2", "strontium"],
            Species::Iodine => &["i", "iodine", "iodide"],
        }
    }

    /// The form in which concentrations of this kind are compared: NO₃, NO₂, PO₄, total ammonia as NH₃, SiO₂; every
    /// other species is its own.
    pub fn canonical(self) -> Species {
        match self {
            Species::NitrateN => Species::Nitrate,
            Species::NitriteN => Species::Nitrite,
            Species::PhosphateP => Species::Phosphate,
            Species::AmmoniaN | Species::Ammonium => Species::Ammonia,
            Species::Silicon => Species::Silicate,
            other => other,
        }
    }

    /// What a mass of this species is multiplied by to give the mass of [`Species::canonical`] with as many atoms.
    pub fn factor_to_canonical(self) -> f64 {
        self.canonical().molar_mass() / self.molar_mass()
    }

    /// g/mol; for a species counted "as N", "as P" or "as Si", of that atom alone.
    pub const fn molar_mass(self) -> f64 {
        match self {
            Species::Nitrate => N + 3.0 * O,
            Species::Nitrite => N + 2.0 * O,
            Species::NitrateN | Species::NitriteN | Species::AmmoniaN => N,
            Species::Phosphate => P + 4.0 * O,
            Species::PhosphateP => P,
            Species::Ammonia => N + 3.0 * H,
            Species::Ammonium => N + 4.0 * H,
            Species::CalciumCarbonate => CA + C + 3.0 * O,
            Species::Calcium => CA,
            Species::Magnesium => MG,
            Species::Potassium => K,
            Species::Iron => FE,
            Species::Silicate => SI + 2.0 * O,
            Species::Silicon => SI,
            Species::Strontium => SR,
            Species::Iodine => I,
        }
    }
}

/// mg/L CaCO₃ in one degree of carbonate hardness, which is 10 mg/L CaO by definition.
pub(super) const MG_CACO3_PER_DKH: f64 = 10.0 * Species::CalciumCarbonate.molar_mass() / (CA + O);

/// meq/L in one degree of carbonate hardness; calcium carries two charges.
pub(super) const MEQ_PER_DKH: f64 = 2.0 * 10.0 / (CA + O);

// Abridged standard atomic weights 2021, g/mol: Prohaska et al. 2022, Pure Appl. Chem. 94, 573-600 (IUPAC/CIAAW).
const H: f64 = 1.008;
const C: f64 = 12.011;
const N: f64 = 14.007;
const O: f64 = 15.999;
const MG: f64 = 24.305;
const SI: f64 = 28.085;
const P: f64 = 30.974;
const K: f64 = 39.098;
const CA: f64 = 40.078;
const FE: f64 = 55.845;
const SR: f64 = 87.62;
const I: f64 = 126.90;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn species_are_found_however_they_are_written() {
        let table = [
            ("NO3", Species::Nitrate),
            ("NO₃", Species::Nitrate),
            ("NO₃⁻", Species::Nitrate),
            ("Nitrate", Species::Nitrate),
            ("NO3-N", Species::NitrateN),
            ("nitrate nitrogen", Species::NitrateN),
            ("NO₂", Species::Nitrite),
            ("no2-n", Species::NitriteN),
            ("PO4", Species::Phosphate),
            ("PO₄³⁻", Species::Phosphate),
            ("PO4-P", Species::PhosphateP),
            ("P", Species::PhosphateP),
            ("NH3", Species::Ammonia),
            ("NH4+", Species::Ammonium),
            ("NH4-N", Species::AmmoniaN),
            ("TAN", Species::AmmoniaN),
            ("CaCO₃", Species::CalciumCarbonate),
            ("Ca2+", Species::Calcium),
            ("(K)", Species::Potassium),
            ("SiO2", Species::Silicate),
        ];
        for (text, expected) in table {
            assert_eq!(Species::named(text), Some(expected), "{text}");
        }
        for text in ["N", "", "NO", "xenon"] {
            assert_eq!(Species::named(text), None, "{text}");
        }
        for species in Species::ALL {
            assert_eq!(Species::named(species.symbol()), Some(species), "{species:?}");
        }
    }

    /// tests/reference/08a_atomic_weights.csv: IUPAC/CIAAW abridged standard atomic weights 2021.
    #[test]
    fn atomic_weights_are_those_of_the_table() {
        let ours = [
            ("H", H),
            ("C", C),
            ("N", N),
            ("O", O),
            ("Mg", MG),
            ("P", P),
            ("K", K),
            ("Ca", CA),
            ("Fe", FE),
            ("Sr", SR),
            ("I", I),
        ];
        let table = include_str!("../../tests/reference/08a_atomic_weights.csv");
        for (element, weight) in ours {
            let row = table.lines().find(|line| line.starts_with(&format!("{element},")));
            let listed: f64 = row.expect(element).split(',').nth(1).unwrap().parse().unwrap();
            assert_eq!(weight, listed, "{element}");
        }
    }
}
