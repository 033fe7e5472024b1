//! One quantity against another that is not time: a pump's curve with its plumbing, a lamp's spectrum.

use super::canvas::{Anchor, Canvas, Frame};
use super::input::{Drawn, XyChart};
use super::labels::{Area, Labels};
use super::scale::{Scale, draw_ticks, room_for, worded_ticks};
use super::text::{number, text_width};
use super::time::{LABEL, mark_area, tame};

/// Draws lines against a level axis from zero, or from the first value; each line has its own dash and its name on it.
pub fn draw_xy(chart: &XyChart) -> Drawn {
    Drawn { wide: draw(chart, true), narrow: draw(chart, false) }
}

/// A line is told apart by its dash and its name, never by colour alone.
const CLASSES: [&str; 4] = ["trace a", "trace b dash", "trace d dots", "trace c long"];
const LABEL_CLASSES: [&str; 4] = ["lab a halo", "lab b halo", "lab d halo", "lab c halo"];

fn draw(chart: &XyChart, wide: bool) -> String {
    let (width, base, small) = if wide { (940.0, 300.0, 12.0) } else { (340.0, 250.0, 13.0) };
    let top = 34.0;
    let finite = |point: &&(f64, f64)| point.0.is_finite() && point.1.is_finite();
    let all: Vec<(f64, f64)> = chart.lines.iter().flat_map(|line| &line.points).filter(finite).copied().collect();
    let heights: Vec<f64> =
        all.iter().chain(&chart.marks.iter().map(|mark| mark.at).collect::<Vec<_>>()).map(|p| p.1).collect();
    let scale = Scale::fitting(&heights, true, top, base);
    let ticks = worded_ticks(&scale, 5, &[]);
    let x0 = room_for(&ticks, small, if wide { 38.0 } else { 30.0 });
    let x1 = if wide { 920.0 } else { 332.0 };
    let reach =
        all.iter().map(|point| point.0).fold((f64::INFINITY, f64::NEG_INFINITY), |r, x| (r.0.min(x), r.1.max(x)));
    let (from, to) = chart.x_span.unwrap_or((reach.0.min(0.0), reach.1));
    let (from, to) = if to > from && to.is_finite() && from.is_finite() { (from, to) } else { (0.0, 1.0) };
    let x = |value: f64| x0 + (value.clamp(from, to) - from) / (to - from) * (x1 - x0);
    let mut canvas = Canvas::new(width);
    for (index, zone) in chart.zones.iter().enumerate() {
        let (left, right) = (x(zone.from), x(zone.to));
        if index % 2 == 0 {
            canvas.rect("band", left, top, right - left, base - top);
        }
        canvas.text("note", (left + right) / 2.0, top - 6.0, Anchor::Middle, &zone.label);
    }
    draw_ticks(&mut canvas, &scale, &ticks, x0, x1);
    canvas.text(
        "unit",
        if wide { 4.0 } else { 0.0 },
        if chart.zones.is_empty() { 16.0 } else { 12.0 },
        Anchor::Start,
        &chart.y_unit,
    );
    canvas.line("axis", x0, base, x1, base);
    let along = Scale { low: from, high: to, top: 0.0, base: x1 - x0 };
    let (steps, decimals) = along.ticks(if wide { 9 } else { 4 });
    for step in steps {
        canvas.line("axis", x(step), base, x(step), base + 5.0);
        let words = number(step, decimals);
        let half = text_width(&words, small, false) / 2.0;
        canvas.text("tick", x(step).min(width - half), base + small + 6.0, Anchor::Middle, &words);
    }
    let half = text_width(&chart.x_unit, small, false) / 2.0;
    canvas.text("note", ((x0 + x1) / 2.0).max(half), base + 2.0 * small + 10.0, Anchor::Middle, &chart.x_unit);
    let mut labels = Labels::default();
    for (index, line) in chart.lines.iter().enumerate() {
        let path: Vec<_> = line
            .points
            .iter()
            .filter(finite)
            .filter(|point| (from..=to).contains(&point.0))
            .map(|point| (x(point.0), scale.y(point.1)))
            .collect();
        if chart.filled && index == 0 && path.len() > 1 {
            let mut area = path.clone();
            area.push((path[path.len() - 1].0, base));
            area.insert(0, (path[0].0, base));
            canvas.polygon("range a", area);
        }
        if path.len() > 1 {
            canvas.path(CLASSES[index % CLASSES.len()], path);
        }
    }
    for mark in &chart.marks {
        let (cx, cy) = (x(mark.at.0), scale.y(mark.at.1));
        let class = if mark.is_reading { "a" } else { "ink" };
        if mark.span.1 > mark.span.0 {
            canvas.line(&format!("err2 {class}"), x(mark.span.0), cy, x(mark.span.1), cy);
        }
        let radius = if wide { 4.2 } else { 3.6 };
        if mark.is_reading {
            canvas.circle("pt a", cx, cy, radius);
        } else {
            canvas.polygon("ev", vec![(cx, cy - radius), (cx + radius, cy), (cx, cy + radius), (cx - radius, cy)]);
        }
        labels.reserve(mark_area(cx, cy, radius));
        let places = [
            (cx, cy - 10.0, Anchor::Middle),
            (cx + 9.0, cy - 8.0, Anchor::Start),
            (cx - 9.0, cy - 8.0, Anchor::End),
            (cx, cy + 20.0, Anchor::Middle),
        ];
        labels.place(&mut canvas, "lab strong halo", &mark.label, LABEL, &places, (x0, width));
    }
    for (index, line) in chart.lines.iter().enumerate() {
        let Some(&(px, py)) = line.points.iter().filter(finite).max_by(|a, b| a.1.total_cmp(&b.1)) else {
            continue;
        };
        let (cx, cy) = (x(px), scale.y(py));
        let places: Vec<_> = [-8.0, 18.0, -26.0, 36.0, 54.0, -44.0]
            .iter()
            .flat_map(|down| {
                [
                    (cx + 8.0, cy + down, Anchor::Start),
                    (cx - 8.0, cy + down, Anchor::End),
                    (cx, cy + down, Anchor::Middle),
                ]
            })
            .filter(|place| place.1 > top - 2.0 && place.1 < base - 3.0)
            .collect();
        labels.place(&mut canvas, LABEL_CLASSES[index % LABEL_CLASSES.len()], &line.label, LABEL, &places, (x0, width));
    }
    labels.reserve(Area { left: x0, right: x1, top: base - 0.5, bottom: base + 0.5 });
    let id = format!("xy-{}{}", tame(&chart.id), if wide { "" } else { "-n" });
    let kind = if wide { "wide" } else { "narrow" };
    canvas.finish(base + 2.0 * small + 16.0, &Frame { kind, id, title: &chart.title, description: &chart.description })
}
