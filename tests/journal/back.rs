//! What looks back: photographs, years in review, dates side by side, promises.

use std::fs;

use super::*;

fn page<'a>(edition: &'a Edition, path: &str) -> &'a str {
    let bytes = edition
        .get(path)
        .unwrap_or_else(|| panic!("no {path} among {:?}", edition.keys().take(20).collect::<Vec<_>>()));
    std::str::from_utf8(bytes).unwrap()
}

/// What stands between two texts, the first time.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let start = text.find(from).unwrap_or_else(|| panic!("no {from}")) + from.len();
    &text[start..start + text[start..].find(to).unwrap_or_else(|| panic!("no {to} after {from}"))]
}

#[test]
fn every_photo_has_its_page_in_order_of_time() {
    let files: BTreeSet<String> = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank/photos"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_str().unwrap().to_string())
        .filter_map(|name| Some(name.strip_suffix(".jpg")?.to_string()))
        .collect();
    let sheet = page(example(), "photo/index.html");
    let shown: Vec<&str> = sheet
        .split("<a class=\"pic\" href=\"../photo/")
        .skip(1)
        .map(|rest| rest.split(".html").next().unwrap())
        .collect();
    // Their names start with their dates, so the order of names is that of time.
    let wanted: Vec<&str> = files.iter().map(String::as_str).collect();
    assert_eq!(shown, wanted);
    // From the first photo the way on passes through all of them.
    let mut walked = vec![wanted[0].to_string()];
    loop {
        let text = page(example(), &format!("photo/{}.html", walked.last().unwrap()));
        assert!(words(text).contains(&format!("Photo {} of {}", walked.len(), wanted.len())));
        let Some(on) = text.split("class=\"turn-on\"").nth(1) else { break };
        walked.push(between(on, "href=\"../photo/", ".html").to_string());
    }
    assert_eq!(walked, wanted);
}

#[test]
fn a_photo_says_what_it_shows_and_where_it_is_told_of() {
    let text = page(example(), "photo/2025-06-14-leather-closed.html");
    for link in ["../colony/finger-leather.html", "../photos/2025-06-14-leather-closed-1600.jpg", "../log/2025-06-14"] {
        assert!(text.contains(&format!("href=\"{link}")), "{link}");
    }
    let read = words(text);
    assert!(read.contains("The leather coral closed up and dull, shedding a waxy film."), "{read}");
    // Filled on 21 September 2024: 100 days left of that year, 165 of the next up to 14 June.
    assert!(read.contains("266 days after the first fill"), "{read}");
    assert!(page(example(), "colony/finger-leather.html").contains("href=\"../photo/2025-06-14-leather-closed.html\""));
}

#[test]
fn only_what_the_sitter_is_shown_stays_private() {
    let folder = kitchen_lagoon();
    let picture = image::RgbImage::from_pixel(60, 40, image::Rgb([90, 120, 150]));
    fs::create_dir_all(folder.path().join("photos")).unwrap();
    for name in ["2026-09-01-fuse-box.png", "2026-09-02-level.png", "2026-09-03-stray.png"] {
        picture.save(folder.path().join("photos").join(name)).unwrap();
    }
    put(
        folder.path(),
        "upkeep/sitter.yaml",
        "sitter:\n  looks:\n    - {what: The fuse box, photo: 2026-09-01-fuse-box.png}\n    - {what: The level, photo: 2026-09-02-level.png}\n",
    );
    put(folder.path(), "photos/captions.yaml", "2026-09-02-level.png: The water’s mark.\n");
    // A file that is no picture leaves a grey place with its name said.
    put(folder.path(), "photos/2026-09-04-broken.jpg", "no picture");
    pipeline::journal(&request(folder.path())).unwrap();
    let edition = edition(folder.path());
    let named = |part: &str| edition.keys().filter(|path| path.contains(part)).count();
    assert_eq!(named("fuse-box"), 0);
    assert!(
        edition
            .iter()
            .all(|(path, bytes)| !path.ends_with(".html") || !String::from_utf8_lossy(bytes).contains("fuse-box"))
    );
    // One width, since none is enlarged, and a page.
    assert_eq!((named("level"), named("stray")), (2, 2));
    let broken = page(&edition, "photo/2026-09-04-broken.html");
    assert!(broken.contains("class=\"no-photo\"") && !broken.contains("<img"), "{broken}");
    assert!(words(page(&edition, "photo/index.html")).contains("One file could not be read"));
}

