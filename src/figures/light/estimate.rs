//! Light without a meter: from what the maker states, spread over the footprint and through the water, with an honest
//! width.

use super::colony::share_of_full;
use super::{Figures, lamps, spectrum};
use crate::figures::figure::InputName;
use crate::figures::graph::NodeId;
use crate::figures::inputs::{assumed_between, measured, number, set, stated};
use crate::record::colony::Colony;
use crate::record::{Record, Tank};
use crate::science::photons::{PHOTOSYNTHETIC_NM, Spectrum, photons_per_lumen, pure_water_transmission_pope_fry_1997};
use crate::units::Length;

/// Light at the surface as worked out, for the colonies below it.
pub(super) struct Surface {
    pub lamp: String,
    node: NodeId,
    spectrum: Option<Spectrum>,
    /// Of the lamp over the water, cm.
    height: Option<f64>,
}

const KEY: &str = "light.estimate.surface";

/// Adds the mean light at the surface under the first lamp of which enough is stated.
pub(super) fn surface(record: &Record, tank: &Tank, figures: &mut Figures) -> Option<Surface> {
    let label = "Light at the surface, from the maker’s numbers";
    let size = tank.size.as_ref()?;
    let lamp = lamps(record, tank).find(|lamp| {
        let spec = record.spec_of(tank, lamp);
        lamp.watts.is_some() || spec.is_some_and(|spec| spec.luminous_flux.is_some() || spec.power.is_some())
    })?;
    let spec = record.spec_of(tank, lamp);
    let spectrum = spectrum::of_lamp(record, tank, lamp);
    let settings = lamp.settings.at(record.as_of).map(|stretch| &stretch.value);
    let graph = &mut figures.graph;
    let mut inputs = Vec::new();
    let mut sources = vec!["common-practice"];
    let (photons, formula) = if let Some(lumens) = spec.and_then(|spec| spec.luminous_flux.as_ref()) {
        // A maker's lumens are of the bare emitters, or of the lamp: ten in a hundred (common practice, no source).
        let flux = stated(graph, "Lumens", lumens.value.value, 0.1 * lumens.value.value, "lm", &lumens.place);
        let (from, to) = PHOTOSYNTHETIC_NM;
        let each = match spectrum.as_ref().and_then(|(spectrum, place)| {
            Some((photons_per_lumen(spectrum, from, to).ok()?.umol_per_s_per_lumen, place))
        }) {
            Some((each, place)) => {
                sources.extend(["cie_015_2018", "si_brochure_2019"]);
                stated(graph, "Photons in each lumen by the lamp’s spectrum", each, 0.1 * each, "µmol/s per lm", place)
            }
            None => assumed_between(
                graph,
                "Photons in each lumen",
                1.0 / 80.0,
                1.0 / 20.0,
                "µmol/s per lm",
                "the lamp’s spectrum is not recorded: a white lamp has 1/80, a blue one 1/20 and more",
            ),
        };
        inputs.extend([flux, each]);
        (graph.compute("Photons of the lamp", "µmol/s", &[flux, each], |x| x[0] * x[1]), "Φ · n")
    } else {
        let watts = match (&lamp.watts, spec.and_then(|spec| spec.power.as_ref())) {
            (Some(watts), _) => {
                measured(graph, "Power", watts.value.value, 0.03 * watts.value.value, "W", &watts.place)
            }
            (None, Some(power)) => {
                stated(graph, "Power", power.value.value, 0.1 * power.value.value, "W", &power.place)
            }
            (None, None) => return None,
        };
        let each = assumed_between(
            graph,
            "Photons for each joule",
            0.8,
            2.8,
            "µmol/J",
            "neither lumens nor photons are stated: lamps of light-emitting diodes give 0.8 to 2.8 µmol for each joule (common practice, no source)",
        );
        inputs.extend([watts, each]);
        (graph.compute("Photons of the lamp", "µmol/s", &[watts, each], |x| x[0] * x[1]), "P · n")
    };
    let level = match settings.and_then(|settings| settings.level.as_ref()) {
        Some(level) => {
            let node = set(graph, "Lamp level", level.value, "1", &level.place);
            inputs.push(node);
            node
        }
        None => graph.exact(1.0),
    };
    // What stands in the working is what was put in.
    let share = match &lamp.dimming {
        Some(curve) => {
            let node = share_of_full(graph, "Lamp level", level, curve);
            inputs.push(node);
            node
        }
        None => level,
    };
    let reaches = assumed_between(
        graph,
        "Share of its light that reaches the water",
        0.4,
        0.9,
        "1",
        "what spills beside the tank or is lost in lens, lid and at the surface is not known (common practice, no source)",
    );
    let [length, width, _] = size.value;
    let area = measured(graph, "Footprint", length * width / 1e4, 0.02 * length * width / 1e4, "m²", &size.place);
    inputs.extend([reaches, area]);
    let node = graph.compute(label, "µmol/m²/s", &[photons, share, reaches, area], |x| x[0] * x[1] * x[2] / x[3]);
    let value = |node: NodeId| number(graph.value(node));
    let numbers = format!(
        "E = {} µmol/s × {} × {} ∕ {} m² = {} µmol/m²/s",
        value(photons),
        value(share),
        value(reaches),
        value(area),
        value(node)
    );
    figures
        .define(&tank.key, KEY, label)
        .method(
            format!("E = {formula} · {} · share ∕ A", if lamp.dimming.is_some() { "g(level)" } else { "level" }),
            numbers,
            &sources,
        )
        .inputs(&inputs)
        .note("the mean over the surface: brighter under the lamp, darker in the corners")
        .note("a survey with a borrowed quantum meter would make this sure to 10 %")
        .finish(node);
    figures.miss(
        &tank.key,
        "light.survey",
        "Light as measured",
        "a light survey, `light/DATE.yaml`: with a quantum meter, or with a lux app (`units: {position: cm, light: lx}`)",
    );
    Some(Surface {
        lamp: lamp.key.clone(),
        node,
        spectrum: spectrum.map(|(spectrum, _)| spectrum),
        height: settings.and_then(|settings| settings.height.as_ref()).map(|height| height.value.value),
    })
}

