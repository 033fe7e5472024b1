//! What the tank takes up of each substance a day, by mass balance, and what it holds.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;

use super::figure::Figures;
use super::graph::{Basis, Graph, NodeId, Root, Shape};
use super::inflow::{self, Content, Inflow, moment};
use super::inputs::number;
use super::readings::SeriesPoint;
use super::water::{WINDOW_DAYS, WaterState};
use crate::record::{Parameter, Record, Tank, days_between};
use crate::science::mass_balance::{Balance, Diary, Happening, NoBalance, Reading, balance};
use crate::science::slope::slope;
use crate::science::trend::{Trend, theil_sen};
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
    /// Windows over the tank's life, oldest first.
    pub course: Vec<Stretch>,
    /// Days of each window of the course.
    pub course_days: i32,
    /// The trend of windows that do not overlap, in the unit a day, a day.
    pub course_trend: Option<Trend>,
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

/// From one reading to the next.
#[derive(Clone, Copy, Debug)]
pub struct Pair {
    pub from: Date,
    pub to: Date,
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
    let (uptake, level) = nodes(&model, &balance, &graph_inputs, &at, window, parameter, &mut figures.graph);
    let planned: Vec<String> =
        model.sources.iter().map(|&s| &inflow.sources[s]).filter(|s| s.planned).map(|s| s.name.clone()).collect();
    let found = Uptake {
        parameter,
        from: window[0].when.date(),
        to: window[window.len() - 1].when.date(),
        volume,
        sources: model.sources_used(&inflow, &graph_inputs, balance.days),
        changes: model.changes_used(&graph_inputs, balance.days),
        ledger: model.ledger(&inflow, &balance, &at),
        pairs: pairs(tank, &points, &inflow, figures.graph.value(volume)),
        course_days: course_days(&points),
        course_trend: None,
        course: Vec::new(),
        steps: steps(tank, &points, &inflow, figures.graph.value(volume)),
        uncounted: inflow.uncounted.clone(),
        planned,
        balance,
        uptake,
        level,
    };
    let found = with_course(found, tank, &points, &inflow, figures.graph.value(volume));
    define(tank, &found, &graph_inputs, &model, figures);
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

/// What can be varied: the volume, the kit's own offset, the jug, and the content of each source and new water.
struct Model {
    readings: Vec<Reading>,
    /// Sources and new waters that fall into the window.
    sources: Vec<usize>,
    changes: Vec<usize>,
    /// (day, source among `sources`, amount)
    added: Vec<(f64, usize, f64)>,
    /// (day, new water among `changes`, litres)
    changed: Vec<(f64, usize, f64)>,
    skimmed: Vec<(f64, f64)>,
}

/// Places of the inputs of [`Model::balance`].
const VOLUME: usize = 0;
const OFFSET: usize = 1;
const JUG: usize = 2;
const FIRST_CONTENT: usize = 3;

impl Model {
    fn new(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow) -> Model {
        let readings: Vec<Reading> = points
            .iter()
            .map(|point| Reading {
                day: moment(tank, point.when),
                value: point.value,
                u: point.u,
                below: point.bound == Bound::Below,
                lot: point.run,
            })
            .collect();
        let (from, to) = (readings[0].day, readings[readings.len() - 1].day);
        let within = |day: f64| day >= from && day < to;
        let sources: Vec<usize> = (0..inflow.sources.len())
            .filter(|&s| inflow.sources[s].amounts.iter().any(|(day, _)| within(*day)))
            .collect();
        let changes: Vec<usize> = (0..inflow.changes.len())
            .filter(|&c| inflow.changes[c].litres.iter().any(|(day, _)| within(*day)))
            .collect();
        let added = sources
            .iter()
            .enumerate()
            .flat_map(|(place, &s)| inflow.sources[s].amounts.iter().map(move |(day, amount)| (*day, place, *amount)))
            .filter(|(day, ..)| within(*day))
            .collect();
        let changed = changes
            .iter()
            .enumerate()
            .flat_map(|(place, &c)| inflow.changes[c].litres.iter().map(move |(day, litres)| (*day, place, *litres)))
            .filter(|(day, ..)| within(*day))
            .collect();
        let skimmed = inflow.skimmed.iter().copied().filter(|(day, _)| within(*day)).collect();
        Model { readings, sources, changes, added, changed, skimmed }
    }

