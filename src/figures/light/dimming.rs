//! The lamp's level that puts colonies into their bands: each alone, and most of them together.

use super::survey::{SurveyMap, place};
use super::{Figures, lamps, survey_of};
use crate::figures::figure::InputName;
use crate::figures::graph::NodeId;
use crate::figures::inputs::number;
use crate::record::colony::Colony;
use crate::record::{Device, Record, Tank};
use crate::science::dimming::DimmingCurve;

/// What levels of the lamp would do.
#[derive(Clone, Debug)]
pub struct Dimming {
    pub lamp: String,
    /// 0 to 1.
    pub level_now: f64,
    /// Whether the lamp's dimming was measured; else light is taken to follow the level.
    pub is_measured: bool,
    pub colonies: Vec<ColonyLevels>,
    /// Key of the level for most, the level itself, and the range of levels that is as good.
    pub for_most: Option<(String, f64, (f64, f64))>,
    /// Pairs of colonies that no level puts into their bands together, by key.
    pub apart: Vec<(String, String)>,
}

/// The levels that put one colony into its band.
#[derive(Clone, Debug)]
pub struct ColonyLevels {
    pub colony: String,
    /// The band, µmol/m²/s.
    pub band: (f64, f64),
    /// Lowest and highest level, 0 to 1; none where full level is too little, or the lowest too much.
    pub levels: Option<(f64, f64)>,
    /// Key of the level for the middle of its band; none where the full level does not reach it.
    pub figure: Option<String>,
    /// Light at the level for most, µmol/m²/s.
    pub at_most: Option<f64>,
    /// Where in the map it would be in its band at the level for most, if it is not where it stands.
    pub elsewhere: Option<Elsewhere>,
}

/// Where a colony would be in its band.
#[derive(Clone, Debug)]
pub struct Elsewhere {
    /// Share of the mapped area, by depth in cm.
    pub shares: Vec<(f64, f64)>,
    /// The nearest such place: x, y, depth in cm, and the light there.
    pub nearest: Option<(f64, f64, f64, f64)>,
}

/// A colony, its light now, and its band.
type Wanted<'a> = (&'a Colony, NodeId, (f64, f64));

const KEY: &str = "light.level-for-most";

pub(super) fn work_out(
    record: &Record,
    tank: &Tank,
    lit: &[(&Colony, NodeId)],
    map: Option<&SurveyMap>,
    figures: &mut Figures,
) -> Option<Dimming> {
    let lamp = match map {
        Some(map) => tank.device(&survey_of(tank, map)?.lamp.value)?,
        None => lamps(record, tank).next()?,
    };
    let curve = lamp.dimming.as_ref().map(|curve| curve.value.clone()).unwrap_or_default();
    let level = lamp.settings.at(record.as_of).and_then(|settings| settings.value.level.as_ref());
    let level_now = level.map_or(1.0, |level| level.value);
    let share_now = curve.light(level_now);
    if share_now <= 0.0 {
        return None;
    }
    let wanted: Vec<(&Colony, NodeId, (f64, f64))> =
        lit.iter().filter_map(|(colony, par)| Some((*colony, *par, colony.needs_light.as_ref()?.value))).collect();
    if wanted.is_empty() {
        if !lit.is_empty() {
            figures.miss(
                &tank.key,
                KEY,
                "Lamp level for most colonies",
                "what the colonies want: `needs: {light: 60 to 180 µmol/m²/s}` in their files",
            );
        }
        return None;
    }
    let mut colonies: Vec<ColonyLevels> = wanted
        .iter()
        .map(|(colony, par, band)| {
            let full = figures.graph.value(*par) / share_now;
            let levels = levels(&curve, full, *band);
            let reached = levels.is_some() && full >= (band.0 + band.1) / 2.0;
            let figure = reached.then(|| own_level(tank, lamp, &curve, (colony, *par, *band), share_now, figures));
            let (colony, band) = (colony.key.clone(), *band);
            ColonyLevels { colony, band, levels, figure, at_most: None, elsewhere: None }
        })
        .collect();
    let for_most = most(&colonies, level_now).map(|(low, high)| {
        let level = for_most(tank, lamp, &curve, (&wanted, &colonies), (low, high), share_now, figures);
        (KEY.to_string(), level, (low.0, high.0))
    });
    if let Some((_, level, _)) = &for_most {
        let factor = curve.light(*level) / share_now;
        for (found, (colony, par, band)) in colonies.iter_mut().zip(&wanted) {
            let light = figures.graph.value(*par) * factor;
            found.at_most = Some(light);
            if (light < band.0 || light > band.1)
                && let Some(map) = map
            {
                let scale = curve.light(*level) / curve.light(survey_of(tank, map)?.level.value);
                found.elsewhere = Some(elsewhere(record, tank, map, colony, *band, scale));
            }
        }
    }
    let apart = apart(&colonies);
    let is_measured = lamp.dimming.is_some();
    Some(Dimming { lamp: lamp.key.clone(), level_now, is_measured, colonies, for_most, apart })
}

