//! Two dates side by side: the pairs that the keeper names, and every year of the tank from one anniversary to the next.

use std::collections::BTreeSet;

use jiff::ToSpan;
use jiff::civil::Date;

use super::settings::{self, Until};
use super::then::Dates;
use super::view::*;
use super::{since, story};
use crate::pages::model::back::*;
use crate::pages::model::story::ThenNow;
use crate::pages::model::*;
use crate::record::{Photo as Taken, Record, days_between};

/// A pair that has a page.
struct Wanted {
    from: Date,
    to: Date,
    title: String,
    colony: Option<String>,
    is_anniversary: bool,
}

impl Wanted {
    fn path(&self) -> String {
        let of = self.colony.as_ref().map(|colony| format!("-{colony}")).unwrap_or_default();
        format!("compare/{}-to-{}{of}.html", self.from, self.to)
    }
}

/// The pairs of a tank, the keeper's own first; a pair that is named twice is shown once.
fn wanted(view: &View) -> Vec<Wanted> {
    let mut found: Vec<Wanted> = Vec::new();
    for pair in view.tank.compare.iter().filter(|pair| pair.to <= view.record.as_of) {
        let colony = pair.colony.as_ref().map(|colony| colony.value.clone());
        let name =
            colony.as_ref().and_then(|key| view.record.colonies.get(key)).map(|colony| colony.name.value.clone());
        let span = format!("{} and {}", month_text(pair.from), month_text(pair.to));
        let title = pair.title.clone().unwrap_or_else(|| match name {
            Some(name) => format!("{name}, {span}"),
            None => span,
        });
        found.push(Wanted { from: pair.from, to: pair.to, title, colony, is_anniversary: false });
    }
    let started = view.tank.started.value;
    let last = view.tank.last_day(view.record.as_of);
    for year in 1..=200i64 {
        // The 29th of February is kept on the 28th of other years.
        let (from, to) = (started.saturating_add((year - 1).years()), started.saturating_add(year.years()));
        if to > last || to <= from {
            break;
        }
        let title = format!("Year {year} of the tank");
        found.push(Wanted { from, to, title, colony: None, is_anniversary: true });
    }
    let mut seen = BTreeSet::new();
    found.retain(|pair| seen.insert(pair.path()));
    found
}

pub fn dates(view: &View) -> Vec<Date> {
    wanted(view).iter().flat_map(|pair| [pair.from, pair.to]).collect()
}

/// Cards of the keeper's pairs and of the anniversaries, and the pages of both.
pub fn pages(view: &View, then: &Dates) -> (Vec<PairCard>, Vec<PairCard>, Vec<Page>) {
    let wanted = wanted(view);
    let (mut own, mut anniversaries, mut pages) = (Vec::new(), Vec::new(), Vec::new());
    for (place, pair) in wanted.iter().enumerate() {
        let (Some(before), Some(after)) = (then.view(view, pair.from), then.view(view, pair.to)) else { continue };
        let link = |other: &Wanted| PlaceLink::new(other.title.clone(), view.href(&other.path()));
        let mut body = page(view, pair, &before, &after);
        body.previous = place.checked_sub(1).map(|place| link(&wanted[place]));
        body.next = wanted.get(place + 1).map(link);
        let photo = |side: usize| body.sides[side].photo.clone().map(|photo| Photo { href: None, ..photo });
        let card = PairCard {
            title: pair.title.clone(),
            href: view.href(&pair.path()),
            from: date_text(pair.from),
            to: date_text(pair.to),
            apart: apart(pair.from, pair.to),
            before: photo(0),
            after: photo(1),
        };
        if pair.is_anniversary {
            anniversaries.push(card)
        } else {
            own.push(card)
        }
        let description = format!(
            "{} beside {}: photographs, settings, figures as of each.",
            date_text(pair.from).text,
            date_text(pair.to).text
        );
        let mut page = Page::new(
            view.href(&pair.path()),
            "back",
            pair.title.clone(),
            description,
            PageBody::Compare(Box::new(body)),
        );
        page.trail = vec![PlaceLink::new("Looking back", super::back::href(view))];
        pages.push(page);
    }
    (own, anniversaries, pages)
}

/// `11 days apart`, `about 18 months apart`, `two years apart`: to the nearest month.
fn apart(from: Date, to: Date) -> String {
    let days = days_between(from, to);
    let months = (f64::from(days) / (365.25 / 12.0)).round() as usize;
    if months < 3 {
        return format!("{} apart", super::water::counted(days as usize, "day", "days"));
    }
    let about = if from.day() == to.day() { "" } else { "about " };
    match months % 12 {
        0 => format!("{about}{} apart", super::water::counted(months / 12, "year", "years")),
        _ => format!("{about}{months} months apart"),
    }
}

fn page(view: &View, pair: &Wanted, before: &View, after: &View) -> ComparePage {
    let photos = nearest_photos(view, [pair.from, pair.to], pair.colony.as_ref());
    let sides = [before, after]
        .into_iter()
        .zip([pair.from, pair.to])
        .zip(photos)
        .map(|((then, date), found)| side(then, date, pair.colony.as_ref(), found))
        .collect();
    let mut figures = story::rows(Some(before), after);
    if let Some(colony) = &pair.colony {
        for (what, label) in [("par", "Light at it"), ("dli", "Light at it in a day")] {
            let shown = |then: &View| then.shown(&format!("light.{colony}.{what}"));
            let row = ThenNow { label: label.into(), then: shown(before), now: shown(after) };
            if row.then.is_some() || row.now.is_some() {
                figures.insert(0, row);
            }
        }
    }
    ComparePage {
        title: pair.title.clone(),
        standfirst: format!(
            "{} beside {}, {}. Each side stands as the record gave it on its own date; what was corrected since is listed below.",
            date_text(pair.from).text,
            date_text(pair.to).text,
            apart(pair.from, pair.to)
        ),
        from: date_text(pair.from).text,
        to: date_text(pair.to).text,
        photo_note: photo_note(photos),
        sides,
        figures,
        settings: settings::between(view, pair.from, pair.to, Until::Later),
        between: between(after, pair.from),
        corrections: since::corrections(view, pair.from),
        previous: None,
        next: None,
    }
}

