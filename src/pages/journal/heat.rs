//! Heat: what comes in and goes out, the figures to have before anything fails, evaporation and top-off.

use super::gear::device_link;
use super::view::*;
use crate::figures::failures::Harm;
use crate::figures::heat::{EvaporationMonth, Flow, ThermostatOrder};
use crate::pages::chart;
use crate::pages::model::heat::*;
use crate::pages::model::*;

pub fn page(view: &View) -> Page {
    let heat = &view.of.heat;
    let mut figures: Vec<FigureRow> = [view.rows("heat."), view.rows("topup.")].concat();
    figures.sort_by_key(|row| month_of(&row.key));
    let lacking: std::collections::BTreeSet<String> =
        figures.iter().filter_map(|row| row.missing.as_ref()).flat_map(|missing| missing.record.clone()).collect();
    let body = HeatPage {
        standfirst: "What warms the water and what cools it, and how long there is when a part of it fails.".into(),
        key_figures: facts(
            view,
            &[
                ("If the heaters stick on, at most", "heat.stuck-heater-temperature"),
                ("With no power, the lower limit is reached after at least", "heat.power-cut-hours"),
                ("On the hottest day", "heat.hottest-day"),
                ("On the hottest day with a fan", "heat.hottest-day-fan"),
                ("On the hottest day with the chiller", "heat.hottest-day-chiller"),
            ],
        ),
        lacking: lacking.into_iter().collect(),
        balance: balance(view),
        balance_note: "At the temperature that is set, in the room as it is now, as means over day and night. Widths are watts; ± is one standard uncertainty.".into(),
        days: facts(
            view,
            &[
                ("Heat lost a degree", "heat.loss"),
                ("Heater power needed on the coldest day", "heat.heater-needed"),
                ("Share of the time the heaters run, in the room as it is now", "heat.heater-duty"),
                ("Heat from the heaters, mean over the year", "heat.heater-year"),
                ("If the heaters stick on, the upper limit is reached after at least", "heat.stuck-heater-hours"),
                ("If the heaters stick on in the room as it is now, likely", "heat.stuck-heater-estimate"),
                ("With no power, likely until the lower limit", "heat.power-cut-estimate"),
            ],
        ),
        thermostats: thermostats(view),
        thermostats_note: "As it should be: the controller leads; the dial of each heater stands 1 to 1.5 °C (2 to 3 °F) above it and guards (common practice, no source).".into(),
        evaporation: evaporation(view, &heat.evaporation),
        evaporation_words: heat.evaporation_words.clone(),
        top_off: facts(
            view,
            &[
                ("Evaporation a day, predicted", "heat.evaporation"),
                ("Evaporation a day, logged", "water.evaporation"),
                ("Salinity gained a day without top-off", "topup.salinity-per-day"),
                ("Salinity after the full reservoir is dumped in", "topup.full-dump-salinity"),
                ("Days that the reservoir lasts", "topup.reservoir-days"),
                ("Largest harmless reservoir", "topup.largest-harmless"),
            ],
        ),
        failures: failures(view),
        failures_note: "Bounds, never promises: what may happen, worked out with every doubtful input at its worse end. Where it says assumed, it is a limit of practice without a source.".into(),
        figures,
        cautions: view.cautions_of("heat"),
    };
    Page::new(
        view.href("heat.html"),
        "heat",
        "Heat",
        "The balance of heat, a stuck heater, a power cut, the hottest day, evaporation and top-off.",
        PageBody::Heat(Box::new(body)),
    )
}

/// The months of a year stand in their own order, after everything else.
fn month_of(key: &str) -> usize {
    let name = key.strip_prefix("heat.evaporation.").unwrap_or_default();
    crate::record::tank::MONTHS.iter().position(|month| *month == name).map_or(0, |place| place + 1)
}

fn facts(view: &View, wanted: &[(&str, &str)]) -> Vec<Fact> {
    wanted
        .iter()
        .filter_map(|(label, key)| {
            let figure = view.figure(key)?;
            let value = view.value_of(figure).linked(view.href(&figure_href(key)));
            Some(Fact { basis_word: Some(figure.basis.word().into()), ..Fact::new(*label, vec![Run::value(value)]) })
        })
        .collect()
}

