//! Published examples that stand in no table here, through the same door as the command's.

use polypary::formula::{Refusal, Typed, find, work_out};

pub fn attempt(name: &str, inputs: &[(&str, &str)], output: &str) -> Result<f64, Refusal> {
    let formula = find(name).unwrap_or_else(|| panic!("the formula {name} is missing"));
    for (key, _) in inputs {
        assert!(formula.input(key).is_some(), "{name} has no input {key}");
    }
    let typed: Vec<Typed> = formula
        .inputs
        .iter()
        .map(|input| {
            let given = inputs.iter().find(|(key, _)| *key == input.key).map(|(_, value)| *value);
            Typed::of(input, given).unwrap_or_else(|why| panic!("{name}, {}: {why}", input.key))
        })
        .collect();
    let place = formula.outputs.iter().position(|known| known.key == output);
    let place = place.unwrap_or_else(|| panic!("{name} has no {output}"));
    Ok(work_out(formula, &typed)?.rows[0][place].unwrap_or_else(|| panic!("{name}: no {output} for these inputs")))
}

pub fn result(name: &str, inputs: &[(&str, &str)], output: &str) -> f64 {
    attempt(name, inputs, output).unwrap_or_else(|why| panic!("{name}: {why}"))
}

pub fn close(got: f64, published: f64, within: f64) {
    assert!((got - published).abs() <= within, "{got} where {published} ± {within} is published");
}

/// Fofonoff & Millard 1983 (UNESCO Technical Paper 44), check value of PSS-78, from memory.
#[test]
fn salinity_at_depth() {
    let inputs = [("conductivity_ratio", "0.65"), ("temperature_ipts68_c", "5"), ("pressure_dbar", "1500")];
    close(result("salinity-from-conductivity-ratio", &inputs, "salinity_psu"), 27.995347, 2e-6);
}

/// Culkin & Smith 1980: 42.914 mS/cm at 15 °C (IPTS-68); at 25 °C 53.07103205 (gsw 3.6.23), there and back.
#[test]
fn conductivity_of_standard_seawater() {
    let at =
        |t| result("conductivity-from-salinity", &[("salinity_psu", "35"), ("temperature_c", t)], "conductivity_ms_cm");
    close(at("14.9964009"), 42.914, 1e-6);
    let back = [("conductivity_25c_ms_cm", "53.07103204872762")];
    close(result("salinity-from-conductivity-at-25c", &back, "salinity_psu"), 35.0, 1e-9);
    close(at("25"), 53.07103204872762, 1e-9);
}

/// US EPA: the limit of 10 mg/L nitrate-nitrogen is 44.3 mg/L nitrate; 1 mg/L PO4-P is 3.066 mg/L PO4 (both from memory).
#[test]
fn forms_of_nutrients() {
    let told = |from, to, value| {
        result("nutrient-units", &[("from_unit", from), ("to_unit", to), ("value", value)], "converted_value")
    };
    close(told("mg/L NO3-N", "mg/L NO3", "10"), 44.3, 0.05);
    close(told("mg/L PO4-P", "mg/L PO4", "1"), 3.066, 5e-4);
    close(told("umol/L", "mg/L NO3", "1"), 0.062004, 1e-9);
    close(told("mmol/L Ca", "mg/L Ca", "10.28"), 412.0, 0.05);
    // Phosphorus pentoxide: 141.943 g/mol for two phosphorus atoms.
    close(told("mg/L P2O5", "mg/L P", "1"), 61.948 / 141.943, 1e-6);
    let mixed = [("from_unit", "mg/L NO3"), ("to_unit", "mg/L PO4"), ("value", "1")];
    assert!(attempt("nutrient-units", &mixed, "converted_value").unwrap_err().0.contains("cannot be told in"));
}

