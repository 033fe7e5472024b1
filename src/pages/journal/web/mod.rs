//! The journal as other programs meet it: addresses, a feed, a map of the site, and data about each page. All of it needs an
//! address to begin with, and without one there is none of it.

mod feed;
mod linked_data;
mod sitemap;

use super::view::View;
use super::{Section, published_sizes};
use crate::pages::model::share::{Share, SharePicture};
use crate::pages::model::*;
use crate::record::{Record, Site};

/// Path of the feed in the edition.
pub const FEED: &str = "feed.xml";

/// Width and height of the picture beside a link, in pixels: about 1.91 to 1. The protocol (Open Graph, ogp.me) names no size;
/// this one is common practice, no source.
const PREVIEW: (u32, u32) = (1200, 630);

/// Gives every page its address and what goes with it, and the journal its feed and map.
pub fn publish(views: &[View], sections: &mut [Section]) {
    let Some((view, site)) = views.first().and_then(|view| Some((view, view.record.site()?))) else {
        return;
    };
    let usual = sections.first().and_then(|section| section.pages.first()).and_then(|front| picture(site, front));
    for (section, view) in sections.iter_mut().zip(views) {
        let home = section.site.name.clone();
        for page in &mut section.pages {
            let picture = picture(site, page).or_else(|| usual.clone());
            let written = written(view, page);
            let mut share = Share {
                canonical: site.address.value.of(&page.path),
                kind: if matches!(page.body, PageBody::Front(_)) { "website" } else { "article" }.into(),
                written,
                picture,
                ..Share::default()
            };
            share.data = linked_data::of(view, site, &home, page, &share);
            page.share = Some(share);
        }
    }
    let files = {
        let mut files = vec![(FEED.to_string(), feed::write(views, site))];
        let pages = sections.iter().flat_map(|section| &section.pages).map(|page| page.path.as_str());
        files.extend(sitemap::write(pages, site, view.record.as_of));
        files
    };
    for section in sections.iter_mut() {
        section.site.feed_href = Some(FEED.into());
    }
    sections[0].files.extend(files);
}

/// Who keeps the record, as told to other programs.
fn author(record: &Record, site: &Site) -> String {
    let keeper = || record.main_tank().map(|tank| format!("The keeper of {}", tank.name.value)).unwrap_or_default();
    site.author.clone().unwrap_or_else(keeper)
}

/// When an entry or a chapter was written, as far as the record tells.
fn written(view: &View, page: &Page) -> Option<String> {
    match &page.body {
        PageBody::Entry(_) => {
            let slug = page.path.rsplit('/').next()?.strip_suffix(".html")?;
            let index = view.slugs.iter().position(|known| known == slug)?;
            feed::moment(view, view.tank.entries[index].when)
        }
        PageBody::Chapter(chapter) => chapter.date.as_ref().map(|date| date.iso.clone()),
        _ => None,
    }
}

/// The picture that a page leads with, cut for a preview; an entry's photo as it is published.
fn picture(site: &Site, page: &Page) -> Option<SharePicture> {
    let (photo, is_cut) = match &page.body {
        PageBody::Front(front) => (front.hero.as_ref(), true),
        PageBody::Chapter(chapter) => (chapter.photo.as_ref(), true),
        PageBody::Colony(colony) => (colony.photo.as_ref(), true),
        PageBody::Entry(entry) => (entry.photos.first(), false),
        _ => (None, false),
    };
    let photo = photo.filter(|photo| !photo.missing)?;
    let widest = photo.variants.last()?;
    let (file, width, height) = if is_cut {
        let (width, height) = preview_size(widest.width, widest.height);
        (format!("{}-share.jpg", stem_of(&widest.path)?), width, height)
    } else {
        (photo.path.clone(), photo.width, photo.height)
    };
    Some(SharePicture { address: site.address.value.of(&file), file, width, height, alt: photo.alt.clone() })
}

/// `photos/front` of `photos/front-1600.jpg`.
fn stem_of(published: &str) -> Option<&str> {
    published.rsplit_once('-').map(|(stem, _)| stem)
}

/// Files that previews are cut into, of those that pages name.
pub fn previews(sections: &[Section]) -> std::collections::BTreeSet<String> {
    let pages = sections.iter().flat_map(|section| &section.pages);
    let pictures = pages.filter_map(|page| page.share.as_ref()?.picture.as_ref());
    pictures.map(|picture| picture.file.clone()).filter(|file| file.ends_with("-share.jpg")).collect()
}

/// Size of the preview of a photo whose widest published size is this: never enlarged.
pub fn preview_size(width: u32, height: u32) -> (u32, u32) {
    let (across, down) = (f64::from(width), f64::from(height));
    let shape = f64::from(PREVIEW.0) / f64::from(PREVIEW.1);
    let fit = if across / down > shape { (down * shape, down) } else { (across, across / shape) };
    if fit.0 >= f64::from(PREVIEW.0) { PREVIEW } else { ((fit.0.floor() as u32).max(1), (fit.1.floor() as u32).max(1)) }
}

/// The same of a photo of this upright size, as it was taken.
pub fn preview_of(width: u32, height: u32) -> (u32, u32) {
    published_sizes(width, height).first().map_or((1, 1), |(width, height)| preview_size(*width, *height))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn previews_are_cut_and_never_enlarged() {
        assert_eq!(preview_of(4000, 3000), (1200, 630));
        assert_eq!(preview_of(1200, 630), (1200, 630));
        // Upright, 900 pixels wide: all of the width, and 900 / 1.9048 = 472.5 of the height.
        assert_eq!(preview_of(900, 1600), (900, 472));
        // A panorama of 1600 by 400 in its widest size: all of the height, and 400 · 1.9048 = 761.9 of the width.
        assert_eq!(preview_of(3200, 800), (761, 400));
        assert_eq!(preview_of(1, 1), (1, 1));
    }
}
