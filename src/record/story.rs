//! Chapters, videos and photos.

use jiff::civil::{Date, DateTime};

use super::timeline::Located;
use crate::diagnostic::Place;

#[derive(Clone, Debug)]
pub struct Chapter {
    pub key: String,
    pub title: Located<String>,
    pub order: Located<u32>,
    pub on: Option<Located<Date>>,
    pub photo: Option<Located<String>>,
    pub summary: Option<String>,
    pub prose: String,
    pub place: Place,
}

#[derive(Clone, Debug)]
pub struct Video {
    pub key: String,
    pub title: Located<String>,
    pub filmed: Located<Date>,
    pub published: Option<Located<Date>>,
    pub address: Option<Located<String>>,
    pub marks: Vec<ChapterMark>,
    pub place: Place,
}

#[derive(Clone, Debug)]
pub struct ChapterMark {
    pub at: String,
    /// Seconds from the start.
    pub seconds: u32,
    pub title: String,
    pub page: Option<Located<String>>,
}

/// A photo of the record with all that is known of it.
#[derive(Clone, Debug)]
pub struct Photo {
    /// Relative path, `photos/…`.
    pub path: String,
    pub absolute: std::path::PathBuf,
    pub bytes: u64,
    pub modified: (u64, u32),
    /// Stored size and EXIF orientation; `None` when the file could not be read.
    pub header: Option<(u32, u32, u8)>,
    pub date: Option<Date>,
    pub taken: Option<DateTime>,
    pub caption: Option<String>,
    pub of: Vec<String>,
    pub view: Option<String>,
    pub lamp: Option<String>,
    pub place: Option<Place>,
}
