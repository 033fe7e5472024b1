//! Movement of the water: turnover as stated and as derated, and each pump.

use serde::Serialize;

use super::parts::*;

/// `movement.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct MovementPage {
    pub standfirst: String,
    /// Turnover in all, as the makers state it and as derated.
    pub totals: Vec<super::equipment::StatedRow>,
    pub pumps: Vec<PumpRow>,
    /// Flow of the pumps over time between cleanings.
    pub history: Option<ChartBlock>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}

/// One pump.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PumpRow {
    pub device: PlaceLink,
    pub role: String,
    pub setting: String,
    pub stated: Option<Shown>,
    pub derated: Option<Shown>,
    /// The last flow test, if there was one.
    pub tested: Option<Shown>,
    /// `36 days since cleaning, head 0.9 m`.
    pub remark: String,
}
