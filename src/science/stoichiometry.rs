//! What a dose does: grams of a compound in litres of water become milligrams of an ion per litre, or alkalinity.

use std::fmt;

use super::formula::{Composition, NotAFormula, molar_mass_g_per_mol};
use super::range::{OutOfRange, not_negative, positive};
use crate::units::{Mass, Volume};

/// Why a dose cannot be worked out.
#[derive(Debug, Clone, PartialEq)]
pub enum DoseError {
    Formula(NotAFormula),
    Range(OutOfRange),
    /// The compound does not hold the ion.
    NoSuchIon {
        compound: String,
        ion: String,
    },
    /// No conversion between these units is known.
    NoConversion {
        from: String,
        to: String,
    },
    /// The compound is not known to raise alkalinity.
    NoAlkalinity {
        compound: String,
    },
}

impl fmt::Display for DoseError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            DoseError::Formula(why) => why.fmt(f),
            DoseError::Range(why) => why.fmt(f),
            DoseError::NoSuchIon { compound, ion } => write!(f, "`{compound}` holds no `{ion}`"),
            DoseError::NoConversion { from, to } => write!(f, "`{from}` cannot be told in `{to}`"),
            DoseError::NoAlkalinity { compound } => {
                write!(f, "`{compound}` is not known here to raise alkalinity")
            }
        }
    }
}

impl std::error::Error for DoseError {}

impl From<NotAFormula> for DoseError {
    fn from(why: NotAFormula) -> Self {
        DoseError::Formula(why)
    }
}

impl From<OutOfRange> for DoseError {
    fn from(why: OutOfRange) -> Self {
        DoseError::Range(why)
    }
}

/// Mass fraction of an ion in a compound.
///
/// w = n·M(ion)/M(compound), n being how often the ion's own element occurs in the compound
///
/// `ion` is a formula (`NO3`, `Mg`), or one told as its element (`PO4-P`).
/// Errors: no formula, or the compound does not hold the ion.
/// Source: [`prohaska_2022`](crate::science::sources) for the weights.
///
/// ```
/// # use polypary::science::stoichiometry::*;
/// // By hand: 62.004 / 101.102 and 30.974 / 136.084.
/// assert!((ion_mass_fraction("KNO3", "NO3")? - 0.6132816364).abs() < 1e-10);
/// assert!((ion_mass_fraction("KH2PO4", "PO4-P")? - 0.2276094177).abs() < 1e-10);
/// assert!(ion_mass_fraction("KNO3", "PO4").is_err());
/// # Ok::<(), DoseError>(())
/// ```
pub fn ion_mass_fraction(compound: &str, ion: &str) -> Result<f64, DoseError> {
    let whole = Composition::of(compound)?;
    let (group, counted_as) = match ion.split_once('-') {
        Some((group, element)) => (Composition::of(group)?, Composition::of(element)?),
        None => (Composition::of(ion)?, Composition::of(ion)?),
    };
    let no_such_ion = || DoseError::NoSuchIon { compound: compound.into(), ion: ion.into() };
    let own = own_element(&group);
    let times = whole.count(own) / group.count(own);
    let held = times > 0
        && group.iter().all(|(element, count)| whole.count(element) >= count * times)
        && counted_as.iter().all(|(element, count)| group.count(element) >= count);
    if !held {
        return Err(no_such_ion());
    }
    Ok(times as f64 * counted_as.molar_mass_g_per_mol() / whole.molar_mass_g_per_mol())
}

/// Rise of an ion's concentration when a compound is dissolved, mg/L.
///
/// Δ = mass × w / volume
///
/// Compound and ion as [`ion_mass_fraction`]; the volume of the compound itself is left out.
/// Valid: mass of zero or more, volume greater than zero.
/// Source: as [`ion_mass_fraction`].
///
/// ```
/// # use polypary::{science::stoichiometry::*, units::*};
/// // A gram of potassium nitrate in 100 L: 1000 mg × 0.61328 / 100 L.
/// let rise = ion_rise_mg_per_l("KNO3", "NO3", Mass::grams(1.), Volume::litres(100.))?;
/// assert!((rise - 6.132816364).abs() < 1e-9);
/// # Ok::<(), DoseError>(())
/// ```
pub fn ion_rise_mg_per_l(compound: &str, ion: &str, mass: Mass, volume: Volume) -> Result<f64, DoseError> {
    let milligrams = not_negative("mass of the dose", mass.as_milligrams(), "mg")?;
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    Ok(milligrams * ion_mass_fraction(compound, ion)? / litres)
}

