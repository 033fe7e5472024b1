//! Knowing that nothing has changed: what an edition was made from, and whether it still lies there as it was written.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use walkdir::{DirEntry, WalkDir};

use super::publish::mend;

/// A hash of everything an edition is made from: the program, its options, and path, size and time of every file.
///
/// # Errors
/// When the record cannot be walked.
pub fn fingerprint(record: &Path, options: &str) -> io::Result<String> {
    let mut hasher = blake3::Hasher::new();
    hasher.update(concat!(env!("CARGO_PKG_VERSION"), "\n").as_bytes());
    // A rebuilt program may write other pages with the same version.
    if let Ok(modified) = std::env::current_exe().and_then(fs::metadata).and_then(|metadata| metadata.modified()) {
        hasher.update(format!("{modified:?}\n").as_bytes());
    }
    hasher.update(options.as_bytes());
    hash_files(record, is_input, &mut hasher)?;
    Ok(hasher.finalize().to_hex().to_string())
}

/// The warnings of the run that wrote an edition: they hold as long as nothing changes, and are told again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Told {
    pub warnings: String,
    pub warning_count: usize,
}

/// What was told when the edition on disk was written, if it was made from just this and still lies there as it was
/// written. What a killed run left behind is put right first.
pub fn unchanged(out: &Path, edition: &str, fingerprint: &str) -> Option<Told> {
    mend(out, edition).ok()?;
    let kept = fs::read_to_string(note(out, edition)).ok()?;
    let (first, rest) = kept.split_once('\n')?;
    let (count, warnings) = rest.split_once('\n')?;
    let census = census(&out.join(edition)).ok()?;
    (first == format!("{fingerprint} {census}")).then_some(())?;
    Some(Told { warnings: warnings.into(), warning_count: count.parse().ok()? })
}

/// Remembers what the edition on disk was made from, and what was told of it.
///
/// # Errors
/// When the edition cannot be walked, or the system refuses to write.
pub fn remember(out: &Path, edition: &str, fingerprint: &str, told: &Told) -> io::Result<()> {
    let note = note(out, edition);
    fs::create_dir_all(note.parent().unwrap_or(out))?;
    let Told { warnings, warning_count } = told;
    fs::write(note, format!("{fingerprint} {}\n{warning_count}\n{warnings}", census(&out.join(edition))?))
}

fn note(out: &Path, edition: &str) -> PathBuf {
    out.join(".kept").join(format!("{edition}.fingerprint"))
}

/// The files of an edition: how many, and a hash of their paths, sizes and times, which sees it when somebody takes
/// one away or writes into it.
fn census(edition: &Path) -> io::Result<String> {
    let mut hasher = blake3::Hasher::new();
    let files = hash_files(edition, |_| true, &mut hasher)?;
    Ok(format!("{files} {}", hasher.finalize().to_hex()))
}

/// Output and hidden files are no input.
fn is_input(entry: &DirEntry) -> bool {
    let name = entry.file_name().to_string_lossy();
    entry.depth() == 0 || !(name.starts_with('.') || (name == "out" && entry.file_type().is_dir()))
}

/// Adds path, size and time of every file below a folder, in the order of their names. Gives their number.
fn hash_files(folder: &Path, wanted: fn(&DirEntry) -> bool, hasher: &mut blake3::Hasher) -> io::Result<usize> {
    let mut files = 0;
    for entry in WalkDir::new(folder).sort_by_file_name().into_iter().filter_entry(wanted) {
        let entry = entry.map_err(io::Error::from)?;
        if entry.file_type().is_dir() {
            continue;
        }
        let metadata = entry.metadata().map_err(io::Error::from)?;
        let path = entry.path().strip_prefix(folder).unwrap_or(entry.path()).as_os_str().as_encoded_bytes();
        let modified = metadata.modified()?.duration_since(UNIX_EPOCH).unwrap_or_default();
        // The length goes before the path, so that no file name can look like the end of another.
        hasher.update(&(path.len() as u64).to_le_bytes());
        hasher.update(path);
        hasher.update(&metadata.len().to_le_bytes());
        hasher.update(&modified.as_nanos().to_le_bytes());
        files += 1;
    }
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::super::publish::{Content, publish};
    use super::*;

    #[test]
    fn a_fingerprint_sees_every_change_of_the_record() {
        let record = tempfile::tempdir().unwrap();
        let path = |name: &str| record.path().join(name);
        let now = || fingerprint(record.path(), "journal").unwrap();
        fs::write(path("tank.yaml"), "name: A").unwrap();
        let first = now();
        assert_eq!(now(), first);
        fs::create_dir_all(path("out/journal")).unwrap();
        fs::write(path("out/journal/index.html"), "output").unwrap();
        fs::write(path(".hidden"), "").unwrap();
        assert_eq!(now(), first, "output and hidden files are no input");
        assert_ne!(fingerprint(record.path(), "journal us").unwrap(), first);

        fs::write(path("log.yaml"), "").unwrap();
        let added = now();
        assert_ne!(added, first);
        fs::rename(path("log.yaml"), path("logs.yaml")).unwrap();
        assert_ne!(now(), added, "renamed");
        fs::remove_file(path("logs.yaml")).unwrap();
        assert_eq!(now(), first, "removed again");

        let file = fs::File::options().write(true).open(path("tank.yaml")).unwrap();
        let modified = file.metadata().unwrap().modified().unwrap();
        file.set_modified(modified + std::time::Duration::from_nanos(1_000)).unwrap();
        assert_ne!(now(), first, "touched");
        fs::write(path("tank.yaml"), "name: Longer").unwrap();
        file.set_modified(modified).unwrap();
        assert_ne!(now(), first, "longer, at the same time");
    }

    #[test]
    fn an_edition_that_was_touched_is_not_unchanged() {
        let out = tempfile::tempdir().unwrap();
        let out = out.path();
        assert_eq!(unchanged(out, "journal", "f"), None);
        let told = Told { warnings: "a.yaml:1:1: warning: one\n\ntwo lines\n".into(), warning_count: 2 };
        let page = |name: &str| (name.to_string(), Content::Bytes(b"one".to_vec()));
        let write = || {
            publish(out, "journal", [page("index.html"), page("log/2026.html")]).unwrap();
            remember(out, "journal", "f", &told).unwrap();
            assert_eq!(unchanged(out, "journal", "f"), Some(told.clone()));
        };
        write();
        assert_eq!(unchanged(out, "journal", "g"), None);
        fs::remove_file(out.join("journal/log/2026.html")).unwrap();
        assert_eq!(unchanged(out, "journal", "f"), None);
        write();
        fs::write(out.join("journal/index.html"), "longer").unwrap();
        assert_eq!(unchanged(out, "journal", "f"), None);
        write();
        fs::write(out.join("journal/more.html"), "").unwrap();
        assert_eq!(unchanged(out, "journal", "f"), None);
        write();
        // A run that died between the two renames.
        fs::rename(out.join("journal"), out.join(".journal-before")).unwrap();
        assert!(unchanged(out, "journal", "f").is_some());
        fs::remove_dir_all(out.join("journal")).unwrap();
        assert_eq!(unchanged(out, "journal", "f"), None);
    }
}
