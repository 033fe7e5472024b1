//! The water: every quantity in a table and a small chart, and the words in which quantities are told on any page.

use jiff::ToSpan;
use jiff::civil::Date;

use super::curves::{budget_charts, time_chart};
use super::nutrients;
use super::quantity::test_again;
use super::view::*;
use crate::figures::uptake::Step;
use crate::figures::water::{Standing, TrendState, WaterState};
use crate::pages::chart;
use crate::pages::model::front::WaterGroup;
use crate::pages::model::water::*;
use crate::pages::model::*;
use crate::record::{Parameter, bound_word};
use crate::units::{Bound, Shift};

/// What the small charts on the front page show.
const SMALL_DAYS: i64 = 120;

pub fn pages(view: &View) -> Vec<Page> {
    let states: Vec<&WaterState> = view.of.water.values().collect();
    let mut pages = vec![overview(view, &states)];
    for (place, state) in states.iter().enumerate() {
        let link = |other: &&WaterState| {
            PlaceLink::new(other.parameter.shown(), view.href(&format!("water/{}.html", other.parameter.key())))
        };
        let previous = place.checked_sub(1).map(|before| link(&states[before]));
        let next = states.get(place + 1).map(link);
        pages.push(super::quantity::page(view, state, previous, next));
    }
    pages
}

fn overview(view: &View, states: &[&WaterState]) -> Page {
    let mut figures = Vec::new();
    for key in [
        "water.net-volume",
        "water.volume-by-geometry",
        "water.evaporation",
        "water.evaporation-share",
        "water.changed-per-month",
        "water.changed-share",
    ] {
        figures.extend(view.row(key));
    }
    figures.extend(view.rows("dose."));
    for key in [
        "water.calcium.beside-alkalinity",
        "water.skeleton-per-day",
        "water.n-to-p",
        "water.uptake-n-to-p",
        "water.nitrate.harvested",
        "water.nitrate.unharvested",
        "water.phosphate.harvested",
        "water.phosphate.unharvested",
        "water.salinity.litres-a-week",
        "water.tds.creep",
        "water.ripe-after",
    ] {
        figures.extend(view.row(key));
    }
    figures.extend(view.rows("sensor."));
    let body = WaterPage {
        standfirst: "What was read, with what error, against the band the keeper wants.".into(),
        lead: lead(states),
        groups: groups(view, states),
        groups_note:
            "Shaded: the band the keeper wants. Bars: two standard uncertainties of the kit. Last four months.".into(),
        quantities: states.iter().map(|state| row(view, state)).collect(),
        figures,
        differs: differs(view, states),
        charts: budget_charts(view),
        plane: nutrients::plane(view),
        together: nutrients::together(view),
        slow: nutrients::slow(view),
        ripening: nutrients::ripening(view),
        marked: nutrients::marked(view),
        cautions: view.cautions_of("water"),
    };
    Page::new(
        view.href("water/index.html"),
        "water",
        "Water",
        "All quantities with latest value, uncertainty, trend and band.",
        PageBody::Water(Box::new(body)),
    )
}

/// How kept values of a parameter are shown in the edition.
pub fn scale(view: &View, parameter: Parameter) -> Shift {
    parameter.shift(view.record.units)
}

pub fn value_text(view: &View, parameter: Parameter, value: f64) -> String {
    fixed(scale(view, parameter).value(value), usize::from(parameter.decimals()))
}

pub fn unit(view: &View, parameter: Parameter) -> String {
    if parameter == Parameter::Ph { String::new() } else { scale(view, parameter).unit }
}

pub fn latest(view: &View, state: &WaterState) -> Option<Shown> {
    let point = state.latest.as_ref()?;
    let mut shown = if point.bound == Bound::Exactly {
        let scale = scale(view, state.parameter);
        let (number, spread) = rounded(scale.value(point.value), scale.spread(point.u), None);
        Shown { spread, ..Shown::new(number, unit(view, state.parameter), Basis::Measured) }
    } else {
        let number = format!("{}{}", bound_word(point.bound), value_text(view, state.parameter, point.value));
        Shown::new(number, unit(view, state.parameter), Basis::Measured)
    };
    shown.unit_title = unit_title(state.parameter).map(String::from);
    Some(shown)
}

fn unit_title(parameter: Parameter) -> Option<&'static str> {
    Some(match parameter {
        Parameter::Alkalinity => "degrees of carbonate hardness; one is 0.357 milliequivalents per litre",
        Parameter::Salinity => "practical salinity, close to grams of salt per kilogram",
        Parameter::Nitrate => "milligrams per litre, as the nitrate ion",
        Parameter::Phosphate => "milligrams per litre, as the phosphate ion",
        Parameter::Ammonia => "milligrams per litre, total, as ammonia",
        _ => return None,
    })
}

