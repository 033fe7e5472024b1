//! Colonies: what they are called, where they stood, how large they were, what happened to them.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::colony::Flow;
use crate::record::{Colony, Record};

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let colonies: Vec<&Colony> = record.colonies.values().collect();
    vec![
        of_colonies(&colonies),
        claims(&colonies),
        placements(&colonies),
        sizes(&colonies),
        events(&colonies),
        heard(&colonies),
    ]
}

fn of_colonies(colonies: &[&Colony]) -> TidyTable<'static> {
    let about = "Every colony that was ever here: corals, other animals, sponges, plants. Nothing is taken out when it is lost.";
    Columns::of("colonies", "Colonies", about, colonies)
        .key("colony", Text, "Key of the colony within this record", |one| &one.key)
        .column("identity", Text, "", "String that outlives tanks and names", |one| one.identity.as_ref())
        .need("name", Text, "", "What the keeper calls it", |one| &one.name)
        .need("group", Text, "", "Kind of living thing", |one| one.group.value.word())
        .need("arrived", Day, "", "Day it came", |one| one.arrived.value)
        .column("source_kind", Text, "", "wild-collected, mariculture, aquaculture, hitch-hiker, unknown", |one| {
            one.source.as_ref().map(|source| source.kind.value.word())
        })
        .column("source_from", Text, "", "Where it came from, as a role", |one| {
            one.source.as_ref().and_then(|source| source.from.clone())
        })
        .column("papers", Text, "", "Whether it has papers: yes, no, unknown", |one| {
            one.source.as_ref().map(|source| source.papers)
        })
        .column("mother", Text, "", "Key of the colony it was cut or budded from", |one| {
            one.parent.as_ref().map(|parent| parent.colony.value.clone())
        })
        .column(
            "mother_grade",
            Text,
            "",
            "Evidence for that: witnessed-cut, givers-record, givers-statement, sellers-statement, name-only, unknown",
            |one| one.parent.as_ref().map(|parent| parent.grade.word()),
        )
        .column("mother_on", Day, "", "Day of the cut", |one| one.parent.as_ref().and_then(|parent| parent.on))
        .column("quarantine_from", Day, "", "Quarantine began", |one| one.quarantine.as_ref().and_then(|q| q.from))
        .column("quarantine_to", Day, "", "Quarantine ended", |one| one.quarantine.as_ref().and_then(|q| q.to))
        .column("dips", Text, "", "Dips, parted by semicolons", |one| {
            one.quarantine.as_ref().map(|quarantine| quarantine.dips.join("; "))
        })
        .column("needs_light_low", Number, "µmol/m²/s", "Light it wants, lower end", |one| {
            one.needs_light.as_ref().map(|range| range.value.0)
        })
        .column("needs_light_high", Number, "µmol/m²/s", "Light it wants, upper end", |one| {
            one.needs_light.as_ref().map(|range| range.value.1)
        })
        .column("needs_flow_low", Number, "cm/s", "Flow it wants, lower end", |one| {
            one.needs_flow.as_ref().map(|range| range.value.0)
        })
        .column("needs_flow_high", Number, "cm/s", "Flow it wants, upper end", |one| {
            one.needs_flow.as_ref().map(|range| range.value.1)
        })
        .column("ended", Day, "", "Day it was lost, given away, removed or cut up", |one| {
            one.ended.as_ref().map(|end| end.on)
        })
        .column("ended_how", Text, "", "lost, given-away, removed, cut-up", |one| {
            one.ended.as_ref().map(|end| end.how.word())
        })
        .column("ended_cause", Text, "", "Cause, in the keeper's words", |one| {
            one.ended.as_ref().and_then(|end| end.cause.clone())
        })
        .column("ended_cause_grade", Text, "", "How sure the cause is: known, likely, unknown", |one| {
            one.ended.as_ref().map(|end| end.grade.word())
        })
        .column("story", Text, "", "The keeper's words on it", |one| one.story.as_ref())
        .column("photo", Text, "", "Portrait, from the record's photos/", |one| one.photo.as_ref())
        .source(|one| &one.place)
        .refers(&["mother"], "colonies", &["colony"])
        .done()
}

