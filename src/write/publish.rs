//! An edition appears whole or not at all: it is written aside and then swapped in.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::time::UNIX_EPOCH;

use walkdir::WalkDir;

/// What a file of the edition holds.
pub enum Content {
    Bytes(Vec<u8>),
    /// A file that lies elsewhere, linked where the system allows, else copied.
    Kept(PathBuf),
}

/// How many files were written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Published {
    pub files: usize,
}

/// Writes all files of an edition into `out/EDITION`.
///
/// The new edition is built in a folder beside it. Until the last moment the old one stands untouched; a run that dies
/// between the two renames leaves the old edition aside, and the next run puts it back.
///
/// # Errors
/// When the system refuses to write, or a path would leave the edition.
pub fn publish(out: &Path, edition: &str, files: Vec<(String, Content)>) -> io::Result<Published> {
    fs::create_dir_all(out)?;
    mend(out, edition)?;
    let staged = tempfile::Builder::new().prefix(&format!(".{edition}-new-")).tempdir_in(out)?;
    let mut seen = BTreeSet::new();
    let count = files.len();
    for (path, content) in files {
        if !seen.insert(path.clone()) {
            return Err(io::Error::other(format!("two pages want to be `{path}`")));
        }
        let target = staged.path().join(inside(&path)?);
        if let Some(folder) = target.parent() {
            fs::create_dir_all(folder)?;
        }
        match content {
            Content::Bytes(bytes) => fs::write(&target, bytes)?,
            Content::Kept(kept) => {
                if fs::hard_link(&kept, &target).is_err() {
                    fs::copy(&kept, &target).map(drop)?;
                }
            }
        }
    }
    swap(out, edition, staged)?;
    Ok(Published { files: count })
}

/// A relative path without `..`.
fn inside(path: &str) -> io::Result<PathBuf> {
    let path = PathBuf::from(path);
    if path.components().all(|part| matches!(part, Component::Normal(_))) && path.components().count() > 0 {
        Ok(path)
    } else {
        Err(io::Error::other(format!("`{}` leaves the edition", path.display())))
    }
}

fn aside(out: &Path, edition: &str) -> PathBuf {
    out.join(format!(".{edition}-before"))
}

fn swap(out: &Path, edition: &str, staged: tempfile::TempDir) -> io::Result<()> {
    let (current, before) = (out.join(edition), aside(out, edition));
    #[cfg(unix)]
    {
        // Temporary folders are closed to others; an edition is to be read by anybody.
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(staged.path(), fs::Permissions::from_mode(0o755))?;
    }
    if current.exists() {
        fs::rename(&current, &before)?;
    }
    let staged = staged.keep();
    if let Err(error) = fs::rename(&staged, &current) {
        if before.exists() {
            fs::rename(&before, &current)?;
        }
        let _ = fs::remove_dir_all(&staged);
        return Err(error);
    }
    if before.exists() {
        fs::remove_dir_all(&before)?;
    }
    Ok(())
}

/// Puts right what a killed run left behind.
fn mend(out: &Path, edition: &str) -> io::Result<()> {
    let (current, before) = (out.join(edition), aside(out, edition));
    if before.exists() {
        if current.exists() {
            fs::remove_dir_all(&before)?;
        } else {
            fs::rename(&before, &current)?;
        }
    }
    let left_over = format!(".{edition}-new-");
    for entry in fs::read_dir(out)? {
        let entry = entry?;
        if entry.file_name().to_string_lossy().starts_with(&left_over) {
            fs::remove_dir_all(entry.path())?;
        }
    }
    Ok(())
}

/// A hash of everything an edition is made from: the program, its options, and name, size and time of every file.
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
    let walker = WalkDir::new(record).sort_by_file_name().into_iter().filter_entry(|entry| {
        let name = entry.file_name().to_string_lossy();
        entry.depth() == 0 || !(name.starts_with('.') || (name == "out" && entry.file_type().is_dir()))
    });
    for entry in walker {
        let entry = entry.map_err(io::Error::from)?;
        if entry.file_type().is_dir() {
            continue;
        }
        let metadata = entry.metadata().map_err(io::Error::from)?;
        let modified = metadata.modified()?.duration_since(UNIX_EPOCH).unwrap_or_default();
        hasher.update(format!("{}\0{}\0{:?}\n", entry.path().display(), metadata.len(), modified).as_bytes());
    }
    Ok(hasher.finalize().to_hex().to_string())
}