#[test]
fn two_dates_stand_side_by_side_as_each_was() {
    let text = page(example(), "compare/2025-05-02-to-2025-06-14-finger-leather.html");
    let read = words(text);
    for wanted in [
        "2 May 2025 beside 14 June 2025, 43 days apart.",
        "Taken 12 April 2025, 20 days before that date.",
        "Taken on that day.",
        // equipment/lamp.yaml: 55 % before 10 May 2025, 80 % from then on, 22 and 27 cm over the water.
        "LED bar over the tank , level 55 % 80 %",
        "LED bar over the tank , height over the water 22 cm 27 cm",
        "Came in between Battery air pump (3 May 2025) , Dosing pump, three heads (7 June 2025)",
    ] {
        assert!(read.contains(wanted), "{wanted}: {read}");
    }
    // Three anniversaries would need three years; the record covers two.
    let anniversaries: Vec<&String> =
        example().keys().filter(|path| path.starts_with("compare/") && path.contains("-09-21-to-")).collect();
    assert_eq!(anniversaries, ["compare/2024-09-21-to-2025-09-21.html", "compare/2025-09-21-to-2026-09-21.html"]);
}

/// A video's page begins with what was to be seen then and is today; what has left the tank has no settings of today; an answer
/// stands with its question.
#[test]
fn a_video_shows_what_differs_and_nothing_of_what_is_gone() {
    let text = page(example(), "video/first-half-year.html");
    let read = words(text);
    let seen = read.split("Chapter marks Where to read on").next().unwrap();
    assert!(seen.contains("12 April 2025 203 days after the first fill"), "{seen}");
    assert!(seen.contains("Taken on that day.") && seen.contains("10 October 2026"), "{seen}");
    let settings = read.split("Settings as filmed").nth(1).unwrap().split("Figures as filmed").next().unwrap();
    // equipment/lamp.yaml and equipment/heater-sump.yaml.
    assert!(settings.contains("LED bar over the tank , level 55 % 75 %"), "{settings}");
    assert!(settings.contains("Taken out since Heater in the sump, the first (28 November 2025)"), "{settings}");
    assert!(!settings.contains("Heater in the sump, the first ,"), "{settings}");
    // upkeep/plans.yaml: nitrate stock is dosed since 19 April 2025, and flake went from 0.08 to 0.13 g a day.
    let figures = read.split("Figures as filmed").nth(1).unwrap();
    assert!(figures.contains("Dosed by plan: nitrate stock no plan 2.4 mL a day"), "{figures}");
    assert!(figures.contains("Fed by plan: dry flake 0.08 g a day 0.13 g a day"), "{figures}");
    assert!(!read.contains("Answered:"), "{read}");
    assert!(read.contains("Has the rust come back? No. Caps dry, paint whole."), "{read}");
}

/// The jar has no photographs of its own, and none of the other tank's.
#[test]
fn a_year_counts_the_photos_of_its_own_tank() {
    assert!(!words(page(example(), "jar/year/2026.html")).contains("Photographed"));
    let of_2025 = words(page(example(), "year/2025.html"));
    let taken = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank/photos")).unwrap();
    let taken = taken.filter(|file| file.as_ref().unwrap().file_name().to_string_lossy().starts_with("2025-")).count();
    assert!(of_2025.contains(&format!("Photographed {taken} photos")), "{taken}: {of_2025}");
}

