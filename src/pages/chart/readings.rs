//! Readings: marks with their bars, open triangles where a reading is only a limit, and the words beside them.

use super::canvas::{Anchor, Canvas};
use super::dates::day_in_chart;
use super::input::{Bound, Mark, Point, Series};
use super::labels::Position;
use super::lines::name_end;
use super::scale::Scale;
use super::text::{number, short_form, value_with_u};
use super::time::{Beside, LABEL, Sheet, edges, mark_area};

/// Draws every series, comparisons first, then readings with the latest of them larger and labelled.
pub(super) fn draw_readings(sheet: &mut Sheet) {
    let chart = sheet.chart;
    let (comparisons, readings): (Vec<&Series>, Vec<&Series>) =
        chart.series.iter().partition(|series| series.mark == Mark::Diamond);
    for series in comparisons {
        draw_comparison(sheet, series);
    }
    let placed: Vec<Vec<Placed>> = readings.iter().map(|series| placed(sheet, series)).collect();
    let count: usize = placed.iter().map(Vec::len).sum();
    let size = MarkSize::for_count(count, sheet.x1 - sheet.x0, sheet.layout.radius);
    let all: Vec<&Placed> = placed.iter().flatten().collect();
    let last = all.iter().copied().max_by(|a, b| a.point.time.cmp(&b.point.time));
    let scale = sheet.scale;
    draw_bars(&mut sheet.canvas, &scale, all.iter().copied(), size.bars());
    draw_limits(&mut sheet.canvas, &scale, all.iter().copied(), size.radius);
    for (series, points) in readings.iter().zip(&placed) {
        for each in points.iter().filter(|each| each.point.bound == Bound::Exactly) {
            if !last.is_some_and(|last| std::ptr::eq(last, each)) {
                let class = if size.crowded { "pt a crowded" } else { "pt a" };
                draw_mark(&mut sheet.canvas, class, series.mark, each.x, each.y, size.radius);
            }
        }
    }
    if let Some(last) = last {
        let mark = readings
            .iter()
            .zip(&placed)
            .find(|(_, points)| points.iter().any(|each| std::ptr::eq(each, last)))
            .map_or(Mark::Circle, |(series, _)| series.mark);
        let radius = (size.radius * 1.4).max(sheet.layout.radius * 1.25);
        draw_plumb(&mut sheet.canvas, &scale, &edges(chart), last);
        if last.point.bound == Bound::Exactly {
            draw_mark(&mut sheet.canvas, "pt a", mark, last.x, last.y, radius);
        }
        name_last(sheet, last);
    }
    for each in &all {
        let is_last = last.is_some_and(|last| std::ptr::eq(last, *each));
        if let (Some(label), false) = (&each.point.label, is_last) {
            let near = around(each, size.radius + 4.0);
            let class = "note halo";
            let _ = sheet.place(class, label, sheet.layout.small, &near)
                || sheet.place(class, short_form(label), sheet.layout.small, &near);
        }
    }
    name_limits(sheet, &all);
}

/// Keeps words off the readings, the latest of them first if there are very many.
pub(super) fn reserve_marks(sheet: &mut Sheet) {
    let points = sheet.chart.series.iter().flat_map(|series| placed(sheet, series).into_iter().rev());
    let areas: Vec<_> = points.take(400).map(|each| mark_area(each.x, each.y, sheet.layout.radius)).collect();
    areas.into_iter().for_each(|area| sheet.labels.reserve(area));
}

/// A reading and where it stands.
pub(super) struct Placed<'a> {
    pub point: &'a Point,
    pub x: f64,
    pub y: f64,
}

fn placed<'a>(sheet: &Sheet, series: &'a Series) -> Vec<Placed<'a>> {
    let mut placed: Vec<Placed> = series
        .points
        .iter()
        .filter(|point| sheet.time.contains(point.time.date()) && point.value.is_finite())
        .map(|point| Placed { point, x: sheet.time.moment(point.time), y: sheet.scale.y(point.value) })
        .collect();
    placed.sort_by_key(|each| each.point.time);
    placed
}

/// Smaller marks and no thick bars once readings crowd: bars nearly three units thick would run into one. Where even thin
/// ones touch, they are pale, so that the readings stand out from them.
struct MarkSize {
    radius: f64,
    thick_bars: bool,
    crowded: bool,
}

/// How the bars of readings are drawn.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Bars {
    Thick,
    Thin,
    Pale,
}

