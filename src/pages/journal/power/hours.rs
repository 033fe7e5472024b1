//! Power over the hours of the day, energy by purpose, and what each price is paid for.

use super::{bars_block, chart};
use crate::figures::energy::DeviceEnergy;
use crate::figures::hours::Purpose;
use crate::pages::journal::view::*;
use crate::pages::model::*;

pub const RATES_NOTE: &str =
    "Devices that switch themselves, heaters above all, are spread evenly over their scheduled time.";

/// Purposes that get a line of their own; more would not be told apart.
const LINES: usize = 4;

/// Mean watts in each hour, and the purposes that use most.
pub fn by_hour(view: &View) -> Option<ChartBlock> {
    let devices: Vec<&DeviceEnergy> =
        view.of.power.devices.iter().filter(|device| view.figure(&device.figure).is_some()).collect();
    let watts = |wanted: Option<Purpose>, hour: usize| {
        let of = |device: &&&DeviceEnergy| wanted.is_none_or(|wanted| device.purpose == wanted);
        devices.iter().filter(of).map(|device| device.hours[hour] * 1000.0).sum::<f64>()
    };
    let day = |purpose: Option<Purpose>| (0..24).map(|hour| watts(purpose, hour)).sum::<f64>() / 1000.0;
    let mut purposes: Vec<Purpose> = Purpose::ALL.into_iter().filter(|purpose| day(Some(*purpose)) > 0.0).collect();
    if purposes.is_empty() {
        return None;
    }
    purposes.sort_by(|a, b| day(Some(*b)).total_cmp(&day(Some(*a))).then(a.cmp(b)));
    let steps = |purpose: Option<Purpose>| -> Vec<(f64, f64)> {
        (0..24)
            .map(|hour| (hour as f64, watts(purpose, hour)))
            .flat_map(|(hour, height)| [(hour, height), (hour + 1.0, height)])
            .collect()
    };
    let mut lines = vec![("everything".to_string(), steps(None))];
    if purposes.len() > 1 {
        lines.extend(purposes.iter().take(LINES).map(|purpose| (purpose.words().to_string(), steps(Some(*purpose)))));
    }
    let (peak, most) = (0..24)
        .map(|hour| (hour, watts(None, hour)))
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .unwrap_or_default();
    let sentence = format!(
        "Mean watts in each hour. Most is drawn from {peak}:00 to {}:00, {}\u{a0}W; the hours add up to {}\u{a0}kWh.",
        peak + 1,
        fixed(most, 0),
        fixed(day(None), 2)
    );
    let title = "Power over the day, by purpose";
    let drawn = chart::draw_day_curve(&chart::DayCurve {
        id: "hours".into(),
        title: title.into(),
        description: sentence.clone(),
        unit: "W".into(),
        lines,
        y_max: None,
    });
    let mut head = vec![HeadCell::text("Hour")];
    head.extend(purposes.iter().map(|purpose| HeadCell::number(sentence_case(purpose.words()))));
    head.push(HeadCell::number("Everything, W"));
    let mut rows: Vec<Vec<Cell>> = (0..24)
        .map(|hour| {
            let mut row = vec![Cell::header(format!("{hour}:00"))];
            row.extend(purposes.iter().map(|purpose| Cell::number(fixed(watts(Some(*purpose), hour), 1))));
            row.push(Cell::number(fixed(watts(None, hour), 1)));
            row
        })
        .collect();
    let mut total = vec![Cell::header("Day, kWh")];
    total.extend(purposes.iter().map(|purpose| Cell::number(fixed(day(Some(*purpose)), 3))));
    total.push(Cell::number(fixed(day(None), 3)));
    rows.push(total);
    Some(ChartBlock {
        id: "chart-hours".into(),
        title: title.into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The 24 hours as a table".into(),
        table: Table { caption: "Mean watts in each hour".into(), head, rows },
        ..ChartBlock::default()
    })
}

pub fn by_purpose(view: &View) -> Option<ChartBlock> {
    let total = view.figure("power.energy-per-day")?.value;
    let mut bars: Vec<chart::Bar> = view
        .of
        .power
        .purposes
        .iter()
        .filter_map(|(purpose, key)| {
            let figure = view.figure(key)?;
            Some(chart::Bar {
                label: sentence_case(purpose.words()),
                value: figure.value,
                u: figure.uncertainty,
                basis: chart::BarBasis::Computed,
                note: format!("{}\u{a0}%", fixed(100.0 * figure.value / total.max(1e-9), 0)),
            })
        })
        .collect();
    bars.sort_by(|a, b| b.value.total_cmp(&a.value).then(a.label.cmp(&b.label)));
    (!bars.is_empty()).then(|| bars_block("purpose", "Energy a day by purpose", "Purpose", bars))
}

pub fn rates(view: &View) -> Option<Table> {
    view.figure("power.cost-per-day")?;
    let rates = &view.of.power.rates;
    let first = rates.first()?;
    let rows = rates
        .iter()
        .map(|rate| {
            vec![
                Cell::header(sentence_case(&rate.hours)),
                Cell::number(fixed(rate.price, 3)).known(Basis::Stated),
                Cell::number(fixed(rate.energy, 2)).known(Basis::Computed),
                Cell::number(fixed(rate.energy * rate.price, 2)).known(Basis::Computed),
            ]
        })
        .collect();
    Some(Table {
        caption: "What a day costs, by the hours of each price".into(),
        head: vec![
            HeadCell::text("Hours"),
            HeadCell::number(format!("{}/kWh", first.currency)),
            HeadCell::number("kWh a day"),
            HeadCell::number(format!("{} a day", first.currency)),
        ],
        rows,
    })
}
