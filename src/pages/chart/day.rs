//! One day from midnight to midnight: a lamp's channels, a pump's speed.

use super::canvas::{Anchor, Canvas, Frame};
use super::input::{DayCurve, Drawn};
use super::labels::{Labels, spread};
use super::scale::{Scale, draw_ticks, room_for, worded_ticks};
use super::text::{cut_to, short_form, text_width, wrap};
use super::time::{LABEL, tame};

/// Draws curves over 24 hours, each with its own dash and its name at its end; points outside the day are left out.
pub fn draw_day_curve(curve: &DayCurve) -> Drawn {
    Drawn { wide: draw(curve, true), narrow: draw(curve, false) }
}

/// A curve is told apart by its dash and its name, never by colour alone.
const CLASSES: [&str; 5] = ["trace a", "trace b dash", "trace d dots", "trace c long", "trace ink dash-dot"];
const LABEL_CLASSES: [&str; 5] = ["lab a", "lab b", "lab d", "lab c", "lab"];

fn draw(curve: &DayCurve, wide: bool) -> String {
    let (width, base, small) = if wide { (940.0, 220.0, 12.0) } else { (340.0, 200.0, 13.0) };
    let (top, least) = (30.0, if wide { 38.0 } else { 30.0 });
    let lines: Vec<(&str, Vec<(f64, f64)>)> = curve
        .lines
        .iter()
        .map(|(label, points)| {
            let inside =
                points.iter().copied().filter(|(hour, value)| (0.0..=24.0).contains(hour) && value.is_finite());
            (label.as_str(), inside.collect())
        })
        .collect();
    let mut values: Vec<f64> = lines.iter().flat_map(|(_, points)| points).map(|point| point.1).collect();
    values.push(0.0);
    values.extend(curve.y_max);
    let highest = values.iter().copied().filter(|value| value.is_finite()).fold(0.0, f64::max);
    let mut scale = Scale::fitting(&values, true, top, base);
    if curve.y_max.is_some_and(|most| most > 0.0 && most >= highest) {
        // A percentage ends at a hundred: no air above what cannot be passed.
        scale.high = highest.max(curve.y_max.unwrap_or(highest));
    }
    let ticks = worded_ticks(&scale, 5, &[]);
    let x0 = room_for(&ticks, small, least);
    let x1 = if wide { 772.0 } else { 332.0 };
    let x = |hour: f64| x0 + hour / 24.0 * (x1 - x0);
    let mut canvas = Canvas::new(width);
    draw_ticks(&mut canvas, &scale, &ticks, x0, x1);
    canvas.text("unit", if wide { 4.0 } else { 0.0 }, 16.0, Anchor::Start, &curve.unit);
    canvas.line("axis", x0, base, x1, base);
    for hour in 0..=24 {
        let named = hour % if wide { 2 } else { 6 } == 0;
        let at = x(f64::from(hour));
        canvas.line("axis", at, base, at, base + if named { 5.0 } else { 3.0 });
        if named {
            let words = format!("{hour}:00");
            // The last hour would hang over the edge of a narrow drawing.
            let anchor = if hour == 24 && !wide { Anchor::End } else { Anchor::Middle };
            canvas.text("tick", at, base + small + 6.0, anchor, &words);
        }
    }
    for (index, (_, points)) in lines.iter().enumerate() {
        let path: Vec<_> = points.iter().map(|(hour, value)| (x(*hour), scale.y(*value))).collect();
        if path.len() > 1 {
            canvas.path(CLASSES[index % CLASSES.len()], path);
        } else if let [(x, y)] = path.as_slice() {
            canvas.circle("pt a", *x, *y, 2.6);
        }
    }
    name_lines(&mut canvas, &lines, &scale, x, (x1, width), wide);
    let id = format!("d-{}{}", tame(&curve.id), if wide { "" } else { "-n" });
    let kind = if wide { "wide" } else { "narrow" };
    let frame = Frame { kind, id, title: &curve.title, description: &curve.description };
    canvas.finish(base + small + 14.0, &frame)
}

/// Wide, the names stand beside the plot with a thin line to the peak's height; narrow, at their peaks.
fn name_lines(
    canvas: &mut Canvas,
    lines: &[(&str, Vec<(f64, f64)>)],
    scale: &Scale,
    x_of: impl Fn(f64) -> f64,
    (x1, width): (f64, f64),
    wide: bool,
) {
    let peak = |points: &[(f64, f64)]| {
        // The last of equal peaks: the nearest to the names at the right.
        points.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1).then(a.0.total_cmp(&b.0)))
    };
    let peaks: Vec<(usize, &str, f64, f64)> = lines
        .iter()
        .enumerate()
        .filter_map(|(index, (label, points))| {
            let (hour, value) = peak(points)?;
            Some((index, *label, x_of(hour), scale.y(value)))
        })
        .collect();
    if wide {
        let at = x1 + 10.0;
        let wrapped: Vec<Vec<String>> = peaks.iter().map(|each| wrap(each.1, LABEL, false, width - at)).collect();
        let wanted: Vec<(f64, f64)> =
            peaks.iter().zip(&wrapped).map(|(each, lines)| (each.3, lines.len().max(1) as f64 * 16.0)).collect();
        let centres = spread(&wanted, scale.top - 8.0, scale.base + 8.0);
        for ((each, lines), centre) in peaks.iter().zip(&wrapped).zip(centres) {
            canvas.path("lead", vec![(each.2 + 3.0, each.3), (x1 + 1.0, each.3), (at - 3.0, centre)]);
            let first = centre - (lines.len() as f64 - 1.0) * 8.0 + 4.0;
            for (row, line) in lines.iter().enumerate() {
                let class = LABEL_CLASSES[each.0 % LABEL_CLASSES.len()];
                canvas.text(class, at, first + row as f64 * 16.0, Anchor::Start, line);
            }
        }
        return;
    }
    let mut labels = Labels::default();
    for (index, label, x, y) in peaks {
        let class = format!("{} halo", LABEL_CLASSES[index % LABEL_CLASSES.len()]);
        let words = &cut_to(short_form(label), LABEL, width);
        let half = text_width(words, LABEL, false) / 2.0;
        let middle = x.clamp(half, width - half);
        let rows = [-7.0, 16.0, 32.0, 48.0, 64.0, 80.0, 96.0];
        // Where the names of others fill the right, a flat line may be named at its left end.
        let is_flat = lines[index].1.iter().all(|(_, value)| (scale.y(*value) - y).abs() < 1.0);
        let at_left = if is_flat { &rows[..2] } else { &[] };
        let places: Vec<_> = rows
            .iter()
            .take(2)
            .map(|down| (middle, y + down, Anchor::Middle))
            .chain(at_left.iter().map(|down| (x_of(0.0) + 4.0, y + down, Anchor::Start)))
            .chain(rows.iter().skip(2).map(|down| (middle, y + down, Anchor::Middle)))
            .filter(|place| place.1 > 12.0 && place.1 < scale.base - 2.0)
            .collect();
        labels.place(canvas, &class, words, LABEL, &places, (0.0, width));
    }
}
