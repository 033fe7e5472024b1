//! Numbers, dates and lists as a page writes them.

use jiff::civil::{Date, DateTime};

use crate::figures;
use crate::pages::model::{DateText, Run, Shown};
use crate::record::days_between;
use crate::units::round_sig;

pub fn lower(shown: &str) -> String {
    if shown == "pH" { shown.into() } else { shown.to_lowercase() }
}

/// `a, b and c`; beyond `most` the rest is counted.
pub fn list(words: &[String], most: usize) -> String {
    let mut shown: Vec<String> = words.iter().take(most).cloned().collect();
    if words.len() > most {
        shown.push(format!("{} more", words.len() - most));
    }
    match shown.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
        None => String::new(),
    }
}

pub fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A note as a sentence: a capital and a full stop. `pH` keeps its small letter.
pub fn sentence(text: &str) -> String {
    let text = if text.starts_with("pH") { text.to_string() } else { sentence_case(text) };
    if text.ends_with(['.', '?', '!']) { text } else { format!("{text}.") }
}

/// Back-quoted keys are for a terminal; on a page they stand in quotation marks.
pub fn prose(text: &str) -> String {
    let mut open = false;
    text.chars()
        .map(|c| {
            if c != '`' {
                return c;
            }
            open = !open;
            if open { '‘' } else { '’' }
        })
        .collect()
}

/// Digits after the point where an uncertainty begins: two digits if it starts with 1 or 2, else one (GUM 7.2.6).
pub fn decimals_for(u: f64) -> i32 {
    let exponent = u.abs().log10().floor() as i32;
    let lead = u.abs() / 10f64.powi(exponent);
    let digits = if lead < 2.95 { 2 } else { 1 };
    digits - 1 - exponent
}

/// A value and its spread, rounded to where the uncertainty begins; without one, to four digits or the given decimals.
pub fn rounded(value: f64, u: f64, decimals: Option<u8>) -> (String, Option<String>) {
    if u > 0.0 && u.is_finite() && u > value.abs() * 1e-6 {
        let places = decimals_for(u);
        let scale = 10f64.powi(places.min(0));
        let round = |number: f64| {
            if places < 0 { (number * scale).round() / scale } else { number }
        };
        let shown = places.max(0) as usize;
        (fixed(round(value), shown), Some(format!("±\u{a0}{}", fixed(round(u), shown))))
    } else {
        match decimals {
            Some(decimals) => (fixed(value, usize::from(decimals)), None),
            None => (figures::number(value), None),
        }
    }
}

/// Two digits are enough for the ends of a wide interval.
pub fn about(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return fixed(value, 0);
    }
    let decimals = 1 - value.abs().log10().floor() as i32;
    fixed(round_sig(value, 2), decimals.clamp(0, 4) as usize)
}

/// A value with its spread, as it stands in a sentence: `0.108 ± 0.007`.
pub fn with_spread(value: f64, u: f64) -> String {
    let (number, spread) = rounded(value, u, None);
    format!("{number}{}", spread.map(|spread| format!(" {spread}")).unwrap_or_default())
}

/// A shown value as it stands in a sentence: `114 ± 2 L`.
pub fn said(value: &Shown) -> String {
    let spread = value.spread.as_deref().unwrap_or_default();
    // An interval in brackets comes after the unit, a spread before it.
    let (before, after) = if spread.starts_with('(') { ("", spread) } else { (spread, "") };
    [value.number.as_str(), before, value.unit.as_str(), after]
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("\u{a0}")
}

/// Pieces of a sentence without their links.
pub fn plain(runs: &[Run]) -> String {
    runs.iter().map(|run| run.value.as_ref().map_or_else(|| run.text.clone(), said)).collect()
}

/// With a true minus, and no minus before a zero.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.chars().all(|c| matches!(c, '-' | '0' | '.')) { text.replace('-', "") } else { text.replace('-', "−") }
}

/// A share of a figure's uncertainty that rounds to nothing.
pub const UNDER_ONE_PERCENT: &str = "under 1\u{a0}%";

pub fn percent(share: f64) -> Option<String> {
    (share > 0.0 && share.is_finite())
        .then(|| if share < 0.005 { UNDER_ONE_PERCENT.into() } else { format!("{:.0}\u{a0}%", share * 100.0) })
}

/// Changes listed openly under a chart; a longer list is folded, so that a phone need not scroll past all of it.
const OPEN_CHANGES: usize = 12;

/// What a list of so many changes is called while folded: `The 40 changes by number`; empty where it stands open.
pub fn changes_summary(count: usize) -> String {
    if count > OPEN_CHANGES { format!("The {count} changes by number") } else { String::new() }
}

pub fn date_text(date: Date) -> DateText {
    DateText { iso: date.to_string(), text: date.strftime("%-d %B %Y").to_string() }
}

pub fn month_text(date: Date) -> String {
    date.strftime("%B %Y").to_string()
}

pub fn moment_text(when: DateTime, has_time: bool) -> DateText {
    if has_time {
        DateText { iso: when.strftime("%Y-%m-%dT%H:%M").to_string(), text: when.strftime("%-d %B %Y").to_string() }
    } else {
        date_text(when.date())
    }
}

pub fn time_text(when: DateTime) -> String {
    when.strftime("%H:%M").to_string()
}

pub fn ago(from: Date, as_of: Date) -> String {
    match days_between(from, as_of) {
        0 => "today".into(),
        1 => "a day ago".into(),
        days if days > 0 => format!("{days} days ago"),
        -1 => "in a day".into(),
        days => format!("in {} days", -days),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_of_intervals_have_two_digits() {
        for (value, told) in
            [(40858.0, "41000"), (319.0, "320"), (97.2, "97"), (5.67, "5.7"), (0.0312, "0.031"), (-9.66, "−9.7")]
        {
            assert_eq!(about(value), told);
        }
    }

    #[test]
    fn values_are_rounded_to_their_uncertainty() {
        for (value, u, number, spread) in [
            (114.0, 2.0, "114.0", "±\u{a0}2.0"),
            (7.94, 0.2, "7.94", "±\u{a0}0.20"),
            (2311.4, 497.0, "2300", "±\u{a0}500"),
            (-0.266, 0.08, "−0.27", "±\u{a0}0.08"),
            (0.004, 0.6, "0.0", "±\u{a0}0.6"),
        ] {
            assert_eq!(rounded(value, u, None), (number.into(), Some(spread.into())), "{value} {u}");
        }
    }

    #[test]
    fn lists_read_as_speech() {
        let words = |n: usize| ["a", "b", "c", "d"][..n].iter().map(|w| w.to_string()).collect::<Vec<_>>();
        assert_eq!(list(&words(1), 3), "a");
        assert_eq!(list(&words(3), 3), "a, b and c");
        assert_eq!(list(&words(4), 2), "a, b and 2 more");
    }
}
