//! Drawings of the sheet: the plan from in front, a lamp's day, spoons. Black on white, sizes in millimetres of paper.

use std::fmt::Write;

use super::places::{Places, stand_height, stand_length, surface};
use super::words::{Words, escape};
use crate::figures::stay::LampHours;
use crate::record::Tank;
use crate::record::equipment::hour_of;

/// Tank and cabinet from in front with numbered places; empty when nothing has a place.
pub fn plan(tank: &Tank, places: &Places, words: &Words) -> String {
    if places.list.is_empty() {
        return String::new();
    }
    let (length, height) = (stand_length(tank), stand_height(tank));
    let size = tank.size.as_ref().map_or([length, 40.0, 40.0], |size| size.value);
    let left = places.list.iter().map(|spot| spot.front.x).fold(0.0, f64::min) - 8.0;
    let right = places.list.iter().map(|spot| spot.front.x).fold(length, f64::max) + 8.0;
    let top = places.list.iter().map(|spot| spot.front.up).fold(height + size[2], f64::max) + 8.0;
    let y = |up: f64| top - up;
    let tank_left = (length - size[0]) / 2.0;
    let mut svg = String::new();
    let _ = write!(
        svg,
        "<svg class=\"plan\" viewBox=\"{:.1} 0 {:.1} {:.1}\" role=\"img\" aria-label=\"{}\">",
        left,
        right - left,
        top + 3.0,
        escape(words.get("plan_title"))
    );
    let mut rect = |class: &str, x: f64, up: f64, wide: f64, high: f64| {
        let _ = write!(
            svg,
            "<rect class=\"{class}\" x=\"{x:.1}\" y=\"{:.1}\" width=\"{wide:.1}\" height=\"{high:.1}\"/>",
            y(up + high)
        );
    };
    if height > 0.0 {
        rect("cabinet", 0.0, 0.0, length, height);
    }
    if let Some(surface) = surface(tank) {
        rect("water", tank_left, height, size[0], surface - height);
    }
    rect("glass", tank_left, height, size[0], size[2]);
    if let Some(sump) = &tank.sump_size {
        rect("sump", 4.0, 1.0, sump.value[0], sump.value[2]);
    }
    let _ =
        write!(svg, "<line class=\"floor\" x1=\"{left:.1}\" y1=\"{0:.1}\" x2=\"{right:.1}\" y2=\"{0:.1}\"/>", y(0.0));
    for (place, (x, up)) in apart(places).into_iter().enumerate() {
        let spot = &places.list[place];
        if (x - spot.front.x).abs() + (up - spot.front.up).abs() > 0.5 {
            let _ = write!(
                svg,
                "<line class=\"lead\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\"/>",
                spot.front.x,
                y(spot.front.up),
                y(up)
            );
        }
        let _ = write!(
            svg,
            "<circle class=\"disc\" cx=\"{x:.1}\" cy=\"{0:.1}\" r=\"{RADIUS}\"/><text x=\"{x:.1}\" y=\"{1:.1}\">{2}</text>",
            y(up),
            y(up) + 1.65,
            place + 1
        );
    }
    svg.push_str("</svg>");
    svg
}

/// Of a numbered disc, in cm of the drawn tank.
const RADIUS: f64 = 3.2;

/// Where the discs are drawn: at their places, pushed apart sideways and up where two would lie on one another.
fn apart(places: &Places) -> Vec<(f64, f64)> {
    let mut drawn: Vec<(f64, f64)> = Vec::new();
    for spot in &places.list {
        let (x, up) = (spot.front.x, spot.front.up);
        let clear =
            |x: f64, up: f64| drawn.iter().all(|(other, height)| (x - other).hypot(up - height) >= 2.0 * RADIUS + 0.4);
        let mut found = (x, up);
        'rings: for ring in 0..12 {
            for turn in 0..12 {
                let angle = f64::from(turn) * std::f64::consts::PI / 6.0;
                let away = f64::from(ring) * 2.4;
                let candidate = (x + away * angle.cos(), (up + away * angle.sin()).max(RADIUS + 0.5));
                if clear(candidate.0, candidate.1) {
                    found = candidate;
                    break 'rings;
                }
            }
        }
        drawn.push(found);
    }
    drawn
}

