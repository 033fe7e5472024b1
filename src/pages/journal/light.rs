//! Light: surveys as plans, the lamp's day, and the day's light at each colony.

use super::gear::{device_link, history};
use super::lighting;
use super::view::*;
use crate::figures::light::SurveyMap;
use crate::pages::chart;
use crate::pages::model::light::*;
use crate::pages::model::*;
use crate::record::survey::LightUnit;
use crate::record::{LightSurvey, Role, YesNo};
use crate::science::light_map::Layer;

pub fn page(view: &View) -> Page {
    let as_of = view.record.as_of;
    let lamps: Vec<_> = view.tank.devices_at(as_of).filter(|device| device.role.value == Role::Lamp).collect();
    let mut lamp = Vec::new();
    for device in &lamps {
        let link = device_link(view, &device.key);
        lamp.push(Fact::new("Lamp", vec![Run { text: link.text, href: link.href, ..Run::default() }]));
        if let Some(watts) = super::gear::watts(view, device) {
            lamp.push(Fact::new("Power at full level", vec![Run::value(watts)]));
        }
        if let Some(newest) = history(view, device).into_iter().next() {
            lamp.extend(newest.facts);
        }
    }
    let colonies: Vec<ColonyLight> = view.of.light.iter().map(|light| colony_light(view, light)).collect();
    let body = LightPage {
        standfirst: "What was read under the lamp, and what of it reaches each colony in a day.".into(),
        lamp,
        without_meter: lighting::without_meter(view),
        levels: lighting::levels(view),
        ageing: lighting::ageing(view),
        plans: lighting::plans(view),
        spectra: lighting::spectra(view),
        surveys: view.tank.surveys.iter().rev().map(|survey| survey_block(view, survey)).collect(),
        colonies,
        colonies_note: "The light of the survey nearest in place, carried over to today’s lamp level, and summed over the day with its ramps. Bands are the keeper’s own.".into(),
        schedule: day_curve(view),
        history: None,
        lamps: view
            .tank
            .devices
            .values()
            .filter(|device| device.role.value == Role::Lamp)
            .map(|device| LampHistory { lamp: device_link(view, &device.key), settings: history(view, device) })
            .collect(),
        figures: view.rows("light."),
        cautions: view.cautions_of("light"),
    };
    Page::new(
        view.href("light.html"),
        "light",
        "Light",
        "Light surveys, the lamp’s day and the light at each colony.",
        PageBody::Light(Box::new(body)),
    )
}

fn colony_light(view: &View, light: &crate::figures::light::ColonyLight) -> ColonyLight {
    let colony = &view.record.colonies[&light.colony];
    let per_day = light.dli.as_ref().and_then(|key| view.figure(key));
    let at_peak = light.par.as_ref().and_then(|key| view.figure(key));
    let place = colony
        .placement_on(view.record.as_of)
        .and_then(|placement| placement.where_text.clone().or_else(|| place_words(view, placement)))
        .unwrap_or_else(|| "place not recorded".into());
    let (wanted, verdict) = verdict(colony.needs_light.as_ref().map(|needs| needs.value), at_peak);
    let missing = (at_peak.is_none()).then(|| {
        let key = format!("light.{}.dli", colony.key);
        let missing =
            view.findings.figures.missing.iter().find(|missing| missing.tank == view.tank.key && missing.key == key);
        missing.map_or("not known".into(), |missing| format!("To record: {}", missing.what_to_record.replace('`', "")))
    });
    let linked = |figure: &crate::figures::Figure| view.value_of(figure).linked(format!("#{}", anchor(&figure.key)));
    ColonyLight {
        colony: PlaceLink::new(colony.name.value.clone(), format!("colony/{}.html", colony.key)),
        place,
        at_peak: at_peak.map(linked),
        per_day: per_day.map(linked),
        wanted,
        verdict,
        missing,
    }
}

