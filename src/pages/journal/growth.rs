//! Growth of a colony on its page: the sentence, the chart, and its siblings beside it.

use jiff::ToSpan;

use super::view::*;
use crate::figures::growth::{Growth, LEAST_DAYS, Model, cuts, growth, main_measure, size_u};
use crate::pages::chart;
use crate::pages::model::*;
use crate::record::colony::{Colony, Measure, Size};
use crate::record::{Lane, days_between};

pub fn size_shown(view: &View, size: &Size) -> Shown {
    let u = size_u(size);
    let shift = view.shift(size.measure.unit());
    let decimals = shift.decimals(if size.measure.is_count() { 0 } else { 1 });
    let unit = if size.measure.is_count() { size.measure.unit_of(size.value).into() } else { shift.unit.clone() };
    let mut shown = Shown::new(fixed(shift.value(size.value), decimals), unit, Basis::Measured);
    if u > 0.0 {
        shown = shown.spread(format!("±\u{a0}{}", fixed(shift.spread(u), decimals)));
    }
    shown
}

/// Days; slower doubling is told as a share a year.
const LONGEST_DOUBLING: f64 = 3650.0;

/// `140 days`, `3.5 years`.
fn time_words(days: f64) -> String {
    if days < 730.5 { format!("{} days", two_digits(days)) } else { format!("{} years", fixed(days / 365.25, 1)) }
}

/// Whole, and no more than two digits that count: few sizes tell no more of a share.
fn two_digits(value: f64) -> String {
    if value.abs() < 10.0 { fixed(value, 0) } else { about(value) }
}

/// A rate a year as a page prints it, and its unit.
fn rate_a_year(view: &View, found: &Growth, rate: f64) -> (String, String) {
    let value = found.a_year(rate);
    match found.model {
        Model::Linear => {
            let shift = view.shift(found.measure.unit());
            (fixed(shift.spread(value), shift.decimals(1)), shift.unit.clone())
        }
        Model::LogLinear => (two_digits(value), "%".into()),
    }
}

/// What a card says of a colony that has not grown to be seen.
pub fn remark(view: &View, colony: &Colony) -> Option<String> {
    let found = growth(view.record, colony).filter(|found| !found.visible)?;
    Some(format!("hardly grown in {} days", days_between(found.from, found.to)))
}

/// `between 1.2 and 3.4 cm a year`
fn interval(view: &View, found: &Growth) -> String {
    let ((low, unit), (high, _)) = (rate_a_year(view, found, found.low), rate_a_year(view, found, found.high));
    format!("between {low} and {high}\u{a0}{unit} a year")
}

/// `3.4 cm a year`, `doubles in 140 days`.
pub fn rate_words(view: &View, found: &Growth) -> String {
    match found.doubling_days() {
        Some(days) if days < LONGEST_DOUBLING => format!("doubles in {}", time_words(days)),
        _ => {
            let (rate, unit) = rate_a_year(view, found, found.rate);
            format!("{rate}\u{a0}{unit} a year")
        }
    }
}

/// The same of its interval: a share a year is told by the days in which it doubles.
pub fn rate_interval(view: &View, found: &Growth) -> String {
    if found.high <= found.low {
        return "told without any error".into();
    }
    let doubles = |rate: f64| 2f64.ln() / rate * 365.25;
    if found.model == Model::LogLinear && found.low > 0.0 {
        return format!("doubles in {} to {}", time_words(doubles(found.high)), time_words(doubles(found.low)));
    }
    interval(view, found)
}

/// `7.0 to 13.0 cm`
pub fn ends(view: &View, found: &Growth) -> String {
    let shift = view.shift(found.measure.unit());
    let decimals = shift.decimals(if found.measure.is_count() { 0 } else { 1 });
    let value = |value: f64| fixed(shift.value(value), decimals);
    format!("{} to {}\u{a0}{}", value(found.first), value(found.last), shift.unit)
}

/// Growth in sentences: from what to what, how fast, and whether that can be told from none.
pub fn sentence_of(view: &View, found: &Growth) -> String {
    told(view, found, &sizes_of(found))
}

