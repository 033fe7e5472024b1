//! Photographs: the contact sheet, all of them in order of time, and a page for each.

use std::collections::BTreeSet;

use super::gear::device_link;
use super::settings::joined;
use super::view::*;
use crate::pages::model::photos::*;
use crate::pages::model::*;
use crate::record::{Record, days_between, story};

pub const SHEET: &str = "photo/index.html";

/// The page of a photo.
pub fn href(path: &str) -> String {
    let stem = published_stem(path.strip_prefix("photos/").unwrap_or(path));
    // The contact sheet has the name of an index.
    let apart = if stem == "index" { "-photo" } else { "" };
    format!("photo/{stem}{apart}.html")
}

/// Every photo the journal shows, by time; those without a date come last.
pub fn in_order(record: &Record) -> Vec<&story::Photo> {
    let mut photos: Vec<&story::Photo> = record.photos.values().filter(|photo| !photo.is_private).collect();
    photos.sort_by(|a, b| (a.date.is_none(), a.date, &a.path).cmp(&(b.date.is_none(), b.date, &b.path)));
    photos
}

pub fn pages(views: &[View]) -> Vec<Page> {
    let Some(main) = views.first() else { return Vec::new() };
    let photos = in_order(main.record);
    if photos.is_empty() {
        return Vec::new();
    }
    let mut pages = vec![sheet(&photos)];
    for (place, found) in photos.iter().enumerate() {
        pages.push(page(views, &photos, place, found));
    }
    pages
}

fn count_text(count: usize) -> String {
    if count == 1 { "1 photo".into() } else { format!("{count} photos") }
}

fn sheet(photos: &[&story::Photo]) -> Page {
    let mut years: Vec<PhotoYear> = Vec::new();
    for found in photos {
        let title = found.date.map_or("Date not known".to_string(), |date| date.year().to_string());
        if years.last().is_none_or(|year| year.title != title) {
            let id = found.date.map_or("year-not-known".to_string(), |date| format!("year-{}", date.year()));
            years.push(PhotoYear { id, title, ..PhotoYear::default() });
        }
        years.last_mut().expect("a year was just pushed").photos.push(photo(found));
    }
    for year in &mut years {
        year.count = count_text(year.photos.len());
    }
    let unread = photos.iter().filter(|photo| photo.header.is_none()).count();
    let mut standfirst = format!("{} in order of time, each with a page of its own.", count_text(photos.len()));
    if unread > 0 {
        let words = super::water::counted(unread, "file could not be read", "files could not be read");
        standfirst.push_str(&format!(" {} and leave a grey place.", sentence_case(&words)));
    }
    let body = PhotosPage { standfirst, years };
    Page::new(
        SHEET,
        "photos",
        "Photographs",
        "Every photograph of the record in order of time, with its caption and date.",
        PageBody::Photos(Box::new(body)),
    )
}

/// Names of what a photo shows, in the words of the record.
fn shows(views: &[View], found: &story::Photo) -> Vec<PlaceLink> {
    let main = &views[0];
    found
        .of
        .iter()
        .map(|name| {
            if let Some(colony) = main.record.colonies.get(name) {
                return PlaceLink::new(colony.name.value.clone(), super::colony::href(name));
            }
            match views.iter().find(|view| view.tank.device(name).is_some()) {
                Some(view) => device_link(view, name),
                None => PlaceLink::plain(name.replace('-', " ")),
            }
        })
        .collect()
}

/// What a photo is of, as a title.
fn title(views: &[View], found: &story::Photo) -> String {
    let names: Vec<String> = shows(views, found).into_iter().map(|link| link.text).collect();
    if !names.is_empty() {
        return list(&names, 3);
    }
    match found.view.as_deref() {
        Some("front") => "From the front".into(),
        Some(view) => sentence_case(&view.replace('-', " ")),
        None => "Photograph".into(),
    }
}

fn short(views: &[View], found: &story::Photo) -> String {
    let date = found.date.map_or("date not known".into(), |date| date_text(date).text);
    format!("{}, {date}", title(views, found))
}

fn page(views: &[View], photos: &[&story::Photo], place: usize, found: &story::Photo) -> Page {
    let link = |other: &story::Photo| PlaceLink::new(short(views, other), href(&other.path));
    let mut shown = photo(found);
    // The picture leads to the widest that is published.
    shown.href = shown.variants.last().map(|widest| widest.path.clone());
    let title = title(views, found);
    let body = PhotoPage {
        number: format!("Photo {} of {}", place + 1, photos.len()),
        facts: facts(views, found),
        series: series(photos, found),
        previous: place.checked_sub(1).map(|before| link(photos[before])),
        next: photos.get(place + 1).map(|after| link(after)),
        photo: shown,
        title,
    };
    let name = short(views, found);
    let description = found.caption.clone().unwrap_or_else(|| name.clone());
    let mut page = Page::new(href(&found.path), "photos", name, description, PageBody::Photo(Box::new(body)));
    page.trail = vec![PlaceLink::new("Photographs", SHEET)];
    page
}

