//! Light at each placed colony: the survey nearest in place, the lamp's level since, and the day's course.

use super::energy::hours_at_full;
use super::figure::Figures;
use super::graph::NodeId;
use super::inputs::{assumed, assumed_between, measured, number, set};
use crate::record::colony::Colony;
use crate::record::survey::LightPoint;
use crate::record::{LightSurvey, Record, Role, Tank, YesNo};

/// What light reaches one colony.
#[derive(Clone, Debug)]
pub struct ColonyLight {
    pub colony: String,
    /// Keys of its figures.
    pub par: Option<String>,
    pub dli: Option<String>,
    pub survey: Option<String>,
    /// Distance in cm to the nearest reading used.
    pub nearest: Option<f64>,
}

/// Readings further away than this say nothing about a place.
const FURTHEST_CM: f64 = 25.0;

/// At most this many readings are weighed for one place.
const NEIGHBOURS: usize = 4;

pub fn work_out(record: &Record, tank: &Tank, figures: &mut Figures) -> Vec<ColonyLight> {
    record
        .colonies_in(&tank.key, record.as_of)
        .filter(|colony| !moves_about(colony))
        .map(|colony| colony_light(record, tank, colony, figures))
        .collect()
}

fn moves_about(colony: &Colony) -> bool {
    use crate::record::colony::Group::*;
    matches!(colony.group.value, Snail | Crab | Shrimp | Urchin | Fish)
}

/// The newest survey of a lamp in service.
fn survey_of(record: &Record, tank: &Tank) -> Option<LightSurvey> {
    tank.surveys
        .iter()
        .rev()
        .find(|survey| {
            tank.device(&survey.lamp.value)
                .is_some_and(|lamp| lamp.role.value == Role::Lamp && lamp.in_service_on(record.as_of))
        })
        .cloned()
}

fn colony_light(record: &Record, tank: &Tank, colony: &Colony, figures: &mut Figures) -> ColonyLight {
    let mut found = ColonyLight { colony: colony.key.clone(), par: None, dli: None, survey: None, nearest: None };
    let par_key = format!("light.{}.par", colony.key);
    let dli_key = format!("light.{}.dli", colony.key);
    let par_label = format!("{}: light at midday", colony.name.value);
    let dli_label = format!("{}: daily light integral", colony.name.value);
    let Some(survey) = survey_of(record, tank) else {
        figures.miss(&tank.key, &dli_key, &dli_label, "a light survey (`light/DATE.yaml`) under the lamp in use");
        return found;
    };
    let cm = |length: f64| record.units.text(length, "cm");
    let Some((read, nearest)) = read_at(record, &survey, colony, figures) else {
        let what =
            format!("its place (`x`, `y` and `depth` in its placement) and readings within {} of it", cm(FURTHEST_CM));
        figures.miss(&tank.key, &dli_key, &dli_label, what);
        return found;
    };
    let lamp = &tank.devices[&survey.lamp.value];
    let settings = lamp.settings.at(record.as_of);
    let graph = &mut figures.graph;
    let factor = match (survey.factor_applied, &survey.immersion_factor) {
        (YesNo::Yes, _) => graph.exact(1.0),
        (YesNo::No, Some(factor)) => measured(graph, "Immersion factor", factor.value, 0.03, "1", &factor.place),
        (_, _) => assumed_between(
            graph,
            "Immersion factor",
            1.0,
            1.32,
            "1",
            "whether the meter's immersion factor is in the readings is not recorded (`immersion-factor:`, `factor-applied:`)",
        ),
    };
    let level_then = set(
        graph,
        &format!("Lamp level at the survey of {}", survey.on.value),
        survey.level.value,
        "1",
        &survey.level.place,
    );
    let level = settings.and_then(|stretch| stretch.value.level.as_ref());
    let level_now = match level {
        Some(level) => set(graph, "Lamp level now", level.value, "1", &level.place),
        None => graph.exact(1.0),
    };
    let height_then = survey.height.as_ref().map(|height| height.value.value);
    let height_now = settings.and_then(|s| s.value.height.as_ref()).map(|height| height.value.value);
    let raised = matches!((height_then, height_now), (Some(then), Some(now)) if (then - now).abs() > 1.0);
    let clean = assumed(
        graph,
        "Lens and glass since the survey",
        1.0,
        0.05,
        "1",
        "dust and salt film since the survey cost 5 % or so (common practice, no source)",
    );
    let par = graph.compute(&par_label, "µmol/m²/s", &[read, factor, level_now, level_then, clean], |x| {
        x[0] * x[1] * x[2] / x[3] * x[4]
    });
    let value = |node: NodeId| number(graph.value(node));
    let numbers = format!(
        "E = {} × {} × {} ∕ {} = {} µmol/m²/s",
        value(read),
        value(factor),
        value(level_now),
        value(level_then),
        value(par)
    );
    let mut built = figures
        .define(&tank.key, &par_key, &par_label)
        .method(
            "E = E(survey) · f(immersion) · level ∕ level(survey) · f(clean)",
            numbers,
            &["shepard_1968", "common-practice"],
        )
        .inputs(&[read, factor, level_now, level_then, clean]);
    if raised {
        built = built.note("the lamp hangs at another height than in the survey: survey again");
    }
    let par = built.finish(par);
    found.par = Some(par_key.clone());
    found.survey = Some(survey.key.clone());
    found.nearest = Some(nearest);

    let schedule = settings.and_then(|stretch| stretch.value.schedule.as_ref());
    let Some(schedule) = schedule else {
        figures.miss(&tank.key, &dli_key, &dli_label, "`schedule: 10:00 to 19:30, ramp 60 min` in the lamp's settings");
        return found;
    };
    let hours = hours_at_full(Some(&schedule.value));
    let graph = &mut figures.graph;
    let hours =
        set(graph, "Hours at the plateau that carry the same light, ramps by area", hours, "h", &schedule.place);
    let dli = graph.compute(&dli_label, "mol/m²/d", &[par, hours], |x| x[0] * x[1] * 0.0036);
    let numbers = format!("DLI = {} × {} h × 0.0036", number(graph.value(par)), number(graph.value(hours)));
    figures
        .define(&tank.key, &dli_key, &dli_label)
        .method("DLI = E · hours · 3600 ∕ 10⁶", numbers, &[])
        .inputs(&[super::figure::InputName::from(par_key.as_str()), hours.into()])
        .finish(dli);
    found.dli = Some(dli_key);
    found
}

