//! The archive that may be handed to anybody.

use std::fs;

use polypary::pipeline::{self, Failure, Wanted};
use polypary::write::bag::check;

use super::{WITHOUT, files, put, record, request};

/// What the small record keeps private, and what its comments say.
const SECRETS: &[&str] = &["Quillfeather", "000-555-0199", "Limpet Stairs", "31.70 EUR", "Marrow Lane", "never ring"];

/// A JPEG with a place in it, as a phone writes it: an APP1 segment after the start of the image.
fn photo_with_place() -> Vec<u8> {
    let picture = image::RgbImage::from_fn(80, 60, |x, y| image::Rgb([x as u8, y as u8, 40]));
    let mut plain = Vec::new();
    picture.write_to(&mut std::io::Cursor::new(&mut plain), image::ImageFormat::Jpeg).unwrap();
    let body = b"Exif\0\0MM\0*\0\0\0\x08\0\0\0\0\0\0 near Limpet Harbour";
    let mut bytes = plain[..2].to_vec();
    bytes.extend_from_slice(&[0xff, 0xe1]);
    bytes.extend_from_slice(&(body.len() as u16 + 2).to_be_bytes());
    bytes.extend_from_slice(body);
    bytes.extend_from_slice(&plain[2..]);
    bytes
}

#[test]
fn nothing_private_and_no_metadata_is_left_in() {
    let folder = record();
    put(folder.path(), "photos/2026-10-09-place.jpg", photo_with_place());
    let with = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap();
    let holds = |edition: &std::path::Path, secret: &str| {
        files(edition)
            .values()
            .any(|file| fs::read(file).unwrap().windows(secret.len()).any(|window| window == secret.as_bytes()))
    };
    // The test can fail: the whole archive holds every one of them.
    for secret in SECRETS.iter().chain(&["Limpet Harbour"]) {
        assert!(holds(&with.edition, secret), "{secret}");
    }
    let without = pipeline::archive(&request(folder.path()), WITHOUT).unwrap();
    for secret in SECRETS.iter().chain(&["Limpet Harbour", "Exif"]) {
        assert!(!holds(&without.edition, secret), "{secret}");
    }
    assert_eq!(check(&without.edition).unwrap().faults, []);
    let bag = files(&without.edition);
    // What has nothing private in it goes along byte for byte, and line numbers stay.
    for path in ["upkeep/tasks.yaml", "readings/probe.csv", "story/01-start.md"] {
        let kept = fs::read(&bag[&format!("data/record/{path}")]).unwrap();
        assert_eq!(kept, fs::read(folder.path().join(path)).unwrap(), "{path}");
    }
    let tank = fs::read_to_string(&bag["data/record/tank.yaml"]).unwrap();
    assert_eq!(tank.lines().position(|line| line.starts_with("bands:")), Some(9));
    assert!(!bag.contains_key("data/record/a paper.txt"), "nobody vouches for it");
    // The pictures look as they did.
    let name = "data/record/photos/2026-10-09-place.jpg";
    let pixels = |bytes: Vec<u8>| image::load_from_memory(&bytes).unwrap().into_rgb8().into_raw();
    assert!(pixels(fs::read(&bag[name]).unwrap()) == pixels(photo_with_place()));
    let said = fs::read_to_string(&bag["data/without-private.txt"]).unwrap();
    assert!(said.contains("- private values left out: 4, on 4 lines"), "{said}");
    assert!(said.contains("searched for each of 4 private values"), "{said}");
    assert!(said.contains("left out: 2"), "{said}");
}

#[test]
fn a_private_value_in_the_open_part_stops_it_and_leaves_what_stood_there() {
    let folder = record();
    let edition = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap().edition;
    let before = fs::read(edition.join("manifest-sha256.txt")).unwrap();
    put(folder.path(), "log/2027.yaml", "2026-10-11:\n  note: \"Asked at 12 Limpet Stairs for a jug\"\n");
    match pipeline::archive(&request(folder.path()), WITHOUT) {
        Err(Failure::Private(found)) => {
            assert!(
                found.contains(
                    &"the private value of tank.yaml, line 13, stands in data/record/log/2027.yaml".to_string()
                ),
                "{found:?}"
            );
            assert!(found.iter().all(|line| !line.contains("Limpet")), "it does not say what it found: {found:?}");
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(fs::read(edition.join("manifest-sha256.txt")).unwrap(), before);
}

/// What is promised is found in open questions too, and what is open does not stand among what is private.
#[test]
fn what_is_owed_and_what_is_private_stand_apart() {
    let folder = record();
    put(
        folder.path(),
        "log/2027.yaml",
        "2026-10-11:\n  ask: {what: \"Promised: a fan for the club\", by: 2026-11-20}\n",
    );
    let edition = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap().edition;
    let sheet = fs::read_to_string(files(&edition)["data/hand-over.txt"].clone()).unwrap();
    let owed = sheet.find("What is owed to whom").unwrap();
    let private = sheet.find("What the keeper wrote under “private”, word for word").unwrap();
    let promise = sheet[owed..].find("Promised: a fan for the club").expect("an open question may be a promise");
    assert!(owed + promise < private);
    assert!(sheet[private..].contains("12 Limpet Stairs"));
    let bottles = sheet.find("They go to a collecting point").unwrap();
    assert!(sheet[bottles..].contains("Nitrate stock: place not recorded"));
}
