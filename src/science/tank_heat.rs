//! The balance of heat of a tank whose losses rise with evaporation: what it gives off, where it settles, how long until
//! a limit.

use super::heat::latent_heat_sharqawy_2010_j_per_kg;
use super::moist_air::evaporation_ashrae;
use super::range::{OutOfRange, not_negative, positive, within};
use crate::units::{Duration, Power, Temperature};

/// Heat that a litre of seawater holds a degree: 3993 J/(kg K) × 1.0233 kg/L at 35 ppt and 25 °C (Millero et al. 1973;
/// EOS-80), in Wh. Between 33 and 37 ppt and 20 and 30 °C it changes by 3 in a thousand.
pub const SEAWATER_WH_PER_L_K: f64 = 3993.0 * 1.0233 / 3600.0;

/// How a tank hands heat to its room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exchange {
    /// Through glass and bottom, and from the surface as warmth of the air alone.
    pub sensible_w_per_k: f64,
    /// Water surface that evaporates freely.
    pub surface_m2: f64,
    /// Share of what the handbook's formula gives: 0.5 for still indoor pools, 1 for stirred ones.
    pub activity: f64,
    /// Over the surface, as a mean over the day: the formula is linear in it.
    pub air_speed_m_per_s: f64,
}

/// Air of the room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomAir {
    pub temperature: Temperature,
    /// 0 to 1.
    pub relative_humidity: f64,
}

/// What a tank gives off at one temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GivenOff {
    /// Negative where the room is warmer.
    pub sensible: Power,
    pub evaporation: Power,
    pub evaporated_kg_per_day: f64,
    pub total: Power,
}

/// Heat that a tank gives off to its room.
///
/// P = K·(T − T_a) + activity · A·(0.089 + 0.0782 V)(p_w − p_a), pressures in kPa, P in kW for the second part
///
/// Valid: as [`evaporation_ashrae`]: water 0.01–40 °C, air 0.01–60 °C, humidity 0–1, air speed 0–2 m/s; activity and
/// conductance zero or more. Air so damp that water would condense on the surface counts as no evaporation.
/// Source: [`ashrae_applications_2019`](crate::science::sources) for evaporation and the activity factor.
///
/// ```
/// # use polypary::{science::{tank_heat::*, OutOfRange}, units::*};
/// let tank = Exchange { sensible_w_per_k: 8., surface_m2: 0.24, activity: 0.5, air_speed_m_per_s: 0. };
/// let room = RoomAir { temperature: Temperature::celsius(20.), relative_humidity: 0.5 };
/// let off = given_off(&tank, room, Temperature::celsius(25.))?;
/// // By hand with the steam tables' 3.1697 and 2.3388 kPa: 8 × 5 W, and 0.5 × 0.24 × 89 × (3.1697 − 1.1694) W.
/// assert_eq!(off.sensible.as_watts(), 40.);
/// assert!((off.evaporation.as_watts() - 21.363).abs() < 0.02);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn given_off(exchange: &Exchange, room: RoomAir, water: Temperature) -> Result<GivenOff, OutOfRange> {
    let conductance = not_negative("conductance", exchange.sensible_w_per_k, "W/K")?;
    let activity = not_negative("activity of the surface", exchange.activity, "")?;
    let sensible = conductance * (water - room.temperature).as_kelvin();
    let from_surface = evaporation_ashrae(
        water,
        room.temperature,
        room.relative_humidity,
        exchange.air_speed_m_per_s,
        exchange.surface_m2,
    )?;
    let watts = (activity * from_surface.cooling.as_watts()).max(0.0);
    Ok(GivenOff {
        sensible: Power::watts(sensible),
        evaporation: Power::watts(watts),
        evaporated_kg_per_day: watts * 86_400.0 / latent_heat_sharqawy_2010_j_per_kg(water)?,
        total: Power::watts(sensible + watts),
    })
}

/// Warmest water for which evaporation is known here; see [`given_off`].
const WARMEST: f64 = 40.0;

