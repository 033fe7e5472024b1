//! Videos: chapter marks tied to pages, and settings as filmed beside today's.

use serde::Serialize;

use super::equipment::SettingsThen;
use super::parts::*;

/// `video/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct VideosPage {
    pub standfirst: String,
    pub videos: Vec<VideoCard>,
}

/// A video in a list.
#[derive(Debug, Clone, Default, Serialize)]
pub struct VideoCard {
    pub title: String,
    pub href: String,
    pub filmed: DateText,
    /// `18 min, 9 chapters`.
    pub length: String,
}

/// `video/NAME.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct VideoPage {
    pub title: String,
    pub standfirst: String,
    pub filmed: DateText,
    pub published: Option<DateText>,
    pub length: String,
    /// Where it can be watched; text only leads out of the journal when chosen.
    pub watch: Option<PlaceLink>,
    pub chapters: Vec<VideoChapter>,
    /// The tank on the day of filming, and now.
    pub sides: Vec<super::back::CompareSide>,
    /// How the devices were set when filmed, beside today.
    pub settings: SettingsThen,
    /// The water and the tank when filmed, beside today.
    pub then_and_now: Vec<super::story::ThenNow>,
    /// Colonies and devices of then that are gone.
    pub losses: Vec<DatedText>,
    /// What happened after it was filmed.
    pub since_then: Vec<DatedText>,
    /// What the keeper corrected after it was published.
    pub corrections: Vec<DatedText>,
    /// The chapters as a text track (WebVTT).
    pub track: Option<PlaceLink>,
    /// What the track lacks; empty when it is there or there are no chapters.
    pub track_missing: String,
    /// The text to paste under the video.
    pub description: String,
    /// The same as a file.
    pub description_file: Option<PlaceLink>,
    /// `4812 characters, of 5000 at most`.
    pub description_note: String,
}

/// One chapter mark.
#[derive(Debug, Clone, Default, Serialize)]
pub struct VideoChapter {
    /// `at-12-37`.
    pub id: String,
    /// `12:37`.
    pub at: String,
    /// Where that moment is watched.
    pub watch_href: Option<String>,
    pub title: String,
    /// The page of the record it is about.
    pub page: Option<PlaceLink>,
}
