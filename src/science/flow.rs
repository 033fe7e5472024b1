//! What a pump moves: against a head, through resistance, and after months without cleaning.

use super::range::{OutOfRange, not_negative, positive, within};
use super::root::crossing;
use crate::units::{Flow, Length};

/// Where a pump and its pipes agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OperatingPoint {
    pub flow: Flow,
    pub head: Length,
}

/// Flow of a pump known by its two ends, lifting water and pushing it through a resistance that grows as flow squared.
///
/// H₀(1 − (Q/Q_max)²) = H_s + R·Q², hence Q = √((H₀ − H_s)/(H₀/Q_max² + R))
///
/// `shutoff_head` H₀ is the head at which flow stops, `max_flow` Q_max the flow at no head; `static_head` H_s is the
/// height lifted; `resistance_m_per_lh2` R in metres per (L/h)² is 0 for a lift alone.
/// Valid: static head from 0 to the shutoff head. Real curves bend differently between their ends.
/// Source: a parabola through the two printed ends is common practice ([`common-practice`](crate::science::sources));
/// the solution is algebra.
///
/// ```
/// # use polypary::{science::{flow::*, OutOfRange}, units::*};
/// // Three quarters of the shutoff head leaves half of the flow, by hand.
/// let (h0, q) = (Length::metres(2.), Flow::litres_per_hour(4000.));
/// let point = pump_operating_point(h0, q, Length::metres(1.5), 0.0)?;
/// assert!((point.flow.as_litres_per_hour() - 2000.).abs() < 1e-9);
/// assert_eq!(pump_operating_point(h0, q, Length::metres(0.), 0.0)?.flow.as_litres_per_hour(), 4000.);
/// assert!(pump_operating_point(h0, q, Length::metres(2.5), 0.0).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pump_operating_point(
    shutoff_head: Length,
    max_flow: Flow,
    static_head: Length,
    resistance_m_per_lh2: f64,
) -> Result<OperatingPoint, OutOfRange> {
    let shutoff = positive("shutoff head", shutoff_head.as_metres(), "m")?;
    let most = positive("flow at no head", max_flow.as_litres_per_hour(), "L/h")?;
    let lift = within("static head", static_head.as_metres(), 0.0, shutoff, "m")?;
    let resistance = not_negative("resistance of the pipes", resistance_m_per_lh2, "m/(L/h)²")?;
    let flow = ((shutoff - lift) / (shutoff / (most * most) + resistance)).sqrt();
    Ok(point(flow, lift + resistance * flow * flow))
}

/// Flow of a pump known by points of its curve, joined by straight lines.
///
/// `curve` is (flow, head) in any order; the rest as [`pump_operating_point`].
/// Errors: fewer than two points; two points of one flow; a head that rises with flow; a static head above the curve;
/// a system that would meet the curve beyond its last point.
/// Source: arithmetic.
///
/// ```
/// # use polypary::{science::{flow::*, OutOfRange}, units::*};
/// let curve = [(0., 3.), (1000., 2.), (2000., 0.)]
///     .map(|(q, h)| (Flow::litres_per_hour(q), Length::metres(h)));
/// // Half way down the second line, by hand.
/// let point = pump_operating_point_of_curve(&curve, Length::metres(1.), 0.0)?;
/// assert!((point.flow.as_litres_per_hour() - 1500.).abs() < 1e-9);
/// assert!(pump_operating_point_of_curve(&curve, Length::metres(3.5), 0.0).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn pump_operating_point_of_curve(
    curve: &[(Flow, Length)],
    static_head: Length,
    resistance_m_per_lh2: f64,
) -> Result<OperatingPoint, OutOfRange> {
    let resistance = not_negative("resistance of the pipes", resistance_m_per_lh2, "m/(L/h)²")?;
    let mut points: Vec<(f64, f64)> =
        curve.iter().map(|(flow, head)| (flow.as_litres_per_hour(), head.as_metres())).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    within("points of the pump's curve", points.len() as f64, 2.0, f64::INFINITY, "")?;
    for &(flow, head) in &points {
        not_negative("flow of a point of the pump's curve", flow, "L/h")?;
        not_negative("head of a point of the pump's curve", head, "m")?;
    }
    for pair in points.windows(2) {
        positive("flow between two points of the pump's curve", pair[1].0 - pair[0].0, "L/h")?;
        within("head of a point of the pump's curve", pair[1].1, 0.0, pair[0].1, "m")?;
    }
    let (first, last) = (points[0], points[points.len() - 1]);
    let needed = |static_head: f64, flow: f64| static_head + resistance * flow * flow;
    let highest = first.1 - needed(0.0, first.0);
    let lowest = (last.1 - needed(0.0, last.0)).max(0.0);
    let lift = within("static head", static_head.as_metres(), lowest, highest, "m")?;
    let flow = crossing(first.0, last.0, |flow| head_at(&points, flow) - needed(lift, flow));
    Ok(point(flow, needed(lift, flow)))
}