/// `30 cm from the left, 15 cm from the front, 12 cm deep`, as far as it is written.
fn place_words(view: &View, placement: &crate::record::colony::Placement) -> Option<String> {
    let shift = view.shift("cm");
    let length = |cm: f64| format!("{}\u{a0}{}", fixed(shift.value(cm), shift.decimals(0)), shift.unit);
    let told = [
        placement.x.map(|x| format!("{} from the left", length(x))),
        placement.y.map(|y| format!("{} from the front", length(y))),
        placement.depth.map(|depth| format!("{} deep", length(depth))),
    ];
    let words: Vec<String> = told.into_iter().flatten().collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// What it wants in words, and where today's light stands in it.
pub fn verdict(needs: Option<(f64, f64)>, figure: Option<&crate::figures::Figure>) -> (Option<String>, String) {
    let Some((low, high)) = needs else {
        return (None, "no band".into());
    };
    let wanted = format!("{} to {}\u{a0}µmol/m²/s at midday", fixed(low, 0), fixed(high, 0));
    let Some(figure) = figure else {
        return (Some(wanted), "not known".into());
    };
    (Some(wanted), stands(figure, low, high).into())
}

fn survey_block(view: &View, survey: &LightSurvey) -> Survey {
    let link = device_link(view, &survey.lamp.value);
    let mut facts = vec![
        Fact::new("Lamp", vec![Run { text: link.text, href: link.href, ..Run::default() }]),
        Fact::new("Level", vec![Run::text(format!("{}\u{a0}%", fixed(survey.level.value * 100.0, 0)))]),
    ];
    if let Some(height) = &survey.height {
        facts.push(Fact::new("Height over the water", vec![Run::text(view.typed(&height.value))]));
    }
    if let Some(sensor) = &survey.sensor {
        let name =
            view.record.supplies.get(&sensor.value).map_or(sensor.value.clone(), |supply| supply.name.value.clone());
        facts.push(Fact::new("Sensor", vec![Run::text(name)]));
    }
    let factor = match (&survey.immersion_factor, survey.factor_applied) {
        _ if survey.unit == LightUnit::Lux => "none: read in lux, as an eye sees".into(),
        (None, YesNo::Yes) => "already in the readings".into(),
        (Some(factor), YesNo::Yes) => format!("{}, already in the readings", factor.value),
        (Some(factor), YesNo::No) => format!("{}, to be applied", factor.value),
        (Some(factor), YesNo::Unknown) => format!("{}; whether it is in the readings is not recorded", factor.value),
        (None, _) => "not recorded, up to 30 % on every number: ask whose meter it is".into(),
    };
    facts.push(Fact::new("Immersion factor", vec![Run::text(factor)]));
    facts.push(Fact::new(
        "Read from",
        vec![{
            let link = view.place_link(&survey.place);
            Run { text: link.text, href: link.href, ..Run::default() }
        }],
    ));
    let date = date_text(survey.on.value);
    let found = view.of.lighting.surveys.iter().find(|map| map.survey == survey.key);
    let error = found.and_then(|map| map.error.as_ref()).and_then(|key| view.figure(key));
    Survey {
        id: format!("survey-{}", survey.key),
        date,
        facts,
        maps: found.map(|map| maps(view, survey, map)).unwrap_or_default(),
        error: error.map(|figure| view.value_of(figure).linked(format!("#{}", anchor(&figure.key)))),
        note: survey.note.clone(),
    }
}

/// Cells of a drawn field along the longer side.
const CELLS: usize = 44;

/// Tints of a field part at no more values than this.
const MOST_LEVELS: usize = 6;

/// One map a depth, all with the same tints.
fn maps(view: &View, survey: &LightSurvey, found: &SurveyMap) -> Vec<ChartBlock> {
    let [length, width, _] = view.tank.size.as_ref().map_or([100.0, 50.0, 50.0], |size| size.value);
    let side = length.max(width) / CELLS as f64;
    let cells = |reach: f64| ((reach / side).round() as usize).max(2);
    let (columns, rows) = (cells(length), cells(width));
    let fields: Vec<Vec<Vec<f64>>> = found
        .map
        .layers()
        .iter()
        .map(|layer| {
            let row = |row: usize| {
                let y = width * row as f64 / rows as f64;
                (0..=columns).map(|column| layer.at(length * column as f64 / columns as f64, y)).collect()
            };
            (0..=rows).map(row).collect()
        })
        .collect();
    let all = || fields.iter().flatten().flatten().copied();
    let levels = levels_between(all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max), MOST_LEVELS);
    let layers = found.map.layers().iter().zip(fields);
    layers
        .map(|(layer, rows)| map_block(view, survey, found, layer, chart::Field { rows, levels: levels.clone() }))
        .collect()
}

