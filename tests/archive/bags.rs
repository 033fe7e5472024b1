//! Bags as RFC 8493 has them, and every way in which one can be harmed.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use polypary::pipeline::{self, Wanted};
use polypary::write::bag::{Changed, Fault, check};

use super::{files, program, put, record, request, said};

fn bytes(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    files(folder).into_iter().map(|(path, file)| (path, fs::read(file).unwrap())).collect()
}

#[test]
fn a_bag_holds_the_record_byte_for_byte_and_is_sound() {
    let folder = record();
    let archived = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap();
    assert_eq!(archived.changed, None);
    let bag = bytes(&archived.edition);
    let mut own = 0;
    for (path, file) in files(folder.path()) {
        let kept = bag.get(&format!("data/record/{path}"));
        if path.starts_with("out/") || path == ".hidden" {
            assert_eq!(kept, None, "{path}");
        } else {
            own += 1;
            assert_eq!(kept, Some(&fs::read(file).unwrap()), "{path}");
        }
    }
    assert_eq!(own, 17);
    // RFC 8493, 2.1.1: two lines, exactly so.
    assert_eq!(bag["bagit.txt"], b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n");
    let payload: Vec<&Vec<u8>> = bag.iter().filter(|(path, _)| path.starts_with("data/")).map(|(_, b)| b).collect();
    let octets: usize = payload.iter().map(|bytes| bytes.len()).sum();
    let info = String::from_utf8(bag["bag-info.txt"].clone()).unwrap();
    assert!(info.contains(&format!("Payload-Oxum: {octets}.{}\n", payload.len())), "{info}");
    assert!(info.contains("Bagging-Date: 2026-10-10\n"), "{info}");
    let manifest = String::from_utf8(bag["manifest-sha512.txt"].clone()).unwrap();
    assert_eq!(manifest.lines().count(), payload.len());
    // RFC 8493, 2.1.3: a percent sign in a name is percent-encoded, a space is not.
    assert!(manifest.contains("  data/record/100%25 odd.txt\n"), "{manifest}");
    let checked = check(&archived.edition).unwrap();
    assert_eq!(checked.faults, []);
    assert_eq!(checked.files, payload.len() + 5);
    assert_eq!(checked.date.as_deref(), Some("2026-10-10"));
    let readme = String::from_utf8(bag["README.txt"].clone()).unwrap();
    assert!(readme.lines().all(|line| line.chars().count() <= 78), "{readme}");
    for path in bag.keys().filter(|path| path.starts_with("data/tables/") && path.ends_with(".csv")) {
        let name = path.rsplit('/').next().unwrap();
        assert!(readme.contains(&format!("- {name}: ")), "the README does not tell of {name}");
    }
}

#[test]
fn the_same_record_gives_the_same_bag_and_a_changed_one_says_what_changed() {
    let folder = record();
    let first = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap();
    let before = bytes(&first.edition);
    let second = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap();
    assert_eq!(second.changed, Some(Changed::default()));
    assert!(before == bytes(&second.edition));

    fs::remove_file(folder.path().join("a paper.txt")).unwrap();
    put(folder.path(), "another paper.txt", "new");
    put(folder.path(), "story/01-start.md", "---\ntitle: The start\norder: 1\n---\nIt began with salt.\n");
    let third = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap().changed.unwrap();
    let own = |paths: &[String]| -> Vec<String> {
        paths.iter().filter(|path| path.starts_with("data/record/")).cloned().collect()
    };
    assert_eq!(own(&third.added), ["data/record/another paper.txt"]);
    assert_eq!(own(&third.altered), ["data/record/story/01-start.md"]);
    assert_eq!(own(&third.removed), ["data/record/a paper.txt"]);
    let told = said(&program(&["archive"], folder.path()));
    assert!(told.contains("nothing has changed since the archive that stood here"), "{told}");
}

#[test]
fn a_record_with_mistakes_leaves_the_old_bag_as_it_was() {
    let folder = record();
    let archived = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap();
    let before = bytes(&archived.edition);
    put(folder.path(), "log/2027.yaml", "2026-10-12:\n  temperature: 255 °C\n");
    let output = program(&["archive"], folder.path());
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(before == bytes(&archived.edition));
}

/// A sound bag in a folder of its own.
fn bag() -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = record();
    let edition = pipeline::archive(&request(folder.path()), Wanted::default()).unwrap().edition;
    (folder, edition)
}

