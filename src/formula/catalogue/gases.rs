//! Oxygen that water holds, and the poisonous share of ammonia.

use super::super::given::all_of;
use super::super::{Formula, Input, Work, number, output};
use crate::science::ammonia::*;
use crate::science::oxygen::*;
use crate::science::ph_scale::ph_total_from_nbs;
use crate::science::range::not_negative;
use crate::science::stoichiometry::convert_nutrient;

const SALINITY: Input = number("salinity_psu", "PSU", "35", "practical salinity");
const TEMPERATURE: Input = number("temperature_c", "°C", "25", "temperature of the water");
const PH_TOTAL: Input = number("ph_total", "pH", "8.0", "pH on the total scale");
const PH_NBS: Input =
    number("ph_nbs", "pH", "8.2", "pH as a meter calibrated with dilute buffers shows it (NBS scale)");

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "oxygen-saturation",
        about: "oxygen that water holds under one atmosphere of moist air",
        inputs: &[SALINITY, TEMPERATURE],
        outputs: &[
            output("o2_umol_kg", "µmol/kg", "oxygen at saturation"),
            output("o2_umol_l", "µmol/L", "the same in a litre"),
            output("o2_mg_l_gg92", "mg/L", "the same by mass"),
            output("o2_mg_l_bk84", "mg/L", "after the table for water works, which agrees to 0.04 %"),
        ],
        valid: "salinity 0 to 42, 0 to 40 °C, 101.325 kPa",
        sources: &["garcia_gordon_1992", "benson_krause_1984", "standard_methods_4500_o", "millero_poisson_1981"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            let oxygen = oxygen_saturation_garcia_gordon_1992(s, t)?;
            let table = oxygen_saturation_benson_krause_1984_mg_per_l(s, t)?;
            all_of([oxygen.umol_per_kg, oxygen.umol_per_l, oxygen.mg_per_l, table])
        }),
    },
    Formula {
        name: "oxygen-saturation-at-pressure",
        about: "oxygen that water holds at another air pressure, as on a mountain",
        inputs: &[
            number("pressure_kpa", "kPa", "84.5", "air pressure at the place, not reduced to sea level"),
            TEMPERATURE,
            SALINITY,
        ],
        outputs: &[
            output("pressure_factor", "", "over the saturation at one atmosphere"),
            output("o2_mg_l", "mg/L", "oxygen at saturation"),
        ],
        valid: "50 to 110 kPa, 0 to 40 °C, salinity 0 to 45",
        sources: &["benson_krause_1984", "standard_methods_4500_o"],
        work: Work::Row(|given| {
            let t = given.celsius("temperature_c");
            let factor = pressure_factor_benson_krause_1984(given.number("pressure_kpa"), t)?;
            let at_one = oxygen_saturation_benson_krause_1984_mg_per_l(given.salinity("salinity_psu"), t)?;
            all_of([factor, factor * at_one])
        }),
    },
    Formula {
        name: "ammonia-fraction",
        about: "un-ionised share of all ammonia, at a pH on the total scale",
        inputs: &[PH_TOTAL, TEMPERATURE, SALINITY],
        outputs: &[
            output("pk_total_cw95", "", "pK of ammonium on the total scale"),
            output("nh3_fraction_cw95", "", "un-ionised share"),
        ],
        valid: "pH 5 to 10, −2 to 40 °C, salinity 0 to 40; other published constants differ by 5 %",
        sources: &["clegg_whitfield_1995"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            let fraction = ammonia_fraction_clegg_whitfield_1995(given.number("ph_total"), s, t)?;
            all_of([ammonium_pk_clegg_whitfield_1995(s, t)?, fraction])
        }),
    },
    Formula {
        name: "ammonia-fraction-nbs",
        about: "un-ionised share of all ammonia, at a meter's pH (NBS scale)",
        inputs: &[PH_NBS, TEMPERATURE, SALINITY],
        outputs: &[
            output("ph_total", "", "pH on the total scale"),
            output("pk_total_cw95", "", "pK of ammonium on the total scale"),
            output("nh3_fraction_cw95", "", "un-ionised share"),
        ],
        valid: "pH 5 to 10, 0 to 40 °C, salinity 5 to 40; the step from the NBS scale is the weak one: allow 15 %",
        sources: &["clegg_whitfield_1995", "takahashi_1982"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            let ph = given.number("ph_nbs");
            let fraction = ammonia_fraction_from_nbs_clegg_whitfield_1995(ph, s, t)?;
            all_of([ph_total_from_nbs(ph, s, t)?, ammonium_pk_clegg_whitfield_1995(s, t)?, fraction])
        }),
    },
    Formula {
        name: "un-ionised-ammonia",
        about: "poisonous part of what an ammonia kit reads, from a meter's pH",
        inputs: &[
            number(
                "total_ammonia_mg_l",
                "mg/L NH3-N",
                "0.25",
                "all ammonia as nitrogen; write `0.3 mg/L NH4` for another form",
            ),
            PH_NBS,
            TEMPERATURE,
            SALINITY,
        ],
        outputs: &[
            output("nh3_n_mg_l", "mg/L NH3-N", "un-ionised ammonia as nitrogen"),
            output("nh3_mg_l", "mg/L NH3", "the same as ammonia"),
            output("nh3_fraction_cw95", "", "un-ionised share"),
        ],
        valid: "ammonia 0 or more, pH 5 to 10, 0 to 40 °C, salinity 5 to 40; allow 15 %. A kit that reads free ammonia alone \
            needs no such step",
        sources: &["clegg_whitfield_1995", "takahashi_1982", "prohaska_2022"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            let total = not_negative("total ammonia", given.number("total_ammonia_mg_l"), "mg/L")?;
            let fraction = ammonia_fraction_from_nbs_clegg_whitfield_1995(given.number("ph_nbs"), s, t)?;
            let nitrogen = fraction * total;
            all_of([nitrogen, convert_nutrient(nitrogen, "mg/L NH3-N", "mg/L NH3")?, fraction])
        }),
    },
    Formula {
        name: "oxygen-percent",
        about: "an oxygen reading as a share of saturation",
        inputs: &[number("o2_mg_l", "mg/L", "6.5", "reading"), SALINITY, TEMPERATURE],
        outputs: &[output("share_of_saturation", "", "1 is full")],
        valid: "reading 0 or more, salinity 0 to 42, 0 to 40 °C, 101.325 kPa",
        sources: &["garcia_gordon_1992"],
        work: Work::Row(|given| {
            let (s, t) = (given.salinity("salinity_psu"), given.celsius("temperature_c"));
            let reading = not_negative("oxygen", given.number("o2_mg_l"), "mg/L")?;
            all_of([reading / oxygen_saturation_garcia_gordon_1992(s, t)?.mg_per_l])
        }),
    },
];
