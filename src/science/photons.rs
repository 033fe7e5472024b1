//! Photons, lumens and the light that water takes away, for any spectrum.

use super::range::{OutOfRange, not_negative, positive, within};
use super::spectra::{LUMINOUS_EFFICIENCY, PURE_WATER_ABSORPTION_PER_M};
use super::standard_lights::STANDARD_LIGHTS;
use crate::units::Length;

/// Speed of light, m/s. Source: [`si_brochure_2019`](crate::science::sources), as the next three.
const SPEED_OF_LIGHT: f64 = 299_792_458.0;
/// Planck's constant, J s.
const PLANCK: f64 = 6.62607015e-34;
/// Boltzmann's constant, J/K.
const BOLTZMANN: f64 = 1.380649e-23;
/// Avogadro's constant, 1/mol.
const AVOGADRO: f64 = 6.02214076e23;

/// Lumens of a watt where the eye is most sensitive, as the standard rounds it. Source:
/// [`cie_015_2018`](crate::science::sources).
pub const LUMENS_PER_WATT: f64 = 683.002;

/// Ends of the table of the eye's sensitivity, nm.
pub(super) const VISIBLE_NM: (f64, f64) = (360.0, 830.0);

/// Wavelengths that photosynthesis uses, by convention, nm.
pub const PHOTOSYNTHETIC_NM: (f64, f64) = (400.0, 700.0);

/// The power of a light at each wavelength, in any unit: points joined by straight lines, and nothing outside them.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum {
    points: Vec<(f64, f64)>,
}

impl Spectrum {
    /// A measured spectrum: (wavelength in nm, power in any unit), in any order.
    ///
    /// Errors: fewer than two points, two of one wavelength, wavelengths outside 100–3000 nm, a negative power.
    ///
    /// ```
    /// # use polypary::science::photons::Spectrum;
    /// let spectrum = Spectrum::of_points(&[(500., 1.), (400., 0.)]).unwrap();
    /// assert_eq!((spectrum.at(450.), spectrum.at(600.)), (0.5, 0.));
    /// assert!(Spectrum::of_points(&[(0.45, 1.), (0.5, 2.)]).is_err()); // micrometres
    /// ```
    pub fn of_points(points: &[(f64, f64)]) -> Result<Spectrum, OutOfRange> {
        within("points of a spectrum", points.len() as f64, 2.0, f64::INFINITY, "")?;
        for &(nm, power) in points {
            within("wavelength", nm, 100.0, 3000.0, "nm")?;
            not_negative("power of a spectrum", power, "")?;
        }
        let mut points = points.to_vec();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in points.windows(2) {
            positive("distance of two points of a spectrum", pair[1].0 - pair[0].0, "nm")?;
        }
        Ok(Spectrum { points })
    }

    /// A black body.
    ///
    /// S ∝ λ⁻⁵/(exp(hc/λkT) − 1)
    ///
    /// Valid: 1000–100 000 K.
    /// Source: Planck 1900 with the constants of [`si_brochure_2019`](crate::science::sources).
    pub fn planck(kelvin: f64) -> Result<Spectrum, OutOfRange> {
        let t = within("temperature of a black body", kelvin, 1000.0, 100_000.0, "K")?;
        Ok(Spectrum::of_formula(|nm| {
            let metres = nm * 1e-9;
            let exponent = PLANCK * SPEED_OF_LIGHT / (metres * BOLTZMANN * t);
            (560.0 / nm).powi(5) / exponent.exp_m1()
        }))
    }

    /// A band with a peak and a width at half its height, such as a coloured light-emitting diode has.
    ///
    /// S ∝ exp(−4 ln 2 ((λ − peak)/width)²)
    ///
    /// Valid: peak 360–830 nm, width 1–300 nm.
    pub fn gaussian(peak_nm: f64, width_nm: f64) -> Result<Spectrum, OutOfRange> {
        let peak = within("wavelength", peak_nm, VISIBLE_NM.0, VISIBLE_NM.1, "nm")?;
        let width = within("width of a band", width_nm, 1.0, 300.0, "nm")?;
        Ok(Spectrum::of_formula(|nm| (-4.0 * std::f64::consts::LN_2 * ((nm - peak) / width).powi(2)).exp()))
    }