/// Alkalinity in the units in which it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alkalinity {
    pub meq_per_l: f64,
    /// German degrees of carbonate hardness, each 10 mg/L of calcium oxide.
    pub dkh: f64,
    /// As calcium carbonate.
    pub mg_per_l_caco3: f64,
}

impl Alkalinity {
    /// From meq/L, which is mmol/L of charge.
    ///
    /// 1 dKH = 2 × 10 / M(CaO) meq/L; 1 meq/L = M(CaCO₃)/2 mg/L
    ///
    /// Source: the definition of the degree; [`prohaska_2022`](crate::science::sources) for the weights.
    pub fn from_meq_per_l(meq_per_l: f64) -> Alkalinity {
        Alkalinity {
            meq_per_l,
            dkh: meq_per_l / meq_per_l_of_one_dkh(),
            mg_per_l_caco3: meq_per_l * mass_of("CaCO3") / 2.0,
        }
    }

    /// From degrees of carbonate hardness.
    ///
    /// ```
    /// # use polypary::science::stoichiometry::Alkalinity;
    /// // 20 / 56.077 and 0.35665246 × 100.086 / 2, by hand.
    /// let one = Alkalinity::from_dkh(1.0);
    /// assert!((one.meq_per_l - 0.35665246).abs() < 1e-8);
    /// assert!((one.mg_per_l_caco3 - 17.84795906).abs() < 1e-8);
    /// ```
    pub fn from_dkh(dkh: f64) -> Alkalinity {
        Alkalinity { dkh, ..Alkalinity::from_meq_per_l(dkh * meq_per_l_of_one_dkh()) }
    }

    /// From mg/L as calcium carbonate.
    pub fn from_mg_per_l_caco3(mg_per_l_caco3: f64) -> Alkalinity {
        let meq_per_l = mg_per_l_caco3 * 2.0 / mass_of("CaCO3");
        Alkalinity { mg_per_l_caco3, ..Alkalinity::from_meq_per_l(meq_per_l) }
    }
}

/// Moles of acid that a mole of a compound takes up, without its water of crystallisation: 1 for bicarbonates, 2 for
/// carbonates and oxides of two-fold metals, 1 for each hydroxide.
pub fn equivalents_per_mol(compound: &str) -> Result<f64, DoseError> {
    let no_alkalinity = || DoseError::NoAlkalinity { compound: compound.into() };
    let anhydrous = compound.split(['.', '·', '*', '•']).next().unwrap_or_default();
    let composition = Composition::of(anhydrous)?;
    let known: &[(&str, f64)] = &[
        ("NaHCO3", 1.0),
        ("KHCO3", 1.0),
        ("Na2CO3", 2.0),
        ("K2CO3", 2.0),
        ("CaCO3", 2.0),
        ("MgCO3", 2.0),
        ("SrCO3", 2.0),
        ("NaOH", 1.0),
        ("KOH", 1.0),
        ("Ca(OH)2", 2.0),
        ("Mg(OH)2", 2.0),
        ("CaO", 2.0),
    ];
    known
        .iter()
        .find(|(formula, _)| Composition::of(formula).as_ref() == Ok(&composition))
        .map(|(_, equivalents)| *equivalents)
        .ok_or_else(no_alkalinity)
}

/// Rise of alkalinity when a compound is dissolved.
///
/// Δ = mass / M × equivalents / volume
///
/// Valid: all of it dissolves and nothing precipitates; mass of zero or more, volume greater than zero.
/// Errors: a compound that [`equivalents_per_mol`] does not know.
/// Source: [`prohaska_2022`](crate::science::sources) for the weights.
///
/// ```
/// # use polypary::{science::stoichiometry::*, units::*};
/// // A gram of sodium bicarbonate in 100 L: 10 mg/L of 84.006 g/mol, by hand.
/// let rise = alkalinity_rise("NaHCO3", Mass::grams(1.), Volume::litres(100.))?;
/// assert!((rise.meq_per_l - 10. / 84.006).abs() < 1e-12);
/// assert!(alkalinity_rise("CaCl2", Mass::grams(1.), Volume::litres(100.)).is_err());
/// # Ok::<(), DoseError>(())
/// ```
pub fn alkalinity_rise(compound: &str, mass: Mass, volume: Volume) -> Result<Alkalinity, DoseError> {
    let milligrams = not_negative("mass of the dose", mass.as_milligrams(), "mg")?;
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    let millimoles = milligrams / molar_mass_g_per_mol(compound)?;
    Ok(Alkalinity::from_meq_per_l(millimoles * equivalents_per_mol(compound)? / litres))
}

