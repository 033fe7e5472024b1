//! What came into a tank's water and what left with it, of one substance: doses, food, new water, top-off, skimmate.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use super::graph::{Basis, Root, Shape};
use crate::diagnostic::Place;
use crate::record::entry::Amount;
use crate::record::supply::{Supply, SupplyKind};
use crate::record::upkeep::Plan;
use crate::record::{Parameter, Record, Tank, days_between, ion_value};
use crate::science::compounds::formula_of;
use crate::science::stoichiometry::{alkalinity_rise, ion_rise_mg_per_l};
use crate::units::{Dimension, Mass, Species, Volume};

/// What one millilitre, gram or litre brings, times the litres it is spread through, in the parameter's own unit.
#[derive(Clone, Debug)]
pub struct Content {
    pub value: f64,
    /// Standard uncertainty, with that of measuring the dose out.
    pub u: f64,
    pub basis: Basis,
    pub place: Option<Place>,
    /// Where the number comes from, in words.
    pub how: String,
}

/// One thing that brings the substance.
#[derive(Clone, Debug)]
pub struct Source {
    /// Key of the supply; empty for the top-off water.
    pub supply: String,
    pub name: String,
    pub content: Content,
    /// Moments and amounts in `unit`.
    pub amounts: Vec<(f64, f64)>,
    /// `mL`, `g` or `L`.
    pub unit: &'static str,
    /// Taken from the plan, since no dose was logged.
    pub planned: bool,
}

/// Water changes with one kind of new water.
#[derive(Clone, Debug)]
pub struct NewWater {
    pub name: String,
    pub holds: Content,
    /// Moments and litres.
    pub litres: Vec<(f64, f64)>,
}

/// All that came and went over the tank's life. Moments are days since it was filled.
#[derive(Clone, Debug, Default)]
pub struct Inflow {
    pub sources: Vec<Source>,
    pub changes: Vec<NewWater>,
    /// Moments and litres of tank water that the skimmer took.
    pub skimmed: Vec<(f64, f64)>,
    /// What was given and could not be counted, and what to write down so that it can.
    pub uncounted: Vec<String>,
}

/// Days since the tank was filled.
pub fn moment(tank: &Tank, when: DateTime) -> f64 {
    let hours = f64::from(when.hour()) + f64::from(when.minute()) / 60.0;
    f64::from(days_between(tank.started.value, when.date())) + hours / 24.0
}

fn noon(tank: &Tank, date: Date) -> f64 {
    f64::from(days_between(tank.started.value, date)) + 0.5
}

/// A dose as given: when, how much in the canonical unit, and what kind of amount it is.
type Dose = (f64, f64, Dimension);

/// Gathers what the record tells of one substance.
pub fn inflow(record: &Record, tank: &Tank, parameter: Parameter) -> Inflow {
    let mut found = Inflow::default();
    let mut given: BTreeMap<&str, Vec<Dose>> = BTreeMap::new();
    for entry in &tank.entries {
        let at = moment(tank, entry.when);
        for amount in entry.doses.iter().chain(&entry.feeds) {
            given.entry(&amount.of.value).or_default().extend(spread(amount, at));
        }
        if let Some(skimmate) = &entry.skimmate {
            found.skimmed.push((at, skimmate.value.value));
        }
    }
    let plans: Vec<&Plan> = tank.upkeep.feeding.iter().chain(&tank.upkeep.dosing).collect();
    for (key, supply) in &record.supplies {
        match given.get(key.as_str()) {
            Some(doses) => add_source(supply, parameter, doses, false, &mut found),
            None => {
                // Where no dose was ever logged the plan is all there is; where some were, silence means none.
                let doses = planned(record, tank, key, &plans);
                if !doses.is_empty() {
                    add_source(supply, parameter, &doses, true, &mut found);
                }
            }
        }
    }
    top_off(tank, parameter, record.as_of, &mut found);
    changes(record, tank, parameter, &mut found);
    found
}

