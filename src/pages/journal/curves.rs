//! Charts of the water: one parameter over time, with doses, water changes and everything that changed beneath.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::view::*;
use super::water::{band_text, named_trend, slope_words, step_at, unit, value_text};
use crate::figures::water::{TrendState, WaterState};
use crate::pages::chart::{self, TimeChart};
use crate::pages::model::*;
use crate::record::{Lane, Parameter, bound_word, days_between};
use crate::science::lowess::lowess;
use crate::units::{Bound, Shift};

/// At most this many changes are numbered under one chart.
const MOST_CHANGES: usize = 40;

pub fn first_sensor_day(view: &View, parameter: Parameter) -> Option<Date> {
    view.tank.readings.iter().filter_map(|file| file.days.get(&parameter)?.first()).map(|day| day.date).min()
}

/// The chart of one parameter between two dates, with changes, water changes and doses under it.
pub fn time_chart(view: &View, state: &WaterState, from: Date, to: Date, suffix: &str) -> TimeChart {
    let parameter = state.parameter;
    let scale = super::water::scale(view, parameter);
    let inside = |date: Date| date >= from && date <= to;
    let mut series: Vec<chart::Series> = Vec::new();
    let mut run = None;
    for point in state.series.points.iter().filter(|point| inside(point.when.date())) {
        if run != Some(point.run) {
            run = Some(point.run);
            let mark = if point.run % 2 == 0 { chart::Mark::Circle } else { chart::Mark::Square };
            series.push(chart::Series { mark, points: Vec::new(), label: String::new() });
        }
        let drawn = chart::Point {
            time: point.when,
            value: scale.value(point.value),
            u: scale.spread(point.u),
            bound: match point.bound {
                Bound::Exactly => chart::Bound::Exactly,
                Bound::Below => chart::Bound::Below,
                Bound::Above => chart::Bound::Above,
            },
            label: None,
        };
        series.last_mut().expect("a series was just pushed").points.push(drawn);
    }
    let mut days: Vec<chart::DailyRange> = view
        .tank
        .readings
        .iter()
        .filter_map(|file| file.days.get(&parameter))
        .flatten()
        .filter(|day| inside(day.date))
        .map(|day| chart::DailyRange {
            date: day.date,
            mean: scale.value(day.mean),
            low: scale.value(day.low),
            high: scale.value(day.high),
        })
        .collect();
    days.sort_by_key(|day| day.date);
    days.dedup_by_key(|day| day.date);
    let trend = match &state.trend {
        TrendState::Found(found) if found.from >= from => {
            let days = f64::from(days_between(found.from, found.to));
            let at = |slope: f64, back: f64| scale.value(found.value_at_end - slope * back);
            // The ribbon turns about the middle of the window, where the line is best known.
            let half = days / 2.0;
            let middle = found.value_at_end - found.slope * half;
            Some(chart::TrendLine {
                from: found.from,
                to: found.to,
                value_from: at(found.slope, days),
                value_to: at(found.slope, 0.0),
                low_from: scale.value(middle - found.high * half),
                low_to: scale.value(middle + found.low * half),
                high_from: scale.value(middle - found.low * half),
                high_to: scale.value(middle + found.high * half),
                label: if found.visible {
                    let sign = if found.slope < 0.0 { "−" } else { "+" };
                    format!("trend {sign}{}", slope_words(view, state).unwrap_or_default())
                } else {
                    "no change the kit can see".into()
                },
            })
        }
        _ => None,
    };
    let id = format!("{}{suffix}", parameter.key());
    let name = parameter.shown();
    let (low, high) = state.band.map_or((None, None), |band| {
        let end = |value: f64| value.is_finite().then_some(scale.value(value));
        (end(band.low), end(band.high))
    });
    TimeChart {
        title: format!("{name}, {} to {}", month_text(from), month_text(to)),
        description: description(view, state, &series),
        id,
        unit: if parameter == Parameter::Ph { "pH".into() } else { unit(view, parameter) },
        from,
        to,
        band: state.band.map(|_| (low, high)),
        band_labels: ("bottom of band".into(), "top of band".into()),
        gaps: gaps(state, &days, from, to),
        lines: smooth_lines(&series, parameter),
        series,
        breaks: state
            .series
            .breaks
            .iter()
            .filter(|found| inside(found.date))
            .map(|found| chart::Break {
                date: found.date,
                before_label: short(&found.before),
                after_label: reads(view, parameter, found.date, short(&found.after)),
            })
            .collect(),
        trend,
        daily: (!days.is_empty()).then_some(days),
        doses: Vec::new(),
        dose_label: String::new(),
        water_changes: Vec::new(),
        lanes: Vec::new(),
        decimals: parameter.decimals(),
        quiet_days: view
            .tank
            .entries
            .iter()
            .filter(|entry| entry.quiet && inside(entry.date()))
            .map(|entry| entry.date())
            .collect(),
    }
}

