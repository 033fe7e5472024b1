//! Cautions about the law: what leaves the tank, what may be kept, and what needs papers.

use super::{Why, mentions, names_of, newest, paragraphs, text_of, water_changes};
use crate::cautions::Danger;
use crate::cautions::{Caution, caution};
use crate::record::colony::{EndKind, Group, SourceKind};
use crate::record::{Entry, Record, Tank, YesNo};

const AUTHORITY: &str = "The wildlife authority and the law of your place decide; lists change, so ask before acting.";

pub(super) fn raise(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    release(record, tank, out);
    papers(record, tank, out);
}

fn release(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let mut why = Why::new();
    let harvests: Vec<&Entry> = tank.entries.iter().filter(|entry| !entry.harvests.is_empty()).collect();
    if let Some(entry) = harvests.last() {
        let mut days: Vec<_> = harvests.iter().map(|entry| entry.date()).collect();
        days.dedup();
        let reason = match days.len() {
            1 => format!("algae or animals harvested on {}", entry.date()),
            count => format!("algae or animals harvested on {count} days, the last {}", entry.date()),
        };
        why.push((reason, Some(entry.place.clone())));
    }
    let ended = record.colonies.values().filter_map(|colony| {
        let ended = colony.ended.as_ref().filter(|ended| ended.on <= record.as_of)?;
        let last = colony.placements.last().filter(|placement| placement.tank.value == tank.key);
        last.map(|_| {
            (format!("{}: {} on {}", colony.name.value, words(ended.how), ended.on), Some(ended.place.clone()))
        })
    });
    why.extend(ended);
    why.extend(water_changes(tank));
    if why.is_empty() {
        return;
    }
    let title = "Nothing from the tank goes into nature";
    let mut raised = caution("law.do-not-release", Danger::Check, title, AUTHORITY);
    raised.text = paragraphs(&[
        "No animal, alga, rock or sand, and no water from the tank, goes into sea, river, storm drain or toilet. Animals go \
         to a club, a shop or a school that takes them.",
        "Harvested algae are frozen for 24 to 48 hours or dried, then put in the bin. Old water goes to the sewer as local \
         rules allow, never to the storm drain.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "Edgerton & Erickson (2016), on releasing marine ornamental species — title or content seen",
        "UC Santa Barbara, reef-friendly aquariums page — title or content seen",
    ];
    raised.topics = vec!["upkeep", "colony", "water"];
    out.push(raised);
}

fn words(how: EndKind) -> &'static str {
    match how {
        EndKind::Lost => "lost",
        EndKind::GivenAway => "given away",
        EndKind::Removed => "removed",
        EndKind::CutUp => "cut up",
    }
}

fn papers(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    macroalgae(record, tank, out);
    trade(record, tank, out);
    let why: Why = record
        .colonies_in(&tank.key, record.as_of)
        .filter(|colony| colony.source.as_ref().is_none_or(|source| source.kind.value == SourceKind::Unknown))
        .map(|colony| (format!("{}: where did it come from?", colony.name.value), Some(colony.place.clone())))
        .collect();
    if why.is_empty() {
        return;
    }
    let mut raised = caution("law.provenance-missing", Danger::Check, "Origin not known", AUTHORITY);
    raised.text = paragraphs(&[
        "Pages print “origin not known” for these, not a blank. Who passes on a piece passes that on too: write down now \
         what is still remembered, from whom by role, when, and with which papers.",
    ]);
    raised.why = why;
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["colony"];
    out.push(raised);
}

fn macroalgae(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let mut title = "Which alga is it? Some may not be kept or passed on";
    let mut why = Why::new();
    for colony in record.colonies_in(&tank.key, record.as_of) {
        let place = Some(colony.place.clone());
        if mentions(&names_of(colony), &["caulerpa"]) {
            title = "Caulerpa is recorded: keeping or passing it on may be against the law";
            why.push((format!("{}: Caulerpa by a name it was given", colony.name.value), place));
        } else if colony.group.value == Group::Macroalga
            && colony.claims.iter().all(|claim| claim.thought_to_be.is_none())
        {
            why.push((format!("{}: no scientific name is written", colony.name.value), place));
        }
    }
    if why.is_empty() {
        return;
    }
    let mut raised = caution("law.macroalgae", Danger::Check, title, AUTHORITY);
    raised.text = paragraphs(&[
        "As an example: in California no species of Caulerpa may be possessed, sold, moved or given since 1 January 2024, \
         and the aquarium strain of C. taxifolia is a federal noxious weed in the United States. Other places have other \
         lists, with other genera.",
        "Find the name out, and ask before you ship, swap or publish an offer.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "California AB 655; Fish and Game Code 2300 — as stated by a coast-keeper group, seen",
        "NOAA Fisheries, page on C. taxifolia — title or content seen",
        "7 CFR 360.200 — from memory, to be checked",
    ];
    raised.topics = vec!["colony"];
    out.push(raised);
}

fn trade(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let mut why = Why::new();
    let mut listed_here = false;
    for colony in record.colonies.values() {
        let listed = matches!(colony.group.value, Group::LargePolypStony | Group::SmallPolypStony | Group::Clam)
            || mentions(
                &names_of(colony),
                &["blue coral", "organ pipe", "fire coral", "lace coral", "black coral", "seahorse", "tridacna"],
            );
        let last = colony.placements.iter().rev().find(|placement| placement.since <= record.as_of);
        if !listed || last.is_none_or(|placement| placement.tank.value != tank.key) {
            continue;
        }
        listed_here |= colony.is_here_on(record.as_of);
        if let Some(source) = &colony.source
            && matches!(source.kind.value, SourceKind::WildCollected | SourceKind::Mariculture)
            && source.papers != YesNo::Yes
        {
            let papers = if source.papers == YesNo::No { "without papers" } else { "are there papers?" };
            let reason = format!("{}: {}, {papers}", colony.name.value, source.kind.value.word());
            why.push((reason, Some(source.place.clone())));
        }
        if let Some(ended) = colony.ended.as_ref().filter(|ended| ended.how == EndKind::GivenAway)
            && ended.on <= record.as_of
        {
            why.push((format!("{}: given away on {}", colony.name.value, ended.on), Some(ended.place.clone())));
        }
    }
    if listed_here {
        let abroad: Why = tank
            .entries
            .iter()
            .filter(|entry| {
                mentions(&text_of(entry), &["abroad", "import", "imported", "export", "exported", "customs"])
            })
            .map(|entry| (format!("{}: the entry tells of a border", entry.date()), Some(entry.place.clone())))
            .collect();
        why.extend(newest(abroad));
    }
    if why.is_empty() {
        return;
    }
    let title = "Stony corals and clams need papers to cross a border";
    let mut raised = caution("law.cites", Danger::Check, title, AUTHORITY);
    raised.text = paragraphs(&[
        "International trade in them needs permits for export and often for import, also for one fragment, a gift or a move \
         of house; a live coral is no souvenir. Most soft corals and zoanthids are not listed, but the rock they sit on may \
         hold a stony coral. Inside a country other laws apply.",
        "Keep number, date and source code of each paper with the life history, in a private field; trade papers often name \
         only the genus.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "CITES Resolution Conf. 11.10, Trade in stony corals — Rev. CoP12 seen; the current Rev. CoP15 from memory, to be checked",
        "CITES Notification 2002/072 — title or content seen",
        "CITES appendices and source codes — from memory, to be checked",
    ];
    raised.topics = vec!["colony"];
    out.push(raised);
}
