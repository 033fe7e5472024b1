//! The journal as other programs meet it. The feed, the map and the data are also read by independent parsers, in `tests/web/check.py`.

use std::collections::BTreeSet;
use std::fs;

use jiff::civil::date;
use polypary::pipeline;
use serde_json::Value;

use super::{Edition, edition, example, kitchen_lagoon, request};
use crate::support::put;

/// A name that RFC 2606, 3 keeps for examples.
const SITE: &str = "https://curlew-flat.example.org/";

fn text(edition: &Edition, path: &str) -> String {
    let bytes = edition.get(path).unwrap_or_else(|| panic!("there is no {path}"));
    String::from_utf8(bytes.clone()).unwrap()
}

/// What stands between two words, wherever they come.
fn between<'t>(text: &'t str, before: &str, after: &str) -> Vec<&'t str> {
    text.match_indices(before).filter_map(|(at, _)| text[at + before.len()..].split(after).next()).collect()
}

/// The file of the edition behind an address of the site.
fn file_of(address: &str) -> String {
    let path = address.strip_prefix(SITE).unwrap_or_else(|| panic!("{address} is elsewhere"));
    if path.is_empty() { "index.html".into() } else { path.to_string() }
}

fn pages(edition: &Edition) -> BTreeSet<String> {
    let is_page = |path: &&String| path.ends_with(".html") && !path.starts_with("card/");
    edition.keys().filter(is_page).cloned().collect()
}

/// RFC 6596, 3: the canonical address is one and absolute. The properties are the four that Open Graph (ogp.me) asks of every page.
#[test]
fn every_page_names_its_own_address() {
    let edition = example();
    for path in pages(edition) {
        let html = text(edition, &path);
        let canonical = between(&html, "<link rel=\"canonical\" href=\"", "\"");
        assert_eq!(canonical.len(), 1, "{path}");
        assert_eq!(file_of(canonical[0]), path);
        for property in ["og:title", "og:type", "og:url", "og:image"] {
            assert_eq!(html.matches(&format!("<meta property=\"{property}\" ")).count(), 1, "{path}: {property}");
        }
        assert_eq!(between(&html, "property=\"og:url\" content=\"", "\""), canonical, "{path}");
        let picture = file_of(between(&html, "property=\"og:image\" content=\"", "\"")[0]);
        assert!(edition.contains_key(&picture), "{path}: {picture}");
    }
}

#[test]
fn the_map_lists_every_page_at_the_date_of_the_record() {
    let edition = example();
    let map = text(edition, "sitemap.xml");
    let listed: BTreeSet<String> = between(&map, "<loc>", "</loc>").into_iter().map(file_of).collect();
    assert_eq!(listed, pages(edition));
    assert!(between(&map, "<lastmod>", "</lastmod>").iter().all(|on| *on == "2026-10-17"));
}

/// Common preview size; the picture is cut from the hero's photo and holds its colours.
#[test]
fn the_preview_of_the_front_page_is_cut_from_the_hero() {
    let edition = example();
    let preview = image::load_from_memory(&edition["photos/2026-10-10-front-share.jpg"]).unwrap().to_rgb8();
    assert_eq!(preview.dimensions(), (1200, 630));
    let hero = image::load_from_memory(&edition["photos/2026-10-10-front-1600.jpg"]).unwrap().to_rgb8();
    let row = |picture: &image::RgbImage, y: u32| -> [i64; 3] {
        let mut sum = [0; 3];
        for x in 0..picture.width() {
            let pixel = picture.get_pixel(x, y).0;
            (0..3).for_each(|channel| sum[channel] += i64::from(pixel[channel]));
        }
        sum.map(|sum| sum / i64::from(picture.width()))
    };
    // The middle row of the preview is some row of the hero: mean colours agree within what JPEG changes.
    let middle = row(&preview, 315);
    let nearest = (0..hero.height())
        .map(|y| row(&hero, y).iter().zip(middle).map(|(a, b)| (a - b).abs()).sum::<i64>())
        .min()
        .unwrap();
    assert!(nearest <= 3, "{nearest}");
}

