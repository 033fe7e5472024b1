//! Cautions about what stands in the cupboard and what must never meet.
//!
//! Supplies belong to the whole record, so these stand with its main tank only: a shelf is not listed twice.

use super::electricity::paragraphs;
use super::tank_life::{mentions, text_of};
use super::{Caution, caution, shelf};
use crate::cautions::Danger;
use crate::diagnostic::Place;
use crate::record::supply::SupplyKind;
use crate::record::{Parameter, Record, Supply, Tank, YesNo};

type Why = Vec<(String, Option<Place>)>;

const POISON_CENTRE: &str =
    "The label and safety data sheet of the product, local rules and the poison centre of your country decide.";

const LIME: &[&str] = &[
    "lime",
    "limewater",
    "lime water",
    "kalkwasser",
    "kalk",
    "quicklime",
    "calcium hydroxide",
    "calcium oxide",
    "sodium hydroxide",
    "caustic soda",
    "soda lime",
];
const ACID: &[&str] = &[
    "hydrochloric",
    "muriatic",
    "acetic",
    "vinegar",
    "citric",
    "phosphoric",
    "sulfamic",
    "sulphamic",
    "sulfuric",
    "sulphuric",
];
const BLEACH: &[&str] = &["bleach", "hypochlorite"];
const PEROXIDE: &[&str] = &["peroxide", "h2o2"];
/// With bleach these give poisonous or violent products, besides the acids and peroxide.
const OTHER_FOES_OF_BLEACH: &[&str] =
    &["ammonia", "ammonium", "alcohol", "ethanol", "vodka", "isopropanol", "isopropyl", "methanol"];
const SALTS: &[&str] = &[
    "calcium chloride",
    "magnesium chloride",
    "magnesium sulfate",
    "magnesium sulphate",
    "sodium carbonate",
    "sodium bicarbonate",
    "sodium hydrogen carbonate",
    "baking soda",
    "soda ash",
    "calcium hydroxide",
    "sodium hydroxide",
    "two part",
    "potassium nitrate",
    "potassium carbonate",
];
/// Sold as something else, but a chemical all the same.
const ALSO_CHEMICALS: &[&str] = &["formalin", "copper", "chloroquine", "iodine", "permanganate", "lugol"];

pub(super) fn raise(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    if record.main_tank().is_none_or(|main| main.key != tank.key) {
        return;
    }
    let shelf: Vec<&Supply> = record
        .supplies
        .values()
        .filter(|supply| supply.until.as_ref().is_none_or(|until| until.value >= record.as_of))
        .collect();
    store(&shelf, out);
    lime(&shelf, out);
    acid(&shelf, tank, out);
    bleach_mix(&shelf, tank, out);
    peroxide(&shelf, out);
    order(&shelf, out);
    shelf::raise(&shelf, text, out);
}

/// All words by which a supply may be known.
fn text(supply: &Supply) -> String {
    let mut text = vec![supply.name.value.as_str(), &supply.key];
    text.extend(supply.substance.as_ref().map(|substance| substance.value.as_str()));
    text.extend(supply.form.as_deref());
    text.join(" . ")
}

fn is(supply: &Supply, words: &[&str]) -> bool {
    mentions(&text(supply), words)
}

fn is_chemical(supply: &Supply) -> bool {
    matches!(supply.kind.value, SupplyKind::Chemical | SupplyKind::Stock)
        || [LIME, ACID, BLEACH, PEROXIDE, OTHER_FOES_OF_BLEACH, SALTS, ALSO_CHEMICALS]
            .iter()
            .any(|words| is(supply, words))
            && !matches!(supply.kind.value, SupplyKind::Kit | SupplyKind::Food | SupplyKind::Salt)
}

fn because(supply: &Supply, what: &str) -> (String, Option<Place>) {
    (format!("{}: {what}", supply.name.value), Some(supply.place.clone()))
}

fn kept(supply: &Supply) -> String {
    match &supply.where_kept {
        Some(place) => format!("kept: {}", place.value),
        None => "where it is kept is not written".into(),
    }
}

fn not_locked(supply: &Supply) -> bool {
    supply.locked.as_ref().is_some_and(|locked| locked.value == YesNo::No)
}

