//! Salinity and conductivity.

use super::super::given::all_of;
use super::super::{Formula, Work, number, output};
use crate::science::salinity::*;
use crate::units::Temperature;

const SCALE: &str = "salinity 2 to 42, −2 to 35 °C (ITS-90), water with the proportions of ocean salt; \
    whether a temperature is read on the scale of 1968 or 1990 moves salinity by 0.005 at 25 °C";

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "salinity-from-conductivity",
        about: "practical salinity (PSS-78) from conductivity at the water's own temperature",
        inputs: &[
            number("conductivity_ms_cm", "mS/cm", "53.06", "conductivity as measured, not compensated to 25 °C"),
            number("temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[output("salinity_back_psu", "PSU", "practical salinity")],
        valid: SCALE,
        sources: &["fofonoff_millard_1983", "culkin_smith_1980", "saunders_1990"],
        work: Work::Row(|given| {
            let salinity = salinity_from_conductivity_pss_1978(
                given.number("conductivity_ms_cm"),
                given.celsius("temperature_c"),
            )?;
            all_of([salinity.value()])
        }),
    },
    Formula {
        name: "salinity-from-conductivity-at-25c",
        about: "practical salinity from the reading of a meter that compensates to 25 °C",
        inputs: &[number("conductivity_25c_ms_cm", "mS/cm", "53.06", "conductivity told for 25 °C")],
        outputs: &[output("salinity_psu", "PSU", "practical salinity")],
        valid: "salinity 2 to 42; a meter compensates by a rule of its own (often 2 % per °C), which errs by \
            up to 1 % some degrees away from 25 °C",
        sources: &["fofonoff_millard_1983", "culkin_smith_1980"],
        work: Work::Row(|given| {
            let at = Temperature::celsius(25.0);
            all_of([salinity_from_conductivity_pss_1978(given.number("conductivity_25c_ms_cm"), at)?.value()])
        }),
    },
    Formula {
        name: "conductivity-from-salinity",
        about: "conductivity of seawater of a salinity (PSS-78 turned round)",
        inputs: &[
            number("salinity_psu", "PSU", "35", "practical salinity"),
            number("temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[
            output("conductivity_ms_cm", "mS/cm", "conductivity at that temperature"),
            output("conductivity_ratio", "", "the same over that of salinity 35 at 15 °C"),
        ],
        valid: SCALE,
        sources: &["fofonoff_millard_1983", "culkin_smith_1980", "saunders_1990"],
        work: Work::Row(|given| {
            let conductivity = conductivity_pss_1978(given.salinity("salinity_psu"), given.celsius("temperature_c"))?;
            all_of([conductivity, conductivity / CONDUCTIVITY_OF_STANDARD_SEAWATER_MS_PER_CM])
        }),
    },
    Formula {
        name: "salinity-from-conductivity-ratio",
        about: "practical salinity (PSS-78) from the ratio to standard seawater at 15 °C, at any depth",
        inputs: &[
            number("conductivity_ratio", "", "1", "conductivity over that of salinity 35 at 15 °C and one atmosphere"),
            number("temperature_ipts68_c", "°C", "15", "temperature on the scale of 1968"),
            number("pressure_dbar", "dbar", "0", "pressure of the water above; 0 for every tank"),
        ],
        outputs: &[output("salinity_psu", "PSU", "practical salinity")],
        valid: "salinity 2 to 42, −2 to 35 °C, 0 to 10 000 dbar",
        sources: &["fofonoff_millard_1983"],
        work: Work::Row(|given| {
            let salinity = salinity_from_conductivity_ratio_pss_1978(
                given.number("conductivity_ratio"),
                Temperature::celsius_68(given.number("temperature_ipts68_c")),
                given.number("pressure_dbar"),
            )?;
            all_of([salinity.value()])
        }),
    },
    Formula {
        name: "reference-salinity",
        about: "grams of salt in a kilogram of seawater from practical salinity",
        inputs: &[number("salinity_psu", "PSU", "35", "practical salinity")],
        outputs: &[output("absolute_salinity_g_kg", "g/kg", "salt in a kilogram of seawater")],
        valid: "salinity 2 to 42, water with the proportions of ocean salt",
        sources: &["millero_2008"],
        work: Work::Row(|given| all_of([reference_salinity_millero_2008_g_per_kg(given.salinity("salinity_psu"))?])),
    },
];
