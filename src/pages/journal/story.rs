//! Story chapters, each with the tank as it was then beside the tank today.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::settings::{self, Until};
use super::since;
use super::then::Dates;
use super::video;
use super::view::*;
use crate::pages::markdown::{self, Surroundings};
use crate::pages::model::story::*;
use crate::pages::model::*;
use crate::record::{Chapter, Record};

/// Figures shown then and now.
const THEN_AND_NOW: [(&str, &str); 8] = [
    ("Water", "water.net-volume"),
    ("Turnover", "flow.turnover"),
    ("Energy a day", "power.energy-per-day"),
    ("Cost a month", "power.cost-per-month"),
    ("Evaporation a day", "water.evaporation"),
    ("Water changed a month", "water.changed-per-month"),
    ("Mass when filled", "load.mass-filled"),
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

/// The dates of all chapters and videos.
pub fn dates(record: &Record) -> BTreeSet<Date> {
    let chapters = record.chapters.iter().filter_map(|chapter| chapter.on.as_ref());
    let videos = record.videos.iter().map(|video| &video.filmed);
    chapters.chain(videos).map(|date| date.value).collect()
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
        .collect();
    let (today, before) = (super::upkeep::given_a_day(now), then.map(super::upkeep::given_a_day));
    let mut labels: Vec<&String> = today.keys().chain(before.iter().flat_map(|before| before.keys())).collect();
    labels.sort();
    labels.dedup();
    let find = |given: &BTreeMap<String, Shown>, label: &String| {
        given.get(label).cloned().unwrap_or_else(|| Shown { number: "no plan".into(), ..Shown::default() })
    };
    rows.extend(labels.iter().map(|label| ThenNow {
        label: label.to_string(),
        then: before.as_ref().map(|before| find(before, label)),
        now: Some(find(&today, label)),
    }));
    rows.push(ThenNow {
        label: "Light at the corals a day".into(),
        then: then.and_then(daily_light),
        now: daily_light(now),
    });
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
    for parameter in now.of.uptake.keys() {
        let key = format!("water.{}.uptake", parameter.key());
        let label = format!("{} used a day", parameter.shown());
        rows.push(ThenNow { label, then: then.and_then(|then| then.shown(&key)), now: now.shown(&key) });
    }
    rows.retain(|row| row.then.is_some() || row.now.is_some());
    let alive = |view: &View| {
        let count = view.record.colonies_in(&view.tank.key, view.record.as_of).count();
        Shown::new(count.to_string(), "", Basis::Computed)
    };
    rows.push(ThenNow { label: "Colonies".into(), then: then.map(alive), now: Some(alive(now)) });
    rows
}

/// Daily light at the colonies, from the least to the most.
pub fn daily_light(view: &View) -> Option<Shown> {
    let keys = view.of.light.iter().filter_map(|light| light.dli.as_ref());
    let daily: Vec<f64> = keys.filter_map(|key| view.figure(key)).map(|figure| figure.value).collect();
    let low = daily.iter().copied().reduce(f64::min)?;
    let high = daily.iter().copied().fold(low, f64::max);
    Some(Shown::new(format!("{} to {}", fixed(low, 1), fixed(high, 1)), "mol/m²", Basis::Computed))
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

/// The story and its chapters.
pub fn pages(view: &View, then: &Dates) -> Vec<Page> {
    let chapters = &view.record.chapters;
    let videos = &view.record.videos;
    let mut pages = Vec::new();
    if !chapters.is_empty() {
        let body = StoryPage {
            standfirst: "How it was built and what came of it. Each chapter stands at its date, with today beside it."
                .into(),
            chapters: chapters.iter().map(|chapter| chapter_card(view, chapter)).collect(),
            videos: videos.iter().map(video::card).collect(),
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
            then_and_now: on.map(|on| rows(then.view(view, on).as_ref(), view)).unwrap_or_default(),
            settings: on.map(|on| settings::between(view, on, view.record.as_of, Until::Today)),
            losses: on.map(|on| since::losses(view, on)).unwrap_or_default(),
            since_then: on.map(|on| since::happened(view, on)).unwrap_or_default(),
            photos: on.map(|on| photos_around(view, on, chapter)).unwrap_or_default(),
            corrections: on.map(|on| since::corrections(view, on)).unwrap_or_default(),
            previous: place.checked_sub(1).map(|before| link(&chapters[before])),
            next: chapters.get(place + 1).map(link),
        };
        let description = chapter.summary.clone().unwrap_or_else(|| chapter.title.value.clone());
        let mut page =
            Page::new(path, "story", chapter.title.value.clone(), description, PageBody::Chapter(Box::new(body)));
        page.trail = vec![PlaceLink::new("Story", "story/index.html")];
        pages.push(page);
    }
    pages
}

/// Photos of the fortnight on either side that the chapter itself does not lead with.
fn photos_around(view: &View, on: Date, chapter: &Chapter) -> Vec<Photo> {
    let own = chapter.photo.as_ref().and_then(|photo| view.record.photo(&photo.value)).map(|photo| photo.path.clone());
    view.record
        .photos
        .values()
        .filter(|found| found.date.is_some_and(|date| crate::record::days_between(date, on).abs() <= 14))
        .filter(|found| Some(&found.path) != own.as_ref() && !found.is_private)
        .map(photo)
        .collect()
}