/// The same with the test that says so.
fn tested_sentence(view: &View, found: &Growth) -> String {
    let sizes = sizes_of(found);
    let evidence = match found.test {
        Some((s, p)) => format!(
            "{sizes}, Mann–Kendall S = {}, p {}",
            s.to_string().replace('-', "\u{2212}"),
            if p < 0.001 { "below 0.001".into() } else { format!("= {p:.3}") }
        ),
        None if found.measure.is_count() => format!("{sizes}, by how far chance goes where each divides on its own"),
        None => format!("{sizes}, by the error of measuring"),
    };
    told(view, found, &evidence)
}

fn sizes_of(found: &Growth) -> String {
    let days = days_between(found.from, found.to);
    match (found.test, found.sizes) {
        (None, sizes) if sizes > 2 && found.cuts.is_empty() => {
            format!("first and last of {sizes} sizes, {days} days apart")
        }
        (_, sizes) => format!("{sizes} sizes over {days} days"),
    }
}

fn told(view: &View, found: &Growth, evidence: &str) -> String {
    let shift = view.shift(found.measure.unit());
    let is_count = found.measure.is_count();
    let decimals = shift.decimals(if is_count { 0 } else { 1 });
    let unit = &shift.unit;
    let size = |value: f64| {
        let unit = if is_count { found.measure.unit_of(value) } else { unit.as_str() };
        format!("{}\u{a0}{unit}", fixed(shift.value(value), decimals))
    };
    let mut text = format!(
        "{} in {}, {} in {}. ",
        size(found.first),
        month_text(found.from),
        size(found.last),
        month_text(found.to),
    );
    if found.visible {
        let word = if found.rate < 0.0 { "It shrinks" } else { "It grows" };
        let rate = match found.model {
            Model::Linear => {
                format!("by {}\u{a0}{unit} a year", fixed(shift.spread(found.rate.abs()), shift.decimals(1)))
            }
            Model::LogLinear => {
                let doubles = match found.doubling_days() {
                    Some(days) if days < LONGEST_DOUBLING => format!(", so that it doubles in {}", time_words(days)),
                    _ => String::new(),
                };
                format!("by {}\u{a0}% a year{doubles}", two_digits(found.a_year(found.rate).abs()))
            }
        };
        let interval =
            if found.high > found.low { format!(", 95 in 100 {}", interval(view, found)) } else { String::new() };
        text.push_str(&format!("{word} {rate}{interval} ({evidence})."));
    } else if found.test.is_none() && found.first == found.last {
        text.push_str(&format!("No change was found ({}): too little to tell a rate.", sizes_of(found)));
    } else if found.tells_nothing() {
        text.push_str(&format!("Too little to tell a rate ({}).", sizes_of(found)));
    } else if is_count {
        text.push_str(&format!("Too little to tell a rate: anything {} fits ({evidence}).", interval(view, found)));
    } else {
        text.push_str(&format!(
            "It has hardly grown: a rate {} fits as well as none ({evidence}).",
            interval(view, found)
        ));
    }
    if let Some(cut) = found.since_cut {
        text.push_str(&format!(" Taken since it was cut on {}.", date_text(cut).text));
    }
    if let Some(cut) = found.until_cut {
        text.push_str(&format!(" Taken until it was cut on {}.", date_text(cut).text));
    }
    if !found.cuts.is_empty() {
        let dates: Vec<String> = found.cuts.iter().map(|cut| date_text(*cut).text).collect();
        text.push_str(&format!(" Cut on {}: growth is taken between the cuts.", list(&dates, 4)));
    }
    text
}

