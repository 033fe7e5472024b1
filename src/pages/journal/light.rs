//! Light: surveys as plans, the lamp's day, and the day's light at each colony.

use super::gear::{device_link, history};
use super::view::*;
use crate::pages::chart;
use crate::pages::model::light::*;
use crate::pages::model::*;
use crate::record::{LightSurvey, Role, YesNo};

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
        .and_then(|placement| placement.where_text.clone())
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
        (Some(factor), YesNo::Yes) => format!("{}, already in the readings", factor.value),
        (Some(factor), YesNo::No) => format!("{}, to be applied", factor.value),
        (Some(factor), YesNo::Unknown) => format!("{}; whether it is in the readings is not recorded", factor.value),
        (None, _) => "not recorded, up to 30 % on every number".into(),
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
    let mut depths: Vec<f64> = survey.points.iter().map(|point| point.depth).collect();
    depths.sort_by(f64::total_cmp);
    depths.dedup();
    // The plan shows the depth with the most readings; the table holds all.
    let depth = depths
        .iter()
        .copied()
        .max_by_key(|depth| survey.points.iter().filter(|point| point.depth == *depth).count())
        .unwrap_or(0.0);
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
    let (low, high) = survey
        .points
        .iter()
        .fold((f64::INFINITY, 0.0f64), |(low, high), point| (low.min(point.light), high.max(point.light)));
    let sentence = format!(
        "{} readings between {} and {} µmol/m²/s; drawn are those {} {} deep, seen from above, the front pane at the bottom.",
        survey.points.len(),
        fixed(low, 0),
        fixed(high, 0),
        across(depth),
        shift.unit
    );
    let title = format!("Light survey of {}", date.text);
    let drawn = chart::draw_plan(&chart::Plan {
        id: format!("survey-{}", survey.key),
        title: title.clone(),
        description: sentence.clone(),
        unit: "µmol/m²/s".into(),
        unit_of_length: shift.unit.clone(),
        length: shift.value(length),
        width: shift.value(width),
        points: survey
            .points
            .iter()
            .filter(|point| point.depth == depth)
            .map(|point| chart::PlanPoint { x: shift.value(point.x), y: shift.value(point.y), value: point.light })
            .collect(),
        colonies,
        decimals: 0,
    });
    let rows = survey
        .points
        .iter()
        .map(|point| {
            vec![
                Cell::number(across(point.x)),
                Cell::number(across(point.y)),
                Cell::number(across(point.depth)),
                Cell::number(fixed(point.light, 0)).known(Basis::Measured),
            ]
        })
        .collect();
    Survey {
        id: format!("survey-{}", survey.key),
        date,
        facts,
        plan: ChartBlock {
            id: format!("chart-survey-{}", survey.key),
            title,
            wide: Html::trusted(drawn.wide),
            narrow: Html::trusted(drawn.narrow),
            sentence,
            table_summary: format!("The {} readings as a table", survey.points.len()),
            table: Table {
                caption: "Readings; x from the left pane, y from the front pane".into(),
                head: vec![
                    HeadCell::number(format!("x, {}", shift.unit)),
                    HeadCell::number(format!("y, {}", shift.unit)),
                    HeadCell::number(format!("depth, {}", shift.unit)),
                    HeadCell::number("µmol/m²/s"),
                ],
                rows,
            },
            ..ChartBlock::default()
        },
        note: survey.note.clone(),
    }
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
    let sentence = "The lamp’s level through the day, as set today.".to_string();
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
