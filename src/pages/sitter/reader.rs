//! Quantities and dates as the sitter reads them: in one system of units, one language, and no finer than a jug or a
//! thermometer shows.

use jiff::civil::{Date, Time};

use super::words::Words;
use crate::units::{self, Dimension, System};

/// Who reads the sheet.
pub struct Reader {
    pub words: Words,
    pub system: System,
}

/// A quart is a quarter of a US gallon of 3.785411784 L (NIST SP 811, appendix B.8).
const LITRES_IN_A_QUART: f64 = 3.785411784 / 4.0;

impl Reader {
    /// So many decimals, with the language's decimal sign and a true minus.
    pub fn number(&self, value: f64, decimals: usize) -> String {
        let text = format!("{value:.decimals$}").replace('-', "\u{2212}");
        let text = if text.trim_start_matches('\u{2212}').chars().all(|c| c == '0' || c == '.') {
            text.trim_start_matches('\u{2212}').to_string()
        } else {
            text
        };
        text.replace('.', self.words.get("decimal"))
    }

    /// A number without zeros at its end.
    pub fn short(&self, value: f64, decimals: usize) -> String {
        let sign = self.words.get("decimal");
        let text = self.number(value, decimals);
        if text.contains(sign) { text.trim_end_matches('0').trim_end_matches(sign).to_string() } else { text }
    }