/// Levels between which light of `full` at the full level lies in a band.
fn levels(curve: &DimmingCurve, full: f64, (low, high): (f64, f64)) -> Option<(f64, f64)> {
    if full <= 0.0 {
        return None;
    }
    let lowest = curve.level(low / full).ok()?;
    let highest = curve.level((high / full).min(1.0)).ok()?;
    Some((lowest, highest))
}

/// Adds the level for the middle of a colony's band.
fn own_level(
    tank: &Tank,
    lamp: &Device,
    curve: &DimmingCurve,
    (colony, par, band): Wanted,
    share_now: f64,
    figures: &mut Figures,
) -> String {
    let key = format!("light.colony.{}.level", colony.key);
    let label = format!("{}: level of {} for the middle of its band", colony.name.value, lamp.name.value);
    let middle = (band.0 + band.1) / 2.0;
    let of = curve.clone();
    let node = figures.graph.compute(&label, "%", &[par], move |x| {
        100.0 * of.level((middle / x[0] * share_now).clamp(0.0, 1.0)).unwrap_or(f64::NAN)
    });
    let numbers = format!(
        "{} µmol/m²/s wanted, {} now at {} % of full light → level {} %",
        number(middle),
        number(figures.graph.value(par)),
        number(100.0 * share_now),
        number(figures.graph.value(node))
    );
    figures
        .define(&tank.key, &key, &label)
        .method("level = g⁻¹(g(level now) · E(wanted) ∕ E(now))", numbers, &[])
        .inputs(&[InputName::from(format!("light.{}.par", colony.key))])
        .note(how(lamp))
        .finish(node);
    key
}

fn how(lamp: &Device) -> &'static str {
    if lamp.dimming.is_some() {
        "g is the lamp’s measured dimming curve"
    } else {
        "light is taken to follow the level in proportion; a dial’s 60 % is not 60 % of the photons, and only a survey or `dimming:` tells"
    }
}

/// A level and the colony whose band ends there, by number; none at the full level.
type End = (f64, Option<usize>);

/// The range of levels that lies in the bands of most colonies; of equal ones the nearest to the level now.
fn most(colonies: &[ColonyLevels], level_now: f64) -> Option<(End, End)> {
    let ranges: Vec<(usize, (f64, f64))> =
        colonies.iter().enumerate().filter_map(|(index, colony)| Some((index, colony.levels?))).collect();
    let mut best: Option<(usize, f64, (End, End))> = None;
    for (index, (start, _)) in &ranges {
        // Every best range begins where some colony's does.
        let inside: Vec<_> = ranges.iter().filter(|(_, (low, high))| low <= start && start <= high).collect();
        let (end, highest) =
            inside.iter().min_by(|a, b| a.1.1.total_cmp(&b.1.1)).map(|(ends, (_, high))| (*ends, *high))?;
        let away = if level_now < *start {
            start - level_now
        } else if level_now > highest {
            level_now - highest
        } else {
            0.0
        };
        let better = best
            .as_ref()
            .is_none_or(|(count, distance, _)| inside.len() > *count || (inside.len() == *count && away < *distance));
        if better {
            let at_full = if highest >= 1.0 { None } else { Some(end) };
            best = Some((inside.len(), away, ((*start, Some(*index)), (highest, at_full))));
        }
    }
    best.map(|(_, _, range)| range)
}