/// A total over seven days is seven doses, the last half a day before the entry.
fn spread(amount: &Amount, at: f64) -> Vec<Dose> {
    let quantity = &amount.amount.value;
    let days = amount.over_days.round().clamp(1.0, 400.0);
    if days <= 1.0 {
        return vec![(at, quantity.value, quantity.dimension)];
    }
    (0..days as u32).map(|day| (at - f64::from(day) - 0.5, quantity.value / days, quantity.dimension)).collect()
}

/// The doses of a plan, each plan until the next one of the same supply.
fn planned(record: &Record, tank: &Tank, supply: &str, plans: &[&Plan]) -> Vec<Dose> {
    let mut own: Vec<&&Plan> = plans.iter().filter(|plan| plan.of.value == supply).collect();
    own.sort_by_key(|plan| plan.since);
    let mut doses = Vec::new();
    for (place, plan) in own.iter().enumerate() {
        let from = noon(tank, plan.since.unwrap_or(tank.started.value).max(tank.started.value));
        let until = own.get(place + 1).and_then(|next| next.since).unwrap_or(record.as_of);
        let until = noon(tank, until.min(record.as_of));
        let mut at = from;
        while at < until && plan.every_days > 0.0 && plan.amount.value.value > 0.0 {
            doses.push((at, plan.amount.value.value, plan.amount.value.dimension));
            at += plan.every_days;
        }
    }
    doses
}

fn add_source(supply: &Supply, parameter: Parameter, doses: &[Dose], planned: bool, found: &mut Inflow) {
    for (dimension, unit, factor) in [(Dimension::Volume, "mL", 1000.0), (Dimension::Mass, "g", 1.0)] {
        let amounts: Vec<(f64, f64)> =
            doses.iter().filter(|(_, _, of)| *of == dimension).map(|(at, amount, _)| (*at, amount * factor)).collect();
        if amounts.is_empty() {
            continue;
        }
        match content(supply, parameter, dimension) {
            Known::Brings(content) => found.sources.push(Source {
                supply: supply.key.clone(),
                name: supply.name.value.clone(),
                content,
                amounts,
                unit,
                planned,
            }),
            Known::Nothing => {}
            Known::Untold(what) => found.uncounted.push(what),
        }
    }
}

/// What the record tells of a supply's content of one substance.
pub enum Known {
    Brings(Content),
    /// It holds none, or is of a kind that has nothing to do with it.
    Nothing,
    /// It may well bring some, and the record does not say how much.
    Untold(String),
}

/// Standard uncertainty of what a dose brings, as a share: the stock's strength by kitchen scale and jug, and the
/// syringe or dosing head (2 % and 3 %; common practice, no source).
const OF_A_DOSE: f64 = 0.036;
/// The same of a dose whose effect the keeper watched in the tank (5 %; common practice, no source).
const OF_A_WATCHED_DOSE: f64 = 0.06;
/// The same of a food's printed nitrogen or phosphorus and a spoon (10 %; common practice, no source).
const OF_FOOD: f64 = 0.10;
/// Salt mixes differ from tub to tub (5 %; common practice, no source).
const OF_SALT: f64 = 0.05;

/// mg NO₃ for a mg of nitrogen, and mg PO₄ for a mg of phosphorus.
pub fn per_element(parameter: Parameter) -> f64 {
    match parameter {
        Parameter::Nitrate => Species::NitrateN.factor_to_canonical(),
        Parameter::Phosphate => Species::PhosphateP.factor_to_canonical(),
        _ => 1.0,
    }
}

