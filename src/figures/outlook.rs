//! What comes next and what would hold it: when a value leaves its band, the dose that keeps it at the keeper's target,
//! and the correction, spread so that no day moves faster than practice allows.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::figure::Figures;
use super::graph::{Graph, NodeId};
use super::inflow::{self, Known};
use super::inputs::number;
use super::uptake::{SourceUse, Uptake};
use super::water::{Standing, TrendState, WaterState, stands};
use crate::record::supply::SupplyKind;
use crate::record::{Band, Parameter, Record, Tank};
use crate::science::dosing::{share_to_change, spread_over_days};
use crate::science::normal::ONE_SIDED_95;
use crate::units::{Bound, Dimension};

/// What can be said of one substance's next weeks.
#[derive(Clone, Debug)]
pub struct Outlook {
    pub parameter: Parameter,
    pub target: f64,
    /// Whether the keeper set the target, or it is the middle of the band.
    pub target_set: bool,
    /// Where it stands, with its standard uncertainty.
    pub level: (f64, f64),
    pub drift: Drift,
    /// Days until the lower edge without any dose, with the 95 % interval.
    pub undosed: Option<(f64, f64, f64)>,
    pub hold: Hold,
    pub correct: Correct,
}

/// Where the value goes if nothing is changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Drift {
    /// It reaches an edge of the band in so many days, between two dates (95 in 100).
    Leaves { edge: f64, days: f64, earliest: f64, latest: f64 },
    /// The trend is not distinguishable from none; the steepest it may be reaches an edge no sooner.
    NoSooner { edge: f64, days: f64 },
    /// By its level it stands outside already, or too close to an edge to tell.
    AtTheEdge(Standing),
    /// Too few readings for a trend.
    Unknown,
}

/// The dose a day that keeps the value where it is wanted.
#[derive(Clone, Debug, PartialEq)]
pub enum Hold {
    Dose {
        stock: String,
        name: String,
        unit: &'static str,
        a_day: f64,
        u: f64,
        /// What is dosed now, where something is.
        now: f64,
    },
    /// Food and new water bring as much as is used, or more.
    NoDose { surplus: f64 },
    /// The uptake cannot be told from none.
    TooSmall,
    /// Food and new water bring as much as is used, as far as can be told: what is left of it a day, and its uncertainty.
    AsMuchComes { rest: f64, u: f64 },
    /// No stock with a known strength.
    NoStock,
}

/// What would bring the value to the target.
#[derive(Clone, Debug, PartialEq)]
pub enum Correct {
    /// The difference is smaller than the kit can see.
    TooSmall,
    Raise {
        stock: String,
        name: String,
        unit: &'static str,
        total: f64,
        u: f64,
        days: u32,
        a_day: f64,
        change: Option<WaterChange>,
    },
    /// Raised by new water only: no stock with a known strength.
    RaiseByWater(Option<WaterChange>),
    Lower {
        change: Option<WaterChange>,
        /// Days in which use alone lowers it, if nothing is dosed.
        by_use: Option<f64>,
    },
}

/// One water change, or several on as many days, that bring a value to its target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterChange {
    pub litres: f64,
    pub share: f64,
    pub days: u32,
}

/// The most a value may be raised and lowered in a day. The trade's brakes, the cautious end where it gives two (common
/// practice, no source).
pub fn brakes(parameter: Parameter) -> Option<(f64, f64)> {
    Some(match parameter {
        Parameter::Alkalinity => (0.5, 0.5),
        Parameter::Calcium => (25.0, 25.0),
        Parameter::Magnesium => (50.0, 50.0),
        Parameter::Nitrate => (1.0, 5.0),
        Parameter::Phosphate => (0.02, 0.03),
        _ => return None,
    })
}