fn faults(bag: &Path) -> Vec<Fault> {
    check(bag).unwrap().faults
}

#[test]
fn a_flipped_bit_is_found_in_every_file() {
    let (_folder, bag) = bag();
    let all = files(&bag);
    // Every kind of file: payload of each folder, lists, and what stands beside them.
    for path in [
        "data/record/tank.yaml",
        "data/record/photos/2026-10-10-fan.png",
        "data/journal/index.html",
        "data/tables/datapackage.json",
        "data/hand-over.txt",
        "README.txt",
        "bag-info.txt",
        "manifest-sha256.txt",
        "manifest-sha512.txt",
    ] {
        let whole = fs::read(&all[path]).unwrap();
        let mut harmed = whole.clone();
        let middle = harmed.len() / 2;
        harmed[middle] ^= 1;
        fs::write(&all[path], &harmed).unwrap();
        let found = faults(&bag);
        assert!(found.contains(&Fault::Altered(path.into())), "{path}: {found:?}");
        let output = program(&["archive", "--recheck"], &bag);
        assert_eq!(output.status.code(), Some(1));
        assert!(said(&output).contains(&format!("altered: {path}\n")), "{}", said(&output));
        fs::write(&all[path], &whole).unwrap();
        assert_eq!(faults(&bag), [], "{path} mended");
    }
    // A list of the lists is checked against nothing but the files it lists.
    let path = "tagmanifest-sha256.txt";
    let text = fs::read_to_string(&all[path]).unwrap();
    let harmed = format!("{}{}", if text.starts_with('0') { "1" } else { "0" }, &text[1..]);
    fs::write(&all[path], harmed).unwrap();
    assert_eq!(faults(&bag), [Fault::Altered("README.txt".into())]);
}

#[test]
fn a_lost_file_and_an_added_file_are_named() {
    let (_folder, bag) = bag();
    assert_eq!(program(&["archive", "--recheck"], &bag).status.code(), Some(0));
    let lost = bag.join("data/record/log/2026.yaml");
    let whole = fs::read(&lost).unwrap();
    fs::remove_file(&lost).unwrap();
    let found = faults(&bag);
    assert!(found.contains(&Fault::Missing("data/record/log/2026.yaml".into())), "{found:?}");
    assert_eq!(program(&["archive", "--recheck"], &bag).status.code(), Some(1));
    fs::write(&lost, whole).unwrap();
    assert_eq!(faults(&bag), []);

    for added in ["data/record/log/extra.yaml", "data/.hidden", "note.txt", "data/record/ä 100%.txt"] {
        put(&bag, added, "x");
        assert_eq!(faults(&bag), [Fault::Added(added.into())]);
        let output = program(&["archive", "--recheck"], &bag);
        assert_eq!(output.status.code(), Some(1));
        fs::remove_file(bag.join(added)).unwrap();
    }
    fs::remove_file(bag.join("README.txt")).unwrap();
    assert_eq!(faults(&bag), [Fault::Missing("README.txt".into())]);
}

#[test]
fn a_file_listed_in_one_manifest_only_is_told() {
    let (_folder, bag) = bag();
    let path = bag.join("manifest-sha256.txt");
    let text = fs::read_to_string(&path).unwrap();
    let kept: String =
        text.lines().filter(|line| !line.ends_with("data/record/tank.yaml")).map(|line| format!("{line}\n")).collect();
    fs::write(&path, kept).unwrap();
    let found = faults(&bag);
    let listed = Fault::ListedInOneOnly { path: "data/record/tank.yaml".into(), not_in: "manifest-sha256.txt".into() };
    assert!(found.contains(&listed), "{found:?}");
    assert!(found.contains(&Fault::Altered("manifest-sha256.txt".into())), "{found:?}");
}

