//! A quantity's mass balance and outlook, as blocks of its page.

use jiff::civil::Date;

use super::curves::draw;
use super::view::*;
use super::water::unit;
use crate::figures::outlook::{Correct, Drift, Hold, Outlook, WaterChange, after};
use crate::figures::uptake::{LedgerKind, Uptake};
use crate::figures::water::Standing;
use crate::pages::chart::{self, LineBasis, TimeChart};
use crate::pages::model::water::*;
use crate::pages::model::*;
use crate::record::Parameter;

/// Rows of the table from reading to reading.
const MOST_PAIRS: usize = 40;

/// A value with its uncertainty and unit, as on every page.
fn with_u(view: &View, value: f64, u: f64, unit: &str) -> String {
    let shift = view.shift(unit);
    let number = with_spread(shift.value(value), shift.spread(u));
    let gap = if shift.unit.is_empty() { "" } else { "\u{a0}" };
    format!("{number}{gap}{}", shift.unit)
}

fn figure_run(view: &View, text: String, key: &str) -> Run {
    match view.figure(key) {
        Some(figure) => Run::link(text, format!("#{}", anchor(&figure.key))),
        None => Run::text(text),
    }
}

/// With its sign, and without one where nothing is left after rounding.
fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    let is_nothing = text.chars().all(|c| matches!(c, '0' | '.'));
    if value > 0.0 && !is_nothing { format!("+{text}") } else { text }
}

/// Digits that show a tenth of the kit's own error.
fn decimals(parameter: Parameter) -> usize {
    usize::from(parameter.decimals()) + 1
}

pub fn balance_block(view: &View, uptake: &Uptake) -> BalanceBlock {
    let parameter = uptake.parameter;
    let key = format!("water.{}.uptake", parameter.key());
    let unit = unit(view, parameter);
    let (value, u) =
        view.figure(&key).map_or((uptake.balance.uptake, 0.0), |figure| (figure.value, figure.uncertainty));
    let name = lower(parameter.shown());
    let span = format!("From {} to {}", date_text(uptake.from).text, date_text(uptake.to).text);
    let mut lead = if value.abs() <= 1.96 * u {
        vec![
            Run::text(format!("{span} the readings cannot tell the uptake of {name} from none: ")),
            figure_run(view, format!("{} a day", with_u(view, value, u, &unit)), &key),
            Run::text("."),
        ]
    } else if value > 0.0 {
        vec![
            Run::text(format!("{span} the tank took up ")),
            figure_run(view, format!("{} of {name} a day", with_u(view, value, u, &unit)), &key),
            Run::text("."),
        ]
    } else {
        vec![
            Run::text(format!("{span} more {name} was there than anything recorded brought: ")),
            figure_run(view, format!("{} a day", with_u(view, -value, u, &unit)), &key),
            Run::text(" from a source that the log does not know."),
        ]
    };
    lead.extend(course_words(view, uptake).map(Run::text));
    let mut notes = Vec::new();
    if !uptake.planned.is_empty() {
        let names = list(&uptake.planned, 4);
        notes.push(format!("No dose of {names} was ever logged, so the plan is taken as given."));
    }
    for what in &uptake.uncounted {
        notes.push(format!("Given and not counted; to count it, record {}.", what.replace('`', "")));
    }
    if uptake.balance.below > 0 {
        notes.push(format!(
            "{} of the {} readings lie below what the kit can see. They pull the level down as far as that is likely, and are never taken for zero.",
            uptake.balance.below, uptake.balance.readings
        ));
    }
    if uptake.balance.excess_scatter > 1.0 {
        notes.push(format!(
            "The readings scatter {} times as much as their kits explain, so every uncertainty here is widened by that.",
            fixed(uptake.balance.excess_scatter, 1)
        ));
    }
    for (lot, offset, u) in &uptake.balance.offsets {
        if let Some(text) = offset_words(view, parameter, *lot, *offset, *u) {
            notes.push(text);
        }
    }
    BalanceBlock { lead, ledger: ledger(view, uptake), course: course(view, uptake), pairs: pairs(view, uptake), notes }
}

fn offset_words(view: &View, parameter: Parameter, lot: usize, offset: f64, u: f64) -> Option<String> {
    let state = view.of.water.get(&parameter)?;
    let name = |run: usize| {
        let point = state.series.points.iter().find(|point| point.run == run)?;
        Some(point.lot.clone().map_or_else(|| "the kit before".to_string(), |lot| format!("lot {lot}")))
    };
    let latest = state.series.points.last()?.run;
    let direction = if offset >= 0.0 { "higher" } else { "lower" };
    Some(format!(
        "{} reads {} {direction} than {} on the same water, as far as these readings tell.",
        sentence_case(&name(lot)?),
        with_u(view, offset.abs(), u, &unit(view, parameter)),
        name(latest)?
    ))
}

