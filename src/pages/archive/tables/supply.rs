//! Supplies: kits, stocks, food, salt, media, chemicals.

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::record::{Record, Supply};

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let supplies: Vec<&Supply> = record.supplies.values().collect();
    vec![of_supplies(&supplies), lots(&supplies), strengths(&supplies)]
}

fn of_supplies(supplies: &[&Supply]) -> TidyTable<'static> {
    let about = "Everything that is used up, and the kits and instruments that water is read with.";
    Columns::of("supplies", "Supplies", about, supplies)
        .key("supply", Text, "Key of the supply", |one| &one.key)
        .need("name", Text, "", "What the keeper calls it", |one| &one.name)
        .need("kind", Text, "", "kit, stock, food, salt, medium, chemical", |one| one.kind.value.word())
        .column("measures", Text, "", "What a kit reads", |one| one.measures.as_ref().map(|what| what.value.key()))
        .column("method", Text, "", "How it reads", |one| one.method.as_ref().map(|method| method.value.word()))
        .column("resolution", Number, "unit of what it reads", "Smallest step of its scale", |one| {
            one.resolution.as_ref()
        })
        .column(
            "u_share",
            Number,
            "share of the value",
            "Standard uncertainty, the part that grows with the value",
            |one| one.uncertainty.as_ref().map(|u| u.value.share),
        )
        .column("u_constant", Number, "unit of what it reads", "Standard uncertainty, the constant part", |one| {
            one.uncertainty.as_ref().map(|u| u.value.constant)
        })
        .column("detection_limit", Number, "unit of what it reads", "Below this it sees nothing", |one| {
            one.detection_limit.as_ref()
        })
        .column("reference", Text, "", "Reference temperatures of a scale of specific gravity", |one| {
            one.reference.as_ref()
        })
        .column("nitrogen", Number, "share from 0 to 1", "Nitrogen in a food", |one| one.nitrogen.as_ref())
        .column("phosphorus", Number, "share from 0 to 1", "Phosphorus in a food", |one| one.phosphorus.as_ref())
        .column("substance", Text, "", "What it is, chemically", |one| one.substance.as_ref())
        .column("form", Text, "", "Its form", |one| one.form.as_ref())
        .column("where", Text, "", "Where it is kept", |one| one.where_kept.as_ref())
        .column("locked", Text, "", "Whether it is locked away: yes, no, unknown", |one| one.locked.as_ref())
        .column("in_original_container", Text, "", "yes, no, unknown", |one| one.in_original_container.as_ref())
        .column("opened", Day, "", "When it was opened", |one| one.opened.as_ref())
        .column("expires", Day, "", "When it expires", |one| one.expires.as_ref())
        .column("until", Day, "", "Used until", |one| one.until.as_ref())
        .column("note", Text, "", "The keeper's note", |one| one.note.as_ref())
        .source(|one| &one.place)
        .done()
}

fn lots(supplies: &[&Supply]) -> TidyTable<'static> {
    let rows: Vec<_> = supplies.iter().flat_map(|one| one.lots.iter().map(move |lot| (*one, lot))).collect();
    let about = "Lots of kits and stocks. A new lot may read differently: readings before and after it are two series.";
    Columns::of("lots", "Lots", about, &rows)
        .key("supply", Text, "Key of the supply", |row| &row.0.key)
        .key("lot", Text, "Number of the lot", |row| &row.1.lot)
        .need("since", Day, "", "In use from", |row| row.1.since)
        .column("expires", Day, "", "When it expires", |row| row.1.expires)
        .source(|row| &row.1.place)
        .refers(&["supply"], "supplies", &["supply"])
        .done()
}

fn strengths(supplies: &[&Supply]) -> TidyTable<'static> {
    let rows: Vec<_> = supplies
        .iter()
        .flat_map(|one| one.strength.iter().map(move |(parameter, strength)| (*one, *parameter, strength)))
        .collect();
    Columns::of("strengths", "Strengths", "How much of what a stock or a salt holds.", &rows)
        .key("supply", Text, "Key of the supply", |row| &row.0.key)
        .key("quantity", Text, "Of what", |row| row.1.key())
        .need("typed", Text, "", "As the keeper wrote it, with its unit", |row| {
            row.2.value.as_typed().replace('\u{a0}', " ")
        })
        .need("strength", Number, "mg/L of the form written, or dKH for alkalinity", "In one unit", |row| {
            row.2.value.value
        })
        .source(|row| &row.2.place)
        .refers(&["supply"], "supplies", &["supply"])
        .done()
}
