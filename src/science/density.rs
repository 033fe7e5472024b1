//! Density of seawater, and the instruments that read salinity from it: specific gravity and hydrometers.

use super::range::{OutOfRange, within};
use super::root::{crossing, polynomial};
use crate::units::{Density, PracticalSalinity, Temperature};

/// 60 °F, the reference temperature of many hydrometer scales.
pub const SIXTY_FAHRENHEIT: Temperature = Temperature::fahrenheit(60.0);

/// The usual cubic expansion of a soda-lime glass hydrometer, per °C; from memory, not verified against a source.
pub const SODA_LIME_EXPANSION_PER_C: f64 = 25e-6;

const SALINITY_LIMITS: (f64, f64) = (0.0, 43.0);
const TEMPERATURE_LIMITS: (f64, f64) = (0.0, 40.0);

/// Density of seawater at one atmosphere (EOS-80).
///
/// ρ = ρ_w(t) + A(t)·S + B(t)·S^1.5 + C·S²
///
/// Valid: 0–40 °C, practical salinity 0.5–43; at salinity 0 it is the density of pure water, and the little between 0
/// and 0.5 is taken too.
/// Scale: fitted on IPTS-68; `Temperature` is ITS-90 and is converted here.
/// Standard error of the fit: 0.0036 kg/m³ (from memory).
/// Source: [`millero_poisson_1981`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// // UNESCO 1981 (Technical Paper 36), check values on IPTS-68, cold and warm, fresh and salt.
/// for (salinity, celsius_68, published) in [
///     (0., 5., 999.96675), (35., 5., 1027.67547), (0., 25., 997.04796), (35., 25., 1023.34306)] {
///     let rho = density_millero_poisson_1981(
///         PracticalSalinity::new(salinity), Temperature::celsius_68(celsius_68))?;
///     assert!((rho.as_kg_per_m3() - published).abs() < 1e-5);
/// }
/// let warm = Temperature::celsius(77.0); // °F read as °C
/// assert!(density_millero_poisson_1981(PracticalSalinity::new(35.), warm).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn density_millero_poisson_1981(
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<Density, OutOfRange> {
    within("salinity", salinity.value(), SALINITY_LIMITS.0, SALINITY_LIMITS.1, "")?;
    within("temperature", temperature.as_celsius(), TEMPERATURE_LIMITS.0, TEMPERATURE_LIMITS.1, "°C")?;
    Ok(Density::kg_per_m3(eos80(salinity.value(), temperature)))
}

/// Density of pure water at one atmosphere, the salt-free part of EOS-80.
///
/// Valid: 0–40 °C. Scale and source as [`density_millero_poisson_1981`].
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// // UNESCO 1981 (Technical Paper 36): 997.04796 kg/m³ at 25 °C on IPTS-68.
/// let rho = pure_water_density_millero_poisson_1981(Temperature::celsius_68(25.))?;
/// assert!((rho.as_kg_per_m3() - 997.04796).abs() < 1e-5);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pure_water_density_millero_poisson_1981(temperature: Temperature) -> Result<Density, OutOfRange> {
    density_millero_poisson_1981(PracticalSalinity::new(0.0), temperature)
}

/// Salinity of seawater of a density, EOS-80 turned round.
///
/// Valid: 0–40 °C, and densities of salinity 0 to 43 at that temperature.
/// Source: [`millero_poisson_1981`](crate::science::sources), solved by bisection.
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// // UNESCO 1981: 1023.34306 kg/m³ is salinity 35 at 25 °C on IPTS-68.
/// let salinity = salinity_from_density_millero_poisson_1981(
///     Density::kg_per_m3(1023.34306), Temperature::celsius_68(25.))?;
/// assert!((salinity.value() - 35.).abs() < 1e-5);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_from_density_millero_poisson_1981(
    density: Density,
    temperature: Temperature,
) -> Result<PracticalSalinity, OutOfRange> {
    within("temperature", temperature.as_celsius(), TEMPERATURE_LIMITS.0, TEMPERATURE_LIMITS.1, "°C")?;
    let (low, high) = SALINITY_LIMITS;
    let wanted = density.as_kg_per_m3();
    within("density", wanted, eos80(low, temperature), eos80(high, temperature), "kg/m³")?;
    Ok(PracticalSalinity::new(crossing(low, high, |salinity| eos80(salinity, temperature) - wanted)))
}