/// Works out the outlook of every balanced substance that has a band or a target.
pub fn work_out(
    record: &Record,
    tank: &Tank,
    water: &BTreeMap<Parameter, WaterState>,
    uptake: &BTreeMap<Parameter, Uptake>,
    figures: &mut Figures,
) -> BTreeMap<Parameter, Outlook> {
    let mut found = BTreeMap::new();
    for (parameter, uptake) in uptake {
        let set = tank.targets.get(parameter).and_then(|target| target.at(record.as_of)).map(|stretch| stretch.value);
        let band = water.get(parameter).and_then(|state| state.band);
        let middle =
            band.filter(|band| band.low.is_finite() && band.high.is_finite()).map(|band| (band.low + band.high) / 2.0);
        let Some(target) = set.or(middle) else {
            continue;
        };
        let outlook = Outlook {
            parameter: *parameter,
            target,
            target_set: set.is_some(),
            level: (figures.graph.value(uptake.level), figures.graph.uncertainty(uptake.level)),
            drift: water.get(parameter).map_or(Drift::Unknown, |state| drift(tank, state, uptake, band, figures)),
            undosed: undosed(tank, uptake, band, figures),
            hold: hold(record, tank, uptake, target, figures),
            correct: correct(record, tank, uptake, target, figures),
        };
        found.insert(*parameter, outlook);
    }
    found
}

fn name_of(parameter: Parameter) -> String {
    parameter.shown().to_lowercase()
}

fn key_of(parameter: Parameter, what: &str) -> String {
    format!("water.{}.{what}", parameter.key())
}

fn drift(tank: &Tank, state: &WaterState, uptake: &Uptake, band: Option<Band>, figures: &mut Figures) -> Drift {
    let Some(band) = band else {
        return Drift::Unknown;
    };
    let (level, u) = (figures.graph.value(uptake.level), figures.graph.uncertainty(uptake.level));
    let standing = stands(level, u, Bound::Exactly, band);
    if standing != Standing::Inside {
        return Drift::AtTheEdge(standing);
    }
    let TrendState::Found(trend) = &state.trend else {
        return Drift::Unknown;
    };
    let Some(slope) = figures.get(&tank.key, &key_of(uptake.parameter, "trend")).map(|figure| figure.node) else {
        return Drift::Unknown;
    };
    if !trend.visible {
        // On the safe side: from the end of the level's interval, by the end of the slope's.
        let down = (trend.low < 0.0).then(|| (band.low, (level - ONE_SIDED_95 * u - band.low) / -trend.low));
        let up = (trend.high > 0.0).then(|| (band.high, (band.high - level - ONE_SIDED_95 * u) / trend.high));
        let sooner = [down, up].into_iter().flatten().filter(|(edge, _)| edge.is_finite());
        return sooner
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .map_or(Drift::Unknown, |(edge, days)| Drift::NoSooner { edge, days });
    }
    let edge = if trend.slope < 0.0 { band.low } else { band.high };
    if !edge.is_finite() {
        return Drift::Unknown;
    }
    let parameter = uptake.parameter;
    let label = format!("Days until {} leaves its band", name_of(parameter));
    let graph = &mut figures.graph;
    // Time runs forward: a draw whose slope has the other sign never gets there.
    let node = graph.compute(&label, "days", &[uptake.level, slope], move |x| {
        let days = 7.0 * (edge - x[0]) / x[1];
        if days >= 0.0 { days } else { f64::NAN }
    });
    let (earliest, latest) = graph.interval95(node);
    let numbers =
        format!("({} − {}) ∕ {} {} a week", number(edge), number(level), number(trend.slope * 7.0), parameter.unit());
    let days = graph.value(node);
    figures
        .define(&tank.key, &key_of(parameter, "days-in-band"), &label)
        .method("days = (edge − level) ∕ slope", numbers, &["sen_1968", "jcgm_100_2008"])
        .inputs(&[key_of(parameter, "level"), key_of(parameter, "trend")])
        .note("if doses, food and water changes go on as they were")
        .decimals(0)
        .finish(node);
    Drift::Leaves { edge, days, earliest: earliest.max(0.0), latest }
}

