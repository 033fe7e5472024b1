//! Chapters, videos and photos.

use jiff::civil::{Date, DateTime};

use super::timeline::Located;
use crate::diagnostic::Place;

#[derive(Clone, Debug, PartialEq)]
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

#[derive(Clone, Debug, PartialEq)]
pub struct Video {
    pub key: String,
    pub title: Located<String>,
    pub filmed: Located<Date>,
    pub published: Option<Located<Date>>,
    /// Where it can be watched.
    pub address: Option<Located<String>>,
    /// The address of a moment of it, with `{seconds}` in the place of the seconds from its start.
    pub moment_address: Option<Located<String>>,
    /// Seconds.
    pub length: Option<u32>,
    /// So many characters its description may have.
    pub description_limit: usize,
    /// In order of time.
    pub marks: Vec<ChapterMark>,
    pub place: Place,
}

/// What the common hosts of videos take for a description, in characters: common practice, no source.
pub const DESCRIPTION_LIMIT: usize = 5000;

impl Video {
    /// Each chapter with the second at which it ends: where the next one begins, and the last with the video. The end of the last is not known
    /// without the video's length.
    pub fn stretches(&self) -> Vec<(&ChapterMark, Option<u32>)> {
        let ends = self.marks.iter().skip(1).map(|mark| Some(mark.seconds)).chain([self.length]);
        self.marks.iter().zip(ends).collect()
    }

    /// The address at which a moment is watched: by the keeper's pattern, else by a temporal fragment in seconds (W3C Media
    /// Fragments URI 1.0, 4.2.1), which a host that does not know it ignores.
    pub fn moment(&self, seconds: u32) -> Option<String> {
        if let Some(pattern) = &self.moment_address {
            return Some(pattern.value.replace("{seconds}", &seconds.to_string()));
        }
        let address = &self.address.as_ref()?.value;
        let whole = address.split('#').next().unwrap_or_default();
        Some(if seconds == 0 { address.clone() } else { format!("{whole}#t={seconds}") })
    }
}

#[derive(Clone, Debug, PartialEq)]
pub struct ChapterMark {
    pub at: String,
    /// Seconds from the start.
    pub seconds: u32,
    pub title: String,
    pub page: Option<Located<String>>,
}

/// A photo of the record with all that is known of it.
#[derive(Clone, Debug, PartialEq)]
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
    /// Only what is private names it: it is neither shown nor published.
    pub is_private: bool,
}
