//! Keeps the two pages to two: texts of the record that are longer than their place are shortened there and given in full
//! after the plan, and the table of days ends where the page would.
//!
//! No browser is at hand when the sheet is written, so lines are counted by the letters that fit into a column: as many as
//! the narrower paper (A4) takes across and the shorter one (US Letter) takes down, in the widest of the usual type.

use super::Desk;
use super::words::{escape, without_tags};
use crate::pages::sitter::model::*;

/// Letters of 12 pt that fit into a line of each column, counted on A4.
pub mod across {
    /// What normal looks like.
    pub const NORMAL: usize = 36;
    /// What is done at each visit.
    pub const TICKS: usize = 45;
    /// What else a day has.
    pub const ALSO: usize = 18;
    /// Feeding and topping up.
    pub const SIDE: usize = 29;
    /// The whole page.
    pub const PAGE: usize = 88;
    /// Whom to call, one of three.
    pub const CALL: usize = 29;
    /// The emergency block's two columns.
    pub const LEFT: usize = 30;
    pub const RIGHT: usize = 50;
    /// A power cut: what to do, and what to look at afterwards.
    pub const CUT: usize = 36;
    pub const AFTER: usize = 43;
    /// A case, one of two columns.
    pub const CASE: usize = 42;
}

/// Lines of the first page beneath its head, and of the second.
const FIRST: usize = 48;
const SECOND: usize = 52;
/// Rows of the table of days that the first page always has.
const LEAST_ROWS: usize = 6;
/// Lines that a photo of normal, and a lamp's bar, take.
const PHOTO: usize = 5;
const BAR: usize = 2;

/// Text cut at a word, so that it has at most so many letters.
pub fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_string();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    let end = kept.rfind(' ').filter(|end| *end * 2 > kept.len()).unwrap_or(kept.len());
    format!("{}…", kept[..end].trim_end_matches([' ', ',', ';', ':', '.']))
}

/// Lines that a text takes in a column of so many letters. A number in its circle is as wide as three letters.
pub fn lines(html: &str, across: usize) -> usize {
    let text = without_tags(&html.replace("<span class=\"n\">", "..<span>"));
    let (mut lines, mut used) = (1, 0);
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > across {
            lines += 1;
            used = 0;
        }
        // A word longer than the line is broken.
        lines += length.saturating_sub(1) / across;
        used += length % across.max(1) + usize::from(used > 0);
    }
    lines
}

impl Desk<'_> {
    /// Text of the record in a place that holds so many letters; what is longer is cut there, and stands in full after the
    /// plan. HTML.
    pub fn fit(&self, label: &str, text: &str, most: usize) -> String {
        if text.chars().count() <= most {
            return escape(text);
        }
        self.in_full(label, escape(text));
        format!("{} {}", escape(&cut(text, most)), self.words().get("in_full_mark"))
    }

    /// Something that has no place on the two pages.
    pub fn in_full(&self, label: &str, value: String) {
        let (label, mut notes) = (escape(label), self.notes.borrow_mut());
        match notes.iter_mut().find(|note| note.label == label) {
            Some(note) if note.values.contains(&value) => {}
            Some(note) => note.values.push(value),
            None => notes.push(SitterNote { label, values: vec![value] }),
        }
    }
}

/// Ends the table of days, and takes out of the column beside it, what the first page would not hold.
pub fn first_page(desk: &Desk, sheet: &mut SitterSheet) {
    let calls = sheet.calls.iter().map(|call| {
        let who = lines(&format!("{}: {}", call.rank, call.who), across::CALL);
        who + 1 + call.about.as_ref().map_or(0, |about| lines(about, across::CALL))
    });
    let calls = calls.max().unwrap_or(0);
    let ticks: usize = sheet
        .ticks
        .iter()
        .map(|tick| {
            let care = tick.care.as_ref().map_or(String::new(), |care| format!(" {} {care}", desk.words().get("care")));
            lines(&format!("{}{care}", tick.text), across::TICKS)
        })
        .sum();
    // Of two lamps the day of the second needs no drawing.
    if normal(sheet) > ticks {
        for lamp in sheet.lamps.iter_mut().skip(1) {
            lamp.bar.clear();
            if let Some(clock) = lamp.clock.take() {
                desk.in_full(desk.words().get("normal"), format!("{}. {clock}", lamp.text));
            }
        }
    }
    let left = FIRST.saturating_sub(calls + normal(sheet).max(ticks) + never(sheet));
    side(desk, sheet, left);
    // A row to write in is a sixth higher than a line.
    let (left, mut used) = (left * 6 / 7, 0);
    let rows = sheet.days.iter().take_while(|day| {
        used += if day.kind == "hand" { 1 } else { lines(&day.also, across::ALSO) };
        used <= left
    });
    let rows = rows.count().max(LEAST_ROWS);
    if rows < sheet.days.len() {
        // The last line says where the others are.
        sheet.days_rest = sheet.days.split_off(rows - 1);
    }
}