/// Whether the uptake changed over the tank's life.
fn course_words(view: &View, uptake: &Uptake) -> Option<String> {
    let apart: Vec<_> = uptake.course.stretches.iter().rev().step_by(4).collect();
    let (now, before) = (apart.first()?, apart.get(1)?);
    let parameter = uptake.parameter;
    let u = now.u.hypot(before.u);
    let (then, difference) =
        (with_u(view, before.uptake, before.u, &unit(view, parameter)), now.uptake - before.uptake);
    Some(if difference.abs() > 1.96 * u {
        format!(" In the stretch before it was {then} a day: a real change.")
    } else {
        format!(" In the stretch before it was {then} a day, which the readings cannot tell from now.")
    })
}

fn ledger(view: &View, uptake: &Uptake) -> Table {
    let digits = decimals(uptake.parameter);
    let days = uptake.balance.days;
    let rows = uptake
        .ledger
        .iter()
        .map(|line| {
            let level = matches!(line.kind, LedgerKind::There | LedgerKind::Left);
            let a_day = if level { String::new() } else { signed(line.amount / days, digits + 1) };
            let amount = if level { fixed(line.amount, digits) } else { signed(line.amount, digits) };
            vec![Cell::header(sentence_case(&line.what)), Cell::number(amount), Cell::number(a_day)]
        })
        .collect();
    Table {
        caption: format!(
            "What came and went from {} to {}, {}",
            date_text(uptake.from).text,
            date_text(uptake.to).text,
            unit(view, uptake.parameter)
        ),
        head: vec![HeadCell::text("What"), HeadCell::number("In all"), HeadCell::number("A day")],
        rows,
    }
}

fn course(view: &View, uptake: &Uptake) -> Option<ChartBlock> {
    if uptake.course.stretches.len() < 3 {
        return None;
    }
    let parameter = uptake.parameter;
    let name = lower(parameter.shown());
    let digits = decimals(parameter);
    let unit = format!("{} a day", unit(view, parameter));
    let points: Vec<chart::LinePoint> = uptake
        .course
        .stretches
        .iter()
        .map(|stretch| chart::LinePoint {
            date: middle(stretch.from, stretch.to),
            value: stretch.uptake,
            low: stretch.uptake - 1.96 * stretch.u,
            high: stretch.uptake + 1.96 * stretch.u,
        })
        .collect();
    let (first, last) = (uptake.course.stretches.first()?, uptake.course.stretches.last()?);
    let trend = match &uptake.course.trend {
        Some(trend) if trend.is_distinguishable() && trend.slope > 0.0 => "It has grown.",
        Some(trend) if trend.is_distinguishable() => "It has fallen.",
        Some(_) => "Stretches that share no readings show no trend beyond chance.",
        None => "There are too few stretches that share no readings for a trend.",
    };
    let weeks = uptake.course.days / 7;
    let drawn = TimeChart {
        id: format!("{}-uptake", parameter.key()),
        title: format!("Uptake of {name}, {} to {}", month_text(first.from), month_text(last.to)),
        description: format!("Uptake of {name} a day over stretches of {weeks} weeks. {trend}"),
        unit: unit.clone(),
        from: first.from,
        to: view.record.as_of,
        lines: vec![chart::ValueLine { basis: LineBasis::Computed, label: "uptake".into(), points }],
        decimals: parameter.decimals() + 1,
        ..TimeChart::default()
    };
    let drawing = draw(&drawn);
    let rows = uptake
        .course
        .stretches
        .iter()
        .rev()
        .map(|stretch| {
            vec![
                Cell::date(date_text(stretch.from).text),
                Cell::date(date_text(stretch.to).text),
                Cell::number(fixed(stretch.uptake, digits + 1)),
                Cell::number(format!("± {}", fixed(stretch.u, digits + 1))),
            ]
        })
        .collect();
    Some(ChartBlock {
        id: format!("chart-{}", drawn.id),
        number: String::new(),
        title: format!("Uptake of {name} since the start"),
        wide: drawing.wide,
        narrow: drawing.narrow,
        sentence: drawn.description,
        key: format!(
            "Line: uptake over {weeks} weeks, drawn at their middle; neighbours share readings. Ribbon: 95 in 100."
        ),
        table_summary: format!("The {} stretches as a table", uptake.course.stretches.len()),
        table: Table {
            caption: format!("Uptake of {name}, {unit}"),
            head: vec![
                HeadCell::text("From"),
                HeadCell::text("To"),
                HeadCell::number("A day"),
                HeadCell::number("Uncertainty"),
            ],
            rows,
        },
        changes: Vec::new(),
        changes_summary: String::new(),
    })
}

