//! Light for photosynthesis: its sum over a day, what a sensor reads under water, and what a survey says of a place.

use super::day_curve::{check_hours, pieces};
use super::range::{OutOfRange, not_negative, within};
use crate::units::{DailyLight, Duration, Length, PhotonFlux};

/// A day's light, and the hours at its peak that would give as much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LightOfDay {
    pub equivalent: Duration,
    pub sum: DailyLight,
}

/// Daily light integral of a lamp that rises in a straight line, holds its peak and falls in a straight line.
///
/// DLI = PPFD × (plateau + half of each ramp) × 3600 / 10⁶
///
/// The ramps, from and to darkness, come in addition to the plateau.
/// Valid: together no longer than a day; peak of zero or more.
/// Source: arithmetic; DLI as horticulture defines it, [`thimijan_heins_1983`](crate::science::sources) for the unit.
///
/// ```
/// # use polypary::{science::{light::*, OutOfRange}, units::*};
/// let (h, peak) = (Duration::hours, PhotonFlux::umol_per_m2_s(100.));
/// let day = daily_light_integral_with_ramps(peak, h(8.), h(2.), h(2.))?;
/// assert_eq!(day.equivalent.as_hours(), 10.);
/// assert!((day.sum.as_mol_per_m2_d() - 3.6).abs() < 1e-12); // 100 × 36 000 s
/// assert!(daily_light_integral_with_ramps(peak, h(20.), h(3.), h(3.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn daily_light_integral_with_ramps(
    peak: PhotonFlux,
    plateau: Duration,
    ramp_up: Duration,
    ramp_down: Duration,
) -> Result<LightOfDay, OutOfRange> {
    let ppfd = not_negative("light", peak.as_umol_per_m2_s(), "µmol/m²/s")?;
    let plateau = not_negative("plateau", plateau.as_hours(), "h")?;
    let up = not_negative("ramp up", ramp_up.as_hours(), "h")?;
    let down = not_negative("ramp down", ramp_down.as_hours(), "h")?;
    within("length of the day", plateau + up + down, 0.0, 24.0, "h")?;
    let equivalent = plateau + (up + down) / 2.0;
    Ok(LightOfDay { equivalent: Duration::hours(equivalent), sum: sum_of(ppfd, equivalent) })
}

/// Daily light integral of light that follows half a sine from dawn to dusk.
///
/// DLI = PPFD × (2/π) × day length × 3600 / 10⁶
///
/// Valid: day length 0–24 h; peak of zero or more.
/// Source: calculus (the mean of a half sine is 2/π of its peak).
///
/// ```
/// # use polypary::{science::{light::*, OutOfRange}, units::*};
/// let dli = daily_light_integral_half_sine(PhotonFlux::umol_per_m2_s(200.), Duration::hours(12.))?;
/// assert!((dli.as_mol_per_m2_d() - 17.28 / std::f64::consts::PI).abs() < 1e-12);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn daily_light_integral_half_sine(peak: PhotonFlux, day_length: Duration) -> Result<DailyLight, OutOfRange> {
    let ppfd = not_negative("light", peak.as_umol_per_m2_s(), "µmol/m²/s")?;
    let hours = within("length of the day", day_length.as_hours(), 0.0, 24.0, "h")?;
    Ok(sum_of(ppfd, hours * std::f64::consts::FRAC_2_PI))
}

/// Daily light integral of any day given as points joined by straight lines.
///
/// The trapezoid under each piece, which is exact. Before the first point and after the last it is dark.
///
/// `curve` is (hour of the day, µmol/m²/s); hours from 0 to 24 never go back, and a step is two points at one hour.
/// Valid: light of zero or more. An empty curve is a dark day.
/// Source: arithmetic.
///
/// ```
/// # use polypary::science::{light::*, OutOfRange};
/// // The day of the ramps above, drawn point by point.
/// let dli = daily_light_integral_of_curve(&[(8., 0.), (10., 100.), (18., 100.), (20., 0.)])?;
/// assert!((dli.as_mol_per_m2_d() - 3.6).abs() < 1e-12);
/// assert_eq!(daily_light_integral_of_curve(&[])?.as_mol_per_m2_d(), 0.);
/// assert!(daily_light_integral_of_curve(&[(10., 0.), (8., 100.)]).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn daily_light_integral_of_curve(curve: &[(f64, f64)]) -> Result<DailyLight, OutOfRange> {
    for &(_, light) in curve {
        not_negative("light", light, "µmol/m²/s")?;
    }
    Ok(sum_of(1.0, area_of_curve(curve)?))
}

