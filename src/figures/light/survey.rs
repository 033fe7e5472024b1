//! A survey as a map, and how wrong the map is where nobody measured.

use super::Figures;
use super::reading::{self, Conversion};
use crate::figures::graph::{Basis, Root, Shape};
use crate::figures::inputs::number;
use crate::record::survey::LightUnit;
use crate::record::{LightSurvey, Record, Tank};
use crate::science::light::Place;
use crate::science::light_map::{LeaveOneOut, LightMap};
use crate::units::{Length, PhotonFlux};

/// A survey with the map through its readings.
#[derive(Clone, Debug)]
pub struct SurveyMap {
    /// Key of the survey.
    pub survey: String,
    /// In µmol/m²/s under water.
    pub map: LightMap,
    /// What each reading was multiplied by to get there.
    pub factor: f64,
    pub leave_one_out: Option<LeaveOneOut>,
    /// Key of the figure of the map's error.
    pub error: Option<String>,
    pub(super) conversion: Conversion,
}

impl SurveyMap {
    /// Standard uncertainty, relative, of the map at a distance in cm from the nearest reading: none at a reading, the
    /// error of leaving one out as far away as it was tested, and in proportion beyond.
    pub fn relative_error_at(&self, nearest_cm: f64) -> f64 {
        match &self.leave_one_out {
            Some(left) => left.relative * nearest_cm / left.distance_cm.max(1.0),
            // Too few readings to judge: a third, at a hand's breadth.
            None => 0.3 * (nearest_cm / 10.0).min(2.0),
        }
    }
}

/// A place in cm.
pub(super) fn place(x: f64, y: f64, depth: f64) -> Place {
    Place { x: Length::centimetres(x), y: Length::centimetres(y), depth: Length::centimetres(depth) }
}

pub(super) fn work_out(record: &Record, tank: &Tank, survey: &LightSurvey, figures: &mut Figures) -> Option<SurveyMap> {
    let conversion = reading::conversion(record, tank, survey, figures);
    let factor = figures.graph.value(conversion.node);
    let readings: Vec<(Place, PhotonFlux)> = survey
        .points
        .iter()
        .map(|point| (place(point.x, point.y, point.depth), PhotonFlux::umol_per_m2_s(point.light * factor)))
        .collect();
    let map = LightMap::of_readings(&readings).ok()?;
    let leave_one_out = map.leave_one_out();
    let key = format!("light.map-error.{}", survey.key);
    let label = format!("Error of the light map of {} between its readings", survey.on.value);
    let error = match &leave_one_out {
        Some(left) => {
            let root = Root {
                label: format!("{} readings, each left out in turn", left.count),
                value: 100.0 * left.relative,
                // The root of a mean of n squares is known to 1/√(2n).
                uncertainty: 100.0 * left.relative / (2.0 * left.count as f64).sqrt(),
                unit: "%".into(),
                basis: Basis::Computed,
                places: vec![survey.place.clone()],
                shape: Shape::Normal,
                private: false,
                note: None,
                source: None,
            };
            let node = figures.graph.root(root);
            let numbers = format!(
                "{} % over {} readings, {} cm from their neighbours; the worst {} %",
                number(100.0 * left.relative),
                left.count,
                number(left.distance_cm),
                number(100.0 * left.worst)
            );
            figures
                .define(&tank.key, &key, &label)
                .method("√(mean of ((map without it − reading) ∕ reading)²)", numbers, &["stone_1974", "shepard_1968"])
                .inputs(&[node])
                .note("in each depth a surface of least squares with what is left spread by the inverse square of distance; between depths straight lines in ln E; the map passes through every reading")
                .finish(node);
            Some(key)
        }
        None => {
            figures.miss(&tank.key, &key, &label, "three readings or more at one depth, 10 to 15 cm apart");
            None
        }
    };
    Some(SurveyMap { survey: survey.key.clone(), map, factor, leave_one_out, error, conversion })
}

/// Relative standard uncertainty of one reading where the survey does not say: of a quantum meter 10 %, of a lux meter
/// nothing besides what its conversion says (common practice, no source).
pub(super) fn reading_uncertainty(survey: &LightSurvey) -> f64 {
    match (&survey.uncertainty, survey.unit) {
        (Some(said), _) => said.value,
        (None, LightUnit::Photons) => 0.10,
        (None, LightUnit::Lux) => 0.05,
    }
}