/// What the window's sources other than doses, and its water changes, bring a day at a level, per litre.
fn other_inflow(record: &Record, uptake: &Uptake) -> (Vec<NodeId>, Vec<f64>, Vec<NodeId>, Vec<f64>) {
    let other: Vec<&SourceUse> = uptake.sources.iter().filter(|source| !is_stock(record, &source.supply)).collect();
    (
        other.iter().map(|source| source.content).collect(),
        other.iter().map(|source| source.a_day).collect(),
        uptake.changes.iter().map(|change| change.holds).collect(),
        uptake.changes.iter().map(|change| change.litres_a_day).collect(),
    )
}

fn is_stock(record: &Record, supply: &str) -> bool {
    record
        .supplies
        .get(supply)
        .is_some_and(|supply| matches!(supply.kind.value, SupplyKind::Stock | SupplyKind::Chemical))
}

/// Uptake less what comes without dosing, a day, at a level: what a dose has to make good. Per litre.
fn need(record: &Record, uptake: &Uptake, at: f64, label: &str, graph: &mut Graph) -> NodeId {
    let (foods, grams, waters, litres) = other_inflow(record, uptake);
    let mut inputs = vec![uptake.uptake, uptake.volume];
    inputs.extend(&foods);
    inputs.extend(&waters);
    let unit = format!("{} a day", uptake.parameter.unit());
    graph.compute(label, &unit, &inputs, move |x| {
        let (contents, holds) = x[2..].split_at(grams.len());
        let food: f64 = contents.iter().zip(&grams).map(|(content, grams)| content * grams).sum();
        let water: f64 = holds.iter().zip(&litres).map(|(holds, litres)| litres * (holds - at)).sum();
        x[0] - (food + water) / x[1]
    })
}

fn undosed(tank: &Tank, uptake: &Uptake, band: Option<Band>, figures: &mut Figures) -> Option<(f64, f64, f64)> {
    let low = band?.low;
    if !low.is_finite() || uptake.sources.is_empty() {
        return None;
    }
    let graph = &mut figures.graph;
    let (level, level_u) = (graph.value(uptake.level), graph.uncertainty(uptake.level));
    let (used, used_u) = (graph.value(uptake.uptake), graph.uncertainty(uptake.uptake));
    if used - 1.96 * used_u <= 0.0 || level - ONE_SIDED_95 * level_u <= low {
        return None;
    }
    let parameter = uptake.parameter;
    let label = format!("Days {} lasts with nothing added", name_of(parameter));
    let node = graph.compute(&label, "days", &[uptake.level, uptake.uptake], move |x| (x[0] - low) / x[1]);
    let (earliest, latest) = graph.interval95(node);
    let numbers = format!("({} − {}) ∕ {}", number(level), number(low), number(used));
    let days = graph.value(node);
    figures
        .define(&tank.key, &key_of(parameter, "days-without"), &label)
        .method("days = (level − lower edge) ∕ uptake", numbers, &[])
        .inputs(&[key_of(parameter, "level"), key_of(parameter, "uptake")])
        .note("as if dosing and feeding stopped and uptake went on; uptake slows as less is left, so rather longer")
        .decimals(0)
        .finish(node);
    Some((days, earliest, latest))
}

/// The stock in use, else any that brings the substance.
struct Stock {
    key: String,
    name: String,
    unit: &'static str,
    content: NodeId,
    now: f64,
}

