//! Salt: how much of it a new water takes, and how salinity is put right by salt, by fresh water, by saltier water or by
//! letting water evaporate. Masses are balanced, not volumes: salt water is not the sum of its parts' volumes.

use super::density::{density_millero_poisson_1981, pure_water_density_millero_poisson_1981};
use super::range::{OutOfRange, positive, within};
use super::salinity::reference_salinity_millero_2008_g_per_kg;
use crate::units::{Mass, PracticalSalinity, Temperature, Volume};

/// What goes into a new salt water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recipe {
    /// As weighed, its own water included.
    pub salt: Mass,
    pub fresh_water: Volume,
}

/// Salt and fresh water for a volume of new salt water.
///
/// salt = S_A·ρ(S, T)·V/(1 − w), fresh water = ρ(S, T)·V − salt
///
/// `salt_water_fraction` w is the share of the weighed salt that is water (hydrates, damp); 0 for dry sea salt, some
/// percent for a mix out of a bucket (common practice, no source): measure the first batch.
/// Valid: salinity 2–42, 0–40 °C, volume greater than zero, w 0–0.3; salt of ocean proportions.
/// Source: [`millero_2008`](crate::science::sources) for S_A; [`millero_poisson_1981`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{salt::*, OutOfRange}, units::*};
/// let (s, warm) = (PracticalSalinity::new(35.), Temperature::celsius_68(25.));
/// // UNESCO 1981: a litre weighs 1023.34306 g, of which 35.16504 g in a kilogram is salt, by hand.
/// let recipe = salt_for_mixing(Volume::litres(100.), s, warm, 0.0)?;
/// assert!((recipe.salt.as_grams() - 102.334306 * 35.16504).abs() < 1e-4);
/// // The rest is 98.7357 kg of water of 0.99704796 kg/L.
/// assert!((recipe.fresh_water.as_litres() - 99.0280).abs() < 1e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salt_for_mixing(
    volume: Volume,
    salinity: PracticalSalinity,
    temperature: Temperature,
    salt_water_fraction: f64,
) -> Result<Recipe, OutOfRange> {
    let kilograms = mass_of_water(volume, salinity, temperature)?;
    let water_in_salt = within("share of water in the salt", salt_water_fraction, 0.0, 0.3, "")?;
    let salt = kilograms * share_of_salt(salinity)? / (1.0 - water_in_salt);
    Ok(Recipe { salt: Mass::kilograms(salt), fresh_water: fresh(kilograms - salt, temperature)? })
}

/// Salinity after fresh water has left (positive) or come (negative) without salt.
///
/// S₁ = S₀·M/(M − m), M the mass of the water and m that of the fresh water
///
/// Valid: salinity 2–42 before and after, 0–40 °C.
/// Source: the balance of salt; [`millero_poisson_1981`](crate::science::sources) for the masses.
///
/// ```
/// # use polypary::{science::{salt::*, OutOfRange}, units::*};
/// let (s, warm, l) = (PracticalSalinity::new(35.), Temperature::celsius_68(25.), Volume::litres);
/// // UNESCO 1981, by hand: 35 × 102.334306 / (102.334306 − 2 × 0.99704796).
/// let after = salinity_after_evaporation(s, warm, l(100.), l(2.))?;
/// assert!((after.value() - 35.6955672).abs() < 1e-6);
/// assert!(salinity_after_evaporation(s, warm, l(100.), l(30.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_after_evaporation(
    salinity: PracticalSalinity,
    temperature: Temperature,
    volume: Volume,
    evaporated: Volume,
) -> Result<PracticalSalinity, OutOfRange> {
    let before = mass_of_water(volume, salinity, temperature)?;
    let gone = within("fresh water", evaporated.as_litres(), -1e9, volume.as_litres(), "L")?
        * pure_water_density_millero_poisson_1981(temperature)?.as_kg_per_m3()
        / 1000.0;
    let after = salinity.value() * before / positive("mass of water that is left", before - gone, "kg")?;
    Ok(PracticalSalinity::new(within("salinity afterwards", after, 2.0, 42.0, "")?))
}

/// Ways to a lower salinity. Each alone is enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lowering {
    /// Fresh water to add, where there is room for it.
    pub add_fresh: Volume,
    /// Tank water to take out so that as much fresh water by mass can take its place.
    pub take_out: Volume,
    /// The fresh water that takes its place.
    pub replace_with_fresh: Volume,
}

