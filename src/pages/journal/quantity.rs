//! The page of one quantity of the water: its chart, its trend in words, where it goes and what it is read with.

use jiff::ToSpan;
use jiff::civil::Date;

use super::balance::{balance_block, outlook_block};
use super::curves::{chart_block, first_sensor_day};
use super::view::*;
use super::water::*;
use crate::figures::water::{Standing, TrendState, WaterState};
use crate::pages::model::water::*;
use crate::pages::model::*;
use crate::record::{Parameter, days_between};
use crate::units::Bound;

/// What its own chart shows first.
const WIDE_DAYS: i64 = 365;

pub fn page(view: &View, state: &WaterState, previous: Option<PlaceLink>, next: Option<PlaceLink>) -> Page {
    let parameter = state.parameter;
    let as_of = view.record.as_of;
    let name = parameter.shown();
    let first =
        state.series.points.first().map(|point| point.when.date()).or_else(|| first_sensor_day(view, parameter));
    let year_ago = as_of.saturating_sub(WIDE_DAYS.days());
    let from = first.map_or(year_ago, |first| first.max(year_ago));
    // A year without a reading has no drawing: what changed means nothing beside nothing.
    let read_on = |date: Date| date >= from && date <= as_of;
    let is_read = state.series.points.iter().any(|point| read_on(point.when.date()))
        || view
            .tank
            .readings
            .iter()
            .filter_map(|file| file.days.get(&parameter))
            .flatten()
            .any(|day| read_on(day.date));
    let chart = is_read.then(|| chart_block(view, state, from, as_of, "", true));
    let whole = first
        .filter(|first| days_between(*first, year_ago) > 30)
        .map(|first| chart_block(view, state, first, as_of, "-all", false));
    let trend = trend_text(view, state);
    let mut figures = Vec::new();
    figures.extend(view.row(&format!("water.{}", parameter.key())));
    figures.extend(view.rows(&format!("water.{}.", parameter.key())));
    figures.extend(view.row("water.net-volume"));
    let body = QuantityPage {
        name: name.into(),
        about: about(parameter).into(),
        standfirst: standfirst(view, state),
        latest: latest(view, state),
        latest_note: latest_note(view, state),
        band: band_runs(view, state),
        standing: standing_word(state.standing).into(),
        chart,
        more_charts: whole.into_iter().collect(),
        trend: Some(trend),
        balance: view.of.uptake.get(&parameter).map(|uptake| balance_block(view, uptake)),
        outlook: view.of.outlook.get(&parameter).map(|outlook| outlook_block(view, outlook, as_of)),
        words: words(state),
        kits: kits(view, state),
        breaks: breaks(view, state),
        figures,
        cautions: Vec::new(),
        previous,
        next,
    };
    let mut page = Page::new(
        view.href(&format!("water/{}.html", parameter.key())),
        "water",
        name,
        format!("{name} with error bars, band, trend and everything that changed."),
        PageBody::Quantity(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Water", view.href("water/index.html"))];
    page
}

fn latest_note(view: &View, state: &WaterState) -> String {
    match &state.latest {
        Some(point) => {
            format!("measured, {}, {}", date_text(point.when.date()).text, ago(point.when.date(), view.record.as_of))
        }
        None => "no reading by hand yet".into(),
    }
}

fn band_runs(view: &View, state: &WaterState) -> Vec<Run> {
    if state.band.is_none() {
        return Vec::new();
    }
    let mut runs = vec![Run::text(band_text(view, state))];
    let stretch = view.tank.bands.get(&state.parameter).and_then(|band| band.at(view.record.as_of));
    if let Some(stretch) = stretch {
        if let Some(since) = stretch.since {
            runs.push(Run::text(format!(" since {}", date_text(since).text)));
        }
        if let Some(href) = view.place_link(&stretch.place).href {
            runs.push(Run::text(", set in "));
            runs.push(Run::link(format!("{}:{}", stretch.place.file, stretch.place.line), href));
        }
    }
    runs
}

fn trend_text(view: &View, state: &WaterState) -> TrendText {
    let window = match &state.trend {
        TrendState::Found(found) => format!(
            "Worked over {} to {}, {} readings, 95 in 100 by Sen’s interval; Mann–Kendall p = {:.3}",
            date_text(found.from).text,
            date_text(found.to).text,
            found.readings,
            found.p
        ),
        TrendState::TooFew { readings: 0, .. } => {
            "A trend needs six readings over at least 21 days within the last 60".into()
        }
        TrendState::TooFew { readings, days } => {
            let (readings, days) = (counted(*readings, "reading", "readings"), counted(*days as usize, "day", "days"));
            format!(
                "{} over {days}; a trend needs six over at least 21 days within the last 60",
                sentence_case(&readings)
            )
        }
    };
    TrendText {
        sentence: trend_sentence(view, state),
        window,
        test_again: test_again(view, state).map(|text| format!("Test again on {text}.")),
        href: view
            .figure(&format!("water.{}.trend", state.parameter.key()))
            .map(|figure| format!("#{}", anchor(&figure.key))),
    }
}

pub fn test_again(view: &View, state: &WaterState) -> Option<String> {
    let again = state.test_again?;
    let unit = unit(view, state.parameter);
    let gap = if unit.is_empty() { "" } else { "\u{a0}" };
    let decimals = usize::from(state.parameter.decimals()).max(1);
    let scale = scale(view, state.parameter);
    Some(format!(
        "{} to see a change of {}{gap}{unit}, at {}",
        date_text(again.on).text,
        fixed(scale.spread(again.change), decimals),
        if again.by_trend {
            "its present pace".to_string()
        } else {
            let a_day = crate::figures::number(scale.spread(again.a_day));
            format!("a usual {a_day}{gap}{unit} a day, since no trend shows")
        }
    ))
}

fn standfirst(view: &View, state: &WaterState) -> String {
    let standing = match state.standing {
        Standing::Below => "It stands below its band by more than the kit’s error.",
        Standing::Above => "It stands above its band by more than the kit’s error.",
        Standing::TooCloseToTell => "It stands so close to an edge of its band that the kit cannot tell on which side.",
        Standing::Inside => "It stands inside its band by more than the kit’s error.",
        Standing::NoBand => "The keeper has set no band for it.",
        Standing::NoReading => "There is a band for it and no reading by hand.",
    };
    format!("{standing} {}", trend_sentence(view, state))
}

fn words(state: &WaterState) -> Vec<Vec<Run>> {
    let mut words = Vec::new();
    let censored = state.series.points.iter().filter(|point| point.bound == Bound::Below).count();
    if censored > 0 {
        let of = state.series.points.len();
        words.push(vec![Run::text(format!(
            "{censored} of {of} readings were below what the kit can see. They count as that, never as zero."
        ))]);
    }
    let off = state.series.points.iter().filter(|point| point.off_hour).count();
    if off > 0 {
        words.push(vec![Run::text(format!(
            "{off} readings were taken more than three hours off the usual hour and are left out of the trend, since this quantity swings through the day."
        ))]);
    }
    words
}

/// Kit, lot, first and last day, and how many readings.
type KitUse = (Option<String>, Option<String>, Date, Date, usize);

fn kits(view: &View, state: &WaterState) -> Option<Table> {
    let mut seen: Vec<KitUse> = Vec::new();
    for point in &state.series.points {
        let date = point.when.date();
        match seen.last_mut() {
            Some(last) if last.0 == point.kit && last.1 == point.lot => {
                last.3 = date;
                last.4 += 1;
            }
            _ => seen.push((point.kit.clone(), point.lot.clone(), date, date, 1)),
        }
    }
    if seen.is_empty() {
        return None;
    }
    let rows = seen
        .into_iter()
        .map(|(kit, lot, from, to, count)| {
            let supply = kit.as_ref().and_then(|kit| view.record.supplies.get(kit));
            let name = supply.map(|supply| supply.name.value.clone()).or(kit).unwrap_or_else(|| "not recorded".into());
            let method = supply
                .and_then(|supply| supply.method.as_ref())
                .map_or("not recorded".into(), |method| method.value.word().replace('-', " "));
            let expires = supply
                .and_then(|supply| supply.lots.iter().find(|known| Some(&known.lot) == lot.as_ref()))
                .and_then(|lot| lot.expires)
                .map_or("not recorded".into(), |date| date_text(date).text);
            vec![
                Cell::header(name),
                Cell::text(lot.unwrap_or_else(|| "not recorded".into())),
                Cell::text(method),
                Cell::date(date_text(from).text),
                Cell::date(date_text(to).text),
                Cell::number(count.to_string()),
                Cell::text(expires),
            ]
        })
        .collect();
    Some(Table {
        caption: "What it was read with".into(),
        head: ["Kit", "Lot", "Method", "From", "To"]
            .map(HeadCell::text)
            .into_iter()
            .chain([HeadCell::number("Readings"), HeadCell::text("Expires")])
            .collect(),
        rows,
    })
}

fn breaks(view: &View, state: &WaterState) -> Vec<SeriesBreak> {
    state
        .series
        .breaks
        .iter()
        .map(|found| SeriesBreak {
            date: date_text(found.date),
            before: found.before.clone(),
            after: found.after.clone(),
            offset: step_at(view, state.parameter, found.date).map(|step| {
                let (number, spread) = rounded(step.reads_more, step.u, None);
                let sign = if step.reads_more > 0.0 { "+" } else { "" };
                Shown { spread, ..Shown::new(format!("{sign}{number}"), unit(view, state.parameter), Basis::Computed) }
            }),
            remark: "The trend gives either side its own offset and one common slope.".into(),
        })
        .collect()
}

fn about(parameter: Parameter) -> &'static str {
    match parameter {
        Parameter::Temperature => "The warmth of the water. Corals live closest to harm at the top of their own range.",
        Parameter::Salinity => "How much salt the water holds. Evaporation raises it, top-off brings it back.",
        Parameter::Alkalinity => "The water’s store of carbonate and bicarbonate, which skeletons are built from.",
        Parameter::Calcium => "One of the two building stones of coral skeletons.",
        Parameter::Magnesium => "Keeps calcium and carbonate from falling out of solution.",
        Parameter::Potassium => "A major ion of seawater that algae and soft corals take up a little of.",
        Parameter::Nitrate => "The end of the nitrogen chain: food for algae and corals, and a measure of feeding.",
        Parameter::Nitrite => "A step between ammonia and nitrate, seen while a new tank ripens.",
        Parameter::Phosphate => "Food for algae and corals in tiny amounts; the rock stores and returns it.",
        Parameter::Ammonia => {
            "What animals give off and rot makes. In a settled tank any of it means something is wrong, with the tank or the kit."
        }
        Parameter::Ph => "How acid or alkaline the water is. It swings with light by day and with the room’s air.",
        Parameter::Iron => "A trace that plants need; home kits barely see it.",
        Parameter::Silicate => "What diatoms build their shells of.",
        Parameter::Tds => "What is left in the purified top-off water; it rises as the filter ages.",
        Parameter::Oxygen => "What the animals breathe.",
        Parameter::RoomTemperature => "The air of the room, which the tank gains from or loses heat to.",
        Parameter::RoomHumidity => "The damp of the room’s air, which slows evaporation.",
    }
}
