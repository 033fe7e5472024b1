//! The carbonate system: what alkalinity and pH together say about carbonate, carbon dioxide and aragonite.

use super::density::density_millero_poisson_1981;
use super::formula::molar_mass_g_per_mol;
use super::ph_scale::{Water, ph_scales_from_total};
use super::range::{OutOfRange, positive, within};
use super::stoichiometry::Alkalinity;
use crate::units::{PracticalSalinity, Temperature};

/// Total borate in a kilogram of seawater for each unit of salinity, mol.
///
/// Uppström's ratio to chlorinity, 0.000232/10.811 mol/g, in the rounded form 0.0004157·S/35 that carbonate
/// programs use; the unrounded one gives 0.015 % more.
/// Source: [`uppstrom_1974`](crate::science::sources).
const TOTAL_BORATE_PER_SALINITY: f64 = 0.0004157 / 35.0;

/// The carbonate system of a water. Concentrations in µmol per kg of seawater.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarbonateSystem {
    pub alkalinity_umol_per_kg: f64,
    pub ph_total: f64,
    pub ph_nbs: f64,
    pub ph_seawater: f64,
    pub calcium_umol_per_kg: f64,
    /// Saturation state: above 1 aragonite, the mineral of coral skeletons, can form; below 1 it dissolves.
    pub omega_aragonite: f64,
    pub omega_calcite: f64,
    pub carbonate_umol_per_kg: f64,
    /// Dissolved inorganic carbon: carbon dioxide, bicarbonate and carbonate.
    pub dic_umol_per_kg: f64,
    /// Partial pressure of carbon dioxide, µatm; the open air has a little over 420.
    pub pco2_uatm: f64,
}

/// The carbonate system from alkalinity, pH and calcium.
///
/// DIC = A_C·(h² + K₁h + K₁K₂)/(K₁(h + 2K₂)), A_C = A_T − B_T K_B/(K_B + h) − K_W/h + h_F + HSO₄ + HF;
/// Ω = Ca·CO₃/K_sp
///
/// `alkalinity_umol_per_kg` is total alkalinity, `ph_total` on the total scale; `calcium_umol_per_kg` is None for the
/// calcium of ocean salt in proportion to salinity. No phosphate, silicate or organic acid is counted.
/// Valid: salinity 19–43, 2–35 °C, alkalinity 100–20 000 µmol/kg, pH 6–10.
/// Errors: out of these ranges, or less carbonate alkalinity than borate alone takes at that pH.
/// Source: [`lueker_2000`](crate::science::sources) for K₁ and K₂; [`dickson_1990b`](crate::science::sources) for K_B;
/// [`uppstrom_1974`](crate::science::sources) for borate; [`millero_1995`](crate::science::sources) for K_W;
/// [`mucci_1983`](crate::science::sources) for K_sp; [`riley_tongudai_1967`](crate::science::sources) for calcium;
/// [`weiss_1974`](crate::science::sources) for carbon dioxide; scales as
/// [`ph_scales_from_total`].
///
/// ```
/// # use polypary::{science::{carbonate::*, OutOfRange}, units::*};
/// let sea = carbonate_system(2300., 8.1, None, PracticalSalinity::new(35.), Temperature::celsius(25.))?;
/// // The warm surface ocean: about three and a half times saturated, near the air in carbon dioxide.
/// assert!((3.0..4.0).contains(&sea.omega_aragonite) && (300.0..450.0).contains(&sea.pco2_uatm));
/// // Riley & Tongudai 1967: 10.28 mmol of calcium in a kilogram of salinity 35.
/// assert!((sea.calcium_umol_per_kg - 10_284.57).abs() < 0.01);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn carbonate_system(
    alkalinity_umol_per_kg: f64,
    ph_total: f64,
    calcium_umol_per_kg: Option<f64>,
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<CarbonateSystem, OutOfRange> {
    within("salinity", salinity.value(), 19.0, 43.0, "")?;
    within("temperature", temperature.as_celsius(), 2.0, 35.0, "°C")?;
    let alkalinity = within("alkalinity", alkalinity_umol_per_kg, 100.0, 20_000.0, "µmol/kg")?;
    let ph = within("pH", ph_total, 6.0, 10.0, "")?;
    let water = Water::new(salinity, temperature)?;
    let calcium = match calcium_umol_per_kg {
        Some(calcium) => positive("calcium", calcium, "µmol/kg")?,
        None => 1e6 * 0.02128 / 40.087 * water.chlorinity(),
    };

    let constants = Constants::of(&water);
    let h = 10f64.powf(-ph);
    let borate = TOTAL_BORATE_PER_SALINITY * water.salinity * constants.borate / (constants.borate + h);
    let carbonate_alkalinity = alkalinity * 1e-6 - borate - constants.water / h + water.acids(h);
    // Below this, borate and hydroxide alone exceed the alkalinity: the readings contradict each other.
    positive("alkalinity left for carbonate", carbonate_alkalinity * 1e6, "µmol/kg")?;
    let Constants { first, second, .. } = constants;
    let shares = h * h + first * h + first * second;
    let dic = carbonate_alkalinity * shares / (first * (h + 2.0 * second));
    let carbonate = dic * first * second / shares;
    let carbon_dioxide = dic * h * h / shares;
    let product = calcium * 1e-6 * carbonate;
    let scales = ph_scales_from_total(ph, salinity, temperature)?;
    Ok(CarbonateSystem {
        alkalinity_umol_per_kg: alkalinity,
        ph_total: ph,
        ph_nbs: scales.nbs,
        ph_seawater: scales.seawater,
        calcium_umol_per_kg: calcium,
        omega_aragonite: product / constants.aragonite,
        omega_calcite: product / constants.calcite,
        carbonate_umol_per_kg: carbonate * 1e6,
        dic_umol_per_kg: dic * 1e6,
        pco2_uatm: carbon_dioxide * 1e6 / (constants.solubility * fugacity_factor(&water)),
    })
}

