//! What a chart is told: plain data in the unit shown, filled from figures. Nothing here knows about pixels.
//!
//! Every value stands in the chart's own unit, every uncertainty is one standard uncertainty, every date is civil
//! time at the tank. Text is plain text; the drawing escapes it.

use jiff::civil::{Date, DateTime};

/// A quantity over time with what was done beneath it on the same dates.
///
/// A growth chart is a time chart whose breaks carry what was done to the colony; a small multiple is one without rows.
#[derive(Debug, Clone, Default)]
pub struct TimeChart {
    /// Stem of the ids inside the drawing, unique on its page: `nitrate`.
    pub id: String,
    /// For those who hear the page: `Nitrate, October 2025 to October 2026`.
    pub title: String,
    /// What the picture shows, in one or two sentences.
    pub description: String,
    /// Stands once, above the top tick: `mg/L NO₃`.
    pub unit: String,
    pub from: Date,
    /// The last day shown, inclusive.
    pub to: Date,
    /// The keeper's own limits, low then high; either may be missing.
    pub band: Option<(Option<f64>, Option<f64>)>,
    /// What the low and the high edge are called, without the number, which is added: `bottom of band`, `top of band`.
    pub band_labels: (String, String),
    pub series: Vec<Series>,
    /// Values worked out, assumed or stated rather than read.
    pub lines: Vec<ValueLine>,
    pub breaks: Vec<Break>,
    /// Stretches without readings: the last date before and the first after.
    pub gaps: Vec<(Date, Date)>,
    pub trend: Option<TrendLine>,
    /// A sensor's days: the mean as a line, the range as a ribbon.
    pub daily: Option<Vec<DailyRange>>,
    pub doses: Vec<Amount>,
    /// Names the row of doses: `nitrate dose, mL/day`.
    pub dose_label: String,
    /// Amounts in percent of the water; the row's scale starts at zero.
    pub water_changes: Vec<Amount>,
    pub lanes: Vec<LaneEvent>,
    /// Digits after the point in tick and value labels.
    pub decimals: u8,
    /// Days with an entry that says that all was quiet: a short tick on the baseline.
    pub quiet_days: Vec<Date>,
}

/// Readings that may be compared with one another: one method, one lot.
#[derive(Debug, Clone, Default)]
pub struct Series {
    pub mark: Mark,
    pub points: Vec<Point>,
    /// Names a comparison (`Mark::Diamond`) beside its last point; readings are named by their breaks.
    pub label: String,
}

/// The shape of a reading. A change of shape says that the method or the lot changed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Mark {
    #[default]
    Circle,
    Square,
    /// Reserved for a comparison: drawn in its own colour, its points joined by dashes.
    Diamond,
}

/// One reading.
#[derive(Debug, Clone, Default)]
pub struct Point {
    pub time: DateTime,
    pub value: f64,
    /// Standard uncertainty; zero or not finite draws no bar.
    pub u: f64,
    pub bound: Bound,
    /// Words beside the point; the last exact reading gets its value and date if this is empty.
    pub label: Option<String>,
}

/// Whether the reading is a value or only a limit.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Bound {
    #[default]
    Exactly,
    /// Below what the method can see; `value` is the limit.
    Below,
    /// Above what the method can see; `value` is the limit.
    Above,
}

/// A line that was not read off anything.
#[derive(Debug, Clone, Default)]
pub struct ValueLine {
    pub basis: LineBasis,
    pub label: String,
    /// In order of date.
    pub points: Vec<LinePoint>,
}

/// How the values of a line are known.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum LineBasis {
    /// Worked out from readings: a line with its ribbon.
    #[default]
    Computed,
    /// Readings smoothed for the eye: a quiet line without a ribbon or a name.
    Smoothed,
    /// Assumed: dashed, with an outlined pale ribbon over hatching.
    Assumed,
    /// Said by a maker or a giver: a short double dash at each date and no bar.
    Stated,
}

/// A value with the limits of its ribbon (95 in 100).
#[derive(Debug, Clone, Copy, Default)]
pub struct LinePoint {
    pub date: Date,
    pub value: f64,
    pub low: f64,
    pub high: f64,
}

/// A day from which readings can no longer be compared with those before: a new lot, a new method, a cut.
#[derive(Debug, Clone, Default)]
pub struct Break {
    pub date: Date,
    /// `lot 1`
    pub before_label: String,
    /// `lot 2, reads 0.6 ± 0.4 lower`
    pub after_label: String,
}

