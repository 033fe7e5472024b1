//! Heat: the balance of the water with its room, and what follows when a part of it fails.

use serde::Serialize;

use super::parts::*;

/// `heat.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct HeatPage {
    pub standfirst: String,
    /// The three figures every keeper should have.
    pub key_figures: Vec<Fact>,
    /// What to record where they are missing.
    pub lacking: Vec<String>,
    /// Gains and losses as streams.
    pub balance: Option<ChartBlock>,
    pub balance_note: String,
    /// Watts on the coldest day, duty, the hottest day.
    pub days: Vec<Fact>,
    pub thermostats: Option<Table>,
    pub thermostats_note: String,
    /// Predicted against logged, month by month.
    pub evaporation: Option<ChartBlock>,
    pub evaporation_words: Vec<String>,
    pub top_off: Vec<Fact>,
    pub failures: Vec<FailureRow>,
    pub failures_note: String,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}

/// One part that fails, and what follows.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FailureRow {
    pub id: String,
    pub what: PlaceLink,
    /// `stuck on`, `stuck off`, `lost`, `tripped`.
    pub mode: String,
    pub follows: String,
    /// `3.4 to 9 h`, `not within a week`, `not known`.
    pub harm: String,
    /// `heat`, `lack of oxygen`; empty where no harm is in sight.
    pub harm_by: String,
    pub remains: String,
    pub catches: String,
}