/// Hours at the full level that carry as much as a day's course of shares of it, ramps counted by area.
///
/// `course` is (hour of the day, share of the full level), as the curve of
/// [`daily_light_integral_of_curve`]; the light of its full level times these hours is that curve's sum.
/// Source: arithmetic.
///
/// ```
/// # use polypary::science::{light::*, OutOfRange};
/// assert_eq!(hours_at_full_level(&[(10., 0.), (11., 1.), (19., 1.), (20., 0.)])?.as_hours(), 9.0);
/// assert!(hours_at_full_level(&[(10., 0.), (30., 1.)]).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn hours_at_full_level(course: &[(f64, f64)]) -> Result<Duration, OutOfRange> {
    for &(_, share) in course {
        not_negative("share of the full level", share, "")?;
    }
    Ok(Duration::hours(area_of_curve(course)?))
}

/// ∫ of a day's curve over its hours, by trapezoids.
fn area_of_curve(curve: &[(f64, f64)]) -> Result<f64, OutOfRange> {
    check_hours(curve)?;
    Ok(pieces(curve).map(|(hours, start, end)| hours * (start + end) / 2.0).sum())
}

/// Light under water from the reading of a sensor that was calibrated in air and reads low there.
///
/// E = reading × immersion factor
///
/// Valid: factor 1.0–1.5 (makers' factors lie between 1.08 and 1.32). A meter that already applies its factor needs
/// none: hand it 1.
/// Source: [`smith_1969`](crate::science::sources) for the effect; the factor is the maker's.
///
/// ```
/// # use polypary::{science::{light::*, OutOfRange}, units::*};
/// let light = light_under_water(PhotonFlux::umol_per_m2_s(100.), 1.25)?;
/// assert_eq!(light.as_umol_per_m2_s(), 125.);
/// assert!(light_under_water(PhotonFlux::umol_per_m2_s(100.), 0.8).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn light_under_water(reading: PhotonFlux, immersion_factor: f64) -> Result<PhotonFlux, OutOfRange> {
    let reading = not_negative("light", reading.as_umol_per_m2_s(), "µmol/m²/s")?;
    let factor = within("immersion factor", immersion_factor, 1.0, 1.5, "")?;
    Ok(PhotonFlux::umol_per_m2_s(reading * factor))
}

/// A place in a tank: right, back and down from one corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    pub x: Length,
    pub y: Length,
    pub depth: Length,
}

impl Place {
    /// The straight distance to another place.
    pub fn distance(&self, other: &Place) -> Length {
        let square = |a: Length, b: Length| (a - b).as_metres().powi(2);
        let sum = square(self.x, other.x) + square(self.y, other.y) + square(self.depth, other.depth);
        Length::metres(sum.sqrt())
    }
}

fn sum_of(ppfd: f64, hours: f64) -> DailyLight {
    DailyLight::mol_per_m2_d(ppfd * hours * 3600.0 / 1e6)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64, depth: f64) -> Place {
        Place { x: Length::centimetres(x), y: Length::centimetres(y), depth: Length::centimetres(depth) }
    }

    #[test]
    fn depth_counts_as_distance() {
        assert!((at(0.0, 0.0, 0.0).distance(&at(2.0, 3.0, 6.0)).as_centimetres() - 7.0).abs() < 1e-12);
    }

    #[test]
    fn light_cannot_be_negative_and_steps_are_allowed() {
        assert!(daily_light_integral_of_curve(&[(8.0, -1.0), (9.0, 0.0)]).is_err());
        let step = daily_light_integral_of_curve(&[(8.0, 0.0), (8.0, 100.0), (18.0, 100.0), (18.0, 0.0)]);
        assert!((step.unwrap().as_mol_per_m2_d() - 3.6).abs() < 1e-12);
    }
}
