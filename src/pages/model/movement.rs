//! Movement of the water: turnover as stated and as derated, and each pump.

use serde::Serialize;

use super::parts::*;

/// `movement.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct MovementPage {
    pub standfirst: String,
    /// Turnover in all, as the makers state it and as derated.
    pub totals: Vec<super::equipment::StatedRow>,
    /// Turnover by what the pumps are for, beside its band.
    pub groups: Vec<GroupRow>,
    pub pumps: Vec<PumpRow>,
    /// A pump's curve with its plumbing, one a pump that lifts.
    pub systems: Vec<ChartBlock>,
    /// What runs back when the power goes; empty without a sump.
    pub drain: Vec<Fact>,
    pub drain_note: String,
    /// Flow of the pumps over time between cleanings.
    pub history: Option<ChartBlock>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}

/// Turnover of the pumps of one kind.
#[derive(Debug, Clone, Default, Serialize)]
pub struct GroupRow {
    /// `Circulation`.
    pub label: String,
    pub turnover: Option<Shown>,
    /// `5 to 15`; whose band it is stands in `band_from`.
    pub band: Option<String>,
    /// `the keeper’s own`, or `common practice, no source`.
    pub band_from: String,
    /// `inside`, `below`, `above`, `too close to tell`, `no band`.
    pub stands: String,
}

/// One pump.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PumpRow {
    pub device: PlaceLink,
    /// Empty where the pump is called by it.
    pub role: String,
    pub setting: String,
    pub stated: Option<Shown>,
    pub derated: Option<Shown>,
    /// The last flow test, if there was one.
    pub tested: Option<Shown>,
    /// `36 days since cleaning, head 0.9 m`.
    pub remark: String,
}