/// A straight trend over its window only, with the ribbon (95 in 100) at both ends.
#[derive(Debug, Clone, Default)]
pub struct TrendLine {
    pub from: Date,
    pub to: Date,
    pub value_from: f64,
    pub value_to: f64,
    pub low_from: f64,
    pub low_to: f64,
    pub high_from: f64,
    pub high_to: f64,
    /// `trend +0.27 ± 0.08 a week`
    pub label: String,
}

/// One day of a sensor.
#[derive(Debug, Clone, Copy, Default)]
pub struct DailyRange {
    pub date: Date,
    pub mean: f64,
    pub low: f64,
    pub high: f64,
}

/// Something added or changed on a day; the height of its bar is the amount.
#[derive(Debug, Clone, Default)]
pub struct Amount {
    pub date: Date,
    pub amount: f64,
    /// Said beside the bar if there is room; usually empty.
    pub label: String,
}

/// The seven lanes under a chart, in their fixed order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lane {
    Lamp,
    Flow,
    Dose,
    Food,
    Arrivals,
    Losses,
    Work,
}

impl Lane {
    /// All lanes, top to bottom.
    pub const ALL: [Lane; 7] =
        [Lane::Lamp, Lane::Flow, Lane::Dose, Lane::Food, Lane::Arrivals, Lane::Losses, Lane::Work];

    /// The word at the lane's end.
    pub fn word(self) -> &'static str {
        match self {
            Lane::Lamp => "lamp",
            Lane::Flow => "flow",
            Lane::Dose => "dose",
            Lane::Food => "food",
            Lane::Arrivals => "arrivals",
            Lane::Losses => "losses",
            Lane::Work => "work",
        }
    }
}

/// Something that changed, numbered as in the list under the chart.
#[derive(Debug, Clone)]
pub struct LaneEvent {
    pub date: Date,
    pub lane: Lane,
    pub number: u32,
    /// A few words, drawn beside the disc if they fit; the list below says the rest.
    pub text: String,
}

/// One day, hour by hour: a lamp's channels, a pump's speed.
#[derive(Debug, Clone, Default)]
pub struct DayCurve {
    pub id: String,
    pub title: String,
    pub description: String,
    pub unit: String,
    /// A label and its points, hours 0 to 24 in order.
    pub lines: Vec<(String, Vec<(f64, f64)>)>,
    /// The axis reaches at least this far: 100 for percent.
    pub y_max: Option<f64>,
}

/// What comes in and what goes out of something that holds neither more nor less for it.
#[derive(Debug, Clone, Default)]
pub struct Balance {
    pub id: String,
    pub title: String,
    pub description: String,
    pub unit: String,
    /// What stands in the middle: `Water, 25.2 °C`.
    pub holds: String,
    pub gains: Vec<Stream>,
    pub losses: Vec<Stream>,
}

/// One way in or out; zero or more.
#[derive(Debug, Clone, Default)]
pub struct Stream {
    pub label: String,
    pub value: f64,
    /// The amount as it is written: `28 ± 12`.
    pub said: String,
}

/// Amounts side by side, on one scale from zero.
#[derive(Debug, Clone, Default)]
pub struct Bars {
    pub id: String,
    pub title: String,
    pub description: String,
    pub unit: String,
    pub rows: Vec<Bar>,
    /// Digits after the point in value labels.
    pub decimals: u8,
}

/// One amount.
#[derive(Debug, Clone, Default)]
pub struct Bar {
    pub label: String,
    pub value: f64,
    /// Standard uncertainty; zero draws none.
    pub u: f64,
    pub basis: BarBasis,
    /// A few words after the value: `8 h a day`.
    pub note: String,
}

/// Wholes parted into four shares each.
#[derive(Debug, Clone, Default)]
pub struct Shares {
    pub id: String,
    pub title: String,
    pub description: String,
    /// What the shares are called: `inside the band`.
    pub names: [String; 4],
    pub rows: Vec<ShareRow>,
}

/// One whole.
#[derive(Debug, Clone, Default)]
pub struct ShareRow {
    pub label: String,
    /// The shares in the order of their names, in one unit.
    pub parts: [f64; 4],
    /// A few words at the end of the bar: `95 % of 312 days`.
    pub note: String,
}