/// Molar masses of any textbook: sulfuric acid, glucose, alum, hexaamminecobalt chloride (by hand from the weights).
#[test]
fn molar_masses_of_other_compounds() {
    let of = |compound| result("molar-mass", &[("compound", compound)], "molar_mass_g_mol");
    close(of("H2SO4"), 98.07, 0.01);
    close(of("C6H12O6"), 180.156, 1e-9);
    close(of("KAl(SO4)2·12H2O"), 474.37, 0.03);
    close(of("[Co(NH3)6]Cl3"), 58.933 + 6.0 * 17.031 + 3.0 * 35.45, 1e-9);
    assert!(attempt("molar-mass", &[("compound", "Xy2")], "molar_mass_g_mol").unwrap_err().0.contains("`Xy`"));
}

/// By hand from the weights: ammonium in its nitrate, sulfate in Epsom salt, borax's two equivalents, and the three of
/// trona (sodium carbonate and bicarbonate in one crystal).
#[test]
fn doses_of_other_compounds() {
    let share = |compound, ion| {
        let inputs = [("compound", compound), ("ion", ion), ("mass_g", "1"), ("volume_l", "1")];
        attempt("dose-raises-ion", &inputs, "mass_fraction_of_ion")
    };
    close(share("NH4NO3", "NH4").unwrap(), 18.039 / 80.043, 1e-9);
    close(share("NH4NO3", "NO3").unwrap(), 62.004 / 80.043, 1e-9);
    close(share("(NH4)2SO4", "NH4").unwrap(), 2.0 * 18.039 / 132.134, 1e-6);
    close(share("MgSO4.7H2O", "SO4").unwrap(), 96.056 / 246.466, 1e-6);
    assert!(share("NaNO2.H2O", "NO3").is_err(), "the water's oxygen is not the ion's");
    let base = |compound| {
        let inputs = [("compound", compound), ("mass_g", "1"), ("volume_l", "1")];
        result("dose-raises-alkalinity", &inputs, "equivalents_per_mol")
    };
    close(base("Na2B4O7.10H2O"), 2.0, 0.0);
    close(base("Na2CO3.NaHCO3.2H2O"), 3.0, 0.0);
}

/// ASHRAE Fundamentals, chapter 1, example 1 (from memory): air of 40 °C with a wet bulb of 20 °C has 14 % humidity, a dew
/// point of 7 °C and 6.5 g of water in a kilogram.
#[test]
fn air_of_the_handbook() {
    let of = |output| {
        let inputs = [("dry_bulb_c", "40"), ("relative_humidity", "14 %"), ("pressure_pa", "101.325 kPa")];
        result("moist-air", &inputs, output)
    };
    close(of("wet_bulb_c"), 20.0, 0.15);
    // The humidity is rounded to a percent, which is half a degree here.
    close(of("dew_point_c"), 7.0, 0.5);
    close(of("humidity_ratio_kg_kg"), 0.0065, 1e-4);
}

/// PsychroLib 2.5.0, GetSatVapPres, GetTDewPointFromRelHum and GetTWetBulbFromRelHum: cold air, in which frost forms.
#[test]
fn frost() {
    close(result("saturation-vapour-pressure", &[("temperature_c", "-20")], "pws_ashrae_kpa"), FROST_PWS, 1e-9);
    let dry = [("dry_bulb_c", "18"), ("relative_humidity", "0.15"), ("pressure_pa", "101325")];
    close(result("moist-air", &dry, "dew_point_c"), FROST_DEW, 1e-3);
    let cold = [("dry_bulb_c", "2"), ("relative_humidity", "0.4"), ("pressure_pa", "101325")];
    close(result("moist-air", &cold, "wet_bulb_c"), FROST_WET, 2e-3);
}
const FROST_PWS: f64 = 0.10326037858050408;
const FROST_DEW: f64 = -8.012513070098546;
const FROST_WET: f64 = -2.047663352006306;