fn failures(view: &View) -> Vec<FailureRow> {
    view.of
        .failures
        .iter()
        .map(|failure| FailureRow {
            id: format!("failure-{}", failure.key.replace('.', "-")),
            what: match &failure.device {
                Some(device) => device_link(view, device),
                None => PlaceLink::plain(failure.what.clone()),
            },
            mode: failure.mode.words().into(),
            follows: failure.follows.join(" "),
            harm: failure.harm.map_or("none in sight within a week".into(), |harm| span(&harm)),
            harm_by: failure.harm.map_or(String::new(), |harm| {
                let basis = if harm.assumed { "assumed" } else { "computed" };
                format!("{}, {basis}", harm.by.words())
            }),
            remains: if failure.remains.is_empty() { "nothing written".into() } else { failure.remains.clone() },
            catches: if failure.catches.is_empty() { "nothing written".into() } else { failure.catches.join("; ") },
        })
        .collect()
}

/// Minutes where it is quick, hours up to two days, then days; the first rounded down, the second up.
fn span(harm: &Harm) -> String {
    let Some(low) = harm.at_least else {
        return "how fast is not known".into();
    };
    let quick = low < 1.0 && harm.at_most.is_none_or(|high| high <= 3.0);
    let (unit, hours, scale) = match low {
        _ if quick => ("min", 1.0 / 60.0, 1.0),
        low if low >= 48.0 => ("days", 24.0, 1.0),
        _ => ("h", 1.0, 10.0),
    };
    let shown = |value: f64| crate::figures::number(value / scale);
    let low = shown((low / hours * scale).floor());
    match harm.at_most {
        Some(high) => format!("{low} to {}\u{a0}{unit}", shown((high / hours * scale).ceil())),
        None => format!("{low}\u{a0}{unit} or more"),
    }
}

/// Losses to a room that is warmer are gains.
fn balance(view: &View) -> Option<ChartBlock> {
    let heat = &view.of.heat;
    let celsius = heat.working_temperature?;
    let (mut gains, mut losses): (Vec<Flow>, Vec<Flow>) = (heat.gains.clone(), Vec::new());
    for flow in &heat.losses {
        if flow.watts < 0.0 {
            let label = format!("{}, from the warmer room", flow.label);
            gains.push(Flow { label, watts: -flow.watts, ..flow.clone() });
        } else {
            losses.push(flow.clone());
        }
    }
    if gains.is_empty() && losses.is_empty() {
        return None;
    }
    let by_size = |flows: &mut Vec<Flow>| flows.sort_by(|a, b| b.watts.total_cmp(&a.watts).then(a.label.cmp(&b.label)));
    by_size(&mut gains);
    by_size(&mut losses);
    let streams = |flows: &[Flow]| {
        flows
            .iter()
            .map(|flow| {
                let (number, spread) = rounded(flow.watts, flow.u, None);
                let said = format!("{number} {}", spread.unwrap_or_default());
                chart::Stream { label: flow.label.clone(), value: flow.watts, said: said.trim_end().into() }
            })
            .collect::<Vec<_>>()
    };
    let total: f64 = losses.iter().map(|flow| flow.watts).sum();
    let most = |flows: &[Flow]| flows.first().map_or(String::new(), |flow| lower(&flow.label));
    let mut sentence =
        format!("{}\u{a0}W go out, most by: {}. Most comes from: {}.", fixed(total, 0), most(&losses), most(&gains));
    if heat.over_target {
        sentence.push_str(" Pumps and lamps alone make the water warmer than it is set, so that no heater runs.");
    }
    let row = |flow: &Flow, way: &str| {
        vec![
            Cell::header(flow.label.clone()),
            Cell::text(way),
            Cell::number(fixed(flow.watts, 1)).known(Basis::Computed),
            Cell::number(format!("±\u{a0}{}", fixed(flow.u, 1))),
        ]
    };
    let mut rows: Vec<Vec<Cell>> = gains.iter().map(|flow| row(flow, "in")).collect();
    rows.extend(losses.iter().map(|flow| row(flow, "out")));
    let degrees = view.shift("°C");
    let title = "Balance of heat";
    let drawn = chart::draw_balance(&chart::Balance {
        id: "balance".into(),
        title: title.into(),
        description: sentence.clone(),
        unit: "W".into(),
        holds: format!("Water, {}\u{a0}{}", fixed(degrees.value(celsius), 1), degrees.unit),
        gains: streams(&gains),
        losses: streams(&losses),
    });
    Some(ChartBlock {
        id: "chart-balance".into(),
        title: title.into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The numbers as a table".into(),
        table: Table {
            caption: "Heat that comes in and goes out, as means over the day".into(),
            head: vec![HeadCell::text("By"), HeadCell::text("In or out"), HeadCell::number("W"), HeadCell::number("u")],
            rows,
        },
        ..ChartBlock::default()
    })
}

