//! Published examples and hand working for lamps, maps of light, overflows and the heat that a tank gives off.

use super::published::{attempt, close, result};

/// Colour temperatures that CIE 015:2018 prints for its lights (tables 9 to 12, from memory), and the same from the open
/// library colour-science 0.4.7 (Ohno 2013 on sums of 1 nm) to half a kelvin.
#[test]
fn colour_temperatures_of_the_standard() {
    let cct = |light: &str| result("colour-temperature", &[("illuminant", light)], "cct_k");
    for (light, printed, library) in [
        ("A", 2856.0, 2855.6),
        ("C", 6774.0, 6771.6),
        ("D50", 5003.0, 5001.3),
        ("D55", 5503.0, 5501.9),
        ("D65", 6504.0, 6502.7),
        ("D75", 7504.0, 7504.7),
        ("FL1", 6430.0, 6425.6),
        ("FL2", 4230.0, 4225.2),
        ("FL7", 6500.0, 6490.3),
        ("FL9", 4150.0, 4148.0),
        ("FL11", 4000.0, 4000.7),
        ("FL12", 3000.0, 3002.6),
        ("LED-B1", 2733.0, 2734.7),
        ("LED-B3", 4103.0, 4102.5),
        ("LED-B5", 6598.0, 6590.7),
        ("LED-BH1", 2851.0, 2852.3),
        ("LED-RGB1", 2840.0, 2839.5),
        ("LED-V1", 2724.0, 2725.1),
        ("LED-V2", 4070.0, 4072.0),
    ] {
        close(cct(light), printed, 0.002 * printed);
        close(cct(light), library, 0.5);
    }
    for kelvin in ["1500 K", "3000 K", "10000 K", "20000 K"] {
        let wanted: f64 = kelvin.trim_end_matches(" K").parse().unwrap();
        close(cct(&format!("planck {kelvin}")), wanted, 1e-3 * wanted);
    }
    // Above the black bodies (green) the distance is positive, below them negative: D65 +0.0032, C −0.0021 (the library).
    let duv = |light| result("colour-temperature", &[("illuminant", light)], "duv");
    close(duv("D65"), 0.00321, 1e-5);
    close(duv("C"), -0.00214, 1e-5);
    // D65's chromaticity, CIE 015: u 0.1978, v 0.3122.
    close(result("colour-temperature", &[("illuminant", "D65")], "u"), 0.1978, 5e-5);
    close(result("colour-temperature", &[("illuminant", "D65")], "v"), 0.3122, 5e-5);
}

/// 683 lm/W at 555 nm by definition. A black body of 6504 K has 95 lm in each watt of all its light (textbooks, from memory);
/// of what lies in 360 to 830 nm there are 683·∫SV/∫S.
#[test]
fn lumens_in_a_watt() {
    let of = |light| result("luminous-efficacy", &[("illuminant", light)], "efficacy_lm_w");
    close(of("gaussian 555 fwhm 1 nm"), 683.0, 0.5);
    // V(λ) of 1924: 0.503 at 510 nm, 0.107 at 650 nm.
    close(of("gaussian 510 fwhm 1 nm"), 0.503 * 683.0, 1.5);
    close(of("gaussian 650 fwhm 1 nm"), 0.107 * 683.0, 1.5);
    // The three thirds of a light are all of it.
    let share = |from: &str, to: &str| {
        result("photon-share", &[("illuminant", "LED-B4"), ("from_nm", from), ("to_nm", to)], "share")
    };
    close(share("400", "500") + share("500", "600") + share("600", "700"), 1.0, 1e-9);
    // A band that is symmetric about 550 nm: half on each side, and an equal-energy light has ∫λ: (500² − 400²)/(700² − 400²).
    let equal = [("illuminant", "E"), ("from_nm", "400"), ("to_nm", "500")];
    close(result("photon-share", &equal, "share"), 90_000.0 / 330_000.0, 1e-6);
}