/// White, Fluid Mechanics, example on oil in cast iron pipe (from memory): 0.2 m³/s through 500 m of 200 mm, roughness
/// 0.26 mm, kinematic viscosity 1e-5 m²/s: 6.4 m/s, Reynolds number 128 000, a head of 117 m.
#[test]
fn oil_in_a_long_pipe() {
    let of = |output| {
        let inputs = [
            ("flow_l_h", "720000"),
            ("inner_diameter_m", "200 mm"),
            ("length_m", "500"),
            ("sum_k", "0"),
            ("roughness_m", "0.26 mm"),
            ("density_kg_m3", "900"),
            ("viscosity_pa_s", "0.009"),
        ];
        result("head-loss", &inputs, output)
    };
    close(of("velocity_m_s"), 6.4, 0.05);
    close(of("reynolds"), 128_000.0, 1000.0);
    close(of("total_head_m"), 117.0, 1.5);
}

/// Light: the standard's lights by an open library (colour-science 0.4.7 with the 1 nm rule of the reference tables).
#[test]
fn other_lights_of_the_standard() {
    for (light, lux) in OTHER_LIGHTS {
        let inputs = [("illuminant", *light)];
        let got = result("photons-per-lumen", &inputs, "lux_per_umol_m2_s");
        close(got, *lux, 1e-5 * lux);
    }
    let refusal = attempt("photons-per-lumen", &[("illuminant", "LED-B9")], "lux_per_umol_m2_s").unwrap_err();
    assert!(refusal.0.contains("did you mean `LED-B1`?"), "{refusal}");
}
const OTHER_LIGHTS: &[(&str, f64)] = &[
    ("A", 50.25662892),
    ("B", 54.78141683),
    ("C", 53.78660673),
    ("D50", 56.19735250),
    ("D55", 56.15498343),
    ("D75", 54.58541766),
    ("E", 52.91372031),
    ("FL1", 69.18969113),
    ("FL3", 79.73353890),
    ("FL4", 80.52887259),
    ("FL7", 60.58064039),
    ("FL12", 78.12075644),
    ("FL3.1", 80.32138860),
    ("FL3.8", 77.12033538),
    ("FL3.15", 57.78618605),
    ("HP1", 85.84086690),
    ("HP2", 52.55784899),
    ("LED-BH1", 73.27235195),
    ("LED-V2", 56.57323409),
    ("ID50", 57.15730129),
    ("ID65", 56.30591528),
];

/// Balances by hand: what salt, fresh water and changes do.
#[test]
fn water_that_is_mixed_and_changed() {
    let changes = [("before_mg_l", "16"), ("volume_l", "100"), ("changes_l", "25 25")];
    close(result("water-changes", &changes, "after_mg_l"), 9.0, 1e-12);
    let target = [("before_mg_l", "20"), ("wanted_mg_l", "15"), ("volume_l", "50gal"), ("change_l", "10gal")];
    close(result("water-change-for-target", &target, "at_once_l"), 12.5 * 3.785411784, 1e-9);
    // ln 0.75 / ln 0.8.
    close(result("water-change-for-target", &target, "changes"), 1.289_224_2, 1e-6);
    // 1.0234 kg/L (UNESCO 1981, 25 °C) × 35.165 g/kg.
    let salt = [("volume_l", "1"), ("salinity_psu", "35"), ("temperature_c", "25")];
    close(result("salt-for-mixing", &salt, "salt_g"), 35.986, 1e-3);
    let ppm = [("mg_kg", "1000"), ("salinity_psu", "35"), ("temperature_c", "24.9940014")];
    close(result("ppm-to-mg-per-l", &ppm, "mg_l"), 1023.34306, 1e-5);
}

/// Crane TP-410 (2009) by the library fluids 1.3.1: K of a one-inch pipe, to the 2 % that the approximation allows.
#[test]
fn fittings() {
    for (fitting, k) in [
        ("elbow-90", 0.66756618),
        ("elbow 45", 0.356035296),
        ("tee-branch", 1.33513236),
        ("check-valve", 2.2252206),
        ("exit", 1.0),
    ] {
        let got = result("fitting-loss", &[("fitting", fitting), ("inner_diameter_m", "0.02664")], "k");
        close(got, k, 0.02 * k);
    }
}
