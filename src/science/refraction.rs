//! Refractive index of seawater, which a refractometer turns into salinity.

use super::range::{OutOfRange, within};
use super::root::polynomial;
use crate::units::{PracticalSalinity, Temperature};

/// Wavelength of the yellow line of sodium for which refractometers are marked, nm.
pub const SODIUM_LINE_NM: f64 = 589.3;

/// The formula was fitted up to salinity 35; it is linear in salinity and is followed to this.
const HIGHEST_SALINITY: f64 = 43.0;

/// Refractive index of seawater relative to air.
///
/// n = n₀ + (n₁ + n₂T + n₃T²)S + n₄T² + (n₅ + n₆S + n₇T)/λ + n₈/λ² + n₉/λ³
///
/// `wavelength_nm` is λ in air.
/// Valid: 0–30 °C, 400–700 nm; fitted for salinity 0–35, and followed in its straight line up to 43.
/// Published formulas differ among themselves by 3e-5.
/// Source: [`quan_fry_1995`](crate::science::sources), equation 3.
///
/// ```
/// # use polypary::{science::{refraction::*, OutOfRange}, units::*};
/// // Pure water in yellow light at 20 °C is 1.3330 in every handbook.
/// let n = |s, t| refractive_index_quan_fry_1995(
///     PracticalSalinity::new(s), Temperature::celsius(t), SODIUM_LINE_NM);
/// assert!((n(0., 20.)? - 1.33300).abs() < 2e-5);
/// // Seawater of salinity 35 at 20 °C: 1.3394 (from memory).
/// assert!((n(35., 20.)? - 1.3394).abs() < 5e-5);
/// assert!(n(35., 35.).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn refractive_index_quan_fry_1995(
    salinity: PracticalSalinity,
    temperature: Temperature,
    wavelength_nm: f64,
) -> Result<f64, OutOfRange> {
    let salinity = within("salinity", salinity.value(), 0.0, HIGHEST_SALINITY, "")?;
    let (of_pure_water, of_one_salinity) = pure_and_slope(temperature, wavelength_nm)?;
    Ok(of_pure_water + of_one_salinity * salinity)
}

/// Salinity of seawater of a refractive index.
///
/// [`refractive_index_quan_fry_1995`] solved for S, in which it is linear; validity and source are the same.
///
/// ```
/// # use polypary::{science::{refraction::*, OutOfRange}, units::*};
/// let t = Temperature::celsius(25.);
/// let n = refractive_index_quan_fry_1995(PracticalSalinity::new(35.), t, SODIUM_LINE_NM)?;
/// let back = salinity_from_refractive_index_quan_fry_1995(n, t, SODIUM_LINE_NM)?;
/// assert!((back.value() - 35.).abs() < 1e-9);
/// assert!(salinity_from_refractive_index_quan_fry_1995(1.35, t, SODIUM_LINE_NM).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn salinity_from_refractive_index_quan_fry_1995(
    refractive_index: f64,
    temperature: Temperature,
    wavelength_nm: f64,
) -> Result<PracticalSalinity, OutOfRange> {
    let (of_pure_water, of_one_salinity) = pure_and_slope(temperature, wavelength_nm)?;
    let highest = of_pure_water + of_one_salinity * HIGHEST_SALINITY;
    let n = within("refractive index", refractive_index, of_pure_water, highest, "")?;
    Ok(PracticalSalinity::new((n - of_pure_water) / of_one_salinity))
}

/// The index of pure water, and what one unit of salinity adds.
fn pure_and_slope(temperature: Temperature, wavelength_nm: f64) -> Result<(f64, f64), OutOfRange> {
    let t = within("temperature", temperature.as_celsius(), 0.0, 30.0, "°C")?;
    let l = within("wavelength", wavelength_nm, 400.0, 700.0, "nm")?;
    let pure = 1.31405 - 2.02e-6 * t * t + (15.868 - 0.00423 * t) / l - 4382.0 / (l * l) + 1.1455e6 / (l * l * l);
    let slope = polynomial(&[1.779e-4, -1.05e-6, 1.6e-8], t) + 0.01155 / l;
    Ok((pure, slope))
}
