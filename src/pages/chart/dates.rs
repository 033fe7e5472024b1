//! The time axis: dates to places, and ticks for anything between a week and many years.

use jiff::civil::{Date, DateTime};

use super::canvas::{Anchor, Canvas};
use super::text::text_width;

/// Days to places, the last day included.
#[derive(Debug, Clone, Copy)]
pub(super) struct TimeScale {
    from: i64,
    /// Days shown, at least one.
    days: i64,
    x0: f64,
    x1: f64,
}

impl TimeScale {
    /// Dates the wrong way round are turned.
    pub fn new(from: Date, to: Date, x0: f64, x1: f64) -> TimeScale {
        let (from, to) = if to < from { (to, from) } else { (from, to) };
        TimeScale { from: day_number(from), days: day_number(to) - day_number(from) + 1, x0, x1 }
    }

    pub fn pixels_per_day(&self) -> f64 {
        (self.x1 - self.x0) / self.days as f64
    }

    fn at(&self, days: f64) -> f64 {
        let share = ((days - self.from as f64) / self.days as f64).clamp(0.0, 1.0);
        self.x0 + share * (self.x1 - self.x0)
    }

    /// Where a day begins, counted from 1970.
    pub fn start_of(&self, day: i64) -> f64 {
        self.at(day as f64)
    }

    /// Where a day begins.
    pub fn start(&self, date: Date) -> f64 {
        self.at(day_number(date) as f64)
    }

    /// Where a day's noon stands: what is only known to the day is drawn there.
    pub fn noon(&self, date: Date) -> f64 {
        self.at(day_number(date) as f64 + 0.5)
    }

    pub fn moment(&self, time: DateTime) -> f64 {
        let seconds = time.duration_since(time.date().to_datetime(jiff::civil::Time::midnight()));
        self.at(day_number(time.date()) as f64 + seconds.as_secs_f64() / 86_400.0)
    }

    pub fn contains(&self, date: Date) -> bool {
        (self.from..self.from + self.days).contains(&day_number(date))
    }
}

/// Days since the first of January 1970.
pub(super) fn day_number(date: Date) -> i64 {
    date.duration_since(Date::constant(1970, 1, 1)).as_hours() / 24
}

const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// `10 Oct`, with the year if it is not that of the chart's last day.
pub(super) fn day_in_chart(date: Date, last: Date) -> String {
    let day = format!("{}\u{a0}{}", date.day(), MONTHS[date.month() as usize - 1]);
    if date.year() == last.year() { day } else { format!("{day}\u{a0}{}", date.year()) }
}

/// Months counted through from the year 0.
fn month_index(days: i64) -> i64 {
    let date = date_of(days);
    i64::from(date.year()) * 12 + i64::from(date.month()) - 1
}

/// The day a counted month begins.
fn month_start(index: i64) -> i64 {
    let year = index.div_euclid(12).clamp(-9999, 9999) as i16;
    day_number(Date::constant(year, 1, 1).with().month(index.rem_euclid(12) as i8 + 1).build().unwrap_or_default())
}

fn date_of(days: i64) -> Date {
    use jiff::ToSpan;
    let epoch = Date::constant(1970, 1, 1);
    let days = days.clamp(day_number(Date::MIN), day_number(Date::MAX));
    epoch.checked_add(days.days()).unwrap_or(epoch)
}

/// What a time axis looks like: where the baseline is, and whether labels may stand under it.
pub(super) struct AxisStyle {
    pub base: f64,
    pub size: f64,
    /// A second row with the years, or the months over a few weeks.
    pub second_row: bool,
}

/// So many days still have hours on their axis.
const LONGEST_IN_HOURS: i64 = 3;

