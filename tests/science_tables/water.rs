//! Salinity, conductivity and density against gsw, seawater and the printed check values.

use super::table::rows;
use polypary::science::density::*;
use polypary::science::salinity::*;
use polypary::units::{PracticalSalinity, Temperature};

#[test]
fn salinity_scale_reproduces_the_printed_check_values() {
    for row in rows("01a_pss78_published_check.csv") {
        let t = Temperature::celsius_68(row.number("temperature_ipts68_c"));
        let s =
            salinity_from_conductivity_ratio_pss_1978(row.number("conductivity_ratio"), t, row.number("pressure_dbar"));
        row.close("published_salinity_psu", s.unwrap().value(), 1e-6);
        row.close("salinity_psu", s.unwrap().value(), 2e-6);
    }
}

#[test]
fn conductivity_both_ways_is_that_of_the_library() {
    for table in ["01b_conductivity_at_25c.csv", "01c_conductivity_grid.csv"] {
        for row in rows(table) {
            let t = Temperature::celsius(row.number("temperature_c"));
            let salinity = PracticalSalinity::new(row.number("salinity_psu"));
            let conductivity = conductivity_pss_1978(salinity, t).unwrap();
            row.close("conductivity_ms_cm", conductivity, 1e-6);
            row.close("conductivity_ratio", conductivity / CONDUCTIVITY_OF_STANDARD_SEAWATER_MS_PER_CM, 1e-9);
            let back = salinity_from_conductivity_pss_1978(conductivity, t).unwrap();
            row.close("salinity_back_psu", back.value(), 1e-8);
            let from_table = salinity_from_conductivity_pss_1978(row.number("conductivity_ms_cm"), t);
            row.close("salinity_psu", from_table.unwrap().value(), 1e-7);
        }
    }
}

#[test]
fn density_reproduces_the_printed_check_values() {
    for row in rows("02a_density_published_check.csv") {
        let density = density_millero_poisson_1981(
            PracticalSalinity::new(row.number("salinity_psu")),
            Temperature::celsius_68(row.number("temperature_ipts68_c")),
        );
        row.close("published_density_kg_m3", density.unwrap().as_kg_per_m3(), 1e-5);
        row.close("density_kg_m3", density.unwrap().as_kg_per_m3(), 1e-6);
    }
}

#[test]
fn density_and_mass_salinity_are_those_of_the_libraries() {
    for row in rows("02b_density_grid.csv") {
        let salinity = PracticalSalinity::new(row.number("salinity_psu"));
        let t = Temperature::celsius(row.number("temperature_c"));
        let density = density_millero_poisson_1981(salinity, t).unwrap().as_kg_per_m3();
        row.close("density_eos80_kg_m3", density, 1e-6);
        // The two equations of state differ by at most this here.
        row.close("density_teos10_kg_m3", density, 0.006);
        let pure = pure_water_density_millero_poisson_1981(t).unwrap().as_kg_per_m3();
        row.close("pure_water_smow_kg_m3", pure, 1e-6);
        let mass = reference_salinity_millero_2008_g_per_kg(salinity).unwrap();
        row.relatively_close("absolute_salinity_g_kg", mass, 1e-9);
    }
}

#[test]
fn specific_gravity_has_three_scales() {
    for row in rows("02c_specific_gravity.csv") {
        let salinity = PracticalSalinity::new(row.number("salinity_psu"));
        for (scale, reference) in [
            ("60f_60f", SIXTY_FAHRENHEIT),
            ("20_20", Temperature::celsius(20.0)),
            ("25_25", Temperature::celsius(25.0)),
        ] {
            let sg = specific_gravity_millero_poisson_1981(salinity, reference).unwrap();
            row.close(&format!("sg_{scale}_eos80"), sg, 1e-9);
            row.close(&format!("sg_{scale}_teos10"), sg, 1e-4);
        }
    }
}

#[test]
fn salinity_from_specific_gravity_is_that_of_the_library() {
    for row in rows("02d_salinity_from_sg.csv") {
        let reference = Temperature::celsius(row.number("reference_temperature_c"));
        let sg = row.number("specific_gravity");
        let salinity = salinity_from_specific_gravity_millero_poisson_1981(sg, reference).unwrap();
        row.close("salinity_eos80_psu", salinity.value(), 1e-6);
    }
}

#[test]
fn a_hydrometer_read_warm_is_corrected_for_water_and_glass() {
    for row in rows("02e_hydrometer_at_other_temperature.csv") {
        let reading = row.number("sg_reading");
        let reference = Temperature::celsius(row.number("reference_temperature_c"));
        let sample = Temperature::celsius(row.number("sample_temperature_c"));
        let expansion = row.number("glass_expansion_per_c");
        let density = hydrometer_density(reading, reference, sample, expansion).unwrap();
        row.close("sample_density_kg_m3", density.as_kg_per_m3(), 1e-6);
        let salinity = salinity_from_hydrometer(reading, reference, sample, expansion).unwrap();
        row.close("salinity_eos80_psu", salinity.value(), 1e-6);
    }
}
