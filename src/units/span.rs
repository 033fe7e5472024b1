//! Lengths of time that are counted from a date: months and years by the calendar, told as they were written.

use jiff::ToSpan;
use jiff::civil::Date;

use super::Problem;
use super::parse_several::duration_parts;

/// A length of time as somebody wrote it.
#[derive(Clone, Debug, PartialEq)]
pub struct CalendarSpan {
    /// Whole months, a year being twelve.
    months: i32,
    /// All else: weeks, days, hours, and what is left of a broken number of months.
    days: f64,
    written: String,
}

/// Mean days of a month of the Julian calendar, 365.25 ∕ 12.
const DAYS_OF_A_MONTH: f64 = 30.4375;

impl CalendarSpan {
    /// So many days.
    pub fn of_days(days: f64) -> CalendarSpan {
        CalendarSpan { months: 0, days, written: String::new() }
    }

    /// How long it is on the whole, for what is worked out and not counted from a date.
    pub fn days(&self) -> f64 {
        f64::from(self.months) * DAYS_OF_A_MONTH + self.days
    }

    /// The day so long after another: two years after 2 November is 2 November, and a month after 31 January is the last
    /// of February.
    pub fn after(&self, date: Date) -> Date {
        date.saturating_add(self.months.months()).saturating_add((self.days.round() as i64).days())
    }

    /// `2 years`, `3 months`, `14 days`: as it was written, where that was in words.
    pub fn words(&self) -> String {
        if ["hour", "day", "week", "month", "year"].iter().any(|word| self.written.contains(word)) {
            return self.written.split_whitespace().collect::<Vec<_>>().join(" ");
        }
        let counted = |count: f64, one: &str| {
            let number = format!("{count:.1}");
            let number = number.trim_end_matches('0').trim_end_matches('.');
            format!("{number} {one}{}", if number == "1" { "" } else { "s" })
        };
        let mut parts = Vec::new();
        match self.months {
            0 => {}
            months if months % 12 == 0 => parts.push(counted(f64::from(months / 12), "year")),
            months => parts.push(counted(f64::from(months), "month")),
        }
        if self.days > 0.0 || parts.is_empty() {
            parts.push(counted(self.days, "day"));
        }
        parts.join(" and ")
    }

    /// `every 3 months`, `every week`.
    pub fn every(&self) -> String {
        match self.words().as_str() {
            "7 days" => "every week".into(),
            words => format!("every {}", words.strip_prefix("1 ").unwrap_or(words)),
        }
    }
}

/// [`parse_duration`](super::parse_duration), with months and years kept as such.
///
/// ```
/// # use polypary::units::parse_calendar_span;
/// # use jiff::civil::date;
/// // By the calendar: 2 years are 731 days here, since 2028 has a 29 February; of 365.25 days they would be 730.
/// assert_eq!(parse_calendar_span("2 years").unwrap().after(date(2026, 11, 2)), date(2028, 11, 2));
/// assert_eq!(parse_calendar_span("3 months").unwrap().every(), "every 3 months");
/// assert_eq!(parse_calendar_span("3 months").unwrap().after(date(2026, 11, 30)), date(2027, 2, 28));
/// assert_eq!(parse_calendar_span("1.5 years").unwrap().after(date(2026, 1, 15)), date(2027, 7, 15));
/// assert_eq!(parse_calendar_span("14 d").unwrap().words(), "14 days");
/// ```
pub fn parse_calendar_span(text: &str) -> Result<CalendarSpan, Problem> {
    let mut span = CalendarSpan { months: 0, days: 0.0, written: text.trim().to_lowercase() };
    for (value, unit) in duration_parts(text)? {
        let hours = unit.to_canonical(1.0);
        // Nothing shorter than a month is counted by the calendar.
        let months = value * (hours / 24.0 / DAYS_OF_A_MONTH).round();
        if months.fract().abs() < 1e-9 || months >= 1.0 {
            span.months += months.trunc() as i32;
        }
        span.days += if months >= 1.0 { months.fract() * DAYS_OF_A_MONTH } else { unit.to_canonical(value) / 24.0 };
    }
    Ok(span)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::parse_duration;
    use jiff::civil::date;

    #[test]
    fn a_span_is_as_long_as_its_duration() {
        for text in
            ["14 days", "2 weeks and 1 day", "6 h 30 min", "1 month", "2.5 months", "0.5 months", "2 years", "36 h"]
        {
            let days = parse_calendar_span(text).unwrap().days();
            assert!((days - parse_duration(text).unwrap() / 24.0).abs() < 1e-9, "{text}: {days}");
        }
        assert_eq!(parse_calendar_span("soon"), parse_duration("soon").map(|_| CalendarSpan::of_days(0.0)));
    }

    #[test]
    fn what_is_counted_from_a_date_keeps_its_day() {
        let of = |text: &str| parse_calendar_span(text).unwrap();
        // A heater of 2 November 2024 that lasts two years, and a pump cleaned every three months.
        assert_eq!(of("2 years").after(date(2024, 11, 2)), date(2026, 11, 2));
        assert_eq!(of("3 months").after(date(2026, 9, 12)), date(2026, 12, 12));
        assert_eq!(of("6 weeks").after(date(2026, 9, 12)), date(2026, 10, 24));
        for (text, told) in [
            ("1 day", "every day"),
            ("7 days", "every week"),
            ("1 month", "every month"),
            ("6 Months", "every 6 months"),
            ("12 h", "every 0.5 days"),
            ("3 d", "every 3 days"),
            ("1 year", "every year"),
        ] {
            assert_eq!(of(text).every(), told);
        }
    }
}
