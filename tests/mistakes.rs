//! Bad records beside the exact text of their diagnostics.
//!
//! A folder `tests/mistakes/NAME/` holds the bad files at their places and `expected.txt`; they are laid over the sound
//! record of `tests/mistakes/base/`. Files that a version control system cannot hold well are made here, by the name of
//! their case. What looks odd and is sound has a case too, whose text is `no diagnostic`. `REWRITE_EXPECTED=1` writes the texts anew: read the difference before committing it.

mod support;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::{Date, date};
use polypary::pipeline::{Request, load};
use support::put;

const TODAY: Date = date(2026, 11, 25);

/// Makes what a folder kept in a repository cannot hold.
type Make = fn(&Path);

/// Cases whose bad files are made by this program.
const MADE: &[(&str, Make)] = &[
    ("heic-photos", heic_photos),
    ("no-tank", no_tank),
    ("not-utf8", not_utf8),
    ("symlink-leaves-record", symlink_leaves_record),
];

#[test]
fn every_mistake_is_told_as_expected() {
    let root = mistakes();
    let rewrite = std::env::var_os("REWRITE_EXPECTED").is_some();
    let cases = cases(&root);
    assert!(cases.len() > 40, "only {} cases were found", cases.len());
    let mut wrong = Vec::new();
    for case in &cases {
        let told = told(&root, case);
        let expected = root.join(case).join("expected.txt");
        if rewrite {
            fs::create_dir_all(root.join(case)).unwrap();
            fs::write(&expected, &told).unwrap();
        } else {
            let wanted = fs::read_to_string(&expected).unwrap_or_default();
            if wanted != told {
                wrong.push(format!("{case}\n--- expected\n{wanted}\n--- told\n{told}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// A scalar is the text that was typed.
#[test]
fn values_mean_what_was_typed() {
    let folder = tempfile::tempdir().unwrap();
    lay(&mistakes().join("base"), folder.path());
    lay(&mistakes().join("values-as-typed"), folder.path());
    let loaded = load(&request(folder.path())).unwrap();
    let fan = &loaded.record.colonies["red-fan"];
    assert_eq!(fan.name.value, "NO");
    let tank = &loaded.record.tanks["."];
    let entry = tank.entries.iter().find(|entry| entry.date() == date(2025, 3, 2)).unwrap();
    assert_eq!(entry.note.as_ref().unwrap().value, "22:30");
    assert_eq!(entry.seen[0].1, "1e3");
}

#[test]
fn the_base_is_sound() {
    let folder = tempfile::tempdir().unwrap();
    lay(&mistakes().join("base"), folder.path());
    assert_eq!(render(folder.path()), "");
}

/// A folder with nothing but an expected text, and no maker, is left over from a case that went.
#[test]
fn nothing_is_left_over() {
    let root = mistakes();
    let made: BTreeSet<&str> = MADE.iter().map(|(name, _)| *name).collect();
    for case in cases(&root) {
        let bad_files = walk(&root.join(&case)).iter().filter(|path| !path.ends_with("expected.txt")).count();
        assert!(bad_files > 0 || made.contains(case.as_str()), "tests/mistakes/{case} is left over");
        assert!(root.join(&case).join("expected.txt").is_file(), "tests/mistakes/{case} lacks expected.txt");
    }
    for entry in fs::read_dir(&root).unwrap() {
        let entry = entry.unwrap();
        assert!(entry.file_type().unwrap().is_dir(), "{:?}", entry.path());
    }
}

fn mistakes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/mistakes")
}

fn cases(root: &Path) -> BTreeSet<String> {
    let mut cases: BTreeSet<String> = fs::read_dir(root)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name != "base")
        .collect();
    cases.extend(MADE.iter().map(|(name, _)| name.to_string()));
    cases
}

/// What the program tells about a case.
fn told(root: &Path, case: &str) -> String {
    let outer = tempfile::tempdir().unwrap();
    let record = outer.path().join("record");
    lay(&root.join("base"), &record);
    lay(&root.join(case), &record);
    for (_, make) in MADE.iter().filter(|(name, _)| *name == case) {
        make(&record);
    }
    let told = render(&record);
    if told.is_empty() {
        return "no diagnostic\n".into();
    }
    told
}

fn render(record: &Path) -> String {
    let loaded = load(&request(record)).unwrap();
    loaded.diagnostics.render_all(&loaded.folder.sources)
}

fn request(record: &Path) -> Request {
    support::request(record, TODAY)
}

fn lay(from: &Path, over: &Path) {
    for path in walk(from) {
        let relative = path.strip_prefix(from).unwrap();
        if relative == Path::new("expected.txt") {
            continue;
        }
        put(over, relative.to_str().unwrap(), fs::read(&path).unwrap());
    }
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    if !folder.is_dir() {
        return Vec::new();
    }
    walkdir::WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| entry.into_path())
        .collect()
}

/// `°` as ISO 8859-1 writes it.
fn not_utf8(record: &Path) {
    put(record, "log/2025.yaml", b"2025-03-02 21:10:\n  temperature: 25.4 \xb0C\n");
}

/// A phone's photos: the first bytes of the container of ISO/IEC 23008-12.
fn heic_photos(record: &Path) {
    for name in ["front.heic", "second/fan.HEIC", "second/leather.heic"] {
        put(record, &format!("photos/{name}"), b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic");
    }
}

fn symlink_leaves_record(record: &Path) {
    let outside = record.parent().unwrap().join("elsewhere.yaml");
    fs::write(&outside, "2025-03-02 21:10:\n  temperature: 25.4\n").unwrap();
    std::os::unix::fs::symlink("../../elsewhere.yaml", record.join("log/2025.yaml")).unwrap();
}

fn no_tank(record: &Path) {
    fs::remove_dir_all(record).unwrap();
    fs::create_dir_all(record).unwrap();
}