fn thermostats(view: &View) -> Option<Table> {
    let states = &view.of.heat.thermostats.0;
    if states.is_empty() {
        return None;
    }
    let degrees = view.shift("°C");
    let celsius = |value: Option<f64>| match value {
        Some(value) => Cell::number(format!("{}\u{a0}{}", fixed(degrees.value(value), 1), degrees.unit)),
        None => Cell::number("not written"),
    };
    let rows = states
        .iter()
        .map(|state| {
            let words = match state.order {
                ThermostatOrder::Right => "The controller leads, the dial guards.",
                ThermostatOrder::DialLeads => {
                    "The dial stands below the controller: the heater’s own thermostat leads, and nobody learns whether the controller works."
                }
                ThermostatOrder::DialTooHigh => "The dial stands so far above that it guards nothing.",
                ThermostatOrder::Alone => "One thermostat and nothing behind it.",
                ThermostatOrder::DialUnknown => "A controller leads; at what the dial stands is not written.",
            };
            let link = device_link(view, &state.device);
            let name = Cell { href: link.href, ..Cell::header(link.text) };
            vec![name, celsius(state.leads), celsius(state.dial), Cell::text(words)]
        })
        .collect();
    Some(Table {
        caption: "What holds the temperature, and what guards it".into(),
        head: vec![
            HeadCell::text("Heater"),
            HeadCell::number("Controller"),
            HeadCell::number("Its own dial"),
            HeadCell::text("Order"),
        ],
        rows,
    })
}

/// What to say where almost all months lie on one side of the formula: then it is not the month that is odd.
fn one_sided(months: &[EvaporationMonth]) -> Option<String> {
    let less = months.iter().filter(|month| month.logged < month.predicted).count();
    let (count, way) = if 2 * less >= months.len() { (less, "less") } else { (months.len() - less, "more") };
    if months.len() < 6 || 10 * count < 9 * months.len() {
        return None;
    }
    let ratios: Vec<f64> = months.iter().map(|month| month.logged / month.predicted).collect();
    Some(format!(
        " In {count} of {} months {way} was topped off than the formula gives, {} of it in the middle month: something common to all of them is off, such as the surface’s factor, a lid, the usual air of the room, or top-offs that are never written down.",
        months.len(),
        fixed(crate::science::rank::median(&ratios), 2)
    ))
}

