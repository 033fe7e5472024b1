//! The substances keepers dissolve, by the names on their tubs.

/// Name in words, lower case; its formula.
///
/// Names without their water are those of the form that is commonly sold (common practice, no source); a tub that says
/// otherwise is written with its hydrate.
const NAMES: &[(&str, &str)] = &[
    ("ammonium chloride", "NH4Cl"),
    ("baking soda", "NaHCO3"),
    ("calcium acetate", "Ca(C2H3O2)2"),
    ("calcium chloride anhydrous", "CaCl2"),
    ("calcium chloride dihydrate", "CaCl2.2H2O"),
    ("calcium chloride hexahydrate", "CaCl2.6H2O"),
    ("calcium hydroxide", "Ca(OH)2"),
    ("calcium nitrate tetrahydrate", "Ca(NO3)2.4H2O"),
    ("disodium hydrogen phosphate", "Na2HPO4"),
    ("dipotassium hydrogen phosphate", "K2HPO4"),
    ("epsom salt", "MgSO4.7H2O"),
    ("magnesium chloride hexahydrate", "MgCl2.6H2O"),
    ("magnesium sulfate heptahydrate", "MgSO4.7H2O"),
    ("monopotassium phosphate", "KH2PO4"),
    ("potassium chloride", "KCl"),
    ("potassium dihydrogen phosphate", "KH2PO4"),
    ("potassium nitrate", "KNO3"),
    ("potassium sulfate", "K2SO4"),
    ("sodium bicarbonate", "NaHCO3"),
    ("sodium carbonate", "Na2CO3"),
    ("sodium carbonate decahydrate", "Na2CO3.10H2O"),
    ("sodium dihydrogen phosphate", "NaH2PO4"),
    ("sodium hydrogen carbonate", "NaHCO3"),
    ("sodium hydroxide", "NaOH"),
    ("sodium nitrate", "NaNO3"),
    ("soda ash", "Na2CO3"),
    ("trisodium phosphate dodecahydrate", "Na3PO4.12H2O"),
];

/// The formula of a substance by its name; `None` for names not in the list and for those that leave the water open
/// (calcium chloride is sold with two waters, with six and with none).
///
/// ```
/// # use polypary::science::compounds::formula_of;
/// assert_eq!(formula_of("Sodium hydrogen-carbonate"), Some("NaHCO3"));
/// assert_eq!(formula_of("calcium chloride"), None);
/// ```
pub fn formula_of(name: &str) -> Option<&'static str> {
    let name = name.trim().to_lowercase().replace(['-', ','], " ").replace("sulphate", "sulfate");
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    let name = name.strip_suffix(" solution").unwrap_or(&name);
    NAMES.iter().find(|(known, _)| *known == name).map(|(_, formula)| *formula)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::science::formula::molar_mass_g_per_mol;

    #[test]
    fn every_formula_can_be_read() {
        for (name, formula) in NAMES {
            assert!(molar_mass_g_per_mol(formula).is_ok(), "{name}: {formula}");
        }
    }
}
