//! What a page is, in the words of schema.org, as JSON-LD 1.1. Only what the record says: no rating, no price, no licence that
//! nobody gave.

use serde_json::{Map, Value, json};

use crate::pages::journal::view::View;
use crate::pages::model::share::Share;
use crate::pages::model::*;
use crate::record::{Record, Site, Video};

/// JSON that may stand in a page: nothing in it ends an element (HTML, 4.12.1.3).
pub fn of(view: &View, site: &Site, home: &str, page: &Page, share: &Share) -> Html {
    let mut graph = vec![page_node(view, site, page, share)];
    if page.path == "index.html" {
        graph.push(website(view, site));
        graph.push(dataset(view, site));
    }
    if let Some(trail) = breadcrumbs(site, home, page) {
        graph.push(trail);
    }
    let text = json!({"@context": "https://schema.org", "@graph": graph}).to_string();
    Html::trusted(text.replace('<', "\\u003c"))
}

fn author(record: &Record, site: &Site) -> Value {
    json!({"@type": "Person", "name": super::author(record, site)})
}

fn website_id(site: &Site) -> Value {
    json!({"@id": format!("{}#website", site.address.value.as_str())})
}

fn website(view: &View, site: &Site) -> Value {
    let mut node = json!({
        "@type": "WebSite",
        "@id": website_id(site)["@id"],
        "url": site.address.value.as_str(),
        "name": view.tank.name.value,
        "inLanguage": "en",
        "author": author(view.record, site),
    });
    if let Some(about) = &view.tank.about {
        node["description"] = json!(about);
    }
    node
}

/// The record's figures as data that can be taken away.
fn dataset(view: &View, site: &Site) -> Value {
    let quantities: Vec<Value> = view
        .of
        .water
        .values()
        .map(|state| json!({"@type": "PropertyValue", "name": state.parameter.shown(), "unitText": state.parameter.unit()}))
        .collect();
    json!({
        "@type": "Dataset",
        "@id": format!("{}#figures", site.address.value.as_str()),
        "name": format!("Figures of {}", view.tank.name.value),
        "description": format!(
            "Every figure worked out from the record of the reef tank {}, with its formula, inputs, uncertainty and source.",
            view.tank.name.value
        ),
        "url": site.address.value.as_str(),
        "creator": author(view.record, site),
        "isPartOf": website_id(site),
        "isAccessibleForFree": true,
        "inLanguage": "en",
        "temporalCoverage": format!("{}/{}", view.tank.started.value, view.record.as_of),
        "dateModified": view.record.as_of.to_string(),
        "variableMeasured": quantities,
        "distribution": {
            "@type": "DataDownload",
            "contentUrl": site.address.value.of("figures.json"),
            "encodingFormat": "application/json",
        },
    })
}

fn page_node(view: &View, site: &Site, page: &Page, share: &Share) -> Value {
    let is_article = matches!(page.body, PageBody::Chapter(_) | PageBody::Entry(_));
    let mut node = Map::new();
    let mut put = |key: &str, value: Value| {
        node.insert(key.into(), value);
    };
    put("@type", json!(if is_article { "Article" } else { "WebPage" }));
    put("@id", json!(format!("{}#page", share.canonical)));
    put("url", json!(share.canonical));
    put(if is_article { "headline" } else { "name" }, json!(page.title));
    put("description", json!(page.description));
    put("inLanguage", json!("en"));
    put("isPartOf", website_id(site));
    put("dateModified", json!(view.record.as_of.to_string()));
    if let Some(written) = &share.written {
        put("dateCreated", json!(written));
    }
    if is_article {
        put("author", author(view.record, site));
    }
    let shows_its_own = !matches!(page.body, PageBody::Front(_) | PageBody::Colony(_)) || share.picture.is_none();
    if let Some(picture) = share.picture.as_ref().filter(|_| is_article || !shows_its_own) {
        let image = json!({
            "@type": "ImageObject",
            "contentUrl": picture.address,
            "width": pixels(picture.width),
            "height": pixels(picture.height),
            "caption": picture.alt,
        });
        put(if is_article { "image" } else { "primaryImageOfPage" }, image);
    }
    match &page.body {
        PageBody::Colony(_) => {
            let key = page.path.trim_start_matches("colony/").trim_end_matches(".html");
            if let Some(colony) = view.record.colonies.get(key) {
                let mut about = json!({"@type": "Thing", "name": colony.name.value});
                if let Some(identity) = &colony.identity {
                    about["identifier"] = json!(identity.value);
                }
                put("about", about);
            }
        }
        PageBody::Video(_) => {
            let key = page.path.trim_start_matches("video/").trim_end_matches(".html");
            if let Some(video) = view.record.videos.iter().find(|video| video.key == key) {
                put("mainEntity", video_node(view, video, &page.description));
            }
        }
        _ => {}
    }
    Value::Object(node)
}

/// A length of a picture: a bare number is no length to schema.org. E37 is the pixel of UN/ECE Recommendation 20 (code from memory).
fn pixels(count: u32) -> Value {
    json!({"@type": "QuantitativeValue", "value": count, "unitCode": "E37", "unitText": "px"})
}

fn video_node(view: &View, video: &Video, description: &str) -> Value {
    let mut node = json!({
        "@type": "VideoObject",
        "name": video.title.value,
        "description": description,
        "dateCreated": video.filmed.value.to_string(),
    });
    // A day on which it is to come out is a plan until then.
    if let Some(out) = video.published.as_ref().filter(|out| out.value <= view.record.as_of) {
        node["uploadDate"] = json!(out.value.to_string());
    }
    if let Some(length) = video.length {
        node["duration"] = json!(format!("PT{length}S"));
    }
    if let Some(address) = video.address.as_ref().map(|address| &address.value) {
        node["url"] = json!(address);
    }
    let clips: Vec<Value> = video
        .stretches()
        .into_iter()
        .map(|(mark, end)| {
            let mut clip = json!({"@type": "Clip", "name": mark.title, "startOffset": mark.seconds});
            if let Some(end) = end {
                clip["endOffset"] = json!(end);
            }
            if let Some(address) = video.moment(mark.seconds) {
                clip["url"] = json!(address);
            }
            clip
        })
        .collect();
    if !clips.is_empty() {
        node["hasPart"] = json!(clips);
    }
    node
}

/// The pages above this one, the front page first.
fn breadcrumbs(site: &Site, home: &str, page: &Page) -> Option<Value> {
    let above: Vec<(&str, &str)> = page
        .trail
        .iter()
        .filter_map(|step| Some((step.text.as_str(), step.href.as_deref()?.split('#').next()?)))
        .collect();
    if page.path == "index.html" {
        return None;
    }
    let mut steps = vec![(home, "index.html")];
    steps.extend(above);
    steps.push((page.title.as_str(), page.path.as_str()));
    let items: Vec<Value> = steps
        .into_iter()
        .enumerate()
        .map(|(index, (name, path))| {
            json!({"@type": "ListItem", "position": index + 1, "name": name, "item": site.address.value.of(path)})
        })
        .collect();
    Some(json!({"@type": "BreadcrumbList", "itemListElement": items}))
}
