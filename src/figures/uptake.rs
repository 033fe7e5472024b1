//! What the tank takes up of each substance a day, by mass balance, and what it holds.

mod course;
mod model;

use std::collections::BTreeMap;

use jiff::civil::Date;

use model::Model;

use super::figure::Figures;
use super::graph::{Basis, Graph, NodeId, Root, Shape};
use super::inflow;
use super::inputs::number;
use super::readings::SeriesPoint;
use super::water::{WINDOW_DAYS, WaterState};
use crate::record::{Parameter, Record, Tank, days_between};
use crate::science::mass_balance::Balance;
use crate::science::slope::slope;
use crate::science::trend::Trend;
use crate::units::Bound;

/// Substances that are taken up and dosed.
pub const BALANCED: [Parameter; 8] = [
    Parameter::Alkalinity,
    Parameter::Calcium,
    Parameter::Magnesium,
    Parameter::Potassium,
    Parameter::Nitrate,
    Parameter::Phosphate,
    Parameter::Iron,
    Parameter::Silicate,
];

/// A window reaches back until it holds this many readings, at most so many days.
const WANTED: usize = 6;
const LONGEST_DAYS: i32 = 240;
/// Fewer readings, or over fewer days, make no balance.
const FEWEST: usize = 3;
const SHORTEST_DAYS: i32 = 14;

/// The balance of one substance.
#[derive(Clone, Debug)]
pub struct Uptake {
    pub parameter: Parameter,
    /// First and last reading of the window.
    pub from: Date,
    pub to: Date,
    pub balance: Balance,
    /// Per day, in the parameter's own unit.
    pub uptake: NodeId,
    /// At the last reading.
    pub level: NodeId,
    pub volume: NodeId,
    /// What brought some within the window.
    pub sources: Vec<SourceUse>,
    pub changes: Vec<ChangeUse>,
    pub ledger: Vec<LedgerLine>,
    pub course: Course,
    /// Reading to reading, newest last.
    pub pairs: Vec<Pair>,
    /// What a new kit or lot reads more than the one before it.
    pub steps: Vec<Step>,
    pub uncounted: Vec<String>,
    /// Names of supplies whose plan was taken as given.
    pub planned: Vec<String>,
}

/// A source as the window used it.
#[derive(Clone, Debug)]
pub struct SourceUse {
    pub supply: String,
    pub name: String,
    pub unit: &'static str,
    /// What one unit brings to a litre.
    pub content: NodeId,
    /// In `unit`.
    pub a_day: f64,
}

/// New water as the window used it.
#[derive(Clone, Debug)]
pub struct ChangeUse {
    pub holds: NodeId,
    pub litres_a_day: f64,
}

/// One line of what was there, what came and what went, over the window, in the parameter's own unit.
#[derive(Clone, Debug)]
pub struct LedgerLine {
    pub what: String,
    pub amount: f64,
    pub kind: LedgerKind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LedgerKind {
    There,
    Came,
    Changed,
    Uptake,
    Left,
}

/// The uptake over the tank's life.
#[derive(Clone, Debug)]
pub struct Course {
    /// Windows, oldest first; each shares readings with its neighbours.
    pub stretches: Vec<Stretch>,
    /// Days of each window.
    pub days: i32,
    /// The trend of windows that share none, in the unit a day, a day.
    pub trend: Option<Trend>,
}

/// The uptake over one window.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    pub from: Date,
    pub to: Date,
    pub uptake: f64,
    pub u: f64,
}

/// A change of kit or lot, and what the new one reads more than the old on the same water.
#[derive(Clone, Copy, Debug)]
pub struct Step {
    pub date: Date,
    pub reads_more: f64,
    pub u: f64,
}

/// From one reading to the next: was + came + changed − is = uptake · days.
#[derive(Clone, Copy, Debug)]
pub struct Pair {
    pub from: Date,
    pub to: Date,
    /// With the hours.
    pub days: f64,
    pub was: f64,
    pub came: f64,
    pub changed: f64,
    pub is: f64,
    pub uptake: f64,
    pub u: f64,
}

