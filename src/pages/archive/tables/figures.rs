//! Figures, what each rests on, and what could not be worked out.

use crate::figures::figure::{Figure, Missing};
use crate::figures::{Findings, Input};
use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};

pub fn tables(findings: &Findings) -> Vec<TidyTable<'static>> {
    let figures: Vec<&Figure> = findings.figures.public().collect();
    let missing: Vec<&Missing> = findings.figures.missing.iter().filter(|missing| !missing.private).collect();
    vec![of_figures(&figures, findings), inputs(&figures), of_missing(&missing)]
}

fn of_figures(figures: &[&Figure], findings: &Findings) -> TidyTable<'static> {
    let interval = |figure: &&Figure| figure.interval95(&findings.figures.graph);
    let about = "Every number that was worked out from the record, as of its date.";
    Columns::of("figures", "Figures", about, figures)
        .key("tank", Text, "Key of the tank", |one| &one.tank)
        .key("figure", Text, "Stable key of the figure", |one| &one.key)
        .need("label", Text, "", "What it is", |one| &one.label)
        .column("value", Number, "as `unit`", "Its value; empty where it has none", |one| one.value)
        .column("unit", Text, "", "Its unit; empty for none", |one| &one.unit)
        .column("u", Number, "as `unit`", "Its standard uncertainty", |one| one.uncertainty)
        .column("low95", Number, "as `unit`", "Lower end of the 95 % interval", move |one| interval(one).0)
        .column("high95", Number, "as `unit`", "Upper end of the 95 % interval", move |one| interval(one).1)
        .need("basis", Text, "", "measured, stated, computed, assumed", |one| one.basis.word())
        .column("formula", Text, "", "How it was worked out", |one| &one.method.formula)
        .column("numbers", Text, "", "The same with the numbers put in", |one| &one.method.substituted)
        .column(
            "sources",
            Text,
            "",
            "Keys of the works the formula is from, parted by semicolons; see the journal's page of sources",
            |one| one.method.sources.join("; "),
        )
        .column("notes", Text, "", "What limits it", |one| one.notes.join("; "))
        .done()
}

fn inputs(figures: &[&Figure]) -> TidyTable<'static> {
    let rows: Vec<(&Figure, usize, &Input)> = figures
        .iter()
        .flat_map(|one| {
            one.inputs
                .iter()
                .filter(|input| !matches!(input, Input::Root { private: true, .. }))
                .enumerate()
                .map(move |(number, input)| (*one, number + 1, input))
        })
        .collect();
    Columns::of("figure-inputs", "Inputs of figures", "What each figure rests on.", &rows)
        .key("tank", Text, "Key of the tank", |row| &row.0.tank)
        .key("figure", Text, "Key of the figure", |row| &row.0.key)
        .key("input", Whole, "Number of the input", |row| row.1)
        .need("label", Text, "", "What it is", |row| match row.2 {
            Input::Root { label, .. } | Input::Figure { label, .. } => label.clone(),
        })
        .column("from_figure", Text, "", "Key of the figure it is, if it is one", |row| match row.2 {
            Input::Figure { key, .. } => Some(key.clone()),
            Input::Root { .. } => None,
        })
        .column("value", Number, "as `unit`", "Its value", |row| match row.2 {
            Input::Root { value, .. } | Input::Figure { value, .. } => *value,
        })
        .column("u", Number, "as `unit`", "Its standard uncertainty", |row| match row.2 {
            Input::Root { uncertainty, .. } | Input::Figure { uncertainty, .. } => *uncertainty,
        })
        .column("unit", Text, "", "Its unit", |row| match row.2 {
            Input::Root { unit, .. } | Input::Figure { unit, .. } => unit.clone(),
        })
        .column("basis", Text, "", "measured, stated, computed, assumed", |row| match row.2 {
            Input::Root { basis, .. } => Some(basis.word()),
            Input::Figure { .. } => None,
        })
        .column("share", Number, "share of the variance", "How much of the figure's uncertainty comes from it", |row| {
            match row.2 {
                Input::Root { share, .. } | Input::Figure { share, .. } => *share,
            }
        })
        .column("source", Text, "", "Files and lines of the record, parted by semicolons", |row| match row.2 {
            Input::Root { places, .. } => {
                places.iter().map(|place| format!("{}:{}", place.file, place.line)).collect::<Vec<_>>().join("; ")
            }
            Input::Figure { .. } => String::new(),
        })
        .refers(&["tank", "figure"], "figures", &["tank", "figure"])
        .done()
}

fn of_missing(missing: &[&Missing]) -> TidyTable<'static> {
    let about = "Figures that the record does not hold enough for, and what to record to get them.";
    Columns::of("figures-missing", "Figures that are missing", about, missing)
        .need("tank", Text, "", "Key of the tank", |one| &one.tank)
        .need("figure", Text, "", "Key of the figure", |one| &one.key)
        .need("label", Text, "", "What it would be", |one| &one.label)
        .need("what_to_record", Text, "", "What to record", |one| &one.what_to_record)
        .done()
}
