//! The light a colony lived in where it stood before: of the survey nearest in time, carried over to the lamp's level and
//! hours of its last day there.

use jiff::civil::Date;

use super::colony::{Stand, by_the_day, carried_over, read_at};
use super::survey::SurveyMap;
use super::{Figures, survey_of};
use crate::record::colony::{Colony, Placement};
use crate::record::{Record, Role, Tank};

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

fn one(tank: &Tank, colony: &Colony, stand: Stand, surveys: &[SurveyMap], figures: &mut Figures) {
    let Placement { since, .. } = stand.placement;
    let name = &colony.name.value;
    let (par_key, dli_key) = (key(&colony.key, *since, "par"), key(&colony.key, *since, "dli"));
    let par_label = format!("{name}: light at midday where it stood from {since} to {}", stand.on);
    let dli_label = format!("{name}: daily light integral where it stood from {since} to {}", stand.on);
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
    let level = format!("Lamp level on {}", stand.on);
    let par = carried_over(tank, survey, map, stand, (read, inputs), (&par_key, &par_label, &level), figures);
    by_the_day(tank, &survey.lamp.value, stand.on, (&par_key, par), (&dli_key, &dli_label), figures);
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
