//! Pages hang together: every link leads to a file and a place of the edition, and nothing is loaded from elsewhere.

use std::collections::{BTreeMap, BTreeSet};

use super::Edition;

/// Panics with every page and link that is wrong.
pub fn check(edition: &Edition) {
    let pages: BTreeMap<&str, String> = edition
        .iter()
        .filter(|(path, _)| path.ends_with(".html"))
        .map(|(path, bytes)| (path.as_str(), String::from_utf8(bytes.clone()).unwrap()))
        .collect();
    assert!(pages.contains_key("index.html"));
    let mut wrong = Vec::new();
    let mut ids: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for (path, text) in &pages {
        let known = ids.entry(path).or_default();
        for id in values(text, "id") {
            if !known.insert(id) {
                wrong.push(format!("{path}: id `{id}` twice"));
            }
        }
        if text.replace("<script type=\"application/ld+json\">", "").contains("<script") {
            wrong.push(format!("{path}: a script"));
        }
    }
    let mut followed = 0;
    for (path, text) in &pages {
        let mut targets: Vec<&str> = Vec::new();
        for name in ["href", "src", "poster"] {
            targets.extend(values(text, name));
        }
        for set in values(text, "srcset") {
            targets.extend(set.split(',').filter_map(|one| one.split_whitespace().next()));
        }
        for target in targets {
            followed += 1;
            if let Some(problem) = follow(path, target, edition, &ids) {
                wrong.push(format!("{path}: `{target}` {problem}"));
            }
        }
        for load in ["src=\"http", "srcset=\"http", "url(http", "@import"] {
            if text.contains(load) {
                wrong.push(format!("{path}: loads from elsewhere, `{load}`"));
            }
        }
        // Only an `a` may lead out of the edition; a `link` or an image would be loaded.
        for (place, _) in text.match_indices("href=\"http") {
            let tag = &text[text[..place].rfind('<').unwrap()..place];
            if !tag.starts_with("<a ") && tag != "<link rel=\"canonical\" " {
                wrong.push(format!("{path}: loads from elsewhere, {tag}"));
            }
        }
    }
    for (path, bytes) in edition.iter().filter(|(path, _)| path.ends_with(".css")) {
        let text = String::from_utf8(bytes.clone()).unwrap();
        for load in ["http:", "https:", "@import"] {
            if text.contains(load) {
                wrong.push(format!("{path}: {load}"));
            }
        }
    }
    assert!(followed > pages.len(), "only {followed} links were found");
    wrong.sort();
    wrong.dedup();
    let count = wrong.len();
    wrong.truncate(40);
    assert!(count == 0, "{count} wrong:\n{}", wrong.join("\n"));
}

/// The values of an attribute, in order.
fn values<'a>(text: &'a str, attribute: &str) -> Vec<&'a str> {
    let opening = format!(" {attribute}=\"");
    text.match_indices(&opening).filter_map(|(place, _)| text[place + opening.len()..].split('"').next()).collect()
}

/// What is wrong with a link, if anything is.
fn follow(page: &str, target: &str, edition: &Edition, ids: &BTreeMap<&str, BTreeSet<&str>>) -> Option<&'static str> {
    if ["http:", "https:", "data:", "mailto:"].iter().any(|scheme| target.starts_with(scheme)) {
        return None;
    }
    let (file, fragment) = match target.split_once('#') {
        Some((file, fragment)) => (file, Some(fragment)),
        None => (target, None),
    };
    let mut parts: Vec<&str> = page.split('/').collect();
    if !file.is_empty() {
        parts.pop();
        for part in file.split('/') {
            match part {
                "." => {}
                ".." => {
                    if parts.pop().is_none() {
                        return Some("leaves the edition");
                    }
                }
                part => parts.push(part),
            }
        }
    }
    let path = parts.join("/");
    if !edition.contains_key(&path) {
        return Some("is no file");
    }
    match fragment {
        Some(fragment) if !ids.get(path.as_str()).is_some_and(|ids| ids.contains(fragment)) => {
            Some("is no place in that page")
        }
        _ => None,
    }
}
