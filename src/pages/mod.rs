//! Figures become page models (plain data) and charts, per edition.

/// A keeper's CommonMark becomes HTML that is safe to publish.
pub mod markdown;
/// Text inside markup.
mod markup;
/// What each page template is told: plain structs, every value formatted.
pub mod model;

/// The journal: what a keeper publishes.
pub mod journal;

/// The sheet for whoever minds the tank.
pub mod sitter;

/// Charts as SVG, drawn for wide and for narrow places.
pub mod chart;

/// The archive: the record as tables, and what a reader without this program needs.
pub mod archive;
