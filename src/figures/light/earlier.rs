//! The light a colony lived in where it stood before: of the survey nearest in time, carried over to the lamp's level and
//! hours, in the mean of the days on which it stood there.

use jiff::civil::Date;

use super::colony::{CARRIED, Carried, MOL_AN_HOUR, NEEDS_SCHEDULE, Stand, carry, clean, hours_on, read_at};
use super::survey::SurveyMap;
use super::{Figures, survey_of};
use crate::figures::figure::InputName;
use crate::figures::graph::{Graph, NodeId};
use crate::figures::inputs::number;
use crate::record::colony::{Colony, Placement};
use crate::record::{Device, Record, Role, Tank, days_between};

/// Key of a figure of an earlier place; `what` is `par` or `dli`.
pub fn key(colony: &str, since: Date, what: &str) -> String {
    format!("lived.{colony}.{since}.{what}")
}

/// Adds light at midday and in a day for each place in this tank that the colony has left.
pub(super) fn work_out(record: &Record, tank: &Tank, colony: &Colony, surveys: &[SurveyMap], figures: &mut Figures) {
    for (place, placement) in colony.placements.iter().enumerate() {
        if placement.tank.value != tank.key {
            continue;
        }
        let next = colony.placements.get(place + 1).map(|next| next.since);
        let ended = colony.ended.as_ref().map(|ended| ended.on);
        let Some(left) = next.or(ended).filter(|left| *left <= record.as_of) else {
            continue;
        };
        let on = left.yesterday().unwrap_or(left).max(placement.since);
        one(tank, colony, Stand { placement, on }, surveys, figures);
    }
}

/// Days of a stay on which the lamp was set alike, and the light on them.
struct Stretch {
    days: i32,
    carried: Carried,
    /// Hours at the plateau; none without a schedule.
    hours: Option<NodeId>,
}

/// Light at a place in the mean of the days on which the colony stood there, each with the lamp as it was set that day.
fn one(tank: &Tank, colony: &Colony, stand: Stand, surveys: &[SurveyMap], figures: &mut Figures) {
    let Placement { since, .. } = stand.placement;
    let name = &colony.name.value;
    let (par_key, dli_key) = (key(&colony.key, *since, "par"), key(&colony.key, *since, "dli"));
    let par_label = format!("{name}: light at midday where it stood, mean from {since} to {}", stand.on);
    let dli_label = format!("{name}: daily light integral where it stood, mean from {since} to {}", stand.on);
    let Some(map) = nearest_in_time(tank, surveys, stand.on) else {
        let what = "a light survey (`light/DATE.yaml`) under the lamp of that time";
        figures.miss(&tank.key, &dli_key, &dli_label, what);
        return;
    };
    let Some((survey, (read, inputs, _))) =
        survey_of(tank, map).and_then(|survey| Some((survey, read_at(survey, map, colony, stand, figures)?)))
    else {
        let what = "its place then (`x`, `y` and `depth` in its placement), within reach of a survey’s readings";
        figures.miss(&tank.key, &dli_key, &dli_label, what);
        return;
    };
    let clean = clean(&mut figures.graph);
    let lamp = &tank.devices[&survey.lamp.value];
    let stretches: Vec<Stretch> = set_alike(lamp, *since, stand.on)
        .into_iter()
        .map(|(from, days)| {
            let level = format!("Lamp level from {from}");
            let of = (survey, map);
            let carried = carry(tank, of, from, (read, &inputs, clean), (&par_label, &level), &mut figures.graph);
            Stretch { days, carried, hours: hours_on(lamp, from, &mut figures.graph) }
        })
        .collect();
    let all = f64::from(stretches.iter().map(|stretch| stretch.days).sum::<i32>());
    let terms: Vec<(NodeId, f64)> =
        stretches.iter().map(|stretch| (stretch.carried.par, f64::from(stretch.days) / all)).collect();
    let graph = &mut figures.graph;
    let par = graph.linear(&par_label, "µmol/m²/s", &terms);
    let value = |graph: &Graph, node: NodeId| number(graph.value(node));
    let several = stretches.len() > 1;
    let numbers = if several {
        let parts: Vec<String> = stretches
            .iter()
            .map(|stretch| format!("{} d × ({})", stretch.days, without_unit(&stretch.carried.numbers)))
            .collect();
        format!("E = ({}) ∕ {all} d = {} µmol/m²/s", parts.join(" + "), value(graph, par))
    } else {
        stretches[0].carried.numbers.clone()
    };
    let formula = &stretches[0].carried.formula;
    let mut built = figures.define(&tank.key, &par_key, &par_label).method(
        if several { format!("{formula}, weighted by days") } else { formula.clone() },
        numbers,
        &CARRIED,
    );
    let mut notes: Vec<&String> = Vec::new();
    for stretch in &stretches {
        built = built.inputs(&stretch.carried.inputs);
        notes.extend(stretch.carried.notes.iter());
    }
    for (place, note) in notes.iter().enumerate() {
        if !notes[..place].contains(note) {
            built = built.note(note.as_str());
        }
    }
    if several {
        built = built.note("the lamp was set anew while it stood there: each setting counts by its days");
    }
    built.finish(par);

    let Some(hours) = stretches.iter().map(|stretch| stretch.hours).collect::<Option<Vec<NodeId>>>() else {
        figures.miss(&tank.key, &dli_key, &dli_label, NEEDS_SCHEDULE);
        return;
    };
    let graph = &mut figures.graph;
    let days: Vec<NodeId> = stretches
        .iter()
        .zip(&hours)
        .map(|(stretch, hours)| {
            graph.compute(&dli_label, "mol/m²/d", &[stretch.carried.par, *hours], |x| x[0] * x[1] * MOL_AN_HOUR)
        })
        .collect();
    let terms: Vec<(NodeId, f64)> = days.iter().zip(&terms).map(|(day, (_, weight))| (*day, *weight)).collect();
    let dli = graph.linear(&dli_label, "mol/m²/d", &terms);
    let of_day = |(stretch, hours): (&Stretch, &NodeId)| {
        format!("{} × {} h", value(graph, stretch.carried.par), value(graph, *hours))
    };
    let parts: Vec<String> = stretches.iter().zip(&hours).map(of_day).collect();
    let (formula, numbers) = if several {
        let parts: Vec<String> =
            stretches.iter().zip(parts).map(|(stretch, part)| format!("{} d × {part}", stretch.days)).collect();
        ("DLI = Σ days · E · hours · 3600 ∕ 10⁶ ∕ Σ days", format!("DLI = ({}) × 0.0036 ∕ {all} d", parts.join(" + ")))
    } else {
        ("DLI = E · hours · 3600 ∕ 10⁶", format!("DLI = {} × 0.0036", parts[0]))
    };
    figures
        .define(&tank.key, &dli_key, &dli_label)
        .method(formula, numbers, &[])
        .inputs(&[InputName::from(&par_key)])
        .inputs(&hours)
        .finish(dli);
}

