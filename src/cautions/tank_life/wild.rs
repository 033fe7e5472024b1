//! Cautions about what was taken from nature, and about species that a law names.

use super::{Why, mentions, names_of, newest, paragraphs, text_of};
use crate::cautions::Danger;
use crate::cautions::{Caution, caution};
use crate::record::{Record, Tank};

const AUTHORITY: &str =
    "The wildlife and fisheries authorities of your place decide; lists change, so ask before acting.";

/// The list as it stood after the rule of 2014. It has changed since, which the text says.
const LISTED: [&str; 22] = [
    "Acropora cervicornis",
    "Acropora globiceps",
    "Acropora jacquelineae",
    "Acropora lokani",
    "Acropora palmata",
    "Acropora pharaonis",
    "Acropora retusa",
    "Acropora rudis",
    "Acropora speciosa",
    "Acropora tenella",
    "Anacropora spinosa",
    "Dendrogyra cylindrus",
    "Euphyllia paradivisa",
    "Isopora crateriformis",
    "Montipora australiensis",
    "Mycetophyllia ferox",
    "Orbicella annularis",
    "Orbicella faveolata",
    "Orbicella franksi",
    "Pavona diffluens",
    "Porites napopora",
    "Seriatopora aculeata",
];

pub(super) fn raise(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    listed(record, tank, out);
    collected(tank, out);
}

fn listed(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let why: Why = record
        .colonies_in(&tank.key, record.as_of)
        .filter_map(|colony| {
            let species = LISTED.iter().find(|species| mentions(&names_of(colony), &[species]))?;
            Some((format!("{}: {species} by a name it was given", colony.name.value), Some(colony.place.clone())))
        })
        .collect();
    if why.is_empty() {
        return;
    }
    let mut raised = caution("law.listed-species", Danger::Check, "A species that a law names", AUTHORITY);
    raised.text = paragraphs(&[
        "It stood on the list of corals under the Endangered Species Act of the United States after the rule of 2014. What is \
         forbidden differs by species and has changed since: ask the agency before you sell, give, ship or import one.",
        "Other countries have lists of their own.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "NOAA, listing of 20 corals (2014) — species list seen in magazine reports",
        "79 FR 53851 and later changes — from memory, to be checked",
    ];
    raised.topics = vec!["colony"];
    out.push(raised);
}

fn collected(tank: &Tank, out: &mut Vec<Caution>) {
    let why: Why = tank
        .entries
        .iter()
        .filter(|entry| {
            let phrases = [
                "collected from the sea",
                "collected at the beach",
                "collected on the beach",
                "from the beach",
                "found on the beach",
                "from the shore",
                "wild collected",
                "took it from the sea",
                "sea water from",
            ];
            mentions(&text_of(entry), &phrases)
        })
        .map(|entry| {
            (format!("{}: the entry tells of something from the shore", entry.date()), Some(entry.place.clone()))
        })
        .collect();
    if why.is_empty() {
        return;
    }
    let title = "What comes from the shore may need a permit";
    let mut raised = caution("law.wild-collection", Danger::Check, title, AUTHORITY);
    raised.text = paragraphs(&[
        "Taking animals, algae, rock, sand or water from the shore is licensed, limited or forbidden in many places, and more so \
         in reserves. Ask first.",
        "It may also carry in what a tank cannot stand: quarantine it.",
    ]);
    raised.why = newest(why);
    raised.sources =
        vec!["national and state fisheries laws — from memory, to be checked", "common practice, no source"];
    raised.topics = vec!["colony"];
    out.push(raised);
}