pub fn standing_word(standing: Standing) -> &'static str {
    match standing {
        Standing::Below => "below",
        Standing::Above => "above",
        Standing::TooCloseToTell => "too close to tell",
        Standing::Inside => "inside",
        Standing::NoBand => "no band",
        Standing::NoReading => "no reading",
    }
}

pub fn band_text(view: &View, state: &WaterState) -> String {
    state.band.map_or("none set".into(), |band| {
        let unit = unit(view, state.parameter);
        let gap = if unit.is_empty() { "" } else { "\u{a0}" };
        format!(
            "{} to {}{gap}{unit}",
            value_text(view, state.parameter, band.low),
            value_text(view, state.parameter, band.high)
        )
    })
}

pub fn slope_words(view: &View, state: &WaterState) -> Option<String> {
    let TrendState::Found(found) = &state.trend else {
        return None;
    };
    let scale = scale(view, state.parameter);
    let number =
        with_spread(scale.spread(found.slope.abs() * 7.0), scale.spread((found.high - found.low) / 3.92 * 7.0));
    let unit = unit(view, state.parameter);
    let gap = if unit.is_empty() { "" } else { "\u{a0}" };
    Some(format!("{number}{gap}{unit} a week"))
}

/// `11 August`; with the year where it is another.
fn since_words(view: &View, date: Date) -> String {
    if date.year() == view.record.as_of.year() { date.strftime("%-d %B").to_string() } else { date_text(date).text }
}

/// The same as a sentence that names its quantity.
pub fn named_trend(view: &View, state: &WaterState) -> String {
    let name = state.parameter.shown();
    let said = trend_sentence(view, state);
    match &state.trend {
        TrendState::Found(found) if found.visible => {
            let rest = said.split_once(' ').map_or("", |(_, rest)| rest);
            format!("{name} {} {rest}", if found.slope > 0.0 { "rose" } else { "fell" })
        }
        _ => format!("{name}: {}", lower(&said[..1]) + &said[1..]),
    }
}

/// One sentence on the trend, for small places.
pub fn trend_sentence(view: &View, state: &WaterState) -> String {
    match &state.trend {
        TrendState::Found(found) if found.visible => {
            let direction = if found.slope > 0.0 { "Rose" } else { "Fell" };
            let by = slope_words(view, state).unwrap_or_default();
            format!("{direction} by {by} since {}, more than the kit’s error.", since_words(view, found.from))
        }
        TrendState::Found(_) => "No change that the kit can see.".into(),
        TrendState::TooFew { readings, .. } => match readings {
            0 => "Not read in the last 60 days.".into(),
            1 => "One reading in 60 days: too few for a trend.".into(),
            readings => format!("{readings} readings in 60 days: too few for a trend."),
        },
    }
}

/// What a new kit or lot reads more than the one before it, as far as the readings either side tell.
pub fn step_at(view: &View, parameter: Parameter, date: Date) -> Option<Step> {
    view.of.uptake.get(&parameter)?.steps.iter().find(|step| step.date == date).copied()
}

fn row(view: &View, state: &WaterState) -> QuantityRow {
    let as_of = view.record.as_of;
    QuantityRow {
        name: state.parameter.shown().into(),
        href: view.href(&format!("water/{}.html", state.parameter.key())),
        latest: latest(view, state),
        age: state.latest.as_ref().map_or("no reading".into(), |point| {
            format!("{}, {}", point.when.strftime("%-d %B"), ago(point.when.date(), as_of))
        }),
        band: band_text(view, state),
        standing: standing_word(state.standing).into(),
        trend: trend_sentence(view, state),
        test_again: test_again(view, state).unwrap_or_default(),
    }
}

/// The groups in their fixed order, empty ones left out.
pub fn groups(view: &View, states: &[&WaterState]) -> Vec<WaterGroup> {
    let kinds: [(&str, &str, &[Standing]); 4] = [
        ("outside", "Outside its band", &[Standing::Below, Standing::Above]),
        ("close", "Too close to its edge to tell", &[Standing::TooCloseToTell]),
        ("inside", "Inside its band", &[Standing::Inside]),
        ("unbanded", "Without a band", &[Standing::NoBand]),
    ];
    kinds
        .into_iter()
        .filter_map(|(key, title, standings)| {
            let multiples: Vec<Multiple> = states
                .iter()
                .filter(|state| standings.contains(&state.standing) && state.parameter.is_of_the_water())
                .map(|state| multiple(view, state))
                .collect();
            (!multiples.is_empty()).then(|| WaterGroup { key: key.into(), title: title.into(), multiples })
        })
        .collect()
}

