//! How substances go together: calcium beside alkalinity, nitrogen beside phosphorus, and what the harvest carries out.

use std::collections::BTreeMap;

use jiff::ToSpan;

use super::figure::Figures;
use super::graph::{COVERAGE_95, NodeId};
use super::inflow::per_element;
use super::inputs::{assumed_between, measured, number};
use super::uptake::Uptake;
use crate::record::{Parameter, Record, Tank, days_between};
use crate::science::formula::molar_mass_g_per_mol;
use crate::science::stoichiometry::Alkalinity;
use crate::units::Dimension;

/// mg/L of calcium that go into calcium carbonate with one dKH: half the equivalents are moles of it.
fn calcium_per_dkh() -> f64 {
    let calcium = molar_mass_g_per_mol("Ca").expect("calcium is an element");
    Alkalinity::from_dkh(1.0).meq_per_l / 2.0 * calcium
}

/// Grams of calcium carbonate in a litre for one dKH.
fn skeleton_per_dkh() -> f64 {
    Alkalinity::from_dkh(1.0).mg_per_l_caco3 / 1000.0
}

/// Moles of nitrogen to phosphorus for one of nitrate to phosphate by mass.
fn molar_of_mass_ratio() -> f64 {
    let mass = |formula: &str| molar_mass_g_per_mol(formula).expect("an ion's formula");
    mass("PO4") / mass("NO3")
}

pub fn work_out(record: &Record, tank: &Tank, uptake: &BTreeMap<Parameter, Uptake>, figures: &mut Figures) {
    calcification(tank, uptake, figures);
    nitrogen_to_phosphorus(tank, uptake, figures);
    for parameter in [Parameter::Nitrate, Parameter::Phosphate] {
        if let Some(uptake) = uptake.get(&parameter) {
            harvest(record, tank, uptake, figures);
        }
    }
}

fn calcification(tank: &Tank, uptake: &BTreeMap<Parameter, Uptake>, figures: &mut Figures) {
    let Some(alkalinity) = uptake.get(&Parameter::Alkalinity) else {
        return;
    };
    let label = "Skeleton built a day, at most";
    let graph = &mut figures.graph;
    let factor = skeleton_per_dkh();
    let node = graph.compute(label, "g", &[alkalinity.uptake, alkalinity.volume], move |x| x[0] * x[1] * factor);
    let numbers = format!(
        "{} dKH × {} L × {} g",
        number(graph.value(alkalinity.uptake)),
        number(graph.value(alkalinity.volume)),
        number(factor)
    );
    figures
        .define(&tank.key, "water.skeleton-per-day", label)
        .method("m = uptake of alkalinity · V · M(CaCO₃)∕2", numbers, &["prohaska_2022"])
        .inputs(&["water.alkalinity.uptake", "water.net-volume"])
        .note("as calcium carbonate, coralline crust and scale on heaters included; what nitrification uses up counts too")
        .finish(node);
    let key = "water.calcium.beside-alkalinity";
    let label = "Calcium used, as a share of what the alkalinity used would build";
    let Some(calcium) = uptake.get(&Parameter::Calcium) else {
        figures.miss(&tank.key, key, label, "calcium, every four weeks: `calcium: 420 mg/L` in an entry");
        return;
    };
    let graph = &mut figures.graph;
    let factor = calcium_per_dkh();
    if graph.value(alkalinity.uptake) <= COVERAGE_95 * graph.uncertainty(alkalinity.uptake) {
        let what = "more readings of alkalinity, or a finer kit: what is used of it cannot be told from none";
        figures.miss(&tank.key, key, label, what);
        return;
    }
    let node = graph.compute(label, "1", &[calcium.uptake, alkalinity.uptake], move |x| x[0] / (x[1] * factor));
    let numbers = format!(
        "{} ∕ ({} × {})",
        number(graph.value(calcium.uptake)),
        number(graph.value(alkalinity.uptake)),
        number(factor)
    );
    figures
        .define(&tank.key, key, label)
        .method("share = uptake of Ca ∕ (uptake of alkalinity · M(Ca)∕2 per equivalent)", numbers, &["prohaska_2022"])
        .inputs(&["water.calcium.uptake", "water.alkalinity.uptake"])
        .note("1 where both go into skeleton alone: 7.15 mg/L of calcium with each dKH")
        .finish(node);
}

