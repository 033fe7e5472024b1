//! `story/*.md`, `video/*.yaml` and `photos/captions.yaml`.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::diagnostic::{Diagnostic, Kind, Place};
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
    let address = map.text("address", context).filter(|typed| is_of_the_web(typed, context));
    let moment_address = map.text("moment-address", context).filter(|typed| moment_pattern(typed, context));
    let length = map.take("length").and_then(|node| running_time(node, context));
    let description_limit = map.text("description-limit", context).and_then(|typed| limit(typed, context));
    let marks: Vec<(ChapterMark, Place)> = fields::each(map.take("chapters"), |item| mark(item, context));
    let place = map.place().clone();
    map.finish(context);
    in_order(&marks, length.as_ref(), context);
    if let (Some(filmed), Some(published)) = (&filmed, &published)
        && published.value < filmed.value
    {
        let kind = Kind::Contradiction {
            what: format!("a video published on {} before it was filmed", published.value),
            why: format!("it was filmed on {}", filmed.value),
            suggestion: None,
        };
        context.note(kind, &published.place);
    }
    Some(Video {
        key: document.name.clone(),
        title: title?,
        filmed: filmed?,
        published,
        address,
        moment_address,
        length: length.map(|length| length.value).filter(|seconds| *seconds > 0),
        description_limit: description_limit.unwrap_or(DESCRIPTION_LIMIT),
        marks: marks.into_iter().map(|(mark, _)| mark).collect(),
        place,
    })
}

/// Seconds, from `16:20` as a player shows it, or from `16 min`.
fn running_time(node: &Node, context: &mut Context) -> Option<Located<u32>> {
    let typed = fields::text(node, context)?;
    if let Some(seconds) = seconds_of(&typed.value) {
        return Some(Located::new(seconds, typed.place));
    }
    let hours = fields::duration(node, "length", context)?;
    Some(Located::new((hours.value * 3600.0).round() as u32, hours.place))
}

/// Chapters follow each other and begin while the video runs: else one of them would end before it began.
fn in_order(marks: &[(ChapterMark, Place)], length: Option<&Located<u32>>, context: &mut Context) {
    for pair in marks.windows(2) {
        let ((before, _), (mark, place)) = (&pair[0], &pair[1]);
        if mark.seconds <= before.seconds {
            let kind = Kind::Contradiction {
                what: format!("a chapter at {} after one at {}", mark.at, before.at),
                why: "chapters are written in the order in which they come".into(),
                suggestion: None,
            };
            context.note(kind, place);
        }
    }
    let Some(length) = length else { return };
    for (mark, place) in marks.iter().filter(|(mark, _)| mark.seconds >= length.value) {
        let kind = Kind::Contradiction {
            what: format!("a chapter at {} of a video that is over by then", mark.at),
            why: "its `length` ends before this".into(),
            suggestion: None,
        };
        let diagnostic = Diagnostic::new(kind, place.clone());
        context.diagnostics.push(diagnostic.with_related(length.place.clone(), "the length"));
    }
}

fn is_of_the_web(typed: &Located<String>, context: &mut Context) -> bool {
    let is_web = ["https://", "http://"].iter().any(|scheme| typed.value.starts_with(scheme))
        && !typed.value.contains(|sign: char| sign.is_whitespace() || sign.is_control());
    if !is_web {
        let kind = Kind::BadAddress {
            typed: typed.value.clone(),
            why: "a page of the web begins with `https://` and has no spaces".into(),
            suggestion: None,
        };
        context.note(kind, &typed.place);
    }
    is_web
}

fn moment_pattern(typed: &Located<String>, context: &mut Context) -> bool {
    if !is_of_the_web(typed, context) {
        return false;
    }
    let has_place = typed.value.contains("{seconds}");
    if !has_place {
        let kind = Kind::BadAddress {
            typed: typed.value.clone(),
            why: "`{seconds}` stands where the seconds from the start belong".into(),
            suggestion: Some("moment-address: https://example.org/watch/reef?t={seconds}".into()),
        };
        context.note(kind, &typed.place);
    }
    has_place
}

/// Enough for a title and a few chapters, and no more than a page.
fn limit(typed: Located<String>, context: &mut Context) -> Option<usize> {
    let number = typed.value.parse::<usize>().ok().filter(|number| (200..=100_000).contains(number));
    if number.is_none() {
        let kind = Kind::NotANumber { typed: typed.value, wanted: "a number of characters from 200 to 100000".into() };
        context.note(kind, &typed.place);
    }
    number
}

fn mark(node: &Node, context: &mut Context) -> Option<(ChapterMark, Place)> {
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
    Some((ChapterMark { at: at.value, seconds, title: title?.value, page }, at.place))
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
#[derive(Clone, Debug, Default, PartialEq)]
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
    fields::each(map.take("of"), |item| fields::name(item, context).map(|name| name.value))
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
