//! A figure as a row that opens to its working, and a list of such rows.

use super::view::*;
use crate::diagnostic::Place;
use crate::figures::graph::HowSure;
use crate::figures::{self, Figure, Input};
use crate::pages::model::*;
use crate::science::sources as bibliography;
use crate::units::System;

/// Fewer inputs than this are not worth a look at another working.
const LEAST_FOLDED: usize = 5;

impl View<'_> {
    /// A figure that opens to its working; a figure that is missing says what would give it.
    pub fn row(&self, key: &str) -> Option<FigureRow> {
        self.row_in(&self.tank.key, key)
    }

    /// The same of any tank.
    pub fn row_in(&self, tank: &str, key: &str) -> Option<FigureRow> {
        if let Some(figure) = self.findings.figures.get(tank, key).filter(|figure| !figure.private) {
            return Some(self.figure_row(figure));
        }
        let missing =
            self.findings.figures.missing.iter().find(|missing| missing.tank == tank && missing.key == key)?;
        Some(FigureRow {
            key: key.into(),
            id: anchor(key),
            label: missing.label.clone(),
            basis_word: "not known yet".into(),
            missing: Some(Missing {
                why: "The record does not hold enough to work this out.".into(),
                record: vec![prose(&missing.what_to_record)],
            }),
            ..FigureRow::default()
        })
    }

    /// Every public figure of this tank whose key starts so, with what is missing after them.
    pub fn rows(&self, starts: &str) -> Vec<FigureRow> {
        let mut keys: Vec<&str> =
            self.findings.figures.of_tank(&self.tank.key).map(|figure| figure.key.as_str()).collect();
        keys.extend(self.findings.figures.missing.iter().filter(|m| m.tank == self.tank.key).map(|m| m.key.as_str()));
        keys.retain(|key| key.starts_with(starts));
        let mut rows = keys.into_iter().filter_map(|key| self.row(key)).collect::<Vec<FigureRow>>();
        fold_repeated(&mut rows);
        rows
    }

    fn figure_row(&self, figure: &Figure) -> FigureRow {
        let mut how_sure = Vec::new();
        let shift = self.shift(&figure.unit);
        if figure.uncertainty > 0.0 {
            let (low, high) = figure
                .interval
                .unwrap_or((figure.value - 1.96 * figure.uncertainty, figure.value + 1.96 * figure.uncertainty));
            let u = shift.spread(figure.uncertainty);
            let decimals = decimals_for(u).max(0) as usize;
            let way = match self.findings.figures.graph.how_sure(figure.node) {
                HowSure::MonteCarlo { .. } => "by Monte Carlo with a fixed seed, since first order fails here",
                HowSure::FirstOrder => "to first order",
            };
            how_sure.push(format!(
                "Standard uncertainty {}, {way}; 95 in 100 between {} and {}.",
                fixed(u, decimals),
                fixed(shift.value(low), decimals),
                fixed(shift.value(high), decimals)
            ));
        }
        let mut notes: Vec<String> = figure.notes.iter().map(|note| sentence(note)).collect();
        if self.record.units == System::Us && !figure.method.substituted.is_empty() {
            notes.push("Formula and numbers are in metric units, in which it is worked out.".into());
        }
        FigureRow {
            key: figure.key.clone(),
            id: anchor(&figure.key),
            address: self.address(&self.figure_place(&figure.tank, &figure.key)),
            label: figure.label.clone(),
            value: Some(Shown { href: None, ..self.value_of(figure) }),
            basis_word: figure.basis.word().into(),
            formula: (!figure.method.formula.is_empty()).then(|| figure.method.formula.clone()),
            numbers: (!figure.method.substituted.is_empty()).then(|| figure.method.substituted.clone()),
            inputs: self.input_rows(figure),
            others: Vec::new(),
            shares_note: shares_note(figure),
            how_sure,
            sources: figure.method.sources.iter().map(|key| self.source_link(key)).collect(),
            notes,
            missing: None,
            open: false,
        }
    }

    fn source_link(&self, key: &str) -> PlaceLink {
        match bibliography::source(key) {
            Some(source) => PlaceLink::new(source.citation, format!("sources.html#work-{key}")),
            None => PlaceLink::plain(key),
        }
    }

    /// What went in, the largest share of the uncertainty first.
    fn input_rows(&self, figure: &Figure) -> Vec<InputRow> {
        let mut inputs: Vec<&Input> = figure.inputs.iter().collect();
        inputs.sort_by(|a, b| share_of(b).total_cmp(&share_of(a)));
        inputs.into_iter().filter_map(|input| self.input_row(input)).collect()
    }

    fn input_row(&self, input: &Input) -> Option<InputRow> {
        let shown = |value: f64, uncertainty: f64, unit: &str, basis: Basis| {
            let shift = self.shift(unit);
            let (number, spread) = rounded(shift.value(value), shift.spread(uncertainty), None);
            Shown { number, spread, unit: unit_text(&shift.unit), basis: Some(basis), ..Shown::default() }
        };
        match input {
            Input::Root { private: true, .. } => None,
            Input::Root { label, value, uncertainty, unit, basis, places, share, .. } => Some(InputRow {
                label: label.clone(),
                value: shown(*value, *uncertainty, unit, basis_of(*basis)),
                basis_word: basis.word().into(),
                share: share_text(*share),
                place: self.places_link(places, *basis),
            }),
            Input::Figure { key, tank, label, value, uncertainty, unit, share } => Some(InputRow {
                label: label.clone(),
                value: shown(*value, *uncertainty, unit, Basis::Computed),
                basis_word: "figure".into(),
                share: share_text(*share),
                place: PlaceLink::new(key.clone(), self.figure_place(tank, key)),
            }),
        }
    }

    fn places_link(&self, places: &[Place], basis: figures::Basis) -> PlaceLink {
        match places {
            [] if basis == figures::Basis::Assumed => PlaceLink::plain("taken from practice"),
            [] => PlaceLink::plain("worked out from the record"),
            [place] => self.place_link(place),
            [first, ..] => {
                PlaceLink { text: format!("{}, {} lines", first.file, places.len()), ..self.place_link(first) }
            }
        }
    }
}