/// Works out the balance of every substance that the readings allow.
pub fn work_out(
    record: &Record,
    tank: &Tank,
    volume: Option<NodeId>,
    water: &BTreeMap<Parameter, WaterState>,
    figures: &mut Figures,
) -> BTreeMap<Parameter, Uptake> {
    let mut found = BTreeMap::new();
    for parameter in BALANCED {
        let Some(state) = water.get(&parameter).filter(|state| !state.series.points.is_empty()) else {
            continue;
        };
        let key = format!("water.{}.uptake", parameter.key());
        let label = format!("Uptake of {} a day", parameter.shown().to_lowercase());
        match of_one(record, tank, volume, state, figures) {
            Ok(uptake) => {
                found.insert(parameter, uptake);
            }
            Err(what) => figures.miss(&tank.key, &key, &label, what),
        }
    }
    found
}

fn of_one(
    record: &Record,
    tank: &Tank,
    volume: Option<NodeId>,
    state: &WaterState,
    figures: &mut Figures,
) -> Result<Uptake, String> {
    let parameter = state.parameter;
    let points: Vec<SeriesPoint> = state
        .series
        .by_day()
        .into_iter()
        .filter(|point| point.bound != Bound::Above && !point.off_hour && point.u > 0.0)
        .collect();
    let window = window(&points, record.as_of)?;
    let Some(volume) = volume else {
        return Err("the water's volume: `water: 75 L, counted at fill` in tank.yaml".into());
    };
    let inflow = inflow::inflow(record, tank, parameter);
    let model = Model::new(tank, window, &inflow);
    let mut graph_inputs = vec![volume];
    graph_inputs.extend(model.roots(&inflow, parameter, &mut figures.graph));
    let at: Vec<f64> = graph_inputs.iter().map(|&node| figures.graph.value(node)).collect();
    let balance = model.balance(&at).map_err(|why| why.to_string())?;
    let ([uptake, level], scatter) = nodes(&model, &balance, &graph_inputs, &at, window, parameter, &mut figures.graph);
    let planned: Vec<String> =
        model.sources.iter().map(|&s| &inflow.sources[s]).filter(|s| s.planned).map(|s| s.name.clone()).collect();
    let litres = figures.graph.value(volume);
    let course = Course::of(tank, &points, &inflow, litres);
    let found = Uptake {
        parameter,
        from: window[0].when.date(),
        to: window[window.len() - 1].when.date(),
        volume,
        sources: model.sources_used(&inflow, &graph_inputs, balance.days),
        changes: model.changes_used(&graph_inputs, balance.days),
        ledger: model.ledger(&inflow, &balance, &at),
        pairs: course::pairs(tank, &points, &inflow, litres),
        course,
        steps: course::steps(tank, &points, &inflow, litres),
        uncounted: inflow.uncounted.clone(),
        planned,
        balance,
        uptake,
        level,
    };
    define(tank, &found, &graph_inputs, scatter, &model, figures);
    Ok(found)
}

/// The last sixty days, or as far back as six readings reach.
fn window(points: &[SeriesPoint], as_of: Date) -> Result<&[SeriesPoint], String> {
    let since = |days: i32| points.partition_point(|point| days_between(point.when.date(), as_of) >= days);
    let of_sixty = since(WINDOW_DAYS);
    let start = of_sixty.min(points.len().saturating_sub(WANTED)).max(since(LONGEST_DAYS));
    let window = &points[start..];
    let seen = window.iter().filter(|point| point.bound == Bound::Exactly).count();
    let days = match (window.first(), window.last()) {
        (Some(first), Some(last)) => days_between(first.when.date(), last.when.date()),
        _ => 0,
    };
    if seen < FEWEST || days < SHORTEST_DAYS {
        return Err(format!(
            "{FEWEST} readings that the kit can see, over {SHORTEST_DAYS} days within the last {LONGEST_DAYS}; there are {seen} over {days} days"
        ));
    }
    if of_sixty == points.len() {
        return Err(format!("a reading within the last {WINDOW_DAYS} days"));
    }
    Ok(window)
}

