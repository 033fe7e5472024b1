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
/// w = n·M(ion)/M(compound), n being how often the compound's atoms make up the ion
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
    // Water of crystallisation weighs, but its oxygen belongs to no ion.
    let mut dry = Composition::default();
    for part in parts(compound) {
        let part = Composition::of(part)?;
        if !is_water(&part) {
            dry.add(&part, 1)?;
        }
    }
    let times = group.iter().map(|(element, count)| dry.count(element) / count).min().unwrap_or(0);
    if times == 0 || counted_as.iter().any(|(element, count)| group.count(element) < count) {
        return Err(DoseError::NoSuchIon { compound: compound.into(), ion: ion.into() });
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
    const KNOWN: &[(&str, f64)] = &[
        ("LiOH", 1.0),
        ("NaOH", 1.0),
        ("KOH", 1.0),
        ("MgO", 2.0),
        ("CaO", 2.0),
        ("Mg(OH)2", 2.0),
        ("Ca(OH)2", 2.0),
        ("Sr(OH)2", 2.0),
        ("NaHCO3", 1.0),
        ("KHCO3", 1.0),
        ("NH4HCO3", 1.0),
        ("Mg(HCO3)2", 2.0),
        ("Ca(HCO3)2", 2.0),
        ("Li2CO3", 2.0),
        ("Na2CO3", 2.0),
        ("K2CO3", 2.0),
        ("MgCO3", 2.0),
        ("CaCO3", 2.0),
        ("SrCO3", 2.0),
        // Borax, down to boric acid.
        ("Na2B4O7", 2.0),
    ];
    let mut sum = 0.0;
    for part in parts(compound) {
        let (times, dry) = counted(part);
        let composition = Composition::of(dry)?;
        if is_water(&composition) {
            continue;
        }
        let known = KNOWN.iter().find(|(formula, _)| Composition::of(formula).as_ref() == Ok(&composition));
        let (_, equivalents) = known.ok_or_else(|| DoseError::NoAlkalinity { compound: compound.into() })?;
        sum += times * equivalents;
    }
    Ok(sum)
}

/// What stands between the dots of a formula.
fn parts(compound: &str) -> impl Iterator<Item = &str> {
    compound.split(['.', '·', '*', '•'])
}

/// The number before a part, and the part.
fn counted(part: &str) -> (f64, &str) {
    let part = part.trim();
    let formula = part.trim_start_matches(|sign: char| sign.is_ascii_digit());
    (part[..part.len() - formula.len()].parse().unwrap_or(1.0), formula)
}

fn is_water(part: &Composition) -> bool {
    part.iter().count() == 2 && part.count("O") > 0 && part.count("H") == 2 * part.count("O")
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

/// A concentration told in another unit of the same substance.
///
/// A unit is `mg/L`, `ug/L`, `g/L`, `mmol/L`, `umol/L` (or `ppm` and `ppb`, taken for mg/L and µg/L) of a species: the
/// forms of nitrate, nitrite, ammonia, phosphate and silicate (`NO3`, `NO3-N`, `NH3`, `NH4`, `NH3-N`, `PO4`, `PO4-P`,
/// `P`, `P2O5`, `Si`, `SiO2`), or any ion by its formula (`Ca`, `Fe`). Moles need no species (`umol/L`): they are those of
/// the nutrient's own element.
/// Errors: units of different substances, or unknown ones; a value that is negative or not a number.
/// Source: [`prohaska_2022`](crate::science::sources) for the weights.
///
/// ```
/// # use polypary::science::stoichiometry::*;
/// // By hand: 62.004 / 14.007, and 30.974 / 94.970 × 1000.
/// assert!((convert_nutrient(1.0, "mg/L NO3-N", "mg/L NO3")? - 4.426643821).abs() < 1e-9);
/// assert!((convert_nutrient(1.0, "mg/L PO4", "ug/L P")? - 326.1450985).abs() < 1e-7);
/// assert!((convert_nutrient(1.0, "umol/L", "mg/L Ca")? - 0.040078).abs() < 1e-12);
/// assert!(convert_nutrient(1.0, "mg/L NO3", "mg/L NO2").is_err());
/// # Ok::<(), DoseError>(())
/// ```
pub fn convert_nutrient(value: f64, from_unit: &str, to_unit: &str) -> Result<f64, DoseError> {
    let no_conversion = || DoseError::NoConversion { from: from_unit.into(), to: to_unit.into() };
    let value = not_negative("concentration", value, "")?;
    let from = NutrientUnit::of(from_unit).ok_or_else(no_conversion)?;
    let to = NutrientUnit::of(to_unit).ok_or_else(no_conversion)?;
    match (&from.substance, &to.substance) {
        (Some(from), Some(to)) if from != to => return Err(no_conversion()),
        // Two bare moles may be of anything, and then of the same.
        _ => {}
    }
    Ok(value * from.micromoles_per_l / to.micromoles_per_l)
}

/// A unit of concentration: what it is of, and how many µmol/L of the substance's own element one of it is.
struct NutrientUnit {
    /// None for bare moles.
    substance: Option<String>,
    micromoles_per_l: f64,
}

impl NutrientUnit {
    fn of(unit: &str) -> Option<NutrientUnit> {
        let (amount, species) = unit.trim().split_once(char::is_whitespace).unwrap_or((unit.trim(), ""));
        let (micrograms, micromoles) = match amount.replace(['\u{b5}', '\u{3bc}'], "u").as_str() {
            "g/L" => (1e6, 0.0),
            "mg/L" | "mg/l" | "ppm" => (1e3, 0.0),
            "ug/L" | "ug/l" | "ppb" => (1.0, 0.0),
            "mol/L" => (0.0, 1e6),
            "mmol/L" | "mM" => (0.0, 1e3),
            "umol/L" | "uM" => (0.0, 1.0),
            _ => return None,
        };
        let species = species.trim().trim_start_matches("as ").trim();
        if species.is_empty() {
            return (micromoles > 0.0).then_some(NutrientUnit { substance: None, micromoles_per_l: micromoles });
        }
        let (substance, formula) = substance_of(species);
        let composition = Composition::of(formula).ok()?;
        let atoms = composition.count(own_element(&composition)) as f64;
        // Moles are of the species, masses of its grams; both count the atoms of the own element.
        let micromoles_per_l = (micrograms / composition.molar_mass_g_per_mol() + micromoles) * atoms;
        Some(NutrientUnit { substance: Some(substance.to_string()), micromoles_per_l })
    }
}

/// The nutrient that a species is a form of, and the formula that is weighed.
fn substance_of(species: &str) -> (&str, &str) {
    match species {
        "NO3" => ("nitrate", "NO3"),
        "NO3-N" => ("nitrate", "N"),
        "NO2" => ("nitrite", "NO2"),
        "NO2-N" => ("nitrite", "N"),
        "NH3" => ("ammonia", "NH3"),
        "NH4" => ("ammonia", "NH4"),
        "NH3-N" | "NH4-N" => ("ammonia", "N"),
        "PO4" => ("phosphate", "PO4"),
        "PO4-P" | "P" => ("phosphate", "P"),
        "P2O5" => ("phosphate", "P2O5"),
        "Si" => ("silicate", "Si"),
        "SiO2" => ("silicate", "SiO2"),
        other => (other, other),
    }
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
