//! Holding and correcting a value: how much of a stock, over how many days, or how much new water.

use super::range::{OutOfRange, positive, within};

/// Days over which a rise or fall is spread so that no day exceeds a limit, and the part of each day.
///
/// days = ⌈|change| / most a day⌉, at least one
///
/// Both in one unit. Valid: a finite change, a limit greater than zero.
/// Source: arithmetic; the limit is the caller's.
///
/// ```
/// # use polypary::science::{dosing::spread_over_days, OutOfRange};
/// // By hand: 1.2 at no more than 0.5 a day is three days of 0.4.
/// let (days, a_day) = spread_over_days(1.2, 0.5)?;
/// assert_eq!((days, (a_day * 10.0).round()), (3, 4.0));
/// assert_eq!(spread_over_days(-0.5, 0.5)?.0, 1);
/// assert!(spread_over_days(1.0, 0.0).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn spread_over_days(change: f64, most_a_day: f64) -> Result<(u32, f64), OutOfRange> {
    let change = within("change", change, -1e6, 1e6, "")?;
    let most = positive("most a day", most_a_day, "")?;
    // A hair over a whole number of days is rounding, not another day.
    let days = (change.abs() / most - 1e-9).ceil().clamp(1.0, f64::from(u32::MAX)) as u32;
    Ok((days, change / f64::from(days)))
}

/// Share of the water to change so that a concentration becomes another: (now − wanted)/(now − new water).
///
/// All three in one unit. Valid: concentrations of zero or more, the wanted one between what is there and what the new
/// water holds.
/// Source: arithmetic of one change of a mixed tank.
///
/// ```
/// # use polypary::science::{dosing::share_to_change, OutOfRange};
/// // By hand: from 20 to 15 with water of 0 takes a quarter; with water of 10 it takes half.
/// assert_eq!(share_to_change(20., 15., 0.)?, 0.25);
/// assert_eq!(share_to_change(20., 15., 10.)?, 0.5);
/// // New water of 18 never brings it to 15.
/// assert!(share_to_change(20., 15., 18.).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn share_to_change(now: f64, wanted: f64, new_water: f64) -> Result<f64, OutOfRange> {
    let now = within("concentration", now, 0.0, 1e6, "")?;
    let new_water = within("content of the new water", new_water, 0.0, 1e6, "")?;
    let (low, high) = if now < new_water { (now, new_water) } else { (new_water, now) };
    let wanted = within("wanted concentration", wanted, low, high, "")?;
    if wanted == now {
        return Ok(0.0);
    }
    Ok((now - wanted) / (now - new_water))
}
