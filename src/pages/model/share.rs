//! What a page tells to programs that link to it: its address, a picture, and what it is.

use serde::Serialize;

use super::parts::Html;

/// Only there when the record says where the journal is published.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Share {
    /// The whole address of the page: `https://example.org/reef/water/nitrate.html`.
    pub canonical: String,
    /// `website` for front pages, else `article`.
    pub kind: String,
    /// When it was written, for entries and chapters: `2026-10-10T18:10:00+01:00`.
    pub written: Option<String>,
    pub picture: Option<SharePicture>,
    /// What the page is, in the words of schema.org, as JSON-LD without a `<`.
    pub data: Html,
}

/// The picture beside a link to the page.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SharePicture {
    /// The whole address of the picture.
    pub address: String,
    /// Where it lies in the edition: `photos/2026-10-10-front-share.jpg`.
    pub file: String,
    pub width: u32,
    pub height: u32,
    /// What it shows, in words.
    pub alt: String,
}
