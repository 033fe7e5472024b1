//! The whole graph of figures as JSON, for `figures.json`: what each figure is, what it rests on and how strongly.
//!
//! Keys are sorted and numbers carry ten significant digits, so that the file is the same bytes on every run. Roots are
//! numbered within the file; their numbers say nothing of what was left out.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Map, Value, json};

use crate::diagnostic::Place;
use crate::figures::figure::{Figure, Figures, Input};
use crate::figures::graph::{HowSure, NodeId, Root};

/// Writes the figures as JSON text ending in a line feed. `cite` gives the citation of a key of the bibliography.
///
/// With `public_only`, private figures are left out, and of the roots only those stay that a remaining figure rests on:
/// nothing of a private root is in the text, neither label, value nor place.
pub fn to_json(figures: &Figures, public_only: bool, cite: &dyn Fn(&str) -> Option<String>) -> String {
    let shown: Vec<&Figure> = figures.iter().filter(|figure| !public_only || !figure.private).collect();
    let mut needed: BTreeSet<NodeId> = BTreeSet::new();
    for figure in &shown {
        needed.extend(figures.graph.roots_of(figure.node));
        needed.extend(figure.inputs.iter().filter_map(|input| match input {
            Input::Root { node, .. } => Some(*node),
            Input::Figure { .. } => None,
        }));
    }
    let roots: Vec<(NodeId, &Root)> =
        figures.graph.roots().filter(|(node, root)| !public_only || (needed.contains(node) && !root.private)).collect();
    let numbers: BTreeMap<NodeId, usize> =
        roots.iter().enumerate().map(|(position, &(node, _))| (node, position + 1)).collect();
    let mut cited: BTreeSet<&str> = shown.iter().flat_map(|figure| figure.method.sources.iter().copied()).collect();
    cited.extend(roots.iter().filter_map(|(_, root)| root.source));
    let sources: Map<String, Value> = cited.into_iter().map(|key| (key.to_owned(), json!(cite(key)))).collect();

    let document = object([
        ("figures", shown.iter().map(|figure| figure_value(figures, figure, &numbers)).collect()),
        ("missing", missing_value(figures, public_only)),
        ("roots", roots.iter().map(|&(node, root)| root_value(numbers[&node], root)).collect()),
        ("sources", Value::Object(sources)),
    ]);
    let mut text = serde_json::to_string_pretty(&document).expect("a JSON value can always be written");
    text.push('\n');
    text
}

fn figure_value(figures: &Figures, figure: &Figure, numbers: &BTreeMap<NodeId, usize>) -> Value {
    let graph = &figures.graph;
    let how_sure = match graph.how_sure(figure.node) {
        HowSure::FirstOrder => object([("kind", json!("first-order"))]),
        HowSure::MonteCarlo { draws, seed, median } => object([
            ("draws", json!(draws)),
            ("kind", json!("monte-carlo")),
            ("median", number(median)),
            // As text: 64 bits do not fit the numbers of every JSON reader.
            ("seed", json!(format!("{seed:016x}"))),
        ]),
    };
    let shares: BTreeMap<NodeId, f64> = graph.shares(figure.node).into_iter().collect();
    let sensitivities = graph
        .sensitivities(figure.node)
        .into_iter()
        .filter_map(|(root, sensitivity)| {
            Some(object([
                ("root", json!(numbers.get(&root)?)),
                ("sensitivity", number(sensitivity)),
                ("share", number(shares.get(&root).copied().unwrap_or(0.0))),
            ]))
        })
        .collect();
    let (low, high) = figure.interval95(graph);
    object([
        ("basis", json!(figure.basis)),
        ("decimals", json!(figure.decimals)),
        ("how-sure", how_sure),
        ("inputs", figure.inputs.iter().map(|input| input_value(input, numbers)).collect()),
        ("interval95", json!([number(low), number(high)])),
        ("key", json!(figure.key)),
        ("label", json!(figure.label)),
        (
            "method",
            object([
                ("formula", json!(figure.method.formula)),
                ("sources", json!(figure.method.sources)),
                ("substituted", json!(figure.method.substituted)),
            ]),
        ),
        ("notes", json!(figure.notes)),
        ("private", json!(figure.private)),
        ("sensitivities", sensitivities),
        ("tank", json!(figure.tank)),
        ("uncertainty", number(figure.uncertainty)),
        ("unit", json!(figure.unit)),
        ("value", number(figure.value)),
    ])
}

fn input_value(input: &Input, numbers: &BTreeMap<NodeId, usize>) -> Value {
    match input {
        Input::Root { node, share, .. } => object([("root", json!(numbers.get(node))), ("share", number(*share))]),
        Input::Figure { key, tank, share, .. } => {
            object([("figure", json!(key)), ("share", number(*share)), ("tank", json!(tank))])
        }
    }
}

fn root_value(position: usize, root: &Root) -> Value {
    object([
        ("basis", json!(root.basis)),
        ("label", json!(root.label)),
        ("note", json!(root.note)),
        ("places", root.places.iter().map(place_value).collect()),
        ("private", json!(root.private)),
        ("root", json!(position)),
        ("shape", json!(root.shape)),
        ("source", json!(root.source)),
        ("uncertainty", number(root.uncertainty)),
        ("unit", json!(root.unit)),
        ("value", number(root.value)),
    ])
}

fn place_value(place: &Place) -> Value {
    object([("column", json!(place.column)), ("file", json!(place.file.to_string())), ("line", json!(place.line))])
}

fn missing_value(figures: &Figures, public_only: bool) -> Value {
    let mut missing: Vec<_> = figures.missing.iter().filter(|missing| !public_only || !missing.private).collect();
    missing.sort_by_key(|missing| (&missing.tank, &missing.key, &missing.what_to_record));
    missing
        .into_iter()
        .map(|missing| {
            object([
                ("key", json!(missing.key)),
                ("label", json!(missing.label)),
                ("tank", json!(missing.tank)),
                ("what-to-record", json!(missing.what_to_record)),
            ])
        })
        .collect()
}

/// An object with its keys sorted, whatever order they are given in.
fn object<const N: usize>(mut entries: [(&str, Value); N]) -> Value {
    entries.sort_by(|a, b| a.0.cmp(b.0));
    Value::Object(entries.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
}

/// A number with ten significant digits; what is not finite has no number in JSON and becomes null.
fn number(value: f64) -> Value {
    if !value.is_finite() {
        return Value::Null;
    }
    let rounded: f64 = format!("{value:.9e}").parse().expect("a formatted number can be read back");
    // Adding 0 turns −0 into 0.
    json!(rounded + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_ten_digits() {
        for (value, text) in [
            (1.0 / 3.0, "0.3333333333"),
            (123_456_789.123_456, "123456789.1"),
            (0.1 + 0.2, "0.3"),
            (-0.0, "0.0"),
            (f64::NAN, "null"),
            (f64::INFINITY, "null"),
            (2.5e-9, "2.5e-9"),
        ] {
            assert_eq!(number(value).to_string(), text);
        }
    }
}