#[test]
fn a_year_in_review_counts_what_the_log_says() {
    let log = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank/log/2025.yaml")).unwrap();
    let entries = log.lines().filter(|line| line.starts_with("2025-")).count();
    let changes = log.lines().filter(|line| line.trim_start().starts_with("water-change:")).count();
    let read = words(page(example(), "year/2025.html"));
    assert!(read.contains(&format!("Written {entries} entries")), "{entries}: {read}");
    assert!(read.contains(&format!("L (measured) in {changes} changes")), "{changes}: {read}");
    assert!(read.contains("1 January 2025 to 31 December 2025, 365 days."), "{read}");
    let running = words(page(example(), "year/2026.html"));
    assert!(running.contains("The year is not over."), "{running}");
    // The jar is a tank of its own, with years of its own.
    assert!(example().contains_key("jar/year/2026.html"));
}

#[test]
fn promises_are_listed_with_answer_or_date() {
    let folder = kitchen_lagoon();
    put(
        folder.path(),
        "log/2025.yaml",
        "2025-03-01: {ask: {what: Does it grow?, by: 2025-04-01}}\n2025-04-08: {answer: {to: Does it grow?, say: By a third.}}\n2025-05-01: {ask: {what: Is it dead?, by: 2025-06-01}}\n2025-05-02: {ask: Shall I move it?}\n",
    );
    pipeline::journal(&request(folder.path())).unwrap();
    let edition = edition(folder.path());
    let read = words(page(&edition, "promises.html"));
    // The entry of 3 October asks one more, to be looked at by the 17th.
    assert!(read.contains("Four promises: one overdue, two still open and one answered."), "{read}");
    let overdue = between(&read, "Overdue The day", "Still to come");
    assert!(overdue.contains("Is it dead?") && overdue.contains("was due 489 days ago"), "{overdue}");
    assert!(read.contains("answered 8 April 2025 , seven days after the day that was promised"), "{read}");
    assert!(between(&read, "Without a date", "Answered Newest").contains("Shall I move it?"), "{read}");
    assert!(page(&edition, "index.html").contains("href=\"promises.html\""));
}

/// What the record holds of a device stands on its page: equipment/top-off.yaml, power-box.yaml, air-pump.yaml, controller.yaml.
#[test]
fn a_device_tells_all_that_is_written_of_it() {
    let read = |device: &str| words(page(example(), &format!("equipment/{device}.html")));
    let holds = |device: &str, wanted: &str| {
        let read = read(device);
        assert!(read.contains(wanted), "{wanted}: {read}");
    };
    holds("top-off", "Reservoir 10 L");
    holds("top-off", "Longest run at a time 40 s");
    holds("air-pump", "Energy it holds 18 Wh");
    holds("power-box", "Carries through a power cut Wave pump");
    holds("controller", "Alarm below 24.3 °C and above 27.5 °C");
    holds("lamp", "Follows summer time");
    // A flow that comes from a test has no lift or dirt before it to be told by: log/2026.yaml, 21 March.
    let movement = words(page(example(), "movement.html"));
    assert!(movement.contains("From its flow test of 21 March 2026,"), "{movement}");
    let front = words(page(example(), "index.html"));
    assert!(
        front.contains("nitrate stock 2.4 mL every day") && front.contains("fed: dry flake 0.13 g every day"),
        "{front}"
    );
}

/// A coral's card tells light, flow and growth, or that they are not known; a fish or snail has none that could be.
#[test]
fn a_card_asks_nothing_of_an_animal_that_does_not_concern_it() {
    for (key, stays) in [("finger-leather", true), ("sand-gobies", false), ("dwarf-ceriths", false)] {
        let card = page(example(), &format!("card/{key}.html"));
        for fact in ["Light", "Flow", "Growth"] {
            assert_eq!(card.contains(&format!("<dt>{fact}</dt>")), stays, "{key}: {fact}");
        }
        assert!(card.contains("<dt>Size"), "{key}");
    }
}

/// A place that was left has the mean of its days, which is told, beside the light of today where it stands now.
#[test]
fn light_where_a_colony_stood_is_told_as_a_mean() {
    let moved = words(page(example(), "colony/green-buttons.html"));
    assert_eq!(moved.matches("mol/m²/d in the mean").count(), 1, "{moved}");
    assert!(!words(page(example(), "colony/finger-leather.html")).contains("in the mean"), "it never moved");
}
