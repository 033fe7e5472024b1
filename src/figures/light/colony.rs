//! What reaches one colony: the light of the map or of a reading at it, carried over to today's level and hours.

use jiff::civil::Date;

use super::estimate::Surface;
use super::survey::{SurveyMap, place, reading_uncertainty};
use super::{ColonyLight, Figures, survey_of};
use crate::figures::energy::hours_at_full;
use crate::figures::figure::InputName;
use crate::figures::graph::{Basis, Graph, NodeId, Root, Shape};
use crate::figures::inputs::{assumed, assumed_between, measured, number, set};
use crate::record::colony::{Colony, Placement};
use crate::record::{Device, LightSurvey, Located, Record, Tank};
use crate::science::dimming::DimmingCurve;

/// Readings further away than this say nothing about a place.
const FURTHEST_CM: f64 = 25.0;

/// A colony at one place on one day.
#[derive(Clone, Copy)]
pub(super) struct Stand<'a> {
    pub placement: &'a Placement,
    pub on: Date,
}

impl Stand<'_> {
    /// A survey that was taken while it stood there.
    fn saw(&self, survey: &LightSurvey) -> bool {
        self.placement.since <= survey.on.value && survey.on.value <= self.on
    }
}

/// Adds the figures of a colony; the node is of its light at the day's plateau.
pub(super) fn work_out(
    record: &Record,
    tank: &Tank,
    colony: &Colony,
    today: Option<&SurveyMap>,
    estimate: Option<&Surface>,
    figures: &mut Figures,
) -> (ColonyLight, Option<NodeId>) {
    let mut found = ColonyLight { colony: colony.key.clone(), par: None, dli: None, survey: None, nearest: None };
    let par_key = format!("light.{}.par", colony.key);
    let par_label = format!("{}: light at midday", colony.name.value);
    let dli_key = format!("light.{}.dli", colony.key);
    let dli_label = format!("{}: daily light integral", colony.name.value);
    let stand = colony.placement_on(record.as_of).map(|placement| Stand { placement, on: record.as_of });
    let (par, lamp) = match (today, estimate) {
        (Some(map), _) => {
            let Some(survey) = survey_of(tank, map) else {
                return (found, None);
            };
            let read = stand.and_then(|stand| read_at(survey, map, colony, stand, figures));
            let Some((read, inputs, nearest)) = read else {
                let what = format!(
                    "its place (`x`, `y` and `depth` in its placement) and readings within {FURTHEST_CM} cm of it"
                );
                figures.miss(&tank.key, &dli_key, &dli_label, what);
                return (found, None);
            };
            found.survey = Some(survey.key.clone());
            found.nearest = Some(nearest);
            let par = carried_over(tank, (survey, map), record.as_of, (read, &inputs), (&par_key, &par_label), figures);
            (par, survey.lamp.value.clone())
        }
        (None, Some(surface)) => {
            let par = surface.at_colony(record, tank, colony, (&par_key, &par_label), figures);
            (par, surface.lamp.clone())
        }
        (None, None) => {
            let what = "a light survey (`light/DATE.yaml`) under the lamp in use, or at least `luminous-flux:` in the lamp’s spec sheet";
            figures.miss(&tank.key, &dli_key, &dli_label, what);
            return (found, None);
        }
    };
    found.par = Some(par_key.clone());
    if by_the_day(tank, &lamp, record.as_of, (&par_key, par), (&dli_key, &dli_label), figures) {
        found.dli = Some(dli_key);
    }
    (found, Some(par))
}

/// Mol of photons from micromoles a second, in an hour.
pub(super) const MOL_AN_HOUR: f64 = 3600.0 / 1e6;

/// What to record where a lamp's hours are not known.
pub(super) const NEEDS_SCHEDULE: &str = "`schedule: 10:00 to 19:30, ramp 60 min` in the lamp's settings";

/// Hours at the plateau of a lamp as it was set on a day, none without a schedule.
pub(super) fn hours_on(lamp: &Device, on: Date, graph: &mut Graph) -> Option<NodeId> {
    let schedule = lamp.settings.at(on)?.value.schedule.as_ref()?;
    let hours = hours_at_full(Some(&schedule.value));
    let label = "Hours at the plateau that carry the same light, ramps by area";
    Some(set(graph, label, hours, "h", &schedule.place))
}

