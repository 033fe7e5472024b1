//! Looks: the second built-in theme, and a third made as themes/README.md says, with its own words.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::date;
use polypary::pipeline::{self, Request};

const GUIDE: &str = include_str!("../themes/README.md");

fn block(language: &str) -> &'static str {
    GUIDE.split_once(&format!("```{language}\n")).unwrap().1.split_once("```").unwrap().0
}

fn record() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(
        folder.path().join("tank.yaml"),
        "name: Cove\nstarted: 2025-01-01\nzone: UTC\nwater: 75 L, counted at fill\nusual-units: {nitrate: mg/L NO3}\nbands: {nitrate: 2 to 15}\n",
    )
    .unwrap();
    fs::create_dir(folder.path().join("log")).unwrap();
    fs::write(folder.path().join("log/2025.yaml"), "2025-02-01: {nitrate: 5}\n").unwrap();
    folder
}

fn journal(folder: &Path, theme: &str) -> PathBuf {
    let request = Request {
        folder: folder.to_path_buf(),
        today: date(2025, 3, 1),
        as_of: None,
        units: polypary::units::System::Metric,
        theme: theme.into(),
    };
    pipeline::journal(&request).unwrap_or_else(|_| panic!("{theme} does not render")).edition
}

fn read(edition: &Path, file: &str) -> String {
    fs::read_to_string(edition.join(file)).unwrap()
}

#[test]
fn nightdive_has_a_character_of_its_own() {
    let folder = record();
    let plain = journal(folder.path(), "fieldguide");
    assert!(!plain.join("style/character.css").exists());
    let (front, colours) = (read(&plain, "index.html"), read(&plain, "style/theme.css"));
    let night = journal(folder.path(), "nightdive");
    assert_ne!(read(&night, "style/theme.css"), colours);
    assert!(read(&night, "style/character.css").contains(".hero-words"));
    let at_night = read(&night, "index.html");
    assert_ne!(at_night, front);
    assert!(at_night.contains("style/character.css"));
    // What it does not replace is the default's.
    assert!(night.join("style/charts.css").exists());
}

#[test]
fn a_third_look_is_made_as_the_guide_says() {
    let folder = record();
    let theme = folder.path().join("themes/lagoon");
    fs::create_dir_all(theme.join("templates")).unwrap();
    fs::write(theme.join("theme.yaml"), block("yaml")).unwrap();
    fs::write(theme.join("templates/index.html"), block("html")).unwrap();
    let edition = journal(folder.path(), "lagoon");
    let colours = read(&edition, "style/theme.css");
    assert!(colours.contains("--paper: #fbf7ee") && colours.contains("--head: Georgia, serif"), "{colours}");
    // A line that is left out is the default's.
    assert!(colours.contains("--c: #73265a"), "{colours}");
    let front = read(&edition, "index.html");
    assert!(front.contains("id=\"name-h\"") && front.contains("id=\"water-h\""));
    assert!(!front.contains("id=\"cautions-h\""), "the guide's front page leaves the cautions to their own page");
}
