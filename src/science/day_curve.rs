//! A day's course given as points joined by straight lines: a lamp's schedule, light through a day.
//!
//! A curve is a list of (hour, value) with hours from 0 to 24 that never go back; a step is two points at one hour.

use super::range::{OutOfRange, within};

/// Checks that the hours lie in a day and never go back.
pub(super) fn check_hours(curve: &[(f64, f64)]) -> Result<(), OutOfRange> {
    let mut earliest = 0.0;
    for &(hour, _) in curve {
        earliest = within("hour of the day's curve", hour, earliest, 24.0, "h")?;
    }
    Ok(())
}

/// Checks that the curve says what happens all day long, from hour 0 to hour 24.
pub(super) fn check_whole_day(curve: &[(f64, f64)]) -> Result<(), OutOfRange> {
    check_hours(curve)?;
    let first = curve.first().map_or(24.0, |point| point.0);
    let last = curve.last().map_or(0.0, |point| point.0);
    within("first hour of the day's curve", first, 0.0, 0.0, "h")?;
    within("last hour of the day's curve", last, 24.0, 24.0, "h")?;
    Ok(())
}

/// The pieces of a curve: hours long, value at the start, value at the end.
pub(super) fn pieces(curve: &[(f64, f64)]) -> impl Iterator<Item = (f64, f64, f64)> {
    curve.windows(2).map(|pair| (pair[1].0 - pair[0].0, pair[0].1, pair[1].1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_may_stand_still_but_not_go_back() {
        assert!(check_hours(&[(0.0, 0.0), (10.0, 0.0), (10.0, 1.0), (24.0, 1.0)]).is_ok());
        let refusal = check_hours(&[(10.0, 0.0), (9.0, 1.0)]).unwrap_err();
        assert_eq!((refusal.value, refusal.low, refusal.high), (9.0, 10.0, 24.0));
        assert!(check_hours(&[(10.0, 0.0), (25.0, 1.0)]).is_err());
    }

    #[test]
    fn a_whole_day_runs_from_midnight_to_midnight() {
        assert!(check_whole_day(&[(0.0, 1.0), (24.0, 1.0)]).is_ok());
        assert!(check_whole_day(&[]).is_err());
        assert!(check_whole_day(&[(1.0, 1.0), (24.0, 1.0)]).is_err());
        assert!(check_whole_day(&[(0.0, 1.0), (23.0, 1.0)]).is_err());
    }
}