/// Temperature at which a tank gives off as much heat as it is given; the gain is negative where a chiller takes more
/// than pumps and lamps give.
///
/// K·(T − T_a) + evaporation(T) = gain
///
/// Above 40 °C evaporation is held at its value there, so the result is then an upper bound.
/// Valid: conductance greater than zero, gain any number, the rest as [`given_off`]; refused where the water would
/// settle below 0.01 °C or above 100 °C.
/// Source: the balance of heat; [`ashrae_applications_2019`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{tank_heat::*, OutOfRange}, units::*};
/// let tank = Exchange { sensible_w_per_k: 8., surface_m2: 0.24, activity: 0.5, air_speed_m_per_s: 0. };
/// let room = RoomAir { temperature: Temperature::celsius(20.), relative_humidity: 0.5 };
/// // What it gives off at 25 °C holds it at 25 °C.
/// let gain = given_off(&tank, room, Temperature::celsius(25.))?.total;
/// assert!((balance(&tank, room, gain)?.as_celsius() - 25.).abs() < 1e-9);
/// // Dry: 20 + 100/8.
/// let dry = Exchange { activity: 0., ..tank };
/// assert!((balance(&dry, room, Power::watts(100.))?.as_celsius() - 32.5).abs() < 1e-9);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn balance(exchange: &Exchange, room: RoomAir, gain: Power) -> Result<Temperature, OutOfRange> {
    let gain = within("heat given", gain.as_watts(), -1e6, 1e6, "W")?;
    let conductance = positive("conductance", exchange.sensible_w_per_k, "W/K")?;
    let surplus = |celsius: f64| -> Result<f64, OutOfRange> {
        Ok(given_off(exchange, room, Temperature::celsius(celsius))?.total.as_watts() - gain)
    };
    let at_warmest = surplus(WARMEST)?;
    if at_warmest < 0.0 {
        let celsius = WARMEST - at_warmest / conductance;
        return Ok(Temperature::celsius(within("temperature", celsius, 0.01, 100.0, "°C")?));
    }
    // What a tank gives off rises with its temperature and bends upwards, so Newton's steps from above never pass the
    // root.
    let mut celsius = WARMEST;
    let mut value = at_warmest;
    const STEP: f64 = 1e-4;
    for _ in 0..60 {
        let slope = (value - surplus(celsius - STEP)?) / STEP;
        let next = celsius - value / slope.max(conductance * 0.5);
        if (celsius - next).abs() < 1e-11 {
            break;
        }
        celsius = within("temperature", next, 0.01 + STEP, 100.0, "°C")?;
        value = surplus(celsius)?;
    }
    Ok(Temperature::celsius(celsius))
}

/// Pieces into which the way to a limit is cut.
const PIECES: u32 = 16;

