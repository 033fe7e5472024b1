//! A quantity over time: the sheet, the band, the axes and everything that is drawn behind and beside the readings.

use super::canvas::{Anchor, Canvas, Frame};
use super::dates::{AxisStyle, TimeScale, draw_time_axis};
use super::input::{Drawn, TimeChart};
use super::labels::{Area, Labels, Position, spread};
use super::rows::Rows;
use super::scale::{Scale, draw_ticks, room_for, worded_ticks};
use super::text::{plain_number, short_form, wrap};
use super::{lines, readings, sensor};

/// Draws a time chart for wide and for narrow places.
///
/// Dates outside `from..=to` are left out, values that are not finite too; an empty chart is a pair of axes.
pub fn draw_time_chart(chart: &TimeChart) -> Drawn {
    Drawn { wide: draw(chart, &WIDE), narrow: draw(chart, &NARROW) }
}

/// The measures of one size of drawing, in its own units.
#[derive(Clone, Copy)]
pub(super) struct Layout {
    pub kind: &'static str,
    pub id_end: &'static str,
    pub width: f64,
    /// Least room for the tick labels at the left.
    pub left: f64,
    /// Where the plot ends at the right; labels may stand beyond.
    pub right: f64,
    pub top: f64,
    pub base: f64,
    /// Type size of ticks and notes.
    pub small: f64,
    pub radius: f64,
    pub disc: f64,
    pub most_discs: usize,
    /// Whether labels stand in a column beside the plot.
    pub column: bool,
    pub ticks: usize,
}

const WIDE: Layout = Layout {
    kind: "wide",
    id_end: "",
    width: 940.0,
    left: 38.0,
    right: 772.0,
    top: 36.0,
    base: 320.0,
    small: 12.0,
    radius: 3.4,
    disc: 8.5,
    most_discs: 25,
    column: true,
    ticks: 7,
};

const NARROW: Layout = Layout {
    kind: "narrow",
    id_end: "-n",
    width: 340.0,
    left: 30.0,
    right: 332.0,
    top: 36.0,
    base: 260.0,
    small: 13.0,
    radius: 2.6,
    disc: 7.5,
    most_discs: 14,
    column: false,
    ticks: 6,
};

/// Type size of labels, in units of the drawing.
pub(super) const LABEL: f64 = 13.0;

/// What is being drawn and what has been settled about it.
pub(super) struct Sheet<'a> {
    pub chart: &'a TimeChart,
    pub layout: &'a Layout,
    pub canvas: Canvas,
    pub time: TimeScale,
    pub scale: Scale,
    pub labels: Labels,
    pub x0: f64,
    pub x1: f64,
    /// Labels of the column beside the plot, placed together at the end.
    beside: Vec<Beside>,
}

/// A label that belongs at a height, beside the plot.
pub(super) struct Beside {
    pub class: &'static str,
    pub text: String,
    pub y: f64,
    /// The mark it names, joined by a thin line.
    pub lead_from: Option<f64>,
}

impl Sheet<'_> {
    pub fn beside(&mut self, label: Beside) {
        self.beside.push(label);
    }

    /// Places words at the first of these positions that is free, within the drawing.
    pub fn place(&mut self, class: &str, text: &str, size: f64, positions: &[Position]) -> bool {
        let bounds = (0.0, self.layout.width);
        self.labels.place(&mut self.canvas, class, text, size, positions, bounds)
    }
}

