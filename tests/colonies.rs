//! Colonies of small records: large families, news of those given away, a life in short.

mod support;

use std::fs;
use std::path::Path;

use jiff::civil::date;
use polypary::pipeline;
use support::{put, request};

const TANK: &str = "name: Bay\nstarted: 2020-01-04\nzone: Europe/Lisbon\nwater: \"100 L ± 1 L, counted at fill\"\n";

/// A mother, her fifty daughters in a line of two branches, and one that left.
fn family(root: &Path) {
    put(root, "tank.yaml", TANK);
    put(root, "log/2026.yaml", "2026-05-31: {note: all quiet}\n");
    put(
        root,
        "colonies/c00.yaml",
        "name: First\ngroup: leather\narrived: 2020-02-01\nsource: {kind: mariculture, from: a shop}\nplacements: [{since: 2020-02-01, tank: .}]\n",
    );
    for number in 1..=50 {
        // Even ones hang on even ones, odd ones on odd ones.
        let mother = if number < 3 { 0 } else { number - 2 };
        let arrived = date(2020, 3, 1).saturating_add(jiff::Span::new().days(number * 20));
        let end = match number {
            49 => {
                "ended: {on: 2025-03-01, how: given-away}\nheard: [{on: 2025-09-01, what: a hand wide, alive: yes, from: the receiver}, {on: 2026-02-01, what: bleached, alive: no, from: the receiver}]\n"
            }
            _ => "",
        };
        put(
            root,
            &format!("colonies/c{number:02}.yaml"),
            format!(
                "name: Piece {number}\ngroup: leather\narrived: {arrived}\nplacements: [{{since: {arrived}, tank: .}}]\nparent: {{colony: c{mother:02}, grade: witnessed-cut}}\n{end}"
            ),
        );
    }
}

fn page(root: &Path, name: &str) -> String {
    // A day is tied to its month.
    fs::read_to_string(root.join("out/journal/colony").join(name)).unwrap().replace('\u{a0}', " ")
}

#[test]
fn a_large_family_is_folded_and_a_colony_shows_its_near_kin() {
    let folder = tempfile::tempdir().unwrap();
    family(folder.path());
    pipeline::journal(&request(folder.path(), date(2026, 6, 1))).unwrap();
    let all = page(folder.path(), "index.html");
    assert_eq!(all.matches("<details class=\"family\">").count(), 1);
    // 51 in all, one of them given away.
    assert!(all.contains("<summary><span class=\"opens\">First: 51 colonies, 50 alive and here, since 1 February 2020</span></summary>"), "{all}");
    assert!(all.contains("href=\"#lineage-h\"") && all.contains("class=\"unpictured\""));
    assert!(!all.contains("No photo yet"), "no rows of empty frames");
    // Number 40: nineteen even ones between it and the first, which is its line; five even ones came of it.
    let one = page(folder.path(), "c40.html");
    assert!(one.contains("26 of the 51 colonies of its family"), "{one}");
    let line = &one[one.find("id=\"line-h\"").unwrap()..one.find("id=\"light-h\"").unwrap()];
    assert!(line.contains("Piece 38") && line.contains("Piece 42") && line.contains("Piece 2<"));
    for other in ["Piece 39", "Piece 1<"] {
        let around = line.find(other).map(|at| &line[at.saturating_sub(300)..at + 40]);
        assert_eq!(around, None, "{other}");
    }
}