/// Asks RFC 4287 of the feed's shape: 4.1.1 and 4.1.2 for what must be there once, 3.3 for dates.
#[test]
fn the_feed_holds_the_newest_entries_chapters_and_videos() {
    let edition = example();
    let feed = text(edition, "feed.xml");
    let (head, _) = feed.split_once("<entry>").unwrap();
    for element in ["<id>", "<title>", "<updated>", "<author>", "rel=\"self\""] {
        assert_eq!(head.matches(element).count(), 1, "{element}");
    }
    let entries = between(&feed, "<entry>", "</entry>");
    assert_eq!(entries.len(), 30);
    let mut ids = BTreeSet::new();
    let mut instants = Vec::new();
    for entry in &entries {
        for element in ["<id>", "<title>", "<updated>", "<content "] {
            assert_eq!(entry.matches(element).count(), 1, "{element} in {entry}");
        }
        let id = between(entry, "<id>", "</id>")[0];
        assert!(id.starts_with("tag:curlew-flat.example.org,2025-04-26:"), "{id}");
        assert!(ids.insert(id), "{id} twice");
        let updated = between(entry, "<updated>", "</updated>")[0];
        instants.push(updated.parse::<jiff::Timestamp>().unwrap());
        let page = file_of(between(entry, "rel=\"alternate\" type=\"text/html\" href=\"", "\"")[0]);
        assert!(edition.contains_key(&page), "{page}");
        for photo in between(entry, "&lt;img src=&quot;", "&quot;") {
            assert!(edition.contains_key(&file_of(photo)), "{photo}");
        }
    }
    assert!(instants.windows(2).all(|pair| pair[0] >= pair[1]), "{instants:?}");
    assert!(feed.contains("<title>Two years in</title>"));
    assert!(!feed.contains("Nothing to report"));
    assert!(
        text(edition, "jar/index.html").contains(
            "<link rel=\"alternate\" type=\"application/atom+xml\" title=\"The Old Jar\" href=\"../feed.xml\">"
        )
    );
}

/// Summer time is in the offset: Lisbon keeps UTC in winter and is an hour ahead in summer (IANA tz database).
#[test]
fn dates_are_the_records_whatever_the_clock() {
    let folder = kitchen_lagoon();
    let tank = fs::read_to_string(folder.path().join("tank.yaml")).unwrap();
    put(folder.path(), "tank.yaml", tank + "site-address: https://example.org/\n");
    put(folder.path(), "log/2025.yaml", "2025-01-10 08:30:\n  note: Cold.\n2025-04-30:\n  quiet: yes\n");
    put(
        folder.path(),
        "story/one.md",
        "---\ntitle: Dry\norder: 1\non: 2025-02-22\n---\nSee [the log](log/2025-01-10-0830.yaml).\n",
    );
    let video = "title: Half a year\nfilmed: 2025-04-12\npublished: 2025-04-26\n";
    put(folder.path(), "video/one.yaml", video);
    put(folder.path(), "video/two.yaml", video.replace("2025-04-26", "2025-05-20").replace("Half a year", "Later"));
    let asked = |today| {
        let request = pipeline::Request { today, as_of: Some(date(2025, 4, 30)), ..request(folder.path()) };
        pipeline::journal(&request).unwrap();
        text(&edition(folder.path()), "feed.xml")
    };
    let (soon, late) = (asked(date(2026, 11, 25)), asked(date(2027, 6, 1)));
    assert_eq!(soon, late);
    let dates: Vec<&str> = between(&soon, "<updated>", "</updated>");
    // The feed's own date first. The quiet entry is no news, and the second video is not out yet.
    assert_eq!(
        dates,
        [
            "2025-04-26T00:00:00+01:00",
            "2025-04-26T00:00:00+01:00",
            "2025-02-22T00:00:00+00:00",
            "2025-01-10T08:30:00+00:00"
        ]
    );
    assert!(
        soon.contains("&lt;a href=&quot;https://example.org/log/2025-01-10-0830.html&quot;&gt;the log&lt;/a&gt;"),
        "{soon}"
    );
}