fn draw(chart: &TimeChart, layout: &Layout) -> String {
    // Without a single value the scale means nothing and has no ticks.
    let is_empty = shown_values(chart).0.is_empty();
    // A chart of nothing but what changed has no plot: its dates stand on top.
    let only_rows = is_empty && !chart.lanes.is_empty();
    let flat = Layout { top: 2.0, base: 2.0, ..*layout };
    let layout = if only_rows { &flat } else { layout };
    let scale = fitted_scale(chart, layout.top, layout.base);
    let wanted = if is_empty { 0 } else { layout.ticks };
    let ticks = worded_ticks(&scale, wanted, &edges(chart));
    let x0 = room_for(&ticks, layout.small, layout.left);
    let x1 = layout.right;
    let time = TimeScale::new(chart.from, chart.to, x0, x1);
    let mut sheet = Sheet {
        chart,
        layout,
        canvas: Canvas::new(layout.width),
        time,
        scale,
        labels: Labels::default(),
        x0,
        x1,
        beside: Vec::new(),
    };
    let rows = Rows::arrange(chart, layout, &time);
    draw_band(&mut sheet.canvas, chart, &scale, x0, x1);
    draw_ticks(&mut sheet.canvas, &scale, &ticks, x0, x1);
    let unit_at = if layout.column { 4.0 } else { 0.0 };
    sheet.place("unit", &chart.unit, 12.5, &[(unit_at, 16.0, Anchor::Start)]);
    let axis = AxisStyle { base: layout.base, size: layout.small, second_row: true };
    draw_time_axis(&mut sheet.canvas, &time, &axis);
    draw_quiet_days(&mut sheet);
    rows.draw_drops(&mut sheet);
    draw_gaps(&mut sheet);
    draw_breaks(&mut sheet);
    readings::reserve_marks(&mut sheet);
    sensor::draw_daily(&mut sheet);
    lines::draw_lines(&mut sheet);
    readings::draw_readings(&mut sheet);
    name_band(&mut sheet);
    rows.draw(&mut sheet);
    draw_beside(&mut sheet);
    if is_empty && !only_rows {
        let (x, y) = ((x0 + x1) / 2.0, (scale.top + scale.base) / 2.0);
        sheet.canvas.text("note", x, y, Anchor::Middle, "no readings");
    }
    let id = format!("c-{}{}", tame(&chart.id), layout.id_end);
    let frame = Frame { kind: layout.kind, id, title: &chart.title, description: &chart.description };
    sheet.canvas.finish(rows.height, &frame)
}

/// An id that is safe in markup and in `url(#…)`.
pub(super) fn tame(id: &str) -> String {
    id.chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }).collect()
}

pub(super) fn edges(chart: &TimeChart) -> Vec<f64> {
    let (low, high) = chart.band.unwrap_or_default();
    let mut edges: Vec<f64> = [low, high].into_iter().flatten().filter(|value| value.is_finite()).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    edges
}

/// The scale that shows readings with two uncertainties, the band, the sensor's range and every line.
pub(super) fn fitted_scale(chart: &TimeChart, top: f64, base: f64) -> Scale {
    let (values, to_zero) = shown_values(chart);
    Scale::fitting(&values, to_zero, top, base)
}

/// Every value the upright axis must reach, and whether it must reach down to zero.
fn shown_values(chart: &TimeChart) -> (Vec<f64>, bool) {
    use super::input::Bound;
    let mut values = edges(chart);
    let time = TimeScale::new(chart.from, chart.to, 0.0, 1.0);
    let mut to_zero = false;
    let points = chart.series.iter().flat_map(|series| &series.points);
    for point in points.filter(|point| time.contains(point.time.date()) && point.value.is_finite()) {
        values.push(point.value);
        if point.bound == Bound::Above {
            // Room for the dashed line that says the value lies above.
            values.push(point.value + point.value.abs() * 0.15);
        }
        to_zero |= point.bound == Bound::Below && point.value > 0.0;
        if point.bound == Bound::Exactly && point.u.is_finite() {
            let reach = 2.0 * point.u.abs();
            // A bar that reaches below zero around a positive value is cut at zero: nothing is less than none.
            let low = point.value - reach;
            values.push(if point.value >= 0.0 { low.max(0.0) } else { low });
            values.push(point.value + reach);
        }
    }
    for day in chart.daily.iter().flatten().filter(|day| time.contains(day.date)) {
        values.extend([day.low, day.mean, day.high]);
    }
    for line in &chart.lines {
        for point in line.points.iter().filter(|point| time.contains(point.date)) {
            values.extend([point.low, point.value, point.high]);
        }
    }
    if let Some(trend) = &chart.trend {
        values.extend([trend.low_from, trend.low_to, trend.high_from, trend.high_to]);
    }
    (values, to_zero)
}

