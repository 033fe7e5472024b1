//! Salinity and electrical conductivity: the Practical Salinity Scale 1978.

use super::range::{OutOfRange, within};
use super::root::{crossing, polynomial};
use crate::units::{PracticalSalinity, Temperature};

/// Conductivity of water of salinity 35 at 15 °C (IPTS-68) and one atmosphere, mS/cm.
///
/// Source: [`culkin_smith_1980`](crate::science::sources).
pub const CONDUCTIVITY_OF_STANDARD_SEAWATER_MS_PER_CM: f64 = 42.9140;

const SALINITY_LIMITS: (f64, f64) = (2.0, 42.0);
const TEMPERATURE_LIMITS: (f64, f64) = (-2.0, 35.0);

/// Salinity from the ratio of a sample's conductivity to that of standard seawater at 15 °C (PSS-78).
///
/// S = Σ aᵢ R_t^(i/2) + (t − 15)/(1 + k(t − 15)) Σ bᵢ R_t^(i/2), R_t = R/(R_p r_t)
///
/// `sea_pressure_dbar` is 0 at one atmosphere, hence for every tank.
/// Valid: salinity 2–42, −2–35 °C, sea pressure 0–10 000 dbar.
/// Scale: fitted on IPTS-68; `Temperature` is ITS-90 and is converted here, which moves S by 0.005 at 25 °C.
/// Source: [`fofonoff_millard_1983`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{salinity::*, OutOfRange}, units::Temperature};
/// // Fofonoff & Millard 1983, check values; R = 1 at 15 °C defines salinity 35.
/// for (ratio, celsius_68, dbar, published) in [
///     (1.0, 15., 0., 35.000000), (1.2, 20., 2000., 37.245628), (0.65, 5., 1500., 27.995347)] {
///     let s = salinity_from_conductivity_ratio_pss_1978(ratio, Temperature::celsius_68(celsius_68), dbar)?;
///     assert!((s.value() - published).abs() < 1e-6);
/// }
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_from_conductivity_ratio_pss_1978(
    ratio: f64,
    temperature: Temperature,
    sea_pressure_dbar: f64,
) -> Result<PracticalSalinity, OutOfRange> {
    within("temperature", temperature.as_celsius(), TEMPERATURE_LIMITS.0, TEMPERATURE_LIMITS.1, "°C")?;
    let p = within("sea pressure", sea_pressure_dbar, 0.0, 10_000.0, "dbar")?;
    let r = within("conductivity ratio", ratio, 0.02, 2.0, "")?;
    let t = temperature.as_celsius_68();
    let r_p = 1.0
        + p * polynomial(&[2.070e-5, -6.370e-10, 3.989e-15], p)
            / (1.0 + 3.426e-2 * t + 4.464e-4 * t * t + (4.215e-1 - 3.107e-3 * t) * r);
    let salinity = salinity_of_root((r / (r_p * standard_ratio(t))).sqrt(), t);
    // A rounded reading of water at a limit lands a hair outside it.
    let rounded = (salinity * 1e3).round() / 1e3;
    within("salinity", rounded, SALINITY_LIMITS.0, SALINITY_LIMITS.1, "")?;
    Ok(PracticalSalinity::new(salinity))
}

/// Salinity from conductivity at one atmosphere (PSS-78).
///
/// `conductivity_ms_per_cm` is the conductivity at `temperature` itself; a meter that compensates to 25 °C is handed
/// its reading with 25 °C.
/// Validity, scale and source as [`salinity_from_conductivity_ratio_pss_1978`].
///
/// ```
/// # use polypary::{science::{salinity::*, OutOfRange}, units::Temperature};
/// // Culkin & Smith 1980: 42.9140 mS/cm at 15 °C (IPTS-68) is salinity 35.
/// let s = salinity_from_conductivity_pss_1978(42.9140, Temperature::celsius_68(15.))?;
/// assert!((s.value() - 35.).abs() < 1e-6);
/// assert!(salinity_from_conductivity_pss_1978(0.5, Temperature::celsius(25.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_from_conductivity_pss_1978(
    conductivity_ms_per_cm: f64,
    temperature: Temperature,
) -> Result<PracticalSalinity, OutOfRange> {
    let conductivity = within("conductivity", conductivity_ms_per_cm, 1.0, 85.0, "mS/cm")?;
    salinity_from_conductivity_ratio_pss_1978(
        conductivity / CONDUCTIVITY_OF_STANDARD_SEAWATER_MS_PER_CM,
        temperature,
        0.0,
    )
}

/// Conductivity of seawater at one atmosphere, mS/cm (PSS-78 turned round).
///
/// Validity, scale and source as [`salinity_from_conductivity_ratio_pss_1978`]; solved by bisection.
///
/// ```
/// # use polypary::{science::{salinity::*, OutOfRange}, units::*};
/// let c = conductivity_pss_1978(PracticalSalinity::new(35.), Temperature::celsius_68(15.))?;
/// assert!((c - 42.9140).abs() < 1e-6); // Culkin & Smith 1980
/// assert!(conductivity_pss_1978(PracticalSalinity::new(1.), Temperature::celsius(25.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn conductivity_pss_1978(salinity: PracticalSalinity, temperature: Temperature) -> Result<f64, OutOfRange> {
    let wanted = within("salinity", salinity.value(), SALINITY_LIMITS.0, SALINITY_LIMITS.1, "")?;
    within("temperature", temperature.as_celsius(), TEMPERATURE_LIMITS.0, TEMPERATURE_LIMITS.1, "°C")?;
    let t = temperature.as_celsius_68();
    let root = crossing(0.0, 2.0, |root| salinity_of_root(root, t) - wanted);
    Ok(root * root * standard_ratio(t) * CONDUCTIVITY_OF_STANDARD_SEAWATER_MS_PER_CM)
}

/// Mass salinity on the Reference-Composition scale, grams of salt in a kilogram of seawater.
///
/// S_A = (35.16504/35)·S
///
/// Valid: salinity 2–42, for water with the proportions of ocean salt.
/// Source: [`millero_2008`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{salinity::*, OutOfRange}, units::*};
/// assert_eq!(reference_salinity_millero_2008_g_per_kg(PracticalSalinity::new(35.))?, 35.16504);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn reference_salinity_millero_2008_g_per_kg(salinity: PracticalSalinity) -> Result<f64, OutOfRange> {
    let salinity = within("salinity", salinity.value(), SALINITY_LIMITS.0, SALINITY_LIMITS.1, "")?;
    Ok(35.16504 / 35.0 * salinity)
}

/// S of the square root of R_t, with t on IPTS-68.
fn salinity_of_root(root: f64, t: f64) -> f64 {
    let a = polynomial(&[0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081], root);
    let b = polynomial(&[0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144], root);
    a + (t - 15.0) / (1.0 + 0.0162 * (t - 15.0)) * b
}

/// r_t: conductivity of water of salinity 35 at t over that at 15 °C.
fn standard_ratio(t: f64) -> f64 {
    polynomial(&[0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9], t)
}