/// What a millilitre or a gram of a supply brings.
pub fn content(supply: &Supply, parameter: Parameter, dimension: Dimension) -> Known {
    let place = |of: &Place| Some(of.clone());
    if supply.kind.value == SupplyKind::Food {
        let share = match parameter {
            Parameter::Nitrate => &supply.nitrogen,
            Parameter::Phosphate => &supply.phosphorus,
            _ => return Known::Nothing,
        };
        let element = if parameter == Parameter::Nitrate { "nitrogen" } else { "phosphorus" };
        return match share {
            Some(share) if dimension == Dimension::Mass => Known::Brings(Content {
                value: 1000.0 * share.value * per_element(parameter),
                u: OF_FOOD * 1000.0 * share.value * per_element(parameter),
                basis: Basis::Stated,
                place: place(&share.place),
                how: format!("its {element}, all of it counted"),
            }),
            _ => Known::Untold(format!("`{element}: 7 %` in supplies/{}.yaml, and the food weighed", supply.key)),
        };
    }
    if let Some(raise) = supply.raises.get(&parameter).filter(|raise| raise.value.dose.dimension == dimension) {
        let dose = raise.value.dose.value * if dimension == Dimension::Volume { 1000.0 } else { 1.0 };
        let value = raise.value.by * raise.value.litres / dose;
        return Known::Brings(Content {
            value,
            u: OF_A_WATCHED_DOSE * value,
            basis: Basis::Measured,
            place: place(&raise.place),
            how: "as the keeper found it to raise the water".into(),
        });
    }
    if let Some(strength) = supply.strength.get(&parameter).filter(|_| dimension == Dimension::Volume) {
        let value = ion_value(&strength.value, None) / 1000.0;
        let own = strength.value.uncertainty.map(|u| u / 1000.0);
        return Known::Brings(Content {
            value,
            u: own.map_or(OF_A_DOSE * value, |own| own.hypot(0.03 * value)),
            basis: Basis::Stated,
            place: place(&strength.place),
            how: "its stated strength".into(),
        });
    }
    by_formula(supply, parameter, dimension)
}

/// From what a stock was mixed from, or from what a powder is.
fn by_formula(supply: &Supply, parameter: Parameter, dimension: Dimension) -> Known {
    let (substance, grams_per_unit) = match (&supply.made_of, &supply.substance, dimension) {
        (Some(made), _, Dimension::Volume) => {
            (&made.substance, made.mass.value.value / (made.volume.value.value * 1000.0))
        }
        (_, Some(substance), Dimension::Mass) => (substance, 1.0),
        _ => return Known::Nothing,
    };
    let Some(formula) = formula_of(&substance.value) else {
        return Known::Nothing;
    };
    let (one_gram, one_litre) = (Mass::grams(grams_per_unit), Volume::litres(1.0));
    let rise = match parameter {
        Parameter::Alkalinity => alkalinity_rise(formula, one_gram, one_litre).map(|rise| rise.dkh),
        Parameter::Nitrate => ion_rise_mg_per_l(formula, "NO3", one_gram, one_litre),
        Parameter::Phosphate => ion_rise_mg_per_l(formula, "PO4", one_gram, one_litre),
        Parameter::Calcium => ion_rise_mg_per_l(formula, "Ca", one_gram, one_litre),
        Parameter::Magnesium => ion_rise_mg_per_l(formula, "Mg", one_gram, one_litre),
        Parameter::Potassium => ion_rise_mg_per_l(formula, "K", one_gram, one_litre),
        Parameter::Iron => ion_rise_mg_per_l(formula, "Fe", one_gram, one_litre),
        _ => return Known::Nothing,
    };
    match rise {
        Ok(value) => Known::Brings(Content {
            value,
            u: OF_A_DOSE * value,
            basis: Basis::Computed,
            place: Some(substance.place.clone()),
            how: format!("worked out from {formula}"),
        }),
        Err(_) => Known::Nothing,
    }
}

fn top_off(tank: &Tank, parameter: Parameter, as_of: Date, found: &mut Inflow) {
    let Some(holds) = tank.top_off_water.get(&parameter) else {
        return;
    };
    let Some(stretch) = holds.at(as_of) else {
        return;
    };
    let amounts: Vec<(f64, f64)> = tank
        .entries
        .iter()
        .filter_map(|entry| entry.top_off.as_ref().map(|top| (moment(tank, entry.when), top.value.value)))
        .collect();
    if stretch.value > 0.0 && !amounts.is_empty() {
        found.sources.push(Source {
            supply: String::new(),
            name: "Top-off water".into(),
            content: Content {
                value: stretch.value,
                u: 0.1 * stretch.value,
                basis: Basis::Measured,
                place: Some(stretch.place.clone()),
                how: "what the keeper read in the top-off water".into(),
            },
            amounts,
            unit: "L",
            planned: false,
        });
    }
}

