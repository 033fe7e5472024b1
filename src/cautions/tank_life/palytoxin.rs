//! Cautions about palytoxin, the poison of some zoanthids and their kin.

use jiff::civil::Date;

use super::{DOCTOR, Why, mentions, names_of, newest, paragraphs, tasks_where, text_of, words_of};
use crate::cautions::Danger;
use crate::cautions::{Caution, caution};
use crate::diagnostic::Place;
use crate::record::colony::{Group, SourceKind};
use crate::record::{Colony, Record, Tank};

const PALYTOXIN_SOURCES: [&str; 4] = [
    "Hamade et al. (2015), MMWR 64(31): 852–855 — title or content seen",
    "Pelin et al. (2016), Marine Drugs 14(2): 33 — title or content seen",
    "OATA, recommendations on palytoxin — title or content seen",
    "SA Health, Palytoxin Poisoning: Marine Aquarium Safety — title or content seen",
];

/// Work that puts the poison into the air or into the eyes.
const STIRRING: &[&str] = &[
    "boil",
    "boiled",
    "boiling",
    "cook",
    "cooked",
    "steam",
    "steamed",
    "steaming",
    "microwave",
    "microwaved",
    "hot water",
    "pressure wash",
    "pressure washed",
    "power wash",
    "power washed",
    "scrub",
    "scrubbed",
    "scrubbing",
    "scrape",
    "scraped",
    "scraping",
    "brush",
    "brushed",
    "brushing",
    "grind",
    "grinding",
    "ground down",
    "sawed",
    "sawn",
    "band saw",
    "cut",
    "cuts",
    "cutting",
    "frag",
    "frags",
    "fragged",
    "fragging",
    "dry out",
    "dried out",
    "drying out",
    "vacuum",
    "vacuumed",
    "peroxide",
    "fresh water dip",
    "freshwater dip",
];

/// Everyday phrases that hold one of those words and mean none of them.
const NOT_STIRRING: &[&str] =
    &["power cut", "power cuts", "cut the power", "cut off the power", "pump cut out", "pump cuts out"];

fn stirs(text: &str) -> bool {
    let mut plain = words_of(text).join(" ");
    for phrase in NOT_STIRRING {
        plain = plain.replace(phrase, " ");
    }
    mentions(&plain, STIRRING)
}

fn may_hold_palytoxin(colony: &Colony) -> bool {
    let words = words_of(&names_of(colony));
    let starts = ["paly", "zoa", "protopaly"];
    colony.group.value == Group::Zoanthid
        || words.iter().any(|word| starts.iter().any(|start| word.starts_with(start)))
        || mentions(&names_of(colony), &["button polyp", "button polyps"])
}

