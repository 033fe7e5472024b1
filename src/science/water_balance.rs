//! Water that goes and comes: evaporation from what was topped off, and what water changes leave.

use super::range::{OutOfRange, not_negative, positive, within};
use crate::units::Volume;

/// Mean evaporation over a run of top-offs, L/day.
///
/// E = Σ of all but the first top-off / (last day − first day)
///
/// Each top-off fills to the same mark and so replaces what went since the one before; the first closes a stretch that
/// began before the run and is left out. `top_offs` is (day, litres) in any order, days counted from any origin.
/// Water spilled, skimmed or splashed counts as evaporated.
/// Errors: a run that spans no time, or a negative volume.
/// Source: arithmetic.
///
/// ```
/// # use polypary::science::{water_balance::evaporation_litres_per_day, OutOfRange};
/// // By hand: 2 + 3 + 1 L in 6 days; the 9 L of the first day belong to the week before.
/// let litres = evaporation_litres_per_day(&[(10., 9.), (12., 2.), (15., 3.), (16., 1.)])?;
/// assert_eq!(litres, 1.0);
/// assert!(evaporation_litres_per_day(&[(10., 9.)]).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn evaporation_litres_per_day(top_offs: &[(f64, f64)]) -> Result<f64, OutOfRange> {
    let mut first = f64::INFINITY;
    let mut last = f64::NEG_INFINITY;
    for &(day, litres) in top_offs {
        within("day of a top-off", day, f64::NEG_INFINITY, f64::INFINITY, "")?;
        not_negative("top-off", litres, "L")?;
        first = first.min(day);
        last = last.max(day);
    }
    let days = positive("length of the run of top-offs", (last - first).max(0.0), "days")?;
    // Two fillings on the first day belong to the stretch before it alike.
    let litres: f64 = top_offs.iter().filter(|(day, _)| *day > first).map(|(_, litres)| litres).sum();
    Ok(litres / days)
}

/// Share of what was in the water that is left after a sequence of water changes.
///
/// Π (1 − change/volume)
///
/// Each change takes out mixed water and puts in water without the substance. Changes one after another leave more
/// than one change of their sum.
/// Valid: volume greater than zero, each change from nothing to all of it.
/// Source: arithmetic.
///
/// ```
/// # use polypary::{science::{water_balance::fraction_left, OutOfRange}, units::Volume};
/// let l = Volume::litres;
/// // Two changes of a quarter leave 9/16, by hand.
/// assert!((fraction_left(l(100.), &[l(25.), l(25.)])? - 0.5625).abs() < 1e-12);
/// assert_eq!(fraction_left(l(100.), &[])?, 1.0);
/// assert!(fraction_left(l(100.), &[l(125.)]).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn fraction_left(volume: Volume, changes: &[Volume]) -> Result<f64, OutOfRange> {
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    let mut left = 1.0;
    for change in changes {
        left *= 1.0 - within("water change", change.as_litres(), 0.0, litres, "L")? / litres;
    }
    Ok(left)
}

/// Concentration after a water change with water that holds some of the substance itself.
///
/// c = c_before·(1 − change/volume) + c_new·change/volume
///
/// All concentrations in one unit. Validity and source as [`fraction_left`].
///
/// ```
/// # use polypary::{science::{water_balance::concentration_after_change, OutOfRange}, units::Volume};
/// // By hand: a quarter of water with 5 mg/L into water of 25 mg/L.
/// let c = concentration_after_change(25., 5., Volume::litres(100.), Volume::litres(25.))?;
/// assert_eq!(c, 20.);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn concentration_after_change(
    before: f64,
    in_new_water: f64,
    volume: Volume,
    change: Volume,
) -> Result<f64, OutOfRange> {
    let before = not_negative("concentration before", before, "")?;
    let new = not_negative("concentration in the new water", in_new_water, "")?;
    let left = fraction_left(volume, &[change])?;
    Ok(before * left + new * (1.0 - left))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_of_top_offs_does_not_matter() {
        let sorted = evaporation_litres_per_day(&[(0.0, 5.0), (1.0, 1.0), (4.0, 3.0)]).unwrap();
        let shuffled = evaporation_litres_per_day(&[(4.0, 3.0), (0.0, 5.0), (1.0, 1.0)]).unwrap();
        assert_eq!((sorted, shuffled), (1.0, 1.0));
    }

    #[test]
    fn a_run_without_length_is_refused() {
        let refusal = evaporation_litres_per_day(&[(3.0, 1.0), (3.0, 2.0)]).unwrap_err();
        assert_eq!(refusal.quantity, "length of the run of top-offs");
        assert!(evaporation_litres_per_day(&[]).is_err());
        assert!(evaporation_litres_per_day(&[(0.0, 1.0), (1.0, -1.0)]).is_err());
    }
}
