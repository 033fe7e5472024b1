//! polypary: a reef keeper's folder of notes, photos and spec sheets, read and recomputed into a static HTML record.
//!
//! The modules stand here in the order in which a record flows through them. A stage imports earlier stages, never
//! later ones; `diagnostic`, `units` and `science` are at the bottom and import nothing above them.

/// What went wrong, where, and how it looks on a terminal.
pub mod diagnostic;

/// Quantities: parsing what a person writes, conversion, and display in metric or US units.
pub mod units;

/// Pure formulas with their published sources, one file a topic.
pub mod science;

/// The formulas of `science` by name, for the command line and for tables.
pub mod formula;

/// A folder on disk becomes documents whose every value knows its file, line and column.
pub mod read;

/// Documents become the typed, linked record.
pub mod record;

/// The record becomes figures: numbers with basis, method, inputs and uncertainty.
pub mod figures;

/// Rules that read the record and its figures and raise safety notes.
pub mod cautions;

/// Figures become page models, plain data for the templates, and charts.
pub mod pages;

/// Page models become files: templates, photos, publishing. The only place that writes to disk.
pub mod write;

/// JSON Schema of every kind of file of a record, for editors.
pub mod schema;

/// The stages, one statement each.
pub mod pipeline;

/// The command line: parse, call, print, exit code.
pub mod cli;