pub(super) fn raise(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let here: Vec<&Colony> =
        record.colonies_in(&tank.key, record.as_of).filter(|colony| may_hold_palytoxin(colony)).collect();
    let mut present: Why = here.iter().map(|colony| (colony.name.value.clone(), Some(colony.place.clone()))).collect();
    let danger = if present.is_empty() { Danger::Check } else { Danger::People };
    if present.is_empty() {
        // What came in on a rock and was never named may be one of them.
        present.extend(record.colonies_in(&tank.key, record.as_of).filter_map(|colony| {
            let stranger = colony.source.as_ref().is_some_and(|source| source.kind.value == SourceKind::HitchHiker)
                && matches!(colony.group.value, Group::Soft | Group::Other | Group::Anemone)
                && colony.claims.iter().all(|claim| claim.thought_to_be.is_none());
            let reason = format!("{}: a hitch-hiker that nobody has named", colony.name.value);
            stranger.then(|| (reason, Some(colony.place.clone())))
        }));
    }
    present.extend(
        tank.entries
            .iter()
            .filter(|entry| mentions(&text_of(entry), &["ostreopsis"]))
            .map(|entry| (format!("{}: the entry names Ostreopsis", entry.date()), Some(entry.place.clone()))),
    );
    if present.is_empty() {
        return;
    }
    let title = if danger == Danger::People {
        "Some of these animals hold palytoxin"
    } else {
        "Could one of these hold palytoxin?"
    };
    let mut raised = caution("palytoxin.present", danger, title, DOCTOR);
    raised.text = paragraphs(&[
        "Some zoanthids and their kin hold palytoxin, one of the strongest poisons known, and nobody can tell which by \
         looking. Handle them as little as possible, with gloves and eye protection; cover cuts; wash afterwards.",
        "Keep children and pets away from pieces taken out and from the water they were rinsed in.",
    ]);
    raised.why = present.clone();
    raised.sources = PALYTOXIN_SOURCES.to_vec();
    raised.topics = vec!["colony", "upkeep"];
    out.push(raised);
    aerosol(record, tank, &here, (danger, &present), out);
    let title = "Feeling ill after work at the tank";
    let mut raised = caution("palytoxin.symptoms", danger, title, DOCTOR);
    raised.text = paragraphs(&[
        "A bitter or metallic taste, fever or chills, cough, a tight chest, breathlessness, weakness, muscle pain, sore red \
         eyes or numbness may come within minutes to about 8 hours of work at the tank, also to others in the house.",
        "Leave the room for fresh air. Call the emergency number if breathing, chest or eyes are affected, the poison centre \
         otherwise. Tell them “possible palytoxin from an aquarium coral” and show them this page.",
    ]);
    raised.why = present;
    raised.sources = PALYTOXIN_SOURCES.to_vec();
    raised.topics = vec!["upkeep", "colony"];
    out.push(raised);
}

fn aerosol(record: &Record, tank: &Tank, here: &[&Colony], (danger, present): (Danger, &Why), out: &mut Vec<Caution>) {
    let mut why = tasks_where(record, tank, |task| stirs(&format!("{} {}", task.key, task.what)));
    let mut told: Vec<(Date, String, &Place)> = tank
        .entries
        .iter()
        .filter(|entry| stirs(&text_of(entry)))
        .map(|entry| (entry.date(), format!("{}: the entry tells of such work", entry.date()), &entry.place))
        .collect();
    for colony in here {
        told.extend(
            colony
                .events
                .iter()
                .filter(|event| event.on <= record.as_of && stirs(&event.what))
                .map(|event| (event.on, format!("{}, {}: {}", colony.name.value, event.on, event.what), &event.place)),
        );
    }
    told.sort();
    why.extend(newest(told.into_iter().map(|(_, reason, place)| (reason, Some(place.clone()))).collect()));
    if why.is_empty() {
        return;
    }
    why.extend(present.iter().cloned());
    let title = "Never boil, heat, scrub dry or hot-rinse rock with these animals";
    let mut raised = caution("palytoxin.aerosol", danger, title, DOCTOR);
    raised.text = paragraphs(&[
        "Do not boil, steam, microwave, heat, dry-brush, hot-rinse or power-wash rock on which they sit or sat. Whole \
         households have been poisoned by the vapour.",
        "If a piece must go, take it off under tank water, with the room aired and its door shut to others, and bag it wet. \
         Cut under water or in a bowl, without splashes, with eyes covered; never start a siphon with the mouth.",
    ]);
    raised.why = why;
    raised.sources = PALYTOXIN_SOURCES.to_vec();
    raised.sources.push("Tartaglione et al. (2016), Toxicon, scrubbing under hot water — as quoted by another text");
    raised.topics = vec!["upkeep", "colony", "log"];
    out.push(raised);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_power_cut_stirs_no_poison() {
        assert!(!stirs("Power cut of two hours, the pump cut out"));
        assert!(stirs("Cut three polyps off the rock"));
        assert!(stirs("cut back the mat"));
        assert!(stirs("scrubbed the rock under hot water"));
        assert!(!stirs("Scrubby growth, a fragile skeleton"));
    }
}