#[test]
fn data_about_pages_is_json_that_says_what_the_record_says() {
    let edition = example();
    let data = |path: &str| -> Vec<Value> {
        let html = text(edition, path);
        let found = between(&html, "<script type=\"application/ld+json\">", "</script>");
        assert_eq!(found.len(), 1, "{path}");
        let value: Value = serde_json::from_str(found[0]).unwrap_or_else(|error| panic!("{path}: {error}"));
        assert_eq!(value["@context"], "https://schema.org");
        value["@graph"].as_array().unwrap().clone()
    };
    for path in pages(edition) {
        assert_eq!(data(&path)[0]["dateModified"], "2026-10-17", "{path}");
    }
    let front = data("index.html");
    let types: Vec<&str> = front.iter().filter_map(|node| node["@type"].as_str()).collect();
    assert_eq!(types, ["WebPage", "WebSite", "Dataset"]);
    assert_eq!(front[2]["temporalCoverage"], "2024-09-21/2026-10-17");
    assert_eq!(front[2]["distribution"]["contentUrl"], format!("{SITE}figures.json"));
    let video = data("video/first-half-year.html");
    assert_eq!(video[0]["mainEntity"]["duration"], "PT1080S", "18 minutes");
    assert_eq!(video[0]["mainEntity"]["uploadDate"], "2025-04-26");
    let clips = video[0]["mainEntity"]["hasPart"].as_array().unwrap();
    assert_eq!(clips.len(), 7);
    assert_eq!((&clips[5]["startOffset"], &clips[5]["endOffset"]), (&757.into(), &920.into()), "12:37 to 15:20");
    assert_eq!(clips[6]["endOffset"], 1080);
    let colony = data("colony/finger-leather.html");
    assert_eq!(colony[1]["@type"], "BreadcrumbList");
    let steps = colony[1]["itemListElement"].as_array().unwrap();
    assert_eq!(steps.last().unwrap()["item"], format!("{SITE}colony/finger-leather.html"));
    let chapter = data("story/04-light.html");
    assert_eq!((&chapter[0]["@type"], &chapter[0]["dateCreated"]), (&"Article".into(), &"2025-07-12".into()));
}

#[test]
fn without_an_address_there_is_none_of_it() {
    let folder = kitchen_lagoon();
    pipeline::journal(&request(folder.path())).unwrap();
    let without = edition(folder.path());
    assert!(!without.contains_key("feed.xml") && !without.contains_key("sitemap.xml"));
    for path in pages(&without) {
        let html = text(&without, &path);
        for part in ["canonical", "og:", "ld+json", "atom+xml"] {
            assert!(!html.contains(part), "{path}: {part}");
        }
    }
    assert!(!without.keys().any(|path| path.contains("-share.")));
    let tank = fs::read_to_string(folder.path().join("tank.yaml")).unwrap();
    put(folder.path(), "tank.yaml", tank + "site-address: https://example.org/my-tank\nauthor: A. Keeper & Co <x>\n");
    pipeline::journal(&request(folder.path())).unwrap();
    let with = edition(folder.path());
    let feed = text(&with, "feed.xml");
    // Without an authority for tags, the address of a page is its identifier.
    assert!(feed.contains("<id>https://example.org/my-tank/log/2026-10-03-2110.html</id>"), "{feed}");
    assert!(feed.contains("<author><name>A. Keeper &amp; Co &lt;x&gt;</name></author>"), "{feed}");
    let html = text(&with, "log/2026-10-03-2110.html");
    assert!(!html.contains("og:image"), "no photo, no picture");
    assert!(
        html.contains("\"headline\":\"Tested alkalinity and nitrate, harvest, a question, 3 October 2026\""),
        "{html}"
    );
    super::links::check(&with);
}

