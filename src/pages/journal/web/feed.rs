//! The feed of entries, chapters and videos: Atom, RFC 4287. Its dates are the record's; no clock is read.

use jiff::ZonedDateTime;
use jiff::civil::DateTime;

use crate::pages::journal::story;
use crate::pages::journal::view::*;
use crate::pages::markdown;
use crate::pages::markup::escape;
use crate::pages::model::*;
use crate::record::Site;

use super::FEED;

/// So many of the newest are in the feed: about a month of daily notes. Common practice, no source; RFC 4287 sets no limit.
const MOST: usize = 30;

/// One element of the feed, before it is written.
struct Item {
    /// Seconds of universal time, for the order.
    at: i64,
    /// RFC 3339, with the offset of the tank's zone.
    updated: String,
    path: String,
    title: String,
    summary: String,
    /// With whole addresses only, since a reader shows it elsewhere.
    html: String,
    category: &'static str,
}

/// A moment at a tank as RFC 3339 wants it.
pub fn moment(view: &View, when: DateTime) -> Option<String> {
    Some(written(&zoned(view, when)?))
}

fn zoned(view: &View, when: DateTime) -> Option<ZonedDateTime> {
    view.tank.zone.to_ambiguous_zoned_datetime(when).compatible().ok()
}

fn written(moment: &ZonedDateTime) -> String {
    moment.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string()
}

pub fn write(views: &[View], site: &Site) -> String {
    let mut items: Vec<Item> = views.iter().flat_map(|view| entries(view, site, views.len() > 1)).collect();
    if let Some(main) = views.first() {
        items.extend(chapters(main, site));
        items.extend(videos(main, site));
    }
    items.sort_by(|a, b| b.at.cmp(&a.at).then_with(|| a.path.cmp(&b.path)));
    items.truncate(MOST);
    let tank = views[0].tank;
    let address = |path: &str| escape(&site.address.value.of(path));
    let name = escape(&tank.name.value);
    // A record without an entry yet: nothing is newer than the first fill.
    let began = moment(&views[0], tank.started.value.at(0, 0, 0, 0)).unwrap_or_default();
    let updated = items.first().map_or(&began, |item| &item.updated);
    let author = super::author(views[0].record, site);
    let mut xml = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    xml.push_str("<feed xmlns=\"http://www.w3.org/2005/Atom\" xml:lang=\"en\">\n");
    xml.push_str(&format!("<title>{name}</title>\n"));
    if let Some(about) = &tank.about {
        xml.push_str(&format!("<subtitle>{}</subtitle>\n", escape(about)));
    }
    xml.push_str(&format!("<id>{}</id>\n", escape(&identifier(site, "index.html"))));
    xml.push_str(&format!("<updated>{updated}</updated>\n"));
    xml.push_str(&format!("<author><name>{}</name></author>\n", escape(&author)));
    xml.push_str(&format!("<link rel=\"self\" type=\"application/atom+xml\" href=\"{}\"/>\n", address(FEED)));
    xml.push_str(&format!("<link rel=\"alternate\" type=\"text/html\" href=\"{}\"/>\n", address("index.html")));
    for item in &items {
        xml.push_str(&format!(
            "<entry>\n<title>{}</title>\n<id>{}</id>\n<published>{updated}</published>\n<updated>{updated}</updated>\n\
             <link rel=\"alternate\" type=\"text/html\" href=\"{}\"/>\n<category term=\"{}\"/>\n",
            escape(&item.title),
            escape(&identifier(site, &item.path)),
            address(&item.path),
            item.category,
            updated = item.updated,
        ));
        if !item.summary.is_empty() {
            xml.push_str(&format!("<summary>{}</summary>\n", escape(&item.summary)));
        }
        xml.push_str(&format!("<content type=\"html\">{}</content>\n</entry>\n", escape(&item.html)));
    }
    xml.push_str("</feed>\n");
    xml
}

/// What stays the same for good: a tag (RFC 4151) below the keeper's own authority, else the page's address.
fn identifier(site: &Site, path: &str) -> String {
    match &site.feed_tag {
        Some(tag) => {
            let whole = site.address.value.of(path);
            let specific = whole.strip_prefix(site.address.value.as_str()).unwrap_or_default();
            let specific = specific.strip_suffix(".html").unwrap_or(specific);
            format!("tag:{}:{}", tag.value, if specific.is_empty() { "journal" } else { specific })
        }
        None => site.address.value.of(path),
    }
}

