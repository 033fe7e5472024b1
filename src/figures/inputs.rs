//! Short ways to put the record's values into the graph as root inputs.

use super::graph::{Basis, Graph, NodeId, Root, Shape};
use crate::diagnostic::Place;

/// A value that the keeper or an instrument read.
pub fn measured(graph: &mut Graph, label: &str, value: f64, u: f64, unit: &str, place: &Place) -> NodeId {
    graph.root(root(label, value, u, unit, Basis::Measured, Some(place)))
}

/// A value that a maker prints.
pub fn stated(graph: &mut Graph, label: &str, value: f64, u: f64, unit: &str, place: &Place) -> NodeId {
    graph.root(root(label, value, u, unit, Basis::Stated, Some(place)))
}

/// A value that nobody recorded, taken from practice, with the reason.
pub fn assumed(graph: &mut Graph, label: &str, value: f64, u: f64, unit: &str, note: &str) -> NodeId {
    let mut root = root(label, value, u, unit, Basis::Assumed, None);
    root.note = Some(note.to_string());
    root.source = Some("common-practice");
    graph.root(root)
}

/// An assumed value of which only the limits are known: rectangular between them (GUM 4.3.7).
pub fn assumed_between(graph: &mut Graph, label: &str, low: f64, high: f64, unit: &str, note: &str) -> NodeId {
    let mut root = root(label, (low + high) / 2.0, (high - low) / 12f64.sqrt(), unit, Basis::Assumed, None);
    root.note = Some(note.to_string());
    root.source = Some("common-practice");
    root.shape = Shape::Rectangular;
    graph.root(root)
}

/// A value worked out from more of the record than can be named line by line.
pub fn worked_out(graph: &mut Graph, label: &str, value: f64, u: f64, unit: &str) -> NodeId {
    graph.root(root(label, value, u, unit, Basis::Computed, None))
}

/// A setting that the keeper wrote down: exact as written.
pub fn set(graph: &mut Graph, label: &str, value: f64, unit: &str, place: &Place) -> NodeId {
    graph.root(root(label, value, 0.0, unit, Basis::Measured, Some(place)))
}

fn root(label: &str, value: f64, u: f64, unit: &str, basis: Basis, place: Option<&Place>) -> Root {
    Root {
        label: label.to_string(),
        value,
        uncertainty: u,
        unit: unit.to_string(),
        basis,
        places: place.into_iter().cloned().collect(),
        shape: Shape::Normal,
        private: false,
        note: None,
        source: None,
    }
}

/// A number for a formula with its numbers put in: up to four significant digits, true minus.
pub fn number(value: f64) -> String {
    let size = value.abs();
    let decimals =
        if size == 0.0 || size >= 1000.0 { 0 } else { (3 - size.log10().floor() as i32).clamp(0, 6) as usize };
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text };
    // What rounds to nothing carries no sign.
    if text.chars().all(|c| matches!(c, '-' | '0' | '.')) { text.replace('-', "") } else { text.replace('-', "−") }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn numbers_keep_four_digits() {
        for (value, shown) in
            [(114.0, "114"), (0.24, "0.24"), (1.0 / 3.0, "0.3333"), (-2.5, "−2.5"), (12345.6, "12346"), (0.0, "0")]
        {
            assert_eq!(number(value), shown);
        }
    }
}
