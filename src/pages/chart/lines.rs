//! Lines that were not read off anything: a trend over its window, and values worked out, assumed or stated.

use super::canvas::Anchor;
use super::dates::day_number;
use super::input::{LineBasis, TrendLine, ValueLine};
use super::text::short_form;
use super::time::{Beside, LABEL, Sheet};

/// Draws every line of a chart, the trend last.
pub(super) fn draw_lines(sheet: &mut Sheet) {
    let chart = sheet.chart;
    for line in &chart.lines {
        draw_value_line(sheet, line);
    }
    if let Some(trend) = &chart.trend {
        draw_trend(sheet, trend);
    }
}

fn draw_trend(sheet: &mut Sheet, trend: &TrendLine) {
    let (from, to) = (day_number(trend.from), day_number(trend.to));
    let start = from.max(day_number(sheet.chart.from));
    let end = to.min(day_number(sheet.chart.to));
    if end < start || to <= from {
        return;
    }
    // A window that begins before the chart is cut where the chart begins.
    let share = |day: i64| (day - from) as f64 / (to - from) as f64;
    let between = |one: f64, other: f64, day: i64| one + (other - one) * share(day);
    let dates = (trend.from.max(sheet.chart.from), trend.to.min(sheet.chart.to));
    let (x0, x1) = (sheet.time.noon(dates.0), sheet.time.noon(dates.1));
    let y = |one: f64, other: f64, day: i64| sheet.scale.y(between(one, other, day));
    let limits = [trend.low_from, trend.low_to, trend.high_from, trend.high_to];
    let ribbon = vec![
        (x0, y(trend.high_from, trend.high_to, start)),
        (x1, y(trend.high_from, trend.high_to, end)),
        (x1, y(trend.low_from, trend.low_to, end)),
        (x0, y(trend.low_from, trend.low_to, start)),
    ];
    let line = [(x0, y(trend.value_from, trend.value_to, start)), (x1, y(trend.value_from, trend.value_to, end))];
    if limits.iter().all(|value| value.is_finite()) {
        sheet.canvas.polygon("ribbon b", ribbon);
    }
    if trend.value_from.is_finite() && trend.value_to.is_finite() {
        sheet.canvas.line("trend b", line[0].0, line[0].1, line[1].0, line[1].1);
        if sheet.layout.column {
            let y = sheet.scale.y(between(trend.high_from, trend.high_to, end)).min(line[1].1);
            name_end(sheet, "lab b", &trend.label, (line[1].0, line[1].1 + 0.1), y - 6.0);
        }
    }
}

fn draw_value_line(sheet: &mut Sheet, line: &ValueLine) {
    let (time, scale) = (sheet.time, sheet.scale);
    let points: Vec<_> =
        line.points.iter().filter(|point| time.contains(point.date) && point.value.is_finite()).collect();
    let Some(last) = points.last() else { return };
    let path = |value: fn(&super::input::LinePoint) -> f64| {
        points.iter().map(move |point| (time.noon(point.date), scale.y(value(point))))
    };
    let has_ribbon = points.iter().all(|point| point.low.is_finite() && point.high.is_finite())
        && points.iter().any(|point| point.high > point.low);
    let ribbon: Vec<_> =
        path(|point| point.high).chain(path(|point| point.low).collect::<Vec<_>>().into_iter().rev()).collect();
    let values: Vec<_> = path(|point| point.value).collect();
    match line.basis {
        LineBasis::Computed => {
            if has_ribbon {
                sheet.canvas.polygon("ribbon b", ribbon);
            }
            sheet.canvas.path("trend b", values);
        }
        LineBasis::Smoothed => sheet.canvas.path("smooth", values),
        LineBasis::Assumed => {
            if has_ribbon {
                sheet.canvas.polygon("gap", ribbon.clone());
                sheet.canvas.polygon("guess b", ribbon);
            }
            sheet.canvas.path("trend b dash", values);
        }
        LineBasis::Stated => {
            for (x, y) in values {
                sheet.canvas.line("trace stated", x - 5.0, y - 1.5, x + 5.0, y - 1.5);
                sheet.canvas.line("trace stated", x - 5.0, y + 1.5, x + 5.0, y + 1.5);
            }
        }
    }
    let (x, y) = (time.noon(last.date), scale.y(last.value));
    let class = if line.basis == LineBasis::Stated { "lab" } else { "lab b" };
    if sheet.layout.column {
        let high = if last.high.is_finite() { scale.y(last.high).min(y) } else { y };
        name_end(sheet, class, &line.label, (x, y), high - 9.0);
    } else {
        let class = format!("{class} halo");
        let near = [(x, y - 9.0, Anchor::End), (x, y + 18.0, Anchor::End)];
        sheet.place(&class, short_form(&line.label), LABEL, &near);
    }
}

/// Names a line at its end: in the column if the line ends there, else above the end itself.
pub(super) fn name_end(sheet: &mut Sheet, class: &'static str, text: &str, (x, y): (f64, f64), above: f64) {
    if sheet.x1 - x > 40.0 {
        let within = format!("{class} halo");
        let around = [
            (x, above, Anchor::End),
            (sheet.x0 + 6.0, above, Anchor::Start),
            (sheet.x0 + 6.0, y + 32.0, Anchor::Start),
            (x + 9.0, y + 4.0, Anchor::Start),
            (x, y + 20.0, Anchor::End),
            (x, above - 16.0, Anchor::Start),
            (x + 9.0, y + 20.0, Anchor::Start),
        ];
        if sheet.place(&within, text, LABEL, &around) {
            return;
        }
    }
    sheet.beside(Beside { class, text: text.to_string(), y, lead_from: None });
}
