//! Where numbers come from: how they are known, the bibliography, every figure, and the record's own files.

use serde::Serialize;

use super::parts::*;

/// `sources.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SourcesPage {
    pub standfirst: String,
    pub figures: Vec<FigureListGroup>,
    pub figures_count: String,
    /// The same as a file: `figures.json`.
    pub figures_href: Option<String>,
    pub missing: Vec<MissingRow>,
    /// Methods and published works, by key.
    pub works: Vec<Work>,
    pub files: Vec<SourceFileRow>,
    /// How the edition was made: program, version, theme, date.
    pub made: Vec<Fact>,
}

/// Figures of one subject.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FigureListGroup {
    pub title: String,
    pub rows: Vec<FigureListRow>,
}

/// One line of the list of all figures.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FigureListRow {
    pub key: String,
    pub label: String,
    pub value: Shown,
    pub basis_word: String,
    /// Page and anchor of its working.
    pub href: String,
}

/// A figure the record cannot give yet.
#[derive(Debug, Clone, Default, Serialize)]
pub struct MissingRow {
    pub key: String,
    pub label: String,
    pub why: String,
    pub record: Vec<String>,
}

/// A published work a method rests on.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Work {
    /// `work-millero-poisson-1981`.
    pub id: String,
    /// `Millero and Poisson 1981`.
    pub short: String,
    /// The full reference.
    pub full: String,
    /// A standing address, if it has one.
    pub href: Option<String>,
    /// What it is used for here.
    pub used_for: Vec<String>,
}

/// A file of the record.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SourceFileRow {
    /// `log/2026.yaml`.
    pub name: String,
    pub href: String,
    /// `entries of 2026`.
    pub what: String,
    /// `612 lines`.
    pub lines: String,
}

/// `source/log/2026.yaml.html`: a file as the keeper wrote it, with private lines left out.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SourceFilePage {
    pub name: String,
    pub standfirst: String,
    pub lines: Vec<SourceLine>,
    /// How many lines were left out, in words; empty when none.
    pub redacted_note: String,
    /// Pages that were made from it.
    pub used_by: Vec<PlaceLink>,
}

/// One line of a file.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SourceLine {
    /// From 1; the anchor is `L` and this number.
    pub number: u32,
    pub text: String,
    /// Left out of this edition.
    pub redacted: bool,
}
