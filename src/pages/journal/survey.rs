//! Light surveys: a page for each, where it stays when a newer one comes, and a list of them.

use super::gear::device_link;
use super::view::*;
use crate::figures::light::SurveyMap;
use crate::pages::chart;
use crate::pages::model::light::*;
use crate::pages::model::*;
use crate::record::survey::LightUnit;
use crate::record::{LightSurvey, YesNo};
use crate::science::light_map::Layer;

/// What each survey of the tank shows, in their order.
pub fn blocks(view: &View) -> Vec<Survey> {
    view.tank.surveys.iter().map(|survey| block(view, survey)).collect()
}

/// A page for each of them.
pub fn pages(view: &View, blocks: Vec<Survey>) -> Vec<Page> {
    let surveys = &view.tank.surveys;
    let beside = |place: Option<usize>| {
        let survey = surveys.get(place?)?;
        Some(PlaceLink::new(date_text(survey.on.value).text, path(view, survey)))
    };
    let page = |(place, (survey, block)): (usize, (&LightSurvey, Survey))| {
        let body = SurveyPage { survey: block, previous: beside(place.checked_sub(1)), next: beside(Some(place + 1)) };
        let date = date_text(survey.on.value).text;
        let mut page = Page::new(
            path(view, survey),
            "light",
            format!("Light survey of {date}"),
            format!("What a sensor read under the lamp on {date}, drawn as seen from above."),
            PageBody::Survey(Box::new(body)),
        );
        page.trail = vec![PlaceLink::new("Light", view.href("light.html"))];
        page
    };
    surveys.iter().zip(blocks).enumerate().map(page).collect()
}

fn path(view: &View, survey: &LightSurvey) -> String {
    view.href(&format!("light/{}.html", survey.key))
}

/// Every survey in a line, newest first; none where there is only one, which the page shows whole.
pub fn list(view: &View) -> Option<Table> {
    let surveys = &view.tank.surveys;
    if surveys.len() < 2 {
        return None;
    }
    let row = |survey: &LightSurvey| {
        // Readings that cannot be told in these units, such as lux without the lamp's spectrum, are in no map.
        let span = found_of(view, survey).and_then(|found| {
            let lights = || found.map.layers().iter().flat_map(|layer| layer.points()).map(|(_, _, light)| light);
            Some((lights().reduce(f64::min)?, lights().reduce(f64::max)?))
        });
        vec![
            Cell { header: true, ..Cell::date(date_text(survey.on.value).text) }.linked(path(view, survey)),
            Cell::text(device_link(view, &survey.lamp.value).text),
            Cell::number(format!("{}\u{a0}%", fixed(survey.level.value * 100.0, 0))),
            Cell::number((survey.points.len() + survey.at.len()).to_string()),
            span.map_or(Cell::number("–"), |(low, high)| {
                Cell::number(format!("{} to {}", fixed(low, 0), fixed(high, 0))).known(Basis::Measured)
            }),
        ]
    };
    Some(Table {
        caption: "Light surveys, newest first; each with its maps on a page of its own".into(),
        head: vec![
            HeadCell::text("Survey"),
            HeadCell::text("Lamp"),
            HeadCell::number("Level"),
            HeadCell::number("Readings"),
            HeadCell::number("µmol/m²/s"),
        ],
        rows: surveys.iter().rev().map(row).collect(),
    })
}

fn found_of<'a>(view: &'a View, survey: &LightSurvey) -> Option<&'a SurveyMap> {
    view.of.lighting.surveys.iter().find(|map| map.survey == survey.key)
}

/// What was read, where and with what, and a map for each depth.
fn block(view: &View, survey: &LightSurvey) -> Survey {
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
    let found = found_of(view, survey);
    let error = found.and_then(|map| map.error.as_ref()).and_then(|key| view.figure(key));
    Survey {
        id: format!("survey-{}", survey.key),
        date,
        facts,
        maps: found.map(|map| maps(view, survey, map)).unwrap_or_default(),
        error: error.map(|figure| view.value_of(figure).linked(view.figure_place(&figure.tank, &figure.key))),
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