fn item(view: &View, when: DateTime, path: String, title: String, category: &'static str) -> Option<Item> {
    let zoned = zoned(view, when)?;
    Some(Item {
        at: zoned.timestamp().as_second(),
        updated: written(&zoned),
        path,
        title,
        summary: String::new(),
        html: String::new(),
        category,
    })
}

/// Entries that say something: a quiet one is no news.
fn entries(view: &View, site: &Site, is_one_of_many: bool) -> Vec<Item> {
    let count = view.tank.entries.len();
    (0..count)
        .rev()
        .filter(|index| !view.tank.entries[*index].quiet)
        .take(MOST)
        .filter_map(|index| {
            let card = view.entry_card(index);
            let whose = if is_one_of_many { format!("{}: ", view.tank.name.value) } else { String::new() };
            let mut item =
                item(view, view.tank.entries[index].when, card.href.clone(), whose + &card.heading, "entry")?;
            let facts: Vec<(String, String)> =
                card.facts.iter().map(|fact| (fact.label.clone(), plain(&fact.runs))).collect();
            let told: Vec<String> = facts.iter().map(|(label, text)| format!("{label}: {text}")).collect();
            item.summary = if card.text.is_empty() { told.join("; ") } else { card.text.clone() };
            if !card.text.is_empty() {
                item.html.push_str(&format!("<p>{}</p>", escape(&card.text)));
            }
            if !facts.is_empty() {
                let list: String =
                    facts.iter().map(|(label, text)| format!("<li>{}: {}</li>", escape(label), escape(text))).collect();
                item.html.push_str(&format!("<ul>{list}</ul>"));
            }
            if let Some(photo) = card.photo.as_ref().filter(|photo| !photo.missing) {
                item.html.push_str(&picture(site, photo));
            }
            Some(item)
        })
        .collect()
}

/// Chapters with a date; one without cannot be placed.
fn chapters(view: &View, site: &Site) -> Vec<Item> {
    view.record
        .chapters
        .iter()
        .filter_map(|chapter| {
            let on = chapter.on.as_ref()?.value;
            let path = format!("story/{}.html", chapter.key);
            let mut item = item(view, on.at(0, 0, 0, 0), path, chapter.title.value.clone(), "chapter")?;
            item.summary = chapter.summary.clone().unwrap_or_default();
            if let Some(photo) =
                chapter.photo.as_ref().and_then(|photo| view.photo(&photo.value)).filter(|p| !p.missing)
            {
                item.html.push_str(&picture(site, &photo));
            }
            let prose = markdown::render(&chapter.prose, site.address.value.as_str(), &story::RecordSurroundings(view));
            item.html.push_str(prose.as_str());
            Some(item)
        })
        .collect()
}

/// Videos that are out by the date of the journal.
fn videos(view: &View, site: &Site) -> Vec<Item> {
    view.record
        .videos
        .iter()
        .filter_map(|video| {
            let out = video.published.as_ref().unwrap_or(&video.filmed).value;
            if out > view.record.as_of {
                return None;
            }
            let path = format!("video/{}.html", video.key);
            let page = escape(&site.address.value.of(&path));
            let mut item = item(view, out.at(0, 0, 0, 0), path, video.title.value.clone(), "video")?;
            item.summary =
                format!("Filmed {}, with its settings as filmed and today.", date_text(video.filmed.value).text);
            let marks: String = video
                .marks
                .iter()
                .map(|mark| format!("<li>{} {}</li>", escape(&mark.at), escape(&mark.title)))
                .collect();
            item.html = format!("<p><a href=\"{page}\">{}</a></p><ul>{marks}</ul>", escape(&item.summary));
            Some(item)
        })
        .collect()
}

fn picture(site: &Site, photo: &Photo) -> String {
    format!(
        "<p><img src=\"{}\" width=\"{}\" height=\"{}\" alt=\"{}\"></p>",
        escape(&site.address.value.of(&photo.path)),
        photo.width,
        photo.height,
        escape(&photo.alt)
    )
}