/// The flat tint of the band and its edges. A band open on one side is tinted to the end of the plot.
pub(super) fn draw_band(canvas: &mut Canvas, chart: &TimeChart, scale: &Scale, x0: f64, x1: f64) {
    let Some((low, high)) = chart.band else {
        return;
    };
    let (low, high) = (low.filter(|v| v.is_finite()), high.filter(|v| v.is_finite()));
    if low.is_none() && high.is_none() {
        return;
    }
    let bottom = low.map_or(scale.base, |value| scale.y(value));
    let top = high.map_or(scale.top, |value| scale.y(value));
    let (top, bottom) = (top.min(bottom), top.max(bottom));
    canvas.rect("band", x0, top, x1 - x0, bottom - top);
    for edge in edges(chart) {
        canvas.line("band-edge", x0, scale.y(edge), x1, scale.y(edge));
    }
}

fn name_band(sheet: &mut Sheet) {
    let chart = sheet.chart;
    let Some((low, high)) = chart.band else {
        return;
    };
    let (low, high) = (low.filter(|v| v.is_finite()), high.filter(|v| v.is_finite()));
    let edges = [(low, &chart.band_labels.0), (high, &chart.band_labels.1)];
    if sheet.layout.column {
        for (edge, label) in edges {
            let Some(value) = edge else {
                continue;
            };
            if !label.is_empty() {
                let text = format!("{label}, {}", plain_number(value, 0));
                let y = sheet.scale.y(value);
                sheet.beside(Beside { class: "lab band-t", text, y, lead_from: None });
            }
        }
        return;
    }
    let words = match (low, high) {
        (Some(low), Some(high)) => {
            format!("band {} to {}", plain_number(low, 0), plain_number(high, 0))
        }
        (Some(low), None) => format!("band from {}", plain_number(low, 0)),
        (None, Some(high)) => format!("band up to {}", plain_number(high, 0)),
        (None, None) => return,
    };
    let y = high.or(low).map_or(sheet.scale.top, |value| sheet.scale.y(value));
    let x = sheet.x0 + 4.0;
    let mut inside = vec![(x, y - 5.0, Anchor::Start), (x, y + 15.0, Anchor::Start)];
    inside.push((sheet.x1, y - 5.0, Anchor::End));
    inside.push((x, sheet.scale.top - 6.0, Anchor::Start));
    sheet.place("lab band-t halo", &words, LABEL, &inside);
}

fn draw_quiet_days(sheet: &mut Sheet) {
    for date in sheet.chart.quiet_days.iter().filter(|date| sheet.time.contains(**date)) {
        let x = sheet.time.noon(*date);
        sheet.canvas.line("quiet", x, sheet.scale.base, x, sheet.scale.base - 5.0);
    }
}

/// The two rows above the plot in which breaks and gaps are named.
const NOTE_ROWS: [f64; 2] = [30.0, 16.0];

fn draw_gaps(sheet: &mut Sheet) {
    let (top, base) = (sheet.scale.top, sheet.scale.base);
    for (before, after) in sheet.chart.gaps.clone() {
        let (left, right) = (sheet.time.noon(before.min(after)), sheet.time.noon(before.max(after)));
        let air = (sheet.layout.radius + 3.0).min((right - left) * 0.2);
        let (left, right) = (left + air, right - air);
        if right - left < 1.0 {
            continue;
        }
        sheet.canvas.rect("gap", left, top, right - left, base - top);
        let middle = (left + right) / 2.0;
        let mut positions: Vec<Position> = NOTE_ROWS.iter().map(|y| (middle, *y, Anchor::Middle)).collect();
        positions.extend(NOTE_ROWS.iter().map(|y| (right, *y, Anchor::End)));
        positions.extend(NOTE_ROWS.iter().map(|y| (left, *y, Anchor::Start)));
        if !sheet.place("note", "no readings", sheet.layout.small, &positions) {
            sheet.place("note", "none", sheet.layout.small, &positions);
        }
    }
}

