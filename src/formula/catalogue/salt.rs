//! Mixing salt water, and putting its salinity right.

use super::super::given::all_of;
use super::super::{Formula, Input, SHARE, Work, number, output};
use crate::science::salt::*;

const SALINITY: Input = number("salinity_psu", "PSU", "36", "practical salinity now");
const WANTED: Input = number("wanted_salinity_psu", "PSU", "35", "practical salinity that is wanted");
const TEMPERATURE: Input = number("temperature_c", "°C", "25", "temperature of the water");
const VOLUME: Input = number("volume_l", "L", "200", "volume of water in tank and sump");
const SOURCES: &[&str] = &["millero_2008", "millero_poisson_1981"];

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "salt-for-mixing",
        about: "salt and fresh water for a volume of new salt water",
        inputs: &[
            number("volume_l", "L", "20", "volume of salt water that is wanted"),
            number("salinity_psu", "PSU", "35", "practical salinity that is wanted"),
            number("temperature_c", "°C", "25", "temperature at which it is measured"),
            number("water_in_salt_fraction", SHARE, "0.03", "share of the weighed salt that is water").or("0"),
        ],
        outputs: &[
            output("salt_g", "g", "salt to weigh"),
            output("fresh_water_l", "L", "fresh water to dissolve it in"),
        ],
        valid: "salinity 2 to 42, 0 to 40 °C, volume above 0, water in the salt 0 to 0.3; salt of ocean proportions. Mixes hold \
            some water and differ from batch to batch: measure what you have mixed",
        sources: SOURCES,
        work: Work::Row(|given| {
            let (volume, salinity) = (given.litres("volume_l"), given.salinity("salinity_psu"));
            let water_in_salt = given.number("water_in_salt_fraction");
            let recipe = salt_for_mixing(volume, salinity, given.celsius("temperature_c"), water_in_salt)?;
            all_of([recipe.salt.as_grams(), recipe.fresh_water.as_litres()])
        }),
    },
    Formula {
        name: "salinity-after-evaporation",
        about: "salinity after water has evaporated, or (negative) after fresh water was added",
        inputs: &[
            SALINITY,
            TEMPERATURE,
            VOLUME,
            number("evaporated_l", "L", "2", "fresh water that has left; negative where it came"),
        ],
        outputs: &[
            output("salinity_after_psu", "PSU", "practical salinity afterwards"),
            output("change_psu", "", "by how much it moved"),
        ],
        valid: "salinity 2 to 42 before and after, 0 to 40 °C, no more evaporated than there was",
        sources: SOURCES,
        work: Work::Row(|given| {
            let before = given.salinity("salinity_psu");
            let (warm, volume) = (given.celsius("temperature_c"), given.litres("volume_l"));
            let after = salinity_after_evaporation(before, warm, volume, given.litres("evaporated_l"))?;
            all_of([after.value(), after.value() - before.value()])
        }),
    },
    Formula {
        name: "lower-salinity",
        about: "fresh water for a lower salinity: added, or in exchange for tank water",
        inputs: &[SALINITY, WANTED, TEMPERATURE, VOLUME],
        outputs: &[
            output("add_fresh_l", "L", "fresh water to add, where there is room"),
            output("take_out_l", "L", "or tank water to take out first"),
            output("replace_with_fresh_l", "L", "and fresh water to put in its place"),
        ],
        valid: "both salinities 2 to 42, the wanted one no higher, 0 to 40 °C, volume above 0; animals bear a \
            slow change better: spread it over days",
        sources: SOURCES,
        work: Work::Row(|given| {
            let down = lower_salinity(
                given.salinity("salinity_psu"),
                given.salinity("wanted_salinity_psu"),
                given.celsius("temperature_c"),
                given.litres("volume_l"),
            )?;
            all_of([down.add_fresh.as_litres(), down.take_out.as_litres(), down.replace_with_fresh.as_litres()])
        }),
    },
    Formula {
        name: "raise-salinity",
        about: "salt, evaporation or saltier water for a higher salinity",
        inputs: &[
            number("salinity_psu", "PSU", "33", "practical salinity now"),
            WANTED,
            number("saltier_water_psu", "PSU", "38", "practical salinity of the water for an exchange"),
            TEMPERATURE,
            VOLUME,
        ],
        outputs: &[
            output("add_salt_g", "g", "dry salt to dissolve in tank water apart from the animals"),
            output("let_evaporate_l", "L", "or fresh water to let evaporate without topping off"),
            output("take_out_l", "L", "or tank water to take out"),
            output("replace_with_saltier_l", "L", "and saltier water to put in its place"),
        ],
        valid: "all salinities 2 to 42, the wanted one no lower and no higher than that of the saltier water, 0 to 40 °C, \
            volume above 0; animals bear a slow change better: spread it over days",
        sources: SOURCES,
        work: Work::Row(|given| {
            let up = raise_salinity(
                given.salinity("salinity_psu"),
                given.salinity("wanted_salinity_psu"),
                given.salinity("saltier_water_psu"),
                given.celsius("temperature_c"),
                given.litres("volume_l"),
            )?;
            all_of([
                up.add_salt.as_grams(),
                up.let_evaporate.as_litres(),
                up.take_out.as_litres(),
                up.replace_with_saltier.as_litres(),
            ])
        }),
    },
];
