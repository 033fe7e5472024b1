//! How much of a compound a wanted rise takes: the way back from a dose to its mass.

use super::range::{not_negative, positive};
use super::stoichiometry::{Alkalinity, DoseError, alkalinity_rise, ion_mass_fraction};
use crate::units::{Mass, Volume};

/// Mass of a compound that raises an ion by so many mg/L in a volume of water.
///
/// mass = Δ·V/w
///
/// Valid: rise of zero or more, volume greater than zero; all of it dissolves and stays dissolved.
/// Source: as [`ion_rise_mg_per_l`](super::stoichiometry::ion_rise_mg_per_l).
///
/// ```
/// # use polypary::{science::{stock::*, stoichiometry::*}, units::*};
/// // 5 mg/L of nitrate in 100 L is 0.5 g of it, over 62.004/101.102, by hand.
/// let mass = mass_for_ion_rise("KNO3", "NO3", 5.0, Volume::litres(100.))?;
/// assert!((mass.as_grams() - 0.5 * 101.102 / 62.004).abs() < 1e-9);
/// # Ok::<(), DoseError>(())
/// ```
pub fn mass_for_ion_rise(compound: &str, ion: &str, rise_mg_per_l: f64, volume: Volume) -> Result<Mass, DoseError> {
    let rise = not_negative("rise", rise_mg_per_l, "mg/L")?;
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    Ok(Mass::milligrams(rise * litres / ion_mass_fraction(compound, ion)?))
}

/// Mass of a compound that raises alkalinity by so much in a volume of water.
///
/// Valid: rise of zero or more, volume greater than zero; all of it dissolves and nothing precipitates.
/// Source: as [`alkalinity_rise`].
///
/// ```
/// # use polypary::{science::{stock::*, stoichiometry::*}, units::*};
/// // 1 meq/L in 100 L is 100 mmol of sodium bicarbonate, 84.006 g/mol, by hand.
/// let mass = mass_for_alkalinity_rise("NaHCO3", Alkalinity::from_meq_per_l(1.0), Volume::litres(100.))?;
/// assert!((mass.as_grams() - 8.4006).abs() < 1e-9);
/// # Ok::<(), DoseError>(())
/// ```
pub fn mass_for_alkalinity_rise(compound: &str, rise: Alkalinity, volume: Volume) -> Result<Mass, DoseError> {
    let rise = not_negative("rise of alkalinity", rise.meq_per_l, "meq/L")?;
    let of_a_gram = alkalinity_rise(compound, Mass::grams(1.0), volume)?.meq_per_l;
    Ok(Mass::grams(rise / of_a_gram))
}
