//! The story: chapters of the build, each with the tank as it was on its date beside the tank today.

use serde::Serialize;

use super::parts::*;

/// `story/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct StoryPage {
    pub standfirst: String,
    pub chapters: Vec<ChapterCard>,
    pub videos: Vec<super::video::VideoCard>,
}

/// A chapter in a list.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ChapterCard {
    /// `1`.
    pub number: String,
    pub title: String,
    pub href: String,
    pub summary: String,
    pub date: Option<DateText>,
    pub photo: Option<Photo>,
}

/// `story/NAME.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ChapterPage {
    pub number: String,
    pub title: String,
    pub summary: String,
    /// The date its words and numbers stand at.
    pub date: Option<DateText>,
    pub photo: Option<Photo>,
    /// The chapter's words.
    pub prose: Html,
    /// The same figures at the chapter's date and today.
    pub then_and_now: Vec<ThenNow>,
    /// How devices were set on its date, beside today.
    pub settings: Option<super::equipment::SettingsThen>,
    /// Colonies and devices of then that are gone.
    pub losses: Vec<DatedText>,
    /// What happened to the subject since the chapter's date.
    pub since_then: Vec<DatedText>,
    /// Photos around the chapter's date.
    pub photos: Vec<Photo>,
    /// What the keeper wrote later to correct the chapter.
    pub corrections: Vec<DatedText>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}

/// One figure at two dates.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ThenNow {
    pub label: String,
    /// Missing when the record held too little then.
    pub then: Option<Shown>,
    pub now: Option<Shown>,
}
