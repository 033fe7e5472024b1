//! Power: energy and cost by device, against the meter, and the load on each strip.

use serde::Serialize;

use super::parts::*;

/// `power.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PowerPage {
    pub standfirst: String,
    /// Per day, per month, cost; the headline figures.
    pub totals: Vec<Fact>,
    pub devices: Vec<PowerRow>,
    pub devices_total: Option<PowerRow>,
    pub devices_note: String,
    /// Bars of energy by device.
    pub bars: Option<ChartBlock>,
    /// Periods between meter readings, computed beside metered, and the rest nobody explains.
    pub meter: Option<Table>,
    pub meter_note: String,
    pub strips: Vec<StripRow>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
}

/// One device's share.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PowerRow {
    pub device: PlaceLink,
    pub watts: Option<Shown>,
    /// `9½ h a day, ramps counted`.
    pub duty: String,
    pub per_day: Option<Shown>,
    pub cost_per_month: Option<Shown>,
    pub share: String,
}

/// One power strip or outlet.
#[derive(Debug, Clone, Default, Serialize)]
pub struct StripRow {
    pub strip: PlaceLink,
    /// Devices on it.
    pub on_it: Vec<PlaceLink>,
    pub load: Option<Shown>,
    pub rating: Option<Shown>,
    /// `protected by ...`, `no protection recorded`.
    pub protection: Vec<Run>,
    pub remark: String,
}
