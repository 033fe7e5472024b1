//! The record becomes figures, using science: values with provenance and uncertainty.

/// The graph of values behind the figures, with uncertainty carried to every root input.
pub mod graph;

/// Partial derivatives, taken numerically.
mod slope;

/// Propagation of distributions where first order fails.
pub mod montecarlo;

/// Figures: keyed values with method, inputs and notes.
pub mod figure;

/// The whole graph as `figures.json`.
pub mod json;
