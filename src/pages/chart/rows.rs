//! The rows under a chart, on its dates: doses, water changes, and the seven lanes of what changed.

use super::canvas::{Anchor, Canvas};
use super::dates::{TimeScale, day_number};
use super::input::{Amount, Lane, LaneEvent, TimeChart};
use super::labels::Labels;
use super::text::{number, plain_number, text_width};
use super::time::{LABEL, Layout, Sheet, mark_area};

/// The rows of a chart, arranged before anything is drawn so that the dotted lines can run behind the readings.
pub(super) struct Rows {
    doses: Option<Row>,
    changes: Option<Row>,
    lanes: Option<Lanes>,
    /// Where the words of the time axis end.
    axis_end: f64,
    /// Height of the whole drawing.
    pub height: f64,
}

#[derive(Clone, Copy)]
struct Row {
    label_y: f64,
    base: f64,
}

struct Lanes {
    title_y: f64,
    /// Height of the first lane.
    first: f64,
    discs: Vec<Disc>,
    /// Events that got no disc: only a tick in their lane.
    ticks: Vec<(f64, Lane)>,
}

/// A disc with the number of one event, or drawn out with the numbers of several.
#[derive(Debug, Clone, PartialEq)]
struct Disc {
    lane: Lane,
    x: f64,
    /// From its middle to its left and right end.
    half: f64,
    words: String,
    /// Said beside it.
    text: String,
    /// Where its events are, for the dotted lines.
    events: Vec<f64>,
    numbers: Vec<u32>,
}

/// Height of the tallest bar in a row of amounts.
const TALLEST: f64 = 14.0;
const LANE_STEP: f64 = 22.0;

/// So many changes at most are all led up through the curve.
const MOST_DROPS: usize = 16;

impl Rows {
    pub fn arrange(chart: &TimeChart, layout: &Layout, time: &TimeScale) -> Rows {
        let axis_end = layout.base + 2.0 * layout.small + 10.5;
        let mut y = axis_end;
        let mut row = |amounts: &[Amount]| {
            let shown = amounts.iter().any(|each| is_shown(each, time));
            shown.then(|| {
                let (label_y, base) = if layout.column { (y + 20.0, y + 22.0) } else { (y + 13.0, y + 33.0) };
                y = base + 8.0;
                Row { label_y, base }
            })
        };
        let doses = row(&chart.doses);
        let changes = row(&chart.water_changes);
        let mut events: Vec<&LaneEvent> = chart.lanes.iter().filter(|event| time.contains(event.date)).collect();
        events.sort_by_key(|event| (event.date, event.number));
        let lanes = (!events.is_empty()).then(|| {
            let title_y = y + 14.0;
            let (discs, ticks) = gather(&events, time, layout);
            y = title_y + 21.0 + LANE_STEP * 6.0 + 15.0;
            Lanes { title_y, first: title_y + 21.0, discs, ticks }
        });
        Rows { doses, changes, lanes, axis_end, height: (y + 4.0).ceil() }
    }

    /// Dotted lines from what changed up through the curve, interrupted where the dates are written.
    pub fn draw_drops(&self, sheet: &mut Sheet) {
        let Some(lanes) = &self.lanes else { return };
        let (top, base) = (sheet.scale.top, sheet.scale.base);
        let mut drawn = std::collections::BTreeSet::new();
        // A thicket of lines hides the readings: of many changes, work that was done is told in its lane alone.
        let is_many = lanes.discs.iter().map(|disc| disc.events.len()).sum::<usize>() > MOST_DROPS;
        for disc in lanes.discs.iter().filter(|disc| !(is_many && disc.lane == Lane::Work)) {
            let end = lanes.y(disc.lane) - sheet.layout.disc;
            for x in &disc.events {
                // Two events of one day share the line through the chart.
                if drawn.insert((x * 10.0).round() as i64) {
                    sheet.canvas.line("drop", *x, top, *x, base);
                }
                sheet.canvas.line("drop", *x, self.axis_end, *x, end);
            }
        }
    }