    /// A light by its name: `A`, `B`, `C`, `D50` to `D75`, `E`, `FL1` to `FL12`, `FL3.1` to `FL3.15`, `HP1` to `HP5`,
    /// `LED-B1` to `LED-B5`, `LED-BH1`, `LED-RGB1`, `LED-V1`, `LED-V2`, `ID50`, `ID65`, `planck 6500 K`,
    /// `gaussian 450 fwhm 20 nm`. Capitals do not count. None for any other name.
    ///
    /// Source: [`cie_015_2018`](crate::science::sources) for those without numbers in their names.
    ///
    /// ```
    /// # use polypary::science::photons::Spectrum;
    /// let blue = Spectrum::named("gaussian 450 fwhm 20 nm").unwrap();
    /// assert_eq!(blue.at(450.), 1.0);
    /// assert!((blue.at(460.) - 0.5).abs() < 1e-12);
    /// // CIE 015: light E has the same power everywhere, D50 is 100 at 560 nm.
    /// assert_eq!(Spectrum::named("E").unwrap().at(432.1), 100.0);
    /// assert_eq!(Spectrum::named("d 50").unwrap().at(560.), 100.0);
    /// assert!(Spectrum::named("moonlight").is_none());
    /// ```
    pub fn named(name: &str) -> Option<Spectrum> {
        let name = name.to_uppercase();
        let words: Vec<&str> = name.split_whitespace().collect();
        match words.as_slice() {
            ["PLANCK", kelvin, "K"] | ["PLANCK", kelvin] => {
                Spectrum::planck(kelvin.trim_end_matches('K').parse().ok()?).ok()
            }
            ["GAUSSIAN", peak, "FWHM", width, "NM"] => Spectrum::gaussian(peak.parse().ok()?, width.parse().ok()?).ok(),
            // The filament lamp of the standard is defined by this formula, with a constant of its time; like the
            // other lights it is taken every 5 nm up to 780 nm.
            ["A"] => {
                let falling = |nm: f64| (1.435e7 / (2848.0 * nm)).exp_m1();
                let power = |nm: f64| 100.0 * (560.0 / nm).powi(5) * falling(560.0) / falling(nm);
                let points = (72..=156).map(|step| f64::from(step) * 5.0).map(|nm| (nm, power(nm)));
                Some(Spectrum { points: points.collect() })
            }
            [_] | [_, _] => {
                let name = words.concat();
                let light = STANDARD_LIGHTS.iter().find(|light| light.name == name)?;
                let nm = |index: usize| light.first_nm + 5.0 * index as f64;
                let points = light.power.iter().enumerate().map(|(i, power)| (nm(i), *power)).collect();
                Some(Spectrum { points })
            }
            _ => None,
        }
    }

    /// The points by wavelength: nm and power.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// Power at a wavelength.
    pub fn at(&self, nm: f64) -> f64 {
        let next = self.points.partition_point(|point| point.0 < nm);
        match (next.checked_sub(1).map(|before| self.points[before]), self.points.get(next)) {
            (_, Some(&(exact, power))) if exact == nm => power,
            (Some((low, low_power)), Some(&(high, high_power))) => {
                low_power + (high_power - low_power) * (nm - low) / (high - low)
            }
            _ => 0.0,
        }
    }

    /// The names of the lights of the standard that are kept as tables.
    pub fn standard_names() -> impl Iterator<Item = &'static str> {
        STANDARD_LIGHTS.iter().map(|light| light.name)
    }

    fn of_formula(power: impl Fn(f64) -> f64) -> Spectrum {
        let (first, last) = (VISIBLE_NM.0 as u32, VISIBLE_NM.1 as u32);
        Spectrum { points: (first..=last).map(f64::from).map(|nm| (nm, power(nm))).collect() }
    }
}

/// What a light is worth in photons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Photons {
    /// µmol of photons a second in each lumen.
    pub umol_per_s_per_lumen: f64,
    /// Lux in each µmol of photons per square metre and second.
    pub lux_per_umol_per_m2_s: f64,
    /// µmol of photons in each joule of light within the same wavelengths.
    pub umol_per_joule: f64,
}

