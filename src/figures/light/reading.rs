//! What a survey's readings are worth: from what the meter showed to light for photosynthesis under water.

use super::Figures;
use super::spectrum;
use crate::figures::graph::NodeId;
use crate::figures::inputs::{assumed_between, measured, stated};
use crate::record::survey::LightUnit;
use crate::record::{LightSurvey, Record, Tank, YesNo};

/// What readings are multiplied by.
#[derive(Clone, Debug)]
pub(super) struct Conversion {
    /// µmol/m²/s for each unit read.
    pub node: NodeId,
    pub inputs: Vec<NodeId>,
    /// In symbols, to stand after the reading: ` · f(immersion)`.
    pub symbol: &'static str,
    pub notes: Vec<String>,
}

/// Adds what a survey's readings are multiplied by; says what to record where the survey does not say enough.
pub(super) fn conversion(record: &Record, tank: &Tank, survey: &LightSurvey, figures: &mut Figures) -> Conversion {
    match survey.unit {
        LightUnit::Photons => immersion(tank, survey, figures),
        LightUnit::Lux => photons_of_lux(record, tank, survey, figures),
    }
}

fn immersion(tank: &Tank, survey: &LightSurvey, figures: &mut Figures) -> Conversion {
    let graph = &mut figures.graph;
    let symbol = " · f(immersion)";
    let node = match (survey.factor_applied, &survey.immersion_factor) {
        (YesNo::Yes, _) => {
            return Conversion { node: graph.exact(1.0), inputs: Vec::new(), symbol, notes: Vec::new() };
        }
        (YesNo::No, Some(factor)) => measured(graph, "Immersion factor", factor.value, 0.03, "1", &factor.place),
        // A factor is printed but nobody said whether it is in: it may be or not.
        (YesNo::Unknown, Some(factor)) => assumed_between(
            graph,
            "Immersion factor",
            1.0,
            factor.value.max(1.0),
            "1",
            "whether the meter’s immersion factor is in the readings is not recorded (`factor-applied:`)",
        ),
        (_, None) => assumed_between(
            graph,
            "Immersion factor",
            1.0,
            1.32,
            "1",
            "whether the meter’s immersion factor is in the readings is not recorded (`immersion-factor:`, `factor-applied:`)",
        ),
    };
    let known = matches!((survey.factor_applied, &survey.immersion_factor), (YesNo::No, Some(_)));
    let mut notes = Vec::new();
    if !known {
        notes.push("ask the meter’s owner whether its immersion factor is in the readings".to_string());
        figures.miss(
            &tank.key,
            &format!("light.immersion.{}", survey.key),
            &format!("Immersion factor of the survey of {}", survey.on.value),
            "from the meter’s paper: `immersion-factor: 1.25`, and `factor-applied: yes` if the meter or you have put it in, else `no`",
        );
    }
    Conversion { node, inputs: vec![node], symbol, notes }
}

/// Lux in each µmol/m²/s of lamps over tanks, where the spectrum is not known: blue ones have few, white ones many.
const LUX_PER_PHOTON: (f64, f64) = (20.0, 80.0);

fn photons_of_lux(record: &Record, tank: &Tank, survey: &LightSurvey, figures: &mut Figures) -> Conversion {
    let lamp = tank.device(&survey.lamp.value);
    let known = lamp.and_then(|lamp| spectrum::of_lamp(record, tank, lamp));
    let graph = &mut figures.graph;
    let mut notes = vec!["read in lux: a quantum meter would be sure to 10 %".to_string()];
    let lux = match known.and_then(|(spectrum, place)| Some((spectrum::lux_per_photon(&spectrum)?, place))) {
        Some((lux, place)) => {
            stated(graph, "Lux in each µmol/m²/s by the lamp’s spectrum", lux, 0.1 * lux, "lx per µmol/m²/s", &place)
        }
        None => {
            notes.push("the lamp’s spectrum is not recorded (`spectrum:` in its spec sheet), and a lux is worth four times as much light under a blue lamp as under a white one".into());
            assumed_between(
                graph,
                "Lux in each µmol/m²/s",
                LUX_PER_PHOTON.0,
                LUX_PER_PHOTON.1,
                "lx per µmol/m²/s",
                "the lamp’s spectrum is not recorded",
            )
        }
    };
    let meter = assumed_between(
        graph,
        "Lux meter against the standard eye",
        0.7,
        1.3,
        "1",
        "a phone or a cheap meter under a lamp of few colours is 30 % out (common practice, no source)",
    );
    let node = graph.compute("µmol/m²/s in each lux", "µmol/m²/s per lx", &[lux, meter], |x| x[1] / x[0]);
    Conversion { node, inputs: vec![lux, meter], symbol: " · f(meter) ∕ k(lx)", notes }
}
