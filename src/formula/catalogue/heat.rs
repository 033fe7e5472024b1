//! Heat that water holds and a tank loses.

use super::super::given::{Given, all_of};
use super::super::{Formula, Refusal, Work, number, output};
use crate::science::heat::*;
use crate::science::range::{positive, within};
use crate::science::tank_heat::{Exchange, RoomAir, SEAWATER_WH_PER_L_K, balance, given_off, time_between};

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "specific-heat",
        about: "specific heat of seawater at one atmosphere",
        inputs: &[
            number("salinity_psu", "PSU", "35", "practical salinity"),
            number("temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[output("cp_eos80_j_kg_k", "J/(kg K)", "specific heat")],
        valid: "salinity 0 to 40, 0 to 35 °C; TEOS-10 differs by 0.15 %",
        sources: &["millero_perron_desnoyers_1973", "fofonoff_millard_1983"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            all_of([specific_heat_millero_1973_j_per_kg_k(s, t)?])
        }),
    },
    Formula {
        name: "latent-heat",
        about: "heat that a kilogram of water takes away as it evaporates",
        inputs: &[number("temperature_c", "°C", "25", "temperature of the water")],
        outputs: &[output("latent_heat_pure_sharqawy_j_kg", "J/kg", "latent heat")],
        valid: "0 to 40 °C; what evaporates from seawater is water, so it holds there too",
        sources: &["sharqawy_2010"],
        work: Work::Row(|given| all_of([latent_heat_sharqawy_2010_j_per_kg(given.celsius("temperature_c"))?])),
    },
    Formula {
        name: "pane-u-value",
        about: "heat that goes through a pane between two surfaces",
        inputs: &[
            number("thickness_mm", "mm", "10", "thickness of the pane"),
            number("conductivity_w_mk", "W/(m K)", "1.0", "glass 1.0, acrylic 0.19"),
            number("inner_resistance_m2k_w", "m² K/W", "0", "of the inner surface; water has next to none"),
            number("outer_resistance_m2k_w", "m² K/W", "0.13", "of the outer surface; air beside a pane 0.13"),
        ],
        outputs: &[output("u_value_w_m2k", "W/(m² K)", "thermal transmittance")],
        valid: "conductivity above 0, the rest 0 or more and some resistance in all; allow 15 %",
        sources: &["iso_6946", "en_673"],
        work: Work::Row(|given| {
            all_of([u_value_w_per_m2_k(
                given.millimetres("thickness_mm"),
                given.number("conductivity_w_mk"),
                given.number("inner_resistance_m2k_w"),
                given.number("outer_resistance_m2k_w"),
            )?])
        }),
    },
    Formula {
        name: "tank-heat-loss",
        about: "heat that an open tank loses to the room, and where a heater that sticks on would take it",
        inputs: &[
            number("length_m", "m", "0.9", "outer length"),
            number("width_m", "m", "0.45", "outer width"),
            number("water_depth_m", "m", "0.45", "depth of water"),
            number("side_thickness_mm", "mm", "10", "of the side panes"),
            number("bottom_thickness_mm", "mm", "12", "of the bottom pane"),
            number("conductivity_w_mk", "W/(m K)", "1.0", "glass 1.0, acrylic 0.19"),
            number("bottom_insulation_m2k_w", "m² K/W", "0", "of a mat under the tank; 0 without one"),
            number("water_temperature_c", "°C", "25", "temperature of the water"),
            number("air_temperature_c", "°C", "20", "temperature of the room"),
            number("heater_w", "W", "200", "power of the heater"),
        ],
        outputs: &[
            output("loss_total_w", "W", "heat lost; negative where the room is warmer"),
            output("conductance_w_k", "W/K", "heat lost for each degree"),
            output(
                "stuck_heater_temperature_c",
                "°C",
                "where a stuck heater ends; none above 100 °C, where water boils",
            ),
            output("loss_sides_w", "W", "through the sides"),
            output("loss_bottom_w", "W", "through the bottom"),
            output("loss_open_top_sensible_w", "W", "from the surface, without evaporation"),
        ],
        valid: "sizes and conductivity above 0, temperatures −20 to 60 °C; allow 30 %. Evaporation is not counted: it \
            often cools more than the glass does, so the stuck heater's temperature is an upper bound",
        sources: &["iso_6946", "en_673"],
        work: Work::Row(heat_loss),
    },
    Formula {
        name: "cooling-in-power-cut",
        about: "temperature of a tank some hours into a power cut",
        inputs: &[
            number("volume_l", "L", "200", "volume of water"),
            number("conductance_w_k", "W/K", "12", "heat lost for each degree, from tank-heat-loss"),
            number("start_temperature_c", "°C", "25", "temperature at the start"),
            number("air_temperature_c", "°C", "18", "temperature of the room"),
            number("hours_h", "h", "8", "hours since"),
            number("density_kg_m3", "kg/m³", "1023.34", "density of the water").or("1023.34"),
            number("cp_j_kg_k", "J/(kg K)", "3998", "specific heat of the water").or("3998"),
        ],
        outputs: &[
            output("time_constant_h", "h", "time in which the distance to the room's temperature falls to 37 %"),
            output("temperature_c", "°C", "temperature of the water"),
        ],
        valid: "volume, conductance, density and specific heat above 0, time 0 or more, temperatures −20 to 60 °C; rock \
            and glass slow it, evaporation quickens it",
        sources: &["iso_6946"],
        work: Work::Row(|given| {
            for key in ["start_temperature_c", "air_temperature_c"] {
                crate::science::within("temperature", given.number(key), -20.0, 60.0, "°C")?;
            }
            let water = HeatStore {
                volume: given.litres("volume_l"),
                density: given.density("density_kg_m3"),
                specific_heat_j_per_kg_k: given.number("cp_j_kg_k"),
            };
            let (start, room) = (given.celsius("start_temperature_c"), given.celsius("air_temperature_c"));
            let later = cooling(&water, given.number("conductance_w_k"), start, room, given.hours("hours_h"))?;
            all_of([later.time_constant.as_hours(), later.temperature.as_celsius()])
        }),
    },
    Formula {
        name: "hours-until-temperature",
        about: "hours until a tank without power has come to a temperature",
        inputs: &[
            number("time_constant_h", "h", "19", "from cooling-in-power-cut"),
            number("start_temperature_c", "°C", "25", "temperature at the start"),
            number("air_temperature_c", "°C", "16", "temperature of the room"),
            number("target_temperature_c", "°C", "20", "temperature of interest"),
        ],
        outputs: &[output("hours_h", "h", "hours; none where it never gets there")],
        valid: "time constant above 0, temperatures −20 to 60 °C",
        sources: &["iso_6946"],
        work: Work::Row(|given| {
            for key in ["start_temperature_c", "air_temperature_c", "target_temperature_c"] {
                crate::science::within("temperature", given.number(key), -20.0, 60.0, "°C")?;
            }
            let (start, room) = (given.celsius("start_temperature_c"), given.celsius("air_temperature_c"));
            let target = given.celsius("target_temperature_c");
            let hours = time_to_reach(given.hours("time_constant_h"), start, room, target)?;
            Ok(vec![hours.map(|hours| hours.as_hours())])
        }),
    },
    Formula {
        name: "tank-balance",
        about: "temperature at which a tank gives off as much heat as it is given, with evaporation",
        inputs: &[
            number(
                "conductance_w_k",
                "W/K",
                "12",
                "heat lost for each degree without evaporation, from tank-heat-loss",
            ),
            number("area_m2", "m²", "0.35", "water surface that evaporates"),
            number("activity", "", "0.75", "of what the handbook's formula gives: 0.5 still, 1 stirred"),
            number("air_velocity_m_s", "m/s", "0", "air over the surface, as a mean over the day"),
            number("air_temperature_c", "°C", "20", "temperature of the room"),
            number("relative_humidity", "", "0.5", "of the room, from 0 to 1"),
            number(
                "gain_w",
                "W",
                "100",
                "heater, and what of pumps and lamps reaches the water, less what a chiller takes",
            ),
        ],
        outputs: &[output("temperature_c", "°C", "where the water settles")],
        valid: "conductance and surface above 0, activity, air and humidity 0 or more; above 40 °C evaporation is held at what it is there, \
            so the result is an upper bound",
        sources: &["ashrae_applications_2019", "hyland_wexler_1983"],
        work: Work::Row(|given| {
            let (exchange, room) = (exchange(given), room(given));
            all_of([balance(&exchange, room, given.watts("gain_w"))?.as_celsius()])
        }),
    },
    Formula {
        name: "heat-given-off",
        about: "what a tank gives off to its room at a temperature, through its panes and by evaporation",
        inputs: &[
            number("conductance_w_k", "W/K", "8", "heat lost for each degree without evaporation, from tank-heat-loss"),
            number("area_m2", "m²", "0.24", "water surface that evaporates"),
            number("activity", "", "0.5", "of what the handbook's formula gives: 0.5 still, 1 stirred"),
            number("air_velocity_m_s", "m/s", "0", "air over the surface, as a mean over the day"),
            number("air_temperature_c", "°C", "20", "temperature of the room"),
            number("relative_humidity", "", "0.5", "of the room, from 0 to 1"),
            number("water_temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[
            output("sensible_w", "W", "through panes and as warm air; below 0 where the room is warmer"),
            output("evaporation_w", "W", "by evaporation"),
            output("evaporated_kg_d", "kg/d", "water that goes in a day"),
            output("total_w", "W", "both together"),
        ],
        valid: "water 0.01 to 40 °C, air 0.01 to 60 °C, humidity 0 to 1, air speed 0 to 2 m/s, the rest 0 or more; air so \
            damp that it would condense counts as no evaporation",
        sources: &["ashrae_applications_2019", "hyland_wexler_1983", "sharqawy_2010"],
        work: Work::Row(|given| {
            let off = given_off(&exchange(given), room(given), given.celsius("water_temperature_c"))?;
            all_of([
                off.sensible.as_watts(),
                off.evaporation.as_watts(),
                off.evaporated_kg_per_day,
                off.total.as_watts(),
            ])
        }),
    },
    Formula {
        name: "hours-with-evaporation",
        about: "hours until a tank comes to a temperature, with what it evaporates on the way",
        inputs: &[
            number("conductance_w_k", "W/K", "8", "heat lost for each degree without evaporation, from tank-heat-loss"),
            number("area_m2", "m²", "0.24", "water surface that evaporates"),
            number("activity", "", "0.5", "of what the handbook's formula gives: 0.5 still, 1 stirred"),
            number("air_velocity_m_s", "m/s", "0", "air over the surface, as a mean over the day"),
            number("air_temperature_c", "°C", "18", "temperature of the room"),
            number("relative_humidity", "", "0.5", "of the room, from 0 to 1"),
            number("gain_w", "W", "0", "heat that is still given; below 0 for a chiller").or("0"),
            number("volume_l", "L", "75", "net volume of the water"),
            number("start_temperature_c", "°C", "25", "temperature at the start"),
            number("end_temperature_c", "°C", "22", "temperature that is asked about"),
        ],
        outputs: &[output("hours_h", "h", "hours until then; none where it never comes to it")],
        valid: "as heat-given-off, volume above 0. Seawater of 35 at 25 °C (1.135 Wh for each litre and degree); rock, sand \
            and glass hold more, which gives more time",
        sources: &["ashrae_applications_2019", "hyland_wexler_1983", "millero_perron_desnoyers_1973"],
        work: Work::Row(|given| {
            let (exchange, room) = (exchange(given), room(given));
            let gain = within("heat given", given.number("gain_w"), -1e6, 1e6, "W")?;
            let litres = positive("volume", given.number("volume_l"), "L")?;
            let (from, to) = (given.celsius("start_temperature_c"), given.celsius("end_temperature_c"));
            let time = time_between(litres * SEAWATER_WH_PER_L_K, from, to, |water| {
                Ok(gain - given_off(&exchange, room, water)?.total.as_watts())
            })?;
            Ok(vec![time.map(|time| time.as_hours())])
        }),
    },
];