/// Adds the light that reaches a place in a day, from that at the plateau and the lamp's hours on that day.
fn by_the_day(
    tank: &Tank,
    lamp: &str,
    on: Date,
    (par_key, par): (&str, NodeId),
    (key, label): (&str, &str),
    figures: &mut Figures,
) -> bool {
    let Some(hours) = hours_on(&tank.devices[lamp], on, &mut figures.graph) else {
        figures.miss(&tank.key, key, label, NEEDS_SCHEDULE);
        return false;
    };
    let graph = &mut figures.graph;
    let dli = graph.compute(label, "mol/m²/d", &[par, hours], |x| x[0] * x[1] * MOL_AN_HOUR);
    let numbers = format!("DLI = {} × {} h × 0.0036", number(graph.value(par)), number(graph.value(hours)));
    figures
        .define(&tank.key, key, label)
        .method("DLI = E · hours · 3600 ∕ 10⁶", numbers, &[])
        .inputs(&[InputName::from(par_key), hours.into()])
        .finish(dli);
    true
}

/// Light at a colony on a day, carried over from a survey, with what it takes to explain it.
pub(super) struct Carried {
    pub par: NodeId,
    pub formula: String,
    pub numbers: String,
    pub inputs: Vec<NodeId>,
    pub notes: Vec<String>,
}

/// Since the survey lens and glass may have grown dull.
pub(super) fn clean(graph: &mut Graph) -> NodeId {
    assumed(
        graph,
        "Lens and glass since the survey",
        1.0,
        0.05,
        "1",
        "dust and salt film since the survey cost 5 % or so (common practice, no source)",
    )
}

/// What a lamp gives at a level, as a share of its full light, by its measured dimming.
pub(super) fn share_of_full(graph: &mut Graph, of: &str, level: NodeId, curve: &Located<DimmingCurve>) -> NodeId {
    let level = graph.value(level);
    let label = format!("{of}, {} %: share of the lamp’s full light", number(100.0 * level));
    set(graph, &label, curve.value.light(level), "1", &curve.place)
}

/// From the survey's level to that of the day.
pub(super) fn carry(
    tank: &Tank,
    (survey, map): (&LightSurvey, &SurveyMap),
    on: Date,
    (read, read_inputs, clean): (NodeId, &[NodeId], NodeId),
    (label, level_label): (&str, &str),
    graph: &mut Graph,
) -> Carried {
    let lamp = &tank.devices[&survey.lamp.value];
    let settings = lamp.settings.at(on);
    let label_then = format!("Lamp level at the survey of {}", survey.on.value);
    let level_then = set(graph, &label_then, survey.level.value, "1", &survey.level.place);
    let level_now = match settings.and_then(|stretch| stretch.value.level.as_ref()) {
        Some(level) => set(graph, level_label, level.value, "1", &level.place),
        None => graph.exact(1.0),
    };
    let height_then = survey.height.as_ref().map(|height| height.value.value);
    let height_now = settings.and_then(|s| s.value.height.as_ref()).map(|height| height.value.value);
    let raised = matches!((height_then, height_now), (Some(then), Some(now)) if (then - now).abs() > 1.0);
    let moved = match (height_then, height_now) {
        (Some(then), Some(now)) if raised && then > 0.0 && now > 0.0 => {
            // A point in the open loses by the square of distance, a lamp over a light pipe nothing.
            let point = (then / now).powi(2);
            assumed_between(
                graph,
                "Another height of the lamp than in the survey",
                point.min(1.0),
                point.max(1.0),
                "1",
                "from nothing to the square of the heights over the water: which of them, only a new survey tells",
            )
        }
        _ => graph.exact(1.0),
    };
    // What stands in the working is what was put in: the shares of full light where the dimming is known.
    let shares = match &lamp.dimming {
        Some(curve) => [(level_label, level_now), (&label_then, level_then)]
            .map(|(of, level)| share_of_full(graph, of, level, curve)),
        None => [level_now, level_then],
    };
    let nodes = [read, map.conversion.node, shares[0], shares[1], clean, moved];
    let par = graph.compute(label, "µmol/m²/s", &nodes, |x| x[0] * x[1] * x[2] / x[3] * x[4] * x[5]);
    let value = |node: NodeId| number(graph.value(node));
    let numbers = format!(
        "E = {} × {} × {} ∕ {}{} = {} µmol/m²/s",
        value(read),
        value(map.conversion.node),
        value(shares[0]),
        value(shares[1]),
        if raised { format!(" × {}", value(moved)) } else { String::new() },
        value(par)
    );
    let level_words =
        if lamp.dimming.is_some() { "g(level) ∕ g(level of the survey)" } else { "level ∕ level(survey)" };
    let formula = format!(
        "E = E(survey){} · {level_words} · f(clean){}",
        map.conversion.symbol,
        if raised { " · f(height)" } else { "" }
    );
    let mut inputs = [read_inputs, &map.conversion.inputs, &[level_now, level_then]].concat();
    if lamp.dimming.is_some() {
        inputs.extend(shares);
    }
    inputs.push(clean);
    let mut notes: Vec<String> = Vec::new();
    if raised {
        inputs.push(moved);
        notes.push("the lamp hangs at another height than in the survey: survey again".into());
    }
    if graph.value(level_now) != graph.value(level_then) && lamp.dimming.is_none() {
        notes.push("light is taken to follow the lamp’s level in proportion; `dimming:` of the lamp, read at one place, would tell".into());
    }
    notes.extend(map.conversion.notes.iter().map(|note| note.to_string()));
    Carried { par, formula, numbers, inputs, notes }
}