/// How a bar's amount is known. Shown by the drawing and by its word.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum BarBasis {
    #[default]
    Measured,
    Stated,
    Computed,
    Assumed,
}

impl BarBasis {
    pub fn word(self) -> &'static str {
        match self {
            BarBasis::Measured => "measured",
            BarBasis::Stated => "stated",
            BarBasis::Computed => "computed",
            BarBasis::Assumed => "assumed",
        }
    }
}

/// The tank from above at one depth: light readings as numbers where they were taken, colonies, and the field that was
/// worked out between the readings.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    pub id: String,
    pub title: String,
    pub description: String,
    /// Unit of the readings: `µmol/m²/s`.
    pub unit: String,
    /// Unit of lengths and places: `cm`.
    pub unit_of_length: String,
    /// Inside length, left to right seen from the front.
    pub length: f64,
    /// Inside width, back to front; the front pane is drawn at the bottom.
    pub width: f64,
    pub points: Vec<PlanPoint>,
    pub colonies: Vec<PlanColony>,
    pub field: Option<Field>,
    pub decimals: u8,
}

/// Values over the whole plan, drawn as filled contours.
#[derive(Debug, Clone, Default)]
pub struct Field {
    /// Rows from the front pane to the back, each from left to right, evenly over the plan; two or more of two or more.
    pub rows: Vec<Vec<f64>>,
    /// Rising values at which one tint ends and the next begins, at most six.
    pub levels: Vec<f64>,
}

/// A reading at a place; `x` from the left pane, `y` from the front pane.
#[derive(Debug, Clone, Copy, Default)]
pub struct PlanPoint {
    pub x: f64,
    pub y: f64,
    pub value: f64,
}

/// A colony at a place; `x` from the left pane, `y` from the front pane.
#[derive(Debug, Clone, Default)]
pub struct PlanColony {
    pub x: f64,
    pub y: f64,
    pub label: String,
}

/// One quantity against another.
#[derive(Debug, Clone, Default)]
pub struct XyChart {
    pub id: String,
    pub title: String,
    pub description: String,
    /// Along the level axis, worded: `flow, L/h`.
    pub x_unit: String,
    pub y_unit: String,
    /// From where to where the level axis reaches; from zero to the last value if it is not said.
    pub x_span: Option<(f64, f64)>,
    /// Stretches of the level axis with names; every other one is tinted.
    pub zones: Vec<XyZone>,
    pub lines: Vec<XyLine>,
    pub marks: Vec<XyMark>,
    /// Whether the area under the first line is filled.
    pub filled: bool,
}

/// A line with its name.
#[derive(Debug, Clone, Default)]
pub struct XyLine {
    pub label: String,
    pub points: Vec<(f64, f64)>,
}

/// A named stretch of the level axis.
#[derive(Debug, Clone, Default)]
pub struct XyZone {
    pub from: f64,
    pub to: f64,
    pub label: String,
}

/// One point with its level interval (95 in 100).
#[derive(Debug, Clone, Default)]
pub struct XyMark {
    pub at: (f64, f64),
    pub span: (f64, f64),
    pub label: String,
    /// A dot for what was read, a diamond for what was worked out.
    pub is_reading: bool,
}

/// A chart drawn twice; the style sheet shows one of the two.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Drawn {
    /// 940 units across.
    pub wide: String,
    /// 340 units across.
    pub narrow: String,
}

/// Two quantities against each other, with time as a path from point to point and the keeper's bands as a box. No
/// region is judged.
#[derive(Debug, Clone, Default)]
pub struct Plane {
    pub id: String,
    pub title: String,
    pub description: String,
    pub across: PlaneAxis,
    pub up: PlaneAxis,
    /// In order of time.
    pub points: Vec<PlanePoint>,
}

/// One axis of a plane.
#[derive(Debug, Clone, Default)]
pub struct PlaneAxis {
    /// `nitrate, mg/L NO₃`
    pub label: String,
    /// Low and high edge of the keeper's band; both, or no box is drawn.
    pub band: Option<(f64, f64)>,
    pub decimals: u8,
}

/// One step of the path.
#[derive(Debug, Clone, Default)]
pub struct PlanePoint {
    /// Across, then up; with one standard uncertainty each, zero for none.
    pub at: (f64, f64),
    pub u: (f64, f64),
    /// Whether either value is only a limit: drawn open.
    pub limit: bool,
    /// Words beside it, if they find room: `July 2026`.
    pub label: String,
}