/// Photons between two wavelengths in each lumen of a light.
///
/// n = ∫ S λ dλ/(h c N_A); Φ = 683.002 ∫ S V dλ; by trapezoids of 1 nm
///
/// `from_nm` and `to_nm` are normally [`PHOTOSYNTHETIC_NM`].
/// Valid: 360–830 nm, and a spectrum that the eye sees. A lamp whose spectrum is only guessed at is 10 % uncertain if
/// it is white; for blue lamps a guess is worth nothing, because the eye hardly sees them.
/// Source: [`cie_015_2018`](crate::science::sources) for V; [`si_brochure_2019`](crate::science::sources).
///
/// ```
/// # use polypary::science::{photons::*, OutOfRange};
/// let (from, to) = PHOTOSYNTHETIC_NM;
/// // Thimijan & Heins 1983 (from memory): sun and sky 54 lx per µmol/m²/s, cool white fluorescent 74.
/// for (light, published) in [("D65", 54.), ("FL2", 74.)] {
///     let photons = photons_per_lumen(&Spectrum::named(light).unwrap(), from, to)?;
///     assert!((photons.lux_per_umol_per_m2_s / published - 1.).abs() < 0.04);
/// }
/// // Near 660 nm a joule holds λ/(h c N_A), by hand 660/119.627 µmol.
/// let red = photons_per_lumen(&Spectrum::gaussian(660., 5.).unwrap(), from, to)?;
/// assert!((red.umol_per_joule - 660. / 119.6266).abs() < 1e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn photons_per_lumen(spectrum: &Spectrum, from_nm: f64, to_nm: f64) -> Result<Photons, OutOfRange> {
    let from = within("wavelength", from_nm, VISIBLE_NM.0, VISIBLE_NM.1, "nm")?;
    let to = within("wavelength", to_nm, from, VISIBLE_NM.1, "nm")?;
    let umol_per_s = photons(from, to, |nm| spectrum.at(nm));
    let watts = trapezoids(from, to, |nm| spectrum.at(nm));
    let lumens =
        LUMENS_PER_WATT * trapezoids(VISIBLE_NM.0, VISIBLE_NM.1, |nm| spectrum.at(nm) * luminous_efficiency(nm));
    positive("light that the eye sees", lumens, "lm")?;
    positive("light between the wavelengths", watts, "W")?;
    Ok(Photons {
        umol_per_s_per_lumen: umol_per_s / lumens,
        lux_per_umol_per_m2_s: lumens / umol_per_s,
        umol_per_joule: umol_per_s / watts,
    })
}

/// Lumens in each watt of a light: the most that a lamp of this spectrum can give for each watt it draws.
///
/// K = 683.002 ∫ S V dλ / ∫ S dλ, by trapezoids of 1 nm
///
/// Light outside 360–830 nm is left out of the watts, so that the figure is an upper bound.
/// Valid: a spectrum that the eye sees.
/// Source: [`cie_015_2018`](crate::science::sources).
///
/// ```
/// # use polypary::science::photons::*;
/// // Green of 555 nm, where the eye sees best: 683 lm/W, by definition.
/// let green = Spectrum::gaussian(555., 1.)?;
/// assert!((luminous_efficacy(&green)? / 683. - 1.).abs() < 1e-3);
/// // Blue of 450 nm: 683 × V(450) = 683 × 0.038 = 26 lm/W.
/// assert!((luminous_efficacy(&Spectrum::gaussian(450., 1.)?)? / 26. - 1.).abs() < 0.01);
/// # Ok::<(), polypary::science::OutOfRange>(())
/// ```
pub fn luminous_efficacy(spectrum: &Spectrum) -> Result<f64, OutOfRange> {
    let (from, to) = VISIBLE_NM;
    let watts = positive("light that the eye sees", trapezoids(from, to, |nm| spectrum.at(nm)), "W")?;
    Ok(LUMENS_PER_WATT * trapezoids(from, to, |nm| spectrum.at(nm) * luminous_efficiency(nm)) / watts)
}

/// Share of a light's photons from 400 to 700 nm that is left after a path through pure water.
///
/// τ = ∫ S λ e^(−aL) dλ / ∫ S λ dλ
///
/// A parallel beam without scattering or loss at the surface. Tank water absorbs more.
/// Valid: path 0–100 m, and a spectrum with light from 400 to 700 nm.
/// Source: [`pope_fry_1997`](crate::science::sources) for a, joined linearly between its points of 5 nm.
///
/// ```
/// # use polypary::{science::{photons::*, OutOfRange}, units::Length};
/// let daylight = Spectrum::named("D65").unwrap();
/// assert_eq!(pure_water_transmission_pope_fry_1997(&daylight, Length::metres(0.))?, 1.0);
/// // Red goes first: e^(−0.410 × 0.5), absorption at 660 nm after Pope & Fry.
/// let red = Spectrum::gaussian(660., 1.)?;
/// let left = pure_water_transmission_pope_fry_1997(&red, Length::metres(0.5))?;
/// assert!((left - (-0.410f64 * 0.5).exp()).abs() < 1e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pure_water_transmission_pope_fry_1997(spectrum: &Spectrum, path: Length) -> Result<f64, OutOfRange> {
    let metres = within("path through water", path.as_metres(), 0.0, 100.0, "m")?;
    let (from, to) = PHOTOSYNTHETIC_NM;
    let before = positive("light from 400 to 700 nm", photons(from, to, |nm| spectrum.at(nm)), "")?;
    let after = photons(from, to, |nm| spectrum.at(nm) * (-absorption(nm) * metres).exp());
    Ok(after / before)
}

