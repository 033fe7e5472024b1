//! Atomic weights, doses and nutrient units against sums of the published weights.

use super::table::rows;
use polypary::science::formula::{Composition, ELEMENTS, molar_mass_g_per_mol};
use polypary::science::stoichiometry::*;
use polypary::units::{Mass, Volume};

#[test]
fn atomic_weights_are_the_published_ones() {
    for row in rows("08a_atomic_weights.csv") {
        let element = ELEMENTS.iter().find(|element| element.symbol == row.text("element")).unwrap();
        row.close("atomic_weight_g_mol", element.weight, 0.0);
        row.close("stated_uncertainty_g_mol", element.uncertainty, 0.0);
    }
}

#[test]
fn molar_masses() {
    for row in rows("08b_molar_masses.csv") {
        let formula = row.text("compound");
        row.relatively_close("molar_mass_g_mol", molar_mass_g_per_mol(formula).unwrap(), 1e-9);
        row.relatively_close("molar_mass_periodictable_g_mol", molar_mass_g_per_mol(formula).unwrap(), 1e-4);
        assert_eq!(Composition::of(formula), Composition::of(row.text("atoms")), "{formula}");
    }
}

#[test]
fn nutrient_units() {
    for row in rows("08c_nutrient_unit_conversions.csv") {
        let converted = convert_nutrient(row.number("value"), row.text("from_unit"), row.text("to_unit"));
        row.relatively_close("converted_value", converted.unwrap(), 1e-9);
    }
}

#[test]
fn nitrogen_to_phosphorus_by_moles() {
    for row in rows("08d_redfield.csv") {
        let ratio = nitrogen_to_phosphorus(row.number("no3_mg_l"), row.number("po4_mg_l")).unwrap();
        row.relatively_close("nitrogen_umol_l", ratio.nitrogen_umol_per_l, 1e-9);
        row.relatively_close("phosphorus_umol_l", ratio.phosphorus_umol_per_l, 1e-9);
        row.relatively_close("n_to_p_molar", ratio.ratio, 1e-9);
        row.relatively_close("times_redfield_16", ratio.times_redfield, 1e-9);
    }
}

#[test]
fn doses_raise_ions() {
    for row in rows("08e_dose_raises_ion.csv") {
        let (compound, ion) = (row.text("compound"), row.text("ion"));
        let (mass, volume) = (Mass::grams(row.number("mass_g")), Volume::litres(row.number("volume_l")));
        row.relatively_close("mass_fraction_of_ion", ion_mass_fraction(compound, ion).unwrap(), 1e-9);
        row.relatively_close("rise_mg_l", ion_rise_mg_per_l(compound, ion, mass, volume).unwrap(), 1e-9);
    }
}

#[test]
fn doses_raise_alkalinity() {
    for row in rows("08f_dose_raises_alkalinity.csv") {
        let compound = row.text("compound");
        let (mass, volume) = (Mass::grams(row.number("mass_g")), Volume::litres(row.number("volume_l")));
        let rise = alkalinity_rise(compound, mass, volume).unwrap();
        row.close("equivalents_per_mol", equivalents_per_mol(compound).unwrap(), 0.0);
        row.relatively_close("rise_meq_l", rise.meq_per_l, 1e-9);
        row.relatively_close("rise_dkh", rise.dkh, 1e-9);
        row.relatively_close("rise_mg_l_caco3", rise.mg_per_l_caco3, 1e-9);
    }
}

#[test]
fn alkalinity_units() {
    for row in rows("07c_alkalinity_units.csv") {
        let alkalinity = Alkalinity::from_dkh(row.number("alkalinity_dkh"));
        row.relatively_close("alkalinity_meq_l", alkalinity.meq_per_l, 1e-9);
        row.relatively_close("alkalinity_mg_l_caco3", alkalinity.mg_per_l_caco3, 1e-9);
    }
}
