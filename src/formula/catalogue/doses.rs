//! What a dose does.

use super::super::given::{Given, all_of};
use super::super::{Formula, Input, Refusal, Work, number, output, word};
use super::units::COMPOUND;
use crate::science::range::positive;
use crate::science::stock::*;
use crate::science::stoichiometry::*;
use crate::units::Mass;

const ION: Input = word("ion", "Mg", "formula of the ion (NO3, Mg), or its element (PO4-P)");
const MASS: Input =
    number("mass_g", "g", "10", "mass of the compound as weighed, its water of crystallisation included");
const VOLUME: Input = number("volume_l", "L", "100", "volume of water that it goes into");
const BASE: Input = word(
    "compound",
    "NaHCO3",
    "a bicarbonate, carbonate, hydroxide or oxide (NaHCO3, Na2CO3.10H2O, Ca(OH)2), or borax (Na2B4O7.10H2O)",
);

const RISE_PER_ML: Input = number("rise_mg_l_per_ml", "mg/L", "0.1", "rise of the tank by one mL");
const STOCK_VOLUME: Input = number("stock_volume_ml", "mL", "1000", "volume of the stock").or("1000");
const STOCK: &str = "rise 0 or more, volumes above 0; whether so much dissolves is not checked: a stock with a sediment is \
    weaker than it says. Wear gloves and goggles, add the powder to the water, label the bottle";

