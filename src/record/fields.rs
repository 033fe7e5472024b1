//! Taking typed values out of a located mapping, with every mistake noted and none stopping the rest.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::{Date, DateTime, Time};

use super::timeline::{Located, Stretch, Timeline};
use super::{Parameter, YesNo};
use crate::diagnostic::{Diagnostic, Diagnostics, Kind, Place, nearest};
use crate::read::{self, Content, Node, key_name};
use crate::units::{self, CalendarSpan, Dimension, Problem, Quantity, Unit};

/// What every reader needs: where mistakes go, and today's date, after which nothing can have happened.
pub struct Context {
    pub diagnostics: Diagnostics,
    pub today: Date,
    /// Every key that was asked for, by the map in which it may stand: kept where somebody wants to compare.
    pub asked: Option<AskedKeys>,
}

/// Keys by the name of their map.
pub type AskedKeys = BTreeMap<String, BTreeSet<&'static str>>;

impl Context {
    pub fn note(&mut self, kind: Kind, place: &Place) {
        self.diagnostics.push(Diagnostic::new(kind, place.clone()));
    }
}

/// A mapping being read. Keys that nobody asked for are reported by [`Fields::finish`].
pub struct Fields<'a> {
    within: String,
    place: Place,
    pairs: Vec<(String, &'a Node, &'a Node, bool)>,
    known: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    /// `None`, with a diagnostic, when the node is not a mapping.
    pub fn of(node: &'a Node, within: &str, context: &mut Context) -> Option<Fields<'a>> {
        match &node.content {
            Content::Map(pairs) => Some(Fields {
                within: within.to_string(),
                place: node.place.clone(),
                pairs: pairs.iter().map(|(key, value)| (key_name(key), key, value, false)).collect(),
                known: vec!["private", "note"],
            }),
            _ => {
                context.note(
                    Kind::WrongShape { wanted: format!("`key: value` lines ({within})"), got: shape(node).into() },
                    &node.place,
                );
                None
            }
        }
    }

    pub fn place(&self) -> &Place {
        &self.place
    }

    /// The value under a key, unless it is empty.
    pub fn take(&mut self, key: &'static str) -> Option<&'a Node> {
        self.known.push(key);
        let pair = self.pairs.iter_mut().find(|pair| pair.0 == key)?;
        pair.3 = true;
        (!matches!(pair.2.content, Content::Null)).then_some(pair.2)
    }

    /// The same, and a diagnostic when it is not there.
    pub fn need(&mut self, key: &'static str, example: &str, context: &mut Context) -> Option<&'a Node> {
        let taken = self.take(key);
        if taken.is_none() {
            let kind = Kind::MissingKey { key: key.into(), within: self.within.clone(), example: example.into() };
            context.note(kind, &self.place);
        }
        taken
    }

    /// Every pair not asked for yet, for maps whose keys are names.
    pub fn rest(&mut self) -> Vec<(String, &'a Node, &'a Node)> {
        let rest: Vec<_> = self
            .pairs
            .iter_mut()
            .filter(|pair| !pair.3 && pair.0 != "private")
            .map(|pair| {
                pair.3 = true;
                (pair.0.clone(), pair.1, pair.2)
            })
            .collect();
        rest
    }

    pub fn note_text(&mut self, context: &mut Context) -> Option<String> {
        self.take("note").and_then(|node| text(node, context)).map(|note| note.value)
    }

    pub fn text(&mut self, key: &'static str, context: &mut Context) -> Option<Located<String>> {
        self.take(key).and_then(|node| text(node, context))
    }

    pub fn plain(&mut self, key: &'static str, context: &mut Context) -> Option<String> {
        self.text(key, context).map(|located| located.value)
    }

    pub fn quantity(
        &mut self,
        key: &'static str,
        wanted: &[Dimension],
        context: &mut Context,
    ) -> Option<Located<Quantity>> {
        self.take(key).and_then(|node| quantity(node, key, wanted, None, context))
    }

    pub fn date(&mut self, key: &'static str, context: &mut Context) -> Option<Located<Date>> {
        self.take(key).and_then(|node| date(node, context))
    }

    /// A date that cannot lie ahead.
    pub fn past_date(&mut self, key: &'static str, context: &mut Context) -> Option<Located<Date>> {
        self.take(key).and_then(|node| past_date(node, context))
    }

    pub fn yes_no(&mut self, key: &'static str, context: &mut Context) -> Option<Located<YesNo>> {
        self.take(key).and_then(|node| yes_no(node, key, context))
    }

    pub fn yes_no_or_unknown(&mut self, key: &'static str, context: &mut Context) -> YesNo {
        self.yes_no(key, context).map_or(YesNo::Unknown, |located| located.value)
    }

    pub fn word<T: Copy>(
        &mut self,
        key: &'static str,
        words: &[(&'static str, T)],
        context: &mut Context,
    ) -> Option<Located<T>> {
        self.take(key).and_then(|node| word(node, key, words, context))
    }

    pub fn fraction(&mut self, key: &'static str, context: &mut Context) -> Option<Located<f64>> {
        let fraction = self.quantity(key, &[Dimension::Fraction], context)?;
        in_range(key, &fraction.value, &fraction.place, (0.0, 1.0), context)
            .then(|| Located::new(fraction.value.value, fraction.place))
    }

    /// Hours.
    pub fn duration(&mut self, key: &'static str, context: &mut Context) -> Option<Located<f64>> {
        self.take(key).and_then(|node| duration(node, key, context))
    }

    /// Reports the keys that nobody asked for.
    pub fn finish(self, context: &mut Context) {
        if let Some(asked) = &mut context.asked {
            asked.entry(self.within.clone()).or_default().extend(&self.known);
        }
        for (name, key, _, used) in &self.pairs {
            if *used || name == "private" || name == "note" {
                continue;
            }
            let kind = Kind::UnknownKey {
                key: name.clone(),
                within: self.within.clone(),
                nearest: nearest(name, self.known.iter().copied()),
                known: self.known.iter().map(|known| known.to_string()).collect(),
            };
            context.note(kind, &key.place);
        }
    }
}

fn shape(node: &Node) -> &'static str {
    match &node.content {
        Content::Null => "nothing",
        Content::Scalar { .. } => "a single value",
        Content::List(_) => "a list",
        Content::Map(_) => "`key: value` lines",
    }
}

pub fn text(node: &Node, context: &mut Context) -> Option<Located<String>> {
    match &node.content {
        Content::Scalar { text, .. } => Some(Located::new(text.trim().to_string(), node.place.clone())),
        _ => {
            context.note(Kind::WrongShape { wanted: "text".into(), got: shape(node).into() }, &node.place);
            None
        }
    }
}

/// A list, or a single value standing for a list of one.
pub fn items(node: &Node) -> Vec<&Node> {
    match &node.content {
        Content::List(items) => items.iter().collect(),
        Content::Null => Vec::new(),
        _ => vec![node],
    }
}

/// What is read from each of the [`items`] of a node that may not be there, less what is not understood.
pub fn each<'n, T, Read: IntoIterator<Item = T>>(node: Option<&'n Node>, read: impl FnMut(&'n Node) -> Read) -> Vec<T> {
    node.map(items).unwrap_or_default().into_iter().flat_map(read).collect()
}

/// Names: of things, so spaces and capitals do not matter.
pub fn name_of(typed: &str) -> String {
    typed.trim().to_lowercase().replace(['\u{a0}', ' ', '_'], "-")
}

pub fn name(node: &Node, context: &mut Context) -> Option<Located<String>> {
    text(node, context).map(|typed| Located::new(name_of(&typed.value), typed.place))
}

pub fn problem_kind(problem: Problem, what: &str, typed: &str, wanted: &[Dimension]) -> Kind {
    let wanted_names = || wanted.iter().map(|dimension| dimension.name()).collect::<Vec<_>>().join(" or ");
    match problem {
        Problem::MissingUnit { .. } => Kind::MissingUnit {
            quantity: what.replace('-', " "),
            typed: typed.into(),
            examples: wanted
                .iter()
                .map(|dimension| format!("{} {}{}", typed.trim(), example_unit(*dimension), form(what, *dimension)))
                .collect(),
        },
        Problem::UnknownUnit { unit, nearest } => Kind::UnknownUnit { unit, nearest },
        Problem::WrongDimension { got, .. } => Kind::WrongDimension {
            quantity: what.replace('-', " "),
            wanted: wanted_names(),
            got: got.name().to_string(),
            example: example(wanted.first().copied()),
        },
        Problem::DecimalComma { suggestion } => Kind::DecimalComma { typed: typed.into(), suggestion },
        _ => Kind::NotANumber {
            typed: typed.into(),
            wanted: format!(
                "{}, as `{}`{}",
                wanted_names(),
                example(wanted.first().copied()),
                if read::is_curly_quoted(typed) {
                    "; curly quotation marks are letters like any other here"
                } else {
                    ""
                }
            ),
        },
    }
}

/// The form that a concentration has to name, where it comes in several.
fn form(what: &str, dimension: Dimension) -> &'static str {
    match what {
        _ if dimension != Dimension::Concentration => "",
        "nitrate" => " NO3",
        "nitrite" => " NO2",
        "phosphate" => " PO4",
        "ammonia" => " NH3",
        _ => "",
    }
}

/// The unit a person would most likely mean.
fn example_unit(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Volume => "L",
        Dimension::VolumeRate => "L/h",
        Dimension::Length => "cm",
        Dimension::Area => "cm²",
        Dimension::Mass => "g",
        Dimension::Power => "W",
        Dimension::Energy => "kWh",
        Dimension::Voltage => "V",
        Dimension::Current => "A",
        Dimension::Temperature | Dimension::TemperatureDifference => "°C",
        Dimension::PhotonFlux => "µmol/m²/s",
        Dimension::DailyLight => "mol/m²/d",
        Dimension::Illuminance => "lx",
        Dimension::LuminousFlux => "lm",
        Dimension::Duration => "h",
        Dimension::Alkalinity => "dKH",
        Dimension::Concentration => "mg/L",
        Dimension::Salinity => "ppt",
        Dimension::SpecificGravity => "SG",
        Dimension::Conductivity => "mS/cm",
        Dimension::Acidity => "pH",
        Dimension::Fraction => "%",
        Dimension::Speed => "cm/s",
        Dimension::Tariff => "EUR/kWh",
        Dimension::Money => "EUR",
        Dimension::Count => "",
    }
}

fn example(dimension: Option<Dimension>) -> String {
    let Some(dimension) = dimension else {
        return String::new();
    };
    let number = match dimension {
        Dimension::Temperature => "25.5",
        Dimension::Volume => "75",
        Dimension::Alkalinity => "8.1",
        Dimension::Salinity => "35",
        Dimension::SpecificGravity => "1.0264",
        Dimension::Tariff => "0.24",
        Dimension::Acidity => "8.1",
        _ => "20",
    };
    format!("{number} {}", example_unit(dimension)).trim().to_string()
}

pub fn quantity(
    node: &Node,
    what: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
    context: &mut Context,
) -> Option<Located<Quantity>> {
    let typed = text(node, context)?;
    match units::parse(&typed.value, wanted, usual) {
        Ok(quantity) => {
            let lowest = if matches!(quantity.dimension, Dimension::Temperature | Dimension::TemperatureDifference) {
                -60.0
            } else {
                0.0
            };
            in_range(what, &quantity, &typed.place, (lowest, 1e9), context).then(|| Located::new(quantity, typed.place))
        }
        Err(problem) => {
            context.note(problem_kind(problem, what, &typed.value, wanted), &typed.place);
            None
        }
    }
}

/// Notes a value outside its limits.
pub fn in_range(what: &str, quantity: &Quantity, place: &Place, limits: (f64, f64), context: &mut Context) -> bool {
    let is_within = |value: f64| (limits.0..=limits.1).contains(&value);
    if is_within(quantity.value) {
        return true;
    }
    let show = |value: f64| {
        let decimals = if value.abs() >= 100.0 || value == value.trunc() { 0 } else { 1 };
        units::show(value, quantity.dimension, quantity.species, units::System::Metric, decimals)
    };
    // A keeper who thinks in °F writes 77 and means it; else the commonest slip is a lost decimal point.
    let fahrenheit = units::unit_named("°F")
        .filter(|unit| unit.dimension == quantity.dimension && quantity.unit.symbol != unit.symbol)
        .filter(|unit| is_within(unit.to_canonical(quantity.typed)))
        .map(|unit| format!("{} {}", trim_zeros(quantity.typed), unit.symbol));
    let slipped = [10.0, 100.0].iter().find(|factor| {
        quantity.dimension != Dimension::Fraction && is_within(quantity.value / **factor) && limits.1 < 1e8
    });
    let decimal = slipped.map(|factor| format!("{} {}", trim_zeros(quantity.typed / factor), quantity.unit.symbol));
    let suggestion = fahrenheit.or(decimal);
    let kind = Kind::OutOfRange {
        quantity: what.replace('-', " "),
        read_as: show(quantity.value),
        low: show(limits.0),
        high: show(limits.1),
        suggestion,
    };
    context.note(kind, place);
    false
}

fn trim_zeros(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Hours.
pub fn duration(node: &Node, what: &str, context: &mut Context) -> Option<Located<f64>> {
    let typed = text(node, context)?;
    match units::parse_duration(&typed.value) {
        Ok(hours) if hours >= 0.0 => Some(Located::new(hours, typed.place)),
        Ok(_) => {
            context.note(
                Kind::NotANumber { typed: typed.value, wanted: "a length of time, as `3 days`".into() },
                &typed.place,
            );
            None
        }
        Err(problem) => {
            context.note(problem_kind(problem, what, &typed.value, &[Dimension::Duration]), &typed.place);
            None
        }
    }
}

/// A length of time that is counted from a date.
pub fn calendar_span(node: &Node, what: &str, context: &mut Context) -> Option<Located<CalendarSpan>> {
    // Whatever is wrong with it is told there.
    duration(node, what, context)?;
    let typed = text(node, context)?;
    Some(Located::new(units::parse_calendar_span(&typed.value).ok()?, typed.place))
}

pub fn range(
    node: &Node,
    what: &str,
    wanted: &[Dimension],
    usual: Option<&'static Unit>,
    context: &mut Context,
) -> Option<Located<(Quantity, Quantity)>> {
    let typed = text(node, context)?;
    match units::parse_range(&typed.value, wanted, usual) {
        Ok(range) => Some(Located::new(range, typed.place)),
        Err(problem) => {
            context.note(problem_kind(problem, what, &typed.value, wanted), &typed.place);
            None
        }
    }
}

pub fn lengths<const N: usize>(node: &Node, what: &str, context: &mut Context) -> Option<Located<[f64; N]>> {
    let typed = text(node, context)?;
    let wanted = if N == 3 { "60 x 40 x 40 cm" } else { "95 x 48 cm" };
    match units::parse_lengths(&typed.value) {
        Ok(lengths) => match <[f64; N]>::try_from(lengths) {
            Ok(lengths) if lengths.iter().all(|length| *length > 0.0 && *length < 10_000.0) => {
                Some(Located::new(lengths, typed.place))
            }
            _ => {
                let kind = Kind::NotANumber { typed: typed.value, wanted: format!("{N} lengths, as `{wanted}`") };
                context.note(kind, &typed.place);
                None
            }
        },
        Err(problem) => {
            context.note(problem_kind(problem, what, &typed.value, &[Dimension::Length]), &typed.place);
            None
        }
    }
}

pub fn date(node: &Node, context: &mut Context) -> Option<Located<Date>> {
    let typed = text(node, context)?;
    parse_date(&typed.value, &typed.place, context).map(|date| Located::new(date, typed.place))
}

pub fn past_date(node: &Node, context: &mut Context) -> Option<Located<Date>> {
    let date = date(node, context)?;
    not_ahead(date.value, &date.place, context).then_some(date)
}

/// Notes a date after today.
pub fn not_ahead(date: Date, place: &Place, context: &mut Context) -> bool {
    if date <= context.today {
        return true;
    }
    let kind = Kind::FutureDate { typed: date.to_string(), as_of: context.today.to_string() };
    context.note(kind, place);
    false
}

pub fn parse_date(typed: &str, place: &Place, context: &mut Context) -> Option<Date> {
    let parts: Vec<&str> = typed.trim().split('-').collect();
    let numbers: Vec<i64> = parts.iter().filter_map(|part| part.parse().ok()).collect();
    if parts.len() != 3 || numbers.len() != 3 || parts[0].len() != 4 || parts[1].len() != 2 || parts[2].len() != 2 {
        context.note(Kind::BadDate { typed: typed.into() }, place);
        return None;
    }
    match Date::new(numbers[0] as i16, numbers[1] as i8, numbers[2] as i8) {
        Ok(date) => Some(date),
        Err(_) => {
            let why = if (1..=12).contains(&numbers[1]) {
                let first = Date::new(numbers[0] as i16, numbers[1] as i8, 1);
                let days = first.map(|first| first.days_in_month()).unwrap_or(31);
                format!("that month has {days} days")
            } else {
                "months run from 01 to 12".to_string()
            };
            context.note(Kind::ImpossibleDate { typed: typed.into(), why }, place);
            None
        }
    }
}

/// `2026-10-03` or `2026-10-03 21:10`.
pub fn parse_moment(typed: &str, place: &Place, context: &mut Context) -> Option<(DateTime, bool)> {
    let typed = typed.trim();
    let (date, time) = match typed.split_once([' ', 'T', '\u{a0}']) {
        Some((date, time)) => (date, Some(time.trim())),
        None => (typed, None),
    };
    let date = parse_date(date, place, context)?;
    match time {
        None => Some((date.to_datetime(super::entry::noon()), false)),
        Some(time) => parse_time(time, place, context).map(|time| (date.to_datetime(time), true)),
    }
}

pub fn parse_time(typed: &str, place: &Place, context: &mut Context) -> Option<Time> {
    let parsed = typed.trim().split_once(':').and_then(|(hour, minute)| {
        let minute = minute.get(0..2).filter(|_| minute.len() == 2 || minute.len() == 5)?;
        let hour: i8 = hour.parse().ok()?;
        // 24:00 is written for the end of a day; a time of day has no such hour.
        Time::new(hour, minute.parse().ok()?, 0, 0).ok()
    });
    if parsed.is_none() {
        context.note(Kind::BadTime { typed: typed.into() }, place);
    }
    parsed
}

pub fn yes_no(node: &Node, what: &str, context: &mut Context) -> Option<Located<YesNo>> {
    let words = [
        ("yes", YesNo::Yes),
        ("no", YesNo::No),
        ("unknown", YesNo::Unknown),
        ("true", YesNo::Yes),
        ("false", YesNo::No),
    ];
    word(node, what, &words, context)
}

pub fn word<T: Copy>(
    node: &Node,
    what: &str,
    words: &[(&'static str, T)],
    context: &mut Context,
) -> Option<Located<T>> {
    let typed = text(node, context)?;
    let wanted = name_of(&typed.value);
    if let Some((_, value)) = words.iter().find(|(word, _)| *word == wanted) {
        return Some(Located::new(*value, typed.place));
    }
    let kind = Kind::WrongWord {
        what: what.replace('-', " "),
        typed: typed.value,
        allowed: words
            .iter()
            .map(|(word, _)| word.to_string())
            .filter(|word| word != "true" && word != "false")
            .collect(),
        nearest: nearest(&wanted, words.iter().map(|(word, _)| *word)),
    };
    context.note(kind, &typed.place);
    None
}

/// A parameter named as a key.
pub fn parameter(name: &str, place: &Place, context: &mut Context) -> Option<Parameter> {
    let found = Parameter::from_key(name);
    if found.is_none() {
        let kind = Kind::WrongWord {
            what: "what is read".into(),
            typed: name.into(),
            allowed: Parameter::ALL.iter().map(|parameter| parameter.key().to_string()).collect(),
            nearest: nearest(name, Parameter::ALL.iter().map(|parameter| parameter.key())),
        };
        context.note(kind, place);
    }
    found
}

/// One value, or a list of maps each with `since:`. `read` is given the map's node (or the single value's) and whether
/// it stands in such a list.
pub fn timeline<T>(
    node: &Node,
    context: &mut Context,
    mut read: impl FnMut(&Node, bool, &mut Context) -> Option<T>,
) -> Timeline<T> {
    let Content::List(items) = &node.content else {
        let since = since_of(node, context);
        let value = read(node, false, context);
        return Timeline::new(
            value.map(|value| Stretch { since, value, place: node.place.clone() }).into_iter().collect(),
        );
    };
    let mut stretches: Vec<Stretch<T>> = Vec::new();
    for item in items {
        if !matches!(item.content, Content::Map(_)) {
            let wanted = "maps with `since:`, as `- {since: 2025-05-01, …}`".to_string();
            context.note(Kind::WrongShape { wanted, got: shape(item).into() }, &item.place);
            continue;
        }
        let since = since_of(item, context);
        if since.is_none() && item.get("since").is_none() {
            let kind = Kind::MissingKey {
                key: "since".into(),
                within: "a list of what was set when".into(),
                example: "since: 2025-05-01".into(),
            };
            context.note(kind, &item.place);
        }
        if let Some(earlier) = stretches.iter().find(|stretch| since.is_some() && stretch.since == since) {
            let kind = Kind::DuplicateName {
                name: since.map(|date| date.to_string()).unwrap_or_default(),
                what: "setting of the same date".into(),
            };
            let related = (earlier.place.clone(), "the other one".to_string());
            context.diagnostics.push(Diagnostic::new(kind, item.place.clone()).with_related(related.0, related.1));
        }
        if let Some(value) = read(item, true, context) {
            stretches.push(Stretch { since, value, place: item.place.clone() });
        }
    }
    Timeline::new(stretches)
}

fn since_of(node: &Node, context: &mut Context) -> Option<Date> {
    match &node.content {
        Content::Map(_) => node.get("since").and_then(|since| past_date(since, context)).map(|date| date.value),
        _ => None,
    }
}