/// Specific gravity of seawater: its density over that of pure water at the same reference temperature.
///
/// The same water has a different specific gravity on a 60/60 °F, a 20/20 °C and a 25/25 °C scale: a reading without
/// its reference is uncertain by up to 0.0006.
///
/// Valid: as [`density_millero_poisson_1981`]. The result is a bare number.
/// Source: [`millero_poisson_1981`](crate::science::sources) for both densities.
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// // The ratio of the check values of UNESCO 1981 at 25 °C on IPTS-68.
/// let sg = specific_gravity_millero_poisson_1981(
///     PracticalSalinity::new(35.), Temperature::celsius_68(25.))?;
/// assert!((sg - 1023.34306 / 997.04796).abs() < 2e-8);
/// assert_eq!(specific_gravity_millero_poisson_1981(PracticalSalinity::new(0.), SIXTY_FAHRENHEIT)?, 1.0);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn specific_gravity_millero_poisson_1981(
    salinity: PracticalSalinity,
    reference: Temperature,
) -> Result<f64, OutOfRange> {
    let seawater = density_millero_poisson_1981(salinity, reference)?;
    Ok(seawater.as_kg_per_m3() / eos80(0.0, reference))
}

/// Salinity of water of a specific gravity at the scale's reference temperature.
///
/// Valid: reference 0–40 °C, specific gravities of salinity 0 to 43 (1.000 to about 1.033).
/// Source: [`millero_poisson_1981`](crate::science::sources), solved by bisection.
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// let salinity = salinity_from_specific_gravity_millero_poisson_1981(1.0, SIXTY_FAHRENHEIT)?;
/// assert!(salinity.value().abs() < 1e-9);
/// let salinity = salinity_from_specific_gravity_millero_poisson_1981(
///     1023.34306 / 997.04796, Temperature::celsius_68(25.))?; // UNESCO 1981, as above
/// assert!((salinity.value() - 35.).abs() < 3e-5);
/// assert!(salinity_from_specific_gravity_millero_poisson_1981(1.5, SIXTY_FAHRENHEIT).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_from_specific_gravity_millero_poisson_1981(
    specific_gravity: f64,
    reference: Temperature,
) -> Result<PracticalSalinity, OutOfRange> {
    within("reference temperature", reference.as_celsius(), TEMPERATURE_LIMITS.0, TEMPERATURE_LIMITS.1, "°C")?;
    let (low, high) = SALINITY_LIMITS;
    let at = |salinity: f64| eos80(salinity, reference) / eos80(0.0, reference);
    within("specific gravity", specific_gravity, at(low), at(high), "")?;
    Ok(PracticalSalinity::new(crossing(low, high, |salinity| at(salinity) - specific_gravity)))
}

