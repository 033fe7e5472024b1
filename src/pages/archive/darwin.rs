//! Organisms in the words of Darwin Core (TDWG, <http://rs.tdwg.org/dwc/terms/>), so that a museum's or an aquarium's
//! program can take them over. Terms from memory, not verified against the list of terms.

use super::tidy::FieldKind::*;
use super::tidy::{Columns, TidyTable};
use crate::record::colony::{Claim, Size};
use crate::record::{Colony, Record};

const TERMS: &str = "http://rs.tdwg.org/dwc/terms/";

/// The identity that outlives this record, else the key within it.
fn organism(colony: &Colony) -> String {
    colony.identity.as_ref().map_or_else(|| format!("colony/{}", colony.key), |identity| identity.value.clone())
}

pub fn tables(record: &Record) -> Vec<TidyTable<'static>> {
    let colonies: Vec<&Colony> = record.colonies.values().collect();
    let mut tables = vec![occurrences(&colonies), identifications(&colonies), measurements(&colonies)];
    tables.push(relations(record, &colonies));
    for table in &mut tables {
        for field in &mut table.fields {
            field.term = Some(format!("{TERMS}{}", field.name));
        }
    }
    tables
}

fn occurrences(colonies: &[&Colony]) -> TidyTable<'static> {
    let about = "Every organism in the terms of Darwin Core: one row a colony, for the time it was in care.";
    Columns::of("dwc-occurrences", "Organisms in Darwin Core", about, colonies)
        .key("occurrenceID", Text, "Key of the colony within this record", |one| &one.key)
        .need("organismID", Text, "", "Identity that outlives this record; the key where none was given", |one| {
            organism(one)
        })
        .need("organismName", Text, "", "What the keeper calls it", |one| &one.name)
        .need("organismScope", Text, "", "What counts as one organism", |_| "colony")
        .need("basisOfRecord", Text, "", "A living thing in care", |_| "LivingSpecimen")
        .need("occurrenceStatus", Text, "", "It was there", |_| "present")
        .need("degreeOfEstablishment", Text, "", "Kept, and not in the wild", |_| "captive")
        .need("eventDate", Text, "", "From arrival to end, ISO 8601; open where it still lives", |one| {
            match &one.ended {
                Some(ended) => format!("{}/{}", one.arrived.value, ended.on),
                None => format!("{}/..", one.arrived.value),
            }
        })
        .column("vernacularName", Text, "", "Kind of living thing in English", |one| one.group.value.shown())
        .column("individualCount", Whole, "", "Heads, discs or polyps at the last count", |one| {
            one.sizes.iter().rev().find(|size| size.measure.is_count()).map(|size| size.value.round() as i64)
        })
        .column("organismRemarks", Text, "", "The keeper's words on it", |one| one.story.as_ref())
        .done()
}

fn identifications(colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<(&Colony, usize, &Claim)> = colonies
        .iter()
        .flat_map(|one| one.claims.iter().enumerate().map(move |(number, claim)| (*one, number + 1, claim)))
        .collect();
    let about = "Names that were claimed, as identifications: by whom, when, and how sure.";
    Columns::of("dwc-identifications", "Identifications in Darwin Core", about, &rows)
        .key("identificationID", Text, "Colony and number of the claim", |row| format!("{}#{}", row.0.key, row.1))
        .need("occurrenceID", Text, "", "Key of the colony", |row| &row.0.key)
        .column("verbatimIdentification", Text, "", "The taxon it is thought to be, as written", |row| {
            row.2.thought_to_be.as_ref()
        })
        .column("vernacularName", Text, "", "The name it goes by in the trade", |row| row.2.called.as_ref())
        .column("identifiedBy", Text, "", "Who says so, as a role", |row| row.2.by.as_ref())
        .column("dateIdentified", Day, "", "When", |row| row.2.on)
        .column("identificationVerificationStatus", Text, "", "certain, likely, doubtful", |row| row.2.sure.as_ref())
        .refers(&["occurrenceID"], "dwc-occurrences", &["occurrenceID"])
        .done()
}

fn measurements(colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<(&Colony, usize, &Size)> = colonies
        .iter()
        .flat_map(|one| one.sizes.iter().enumerate().map(move |(number, size)| (*one, number + 1, size)))
        .collect();
    Columns::of("dwc-measurements", "Sizes in Darwin Core", "Sizes as measurements.", &rows)
        .key("measurementID", Text, "Colony and number of the measurement", |row| format!("{}@{}", row.0.key, row.1))
        .need("occurrenceID", Text, "", "Key of the colony", |row| &row.0.key)
        .need("measurementType", Text, "", "What was measured or counted", |row| row.2.measure.word())
        .need("measurementValue", Number, "as `measurementUnit`", "The value", |row| row.2.value)
        .need("measurementUnit", Text, "", "Its unit", |row| row.2.measure.unit())
        .column(
            "measurementAccuracy",
            Number,
            "as `measurementUnit`",
            "Standard uncertainty, where one was written",
            |row| row.2.uncertainty,
        )
        .need("measurementDeterminedDate", Day, "", "Day", |row| row.2.on)
        .refers(&["occurrenceID"], "dwc-occurrences", &["occurrenceID"])
        .done()
}

fn relations(record: &Record, colonies: &[&Colony]) -> TidyTable<'static> {
    let rows: Vec<_> = colonies
        .iter()
        .filter_map(|one| {
            let parent = one.parent.as_ref()?;
            Some((*one, record.colonies.get(&parent.colony.value)?, parent))
        })
        .collect();
    let about = "Who was cut or budded from whom, with the evidence.";
    Columns::of("dwc-relationships", "Lineage in Darwin Core", about, &rows)
        .key("resourceID", Text, "Key of the colony", |row| &row.0.key)
        .need("relatedResourceID", Text, "", "Key of its mother", |row| &row.1.key)
        .need("relationshipOfResource", Text, "", "What the first is to the second", |_| "fragment of")
        .column("relationshipEstablishedDate", Day, "", "Day of the cut", |row| row.2.on)
        .column("relationshipRemarks", Text, "", "Grade of the evidence", |row| row.2.grade.word())
        .refers(&["resourceID"], "dwc-occurrences", &["occurrenceID"])
        .refers(&["relatedResourceID"], "dwc-occurrences", &["occurrenceID"])
        .done()
}
