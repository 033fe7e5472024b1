//! GUIDE.md, followed to the letter: every sample is laid where it says, every command typed, every message compared.
//!
//! A fenced block says in its first line what it is: `yaml PATH` (also `markdown`, `csv`) is a file of the record `my-reef`, which must
//! be without a diagnostic from then on; `yaml wrong PATH` is a file whose mistake the next `text` block shows; `sh` holds commands.
//! The photos that samples name are copied from the example record, since a guide cannot hold one.

mod support;

use std::fs;
use std::path::Path;
use std::process::Command;

use jiff::civil::{Date, date};
use support::put;

const GUIDE: &str = include_str!("../GUIDE.md");
const TODAY: Date = date(2025, 10, 12);

struct Block {
    info: String,
    text: String,
    line: usize,
}

fn blocks() -> Vec<Block> {
    let mut found: Vec<Block> = Vec::new();
    let mut open = false;
    for (number, line) in GUIDE.lines().enumerate() {
        match line.strip_prefix("```") {
            Some(info) if !open => {
                found.push(Block { info: info.into(), text: String::new(), line: number + 1 });
                open = true;
            }
            Some(_) => open = false,
            None if open => {
                let text = &mut found.last_mut().unwrap().text;
                text.push_str(line);
                text.push('\n');
            }
            None => {}
        }
    }
    assert!(!open, "a block is never closed");
    found
}

/// What the program says of the record as it stands.
fn told(record: &Path) -> String {
    let loaded = polypary::pipeline::load(&support::request(record, TODAY)).unwrap();
    loaded.diagnostics.render_all(&loaded.folder.sources)
}

/// Types a line into a shell beside the record, and gives what came back.
fn typed(folder: &Path, line: &str) -> (bool, String) {
    let programs = Path::new(env!("CARGO_BIN_EXE_polypary")).parent().unwrap();
    let path = format!("{}:{}", programs.display(), std::env::var("PATH").unwrap());
    let output = Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", path)
        .env("POLYPARY_TODAY", TODAY.to_string())
        .output()
        .unwrap();
    let said = [output.stdout, output.stderr].map(|bytes| String::from_utf8(bytes).unwrap()).concat();
    (output.status.success(), said)
}

#[test]
fn the_guide_works_as_it_stands() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("my-reef");
    let blocks = blocks();
    let (mut files, mut commands, mut mistakes) = (0, 0, 0);
    let mut wrong: Option<(&str, &str)> = None;
    for block in &blocks {
        let at = format!("GUIDE.md:{}", block.line);
        let mut words = block.info.split(' ');
        match (words.next(), words.next(), words.next()) {
            (Some("yaml"), Some("wrong"), Some(path)) => wrong = Some((path, &block.text)),
            (Some("text"), None, None) => {
                let (path, text) = wrong.take().unwrap_or_else(|| panic!("{at}: a message without its mistake"));
                put(&record, path, text);
                let said = told(&record);
                assert!(said.contains(block.text.trim_end()), "{at}\n--- said\n{said}");
                fs::remove_file(record.join(path)).unwrap();
                mistakes += 1;
            }
            (Some("yaml" | "markdown" | "csv"), Some(path), None) => {
                for photo in block.text.split(|c: char| c.is_whitespace() || ",:[]{}\"".contains(c)) {
                    if photo.ends_with(".jpg") && !record.join("photos").join(photo).exists() {
                        let any = Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank/photos/2024-09-28-lamp.jpg");
                        put(&record, &format!("photos/{photo}"), fs::read(any).unwrap());
                    }
                }
                put(&record, path, &block.text);
                // A table of sensor readings is explained by the file that follows it.
                if !path.ends_with(".csv") {
                    assert_eq!(told(&record), "", "{at}: {path}");
                }
                files += 1;
            }
            (Some("sh"), None, None) => {
                for line in block.text.lines() {
                    let (done, said) = typed(folder.path(), line);
                    assert!(done, "{at}: {line}\n{said}");
                    assert_eq!(told(&record), "", "{at}: {line}");
                    commands += 1;
                }
            }
            // What depends on the reader's machine.
            (Some(""), None, None) => {}
            other => panic!("{at}: a block of no known sort: {other:?}"),
        }
    }
    assert!(wrong.is_none(), "a mistake without its message");
    assert!(files >= 30 && commands >= 12 && mistakes >= 9, "{files} files, {commands} commands, {mistakes} mistakes");

    // What the guide promises of the pages.
    let journal = record.join("out/journal");
    let front = fs::read_to_string(journal.join("index.html")).unwrap();
    assert!(front.contains("Harbour Wall"));
    let nitrate = fs::read_to_string(journal.join("water/nitrate.html")).unwrap();
    assert!(nitrate.contains("below 2"));
    for page in ["light.html", "upkeep.html", "colony/green-leather.html", "equipment/lamp.html"] {
        assert!(journal.join(page).is_file(), "{page}");
    }
    assert!(record.join("out/sitter/sheet.html").is_file());
}

/// Links lead to a heading of the guide or to a file of the repository.
#[test]
fn the_links_of_the_guide_lead_somewhere() {
    let anchors: Vec<String> = GUIDE
        .lines()
        .filter(|line| line.starts_with('#'))
        .map(|line| {
            let title = line.trim_start_matches('#').trim().to_lowercase();
            title
                .chars()
                .filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-'))
                .collect::<String>()
                .replace(' ', "-")
        })
        .collect();
    let links: Vec<&str> = GUIDE.split("](").skip(1).map(|rest| rest.split(')').next().unwrap()).collect();
    assert!(links.len() > 15, "{links:?}");
    for link in links.iter().filter(|link| !link.starts_with("https://")) {
        match link.strip_prefix('#') {
            Some(anchor) => assert!(anchors.iter().any(|known| known == anchor), "{link}"),
            None => {
                let file = link.split('#').next().unwrap();
                assert!(Path::new(env!("CARGO_MANIFEST_DIR")).join(file).is_file(), "{link}");
            }
        }
    }
}