    pub fn degree(&self) -> &'static str {
        if self.system == System::Us { "°F" } else { "°C" }
    }

    /// A temperature in °C as the thermometer shows it.
    pub fn temperature(&self, celsius: f64) -> String {
        format!("{}\u{a0}{}", self.number(self.degrees(celsius), 1), self.degree())
    }

    fn degrees(&self, celsius: f64) -> f64 {
        if self.system == System::Us { celsius * 1.8 + 32.0 } else { celsius }
    }

    /// A difference of temperatures, which has no zero to shift.
    pub fn difference(&self, celsius: f64) -> String {
        let degrees = if self.system == System::Us { celsius * 1.8 } else { celsius };
        format!("{}\u{a0}{}", self.short(degrees, 1), self.degree())
    }

    pub fn difference_range(&self, low: f64, high: f64) -> String {
        let (low, high) = (self.difference(low), self.difference(high));
        let low = low.split('\u{a0}').next().unwrap_or_default().to_string();
        self.words.plain("range", &[("low", &low), ("high", &high)])
    }

    pub fn temperature_range(&self, low: f64, high: f64) -> String {
        let (low, high) = (self.number(self.degrees(low), 1), self.temperature(high));
        self.words.plain("range", &[("low", &low), ("high", &high)])
    }

    /// A volume of water: litres, or US quarts up to a gallon; a cupful in mL or fluid ounces.
    pub fn water(&self, litres: f64) -> String {
        let (value, unit) = match self.system {
            // To ten millilitres, as a measuring cup is read.
            System::Metric if litres.abs() < 0.25 => ((litres * 100.0).round() * 10.0, "mL"),
            System::Us if litres.abs() < 0.25 => (litres / LITRES_IN_A_QUART * 32.0, "fl\u{a0}oz"),
            System::Metric => (litres, "L"),
            System::Us if litres.abs() < 4.0 * LITRES_IN_A_QUART => (litres / LITRES_IN_A_QUART, "qt"),
            System::Us => (litres / 4.0 / LITRES_IN_A_QUART, "gal"),
        };
        format!("{}\u{a0}{unit}", self.short(value, if value.abs() < 20.0 { 1 } else { 0 }))
    }

    /// As much as a hand scoops at once: a litre, or a quart.
    pub fn scoop(&self) -> &'static str {
        if self.system == System::Us { "1\u{a0}qt" } else { "1\u{a0}L" }
    }

    /// A time that is at least so long, rounded down as a clock is read: hours, half hours, ten minutes.
    pub fn at_least(&self, hours: f64) -> String {
        let hours = hours + 1e-9;
        match hours {
            h if h >= 10.0 => format!("{}\u{a0}h", h.floor()),
            h if h >= 1.0 => format!("{}\u{a0}h", self.short((h * 2.0).floor() / 2.0, 1)),
            h if h >= 1.0 / 6.0 => format!("{}\u{a0}min", (h * 6.0).floor() * 10.0),
            _ => self.words.get("few_minutes").to_string(),
        }
    }

    pub fn water_range(&self, low: f64, high: f64) -> String {
        let (low, high) = (self.water(low), self.water(high));
        // One unit is enough where both have the same.
        let low = match (low.split_once('\u{a0}'), high.split_once('\u{a0}')) {
            (Some((number, one)), Some((_, other))) if one == other => number.to_string(),
            _ => low,
        };
        self.words.plain("range", &[("low", &low), ("high", &high)])
    }

    /// In parts per thousand by mass, in every system.
    pub fn salinity(&self, ppt: f64) -> String {
        format!("{}\u{a0}ppt", self.number(ppt, 1))
    }

    pub fn flow(&self, litres_an_hour: f64) -> String {
        let sign = self.words.get("decimal");
        units::show(litres_an_hour, Dimension::VolumeRate, None, self.system, 0).replace('.', sign)
    }

    pub fn length(&self, centimetres: f64) -> String {
        match self.system {
            System::Us => format!("{}\u{a0}in", self.short(centimetres / 2.54, 1)),
            System::Metric => format!("{}\u{a0}cm", self.short(centimetres, 1)),
        }
    }

    /// A dose or a portion: millilitres and grams are on every syringe and scale.
    pub fn amount(&self, value: f64, unit: &str) -> String {
        let decimals = match value.abs() {
            size if size >= 100.0 => 0,
            size if size >= 1.0 => 1,
            _ => 2,
        };
        format!("{}\u{a0}{unit}", self.short(value, decimals))
    }

    pub fn percent(&self, share: f64) -> String {
        format!("{}\u{a0}%", self.short(share * 100.0, 1))
    }

    /// `Fri 23 Oct`
    pub fn date(&self, date: Date) -> String {
        self.words.plain(
            "date_short",
            &[
                ("weekday", self.name("weekdays", date.weekday().to_monday_zero_offset() as usize)),
                ("day", &date.day().to_string()),
                ("month", self.name("months", date.month() as usize - 1)),
            ],
        )
    }

    /// `Fri 23`, and the month where it is the first of a list or a new one.
    pub fn date_after(&self, date: Date, before: Option<Date>) -> String {
        if before.is_none_or(|before| before.month() != date.month()) {
            return self.date(date);
        }
        let weekday = self.name("weekdays", date.weekday().to_monday_zero_offset() as usize);
        self.words.plain("date_day", &[("weekday", weekday), ("day", &date.day().to_string())])
    }

    /// `Fri 23 Oct 2026`
    pub fn long_date(&self, date: Date) -> String {
        self.words.plain(
            "date_long",
            &[
                ("weekday", self.name("weekdays", date.weekday().to_monday_zero_offset() as usize)),
                ("day", &date.day().to_string()),
                ("month", self.name("months", date.month() as usize - 1)),
                ("year", &date.year().to_string()),
            ],
        )
    }

    fn name(&self, key: &str, place: usize) -> &str {
        self.words.get(key).split(' ').nth(place).expect("seven weekdays and twelve months")
    }

    pub fn dates(&self, dates: &[Date]) -> String {
        self.list(&dates.iter().map(|date| self.date(*date)).collect::<Vec<_>>())
    }

    /// `20:30`, or `8:30 pm` for who reads US units.
    pub fn clock(&self, time: Time) -> String {
        if self.system == System::Metric {
            return time.strftime("%H:%M").to_string();
        }
        let half = self.words.get(if time.hour() < 12 { "clock_am" } else { "clock_pm" });
        let hour = if time.hour() % 12 == 0 { 12 } else { time.hour() % 12 };
        format!("{hour}:{:02}\u{a0}{half}", time.minute())
    }

    /// The hours 0, 6, 12, 18 and 24 at the ends and quarters of a day.
    pub fn quarters(&self) -> Vec<&str> {
        let key = if self.system == System::Us { "quarters_12" } else { "quarters_24" };
        self.words.get(key).split(' ').collect()
    }

    pub fn days(&self, days: i32) -> String {
        format!("{days}\u{a0}{}", self.words.get(if days == 1 { "unit_day" } else { "unit_days" }))
    }

    /// `a, b and c`
    pub fn list(&self, items: &[String]) -> String {
        match items {
            [] => String::new(),
            [one] => one.clone(),
            [rest @ .., last] => {
                let rest = rest.join(", ");
                let text = self.words.get("list_and");
                text.replace("{rest}", &rest).replace("{last}", last)
            }
        }
    }
}