impl MarkSize {
    fn for_count(count: usize, room: f64, radius: f64) -> MarkSize {
        let spacing = room / count.max(1) as f64;
        MarkSize {
            radius: match spacing {
                spacing if spacing > radius * 2.0 => radius,
                spacing if spacing > radius => radius * 0.75,
                _ => radius * 0.55,
            },
            thick_bars: spacing > 2.75,
            crowded: spacing < 1.8,
        }
    }

    fn bars(&self) -> Bars {
        match (self.thick_bars, self.crowded) {
            (true, _) => Bars::Thick,
            (false, true) => Bars::Pale,
            (false, false) => Bars::Thin,
        }
    }
}

/// Thin bars of two standard uncertainties, thick ones of one.
pub(super) fn draw_bars<'a>(
    canvas: &mut Canvas,
    scale: &Scale,
    points: impl Iterator<Item = &'a Placed<'a>> + Clone,
    bars: Bars,
) {
    let with_bar =
        points.filter(|each| each.point.bound == Bound::Exactly && each.point.u.is_finite() && each.point.u > 0.0);
    let mut bar = |class: &str, each: &Placed, times: f64| {
        let (value, reach) = (each.point.value, each.point.u * times);
        canvas.line(class, each.x, scale.y(value - reach), each.x, scale.y(value + reach));
    };
    for each in with_bar.clone() {
        bar(if bars == Bars::Pale { "err a crowded" } else { "err a" }, each, 2.0);
    }
    if bars == Bars::Thick {
        for each in with_bar {
            bar("err2 a", each, 1.0);
        }
    }
}

/// Open triangles at limits, with a dashed line over all the values the reading allows.
pub(super) fn draw_limits<'a>(
    canvas: &mut Canvas,
    scale: &Scale,
    points: impl Iterator<Item = &'a Placed<'a>> + Clone,
    radius: f64,
) {
    let half = radius + 0.9;
    for bound in [Bound::Below, Bound::Above] {
        let limits = points.clone().filter(|each| each.point.bound == bound);
        // A limit points to where the value may be: down to nothing, or up without end.
        let (end, way) = match bound {
            Bound::Above => (scale.top, -1.0),
            _ => (scale.y(0.0), 1.0),
        };
        for each in limits.clone() {
            canvas.line("cens-line", each.x, each.y, each.x, end);
        }
        for each in limits {
            let (flat, tip) = (each.y - way * half * 0.8, each.y + way * half);
            let corners = vec![(each.x - half, flat), (each.x + half, flat), (each.x, tip)];
            canvas.polygon("cens", corners);
        }
    }
}

pub(super) fn draw_mark(canvas: &mut Canvas, class: &str, mark: Mark, x: f64, y: f64, r: f64) {
    match mark {
        Mark::Circle => canvas.circle(class, x, y, r),
        Mark::Square => {
            let side = r * 1.82;
            canvas.rect(class, x - side / 2.0, y - side / 2.0, side, side);
        }
        Mark::Diamond => {
            let reach = r * 1.3;
            canvas.polygon(class, vec![(x, y - reach), (x + reach, y), (x, y + reach), (x - reach, y)]);
        }
    }
}

/// Joins a reading outside the band to the edge it lies beyond.
pub(super) fn draw_plumb(canvas: &mut Canvas, scale: &Scale, edges: &[f64], last: &Placed) {
    let [low, .., high] = edges else { return };
    let edge = if last.y < scale.y(*high) {
        scale.y(*high)
    } else if last.y > scale.y(*low) {
        scale.y(*low)
    } else {
        return;
    };
    canvas.line("plumb", last.x, last.y, last.x, edge);
}

fn draw_comparison(sheet: &mut Sheet, series: &Series) {
    let points = placed(sheet, series);
    let Some(last) = points.last() else { return };
    let path: Vec<_> = points.iter().map(|each| (each.x, each.y)).collect();
    if path.len() > 1 {
        sheet.canvas.path("trace d dash", path);
    }
    let scale = sheet.scale;
    for each in points.iter().filter(|each| each.point.u.is_finite() && each.point.u > 0.0) {
        let (value, reach) = (each.point.value, 2.0 * each.point.u);
        sheet.canvas.line("err d", each.x, scale.y(value - reach), each.x, scale.y(value + reach));
    }
    let radius = sheet.layout.radius;
    for each in &points {
        draw_mark(&mut sheet.canvas, "pt d", Mark::Diamond, each.x, each.y, radius);
    }
    let value = value_with_u(last.point.value, last.point.u, usize::from(sheet.chart.decimals));
    let text = last.point.label.clone().unwrap_or_else(|| match series.label.as_str() {
        "" => value,
        label => format!("{label}, {value}"),
    });
    if sheet.layout.column {
        name_end(sheet, "lab d", &text, (last.x, last.y), last.y - 9.0);
    } else {
        let near = [(last.x, last.y - 10.0, Anchor::End), (last.x, last.y + 20.0, Anchor::End)];
        sheet.place("lab d halo", short_form(&text), LABEL, &near);
    }
}

