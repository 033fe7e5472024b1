//! Electricity.

use super::super::given::all_of;
use super::super::{Formula, Input, SHARE, Work, number, numbers, output};
use crate::science::power::*;

const LOAD: Input = number("load_w", "W", "300", "power that is drawn");
const VOLTAGE: Input = number("voltage_v", "V", "230", "voltage of the mains");

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "energy-and-cost",
        about: "energy and cost of devices that draw a power for a share of the time",
        inputs: &[
            number("power_w", "W", "150", "power while on"),
            number("duty_fraction", SHARE, "0.35", "share of the time that it is on"),
            number("count", "", "1", "how many alike"),
            number("tariff_per_kwh", "", "0.30", "price of a kilowatt hour, in any currency"),
        ],
        outputs: &[
            output("energy_kwh_day", "kWh", "energy a day"),
            output("energy_kwh_year", "kWh", "energy a year of 365.25 days"),
            output("cost_per_year", "", "cost a year, in the tariff's currency"),
            output("mean_power_w", "W", "mean power"),
        ],
        valid: "all 0 or more, share up to 1",
        sources: &["si_brochure_2019"],
        work: Work::Row(|given| {
            let energy = energy_use(
                given.watts("power_w"),
                given.number("duty_fraction"),
                given.number("count"),
                given.number("tariff_per_kwh"),
            )?;
            all_of([
                energy.per_day.as_kilowatt_hours(),
                energy.per_year.as_kilowatt_hours(),
                energy.cost_per_year,
                energy.mean_power.as_watts(),
            ])
        }),
    },
    Formula {
        name: "mean-power-of-day",
        about: "mean power of a device whose level follows a schedule",
        inputs: &[
            numbers("hours_h", "", "0 9 10 18 19 24", "hours of the day, from 0 to 24"),
            numbers("level", "", "0 0 0.8 0.8 0 0", "level at each, joined by straight lines"),
            numbers("known_level", "", "0 0.5 1", "levels at which the power was measured, rising"),
            numbers("known_w", "", "2 40 90", "power at each"),
        ],
        outputs: &[output("mean_power_w", "W", "mean power over the day")],
        valid: "hours from 0 to 24 that never go back, levels within those measured",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let (day, watts) = (given.pairs("hours_h", "level")?, given.pairs("known_level", "known_w")?);
            all_of([mean_power_of_day(&day, &watts)?.as_watts()])
        }),
    },
    Formula {
        name: "circuit-load",
        about: "load of a circuit against its breaker",
        inputs: &[
            VOLTAGE,
            number("breaker_a", "A", "16", "rating of the breaker"),
            number(
                "continuous_factor",
                SHARE,
                "1",
                "share of the rating for loads of 3 h or more: 0.8 under NFPA 70, else 1",
            ),
            LOAD,
        ],
        outputs: &[
            output("continuous_limit_w", "W", "load that may run for hours"),
            output("current_a", "A", "current of the load"),
            output("fraction_of_limit", "", "load over that limit"),
        ],
        valid: "voltage, rating and factor above 0, factor up to 1, load 0 or more; inrush and power factor left out. \
            It is arithmetic and no leave to load a circuit: local codes and a licensed electrician decide",
        sources: &["nfpa_70", "iec_60364", "bs_7671"],
        work: Work::Row(|given| {
            let load = circuit_load(
                given.number("voltage_v"),
                given.number("breaker_a"),
                given.number("continuous_factor"),
                given.watts("load_w"),
            )?;
            all_of([load.continuous_limit.as_watts(), load.current_a, load.fraction_of_limit])
        }),
    },
    Formula {
        name: "apparent-power",
        about: "apparent power and current of a load with a power factor",
        inputs: &[
            number("power_w", "W", "38", "true power"),
            VOLTAGE,
            number("power_factor", SHARE, "0.55", "true power over apparent power"),
        ],
        outputs: &[output("apparent_va", "VA", "apparent power"), output("current_a", "A", "current")],
        valid: "power 0 or more, voltage above 0, power factor above 0 and up to 1",
        sources: &["si_brochure_2019"],
        work: Work::Row(|given| {
            let (watts, volts) = (given.watts("power_w"), given.number("voltage_v"));
            let power = apparent_power(watts, volts, given.number("power_factor"))?;
            all_of([power.apparent_va, power.current_a])
        }),
    },
    Formula {
        name: "battery-runtime",
        about: "how long a battery with an inverter carries a load",
        inputs: &[
            number("battery_v", "V", "12", "voltage of the battery"),
            number("battery_ah", "", "100", "charge of the battery, ampere hours"),
            number("usable_fraction", SHARE, "0.5", "share that may be drawn"),
            number("inverter_efficiency", SHARE, "0.88", "power out over power in"),
            LOAD,
        ],
        outputs: &[output("energy_wh", "Wh", "energy at the load"), output("runtime_h", "h", "hours")],
        valid: "all above 0, shares up to 1; fast discharge, age and cold leave less",
        sources: &["si_brochure_2019"],
        work: Work::Row(|given| {
            let battery = battery_runtime(
                given.number("battery_v"),
                given.number("battery_ah"),
                given.number("usable_fraction"),
                given.number("inverter_efficiency"),
                given.watts("load_w"),
            )?;
            all_of([battery.energy.as_watt_hours(), battery.runtime.as_hours()])
        }),
    },
];