fn stock_for(record: &Record, uptake: &Uptake, figures: &mut Figures) -> Option<Stock> {
    let graph = &figures.graph;
    let used = uptake
        .sources
        .iter()
        .filter(|source| is_stock(record, &source.supply))
        .max_by(|a, b| (a.a_day * graph.value(a.content)).total_cmp(&(b.a_day * graph.value(b.content))));
    if let Some(source) = used {
        return Some(Stock {
            key: source.supply.clone(),
            name: source.name.clone(),
            unit: source.unit,
            content: source.content,
            now: source.a_day,
        });
    }
    let gone = |until: Option<Date>| until.is_some_and(|until| until <= record.as_of);
    let supply = record.supplies.values().find_map(|supply| {
        let usable = is_stock(record, &supply.key) && !gone(supply.until.as_ref().map(|until| until.value));
        match inflow::content(supply, uptake.parameter, Dimension::Volume) {
            Known::Brings(content) if usable && content.value > 0.0 => Some((supply, content)),
            _ => None,
        }
    })?;
    let (supply, content) = supply;
    let per = inflow::content_unit(uptake.parameter, "mL");
    let root = inflow::root(&format!("{}, a mL", supply.name.value), content, &per);
    Some(Stock {
        key: supply.key.clone(),
        name: supply.name.value.clone(),
        unit: "mL",
        content: figures.graph.root(root),
        now: 0.0,
    })
}

const BEFORE_DOSING: &str = "before dosing: gloves and goggles, one stock at a time, never mixed with another, never \
                             into still water; the label and its safety sheet come first";

fn hold(record: &Record, tank: &Tank, uptake: &Uptake, target: f64, figures: &mut Figures) -> Hold {
    let parameter = uptake.parameter;
    let key = key_of(parameter, "dose-to-hold");
    let label = format!("Dose a day that holds {} at {}", name_of(parameter), number(target));
    let (used, used_u) = (figures.graph.value(uptake.uptake), figures.graph.uncertainty(uptake.uptake));
    if used - 1.96 * used_u <= 0.0 {
        figures.miss(
            &tank.key,
            &key,
            &label,
            "more readings, or a finer kit: the uptake is smaller than the kit can see",
        );
        return Hold::TooSmall;
    }
    let need_label = format!("What a dose of {} has to make good a day", name_of(parameter));
    let need = need(record, uptake, target, &need_label, &mut figures.graph);
    let (missing, missing_u) = (figures.graph.value(need), figures.graph.uncertainty(need));
    if missing <= 0.0 {
        return Hold::NoDose { surplus: -missing };
    }
    if missing - 1.96 * missing_u <= 0.0 {
        let what = format!(
            "more readings, a finer kit, or what the food holds: food and new water bring as much as is used, as far as \
             can be told ({} ± {} {} a day are left)",
            number(missing),
            number(missing_u),
            parameter.unit()
        );
        figures.miss(&tank.key, &key, &label, what);
        return Hold::AsMuchComes { rest: missing, u: missing_u };
    }
    let Some(stock) = stock_for(record, uptake, figures) else {
        let what = format!("a stock with its strength: `strength: {{{}: …}}` in supplies/", parameter.key());
        figures.miss(&tank.key, &key, &label, what);
        return Hold::NoStock;
    };
    let graph = &mut figures.graph;
    let node = graph.compute(&label, &format!("{} a day", stock.unit), &[need, uptake.volume, stock.content], |x| {
        x[0] * x[1] / x[2]
    });
    let (a_day, u) = (graph.value(node), graph.uncertainty(node));
    let numbers = format!(
        "{} × {} L ∕ {} = {} {} of {}",
        number(missing),
        number(graph.value(uptake.volume)),
        number(graph.value(stock.content)),
        number(a_day),
        stock.unit,
        stock.name
    );
    let mut built = figures
        .define(&tank.key, &key, &label)
        .method("dose = (uptake − food and new water) · V ∕ content of the stock", numbers, &[])
        .inputs(&[need, uptake.volume, stock.content])
        .note(BEFORE_DOSING);
    if !tank.targets.contains_key(&parameter) {
        built = built.note("no target is set: the middle of the band is taken (`targets:` in tank.yaml)");
    }
    built.finish(node);
    Hold::Dose { stock: stock.key, name: stock.name, unit: stock.unit, a_day, u, now: stock.now }
}