    /// Adds what can be varied besides the volume, in the order in which [`Model::balance`] takes it.
    fn roots(&self, inflow: &Inflow, parameter: Parameter, graph: &mut Graph) -> Vec<NodeId> {
        let mut us: Vec<f64> = self.readings.iter().map(|reading| reading.u).collect();
        us.sort_by(f64::total_cmp);
        let unit = parameter.unit();
        let offset = inflow::root(
            "What the kit reads high throughout",
            Content {
                value: 0.0,
                u: us[us.len() / 2],
                basis: Basis::Assumed,
                place: None,
                how: "as much as one reading may be off: the record does not say which part of a kit's error repeats"
                    .into(),
            },
            unit,
        );
        let jug = inflow::root(
            "Marks of the jug",
            Content {
                value: 1.0,
                u: 0.03,
                basis: Basis::Assumed,
                place: None,
                how: "the jug's own scale, common to all water changes (common practice, no source)".into(),
            },
            "1",
        );
        let mut nodes = vec![graph.root(offset), graph.root(jug)];
        for &s in &self.sources {
            let source = &inflow.sources[s];
            let per = inflow::content_unit(parameter, source.unit);
            nodes.push(graph.root(inflow::root(
                &format!("{}, a {}", source.name, source.unit),
                source.content.clone(),
                &per,
            )));
        }
        for &c in &self.changes {
            let water = &inflow.changes[c];
            nodes.push(graph.root(inflow::root(&water.name, water.holds.clone(), unit)));
        }
        nodes
    }

    fn diary(&self, x: &[f64]) -> Result<Diary, NoBalance> {
        let volume = x[VOLUME];
        let first_new_water = FIRST_CONTENT + self.sources.len();
        let mut happenings: Vec<(f64, Happening)> =
            Vec::with_capacity(self.added.len() + self.changed.len() + self.skimmed.len());
        for &(day, source, amount) in &self.added {
            happenings.push((day, Happening::Added { raises_by: amount * x[FIRST_CONTENT + source] / volume }));
        }
        for &(day, water, litres) in &self.changed {
            let share = (litres * x[JUG] / volume).min(1.0);
            happenings.push((day, Happening::Replaced { share, holds: x[first_new_water + water].max(0.0) }));
        }
        for &(day, litres) in &self.skimmed {
            happenings.push((day, Happening::Replaced { share: (litres / volume).min(1.0), holds: 0.0 }));
        }
        Ok(Diary::new(happenings)?)
    }

    fn balance(&self, x: &[f64]) -> Result<Balance, NoBalance> {
        let readings: Vec<Reading> =
            self.readings.iter().map(|reading| Reading { value: reading.value - x[OFFSET], ..*reading }).collect();
        balance(&readings, &self.diary(x)?)
    }

    fn sources_used(&self, inflow: &Inflow, inputs: &[NodeId], days: f64) -> Vec<SourceUse> {
        let used = |place: usize| -> f64 {
            self.added.iter().filter(|(_, source, _)| *source == place).map(|(.., amount)| amount).sum()
        };
        self.sources
            .iter()
            .enumerate()
            .map(|(place, &s)| SourceUse {
                supply: inflow.sources[s].supply.clone(),
                name: inflow.sources[s].name.clone(),
                unit: inflow.sources[s].unit,
                content: inputs[FIRST_CONTENT + place],
                a_day: used(place) / days,
            })
            .collect()
    }

