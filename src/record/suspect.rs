//! Readings that look as if they were written in another unit or form than they say: single values that stand apart from
//! their steady neighbours by just the factor between two units.

use std::collections::BTreeMap;

use super::fields::Context;
use super::parse::log::ion_value;
use super::{Parameter, Reading, Tank};
use crate::diagnostic::{Kind, Place};
use crate::units::{self, Bound, Dimension, Species};

/// How many readings on either side are looked at.
const NEIGHBOURS: usize = 4;
/// Neighbours further apart than this factor are no steady ground.
const STEADY: f64 = 1.6;
/// A value this near (as a factor) to what the other unit would give.
const NEAR: f64 = 1.25;
/// One that a common change could bring about is left alone.
const LEAST: f64 = 2.2;

/// One reading as it is compared.
struct Seen<'r> {
    value: f64,
    reading: &'r Reading,
}

/// Warns of every reading of a tank that looks mislabelled.
pub fn look(tank: &Tank, context: &mut Context) {
    let mut series: BTreeMap<Parameter, Vec<Seen>> = BTreeMap::new();
    for entry in &tank.entries {
        for reading in &entry.readings {
            let value = ion_value(&reading.quantity, None);
            if reading.bound == Bound::Exactly && reading.quantity.dimension == reading.parameter.dimension() {
                series.entry(reading.parameter).or_default().push(Seen { value, reading });
            }
        }
    }
    for (parameter, series) in series {
        let others = other_units(parameter);
        if others.is_empty() {
            continue;
        }
        for place in 0..series.len() {
            if let Some((kind, at)) = suspect(parameter, &series, place, &others) {
                context.note(kind, at);
            }
        }
    }
}

fn suspect<'s>(parameter: Parameter, series: &'s [Seen], place: usize, others: &[Other]) -> Option<(Kind, &'s Place)> {
    let this = &series[place];
    let before = &series[place.saturating_sub(NEIGHBOURS)..place];
    let after = &series[place + 1..(place + 1 + NEIGHBOURS).min(series.len())];
    let mut around: Vec<f64> = before.iter().chain(after).map(|seen| seen.value).filter(|value| *value > 0.0).collect();
    // The newest reading has no neighbours after it, the first none before it: one side must do, if it is full.
    if around.len() < NEIGHBOURS || this.value <= 0.0 {
        return None;
    }
    around.sort_by(f64::total_cmp);
    let middle = around[around.len() / 2];
    if around[around.len() - 1] > STEADY * around[0] {
        return None;
    }
    let off = this.value / middle;
    if off.max(1.0 / off) < LEAST {
        return None;
    }
    let typed = this.reading.quantity.typed;
    let other = others.iter().find(|other| {
        let would_be = typed * other.factor / middle;
        would_be.max(1.0 / would_be) <= NEAR
    })?;
    let digits = usize::from(parameter.decimals()).max(1);
    let kind = Kind::LooksMislabelled {
        quantity: parameter.key().into(),
        read_as: format!("{} {}", fixed(this.value, digits), parameter.unit()),
        usual: format!("{} {}", fixed(middle, digits), parameter.unit()),
        would_be: format!("{} {}", fixed(typed * other.factor, digits), parameter.unit()),
        suggestion: format!("{typed} {}", other.unit),
    };
    Some((kind, &this.reading.place))
}

fn fixed(value: f64, digits: usize) -> String {
    format!("{value:.digits$}")
}

/// A unit or form in which the number may have been read, and what a number in it must be multiplied by for the
/// parameter's own unit.
struct Other {
    unit: &'static str,
    factor: f64,
}

fn other_units(parameter: Parameter) -> Vec<Other> {
    let other = |unit: &'static str, factor: f64| Other { unit, factor };
    // Hardness kits print calcium and magnesium as calcium carbonate.
    let as_carbonate = |species: Species| {
        let factor = species.molar_mass() / Species::CalciumCarbonate.molar_mass();
        vec![other("mg/L", 1.0), other("mg/L CaCO3", factor)]
    };
    match parameter {
        Parameter::Nitrate => {
            vec![other("mg/L NO3", 1.0), other("mg/L NO3-N", Species::NitrateN.factor_to_canonical())]
        }
        Parameter::Phosphate => {
            vec![other("mg/L PO4", 1.0), other("mg/L P", Species::PhosphateP.factor_to_canonical())]
        }
        Parameter::Alkalinity => {
            let factor = |unit: &'static str| units::parse(&format!("1 {unit}"), &[Dimension::Alkalinity], None);
            let units = ["dKH", "meq/L", "mg/L CaCO3"].into_iter();
            units.filter_map(|unit| factor(unit).ok().map(|one| other(unit, one.value))).collect()
        }
        Parameter::Calcium => as_carbonate(Species::Calcium),
        Parameter::Magnesium => as_carbonate(Species::Magnesium),
        _ => Vec::new(),
    }
}