pub(super) const FORMULAS: &[Formula] = &[
    Formula {
        name: "dose-raises-ion",
        about: "what a mass of a compound adds of an ion to a volume of water",
        inputs: &[COMPOUND, ION, MASS, VOLUME],
        outputs: &[
            output("mass_fraction_of_ion", "", "share of the compound's mass that is the ion"),
            output("rise_mg_l", "mg/L", "rise of its concentration"),
        ],
        valid: "mass 0 or more, volume above 0; a pure compound that dissolves and stays dissolved",
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let (compound, ion) = (given.word("compound"), given.word("ion"));
            let rise = ion_rise_mg_per_l(compound, ion, given.grams("mass_g"), given.litres("volume_l"))?;
            all_of([ion_mass_fraction(compound, ion)?, rise])
        }),
    },
    Formula {
        name: "dose-raises-alkalinity",
        about: "what a mass of a compound adds to the alkalinity of a volume of water",
        inputs: &[BASE, MASS, VOLUME],
        outputs: &[
            output("equivalents_per_mol", "", "moles of acid that a mole takes up"),
            output("rise_meq_l", "meq/L", "rise of alkalinity"),
            output("rise_dkh", "dKH", "the same in degrees"),
            output("rise_mg_l_caco3", "mg/L CaCO₃", "the same as calcium carbonate"),
        ],
        valid: "mass 0 or more, volume above 0; a pure compound of which all dissolves and nothing precipitates",
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let compound = given.word("compound");
            let rise = alkalinity_rise(compound, given.grams("mass_g"), given.litres("volume_l"))?;
            all_of([equivalents_per_mol(compound)?, rise.meq_per_l, rise.dkh, rise.mg_per_l_caco3])
        }),
    },
    Formula {
        name: "mass-for-ion-rise",
        about: "mass of a compound that raises an ion by so much in a volume of water",
        inputs: &[COMPOUND, ION, number("rise_mg_l", "mg/L", "20", "rise that is wanted"), VOLUME],
        outputs: &[output("mass_g", "g", "mass to weigh")],
        valid: "rise 0 or more, volume above 0; a pure compound that dissolves and stays dissolved",
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let (compound, ion) = (given.word("compound"), given.word("ion"));
            all_of([mass_for_ion_rise(compound, ion, given.number("rise_mg_l"), given.litres("volume_l"))?.as_grams()])
        }),
    },
    Formula {
        name: "mass-for-alkalinity-rise",
        about: "mass of a compound that raises alkalinity by so much in a volume of water",
        inputs: &[BASE, number("rise_dkh", "dKH", "1", "rise that is wanted"), VOLUME],
        outputs: &[output("mass_g", "g", "mass to weigh")],
        valid: "rise 0 or more, volume above 0; a pure compound of which all dissolves and nothing precipitates",
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let rise = Alkalinity::from_dkh(given.number("rise_dkh"));
            all_of([mass_for_alkalinity_rise(given.word("compound"), rise, given.litres("volume_l"))?.as_grams()])
        }),
    },
    Formula {
        name: "stock-solution",
        about: "grams of a compound in a stock so that each mL raises an ion in the tank by so much",
        inputs: &[COMPOUND, ION, RISE_PER_ML, VOLUME, STOCK_VOLUME],
        outputs: &[
            output("mass_g", "g", "mass to dissolve and fill up to the stock's volume"),
            output("stock_g_l", "g/L", "grams of the compound in a litre"),
            output("ion_g_l", "g/L", "grams of the ion in a litre"),
        ],
        valid: STOCK,
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let (compound, ion) = (given.word("compound"), given.word("ion"));
            let of_a_ml = mass_for_ion_rise(compound, ion, given.number("rise_mg_l_per_ml"), given.litres("volume_l"))?;
            stock(given, of_a_ml.as_grams(), ion_mass_fraction(compound, ion)?)
        }),
    },
    Formula {
        name: "stock-solution-alkalinity",
        about: "grams of a compound in a stock so that each mL raises the tank's alkalinity by so much",
        inputs: &[BASE, number("rise_dkh_per_ml", "dKH", "0.02", "rise of the tank by one mL"), VOLUME, STOCK_VOLUME],
        outputs: &[
            output("mass_g", "g", "mass to dissolve and fill up to the stock's volume"),
            output("stock_g_l", "g/L", "grams of the compound in a litre"),
            output("alkalinity_meq_ml", "meq/mL", "alkalinity of the stock"),
        ],
        valid: STOCK,
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let rise = Alkalinity::from_dkh(given.number("rise_dkh_per_ml"));
            let volume = given.litres("volume_l");
            let of_a_ml = mass_for_alkalinity_rise(given.word("compound"), rise, volume)?;
            let mut outputs = stock(given, of_a_ml.as_grams(), 0.0)?;
            outputs[2] = Some(rise.meq_per_l * volume.as_litres());
            Ok(outputs)
        }),
    },
    Formula {
        name: "stock-dose",
        about: "millilitres of a stock of known strength for a wanted rise",
        inputs: &[
            COMPOUND,
            ION,
            number("stock_g_l", "g/L", "100", "grams of the compound in a litre of stock"),
            number("rise_mg_l", "mg/L", "5", "rise that is wanted"),
            VOLUME,
        ],
        outputs: &[output("dose_ml", "mL", "stock to dose"), output("rise_mg_l_per_ml", "mg/L", "what one mL raises")],
        valid: "rise 0 or more, strength and volume above 0; spread a large dose over days and away from the animals",
        sources: &["prohaska_2022"],
        work: Work::Row(|given| {
            let (compound, ion, volume) = (given.word("compound"), given.word("ion"), given.litres("volume_l"));
            let strength = positive("strength of the stock", given.number("stock_g_l"), "g/L")?;
            let mass = mass_for_ion_rise(compound, ion, given.number("rise_mg_l"), volume)?;
            let of_a_ml = ion_rise_mg_per_l(compound, ion, Mass::grams(strength / 1000.0), volume)?;
            all_of([mass.as_grams() / strength * 1000.0, of_a_ml])
        }),
    },
];

/// Mass for the whole stock, grams in a litre of it, and the ion's grams in a litre.
fn stock(given: &Given, grams_of_a_ml: f64, fraction: f64) -> Result<Vec<Option<f64>>, Refusal> {
    let millilitres = positive("volume of the stock", given.number("stock_volume_ml"), "mL")?;
    let grams_per_l = grams_of_a_ml * 1000.0;
    all_of([grams_of_a_ml * millilitres, grams_per_l, grams_per_l * fraction])
}
