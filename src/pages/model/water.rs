//! The water: all quantities in a table, and a page for each with its chart.

use serde::Serialize;

use super::parts::*;

/// `water/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct WaterPage {
    pub standfirst: String,
    pub lead: Vec<Run>,
    pub groups: Vec<super::front::WaterGroup>,
    pub groups_note: String,
    pub quantities: Vec<QuantityRow>,
    /// Evaporation, water changes, doses.
    pub figures: Vec<FigureRow>,
    /// What differs from the thirty days before.
    pub differs: Vec<Run>,
    /// Evaporation, top-off and water changes over time.
    pub charts: Vec<ChartBlock>,
    /// Nitrate and phosphate against each other.
    pub plane: Option<ChartBlock>,
    /// How substances go together, a paragraph each.
    pub together: Vec<Vec<Run>>,
    /// Slow changes: salinity, purified water, probes.
    pub slow: Vec<Vec<Run>>,
    /// The tank's ripening, a paragraph each.
    pub ripening: Vec<Vec<Run>>,
    /// Marked events, newest first, each leading to what changed around then.
    pub marked: Vec<Fact>,
    pub cautions: Vec<CautionBlock>,
}

/// A small chart with its quantity's name, value and one sentence.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Multiple {
    pub name: String,
    pub href: Option<String>,
    pub value: Option<Shown>,
    pub sentence: String,
    /// The SVG, 300 by 112.
    pub svg: Html,
}

/// One row of the table of quantities.
#[derive(Debug, Clone, Default, Serialize)]
pub struct QuantityRow {
    pub name: String,
    pub href: String,
    pub latest: Option<Shown>,
    /// `10 October, a day ago`.
    pub age: String,
    /// `2 to 10 mg/L`.
    pub band: String,
    /// `inside`, `below`, `above`, `too close to tell`, `no band`.
    pub standing: String,
    pub trend: String,
    pub test_again: String,
}

/// `water/NAME.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct QuantityPage {
    pub name: String,
    /// What it is, in words a newcomer knows.
    pub about: String,
    /// What it did, in one or two sentences.
    pub standfirst: String,
    pub latest: Option<Shown>,
    /// `measured, 10 October, a day ago`.
    pub latest_note: String,
    /// `2 to 10 mg/L since 1 March 2025`.
    pub band: Vec<Run>,
    /// `inside`, `below`, `above`, `too close to tell`, `no band`.
    pub standing: String,
    pub chart: Option<ChartBlock>,
    /// More charts: the whole record, a sensor's days.
    pub more_charts: Vec<ChartBlock>,
    pub trend: Option<TrendText>,
    /// What came, what went, and what was taken up.
    pub balance: Option<BalanceBlock>,
    /// What comes next and what would hold it.
    pub outlook: Option<OutlookBlock>,
    /// Summary in words, a paragraph each.
    pub words: Vec<Vec<Run>>,
    /// Kits and sensors, with their error and interval.
    pub kits: Option<Table>,
    /// Changes of kit, lot or sensor, with the offset.
    pub breaks: Vec<SeriesBreak>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}

/// A change of kit, lot or sensor in a run of readings.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SeriesBreak {
    pub date: DateText,
    /// `lot 1`.
    pub before: String,
    /// `lot 2`.
    pub after: String,
    /// How much lower or higher the new one reads on the same water.
    pub offset: Option<Shown>,
    pub remark: String,
}

/// What came, what went, and what was taken up of one substance.
#[derive(Debug, Clone, Default, Serialize)]
pub struct BalanceBlock {
    /// `Between 29 August and 17 October the tank took up 0.108 ± 0.007 dKH a day.`
    pub lead: Vec<Run>,
    /// What was there, what came, what water changes did, what was taken up, what is there.
    pub ledger: Table,
    /// The uptake over the tank's life.
    pub course: Option<ChartBlock>,
    /// From reading to reading, folded.
    pub pairs: Option<Table>,
    /// What limits it, a paragraph each.
    pub notes: Vec<String>,
}

/// What comes next and what would hold it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct OutlookBlock {
    /// `Target: 8.25 dKH, the middle of the band`.
    pub target: String,
    /// One answer each: a label and a sentence.
    pub answers: Vec<Fact>,
    /// Said beside every dose.
    pub caution: String,
}
