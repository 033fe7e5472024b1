//! Refraction, oxygen, ammonia and the carbonate system against the oceanographic libraries and printed check values.

use super::table::{Row, rows};
use polypary::science::ammonia::*;
use polypary::science::carbonate::*;
use polypary::science::oxygen::*;
use polypary::science::ph_scale::*;
use polypary::science::refraction::*;
use polypary::units::{PracticalSalinity, Temperature};

fn water(row: &Row) -> (PracticalSalinity, Temperature) {
    let salinity = PracticalSalinity::new(row.number("salinity_psu"));
    (salinity, Temperature::celsius(row.number("temperature_c")))
}

#[test]
fn refractive_index() {
    for row in rows("03a_refractive_index.csv") {
        let (salinity, t) = water(&row);
        let wavelength = row.number("wavelength_nm");
        let n = refractive_index_quan_fry_1995(salinity, t, wavelength).unwrap();
        row.close("refractive_index", n, 1e-9);
        let pure = refractive_index_quan_fry_1995(PracticalSalinity::new(0.0), t, wavelength).unwrap();
        row.close("excess_over_pure_water", n - pure, 1e-9);
    }
}

#[test]
fn salinity_from_refractive_index() {
    for row in rows("03b_salinity_from_refractive_index.csv") {
        let t = Temperature::celsius(row.number("temperature_c"));
        let n = row.number("refractive_index");
        let s = salinity_from_refractive_index_quan_fry_1995(n, t, row.number("wavelength_nm")).unwrap();
        row.close("salinity_psu", s.value(), 1e-6);
    }
}

#[test]
fn pure_water_is_that_of_the_steam_tables() {
    for row in rows("03c_pure_water_cross_check.csv") {
        let t = Temperature::celsius(row.number("temperature_c"));
        let pure = PracticalSalinity::new(0.0);
        let n = refractive_index_quan_fry_1995(pure, t, row.number("wavelength_nm")).unwrap();
        row.close("n_quan_fry_s0", n, 1e-9);
        row.close("n_iapws_vs_air", n, 2e-5);
    }
}

#[test]
fn oxygen_saturation() {
    for row in rows("05a_oxygen_saturation.csv") {
        let (salinity, t) = water(&row);
        let oxygen = oxygen_saturation_garcia_gordon_1992(salinity, t).unwrap();
        row.relatively_close("o2_umol_kg", oxygen.umol_per_kg, 1e-8);
        row.relatively_close("o2_umol_l", oxygen.umol_per_l, 1e-8);
        row.relatively_close("o2_mg_l_gg92", oxygen.mg_per_l, 1e-8);
        let other = oxygen_saturation_benson_krause_1984_mg_per_l(salinity, t).unwrap();
        row.relatively_close("o2_mg_l_bk84", other, 1e-8);
        row.relatively_close("o2_mg_l_bk84", oxygen.mg_per_l, 4e-4);
    }
}

#[test]
fn oxygen_reproduces_the_printed_values() {
    for row in rows("05b_oxygen_published_check.csv") {
        let salinity = PracticalSalinity::new(row.number("salinity_psu"));
        let celsius = row.number("temperature_c");
        let got = match row.text("unit") {
            "umol/kg" => {
                let t = Temperature::celsius_68(celsius);
                oxygen_saturation_garcia_gordon_1992(salinity, t).unwrap().umol_per_kg
            }
            "mg/L" => {
                let t = Temperature::celsius(celsius);
                oxygen_saturation_benson_krause_1984_mg_per_l(salinity, t).unwrap()
            }
            other => panic!("unknown unit {other}"),
        };
        row.close("published_value", got, 5e-4);
    }
}

#[test]
fn oxygen_under_less_air() {
    for row in rows("05c_oxygen_at_pressure.csv") {
        let (salinity, t) = water(&row);
        let factor = pressure_factor_benson_krause_1984(row.number("pressure_kpa"), t).unwrap();
        row.relatively_close("pressure_factor", factor, 1e-9);
        let at_sea_level = oxygen_saturation_benson_krause_1984_mg_per_l(salinity, t).unwrap();
        row.relatively_close("o2_mg_l", factor * at_sea_level, 1e-9);
    }
}

#[test]
fn ammonia_on_the_total_scale() {
    for row in rows("06a_ammonia_fraction_total_scale.csv") {
        let (salinity, t) = water(&row);
        let pk = ammonium_pk_clegg_whitfield_1995(salinity, t).unwrap();
        row.close("pk_total_cw95", pk, 1e-8);
        let ph = row.number("ph_total");
        let fraction = ammonia_fraction_clegg_whitfield_1995(ph, salinity, t).unwrap();
        row.relatively_close("nh3_fraction_cw95", fraction, 1e-7);
        // Another published constant differs by up to a twentieth of this one.
        row.close("nh3_fraction_ym95", fraction, 0.05 * fraction);
        row.close("ph_free", ph_scales_from_total(ph, salinity, t).unwrap().free, 1e-8);
    }
}

#[test]
fn ammonia_on_the_scale_of_meters() {
    for row in rows("06b_ammonia_fraction_nbs_scale.csv") {
        let (salinity, t) = water(&row);
        let ph = row.number("ph_nbs");
        row.close("ph_total", ph_total_from_nbs(ph, salinity, t).unwrap(), 1e-8);
        let fraction = ammonia_fraction_from_nbs_clegg_whitfield_1995(ph, salinity, t).unwrap();
        row.relatively_close("nh3_fraction_cw95", fraction, 1e-7);
    }
}

#[test]
fn carbonate_system_on_the_total_scale() {
    for row in rows("07a_aragonite_saturation_total_scale.csv") {
        let (salinity, t) = water(&row);
        let (alkalinity, ph) = (row.number("alkalinity_umol_kg"), row.number("ph_total"));
        let system = carbonate_system(alkalinity, ph, None, salinity, t).unwrap();
        row.relatively_close("calcium_umol_kg", system.calcium_umol_per_kg, 1e-9);
        row.relatively_close("omega_aragonite", system.omega_aragonite, 1e-6);
        row.relatively_close("omega_calcite", system.omega_calcite, 1e-6);
        row.relatively_close("carbonate_umol_kg", system.carbonate_umol_per_kg, 1e-6);
        row.relatively_close("dic_umol_kg", system.dic_umol_per_kg, 1e-6);
        row.relatively_close("pco2_uatm", system.pco2_uatm, 1e-6);
        row.close("ph_nbs", system.ph_nbs, 1e-8);
        row.close("ph_seawater", system.ph_seawater, 1e-8);
    }
}

#[test]
fn carbonate_system_from_what_kits_say() {
    for row in rows("07b_aragonite_from_kit_units.csv") {
        let (salinity, t) = water(&row);
        let system = carbonate_system_from_kits(
            row.number("alkalinity_dkh"),
            row.number("ph_nbs"),
            row.number("calcium_mg_l"),
            salinity,
            t,
        )
        .unwrap();
        row.relatively_close("alkalinity_umol_kg", system.alkalinity_umol_per_kg, 1e-9);
        row.relatively_close("calcium_umol_kg", system.calcium_umol_per_kg, 1e-9);
        row.close("ph_total", system.ph_total, 1e-8);
        row.relatively_close("omega_aragonite", system.omega_aragonite, 1e-6);
        row.relatively_close("carbonate_umol_kg", system.carbonate_umol_per_kg, 1e-6);
        row.relatively_close("dic_umol_kg", system.dic_umol_per_kg, 1e-6);
        row.relatively_close("pco2_uatm", system.pco2_uatm, 1e-6);
    }
}
