//! Light: photons and lumens, the sum of a day, what water takes away.

use super::super::given::all_of;
use super::super::{Formula, Input, Refusal, Work, number, numbers, output, word};
use crate::diagnostic::nearest;
use crate::science::light::*;
use crate::science::photons::*;

pub(super) const ILLUMINANT: Input = word(
    "illuminant",
    "LED-B3",
    "a light of the standard (A, C, D50, D65, E, FL1 to FL12, LED-B1 to LED-B5, LED-V1, …), `planck 6500 K`, or \
     `gaussian 450 fwhm 20 nm`",
);
const FROM: Input = number("from_nm", "nm", "400", "shortest wavelength that counts").or("400");
const TO: Input = number("to_nm", "nm", "700", "longest wavelength that counts").or("700");
const PEAK: Input = number("peak_ppfd_umol_m2_s", "µmol/m²/s", "150", "light at its brightest");
const DLI: super::super::Output = output("dli_mol_m2_d", "mol/m²/d", "daily light integral");

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "photons-per-lumen",
        about: "photons in each lumen of a light, and lux in each µmol/m²/s",
        inputs: &[ILLUMINANT, FROM, TO],
        outputs: &[
            output("photon_flux_per_lumen_umol_s_lm", "µmol/s/lm", "photons a second in a lumen"),
            output("lux_per_umol_m2_s", "lx/(µmol/m²/s)", "lux in a µmol/m²/s"),
            output("photons_per_joule_of_par_umol_j", "µmol/J", "photons in a joule of light of these wavelengths"),
        ],
        valid: "360 to 830 nm; black bodies of 1000 to 100 000 K; bands with a peak at 360 to 830 nm and a width of \
            1 to 300 nm. For an unknown white lamp allow 10 %; for a blue one a guessed spectrum is worth nothing",
        sources: &["cie_015_2018", "si_brochure_2019"],
        work: Work::Row(|given| {
            let photons = photons_per_lumen(
                &spectrum(given.word("illuminant"))?,
                given.number("from_nm"),
                given.number("to_nm"),
            )?;
            all_of([photons.umol_per_s_per_lumen, photons.lux_per_umol_per_m2_s, photons.umol_per_joule])
        }),
    },
    Formula {
        name: "light-from-lux",
        about: "photon flux (400 to 700 nm) from a lux reading under a light of known spectrum",
        inputs: &[number("illuminance_lx", "lx", "8000", "reading of the lux meter"), ILLUMINANT],
        outputs: &[output("ppfd_umol_m2_s", "µmol/m²/s", "photons of 400 to 700 nm")],
        valid: "as photons-per-lumen, reading 0 or more. A phone or a cheap meter may be 30 % off, and more under blue \
            light (common practice): a quantum sensor tells",
        sources: &["cie_015_2018", "si_brochure_2019", "thimijan_heins_1983"],
        work: Work::Row(|given| {
            let lux = crate::science::range::not_negative("illuminance", given.number("illuminance_lx"), "lx")?;
            let (from, to) = PHOTOSYNTHETIC_NM;
            let photons = photons_per_lumen(&spectrum(given.word("illuminant"))?, from, to)?;
            all_of([lux * photons.umol_per_s_per_lumen])
        }),
    },
    Formula {
        name: "daily-light-integral",
        about: "light of a day with a plateau and straight ramps",
        inputs: &[
            PEAK,
            number("plateau_h", "h", "8", "hours at the brightest"),
            number("ramp_up_h", "h", "1", "hours from darkness to the plateau, before it"),
            number("ramp_down_h", "h", "1", "hours from the plateau to darkness, after it"),
        ],
        outputs: &[output("equivalent_hours_h", "h", "hours at the brightest that give as much"), DLI],
        valid: "light 0 or more, together no longer than 24 h",
        sources: &["thimijan_heins_1983"],
        work: Work::Row(|given| {
            let (up, down) = (given.hours("ramp_up_h"), given.hours("ramp_down_h"));
            let peak = given.light("peak_ppfd_umol_m2_s");
            let day = daily_light_integral_with_ramps(peak, given.hours("plateau_h"), up, down)?;
            all_of([day.equivalent.as_hours(), day.sum.as_mol_per_m2_d()])
        }),
    },
    Formula {
        name: "daily-light-integral-half-sine",
        about: "light of a day that follows half a sine from dawn to dusk",
        inputs: &[PEAK, number("day_length_h", "h", "12", "hours from dawn to dusk")],
        outputs: &[DLI],
        valid: "light 0 or more, 0 to 24 h",
        sources: &["thimijan_heins_1983"],
        work: Work::Row(|given| {
            let peak = given.light("peak_ppfd_umol_m2_s");
            all_of([daily_light_integral_half_sine(peak, given.hours("day_length_h"))?.as_mol_per_m2_d()])
        }),
    },
    Formula {
        name: "daily-light-integral-of-curve",
        about: "light of a day given as points joined by straight lines",
        inputs: &[
            numbers("hours_h", "", "9 10 18 19", "hours of the day, which never go back"),
            numbers("ppfd_umol_m2_s", "", "0 150 150 0", "light at each"),
        ],
        outputs: &[DLI],
        valid: "hours 0 to 24, light 0 or more; before the first point and after the last it is dark",
        sources: &["thimijan_heins_1983"],
        work: Work::Row(|given| {
            let curve = given.pairs("hours_h", "ppfd_umol_m2_s")?;
            all_of([daily_light_integral_of_curve(&curve)?.as_mol_per_m2_d()])
        }),
    },
    Formula {
        name: "hours-at-full-level",
        about: "hours at full level that carry as much as a lamp's schedule with its ramps",
        inputs: &[
            numbers("hours_h", "", "0 9 10 18 19 24", "hours of the day, from 0 to 24"),
            numbers("level", "", "0 0 1 1 0 0", "level at each, 0 to 1, joined by straight lines"),
        ],
        outputs: &[output("equivalent_hours_h", "h", "hours at full level")],
        valid: "hours from 0 to 24 that never go back, levels 0 to 1",
        sources: &["thimijan_heins_1983"],
        work: Work::Row(|given| all_of([hours_at_full_level(&given.pairs("hours_h", "level")?)?.as_hours()])),
    },
    Formula {
        name: "water-transmission",
        about: "share of a light's photons (400 to 700 nm) left after a path through pure water",
        inputs: &[ILLUMINANT, number("path_m", "m", "0.4", "way through the water")],
        outputs: &[output("photon_transmission", "", "share that is left")],
        valid: "0 to 100 m; a parallel beam without scattering or loss at the surface. Tank water absorbs more",
        sources: &["pope_fry_1997", "cie_015_2018"],
        work: Work::Row(|given| {
            let light = spectrum(given.word("illuminant"))?;
            all_of([pure_water_transmission_pope_fry_1997(&light, given.metres("path_m"))?])
        }),
    },
    Formula {
        name: "water-absorption",
        about: "absorption of pure water at a wavelength",
        inputs: &[number("wavelength_nm", "nm", "450", "wavelength")],
        outputs: &[output("absorption_per_m", "1/m", "absorption coefficient, base e")],
        valid: "400 to 700 nm; other data sets differ by 10 %",
        sources: &["pope_fry_1997"],
        work: Work::Row(|given| all_of([pure_water_absorption_pope_fry_1997_per_m(given.number("wavelength_nm"))?])),
    },
    Formula {
        name: "light-under-water",
        about: "light under water from a sensor that was calibrated in air",
        inputs: &[
            number("reading_umol_m2_s", "µmol/m²/s", "100", "reading"),
            number("immersion_factor", "", "1.25", "the maker's factor; 1 where the meter already applies it"),
        ],
        outputs: &[output("ppfd_umol_m2_s", "µmol/m²/s", "light")],
        valid: "reading 0 or more, factor 1 to 1.5",
        sources: &["smith_1969"],
        work: Work::Row(|given| {
            let light = light_under_water(given.light("reading_umol_m2_s"), given.number("immersion_factor"))?;
            all_of([light.as_umol_per_m2_s()])
        }),
    },
];

/// The spectrum of a name.
pub(super) fn spectrum(name: &str) -> Result<Spectrum, Refusal> {
    if let Some(spectrum) = Spectrum::named(name) {
        return Ok(spectrum);
    }
    let known = Spectrum::standard_names().chain(["A", "planck 6500 K", "gaussian 450 fwhm 20 nm"]);
    let upper = name.to_uppercase();
    Err(Refusal(match nearest(&upper, known) {
        Some(near) => format!("no light `{name}` is known; did you mean `{near}`?"),
        None => format!("no light `{name}` is known: write D65, LED-B3, `planck 6500 K` or `gaussian 450 fwhm 20 nm`"),
    }))
}
