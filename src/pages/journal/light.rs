//! Light: surveys as plans, the lamp's day, and the day's light at each colony.

use super::gear::{device_link, history};
use super::lighting;
use super::survey;
use super::view::*;
use crate::pages::chart;
use crate::pages::model::light::*;
use crate::pages::model::*;
use crate::record::Role;

/// `newest` is the survey that is shown whole.
pub fn page(view: &View, newest: Option<&Survey>) -> Page {
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
        survey: newest.cloned(),
        surveys: survey::list(view),
        colonies,
        colonies_note: "The light of the survey nearest in place, carried over to today’s lamp level, and summed over the day with its ramps. Bands are the keeper’s own.".into(),
        schedule: day_curve(view),
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
