//! What stood beside an event: what was unusual in the weeks before it, ranked, and everything that changed.

use jiff::ToSpan;
use jiff::civil::Date;

use super::view::*;
use crate::figures::around::{LEAST_OTHERS, Unusual};
use crate::pages::model::colony::ChangesBefore;
use crate::pages::model::*;

/// How many weeks before an event are looked at.
const WEEKS: u32 = 6;

/// At most this many rows are shown.
const ROWS: usize = 8;

/// What is this common, or commoner, does not stand out.
const STANDS_OUT: f64 = 0.25;

/// Everything that was unusual, and everything that changed, in a tank in the six weeks before a date.
pub fn before(view: &View, tank: &str, date: Date, title: &str) -> ChangesBefore {
    let from = date.saturating_sub((7 * i64::from(WEEKS)).days());
    let Some(of) = view.findings.tanks.get(tank) else {
        return ChangesBefore { title: title.into(), ..ChangesBefore::default() };
    };
    let found = of.history.around(date, WEEKS);
    let changes = view.changes_in(of, from, date, 40);
    let mut block = ChangesBefore {
        title: title.into(),
        changes_summary: changes_summary(changes.len()),
        changes: changes.into_iter().map(|(_, change)| change).collect(),
        note: "Standing next to something is not causing it.".into(),
        ..ChangesBefore::default()
    };
    let shown: Vec<&Unusual> =
        found.items.iter().filter(|item| !item.within_error && item.share <= STANDS_OUT).take(ROWS).collect();
    block.standing = if found.items.is_empty() {
        format!(
            "Too little history to say what was unusual: it takes {LEAST_OTHERS} other stretches of six weeks to compare with."
        )
    } else {
        let by_chance = (found.items.len() as f64 * 0.1).round().max(1.0);
        let compared = found.items.len();
        let opening =
            if shown.is_empty() { "Nothing recorded in these six weeks stood out" } else { "Ranked by how unusual" };
        format!(
            "{opening}, against every other stretch of six weeks of this tank. {compared} things were compared; about \
             {by_chance:.0} of them would lie among the most unusual tenth by chance alone."
        )
    };
    if !shown.is_empty() {
        block.unusual = Some(Table {
            caption: "What was unusual".into(),
            head: vec![
                HeadCell::text("What"),
                HeadCell::number("Then"),
                HeadCell::number("Usual"),
                HeadCell::text("How unusual"),
            ],
            rows: shown.into_iter().map(|item| row(view, item)).collect(),
        });
    }
    block
}

fn row(view: &View, item: &Unusual) -> Vec<Cell> {
    // Two values that print alike would hide the difference that the row is about.
    let decimals = (usize::from(item.decimals)..4)
        .find(|decimals| fixed(item.value, *decimals) != fixed(item.usual, *decimals))
        .unwrap_or(usize::from(item.decimals));
    let number = |value: f64| {
        let text = fixed(value, decimals);
        if item.unit.is_empty() { text } else { format!("{text}\u{a0}{}", item.unit) }
    };
    let what = Cell::header(item.label.clone());
    let what = match item.place.as_ref().and_then(|place| view.place_link(place).href) {
        Some(href) => what.linked(href),
        None => what,
    };
    vec![what, Cell::number(number(item.value)), Cell::number(number(item.usual)), Cell::text(how_unusual(item))]
}

fn how_unusual(item: &Unusual) -> String {
    let as_far = (item.share * (item.others + 1) as f64).round() as usize - 1;
    let direction = if item.is_higher() { "higher" } else { "lower" };
    let text = match as_far {
        0 => format!("{direction}; none of {} others lies so far out", item.others),
        1 => format!("{direction}; 1 of {} others lies as far out", item.others),
        _ => format!("{direction}; {as_far} of {} others lie as far out", item.others),
    };
    match &item.remark {
        Some(remark) => format!("{text}; {remark}"),
        None => text,
    }
}
