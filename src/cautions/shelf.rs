//! Cautions about single kinds of chemicals on the shelf, each with what it must be kept from.

use super::electricity::paragraphs;
use super::tank_life::mentions;
use super::{Caution, Danger, caution};
use crate::record::Supply;
use crate::record::supply::SupplyKind;

const WHO: &str =
    "The label and safety data sheet of the product, local rules and the poison centre of your country decide.";

/// What is raised by a supply that goes by one of the words.
struct Shelved {
    key: &'static str,
    words: &'static [&'static str],
    title: &'static str,
    text: &'static [&'static str],
    sources: &'static [&'static str],
}

const SHELVED: [Shelved; 4] = [
    Shelved {
        key: "chemical.oxidiser",
        words: &[
            "potassium nitrate",
            "sodium nitrate",
            "calcium nitrate",
            "ammonium nitrate",
            "saltpetre",
            "saltpeter",
            "permanganate",
        ],
        title: "Nitrate salts feed a fire",
        text: &[
            "The dry salt makes other things burn faster. Keep it dry and away from sulfur, sugar, charcoal, paper, oil and \
             anything that burns; wipe up what is spilled with water, not with paper that then dries in the bin.",
            "Buy no more than a few hundred grams for a tank. In some countries some of these salts may be sold to the public \
             only with a permit, or not at all.",
        ],
        sources: &[
            "UN Recommendations on the Transport of Dangerous Goods, class 5.1; Regulation (EU) 2019/1148 — from memory, to be checked",
        ],
    },
    Shelved {
        key: "chemical.ammonium",
        words: &["ammonia", "ammonium chloride", "ammonium hydroxide", "ammonium"],
        title: "Ammonia and its salts never meet bleach",
        text: &[
            "With bleach they give off gases that have killed people. Use one, rinse, air the room, and only then take out the other.",
            "Keep the bottle capped and the window open while you measure. Solutions of ammonia burn the eyes; ammonium \
             salts do harm when swallowed.",
        ],
        sources: &["NIOSH Pocket Guide, ammonia — from memory, to be checked", "common practice, no source"],
    },
    Shelved {
        key: "chemical.carbon-dosing",
        words: &["ethanol", "vodka", "alcohol", "spirit", "methanol", "isopropanol", "isopropyl"],
        title: "Alcohol burns, and children drink from bottles",
        text: &[
            "Keep it away from lamps, sparks and heaters, in a closed bottle with a label, where children cannot reach it. \
             A few mouthfuls can endanger a small child.",
            "Never feed a dosing pump from an open vessel beside a socket.",
        ],
        sources: &["common practice, no source"],
    },
    Shelved {
        key: "chemical.iron-iodine",
        words: &["iron", "ferrous", "ferric", "iodine", "lugol"],
        title: "Iron salts and strong iodine belong under lock",
        text: &[
            "Iron salts look harmless and are dangerous to small children when swallowed. Strong iodine burns and stains.",
            "Locked, in the bottle they came in, with a label that can be read to a poison centre.",
        ],
        sources: &[
            "US packaging rule for iron preparations, 16 CFR 1700.14 — from memory, to be checked",
            "common practice, no source",
        ],
    },
];

/// Raised for what stands there by name or substance. Kits hold drops of many things and come with their own sheet.
pub(super) fn raise(shelf: &[&Supply], text: impl Fn(&Supply) -> String, out: &mut Vec<Caution>) {
    for rule in &SHELVED {
        let why: Vec<_> = shelf
            .iter()
            .filter(|supply| !matches!(supply.kind.value, SupplyKind::Kit | SupplyKind::Food | SupplyKind::Salt))
            .filter(|supply| mentions(&text(supply), rule.words))
            .map(|supply| (supply.name.value.clone(), Some(supply.place.clone())))
            .collect();
        if why.is_empty() {
            continue;
        }
        let mut raised = caution(rule.key, Danger::Check, rule.title, WHO);
        raised.text = paragraphs(rule.text);
        raised.why = why;
        raised.sources = rule.sources.to_vec();
        raised.topics = vec!["water", "upkeep"];
        out.push(raised);
    }
}