fn multiple(view: &View, state: &WaterState) -> Multiple {
    let as_of = view.record.as_of;
    let from = as_of.saturating_sub(SMALL_DAYS.days()).max(view.tank.started.value);
    let mut chart = time_chart(view, state, from, as_of, "-small");
    chart.lanes.clear();
    chart.trend = None;
    let is_drawn = chart.daily.iter().flatten().any(|day| day.date >= from)
        || chart.series.iter().flat_map(|series| &series.points).any(|point| point.time.date() >= from);
    Multiple {
        name: state.parameter.shown().into(),
        href: Some(view.href(&format!("water/{}.html", state.parameter.key()))),
        value: latest(view, state),
        sentence: trend_sentence(view, state),
        // An empty frame says less than the sentence above it.
        svg: if is_drawn { Html::trusted(chart::draw_multiple(&chart)) } else { Html::default() },
    }
}

/// `Of eight quantities kept in a band, one is below it and seven are inside.`
pub fn lead(states: &[&WaterState]) -> Vec<Run> {
    let count = |standings: &[Standing]| states.iter().filter(|state| standings.contains(&state.standing)).count();
    let banded = states.iter().filter(|state| state.band.is_some()).count();
    if banded == 0 {
        return vec![Run::text(
            "No band is set yet: write `bands:` in tank.yaml to see what is in and out.".replace('`', ""),
        )];
    }
    let parts: Vec<(usize, &str)> = [
        (count(&[Standing::Below]), "below it"),
        (count(&[Standing::Above]), "above it"),
        (count(&[Standing::TooCloseToTell]), "too close to an edge to tell"),
        (count(&[Standing::Inside]), "inside"),
        (count(&[Standing::NoReading]), "not read"),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .collect();
    let mut runs = vec![Run::text(format!("Of {} kept in a band, ", counted(banded, "quantity", "quantities")))];
    for (place, (count, what)) in parts.iter().enumerate() {
        let joint = match place {
            0 => "",
            _ if place + 1 == parts.len() => " and ",
            _ => ", ",
        };
        let verb = if *count == 1 { "is" } else { "are" };
        let text = format!("{joint}{} {verb} {what}", word_number(*count));
        runs.push(if what.starts_with("inside") { Run::text(text) } else { Run::strong(text) });
    }
    runs.push(Run::text("."));
    runs
}

pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{} {}", word_number(count), if count == 1 { one } else { many })
}

pub fn word_number(count: usize) -> String {
    const WORDS: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(count).map_or_else(|| count.to_string(), |word| word.to_string())
}

/// What differs from the thirty days before: the mean of a week against its own month.
fn differs(view: &View, states: &[&WaterState]) -> Vec<Run> {
    let as_of = view.record.as_of;
    let week = as_of.saturating_sub(7.days());
    let month = week.saturating_sub(30.days());
    let mut found = Vec::new();
    for state in states {
        let mean = |from: Date, to: Date| {
            let values: Vec<f64> = state
                .series
                .points
                .iter()
                .filter(|point| point.bound == Bound::Exactly && point.when.date() > from && point.when.date() <= to)
                .map(|point| point.value)
                .collect();
            (!values.is_empty()).then(|| (values.iter().sum::<f64>() / values.len() as f64, values.len()))
        };
        let (Some((new, new_count)), Some((old, old_count))) = (mean(week, as_of), mean(month, week)) else {
            continue;
        };
        let u = state.latest.as_ref().map_or(0.0, |point| point.u);
        let difference_u = u * (1.0 / new_count as f64 + 1.0 / old_count as f64).sqrt();
        if (new - old).abs() > 1.96 * difference_u {
            let direction = if new > old { "up" } else { "down" };
            found.push(format!(
                "{} {direction} from {} to {} {}",
                lower(state.parameter.shown()),
                value_text(view, state.parameter, old),
                value_text(view, state.parameter, new),
                unit(view, state.parameter)
            ));
        }
    }
    let text = if found.is_empty() {
        "Nothing that the kits can tell differs between the last week and the thirty days before.".into()
    } else {
        format!("Against the thirty days before, the last week shows {}.", list(&found, 12))
    };
    vec![Run::text(text)]
}
