//! What a lamp's level does to its light, and the way from one light to another.

use super::range::{OutOfRange, positive, within};

/// Share of a lamp's full light at each level of its dial.
#[derive(Debug, Clone, PartialEq)]
pub struct DimmingCurve {
    /// (level, share of the full light), both 0 to 1 and rising.
    points: Vec<(f64, f64)>,
}

impl Default for DimmingCurve {
    /// Light in proportion to level.
    fn default() -> Self {
        DimmingCurve { points: vec![(0.0, 0.0), (1.0, 1.0)] }
    }
}

impl DimmingCurve {
    /// A measured curve: (level, light in any unit), joined by straight lines. Below its first level it runs to darkness
    /// at level 0; it is scaled to its last point, which must be the full level.
    ///
    /// Errors: no point above level 0; levels outside 0–1 or two of one level; light that does not rise; no point at the
    /// full level.
    ///
    /// ```
    /// # use polypary::science::dimming::DimmingCurve;
    /// let curve = DimmingCurve::of_points(&[(0.5, 40.), (1., 100.)])?;
    /// assert_eq!((curve.light(0.25), curve.light(0.5), curve.light(0.75)), (0.2, 0.4, 0.7));
    /// assert!((curve.level(0.7)? - 0.75).abs() < 1e-12);
    /// assert!(DimmingCurve::of_points(&[(0.5, 40.), (1., 30.)]).is_err());
    /// # Ok::<(), polypary::science::OutOfRange>(())
    /// ```
    pub fn of_points(points: &[(f64, f64)]) -> Result<DimmingCurve, OutOfRange> {
        let mut points = points.to_vec();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (last, full) = points.last().copied().unwrap_or((0.0, 0.0));
        within("highest level of a dimming curve", last, 1.0, 1.0, "")?;
        positive("light at the full level", full, "")?;
        let mut curve = vec![(0.0, 0.0)];
        for (level, light) in points {
            let level = within("level of a dimming curve", level, 0.0, 1.0, "")?;
            let share = within("light of a dimming curve", light, 0.0, full, "")? / full;
            let (before, dimmer) = curve[curve.len() - 1];
            if level == 0.0 {
                within("light at level 0", share, 0.0, 0.0, "")?;
                continue;
            }
            positive("level between two points of a dimming curve", level - before, "")?;
            positive("light between two points of a dimming curve", share - dimmer, "")?;
            curve.push((level, share));
        }
        Ok(DimmingCurve { points: curve })
    }

    /// Share of the full light at a level.
    pub fn light(&self, level: f64) -> f64 {
        read(&self.points, level, |point| point)
    }

    /// Level that gives a share of the full light.
    ///
    /// Valid: share from 0 to 1.
    pub fn level(&self, share: f64) -> Result<f64, OutOfRange> {
        let share = within("share of the full light", share, 0.0, 1.0, "")?;
        Ok(read(&self.points, share, |(level, light)| (light, level)))
    }
}

fn read(points: &[(f64, f64)], at: f64, turn: impl Fn((f64, f64)) -> (f64, f64)) -> f64 {
    let next = points.iter().position(|point| at <= turn(*point).0).unwrap_or(points.len() - 1).max(1);
    let ((x0, y0), (x1, y1)) = (turn(points[next - 1]), turn(points[next]));
    (y0 + (y1 - y0) * (at.clamp(x0, x1) - x0) / (x1 - x0)).clamp(0.0, 1.0)
}

/// A rise of the day's light by more than this in one step is pointed out (common practice, no source).
pub const POINTED_OUT: f64 = 1.25;

/// Most that light at a colony should rise in a week (common practice, no source: 10 to 15 %).
pub const LARGEST_STEP: f64 = 1.15;

/// Steps from one light to another: each the same share more than the one before, none of more than 15 %.
///
/// n = ⌈ln(to/from)/ln 1.15⌉, step i = from·(to/from)^(i/n)
///
/// The last step is the light wanted; the start is not in the list. A fall is one step, since less light does no harm
/// within reason.
/// Valid: both lights greater than zero.
/// Source: [`common-practice`](crate::science::sources).
///
/// ```
/// # use polypary::science::dimming::acclimation_steps;
/// // From 50 to 100 by hand: ln 2/ln 1.15 = 4.96, so five steps of 2^(1/5) = 1.1487.
/// let steps = acclimation_steps(50., 100.)?;
/// assert_eq!(steps.len(), 5);
/// assert!((steps[0] - 57.43).abs() < 0.01 && (steps[4] - 100.).abs() < 1e-9);
/// assert_eq!(acclimation_steps(100., 60.)?, [60.]);
/// # Ok::<(), polypary::science::OutOfRange>(())
/// ```
pub fn acclimation_steps(from: f64, to: f64) -> Result<Vec<f64>, OutOfRange> {
    let from = positive("light before", from, "")?;
    let to = positive("light wanted", to, "")?;
    // A hair over a whole number of steps is that number.
    let count = ((to / from).ln() / LARGEST_STEP.ln() - 1e-9).ceil().max(1.0);
    let count = within("steps", count, 1.0, 100.0, "")? as i32;
    let mut steps: Vec<f64> =
        (1..count).map(|step| from * (to / from).powf(f64::from(step) / f64::from(count))).collect();
    steps.push(to);
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_and_level_lead_back_to_each_other() {
        let curve = DimmingCurve::of_points(&[(0.1, 2.0), (0.3, 21.0), (0.6, 55.0), (1.0, 110.0)]).unwrap();
        for level in [0.0, 0.05, 0.1, 0.37, 0.6, 0.99, 1.0] {
            assert!((curve.level(curve.light(level)).unwrap() - level).abs() < 1e-12, "{level}");
        }
        assert_eq!((curve.light(1.5), curve.light(-1.0)), (1.0, 0.0));
        assert!((DimmingCurve::default().light(0.37) - 0.37).abs() < 1e-15);
    }

    #[test]
    fn curves_that_no_lamp_has() {
        assert!(DimmingCurve::of_points(&[]).is_err());
        assert!(DimmingCurve::of_points(&[(0.5, 1.0)]).is_err());
        assert!(DimmingCurve::of_points(&[(0.5, 1.0), (0.5, 2.0), (1.0, 3.0)]).is_err());
        assert!(DimmingCurve::of_points(&[(0.0, 1.0), (1.0, 3.0)]).is_err());
        assert!(DimmingCurve::of_points(&[(0.5, 1.0), (1.2, 3.0)]).is_err());
        assert!(DimmingCurve::of_points(&[(0.5, 0.0), (1.0, 0.0)]).is_err());
    }

    #[test]
    fn no_step_is_larger_than_a_week_allows() {
        // ln(1.25)/ln(1.15) = 1.60; ln(1.15)/ln(1.15) = 1; ln(30)/ln(1.15) = 24.3.
        for (from, to, count) in [(80.0, 100.0, 2), (80.0, 92.0, 1), (10.0, 300.0, 25)] {
            let steps = acclimation_steps(from, to).unwrap();
            assert_eq!(steps.len(), count, "{from} to {to}");
            let mut before = from;
            for step in steps {
                assert!(step / before <= LARGEST_STEP + 1e-9);
                before = step;
            }
            assert_eq!(before, to);
        }
        assert!(acclimation_steps(0.0, 100.0).is_err());
    }
}