fn middle(from: Date, to: Date) -> Date {
    after(from, f64::from(crate::record::days_between(from, to)) / 2.0)
}

/// A bound nearer than this is no date to tell, only that nothing is known.
const FEW_DAYS: f64 = 7.0;

fn pairs(view: &View, uptake: &Uptake) -> Option<Table> {
    if uptake.pairs.is_empty() {
        return None;
    }
    let digits = usize::from(uptake.parameter.decimals());
    let signed = |value: f64| signed(value, digits + 1);
    let rows = uptake
        .pairs
        .iter()
        .rev()
        .take(MOST_PAIRS)
        .map(|pair| {
            vec![
                Cell::date(date_text(pair.from).text),
                Cell::date(date_text(pair.to).text),
                Cell::number(fixed(pair.was, digits)),
                Cell::number(signed(pair.came)),
                Cell::number(signed(pair.changed)),
                Cell::number(fixed(pair.is, digits)),
                Cell::number(fixed(pair.uptake, digits + 1)),
                Cell::number(format!("± {}", fixed(pair.u, digits + 1))),
            ]
        })
        .collect();
    Some(Table {
        caption: format!(
            "From reading to reading, {}: uptake a day = (was + came + by changes − is) ∕ days; two readings alone tell little",
            unit(view, uptake.parameter)
        ),
        head: [HeadCell::text("From"), HeadCell::text("To")]
            .into_iter()
            .chain(["Was", "Came", "By changes", "Is", "Uptake a day", "Uncertainty"].map(HeadCell::number))
            .collect(),
        rows,
    })
}

pub fn outlook_block(view: &View, outlook: &Outlook, as_of: Date) -> OutlookBlock {
    let parameter = outlook.parameter;
    let unit = unit(view, parameter);
    let digits = usize::from(parameter.decimals());
    let shown = |value: f64| format!("{}\u{a0}{unit}", fixed(value, digits));
    let key = |what: &str| format!("water.{}.{what}", parameter.key());
    let mut answers = vec![Fact::new(
        "Stands at",
        vec![
            figure_run(view, with_u(view, outlook.level.0, outlook.level.1, &unit), &key("level")),
            Run::text(", by all readings of the window together"),
        ],
    )];
    let drift = match outlook.drift {
        Drift::Leaves { edge, days, earliest, latest } => vec![
            Run::text(format!("As it goes it reaches {} in about ", shown(edge))),
            figure_run(view, days_words(days), &key("days-in-band")),
            Run::text(format!(
                ": between {} and {} (95 in 100).",
                date_text(after(as_of, earliest)).text,
                if latest > 3650.0 { "never".into() } else { date_text(after(as_of, latest)).text }
            )),
        ],
        Drift::NoSooner { edge, days } if days < FEW_DAYS => vec![Run::text(format!(
            "The kit sees no change, and cannot rule out that {} is reached within days.",
            shown(edge)
        ))],
        Drift::NoSooner { edge, days } => vec![Run::text(format!(
            "The kit sees no change. At the steepest it might be, {} is reached no sooner than {}.",
            shown(edge),
            if days > 365.0 { "in a year".into() } else { date_text(after(as_of, days)).text }
        ))],
        Drift::AtTheEdge(standing) => {
            // The verdict above is that of the latest reading alone.
            let latest = view.of.water.get(&parameter).map(|state| state.standing);
            let beside = match latest {
                Some(Standing::Inside) => "; the latest reading alone stands inside",
                Some(Standing::Below | Standing::Above) if standing == Standing::TooCloseToTell => {
                    "; the latest reading alone stands outside"
                }
                _ => "",
            };
            let stands = match standing {
                Standing::Below => "it is below its band already",
                Standing::Above => "it is above its band already",
                _ => "it is too close to an edge of its band to tell on which side",
            };
            vec![Run::text(format!("By all readings of the window together {stands}{beside}, so no date is given."))]
        }
        Drift::Unknown => vec![Run::text("Too few readings for a trend, so no date is given.")],
    };
    answers.push(Fact::new("If nothing is changed", drift));
    if let Some((days, earliest, _)) = outlook.undosed {
        answers.push(Fact::new(
            "If nothing were added",
            vec![
                Run::text("The lower edge is reached in about "),
                figure_run(view, days_words(days), &key("days-without")),
                Run::text(if earliest < 1.0 {
                    "; the kit cannot rule out less than a day.".into()
                } else {
                    format!(", hardly before {}.", days_words(earliest))
                }),
            ],
        ));
    }
    answers.push(Fact::new("To hold it", hold(view, outlook, &key("dose-to-hold"))));
    answers.push(Fact::new("To correct it", correct(view, outlook, &key)));
    OutlookBlock {
        target: format!(
            "Target: {}\u{a0}{unit}, {}",
            fixed(outlook.target, digits + 1),
            if outlook.target_set { "as the keeper set it" } else { "the middle of the band, since no target is set" }
        ),
        answers,
        caution: "Worked out from this tank’s log and stocks; no advice for another tank. Stocks are chemicals: read the label and its safety sheet, gloves and goggles, one at a time, never two in one jug, and test again before the next step.".into(),
    }
}