fn draw_breaks(sheet: &mut Sheet) {
    let size = sheet.layout.small;
    let mut breaks: Vec<_> = sheet.chart.breaks.iter().filter(|each| sheet.time.contains(each.date)).collect();
    breaks.sort_by_key(|each| each.date);
    // The name of what follows says more than the name of what came before, so it chooses its place first.
    for each in &breaks {
        let x = sheet.time.start(each.date);
        sheet.canvas.line("break", x, sheet.scale.top - 16.0, x, sheet.scale.base);
        let after = |row: f64| (x + 4.0, row, Anchor::Start);
        let both = [after(NOTE_ROWS[1]), after(NOTE_ROWS[0])];
        let full = sheet.place("note", &each.after_label, size, &both)
            || sheet.place("note", short_form(&each.after_label), size, &both);
        if !full {
            // Near the right end the words hang over the line; to its left they would name what came before.
            let right_edge = NOTE_ROWS.map(|row| (sheet.layout.width, row, Anchor::End));
            sheet.place("note", short_form(&each.after_label), size, &right_edge);
        }
    }
    for each in &breaks {
        let x = sheet.time.start(each.date);
        let left = [NOTE_ROWS[1], NOTE_ROWS[0]].map(|row| (x - 4.0, row, Anchor::End));
        let _ = sheet.place("note", &each.before_label, size, &left)
            || sheet.place("note", short_form(&each.before_label), size, &left);
    }
}

/// Puts the column's labels as near to their heights as they can stand without touching.
fn draw_beside(sheet: &mut Sheet) {
    const LINE: f64 = 16.0;
    let x = sheet.x1 + 10.0;
    let room = sheet.layout.width - x;
    let labels = std::mem::take(&mut sheet.beside);
    let blocks: Vec<(Beside, Vec<String>)> = labels
        .into_iter()
        .map(|label| {
            let lines = wrap(&label.text, LABEL, label.class.contains("strong"), room);
            (label, lines)
        })
        .filter(|(_, lines)| !lines.is_empty())
        .collect();
    let wanted: Vec<(f64, f64)> = blocks.iter().map(|(label, lines)| (label.y, lines.len() as f64 * LINE)).collect();
    let centres = spread(&wanted, sheet.scale.top - 10.0, sheet.scale.base + 12.0);
    for ((label, lines), centre) in blocks.iter().zip(centres) {
        let first = centre - (lines.len() as f64 - 1.0) * LINE / 2.0 + 4.0;
        if let Some(from) = label.lead_from {
            let knee = sheet.x1 + 1.0;
            let mut lead = vec![(from + 6.0, label.y)];
            if knee > from + 8.0 {
                lead.push((knee, label.y));
            }
            lead.push((x - 3.0, centre.clamp(label.y - 12.0, label.y + 12.0)));
            sheet.canvas.path("lead", lead);
        }
        for (index, line) in lines.iter().enumerate() {
            let y = first + index as f64 * LINE;
            sheet.canvas.text(label.class, x, y, Anchor::Start, line);
        }
    }
}

/// The ground a mark covers.
pub(super) fn mark_area(x: f64, y: f64, radius: f64) -> Area {
    Area { left: x - radius, top: y - radius, right: x + radius, bottom: y + radius }
}

#[cfg(test)]
pub(super) fn test_layout() -> Layout {
    WIDE
}
