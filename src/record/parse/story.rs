//! `story/*.md`, `video/*.yaml` and `photos/captions.yaml`.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::diagnostic::{Kind, Place};
use crate::read::{Document, Node};
use crate::record::fields::{self, Context, Fields};
use crate::record::story::*;
use crate::record::timeline::Located;

pub fn chapter(document: &Document, context: &mut Context) -> Option<Chapter> {
    let mut map = Fields::of(&document.root, "a chapter", context)?;
    let title = map.need("title", "title: The dry layout", context).and_then(|node| fields::text(node, context));
    let order =
        map.need("order", "order: 1", context).and_then(|node| fields::text(node, context)).and_then(
            |typed| match typed.value.parse::<u32>() {
                Ok(order) => Some(Located::new(order, typed.place)),
                Err(_) => {
                    let kind = Kind::NotANumber { typed: typed.value, wanted: "a whole number, as `order: 1`".into() };
                    context.note(kind, &typed.place);
                    None
                }
            },
        );
    let on = map.past_date("on", context);
    let photo = map.text("photo", context);
    let summary = map.plain("summary", context);
    let place = map.place().clone();
    map.finish(context);
    let prose = document.body.as_ref().map(|body| body.text.clone()).unwrap_or_default();
    Some(Chapter { key: document.name.clone(), title: title?, order: order?, on, photo, summary, prose, place })
}

pub fn video(document: &Document, context: &mut Context) -> Option<Video> {
    let mut map = Fields::of(&document.root, "a video", context)?;
    let title = map.need("title", "title: The first half-year", context).and_then(|node| fields::text(node, context));
    let filmed = map.need("filmed", "filmed: 2025-04-12", context).and_then(|node| fields::past_date(node, context));
    let published = map.date("published", context);
    let address = map.text("address", context);
    map.duration("length", context);
    let marks = map
        .take("chapters")
        .map(fields::items)
        .unwrap_or_default()
        .into_iter()
        .filter_map(|item| mark(item, context))
        .collect();
    let place = map.place().clone();
    map.finish(context);
    Some(Video { key: document.name.clone(), title: title?, filmed: filmed?, published, address, marks, place })
}

fn mark(node: &Node, context: &mut Context) -> Option<ChapterMark> {
    let mut map = Fields::of(node, "a chapter mark", context)?;
    let at = map.need("at", "at: 12:37", context).and_then(|node| fields::text(node, context));
    let title = map.need("title", "title: The lamp", context).and_then(|node| fields::text(node, context));
    let page = map.text("page", context);
    map.finish(context);
    let at = at?;
    let Some(seconds) = seconds_of(&at.value) else {
        let kind =
            Kind::NotANumber { typed: at.value, wanted: "a moment of the video, as `12:37` or `1:02:30`".into() };
        context.note(kind, &at.place);
        return None;
    };
    Some(ChapterMark { at: at.value, seconds, title: title?.value, page })
}

/// `12:37` or `1:02:30` from the start of a video.
fn seconds_of(typed: &str) -> Option<u32> {
    let parts: Vec<&str> = typed.split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    let mut seconds = 0u32;
    for (place, part) in parts.iter().enumerate() {
        let number: u32 = part.parse().ok()?;
        if place > 0 && number > 59 {
            return None;
        }
        seconds = seconds.checked_mul(60)?.checked_add(number)?;
    }
    Some(seconds)
}

/// What the record says of a photo in `photos/captions.yaml`.
#[derive(Clone, Debug, Default)]
pub struct Caption {
    pub caption: Option<String>,
    pub of: Vec<String>,
    pub view: Option<String>,
    pub lamp: Option<String>,
    pub on: Option<Date>,
}

/// Captions by file, relative to `photos/`, with the place of each key.
pub fn captions(document: &Document, context: &mut Context) -> BTreeMap<String, (Caption, Place)> {
    let mut found = BTreeMap::new();
    let crate::read::Content::Map(pairs) = &document.root.content else {
        if let Some(map) = Fields::of(&document.root, "captions", context) {
            map.finish(context);
        }
        return found;
    };
    for (key, value) in pairs {
        let Some(file) = fields::text(key, context) else {
            continue;
        };
        if let Some(caption) = caption(value, context) {
            found.insert(file.value, (caption, file.place));
        }
    }
    found
}

fn caption(node: &Node, context: &mut Context) -> Option<Caption> {
    if matches!(node.content, crate::read::Content::Scalar { .. }) {
        return fields::text(node, context)
            .map(|caption| Caption { caption: Some(caption.value), ..Caption::default() });
    }
    let mut map = Fields::of(node, "a caption", context)?;
    let caption = Caption {
        caption: map.plain("caption", context),
        of: names(&mut map, context),
        view: map.plain("view", context),
        lamp: map.plain("lamp", context),
        on: map.past_date("on", context).map(|on| on.value),
    };
    map.finish(context);
    Some(caption)
}

/// `of: leather` or `of: [leather, sponge]`.
pub fn names(map: &mut Fields, context: &mut Context) -> Vec<String> {
    map.take("of")
        .map(fields::items)
        .unwrap_or_default()
        .into_iter()
        .filter_map(|item| fields::name(item, context).map(|name| name.value))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::seconds_of;

    #[test]
    fn moments_of_a_video() {
        assert_eq!(seconds_of("12:37"), Some(757));
        assert_eq!(seconds_of("1:02:30"), Some(3750));
        assert_eq!(seconds_of("0:00"), Some(0));
        for bad in ["12", "12:60", "a:b", "1:2:3:4", "-1:00"] {
            assert_eq!(seconds_of(bad), None, "{bad}");
        }
    }
}
