//! The scales on which pH is told, and the minor ions that set them apart.
//!
//! A constant and a pH must be on the same scale: seawater's total scale lies 0.14 below the NBS scale on which meters
//! are calibrated with dilute buffers.

use super::range::{OutOfRange, within};
use crate::units::{PracticalSalinity, Temperature};

/// Salt and warmth of a water, checked once for every constant of the carbonate system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Water {
    pub salinity: f64,
    pub kelvin: f64,
}

impl Water {
    pub fn new(salinity: PracticalSalinity, temperature: Temperature) -> Result<Water, OutOfRange> {
        within("temperature", temperature.as_celsius(), 0.0, 40.0, "°C")?;
        Ok(Water { salinity: within("salinity", salinity.value(), 5.0, 45.0, "")?, kelvin: temperature.as_kelvin() })
    }

    /// Chlorinity, ‰, in proportion to salinity.
    pub fn chlorinity(&self) -> f64 {
        self.salinity / 1.80655
    }

    /// Total sulfate, mol/kg, after Morris & Riley 1966.
    fn sulfate(&self) -> f64 {
        0.14 / 96.062 * self.chlorinity()
    }

    /// Total fluoride, mol/kg, after Riley 1965.
    fn fluoride(&self) -> f64 {
        0.000067 / 18.998 * self.chlorinity()
    }

    /// Dissociation of bisulfate, mol/kg on the free scale, after Dickson 1990.
    fn bisulfate_constant(&self) -> f64 {
        let (s, t) = (self.salinity, self.kelvin);
        let ionic_strength = 19.924 * s / (1000.0 - 1.005 * s);
        let root = ionic_strength.sqrt();
        let ln_t = t.ln();
        let ln_k = -4276.1 / t + 141.328 - 23.093 * ln_t
            + (-13856.0 / t + 324.57 - 47.986 * ln_t) * root
            + (35474.0 / t - 771.54 + 114.723 * ln_t) * ionic_strength
            + (-2698.0 / t) * ionic_strength * root
            + (1776.0 / t) * ionic_strength * ionic_strength;
        // From mol/kg of water to mol/kg of seawater.
        ln_k.exp() * (1.0 - 0.001005 * s)
    }

    /// Dissociation of hydrogen fluoride, mol/kg on the free scale, after Perez & Fraga 1987.
    fn fluoride_constant(&self) -> f64 {
        (874.0 / self.kelvin - 9.68 + 0.111 * self.salinity.sqrt()).exp()
    }

    /// [H⁺] on the total scale over that on the free scale.
    fn total_over_free(&self) -> f64 {
        1.0 + self.sulfate() / self.bisulfate_constant()
    }

    /// [H⁺] on the total scale over that on the seawater scale.
    pub fn total_over_seawater(&self) -> f64 {
        self.total_over_free() / (self.total_over_free() + self.fluoride() / self.fluoride_constant())
    }

    /// Apparent activity coefficient of H⁺, which joins the NBS and the seawater scale, after Takahashi et al. 1982.
    fn nbs_over_seawater(&self) -> f64 {
        let s = self.salinity;
        1.2948 - 0.002036 * self.kelvin + (0.0004607 - 0.000001475 * self.kelvin) * s * s
    }

    /// The free acids that alkalinity counts against itself, mol/kg: H⁺, bisulfate, hydrogen fluoride.
    pub fn acids(&self, hydrogen_total: f64) -> f64 {
        let free = hydrogen_total / self.total_over_free();
        free + self.sulfate() / (1.0 + self.bisulfate_constant() / free)
            + self.fluoride() / (1.0 + self.fluoride_constant() / free)
    }

    pub fn total_from_nbs(&self, ph_nbs: f64) -> f64 {
        ph_nbs - (self.total_over_seawater() / self.nbs_over_seawater()).log10()
    }
}

/// One pH on the scales in use.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhScales {
    pub total: f64,
    pub seawater: f64,
    pub free: f64,
    /// The scale of the dilute buffers with which meters are calibrated. A real electrode differs from it in seawater
    /// by some hundredths.
    pub nbs: f64,
}

/// A pH on the total scale told on the others.
///
/// pH_free = pH_T + log(1 + S_T/K_S); pH_SWS = pH_T + log(T/SWS); pH_NBS = pH_SWS − log f_H
///
/// Valid: salinity 5–45, 0–40 °C, pH 5–10.
/// Source: [`dickson_1990a`, `perez_fraga_1987`, `morris_riley_1966`, `riley_1965`](crate::science::sources); the NBS
/// step after [`takahashi_1982`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{ph_scale::*, OutOfRange}, units::*};
/// let ph = ph_scales_from_total(8.1, PracticalSalinity::new(35.), Temperature::celsius(25.))?;
/// assert!((ph.nbs - 8.1 - 0.137).abs() < 1e-3);
/// // Dickson, Sabine & Christian 2007: the seawater scale lies about 0.01 below the total one.
/// assert!((8.1 - ph.seawater - 0.010).abs() < 1e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn ph_scales_from_total(
    ph_total: f64,
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<PhScales, OutOfRange> {
    let water = Water::new(salinity, temperature)?;
    let total = within("pH", ph_total, 5.0, 10.0, "")?;
    Ok(PhScales {
        total,
        seawater: total + water.total_over_seawater().log10(),
        free: total + water.total_over_free().log10(),
        nbs: total + (water.total_over_seawater() / water.nbs_over_seawater()).log10(),
    })
}

/// A meter's pH on the NBS scale told on the total scale.
///
/// Validity and source as [`ph_scales_from_total`], pH 5–10 on the NBS scale.
///
/// ```
/// # use polypary::{science::{ph_scale::*, OutOfRange}, units::*};
/// let (s, t) = (PracticalSalinity::new(35.), Temperature::celsius(25.));
/// let total = ph_total_from_nbs(8.2, s, t)?;
/// assert!((ph_scales_from_total(total, s, t)?.nbs - 8.2).abs() < 1e-12);
/// assert!(ph_total_from_nbs(82., s, t).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn ph_total_from_nbs(
    ph_nbs: f64,
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<f64, OutOfRange> {
    let ph_nbs = within("pH", ph_nbs, 5.0, 10.0, "")?;
    Ok(Water::new(salinity, temperature)?.total_from_nbs(ph_nbs))
}
