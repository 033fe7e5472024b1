//! Light: surveys as maps, what reaches each colony, what a level would change, and the lamp's own light.

use super::figure::Figures;
use crate::record::colony::Colony;
use crate::record::{Device, LightSurvey, Record, Role, Tank};

mod acclimation;
mod change;
mod colony;
mod dimming;
mod earlier;
mod estimate;
mod reading;
mod spectrum;
mod survey;

pub use acclimation::{Plan, PlanFor, PlanStep};
pub use change::LampChange;
pub use dimming::{ColonyLevels, Dimming, Elsewhere};
pub use earlier::key as earlier_key;
pub use spectrum::LampLight;
pub use survey::SurveyMap;

/// What light reaches one colony.
#[derive(Clone, Debug)]
pub struct ColonyLight {
    pub colony: String,
    /// Keys of its figures.
    pub par: Option<String>,
    pub dli: Option<String>,
    /// The survey it rests on; none where it was worked out from what the lamp's maker states.
    pub survey: Option<String>,
    /// Distance in cm to the nearest reading used.
    pub nearest: Option<f64>,
}

/// What pages draw of the light besides the colonies.
#[derive(Clone, Debug, Default)]
pub struct Lighting {
    /// Oldest first.
    pub surveys: Vec<SurveyMap>,
    pub lamps: Vec<LampLight>,
    pub dimming: Option<Dimming>,
    pub changes: Vec<LampChange>,
    pub plans: Vec<Plan>,
}

pub fn work_out(record: &Record, tank: &Tank, figures: &mut Figures) -> (Vec<ColonyLight>, Lighting) {
    let mut lighting = Lighting {
        lamps: lamps(record, tank).map(|lamp| spectrum::work_out(record, tank, lamp, figures)).collect(),
        ..Lighting::default()
    };
    lighting.surveys =
        tank.surveys.iter().filter_map(|survey| survey::work_out(record, tank, survey, figures)).collect();
    lighting.changes = change::work_out(tank, &lighting.surveys, figures);
    let today = lighting.surveys.iter().rev().find(|map| {
        tank.surveys.iter().any(|survey| survey.key == map.survey && is_of_lamp_in_use(record, tank, survey))
    });
    let estimate = if today.is_none() { estimate::surface(record, tank, figures) } else { None };
    let mut colonies = Vec::new();
    let mut lit = Vec::new();
    for one in record.colonies_in(&tank.key, record.as_of).filter(|colony| !moves_about(colony)) {
        let (found, par) = colony::work_out(record, tank, one, today, estimate.as_ref(), figures);
        if let Some(par) = par {
            lit.push((one, par));
        }
        colonies.push(found);
    }
    for one in record.colonies.values().filter(|colony| !moves_about(colony)) {
        earlier::work_out(record, tank, one, &lighting.surveys, figures);
    }
    lighting.dimming = dimming::work_out(record, tank, &lit, today, figures);
    // Nobody should turn a lamp by an estimate that may be half or twice the truth.
    let measured = lighting.dimming.as_ref().filter(|_| today.is_some());
    lighting.plans = acclimation::work_out(record, tank, &lit, measured, figures);
    (colonies, lighting)
}

/// Whether it goes where it likes, so that no light or flow is its own.
pub fn moves_about(colony: &Colony) -> bool {
    use crate::record::colony::Group::*;
    matches!(colony.group.value, Snail | Crab | Shrimp | Urchin | Fish)
}

/// Lamps in service.
fn lamps<'a>(record: &'a Record, tank: &'a Tank) -> impl Iterator<Item = &'a Device> {
    tank.devices_at(record.as_of).filter(|device| device.role.value == Role::Lamp)
}

fn is_of_lamp_in_use(record: &Record, tank: &Tank, survey: &LightSurvey) -> bool {
    lamps(record, tank).any(|lamp| lamp.key == survey.lamp.value)
}

/// The survey of a map.
fn survey_of<'a>(tank: &'a Tank, map: &SurveyMap) -> Option<&'a LightSurvey> {
    tank.surveys.iter().find(|survey| survey.key == map.survey)
}