fn store(shelf: &[&Supply], out: &mut Vec<Caution>) {
    let mut danger = Danger::Check;
    let mut why = Why::new();
    for supply in shelf.iter().filter(|supply| is_chemical(supply)) {
        let locked = supply.locked.as_ref().map_or(YesNo::Unknown, |locked| locked.value);
        let original = supply.in_original_container.as_ref().map_or(YesNo::Unknown, |original| original.value);
        let mut reasons = Vec::new();
        match locked {
            YesNo::Yes => {}
            YesNo::No => reasons.push("not locked away"),
            YesNo::Unknown => reasons.push("is it locked away?"),
        }
        match original {
            YesNo::Yes => {}
            YesNo::No => reasons.push("not in its original container"),
            YesNo::Unknown => reasons.push("is it in its original container?"),
        }
        if reasons.is_empty() {
            continue;
        }
        if locked == YesNo::No || original == YesNo::No {
            danger = Danger::People;
        }
        why.push(because(supply, &reasons.join(", ")));
    }
    if why.is_empty() {
        return;
    }
    let title = match danger {
        Danger::People => "Chemicals within reach, or in the wrong bottle",
        _ => "Are the chemicals locked away, in their own containers?",
    };
    let mut raised = caution("chemical.store", danger, title, POISON_CENTRE);
    raised.text = paragraphs(&[
        "Each keeps to its original container, or to one that bears name, strength and date. Locked and high; never in a \
         drink bottle or food jar, never in a fridge beside food.",
        "Acids stand apart from bases and bleach; oxidisers such as nitrate salts and peroxide apart from anything that \
         burns. Write the number of the poison centre by the telephone. Who looks after the tank for a while handles only \
         portions measured beforehand.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "Poison-centre and CPSC poison-prevention packaging advice — from memory, to be checked",
        "Children's hospital page on household poisons — title or content seen",
    ];
    raised.topics = vec!["upkeep", "water"];
    out.push(raised);
}

fn lime(shelf: &[&Supply], out: &mut Vec<Caution>) {
    let found: Vec<&&Supply> = shelf.iter().filter(|supply| is(supply, LIME)).collect();
    if found.is_empty() {
        return;
    }
    let danger = if found.iter().any(|supply| not_locked(supply)) { Danger::People } else { Danger::Check };
    let mut raised = caution("chemical.lime", danger, "Lime and lye burn eyes and airways", POISON_CENTRE);
    raised.text = paragraphs(&[
        "They are caustic. Goggles, gloves and a dust mask; pour low, lid on. The powder goes into water, never water onto \
         the powder: calcium oxide and sodium hydroxide boil and spit.",
        "In the eye: rinse with clean water for 15 minutes and go to emergency care. Keep it out of the hands of whoever \
         looks after the tank, and take it off the top-off while you travel, because a pump that sticks would dose it all.",
    ]);
    raised.why = found.iter().map(|supply| because(supply, &kept(supply))).collect();
    raised.sources = vec![
        "NIOSH Pocket Guide to Chemical Hazards (2005-149), calcium hydroxide — title seen, value from memory, to be checked",
    ];
    raised.topics = vec!["upkeep", "water"];
    out.push(raised);
}

fn acid(shelf: &[&Supply], tank: &Tank, out: &mut Vec<Caution>) {
    let found: Vec<&&Supply> = shelf.iter().filter(|supply| is(supply, ACID)).collect();
    let mut why: Why = found.iter().map(|supply| because(supply, &kept(supply))).collect();
    why.extend(
        tank.upkeep
            .tasks
            .values()
            .filter(|task| mentions(&task.what, ACID))
            .map(|task| (format!("task: {}", task.what), Some(task.place.clone()))),
    );
    let used = tank.entries.iter().rev().find(|entry| mentions(&text_of(entry), ACID));
    why.extend(used.map(|entry| (format!("{}: the entry names an acid", entry.date()), Some(entry.place.clone()))));
    if why.is_empty() {
        return;
    }
    let danger = if found.iter().any(|supply| not_locked(supply)) { Danger::People } else { Danger::Check };
    let mut raised = caution("chemical.acid", danger, "Acid into water, never water into acid", POISON_CENTRE);
    raised.text = paragraphs(&[
        "Goggles and gloves, outdoors or with a fan. Never together with bleach. Vinegar on limestone or baking soda gives \
         gas: never in a closed bottle.",
        "In the eye: rinse with clean water for 15 minutes and get emergency care. Afterwards it goes down the drain with \
         plenty of water, as local rules allow.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "NIOSH Pocket Guide to Chemical Hazards, hydrogen chloride — from memory, to be checked",
        "common practice, no source",
    ];
    raised.topics = vec!["upkeep"];
    out.push(raised);
}

fn bleach_mix(shelf: &[&Supply], tank: &Tank, out: &mut Vec<Caution>) {
    let is_foe = |text: &str| [ACID, PEROXIDE, OTHER_FOES_OF_BLEACH].iter().any(|words| mentions(text, words));
    let place_of = |supply: &Supply| supply.where_kept.as_ref().map(|place| place.value.trim().to_lowercase());
    let (mut together, mut open) = (Why::new(), Why::new());
    for bleach in shelf.iter().filter(|supply| is(supply, BLEACH)) {
        for foe in shelf.iter().filter(|supply| !is(supply, BLEACH) && is_foe(&text(supply))) {
            match (place_of(bleach), place_of(foe)) {
                (Some(one), Some(other)) if one == other => {
                    together.push(because(bleach, &format!("in one place with {}", foe.name.value)));
                }
                (Some(_), Some(_)) => {}
                _ => open.push(because(bleach, &format!("does it stand in one place with {}?", foe.name.value))),
            }
        }
    }
    for entry in &tank.entries {
        let text = text_of(entry);
        if mentions(&text, BLEACH) && is_foe(&text) {
            let reason = format!("{}: the entry names bleach and what it must not meet", entry.date());
            together.push((reason, Some(entry.place.clone())));
        }
    }
    let (danger, title) = match (together.is_empty(), open.is_empty()) {
        (true, true) => return,
        (false, _) => (Danger::People, "Bleach next to what it must never meet"),
        (true, false) => (Danger::Check, "Does bleach stand apart from acids, ammonia and peroxide?"),
    };
    let mut raised = caution("chemical.bleach-mix", danger, title, POISON_CENTRE);
    raised.text = paragraphs(&[
        "Bleach is mixed with nothing but water. With an acid, vinegar too, it gives chlorine gas; with ammonia, with the \
         ammonium salts used to start a tank, and with dirty tank water it gives chloramines.",
        "One cleaner at a time, with a rinse between. If it happens: leave, get fresh air, call the emergency number or the \
         poison centre.",
    ]);
    raised.why = together;
    raised.why.extend(open);
    raised.sources = vec![
        "CDC (1991), MMWR, chlorine gas from mixing bleach with other cleaners — title or content seen, year from memory",
        "Poison-centre pages — title or content seen",
    ];
    raised.topics = vec!["upkeep"];
    out.push(raised);
}

fn peroxide(shelf: &[&Supply], out: &mut Vec<Caution>) {
    let found: Vec<&&Supply> = shelf.iter().filter(|supply| is(supply, PEROXIDE)).collect();
    if found.is_empty() {
        return;
    }
    // A strength that nobody wrote counts as strong: the rule names it so.
    let strong = |supply: &Supply| strength(supply).is_none_or(|percent| percent >= 8.0);
    let danger = if found.iter().any(|supply| strong(supply)) { Danger::People } else { Danger::Check };
    let mut raised = caution("chemical.peroxide", danger, "Peroxide: how strong is it?", POISON_CENTRE);
    raised.text = paragraphs(&[
        "The household strength of 3 % irritates. Above about 10 % it burns skin and eyes and can set organic matter alight; \
         the 35 % kind has no place at a tank.",
        "Goggles, gloves, a vented cap, cool and dark. Never together with vinegar, bleach, metal salts or alcohol. \
         Swallowed: call the poison centre.",
    ]);
    raised.why = found
        .iter()
        .map(|supply| match strength(supply) {
            Some(percent) => because(supply, &format!("{} %", crate::figures::number(percent))),
            None => because(supply, "its strength is not written"),
        })
        .collect();
    raised.sources = vec!["ATSDR, Medical Management Guidelines for Hydrogen Peroxide — title or content seen"];
    raised.topics = vec!["upkeep"];
    out.push(raised);
}

/// The largest number before a percent sign in what is written of a supply.
fn strength(supply: &Supply) -> Option<f64> {
    let written = format!("{} {}", text(supply), supply.note.as_deref().unwrap_or_default());
    let pieces: Vec<&str> = written.split('%').collect();
    pieces[..pieces.len() - 1]
        .iter()
        .filter_map(|before| {
            let before = before.trim_end();
            let start = before
                .char_indices()
                .rev()
                .take_while(|(_, letter)| letter.is_ascii_digit() || *letter == '.')
                .last()
                .map_or(before.len(), |(at, _)| at);
            before[start..].parse::<f64>().ok()
        })
        .max_by(f64::total_cmp)
}

fn order(shelf: &[&Supply], out: &mut Vec<Caution>) {
    let made_up: Vec<&&Supply> = shelf
        .iter()
        .filter(|supply| {
            let concentrate = supply.kind.value == SupplyKind::Stock
                && [Parameter::Calcium, Parameter::Magnesium, Parameter::Alkalinity]
                    .iter()
                    .any(|parameter| supply.strength.contains_key(parameter));
            is_chemical(supply) && (concentrate || is(supply, SALTS))
        })
        .collect();
    if made_up.len() < 2 {
        return;
    }
    let title = "One powder to one vessel, into plenty of cool water";
    let mut raised = caution("chemical.order", Danger::Check, title, POISON_CENTRE);
    raised.text = paragraphs(&[
        "Stir each salt into plenty of cool water in a vessel of its own, with goggles on. Calcium chloride and hydroxides \
         heat strongly as they dissolve: never a hot liquid into a sealed or thin bottle.",
        "Do not mix concentrates with each other. Label at once, and wait until it is cool and clear.",
    ]);
    raised.why = made_up.iter().map(|supply| because(supply, "a salt or concentrate made up by hand")).collect();
    raised.sources = vec!["Safety data sheets of the salts — from memory, to be checked", "common practice, no source"];
    raised.topics = vec!["upkeep", "water"];
    out.push(raised);
}
