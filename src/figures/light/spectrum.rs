//! The lamp's own light: its spectrum, what a lumen and a lux of it are worth, and its colour.

use super::Figures;
use crate::diagnostic::Place;
use crate::figures::figure::InputName;
use crate::figures::graph::{Basis, Root, Shape};
use crate::figures::inputs::number;
use crate::record::{Device, Record, Tank};
use crate::science::colour::correlated_colour_temperature;
use crate::science::photons::{PHOTOSYNTHETIC_NM, Spectrum, luminous_efficacy, photons_per_lumen};

/// What a lamp's spectrum says.
#[derive(Clone, Debug)]
pub struct LampLight {
    pub device: String,
    pub spectrum: Option<Spectrum>,
    /// Where the spectrum is named.
    pub place: Option<Place>,
    /// Keys of the shares of photons from 400 to 500, 500 to 600 and 600 to 700 nm.
    pub shares: Vec<String>,
    pub colour_temperature: Option<String>,
    /// Why there is no colour temperature.
    pub no_temperature: Option<String>,
    pub lux_per_photon: Option<String>,
    pub efficacy: Option<String>,
}

/// The bands that a page tells apart, nm.
pub const BANDS: [(f64, f64); 3] = [(400.0, 500.0), (500.0, 600.0), (600.0, 700.0)];

/// The spectrum of a lamp by its spec sheet, and where it is named.
pub(super) fn of_lamp(record: &Record, tank: &Tank, lamp: &Device) -> Option<(Spectrum, Place)> {
    let spec = record.spec_of(tank, lamp)?;
    let (_, said) = spec.stated.iter().find(|(key, _)| key == "spectrum")?;
    Some((spec.spectrum.clone()?, said.place.clone()))
}

/// Lux in each µmol/m²/s.
pub(super) fn lux_per_photon(spectrum: &Spectrum) -> Option<f64> {
    let (from, to) = PHOTOSYNTHETIC_NM;
    Some(photons_per_lumen(spectrum, from, to).ok()?.lux_per_umol_per_m2_s)
}

pub(super) fn work_out(record: &Record, tank: &Tank, lamp: &Device, figures: &mut Figures) -> LampLight {
    let mut light = LampLight {
        device: lamp.key.clone(),
        spectrum: None,
        place: None,
        shares: Vec::new(),
        colour_temperature: None,
        no_temperature: None,
        lux_per_photon: None,
        efficacy: None,
    };
    let name = &lamp.name.value;
    let Some((spectrum, place)) = of_lamp(record, tank, lamp) else {
        figures.miss(
            &tank.key,
            &format!("light.lamp.{}.lux-per-photon", lamp.key),
            &format!("{name}: lux in each µmol/m²/s"),
            "its spectrum: `spectrum: lamp.csv` in its spec sheet, with `wavelength_nm,relative` in the file, read off the maker’s drawing",
        );
        return light;
    };
    let mut add = |what: &str,
                   label: String,
                   value: f64,
                   u: f64,
                   unit: &str,
                   formula: &str,
                   sources: &[&'static str],
                   notes: &[&str]| {
        // The maker's table is stated; what follows from it is worked out, and as sure as the table is.
        let root = Root {
            label: "Spectrum as its sheet states it".into(),
            value,
            uncertainty: u,
            unit: unit.into(),
            basis: Basis::Stated,
            places: vec![place.clone()],
            shape: Shape::Normal,
            private: false,
            note: None,
            source: None,
        };
        let root = figures.graph.root(root);
        let node = figures.graph.compute(&label, unit, &[root], |x| x[0]);
        let key = format!("light.lamp.{}.{what}", lamp.key);
        let mut built = figures
            .define(&tank.key, &key, &label)
            .method(formula, format!("{} {unit}", number(value)), sources)
            .inputs(&[InputName::from(root)]);
        for note in notes {
            built = built.note(*note);
        }
        built.finish(node);
        key
    };
    let (from, to) = PHOTOSYNTHETIC_NM;
    let all = photons_per_lumen(&spectrum, from, to).ok();
    if let Some(all) = all {
        for (low, high) in BANDS {
            let Ok(band) = photons_per_lumen(&spectrum, low, high) else {
                continue;
            };
            let share = band.umol_per_s_per_lumen / all.umol_per_s_per_lumen;
            light.shares.push(add(
                &format!("share-{low:.0}-{high:.0}"),
                format!("{name}: share of its photons from {low:.0} to {high:.0} nm"),
                100.0 * share,
                // A table read off a drawing: a tenth of what is in or not in a band.
                10.0 * share * (1.0 - share),
                "%",
                "∫ S·λ dλ over the band ∕ ∫ S·λ dλ over 400–700 nm",
                &["si_brochure_2019"],
                &[],
            ));
        }
        let lux = all.lux_per_umol_per_m2_s;
        light.lux_per_photon = Some(add(
            "lux-per-photon",
            format!("{name}: lux in each µmol/m²/s"),
            lux,
            0.1 * lux,
            "lx per µmol/m²/s",
            "k = 683·∫ S·V dλ ∕ ∫ S·λ dλ·(h·c·N_A)⁻¹ over 400–700 nm",
            &["cie_015_2018", "si_brochure_2019"],
            &[
                "by this a lux reading under this lamp becomes µmol/m²/s; 10 % if the table is right, more if the lamp has changed",
            ],
        ));
    }
    if let Ok(efficacy) = luminous_efficacy(&spectrum) {
        light.efficacy = Some(add(
            "efficacy",
            format!("{name}: lumens in each watt of its light"),
            efficacy,
            0.1 * efficacy,
            "lm/W",
            "K = 683·∫ S·V dλ ∕ ∫ S dλ",
            &["cie_015_2018"],
            &["of the light, not of the power it draws: no lamp of this spectrum gives more for each watt"],
        ));
    }
    match correlated_colour_temperature(&spectrum) {
        Ok(found) => {
            let distance = number((found.distance * 1e4).round() / 1e4);
            // A tenth more at the blue end and less at the red one, and the other way round: what a drawing leaves open.
            let tilted = |by: f64| {
                let points: Vec<(f64, f64)> = spectrum
                    .points()
                    .iter()
                    .map(|(nm, power)| (*nm, power * (1.0 + by * ((nm - 550.0) / 150.0).clamp(-1.0, 1.0))))
                    .collect();
                correlated_colour_temperature(&Spectrum::of_points(&points).ok()?).ok().map(|found| found.kelvin)
            };
            let u = match (tilted(0.1), tilted(-0.1)) {
                (Some(warm), Some(cold)) => (cold - warm).abs() / 2.0,
                _ => 0.2 * found.kelvin,
            };
            light.colour_temperature = Some(add(
                "colour-temperature",
                format!("{name}: correlated colour temperature"),
                found.kelvin,
                u,
                "K",
                "T of the black body nearest in (u, v) of 1960",
                &["cie_015_2018", "ohno_2014"],
                &[
                    &format!(
                        "its colour lies {distance} from that black body in (u, v); beyond 0.05 there is no such temperature"
                    ),
                    "found among black bodies worked out with the observer of 1931; checked from 2700 to 6600 K",
                ],
            ));
        }
        Err(refusal) => light.no_temperature = Some(format!("it has no correlated colour temperature: {refusal}")),
    }
    light.spectrum = Some(spectrum);
    light.place = Some(place);
    light
}
