//! Light: surveys as plan drawings, and the day's light at each colony beside what it needs.

use serde::Serialize;

use super::parts::*;

/// `light.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LightPage {
    pub standfirst: String,
    pub lamp: Vec<Fact>,
    /// What the numbers rest on where nobody measured; empty where a survey stands behind them.
    pub without_meter: String,
    /// Levels of the lamp that suit the colonies.
    pub levels: Option<Levels>,
    /// What changed between surveys at the same places.
    pub ageing: Option<Table>,
    /// Steps from one light to another.
    pub plans: Vec<PlanBlock>,
    /// The lamps' own light.
    pub spectra: Vec<SpectrumBlock>,
    /// The newest survey.
    pub survey: Option<Survey>,
    /// All of them in lines, newest first, where there is more than one.
    pub surveys: Option<Table>,
    /// The day's light at each colony today.
    pub colonies: Vec<ColonyLight>,
    pub colonies_note: String,
    /// The day's course of the lamp.
    pub schedule: Option<ChartBlock>,
    /// Settings of each lamp since the start, newest first.
    pub lamps: Vec<LampHistory>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}

/// `light/2026-06-20.html`: one survey, where it stays.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SurveyPage {
    pub survey: Survey,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}

/// One light survey.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Survey {
    /// `survey-2026-06-20`.
    pub id: String,
    pub date: DateText,
    /// Lamp, level, height, sensor, immersion factor and whether it was applied.
    pub facts: Vec<Fact>,
    /// A map for each depth: readings where they were taken, colonies where they stand, and the field between.
    pub maps: Vec<ChartBlock>,
    /// How wrong the maps are where nobody measured.
    pub error: Option<Shown>,
    pub note: Option<String>,
}

/// The light one colony gets, beside what it needs.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ColonyLight {
    pub colony: PlaceLink,
    pub place: String,
    /// Light at the lamp's full setting of the day, µmol/m²/s.
    pub at_peak: Option<Shown>,
    /// The day's sum, mol/m².
    pub per_day: Option<Shown>,
    /// What the keeper says it needs.
    pub wanted: Option<String>,
    /// `inside`, `below`, `above`, `too close to tell`, `no band`.
    pub verdict: String,
    /// Why there is no figure.
    pub missing: Option<String>,
}

/// What levels of a lamp would do for the colonies.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Levels {
    pub sentence: String,
    pub table: Table,
    /// Sentences on colonies that no level suits together.
    pub apart: Vec<String>,
    /// Where those would be in their bands that are not.
    pub elsewhere: Vec<String>,
}

/// Steps from one light to another over weeks.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PlanBlock {
    pub title: String,
    pub sentence: String,
    pub table: Table,
}

/// The spectrum of one lamp.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SpectrumBlock {
    pub lamp: PlaceLink,
    pub facts: Vec<Fact>,
    pub chart: Option<ChartBlock>,
    /// Why there is no chart, or no colour temperature.
    pub remark: String,
}

/// The settings of one lamp over time.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LampHistory {
    pub lamp: PlaceLink,
    pub settings: Vec<super::equipment::SettingSince>,
}
