//! Electricity: energy and its cost, the load of a circuit, and the mean power of a device that follows a schedule.

use super::day_curve::{check_whole_day, pieces};
use super::range::{OutOfRange, not_negative, positive, within};
use crate::units::{Duration, Energy, Power};

/// Days of a mean year of the Julian calendar, in which yearly figures are given.
pub const DAYS_PER_YEAR: f64 = 365.25;

/// What one or several alike devices use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EnergyUse {
    pub mean_power: Power,
    pub per_day: Energy,
    /// Of a year of [`DAYS_PER_YEAR`] days.
    pub per_year: Energy,
    /// In the currency of the tariff.
    pub cost_per_year: f64,
}

/// Energy and cost of `count` devices that draw `power` for a fraction of the time.
///
/// kWh/day = W × duty × count × 24 / 1000
///
/// `duty_fraction` from 0 to 1; `tariff_per_kwh` in any currency.
/// Valid: power, count and tariff of zero or more.
/// Source: arithmetic; a year is 365.25 days.
///
/// ```
/// # use polypary::{science::{power::*, OutOfRange}, units::Power};
/// // By hand: 150 W for 35 % of a day is 1.26 kWh, 460.215 kWh a year.
/// let heater = energy_use(Power::watts(150.), 0.35, 1.0, 0.30)?;
/// assert!((heater.per_day.as_kilowatt_hours() - 1.26).abs() < 1e-12);
/// assert!((heater.cost_per_year - 138.0645).abs() < 1e-10);
/// assert!(energy_use(Power::watts(150.), 35.0, 1.0, 0.30).is_err()); // 35 %, not 35
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn energy_use(power: Power, duty_fraction: f64, count: f64, tariff_per_kwh: f64) -> Result<EnergyUse, OutOfRange> {
    let watts = not_negative("power", power.as_watts(), "W")?;
    let duty = within("share of the time", duty_fraction, 0.0, 1.0, "")?;
    let count = not_negative("count", count, "")?;
    let tariff = not_negative("tariff", tariff_per_kwh, "per kWh")?;
    let mean = watts * duty * count;
    let per_day = mean * 24.0 / 1000.0;
    let per_year = per_day * DAYS_PER_YEAR;
    Ok(EnergyUse {
        mean_power: Power::watts(mean),
        per_day: Energy::kilowatt_hours(per_day),
        per_year: Energy::kilowatt_hours(per_year),
        cost_per_year: per_year * tariff,
    })
}

/// How far a circuit is loaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircuitLoad {
    /// The load that may run for hours on end.
    pub continuous_limit: Power,
    pub current_a: f64,
    pub fraction_of_limit: f64,
    pub within_limit: bool,
}

/// The share of NFPA 70 for a load of three hours or more: a device of at least 125 % of it, hence 0.8 of the rating.
///
/// Source: [`nfpa_70`](crate::science::sources), 210.20(A). IEC 60364 and BS 7671 know no such factor; there it is 1.
pub const CONTINUOUS_FACTOR_NFPA_70: f64 = 0.8;

/// Load of a circuit against its breaker.
///
/// limit = V × A × factor; current = W / V
///
/// `continuous_factor` is [`CONTINUOUS_FACTOR_NFPA_70`] or 1. Inrush and power factor are left out: hand in apparent
/// power where it matters.
/// Valid: voltage, breaker and factor greater than zero, factor up to 1, load of zero or more. It is arithmetic and no
/// leave to load a circuit: local codes and a licensed electrician decide.
/// Source: [`nfpa_70`, `iec_60364`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{power::*, OutOfRange}, units::Power};
/// let load = circuit_load(120., 15., CONTINUOUS_FACTOR_NFPA_70, Power::watts(1500.))?;
/// assert_eq!(load.continuous_limit.as_watts(), 1440.); // 120 × 15 × 0.8
/// assert_eq!((load.current_a, load.within_limit), (12.5, false));
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn circuit_load(
    voltage_v: f64,
    breaker_a: f64,
    continuous_factor: f64,
    load: Power,
) -> Result<CircuitLoad, OutOfRange> {
    let voltage = positive("voltage", voltage_v, "V")?;
    let breaker = positive("rating of the breaker", breaker_a, "A")?;
    let factor = within("continuous factor", continuous_factor, f64::MIN_POSITIVE, 1.0, "")?;
    let watts = not_negative("load", load.as_watts(), "W")?;
    let limit = voltage * breaker * factor;
    Ok(CircuitLoad {
        continuous_limit: Power::watts(limit),
        current_a: watts / voltage,
        fraction_of_limit: watts / limit,
        within_limit: watts <= limit,
    })
}

/// What a load takes from the mains beyond its true power.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ApparentPower {
    pub apparent_va: f64,
    pub current_a: f64,
}

