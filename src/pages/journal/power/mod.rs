//! Power: energy and cost by device, against the meter, and the load on each strip.

mod hours;
mod outage;

use super::gear::{device_link, watts};
use super::view::*;
use crate::figures::energy::{METERED_COST_MONTH, METERED_COST_YEAR, MONTH, duty_limits, hours_at_full};
use crate::pages::chart;
use crate::pages::model::power::*;
use crate::pages::model::*;
use crate::record::{Device, Role};

pub fn page(view: &View) -> Page {
    let total = view.figure("power.energy-per-day");
    let cost = view.figure("power.cost-per-month");
    let currency = cost.map(|cost| cost.unit.clone()).unwrap_or_default();
    let mut bars = Vec::new();
    let devices: Vec<PowerRow> = view
        .of
        .power
        .devices
        .iter()
        .filter_map(|share| {
            let device = view.tank.device(&share.device)?;
            let figure = view.figure(&share.figure)?;
            bars.push(chart::Bar {
                label: device.name.value.clone(),
                value: figure.value,
                u: figure.uncertainty,
                basis: chart::BarBasis::Computed,
                note: String::new(),
            });
            let of_total = total.map_or(0.0, |total| 100.0 * figure.value / total.value.max(1e-9));
            Some(PowerRow {
                device: device_link(view, &share.device),
                watts: watts(view, device),
                duty: running(view, device),
                per_day: Some(view.value_of(figure).linked(format!("#{}", anchor(&figure.key)))),
                cost_per_month: share.price.map(|price| {
                    let month = figure.value * price * MONTH;
                    Shown::new(fixed(month, 2), currency.clone(), Basis::Computed)
                }),
                share: format!("{}\u{a0}%", fixed(of_total, 0)),
            })
        })
        .collect();
    bars.sort_by(|a, b| b.value.total_cmp(&a.value));
    let metered = view.figure("power.metered-per-day").is_some();
    let mut totals = Vec::new();
    for (label, key) in [
        ("Metered a day", "power.metered-per-day"),
        ("Cost a month, by the meter", METERED_COST_MONTH),
        ("Cost a year, by the meter", METERED_COST_YEAR),
        ("Energy a day", "power.energy-per-day"),
        ("Energy a month", "power.energy-per-month"),
        ("Energy a year", "power.energy-per-year"),
        ("Cost a day", "power.cost-per-day"),
        ("Cost a month", "power.cost-per-month"),
        ("Cost a year", "power.cost-per-year"),
        ("Metered a day, unexplained", "power.unexplained"),
    ] {
        if let Some(figure) = view.figure(key) {
            let value = view.value_of(figure).linked(format!("#{}", anchor(key)));
            // Beside a meter it is told what is none of its.
            let worked_out = key.starts_with("power.energy-") || key.starts_with("power.cost-");
            let label = if metered && worked_out { format!("{label}, worked out") } else { label.to_string() };
            totals.push(Fact {
                basis_word: Some(figure.basis.word().into()),
                ..Fact::new(&label, vec![Run::value(value)])
            });
        }
    }
    let body = PowerPage {
        standfirst: "From schedules, ramps and levels, device by device, beside what the meter says.".into(),
        totals,
        devices_total: total.map(|total| PowerRow {
            device: PlaceLink::plain("All devices"),
            watts: None,
            duty: String::new(),
            per_day: Some(view.value_of(total)),
            cost_per_month: cost.map(|figure| view.value_of(figure)),
            share: "100\u{a0}%".into(),
        }),
        devices,
        devices_note: "Power at full level is measured where the keeper metered the plug, else as the maker states it."
            .into(),
        bars: (!bars.is_empty()).then(|| bars_block("energy", "Energy a day by device", "Device", bars)),
        meter: if view.of.power.spans.len() < 2 { meter_table(view) } else { None },
        meter_note: "Worked out: from what was set on each of the days. The rest is what nobody explains.".into(),
        meter_chart: meter_chart(view),
        by_hour: hours::by_hour(view),
        by_purpose: hours::by_purpose(view),
        rates: hours::rates(view),
        rates_note: hours::RATES_NOTE.into(),
        strips: outage::strips(view),
        strips_note: outage::strips_note(view),
        batteries: outage::batteries(view),
        forgets: outage::forgets(view),
        figures: view.rows("power."),
        cautions: view.cautions_of("power"),
    };
    Page::new(
        view.href("power.html"),
        "power",
        "Power",
        "Energy and cost by device, against the meter.",
        PageBody::Power(Box::new(body)),
    )
}

/// Bars with their numbers.
/// How long a device runs in a day, at what level, and for what share of it where it switches itself.
fn running(view: &View, device: &Device) -> String {
    let settings = device.settings.at(view.record.as_of).map(|stretch| &stretch.value);
    let hours = hours_at_full(settings.and_then(|s| s.schedule.as_ref()).map(|schedule| &schedule.value));
    if hours <= 0.0 {
        return "not running".into();
    }
    let percent = |share: f64| fixed(100.0 * share, 0);
    let mut said = format!("{}\u{a0}h a day", crate::figures::number(hours));
    if hours < 24.0 {
        said += ", ramps counted by area";
    }
    if let Some(level) = settings.and_then(|s| s.level.as_ref()).filter(|level| level.value < 1.0) {
        said += &format!(", at {}\u{a0}%", percent(level.value));
    }
    let recorded = settings.and_then(|s| s.duty.as_ref()).map(|duty| duty.value);
    let schedule = settings.and_then(|s| s.schedule.as_ref()).map(|schedule| &schedule.value);
    if let (Role::Heater, None, Some(_)) = (device.role.value, recorded, &view.of.power.heating) {
        return format!("{said}, as long as the balance of heat asks, mean over the year");
    }
    match duty_limits(device.role.value, schedule, recorded) {
        Some((low, high)) if low < high => {
            said += &format!(", taken to be on for {} to {}\u{a0}% of it", percent(low), percent(high));
        }
        Some((duty, _)) => said += &format!(", on for {}\u{a0}% of it", percent(duty)),
        None => {}
    }
    said
}

