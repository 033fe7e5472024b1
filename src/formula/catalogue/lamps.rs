//! Lamps: the colour of their light, how it follows the dial, what of it reaches the water, and a map of it.

use super::super::given::{Given, all_of};
use super::super::{Formula, Input, Refusal, SHARE, Work, number, numbers, output};
use super::light::{ILLUMINANT, spectrum};
use crate::science::colour::{chromaticity, correlated_colour_temperature};
use crate::science::dimming::{DimmingCurve, acclimation_steps};
use crate::science::light::Place;
use crate::science::light_map::LightMap;
use crate::science::photons::{PHOTOSYNTHETIC_NM, luminous_efficacy, photons_per_lumen};
use crate::science::range::{not_negative, positive, within};
use crate::units::{Length, PhotonFlux};

const KNOWN_LEVEL: Input = numbers("known_level", "", "0.25 0.5 1", "levels at which the light was measured, up to 1");
const KNOWN_LIGHT: Input = numbers("known_light", "", "20 46 100", "light at each, in any one unit");

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "colour-temperature",
        about: "how warm or cold a light looks: the black body that looks most like it",
        inputs: &[ILLUMINANT],
        outputs: &[
            output("cct_k", "K", "correlated colour temperature; none where it has no meaning"),
            output("duv", "", "distance from that black body in (u, v) of 1960; above 0 on the green side"),
            output("u", "", "chromaticity in the diagram of 1960"),
            output("v", "", "the same, the other way"),
        ],
        valid: "temperature and distance: 1000 to 25 000 K and no further than 0.05 from the black bodies; observer of \
            1931, steps of 1 nm",
        sources: &["cie_015_2018", "ohno_2014"],
        work: Work::Row(|given| {
            let light = spectrum(given.word("illuminant"))?;
            let place = chromaticity(&light)?;
            let found = correlated_colour_temperature(&light).ok();
            let (kelvin, distance) = (found.map(|found| found.kelvin), found.map(|found| found.distance));
            Ok(vec![kelvin, distance, Some(place.u), Some(place.v)])
        }),
    },
    Formula {
        name: "luminous-efficacy",
        about: "lumens in each watt of a light: no lamp of that spectrum gives more for each watt that it draws",
        inputs: &[ILLUMINANT],
        outputs: &[output("efficacy_lm_w", "lm/W", "lumens in a watt of the light")],
        valid: "light of 360 to 830 nm; what lies outside is left out of the watts, so it is an upper bound",
        sources: &["cie_015_2018"],
        work: Work::Row(|given| all_of([luminous_efficacy(&spectrum(given.word("illuminant"))?)?])),
    },
    Formula {
        name: "photon-share",
        about: "share of a light's photons (400 to 700 nm) that lies in a band",
        inputs: &[
            ILLUMINANT,
            number("from_nm", "nm", "400", "shortest wavelength of the band"),
            number("to_nm", "nm", "500", "longest wavelength of the band"),
        ],
        outputs: &[output("share", "", "photons of the band over those of 400 to 700 nm")],
        valid: "a band within 400 to 700 nm",
        sources: &["si_brochure_2019"],
        work: Work::Row(|given| {
            let (from, to) = PHOTOSYNTHETIC_NM;
            let low = within("start of the band", given.number("from_nm"), from, to, "nm")?;
            let high = within("end of the band", given.number("to_nm"), low, to, "nm")?;
            let light = spectrum(given.word("illuminant"))?;
            let all = photons_per_lumen(&light, from, to)?;
            all_of([photons_per_lumen(&light, low, high)?.umol_per_s_per_lumen / all.umol_per_s_per_lumen])
        }),
    },
    Formula {
        name: "light-from-lumens",
        about: "mean light at the water's surface from a lamp's lumens: what is known without a meter",
        inputs: &[
            number("luminous_flux_lm", "lm", "8600", "lumens as the maker states them"),
            ILLUMINANT,
            number("level_share", SHARE, "1", "share of the full light at the level that is set").or("1"),
            number("reaching_share", SHARE, "0.65", "share that reaches the water; 0.4 to 0.9 where nobody measured")
                .or("0.65"),
            number("length_m", "m", "0.9", "length of the water's surface"),
            number("width_m", "m", "0.4", "width of the water's surface"),
        ],
        outputs: &[output("ppfd_umol_m2_s", "µmol/m²/s", "mean over the surface, 400 to 700 nm")],
        valid: "lumens 0 or more, surface above 0, shares 0 to 1; a mean: under the lamp there is more, in a corner less, \
            and 30 to 50 % either way is an honest width",
        sources: &["cie_015_2018", "si_brochure_2019", "common-practice"],
        work: Work::Row(|given| {
            let (from, to) = PHOTOSYNTHETIC_NM;
            let each = photons_per_lumen(&spectrum(given.word("illuminant"))?, from, to)?.umol_per_s_per_lumen;
            let lumens = not_negative("lumens", given.number("luminous_flux_lm"), "lm")?;
            let length = positive("length", given.number("length_m"), "m")?;
            let width = positive("width", given.number("width_m"), "m")?;
            let level = within("share at the level", given.number("level_share"), 0.0, 1.0, "")?;
            let share = within("share that reaches the water", given.number("reaching_share"), 0.0, 1.0, "")?;
            all_of([lumens * each * level * share / (length * width)])
        }),
    },
    Formula {
        name: "dimming",
        about: "share of a lamp's full light at a level of its dial, from measured points",
        inputs: &[KNOWN_LEVEL, KNOWN_LIGHT, number("level", SHARE, "0.75", "level that is set")],
        outputs: &[output("light_share", "", "share of the full light")],
        valid: "levels rising to 1 with light that rises; straight lines between the points, and from darkness at level 0",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let level = within("level", given.number("level"), 0.0, 1.0, "")?;
            all_of([dimming_curve(given)?.light(level)])
        }),
    },
    Formula {
        name: "dimming-level",
        about: "level of a lamp's dial that gives a share of its full light",
        inputs: &[KNOWN_LEVEL, KNOWN_LIGHT, number("light_share", SHARE, "0.7", "share of the full light wanted")],
        outputs: &[output("level", "", "level to set, 0 to 1")],
        valid: "as dimming; the share from 0 to 1",
        sources: &["common-practice"],
        work: Work::Row(|given| all_of([dimming_curve(given)?.level(given.number("light_share"))?])),
    },
    Formula {
        name: "acclimation-steps",
        about: "weekly steps from one light to another, none of more than 15 %",
        inputs: &[
            number("from_umol_m2_s", "µmol/m²/s", "50", "light before"),
            number("to_umol_m2_s", "µmol/m²/s", "100", "light wanted"),
            number("step", "", "1", "the step whose light is asked for, 1 for the first").or("1"),
        ],
        outputs: &[
            output("steps", "", "how many steps"),
            output("light_umol_m2_s", "µmol/m²/s", "light after that step; after the last one it stays"),
        ],
        valid: "both lights above 0, at most 100 steps; a fall is one step",
        sources: &["common-practice"],
        work: Work::Row(|given| {
            let steps = acclimation_steps(given.number("from_umol_m2_s"), given.number("to_umol_m2_s"))?;
            let step = within("step", given.number("step"), 1.0, 100.0, "")?;
            let place = (step as usize).min(steps.len()) - 1;
            all_of([steps.len() as f64, steps[place]])
        }),
    },
    Formula {
        name: "light-map",
        about: "light at a place between the readings of a survey, and how far the survey's map is wrong",
        inputs: &[
            numbers("x_cm", "", "15 45 75 15 45 75 15 45 75", "of each reading, from the left"),
            numbers("y_cm", "", "10 10 10 20 20 20 30 30 30", "of each reading, from the front"),
            numbers("depth_cm", "", "20 20 20 20 20 20 20 20 20", "of each reading, below the surface"),
            numbers("ppfd_umol_m2_s", "", "70 105 72 82 130 84 71 104 70", "light of each reading"),
            number("at_x_cm", "", "30", "the place asked for, cm from the left"),
            number("at_y_cm", "", "20", "cm from the front"),
            number("at_depth_cm", "", "20", "cm below the surface"),
        ],
        outputs: &[
            output("light_umol_m2_s", "µmol/m²/s", "light at the place"),
            output("nearest_cm", "cm", "distance to the nearest reading"),
            output(
                "left_out_error",
                "",
                "leave-one-out error as a share; none with fewer than three readings in a layer",
            ),
        ],
        valid: "light and depth 0 or more. Through every reading; a surface of least squares in each layer, the differences \
            by the inverse square of distance, ln E straight between layers; a guess outside the readings",
        sources: &["shepard_1968", "stone_1974"],
        work: Work::Row(|given| {
            let lists = ["x_cm", "y_cm", "depth_cm", "ppfd_umol_m2_s"].map(|key| given.list(key));
            let [x, y, depth, light] = lists;
            let (x, y, depth, light) = (x?, y?, depth?, light?);
            if [y.len(), depth.len(), light.len()].iter().any(|count| *count != x.len()) {
                return Err(Refusal("x_cm, y_cm, depth_cm and ppfd_umol_m2_s must hold as many numbers each".into()));
            }
            let readings: Vec<(Place, PhotonFlux)> = (0..x.len())
                .map(|index| (place(x[index], y[index], depth[index]), PhotonFlux::umol_per_m2_s(light[index])))
                .collect();
            let map = LightMap::of_readings(&readings)?;
            let depth = not_negative("depth", given.number("at_depth_cm"), "cm")?;
            let at = place(given.number("at_x_cm"), given.number("at_y_cm"), depth);
            let error = map.leave_one_out().map(|found| found.relative);
            Ok(vec![Some(map.at(at).as_umol_per_m2_s()), Some(map.nearest(at).as_centimetres()), error])
        }),
    },
];

fn place(x: f64, y: f64, depth: f64) -> Place {
    Place { x: Length::centimetres(x), y: Length::centimetres(y), depth: Length::centimetres(depth) }
}

fn dimming_curve(given: &Given) -> Result<DimmingCurve, Refusal> {
    Ok(DimmingCurve::of_points(&given.pairs("known_level", "known_light")?)?)
}