/// Draws baseline, ticks and words. Months and days are centred in their stretch; the year stands once beneath.
pub(super) fn draw_time_axis(canvas: &mut Canvas, time: &TimeScale, style: &AxisStyle) {
    let AxisStyle { base, .. } = *style;
    canvas.line("axis", time.x0, base, time.x1, base);
    let end = time.from + time.days;
    let px = time.pixels_per_day();
    let (first_month, last_month) = (month_index(time.from), month_index(end - 1));
    let word_room = text_width("Mmm", style.size, false);
    let mut axis = Axis { canvas, time, style };
    if time.days <= LONGEST_IN_HOURS {
        axis.hours(px);
        return;
    }
    if time.days <= 45 || px * 30.0 > 330.0 {
        let every = [1, 2, 5, 7, 14].into_iter().find(|n| px * *n as f64 >= style.size * 1.9).unwrap_or(14);
        for day in time.from..end {
            let place = i64::from(date_of(day).day());
            axis.tick(day, 4.0 + if place == 1 { 4.0 } else { 0.0 });
            // The last of a month's days may stand too close to the first of the next.
            let to_next = (month_start(month_index(day) + 1) - day) as f64;
            if (place - 1) % every == 0 && (every == 1 || px * to_next >= style.size * 1.3) {
                axis.centred(day, day + 1, &place.to_string());
            }
        }
        axis.second_row((first_month..=last_month).map(|month| {
            let start = month_start(month);
            let year = month.div_euclid(12);
            let with_year = month == first_month || month.rem_euclid(12) == 0;
            let name = MONTHS[month.rem_euclid(12) as usize];
            (start, if with_year { format!("{name}\u{a0}{year}") } else { name.to_string() })
        }));
        return;
    }
    let month_px = px * 30.4;
    let years = first_month.div_euclid(12)..=last_month.div_euclid(12);
    if month_px * 12.0 < text_width("2026", style.size, false) * 1.25 || month_px * 6.0 < word_room * 1.1 {
        // Years alone: each of them, or every second, fifth, tenth.
        let year_px = month_px * 12.0;
        let need = text_width("2026", style.size, false) * 1.2;
        let every = [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000]
            .into_iter()
            .find(|n| year_px * *n as f64 >= need)
            .unwrap_or(5000);
        let first = years.start().div_euclid(every) * every;
        let mut year = first;
        while year <= *years.end() {
            let (start, stop) = (month_start(year * 12), month_start((year + 1) * 12));
            axis.tick(start, 5.0);
            if every == 1 {
                axis.centred(start, stop, &year.to_string());
            } else {
                axis.after(start, &year.to_string());
            }
            year += every;
        }
        return;
    }
    let step = [1, 3, 6].into_iter().find(|n| month_px * *n as f64 >= word_room * 1.1).unwrap_or(6);
    let tick_step = if month_px >= 4.0 { 1 } else { step };
    for month in first_month..=last_month {
        let place = month.rem_euclid(12);
        if place % tick_step == 0 {
            axis.tick(month_start(month), if place == 0 { 9.0 } else { 5.0 });
        }
        let name = MONTHS[place as usize];
        if step == 1 {
            axis.centred(month_start(month), month_start(month + 1), name);
        } else if place % step == 0 {
            axis.after(month_start(month), name);
        }
    }
    axis.second_row(years.map(|year| (month_start(year * 12), year.to_string())));
}

struct Axis<'a> {
    canvas: &'a mut Canvas,
    time: &'a TimeScale,
    style: &'a AxisStyle,
}

