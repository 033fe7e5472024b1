//! Names longer than any drawing has room for.

use std::fs;
use std::path::Path;

use polypary::pipeline::{self, Wanted};

use super::{example_tank, request};

/// Makes every name, and every short text that stands in drawings and tables, run on.
fn lengthen(record: &Path) {
    for entry in walkdir::WalkDir::new(record) {
        let entry = entry.unwrap();
        if entry.path().extension().is_none_or(|end| end != "yaml") {
            continue;
        }
        let text = fs::read_to_string(entry.path()).unwrap();
        let long = |line: &str| match line.strip_prefix("name: ") {
            Some(name) => {
                let name = name.trim_matches('"');
                format!("name: \"{name} {}Unbreakable{}\"", "that runs on and on, ".repeat(4), "ness".repeat(30))
            }
            None => line.to_string(),
        };
        let lines: Vec<String> = text.lines().map(long).collect();
        fs::write(entry.path(), lines.join("\n") + "\n").unwrap();
    }
}

#[test]
fn names_without_end_are_still_drawn() {
    let folder = example_tank();
    lengthen(folder.path());
    let asked = request(folder.path());
    let outcome = pipeline::journal(&asked).unwrap();
    assert!(outcome.pages > 400, "{}", outcome.pages);
    let front = fs::read_to_string(outcome.edition.join("index.html")).unwrap();
    assert!(front.contains("Unbreakableness"));
    assert!(pipeline::archive(&asked, Wanted { without_private: false, loss: None }).unwrap().tables > 40);
}
