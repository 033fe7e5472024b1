//! Water changes in a row and without pause.

use super::range::{OutOfRange, not_negative, positive, within};
use super::water_balance::concentration_after_change;
use crate::units::Volume;

/// Concentration after each of a sequence of water changes with the same new water.
///
/// cᵢ = cᵢ₋₁(1 − vᵢ/V) + c_new·vᵢ/V
///
/// All concentrations in one unit. Valid: concentrations of zero or more, volume greater than zero, each change from
/// nothing to all of it.
/// Source: arithmetic of a mixed tank.
///
/// ```
/// # use polypary::{science::{water_changes::*, OutOfRange}, units::Volume};
/// let l = Volume::litres;
/// // Two changes of a quarter from 16 with clean water leave 9/16, by hand: 12, then 9.
/// assert_eq!(concentrations_after_changes(16., 0., l(100.), &[l(25.), l(25.)])?, [12., 9.]);
/// assert!(concentrations_after_changes(16., 0., l(100.), &[l(125.)]).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn concentrations_after_changes(
    before: f64,
    in_new_water: f64,
    volume: Volume,
    changes: &[Volume],
) -> Result<Vec<f64>, OutOfRange> {
    let mut now = before;
    changes
        .iter()
        .map(|&change| {
            now = concentration_after_change(now, in_new_water, volume, change)?;
            Ok(now)
        })
        .collect()
}

/// Concentration after water has been changed without pause: new water runs in as mixed water runs out.
///
/// c = c_new + (c₀ − c_new)·e^(−v/V)
///
/// Valid: concentrations and changed volume of zero or more, volume greater than zero.
/// Source: calculus of a mixed tank.
///
/// ```
/// # use polypary::{science::{water_changes::*, OutOfRange}, units::Volume};
/// let l = Volume::litres;
/// // A whole tankful leaves 1/e; changes of 1 % come close to it.
/// let after = concentration_after_continuous_change(10., 0., l(100.), l(100.))?;
/// assert!((after - 10. / std::f64::consts::E).abs() < 1e-12);
/// let in_steps = concentrations_after_changes(10., 0., l(100.), &vec![l(1.); 100])?;
/// assert!((in_steps[99] / after - 1.).abs() < 6e-3);
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn concentration_after_continuous_change(
    before: f64,
    in_new_water: f64,
    volume: Volume,
    changed: Volume,
) -> Result<f64, OutOfRange> {
    let before = not_negative("concentration before", before, "")?;
    let new = not_negative("concentration in the new water", in_new_water, "")?;
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    let changed = not_negative("water changed", changed.as_litres(), "L")?;
    Ok(new + (before - new) * (-changed / litres).exp())
}

/// Water to change without pause so that a share of the difference to the new water is gone.
///
/// v = −V·ln(1 − share)
///
/// `share` is what one single change would take, [`share_to_change`](super::dosing::share_to_change).
/// Valid: share from 0 to below 1, volume greater than zero.
/// Source: as [`concentration_after_continuous_change`].
///
/// ```
/// # use polypary::{science::{water_changes::*, OutOfRange}, units::Volume};
/// let l = Volume::litres;
/// let v = continuous_change_for(0.25, l(100.))?;
/// assert!((concentration_after_continuous_change(20., 0., l(100.), v)? - 15.).abs() < 1e-12);
/// assert!(continuous_change_for(1.0, l(100.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn continuous_change_for(share: f64, volume: Volume) -> Result<Volume, OutOfRange> {
    let left = positive("share that is left", 1.0 - within("share to change", share, 0.0, 1.0, "")?, "")?;
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    Ok(Volume::litres(-litres * left.ln()))
}

/// How many changes of one size take a share of the difference to the new water, as a fraction of a change.
///
/// n = ln(1 − share)/ln(1 − change/V)
///
/// Valid: share from 0 to below 1, a change greater than zero and less than the volume.
/// Source: arithmetic.
///
/// ```
/// # use polypary::{science::{water_changes::*, OutOfRange}, units::Volume};
/// let l = Volume::litres;
/// // Two quarters take 7/16.
/// assert!((changes_for(7. / 16., l(100.), l(25.))? - 2.).abs() < 1e-12);
/// assert!(changes_for(0.5, l(100.), l(0.)).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn changes_for(share: f64, volume: Volume, change: Volume) -> Result<f64, OutOfRange> {
    let left = positive("share that is left", 1.0 - within("share to change", share, 0.0, 1.0, "")?, "")?;
    let litres = positive("volume of water", volume.as_litres(), "L")?;
    let change = within("water change", change.as_litres(), f64::MIN_POSITIVE, litres, "L")?;
    let kept = positive("water that a change leaves", litres - change, "L")?;
    let step = (kept / litres).ln();
    // A change too small for its logarithm would take for ever.
    Ok(left.ln() / -positive("water change", -step, "L")?)
}