/// Inputs that hardly weigh and are listed with the same values by earlier workings of the page are not listed again but
/// counted, with a link: forty lines that say the same each time hide the three that matter.
fn fold_repeated(rows: &mut [FigureRow]) {
    for at in 1..rows.len() {
        let (earlier, rest) = rows.split_at_mut(at);
        let row = &mut rest[0];
        // Most workings are short, and need not be held against all others.
        while row.inputs.iter().filter(|input| weighs_little(input)).count() >= LEAST_FOLDED {
            let repeats = |listed: &FigureRow, input: &InputRow| {
                weighs_little(input) && listed.inputs.iter().any(|other| same(other, input))
            };
            let count = |listed: &FigureRow| row.inputs.iter().filter(|input| repeats(listed, input)).count();
            let counted = earlier.iter().map(|listed| (count(listed), listed));
            // The first of those that list most, so that one working is opened and not five.
            let Some((count, listed)) = counted.rev().max_by_key(|(count, _)| *count) else { break };
            if count < LEAST_FOLDED {
                break;
            }
            let is_bound = row.inputs.iter().all(|input| input.share.is_none()) && row.others.is_empty();
            row.inputs.retain(|input| !repeats(listed, input));
            let which = if row.inputs.is_empty() && row.others.is_empty() { "inputs" } else { "more inputs" };
            let weight = if is_bound { "" } else { ", none of which weighs 1\u{a0}%," };
            row.others.push(OtherInputs {
                words: format!("{count} {which}{weight} are the same as under"),
                figure: PlaceLink::new(listed.label.clone(), format!("#{}", listed.id)),
            });
        }
    }
}

/// What the inputs' shares add up to, and why, where it is not about 100 %.
fn shares_note(figure: &Figure) -> Option<String> {
    let shares: Vec<f64> = figure.inputs.iter().map(share_of).collect();
    let sum: f64 = shares.iter().sum();
    let all = format!("{}\u{a0}%", fixed(100.0 * sum, 0));
    let mut said = Vec::new();
    if sum > 1.02 {
        said.push(format!(
            "The shares add up to {all}: what two of these inputs rest on, or what is listed and is part of another input too, counts with each."
        ));
    } else if sum > 0.0 && sum < 0.98 {
        said.push(format!(
            "The shares add up to {all}: the rest stands in the workings of what this was worked out from."
        ));
    }
    if shares.iter().any(|share| *share < -LEAST_SHARE) {
        said.push("A share below zero: an error there partly cancels that of another input.".to_string());
    }
    (!said.is_empty()).then(|| said.join(" "))
}

fn share_of(input: &Input) -> f64 {
    match input {
        Input::Root { share, .. } | Input::Figure { share, .. } => *share,
    }
}

/// A smaller share, of either sign, rounds to nothing.
const LEAST_SHARE: f64 = 0.005;

fn share_text(share: f64) -> Option<String> {
    if share < -LEAST_SHARE { Some(format!("{}\u{a0}%", fixed(100.0 * share, 0))) } else { percent(share) }
}

fn weighs_little(input: &InputRow) -> bool {
    input.share.as_deref().is_none_or(|share| share == UNDER_ONE_PERCENT)
}

fn same(a: &InputRow, b: &InputRow) -> bool {
    a.label == b.label
        && a.place.text == b.place.text
        && (&a.value.number, &a.value.spread, &a.value.unit) == (&b.value.number, &b.value.spread, &b.value.unit)
}
