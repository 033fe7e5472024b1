//! Story chapters and videos, each with the tank as it was then beside the tank today.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::gear::{device_link, filmed_rows};
use super::then::Dates;
use super::view::*;
use crate::pages::markdown::{self, Surroundings};
use crate::pages::model::story::*;
use crate::pages::model::video::*;
use crate::pages::model::*;
use crate::record::{Chapter, Record, Video};

/// Figures shown then and now.
const THEN_AND_NOW: [(&str, &str); 7] = [
    ("Water", "water.net-volume"),
    ("Turnover", "flow.turnover"),
    ("Energy a day", "power.energy-per-day"),
    ("Cost a month", "power.cost-per-month"),
    ("Evaporation a day", "water.evaporation"),
    ("Water changed a month", "water.changed-per-month"),
    ("Work a week", "upkeep.minutes-per-week"),
];

/// What prose of the record may link to and show.
pub struct RecordSurroundings<'v, 'a>(pub &'v View<'a>);

impl Surroundings for RecordSurroundings<'_, '_> {
    fn photo(&self, destination: &str) -> Option<Photo> {
        let inside = destination.trim_start_matches("../").trim_start_matches("./");
        self.0.photo(inside)
    }

    fn page(&self, destination: &str) -> Option<String> {
        let (path, fragment) =
            destination.split_once('#').map_or((destination, None), |(path, fragment)| (path, Some(fragment)));
        let inside = path.trim_start_matches("../").trim_start_matches("./");
        let (room, file) = inside.split_once('/')?;
        let name = file.rsplit_once('.').map_or(file, |(name, _)| name);
        let record = self.0.record;
        let page = match room {
            "story" if record.chapters.iter().any(|chapter| chapter.key == name) => {
                format!("story/{name}.html")
            }
            "colonies" | "colony" if record.colonies.contains_key(name) => {
                format!("colony/{name}.html")
            }
            "equipment" if self.0.tank.devices.contains_key(name) => self.0.href(&format!("equipment/{name}.html")),
            "video" if record.videos.iter().any(|video| video.key == name) => {
                format!("video/{name}.html")
            }
            "log" if self.0.slugs.iter().any(|slug| slug == name) => self.0.href(&format!("log/{name}.html")),
            "water" if crate::record::Parameter::from_key(name).is_some() => self.0.href(&format!("water/{name}.html")),
            _ => return None,
        };
        Some(match fragment {
            Some(fragment) => format!("{page}#{fragment}"),
            None => page,
        })
    }
}

/// A keeper's prose as HTML for the page at `path`.
pub fn markdown(view: &View, text: &str, path: &str) -> Html {
    markdown::render(text, &Page::root_of(path), &RecordSurroundings(view))
}

/// Rows by date: chapters and videos of one day share them.
type ByDate = BTreeMap<Date, Vec<ThenNow>>;

/// The dates of all chapters and videos.
pub fn dates(record: &Record) -> BTreeSet<Date> {
    let chapters = record.chapters.iter().filter_map(|chapter| chapter.on.as_ref());
    let videos = record.videos.iter().map(|video| &video.filmed);
    chapters.chain(videos).map(|date| date.value).collect()
}

/// Then and now for the dates of all chapters and videos.
fn by_date(view: &View, then: &Dates) -> ByDate {
    dates(view.record).into_iter().map(|date| (date, rows(then.view(view, date).as_ref(), view))).collect()
}

/// The figures of one tank at two dates; none of the first where the tank was not there yet.
pub fn rows(then: Option<&View>, now: &View) -> Vec<ThenNow> {
    let mut rows: Vec<ThenNow> = THEN_AND_NOW
        .iter()
        .map(|(label, key)| ThenNow {
            label: label.to_string(),
            then: then.and_then(|then| then.shown(key)),
            now: now.shown(key),
        })
        .filter(|row| row.then.is_some() || row.now.is_some())
        .collect();
    for (parameter, state) in &now.of.water {
        if parameter.is_of_the_water() {
            rows.push(ThenNow {
                label: parameter.shown().into(),
                then: then
                    .and_then(|then| then.of.water.get(parameter).map(|state| (then, state)))
                    .and_then(|(then, state)| super::water::latest(then, state)),
                now: super::water::latest(now, state),
            });
        }
    }
    let alive = |view: &View| {
        let count = view.record.colonies_in(&view.tank.key, view.record.as_of).count();
        Shown::new(count.to_string(), "", Basis::Computed)
    };
    rows.push(ThenNow { label: "Colonies".into(), then: then.map(alive), now: Some(alive(now)) });
    rows
}