/// What new water is taken to hold where no salt's strength is recorded: limits between which mixes lie (common
/// practice, no source).
fn usual_of_new_water(parameter: Parameter) -> (f64, f64) {
    match parameter {
        Parameter::Alkalinity => (7.0, 12.0),
        Parameter::Calcium => (380.0, 480.0),
        Parameter::Magnesium => (1200.0, 1450.0),
        Parameter::Potassium => (350.0, 430.0),
        Parameter::Nitrate => (0.0, 1.0),
        Parameter::Phosphate => (0.0, 0.03),
        Parameter::Iron => (0.0, 0.01),
        _ => (0.0, 0.5),
    }
}

fn changes(record: &Record, tank: &Tank, parameter: Parameter, found: &mut Inflow) {
    let salts: Vec<&Supply> = record.supplies.values().filter(|supply| supply.kind.value == SupplyKind::Salt).collect();
    let usual = tank.salt.as_ref().and_then(|salt| record.supplies.get(&salt.value)).or(match salts[..] {
        [only] => Some(only),
        _ => None,
    });
    let mut by_salt: BTreeMap<Option<&str>, Vec<(f64, f64)>> = BTreeMap::new();
    for entry in &tank.entries {
        if let Some(change) = &entry.water_change {
            let salt = change.salt.as_ref().and_then(|salt| record.supplies.get(&salt.value)).or(usual);
            let moment = (moment(tank, entry.when), change.volume.value.value);
            by_salt.entry(salt.map(|salt| salt.key.as_str())).or_default().push(moment);
        }
    }
    for (key, litres) in by_salt {
        let salt = key.and_then(|key| record.supplies.get(key));
        found.changes.push(NewWater {
            name: salt.map_or("New water".into(), |salt| format!("New water of {}", salt.name.value)),
            holds: new_water(salt, parameter),
            litres,
        });
    }
}

fn new_water(salt: Option<&Supply>, parameter: Parameter) -> Content {
    if let Some(strength) = salt.and_then(|salt| salt.strength.get(&parameter)) {
        let value = ion_value(&strength.value, None);
        return Content {
            value,
            u: strength.value.uncertainty.unwrap_or(OF_SALT * value),
            basis: Basis::Stated,
            place: Some(strength.place.clone()),
            how: "what fresh mix of this salt holds".into(),
        };
    }
    let (low, high) = usual_of_new_water(parameter);
    Content {
        value: (low + high) / 2.0,
        u: (high - low) / 12f64.sqrt(),
        basis: Basis::Assumed,
        place: None,
        how: format!("not recorded: anywhere from {low} to {high} {} (common practice, no source)", parameter.unit()),
    }
}

/// `mg/L · L a mL`: what one unit brings to one litre.
pub fn content_unit(parameter: Parameter, per: &str) -> String {
    let unit = match parameter {
        Parameter::Alkalinity => "dKH·L".to_string(),
        other => other.unit().replace("mg/L", "mg"),
    };
    format!("{unit} a {per}")
}

/// A content as a root of the graph.
pub fn root(label: &str, content: Content, unit: &str) -> Root {
    Root {
        label: label.into(),
        value: content.value,
        uncertainty: content.u,
        unit: unit.into(),
        basis: content.basis,
        places: content.place.into_iter().collect(),
        shape: Shape::Normal,
        private: false,
        note: Some(content.how),
        source: (content.basis == Basis::Assumed).then_some("common-practice"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Located;
    use crate::record::entry::Amount;
    use crate::units;

    #[test]
    fn a_weekly_total_is_seven_doses_before_the_entry() {
        let place = Place { file: "log/a.yaml".into(), line: 1, column: 1, length: 1 };
        let quantity = units::parse("7 mL", &[Dimension::Volume], None).unwrap();
        let amount = Amount {
            of: Located::new("stock".into(), place.clone()),
            amount: Located::new(quantity, place),
            over_days: 7.0,
        };
        let doses = spread(&amount, 100.0);
        assert_eq!(doses.len(), 7);
        assert!((doses[0].0 - 99.5).abs() < 1e-12 && (doses[6].0 - 93.5).abs() < 1e-12);
        assert!((doses.iter().map(|dose| dose.1).sum::<f64>() - 0.007).abs() < 1e-15);
    }
}