/// Own moves, cuts and events, and what was done to the light and the flow of its tank.
fn marks(
    view: &View,
    colony: &Colony,
    from: jiff::civil::Date,
    to: jiff::civil::Date,
) -> Vec<(crate::figures::Change, Change)> {
    let mut marks: Vec<crate::figures::Change> = Vec::new();
    let mut add = |date, lane, text: String, place: &crate::diagnostic::Place| {
        marks.push(crate::figures::Change { date, lane, text, place: place.clone() });
    };
    for placement in colony.placements.iter().skip(1) {
        let place = placement.where_text.as_deref().unwrap_or("another place");
        add(placement.since, Lane::Arrivals, format!("moved to {place}"), &placement.place);
    }
    for event in &colony.events {
        add(event.on, Lane::Work, event.what.clone(), &event.place);
    }
    for other in view.record.colonies.values() {
        if let Some(parent) = other.parent.as_ref().filter(|parent| parent.colony.value == colony.key)
            && let Some(on) = parent.on
        {
            add(on, Lane::Work, format!("{} cut from it", other.name.value), &parent.place);
        }
    }
    for (number, placement) in colony.placements.iter().enumerate() {
        let until = colony.placements.get(number + 1).map(|next| next.since);
        if let Some(of) = view.findings.tanks.get(&placement.tank.value) {
            marks.extend(
                of.changes
                    .iter()
                    .filter(|change| matches!(change.lane, Lane::Lamp | Lane::Flow))
                    .filter(|change| placement.since <= change.date && until.is_none_or(|until| change.date < until))
                    .cloned(),
            );
        }
    }
    marks.retain(|change| change.date >= from && change.date <= to);
    marks.sort_by(|a, b| (a.date, a.lane, &a.text).cmp(&(b.date, b.lane, &b.text)));
    let skip = marks.len().saturating_sub(40);
    view.numbered(marks.drain(..).skip(skip))
}

fn too_short(is_cut: bool) -> String {
    let uncut = if is_cut { " with no cut between them" } else { "" };
    format!("No two sizes lie {LEAST_DAYS} days or more apart{uncut}: too short a time for growth to show.")
}

pub fn growth_chart(view: &View, colony: &Colony) -> Option<ChartBlock> {
    let measure = main_measure(colony)?;
    let sizes: Vec<&Size> = colony.sizes.iter().filter(|size| size.measure == measure).collect();
    if sizes.len() < 2 {
        return None;
    }
    // What was done after it had left says nothing of it.
    let to = colony.ended.as_ref().map_or(view.record.as_of, |ended| ended.on.min(view.record.as_of));
    let from = sizes[0].on.saturating_sub(14.days());
    let shift = view.shift(measure.unit());
    let decimals = shift.decimals(if measure.is_count() { 0 } else { 1 });
    let found = growth(view.record, colony);
    let sentence = found
        .as_ref()
        .map_or_else(|| too_short(!cuts(view.record, colony).is_empty()), |found| tested_sentence(view, found));
    let changes = marks(view, colony, from, to);
    // A line only where it is one: a share a year is a curve, and a cut breaks it.
    let trend = found.as_ref().filter(|found| found.model == Model::Linear && found.cuts.is_empty()).map(|found| {
        let years = f64::from(days_between(found.from, found.to)) / 365.25;
        let middle = found.value_at_end - found.rate * years / 2.0;
        let half = years / 2.0;
        chart::TrendLine {
            from: found.from,
            to: found.to,
            value_from: shift.value(found.value_at_end - found.rate * years),
            value_to: shift.value(found.value_at_end),
            low_from: shift.value(middle - found.high * half),
            low_to: shift.value(middle + found.low * half),
            high_from: shift.value(middle - found.low * half),
            high_to: shift.value(middle + found.high * half),
            label: String::new(),
        }
    });
    let drawn = super::curves::draw(&chart::TimeChart {
        id: format!("growth-{}", colony.key),
        title: format!("{} of {}", sentence_case(measure.word()), colony.name.value),
        description: sentence.clone(),
        unit: shift.unit.clone(),
        from,
        to,
        series: vec![chart::Series {
            mark: chart::Mark::Circle,
            points: sizes
                .iter()
                .map(|size| chart::Point {
                    time: size.on.at(12, 0, 0, 0),
                    value: shift.value(size.value),
                    u: shift.spread(size_u(size)),
                    bound: chart::Bound::Exactly,
                    label: None,
                })
                .collect(),
            label: String::new(),
        }],
        trend,
        lanes: super::curves::lanes(&changes),
        decimals: decimals as u8,
        ..chart::TimeChart::default()
    });
    let rows = sizes
        .iter()
        .map(|size| {
            vec![
                Cell::date(date_text(size.on).text),
                Cell::number(fixed(shift.value(size.value), decimals)).known(Basis::Measured),
                Cell::number(format!("±\u{a0}{}", fixed(shift.spread(size_u(size)), decimals))),
            ]
        })
        .collect();
    Some(ChartBlock {
        id: format!("chart-growth-{}", colony.key),
        title: format!("{} over time", sentence_case(measure.word())),
        wide: drawn.wide,
        narrow: drawn.narrow,
        sentence,
        key: "Bars: one and two standard uncertainties of the measurement. Ribbon: 95 in 100 of the rate. Marks: what happened to it, and what was done to its light and flow.".into(),
        table_summary: format!("The {} sizes as a table", sizes.len()),
        table: Table {
            caption: if measure.is_count() {
                format!("{}, counted", sentence_case(measure.word()))
            } else {
                format!("{}, {}", sentence_case(measure.word()), shift.unit)
            },
            head: vec![HeadCell::text("Date"), HeadCell::number(shift.unit.clone()), HeadCell::number("Uncertainty")],
            rows,
        },
        changes_summary: changes_summary(changes.len()),
        changes: changes.into_iter().map(|(_, change)| change).collect(),
        ..ChartBlock::default()
    })
}

