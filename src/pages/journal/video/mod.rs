//! Videos: chapter marks tied to pages, settings as filmed beside today's, and the files that go with a video where it is published.

mod chapters_file;
pub mod description;

use super::compare;
use super::gear::device_link;
use super::settings::{self, Until};
use super::since;
use super::then::Dates;
use super::view::*;
use crate::pages::model::story::ThenNow;
use crate::pages::model::video::*;
use crate::pages::model::*;
use crate::record::{Parameter, Video};

pub fn card(video: &Video) -> VideoCard {
    let marks = super::water::counted(video.marks.len(), "chapter", "chapters");
    VideoCard {
        title: video.title.value.clone(),
        href: href(video),
        filmed: date_text(video.filmed.value),
        length: match video.length {
            Some(seconds) => format!("{}, {marks}", length_text(seconds)),
            None => marks,
        },
    }
}

fn href(video: &Video) -> String {
    format!("video/{}.html", video.key)
}

/// `24 min`, `1 h 2 min`, `45 s`.
fn length_text(seconds: u32) -> String {
    let parts = [(seconds / 3600, "h"), (seconds / 60 % 60, "min"), (seconds % 60, "s")];
    let told: Vec<String> =
        parts.iter().filter(|(count, _)| *count > 0).map(|(count, unit)| format!("{count}\u{a0}{unit}")).collect();
    told.join(" ")
}

/// The list of videos and a page for each, with their files by path.
pub fn pages(view: &View, then: &Dates) -> (Vec<Page>, Vec<(String, String)>) {
    let videos = &view.record.videos;
    if videos.is_empty() {
        return (Vec::new(), Vec::new());
    }
    let body = VideosPage {
        standfirst: "Moments of each video tied to pages of this record, with the settings as filmed and today.".into(),
        videos: videos.iter().map(card).collect(),
    };
    let mut pages = vec![Page::new(
        "video/index.html",
        "videos",
        "Videos",
        "Chapter marks tied to pages.",
        PageBody::Videos(Box::new(body)),
    )];
    let mut files = Vec::new();
    for video in videos {
        let filmed = then.view(view, video.filmed.value);
        let description = filmed.as_ref().map(|then| description::write(view, then, video)).unwrap_or_default();
        let track = chapters_file::write(video);
        let rows = super::story::rows(filmed.as_ref(), view);
        pages.push(page(view, video, rows, &description, track.is_some()));
        files.extend(track.map(|track| (file(video, "vtt"), track)));
        if !description.is_empty() {
            files.push((file(video, "txt"), format!("{description}\n")));
        }
    }
    (pages, files)
}

fn file(video: &Video, extension: &str) -> String {
    format!("video/{}.{extension}", video.key)
}

fn page(view: &View, video: &Video, then_and_now: Vec<ThenNow>, description: &str, has_track: bool) -> Page {
    let filmed = video.filmed.value;
    let body = VideoPage {
        title: video.title.value.clone(),
        standfirst: format!("Filmed {}; the record has gone on since.", date_text(filmed).text),
        filmed: date_text(filmed),
        published: video.published.as_ref().map(|published| date_text(published.value)),
        length: video.length.map(length_text).unwrap_or_default(),
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
                watch_href: video.moment(mark.seconds),
                title: mark.title.clone(),
                page: mark.page.as_ref().and_then(|page| mark_page(view, &page.value)),
            })
            .collect(),
        sides: compare::filmed_sides(view, filmed),
        settings: settings::between(view, filmed, view.record.as_of, Until::Today),
        then_and_now,
        losses: since::losses(view, filmed),
        since_then: since::happened(view, filmed),
        corrections: since::corrections(view, filmed),
        track: has_track.then(|| PlaceLink::new(format!("{}.vtt", video.key), file(video, "vtt"))),
        track_missing: if has_track || video.marks.is_empty() {
            String::new()
        } else {
            "A chapters file needs the end of the last chapter: write the video’s `length`.".into()
        },
        description: description.into(),
        description_file: (!description.is_empty())
            .then(|| PlaceLink::new(format!("{}.txt", video.key), file(video, "txt"))),
        description_note: format!(
            "{} characters, of {} at most",
            description::length(description),
            video.description_limit
        ),
    };
    let mut page = Page::new(
        href(video),
        "videos",
        video.title.value.clone(),
        format!("Chapter marks of {}, with settings as filmed and today.", video.title.value),
        PageBody::Video(Box::new(body)),
    );
    page.trail = vec![PlaceLink::new("Videos", "video/index.html")];
    page
}

/// The page a chapter mark names: `equipment/lamp`, `water/nitrate`, `light`.
pub fn mark_page(view: &View, named: &str) -> Option<PlaceLink> {
    let (room, name) = named.split_once('/').unwrap_or((named, ""));
    Some(match room {
        "story" => {
            let chapter = view.record.chapters.iter().find(|chapter| chapter.key == name)?;
            PlaceLink::new(chapter.title.value.clone(), format!("story/{name}.html"))
        }
        "colony" => PlaceLink::new(view.record.colonies.get(name)?.name.value.clone(), super::colony::href(name)),
        "equipment" => device_link(view, name),
        "water" => {
            let parameter = Parameter::from_key(name)?;
            if !view.of.water.contains_key(&parameter) {
                return None;
            }
            PlaceLink::new(parameter.shown(), view.href(&format!("water/{name}.html")))
        }
        "light" | "power" | "movement" | "heat" | "upkeep" => {
            PlaceLink::new(sentence_case(room), view.href(&format!("{room}.html")))
        }
        _ => return None,
    })
}
