//! A sensor's days: the mean as a line and the range as a ribbon, thinned to what a pixel can show.

use super::canvas::Anchor;
use super::dates::{TimeScale, day_in_chart, day_number};
use super::input::{DailyRange, TimeChart};
use super::text::number;
use super::time::{Beside, LABEL, Sheet};

/// A column of the drawing with the extremes of the days in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Column {
    pub x: f64,
    pub last_day: i64,
    pub mean: f64,
    pub low: f64,
    pub high: f64,
    pub days: f64,
}

/// Draws the days, interrupted where days are missing.
pub(super) fn draw_daily(sheet: &mut Sheet) {
    let (time, scale) = (sheet.time, sheet.scale);
    let runs = runs(sheet.chart, &time);
    for run in &runs {
        if let [only] = run.as_slice() {
            // A day alone has no line: its range is a bar.
            sheet.canvas.line("err a", only.x, scale.y(only.low), only.x, scale.y(only.high));
            sheet.canvas.circle("pt a", only.x, scale.y(only.mean), 1.6);
            continue;
        }
        let upper = run.iter().map(|column| (column.x, scale.y(column.high)));
        let lower = run.iter().rev().map(|column| (column.x, scale.y(column.low)));
        sheet.canvas.polygon("range a", upper.chain(lower).collect());
        let mean = run.iter().map(|column| (column.x, scale.y(column.mean)));
        sheet.canvas.path("trace a", mean.collect());
    }
    name_last(sheet);
}

/// The days in order, in columns no narrower than a screen shows, divided where more than a day is missing.
pub(super) fn runs(chart: &TimeChart, time: &TimeScale) -> Vec<Vec<Column>> {
    let mut days = shown(chart, time);
    days.sort_by_key(|day| day.date);
    // Two units a column once days lie closer than that: lows and highs are kept, means averaged.
    let crowded = time.pixels_per_day() < 2.0;
    let mut runs: Vec<Vec<Column>> = Vec::new();
    for day in &days {
        let (x, number) = (time.noon(day.date), day_number(day.date));
        let last = runs.last_mut().and_then(|run| run.last_mut());
        match last {
            Some(last) if number - last.last_day <= 2 && crowded && (x / 2.0).floor() == (last.x / 2.0).floor() => {
                last.mean = (last.mean * last.days + day.mean) / (last.days + 1.0);
                last.days += 1.0;
                last.low = last.low.min(day.low);
                last.high = last.high.max(day.high);
                last.last_day = number;
            }
            last => {
                let follows = last.is_some_and(|last| number - last.last_day <= 2);
                let column = Column { x, last_day: number, mean: day.mean, low: day.low, high: day.high, days: 1.0 };
                match runs.last_mut() {
                    Some(run) if follows => run.push(column),
                    _ => runs.push(vec![column]),
                }
            }
        }
    }
    runs
}

fn shown<'a>(chart: &'a TimeChart, time: &TimeScale) -> Vec<&'a DailyRange> {
    let complete = |day: &&DailyRange| [day.mean, day.low, day.high].iter().all(|v| v.is_finite());
    let days = chart.daily.iter().flatten();
    days.filter(|day| time.contains(day.date)).filter(complete).collect()
}

fn name_last(sheet: &mut Sheet) {
    let (time, scale) = (sheet.time, sheet.scale);
    let last = shown(sheet.chart, &time).into_iter().max_by_key(|day| day.date);
    let has_readings = sheet.chart.series.iter().any(|series| !series.points.is_empty());
    if let (Some(last), false) = (last, has_readings) {
        let (x, y) = (time.noon(last.date), scale.y(last.mean));
        let mean = number(last.mean, usize::from(sheet.chart.decimals));
        if sheet.layout.column {
            let text = format!("{mean} mean of\u{a0}{}", day_in_chart(last.date, sheet.chart.to));
            sheet.beside(Beside { class: "lab a strong", text, y, lead_from: Some(x - 4.0) });
        } else {
            let high = scale.y(last.high);
            let near = [(sheet.x1, high - 6.0, Anchor::End), (sheet.x1, scale.y(last.low) + 16.0, Anchor::End)];
            sheet.place("lab a strong halo", &mean, LABEL, &near);
        }
    }
}
