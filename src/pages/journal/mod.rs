//! The journal: page models of everything a keeper publishes. Nothing private gets this far.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

mod around;
mod asked;
mod back;
mod balance;
mod colony;
mod compare;
mod curves;
mod figure_rows;
mod fragment;
mod front;
pub(in crate::pages) mod gear;
mod growth;
mod heat;
mod in_band;
mod light;
mod lighting;
mod lineage;
pub(in crate::pages) mod log;
mod movement;
mod nutrients;
mod photos;
mod power;
mod promises;
mod quantity;
mod reference;
mod review;
pub(in crate::pages) mod settings;
mod since;
mod story;
mod survey;
mod survival;
mod then;
mod upkeep;
mod video;
pub(in crate::pages) mod view;
mod water;
mod web;
pub(in crate::pages) mod wording;

pub use fragment::cards;
pub use then::Dates;
pub use view::{WIDTHS, published_sizes, published_stem, rounded, upright};
pub use web::{preview_of, previews};

use super::model::{NavItem, Page, Site, TankLink};
use crate::cautions::Caution;
use crate::diagnostic::Place;
use crate::figures::Findings;
use crate::read::{Content, Document, DocumentKind, Folder};
use crate::record::{Record, Tank};
use view::View;

/// The pages of one tank with what is common to them. Pages of the whole record stand with the main tank.
pub struct Section {
    pub site: Site,
    pub pages: Vec<Page>,
    /// Files beside the pages, by path: text for other programs.
    pub files: Vec<(String, String)>,
}

/// All pages of the journal. `past` holds what an earlier run of the same record worked out of its past, and then that of
/// this one.
pub fn sections(
    record: &Record,
    findings: &Findings,
    cautions: &[Caution],
    folder: &Folder,
    past: &mut Dates,
) -> Vec<Section> {
    let views = views(record, findings, cautions, folder);
    let mut wanted = then::Wanted::new();
    for (place, view) in views.iter().enumerate() {
        // Chapters and videos stand with the main tank.
        let told = if place == 0 { story::dates(record) } else { BTreeSet::new() };
        for date in told.into_iter().chain(back::dates(view)) {
            wanted.entry(date).or_default().insert(view.tank.key.clone());
        }
    }
    *past = Dates::of(record, wanted, past);
    let then = &*past;
    let mut sections: Vec<Section> = views
        .iter()
        .enumerate()
        .map(|(place, view)| {
            let mut files = Vec::new();
            let mut pages = vec![front::page(view, &views)];
            pages.extend(gear::pages(view));
            let surveys = survey::blocks(view);
            pages.push(light::page(view, surveys.last()));
            pages.extend(survey::pages(view, surveys));
            pages.push(movement::page(view));
            pages.push(heat::page(view));
            pages.push(power::page(view));
            pages.extend(water::pages(view));
            pages.push(upkeep::page(view));
            pages.extend(log::pages(view));
            pages.extend(back::pages(view, then));
            if place == 0 {
                pages.extend(story::pages(view, then));
                let (videos, beside) = video::pages(view, then);
                pages.extend(videos);
                files = beside;
                pages.extend(colony::pages(view));
                pages.extend(photos::pages(&views));
                pages.push(reference::cautions(view));
                pages.push(reference::sources(&views, folder));
                pages.extend(reference::source_files(view, folder));
                if views.len() > 1 {
                    pages.push(reference::tanks(&views));
                }
            }
            Section { site: site(view, &views), pages, files }
        })
        .collect();
    web::publish(&views, &mut sections);
    sections
}

/// The record seen from each of its tanks, the main one first.
pub(in crate::pages) fn views<'a>(
    record: &'a Record,
    findings: &'a Findings,
    cautions: &'a [Caution],
    folder: &'a Folder,
) -> Vec<View<'a>> {
    let Some(main) = record.main_tank() else {
        return Vec::new();
    };
    let mut tanks: Vec<&Tank> = vec![main];
    tanks.extend(record.tanks.values().filter(|tank| tank.key != main.key));
    tanks.iter().map(|tank| view_of(record, findings, cautions, folder, tank)).collect()
}