/// Fresh water for a lower salinity.
///
/// added: m = M(S₀/S₁ − 1); exchanged: x = M(1 − S₁/S₀), masses
///
/// Valid: both salinities 2–42, the wanted one no higher, 0–40 °C, volume greater than zero. Animals bear a slow change
/// better: spread it over days.
/// Source: as [`salinity_after_evaporation`].
///
/// ```
/// # use polypary::{science::{salt::*, OutOfRange}, units::*};
/// let (s, warm, l) = (PracticalSalinity::new, Temperature::celsius(25.), Volume::litres);
/// let down = lower_salinity(s(36.), s(35.), warm, l(100.))?;
/// // Adding it does what the balance of salt says.
/// let after = salinity_after_evaporation(s(36.), warm, l(100.), l(-down.add_fresh.as_litres()))?;
/// assert!((after.value() - 35.).abs() < 1e-9);
/// // A 36th of the water goes out.
/// assert!((down.take_out.as_litres() - 100. / 36.).abs() < 1e-9);
/// assert!(lower_salinity(s(35.), s(36.), warm, l(100.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn lower_salinity(
    salinity: PracticalSalinity,
    wanted: PracticalSalinity,
    temperature: Temperature,
    volume: Volume,
) -> Result<Lowering, OutOfRange> {
    let mass = mass_of_water(volume, salinity, temperature)?;
    let (from, to) = (salinity.value(), within("wanted salinity", wanted.value(), 2.0, salinity.value(), "")?);
    let exchanged = 1.0 - to / from;
    Ok(Lowering {
        add_fresh: fresh(mass * (from / to - 1.0), temperature)?,
        take_out: Volume::litres(volume.as_litres() * exchanged),
        replace_with_fresh: fresh(mass * exchanged, temperature)?,
    })
}

/// Ways to a higher salinity. Each alone is enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raising {
    /// Dry salt to dissolve; in water taken from the tank, never over animals.
    pub add_salt: Mass,
    /// Fresh water to let evaporate without topping off.
    pub let_evaporate: Volume,
    /// Tank water to take out so that as much saltier water by mass can take its place.
    pub take_out: Volume,
    /// The saltier water that takes its place.
    pub replace_with_saltier: Volume,
}

/// Salt, evaporation or saltier water for a higher salinity.
///
/// salt: d = M(A₁ − A₀)/(1 − A₁), A the mass salinity; evaporation: m = M(1 − S₀/S₁); exchange: x = M(S₁ − S₀)/(S_new − S₀)
///
/// Valid: all salinities 2–42, the wanted one no lower and below that of the saltier water, 0–40 °C, volume greater than
/// zero. Animals bear a slow change better: spread it over days.
/// Source: as [`salt_for_mixing`].
///
/// ```
/// # use polypary::{science::{salt::*, OutOfRange}, units::*};
/// let (s, warm, l) = (PracticalSalinity::new, Temperature::celsius(25.), Volume::litres);
/// let up = raise_salinity(s(33.), s(35.), s(40.), warm, l(100.))?;
/// let after = salinity_after_evaporation(s(33.), warm, l(100.), up.let_evaporate)?;
/// assert!((after.value() - 35.).abs() < 1e-9);
/// // Two sevenths of the water, by hand.
/// assert!((up.take_out.as_litres() - 200. / 7.).abs() < 1e-9);
/// // 2 of salinity is 2.0094 g/kg, in 102.18 kg (and in what is added).
/// assert!((up.add_salt.as_grams() - 212.8).abs() < 0.2);
/// assert!(raise_salinity(s(33.), s(35.), s(34.), warm, l(100.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn raise_salinity(
    salinity: PracticalSalinity,
    wanted: PracticalSalinity,
    saltier_water: PracticalSalinity,
    temperature: Temperature,
    volume: Volume,
) -> Result<Raising, OutOfRange> {
    let mass = mass_of_water(volume, salinity, temperature)?;
    let from = salinity.value();
    let to = within("wanted salinity", wanted.value(), from, 42.0, "")?;
    let new = within("salinity of the saltier water", saltier_water.value(), to, 42.0, "")?;
    let salt = mass * (share_of_salt(wanted)? - share_of_salt(salinity)?) / (1.0 - share_of_salt(wanted)?);
    let exchanged = if to == from { 0.0 } else { (to - from) / (new - from) };
    let dense = density_millero_poisson_1981(saltier_water, temperature)?.as_kg_per_m3() / 1000.0;
    Ok(Raising {
        add_salt: Mass::kilograms(salt),
        let_evaporate: fresh(mass * (1.0 - from / to), temperature)?,
        take_out: Volume::litres(volume.as_litres() * exchanged),
        replace_with_saltier: Volume::litres(mass * exchanged / dense),
    })
}

/// kg of a volume of salt water.
fn mass_of_water(volume: Volume, salinity: PracticalSalinity, temperature: Temperature) -> Result<f64, OutOfRange> {
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    within("salinity", salinity.value(), 2.0, 42.0, "")?;
    Ok(litres * density_millero_poisson_1981(salinity, temperature)?.as_kg_per_m3() / 1000.0)
}

/// kg of salt in a kg of seawater.
fn share_of_salt(salinity: PracticalSalinity) -> Result<f64, OutOfRange> {
    Ok(reference_salinity_millero_2008_g_per_kg(salinity)? / 1000.0)
}

/// Volume of a mass of fresh water.
fn fresh(kilograms: f64, temperature: Temperature) -> Result<Volume, OutOfRange> {
    let kg_per_l = pure_water_density_millero_poisson_1981(temperature)?.as_kg_per_m3() / 1000.0;
    Ok(Volume::litres(kilograms / kg_per_l))
}