/// Apparent power and current of a load with a power factor.
///
/// VA = W / PF; A = VA / V
///
/// Valid: voltage greater than zero, power factor above 0 and up to 1, power of zero or more.
/// Source: the definition of the power factor.
///
/// ```
/// # use polypary::{science::{power::*, OutOfRange}, units::Power};
/// let pump = apparent_power(Power::watts(55.), 110., 0.5)?;
/// assert_eq!((pump.apparent_va, pump.current_a), (110., 1.));
/// assert!(apparent_power(Power::watts(55.), 110., 1.2).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn apparent_power(power: Power, voltage_v: f64, power_factor: f64) -> Result<ApparentPower, OutOfRange> {
    let watts = not_negative("power", power.as_watts(), "W")?;
    let voltage = positive("voltage", voltage_v, "V")?;
    let factor = within("power factor", power_factor, f64::MIN_POSITIVE, 1.0, "")?;
    let apparent_va = watts / factor;
    Ok(ApparentPower { apparent_va, current_a: apparent_va / voltage })
}

/// How long a battery carries a load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatteryRuntime {
    pub energy: Energy,
    pub runtime: Duration,
}

/// Runtime of a load on a battery through an inverter.
///
/// Wh = V × Ah × usable fraction × efficiency; h = Wh / W
///
/// Fast discharge, age and cold leave less. Valid: all greater than zero, fractions up to 1.
/// Source: arithmetic.
///
/// ```
/// # use polypary::{science::{power::*, OutOfRange}, units::Power};
/// // By hand: 12 × 9 × 0.85 = 91.8 Wh, 4.59 h of 20 W.
/// let battery = battery_runtime(12., 9., 1.0, 0.85, Power::watts(20.))?;
/// assert!((battery.energy.as_watt_hours() - 91.8).abs() < 1e-9);
/// assert!((battery.runtime.as_hours() - 4.59).abs() < 1e-9);
/// assert!(battery_runtime(12., 9., 1.0, 85., Power::watts(20.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn battery_runtime(
    voltage_v: f64,
    capacity_ah: f64,
    usable_fraction: f64,
    inverter_efficiency: f64,
    load: Power,
) -> Result<BatteryRuntime, OutOfRange> {
    let voltage = positive("voltage", voltage_v, "V")?;
    let capacity = positive("capacity", capacity_ah, "Ah")?;
    let usable = within("usable share of the battery", usable_fraction, f64::MIN_POSITIVE, 1.0, "")?;
    let efficiency = within("efficiency", inverter_efficiency, f64::MIN_POSITIVE, 1.0, "")?;
    let watts = positive("load", load.as_watts(), "W")?;
    let watt_hours = voltage * capacity * usable * efficiency;
    Ok(BatteryRuntime { energy: Energy::watt_hours(watt_hours), runtime: Duration::hours(watt_hours / watts) })
}

/// Mean power over a day of a device whose level follows a schedule.
///
/// P̄ = (1/24 h) ∫ W(level(t)) dt, with level(t) and W(level) both joined by straight lines, hence exact
///
/// `level_by_hour` is (hour, level) from hour 0 to hour 24, a step being two points at one hour; `watts_by_level` is
/// (level, W) with levels that rise. Both levels in the same unit (a fraction, or percent).
/// Errors: a curve that does not cover the day; a level outside those with known watts; a negative power.
/// Source: arithmetic. That power follows the level in a straight line between measured points is common practice
/// ([`common-practice`](crate::science::sources)).
///
/// ```
/// # use polypary::science::{power::*, OutOfRange};
/// // Half a day at full, half a day off but standing by: (90 + 2) / 2.
/// let day = [(0., 0.), (6., 0.), (6., 1.), (18., 1.), (18., 0.), (24., 0.)];
/// let mean = mean_power_of_day(&day, &[(0., 2.), (1., 90.)])?;
/// assert!((mean.as_watts() - 46.).abs() < 1e-12);
/// // A ramp from 0 to full through a bend at 50 %: mean of 10..20 W and 20..90 W, by hand (15 + 55) / 2.
/// let mean = mean_power_of_day(&[(0., 0.), (24., 1.)], &[(0., 10.), (0.5, 20.), (1., 90.)])?;
/// assert!((mean.as_watts() - 35.).abs() < 1e-12);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn mean_power_of_day(level_by_hour: &[(f64, f64)], watts_by_level: &[(f64, f64)]) -> Result<Power, OutOfRange> {
    check_whole_day(level_by_hour)?;
    let lowest = watts_by_level.first().map_or(0.0, |point| point.0);
    let highest = watts_by_level.last().map_or(0.0, |point| point.0);
    let mut previous = f64::NEG_INFINITY;
    for &(level, watts) in watts_by_level {
        within("level with known power", level, previous, f64::INFINITY, "")?;
        not_negative("power", watts, "W")?;
        previous = level;
    }
    for &(_, level) in level_by_hour {
        within("level", level, lowest, highest, "")?;
    }
    let watt_hours: f64 = pieces(level_by_hour)
        .map(|(hours, start, end)| {
            if start == end {
                hours * watts_at(watts_by_level, start)
            } else {
                // Time runs evenly through the levels of a ramp, so the mean over time is the mean over levels.
                let area = area_up_to(watts_by_level, end) - area_up_to(watts_by_level, start);
                hours * area / (end - start)
            }
        })
        .sum();
    Ok(Power::watts(watt_hours / 24.0))
}

