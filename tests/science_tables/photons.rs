//! Photons and lumens of standard lights, and light under pure water, against a colour-science library.

use super::table::rows;
use polypary::science::photons::*;
use polypary::units::Length;

#[test]
fn photons_in_a_lumen() {
    for row in rows("09a_photons_per_lumen.csv") {
        let spectrum = Spectrum::named(row.text("illuminant")).unwrap();
        let photons = photons_per_lumen(&spectrum, row.number("from_nm"), row.number("to_nm")).unwrap();
        row.relatively_close("photon_flux_per_lumen_umol_s_lm", photons.umol_per_s_per_lumen, 1e-6);
        row.relatively_close("lux_per_umol_m2_s", photons.lux_per_umol_per_m2_s, 1e-6);
        row.relatively_close("photons_per_par_watt_umol_j", photons.umol_per_joule, 1e-6);
    }
}

#[test]
fn printed_lux_of_lamps() {
    let (from, to) = PHOTOSYNTHETIC_NM;
    for row in rows("09b_lux_per_photon_published.csv") {
        let spectrum = Spectrum::named(row.text("compared_illuminant")).unwrap();
        let photons = photons_per_lumen(&spectrum, from, to).unwrap();
        row.relatively_close("published_lux_per_umol_m2_s", photons.lux_per_umol_per_m2_s, 0.08);
    }
}

#[test]
fn absorption_of_pure_water() {
    for row in rows("09e_pure_water_absorption.csv") {
        let absorption = pure_water_absorption_pope_fry_1997_per_m(row.number("wavelength_nm"));
        row.close("absorption_per_m", absorption.unwrap(), 0.0);
    }
}

#[test]
fn light_left_under_pure_water() {
    for row in rows("09f_pure_water_transmission.csv") {
        let spectrum = Spectrum::named(row.text("illuminant")).unwrap();
        let path = Length::metres(row.number("path_m"));
        let left = pure_water_transmission_pope_fry_1997(&spectrum, path).unwrap();
        row.relatively_close("photon_transmission", left, 1e-6);
    }
}
