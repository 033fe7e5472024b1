//! Every template, written with a full set of invented pages, and what must be true of each.

mod readme;
mod sample;

use std::collections::BTreeSet;

use polypary::write::render::Renderer;
use polypary::write::theme::{DEFAULT_THEME, Theme};

/// Elements without an end tag, HTML Living Standard, 13.1.2 "void elements".
const VOID: [&str; 13] =
    ["area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"];

fn theme() -> Theme {
    Theme::load(DEFAULT_THEME, &[]).expect("the built-in theme loads")
}

fn written() -> Vec<(String, String)> {
    Renderer::new(&theme())
        .expect("compiles")
        .pages(&sample::pages(), &sample::site())
        .unwrap_or_else(|error| panic!("{error}"))
        .into_iter()
        .map(|(path, bytes)| (path, String::from_utf8(bytes).expect("pages are UTF-8")))
        .collect()
}

/// A start or end tag, with its attributes in order. `/` leads the name of an end tag.
struct Tag {
    name: String,
    attributes: Vec<(String, String)>,
}

impl Tag {
    fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }
}

/// Reads the tags of a page that quotes every attribute value, as ours do.
fn tags(html: &str) -> Vec<Tag> {
    let mut tags = Vec::new();
    let mut rest = html;
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        if rest.starts_with('!') {
            continue;
        }
        let name_end = rest.find(|c: char| c.is_whitespace() || c == '>').expect("a tag has a name");
        let name = rest[..name_end].trim_end_matches('/').to_owned();
        rest = &rest[name_end..];
        let mut attributes = Vec::new();
        loop {
            rest = rest.trim_start().trim_start_matches('/');
            if let Some(after) = rest.strip_prefix('>') {
                rest = after;
                break;
            }
            let key_end = rest.find(['=', '>', ' ', '\n']).expect("a tag ends");
            let key = rest[..key_end].to_owned();
            assert!(!key.is_empty() && !key.contains('"'), "strange attribute near {:.60}", rest);
            rest = &rest[key_end..];
            let value = match rest.strip_prefix("=\"") {
                Some(after) => {
                    let end = after.find('"').expect("a value ends");
                    rest = &after[end + 1..];
                    after[..end].to_owned()
                }
                None => String::new(),
            };
            attributes.push((key, value));
        }
        tags.push(Tag { name, attributes });
    }
    tags
}

#[test]
fn every_template_is_used_and_leaves_nothing_unrendered() {
    let used: BTreeSet<&str> = sample::pages().iter().map(|page| page.template).collect();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/templates");
    for entry in std::fs::read_dir(folder).expect("templates are there") {
        let name = entry.expect("readable").file_name().to_string_lossy().into_owned();
        if name.ends_with(".html") && name != "base.html" {
            assert!(used.contains(name.as_str()), "no page of the sample uses {name}");
        }
    }
    for (path, html) in written() {
        for left in ["{{", "}}", "{%", "%}", "{#", "[object]", ">None<", "null"] {
            assert!(!html.contains(left), "{path} holds {left}");
        }
    }
}

#[test]
fn elements_are_balanced() {
    for (path, html) in written() {
        let mut open: Vec<String> = Vec::new();
        for tag in tags(&html) {
            if VOID.contains(&tag.name.as_str()) || ["rect", "circle", "line", "path"].contains(&tag.name.as_str()) {
                continue;
            }
            match tag.name.strip_prefix('/') {
                Some(name) => {
                    assert_eq!(open.pop().as_deref(), Some(name), "{path}: open {open:?}")
                }
                None => open.push(tag.name),
            }
        }
        assert!(open.is_empty(), "{path} leaves {open:?} open");
    }
}

#[test]
fn links_stay_in_the_folder_and_nothing_is_fetched_from_outside() {
    for (path, html) in written() {
        let depth = path.matches('/').count();
        for tag in tags(&html) {
            // Data for other programs stands in an element that a browser does not run.
            let is_data = tag.name == "script" && tag.attribute("type") == Some("application/ld+json");
            let is_barred = ["script", "iframe", "object", "style", "form", "base"].contains(&tag.name.as_str());
            assert!(is_data || !is_barred, "{path}: {}", tag.name);
            // The page's own address is told, not loaded.
            if tag.attribute("rel") == Some("canonical") {
                continue;
            }
            for (name, value) in &tag.attributes {
                assert!(!name.starts_with("on") && name != "style", "{path}: {name} on {}", tag.name);
                if !["href", "src", "srcset"].contains(&name.as_str()) {
                    continue;
                }
                for link in value.split(", ") {
                    assert!(!link.starts_with('/') && !link.contains('\\') && !link.is_empty(), "{path}: {link:?}");
                    let outside = link.contains(':');
                    assert!(!outside || (tag.name == "a" && link.starts_with("https://")), "{path}: {link}");
                    // A folder shown from a disk has no index of its own, so its file is named.
                    assert!(!link.ends_with('/'), "{path}: {link}");
                    if !outside && !link.starts_with('#') {
                        assert_eq!(link.matches("../").count(), depth, "{path}: {link}");
                    }
                }
            }
        }
    }
}

