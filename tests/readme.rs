//! The README's record, taken out of the README and rendered: what a reader copies must work.

use std::fs;

use jiff::civil::date;
use polypary::pipeline::{self, Request};

const README: &str = include_str!("../README.md");

/// The YAML blocks of the README, in order.
fn yaml_blocks() -> Vec<&'static str> {
    README.split("```yaml\n").skip(1).map(|rest| rest.split("```").next().unwrap()).collect()
}

#[test]
fn the_record_of_the_readme_renders() {
    let blocks = yaml_blocks();
    assert_eq!(blocks.len(), 2, "the README shows a tank and an entry");
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("tank.yaml"), blocks[0]).unwrap();
    fs::create_dir(folder.path().join("log")).unwrap();
    fs::write(folder.path().join("log/2025-10-04.yaml"), blocks[1]).unwrap();
    let request = Request {
        folder: folder.path().to_path_buf(),
        today: date(2025, 11, 1),
        as_of: None,
        units: polypary::units::System::Metric,
        theme: "fieldguide".into(),
    };

    let outcome = pipeline::journal(&request).unwrap();
    assert_eq!(outcome.warnings, "");
    let front = fs::read_to_string(outcome.edition.join("index.html")).unwrap();
    assert!(front.contains("Kitchen lagoon"));
    let nitrate = fs::read_to_string(outcome.edition.join("water/nitrate.html")).unwrap();
    assert!(nitrate.contains("below 2"), "a reading below what the kit sees stays one");

    let (loaded, findings, _) = pipeline::work_out(&request, true).unwrap();
    let due = pipeline::due(&loaded.record, &findings);
    assert_eq!(due, ["log/2025-10-04.yaml:6: question due 2025-10-18: Leather open again?"]);
}

#[test]
fn the_picture_and_the_files_it_links_to_are_there() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let links: Vec<&str> = README
        .split("](")
        .skip(1)
        .map(|rest| rest.split([')', '#']).next().unwrap())
        .filter(|link| !link.is_empty())
        .collect();
    assert!(links.len() >= 4, "{links:?}");
    for link in links {
        assert!(root.join(link).is_file(), "{link}");
    }
}
