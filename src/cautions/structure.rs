//! Cautions about weight: what stands on the floor, and what a person lifts.

use super::electricity::paragraphs;
use super::{Caution, caution, tank_life};
use crate::cautions::Danger;
use crate::figures::{Figure, Findings, number};
use crate::record::tank::Floor;
use crate::record::{Record, Tank};

const ENGINEER: &str = "A structural engineer and the local building code decide; who rents asks the owner, and the insurer wants to know.";
const LIFTING: &str =
    "A doctor decides for a person with a bad back; the local rules for manual handling decide at work.";

/// Mass in kg from which the floor is worth asking about (judgement, no source).
const FLOOR_KG: f64 = 150.0;

/// Mass in kg from which one person should not lift alone: near the 23 kg that NIOSH takes as the most for an ideal lift.
const LIFT_KG: f64 = 25.0;

pub(super) fn raise(record: &Record, tank: &Tank, findings: &Findings, out: &mut Vec<Caution>) {
    let Some(mass) = findings.figures.get(&tank.key, "load.mass-filled") else {
        return;
    };
    floor(record, tank, mass, findings.figures.get(&tank.key, "load.floor"), out);
    lift(record, tank, mass, out);
}

/// Raised by mass and an unsure floor, never by pressure: a load for which homes are designed equals 19 cm of water, so
/// that every tank exceeds it.
fn floor(record: &Record, tank: &Tank, mass: &Figure, pressure: Option<&Figure>, out: &mut Vec<Caution>) {
    let construction = tank.floor_construction.as_ref().map(|text| text.value.to_lowercase());
    let timber = construction.as_deref().is_some_and(|text| {
        tank_life::mentions(text, &["timber", "wood", "wooden", "joist", "joists", "beam", "beams"])
    });
    let on_ground = tank.floor.as_ref().is_some_and(|floor| floor.value == Floor::Ground);
    if mass.value <= FLOOR_KG || (on_ground && !timber) {
        return;
    }
    let mut raised = caution("load.floor", Danger::Check, "Ask whether the floor was meant for this mass", ENGINEER);
    let mut figures = format!("Full, this stands at about {}", with_uncertainty(record, mass));
    if let Some(area) = footprint(tank) {
        let shift = record.units.of("m²");
        figures.push_str(&format!(" on {} {}", number(shift.value(area)), shift.unit));
    }
    if let Some(pressure) = pressure {
        figures.push_str(&format!(", {}", with_uncertainty(record, pressure)));
    }
    figures.push('.');
    raised.text.push(figures);
    raised.text.extend(paragraphs(&[
        "Homes are commonly designed for about 1.9 kPa (40 lb/ft²) spread over a whole room, less in bedrooms of the US \
         code; a tank puts its load on a small area. Comparing the two numbers does not tell whether the floor holds: the \
         size, span and direction of the joists and the nearest wall do.",
    ]));
    raised.why.push((format!("mass when filled: {}", with_uncertainty(record, mass)), None));
    raised.why.push(match &tank.floor {
        Some(floor) => {
            let words = match floor.value {
                Floor::Ground => "ground floor",
                Floor::Upper => "upper floor",
                Floor::Unknown => "the floor is written as not known",
            };
            (words.into(), Some(floor.place.clone()))
        }
        None => ("the record does not say on which floor it stands".into(), Some(tank.place.clone())),
    });
    if let Some(built) = &tank.floor_construction {
        raised.why.push((format!("floor: {}", built.value), Some(built.place.clone())));
    }
    raised.sources = vec![
        "International Residential Code, Table R301.5 (40 and 30 lb/ft²) — as quoted by another text",
        "EN 1991-1-1 (1.5 to 2.0 kN/m²) and ASCE 7 — from memory, to be checked",
    ];
    raised.topics = vec!["equipment", "water"];
    out.push(raised);
}

fn with_uncertainty(record: &Record, figure: &Figure) -> String {
    let shift = record.units.of(&figure.unit);
    let (value, unit) = (shift.value(figure.value), &shift.unit);
    let decimals = usize::from(unit == "kPa");
    if figure.uncertainty > 0.0 {
        let u = shift.spread(figure.uncertainty);
        format!("{value:.decimals$} {unit} (standard uncertainty {u:.decimals$} {unit})")
    } else {
        format!("{value:.decimals$} {unit}")
    }
}

/// In m²: of the stand, else of the tank.
fn footprint(tank: &Tank) -> Option<f64> {
    let stand = tank.stand.as_ref().and_then(|stand| stand.footprint.as_ref()).map(|footprint| footprint.value);
    let [length, width] = stand.or_else(|| tank.size.as_ref().map(|size| [size.value[0], size.value[1]]))?;
    Some(length * width / 10_000.0)
}

fn lift(record: &Record, tank: &Tank, mass: &Figure, out: &mut Vec<Caution>) {
    if mass.value <= LIFT_KG {
        return;
    }
    let mut why: Vec<_> = tank
        .entries
        .iter()
        .filter(|entry| {
            let text = tank_life::text_of(entry).to_lowercase();
            ["moved the tank", "moving the tank", "tank was moved", "moved house", "moved the stand", "new stand"]
                .iter()
                .any(|words| text.contains(words))
        })
        .map(|entry| (format!("{}: the entry tells of a move", entry.date()), Some(entry.place.clone())))
        .collect();
    why.extend(tank_life::water_changes(tank));
    if why.is_empty() {
        return;
    }
    let mut raised =
        caution("glass.lift", Danger::Check, "Lift no more than you can, and never a tank with water in", LIFTING);
    raised.text = paragraphs(&[
        "A 20 L (5 gal) bucket of sea water is about 21 kg (45 lb). The most that the usual lifting formula allows for one person, in the \
         best posture, is 23 kg (51 lb), and less when reaching over a rim: fill buckets half.",
        "A tank is lifted empty, by two people or more, with gloves, and set down on foam. Suction lifters are tried first.",
    ]);
    why.push((format!("mass when filled: {}", with_uncertainty(record, mass)), None));
    raised.why = why;
    raised.sources = vec![
        "NIOSH, Applications Manual for the Revised NIOSH Lifting Equation, 94-110 (revised 2021) — title or content seen",
        "common practice, no source",
    ];
    raised.topics = vec!["upkeep", "water"];
    out.push(raised);
}