fn claims(colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<_> = colonies.iter().flat_map(|one| one.claims.iter().map(move |claim| (*one, claim))).collect();
    let about = "Names somebody gave a colony. A name proves nothing about descent; each has its claimant, its date and how sure they were.";
    Columns::of("claims", "Names claimed", about, &rows)
        .need("colony", Text, "", "Key of the colony", |row| &row.0.key)
        .column("called", Text, "", "Trade name", |row| row.1.called.as_ref())
        .column("thought_to_be", Text, "", "Taxon it is thought to be", |row| row.1.thought_to_be.as_ref())
        .column("by", Text, "", "Who says so", |row| row.1.by.as_ref())
        .column("on", Day, "", "When", |row| row.1.on)
        .column("sure", Text, "", "certain, likely, doubtful", |row| row.1.sure.as_ref())
        .source(|row| &row.1.place)
        .refers(&["colony"], "colonies", &["colony"])
        .done()
}

fn placements(colonies: &[&Colony]) -> TidyTable<'static> {
    let mut rows = Vec::new();
    for one in colonies {
        for (number, placement) in one.placements.iter().enumerate() {
            let until = one.placements.get(number + 1).map(|next| next.since).or(one.ended.as_ref().map(|end| end.on));
            rows.push((*one, number + 1, placement, until));
        }
    }
    Columns::of("placements", "Placements", "Where each colony stood, one row a place.", &rows)
        .key("colony", Text, "Key of the colony", |row| &row.0.key)
        .key("placement", Whole, "Number of the place, in order of time", |row| row.1)
        .need("since", Day, "", "From when on", |row| row.2.since)
        .column("until", Day, "", "Until when; empty for still there", |row| row.3)
        .need("tank", Text, "", "Key of the tank", |row| &row.2.tank)
        .column("x", Number, "cm", "From the front left outer corner, along the front", |row| row.2.x)
        .column("y", Number, "cm", "From the front left outer corner, to the back", |row| row.2.y)
        .column("depth", Number, "cm", "Below the surface", |row| row.2.depth)
        .column("where", Text, "", "The place in the keeper's words", |row| row.2.where_text.as_ref())
        .column("flow_speed", Number, "cm/s", "Speed of the water there", |row| match &row.2.flow {
            Some(Flow::Speed(speed)) => Some(speed.value),
            _ => None,
        })
        .column("flow_word", Text, "", "Flow there in a word", |row| match &row.2.flow {
            Some(Flow::Word(word)) => Some(word.clone()),
            _ => None,
        })
        .source(|row| &row.2.place)
        .refers(&["colony"], "colonies", &["colony"])
        .done()
}

fn sizes(colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<_> = colonies.iter().flat_map(|one| one.sizes.iter().map(move |size| (*one, size))).collect();
    Columns::of("sizes", "Sizes", "Every measurement of a colony, one row a measure and day.", &rows)
        .need("colony", Text, "", "Key of the colony", |row| &row.0.key)
        .need("on", Day, "", "Day of the measurement", |row| row.1.on)
        .need("measure", Text, "", "diameter, height, area, mass, or what was counted", |row| row.1.measure.word())
        .need("value", Number, "as `unit`", "What was measured or counted", |row| row.1.value)
        .need("unit", Text, "", "cm, cm², g, or what was counted", |row| row.1.measure.unit())
        .column("u", Number, "as `unit`", "Standard uncertainty, where one was written", |row| row.1.uncertainty)
        .column("photo", Text, "", "Photo it was taken from", |row| row.1.photo.as_ref())
        .source(|row| &row.1.place)
        .refers(&["colony"], "colonies", &["colony"])
        .done()
}

fn events(colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<_> = colonies.iter().flat_map(|one| one.events.iter().map(move |event| (*one, event))).collect();
    let about = "What happened to a colony, from its own file. What entries saw of it is in `sightings`.";
    Columns::of("colony-events", "Events of colonies", about, &rows)
        .need("colony", Text, "", "Key of the colony", |row| &row.0.key)
        .need("on", Day, "", "Day", |row| row.1.on)
        .need("what", Text, "", "What happened, in the keeper's words", |row| &row.1.what)
        .source(|row| &row.1.place)
        .refers(&["colony"], "colonies", &["colony"])
        .done()
}

fn heard(colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<_> = colonies.iter().flat_map(|one| one.heard.iter().map(move |heard| (*one, heard))).collect();
    let about = "News of colonies that left the record, from whoever has them.";
    Columns::of("heard", "News of colonies given away", about, &rows)
        .need("colony", Text, "", "Key of the colony", |row| &row.0.key)
        .need("on", Day, "", "Day of the news", |row| row.1.on)
        .need("what", Text, "", "What was told", |row| &row.1.what)
        .need("alive", Text, "", "Whether it lived then: yes, no, unknown", |row| row.1.alive)
        .column("from", Text, "", "Who says so", |row| row.1.from.as_ref())
        .source(|row| &row.1.place)
        .refers(&["colony"], "colonies", &["colony"])
        .done()
}
