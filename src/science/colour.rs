//! The colour of a light: its chromaticity, and the temperature of the black body that looks most like it.

use super::observer::{BLUE, RED};
use super::photons::{Spectrum, VISIBLE_NM};
use super::range::{OutOfRange, positive, within};
use super::spectra::LUMINOUS_EFFICIENCY;

/// A point of the uniform chromaticity diagram of 1960.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chromaticity {
    pub u: f64,
    pub v: f64,
}

/// Chromaticity of a light for the standard observer of 1931 (2°).
///
/// u = 4X/(X + 15Y + 3Z), v = 6Y/(X + 15Y + 3Z); X, Y, Z by sums of 1 nm from 360 to 830 nm
///
/// Valid: a spectrum that the eye sees.
/// Source: [`cie_015_2018`](crate::science::sources).
pub fn chromaticity(spectrum: &Spectrum) -> Result<Chromaticity, OutOfRange> {
    let mut sums = [0.0; 3];
    for (index, ((red, green), blue)) in RED.iter().zip(&LUMINOUS_EFFICIENCY).zip(&BLUE).enumerate() {
        let power = spectrum.at(VISIBLE_NM.0 + index as f64);
        sums[0] += power * red;
        sums[1] += power * green;
        sums[2] += power * blue;
    }
    let [x, y, z] = sums;
    positive("light that the eye sees", y, "")?;
    let sum = x + 15.0 * y + 3.0 * z;
    Ok(Chromaticity { u: 4.0 * x / sum, v: 6.0 * y / sum })
}

/// How warm or cold a light looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColourTemperature {
    /// Temperature of the black body that looks most like it, K.
    pub kelvin: f64,
    /// Distance from that black body in the diagram of 1960; positive on the green side, negative on the pink one.
    pub distance: f64,
}

/// Beyond this distance from the black bodies a light has no colour temperature.
pub const FURTHEST_FROM_BLACK_BODY: f64 = 0.05;

/// Correlated colour temperature: of the black body whose chromaticity lies nearest in the diagram of 1960.
///
/// The nearest one is searched among black bodies themselves, each worked out with the same observer, over 1/T.
///
/// Valid: 1000–25 000 K, and no further than 0.05 from the black bodies, beyond which the standard gives no meaning to
/// it: a blue or violet lamp has none.
/// Source: the definition in [`cie_015_2018`](crate::science::sources), section 9.5, from memory; the sign of the
/// distance after [`ohno_2014`](crate::science::sources).
///
/// ```
/// # use polypary::science::{colour::*, photons::Spectrum};
/// let of = |name| correlated_colour_temperature(&Spectrum::named(name).unwrap());
/// // Published: 2856 K for the standard filament lamp, 6504 K for daylight D65.
/// assert!((of("A")?.kelvin - 2856.).abs() < 2.);
/// assert!((of("D65")?.kelvin - 6504.).abs() < 3.);
/// assert!(of("gaussian 450 fwhm 20 nm").is_err());
/// # Ok::<(), polypary::science::OutOfRange>(())
/// ```
pub fn correlated_colour_temperature(spectrum: &Spectrum) -> Result<ColourTemperature, OutOfRange> {
    let light = chromaticity(spectrum)?;
    let away = |reciprocal: f64| -> Result<f64, OutOfRange> {
        let body = chromaticity(&Spectrum::planck(1.0 / reciprocal)?)?;
        Ok((body.u - light.u).hypot(body.v - light.v))
    };
    // Coarse steps of equal difference in colour, then a golden section between the neighbours of the best.
    let (coldest, hottest) = (1.0 / 25_000.0, 1.0 / 1000.0);
    let steps = 48;
    let at = |step: i32| coldest + (hottest - coldest) * f64::from(step) / f64::from(steps);
    let mut best = (0, f64::INFINITY);
    for step in 0..=steps {
        let distance = away(at(step))?;
        if distance < best.1 {
            best = (step, distance);
        }
    }
    let (mut low, mut high) = (at((best.0 - 1).max(0)), at((best.0 + 1).min(steps)));
    let golden = (5f64.sqrt() - 1.0) / 2.0;
    while high - low > 1e-10 {
        let (left, right) = (high - golden * (high - low), low + golden * (high - low));
        if away(left)? < away(right)? {
            high = right;
        } else {
            low = left;
        }
    }
    let reciprocal = (low + high) / 2.0;
    let distance = away(reciprocal)?;
    within("distance from the black bodies", distance, 0.0, FURTHEST_FROM_BLACK_BODY, "")?;
    within("colour temperature", 1.0 / reciprocal, 1001.0, 24_900.0, "K")?;
    let body = chromaticity(&Spectrum::planck(1.0 / reciprocal)?)?;
    let sign = if light.v >= body.v { 1.0 } else { -1.0 };
    Ok(ColourTemperature { kelvin: 1.0 / reciprocal, distance: sign * distance })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CIE 15:2018, tables of fluorescent and LED lights (from memory), and the distances that an open scientific
    /// library (colour-science 0.4.7, Ohno 2013) gives for them.
    #[test]
    fn published_lights_have_their_published_temperatures() {
        for (name, published, distance) in [
            ("D65", 6504.0, 0.00321),
            ("FL2", 4230.0, 0.00186),
            ("FL11", 4000.0, 0.00015),
            ("LED-B1", 2733.0, -0.00066),
            ("LED-B2", 2998.0, -0.00094),
            ("LED-B3", 4103.0, -0.00060),
            ("LED-B4", 5109.0, 0.00052),
            ("LED-B5", 6598.0, 0.00095),
            ("LED-RGB1", 2840.0, 0.00426),
            ("LED-V1", 2724.0, -0.00195),
        ] {
            let found = correlated_colour_temperature(&Spectrum::named(name).unwrap()).unwrap();
            assert!((found.kelvin / published - 1.0).abs() < 2e-3, "{name}: {}", found.kelvin);
            assert!((found.distance - distance).abs() < 1e-4, "{name}: {}", found.distance);
        }
    }

    #[test]
    fn a_black_body_has_its_own_temperature() {
        for kelvin in [1500.0, 3000.0, 6500.0, 15_000.0] {
            let found = correlated_colour_temperature(&Spectrum::planck(kelvin).unwrap()).unwrap();
            assert!((found.kelvin / kelvin - 1.0).abs() < 1e-5, "{kelvin}: {}", found.kelvin);
            assert!(found.distance.abs() < 1e-7);
        }
    }

    /// The chromaticity of the equal-energy light is u = 0.2105, v = 0.3158 (x = y = 1/3).
    #[test]
    fn equal_energy_is_white() {
        let even = Spectrum::of_points(&[(300.0, 1.0), (900.0, 1.0)]).unwrap();
        let found = chromaticity(&even).unwrap();
        assert!((found.u - 0.2105).abs() < 1e-4 && (found.v - 0.3158).abs() < 1e-4, "{found:?}");
    }

    #[test]
    fn what_has_no_colour_temperature() {
        for name in ["gaussian 450 fwhm 20 nm", "gaussian 520 fwhm 20 nm"] {
            let refusal = correlated_colour_temperature(&Spectrum::named(name).unwrap()).unwrap_err();
            assert_eq!(refusal.quantity, "distance from the black bodies", "{name}");
        }
        let dark = Spectrum::of_points(&[(900.0, 1.0), (1000.0, 1.0)]).unwrap();
        assert_eq!(correlated_colour_temperature(&dark).unwrap_err().quantity, "light that the eye sees");
    }
}