/// Density of the water in which a glass hydrometer, marked for a reference temperature, floats at a reading.
///
/// ρ(1 + γ(T − T_ref)) = R·ρ_w(T_ref): the glass has grown, so the same mark displaces more water.
///
/// `reading` is the specific gravity on the scale; `glass_expansion_per_c` is γ, the cubic expansion of the glass per
/// °C (0 leaves it out; [`SODA_LIME_EXPANSION_PER_C`] is usual).
/// Valid: both temperatures 0–40 °C, reading 0.99–1.05, γ 0–1e-3.
/// Source: Archimedes' principle, with pure water after [`millero_poisson_1981`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// // At its own reference temperature a hydrometer that reads 1.0 floats in pure water (UNESCO 1981).
/// let t = Temperature::celsius_68(25.);
/// let rho = hydrometer_density(1.0, t, t, SODA_LIME_EXPANSION_PER_C)?;
/// assert!((rho.as_kg_per_m3() - 997.04796).abs() < 1e-5);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn hydrometer_density(
    reading: f64,
    reference: Temperature,
    sample: Temperature,
    glass_expansion_per_c: f64,
) -> Result<Density, OutOfRange> {
    within("specific gravity", reading, 0.99, 1.05, "")?;
    within("expansion of the glass", glass_expansion_per_c, 0.0, 1e-3, "per °C")?;
    within("sample temperature", sample.as_celsius(), TEMPERATURE_LIMITS.0, TEMPERATURE_LIMITS.1, "°C")?;
    let pure = pure_water_density_millero_poisson_1981(reference)?.as_kg_per_m3();
    let growth = 1.0 + glass_expansion_per_c * (sample - reference).as_celsius();
    Ok(Density::kg_per_m3(reading * pure / growth))
}

/// Salinity from a hydrometer read at another temperature than its scale's.
///
/// Arguments, validity and source as [`hydrometer_density`] and [`salinity_from_density_millero_poisson_1981`].
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// // Read warm, the number on the glass is too low: 1.024 on a 60 °F scale is more salt at 25 °C than at 60 °F.
/// let cold = salinity_from_hydrometer(1.024, SIXTY_FAHRENHEIT, SIXTY_FAHRENHEIT, 25e-6)?;
/// let warm = salinity_from_hydrometer(1.024, SIXTY_FAHRENHEIT, Temperature::celsius(25.), 25e-6)?;
/// assert!(warm.value() > cold.value() + 2.0);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_from_hydrometer(
    reading: f64,
    reference: Temperature,
    sample: Temperature,
    glass_expansion_per_c: f64,
) -> Result<PracticalSalinity, OutOfRange> {
    let density = hydrometer_density(reading, reference, sample, glass_expansion_per_c)?;
    salinity_from_density_millero_poisson_1981(density, sample)
}

/// What a glass hydrometer should show in water of a salinity, the way back from [`salinity_from_hydrometer`].
///
/// Arguments and source as there. Valid: salinity 0–43, both temperatures 0–40 °C, γ 0–1e-3.
///
/// ```
/// # use polypary::{science::{density::*, OutOfRange}, units::*};
/// let (at_60f, warm) = (SIXTY_FAHRENHEIT, Temperature::celsius(26.));
/// let reading = hydrometer_reading(PracticalSalinity::new(35.), at_60f, warm, 25e-6)?;
/// let back = salinity_from_hydrometer(reading, at_60f, warm, 25e-6)?;
/// assert!((back.value() - 35.).abs() < 1e-9);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn hydrometer_reading(
    salinity: PracticalSalinity,
    reference: Temperature,
    sample: Temperature,
    glass_expansion_per_c: f64,
) -> Result<f64, OutOfRange> {
    within("expansion of the glass", glass_expansion_per_c, 0.0, 1e-3, "per °C")?;
    let density = density_millero_poisson_1981(salinity, sample)?.as_kg_per_m3();
    let pure = pure_water_density_millero_poisson_1981(reference)?.as_kg_per_m3();
    Ok(density * (1.0 + glass_expansion_per_c * (sample - reference).as_celsius()) / pure)
}

/// The polynomial itself, kg/m³. Coefficients as UNESCO 1981 prints them.
fn eos80(salinity: f64, temperature: Temperature) -> f64 {
    let t = temperature.as_celsius_68();
    let pure = polynomial(&[999.842594, 6.793952e-2, -9.095290e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9], t);
    let a = polynomial(&[8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9], t);
    let b = polynomial(&[-5.72466e-3, 1.0227e-4, -1.6546e-6], t);
    let c = 4.8314e-4;
    pure + (a + b * salinity.sqrt() + c * salinity) * salinity
}