/// Absorption of pure water at a wavelength, 1/m.
///
/// Valid: 400–700 nm.
/// Source: [`pope_fry_1997`](crate::science::sources), table 3, joined linearly.
///
/// ```
/// # use polypary::science::{photons::pure_water_absorption_pope_fry_1997_per_m, OutOfRange};
/// assert_eq!(pure_water_absorption_pope_fry_1997_per_m(400.)?, 0.00663);
/// assert_eq!(pure_water_absorption_pope_fry_1997_per_m(700.)?, 0.624);
/// assert!(pure_water_absorption_pope_fry_1997_per_m(380.).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pure_water_absorption_pope_fry_1997_per_m(wavelength_nm: f64) -> Result<f64, OutOfRange> {
    let (from, to) = PHOTOSYNTHETIC_NM;
    Ok(absorption(within("wavelength", wavelength_nm, from, to, "nm")?))
}

/// µmol/s of photons in a light of so many watts per nanometre.
fn photons(from_nm: f64, to_nm: f64, watts_per_nm: impl Fn(f64) -> f64) -> f64 {
    let joules_per_umol_times_nm = PLANCK * SPEED_OF_LIGHT * AVOGADRO * 1e9 * 1e-6;
    trapezoids(from_nm, to_nm, |nm| watts_per_nm(nm) * nm) / joules_per_umol_times_nm
}

/// ∫ f dλ by trapezoids of 1 nm, the last one shorter where the ends are not whole.
fn trapezoids(from_nm: f64, to_nm: f64, function: impl Fn(f64) -> f64) -> f64 {
    let mut sum = 0.0;
    let mut left = (from_nm, function(from_nm));
    let mut step = 1.0;
    while left.0 < to_nm {
        let nm = (from_nm + step).min(to_nm);
        let right = (nm, function(nm));
        sum += (right.0 - left.0) * (left.1 + right.1) / 2.0;
        left = right;
        step += 1.0;
    }
    sum
}

fn luminous_efficiency(nm: f64) -> f64 {
    joined(&LUMINOUS_EFFICIENCY, VISIBLE_NM.0, 1.0, nm)
}

fn absorption(nm: f64) -> f64 {
    joined(&PURE_WATER_ABSORPTION_PER_M, PHOTOSYNTHETIC_NM.0, 5.0, nm)
}

/// A table of even steps, read between its points.
fn joined(table: &[f64], first: f64, step: f64, at: f64) -> f64 {
    let place = ((at - first) / step).clamp(0.0, (table.len() - 1) as f64);
    let before = (place as usize).min(table.len() - 2);
    let share = place - before as f64;
    table[before] * (1.0 - share) + table[before + 1] * share
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spectra_that_no_light_has() {
        assert!(Spectrum::of_points(&[(400.0, 1.0)]).is_err());
        assert!(Spectrum::of_points(&[(400.0, 1.0), (400.0, 2.0)]).is_err());
        assert!(Spectrum::of_points(&[(400.0, 1.0), (500.0, -2.0)]).is_err());
        assert!(Spectrum::named("planck 0 K").is_none());
        assert!(Spectrum::named("planck hot K").is_none());
        assert!(Spectrum::named("").is_none());
    }

    #[test]
    fn a_light_that_the_eye_cannot_see_has_no_lumens() {
        let dark = Spectrum::of_points(&[(900.0, 1.0), (1000.0, 1.0)]).unwrap();
        assert_eq!(photons_per_lumen(&dark, 400.0, 700.0).unwrap_err().quantity, "light that the eye sees");
        assert!(pure_water_transmission_pope_fry_1997(&dark, Length::metres(1.0)).is_err());
        assert!(photons_per_lumen(&dark, 700.0, 400.0).is_err());
    }

    /// The constants give 119.6266 J of photons of 1 nm per µmol, a number of every plant-lighting text.
    #[test]
    fn energy_of_a_mole_of_photons() {
        let one = photons(500.0, 501.0, |_| 1.0);
        assert!((one - 500.5 / 119.6266).abs() < 1e-4, "{one}");
    }

    #[test]
    fn even_tables_are_read_between_their_points_and_kept_at_their_ends() {
        assert_eq!(joined(&[1.0, 3.0, 7.0], 400.0, 5.0, 402.5), 2.0);
        assert_eq!(joined(&[1.0, 3.0, 7.0], 400.0, 5.0, 410.0), 7.0);
        assert_eq!(joined(&[1.0, 3.0, 7.0], 400.0, 5.0, 405.0), 3.0);
    }
}