/// The carbonate system from what kits and meters say: alkalinity in dKH, pH on the NBS scale, calcium in mg/L.
///
/// Per litre becomes per kilogram with the density of seawater at the sample's temperature.
/// Valid and errors: as [`carbonate_system`], pH 6–10 on the NBS scale.
/// Source: as [`carbonate_system`]; density [`millero_poisson_1981`](crate::science::sources); NBS scale
/// [`takahashi_1982`](crate::science::sources), the weak step: allow 15 % of Ω.
///
/// ```
/// # use polypary::{science::{carbonate::*, OutOfRange}, units::*};
/// let tank = carbonate_system_from_kits(
///     8.0, 8.2, 420., PracticalSalinity::new(35.), Temperature::celsius(25.))?;
/// // 8 dKH is 2.853 meq/L, over 1.02334 kg/L.
/// assert!((tank.alkalinity_umol_per_kg - 2788.14).abs() < 0.01);
/// let ph_as_percent = carbonate_system_from_kits(
///     8.0, 82., 420., PracticalSalinity::new(35.), Temperature::celsius(25.));
/// assert!(ph_as_percent.is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn carbonate_system_from_kits(
    alkalinity_dkh: f64,
    ph_nbs: f64,
    calcium_mg_per_l: f64,
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<CarbonateSystem, OutOfRange> {
    let dkh = positive("alkalinity", alkalinity_dkh, "dKH")?;
    let calcium = positive("calcium", calcium_mg_per_l, "mg/L")?;
    let kg_per_l = density_millero_poisson_1981(salinity, temperature)?.as_kg_per_m3() / 1000.0;
    let ph_nbs = within("pH", ph_nbs, 6.0, 10.0, "")?;
    let ph_total = Water::new(salinity, temperature)?.total_from_nbs(ph_nbs);
    let calcium_g_per_mol = molar_mass_g_per_mol("Ca").expect("calcium is an element");
    carbonate_system(
        Alkalinity::from_dkh(dkh).meq_per_l * 1000.0 / kg_per_l,
        ph_total,
        Some(calcium / calcium_g_per_mol * 1000.0 / kg_per_l),
        salinity,
        temperature,
    )
}

/// Equilibrium constants on the total scale, per kg of seawater.
#[derive(Debug, Clone, Copy)]
struct Constants {
    first: f64,
    second: f64,
    borate: f64,
    water: f64,
    aragonite: f64,
    calcite: f64,
    /// Carbon dioxide dissolved under one atmosphere of it, mol/(kg atm).
    solubility: f64,
}