/// A lamp by hand: 8600 lm of a light of 60 lx for each µmol/m²/s are 143.3 µmol/s; 65 % of it on 0.36 m² is 258.8 µmol/m²/s at
/// full level. The light is found among the standard's by its own number.
#[test]
fn a_lamp_by_hand() {
    let lux = result("photons-per-lumen", &[("illuminant", "FL7")], "lux_per_umol_m2_s");
    close(lux, 60.58, 0.01);
    let inputs = [
        ("luminous_flux_lm", "8600"),
        ("illuminant", "FL7"),
        ("level_share", "80 %"),
        ("reaching_share", "0.65"),
        ("length_m", "90 cm"),
        ("width_m", "40 cm"),
    ];
    close(result("light-from-lumens", &inputs, "ppfd_umol_m2_s"), 8600.0 / 60.58 * 0.8 * 0.65 / 0.36, 0.1);
    // Its dial, measured at three levels: 20, 46 and 100. Half way from 0.5 to 1 is half way from 0.46 to 1.
    let curve = [("known_level", "0.25 0.5 1"), ("known_light", "20 46 100")];
    let light = |level| result("dimming", &[curve[0], curve[1], ("level", level)], "light_share");
    close(light("0.75"), 0.73, 1e-12);
    close(light("25 %"), 0.2, 1e-12);
    close(light("0.125"), 0.1, 1e-12);
    let level = |share| result("dimming-level", &[curve[0], curve[1], ("light_share", share)], "level");
    close(level("0.73"), 0.75, 1e-12);
    close(level("0.2"), 0.25, 1e-12);
    assert!(
        attempt("dimming", &[("known_level", "0.5 1"), ("known_light", "60 40"), ("level", "1")], "light_share")
            .is_err()
    );
    // Ramps of an hour and a half at both ends of 10:00 to 20:30: 10.5 − 1.5 h by area.
    let day = [("hours_h", "0 10 11.5 19 20.5 24"), ("level", "0 0 1 1 0 0")];
    close(result("hours-at-full-level", &day, "equivalent_hours_h"), 9.0, 1e-12);
    // From 30 to 100: ln(3.333)/ln(1.15) = 8.61, so nine steps of 3.333^(1/9) = 1.1431.
    let steps = |step, output| {
        result("acclimation-steps", &[("from_umol_m2_s", "30"), ("to_umol_m2_s", "100"), ("step", step)], output)
    };
    close(steps("1", "steps"), 9.0, 0.0);
    close(steps("1", "light_umol_m2_s"), 34.29, 0.01);
    close(steps("3", "light_umol_m2_s"), 44.81, 0.01);
    close(steps("9", "light_umol_m2_s"), 100.0, 1e-9);
    close(steps("12", "light_umol_m2_s"), 100.0, 1e-9);
}

/// A map returns the readings at their places, repeats a plane, and halves ln E half way down.
#[test]
fn a_map_of_light_by_hand() {
    let grid = [
        ("x_cm", "0 30 60 0 30 60 0 30 60"),
        ("y_cm", "0 0 0 15 15 15 30 30 30"),
        ("depth_cm", "10 10 10 10 10 10 10 10 10"),
    ];
    let at = |light: &'static str, place: [&'static str; 3], output: &str| {
        let mut inputs = grid.to_vec();
        inputs.push(("ppfd_umol_m2_s", light));
        inputs.extend([("at_x_cm", place[0]), ("at_y_cm", place[1]), ("at_depth_cm", place[2])]);
        result("light-map", &inputs, output)
    };
    // A crooked survey: what was read is what the map says there, whatever stands around it.
    let crooked = "61 99 70 88 145 40 52 97 75";
    for (place, read) in [(["0", "0", "10"], 61.0), (["60", "15", "10"], 40.0), (["30", "15", "10"], 145.0)] {
        close(at(crooked, place, "light_umol_m2_s"), read, 1e-9);
        close(at(crooked, place, "nearest_cm"), 0.0, 1e-9);
    }
    close(at(crooked, ["30", "20", "10"], "nearest_cm"), 5.0, 1e-9);
    assert!(at(crooked, ["0", "0", "10"], "left_out_error") > 0.1);
    // A plane, E = 150 + x + 2y: anywhere on it, and no error of the map. By hand at (20, 10): 150 + 20 + 20.
    let plane = "150 180 210 180 210 240 210 240 270";
    close(at(plane, ["20", "10", "10"], "light_umol_m2_s"), 190.0, 1e-9);
    assert!(at(plane, ["0", "0", "10"], "left_out_error") < 1e-9);
    // Two depths at one place, 200 and 50: half way √(200 × 50), a quarter down 200^¾·50^¼ = 141.4.
    let column = |depth| {
        let inputs = [
            ("x_cm", "10 10"),
            ("y_cm", "10 10"),
            ("depth_cm", "5 25"),
            ("ppfd_umol_m2_s", "200 50"),
            ("at_x_cm", "10"),
            ("at_y_cm", "10"),
            ("at_depth_cm", depth),
        ];
        result("light-map", &inputs, "light_umol_m2_s")
    };
    close(column("15"), 100.0, 1e-9);
    close(column("10"), 141.421356, 1e-6);
}

