//! Units of nutrients and hardness, molar masses and ratios.

use super::super::given::{Given, all_of};
use super::super::{Formula, Input, Refusal, Work, number, output, word};
use crate::science::density::density_millero_poisson_1981;
use crate::science::formula::molar_mass_g_per_mol;
use crate::science::range::not_negative;
use crate::science::stoichiometry::*;

const WEIGHTS: &[&str] = &["prohaska_2022"];
const UNIT_WORDS: &str = "mg/L, ug/L, g/L, mmol/L or umol/L, a space, and the form: NO3, NO3-N, PO4, PO4-P, P, NH3, NH3-N, \
    Si, SiO2, or any ion's formula; bare umol/L will do";

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "nutrient-units",
        about: "a concentration told in another unit or form of the same nutrient",
        inputs: &[
            word("from_unit", "mg/L NO3-N", UNIT_WORDS),
            word("to_unit", "mg/L NO3", "likewise"),
            number("value", "", "2.5", "the number in the first unit"),
        ],
        outputs: &[
            output("converted_value", "", "the number in the second unit"),
            output("factor", "", "second unit over first"),
        ],
        valid: "value of 0 or more, both units of one nutrient",
        sources: WEIGHTS,
        work: Work::Row(|given| {
            let (from, to) = (given.word("from_unit"), given.word("to_unit"));
            let converted = convert_nutrient(given.number("value"), from, to)?;
            all_of([converted, convert_nutrient(1.0, from, to)?])
        }),
    },
    Formula {
        name: "alkalinity-units",
        about: "alkalinity in degrees of carbonate hardness told in the other units",
        inputs: &[number("alkalinity_dkh", "dKH", "8", "alkalinity; another unit may be written behind the number")],
        outputs: &[
            output("alkalinity_meq_l", "meq/L", "milliequivalents in a litre"),
            output("alkalinity_mg_l_caco3", "mg/L CaCO₃", "as calcium carbonate"),
        ],
        valid: "0 or more; 1 dKH is 10 mg/L of calcium oxide",
        sources: WEIGHTS,
        work: Work::Row(|given| {
            let told = Alkalinity::from_dkh(not_negative("alkalinity", given.number("alkalinity_dkh"), "dKH")?);
            all_of([told.meq_per_l, told.mg_per_l_caco3])
        }),
    },
    Formula {
        name: "alkalinity-from-meq",
        about: "alkalinity in meq/L told in degrees and as calcium carbonate",
        inputs: &[number("alkalinity_meq_l", "", "2.5", "milliequivalents in a litre")],
        outputs: &[
            output("alkalinity_dkh", "dKH", "degrees of carbonate hardness"),
            output("alkalinity_mg_l_caco3", "mg/L CaCO₃", "as calcium carbonate"),
        ],
        valid: "0 or more",
        sources: WEIGHTS,
        work: Work::Row(|given| {
            let meq = not_negative("alkalinity", given.number("alkalinity_meq_l"), "meq/L")?;
            let told = Alkalinity::from_meq_per_l(meq);
            all_of([told.dkh, told.mg_per_l_caco3])
        }),
    },
    Formula {
        name: "alkalinity-from-caco3",
        about: "alkalinity in mg/L as calcium carbonate told in degrees and meq/L",
        inputs: &[number("alkalinity_mg_l_caco3", "", "140", "as calcium carbonate, mg/L")],
        outputs: &[
            output("alkalinity_dkh", "dKH", "degrees of carbonate hardness"),
            output("alkalinity_meq_l", "meq/L", "milliequivalents in a litre"),
        ],
        valid: "0 or more",
        sources: WEIGHTS,
        work: Work::Row(|given| {
            let milligrams = not_negative("alkalinity", given.number("alkalinity_mg_l_caco3"), "mg/L CaCO₃")?;
            let told = Alkalinity::from_mg_per_l_caco3(milligrams);
            all_of([told.dkh, told.meq_per_l])
        }),
    },
    Formula {
        name: "molar-mass",
        about: "what a mole of a compound weighs",
        inputs: &[COMPOUND],
        outputs: &[output("molar_mass_g_mol", "g/mol", "molar mass")],
        valid: "any formula of elements with a standard atomic weight, hydrates and EDTA included",
        sources: WEIGHTS,
        work: Work::Row(|given| all_of([molar_mass_g_per_mol(given.word("compound"))?])),
    },
    Formula {
        name: "nitrogen-to-phosphorus",
        about: "nitrogen in nitrate over phosphorus in phosphate, by moles, against plankton's 16",
        inputs: &[number("no3_mg_l", "mg/L NO3", "5", "nitrate"), number("po4_mg_l", "mg/L PO4", "0.05", "phosphate")],
        outputs: &[
            output("nitrogen_umol_l", "µmol/L", "nitrogen"),
            output("phosphorus_umol_l", "µmol/L", "phosphorus"),
            output("n_to_p_molar", "", "nitrogen over phosphorus"),
            output("times_redfield_16", "", "the ratio over 16"),
        ],
        valid: "nitrate 0 or more, phosphate above 0; 16 describes plankton of the open sea, and no source says that a \
            tank should have it",
        sources: &["redfield_1963", "prohaska_2022"],
        work: Work::Row(|given| {
            let ratio = nitrogen_to_phosphorus(given.number("no3_mg_l"), given.number("po4_mg_l"))?;
            all_of([ratio.nitrogen_umol_per_l, ratio.phosphorus_umol_per_l, ratio.ratio, ratio.times_redfield])
        }),
    },
    Formula {
        name: "ppm-to-mg-per-l",
        about: "parts per million by mass (mg/kg) told in mg/L, by the density of the water",
        inputs: &[
            number("mg_kg", "", "420", "milligrams in a kilogram of water"),
            number("salinity_psu", "PSU", "35", "practical salinity; 0 for fresh water"),
            number("temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[
            output("mg_l", "mg/L", "milligrams in a litre"),
            output("density_kg_l", "kg/L", "density, EOS-80: what one is multiplied by"),
        ],
        valid: "0 or more, salinity 0 to 43, 0 to 40 °C; kits that say ppm mostly mean mg/L already (common practice)",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let kg_per_l = kilograms_per_litre(given)?;
            all_of([not_negative("concentration", given.number("mg_kg"), "mg/kg")? * kg_per_l, kg_per_l])
        }),
    },
    Formula {
        name: "mg-per-l-to-ppm",
        about: "mg/L told in parts per million by mass (mg/kg), by the density of the water",
        inputs: &[
            number("mg_l", "mg/L", "430", "milligrams in a litre"),
            number("salinity_psu", "PSU", "35", "practical salinity; 0 for fresh water"),
            number("temperature_c", "°C", "25", "temperature of the water"),
        ],
        outputs: &[
            output("mg_kg", "mg/kg", "milligrams in a kilogram of water"),
            output("density_kg_l", "kg/L", "density, EOS-80: what one is divided by"),
        ],
        valid: "0 or more, salinity 0 to 43, 0 to 40 °C; kits that say ppm mostly mean mg/L already (common practice)",
        sources: &["millero_poisson_1981"],
        work: Work::Row(|given| {
            let kg_per_l = kilograms_per_litre(given)?;
            all_of([not_negative("concentration", given.number("mg_l"), "mg/L")? / kg_per_l, kg_per_l])
        }),
    },
];

pub(super) const COMPOUND: Input =
    word("compound", "MgCl2.6H2O", "formula as on the label: KNO3, MgCl2.6H2O, Fe(C6H11O7)2.2H2O, NaFeEDTA.3H2O");

fn kilograms_per_litre(given: &Given) -> Result<f64, Refusal> {
    let density = density_millero_poisson_1981(given.salinity("salinity_psu"), given.celsius("temperature_c"))?;
    Ok(density.as_g_per_cm3())
}
