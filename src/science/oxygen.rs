//! Oxygen that water holds when it has taken up all it can from moist air.

use super::density::density_millero_poisson_1981;
use super::range::{OutOfRange, within};
use super::root::polynomial;
use crate::units::{PracticalSalinity, Temperature};

/// Molar mass of oxygen gas, g/mol.
///
/// Source: [`prohaska_2022`](crate::science::sources).
pub const OXYGEN_G_PER_MOL: f64 = 31.998;

/// One standard atmosphere, kPa.
pub const STANDARD_ATMOSPHERE_KPA: f64 = 101.325;

/// Oxygen at saturation under one atmosphere of moist air, in the units in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OxygenSaturation {
    pub umol_per_kg: f64,
    pub umol_per_l: f64,
    pub mg_per_l: f64,
}

/// Oxygen saturation of seawater under one atmosphere of air saturated with water vapour.
///
/// ln C = Σ Aᵢ T_sⁱ + S·Σ Bᵢ T_sⁱ + C₀S², T_s = ln((298.15 − t)/(273.15 + t)); per litre with the density of EOS-80
///
/// Valid: 0–40 °C, salinity 0–42.
/// Scale: t on IPTS-68; `Temperature` is ITS-90 and is converted here.
/// Source: [`garcia_gordon_1992`](crate::science::sources), the coefficients fitted to
/// [`benson_krause_1984`](crate::science::sources); density [`millero_poisson_1981`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{oxygen::*, OutOfRange}, units::*};
/// // García & Gordon 1992, check value: 274.610 µmol/kg at salinity 35 and 10 °C.
/// let cold = oxygen_saturation_garcia_gordon_1992(
///     PracticalSalinity::new(35.), Temperature::celsius_68(10.))?;
/// assert!((cold.umol_per_kg - 274.610).abs() < 5e-4);
/// // Fresh and warm: 8.263 mg/L at 25 °C (Standard Methods 4500-O).
/// let warm = oxygen_saturation_garcia_gordon_1992(
///     PracticalSalinity::new(0.), Temperature::celsius(25.))?;
/// assert!((warm.mg_per_l / 8.263 - 1.).abs() < 4e-4);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn oxygen_saturation_garcia_gordon_1992(
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<OxygenSaturation, OutOfRange> {
    let s = within("salinity", salinity.value(), 0.0, 42.0, "")?;
    within("temperature", temperature.as_celsius(), 0.0, 40.0, "°C")?;
    let t = temperature.as_celsius_68();
    let scaled = ((298.15 - t) / (273.15 + t)).ln();
    let a = polynomial(&[5.80871, 3.20291, 4.17887, 5.10006, -9.86643e-2, 3.80369], scaled);
    let b = polynomial(&[-7.01577e-3, -7.70028e-3, -1.13864e-2, -9.51519e-3], scaled);
    let umol_per_kg = (a + s * (b - 2.75915e-7 * s)).exp();
    let kg_per_l = density_millero_poisson_1981(salinity, temperature)?.as_kg_per_m3() / 1000.0;
    let umol_per_l = umol_per_kg * kg_per_l;
    Ok(OxygenSaturation { umol_per_kg, umol_per_l, mg_per_l: umol_per_l * OXYGEN_G_PER_MOL / 1000.0 })
}

/// Oxygen saturation in mg/L as the tables for water works have it, under one atmosphere of moist air.
///
/// ln DO = −139.34411 + Σ aᵢ/Tⁱ − S·(0.017674 − 10.754/T + 2140.7/T²), T in K
///
/// Valid: 0–40 °C, salinity 0–45.
/// Source: [`benson_krause_1984`](crate::science::sources), as
/// [`standard_methods_4500_o`](crate::science::sources) prints it.
///
/// ```
/// # use polypary::{science::{oxygen::*, OutOfRange}, units::*};
/// // Standard Methods 4500-O, chlorinity 0: 14.621 mg/L at 0 °C and 8.263 at 25 °C (from memory).
/// for (celsius, published) in [(0., 14.621), (25., 8.263)] {
///     let mg_per_l = oxygen_saturation_benson_krause_1984_mg_per_l(
///         PracticalSalinity::new(0.), Temperature::celsius(celsius))?;
///     assert!((mg_per_l - published).abs() < 5e-4);
/// }
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn oxygen_saturation_benson_krause_1984_mg_per_l(
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<f64, OutOfRange> {
    let s = within("salinity", salinity.value(), 0.0, 45.0, "")?;
    within("temperature", temperature.as_celsius(), 0.0, 40.0, "°C")?;
    let inverse = 1.0 / temperature.as_kelvin();
    let fresh = polynomial(&[-139.34411, 1.575701e5, -6.642308e7, 1.243800e10, -8.621949e11], inverse);
    Ok((fresh - s * polynomial(&[1.7674e-2, -10.754, 2140.7], inverse)).exp())
}

/// What an air pressure other than the standard atmosphere does to the saturation.
///
/// f = (P/P₀)·(1 − p_wv/P)(1 − θP)/((1 − p_wv)(1 − θ)), pressures in atmospheres
///
/// Multiply a saturation at one atmosphere by it. The pressure is that at the place, not the one reduced to sea level
/// that a weather report gives.
/// Valid: 50–110 kPa, 0–40 °C.
/// Source: [`benson_krause_1984`](crate::science::sources), equation 24; coefficients from memory.
///
/// ```
/// # use polypary::{science::{oxygen::*, OutOfRange}, units::*};
/// let t = Temperature::celsius(25.);
/// assert!((pressure_factor_benson_krause_1984(101.325, t)? - 1.).abs() < 1e-12);
/// // Close to the bare ratio of pressures, and a little below it.
/// let high = pressure_factor_benson_krause_1984(84.5, t)?;
/// assert!(high < 84.5 / 101.325 && high > 0.99 * 84.5 / 101.325);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pressure_factor_benson_krause_1984(pressure_kpa: f64, temperature: Temperature) -> Result<f64, OutOfRange> {
    let p = within("air pressure", pressure_kpa, 50.0, 110.0, "kPa")? / STANDARD_ATMOSPHERE_KPA;
    let t = within("temperature", temperature.as_celsius(), 0.0, 40.0, "°C")?;
    let kelvin = temperature.as_kelvin();
    let vapour = (11.8571 - 3840.70 / kelvin - 216961.0 / (kelvin * kelvin)).exp();
    let theta = polynomial(&[9.75e-4, -1.426e-5, 6.436e-8], t);
    Ok(p * (1.0 - vapour / p) * (1.0 - theta * p) / ((1.0 - vapour) * (1.0 - theta)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits() {
        let (salt, warm) = (PracticalSalinity::new(35.0), Temperature::celsius(25.0));
        assert!(oxygen_saturation_garcia_gordon_1992(PracticalSalinity::new(60.0), warm).is_err());
        assert!(oxygen_saturation_garcia_gordon_1992(salt, Temperature::celsius(77.0)).is_err());
        assert!(oxygen_saturation_benson_krause_1984_mg_per_l(salt, Temperature::celsius(-5.0)).is_err());
        // Hectopascals read as kilopascals.
        assert!(pressure_factor_benson_krause_1984(1013.25, warm).is_err());
    }
}
