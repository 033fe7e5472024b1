//! How much of the ammonia that a kit reads is the poisonous, un-ionised part.

use super::ph_scale::ph_total_from_nbs;
use super::range::{OutOfRange, within};
use crate::units::{PracticalSalinity, Temperature};

/// Dissociation of ammonium, pK on the total pH scale, mol per kg of seawater.
///
/// pK = 9.244605 − 2729.33(1/298.15 − 1/T) + Σ fᵢ(T)·S^pᵢ − log(1 − 0.001005 S)
///
/// Valid: salinity 0–40, −2–40 °C.
/// Source: [`clegg_whitfield_1995`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{ammonia::*, OutOfRange}, units::*};
/// // In fresh water at 25 °C it is the handbooks' 9.25.
/// let fresh = ammonium_pk_clegg_whitfield_1995(PracticalSalinity::new(0.), Temperature::celsius(25.))?;
/// assert!((fresh - 9.2446).abs() < 1e-4);
/// let hot = Temperature::celsius(77.);
/// assert!(ammonium_pk_clegg_whitfield_1995(PracticalSalinity::new(35.), hot).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn ammonium_pk_clegg_whitfield_1995(
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<f64, OutOfRange> {
    within("temperature", temperature.as_celsius(), -2.0, 40.0, "°C")?;
    let s = within("salinity", salinity.value(), 0.0, 40.0, "")?;
    let t = temperature.as_kelvin();
    let root_t = t.sqrt();
    let root_s = s.sqrt();
    let per_kg_of_water = 9.244605 - 2729.33 * (1.0 / 298.15 - 1.0 / t)
        + (0.04203362 - 11.24742 / t) * root_s.sqrt()
        + (-13.6416 + 1.176949 * root_t - 0.02860785 * t + 545.4834 / t) * root_s
        + (-0.1462507 + 0.0090226468 * root_t - 0.0001471361 * t + 10.5425 / t) * s * root_s
        + (0.004669309 - 0.0001691742 * root_t - 0.5677934 / t) * s * s
        + (-2.354039e-5 + 0.009698623 / t) * s * s * root_s;
    Ok(per_kg_of_water - (1.0 - 0.001005 * s).log10())
}

/// Un-ionised share of all ammonia, at a pH on the total scale.
///
/// fraction = 1/(1 + 10^(pK − pH))
///
/// Multiply a kit's total ammonia by it. A kit that reads free ammonia alone needs no such step.
/// Valid: pH 5–10, the rest as [`ammonium_pk_clegg_whitfield_1995`]. Other published constants differ by 5 %.
/// Source: [`clegg_whitfield_1995`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{ammonia::*, OutOfRange}, units::*};
/// // Half where the pH equals pK.
/// let (s, t) = (PracticalSalinity::new(35.), Temperature::celsius(25.));
/// let pk = ammonium_pk_clegg_whitfield_1995(s, t)?;
/// assert!((ammonia_fraction_clegg_whitfield_1995(pk, s, t)? - 0.5).abs() < 1e-12);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn ammonia_fraction_clegg_whitfield_1995(
    ph_total: f64,
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<f64, OutOfRange> {
    let ph = within("pH", ph_total, 5.0, 10.0, "")?;
    let pk = ammonium_pk_clegg_whitfield_1995(salinity, temperature)?;
    Ok(1.0 / (1.0 + 10f64.powf(pk - ph)))
}

/// Un-ionised share of all ammonia, at a pH as a meter calibrated with dilute buffers shows it.
///
/// Valid: salinity 5–40, 0–40 °C, pH 5–10. The step from the NBS scale is the weak one: allow 15 %.
/// Source: as [`ammonia_fraction_clegg_whitfield_1995`]; scale after [`takahashi_1982`](crate::science::sources).
///
/// ```
/// # use polypary::{science::{ammonia::*, OutOfRange}, units::*};
/// let (s, t) = (PracticalSalinity::new(35.), Temperature::celsius(25.));
/// // The same number on the total scale means less acid, hence more ammonia.
/// let nbs = ammonia_fraction_from_nbs_clegg_whitfield_1995(8.1, s, t)?;
/// let total = ammonia_fraction_clegg_whitfield_1995(8.1, s, t)?;
/// assert!(nbs < 0.8 * total && nbs > 0.6 * total);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn ammonia_fraction_from_nbs_clegg_whitfield_1995(
    ph_nbs: f64,
    salinity: PracticalSalinity,
    temperature: Temperature,
) -> Result<f64, OutOfRange> {
    let ph_total = ph_total_from_nbs(ph_nbs, salinity, temperature)?;
    ammonia_fraction_clegg_whitfield_1995(ph_total, salinity, temperature)
}
