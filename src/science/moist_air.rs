//! Moist air: what it holds, what it says of a room, and how fast water goes into it.

use super::heat::latent_heat_sharqawy_2010_j_per_kg;
use super::range::{OutOfRange, not_negative, positive, within};
use super::root::{crossing, polynomial};
use crate::units::{Power, Temperature};

/// Mass of a mole of water over that of dry air.
const WATER_OVER_AIR: f64 = 0.621945;

/// The triple point of water, below which frost forms instead of dew, °C.
const TRIPLE_POINT_C: f64 = 0.01;

/// The coldest air that is taken, °C; the source goes to −100.
const COLDEST_C: f64 = -60.0;

/// Vapour pressure of water in air that is full of it, Pa.
///
/// ln p = C₈/T + C₉ + C₁₀T + C₁₁T² + C₁₂T³ + C₁₃ ln T, T in K; up to 0.01 °C over ice,
/// ln p = C₁/T + C₂ + C₃T + C₄T² + C₅T³ + C₆T⁴ + C₇ ln T
///
/// Valid: −60–100 °C (the source: −100–200 °C), over pure water; over seawater it is 2 % less.
/// Source: [`hyland_wexler_1983`](crate::science::sources), as [`ashrae_2017`](crate::science::sources) prints it.
///
/// ```
/// # use polypary::{science::{moist_air::*, OutOfRange}, units::*};
/// // ASHRAE Fundamentals 2017, chapter 1, table 3: 872.6 Pa at 5 °C (from memory) and 3169.7 at 25 °C.
/// for (celsius, published) in [(5., 872.6), (25., 3169.7)] {
///     let pa = saturation_vapour_pressure_hyland_wexler_1983_pa(Temperature::celsius(celsius))?;
///     assert!((pa / published - 1.).abs() < 3e-4);
/// }
/// // The same table over ice, from memory: 103.2 Pa at −20 °C.
/// let ice = saturation_vapour_pressure_hyland_wexler_1983_pa(Temperature::celsius(-20.))?;
/// assert!((ice / 103.2 - 1.).abs() < 1e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn saturation_vapour_pressure_hyland_wexler_1983_pa(temperature: Temperature) -> Result<f64, OutOfRange> {
    Ok(saturation(within("temperature", temperature.as_celsius(), COLDEST_C, 100.0, "°C")?))
}

/// What a hygrometer and a thermometer say of air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MoistAir {
    pub vapour_pressure_pa: f64,
    /// Mass of water over mass of dry air.
    pub humidity_ratio: f64,
    /// Joules per kilogram of dry air, 0 for dry air of 0 °C.
    pub enthalpy_j_per_kg: f64,
    /// Temperature at which water, or below 0 °C frost, starts to settle on a surface.
    pub dew_point: Temperature,
    /// Temperature to which evaporation can cool: the floor for a fan over a tank.
    pub wet_bulb: Temperature,
}

