//! Every kind of mistake, with its facts and no words.

use super::Severity;

#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    BadYaml {
        message: String,
    },
    TabIndentation,
    /// The system does not let a file of the record be read.
    UnreadableFile {
        why: String,
    },
    NotUtf8,
    EmptyFile,
    UnknownKey {
        key: String,
        within: String,
        nearest: Option<String>,
        known: Vec<String>,
    },
    DuplicateKey {
        key: String,
    },
    MissingKey {
        key: String,
        within: String,
        example: String,
    },
    MissingUnit {
        quantity: String,
        typed: String,
        examples: Vec<String>,
    },
    UnknownUnit {
        unit: String,
        nearest: Option<String>,
    },
    WrongDimension {
        quantity: String,
        wanted: String,
        got: String,
        example: String,
    },
    AmbiguousSpecies {
        quantity: String,
        typed: String,
        choices: Vec<String>,
    },
    DecimalComma {
        typed: String,
        suggestion: String,
    },
    NotANumber {
        typed: String,
        wanted: String,
    },
    OutOfRange {
        quantity: String,
        read_as: String,
        low: String,
        high: String,
        suggestion: Option<String>,
    },
    BadDate {
        typed: String,
    },
    ImpossibleDate {
        typed: String,
        why: String,
    },
    FutureDate {
        typed: String,
        as_of: String,
    },
    BadTime {
        typed: String,
    },
    UnknownZone {
        typed: String,
        nearest: Option<String>,
    },
    DuplicateName {
        name: String,
        what: String,
    },
    DanglingReference {
        what: String,
        name: String,
        nearest: Option<String>,
        known: Vec<String>,
    },
    WrongWord {
        what: String,
        typed: String,
        allowed: Vec<String>,
        nearest: Option<String>,
    },
    WrongShape {
        wanted: String,
        got: String,
    },
    WrongColumns {
        expected: usize,
        found: usize,
    },
    MissingColumn {
        column: String,
        found: Vec<String>,
    },
    BadCell {
        column: String,
        typed: String,
        wanted: String,
    },
    LeavesTheRecord {
        path: String,
    },
    CommentCutsProse {
        cut: String,
    },
    MissingPhoto {
        path: String,
        nearest: Option<String>,
    },
    UnreadablePhoto {
        path: String,
        why: String,
    },
    UnreadablePhotos {
        count: usize,
        extension: String,
        how: String,
    },
    UnusedFile {
        path: String,
        why: String,
    },
    /// A reading that stands apart from its neighbours by the factor between two units.
    LooksMislabelled {
        quantity: String,
        read_as: String,
        usual: String,
        would_be: String,
        suggestion: String,
    },
    /// A reading of a tank's water at a date at which the tank held none.
    OutsideItsTime {
        what: String,
        on: String,
        /// `before the tank was filled`
        event: String,
        /// The key of tank.yaml that says so.
        key: String,
    },
    /// One quantity at one moment in two entries.
    ReadTwice {
        what: String,
        moment: String,
        value: String,
    },
    /// A number that the keeper or a maker states and the one worked out from the rest of the record.
    Disagreement {
        what: String,
        stated: String,
        computed: String,
        difference: String,
    },
    /// A value that can hardly be true.
    Implausible {
        what: String,
        why: String,
        suggestion: String,
    },
    /// Private words that stand in the open as well.
    ToldInTheOpen {
        /// `the private value of tank.yaml, line 13,`
        what: String,
    },
    /// An address, on the web or of an identifier, that is none.
    BadAddress {
        typed: String,
        why: String,
        suggestion: Option<String>,
    },
    Contradiction {
        what: String,
        why: String,
        suggestion: Option<String>,
    },
}

impl Kind {
    /// Warnings do not keep an edition from being written.
    pub fn severity(&self) -> Severity {
        match self {
            Kind::CommentCutsProse { .. }
            | Kind::MissingPhoto { .. }
            | Kind::UnreadablePhoto { .. }
            | Kind::UnreadablePhotos { .. }
            | Kind::UnusedFile { .. }
            | Kind::LooksMislabelled { .. }
            | Kind::OutsideItsTime { .. }
            | Kind::ReadTwice { .. }
            | Kind::Implausible { .. }
            | Kind::ToldInTheOpen { .. }
            | Kind::Disagreement { .. } => Severity::Warning,
            _ => Severity::Error,
        }
    }
}