fn days_words(days: f64) -> String {
    let whole = days.round().max(0.0);
    match whole {
        0.0 => "less than a day".into(),
        1.0 => "1 day".into(),
        _ => format!("{} days", fixed(whole, 0)),
    }
}

fn hold(view: &View, outlook: &Outlook, key: &str) -> Vec<Run> {
    match &outlook.hold {
        Hold::Dose { name, unit, a_day, u, now, .. } => {
            let now = if *now > 0.0 {
                let differs = (now - a_day).abs() > 1.96 * u;
                let verdict = if differs { "" } else { ", which the readings cannot tell from it" };
                format!("; now it is {}\u{a0}{unit}{verdict}.", fixed(*now, 1))
            } else {
                "; now none is given.".into()
            };
            vec![figure_run(view, format!("{} of {name} a day", with_u(view, *a_day, *u, unit)), key), Run::text(now)]
        }
        Hold::NoDose { surplus } => vec![Run::text(format!(
            "No dose: food and new water bring {} {} a day more than is used.",
            fixed(*surplus, decimals(outlook.parameter)),
            unit(view, outlook.parameter)
        ))],
        Hold::TooSmall => vec![Run::text("No dose can be told: the uptake is smaller than the kit can see.")],
        Hold::AsMuchComes { rest, u } => vec![Run::text(format!(
            "No dose can be told: food and new water bring as much as is used, as far as can be told. What is left, {} a day, may as well be none.",
            with_u(view, *rest, *u, &unit(view, outlook.parameter))
        ))],
        Hold::NoStock => {
            vec![Run::text("There is no stock with a known strength: write strength, made-of or raises in supplies.")]
        }
    }
}

fn correct(view: &View, outlook: &Outlook, key: &dyn Fn(&str) -> String) -> Vec<Run> {
    match &outlook.correct {
        Correct::TooSmall => {
            vec![Run::text("Nothing to correct: the distance to the target is smaller than the kit can see.")]
        }
        Correct::Raise { name, unit, total, u, days, a_day, change, .. } => {
            let mut runs = vec![
                figure_run(view, format!("{} of {name}", with_u(view, *total, *u, unit)), &key("dose-to-correct")),
                Run::text(format!(
                    " in all, over {} or more: {}\u{a0}{unit} on each, beside the dose that holds it.",
                    days_words(f64::from(*days)),
                    fixed(*a_day, 1)
                )),
            ];
            runs.extend(change_runs(view, change.as_ref(), "Or by", &key("change-to-correct")));
            runs
        }
        Correct::RaiseByWater(change) => {
            let mut runs = change_runs(view, change.as_ref(), "By", &key("change-to-correct"));
            if runs.is_empty() {
                runs.push(Run::text("There is no stock with a known strength, and new water holds no more."));
            }
            runs
        }
        Correct::Lower { change, by_use } => {
            let mut runs = change_runs(view, change.as_ref(), "By", &key("change-to-correct"));
            if let Some(days) = by_use {
                runs.push(Run::text(format!(
                    " Use alone lowers it in about {} if nothing is dosed.",
                    days_words(*days)
                )));
            }
            if runs.is_empty() {
                runs.push(Run::text("New water holds as much; use alone lowers it."));
            }
            runs
        }
    }
}

fn change_runs(view: &View, change: Option<&WaterChange>, word: &str, key: &str) -> Vec<Run> {
    let Some(change) = change else {
        return Vec::new();
    };
    let spread =
        if change.days > 1 { format!(", in parts over {}", days_words(f64::from(change.days))) } else { String::new() };
    vec![
        Run::text(format!(" {word} a water change of ").trim_start().to_string()),
        figure_run(view, with_u(view, change.litres, 0.5, "L"), key),
        Run::text(format!(" ({}\u{a0}% of the water){spread}.", fixed(100.0 * change.share, 0))),
    ]
}
