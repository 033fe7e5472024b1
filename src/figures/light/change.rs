//! Ageing, dirt or a new lens: the same places, surveyed again.

use super::Figures;
use super::survey::SurveyMap;
use crate::figures::graph::{Basis, Root, Shape};
use crate::figures::inputs::{assumed, number};
use crate::record::{LightSurvey, Tank, days_between};

/// What changed between two surveys at the same places.
#[derive(Clone, Debug)]
pub struct LampChange {
    /// Keys of the surveys.
    pub from: String,
    pub to: String,
    pub days: i32,
    pub places: usize,
    /// Key of the change in percent, at equal level.
    pub figure: String,
    pub same_level: bool,
}

/// Two readings are of one place within this, cm.
const SAME_PLACE_CM: f64 = 1.5;

/// Fewer places say nothing about the lamp.
const FEWEST_PLACES: usize = 3;

pub(super) fn work_out(tank: &Tank, maps: &[SurveyMap], figures: &mut Figures) -> Vec<LampChange> {
    let mut changes = Vec::new();
    for pair in maps.windows(2) {
        let surveys: Vec<&LightSurvey> =
            pair.iter().filter_map(|map| tank.surveys.iter().find(|survey| survey.key == map.survey)).collect();
        if let [first, second] = surveys[..]
            && let Some(change) = between(tank, (first, &pair[0]), (second, &pair[1]), figures)
        {
            changes.push(change);
        }
    }
    changes
}

fn between(
    tank: &Tank,
    (first, first_map): (&LightSurvey, &SurveyMap),
    (second, second_map): (&LightSurvey, &SurveyMap),
    figures: &mut Figures,
) -> Option<LampChange> {
    if first.lamp.value != second.lamp.value || first.unit != second.unit {
        return None;
    }
    let heights = [first, second].map(|survey| survey.height.as_ref().map(|height| height.value.value));
    if let [Some(one), Some(other)] = heights
        && (one - other).abs() > 1.0
    {
        // Another height is another field: the two say nothing about age.
        return None;
    }
    let curve = tank.device(&first.lamp.value)?.dimming.as_ref().map(|curve| curve.value.clone()).unwrap_or_default();
    let share = curve.light(second.level.value) / curve.light(first.level.value);
    let mut logs = Vec::new();
    for point in &second.points {
        let same = first.points.iter().find(|earlier| {
            let square =
                (earlier.x - point.x).powi(2) + (earlier.y - point.y).powi(2) + (earlier.depth - point.depth).powi(2);
            square.sqrt() < SAME_PLACE_CM
        });
        if let Some(earlier) = same.filter(|earlier| earlier.light > 0.0 && point.light > 0.0) {
            let ratio = (point.light * second_map.factor) / (earlier.light * first_map.factor) / share;
            logs.push(ratio.ln());
        }
    }
    if logs.len() < FEWEST_PLACES || !share.is_finite() || share <= 0.0 {
        return None;
    }
    let count = logs.len() as f64;
    let mean = logs.iter().sum::<f64>() / count;
    let spread = (logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
    let same_level = first.level.value == second.level.value;
    let same_sensor = first.sensor.as_ref().map(|sensor| &sensor.value)
        == second.sensor.as_ref().map(|sensor| &sensor.value)
        && first.sensor.is_some();
    let days = days_between(first.on.value, second.on.value);
    let key = format!("light.change.{}", second.key);
    let label = format!("Change of the lamp’s light, {} to {}", first.on.value, second.on.value);
    let graph = &mut figures.graph;
    let ratio = graph.root(Root {
        label: format!("Light at {} places against the earlier survey, at equal level", logs.len()),
        value: mean.exp(),
        uncertainty: mean.exp() * spread / count.sqrt(),
        unit: "1".into(),
        basis: Basis::Measured,
        places: vec![first.place.clone(), second.place.clone()],
        shape: Shape::Normal,
        private: false,
        note: None,
        source: None,
    });
    let meter = assumed(
        graph,
        "Meter and water of two days",
        1.0,
        if same_sensor { 0.04 } else { 0.14 },
        "1",
        if same_sensor {
            "one meter on two days, other water, another hand: 4 % (common practice, no source)"
        } else {
            "two meters, or not said which: 10 % each (common practice, no source)"
        },
    );
    let mut nodes = vec![ratio, meter];
    if !same_level {
        let dial = if tank.device(&first.lamp.value)?.dimming.is_some() { 0.02 } else { 0.05 };
        nodes.push(assumed(
            graph,
            "Light against level",
            1.0,
            dial,
            "1",
            "the surveys were taken at different levels, and light need not follow the level",
        ));
    }
    let node = graph.compute(&label, "%", &nodes, |x| 100.0 * (x.iter().product::<f64>() - 1.0));
    let numbers = format!(
        "geometric mean of {} ratios {}, from level {} % to {} %",
        logs.len(),
        number(mean.exp()),
        number(100.0 * first.level.value),
        number(100.0 * second.level.value)
    );
    let mut built = figures
        .define(&tank.key, &key, &label)
        .method("100·(E₂ ∕ E₁ · g(level₁) ∕ g(level₂) − 1)", numbers, &["common-practice"])
        .inputs(&nodes)
        .note("age of the lamp, dirt on lens and lid, and the water’s colour are one number here");
    if !same_level {
        built = built.note("the same level in both surveys would make it surer");
    }
    built.finish(node);
    Some(LampChange {
        from: first.key.clone(),
        to: second.key.clone(),
        days,
        places: logs.len(),
        figure: key,
        same_level,
    })
}