#[test]
fn pages_have_one_title_landmarks_and_headings_in_order() {
    for (path, html) in written() {
        let tags = tags(&html);
        let count = |name: &str| tags.iter().filter(|tag| tag.name == name).count();
        assert!(html.starts_with("<!doctype html>\n<html lang=\"en\">"), "{path}");
        for single in ["h1", "main", "title", "footer"] {
            assert_eq!(count(single), if single == "title" { 1 + count("svg") } else { 1 }, "{path}: {single}");
        }
        assert!(html.contains("<a class=\"skip\" href=\"#main\">"), "{path}");
        let mut level = 1;
        for tag in tags.iter().skip_while(|tag| tag.name != "h1") {
            if let Some(next) = tag.name.strip_prefix('h').and_then(|digit| digit.parse::<u32>().ok()) {
                assert!(next <= level + 1, "{path}: h{next} after h{level}");
                level = next;
            }
        }
        let named: Vec<&str> =
            tags.iter().filter(|tag| tag.name == "nav").filter_map(|tag| tag.attribute("aria-label")).collect();
        assert_eq!(named.len(), count("nav"), "{path}: every navigation has a name");
        assert_eq!(named.iter().collect::<BTreeSet<_>>().len(), named.len(), "{path}: {named:?}");
    }
}

#[test]
fn pictures_tables_and_anchors_say_what_they_are() {
    for (path, html) in written() {
        let tags = tags(&html);
        let ids: Vec<&str> = tags.iter().filter_map(|tag| tag.attribute("id")).collect();
        let known: BTreeSet<&str> = ids.iter().copied().collect();
        for tag in &tags {
            match tag.name.as_str() {
                "img" => {
                    for needed in ["alt", "width", "height", "srcset", "sizes", "src"] {
                        assert!(tag.attribute(needed).is_some(), "{path}: an img lacks {needed}");
                    }
                    let first = tag.attribute("fetchpriority") == Some("high");
                    assert_eq!(tag.attribute("loading"), (!first).then_some("lazy"), "{path}");
                }
                "th" => assert!(matches!(tag.attribute("scope"), Some("col" | "row")), "{path}: a th lacks its scope"),
                "time" => assert!(tag.attribute("datetime").is_some_and(|iso| iso.len() >= 10), "{path}"),
                "a" => {
                    if let Some(anchor) = tag.attribute("href").and_then(|href| href.strip_prefix('#')) {
                        assert!(known.contains(anchor), "{path}: #{anchor} leads nowhere");
                    }
                }
                _ => {}
            }
            for reference in ["aria-labelledby", "aria-describedby"] {
                for id in tag.attribute(reference).unwrap_or_default().split_whitespace() {
                    assert!(known.contains(id), "{path}: {reference} names {id}");
                }
            }
        }
        // The sample draws one chart many times, so ids inside drawings repeat here and are left out.
        let outside: Vec<&&str> = ids.iter().filter(|id| !id.ends_with("-t") && !id.ends_with("-d")).collect();
        let mut seen = BTreeSet::new();
        for id in outside {
            assert!(seen.insert(id), "{path}: two elements are called {id}");
        }
    }
}

#[test]
fn what_a_keeper_typed_stays_text() {
    let pages = written();
    let (_, entry) = pages.iter().find(|(path, _)| path == "log/2026-10-03.html").expect("the entry is there");
    assert!(entry.contains("&lt;b&gt;Not bold&lt;/b&gt; &amp; not a tag."));
}

#[test]
fn cautions_open_by_whom_they_protect() {
    let pages = written();
    let (_, html) = pages.iter().find(|(path, _)| path == "cautions.html").expect("the page is there");
    let block = |id: &str| {
        let start = html.find(&format!("id=\"{id}\"")).expect("the caution is there");
        html[start..].split("</h3>").nth(1).expect("its text follows").trim_start().to_owned()
    };
    assert!(block("caution-bracket").starts_with("<div class=\"caution-text\">"), "danger to people stands open");
    assert!(block("caution-one-heater").starts_with("<details>"), "danger to animals opens by its title");
    assert!(block("caution-zoanthids").starts_with("<details>"), "a check is folded");
}