/// What the chart shows, in words: the trend, then how many readings, and how many of them in the band of today.
fn description(view: &View, state: &WaterState, series: &[chart::Series]) -> String {
    let points: Vec<&chart::Point> = series.iter().flat_map(|series| &series.points).collect();
    let count = match points.len() {
        1 => "1 reading".to_string(),
        count => format!("{count} readings"),
    };
    let scale = super::water::scale(view, state.parameter);
    let inside = |band: crate::record::Band| {
        let (low, high) = (scale.value(band.low), scale.value(band.high));
        let known = points.iter().filter(|point| point.bound == chart::Bound::Exactly);
        known.filter(|point| point.value >= low && point.value <= high).count()
    };
    let against = match state.band {
        Some(band) if !points.is_empty() => format!("; {} in the band {}", inside(band), band_text(view, state)),
        Some(_) => format!(" against the band {}", band_text(view, state)),
        None => String::new(),
    };
    format!("{} {count}{against}.", named_trend(view, state))
}

/// `lot 2, reads 0.6 ± 0.4 lower`, where the readings tell a step from none.
fn reads(view: &View, parameter: Parameter, date: Date, lot: String) -> String {
    match step_at(view, parameter, date) {
        Some(step) if step.reads_more.abs() > 1.96 * step.u => {
            let word = if step.reads_more > 0.0 { "higher" } else { "lower" };
            format!("{lot}, reads {} {word}", with_spread(step.reads_more.abs(), step.u))
        }
        _ => lot,
    }
}

/// `Nitrate card, lot B-2` is named by its lot on a chart.
fn short(run: &str) -> String {
    run.rsplit_once(", ").map_or(run, |(_, lot)| lot).to_string()
}

/// A smooth line needs this many readings of one kit and lot.
const LEAST_FOR_SMOOTH: usize = 10;
/// It follows so many at a time: few, and none is distrusted, so that a crash is not smoothed away.
const FOLLOWED: f64 = 7.0;

/// A smooth line through each run of readings, for the eye (Cleveland's local regression). A value below the kit's sight
/// enters at the limit: the line cannot show how far below it lies, but it must not pass above it.
fn smooth_lines(series: &[chart::Series], parameter: Parameter) -> Vec<chart::ValueLine> {
    // Where a sensor's days are drawn, or the band of the trend, more lines would only hide them.
    if !parameter.is_of_the_water() {
        return Vec::new();
    }
    let mut lines: Vec<chart::ValueLine> = Vec::new();
    for run in series {
        let seen: Vec<&chart::Point> = run.points.iter().filter(|point| point.bound != chart::Bound::Above).collect();
        if seen.len() < LEAST_FOR_SMOOTH {
            continue;
        }
        let start = seen[0].time.date();
        let times: Vec<f64> = seen.iter().map(|point| f64::from(days_between(start, point.time.date()))).collect();
        let values: Vec<f64> = seen.iter().map(|point| point.value).collect();
        let smooth = lowess(&times, &values, (FOLLOWED / seen.len() as f64).min(0.8), 0);
        let points = seen
            .iter()
            .zip(smooth)
            .map(|(point, value)| chart::LinePoint { date: point.time.date(), value, low: value, high: value })
            .collect();
        lines.push(chart::ValueLine { basis: chart::LineBasis::Smoothed, label: String::new(), points });
    }
    lines
}

/// Silences of more than six weeks are drawn as such.
fn gaps(state: &WaterState, days: &[chart::DailyRange], from: Date, to: Date) -> Vec<(Date, Date)> {
    let by_hand = || state.series.points.iter().map(|point| point.when.date());
    let (mut dates, most): (Vec<Date>, i32) = match days.is_empty() {
        true => (by_hand().filter(|date| *date >= from && *date <= to).collect(), 42),
        false => (days.iter().map(|day| day.date).collect(), 3),
    };
    // Silence up to the end of the drawing counts, where there was anything to fall silent.
    dates.extend(dates.last().is_some().then_some(to));
    dates.windows(2).filter(|pair| days_between(pair[0], pair[1]) > most).map(|pair| (pair[0], pair[1])).collect()
}