/// Nitrogen and phosphorus by moles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NitrogenToPhosphorus {
    pub nitrogen_umol_per_l: f64,
    pub phosphorus_umol_per_l: f64,
    pub ratio: f64,
    /// The ratio over 16, that of plankton.
    pub times_redfield: f64,
}

/// Ratio of nitrogen in nitrate to phosphorus in phosphate, by moles.
///
/// N:P = (NO₃/M(NO₃)) / (PO₄/M(PO₄))
///
/// Valid: nitrate of zero or more, phosphate greater than zero. The ratio 16 describes plankton of the open sea; no
/// source says that a tank should have it.
/// Source: [`redfield_1963`](crate::science::sources); [`prohaska_2022`](crate::science::sources) for the weights.
///
/// ```
/// # use polypary::science::{stoichiometry::nitrogen_to_phosphorus, OutOfRange};
/// // By hand: 1/62.004 over 0.1/94.970.
/// assert!((nitrogen_to_phosphorus(1.0, 0.1)?.ratio - 15.31675376).abs() < 1e-8);
/// assert!(nitrogen_to_phosphorus(1.0, 0.0).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn nitrogen_to_phosphorus(
    nitrate_mg_per_l: f64,
    phosphate_mg_per_l: f64,
) -> Result<NitrogenToPhosphorus, OutOfRange> {
    let nitrate = not_negative("nitrate", nitrate_mg_per_l, "mg/L")?;
    let phosphate = positive("phosphate", phosphate_mg_per_l, "mg/L")?;
    let nitrogen = nitrate / mass_of("NO3") * 1000.0;
    let phosphorus = phosphate / mass_of("PO4") * 1000.0;
    let ratio = nitrogen / phosphorus;
    Ok(NitrogenToPhosphorus {
        nitrogen_umol_per_l: nitrogen,
        phosphorus_umol_per_l: phosphorus,
        ratio,
        times_redfield: ratio / 16.0,
    })
}

/// A nutrient's concentration told in another unit of the same nutrient.
///
/// Units are `mg/L` or `ug/L` of a species (`NO3`, `NO3-N`, `NO2`, `NO2-N`, `NH3`, `NH4`, `NH3-N`, `PO4`, `PO4-P`, `P`,
/// `Si`, `SiO2`), or `umol/L` as the unit to convert to.
/// Errors: units of different nutrients, or unknown ones; a value that is negative or not a number.
/// Source: [`prohaska_2022`](crate::science::sources) for the weights.
///
/// ```
/// # use polypary::science::stoichiometry::*;
/// // By hand: 62.004 / 14.007, and 30.974 / 94.970 × 1000.
/// assert!((convert_nutrient(1.0, "mg/L NO3-N", "mg/L NO3")? - 4.426643821).abs() < 1e-9);
/// assert!((convert_nutrient(1.0, "mg/L PO4", "ug/L P")? - 326.1450985).abs() < 1e-7);
/// assert!(convert_nutrient(1.0, "mg/L NO3", "mg/L NO2").is_err());
/// # Ok::<(), DoseError>(())
/// ```
pub fn convert_nutrient(value: f64, from_unit: &str, to_unit: &str) -> Result<f64, DoseError> {
    let no_conversion = || DoseError::NoConversion { from: from_unit.into(), to: to_unit.into() };
    let value = not_negative("concentration", value, from_unit_label(from_unit))?;
    let (from_nutrient, from_micrograms_per_micromole) = nutrient_unit(from_unit).ok_or_else(no_conversion)?;
    let micromoles_per_l = value * from_micrograms_per_micromole.recip();
    if matches!(to_unit.trim(), "umol/L" | "µmol/L") {
        return Ok(micromoles_per_l);
    }
    let (to_nutrient, to_micrograms_per_micromole) = nutrient_unit(to_unit).ok_or_else(no_conversion)?;
    if from_nutrient != to_nutrient {
        return Err(no_conversion());
    }
    Ok(micromoles_per_l * to_micrograms_per_micromole)
}

