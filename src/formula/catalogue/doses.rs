//! What a dose does.

use super::super::given::all_of;
use super::super::{Formula, Input, Work, number, output, word};
use super::units::COMPOUND;
use crate::science::stoichiometry::*;

const ION: Input = word("ion", "Mg", "formula of the ion (NO3, Mg), or its element (PO4-P)");
const MASS: Input =
    number("mass_g", "g", "10", "mass of the compound as weighed, its water of crystallisation included");
const VOLUME: Input = number("volume_l", "L", "100", "volume of water that it goes into");
const BASE: Input = word(
    "compound",
    "NaHCO3",
    "a bicarbonate, carbonate, hydroxide or oxide (NaHCO3, Na2CO3.10H2O, Ca(OH)2), or borax (Na2B4O7.10H2O)",
);

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
];