/// Uptake and level as nodes: linear in what can be varied (their curvature over its uncertainty is slight), with the
/// scatter that the readings leave as roots of their own, which are given back beside them.
fn nodes(
    model: &Model,
    balance: &Balance,
    inputs: &[NodeId],
    at: &[f64],
    window: &[SeriesPoint],
    parameter: Parameter,
    graph: &mut Graph,
) -> ([NodeId; 2], [NodeId; 2]) {
    let unit = parameter.unit();
    let a_day = format!("{unit} a day");
    let mut scatter = |label: &str, u: f64, unit: &str| {
        graph.root(Root {
            label: label.into(),
            value: 0.0,
            uncertainty: u,
            unit: unit.into(),
            basis: Basis::Measured,
            places: window.iter().map(|point| point.place.clone()).collect(),
            shape: Shape::Normal,
            private: false,
            note: Some(format!("{} readings by day, each with the uncertainty of its kit", window.len())),
            source: None,
        })
    };
    let of_uptake = scatter("What the readings leave open of the uptake", balance.uptake_u, &a_day);
    let of_level = scatter("What the readings leave open of the level", balance.level_at_end_u, unit);
    if balance.correlation.is_finite() {
        graph.correlate(of_uptake, of_level, balance.correlation);
    }
    let mut linear = |label: String, unit: &str, value: f64, scatter: NodeId, of: &dyn Fn(&Balance) -> f64| {
        let formula = |x: &[f64]| model.balance(x).map_or(f64::NAN, |balance| of(&balance));
        let mut terms = vec![(scatter, 1.0)];
        let mut rest = value;
        for (place, &input) in inputs.iter().enumerate() {
            let weight = slope(&formula, at, place, graph.uncertainty(input));
            if weight.is_finite() && weight != 0.0 {
                terms.push((input, weight));
                rest -= weight * at[place];
            }
        }
        terms.push((graph.exact(rest), 1.0));
        graph.linear(&label, unit, &terms)
    };
    let name = parameter.shown().to_lowercase();
    let uptake =
        linear(format!("Uptake of {name} a day"), &a_day, balance.uptake, of_uptake, &|balance| balance.uptake);
    let level = linear(format!("Level of {name}"), unit, balance.level_at_end, of_level, &|b| b.level_at_end);
    ([uptake, level], [of_uptake, of_level])
}

fn define(
    tank: &Tank,
    found: &Uptake,
    inputs: &[NodeId],
    [of_uptake, of_level]: [NodeId; 2],
    model: &Model,
    figures: &mut Figures,
) {
    let parameter = found.parameter;
    let unit = parameter.unit();
    let balance = &found.balance;
    let key = format!("water.{}.uptake", parameter.key());
    let label = format!("Uptake of {} a day", parameter.shown().to_lowercase());
    let came: f64 = found.ledger.iter().filter(|line| line.kind == LedgerKind::Came).map(|line| line.amount).sum();
    let changed: f64 =
        found.ledger.iter().filter(|line| line.kind == LedgerKind::Changed).map(|line| line.amount).sum();
    let numbers = format!(
        "({} + {} {} − {}) {unit} ∕ {} days = {} a day, by least squares over {} readings from {} to {}",
        number(balance.level_at_start),
        number(came),
        number(changed).strip_prefix('−').map_or(format!("+ {}", number(changed)), |size| format!("− {size}")),
        number(balance.level_at_end),
        number(balance.days),
        number(balance.uptake),
        balance.readings,
        found.from,
        found.to,
    );
    let sources = &["aitken_1935", "tobin_1958", "birge_1932"];
    let mut built = figures
        .define(&tank.key, &key, &label)
        .method("u = (there + came + by water changes − there now) ∕ days", numbers, sources)
        .inputs(inputs)
        .inputs(&[of_uptake]);
    if balance.below > 0 {
        built = built.note(format!(
            "{} of the readings are below what the kit sees: they count as that, not as nothing",
            balance.below
        ));
    }
    if balance.excess_scatter > 1.0 {
        built = built.note(format!(
            "the readings scatter {:.1} times as much as their kits explain; the uncertainty is widened by that",
            balance.excess_scatter
        ));
    }
    if !found.planned.is_empty() {
        built = built.note(format!("no dose of {} was logged: the plan is taken as given", found.planned.join(", ")));
    }
    for what in &found.uncounted {
        built = built.note(format!("not counted for want of {what}"));
    }
    if model.sources.is_empty() {
        built = built.note("nothing is recorded to have brought any: this is the loss alone");
    }
    if matches!(parameter, Parameter::Nitrate | Parameter::Phosphate) {
        built = built
            .note("all that leaves the water: taken up, harvested, skimmed, bound by rock and media, or broken down");
    }
    built.finish(found.uptake);
    let numbers = format!("{} {unit} on {}, on the scale of the latest lot", number(balance.level_at_end), found.to);
    figures
        .define(
            &tank.key,
            &format!("water.{}.level", parameter.key()),
            &format!("Level of {} by balance", parameter.shown().to_lowercase()),
        )
        .method("c = P·c₀ + a − T·u at the last reading", numbers, sources)
        .inputs(inputs)
        .inputs(&[of_level])
        .note("all readings of the window together: steadier than the latest alone")
        .decimals(parameter.decimals() + 1)
        .finish(found.level);
}