/// What dirt leaves of a pump's flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Derating {
    /// Share of the clean pump's flow.
    pub fraction: f64,
    /// Of the fraction; half of the range over √3, every value in the range being as likely.
    pub standard_uncertainty: f64,
}

/// Share of its clean flow that a pump still moves some months after it was cleaned.
///
/// Cleaned today: all of it. After 3 months: 0.7 to 0.9. After 6 to 12 months: 0.4 to 0.8. Between these, straight
/// lines. fraction = (low + high)/2; u = (high − low)/(2√3)
///
/// Valid: 0–12 months.
/// Source: [`common-practice`](crate::science::sources) for the ranges; [`jcgm_100_2008`](crate::science::sources),
/// 4.3.7, for a range of which nothing else is known.
///
/// ```
/// # use polypary::science::{flow::derating_by_dirt, OutOfRange};
/// let three_months = derating_by_dirt(3.0)?;
/// assert!((three_months.fraction - 0.8).abs() < 1e-12);
/// assert!((three_months.standard_uncertainty - 0.1 / 3f64.sqrt()).abs() < 1e-12);
/// assert_eq!(derating_by_dirt(0.0)?.standard_uncertainty, 0.0);
/// assert!(derating_by_dirt(13.0).is_err());
/// # Ok::<(), OutOfRange>(())
/// ```
pub fn derating_by_dirt(months_since_cleaning: f64) -> Result<Derating, OutOfRange> {
    const RANGES: [(f64, f64, f64); 4] = [(0.0, 1.0, 1.0), (3.0, 0.7, 0.9), (6.0, 0.4, 0.8), (12.0, 0.4, 0.8)];
    let months = within("time since the pump was cleaned", months_since_cleaning, 0.0, 12.0, "months")?;
    let next = RANGES.iter().position(|range| months <= range.0).unwrap_or(RANGES.len() - 1).max(1);
    let (before, after) = (RANGES[next - 1], RANGES[next]);
    let share = (months - before.0) / (after.0 - before.0);
    let low = before.1 + share * (after.1 - before.1);
    let high = before.2 + share * (after.2 - before.2);
    Ok(Derating { fraction: (low + high) / 2.0, standard_uncertainty: (high - low) / 2.0 / 3f64.sqrt() })
}

/// Head of the curve at a flow within it.
pub(super) fn head_at(points: &[(f64, f64)], flow: f64) -> f64 {
    let next = points.iter().position(|point| flow <= point.0).unwrap_or(points.len() - 1).max(1);
    let (before, after) = (points[next - 1], points[next]);
    before.1 + (after.1 - before.1) * (flow - before.0) / (after.0 - before.0)
}

fn point(flow_l_per_h: f64, head_m: f64) -> OperatingPoint {
    OperatingPoint { flow: Flow::litres_per_hour(flow_l_per_h), head: Length::metres(head_m) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(points: &[(f64, f64)]) -> Vec<(Flow, Length)> {
        points.iter().map(|(q, h)| (Flow::litres_per_hour(*q), Length::metres(*h))).collect()
    }

    fn flow(points: &[(f64, f64)], lift: f64, resistance: f64) -> Result<f64, OutOfRange> {
        pump_operating_point_of_curve(&curve(points), Length::metres(lift), resistance)
            .map(|point| point.flow.as_litres_per_hour())
    }

    #[test]
    fn the_ends_of_a_curve_are_on_it() {
        let points = [(2000.0, 0.0), (0.0, 3.0)];
        assert_eq!(flow(&points, 0.0, 0.0), Ok(2000.0));
        assert!(flow(&points, 3.0, 0.0).unwrap() < 1e-9);
    }

    #[test]
    fn curves_that_no_pump_has() {
        assert!(flow(&[(0.0, 3.0)], 1.0, 0.0).is_err());
        assert!(flow(&[], 1.0, 0.0).is_err());
        assert!(flow(&[(0.0, 3.0), (0.0, 2.0)], 1.0, 0.0).is_err());
        assert!(flow(&[(0.0, 1.0), (1000.0, 2.0)], 1.5, 0.0).is_err());
        // The list ends at 1 m of head: what happens at 0.5 m is not known.
        let refusal = flow(&[(0.0, 3.0), (1000.0, 1.0)], 0.5, 0.0).unwrap_err();
        assert_eq!((refusal.quantity, refusal.low, refusal.high), ("static head", 1.0, 3.0));
    }

    #[test]
    fn dirt_between_the_known_ages_follows_straight_lines() {
        let at = |months| derating_by_dirt(months).unwrap();
        assert!((at(1.5).fraction - 0.9).abs() < 1e-12);
        assert!((at(4.5).fraction - 0.7).abs() < 1e-12);
        assert!((at(6.0).fraction - 0.6).abs() < 1e-12);
        assert!((at(12.0).fraction - 0.6).abs() < 1e-12);
        assert!((at(9.0).standard_uncertainty - 0.2 / 3f64.sqrt()).abs() < 1e-12);
    }
}
