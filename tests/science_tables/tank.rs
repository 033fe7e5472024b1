//! Light, electricity, mass and flow against plain arithmetic done outside the program.

use super::table::rows;
use polypary::science::flow::*;
use polypary::science::light::*;
use polypary::science::power::*;
use polypary::science::structure::*;
use polypary::units::{Density, Duration, Flow, Length, Mass, PhotonFlux, Power};

#[test]
fn daily_light_with_ramps() {
    for row in rows("09c_daily_light_integral.csv") {
        let hours = |column| Duration::hours(row.number(column));
        let peak = row.number("peak_ppfd_umol_m2_s");
        let (plateau, up, down) = (hours("plateau_h"), hours("ramp_up_h"), hours("ramp_down_h"));
        let day = daily_light_integral_with_ramps(PhotonFlux::umol_per_m2_s(peak), plateau, up, down);
        row.relatively_close("equivalent_hours_h", day.unwrap().equivalent.as_hours(), 1e-12);
        row.relatively_close("dli_mol_m2_d", day.unwrap().sum.as_mol_per_m2_d(), 1e-12);

        // The same day drawn point by point, from six in the morning.
        let full = 6.0 + up.as_hours();
        let falls = full + plateau.as_hours();
        let curve = [(6.0, 0.0), (full, peak), (falls, peak), (falls + down.as_hours(), 0.0)];
        let drawn = daily_light_integral_of_curve(&curve).unwrap();
        row.relatively_close("dli_mol_m2_d", drawn.as_mol_per_m2_d(), 1e-12);
    }
}

#[test]
fn daily_light_of_half_a_sine() {
    for row in rows("09d_daily_light_integral_half_sine.csv") {
        let peak = row.number("peak_ppfd_umol_m2_s");
        let hours = row.number("day_length_h");
        let sum = daily_light_integral_half_sine(PhotonFlux::umol_per_m2_s(peak), Duration::hours(hours));
        // The table has ten digits.
        row.relatively_close("dli_mol_m2_d", sum.unwrap().as_mol_per_m2_d(), 1e-9);

        // A thousand straight pieces come close to the sine.
        let curve: Vec<(f64, f64)> = (0..=1000)
            .map(|i| f64::from(i) / 1000.0)
            .map(|share| (5.0 + share * hours, peak * (share * std::f64::consts::PI).sin().max(0.0)))
            .collect();
        let drawn = daily_light_integral_of_curve(&curve).unwrap();
        row.relatively_close("dli_mol_m2_d", drawn.as_mol_per_m2_d(), 1e-6);
    }
}

#[test]
fn energy_and_its_cost() {
    for row in rows("13a_energy_and_cost.csv") {
        let energy = energy_use(
            Power::watts(row.number("power_w")),
            row.number("duty_fraction"),
            row.number("count"),
            row.number("tariff_per_kwh"),
        )
        .unwrap();
        row.relatively_close("energy_kwh_day", energy.per_day.as_kilowatt_hours(), 1e-9);
        row.relatively_close("energy_kwh_year", energy.per_year.as_kilowatt_hours(), 1e-9);
        row.relatively_close("cost_per_year", energy.cost_per_year, 1e-9);
        row.relatively_close("mean_power_w", energy.mean_power.as_watts(), 1e-9);

        // A device that is on for its share of the day has the same mean power.
        let one = Power::watts(row.number("power_w")).as_watts();
        let off_at = 24.0 * row.number("duty_fraction");
        let day = [(0.0, 1.0), (off_at, 1.0), (off_at, 0.0), (24.0, 0.0)];
        let mean = mean_power_of_day(&day, &[(0.0, 0.0), (1.0, one)]).unwrap().as_watts();
        row.relatively_close("mean_power_w", mean * row.number("count"), 1e-9);
    }
}

#[test]
fn circuit_loads() {
    for row in rows("13b_circuit_loading.csv") {
        let load = circuit_load(
            row.number("voltage_v"),
            row.number("breaker_a"),
            row.number("continuous_factor"),
            Power::watts(row.number("load_w")),
        )
        .unwrap();
        row.relatively_close("continuous_limit_w", load.continuous_limit.as_watts(), 1e-9);
        row.relatively_close("current_a", load.current_a, 1e-9);
        row.relatively_close("fraction_of_limit", load.fraction_of_limit, 1e-9);
        assert_eq!(load.within_limit.to_string(), row.text("within_limit"));
    }
}

#[test]
fn apparent_powers() {
    for row in rows("13d_apparent_power.csv") {
        let power = Power::watts(row.number("power_w"));
        let load = apparent_power(power, row.number("voltage_v"), row.number("power_factor")).unwrap();
        row.relatively_close("apparent_va", load.apparent_va, 1e-9);
        row.relatively_close("current_a", load.current_a, 1e-9);
    }
}

#[test]
fn masses_and_floor_loads() {
    for row in rows("15a_mass_and_floor_load.csv") {
        let length = |column| Length::millimetres(row.number(column));
        let tank = GlassBox {
            length: length("length_mm"),
            width: length("width_mm"),
            height: length("height_mm"),
            water_depth: length("water_depth_mm"),
            wall: length("wall_mm"),
            bottom: length("bottom_mm"),
        };
        let filled = filled_mass(
            &tank,
            Density::kg_per_m3(row.number("water_density_kg_m3")),
            Mass::kilograms(row.number("rock_kg")),
            Density::kg_per_m3(row.number("rock_density_kg_m3")),
            Mass::kilograms(row.number("stand_kg")),
        )
        .unwrap();
        row.relatively_close("water_volume_l", filled.water_volume.as_litres(), 1e-9);
        row.relatively_close("glass_kg", filled.glass.as_kilograms(), 1e-9);
        row.relatively_close("water_kg", filled.water.as_kilograms(), 1e-9);
        row.relatively_close("total_kg", filled.total.as_kilograms(), 1e-9);
        row.relatively_close("floor_load_kg_m2", filled.floor_load_kg_per_m2, 1e-9);
        row.relatively_close("floor_load_kpa", filled.floor_load_kpa, 1e-9);
    }
}

#[test]
fn a_pump_by_its_two_ends() {
    for row in rows("12g_operating_point_closed_form.csv") {
        let point = pump_operating_point(
            Length::metres(row.number("shutoff_head_m")),
            Flow::litres_per_hour(row.number("max_flow_l_h")),
            Length::metres(row.number("static_head_m")),
            row.number("resistance_m_per_lh2"),
        )
        .unwrap();
        // The table has ten digits.
        row.relatively_close("flow_l_h", point.flow.as_litres_per_hour(), 1e-9);
        row.relatively_close("head_m", point.head.as_metres(), 1e-9);
    }
}

#[test]
fn a_pump_by_points_of_its_curve() {
    let points = rows("12i_pump_curve_points.csv");
    for row in rows("12j_operating_point_from_points.csv") {
        let curve: Vec<(Flow, Length)> = points
            .iter()
            .filter(|point| point.text("curve") == row.text("curve"))
            .map(|point| (Flow::litres_per_hour(point.number("flow_l_h")), Length::metres(point.number("head_m"))))
            .collect();
        let lift = Length::metres(row.number("static_head_m"));
        let point = pump_operating_point_of_curve(&curve, lift, row.number("resistance_m_per_lh2"));
        row.relatively_close("flow_l_h", point.unwrap().flow.as_litres_per_hour(), 1e-8);
        row.relatively_close("head_m", point.unwrap().head.as_metres(), 1e-8);
    }
}