    pub fn draw(&self, sheet: &mut Sheet) {
        let chart = sheet.chart;
        if let Some(row) = self.doses {
            draw_stems(sheet, row.base, &chart.doses, Stem::Dose);
            let same = same_amount(&chart.doses, &sheet.time).is_some();
            name_row(sheet, row, &chart.dose_label, same, &chart.doses, "");
        }
        if let Some(row) = self.changes {
            draw_stems(sheet, row.base, &chart.water_changes, Stem::WaterChange);
            let same = same_amount(&chart.water_changes, &sheet.time);
            let label = match same {
                Some(percent) => format!("water change, {}\u{a0}%", plain_number(percent, 0)),
                None => "water change, %".to_string(),
            };
            name_row(sheet, row, &label, same.is_some(), &chart.water_changes, "");
        }
        if let Some(lanes) = &self.lanes {
            lanes.draw(sheet);
        }
    }
}

fn is_shown(amount: &Amount, time: &TimeScale) -> bool {
    time.contains(amount.date) && amount.amount.is_finite() && amount.amount > 0.0
}

/// The amount, if all are the same.
fn same_amount(amounts: &[Amount], time: &TimeScale) -> Option<f64> {
    let mut shown = amounts.iter().filter(|each| is_shown(each, time)).map(|each| each.amount);
    let first = shown.next()?;
    shown.all(|amount| (amount - first).abs() < first.abs() * 1e-6).then_some(first)
}

#[derive(Clone, Copy, PartialEq)]
enum Stem {
    Dose,
    WaterChange,
}

/// Bars whose height is the amount. Daily doses closer than three units become one outline.
fn draw_stems(sheet: &mut Sheet, base: f64, amounts: &[Amount], stem: Stem) {
    let time = sheet.time;
    let mut shown: Vec<&Amount> = amounts.iter().filter(|each| is_shown(each, &time)).collect();
    shown.sort_by_key(|each| each.date);
    let tallest = shown.iter().map(|each| each.amount).fold(0.0, f64::max);
    if tallest <= 0.0 {
        return;
    }
    let height = |amount: f64| amount / tallest * TALLEST;
    let canvas = &mut sheet.canvas;
    canvas.line("lane", sheet.x0, base, sheet.x1, base);
    match stem {
        Stem::WaterChange => {
            let width = (time.pixels_per_day() * 7.0).clamp(1.0, 4.0);
            for each in &shown {
                let tall = height(each.amount);
                canvas.rect("wc", time.noon(each.date) - width / 2.0, base - tall, width, tall);
            }
        }
        Stem::Dose if crowded(&shown, &time) => draw_outline(canvas, &time, base, &shown, height),
        Stem::Dose => {
            for each in &shown {
                let x = time.noon(each.date);
                canvas.line("dose", x, base, x, base - height(each.amount));
            }
        }
    }
    let small = sheet.layout.small;
    for each in shown.iter().filter(|each| !each.label.is_empty()) {
        let (x, y) = (time.noon(each.date), base - height(each.amount));
        let beside = [(x + 5.0, base - 3.0, Anchor::Start), (x - 5.0, y + 9.0, Anchor::End)];
        sheet.place("note halo", &each.label, small, &beside);
    }
}

/// Whether most doses stand closer than three units.
fn crowded(shown: &[&Amount], time: &TimeScale) -> bool {
    let close = shown.windows(2).filter(|pair| time.noon(pair[1].date) - time.noon(pair[0].date) < 3.0).count();
    close * 2 > shown.len()
}

/// A filled outline over days that follow one another, each column as high as the mean of its doses.
fn draw_outline(canvas: &mut Canvas, time: &TimeScale, base: f64, shown: &[&Amount], height: impl Fn(f64) -> f64) {
    // Days, from the first to the one after the last, and the height over them.
    let mut columns: Vec<(i64, i64, f64)> = Vec::new();
    let days_a_column = (1.0 / time.pixels_per_day()).ceil().max(1.0) as i64;
    let mut rest = shown;
    while let Some(first) = rest.first() {
        let start = day_number(first.date);
        let inside = rest.iter().take_while(|each| day_number(each.date) < start + days_a_column).count().max(1);
        let (column, after) = rest.split_at(inside);
        let mean = column.iter().map(|each| each.amount).sum::<f64>() / column.len() as f64;
        columns.push((start, start + days_a_column, height(mean)));
        rest = after;
    }
    // Equal neighbours are one rectangle; a day left out ends it.
    let mut merged: Vec<(i64, i64, f64)> = Vec::new();
    for (start, stop, tall) in columns {
        match merged.last_mut() {
            Some(last) if last.1 == start && (last.2 - tall).abs() < 0.05 => last.1 = stop,
            _ => merged.push((start, stop, tall)),
        }
    }
    for (start, stop, tall) in merged {
        let (left, right) = (time.start_of(start), time.start_of(stop));
        canvas.rect("dose-run", left, base - tall, right - left, tall);
    }
}