fn exchange(given: &Given) -> Exchange {
    Exchange {
        sensible_w_per_k: given.number("conductance_w_k"),
        surface_m2: given.number("area_m2"),
        activity: given.number("activity"),
        air_speed_m_per_s: given.number("air_velocity_m_s"),
    }
}

fn room(given: &Given) -> RoomAir {
    RoomAir { temperature: given.celsius("air_temperature_c"), relative_humidity: given.number("relative_humidity") }
}

fn heat_loss(given: &Given) -> Result<Vec<Option<f64>>, Refusal> {
    let tank = WarmBox {
        length: given.metres("length_m"),
        width: given.metres("width_m"),
        water_depth: given.metres("water_depth_m"),
        side_thickness: given.millimetres("side_thickness_mm"),
        bottom_thickness: given.millimetres("bottom_thickness_mm"),
        conductivity_w_per_m_k: given.number("conductivity_w_mk"),
        bottom_insulation_m2_k_per_w: given.number("bottom_insulation_m2k_w"),
    };
    let room = given.celsius("air_temperature_c");
    let loss = tank_heat_loss(&tank, given.celsius("water_temperature_c"), room)?;
    let heater = given.watts("heater_w");
    crate::science::range::not_negative("power of the heater", heater.as_watts(), "W")?;
    // Beyond the boiling point the balance of heat is another one; the losses stand all the same.
    let stuck = stuck_heater_temperature(heater, loss.conductance_w_per_k, room).ok();
    Ok(vec![
        Some(loss.total.as_watts()),
        Some(loss.conductance_w_per_k),
        stuck.map(|temperature| temperature.as_celsius()),
        Some(loss.sides.as_watts()),
        Some(loss.bottom.as_watts()),
        Some(loss.surface.as_watts()),
    ])
}