/// The nutrient of a unit, and how many of the unit a micromole per litre is.
fn nutrient_unit(unit: &str) -> Option<(&'static str, f64)> {
    let (mass_per_l, species) = unit.trim().split_once(' ')?;
    let per_microgram = match mass_per_l {
        "mg/L" => 1e-3,
        "ug/L" | "µg/L" => 1.0,
        _ => return None,
    };
    let (nutrient, formula) = match species.trim() {
        "NO3" => ("nitrate", "NO3"),
        "NO3-N" => ("nitrate", "N"),
        "NO2" => ("nitrite", "NO2"),
        "NO2-N" => ("nitrite", "N"),
        "NH3" => ("ammonia", "NH3"),
        "NH4" => ("ammonia", "NH4"),
        "NH3-N" | "NH4-N" => ("ammonia", "N"),
        "PO4" => ("phosphate", "PO4"),
        "PO4-P" | "P" => ("phosphate", "P"),
        "Si" => ("silicate", "Si"),
        "SiO2" => ("silicate", "SiO2"),
        _ => return None,
    };
    Some((nutrient, mass_of(formula) * per_microgram))
}

fn from_unit_label(unit: &str) -> &'static str {
    if unit.trim_start().starts_with("mg") { "mg/L" } else { "µg/L" }
}

/// The element that an ion is named after: the first that is neither oxygen nor hydrogen.
fn own_element(ion: &Composition) -> &'static str {
    let named_after = ion.iter().map(|(element, _)| element).find(|element| !["O", "H"].contains(element));
    named_after.or_else(|| ion.iter().map(|(element, _)| element).next()).expect("a formula has an element")
}

fn meq_per_l_of_one_dkh() -> f64 {
    2.0 * 10.0 / mass_of("CaO")
}

/// Molar mass of a formula written in this file.
fn mass_of(formula: &'static str) -> f64 {
    molar_mass_g_per_mol(formula).expect("formulas written in the program are formulas")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn alkalinity_comes_back_from_each_of_its_units() {
        let eight = Alkalinity::from_dkh(8.0);
        assert_eq!(eight.dkh, 8.0);
        let back = Alkalinity::from_mg_per_l_caco3(eight.mg_per_l_caco3);
        assert!((back.dkh - 8.0).abs() < 1e-12 && (back.meq_per_l - eight.meq_per_l).abs() < 1e-12);
    }

    #[test]
    fn water_of_crystallisation_weighs_but_takes_up_no_acid() {
        assert_eq!(equivalents_per_mol("Na2CO3.10H2O"), Ok(2.0));
        let (gram, litre) = (Mass::grams(1.0), Volume::litres(1.0));
        let dry = alkalinity_rise("Na2CO3", gram, litre).unwrap();
        let wet = alkalinity_rise("Na2CO3.10H2O", gram, litre).unwrap();
        // 105.988 and 286.138 g/mol, by hand.
        assert!((dry.meq_per_l / wet.meq_per_l - 286.138 / 105.988).abs() < 1e-9);
    }

    #[test]
    fn an_ion_must_be_whole_in_the_compound() {
        assert!(ion_mass_fraction("NaNO3", "NO3").is_ok());
        assert!(ion_mass_fraction("NaNO2", "NO3").is_err());
        assert!(ion_mass_fraction("KNO3", "NO3-P").is_err());
        assert!(ion_mass_fraction("KNO3", "").is_err());
        // Two gluconates of six carbons each.
        let gluconate = ion_mass_fraction("Fe(C6H11O7)2.2H2O", "C6H11O7").unwrap();
        assert!((gluconate - 2.0 * 195.147 / 482.169).abs() < 1e-6);
    }

    #[test]
    fn doses_need_water_to_go_into() {
        let nowhere = ion_rise_mg_per_l("KNO3", "NO3", Mass::grams(1.0), Volume::litres(0.0));
        assert!(matches!(nowhere, Err(DoseError::Range(why)) if why.quantity == "volume of water"));
        assert!(convert_nutrient(-1.0, "mg/L NO3", "umol/L").is_err());
        assert!(convert_nutrient(1.0, "grains NO3", "umol/L").is_err());
    }
}