/// The mean of a day's course in each of its 24 hours.
///
/// m_h = ∫ level dt over the hour that begins at h; they add up to the area of the whole day
///
/// `level_by_hour` as in [`mean_power_of_day`].
/// Errors: a curve that does not cover the day.
/// Source: arithmetic.
///
/// ```
/// # use polypary::science::{power::*, OutOfRange};
/// // On from 6:30 to 8:00: half of the seventh hour and all of the eighth.
/// let day = [(0., 0.), (6.5, 0.), (6.5, 1.), (8., 1.), (8., 0.), (24., 0.)];
/// let hours = mean_by_hour(&day)?;
/// assert_eq!((hours[5], hours[6], hours[7], hours[8]), (0., 0.5, 1., 0.));
/// // A ramp through an hour is its middle.
/// assert!((mean_by_hour(&[(0., 0.), (24., 1.)])?[12] - 12.5 / 24.).abs() < 1e-12);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn mean_by_hour(level_by_hour: &[(f64, f64)]) -> Result<[f64; 24], OutOfRange> {
    check_whole_day(level_by_hour)?;
    let mut means = [0.0; 24];
    for pair in level_by_hour.windows(2) {
        let ((from, start), (to, end)) = (pair[0], pair[1]);
        for (hour, mean) in means.iter_mut().enumerate() {
            let (low, high) = (from.max(hour as f64), to.min(hour as f64 + 1.0));
            if high > low {
                let at = |t: f64| start + (end - start) * (t - from) / (to - from);
                *mean += (high - low) * (at(low) + at(high)) / 2.0;
            }
        }
    }
    Ok(means)
}

fn watts_at(watts_by_level: &[(f64, f64)], level: f64) -> f64 {
    for pair in watts_by_level.windows(2) {
        let ((low, low_watts), (high, high_watts)) = (pair[0], pair[1]);
        if level <= high && high > low {
            return low_watts + (high_watts - low_watts) * (level - low) / (high - low);
        }
    }
    watts_by_level.last().map_or(0.0, |point| point.1)
}

/// ∫ W dlevel from the lowest known level.
fn area_up_to(watts_by_level: &[(f64, f64)], level: f64) -> f64 {
    let mut area = 0.0;
    for pair in watts_by_level.windows(2) {
        let ((low, low_watts), (high, _)) = (pair[0], pair[1]);
        let end = level.min(high);
        if end > low {
            area += (end - low) * (low_watts + watts_at(&pair[..2], end)) / 2.0;
        }
    }
    area
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_without_known_power_is_refused() {
        let day = [(0.0, 0.0), (24.0, 0.5)];
        let refusal = mean_power_of_day(&day, &[(0.0, 2.0), (0.4, 30.0)]).unwrap_err();
        assert_eq!((refusal.quantity, refusal.value, refusal.high), ("level", 0.5, 0.4));
        assert!(mean_power_of_day(&day, &[]).is_err());
        assert!(mean_power_of_day(&[(8.0, 0.0), (24.0, 0.0)], &[(0.0, 2.0), (1.0, 30.0)]).is_err());
        assert!(mean_power_of_day(&day, &[(1.0, 30.0), (0.0, 2.0)]).is_err());
    }

    #[test]
    fn a_falling_ramp_uses_as_much_as_the_rising_one() {
        let watts = [(0.0, 1.0), (0.3, 20.0), (1.0, 91.0)];
        let rising = mean_power_of_day(&[(0.0, 0.1), (24.0, 0.9)], &watts).unwrap();
        let falling = mean_power_of_day(&[(0.0, 0.9), (24.0, 0.1)], &watts).unwrap();
        assert!((rising.as_watts() - falling.as_watts()).abs() < 1e-12);
        // By hand: W(0.1) = 7.333, W(0.9) = 80.857; (0.2 × 13.667 + 0.6 × 50.4286) / 0.8.
        assert!((rising.as_watts() - (0.2 * 13.666666666667 + 0.6 * 50.428571428571) / 0.8).abs() < 1e-9);
    }

    #[test]
    fn an_always_on_device_needs_one_level_only() {
        let mean = mean_power_of_day(&[(0.0, 1.0), (24.0, 1.0)], &[(1.0, 12.0)]).unwrap();
        assert_eq!(mean.as_watts(), 12.0);
    }
}