fn bars_block(id: &str, title: &str, of: &str, rows: Vec<chart::Bar>) -> ChartBlock {
    let table = Table {
        caption: title.into(),
        head: vec![HeadCell::text(of), HeadCell::number("kWh a day"), HeadCell::number("u")],
        rows: rows
            .iter()
            .map(|bar| {
                vec![
                    Cell::header(bar.label.clone()),
                    Cell::number(fixed(bar.value, 3)),
                    Cell::number(format!("±\u{a0}{}", fixed(bar.u, 3))),
                ]
            })
            .collect(),
    };
    let total: f64 = rows.iter().map(|bar| bar.value).sum();
    let sentence = rows.first().map_or(String::new(), |most| {
        let share = percent(most.value / total.max(f64::MIN_POSITIVE)).unwrap_or_default();
        format!(
            "Most goes to: {}, {} of {}\u{a0}kWh a day, {share}.",
            most.label,
            fixed(most.value, 2),
            fixed(total, 2)
        )
    });
    let drawn = chart::draw_bars(&chart::Bars {
        id: id.into(),
        title: title.into(),
        description: sentence.clone(),
        unit: "kWh a day".into(),
        rows,
        decimals: 2,
    });
    ChartBlock {
        id: format!("chart-{id}"),
        title: title.into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The numbers as a table".into(),
        table,
        ..ChartBlock::default()
    }
}

/// Metered as points, worked out as a line with its 95 in 100, each span at its middle.
fn meter_chart(view: &View) -> Option<ChartBlock> {
    let spans = &view.of.power.spans;
    let (first, last) = (spans.first()?, spans.last()?);
    if spans.len() < 2 {
        return None;
    }
    let title = "Metered and worked out";
    let middle = |span: &crate::figures::energy::MeterSpan| {
        let days = crate::record::days_between(span.from, span.to);
        span.from.saturating_add(jiff::Span::new().days(i64::from(days / 2)))
    };
    let largest = spans.iter().max_by(|a, b| {
        (a.metered - a.computed).abs().total_cmp(&(b.metered - b.computed).abs()).then(b.from.cmp(&a.from))
    })?;
    let sentence = format!(
        "The points are what the meter says, the line what was set on each day. They part most from {} to {}, by {}\u{a0}kWh a day.",
        date_text(largest.from).text,
        date_text(largest.to).text,
        fixed(largest.metered - largest.computed, 2)
    );
    let drawn = chart::draw_time_chart(&chart::TimeChart {
        id: "meter".into(),
        title: title.into(),
        description: sentence.clone(),
        unit: "kWh a day".into(),
        from: first.from,
        to: last.to,
        series: vec![chart::Series {
            points: spans
                .iter()
                .map(|span| chart::Point {
                    time: middle(span).to_datetime(jiff::civil::Time::midnight()),
                    value: span.metered,
                    u: 0.01 * span.metered,
                    ..chart::Point::default()
                })
                .collect(),
            ..chart::Series::default()
        }],
        lines: vec![chart::ValueLine {
            basis: chart::LineBasis::Computed,
            label: "worked out".into(),
            points: spans
                .iter()
                .map(|span| chart::LinePoint {
                    date: middle(span),
                    value: span.computed,
                    low: span.computed - 1.96 * span.computed_u,
                    high: span.computed + 1.96 * span.computed_u,
                })
                .collect(),
        }],
        decimals: 1,
        ..chart::TimeChart::default()
    });
    Some(ChartBlock {
        id: "chart-meter".into(),
        title: title.into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: format!("The {} spans as a table", spans.len()),
        table: meter_table(view)?,
        ..ChartBlock::default()
    })
}

fn meter_table(view: &View) -> Option<Table> {
    let spans = &view.of.power.spans;
    if spans.is_empty() {
        return None;
    }
    let rows = spans
        .iter()
        .rev()
        .map(|span| {
            let rest = span.metered - span.computed;
            vec![
                Cell::header(date_text(span.from).text),
                Cell::date(date_text(span.to).text),
                Cell::number(fixed(span.metered, 2)).known(Basis::Measured),
                Cell::number(format!("{} ±\u{a0}{}", fixed(span.computed, 2), fixed(span.computed_u, 2)))
                    .known(Basis::Computed),
                Cell::number(fixed(rest, 2)),
            ]
        })
        .collect();
    Some(Table {
        caption: "Metered and worked out, kWh a day".into(),
        head: vec![
            HeadCell::text("From"),
            HeadCell::text("To"),
            HeadCell::number("Metered"),
            HeadCell::number("Worked out"),
            HeadCell::number("Unexplained"),
        ],
        rows,
    })
}
