//! The water that evaporates in a period, and whether the jug and the store cover it.

use jiff::civil::Date;

use super::{Period, after};
use crate::figures::figure::InputName;
use crate::figures::inputs::{assumed, measured, number, set};
use crate::figures::{Figures, Findings, NodeId};
use crate::record::{Device, Located, Parameter, Record, Role, Tank, days_between};
use crate::units::Quantity;

/// How the water that is lost comes back.
#[derive(Clone, Debug, PartialEq)]
pub enum TopUp {
    /// A device draws it from a jug that the sitter fills.
    Device {
        device: String,
        reservoir: Option<f64>,
    },
    ByHand,
}

/// Water a period needs.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterNeed {
    pub by: TopUp,
    /// L a day: planned with, and the range of what was logged (95 in 100).
    pub per_day: Option<(f64, f64, f64)>,
    /// Whether the months of the period were ever logged.
    pub season_known: bool,
    /// L in the period, at the upper end.
    pub total: Option<f64>,
    /// L that the sitter adds at each visit, in the middle and at the upper end.
    pub per_visit: Option<(f64, f64)>,
    /// Days that a full jug lasts, at the upper end.
    pub reservoir_days: Option<f64>,
    /// First day on which the jug is dry when nobody fills it.
    pub dry_on: Option<Date>,
    /// The jug holds less than evaporates between two visits.
    pub too_small: bool,
    /// L of fresh water that lower salinity by one part in a thousand.
    pub most_a_day: Option<f64>,
    /// L that, pumped in at once, lower it by two.
    pub largest_harmless: Option<f64>,
    /// L that are ready.
    pub stock: Option<f64>,
    pub stock_short: Option<f64>,
}

impl WaterNeed {
    /// The line that a jug is filled to: all of it, or as much as does no harm when it is pumped in at once, rounded down
    /// to half a litre, so that the mark is on the safe side.
    pub fn jug_line(&self) -> Option<f64> {
        match self.by {
            TopUp::Device { reservoir: Some(jug), .. } => {
                Some(jug.min(self.largest_harmless.map_or(f64::INFINITY, |most| (most * 2.0).floor() / 2.0)))
            }
            _ => None,
        }
    }
}

/// So much may the salinity fall in a day by topping up: 1 ppt (common practice, no source).
const FALL_A_DAY: f64 = 1.0;

/// So much may it fall when the whole jug is pumped in at once: 2 ppt (common practice, no source).
const FALL_AT_ONCE: f64 = 2.0;

pub fn work_out(record: &Record, tank: &Tank, findings: &mut Findings, period: Period, gap: i32) -> WaterNeed {
    let device = tank.devices_at(period.from).find(|device| device.role.value == Role::TopOff);
    let (season, season_known) = season(tank, findings, period);
    let figures = &mut findings.figures;
    let limit = "Most fresh water to add by hand in a day";
    let most_a_day = fresh_water(record, tank, figures, ("stay.most-fresh-water", limit), FALL_A_DAY);
    let agreed = figures.get(&tank.key, "topup.largest-harmless").map(|figure| figure.value);
    let largest_harmless = agreed.or_else(|| {
        let largest = "Largest jug that does no harm when it is pumped in at once";
        fresh_water(record, tank, figures, ("stay.largest-harmless", largest), FALL_AT_ONCE)
    });
    let evaporation = evaporation(tank, figures, season);
    let mut need = WaterNeed {
        by: device.map_or(TopUp::ByHand, |device| TopUp::Device {
            device: device.key.clone(),
            reservoir: record.reservoir_of(tank, device).map(|(reservoir, _)| reservoir.value.value),
        }),
        per_day: None,
        season_known,
        total: None,
        per_visit: None,
        reservoir_days: None,
        dry_on: None,
        too_small: false,
        most_a_day,
        largest_harmless,
        stock: tank
            .upkeep
            .sitter
            .pure_water
            .as_ref()
            .and_then(|water| water.stock.as_ref())
            .map(|stock| stock.value.value),
        stock_short: None,
    };
    let Some(node) = evaporation else {
        return need;
    };
    let (value, u) = (figures.graph.value(node), figures.graph.uncertainty(node));
    let high = value + 1.96 * u;
    need.per_day = Some((value, (value - 1.96 * u).max(0.0), high));
    let days = f64::from(period.days());
    let total = plain(tank, figures, node, "stay.water-total", "Water that evaporates in the period", days);
    need.total = Some(figures.graph.value(total) / value * high);
    plain(tank, figures, node, "stay.water-per-visit", "Water that evaporates between two visits", f64::from(gap));
    need.per_visit = Some((value * f64::from(gap), high * f64::from(gap)));
    need.stock_short = need.stock.zip(need.total).map(|(stock, total)| total - stock).filter(|short| *short > 0.05);
    if let Some((device, volume)) = device.and_then(|device| Some((device, record.reservoir_of(tank, device)?.0))) {
        jug(tank, figures, node, device, volume);
        let lasts = volume.value.value / high;
        let dry = after(period.from, lasts.floor() as i32);
        need.reservoir_days = Some(lasts);
        need.dry_on = (dry <= period.to).then_some(dry);
        need.too_small = volume.value.value < high * f64::from(gap);
    }
    need
}

