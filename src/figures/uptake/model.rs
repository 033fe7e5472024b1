//! A window's readings and what came and went beside them, as the balance takes them.

use super::{ChangeUse, LedgerKind, LedgerLine, SourceUse};
use crate::figures::budget::JUG_SCALE;
use crate::figures::graph::{Basis, Graph, NodeId};
use crate::figures::inflow::{self, Content, Inflow, moment};
use crate::figures::inputs::number;
use crate::figures::readings::SeriesPoint;
use crate::record::{Parameter, Tank};
use crate::science::mass_balance::{Balance, Diary, Happening, NoBalance, Reading, balance};
use crate::science::slope::slope;
use crate::units::Bound;

/// What can be varied: the volume, the kit's own offset, the jug, and the content of each source and new water.
pub(super) struct Model {
    readings: Vec<Reading>,
    /// Sources and new waters that fall into the window.
    pub sources: Vec<usize>,
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
    pub fn new(tank: &Tank, points: &[SeriesPoint], inflow: &Inflow) -> Model {
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
    pub fn roots(&self, inflow: &Inflow, parameter: Parameter, graph: &mut Graph) -> Vec<NodeId> {
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
                u: JUG_SCALE,
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

    pub fn balance(&self, x: &[f64]) -> Result<Balance, NoBalance> {
        let readings: Vec<Reading> =
            self.readings.iter().map(|reading| Reading { value: reading.value - x[OFFSET], ..*reading }).collect();
        balance(&readings, &self.diary(x)?)
    }

    /// How much of one of `sources` was given.
    fn given(&self, place: usize) -> f64 {
        self.added.iter().filter(|(_, source, _)| *source == place).map(|(.., amount)| amount).sum()
    }

    /// What all sources brought to a litre.
    pub fn came(&self, inflow: &Inflow, volume: f64) -> f64 {
        let brought = |(place, &s): (usize, &usize)| self.given(place) * inflow.sources[s].content.value / volume;
        self.sources.iter().enumerate().map(brought).sum()
    }

    pub fn sources_used(&self, inflow: &Inflow, inputs: &[NodeId], days: f64) -> Vec<SourceUse> {
        self.sources
            .iter()
            .enumerate()
            .map(|(place, &s)| SourceUse {
                supply: inflow.sources[s].supply.clone(),
                name: inflow.sources[s].name.clone(),
                unit: inflow.sources[s].unit,
                content: inputs[FIRST_CONTENT + place],
                a_day: self.given(place) / days,
            })
            .collect()
    }

    pub fn changes_used(&self, inputs: &[NodeId], days: f64) -> Vec<ChangeUse> {
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
    pub fn ledger(&self, inflow: &Inflow, balance: &Balance, x: &[f64]) -> Vec<LedgerLine> {
        let mut lines = vec![LedgerLine {
            what: "there at the start".into(),
            amount: balance.level_at_start,
            kind: LedgerKind::There,
        }];
        let mut came = 0.0;
        for (place, &s) in self.sources.iter().enumerate() {
            let amount = self.given(place);
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
        let changed = balance.by_changes(came);
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

/// The balance of some readings, and the standard uncertainty of its uptake with that of what came.
pub(super) fn balanced(
    tank: &Tank,
    points: &[SeriesPoint],
    inflow: &Inflow,
    volume: f64,
) -> Option<(Model, Balance, f64)> {
    let model = Model::new(tank, points, inflow);
    let mut at = vec![volume, 0.0, 1.0];
    let mut us = vec![0.0, 0.0, JUG_SCALE];
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
    Some((model, balance, u))
}