    fn changes_used(&self, inputs: &[NodeId], days: f64) -> Vec<ChangeUse> {
        let used = |place: usize| -> f64 {
            self.changed.iter().filter(|(_, water, _)| *water == place).map(|(.., litres)| litres).sum()
        };
        (0..self.changes.len())
            .map(|place| ChangeUse {
                holds: inputs[FIRST_CONTENT + self.sources.len() + place],
                litres_a_day: used(place) / days,
            })
            .collect()
    }

    /// What the window held, got and lost, summing to nothing.
    fn ledger(&self, inflow: &Inflow, balance: &Balance, x: &[f64]) -> Vec<LedgerLine> {
        let mut lines = vec![LedgerLine {
            what: "there at the start".into(),
            amount: balance.level_at_start,
            kind: LedgerKind::There,
        }];
        let mut came = 0.0;
        for (place, &s) in self.sources.iter().enumerate() {
            let amount: f64 =
                self.added.iter().filter(|(_, source, _)| *source == place).map(|(.., amount)| amount).sum();
            let raised = amount * x[FIRST_CONTENT + place] / x[VOLUME];
            came += raised;
            let source = &inflow.sources[s];
            lines.push(LedgerLine {
                what: format!("{}, {} {}", source.name, number(amount), source.unit),
                amount: raised,
                kind: LedgerKind::Came,
            });
        }
        let taken_up = balance.uptake * balance.days;
        // What water changes did is the rest of the sum: they carry off some of what was dosed and spare some uptake.
        let changed = balance.level_at_end - balance.level_at_start - came + taken_up;
        if !self.changed.is_empty() || !self.skimmed.is_empty() {
            let litres: f64 = self.changed.iter().map(|(.., litres)| litres).sum();
            let skimmed: f64 = self.skimmed.iter().map(|(_, litres)| litres).sum();
            let what = if skimmed > 0.0 {
                format!("water changes of {} L and {} L of skimmate", number(litres), number(skimmed))
            } else {
                format!("water changes of {} L", number(litres))
            };
            lines.push(LedgerLine { what, amount: changed, kind: LedgerKind::Changed });
        }
        lines.push(LedgerLine { what: "taken up".into(), amount: -taken_up, kind: LedgerKind::Uptake });
        lines.push(LedgerLine {
            what: "there at the end".into(),
            amount: balance.level_at_end,
            kind: LedgerKind::Left,
        });
        lines
    }
}

/// Uptake and level as nodes: linear in what can be varied (their curvature over its uncertainty is slight), with the
/// scatter that the readings leave as roots of their own.
fn nodes(
    model: &Model,
    balance: &Balance,
    inputs: &[NodeId],
    at: &[f64],
    window: &[SeriesPoint],
    parameter: Parameter,
    graph: &mut Graph,
) -> (NodeId, NodeId) {
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
    (uptake, level)
}

fn define(tank: &Tank, found: &Uptake, inputs: &[NodeId], model: &Model, figures: &mut Figures) {
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
        .inputs(inputs);
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
        .note("all readings of the window together: steadier than the latest alone")
        .decimals(parameter.decimals() + 1)
        .finish(found.level);
}

/// Days of a window of the course: about eight readings.
fn course_days(points: &[SeriesPoint]) -> i32 {
    let mut gaps: Vec<i32> =
        points.windows(2).map(|pair| days_between(pair[0].when.date(), pair[1].when.date())).collect();
    gaps.sort_unstable();
    let usual = gaps.get(gaps.len() / 2).copied().unwrap_or(7).max(1);
    (8 * usual).clamp(56, 224)
}

fn with_course(mut found: Uptake, tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Uptake {
    let days = found.course_days;
    let mut until = found.to;
    let Some(first) = points.first().map(|point| point.when.date()) else {
        return found;
    };
    while days_between(first, until) >= days / 2 {
        let from = until.saturating_sub(i64::from(days).days());
        let start = points.partition_point(|point| point.when.date() < from);
        let end = points.partition_point(|point| point.when.date() <= until);
        if let Some(stretch) = stretch(tank, &points[start..end], inflow, volume, days) {
            found.course.push(stretch);
        }
        until = until.saturating_sub(i64::from(days / 4).days());
    }
    // Every fourth window shares no reading with the one before it.
    let apart: Vec<&Stretch> = found.course.iter().step_by(4).collect();
    let times: Vec<f64> = apart.iter().map(|stretch| f64::from(days_between(first, stretch.to))).collect();
    let values: Vec<f64> = apart.iter().map(|stretch| stretch.uptake).collect();
    found.course_trend = theil_sen(&times, &values).ok();
    found.course.reverse();
    found
}

fn stretch(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64, days: i32) -> Option<Stretch> {
    let (first, last) = (points.first()?, points.last()?);
    if points.len() < 4 || days_between(first.when.date(), last.when.date()) < days / 2 {
        return None;
    }
    let (balance, u) = of_points(tank, points, inflow, volume)?;
    Some(Stretch { from: first.when.date(), to: last.when.date(), uptake: balance.uptake, u })
}

/// The balance of some readings, and the standard uncertainty of its uptake with that of what came.
fn of_points(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Option<(Balance, f64)> {
    let model = Model::new(tank, points, inflow);
    let mut at = vec![volume, 0.0, 1.0];
    let mut us = vec![0.0, 0.0, 0.03];
    let contents = model.sources.iter().map(|&s| &inflow.sources[s].content);
    for content in contents.chain(model.changes.iter().map(|&c| &inflow.changes[c].holds)) {
        at.push(content.value);
        us.push(content.u);
    }
    let balance = model.balance(&at).ok()?;
    let formula = |x: &[f64]| model.balance(x).map_or(f64::NAN, |balance| balance.uptake);
    let parts = (0..at.len()).filter(|&place| us[place] > 0.0).map(|place| {
        let effect = slope(&formula, &at, place, us[place]) * us[place];
        if effect.is_finite() { effect * effect } else { 0.0 }
    });
    let u = (balance.uptake_u.powi(2) + parts.sum::<f64>()).sqrt();
    Some((balance, u))
}

/// Reading to reading of one lot, those that the kit could see.
fn pairs(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Vec<Pair> {
    points
        .windows(2)
        .filter(|pair| pair.iter().all(|point| point.bound == Bound::Exactly) && pair[0].run == pair[1].run)
        .filter_map(|pair| {
            let (balance, u) = of_points(tank, pair, inflow, volume)?;
            let model = Model::new(tank, pair, inflow);
            let came: f64 = model
                .added
                .iter()
                .map(|&(_, source, amount)| amount * inflow.sources[model.sources[source]].content.value / volume)
                .sum();
            Some(Pair {
                from: pair[0].when.date(),
                to: pair[1].when.date(),
                was: pair[0].value,
                came,
                changed: balance.carried.concentration(pair[0].value, 0.0) - pair[0].value - came,
                is: pair[1].value,
                uptake: balance.uptake,
                u,
            })
        })
        .collect()
}

/// Readings so many days either side of a change of lot tell what it did.
const STEP_DAYS: i32 = 90;

fn steps(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow, volume: f64) -> Vec<Step> {
    let mut found = Vec::new();
    for place in 1..points.len() {
        let (old, new) = (points[place - 1].run, points[place].run);
        if old == new {
            continue;
        }
        let date = points[place].when.date();
        let near: Vec<SeriesPoint> = points
            .iter()
            .filter(|point| point.run == old || point.run == new)
            .filter(|point| days_between(point.when.date(), date).abs() <= STEP_DAYS)
            .cloned()
            .collect();
        let of = |run: usize| near.iter().filter(|point| point.run == run && point.bound == Bound::Exactly).count();
        // One reading of a lot says as much of the tank as of the lot.
        if of(old) < 2 || of(new) < 2 {
            continue;
        }
        let Some((balance, _)) = of_points(tank, &near, inflow, volume) else { continue };
        if let Some((_, offset, u)) = balance.offsets.iter().find(|(lot, ..)| *lot == old) {
            found.push(Step { date, reads_more: -offset, u: *u });
        }
    }
    found
}