/// Names a row; the tallest amount is said at its height if the amounts differ.
fn name_row(sheet: &mut Sheet, row: Row, label: &str, same: bool, amounts: &[Amount], unit: &str) {
    let at = if sheet.layout.column { sheet.x1 + 10.0 } else { sheet.x0 };
    let room = sheet.layout.width - at;
    let class = if sheet.layout.column { "lab" } else { "note halo" };
    let lines = super::text::wrap(label, LABEL, false, room);
    for (index, line) in lines.iter().take(2).enumerate() {
        let y = row.label_y - if lines.len() > 1 { 8.0 } else { 0.0 } + index as f64 * 14.0;
        sheet.canvas.text(class, at, y, Anchor::Start, line);
    }
    let shown = amounts.iter().filter(|each| is_shown(each, &sheet.time));
    let tallest = shown.map(|each| each.amount).fold(0.0, f64::max);
    if !same && tallest > 0.0 {
        let words = format!("{}{unit}", plain_number(tallest, 0));
        let short = if words.len() > 4 { number(tallest, 1) } else { words };
        let y = row.base - TALLEST + 8.0;
        sheet.canvas.text("tick", sheet.x0 - 6.0, y, Anchor::End, &short);
    }
}

impl Lanes {
    fn y(&self, lane: Lane) -> f64 {
        self.first + LANE_STEP * lane as usize as f64
    }

    fn draw(&self, sheet: &mut Sheet) {
        let (x0, x1, radius) = (sheet.x0, sheet.x1, sheet.layout.disc);
        let column = sheet.layout.column;
        let title_x = if column { 4.0 } else { 0.0 };
        // Where there is nothing else, the page has said it.
        if sheet.scale.base > sheet.scale.top {
            sheet.canvas.text("lab strong halo", title_x, self.title_y, Anchor::Start, "What changed");
        }
        for lane in Lane::ALL {
            sheet.canvas.line("lane", x0, self.y(lane), x1, self.y(lane));
        }
        for (x, lane) in &self.ticks {
            sheet.canvas.line("ev-tick", *x, self.y(*lane) - 4.0, *x, self.y(*lane) + 4.0);
        }
        let mut labels = Labels::default();
        for (x, lane) in &self.ticks {
            labels.reserve(mark_area(*x, self.y(*lane), 5.0));
        }
        for disc in &self.discs {
            let (y, inner) = (self.y(disc.lane), disc.half - radius);
            let mut area = mark_area(disc.x, y, radius + 1.0);
            (area.left, area.right) = (area.left - inner, area.right + inner);
            labels.reserve(area);
            if inner > 0.0 {
                sheet.canvas.rect("ev", disc.x - inner, y - radius, 2.0 * inner, 2.0 * radius);
                sheet.canvas.circle("ev", disc.x - inner, y, radius);
                sheet.canvas.circle("ev", disc.x + inner, y, radius);
            } else {
                sheet.canvas.circle("ev", disc.x, y, radius);
            }
        }
        for disc in &self.discs {
            let y = self.y(disc.lane) + 4.2;
            sheet.canvas.text("evn", disc.x, y, Anchor::Middle, &disc.words);
        }
        for lane in Lane::ALL {
            let y = self.y(lane);
            if column {
                sheet.canvas.text("lab", x1 + 10.0, y + 4.0, Anchor::Start, lane.word());
            } else {
                // The word gives way to a disc at the left end.
                let ends =
                    [(x0, y - 3.0, Anchor::Start), (x1, y - 3.0, Anchor::End), (x0 + 40.0, y - 3.0, Anchor::Start)];
                let bounds = (0.0, sheet.layout.width);
                if !labels.place(&mut sheet.canvas, "note halo", lane.word(), 13.0, &ends, bounds) {
                    sheet.canvas.text("note halo", x0, y - 3.0, Anchor::Start, lane.word());
                }
            }
        }
        if column {
            for disc in &self.discs {
                let (y, away) = (self.y(disc.lane) + 4.0, disc.half + 4.5);
                let sides = [(disc.x + away, y, Anchor::Start), (disc.x - away, y, Anchor::End)];
                // A reader's face may run wider than is reckoned with, and the lane's name comes next.
                let spare = 0.08 * text_width(&disc.text, sheet.layout.small, false);
                let bounds = (x0, x1 - spare);
                labels.place(&mut sheet.canvas, "note halo", &disc.text, sheet.layout.small, &sides, bounds);
            }
        }
    }
}