/// Dew point, wet bulb and humidity ratio of a room's air.
///
/// p = RH·p_ws(T); W = 0.621945 p/(P − p); dew point: p_ws = p;
/// wet bulb: W = ((2501 − 2.326 T*)W_s* − 1.006(T − T*))/(2501 + 1.86 T − 4.186 T*), and below 0 °C, where the bulb is
/// of ice, W = ((2830 − 0.24 T*)W_s* − 1.006(T − T*))/(2830 + 1.86 T − 2.1 T*)
///
/// `relative_humidity` from 0 to 1; `pressure_pa` is the air pressure at the place.
/// Valid: −20–60 °C, 50–110 kPa, and air humid enough that its dew point is no lower than −60 °C.
/// Source: [`ashrae_2017`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{moist_air::*, OutOfRange}, units::*};
/// // Full air has its dew point and wet bulb at its own temperature.
/// let full = moist_air(Temperature::celsius(25.), 1.0, 101_325.)?;
/// assert!((full.dew_point.as_celsius() - 25.).abs() < 1e-9);
/// assert!((full.wet_bulb.as_celsius() - 25.).abs() < 1e-9);
/// // ASHRAE 2017, table 2: 0.020170 kg/kg in full air of 25 °C (from memory, with a factor left out here).
/// assert!((full.humidity_ratio / 0.020170 - 1.).abs() < 6e-3);
/// assert!(moist_air(Temperature::celsius(25.), 50., 101_325.).is_err()); // 50 %, not 50
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn moist_air(dry_bulb: Temperature, relative_humidity: f64, pressure_pa: f64) -> Result<MoistAir, OutOfRange> {
    let celsius = within("temperature", dry_bulb.as_celsius(), -20.0, 60.0, "°C")?;
    let humidity = within("relative humidity", relative_humidity, f64::MIN_POSITIVE, 1.0, "")?;
    let pressure = within("air pressure", pressure_pa, 50_000.0, 110_000.0, "Pa")?;
    let vapour = within("vapour pressure", humidity * saturation(celsius), saturation(COLDEST_C), pressure, "Pa")?;
    let ratio = humidity_ratio(vapour, pressure);
    let dew_point = crossing(COLDEST_C, celsius, |t| saturation(t) - vapour);
    let at_wet_bulb = |wet: f64| {
        let full = humidity_ratio(saturation(wet), pressure);
        if wet < 0.0 {
            return ((2830.0 - 0.24 * wet) * full - 1.006 * (celsius - wet)) / (2830.0 + 1.86 * celsius - 2.1 * wet);
        }
        ((2501.0 - 2.326 * wet) * full - 1.006 * (celsius - wet)) / (2501.0 + 1.86 * celsius - 4.186 * wet)
    };
    let wet_bulb = crossing(dew_point, celsius, |wet| at_wet_bulb(wet) - ratio);
    Ok(MoistAir {
        vapour_pressure_pa: vapour,
        humidity_ratio: ratio,
        enthalpy_j_per_kg: (1.006 * celsius + ratio * (2501.0 + 1.86 * celsius)) * 1000.0,
        dew_point: Temperature::celsius(dew_point),
        wet_bulb: Temperature::celsius(wet_bulb),
    })
}

/// Water that leaves an open surface, and the heat that goes with it. Negative where water condenses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evaporation {
    pub kg_per_m2_s: f64,
    pub kg_per_day: f64,
    pub cooling: Power,
}

/// Evaporation from an open water surface in a room.
///
/// w = (0.089 + 0.0782 V)(p_w − p_a)/Y, pressures in kPa, Y the latent heat in kJ/kg, w in kg/(s m²)
///
/// p_w at the water's temperature, p_a = humidity × saturation at the air's. For still indoor pools the handbook halves
/// the result; a tank with a lid, a light close above or broken water differs from it by a factor of two either way.
/// Valid: water 0–40 °C, air 0–60 °C, humidity 0–1, air speed 0–2 m/s.
/// Source: [`ashrae_applications_2019`](crate::science::sources), after Carrier 1918.
///
/// ```
/// # use polypary::{science::{moist_air::*, OutOfRange}, units::*};
/// let c = Temperature::celsius;
/// let tank = evaporation_ashrae(c(25.), c(20.), 0.5, 0.0, 0.5)?;
/// assert!((2.5..3.5).contains(&tank.kg_per_day));
/// // Twice the surface, twice the water; full air as warm as the water takes none.
/// assert!((evaporation_ashrae(c(25.), c(20.), 0.5, 0.0, 1.0)?.kg_per_day / tank.kg_per_day - 2.).abs() < 1e-12);
/// assert_eq!(evaporation_ashrae(c(25.), c(25.), 1.0, 0.0, 0.5)?.kg_per_day, 0.);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn evaporation_ashrae(
    water: Temperature,
    air: Temperature,
    relative_humidity: f64,
    air_speed_m_per_s: f64,
    surface_m2: f64,
) -> Result<Evaporation, OutOfRange> {
    let humidity = within("relative humidity", relative_humidity, 0.0, 1.0, "")?;
    let speed = within("air speed", air_speed_m_per_s, 0.0, 2.0, "m/s")?;
    let surface = positive("water surface", surface_m2, "m²")?;
    within("temperature of the air", air.as_celsius(), 0.0, 60.0, "°C")?;
    within("temperature of the water", water.as_celsius(), 0.0, 40.0, "°C")?;
    let at_water = saturation_vapour_pressure_hyland_wexler_1983_pa(water)?;
    let in_air = humidity * saturation_vapour_pressure_hyland_wexler_1983_pa(air)?;
    let latent = latent_heat_sharqawy_2010_j_per_kg(water)?;
    // Pascals over joules is kilopascals over kilojoules.
    let rate = (0.089 + 0.0782 * speed) * (at_water - in_air) / latent;
    Ok(Evaporation {
        kg_per_m2_s: rate,
        kg_per_day: rate * surface * 86_400.0,
        cooling: Power::watts(rate * surface * latent),
    })
}