/// At most so many round values between two lights. Light falls by shares with depth: where it spans much, so do the
/// levels, or the deepest map would be of one tint.
fn levels_between(low: f64, high: f64, most: usize) -> Vec<f64> {
    const MUCH: f64 = 2.5;
    let low_end = low.max(high / 100.0);
    if high.is_finite() && high > MUCH * low_end && low_end > 0.0 {
        for steps in [&[1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0][..], &[1.0, 2.0, 4.0, 8.0], &[1.0, 3.0]] {
            let powers = low_end.log10().floor() as i32..=high.log10().ceil() as i32;
            let levels: Vec<f64> = powers
                .flat_map(|power| steps.iter().map(move |step| step * 10f64.powi(power)))
                .filter(|level| (low_end..high).contains(level))
                .collect();
            if levels.len() <= most {
                return levels;
            }
        }
    }
    round_levels(low, high, most)
}

/// At most so many round values between two, as far from each other.
fn round_levels(low: f64, high: f64, most: usize) -> Vec<f64> {
    if !(high > low && high.is_finite()) {
        return Vec::new();
    }
    let rough = (high - low) / most as f64;
    let power = 10f64.powf(rough.log10().floor());
    [1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 10.0, 20.0]
        .iter()
        .map(|times| times * power)
        .map(|step| {
            let first = (low / step).floor() + 1.0;
            let count = ((high / step).ceil() - first).max(0.0) as usize;
            (0..count).map(|index| (first + index as f64) * step).collect::<Vec<f64>>()
        })
        .find(|levels| levels.len() <= most)
        .unwrap_or_default()
}

/// With fewer readings a map is one number with a stain around each of them.
const FEWEST_FOR_TINTS: usize = 4;

fn map_block(view: &View, survey: &LightSurvey, found: &SurveyMap, layer: &Layer, field: chart::Field) -> ChartBlock {
    let [length, width, _] = view.tank.size.as_ref().map_or([100.0, 50.0, 50.0], |size| size.value);
    let shift = view.shift("cm");
    let across = |cm: f64| fixed(shift.value(cm), shift.decimals(0));
    let colonies = view
        .record
        .colonies_in(&view.tank.key, survey.on.value)
        .filter_map(|colony| {
            let placement = colony.placement_on(survey.on.value)?;
            Some(chart::PlanColony {
                x: shift.value(placement.x?),
                y: shift.value(placement.y?),
                label: colony.name.value.clone(),
            })
        })
        .collect();
    let readings: Vec<(f64, f64, f64)> = layer.points().collect();
    let span =
        readings.iter().fold((f64::INFINITY, 0.0f64), |span, reading| (span.0.min(reading.2), span.1.max(reading.2)));
    let mut sentence = format!(
        "{} {} deep, seen from above, the front pane at the bottom: {} readings between {} and {} µmol/m²/s.",
        across(layer.depth_cm),
        shift.unit,
        readings.len(),
        fixed(span.0, 0),
        fixed(span.1, 0)
    );
    let tinted = readings.len() >= FEWEST_FOR_TINTS;
    match &found.leave_one_out {
        _ if !tinted => sentence.push_str(" They are too few for tints between them."),
        Some(left) => sentence.push_str(&format!(
            " The tints between them are worked out, and {} % wrong on average where a reading is left out.",
            crate::figures::number((1000.0 * left.relative).round() / 10.0)
        )),
        None => sentence.push_str(" The tints between them are worked out."),
    }
    sentence.push_str(" Colonies of all depths are shown.");
    if (found.factor - 1.0).abs() > 1e-9 {
        let what = if survey.unit == LightUnit::Lux { "read in lux, shown" } else { "readings shown" };
        sentence.push_str(&format!(" {} times {}.", sentence_case(what), crate::figures::number(found.factor)));
    }
    let date = date_text(survey.on.value).text;
    let title = format!("Light {} {} deep, {date}", across(layer.depth_cm), shift.unit);
    let id = format!("survey-{}-{}", survey.key, fixed(layer.depth_cm, 0));
    let drawn = chart::draw_plan(&chart::Plan {
        id: id.clone(),
        title: title.clone(),
        description: sentence.clone(),
        unit: "µmol/m²/s".into(),
        unit_of_length: shift.unit.clone(),
        length: shift.value(length),
        width: shift.value(width),
        points: readings
            .iter()
            .map(|(x, y, light)| chart::PlanPoint { x: shift.value(*x), y: shift.value(*y), value: *light })
            .collect(),
        colonies,
        field: tinted.then_some(field),
        decimals: 0,
    });
    let rows = readings
        .iter()
        .map(|(x, y, light)| {
            vec![
                Cell::number(across(*x)),
                Cell::number(across(*y)),
                Cell::number(fixed(*light, 0)).known(Basis::Measured),
            ]
        })
        .collect();
    ChartBlock {
        id: format!("chart-{id}"),
        title,
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: format!("The {} readings as a table", readings.len()),
        table: Table {
            caption: "Readings; x from the left pane, y from the front pane".into(),
            head: vec![
                HeadCell::number(format!("x, {}", shift.unit)),
                HeadCell::number(format!("y, {}", shift.unit)),
                HeadCell::number("µmol/m²/s"),
            ],
            rows,
        },
        ..ChartBlock::default()
    }
}

