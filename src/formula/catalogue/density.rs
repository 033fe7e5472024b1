//! Density, and the instruments that tell salinity from it or from refraction.

use super::super::given::{Given, all_of};
use super::super::{Formula, Input, Output, Work, number, output};
use crate::science::density::*;
use crate::science::refraction::*;
use crate::units::Temperature;

const SALINITY: Input = number("salinity_psu", "PSU", "35", "practical salinity");
const TEMPERATURE: Input = number("temperature_c", "°C", "25", "temperature of the water");
const REFERENCE: Input = number(
    "reference_temperature_c",
    "°C",
    "25",
    "temperature for which the scale is marked, of water and of pure water: 60 °F, 20 °C or 25 °C",
);
const SAMPLE: Input = number("sample_temperature_c", "°C", "26", "temperature at which it is read");
const GLASS: Input =
    number("glass_expansion_per_c", "per °C", "25e-6", "cubic expansion of the hydrometer's glass; 0 leaves it out")
        .or("25e-6");
const WAVELENGTH: Input =
    number("wavelength_nm", "nm", "589.3", "of the light, in air; refractometers are marked for 589.3").or("589.3");
const SALINITY_OUT: Output = output("salinity_psu", "PSU", "practical salinity");
const REFRACTION: &str = "0 to 30 °C, 400 to 700 nm; fitted for salinity 0 to 35 and followed in its straight line to \
    43; relative to air; published formulas differ among themselves by 0.00003, which is 0.2 of salinity";

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "seawater-density",
        about: "density of seawater at one atmosphere (EOS-80), and of pure water",
        inputs: &[SALINITY, TEMPERATURE],
        outputs: &[
            output("density_eos80_kg_m3", "kg/m³", "density of the seawater"),
            output("pure_water_density_kg_m3", "kg/m³", "density of pure water at that temperature"),
        ],
        valid: "salinity 0 to 43, 0 to 40 °C; standard error 0.0036 kg/m³; the newer TEOS-10 differs by at most \
            0.006 kg/m³ for salinity 20 to 42 and 15 to 32 °C",
        sources: &["millero_poisson_1981", "unesco_1981", "saunders_1990"],
        work: Work::Row(|given| {
            let t = given.celsius("temperature_c");
            let seawater = density_millero_poisson_1981(given.salinity("salinity_psu"), t)?;
            all_of([seawater.as_kg_per_m3(), pure_water_density_millero_poisson_1981(t)?.as_kg_per_m3()])
        }),
    },
    Formula {
        name: "salinity-from-density",
        about: "salinity of seawater of a density (EOS-80 turned round)",
        inputs: &[number("density_kg_m3", "kg/m³", "1023.34", "density at that temperature"), TEMPERATURE],
        outputs: &[SALINITY_OUT],
        valid: "0 to 40 °C, densities of salinity 0 to 43",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let density = given.density("density_kg_m3");
            all_of([salinity_from_density_millero_poisson_1981(density, given.celsius("temperature_c"))?.value()])
        }),
    },
    Formula {
        name: "specific-gravity",
        about: "specific gravity of a salinity on the three scales in use: the same water has three numbers",
        inputs: &[SALINITY],
        outputs: &[
            output("sg_60f_60f_eos80", "", "at 60 °F over pure water at 60 °F"),
            output("sg_20_20_eos80", "", "at 20 °C over pure water at 20 °C"),
            output("sg_25_25_eos80", "", "at 25 °C over pure water at 25 °C"),
        ],
        valid: "salinity 0 to 43; a scale without its reference temperature is off by up to 0.0006",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let at = |t| specific_gravity_millero_poisson_1981(given.salinity("salinity_psu"), t);
            let (at_20, at_25) = (Temperature::celsius(20.0), Temperature::celsius(25.0));
            all_of([at(SIXTY_FAHRENHEIT)?, at(at_20)?, at(at_25)?])
        }),
    },
    Formula {
        name: "salinity-from-specific-gravity",
        about: "salinity from specific gravity, water and scale at the scale's own temperature",
        inputs: &[number("specific_gravity", "SG", "1.0264", "reading"), REFERENCE],
        outputs: &[output("salinity_eos80_psu", "PSU", "practical salinity")],
        valid: "reference 0 to 40 °C, specific gravities of salinity 0 to 43 (1.000 to about 1.033)",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let reference = given.celsius("reference_temperature_c");
            let gravity = given.number("specific_gravity");
            all_of([salinity_from_specific_gravity_millero_poisson_1981(gravity, reference)?.value()])
        }),
    },
    Formula {
        name: "hydrometer",
        about: "density and salinity from a glass hydrometer read at another temperature than its scale's",
        inputs: &[number("sg_reading", "SG", "1.0255", "number on the scale"), REFERENCE, SAMPLE, GLASS],
        outputs: &[
            output("sample_density_kg_m3", "kg/m³", "true density of the water at its temperature"),
            output("salinity_eos80_psu", "PSU", "practical salinity"),
        ],
        valid: "both temperatures 0 to 40 °C, reading 0.99 to 1.05 and a density of salinity 0 to 43, expansion of \
            the glass 0 to 0.001 per °C",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let (reading, reference, sample, glass) = hydrometer(given, "sg_reading");
            let density = hydrometer_density(reading, reference, sample, glass)?;
            let salinity = salinity_from_hydrometer(reading, reference, sample, glass)?;
            all_of([density.as_kg_per_m3(), salinity.value()])
        }),
    },
    Formula {
        name: "hydrometer-reading",
        about: "what a glass hydrometer should show in water of a salinity, to check it against",
        inputs: &[SALINITY, REFERENCE, SAMPLE, GLASS],
        outputs: &[output("sg_reading", "", "number on the scale")],
        valid: "salinity 0 to 43, both temperatures 0 to 40 °C, expansion of the glass 0 to 0.001 per °C",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let (salinity, reference, sample, glass) = hydrometer(given, "salinity_psu");
            all_of([hydrometer_reading(crate::units::PracticalSalinity::new(salinity), reference, sample, glass)?])
        }),
    },
    Formula {
        name: "refractive-index",
        about: "refractive index of seawater",
        inputs: &[SALINITY, TEMPERATURE, WAVELENGTH],
        outputs: &[
            output("refractive_index", "", "relative to air"),
            output("excess_over_pure_water", "", "what the salt adds"),
        ],
        valid: REFRACTION,
        sources: &["quan_fry_1995"],
        work: Work::Row(|given| {
            let (t, nm) = (given.celsius("temperature_c"), given.number("wavelength_nm"));
            let of = |salinity| refractive_index_quan_fry_1995(salinity, t, nm);
            let index = of(given.salinity("salinity_psu"))?;
            all_of([index, index - of(crate::units::PracticalSalinity::new(0.0))?])
        }),
    },
    Formula {
        name: "salinity-from-refractive-index",
        about: "salinity of seawater of a refractive index",
        inputs: &[number("refractive_index", "", "1.3389", "relative to air"), TEMPERATURE, WAVELENGTH],
        outputs: &[SALINITY_OUT],
        valid: REFRACTION,
        sources: &["quan_fry_1995"],
        work: Work::Row(|given| {
            let (t, nm) = (given.celsius("temperature_c"), given.number("wavelength_nm"));
            all_of([salinity_from_refractive_index_quan_fry_1995(given.number("refractive_index"), t, nm)?.value()])
        }),
    },
];

fn hydrometer(given: &Given, first: &str) -> (f64, Temperature, Temperature, f64) {
    let glass = given.number("glass_expansion_per_c");
    (given.number(first), given.celsius("reference_temperature_c"), given.celsius("sample_temperature_c"), glass)
}
