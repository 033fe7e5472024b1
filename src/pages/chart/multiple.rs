//! A quantity small, among others: readings with thin bars, the band's edges as the only ticks.

use super::canvas::{Anchor, Canvas, Frame};
use super::dates::{AxisStyle, TimeScale, draw_time_axis};
use super::input::{Bound, Mark, TimeChart};
use super::labels::spread;
use super::readings::{Bars, Placed, draw_bars, draw_limits, draw_mark, draw_plumb};
use super::text::{decimals_of, number, text_width};
use super::time::{draw_band, edges, fitted_scale, tame};

const WIDTH: f64 = 300.0;
const HEIGHT: f64 = 112.0;
const BASE: f64 = 92.0;
const SIZE: f64 = 13.5;
const RADIUS: f64 = 2.4;

/// Draws readings, band and a sensor's days at 300 by 112 units; rows, trend and notes are left to the large chart.
pub fn draw_multiple(chart: &TimeChart) -> String {
    let scale = fitted_scale(chart, 10.0, BASE);
    let edges = edges(chart);
    let values = if edges.is_empty() { ends(&scale) } else { edges.clone() };
    let decimals = values.iter().map(|value| decimals_of(*value, 0)).max().unwrap_or(0);
    let words: Vec<String> = values.iter().map(|value| number(*value, decimals)).collect();
    let x0 = words.iter().map(|word| text_width(word, SIZE, false) + 7.0).fold(40.0, f64::max);
    let x1 = WIDTH - 6.0;
    let time = TimeScale::new(chart.from, chart.to, x0, x1);
    let mut canvas = Canvas::new(WIDTH);
    draw_band(&mut canvas, chart, &scale, x0, x1);
    if edges.is_empty() {
        for value in values.iter().filter(|value| scale.base - scale.y(**value) > 0.5) {
            canvas.line("grid", x0, scale.y(*value), x1, scale.y(*value));
        }
    }
    let wanted: Vec<(f64, f64)> = values.iter().map(|value| (scale.y(*value), 13.0)).collect();
    for (word, y) in words.iter().zip(spread(&wanted, 0.0, HEIGHT)) {
        canvas.text("tick", x0 - 5.0, y + 4.5, Anchor::End, word);
    }
    draw_time_axis(&mut canvas, &time, &AxisStyle { base: BASE, size: 12.5, second_row: false });
    draw_days(&mut canvas, chart, &time, &scale);
    let mut points: Vec<(Mark, Placed)> = Vec::new();
    for series in chart.series.iter().filter(|series| series.mark != Mark::Diamond) {
        for point in &series.points {
            if time.contains(point.time.date()) && point.value.is_finite() {
                let (x, y) = (time.moment(point.time), scale.y(point.value));
                points.push((series.mark, Placed { point, x, y }));
            }
        }
    }
    points.sort_by_key(|(_, each)| each.point.time);
    let spacing = (x1 - x0) / points.len().max(1) as f64;
    let radius = if spacing > 3.0 { RADIUS } else { 1.4 };
    draw_bars(&mut canvas, &scale, points.iter().map(|(_, each)| each), Bars::Thin);
    draw_limits(&mut canvas, &scale, points.iter().map(|(_, each)| each), RADIUS);
    if let Some((_, last)) = points.last() {
        draw_plumb(&mut canvas, &scale, &edges, last);
    }
    let count = points.len();
    for (index, (mark, each)) in points.iter().enumerate() {
        if each.point.bound == Bound::Exactly {
            let radius = if index + 1 == count { 3.6 } else { radius };
            draw_mark(&mut canvas, "pt a", *mark, each.x, each.y, radius);
        }
    }
    let id = format!("m-{}", tame(&chart.id));
    let frame = Frame { kind: "multiple", id, title: &chart.title, description: &chart.description };
    canvas.finish(HEIGHT, &frame)
}

/// The lowest and highest of a few round ticks, for a quantity without a band.
fn ends(scale: &super::scale::Scale) -> Vec<f64> {
    let (ticks, _) = scale.ticks(3);
    match ticks.as_slice() {
        [first, .., last] => vec![*first, *last],
        other => other.to_vec(),
    }
}

/// A sensor's days as a line and a ribbon, interrupted where a day is missing.
fn draw_days(canvas: &mut Canvas, chart: &TimeChart, time: &TimeScale, scale: &super::scale::Scale) {
    for run in super::sensor::runs(chart, time) {
        let upper = run.iter().map(|column| (column.x, scale.y(column.high)));
        let lower = run.iter().rev().map(|column| (column.x, scale.y(column.low)));
        canvas.polygon("range a", upper.chain(lower).collect());
        canvas.path("trace a", run.iter().map(|column| (column.x, scale.y(column.mean))).collect());
    }
}