#[test]
fn a_page_that_stands_alone_asks_for_nothing_outside_itself() {
    let mut typed = sample::sheet();
    typed.title = "<b>Rock & \"roll\"</b>".into();
    let written = Renderer::new(&theme())
        .expect("compiles")
        .sheets(&[("card.html".to_owned(), typed)])
        .unwrap_or_else(|error| panic!("{error}"));
    let html = String::from_utf8(written[0].1.clone()).expect("text");
    assert!(html.contains("<h1>&lt;b&gt;Rock &amp; &quot;roll&quot;&lt;/b&gt;</h1>"), "{html}");
    assert!(!html.contains("http") && !html.contains("<script") && !html.contains("<link"), "{html}");
    assert_eq!(html.matches("src=").count(), html.matches("src=\"data:").count());
    // A6 by the CSS Paged Media module's own name for it.
    assert!(html.contains("size: 105mm 148mm"), "{html}");
    for left in ["{{", "{%", "{#"] {
        assert!(!html.contains(left), "{left}");
    }
}

#[test]
fn markup_that_passes_unescaped_is_made_by_this_program() {
    // Only these fields are of the type that holds trusted markup.
    let trusted = ["c.wide", "c.narrow", "m.svg", "body.prose", "body.spec_prose", "page.share.data"];
    for (name, template) in readme::templates().into_iter().filter(|(name, _)| !name.starts_with("sitter/")) {
        for piece in template.split("{{").skip(1) {
            let expression = piece.split("}}").next().unwrap_or_default();
            if let Some(field) = expression.trim().strip_suffix("| safe") {
                assert!(trusted.contains(&field.trim()), "{name}: {expression}");
            }
            assert_eq!(expression.matches("safe").count(), usize::from(expression.contains("| safe")), "{name}");
        }
        assert!(!template.contains("autoescape") && !template.contains("filter safe"), "{name}");
    }
}

#[test]
fn templates_ask_only_for_what_the_models_have() {
    // A misspelt name in a condition would be false for ever instead of failing, so names are checked here as well.
    let models = readme::models();
    let mut known: BTreeSet<&str> =
        models.iter().flat_map(|model| model.fields.iter().map(|field| field.name.as_str())).collect();
    known.extend([
        "index", "index0", "first", "last", "text", "cell", "caption", "link", "inside", "card", "row", "groups",
        "water", "grounds",
    ]);
    // The sitter's sheet has models of its own, and this test of its own beside them.
    for (name, template) in readme::templates().into_iter().filter(|(name, _)| !name.starts_with("sitter/")) {
        let mut rest = template.as_str();
        while let Some(start) = rest.find("{{").into_iter().chain(rest.find("{%")).min() {
            let end = rest[start..].find("}}").into_iter().chain(rest[start..].find("%}")).min().expect("a tag ends");
            let expression = &rest[start..start + end];
            for field in readme::fields_asked_for(expression) {
                assert!(known.contains(field.as_str()), "templates/{name} asks for .{field}: {expression}");
            }
            rest = &rest[start + end + 2..];
        }
    }
}

#[test]
fn a_record_replaces_one_part_and_every_page_shows_it() {
    let own = "{%- component changes(list) -%}<p>my own list of {{ list | length }}</p>{%- endcomponent changes -%}";
    let file =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/templates/parts/chart.html")).expect("there");
    let start = file.find("{%- component changes(list)").expect("the part is there");
    let end = file.find("{%- endcomponent changes -%}").expect("the part ends") + "{%- endcomponent changes -%}".len();
    let changed = format!("{}{own}{}", &file[..start], &file[end..]);
    let theme =
        Theme::load(DEFAULT_THEME, &[("templates/parts/chart.html".to_owned(), changed.into_bytes())]).expect("loads");
    let files = Renderer::new(&theme).expect("compiles").pages(&sample::pages(), &sample::site()).expect("renders");
    let page = |path: &str| {
        let (_, bytes) = files.iter().find(|(name, _)| name == path).expect("written");
        String::from_utf8_lossy(bytes).into_owned()
    };
    for path in ["index.html", "water/nitrate.html", "colony/finger-leather.html"] {
        assert!(page(path).contains("<p>my own list of 4</p>"), "{path}");
        assert!(page(path).contains("class=\"chart-figure\""), "{path} keeps the rest of the file");
    }
}

#[test]
fn one_thread_and_two_write_the_same() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads start");
        pool.install(|| {
            let renderer = Renderer::new(&theme()).expect("compiles");
            renderer.pages(&sample::pages(), &sample::site()).expect("renders")
        })
    };
    assert_eq!(with(1), with(2));
}

#[test]
fn the_readme_lists_every_variable() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/README.md");
    let expected = readme::write(&sample::pages(), &sample::site(), &sample::sheet());
    if std::env::var_os("REWRITE_EXPECTED").is_some() {
        std::fs::write(path, &expected).expect("the README can be written");
    }
    let present = std::fs::read_to_string(path).expect("the README is there");
    if present != expected {
        let differs = present.lines().zip(expected.lines()).find(|(one, other)| one != other);
        panic!("templates/README.md is not what the models say; first difference: {differs:#?}");
    }
}