/// So many days of evaporation.
fn plain(tank: &Tank, figures: &mut Figures, per_day: NodeId, key: &str, label: &str, days: f64) -> NodeId {
    let node = figures.graph.compute(label, "L", &[per_day], move |x| x[0] * days);
    let numbers = format!(
        "{} × {} = {} L",
        number(days),
        number(figures.graph.value(per_day)),
        number(figures.graph.value(node))
    );
    figures
        .define(&tank.key, key, label)
        .method("W = days · E", numbers, &[])
        .inputs(&[InputName::from("stay.evaporation")])
        .finish(node)
}

/// Days that a full jug lasts, as a figure.
fn jug(tank: &Tank, figures: &mut Figures, per_day: NodeId, device: &Device, volume: &Located<Quantity>) {
    let label = format!("{}: days that a full jug lasts", device.name.value);
    let litres = volume.value.value;
    let full = set(&mut figures.graph, "Jug", litres, "L", &volume.place);
    let node = figures.graph.compute(&label, "d", &[full, per_day], |x| x[0] / x[1]);
    let numbers = format!(
        "{} ∕ {} = {} d",
        number(litres),
        number(figures.graph.value(per_day)),
        number(figures.graph.value(node))
    );
    figures
        .define(&tank.key, "stay.reservoir-days", &label)
        .method("t = R ∕ E", numbers, &[])
        .inputs(&[InputName::from(full), InputName::from("stay.evaporation")])
        .finish(node);
}

/// The larger of what evaporated of late and what evaporated in these months before; where neither was logged, what the
/// heat balance gives.
fn evaporation(tank: &Tank, figures: &mut Figures, season: Option<NodeId>) -> Option<NodeId> {
    let label = "Evaporation a day, planned with";
    let recent = figures.get(&tank.key, "water.evaporation").map(|figure| (figure.key.clone(), figure.node));
    let computed = figures.get(&tank.key, "heat.evaporation").map(|figure| (figure.key.clone(), figure.node));
    let mut known: Vec<(String, NodeId)> = recent.into_iter().collect();
    known.extend(season.map(|node| ("stay.season-evaporation".to_string(), node)));
    if known.is_empty() {
        known.extend(computed);
    }
    if known.is_empty() {
        figures.miss(&tank.key, "stay.evaporation", label, "`top-off: 3.5 L` in entries, three over at least a week");
        return None;
    }
    let nodes: Vec<NodeId> = known.iter().map(|one| one.1).collect();
    let node = figures.graph.compute(label, "L", &nodes, |x| x.iter().copied().fold(0.0, f64::max));
    let numbers = known.iter().map(|one| number(figures.graph.value(one.1))).collect::<Vec<_>>().join(", ");
    let numbers = format!("max({numbers}) = {} L/d", number(figures.graph.value(node)));
    let inputs: Vec<InputName> = known.into_iter().map(|one| InputName::from(one.0)).collect();
    Some(
        figures
            .define(&tank.key, "stay.evaporation", label)
            .method("E = max(E of late, E of the season)", numbers, &[])
            .inputs(&inputs)
            .finish(node),
    )
}