/// Losses, answers and grave events after a date, oldest first.
fn since_then(view: &View, date: Date) -> Vec<DatedText> {
    let mut found = Vec::new();
    for (index, entry) in view.tank.entries.iter().enumerate() {
        if entry.date() <= date {
            continue;
        }
        if let Some(event) = &entry.event {
            let text = sentence_case(&event.what.value);
            found.push(DatedText { date: date_text(entry.date()), text, href: Some(view.entry_href(index)) });
        }
        if let Some(answer) = &entry.answer {
            let text = format!("Answered: {}", answer.say);
            found.push(DatedText { date: date_text(entry.date()), text, href: Some(view.entry_href(index)) });
        }
    }
    for colony in view.record.colonies.values() {
        if let Some(ended) = colony.ended.as_ref().filter(|ended| ended.on > date) {
            let text = format!("{}: {}", colony.name.value, ended.how.word().replace('-', " "));
            found.push(DatedText {
                date: date_text(ended.on),
                text,
                href: Some(format!("colony/{}.html", colony.key)),
            });
        }
    }
    found.sort_by(|a, b| a.date.iso.cmp(&b.date.iso));
    found
}

fn corrections(view: &View, date: Date) -> Vec<DatedText> {
    view.tank
        .entries
        .iter()
        .enumerate()
        .filter(|(_, entry)| entry.date() > date)
        .filter_map(|(index, entry)| {
            let correction = entry.correction.as_ref()?;
            Some(DatedText {
                date: date_text(entry.date()),
                text: correction.value.clone(),
                href: Some(view.entry_href(index)),
            })
        })
        .collect()
}

pub fn chapter_card(view: &View, chapter: &Chapter) -> ChapterCard {
    ChapterCard {
        number: chapter.order.value.to_string(),
        title: chapter.title.value.clone(),
        href: format!("story/{}.html", chapter.key),
        summary: chapter.summary.clone().unwrap_or_default(),
        date: chapter.on.as_ref().map(|on| date_text(on.value)),
        photo: chapter.photo.as_ref().and_then(|photo| view.photo(&photo.value)),
    }
}

fn video_card(video: &Video) -> VideoCard {
    VideoCard {
        title: video.title.value.clone(),
        href: format!("video/{}.html", video.key),
        filmed: date_text(video.filmed.value),
        length: format!("{} chapters", video.marks.len()),
    }
}

pub fn pages(view: &View, then: &Dates) -> Vec<Page> {
    let chapters = &view.record.chapters;
    let videos = &view.record.videos;
    let known = by_date(view, then);
    let mut pages = Vec::new();
    if !chapters.is_empty() {
        let body = StoryPage {
            standfirst: "How it was built and what came of it. Each chapter stands at its date, with today beside it."
                .into(),
            chapters: chapters.iter().map(|chapter| chapter_card(view, chapter)).collect(),
            videos: videos.iter().map(video_card).collect(),
        };
        pages.push(Page::new(
            "story/index.html",
            "story",
            "Story",
            "The chapters of the build.",
            PageBody::Story(Box::new(body)),
        ));
    }
    for (place, chapter) in chapters.iter().enumerate() {
        let link =
            |chapter: &Chapter| PlaceLink::new(chapter.title.value.clone(), format!("story/{}.html", chapter.key));
        let path = format!("story/{}.html", chapter.key);
        let on = chapter.on.as_ref().map(|on| on.value);
        let body = ChapterPage {
            number: chapter.order.value.to_string(),
            title: chapter.title.value.clone(),
            summary: chapter.summary.clone().unwrap_or_default(),
            date: on.map(date_text),
            photo: chapter.photo.as_ref().and_then(|photo| view.photo(&photo.value)),
            prose: markdown(view, &chapter.prose, &path),
            then_and_now: on.map(|on| known[&on].clone()).unwrap_or_default(),
            since_then: on.map(|on| since_then(view, on)).unwrap_or_default(),
            photos: on.map(|on| photos_around(view, on, chapter)).unwrap_or_default(),
            corrections: on.map(|on| corrections(view, on)).unwrap_or_default(),
            previous: place.checked_sub(1).map(|before| link(&chapters[before])),
            next: chapters.get(place + 1).map(link),
        };
        let description = chapter.summary.clone().unwrap_or_else(|| chapter.title.value.clone());
        let mut page =
            Page::new(path, "story", chapter.title.value.clone(), description, PageBody::Chapter(Box::new(body)));
        page.trail = vec![PlaceLink::new("Story", "story/index.html")];
        pages.push(page);
    }
    if !videos.is_empty() {
        let body = VideosPage {
            standfirst: "Moments of each video tied to pages of this record, with the settings as filmed and today."
                .into(),
            videos: videos.iter().map(video_card).collect(),
        };
        pages.push(Page::new(
            "video/index.html",
            "story",
            "Videos",
            "Chapter marks tied to pages.",
            PageBody::Videos(Box::new(body)),
        ));
    }
    pages.extend(videos.iter().map(|video| video_page(view, video, &known)));
    pages
}