/// Adds the level in the middle of the range that suits most, and returns it as a share.
fn for_most(
    tank: &Tank,
    lamp: &Device,
    curve: &DimmingCurve,
    (wanted, colonies): (&[Wanted], &[ColonyLevels]),
    (low, high): (End, End),
    share_now: f64,
    figures: &mut Figures,
) -> f64 {
    let label = format!("Level of {} for most colonies", lamp.name.value);
    let middle = (low.0 + high.0) / 2.0;
    let suited: Vec<&str> = colonies
        .iter()
        .zip(wanted)
        .filter(|(colony, _)| colony.levels.is_some_and(|(low, high)| low <= middle && middle <= high))
        .map(|(_, (colony, _, _))| colony.name.value.as_str())
        .collect();
    // The ends of the range are where the bands of two colonies begin and end: it is as sure as their light.
    let end = |(_, of): End, upper: bool| {
        of.map(|index| (wanted[index].1, if upper { wanted[index].2.1 } else { wanted[index].2.0 }))
    };
    let (below, above) = (end(low, false), end(high, true));
    let nodes: Vec<NodeId> = [below, above].into_iter().flatten().map(|(par, _)| par).collect();
    let of = curve.clone();
    let level_of = move |band: f64, par: f64| of.level((band / par * share_now).clamp(0.0, 1.0)).unwrap_or(f64::NAN);
    let node = figures.graph.compute(&label, "%", &nodes, move |x| {
        let mut next = x.iter();
        let mut level = |end: Option<(NodeId, f64)>, without: f64| match end {
            Some((_, band)) => next.next().map_or(f64::NAN, |par| level_of(band, *par)),
            None => without,
        };
        let from = level(below, 0.0);
        let to = level(above, 1.0);
        100.0 * (from + to) / 2.0
    });
    let numbers = format!(
        "between {} and {} % lie the bands of {} of {} colonies; in the middle {} %",
        number(100.0 * low.0),
        number(100.0 * high.0),
        suited.len(),
        wanted.len(),
        number(figures.graph.value(node))
    );
    let mut inputs: Vec<InputName> = Vec::new();
    for index in [low.1, high.1].into_iter().flatten() {
        let key = format!("light.{}.par", wanted[index].0.key);
        if !inputs.contains(&InputName::from(&key)) {
            inputs.push(key.into());
        }
    }
    figures
        .define(&tank.key, KEY, &label)
        .method("middle of the levels that lie in the most bands", numbers, &[])
        .inputs(&inputs)
        .note(how(lamp))
        .note("steadiness counts too: a change of level is made in steps over weeks")
        .finish(node);
    middle
}

/// Pairs whose levels do not meet.
fn apart(colonies: &[ColonyLevels]) -> Vec<(String, String)> {
    let mut pairs = Vec::new();
    for (index, one) in colonies.iter().enumerate() {
        for other in &colonies[index + 1..] {
            if let (Some(a), Some(b)) = (one.levels, other.levels)
                && (a.1 < b.0 || b.1 < a.0)
            {
                pairs.push((one.colony.clone(), other.colony.clone()));
            }
        }
    }
    pairs
}

/// Steps in which the map is searched, cm, and the room left at the panes.
const SEARCH_CM: f64 = 2.0;
const FROM_PANE_CM: f64 = 5.0;

/// Where in the map a colony would be in its band, with the map's light times `scale`.
fn elsewhere(
    record: &Record,
    tank: &Tank,
    map: &SurveyMap,
    colony: &Colony,
    band: (f64, f64),
    scale: f64,
) -> Elsewhere {
    let [length, width, _] = tank.size.as_ref().map_or([0.0; 3], |size| size.value);
    let steps = |reach: f64| {
        let count = ((reach - 2.0 * FROM_PANE_CM) / SEARCH_CM).floor().clamp(0.0, 200.0) as usize;
        (0..=count).map(|step| FROM_PANE_CM + step as f64 * SEARCH_CM)
    };
    let stands = colony
        .placement_on(record.as_of)
        .and_then(|placement| Some(place(placement.x?, placement.y?, placement.depth?)));
    let mut shares = Vec::new();
    let mut nearest: Option<(f64, (f64, f64, f64, f64))> = None;
    for layer in map.map.layers() {
        let (mut inside, mut all) = (0, 0);
        for x in steps(length) {
            for y in steps(width) {
                all += 1;
                let light = layer.at(x, y) * scale;
                if light < band.0 || light > band.1 {
                    continue;
                }
                inside += 1;
                let away = stands.map_or(0.0, |stands| stands.distance(&place(x, y, layer.depth_cm)).as_centimetres());
                if nearest.is_none_or(|(best, _)| away < best) {
                    nearest = Some((away, (x, y, layer.depth_cm, light)));
                }
            }
        }
        if all > 0 {
            shares.push((layer.depth_cm, f64::from(inside) / f64::from(all)));
        }
    }
    Elsewhere { shares, nearest: nearest.map(|(_, found)| found) }
}