/// One disc for each event, or for events of a lane too close for one each. The latest get discs, the rest ticks.
fn gather(events: &[&LaneEvent], time: &TimeScale, layout: &Layout) -> (Vec<Disc>, Vec<(f64, Lane)>) {
    let mut discs: Vec<Disc> = Vec::new();
    for lane in Lane::ALL {
        let mut row: Vec<Disc> = Vec::new();
        for event in events.iter().filter(|event| event.lane == lane) {
            let x = time.noon(event.date);
            let mut disc = Disc {
                lane,
                x,
                half: 0.0,
                words: String::new(),
                text: event.text.clone(),
                events: vec![x],
                numbers: vec![event.number],
            };
            disc.settle(layout.disc);
            // Joining makes a disc longer, so it may reach the one before in turn.
            while let Some(before) = row.last() {
                if before.x + before.half + 1.0 <= disc.x - disc.half {
                    break;
                }
                let Some(mut before) = row.pop() else { break };
                before.events.append(&mut disc.events);
                before.numbers.append(&mut disc.numbers);
                before.text.clear();
                before.settle(layout.disc);
                disc = before;
            }
            row.push(disc);
        }
        discs.append(&mut row);
    }
    let latest = |disc: &Disc| disc.events.last().copied().unwrap_or(disc.x);
    discs.sort_by(|a, b| latest(b).total_cmp(&latest(a)).then(a.lane.cmp(&b.lane)));
    let beyond = discs.split_off(discs.len().min(layout.most_discs));
    let ticks = beyond.into_iter().flat_map(|disc| disc.events.into_iter().map(move |x| (x, disc.lane))).collect();
    discs.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.lane.cmp(&b.lane)));
    (discs, ticks)
}

impl Disc {
    fn settle(&mut self, radius: f64) {
        self.x = self.events.iter().sum::<f64>() / self.events.len() as f64;
        self.words = match self.numbers.as_slice() {
            [only] => only.to_string(),
            [first, second] if *second != first + 1 => format!("{first},\u{a0}{second}"),
            [first, .., last] if last - first == self.numbers.len() as u32 - 1 => {
                format!("{first}–{last}")
            }
            [first, .., last] => format!("{first}…{last}"),
            [] => String::new(),
        };
        // All its dotted lines must meet it.
        let spread = self.events.iter().map(|x| (x - self.x).abs()).fold(0.0, f64::max);
        let words = text_width(&self.words, 12.5, true) / 2.0 + 3.5;
        self.half = words.max(radius).max(if self.numbers.len() > 1 { spread + 3.0 } else { 0.0 });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn neighbours_in_a_lane_share_a_disc_and_old_events_become_ticks() {
        let time = TimeScale::new(date(2025, 10, 1), date(2026, 9, 30), 38.0, 772.0);
        let event = |day: i8, lane, number| LaneEvent { date: date(2026, 3, day), lane, number, text: "x".into() };
        let events =
            [event(1, Lane::Dose, 1), event(2, Lane::Lamp, 2), event(3, Lane::Dose, 3), event(30, Lane::Dose, 4)];
        let layout = Layout { most_discs: 2, ..super::super::time::test_layout() };
        let (discs, ticks) = gather(&events.iter().collect::<Vec<_>>(), &time, &layout);
        let words: Vec<_> = discs.iter().map(|disc| disc.words.as_str()).collect();
        assert_eq!(words, ["1,\u{a0}3", "4"]);
        assert_eq!(ticks.len(), 1);
        assert_eq!(ticks[0].1, Lane::Lamp);
    }
}