fn note(out: &Path, edition: &str) -> PathBuf {
    out.join(".kept").join(format!("{edition}.made-from"))
}

/// Whether the edition on disk was made from just this, and is still whole.
pub fn is_unchanged(out: &Path, edition: &str, fingerprint: &str) -> bool {
    fs::read_to_string(note(out, edition))
        .is_ok_and(|kept| kept == format!("{fingerprint} {}", census(&out.join(edition))))
}

/// Remembers what the edition on disk was made from.
///
/// # Errors
/// When the system refuses to write.
pub fn remember(out: &Path, edition: &str, fingerprint: &str) -> io::Result<()> {
    let note = note(out, edition);
    fs::create_dir_all(note.parent().unwrap_or(out))?;
    fs::write(note, format!("{fingerprint} {}", census(&out.join(edition))))
}

/// Files and bytes of an edition: enough to see that somebody took one away or wrote into it.
fn census(edition: &Path) -> String {
    let (mut files, mut bytes) = (0u64, 0u64);
    for entry in WalkDir::new(edition).into_iter().flatten() {
        if let Ok(metadata) = entry.metadata()
            && metadata.is_file()
        {
            files += 1;
            bytes += metadata.len();
        }
    }
    format!("{files} {bytes}")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(path: &str, text: &str) -> (String, Content) {
        (path.into(), Content::Bytes(text.into()))
    }

    #[test]
    fn a_new_edition_takes_the_place_of_the_old() {
        let out = tempfile::tempdir().unwrap();
        publish(out.path(), "journal", vec![file("index.html", "one"), file("water/old.html", "x")]).unwrap();
        publish(out.path(), "journal", vec![file("index.html", "two")]).unwrap();
        assert_eq!(fs::read_to_string(out.path().join("journal/index.html")).unwrap(), "two");
        assert!(!out.path().join("journal/water").exists());
        assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1, "nothing is left lying about");
    }

    #[test]
    fn a_refused_edition_leaves_the_old_one_standing() {
        let out = tempfile::tempdir().unwrap();
        publish(out.path(), "journal", vec![file("index.html", "one")]).unwrap();
        for bad in ["../escape.html", "/etc/escape.html", ""] {
            assert!(publish(out.path(), "journal", vec![file("index.html", "two"), file(bad, "x")]).is_err());
        }
        assert!(publish(out.path(), "journal", vec![file("a", "1"), file("a", "2")]).is_err());
        assert_eq!(fs::read_to_string(out.path().join("journal/index.html")).unwrap(), "one");
        assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_killed_run_is_mended_by_the_next() {
        let out = tempfile::tempdir().unwrap();
        publish(out.path(), "journal", vec![file("index.html", "one")]).unwrap();
        fs::rename(out.path().join("journal"), out.path().join(".journal-before")).unwrap();
        fs::create_dir(out.path().join(".journal-new-abc")).unwrap();
        mend(out.path(), "journal").unwrap();
        assert_eq!(fs::read_to_string(out.path().join("journal/index.html")).unwrap(), "one");
        assert_eq!(fs::read_dir(out.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_fingerprint_sees_every_change() {
        let record = tempfile::tempdir().unwrap();
        let out = record.path().join("out");
        fs::write(record.path().join("tank.yaml"), "name: A").unwrap();
        let first = fingerprint(record.path(), "journal").unwrap();
        publish(&out, "journal", vec![file("index.html", "one")]).unwrap();
        assert_eq!(fingerprint(record.path(), "journal").unwrap(), first, "output is no input");
        assert_ne!(fingerprint(record.path(), "journal us").unwrap(), first);
        remember(&out, "journal", &first).unwrap();
        assert!(is_unchanged(&out, "journal", &first));
        fs::remove_file(out.join("journal/index.html")).unwrap();
        assert!(!is_unchanged(&out, "journal", &first));
        fs::write(record.path().join("tank.yaml"), "name: Longer").unwrap();
        assert_ne!(fingerprint(record.path(), "journal").unwrap(), first);
        fs::write(record.path().join("log.yaml"), "").unwrap();
        assert_ne!(fingerprint(record.path(), "journal").unwrap(), first);
    }
}