impl Constants {
    fn of(water: &Water) -> Constants {
        let (s, t) = (water.salinity, water.kelvin);
        let (ln_t, root_s) = (t.ln(), s.sqrt());
        let pk1 = 3633.86 / t - 61.2172 + 9.67770 * ln_t - 0.011555 * s + 0.0001152 * s * s;
        let pk2 = 471.78 / t + 25.9290 - 3.16967 * ln_t - 0.01781 * s + 0.0001122 * s * s;
        let ln_borate = (-8966.90 - 2890.53 * root_s - 77.942 * s + 1.728 * s * root_s - 0.0996 * s * s) / t
            + 148.0248
            + 137.1942 * root_s
            + 1.62142 * s
            + (-24.4344 - 25.085 * root_s - 0.2474 * s) * ln_t
            + 0.053105 * root_s * t;
        // Fitted on the seawater scale.
        let ln_water =
            148.9802 - 13847.26 / t - 23.6521 * ln_t + (-5.977 + 118.67 / t + 1.0495 * ln_t) * root_s - 0.01615 * s;
        let log_aragonite = -171.945 - 0.077993 * t
            + 2903.293 / t
            + 71.595 * t.log10()
            + (-0.068393 + 0.0017276 * t + 88.135 / t) * root_s
            - 0.10018 * s
            + 0.0059415 * s * root_s;
        let log_calcite = -171.9065 - 0.077993 * t
            + 2839.319 / t
            + 71.595 * t.log10()
            + (-0.77712 + 0.0028426 * t + 178.34 / t) * root_s
            - 0.07711 * s
            + 0.0041249 * s * root_s;
        let hundredth = t / 100.0;
        let ln_solubility = -60.2409
            + 93.4517 / hundredth
            + 23.3585 * hundredth.ln()
            + s * (0.023517 - 0.023656 * hundredth + 0.0047036 * hundredth * hundredth);
        Constants {
            first: 10f64.powf(-pk1),
            second: 10f64.powf(-pk2),
            borate: ln_borate.exp(),
            water: ln_water.exp() * water.total_over_seawater(),
            aragonite: 10f64.powf(log_aragonite),
            calcite: 10f64.powf(log_calcite),
            solubility: ln_solubility.exp(),
        }
    }
}

/// Fugacity over partial pressure of carbon dioxide at one atmosphere, after Weiss 1974.
fn fugacity_factor(water: &Water) -> f64 {
    let t = water.kelvin;
    let virial = -1636.75 + 12.0408 * t - 0.0327957 * t * t + 3.16528e-5 * t * t * t;
    let mixed = 57.7 - 0.118 * t;
    // cm³ bar/(mol K), and the atmosphere in bar.
    ((virial + 2.0 * mixed) * 1.01325 / (83.14462618 * t)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Dickson, Sabine & Christian 2007, chapter 5, check values at salinity 35 and 25 °C.
    #[test]
    fn constants_reproduce_the_printed_check_values() {
        let water = Water::new(PracticalSalinity::new(35.0), Temperature::celsius(25.0)).unwrap();
        let constants = Constants::of(&water);
        assert!((constants.first.log10() + 5.8472).abs() < 1e-4);
        assert!((constants.second.log10() + 8.9660).abs() < 1e-4);
        assert!((constants.borate.ln() + 19.7964).abs() < 1e-4);
        // The same chapter, from memory: ln K₀ = −3.5617.
        assert!((constants.solubility.ln() + 3.5617).abs() < 1e-4);
    }

    #[test]
    fn readings_that_contradict_each_other_are_refused() {
        let (s, t) = (PracticalSalinity::new(35.0), Temperature::celsius(25.0));
        let refusal = carbonate_system(100.0, 9.5, None, s, t).unwrap_err();
        assert_eq!(refusal.quantity, "alkalinity left for carbonate");
        assert!(carbonate_system(2300.0, 8.1, None, PracticalSalinity::new(5.0), t).is_err());
        assert!(carbonate_system(2300.0, 8.1, None, s, Temperature::celsius(77.0)).is_err());
        assert!(carbonate_system(2.3, 8.1, None, s, t).is_err());
        assert!(carbonate_system(2300.0, 8.1, Some(0.0), s, t).is_err());
    }
}