/// The survey's light at a colony: the reading taken at it, else the readings around its place, weighed by the inverse
/// square of their distance (Shepard 1968). Returns the node and the distance to the nearest reading.
fn read_at(record: &Record, survey: &LightSurvey, colony: &Colony, figures: &mut Figures) -> Option<(NodeId, f64)> {
    let relative = survey.uncertainty.as_ref().map_or(0.10, |uncertainty| uncertainty.value);
    let graph = &mut figures.graph;
    let placement = colony.placement_on(record.as_of)?;
    let moved_since = placement.since > survey.on.value;
    if let Some((_, light, place)) = survey.at.iter().find(|(name, _, _)| name.value == colony.key)
        && !moved_since
    {
        let node = measured(graph, "Reading at the colony", *light, relative * light, "µmol/m²/s", place);
        return Some((node, 0.0));
    }
    let (x, y, depth) = (placement.x?, placement.y?, placement.depth?);
    let cm = |length: f64| record.units.text(length, "cm");
    let mut near: Vec<(f64, &LightPoint)> = survey
        .points
        .iter()
        .map(|point| {
            let distance = ((point.x - x).powi(2) + (point.y - y).powi(2) + (point.depth - depth).powi(2)).sqrt();
            (distance, point)
        })
        .filter(|(distance, _)| *distance <= FURTHEST_CM)
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.place.cmp(&b.1.place)));
    near.truncate(NEIGHBOURS);
    let nearest = near.first()?.0;
    let inputs: Vec<NodeId> = near
        .iter()
        .map(|(_, point)| {
            let x = number(record.units.of("cm").value(point.x));
            let label = format!("Reading at {x} × {}, {} deep", cm(point.y), cm(point.depth));
            measured(graph, &label, point.light, relative * point.light, "µmol/m²/s", &point.place)
        })
        .collect();
    // A reading at the very place stands alone.
    let weights: Vec<f64> = near.iter().map(|(distance, _)| 1.0 / distance.max(0.5).powi(2)).collect();
    let sum: f64 = weights.iter().sum();
    let weights: Vec<f64> = weights.into_iter().map(|weight| weight / sum).collect();
    let terms: Vec<(NodeId, f64)> = inputs.iter().copied().zip(weights.iter().copied()).collect();
    let mean = graph.linear("Weighed mean of the readings around it", "µmol/m²/s", &terms);
    // How much the readings around it differ says how much the place between them may.
    let centre = graph.value(mean);
    let spread = near
        .iter()
        .zip(&weights)
        .map(|((_, point), weight)| weight * (point.light - centre).powi(2))
        .sum::<f64>()
        .sqrt();
    let between = assumed(
        graph,
        "Difference of the place from its neighbours",
        0.0,
        spread / 2.0,
        "µmol/m²/s",
        "half the spread of the readings around it",
    );
    Some((graph.sum("Light read around its place", "µmol/m²/s", &[mean, between]), nearest))
}