/// Time until the water has come from one temperature to another, or None where the heat that flows does not carry it
/// there.
///
/// t = Σ C·ΔT·ln(q₁/q₂)/(q₁ − q₂), over 16 pieces of the way, q the heat that flows at the ends of a piece
///
/// Exact where the flow is a straight line of the temperature over each piece, as for Newton's law of cooling.
/// `store_wh_per_k` is what one degree holds; `net_watts` is what the water gains at a temperature (negative: loses).
/// Valid: store greater than zero.
/// Source: the balance of heat.
///
/// ```
/// # use polypary::{science::{tank_heat::*, OutOfRange}, units::*};
/// // 100 Wh/K over 10 W/K towards 15 °C: from 25 to 20 °C takes 10 h × ln 2.
/// let c = Temperature::celsius;
/// let wait = time_between(100., c(25.), c(20.), |t| Ok(10. * (15. - t.as_celsius())))?.unwrap();
/// assert!((wait.as_hours() - 10. * 2f64.ln()).abs() < 1e-9);
/// assert_eq!(time_between(100., c(25.), c(14.), |t| Ok(10. * (15. - t.as_celsius())))?, None);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn time_between(
    store_wh_per_k: f64,
    from: Temperature,
    to: Temperature,
    net_watts: impl Fn(Temperature) -> Result<f64, OutOfRange>,
) -> Result<Option<Duration>, OutOfRange> {
    let store = positive("heat held by a degree", store_wh_per_k, "Wh/K")?;
    let way = (to - from).as_kelvin();
    let piece = way / f64::from(PIECES);
    let mut hours = 0.0;
    let mut before = net_watts(from)?;
    for number in 1..=PIECES {
        let after = net_watts(Temperature::celsius(from.as_celsius() + piece * f64::from(number)))?;
        // The flow must point where the way goes.
        if way == 0.0 {
            return Ok(Some(Duration::hours(0.0)));
        }
        if before * way <= 0.0 || after * way <= 0.0 {
            return Ok(None);
        }
        let mean = if (before / after - 1.0).abs() < 1e-6 {
            (before + after) / 2.0
        } else {
            (before - after) / (before / after).ln()
        };
        hours += store * piece / mean;
        before = after;
    }
    Ok(Some(Duration::hours(hours)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::science::heat::{HeatStore, cooling, time_to_reach};
    use crate::units::{Density, Volume};

    fn tank() -> Exchange {
        Exchange { sensible_w_per_k: 9.0, surface_m2: 0.3, activity: 0.7, air_speed_m_per_s: 0.2 }
    }

    fn room(celsius: f64) -> RoomAir {
        RoomAir { temperature: Temperature::celsius(celsius), relative_humidity: 0.5 }
    }

    #[test]
    fn the_balance_closes() {
        for celsius in [5.0, 18.0, 24.0, 30.0] {
            for watts in [-40.0, 0.0, 20.0, 80.0, 200.0] {
                let Ok(settled) = balance(&tank(), room(celsius), Power::watts(watts)) else {
                    // A cold dry room with no heat cools the water below what is known.
                    assert!(celsius < 10.0 && watts <= 0.0, "{celsius} {watts}");
                    continue;
                };
                if settled.as_celsius() <= WARMEST {
                    let off = given_off(&tank(), room(celsius), settled).unwrap().total.as_watts();
                    assert!((off - watts).abs() < 1e-6, "{celsius} °C, {watts} W: {off}");
                }
            }
        }
    }

    #[test]
    fn an_unheated_tank_settles_below_its_room_and_a_hotter_one_warms_less_a_watt() {
        let cold = balance(&tank(), room(24.0), Power::watts(0.0)).unwrap().as_celsius();
        assert!((18.0..24.0).contains(&cold), "{cold}");
        let rise = |from: f64, to: f64| {
            let at = |watts: f64| balance(&tank(), room(24.0), Power::watts(watts)).unwrap().as_celsius();
            at(to) - at(from)
        };
        assert!(rise(100.0, 150.0) < rise(50.0, 100.0));
    }

    #[test]
    fn beyond_what_is_known_of_evaporation_the_answer_is_a_bound() {
        let hot = balance(&tank(), room(30.0), Power::watts(2000.0));
        assert!(hot.is_err(), "water boils: {hot:?}");
        let bound = balance(&tank(), room(30.0), Power::watts(500.0)).unwrap().as_celsius();
        let evaporation = given_off(&tank(), room(30.0), Temperature::celsius(40.0)).unwrap().evaporation.as_watts();
        assert!((bound - (30.0 + (500.0 - evaporation) / 9.0)).abs() < 1e-9);
    }

    /// Against Newton's law of cooling in closed form.
    #[test]
    fn without_evaporation_the_way_down_is_that_of_newton() {
        let dry = Exchange { activity: 0.0, ..tank() };
        let (from, to) = (Temperature::celsius(26.0), Temperature::celsius(22.0));
        let store = HeatStore {
            volume: Volume::litres(75.0),
            density: Density::kg_per_m3(1023.0),
            specific_heat_j_per_kg_k: 4000.0,
        };
        let law = cooling(&store, 9.0, from, room(18.0).temperature, Duration::hours(1.0)).unwrap();
        let expected = time_to_reach(law.time_constant, from, room(18.0).temperature, to).unwrap().unwrap();
        let capacity = 75.0 * 1.023 * 4000.0 / 3600.0;
        let net = |t: Temperature| Ok(-given_off(&dry, room(18.0), t)?.total.as_watts());
        let found = time_between(capacity, from, to, net).unwrap().unwrap();
        assert!((found.as_hours() - expected.as_hours()).abs() < 1e-9);
        // Evaporation quickens it.
        let wet = |t: Temperature| Ok(-given_off(&tank(), room(18.0), t)?.total.as_watts());
        assert!(time_between(capacity, from, to, wet).unwrap().unwrap() < found);
    }

    #[test]
    fn nonsense_is_refused() {
        let none = Exchange { sensible_w_per_k: 0.0, ..tank() };
        assert!(balance(&none, room(20.0), Power::watts(10.0)).is_err());
        assert!(balance(&tank(), room(20.0), Power::watts(f64::NAN)).is_err());
        // So much taken away that the water would freeze.
        assert!(balance(&tank(), room(20.0), Power::watts(-2000.0)).is_err());
        let percent = RoomAir { relative_humidity: 50.0, ..room(20.0) };
        assert!(given_off(&tank(), percent, Temperature::celsius(25.0)).is_err());
        assert!(time_between(0.0, Temperature::celsius(25.0), Temperature::celsius(20.0), |_| Ok(-1.0)).is_err());
    }
}