/// Power that evaporation takes from a tank which loses this many litres of fresh water a day.
///
/// P = litres × ρ × h_fg / 86 400 s, with ρ taken as 0.997 kg/L, that of top-off water at room temperature
///
/// Valid: evaporation of zero or more; temperature as [`latent_heat_sharqawy_2010_j_per_kg`].
/// Source: [`sharqawy_2010`](crate::science::sources) for the latent heat.
///
/// ```
/// # use polypary::{science::{moist_air::*, OutOfRange}, units::*};
/// // A litre a day is 28 W, by hand: 0.997 × 2 441 700 / 86 400.
/// let power = cooling_by_evaporation(1.0, Temperature::celsius(25.))?;
/// assert!((power.as_watts() - 28.18).abs() < 0.01);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn cooling_by_evaporation(litres_per_day: f64, water: Temperature) -> Result<Power, OutOfRange> {
    let litres = not_negative("evaporation", litres_per_day, "L/day")?;
    Ok(Power::watts(litres * 0.997 * latent_heat_sharqawy_2010_j_per_kg(water)? / 86_400.0))
}

fn humidity_ratio(vapour_pa: f64, pressure_pa: f64) -> f64 {
    WATER_OVER_AIR * vapour_pa / (pressure_pa - vapour_pa)
}

/// Pa at a temperature in °C: over ice up to the triple point, over water above it.
fn saturation(celsius: f64) -> f64 {
    let kelvin = Temperature::celsius(celsius).as_kelvin();
    if celsius <= TRIPLE_POINT_C { over_ice(kelvin) } else { over_water(kelvin) }
}

fn over_ice(kelvin: f64) -> f64 {
    let quartic = polynomial(&[6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13], kelvin);
    (-5.6745359e3 / kelvin + quartic + 4.1635019 * kelvin.ln()).exp()
}

fn over_water(kelvin: f64) -> f64 {
    let cubic = polynomial(&[1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8], kelvin);
    (-5.8002206e3 / kelvin + cubic + 6.5459673 * kelvin.ln()).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_too_dry_for_any_dew_is_refused() {
        let refusal = moist_air(Temperature::celsius(20.0), 0.0001, 101_325.0).unwrap_err();
        assert_eq!(refusal.quantity, "vapour pressure");
        assert!(moist_air(Temperature::celsius(20.0), 0.5, 1013.25).is_err());
    }

    #[test]
    fn ice_and_water_have_the_same_vapour_pressure_at_the_triple_point() {
        let kelvin = TRIPLE_POINT_C + 273.15;
        // 611.657 Pa (IAPWS, from memory).
        assert!((over_ice(kelvin) / over_water(kelvin) - 1.0).abs() < 1e-4);
        assert!((over_ice(kelvin) / 611.657 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn dew_point_wet_bulb_and_air_stand_in_this_order() {
        for percent in [10, 20, 40, 60, 80, 95] {
            let air = moist_air(Temperature::celsius(24.0), f64::from(percent) / 100.0, 101_325.0).unwrap();
            assert!(air.dew_point < air.wet_bulb && air.wet_bulb.as_celsius() < 24.0);
        }
    }
}