/// A day from midnight to midnight with the lit hours black; dashed where the clocks leave the lamp behind.
pub fn lamp_day(
    lamp: &LampHours,
    behind: Option<(jiff::civil::Time, jiff::civil::Time)>,
    label: &str,
    quarters: &[&str],
) -> String {
    let mm = |hour: f64| hour * 10.0;
    let mut svg = format!("<svg class=\"lamp\" viewBox=\"0 0 240 22\" role=\"img\" aria-label=\"{}\">", escape(label));
    svg.push_str("<rect class=\"frame\" x=\"0.5\" y=\"0.5\" width=\"239\" height=\"8\"/>");
    let (on, off) = (hour_of(lamp.on), hour_of(lamp.off));
    let _ =
        write!(svg, "<rect class=\"lit\" x=\"{:.1}\" y=\"0.5\" width=\"{:.1}\" height=\"8\"/>", mm(on), mm(off - on));
    if let Some((on, off)) = behind {
        let (on, off) = (hour_of(on), hour_of(off));
        if off > on {
            let _ = write!(
                svg,
                "<rect class=\"behind\" x=\"{:.1}\" y=\"-1.2\" width=\"{:.1}\" height=\"11.4\"/>",
                mm(on),
                mm(off - on)
            );
        }
    }
    for (quarter, hour) in quarters.iter().enumerate() {
        let anchor = match quarter {
            0 => "start",
            4 => "end",
            _ => "middle",
        };
        let x = mm(quarter as f64 * 6.0);
        let _ = write!(svg, "<text x=\"{x:.1}\" y=\"21\" text-anchor=\"{anchor}\">{}</text>", escape(hour));
    }
    svg.push_str("</svg>");
    svg
}

/// What a spoon's bowl holds: filled from the handle's far end by the share of its width.
fn filled(middle: f64, share: f64) -> String {
    if share >= 1.0 {
        return format!("<ellipse class=\"full\" cx=\"{middle:.1}\" cy=\"6\" rx=\"6\" ry=\"4.5\"/>");
    }
    // The chord stands this far from the middle, in halves of the bowl's width; the arc goes round by the far end.
    let across = 2.0 * share - 1.0;
    let (edge, half) = (middle + 6.0 * across, 4.5 * (1.0 - across * across).sqrt());
    let large = u8::from(share > 0.5);
    let (top, foot) = (6.0 - half, 6.0 + half);
    format!("<path class=\"full\" d=\"M{edge:.1} {top:.2}A6 4.5 0 {large} 0 {edge:.1} {foot:.2}Z\"/>")
}

/// So many spoons, the last cut to its share. Too many to count are not drawn.
pub fn spoons(count: f64) -> String {
    let quarters = (count * 4.0).round();
    if !(1.0..=24.0).contains(&quarters) {
        return String::new();
    }
    let whole = (quarters / 4.0).ceil() as usize;
    let mut svg = format!("<svg class=\"spoons\" viewBox=\"0 0 {} 12\" aria-hidden=\"true\">", whole * 30);
    for place in 0..whole {
        let left = place as f64 * 30.0;
        let share = (quarters / 4.0 - place as f64).min(1.0);
        let _ = write!(
            svg,
            "<path class=\"handle\" d=\"M{:.1} 6H{:.1}\"/><ellipse class=\"bowl\" cx=\"{:.1}\" cy=\"6\" rx=\"6\" ry=\"4.5\"/>",
            left + 12.0,
            left + 27.0,
            left + 7.0
        );
        svg.push_str(&filled(left + 7.0, share));
    }
    svg.push_str("</svg>");
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_spoon_is_filled_to_its_share() {
        // A half: the chord is the bowl's height of nine, through its middle.
        assert!(spoons(0.5).contains("M7.0 1.50A6 4.5 0 0 0 7.0 10.50Z"), "{}", spoons(0.5));
        // Three quarters of the width: the chord half-way to the handle, √3/2 of the height, and the long way round.
        assert!(spoons(1.75).contains("M40.0 2.10A6 4.5 0 1 0 40.0 9.90Z"), "{}", spoons(1.75));
        assert_eq!(spoons(2.0).matches("class=\"full\"").count(), 2);
        assert!(!spoons(1.25).contains("id="), "the same drawing stands on a page many times");
    }
}
