//! Looking back: a year in review, two dates side by side, and what was promised.

use serde::Serialize;

use super::equipment::SettingsThen;
use super::log::YearCard;
use super::parts::*;
use super::story::ThenNow;

/// `looking-back.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LookingBackPage {
    pub standfirst: String,
    /// Years in review, newest first.
    pub years: Vec<YearCard>,
    /// Pairs of dates that the keeper chose.
    pub pairs: Vec<PairCard>,
    /// A pair for each anniversary of the first fill.
    pub anniversaries: Vec<PairCard>,
    /// What was promised, in one sentence.
    pub promises: String,
    /// None where nothing was asked.
    pub promises_href: Option<String>,
}

/// A pair of dates in a list.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PairCard {
    pub title: String,
    pub href: String,
    pub from: DateText,
    pub to: DateText,
    /// `18 months apart`.
    pub apart: String,
    /// The photo nearest to each date, where there is one.
    pub before: Option<Photo>,
    pub after: Option<Photo>,
}

/// `year/2025.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ReviewPage {
    pub year: String,
    /// Which days it counts, and as of when its figures stand.
    pub standfirst: String,
    /// The year in a dozen lines, each with its basis.
    pub short: Vec<Fact>,
    /// The whole tank, first and last in the year.
    pub photos: Option<PhotoSeries>,
    pub growth: Option<Table>,
    pub growth_note: String,
    /// What was lost and what broke, oldest first.
    pub losses: Vec<LossRow>,
    pub losses_note: String,
    pub arrivals: Vec<DatedText>,
    /// Days in each band.
    pub bands: Option<ChartBlock>,
    pub bands_note: String,
    /// Figures at the start and at the end.
    pub figures: Vec<ThenNow>,
    pub start_head: String,
    pub end_head: String,
    pub energy: Option<Table>,
    pub energy_note: String,
    pub upkeep: Option<Table>,
    pub upkeep_note: String,
    pub asked: Vec<QuestionRow>,
    /// What is not known of the year, and what would tell it.
    pub missing: Vec<String>,
    /// The entries of the year.
    pub log: Option<PlaceLink>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}

/// `compare/2025-04-12-to-2026-10-10.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ComparePage {
    pub title: String,
    pub standfirst: String,
    /// `12 April 2025`.
    pub from: String,
    pub to: String,
    /// The earlier date and the later.
    pub sides: Vec<CompareSide>,
    /// What may mislead the eye between the two photos.
    pub photo_note: String,
    pub figures: Vec<ThenNow>,
    /// How the devices were set on both dates.
    pub settings: SettingsThen,
    /// Losses, faults, arrivals and answers between the two dates.
    pub between: Vec<DatedText>,
    /// Corrections since the earlier date.
    pub corrections: Vec<DatedText>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}

/// One of two dates.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CompareSide {
    pub date: DateText,
    /// `203 days after the first fill`.
    pub age: String,
    pub photo: Option<Photo>,
    /// `taken 16 August 2025, 36 days before`.
    pub off: String,
    /// Sizes and light of the colony, where the pair is about one.
    pub facts: Vec<Fact>,
}

/// `promises.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PromisesPage {
    pub standfirst: String,
    /// Past their date without an answer, the longest first.
    pub overdue: Vec<QuestionRow>,
    pub waiting: Vec<QuestionRow>,
    /// Without a date to look again.
    pub undated: Vec<QuestionRow>,
    /// Newest answer first.
    pub answered: Vec<QuestionRow>,
}
