//! Photographs: the contact sheet, and a page for each.

use serde::Serialize;

use super::parts::*;

/// `photo/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PhotosPage {
    pub standfirst: String,
    /// Oldest first; photos without a date come last.
    pub years: Vec<PhotoYear>,
}

/// The photos of one year on the contact sheet.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PhotoYear {
    /// `year-2026`.
    pub id: String,
    /// `2026`.
    pub title: String,
    /// `21 photos`.
    pub count: String,
    pub photos: Vec<Photo>,
}

/// `photo/2026-10-10-front.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PhotoPage {
    /// What it shows: `Finger leather`.
    pub title: String,
    /// `Photo 41 of 45`.
    pub number: String,
    pub photo: Photo,
    /// What it shows, when, under which light, and where it is told of.
    pub facts: Vec<Fact>,
    /// The photos of the same subject from the same side, this one among them, in order of date.
    pub series: Option<PhotoSeries>,
    pub previous: Option<PlaceLink>,
    pub next: Option<PlaceLink>,
}