impl Axis<'_> {
    fn inside(&self, day: i64) -> bool {
        (self.time.from..self.time.from + self.time.days).contains(&day)
    }

    fn tick(&mut self, day: i64, length: f64) {
        if self.inside(day) {
            let (x, base) = (self.time.at(day as f64), self.style.base);
            self.canvas.line("axis", x, base, x, base + length);
        }
    }

    /// Every hour, or every so many, that has room for its words; the days beneath.
    fn hours(&mut self, px: f64) {
        let need = text_width("00:00", self.style.size, false) + 8.0;
        let every = [1, 2, 3, 6, 12, 24].into_iter().find(|hours| px / 24.0 * f64::from(*hours) >= need).unwrap_or(24);
        let y = self.style.base + self.style.size + 3.5;
        for hour in (0..self.time.days * 24).step_by(every as usize) {
            let x = self.time.at(self.time.from as f64 + hour as f64 / 24.0);
            let length = if hour % 24 == 0 { 8.0 } else { 4.0 };
            self.canvas.line("axis", x, self.style.base, x, self.style.base + length);
            let words = format!("{:02}:00", hour % 24);
            self.canvas.text("tick", x, y, Anchor::Middle, &words);
        }
        let days = (self.time.from..self.time.from + self.time.days).map(|day| {
            let date = date_of(day);
            let with_year = day == self.time.from || (date.month() == 1 && date.day() == 1);
            let words = format!("{}\u{a0}{}", date.day(), MONTHS[date.month() as usize - 1]);
            (day, if with_year { format!("{words}\u{a0}{}", date.year()) } else { words })
        });
        self.second_row(days.collect::<Vec<_>>().into_iter());
    }

    /// Words in the middle of the part of a stretch that is shown, if they fit in it.
    fn centred(&mut self, start: i64, stop: i64, words: &str) {
        let (left, right) = (self.time.at(start as f64), self.time.at(stop as f64));
        let fits = right - left >= text_width(words, self.style.size, false) || stop - start == 1;
        if fits {
            let y = self.style.base + self.style.size + 3.5;
            self.canvas.text("tick", (left + right) / 2.0, y, Anchor::Middle, words);
        }
    }

    /// Words to the right of a tick.
    fn after(&mut self, start: i64, words: &str) {
        let x = self.time.at(start as f64) + 3.0;
        let fits = x + text_width(words, self.style.size, false) <= self.time.x1 + 4.0;
        if self.inside(start) && fits {
            let y = self.style.base + self.style.size + 3.5;
            self.canvas.text("tick", x, y, Anchor::Start, words);
        }
    }

    /// The row beneath: each word where its stretch begins, the first at the plot's left edge, none over the next.
    fn second_row(&mut self, words: impl Iterator<Item = (i64, String)>) {
        if !self.style.second_row {
            return;
        }
        let starts: Vec<(f64, String)> = words.map(|(day, word)| (self.time.at(day as f64) + 3.0, word)).collect();
        for (index, (x, word)) in starts.iter().enumerate() {
            let width = text_width(word, self.style.size, true);
            let limit = match starts.get(index + 1) {
                Some((next, _)) => next - 6.0,
                None => self.time.x1 + 40.0,
            };
            if x + width <= limit {
                let y = self.style.base + 2.0 * self.style.size + 6.5;
                self.canvas.text("tick strong", *x, y, Anchor::Start, word);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::chart::canvas::Frame;
    use jiff::civil::date;

    fn axis(from: Date, to: Date, width: f64) -> String {
        let mut canvas = Canvas::new(width);
        let time = TimeScale::new(from, to, 40.0, width);
        draw_time_axis(&mut canvas, &time, &AxisStyle { base: 100.0, size: 12.0, second_row: true });
        let frame = Frame { kind: "wide", id: "x".into(), title: "", description: "" };
        canvas.finish(140.0, &frame)
    }

    fn words(svg: &str) -> Vec<&str> {
        svg.split("</text>")
            .filter_map(|part| part.rsplit_once('>'))
            .map(|(_, word)| word)
            .filter(|word| !word.trim().is_empty())
            .collect()
    }

    #[test]
    fn a_day_of_another_year_says_so() {
        let last = date(2026, 10, 11);
        assert_eq!(day_in_chart(date(2026, 10, 9), last), "9\u{a0}Oct");
        assert_eq!(day_in_chart(date(2025, 12, 31), last), "31\u{a0}Dec\u{a0}2025");
    }

    #[test]
    fn days_are_counted_from_1970() {
        assert_eq!(day_number(date(1970, 1, 1)), 0);
        assert_eq!(day_number(date(1969, 12, 31)), -1);
        // 30 years and the leap days of 1972 to 1996.
        assert_eq!(day_number(date(2000, 1, 1)), 30 * 365 + 7);
        assert_eq!(month_start(2026 * 12 + 2), day_number(date(2026, 3, 1)));
        assert_eq!(month_index(day_number(date(2026, 3, 31))), 2026 * 12 + 2);
    }

    #[test]
    fn a_week_has_days_a_year_months_and_twenty_years_years() {
        let week = axis(date(2026, 9, 28), date(2026, 10, 4), 700.0);
        assert_eq!(words(&week), ["28", "29", "30", "1", "2", "3", "4", "Sep\u{a0}2026", "Oct"]);
        let year = axis(date(2025, 10, 1), date(2026, 9, 30), 772.0);
        let twelve =
            ["Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "2025", "2026"];
        assert_eq!(words(&year), twelve);
        let narrow = axis(date(2025, 10, 1), date(2026, 9, 30), 340.0);
        assert_eq!(words(&narrow)[..2], ["Oct", "Jan"]);
        let decades = axis(date(2006, 1, 1), date(2025, 12, 31), 772.0);
        assert_eq!(words(&decades).len(), 20);
        assert_eq!(words(&decades)[0], "2006");
    }

    #[test]
    fn the_whole_calendar_and_a_single_day_are_drawn() {
        assert!(axis(Date::MIN, Date::MAX, 772.0).len() < 8000);
        let day = axis(date(2026, 5, 5), date(2026, 5, 5), 300.0);
        // 260 units for 24 hours: a word of five letters needs some 40, which is every six hours.
        assert_eq!(words(&day), ["00:00", "06:00", "12:00", "18:00", "5\u{a0}May\u{a0}2026"]);
    }

    #[test]
    fn words_never_run_into_each_other_at_any_span() {
        for days in (1..=60).chain((61..8000).step_by(97)) {
            let to = Date::constant(2006, 3, 17).saturating_add(jiff::ToSpan::days(days - 1));
            for width in [180.0, 300.0, 340.0, 772.0] {
                let svg = axis(date(2006, 3, 17), to, width);
                // Centre or start, and half or whole width, of each word of the first row.
                let mut spans: Vec<(f64, f64, String)> = Vec::new();
                for line in svg.lines().filter(|line| line.starts_with("<text class=\"tick\"")) {
                    let value = |key: &str| {
                        let start = line.find(&format!(" {key}=\"")).map(|at| at + key.len() + 3)?;
                        line[start..].split('"').next().map(str::to_string)
                    };
                    let x: f64 = value("x").and_then(|x| x.parse().ok()).expect("a place");
                    let word = line.split('>').nth(1).and_then(|rest| rest.split('<').next()).unwrap_or_default();
                    // Without the margin that text_width adds for other faces.
                    let run = text_width(word, 12.0, false) / 1.03;
                    let left = if value("text-anchor").is_some() { x - run / 2.0 } else { x };
                    spans.push((left, left + run, word.to_string()));
                }
                assert!(!spans.is_empty(), "{days} days at {width}: no word on the axis");
                for pair in spans.windows(2) {
                    assert!(pair[0].1 <= pair[1].0 + 0.5, "{days} days at {width}: {pair:?}");
                }
            }
        }
    }

    #[test]
    fn the_last_day_is_part_of_the_axis() {
        let time = TimeScale::new(date(2026, 1, 1), date(2026, 1, 10), 0.0, 100.0);
        assert_eq!(time.start(date(2026, 1, 1)), 0.0);
        assert_eq!(time.noon(date(2026, 1, 10)), 95.0);
        assert_eq!(time.moment(date(2026, 1, 2).at(6, 0, 0, 0)), 12.5);
        assert!(time.contains(date(2026, 1, 10)) && !time.contains(date(2026, 1, 11)));
    }
}