/// `E = 90 × 1 × 0.6 ∕ 0.5 = 108 µmol/m²/s` without what stands before and behind the product.
fn without_unit(numbers: &str) -> &str {
    let numbers = numbers.strip_prefix("E = ").unwrap_or(numbers);
    numbers.split_once(" = ").map_or(numbers, |(product, _)| product)
}

/// Stretches of a stay, both ends included, on which the lamp's light was set alike: first day and days.
fn set_alike(lamp: &Device, from: Date, to: Date) -> Vec<(Date, i32)> {
    let light_of = |date: Date| {
        let settings = lamp.settings.at(date).map(|stretch| &stretch.value);
        let number = |value: Option<f64>| value.map(f64::to_bits);
        (
            number(settings.and_then(|settings| settings.level.as_ref()).map(|level| level.value)),
            number(settings.and_then(|settings| settings.height.as_ref()).map(|height| height.value.value)),
            settings.and_then(|settings| settings.schedule.as_ref()).map(|schedule| schedule.value.clone()),
        )
    };
    let since = lamp.settings.iter().filter_map(|stretch| stretch.since);
    let mut starts: Vec<Date> = since.filter(|since| *since > from && *since <= to).collect();
    starts.insert(0, from);
    starts.sort();
    starts.dedup_by(|later, earlier| light_of(*later) == light_of(*earlier));
    let ends = starts.iter().skip(1).copied().chain([to.tomorrow().unwrap_or(to)]);
    starts.iter().zip(ends).map(|(start, end)| (*start, days_between(*start, end).max(1))).collect()
}

/// The last survey until then under a lamp in service on that day; without one, the first after it.
fn nearest_in_time<'a>(tank: &Tank, surveys: &'a [SurveyMap], on: Date) -> Option<&'a SurveyMap> {
    let of_the_time = |map: &&SurveyMap| {
        survey_of(tank, map).is_some_and(|survey| {
            let mut lamps = tank.devices_at(on).filter(|device| device.role.value == Role::Lamp);
            lamps.any(|lamp| lamp.key == survey.lamp.value)
        })
    };
    let taken = |map: &SurveyMap| survey_of(tank, map).map(|survey| survey.on.value);
    let known: Vec<&SurveyMap> = surveys.iter().filter(of_the_time).collect();
    let before = known.iter().rev().find(|map| taken(map).is_some_and(|date| date <= on));
    before.or(known.first()).copied()
}