/// The tank on a day beside its newest picture; nothing where no picture shows it.
pub fn filmed_sides(view: &View, filmed: Date) -> Vec<CompareSide> {
    let today = view.record.as_of;
    let [Some(before), Some(after)] = nearest_photos(view, [filmed, today], None) else { return Vec::new() };
    let mut sides = vec![side(view, filmed, None, Some(before))];
    if after.path != before.path {
        sides.push(side(view, today, None, Some(after)));
    }
    sides
}

/// Of the colony, or of the whole tank from the front; the nearest to each date, the earlier where two are as near.
fn nearest_photos<'a>(view: &View<'a>, dates: [Date; 2], colony: Option<&String>) -> [Option<&'a Taken>; 2] {
    let suits = |photo: &&Taken| match colony {
        Some(colony) => photo.of.contains(colony),
        None => shows_whole_tank(view.record, &view.tank.key, photo),
    };
    let candidates: Vec<&'a Taken> = super::photos::in_order(view.record)
        .into_iter()
        .filter(|photo| photo.date.is_some_and(|date| date <= view.record.as_of))
        .filter(suits)
        .collect();
    dates.map(|date| {
        candidates.iter().min_by_key(|photo| photo.date.map(|taken| (days_between(taken, date).abs(), taken))).copied()
    })
}

/// Photos of a whole tank name nothing they show; those of a tank beside the main one name that tank.
pub fn shows_whole_tank(record: &Record, tank: &str, photo: &Taken) -> bool {
    let front = photo.view.as_deref() == Some("front");
    if record.main_tank().is_some_and(|main| main.key == tank) {
        front && photo.of.is_empty()
    } else {
        photo.of.iter().any(|name| name == tank)
    }
}

fn side(then: &View, date: Date, colony: Option<&String>, found: Option<&Taken>) -> CompareSide {
    let age = then.tank.age_days(date);
    let off = match found {
        None => "No photo of this in the record.".to_string(),
        Some(taken) => taken.date.map_or(String::new(), |taken| match days_between(date, taken) {
            0 => "Taken on that day.".into(),
            days => {
                let word = if days < 0 { "before" } else { "after" };
                let count = super::water::counted(days.unsigned_abs() as usize, "day", "days");
                format!("Taken {}, {count} {word} that date.", date_text(taken).text)
            }
        }),
    };
    let mut facts = Vec::new();
    if let Some(colony) = colony.and_then(|key| then.record.colonies.get(key)) {
        if let Some(size) = colony.sizes.iter().rev().find(|size| size.on <= date) {
            let shown = super::growth::size_shown(then, size);
            let when = match days_between(size.on, date) {
                0 => ", measured that day".to_string(),
                days => format!(", measured {} before", super::water::counted(days as usize, "day", "days")),
            };
            facts.push(Fact::new("Size", vec![Run::value(shown), Run::text(when)]));
        } else {
            facts.push(Fact::new("Size", vec![Run::text("not measured by then")]));
        }
        if let Some(placement) = colony.placement_on(date) {
            let place = placement.where_text.clone().unwrap_or_else(|| "not recorded".into());
            facts.push(Fact::new("Place", vec![Run::text(place)]));
        }
    }
    CompareSide {
        date: date_text(date),
        age: match age {
            0 => "the day of the first fill".into(),
            age => format!("{} after the first fill", super::water::counted(age as usize, "day", "days")),
        },
        photo: found.map(photo),
        off,
        facts,
    }
}

fn photo_note(photos: [Option<&Taken>; 2]) -> String {
    let [Some(before), Some(after)] = photos else {
        return "Where no photo shows it, none is put in its place.".into();
    };
    if before.path == after.path {
        return "One photo is the nearest to both dates: the two pictures are the same.".into();
    }
    let mut notes = Vec::new();
    match (&before.lamp, &after.lamp) {
        (Some(a), Some(b)) if a == b => {
            notes.push("The lamp was set alike; what the camera made of it is not known.".to_string())
        }
        (Some(a), Some(b)) => notes.push(format!("The lamp differs ({a}; {b}): compare shapes, not colours.")),
        _ => notes.push("The lamp of both photos is not recorded: compare shapes, not colours.".to_string()),
    }
    if before.view != after.view {
        notes.push("They are taken from different sides.".to_string());
    }
    notes.join(" ")
}

/// What happened after a date and what is gone since, as the record stood at the other.
fn between(after: &View, from: Date) -> Vec<DatedText> {
    let mut found = since::happened(after, from);
    found.extend(since::losses(after, from));
    found.sort_by(|a, b| (&a.date.iso, &a.text).cmp(&(&b.date.iso, &b.text)));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn dates_are_apart_to_the_nearest_month() {
        for (from, to, told) in [
            (date(2025, 4, 19), date(2026, 10, 10), "about 18 months apart"),
            (date(2025, 1, 18), date(2026, 10, 18), "21 months apart"),
            (date(2024, 11, 2), date(2026, 11, 2), "two years apart"),
            (date(2024, 11, 10), date(2026, 11, 2), "about two years apart"),
            (date(2026, 10, 1), date(2026, 10, 12), "eleven days apart"),
        ] {
            assert_eq!(apart(from, to), told);
        }
    }
}