/// Photos of the fortnight on either side that the chapter itself does not lead with.
fn photos_around(view: &View, on: Date, chapter: &Chapter) -> Vec<Photo> {
    let own = chapter.photo.as_ref().and_then(|photo| view.record.photo(&photo.value)).map(|photo| photo.path.clone());
    view.record
        .photos
        .values()
        .filter(|found| found.date.is_some_and(|date| crate::record::days_between(date, on).abs() <= 14))
        .filter(|found| Some(&found.path) != own.as_ref())
        .map(photo)
        .collect()
}

fn video_page(view: &View, video: &Video, known: &ByDate) -> Page {
    let filmed = video.filmed.value;
    let devices = view
        .tank
        .devices_at(filmed)
        .filter_map(|device| {
            let (rows, sentence) = filmed_rows(view, device, filmed)?;
            (!rows.is_empty()).then(|| VideoDevice { device: device_link(view, &device.key), rows, sentence })
        })
        .collect();
    let body = VideoPage {
        title: video.title.value.clone(),
        standfirst: format!("Filmed {}; the record has gone on since.", date_text(filmed).text),
        filmed: date_text(filmed),
        published: video.published.as_ref().map(|published| date_text(published.value)),
        length: String::new(),
        watch: video
            .address
            .as_ref()
            .map(|address| PlaceLink::new("Watch it where it is published", address.value.clone())),
        chapters: video
            .marks
            .iter()
            .map(|mark| VideoChapter {
                id: format!("at-{}", mark.at.replace(':', "-")),
                at: mark.at.clone(),
                title: mark.title.clone(),
                page: mark.page.as_ref().and_then(|page| mark_page(view, &page.value)),
            })
            .collect(),
        devices,
        then_and_now: known[&filmed].clone(),
        since_then: since_then(view, filmed),
        corrections: corrections(view, filmed),
    };
    let mut page = Page::new(
        format!("video/{}.html", video.key),
        "story",
        video.title.value.clone(),
        format!("Chapter marks of {}, with settings as filmed and today.", video.title.value),
        PageBody::Video(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Videos", "video/index.html")];
    page
}

/// The page a chapter mark names: `equipment/lamp`, `water/nitrate`, `light`.
fn mark_page(view: &View, named: &str) -> Option<PlaceLink> {
    let (room, name) = named.split_once('/').unwrap_or((named, ""));
    Some(match room {
        "story" => {
            let chapter = view.record.chapters.iter().find(|chapter| chapter.key == name)?;
            PlaceLink::new(chapter.title.value.clone(), format!("story/{name}.html"))
        }
        "colony" => PlaceLink::new(view.record.colonies.get(name)?.name.value.clone(), format!("colony/{name}.html")),
        "equipment" => device_link(view, name),
        "water" => {
            let parameter = crate::record::Parameter::from_key(name)?;
            if !view.of.water.contains_key(&parameter) {
                return None;
            }
            PlaceLink::new(parameter.shown(), view.href(&format!("water/{name}.html")))
        }
        "light" | "power" | "movement" | "upkeep" => {
            PlaceLink::new(sentence_case(room), view.href(&format!("{room}.html")))
        }
        _ => return None,
    })
}