fn nitrogen_to_phosphorus(tank: &Tank, uptake: &BTreeMap<Parameter, Uptake>, figures: &mut Figures) {
    let (Some(nitrate), Some(phosphate)) = (uptake.get(&Parameter::Nitrate), uptake.get(&Parameter::Phosphate)) else {
        return;
    };
    let factor = molar_of_mass_ratio();
    let sides: [(&str, &str, NodeId, NodeId, &str); 2] = [
        ("water.n-to-p", "Nitrogen to phosphorus in the water", nitrate.level, phosphate.level, "level"),
        ("water.uptake-n-to-p", "Nitrogen to phosphorus in what is used", nitrate.uptake, phosphate.uptake, "uptake"),
    ];
    for (key, label, n, p, what) in sides {
        // What may be divided by nothing has no upper end.
        if figures.graph.value(p) <= COVERAGE_95 * figures.graph.uncertainty(p) {
            let what = match what {
                "level" => "a finer kit for phosphate: what there is cannot be told from none",
                _ => "more readings of phosphate, or a finer kit: what is used of it cannot be told from none",
            };
            figures.miss(&tank.key, key, label, what);
            continue;
        }
        let graph = &mut figures.graph;
        let node =
            graph.compute(label, "1", &[n, p], move |x| if x[1] > 0.0 { x[0] / x[1] * factor } else { f64::NAN });
        let numbers = format!("{} ∕ {} × {}", number(graph.value(n)), number(graph.value(p)), number(factor));
        figures
            .define(&tank.key, key, label)
            .method("N:P = NO₃ ∕ PO₄ · M(PO₄) ∕ M(NO₃), by moles", numbers, &["redfield_1963", "atkinson_smith_1983"])
            .inputs(&[format!("water.nitrate.{what}"), format!("water.phosphate.{what}")])
            .note("plankton holds 16 to 1, large marine plants about 30 to 1; nobody has shown a tank to need either")
            .finish(node);
    }
}

/// Nitrogen or phosphorus in what was cut, as nitrate or phosphate of the tank's water a day.
fn harvest(record: &Record, tank: &Tank, uptake: &Uptake, figures: &mut Figures) {
    let parameter = uptake.parameter;
    let key = format!("water.{}.harvested", parameter.key());
    let label = format!("{} that left with the harvest a day", parameter.shown());
    let days = days_between(uptake.from, uptake.to);
    let mut weighed = Vec::new();
    for entry in tank.entries.iter().filter(|entry| entry.date() > uptake.from && entry.date() <= uptake.to) {
        for harvest in entry.harvests.iter().filter(|harvest| harvest.amount.value.dimension == Dimension::Mass) {
            let name = record.colonies.get(&harvest.of.value).map_or(harvest.of.value.as_str(), |c| &c.name.value);
            let grams = harvest.amount.value.value;
            let label = format!("{name}, {}", entry.date());
            // Squeezed once and weighed on a kitchen scale: 10 % of water more or less (common practice, no source).
            weighed.push(measured(&mut figures.graph, &label, grams, 0.1 * grams, "g", &harvest.amount.place));
        }
    }
    if weighed.is_empty() || days <= 0 {
        return;
    }
    let graph = &mut figures.graph;
    let wet = graph.sum("Harvest, wet", "g", &weighed);
    let dry = assumed_between(graph, "Dry share of a wet harvest", 0.07, 0.13, "1", "common practice, no source");
    let as_ion = per_element(parameter);
    let (element, low, high) =
        if parameter == Parameter::Nitrate { ("Nitrogen", 0.02, 0.03) } else { ("Phosphorus", 0.0015, 0.0025) };
    let share = assumed_between(
        graph,
        &format!("{element} in dry algae"),
        low,
        high,
        "1",
        "common practice, no source; an analysis of your own algae is better",
    );
    let per_day = f64::from(days);
    let unit = format!("{} a day", parameter.unit());
    let node = graph.compute(&label, &unit, &[wet, dry, share, uptake.volume], move |x| {
        1000.0 * x[0] * x[1] * x[2] * as_ion / x[3] / per_day
    });
    let numbers = format!(
        "{} g × {} × {} × {} ∕ {} L ∕ {days} days",
        number(graph.value(wet)),
        number(graph.value(dry)),
        number(graph.value(share)),
        number(as_ion),
        number(graph.value(uptake.volume))
    );
    let harvested = graph.value(node);
    let rest_label = format!("{} used and not harvested a day", parameter.shown());
    let rest = graph.linear(&rest_label, &unit, &[(uptake.uptake, 1.0), (node, -1.0)]);
    figures
        .define(&tank.key, &key, &label)
        .method("wet · dry share · content · M(ion) ∕ M(element) ∕ V ∕ days", numbers, &["common-practice"])
        .inputs(&[wet, dry, share, uptake.volume])
        .note(format!("from {} to {}", uptake.from, uptake.from.saturating_add(i64::from(days).days())))
        .finish(node);
    let numbers = format!("{} − {}", number(figures.graph.value(uptake.uptake)), number(harvested));
    figures
        .define(&tank.key, &format!("water.{}.unharvested", parameter.key()), &rest_label)
        .method("uptake − harvest", numbers, &[])
        .inputs(&[format!("water.{}.uptake", parameter.key()), key])
        .note("corals, bacteria, skimmer, rock and media; and algae that are still growing")
        .finish(rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The trade's rules of thumb, worked from atomic weights: 7.15 mg/L of calcium and 17.85 mg/L of calcium carbonate
    /// with a dKH; 16:1 by moles is 10.4:1 as NO₃ to PO₄ by mass.
    #[test]
    fn factors_are_those_of_the_atomic_weights() {
        assert!((calcium_per_dkh() - 7.147).abs() < 0.001);
        assert!((skeleton_per_dkh() * 1000.0 - 17.85).abs() < 0.01);
        assert!((16.0 / molar_of_mass_ratio() - 10.45).abs() < 0.01);
    }
}