/// Its mother, its daughters and its sisters with a rate in the same measure, beside its own.
pub fn siblings(view: &View, colony: &Colony) -> Option<Table> {
    let own = growth(view.record, colony)?;
    let mother = colony.parent.as_ref().map(|parent| parent.colony.value.as_str());
    let kin = |other: &Colony| -> Option<&'static str> {
        let others = other.parent.as_ref().map(|parent| parent.colony.value.as_str());
        if Some(other.key.as_str()) == mother {
            Some("mother")
        } else if others == Some(colony.key.as_str()) {
            Some("daughter")
        } else if mother.is_some() && others == mother && other.key != colony.key {
            Some("sister")
        } else {
            None
        }
    };
    let found: Vec<(&Colony, &'static str, Growth)> = view
        .record
        .colonies
        .values()
        .filter_map(|other| {
            let relation = kin(other)?;
            let rate = growth(view.record, other).filter(|rate| rate.measure == own.measure)?;
            Some((other, relation, rate))
        })
        .collect();
    if found.is_empty() {
        return None;
    }
    let mut rows = vec![row(view, colony, "this one", &own, &own)];
    rows.extend(found.iter().map(|(other, relation, rate)| row(view, other, relation, rate, &own)));
    Some(Table {
        caption: format!("{}: growth beside its kin", sentence_case(Measure::word(own.measure))),
        head: vec![
            HeadCell::text("Colony"),
            HeadCell::text("Relation"),
            HeadCell::number("A year"),
            HeadCell::text("95 in 100"),
            HeadCell::number("Sizes"),
            HeadCell::text("Against this one"),
        ],
        rows,
    })
}

fn row(view: &View, other: &Colony, relation: &str, rate: &Growth, own: &Growth) -> Vec<Cell> {
    let (a_year, unit) = rate_a_year(view, rate, rate.rate);
    let against = if relation == "this one" {
        ""
    } else if rate.low > own.high {
        "faster"
    } else if rate.high < own.low {
        "slower"
    } else {
        "cannot be told apart"
    };
    let name = Cell::header(other.name.value.clone());
    let name = if relation == "this one" { name } else { name.linked(super::colony::href(&other.key)) };
    let tank = other.placements.last().and_then(|placement| view.record.tanks.get(&placement.tank.value));
    let relation = match tank {
        Some(tank) if tank.key != view.tank.key => format!("{relation}, in {}", tank.name.value),
        _ => relation.to_string(),
    };
    vec![
        name,
        Cell::text(relation),
        if rate.tells_nothing() {
            Cell::number("–")
        } else {
            Cell::number(format!("{a_year}\u{a0}{unit}")).known(Basis::Computed)
        },
        Cell::text(if rate.tells_nothing() { "too little to tell".into() } else { interval(view, rate) }),
        Cell::number(rate.sizes.to_string()),
        Cell::text(against),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_have_two_digits() {
        for (value, shown) in
            [(133.6, "130"), (417.2, "420"), (5.7, "6"), (84.9, "85"), (-12.3, "−12"), (0.2, "0"), (99.6, "100")]
        {
            assert_eq!(two_digits(value), shown);
        }
        assert_eq!((time_words(298.3), time_words(4600.0)), ("300 days".into(), "12.6 years".into()));
    }
}