/// What evaporated in the months of the period in earlier years, each month weighed by its days.
fn season(tank: &Tank, findings: &mut Findings, period: Period) -> (Option<NodeId>, bool) {
    let logged = findings.tanks[&tank.key].budget.evaporation.clone();
    let days = f64::from(period.days());
    let mut shares: Vec<(Date, f64)> = Vec::new();
    let mut covered = 0.0;
    for month in 1..=12i8 {
        let share = period.dates().filter(|date| date.month() == month).count() as f64;
        let same: Vec<Date> = logged.keys().copied().filter(|first| first.month() == month).collect();
        if share > 0.0 && !same.is_empty() {
            covered += share;
            shares.extend(same.iter().map(|first| (*first, share / days / same.len() as f64)));
        }
    }
    if covered < days {
        return (None, false);
    }
    let figures = &mut findings.figures;
    let mut nodes = Vec::new();
    for (first, _) in &shares {
        let top_offs: Vec<_> = tank
            .entries
            .iter()
            .filter(|entry| entry.date().first_of_month() == *first)
            .filter_map(|entry| entry.top_off.as_ref())
            .collect();
        let Some(place) = top_offs.first().map(|top| top.place.clone()) else {
            continue;
        };
        let value = logged[first];
        let month_days = f64::from(first.days_in_month());
        // Each reading of the jug to half a mark of a litre, and the jug's own scale within 3 % (as for the figure of late).
        let u = (0.5 / 3f64.sqrt() * (top_offs.len() as f64).sqrt() / month_days).hypot(0.03 * value);
        let label = format!("{} {}", first.strftime("%Y-%m"), "top-off a day");
        nodes.push(measured(&mut figures.graph, &label, value, u, "L", &place));
    }
    if nodes.len() != shares.len() {
        return (None, true);
    }
    let weights: Vec<f64> = shares.iter().map(|share| share.1).collect();
    let label = "Evaporation a day in these months, earlier years";
    let values: Vec<String> =
        shares.iter().map(|(first, share)| format!("{} × {}", number(*share), number(logged[first]))).collect();
    let node = figures.graph.compute(label, "L", &nodes, move |x| x.iter().zip(&weights).map(|(x, w)| x * w).sum());
    let numbers = format!("{} = {} L/d", values.join(" + "), number(figures.graph.value(node)));
    let node = figures
        .define(&tank.key, "stay.season-evaporation", label)
        .method("E = Σ share of the days · E(month)", numbers, &[])
        .inputs(&nodes)
        .finish(node);
    (Some(node), true)
}

/// Fresh water that lowers the salinity by `fall`: with S·V of salt in V + A, A = V · ΔS ∕ (S − ΔS).
fn fresh_water(
    record: &Record,
    tank: &Tank,
    figures: &mut Figures,
    (key, label): (&str, &str),
    fall: f64,
) -> Option<f64> {
    let volume = figures.get(&tank.key, "water.net-volume").map(|figure| figure.node)?;
    let read = tank
        .entries
        .iter()
        .rev()
        .filter(|entry| days_between(entry.date(), record.as_of) <= 90)
        .flat_map(|entry| &entry.readings)
        .find(|reading| {
            reading.parameter == Parameter::Salinity && reading.quantity.dimension == Parameter::Salinity.dimension()
        });
    let graph = &mut figures.graph;
    let salinity = match read {
        Some(reading) => measured(graph, "Salinity", reading.quantity.value, 1.0, "ppt", &reading.place),
        None => assumed(graph, "Salinity", 35.0, 1.0, "ppt", "no salinity was read of late"),
    };
    let node = graph.compute(label, "L", &[volume, salinity], move |x| x[0] * fall / (x[1] - fall));
    let (v, s, a) = (graph.value(volume), graph.value(salinity), graph.value(node));
    let numbers = format!("{} × {} ∕ ({} − {}) = {} L", number(v), number(fall), number(s), number(fall), number(a));
    figures
        .define(&tank.key, key, label)
        .method("A = V · ΔS ∕ (S − ΔS)", numbers, &["common-practice"])
        .inputs(&[InputName::from("water.net-volume"), salinity.into()])
        .note("how far salinity may fall, one part in a thousand a day and two at once, is common practice without a source")
        .finish(node);
    Some(a)
}