#[test]
fn lists_that_lead_out_of_the_bag_are_refused_and_nothing_outside_is_read() {
    let (folder, bag) = bag();
    put(folder.path(), "outside.txt", "secret");
    let absolute = folder.path().join("outside.txt");
    let sum = "2bb80d537b1da3e38bd30361aa855686bde0eacd7162fef6a25fe97bf527a25b"; // SHA-256 of "secret"
    for path in [
        absolute.to_str().unwrap(),
        "data/../../../outside.txt",
        "../../outside.txt",
        "data/%2e%2e/%2e%2e/%2e%2e/outside.txt",
        "data/a%0A/../../../outside.txt",
        "data\\..\\..\\..\\outside.txt",
        "~/outside.txt",
        "C:\\outside.txt",
        "data//record/tank.yaml",
    ] {
        let manifest = bag.join("manifest-sha256.txt");
        let text = fs::read_to_string(&manifest).unwrap();
        fs::write(&manifest, format!("{text}{sum}  {path}\n")).unwrap();
        let found = faults(&bag);
        let line = text.lines().count() + 1;
        let refused = found.iter().any(
            |fault| matches!(fault, Fault::BadLine { file, line: at, .. } if file == "manifest-sha256.txt" && *at == line),
        );
        // `%2e` is no code of the RFC: it names a file that is not there.
        let missing = found.contains(&Fault::Missing(path.into()));
        assert!(refused || (path.contains("%2e") && missing), "{path}: {found:?}");
        fs::write(&manifest, text).unwrap();
    }
    assert_eq!(faults(&bag), []);
}

#[cfg(unix)]
#[test]
fn a_link_is_no_file_of_a_bag() {
    let (folder, bag) = bag();
    let inside = bag.join("data/record/tank.yaml");
    fs::rename(&inside, folder.path().join("moved.yaml")).unwrap();
    std::os::unix::fs::symlink(folder.path().join("moved.yaml"), &inside).unwrap();
    let found = faults(&bag);
    assert!(found.contains(&Fault::NotAFile("data/record/tank.yaml".into())), "{found:?}");
    assert!(found.contains(&Fault::Missing("data/record/tank.yaml".into())), "{found:?}");
}

#[test]
fn what_is_no_bag_is_told() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "data/x", "x");
    let found = faults(folder.path());
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found.iter().all(|fault| matches!(fault, Fault::NotABag(_))), "{found:?}");
    assert_eq!(program(&["archive", "--recheck"], folder.path()).status.code(), Some(1));
    assert_eq!(program(&["archive", "--recheck"], &folder.path().join("nowhere")).status.code(), Some(3));

    let (_folder, bag) = bag();
    put(&bag, "fetch.txt", "https://example.org/x 10 data/x\n");
    assert!(faults(&bag).iter().any(|fault| matches!(fault, Fault::NotABag(why) if why.contains("fetch.txt"))));
}

#[test]
fn a_bag_of_another_program_is_read_as_the_rfc_has_it() {
    // Windows line ends, capitals in a checksum, a star for binary, an encoded line feed: all allowed (RFC 8493, 2.1.3).
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "bagit.txt", "BagIt-Version: 1.0\r\nTag-File-Character-Encoding: UTF-8\r\n");
    put(folder.path(), "data/abc", "abc");
    put(folder.path(), "data/one\ntwo", "");
    // FIPS 180-2, B.1, and the checksum of nothing at all.
    let text = "BA7816BF8F01CFEA414140DE5DAE2223B00361A396177A9CB410FF61F20015AD *data/abc\r\ne3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  data/one%0Atwo\r\n";
    put(folder.path(), "manifest-sha256.txt", text);
    let checked = check(folder.path()).unwrap();
    assert_eq!(checked.faults, []);
    assert_eq!((checked.files, checked.bytes), (2, 3));
}

#[test]
fn a_loss_report_has_what_happened_and_the_checksums_of_its_originals() {
    let folder = record();
    let period = (jiff::civil::date(2026, 10, 1), jiff::civil::date(2026, 10, 5));
    let wanted = Wanted { loss: Some(period), ..Wanted::default() };
    let edition = pipeline::archive(&request(folder.path()), wanted).unwrap().edition;
    let bag = files(&edition);
    let report = fs::read_to_string(&bag["data/loss-report.txt"]).unwrap();
    let words: String = report.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("Kitchen lagoon: loss report, 1 October 2026 to 5 October 2026"), "{report}");
    assert!(words.contains("Leather closed: shedding?") && words.contains("address: 12 Limpet Stairs"), "{report}");
    assert!(!words.contains("10 October 2026 20:00"), "later entries stay out: {report}");
    // The list of the bag holds the same sums, and the bag is sound.
    let manifest = fs::read_to_string(&bag["manifest-sha256.txt"]).unwrap();
    for original in ["log/2026.yaml", "tank.yaml", "equipment/lamp.yaml", "colonies/red-fan.yaml"] {
        let line = manifest.lines().find(|line| line.ends_with(&format!("data/record/{original}"))).unwrap();
        assert!(report.contains(line.split_once(' ').unwrap().0), "{original}");
    }
    assert_eq!(faults(&edition), []);
}
