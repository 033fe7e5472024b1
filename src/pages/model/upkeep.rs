//! Upkeep: what is due by intent and by habit, what was done, and what skipping costs.

use serde::Serialize;

use super::parts::*;

/// `upkeep.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct UpkeepPage {
    pub standfirst: String,
    /// `38 ± 10 min a week`.
    pub minutes_per_week: Option<Shown>,
    pub due_note: String,
    /// Most overdue first.
    pub due: Vec<DueRow>,
    /// Tasks that have ended.
    pub former: Vec<DueRow>,
    /// What is fed and dosed by plan.
    pub plans: Vec<Fact>,
    /// Parts and supplies with a lifetime.
    pub lifetimes: Option<Table>,
    /// Work done, newest first, by month.
    pub history: Vec<UpkeepMonth>,
    pub history_chart: Option<ChartBlock>,
    pub questions: Vec<QuestionRow>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}

/// One task.
#[derive(Debug, Clone, Default, Serialize)]
pub struct DueRow {
    /// `task-pump-clean`.
    pub id: String,
    pub task: String,
    /// The device it is done on.
    pub device: Option<PlaceLink>,
    pub last_done: Option<DateText>,
    /// `95 days ago`.
    pub last_ago: String,
    /// `every 90 days`.
    pub every: String,
    /// Due by the keeper's intent.
    pub due_intent: Option<DateText>,
    /// `every 95 days, median of the last 5`.
    pub habit: String,
    /// Due by the keeper's habit.
    pub due_habit: Option<DateText>,
    pub minutes: Option<Shown>,
    /// `12 days overdue`, `in 3 days`.
    pub standing: String,
    pub overdue: bool,
    /// What skipping means for this tank.
    pub reason: Option<String>,
    /// Hands in water, water lowered: what to switch off first.
    pub caution: Option<String>,
}

/// Work of one month.
#[derive(Debug, Clone, Default, Serialize)]
pub struct UpkeepMonth {
    /// `October 2026`.
    pub title: String,
    pub done: Vec<DatedText>,
}
