//! Moist air and the water that goes into it.

use super::super::given::all_of;
use super::super::{Formula, SHARE, Work, number, output};
use crate::science::moist_air::*;

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "saturation-vapour-pressure",
        about: "vapour pressure of water in air that is full of it",
        inputs: &[number("temperature_c", "°C", "25", "temperature")],
        outputs: &[output("pws_ashrae_kpa", "kPa", "vapour pressure over pure water, up to 0.01 °C over ice")],
        valid: "−60 to 100 °C; over seawater it is 2 % less",
        sources: &["hyland_wexler_1983", "ashrae_2017"],
        work: Work::Row(|given| {
            all_of([saturation_vapour_pressure_hyland_wexler_1983_pa(given.celsius("temperature_c"))? / 1000.0])
        }),
    },
    Formula {
        name: "moist-air",
        about: "wet bulb, dew point and humidity ratio of a room's air",
        inputs: &[
            number("dry_bulb_c", "°C", "24", "temperature of the air"),
            number("relative_humidity", SHARE, "0.5", "relative humidity"),
            number("pressure_pa", "Pa", "101325", "air pressure at the place"),
        ],
        outputs: &[
            output("wet_bulb_c", "°C", "temperature to which evaporation can cool"),
            output("dew_point_c", "°C", "temperature at which a surface gets wet"),
            output("humidity_ratio_kg_kg", "kg/kg", "water over dry air, by mass"),
            output("vapour_pressure_pa", "Pa", "vapour pressure"),
            output("enthalpy_j_kg", "J/kg", "of a kilogram of dry air with its water, 0 for dry air of 0 °C"),
        ],
        valid: "−20 to 60 °C, 50 to 110 kPa, humidity above 0 and up to 1, dew point no lower than −60 °C",
        sources: &["ashrae_2017", "hyland_wexler_1983"],
        work: Work::Row(|given| {
            let humidity = given.number("relative_humidity");
            let air = moist_air(given.celsius("dry_bulb_c"), humidity, given.number("pressure_pa"))?;
            all_of([
                air.wet_bulb.as_celsius(),
                air.dew_point.as_celsius(),
                air.humidity_ratio,
                air.vapour_pressure_pa,
                air.enthalpy_j_per_kg,
            ])
        }),
    },
    Formula {
        name: "evaporation",
        about: "water that leaves an open surface in a room, and the heat that goes with it",
        inputs: &[
            number("water_temperature_c", "°C", "25", "temperature of the water"),
            number("air_temperature_c", "°C", "22", "temperature of the air"),
            number("relative_humidity", SHARE, "0.5", "relative humidity of the air"),
            number("air_velocity_m_s", "m/s", "0.1", "speed of the air over the water"),
            number("area_m2", "m²", "0.5", "open surface"),
        ],
        outputs: &[
            output("evaporation_kg_d", "kg/d", "water a day; negative where it condenses"),
            output("latent_cooling_w", "W", "heat that goes with it"),
            output("evaporation_kg_s_m2", "kg/(s m²)", "the rate"),
        ],
        valid: "water 0 to 40 °C, air 0 to 60 °C, humidity 0 to 1, air speed 0 to 2 m/s, surface above 0; a tank \
            with a lid, a light close above or broken water differs by a factor of two either way",
        sources: &["ashrae_applications_2019", "hyland_wexler_1983", "sharqawy_2010"],
        work: Work::Row(|given| {
            let evaporation = evaporation_ashrae(
                given.celsius("water_temperature_c"),
                given.celsius("air_temperature_c"),
                given.number("relative_humidity"),
                given.number("air_velocity_m_s"),
                given.number("area_m2"),
            )?;
            all_of([evaporation.kg_per_day, evaporation.cooling.as_watts(), evaporation.kg_per_m2_s])
        }),
    },
    Formula {
        name: "cooling-by-evaporation",
        about: "power that evaporation takes from a tank that loses so much water a day",
        inputs: &[
            number("evaporation_l_d", "L/d", "1.5", "fresh water topped off a day"),
            number("water_temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[output("cooling_w", "W", "power")],
        valid: "0 or more, 0 to 40 °C; top-off water of 0.997 kg/L",
        sources: &["sharqawy_2010"],
        work: Work::Row(|given| {
            let water = given.celsius("water_temperature_c");
            all_of([cooling_by_evaporation(given.number("evaporation_l_d"), water)?.as_watts()])
        }),
    },
];