pub fn chart_block(
    view: &View,
    state: &WaterState,
    from: Date,
    to: Date,
    suffix: &str,
    with_lanes: bool,
) -> ChartBlock {
    let mut drawn = time_chart(view, state, from, to, suffix);
    let changes = if with_lanes { view.changes(from, to, MOST_CHANGES) } else { Vec::new() };
    drawn.lanes = lanes(&changes);
    if with_lanes {
        water_rows(view, state.parameter, from, to, &mut drawn);
    }
    let Drawing { wide, narrow } = draw(&drawn);
    let (table, table_summary) = numbers(view, state, from, to);
    ChartBlock {
        id: format!("chart-{}", drawn.id),
        number: String::new(),
        title: if with_lanes { "The last year".into() } else { "Since the start".into() },
        wide,
        narrow,
        sentence: format!(
            "{} Changes stand beneath by date; standing next to something is not causing it.",
            drawn.description
        ),
        key: key(&drawn),
        table_summary,
        table,
        changes_summary: changes_summary(changes.len()),
        changes: changes.into_iter().map(|(_, change)| change).collect(),
    }
}

/// What the signs mean that are drawn, and no others.
fn key(drawn: &TimeChart) -> String {
    let points = || drawn.series.iter().flat_map(|series| &series.points);
    let is_read = points().any(|point| point.bound == chart::Bound::Exactly);
    let is_limit = points().any(|point| point.bound != chart::Bound::Exactly);
    let told = [
        (is_read && drawn.series.len() == 1, "Circles: readings."),
        (
            is_read && drawn.series.len() > 1,
            "Circles and squares: readings; a change of shape is a change of kit or lot.",
        ),
        (is_read, "Thick bar: one standard uncertainty; thin: two."),
        (drawn.daily.is_some(), "Line and ribbon without marks: the sensor’s daily mean, lowest and highest."),
        (!drawn.lines.is_empty(), "Grey line: the readings of one kit and lot smoothed for the eye."),
        (is_limit, "Open triangle: beyond what the kit can see."),
        (!drawn.quiet_days.is_empty(), "Short tick on the axis: a quiet entry."),
    ];
    told.into_iter().filter(|(is_drawn, _)| *is_drawn).map(|(_, words)| words).collect::<Vec<_>>().join(" ")
}

pub struct Drawing {
    pub wide: Html,
    pub narrow: Html,
}

pub fn draw(drawn: &TimeChart) -> Drawing {
    let drawn = chart::draw_time_chart(drawn);
    Drawing { wide: Html::trusted(drawn.wide), narrow: Html::trusted(drawn.narrow) }
}

/// Numbered changes as the chart wants them.
pub fn lanes(changes: &[(crate::figures::Change, Change)]) -> Vec<chart::LaneEvent> {
    changes
        .iter()
        .map(|(change, shown)| chart::LaneEvent {
            date: change.date,
            lane: match change.lane {
                Lane::Lamp => chart::Lane::Lamp,
                Lane::Flow => chart::Lane::Flow,
                Lane::Dose => chart::Lane::Dose,
                Lane::Food => chart::Lane::Food,
                Lane::Arrivals => chart::Lane::Arrivals,
                Lane::Losses => chart::Lane::Losses,
                Lane::Work => chart::Lane::Work,
            },
            number: shown.number,
            text: change.text.clone(),
        })
        .collect()
}

/// Doses of what raises this parameter, and water changes, as rows under the chart.
fn water_rows(view: &View, parameter: Parameter, from: Date, to: Date, drawn: &mut TimeChart) {
    let volume = view.figure("water.net-volume").map(|figure| figure.value);
    for entry in view.tank.entries.iter().filter(|entry| entry.date() >= from && entry.date() <= to) {
        if let Some(change) = &entry.water_change {
            let litres = change.volume.value.value;
            let amount = volume.map_or(litres, |volume| 100.0 * litres / volume);
            drawn.water_changes.push(chart::Amount { date: entry.date(), amount, label: String::new() });
        }
        for dose in &entry.doses {
            let Some(stock) = view.record.supplies.get(&dose.of.value) else {
                continue;
            };
            if !stock.strength.contains_key(&parameter) {
                continue;
            }
            drawn.dose_label = format!("{}, mL a day", stock.name.value);
            let days = dose.over_days.max(1.0);
            let per_day = dose.amount.value.value * 1000.0 / days;
            for back in 0..days.round() as i64 {
                let date = entry.date().saturating_sub(back.days());
                if date >= from {
                    drawn.doses.push(chart::Amount { date, amount: per_day, label: String::new() });
                }
            }
        }
    }
    drawn.doses.sort_by_key(|dose| dose.date);
}