fn facts(views: &[View], found: &story::Photo) -> Vec<Fact> {
    let main = &views[0];
    let record = main.record;
    let mut facts = Vec::new();
    let taken = found.date.map_or("not known".into(), |date| date_text(date).text);
    facts.push(Fact::new("Taken", vec![Run::text(taken)]));
    if let Some(date) = found.date {
        let shown = views.iter().find(|view| found.of.contains(&view.tank.key)).unwrap_or(main);
        let age = shown.tank.age_days(date);
        let words = match age {
            0 => "on the day of the first fill".to_string(),
            age if age > 0 => format!("{} after the first fill", super::water::counted(age as usize, "day", "days")),
            age => format!("{} before the first fill", super::water::counted(-age as usize, "day", "days")),
        };
        facts.push(Fact::new("Age of the tank", vec![Run::text(words)]));
    }
    let names = shows(views, found);
    if !names.is_empty() {
        facts.push(Fact::new("Shows", joined(names)));
    }
    for name in &found.of {
        let Some(colony) = record.colonies.get(name) else { continue };
        if let Some(size) = found.date.and_then(|date| colony.sizes.iter().find(|size| size.on == date)) {
            let value = super::growth::size_shown(main, size).linked(super::colony::href(name));
            facts.push(Fact::new("Size that day", vec![Run::value(value)]));
        }
        if let Some(placement) = found.date.and_then(|date| colony.placement_on(date))
            && let Some(tank) = record.tanks.get(&placement.tank.value)
        {
            let home = Run::link(tank.name.value.clone(), super::home_of(record, &tank.key));
            let mut runs = vec![home];
            runs.extend(placement.where_text.as_ref().map(|place| Run::text(format!(", {place}"))));
            facts.push(Fact::new("Where it stood", runs));
        }
    }
    if let Some(view) = &found.view {
        facts.push(Fact::new("Seen", vec![Run::text(view_words(view))]));
    }
    let lamp = found.lamp.clone().unwrap_or_else(|| "not recorded; colours cannot be compared".into());
    facts.push(Fact::new("Lamp", vec![Run::text(lamp)]));
    let (mut told, mut that_day) = (Vec::new(), Vec::new());
    for view in views {
        for (index, entry) in view.tank.entries.iter().enumerate() {
            let shows_it = entry
                .photos
                .iter()
                .any(|used| record.photo(&used.file.value).is_some_and(|used| used.path == found.path));
            let link = PlaceLink::new(
                format!("{}, {}", date_text(entry.date()).text, lower(&heading(entry))),
                view.entry_href(index),
            );
            if shows_it {
                told.push(link);
            } else if Some(entry.date()) == found.date {
                that_day.push(link);
            }
        }
    }
    for chapter in &record.chapters {
        let lead = chapter.photo.as_ref().and_then(|photo| record.photo(&photo.value));
        if lead.is_some_and(|lead| lead.path == found.path) {
            told.push(PlaceLink::new(chapter.title.value.clone(), format!("story/{}.html", chapter.key)));
        }
    }
    for (label, links) in [("Shown in", told), ("Written that day", that_day)] {
        if !links.is_empty() {
            facts.push(Fact::new(label, joined(links)));
        }
    }
    facts
}

fn view_words(view: &str) -> String {
    match view {
        "front" | "side" | "back" => format!("from the {view}"),
        "top-down" => "from above".into(),
        other => other.replace('-', " "),
    }
}

/// The other photos of one subject from one side.
fn series(photos: &[&story::Photo], found: &story::Photo) -> Option<PhotoSeries> {
    let view = found.view.as_ref()?;
    let own: BTreeSet<&String> = found.of.iter().collect();
    let same: Vec<&&story::Photo> = photos
        .iter()
        .filter(|other| other.view.as_ref() == Some(view) && other.date.is_some())
        .filter(|other| other.of.iter().collect::<BTreeSet<_>>() == own)
        .collect();
    // Without a subject only the whole tank makes a row: what else a close-up of nothing shows is not known.
    if same.len() < 2 || (own.is_empty() && view != "front") {
        return None;
    }
    let mut shown: Vec<Photo> = Vec::new();
    for (place, other) in same.iter().enumerate() {
        let before = place.checked_sub(1).and_then(|before| same[before].date);
        let days_between = before.zip(other.date).map(|(before, date)| days_later(days_between(before, date)));
        shown.push(Photo { days_between, ..photo(other) });
    }
    Some(PhotoSeries {
        title: "The same view over time".into(),
        note: "Colour depends on the lamp’s channels; compare shapes, not shades.".into(),
        steps: None,
        photos: shown,
    })
}

/// `77 days later`, in rows of one view.
pub fn days_later(days: i32) -> String {
    match days {
        0 => "the same day".into(),
        1 => "a day later".into(),
        days => format!("{days} days later"),
    }
}