/// Every figure and colony has an address of its own, so that an answer to a comment is one link: the page is there, the place is
/// on it, and the whole address stands there to be copied.
#[test]
fn every_figure_and_colony_has_an_address_to_be_copied() {
    let edition = example();
    let figures: Value = serde_json::from_slice(&edition["figures.json"]).unwrap();
    let copied: BTreeSet<String> = pages(edition)
        .iter()
        .flat_map(|path| {
            let html = text(edition, path);
            between(&html, "<span class=\"address\">", "</span>").into_iter().map(String::from).collect::<Vec<_>>()
        })
        .collect();
    for figure in figures["figures"].as_array().unwrap() {
        let (tank, key) = (figure["tank"].as_str().unwrap(), figure["key"].as_str().unwrap());
        let place = format!("#figure-{}", key.replace('.', "-"));
        let own: Vec<&String> = copied.iter().filter(|address| address.ends_with(&place)).collect();
        assert!(!own.is_empty(), "no address of {key} of {tank:?}");
        for address in own {
            let (page, anchor) = address.split_once('#').unwrap();
            assert!(text(edition, &file_of(page)).contains(&format!("id=\"{anchor}\"")), "{address}");
        }
    }
    let colonies: Vec<&String> =
        edition.keys().filter(|path| path.starts_with("colony/") && path.ends_with(".html")).collect();
    assert!(colonies.len() > 10);
    for path in colonies {
        assert!(copied.contains(&format!("{SITE}{path}")), "{path}");
    }
}

/// Chapters as W3C WebVTT, 4.1 and 4.3, writes them, by hand from the example's marks and its 18 minutes.
#[test]
fn a_video_has_its_chapters_as_a_track_and_its_description_as_a_text() {
    let edition = example();
    let track = text(edition, "video/first-half-year.vtt");
    assert!(
        track.starts_with("WEBVTT\n\n1\n00:00:00.000 --> 00:01:40.000\nIt is invented, and says so\n\n2\n"),
        "{track}"
    );
    assert!(track.ends_with("\n7\n00:15:20.000 --> 00:18:00.000\nNitrate on the way down\n"), "{track}");
    let description = text(edition, "video/first-half-year.txt");
    assert!(description.chars().count() <= 5001, "{}", description.chars().count());
    assert!(
        description.contains("\nChapters\n0:00 It is invented, and says so\n1:40 Filling by the bucket\n"),
        "{description}"
    );
    assert!(description.contains(&format!("\nThe whole record: {SITE}\n")), "{description}");
    // Stated by the maker, and worked out, on the day of filming.
    assert!(description.contains("flow 3000 L/h stated, "), "{description}");
    let provenance = "Blue-green mushrooms (mushroom coral): since March 2024; aquaculture: budded in the jar; \
                      a piece of Mushrooms of the jar, by the giver’s record\n";
    assert!(description.contains(provenance), "{description}");
    assert!(!description.contains(['<', '>', '\u{a0}']), "{description}");
    let page = text(edition, "video/first-half-year.html");
    for link in ["href=\"../video/first-half-year.vtt\"", "href=\"../video/first-half-year.txt\""] {
        assert!(page.contains(link), "{link}");
    }
    assert!(page.contains("<pre class=\"paste\""), "{page}");
    // A moment as W3C Media Fragments URI 1.0, 4.2.1 writes it, and by the pattern that the keeper gives.
    let first = "<a href=\"https://video.example.org/curlew-flat/first-half-year#t=757\" rel=\"external\">12:37</a>";
    assert!(page.contains(first), "{page}");
    let second = "<a href=\"https://video.example.org/curlew-flat/midsummer?t=757\" rel=\"external\">12:37</a>";
    assert!(text(edition, "video/midsummer.html").contains(second));
}