/// Lines of what normal looks like.
fn normal(sheet: &SitterSheet) -> usize {
    let captions = sheet.shots.iter().map(|shot| lines(&shot.caption, across::NORMAL / 2)).max();
    let texts = [Some(&sheet.temperature), Some(&sheet.level).filter(|level| !level.is_empty()), sheet.sound.as_ref()];
    let texts: usize = texts.into_iter().flatten().map(|text| lines(text, across::NORMAL)).sum();
    let lamps: usize = sheet
        .lamps
        .iter()
        .map(|lamp| {
            let clock = lamp.clock.as_ref().map_or(0, |clock| lines(clock, across::NORMAL));
            lines(&lamp.text, across::NORMAL) + if lamp.bar.is_empty() { 0 } else { BAR } + clock
        })
        .sum();
    captions.map_or(1, |captions| PHOTO + captions) + texts + lamps
}

/// Lines of what is never done: each stays whole, behind its cross.
fn never(sheet: &SitterSheet) -> usize {
    let whole = sheet.never.iter().map(|line| "×".repeat(without_tags(line).chars().count() + 5));
    lines(&whole.collect::<Vec<_>>().join(" "), across::PAGE)
}

/// Feeding and topping up beside the table: what is over goes after the plan, the least needed first.
fn side(desk: &Desk, sheet: &mut SitterSheet, left: usize) {
    let count = |sheet: &SitterSheet| -> usize {
        let texts = std::iter::once(&sheet.feeding).chain(&sheet.feeding_more).chain(&sheet.topping);
        let texts: usize = texts.map(|text| lines(text, across::SIDE)).sum();
        let portions: usize = sheet.portions.iter().map(|portion| lines(&portion.text, across::SIDE - 8)).sum();
        texts + portions + 1
    };
    let words = desk.words();
    let moved = |label: &str, text: String| desk.in_full(words.get(label), text);
    if count(sheet) > left
        && let Some(place) = sheet.feeding_more.iter().position(|line| line == words.get("feeding_rest"))
    {
        moved("feeding", sheet.feeding_more.remove(place));
    }
    while count(sheet) > left && sheet.topping.len() > 2 {
        let last = sheet.topping.pop().unwrap_or_default();
        moved("topping", last);
    }
    while count(sheet) > left && sheet.portions.len() > 2 {
        let last = sheet.portions.pop().unwrap_or_default();
        moved("feeding", last.text);
    }
}

/// Whether the second page holds what is on it, and what is taken off where it does not.
pub fn second_page(desk: &Desk, sheet: &mut SitterSheet) {
    let more = desk.words().get("power_more");
    let mut moved = Vec::new();
    while second(sheet) > SECOND {
        let Some(case) = sheet.cases.iter_mut().find(|case| case.after_head.is_some()) else {
            break;
        };
        // Last comes what starts by itself, before it the word of what is moved: both stay.
        let kept = 1 + usize::from(case.after.iter().any(|line| line == more));
        let Some(place) = case.after.len().checked_sub(kept + 1).filter(|place| *place > 0) else {
            break;
        };
        moved.push(case.after.remove(place));
        if kept == 1 {
            case.after.insert(place, more.to_string());
        }
    }
    for line in moved.into_iter().rev() {
        desk.in_full(desk.words().get("power_back"), line);
    }
}

/// Lines of the second page.
fn second(sheet: &SitterSheet) -> usize {
    let sum = |lines_of: &[String], width: usize| lines_of.iter().map(|line| lines(line, width)).sum::<usize>();
    let block = &sheet.emergency;
    let (head, left, right) = (&block[..3.min(block.len())], block.get(3..7), block.get(7..));
    let emergency = sum(head, across::PAGE)
        + sum(left.unwrap_or_default(), across::LEFT).max(sum(right.unwrap_or_default(), across::RIGHT));
    let mut page = emergency + 1;
    let mut columns = 0;
    for case in &sheet.cases {
        if case.after_head.is_some() {
            page += 1 + sum(&case.steps, across::CUT).max(sum(&case.after, across::AFTER));
            page += lines(&format!("{} {}", case.facts.join(" "), case.stop), across::PAGE);
        } else {
            columns += 1 + sum(&case.steps, across::CASE) + lines(&case.stop, across::CASE);
        }
    }
    page + columns.div_ceil(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_as_a_typewriter_sets_them() {
        assert_eq!(lines("", 10), 1);
        assert_eq!(lines("one two", 7), 1);
        assert_eq!(lines("one two", 6), 2);
        assert_eq!(lines("<b>one</b> two three", 7), 2);
        assert_eq!(lines("abcdefghijklmnopqrstuvwxyz", 10), 3);
    }

    #[test]
    fn a_text_is_cut_at_a_word() {
        assert_eq!(cut("short", 10), "short");
        assert_eq!(cut("a long text, and more", 14), "a long text…");
        assert_eq!(cut("abcdefghijklmnop", 8), "abcdefg…");
    }
}
