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
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}
