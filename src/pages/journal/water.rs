//! The water: every quantity in a table, and a page for each with its chart.

use jiff::ToSpan;
use jiff::civil::Date;

use super::balance::{balance_block, outlook_block};
use super::curves::{budget_charts, chart_block, first_sensor_day, time_chart};
use super::nutrients;
use super::view::*;
use crate::figures::uptake::Step;
use crate::figures::water::{Standing, TrendState, WaterState};
use crate::pages::chart;
use crate::pages::model::front::WaterGroup;
use crate::pages::model::water::*;
use crate::pages::model::*;
use crate::record::{Parameter, bound_word, days_between};
use crate::units::{Bound, Shift};

/// What the small charts on the front page show.
const SMALL_DAYS: i64 = 120;
/// What a quantity's own chart shows first.
const WIDE_DAYS: i64 = 365;
pub fn pages(view: &View) -> Vec<Page> {
    let states: Vec<&WaterState> = view.of.water.values().collect();
    let mut pages = vec![overview(view, &states)];
    for (place, state) in states.iter().enumerate() {
        let link = |other: &&WaterState| {
            PlaceLink::new(other.parameter.shown(), view.href(&format!("water/{}.html", other.parameter.key())))
        };
        let previous = place.checked_sub(1).map(|before| link(&states[before]));
        let next = states.get(place + 1).map(link);
        pages.push(quantity(view, state, previous, next));
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

fn quantity(view: &View, state: &WaterState, previous: Option<PlaceLink>, next: Option<PlaceLink>) -> Page {
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

fn latest_note(view: &View, state: &WaterState) -> String {
    match &state.latest {
        Some(point) => {
            format!("measured, {}, {}", date_text(point.when.date()).text, ago(point.when.date(), view.record.as_of))
        }
        None => "no reading by hand yet".into(),
    }
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

fn test_again(view: &View, state: &WaterState) -> Option<String> {
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

/// What a new kit or lot reads more than the one before it, as far as the readings either side tell.
pub fn step_at(view: &View, parameter: Parameter, date: Date) -> Option<Step> {
    view.of.uptake.get(&parameter)?.steps.iter().find(|step| step.date == date).copied()
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