fn correct(record: &Record, tank: &Tank, uptake: &Uptake, target: f64, figures: &mut Figures) -> Correct {
    let (level, u) = (figures.graph.value(uptake.level), figures.graph.uncertainty(uptake.level));
    let difference = target - level;
    if difference.abs() <= 1.96 * u {
        return Correct::TooSmall;
    }
    let Some((most_up, most_down)) = brakes(uptake.parameter) else {
        return Correct::TooSmall;
    };
    if difference < 0.0 {
        let used = figures.graph.value(uptake.uptake);
        let visible = used > 1.96 * figures.graph.uncertainty(uptake.uptake);
        let by_use = visible.then(|| -difference / used);
        return Correct::Lower { change: change(tank, uptake, level, target, most_down, figures), by_use };
    }
    let change = change(tank, uptake, level, target, most_up, figures);
    let Some(stock) = stock_for(record, uptake, figures) else {
        return Correct::RaiseByWater(change);
    };
    let Ok((days, _)) = spread_over_days(difference, most_up) else {
        return Correct::RaiseByWater(change);
    };
    let parameter = uptake.parameter;
    let label = format!("Stock that brings {} to {}", name_of(parameter), number(target));
    let graph = &mut figures.graph;
    let node = graph.compute(&label, stock.unit, &[uptake.level, uptake.volume, stock.content], move |x| {
        (target - x[0]) * x[1] / x[2]
    });
    let (total, total_u) = (graph.value(node), graph.uncertainty(node));
    let numbers = format!(
        "({} − {}) × {} L ∕ {} = {} {}, over {days} days",
        number(target),
        number(level),
        number(graph.value(uptake.volume)),
        number(graph.value(stock.content)),
        number(total),
        stock.unit
    );
    figures
        .define(&tank.key, &key_of(parameter, "dose-to-correct"), &label)
        .method("dose = (target − level) · V ∕ content of the stock", numbers, &["common-practice"])
        .inputs(&[uptake.level, uptake.volume, stock.content])
        .note(format!(
            "never at once: at most {} {} of rise a day, beside the dose that makes good the uptake, so over {days} days",
            number(most_up),
            parameter.unit()
        ))
        .note(BEFORE_DOSING)
        .finish(node);
    Correct::Raise {
        stock: stock.key,
        name: stock.name,
        unit: stock.unit,
        total,
        u: total_u,
        days,
        a_day: total / f64::from(days),
        change,
    }
}

/// The same by new water, where it holds more (or less) than the target.
fn change(
    tank: &Tank,
    uptake: &Uptake,
    level: f64,
    target: f64,
    most_a_day: f64,
    figures: &mut Figures,
) -> Option<WaterChange> {
    let water = uptake.changes.iter().max_by(|a, b| a.litres_a_day.total_cmp(&b.litres_a_day))?;
    let graph = &mut figures.graph;
    let share = share_to_change(level, target, graph.value(water.holds)).ok()?;
    let (days, _) = spread_over_days(target - level, most_a_day).ok()?;
    let parameter = uptake.parameter;
    let label = format!("Water change that brings {} to {}", name_of(parameter), number(target));
    let node = graph.compute(&label, "L", &[uptake.level, water.holds, uptake.volume], move |x| {
        share_to_change(x[0].max(0.0), target, x[1].max(0.0)).map_or(f64::NAN, |share| share * x[2])
    });
    let litres = graph.value(node);
    let numbers = format!(
        "({} − {}) ∕ ({} − {}) × {} L",
        number(level),
        number(target),
        number(level),
        number(graph.value(water.holds)),
        number(graph.value(uptake.volume))
    );
    figures
        .define(&tank.key, &key_of(parameter, "change-to-correct"), &label)
        .method("litres = (level − target) ∕ (level − new water) · V", numbers, &[])
        .inputs(&[uptake.level, water.holds, uptake.volume])
        .note(format!("in parts on {days} days or more, so that no day moves it by more than the brake of practice"))
        .finish(node);
    Some(WaterChange { litres, share, days })
}

/// The date so many days after another.
pub fn after(date: Date, days: f64) -> Date {
    date.saturating_add((days.clamp(0.0, 36_500.0).round() as i64).days())
}