/// The sources of light carried over from a survey.
pub(super) const CARRIED: [&str; 2] = ["shepard_1968", "common-practice"];

/// Adds light carried over to a day.
fn carried_over(
    tank: &Tank,
    of: (&LightSurvey, &SurveyMap),
    on: Date,
    (read, read_inputs): (NodeId, &[NodeId]),
    (key, label): (&str, &str),
    figures: &mut Figures,
) -> NodeId {
    let clean = clean(&mut figures.graph);
    let read = (read, read_inputs, clean);
    let carried = carry(tank, of, on, read, (label, "Lamp level now"), &mut figures.graph);
    let mut built = figures
        .define(&tank.key, key, label)
        .method(carried.formula, carried.numbers, &CARRIED)
        .inputs(&carried.inputs);
    for note in carried.notes {
        built = built.note(note);
    }
    built.finish(carried.par)
}

/// The survey's light at a colony, in the survey's unit: the reading taken at it, else the map at its place. The nodes
/// besides are its inputs, and the number is the distance in cm to the nearest reading.
pub(super) fn read_at(
    survey: &LightSurvey,
    map: &SurveyMap,
    colony: &Colony,
    stand: Stand,
    figures: &mut Figures,
) -> Option<(NodeId, Vec<NodeId>, f64)> {
    let relative = reading_uncertainty(survey);
    let unit = survey.unit.symbol();
    let graph = &mut figures.graph;
    let placement = stand.placement;
    if let Some((_, light, place)) = survey.at.iter().find(|(name, _, _)| name.value == colony.key)
        && stand.saw(survey)
    {
        let node = measured(graph, "Reading at the colony", *light, relative * light, unit, place);
        return Some((node, vec![node], 0.0));
    }
    let at = place(placement.x?, placement.y?, placement.depth?);
    let nearest = map.map.nearest(at).as_centimetres();
    if nearest > FURTHEST_CM {
        return None;
    }
    let mut near: Vec<_> = survey.points.iter().collect();
    near.sort_by(|a, b| {
        let away =
            |point: &crate::record::survey::LightPoint| at.distance(&place(point.x, point.y, point.depth)).as_metres();
        away(a).total_cmp(&away(b)).then_with(|| a.place.cmp(&b.place))
    });
    // The map holds the survey's readings times the conversion, which is counted apart.
    let light = map.map.at(at).as_umol_per_m2_s() / map.factor;
    let reading = Root {
        label: "Light of the survey’s map at its place".into(),
        value: light,
        // A meter that reads too much does so in every reading: the mean of many is no surer than one.
        uncertainty: relative * light,
        unit: unit.into(),
        basis: Basis::Measured,
        places: near.iter().take(4).map(|point| point.place.clone()).collect(),
        shape: Shape::Normal,
        private: false,
        note: None,
        source: Some("shepard_1968"),
    };
    let reading = graph.root(reading);
    let between = assumed(
        graph,
        "Place against the map",
        1.0,
        map.relative_error_at(nearest),
        "1",
        "the map’s error where a reading is left out, by the distance to the nearest reading",
    );
    let node = graph.compute("Light read around its place", unit, &[reading, between], |x| x[0] * x[1]);
    Some((node, vec![reading, between], nearest))
}
