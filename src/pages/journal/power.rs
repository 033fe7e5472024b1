//! Power: energy and cost by device, against the meter, and the load on each strip.

use super::gear::{device_link, watts};
use super::view::*;
use crate::figures::energy::hours_at_full;
use crate::pages::chart;
use crate::pages::model::power::*;
use crate::pages::model::*;
use crate::record::{Device, Role};

pub fn page(view: &View) -> Page {
    let total = view.figure("power.energy-per-day");
    let cost = view.figure("power.cost-per-month");
    let rate = total.zip(cost).map(|(total, cost)| cost.value / total.value.max(1e-9));
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
            let schedule = device.settings.at(view.record.as_of).and_then(|stretch| stretch.value.schedule.as_ref());
            let hours = hours_at_full(schedule.map(|schedule| &schedule.value));
            let of_total = total.map_or(0.0, |total| 100.0 * figure.value / total.value.max(1e-9));
            Some(PowerRow {
                device: device_link(view, &share.device),
                watts: watts(view, device),
                duty: format!(
                    "{} h a day{}",
                    crate::figures::number(hours),
                    if hours < 24.0 { ", ramps counted by area" } else { "" }
                ),
                per_day: Some(view.value_of(figure).linked(format!("#{}", anchor(&figure.key)))),
                cost_per_month: rate
                    .map(|rate| Shown::new(fixed(figure.value * rate, 2), currency.clone(), Basis::Computed)),
                share: format!("{}\u{a0}%", fixed(of_total, 0)),
            })
        })
        .collect();
    bars.sort_by(|a, b| b.value.total_cmp(&a.value));
    let mut totals = Vec::new();
    for (label, key) in [
        ("Energy a day", "power.energy-per-day"),
        ("Cost a month", "power.cost-per-month"),
        ("Metered a day", "power.metered-per-day"),
    ] {
        if let Some(figure) = view.figure(key) {
            let value = view.value_of(figure).linked(format!("#{}", anchor(key)));
            totals.push(Fact {
                basis_word: Some(figure.basis.word().into()),
                ..Fact::new(label, vec![Run::value(value)])
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
        bars: (!bars.is_empty()).then(|| bars_block(bars)),
        meter: meter_table(view),
        meter_note: "Worked out: from what was set on each of the days. The rest is what nobody explains.".into(),
        strips: strips(view),
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

fn bars_block(rows: Vec<chart::Bar>) -> ChartBlock {
    let table = Table {
        caption: "Energy a day by device".into(),
        head: vec![HeadCell::text("Device"), HeadCell::number("kWh a day"), HeadCell::number("u")],
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
    let sentence = rows.first().map_or(String::new(), |most| format!("Most goes to: {}.", most.label));
    let drawn = chart::draw_bars(&chart::Bars {
        id: "energy".into(),
        title: "Energy a day by device".into(),
        description: sentence.clone(),
        unit: "kWh a day".into(),
        rows,
        decimals: 2,
    });
    ChartBlock {
        id: "chart-energy".into(),
        title: "Energy a day by device".into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The numbers as a table".into(),
        table,
        ..ChartBlock::default()
    }
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

fn strips(view: &View) -> Vec<StripRow> {
    let as_of = view.record.as_of;
    let voltage = view
        .tank
        .electricity
        .at(as_of)
        .and_then(|stretch| stretch.value.voltage.as_ref())
        .map(|voltage| voltage.value.value);
    view.tank
        .devices_at(as_of)
        .filter(|device| device.role.value == Role::PowerStrip)
        .map(|strip| {
            let on_it: Vec<&Device> = view
                .tank
                .devices_at(as_of)
                .filter(|device| device.plugged.as_ref().is_some_and(|plug| plug.value == strip.key))
                .collect();
            let load: f64 = on_it
                .iter()
                .filter_map(|device| {
                    let spec = view.record.spec_of(view.tank, device).and_then(|spec| spec.power.as_ref());
                    device.watts.as_ref().or(spec).map(|power| power.value.value)
                })
                .sum();
            let rating = strip
                .rating
                .as_ref()
                .or_else(|| view.record.spec_of(view.tank, strip).and_then(|spec| spec.rating.as_ref()));
            let limit = rating.and_then(|rating| match rating.value.dimension {
                crate::units::Dimension::Power => Some(rating.value.value),
                _ => voltage.map(|voltage| rating.value.value * voltage),
            });
            StripRow {
                strip: device_link(view, &strip.key),
                on_it: on_it.iter().map(|device| device_link(view, &device.key)).collect(),
                load: Some(Shown::new(fixed(load, 0), "W", Basis::Computed)),
                rating: rating.map(|rating| Shown::new(view.typed(&rating.value), "", Basis::Stated)),
                protection: match &strip.protection {
                    Some(protection) => {
                        let link = device_link(view, &protection.value);
                        vec![Run::text("protected by "), Run { text: link.text, href: link.href, ..Run::default() }]
                    }
                    None => vec![Run::text("no protection recorded")],
                },
                remark: match limit {
                    Some(limit) => {
                        format!("{}\u{a0}% of its rating with everything on", fixed(100.0 * load / limit, 0))
                    }
                    None => "its rating is not recorded".into(),
                },
            }
        })
        .collect()
}