fn view_of<'a>(
    record: &'a Record,
    findings: &'a Findings,
    cautions: &'a [Caution],
    folder: &'a Folder,
    tank: &'a Tank,
) -> View<'a> {
    View {
        record,
        findings,
        cautions,
        sources: &folder.sources,
        tank,
        of: &findings.tanks[&tank.key],
        prefix: prefix_of(record, &tank.key),
        slugs: slugs(tank),
    }
}

/// The front page of a tank.
fn home_of(record: &Record, key: &str) -> String {
    if record.main_tank().is_some_and(|main| main.key == key) {
        "index.html".into()
    } else {
        format!("{key}/index.html")
    }
}

/// What the paths of a tank's pages begin with: nothing for the main one, `jar/` for another.
fn prefix_of(record: &Record, key: &str) -> String {
    home_of(record, key).trim_end_matches("index.html").to_string()
}

/// One page stem an entry; two entries of one moment get `-2`, `-3`.
pub(in crate::pages) fn slugs(tank: &Tank) -> Vec<String> {
    let mut seen: BTreeMap<String, u32> = BTreeMap::new();
    tank.entries
        .iter()
        .map(|entry| {
            let slug = entry.slug();
            let count = seen.entry(slug.clone()).or_insert(0);
            *count += 1;
            if *count == 1 { slug } else { format!("{slug}-{count}") }
        })
        .collect()
}

fn site(view: &View, views: &[View]) -> Site {
    let record = view.record;
    let item = |key: &str, text: &str, href: String| NavItem { key: key.into(), text: text.into(), href };
    let mut nav = vec![item("front", "Front page", view.href("index.html"))];
    if !record.chapters.is_empty() {
        nav.push(item("story", "Story", "story/index.html".into()));
    }
    if !record.videos.is_empty() {
        nav.push(item("videos", "Videos", "video/index.html".into()));
    }
    nav.push(item("water", "Water", view.href("water/index.html")));
    nav.push(item("light", "Light", view.href("light.html")));
    nav.push(item("movement", "Movement", view.href("movement.html")));
    nav.push(item("heat", "Heat", view.href("heat.html")));
    nav.push(item("power", "Power", view.href("power.html")));
    nav.push(item("equipment", "Equipment", view.href("equipment/index.html")));
    nav.push(item("colonies", "Colonies", "colony/index.html".into()));
    if !photos::in_order(record).is_empty() {
        nav.push(item("photos", "Photos", photos::SHEET.into()));
    }
    nav.push(item("upkeep", "Upkeep", view.href("upkeep.html")));
    nav.push(item("back", "Looking back", back::href(view)));
    nav.push(item("log", "Log", view.href("log/index.html")));
    nav.push(item("cautions", "Cautions", "cautions.html".into()));
    nav.push(item("sources", "Sources", "sources.html".into()));
    Site {
        name: view.tank.name.value.clone(),
        language: "en".into(),
        edition: "journal".into(),
        as_of: view::date_text(record.as_of),
        home: view.href("index.html"),
        nav,
        tanks: if views.len() > 1 {
            views
                .iter()
                .map(|other| TankLink {
                    name: other.tank.name.value.clone(),
                    href: other.href("index.html"),
                    current: other.tank.key == view.tank.key,
                })
                .collect()
        } else {
            Vec::new()
        },
        notes: vec![
            "A record of one tank, not instructions for another; local codes and licensed practice come first.".into(),
        ],
        sources_href: "sources.html".into(),
        feed_href: None,
    }
}

/// Lines of a log whose entries are later than the journal's date: held back, also in the source pages.
fn later_lines(document: &Document, as_of: Date) -> Vec<(u32, u32)> {
    let Content::Map(pairs) = &document.root.content else {
        return Vec::new();
    };
    if document.kind != DocumentKind::Log {
        return Vec::new();
    }
    let starts: Vec<&Place> = pairs.iter().map(|(key, _)| &key.place).collect();
    let mut hidden = Vec::new();
    for (index, (key, _)) in pairs.iter().enumerate() {
        let date: Option<Date> = key.as_text().and_then(|text| text.get(0..10)?.parse().ok());
        if date.is_some_and(|date| date > as_of) {
            let last = starts.get(index + 1).map_or(u32::MAX, |next| next.line.saturating_sub(1));
            hidden.push((key.place.line, last));
        }
    }
    hidden
}
