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
    /// Watts over the hours of the day, by purpose.
    pub by_hour: Option<ChartBlock>,
    /// Bars of energy by purpose.
    pub by_purpose: Option<ChartBlock>,
    /// What each price of the day is paid for.
    pub rates: Option<Table>,
    pub rates_note: String,
    /// Periods between meter readings, computed beside metered, and the rest nobody explains.
    pub meter: Option<Table>,
    pub meter_note: String,
    /// Metered and worked out, span by span.
    pub meter_chart: Option<ChartBlock>,
    pub strips: Vec<StripRow>,
    /// How continuous loads are treated where the tank stands, and who decides.
    pub strips_note: String,
    /// Batteries, what they run, and how long.
    pub batteries: Option<Table>,
    /// What each device does when the power comes back.
    pub forgets: Option<Table>,
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

/// One power strip, protective device or circuit.
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