impl Surface {
    /// Adds the light at a colony: wide, because neither the lamp's pattern nor the panes' part in it is known.
    pub fn at_colony(
        &self,
        record: &Record,
        tank: &Tank,
        colony: &Colony,
        (key, label): (&str, &str),
        figures: &mut Figures,
    ) -> NodeId {
        let graph = &mut figures.graph;
        let placement = colony.placement_on(record.as_of);
        let pattern = assumed_between(
            graph,
            "Its place against the mean of the surface",
            0.4,
            1.7,
            "1",
            "under the middle of a lamp there is more, in a corner less (common practice, no source)",
        );
        let depth = match placement.and_then(|placement| Some((placement.depth?, placement))) {
            Some((depth, placement)) => measured(graph, "Depth", depth, 2.0, "cm", &placement.place),
            None => {
                let deepest = tank.water_depth.as_ref().map_or(50.0, |depth| depth.value.value);
                assumed_between(graph, "Depth", 0.0, deepest, "cm", "its depth is not recorded")
            }
        };
        let height = self.height.unwrap_or(20.0);
        let spread = assumed_between(
            graph,
            "How much of the spreading the panes send back",
            0.0,
            1.0,
            "1",
            "from none, as under a point in the open, to all, as in a light pipe",
        );
        // Worked out once every 5 cm: the formula is asked for thousands of times.
        let through: Vec<f64> = (0..=60)
            .map(|step| {
                let depth = Length::centimetres(5.0 * f64::from(step));
                let known = self.spectrum.as_ref().map(|light| pure_water_transmission_pope_fry_1997(light, depth));
                known.and_then(Result::ok).unwrap_or(1.0)
            })
            .collect();
        let node = graph.compute(label, "µmol/m²/s", &[self.node, pattern, depth, spread], move |x| {
            let depth = x[2].max(0.0);
            let open = (height / (height + depth)).powi(2);
            let geometry = open + (1.0 - open) * x[3];
            let step = (depth / 5.0).min(59.999);
            let (above, share) = (step as usize, step.fract());
            x[0] * x[1] * geometry * (through[above] * (1.0 - share) + through[above + 1] * share)
        });
        let value = |node: NodeId| number(graph.value(node));
        let numbers = format!(
            "E = {} × {}, {} cm deep under a lamp {} cm over the water = {} µmol/m²/s",
            value(self.node),
            value(pattern),
            value(depth),
            number(height),
            value(node)
        );
        figures
            .define(&tank.key, key, label)
            .method(
                "E = E(surface) · f(place) · (h² ∕ (h + d)² … 1) · τ(d)",
                numbers,
                &["pope_fry_1997", "common-practice"],
            )
            .inputs(&[InputName::from(KEY), pattern.into(), depth.into(), spread.into()])
            .note("no meter was used: this is worked out from what the maker states, and wide; a survey would make it sure to 10 %")
            .note("τ is that of pure water; tank water takes more, and its yellow most of the blue")
            .finish(node)
    }
}