fn evaporation(view: &View, months: &[EvaporationMonth]) -> Option<ChartBlock> {
    let (first, last) = (months.first()?, months.last()?);
    let litres = view.shift("L a day");
    let shown = |value: f64| litres.spread(value);
    let title = "Evaporation by month, predicted and logged";
    let middle = |month: &EvaporationMonth| month.month.saturating_add(jiff::Span::new().days(14));
    let points = months
        .iter()
        .map(|month| chart::LinePoint {
            date: middle(month),
            value: shown(month.predicted),
            low: shown(month.predicted - 1.96 * month.predicted_u),
            high: shown(month.predicted + 1.96 * month.predicted_u),
        })
        .collect();
    let logged = months
        .iter()
        .map(|month| chart::Point {
            time: middle(month).to_datetime(jiff::civil::Time::midnight()),
            value: shown(month.logged),
            // The marks of the jug, common to all: 3 %.
            u: 0.03 * shown(month.logged),
            ..chart::Point::default()
        })
        .collect();
    let odd: Vec<String> = months
        .iter()
        .filter_map(|month| {
            let rest = month.unexplained?;
            let way = if rest > 0.0 { "more" } else { "less" };
            Some(format!(
                "{}, {}\u{a0}{} {way}",
                month_text(month.month),
                fixed(shown(rest.abs()), litres.decimals(1)),
                litres.unit
            ))
        })
        .collect();
    let mut sentence =
        "The line is what the room of each month should take by the handbook’s formula, with its 95 in 100; the points are what was topped off.".to_string();
    sentence.push_str(&one_sided(months).unwrap_or_default());
    if odd.is_empty() {
        sentence.push_str(" No month stands apart from the others.");
    } else {
        sentence.push_str(&format!(
            " Apart from the others stand: {}. A top-off that was not written, a spill, a lid or a fan would explain it.",
            odd.join("; ")
        ));
    }
    let drawn = chart::draw_time_chart(&chart::TimeChart {
        id: "evaporation".into(),
        title: title.into(),
        description: sentence.clone(),
        unit: litres.unit.clone(),
        from: first.month,
        to: last.month.last_of_month(),
        series: vec![chart::Series { points: logged, ..chart::Series::default() }],
        lines: vec![chart::ValueLine { basis: chart::LineBasis::Computed, label: "predicted".into(), points }],
        decimals: litres.decimals(1) as u8,
        ..chart::TimeChart::default()
    });
    let rows = months
        .iter()
        .map(|month| {
            vec![
                Cell::header(month_text(month.month)),
                Cell::number(format!(
                    "{} ±\u{a0}{}",
                    fixed(shown(month.predicted), 2),
                    fixed(shown(month.predicted_u), 2)
                ))
                .known(Basis::Computed),
                Cell::number(fixed(shown(month.logged), 2)).known(Basis::Measured),
                Cell::number(format!("{}\u{a0}%", fixed(month.fan * 100.0, 0))),
                match month.unexplained {
                    Some(rest) => Cell::number(fixed(shown(rest), 2)),
                    None => Cell::number("–"),
                },
            ]
        })
        .collect();
    Some(ChartBlock {
        id: "chart-evaporation".into(),
        title: title.into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: format!("The {} months as a table", months.len()),
        table: Table {
            caption: format!("Evaporation, {}", litres.unit),
            head: vec![
                HeadCell::text("Month"),
                HeadCell::number("Predicted"),
                HeadCell::number("Logged"),
                HeadCell::number("Fan on"),
                HeadCell::number("Unexplained"),
            ],
            rows,
        },
        ..ChartBlock::default()
    })
    .filter(|_| !view.tank.entries.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_that_all_lie_on_one_side_are_said_to() {
        let of = |logged: &[f64]| -> Vec<EvaporationMonth> {
            let month = |(at, logged): (usize, &f64)| EvaporationMonth {
                month: jiff::civil::date(2026, 1 + at as i8, 1),
                predicted: 2.0,
                predicted_u: 0.8,
                logged: *logged,
                fan: 0.0,
                unexplained: None,
            };
            logged.iter().enumerate().map(month).collect()
        };
        let said = one_sided(&of(&[1.0, 0.9, 1.1, 0.8, 1.0, 1.0])).unwrap();
        assert!(said.starts_with(" In 6 of 6 months less was topped off than the formula gives, 0.50 of it"), "{said}");
        assert!(one_sided(&of(&[3.0, 3.2, 2.9, 3.0, 3.0, 3.1])).unwrap().contains("6 of 6 months more"));
        assert_eq!(one_sided(&of(&[1.0, 2.9, 1.1, 2.4, 1.0, 1.0])), None);
        assert_eq!(one_sided(&of(&[1.0; 5])), None, "too few months");
    }
}