#[test]
fn news_comes_back_and_a_life_is_told_in_short() {
    let folder = tempfile::tempdir().unwrap();
    family(folder.path());
    pipeline::journal(&request(folder.path(), date(2026, 6, 1))).unwrap();
    let gone = page(folder.path(), "c49.html");
    assert!(gone.contains("given away 1 March 2025; dead 1 February 2026, says the receiver"), "{gone}");
    assert!(gone.contains("Heard from the receiver: a hand wide"));
    let first = page(folder.path(), "c00.html");
    for sentence in [
        "It came on 1 February 2020: grown in the sea for sale. Where from: a shop.",
        "It has stood in one place: in Bay.",
        "Two pieces of it became colonies of their own, two of them alive and here.",
    ] {
        assert!(first.contains(sentence), "{sentence}: {first}");
    }
    // As it stood before the last news came.
    let mut then = request(folder.path(), date(2026, 6, 1));
    then.as_of = Some(date(2025, 12, 1));
    pipeline::journal(&then).unwrap();
    let gone = page(folder.path(), "c49.html");
    assert!(gone.contains("alive 1 September 2025, says the receiver") && !gone.contains("bleached"), "{gone}");
}

/// A picture beside a size, in an entry or in the file of a colony is a picture of that colony, without a line in captions.yaml.
#[test]
fn a_photo_named_by_a_colony_or_an_entry_belongs_to_it() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    put(root, "tank.yaml", TANK);
    put(
        root,
        "log/2026.yaml",
        "2026-03-01 09:00:\n  photos: [{file: photos/side.jpg, of: hammer, caption: \"Wide open at nine.\", view: side}]\n2026-05-31: {note: all quiet}\n",
    );
    put(
        root,
        "colonies/hammer.yaml",
        "name: Hammer\ngroup: large-polyp-stony\narrived: 2025-02-01\nplacements: [{since: 2025-02-01, tank: .}]\nsizes:\n  - {on: 2025-03-01, heads: 2, photo: photos/two.jpg}\n  - {on: 2026-04-01, heads: 5, photo: photos/five.jpg}\n",
    );
    let picture = image::RgbImage::from_pixel(40, 30, image::Rgb([40, 90, 160]));
    fs::create_dir_all(root.join("photos")).unwrap();
    for name in ["side", "two", "five"] {
        picture.save(root.join(format!("photos/{name}.jpg"))).unwrap();
    }
    pipeline::journal(&request(root, date(2026, 6, 1))).unwrap();
    let colony = page(root, "hammer.html");
    for (name, title, seen) in [
        ("two", "Hammer, 1 March 2025", false),
        ("side", "Hammer, 1 March 2026", true),
        ("five", "Hammer, 1 April 2026", false),
    ] {
        assert!(colony.contains(&format!("href=\"../photo/{name}.html\"")), "{name} stands on the page of the colony");
        let photo =
            fs::read_to_string(root.join(format!("out/journal/photo/{name}.html"))).unwrap().replace('\u{a0}', " ");
        assert!(photo.contains(title), "{name}: {title}");
        assert_eq!(photo.contains("Wide open at nine."), seen, "{name}");
    }
}

/// What came and died has come all the same; what was cut here or moved within the tank has not.
#[test]
fn a_card_names_the_last_arrival_whatever_became_of_it() {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path();
    put(root, "tank.yaml", TANK);
    put(root, "log/2026.yaml", "2026-05-31: {note: all quiet}\n");
    let colony = |key: &str, arrived: &str, more: &str| {
        let text = format!(
            "name: {key}\ngroup: leather\narrived: {arrived}\nplacements: [{{since: {arrived}, tank: .}}, {{since: 2026-05-01, tank: .}}]\n{more}"
        );
        put(root, &format!("colonies/{key}.yaml"), text);
    };
    colony("old", "2021-02-01", "");
    colony("dead", "2025-11-15", "ended: {on: 2026-02-01, how: lost}\n");
    colony("cutting", "2026-03-01", "parent: {colony: old, grade: witnessed-cut}\n");
    pipeline::journal(&request(root, date(2026, 6, 1))).unwrap();
    let card = fs::read_to_string(root.join("out/journal/card/old.html")).unwrap().replace('\u{a0}', " ");
    let told = card.split("Last arrival there").nth(1).unwrap();
    assert!(told[..60].contains("15 November 2025"), "{}", &told[..60]);
}
