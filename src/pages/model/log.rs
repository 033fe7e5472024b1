//! The log: years, a year's entries, and a page for each entry.

use serde::Serialize;

use super::parts::*;

/// `log/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LogPage {
    pub standfirst: String,
    /// Newest first.
    pub years: Vec<YearCard>,
    pub newest: Vec<EntryCard>,
    pub open_questions: Vec<QuestionRow>,
    pub answered_questions: Vec<QuestionRow>,
    pub losses: Vec<LossRow>,
}

/// A year in the list of years.
#[derive(Debug, Clone, Default, Serialize)]
pub struct YearCard {
    pub year: String,
    pub href: String,
    /// `96 entries`.
    pub count: String,
    /// The year in one sentence.
    pub summary: String,
}

/// `log/2026.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct YearPage {
    pub year: String,
    pub standfirst: String,
    /// Newest first.
    pub months: Vec<LogMonth>,
    pub chart: Option<ChartBlock>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}

/// Entries of one month.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LogMonth {
    /// `october`.
    pub id: String,
    /// `October`.
    pub title: String,
    pub entries: Vec<EntryCard>,
}

/// `log/2026-10-03.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct EntryPage {
    pub date: DateText,
    pub time: Option<String>,
    /// `757 days after the first fill`.
    pub age: String,
    pub heading: String,
    /// The note, plain text, a paragraph each.
    pub note: Vec<String>,
    pub quiet: bool,
    pub readings: Option<Table>,
    /// Doses, food, water changed, harvest, work done.
    pub facts: Vec<Fact>,
    pub events: Vec<DatedText>,
    /// What was seen of a colony or device.
    pub seen: Vec<Fact>,
    pub photos: Vec<Photo>,
    pub questions: Vec<QuestionRow>,
    /// Answers it gives to earlier questions.
    pub answers: Vec<QuestionRow>,
    pub corrections: Vec<String>,
    pub cautions: Vec<CautionBlock>,
    /// What changed in the six weeks before, when the entry holds an event or a loss.
    pub before: Option<super::colony::ChangesBefore>,
    pub source: Option<PlaceLink>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}