/// USBR Water Measurement Manual (from memory): Francis, Q = 3.33 L H^1.5 in feet: 2 ft of edge under 0.5 ft pass 2.355 ft³/s.
/// The constant 1.84 of metres is 3.33 rounded: 0.1 %.
#[test]
fn overflows_and_drains() {
    let flow = (2.355 * 0.028_316_846_6 * 3.6e6).to_string();
    let inputs = [("flow_l_h", flow.as_str()), ("edge_m", "0.6096")];
    close(result("weir-head", &inputs, "head_m"), 0.5 * 0.3048, 2e-4);
    // 88.4 × 38.4 cm to the lower mark, 1.1 cm down: 3.7341 L, and 0.6 L from the pipes.
    let drain = [
        ("length_m", "0.884"),
        ("width_m", "0.384"),
        ("over_edge_m", "1.1 cm"),
        ("siphon_depth_m", "8 mm"),
        ("pipes_l", "0.6"),
    ];
    close(result("drain-back", &drain, "drained_l"), 0.884 * 0.384 * 11.0 + 0.6, 1e-9);
    // Affinity: at 70 % speed 70 % of the flow and 49 % of the head.
    let slow = [("shutoff_head_m", "3"), ("max_flow_l_h", "4000"), ("speed", "0.7")];
    close(result("pump-at-speed", &slow, "flow_at_no_head_l_h"), 2800.0, 1e-9);
    close(result("pump-at-speed", &slow, "head_at_no_flow_m"), 1.47, 1e-9);
}

/// ASHRAE Handbook Fundamentals 2017, chapter 1, table 3 (from memory): 3.1697 kPa at 25 °C, 2.3392 at 20 °C. A still surface of
/// 0.24 m² in a room of 20 °C at 50 %: 0.5 × 0.24 × 89 × (3.1697 − 1.1696) = 21.36 W, at 2441.7 kJ/kg 0.7559 kg a day.
#[test]
fn heat_given_off_and_the_hours_it_takes() {
    let tank = [
        ("conductance_w_k", "8"),
        ("area_m2", "0.24"),
        ("activity", "0.5"),
        ("air_velocity_m_s", "0"),
        ("air_temperature_c", "20"),
        ("relative_humidity", "0.5"),
    ];
    let off = |output| {
        let mut inputs = tank.to_vec();
        inputs.push(("water_temperature_c", "25"));
        result("heat-given-off", &inputs, output)
    };
    close(off("sensible_w"), 40.0, 1e-9);
    close(off("evaporation_w"), 21.36, 0.01);
    close(off("evaporated_kg_d"), 0.7559, 1e-3);
    close(off("total_w"), 61.36, 0.01);
    // What it gives off at 25 °C is what holds it at 25 °C.
    let balance = |gain: &str| {
        let mut inputs = tank.to_vec();
        inputs.push(("gain_w", gain));
        result("tank-balance", &inputs, "temperature_c")
    };
    close(balance(&off("total_w").to_string()), 25.0, 1e-6);
    assert!(balance("-30") < 20.0 && balance("-30") > 10.0, "a chiller takes it below the room: {}", balance("-30"));
    // Newton's law without evaporation: 75 L × 1.1350 Wh/K over 8 W/K; from 25 to 22 °C in a room of 20 °C ln(5/2) of that.
    let dry = |from: &str, to: &str, gain: &str| {
        let mut inputs = tank.to_vec();
        inputs[2].1 = "0";
        inputs.extend([("gain_w", gain), ("volume_l", "75"), ("start_temperature_c", from), ("end_temperature_c", to)]);
        attempt("hours-with-evaporation", &inputs, "hours_h")
    };
    let constant = 75.0 * 3993.0 * 1.0233 / 3600.0 / 8.0;
    close(dry("25", "22", "0").unwrap(), constant * (2.5f64).ln(), 1e-6);
    // 80 W lead to 30 °C: from 25 to 28 °C it takes ln(5/2) of the constant again.
    close(dry("25", "28", "80").unwrap(), constant * (2.5f64).ln(), 1e-6);
}