fn numbers(view: &View, state: &WaterState, from: Date, to: Date) -> (Table, String) {
    let parameter = state.parameter;
    let rows: Vec<Vec<Cell>> = state
        .series
        .points
        .iter()
        .rev()
        .filter(|point| point.when.date() >= from && point.when.date() <= to)
        .map(|point| {
            let date = Cell::date(date_text(point.when.date()).text);
            vec![
                match view.entry_of(&point.place) {
                    Some(href) => date.linked(href),
                    None => date,
                },
                Cell::number(format!("{}{}", bound_word(point.bound), value_text(view, parameter, point.value))),
                Cell::number(format!(
                    "±\u{a0}{}",
                    fixed(
                        super::water::scale(view, parameter).spread(point.u),
                        usize::from(parameter.decimals()).max(1)
                    )
                )),
                Cell::text(point.lot.clone().unwrap_or_default()),
            ]
        })
        .collect();
    let summary = format!("The {} readings as a table", rows.len());
    let head = vec![
        HeadCell::text("Date"),
        HeadCell::number(if unit(view, parameter).is_empty() {
            parameter.shown().to_string()
        } else {
            unit(view, parameter)
        }),
        HeadCell::number("u"),
        HeadCell::text("Lot"),
    ];
    (Table { caption: format!("Readings of {}", lower(parameter.shown())), head, rows }, summary)
}

/// Evaporation by month, and water changed by month.
pub fn budget_charts(view: &View) -> Vec<ChartBlock> {
    let budget = &view.of.budget;
    let (by_day, whole) = (view.shift("L a day"), view.shift("L"));
    let litres = if whole.unit == "L" { "Litres" } else { "Gallons" };
    [
        (
            "evaporation",
            "Evaporation by month",
            by_day,
            2,
            &budget.evaporation,
            format!("{litres} topped off a day, averaged over each month."),
        ),
        (
            "changed",
            "Water changed by month",
            whole,
            0,
            &budget.changed,
            format!("{litres} of water changed in each month."),
        ),
    ]
    .into_iter()
    .filter(|(_, _, _, _, months, _)| months.len() > 1)
    .map(|(id, title, shift, decimals, months, about)| {
        let sentence = format!("{} {about}", extremes(months, &shift, decimals));
        let rows: Vec<chart::Bar> = months
            .iter()
            .map(|(month, value)| chart::Bar {
                label: month.strftime("%b %Y").to_string(),
                value: shift.value(*value),
                u: 0.0,
                basis: chart::BarBasis::Computed,
                note: String::new(),
            })
            .collect();
        let drawn = chart::draw_bars(&chart::Bars {
            id: id.into(),
            title: title.into(),
            description: sentence.clone(),
            unit: shift.unit.clone(),
            rows,
            decimals: shift.decimals(decimals) as u8,
        });
        ChartBlock {
            id: format!("chart-{id}"),
            title: title.into(),
            wide: Html::trusted(drawn.wide),
            narrow: Html::trusted(drawn.narrow),
            sentence,
            table_summary: format!("The {} months as a table", months.len()),
            table: Table {
                caption: title.into(),
                head: vec![HeadCell::text("Month"), HeadCell::number(shift.unit.clone())],
                rows: months
                    .iter()
                    .map(|(month, value)| {
                        vec![Cell::header(month_text(*month)), Cell::number(fixed(shift.value(*value), 2))]
                    })
                    .collect(),
            },
            ..ChartBlock::default()
        }
    })
    .collect()
}

/// `Most in August 2025, 1.90 L a day; least in February 2025, 1.02 L a day.`
fn extremes(months: &BTreeMap<Date, f64>, shift: &Shift, decimals: usize) -> String {
    let said = |(month, value): (&Date, &f64)| {
        format!("{}, {}\u{a0}{}", month_text(*month), fixed(shift.value(*value), shift.decimals(decimals)), shift.unit)
    };
    let most = months.iter().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(a.0)));
    let least = months.iter().min_by(|a, b| a.1.total_cmp(b.1).then(a.0.cmp(b.0)));
    match (most, least) {
        (Some(most), Some(least)) if most.1 > least.1 => format!("Most in {}; least in {}.", said(most), said(least)),
        (Some(most), _) => format!(
            "The same in every month, {}\u{a0}{}.",
            fixed(shift.value(*most.1), shift.decimals(decimals)),
            shift.unit
        ),
        _ => String::new(),
    }
}