/// `LED bar: up to 75 % of full level, lit from 10:00 to 20:00, as set today.`
fn lit(name: &str, course: &[(f64, f64)]) -> String {
    let peak = course.iter().map(|(_, level)| *level).fold(0.0, f64::max);
    let (Some(first), Some(last)) =
        (course.iter().position(|(_, level)| *level > 0.0), course.iter().rposition(|(_, level)| *level > 0.0))
    else {
        return format!("{name}: off all day, as set today.");
    };
    // A ramp begins and ends at the dark point beside it.
    let from = course[first.saturating_sub(1)].0;
    let to = course.get(last + 1).map_or(course[last].0, |(hour, _)| *hour);
    let clock = |hour: f64| {
        let minutes = (hour * 60.0).round() as u32;
        format!("{:02}:{:02}", minutes / 60, minutes % 60)
    };
    format!(
        "{name}: up to {}\u{a0}% of full level, lit from {} to {}, as set today.",
        fixed(peak, 0),
        clock(from),
        clock(to)
    )
}

/// The course of every lamp's level over today.
fn day_curve(view: &View) -> Option<ChartBlock> {
    let as_of = view.record.as_of;
    let lines: Vec<(String, Vec<(f64, f64)>)> = view
        .tank
        .devices_at(as_of)
        .filter(|device| device.role.value == Role::Lamp)
        .filter_map(|device| {
            let settings = &device.settings.at(as_of)?.value;
            let schedule = settings.schedule.as_ref()?;
            let level = settings.level.as_ref().map_or(1.0, |level| level.value);
            let course =
                schedule.value.course().into_iter().map(|(hour, share)| (hour, share * level * 100.0)).collect();
            Some((device.name.value.clone(), course))
        })
        .collect();
    if lines.is_empty() {
        return None;
    }
    let rows = lines
        .iter()
        .flat_map(|(name, course)| {
            course.iter().map(move |(hour, level)| {
                let minutes = (hour * 60.0).round() as u32;
                vec![
                    Cell::header(name.clone()),
                    Cell::text(format!("{:02}:{:02}", minutes / 60, minutes % 60)),
                    Cell::number(fixed(*level, 0)),
                ]
            })
        })
        .collect();
    let sentence = lines.iter().map(|(name, course)| lit(name, course)).collect::<Vec<_>>().join(" ");
    let drawn = chart::draw_day_curve(&chart::DayCurve {
        id: "lamp-day".into(),
        title: "The lamp’s day".into(),
        description: sentence.clone(),
        unit: "% of full level".into(),
        lines,
        y_max: Some(100.0),
    });
    Some(ChartBlock {
        id: "chart-lamp-day".into(),
        title: "The lamp’s day".into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        table_summary: "The points as a table".into(),
        table: Table {
            caption: "Level by time of day".into(),
            head: vec![HeadCell::text("Lamp"), HeadCell::text("Time"), HeadCell::number("Level, %")],
            rows,
        },
        ..ChartBlock::default()
    })
}