/// Units of the drawing between the last mark and the edge, beyond which the mark is named in the plot.
const FAR: f64 = 60.0;

fn name_last(sheet: &mut Sheet, last: &Placed) {
    let decimals = usize::from(sheet.chart.decimals);
    let value = match last.point.bound {
        Bound::Exactly => value_with_u(last.point.value, last.point.u, decimals),
        Bound::Below => format!("below {}", number(last.point.value, decimals)),
        Bound::Above => format!("above {}", number(last.point.value, decimals)),
    };
    // A long leader would be read as a line of the plot: a mark that is not near its edge is named where it stands.
    if sheet.layout.column && sheet.x1 - last.x < FAR {
        let text = last
            .point
            .label
            .clone()
            .unwrap_or_else(|| format!("{value} on\u{a0}{}", day_in_chart(last.point.time.date(), sheet.chart.to)));
        let lead_from = Some(last.x);
        sheet.beside(Beside { class: "lab a strong", text, y: last.y, lead_from });
        return;
    }
    let scale = sheet.scale;
    let reach = if last.point.u.is_finite() { 2.0 * last.point.u.abs() } else { 0.0 };
    let (upper, lower) = match last.point.bound {
        Bound::Exactly => (scale.y(last.point.value + reach), scale.y(last.point.value - reach)),
        _ => (last.y - 5.0, last.y + 5.0),
    };
    let right = if sheet.x1 - last.x < FAR { sheet.x1.max(last.x) } else { last.x + 30.0 };
    let near = [
        (right, upper - 8.0, Anchor::End),
        (right, lower + 18.0, Anchor::End),
        (right, upper - 24.0, Anchor::End),
        (last.x - 9.0, last.y - 8.0, Anchor::End),
        (last.x + 9.0, last.y + 4.0, Anchor::Start),
        (right, scale.top + 12.0, Anchor::End),
        (right, scale.base - 6.0, Anchor::End),
    ];
    let in_plot: Vec<Position> =
        near.into_iter().filter(|(_, y, _)| (scale.top - 4.0..=scale.base - 2.0).contains(y)).collect();
    sheet.place("lab a strong halo", &value, LABEL, &in_plot);
}

/// The places beside a mark, in the order they are tried.
fn around(each: &Placed, distance: f64) -> Vec<Position> {
    vec![
        (each.x + distance, each.y + 4.0, Anchor::Start),
        (each.x - distance, each.y + 4.0, Anchor::End),
        (each.x, each.y - distance - 2.0, Anchor::Middle),
        (each.x, each.y + distance + 10.0, Anchor::Middle),
    ]
}

/// Says once for each run of equal limits what the limit is.
fn name_limits(sheet: &mut Sheet, all: &[&Placed]) {
    let mut in_order = all.to_vec();
    in_order.sort_by_key(|each| each.point.time);
    let decimals = usize::from(sheet.chart.decimals);
    let size = sheet.layout.small;
    let mut start = 0;
    while start < in_order.len() {
        let first = in_order[start];
        let same = |each: &&&Placed| each.point.bound == first.point.bound && each.point.value == first.point.value;
        let run = in_order[start..].iter().take_while(same).count().max(1);
        let last = in_order[start + run - 1];
        start += run;
        let (word, inner) = match first.point.bound {
            Bound::Exactly => continue,
            Bound::Below => ("below", (first.y + sheet.scale.y(0.0)) / 2.0),
            Bound::Above => ("above", (first.y + sheet.scale.top) / 2.0),
        };
        // A lone limit that is the latest reading is named with it.
        if run == 1 && std::ptr::eq(last, in_order[in_order.len() - 1]) {
            continue;
        }
        let limit = first.point.value;
        let value = super::text::plain_number(limit, 0);
        let value = if value.len() > number(limit, decimals).len() { number(limit, decimals) } else { value };
        let text = format!("{word} {value}");
        let middle = (first.x + last.x) / 2.0;
        let positions = [
            (middle, inner + 8.0, Anchor::Middle),
            (middle, inner, Anchor::Middle),
            (middle, first.y - 9.0, Anchor::Middle),
            (first.x, first.y - 9.0, Anchor::Start),
            (last.x, first.y - 9.0, Anchor::End),
        ];
        sheet.place("note halo", &text, size, &positions);
    }
}
