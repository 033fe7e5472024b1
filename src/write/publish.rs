//! An edition appears whole or not at all: it is written aside and then swapped in.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Component, Path, PathBuf};

use rayon::prelude::*;

pub use super::cache::{Told, fingerprint, remember, unchanged};

/// What a file of the edition holds.
pub enum Content {
    Bytes(Vec<u8>),
    /// A file that lies elsewhere, linked where the system allows, else copied.
    Kept(PathBuf),
}

/// How many files the edition has, and how many of them hold what they held before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Published {
    pub files: usize,
    pub unchanged: usize,
}

/// Writes all files of an edition into `out/EDITION`.
///
/// The new edition is built in a folder beside it. Until the last moment the old one stands untouched; a run that dies
/// between the two renames leaves the old edition aside, and the next run puts it back. A file whose bytes are the old
/// ones keeps its time of change, so that whoever copies the edition on has less to copy.
///
/// # Errors
/// When the system refuses to write, a path would leave the edition or comes twice, or another run is writing.
pub fn publish(out: &Path, edition: &str, files: impl IntoIterator<Item = (String, Content)>) -> io::Result<Published> {
    let current = out.join(edition);
    stage(out, edition, |staged| {
        let mut places = BTreeMap::new();
        for (path, content) in files {
            if places.insert(inside(&path)?, content).is_some() {
                return Err(io::Error::other(format!("two pages want to be `{path}`")));
            }
        }
        let folders: BTreeSet<&Path> = places.keys().filter_map(|relative| relative.parent()).collect();
        for folder in folders {
            fs::create_dir_all(staged.join(folder))?;
        }
        let files = places.len();
        let same: Vec<bool> = places
            .into_par_iter()
            .map(|(relative, content)| place(&content, &staged.join(&relative), &current.join(&relative)))
            .collect::<io::Result<_>>()?;
        Ok(Published { files, unchanged: same.into_iter().filter(|same| *same).count() })
    })
}

/// Lets `write` fill an empty folder beside the edition, and swaps it in when that went well. While it writes, the old
/// edition stands untouched.
///
/// # Errors
/// Those of `write`, and when the system refuses or another run is writing.
pub fn stage<T, E: From<io::Error>>(
    out: &Path,
    edition: &str,
    write: impl FnOnce(&Path) -> Result<T, E>,
) -> Result<T, E> {
    let _lock = lock(out, edition)?;
    mend_locked(out, edition)?;
    let aside = tempfile::Builder::new().prefix(&left_over(edition)).tempdir_in(out)?;
    // A temporary folder is closed to others; the one inside is as open as any that is made here.
    let staged = aside.path().join(edition);
    fs::create_dir(&staged)?;
    let written = write(&staged)?;
    swap(&staged, &out.join(edition), &before(out, edition))?;
    Ok(written)
}

/// Puts right what a killed run left behind: an edition that stands aside comes back, half-made ones go.
///
/// # Errors
/// When the system refuses, or another run is writing.
pub fn mend(out: &Path, edition: &str) -> io::Result<()> {
    if !out.is_dir() {
        return Ok(());
    }
    let _lock = lock(out, edition)?;
    mend_locked(out, edition)
}

/// Held while an edition is written; the system lets go of it when a run dies.
fn lock(out: &Path, edition: &str) -> io::Result<File> {
    let kept = out.join(".kept");
    fs::create_dir_all(&kept)?;
    let path = kept.join(format!("{edition}.lock"));
    let file = OpenOptions::new().create(true).truncate(false).write(true).open(path)?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => {
            Err(io::Error::new(io::ErrorKind::WouldBlock, format!("another run is writing the {edition}")))
        }
        // Some network drives know no locks; two runs at a time are then the keeper's to avoid.
        Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => Ok(file),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

fn mend_locked(out: &Path, edition: &str) -> io::Result<()> {
    let (current, before) = (out.join(edition), before(out, edition));
    if before.exists() {
        if current.exists() {
            fs::remove_dir_all(&before)?;
        } else {
            fs::rename(&before, &current)?;
        }
    }
    for entry in fs::read_dir(out)? {
        let entry = entry?;
        if entry.file_name().to_string_lossy().starts_with(&left_over(edition)) {
            fs::remove_dir_all(entry.path())?;
        }
    }
    Ok(())
}

fn left_over(edition: &str) -> String {
    format!(".{edition}-new-")
}

fn before(out: &Path, edition: &str) -> PathBuf {
    out.join(format!(".{edition}-before"))
}

/// A relative path without `..`.
pub(super) fn inside(path: &str) -> io::Result<PathBuf> {
    let path = PathBuf::from(path);
    if path.components().all(|part| matches!(part, Component::Normal(_))) && path.components().count() > 0 {
        Ok(path)
    } else {
        Err(io::Error::other(format!("`{}` leaves the edition", path.display())))
    }
}

/// Puts one file in its place; says whether it holds what it held in the old edition.
fn place(content: &Content, target: &Path, old: &Path) -> io::Result<bool> {
    match content {
        Content::Bytes(bytes) => {
            let is_same = fs::symlink_metadata(old)
                .is_ok_and(|metadata| metadata.is_file() && metadata.len() == bytes.len() as u64)
                && fs::read(old).is_ok_and(|old| old == *bytes);
            if !is_same || fs::hard_link(old, target).is_err() {
                fs::write(target, bytes)?;
            }
            Ok(is_same)
        }
        Content::Kept(kept) => {
            let times = |path: &Path| fs::metadata(path).and_then(|found| Ok((found.len(), found.modified()?))).ok();
            let is_same = times(kept).is_some() && times(kept) == times(old);
            if fs::hard_link(kept, target).is_err() {
                fs::copy(kept, target)?;
            }
            Ok(is_same)
        }
    }
}

fn swap(staged: &Path, current: &Path, before: &Path) -> io::Result<()> {
    if current.exists() {
        fs::rename(current, before)?;
    }
    if let Err(error) = fs::rename(staged, current) {
        if before.exists() {
            fs::rename(before, current)?;
        }
        return Err(error);
    }
    if before.exists() {
        fs::remove_dir_all(before)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(path: &str, text: &str) -> (String, Content) {
        (path.into(), Content::Bytes(text.into()))
    }

    /// What lies in `out` beside the edition and the cache.
    fn litter(out: &Path) -> Vec<String> {
        fs::read_dir(out)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| name != "journal" && name != ".kept")
            .collect()
    }

    fn index(out: &Path) -> String {
        fs::read_to_string(out.join("journal/index.html")).unwrap()
    }

    #[test]
    fn a_new_edition_takes_the_place_of_the_old() {
        let out = tempfile::tempdir().unwrap();
        let out = out.path();
        let first = publish(out, "journal", [file("index.html", "one"), file("water/old.html", "x")]).unwrap();
        assert_eq!(first, Published { files: 2, unchanged: 0 });
        publish(out, "journal", [file("index.html", "two")]).unwrap();
        assert_eq!(index(out), "two");
        assert!(!out.join("journal/water").exists());
        assert_eq!(litter(out), [""; 0]);
    }

    #[test]
    fn a_file_that_holds_the_same_keeps_its_time() {
        let out = tempfile::tempdir().unwrap();
        let out = out.path();
        publish(out, "journal", [file("index.html", "one"), file("log.html", "same")]).unwrap();
        let log = out.join("journal/log.html");
        let long_ago = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000_000);
        File::options().write(true).open(&log).unwrap().set_modified(long_ago).unwrap();
        let second = publish(out, "journal", [file("index.html", "two"), file("log.html", "same")]).unwrap();
        assert_eq!(second, Published { files: 2, unchanged: 1 });
        assert_eq!(fs::metadata(&log).unwrap().modified().unwrap(), long_ago);
        assert_eq!(fs::read_to_string(&log).unwrap(), "same");
        assert_eq!(index(out), "two");
    }

    #[test]
    fn a_refused_edition_leaves_the_old_one_standing() {
        let out = tempfile::tempdir().unwrap();
        let out = out.path();
        publish(out, "journal", [file("index.html", "one")]).unwrap();
        for bad in ["../escape.html", "a/../../escape.html", "/etc/escape.html", "./..", ""] {
            assert!(publish(out, "journal", [file("index.html", "two"), file(bad, "x")]).is_err(), "{bad}");
        }
        assert!(publish(out, "journal", [file("a", "1"), file("a", "2")]).is_err());
        let gone = ("photos/a.jpg".to_string(), Content::Kept(out.join("no such photo")));
        assert!(publish(out, "journal", [file("index.html", "two"), gone]).is_err());
        assert_eq!(index(out), "one");
        assert_eq!(litter(out), [""; 0]);
    }

    #[test]
    fn a_killed_run_is_mended_by_the_next() {
        let out = tempfile::tempdir().unwrap();
        let out = out.path();
        publish(out, "journal", [file("index.html", "one")]).unwrap();
        fs::rename(out.join("journal"), before(out, "journal")).unwrap();
        fs::create_dir(out.join(".journal-new-abc")).unwrap();
        mend(out, "journal").unwrap();
        assert_eq!(index(out), "one");
        assert_eq!(litter(out), [""; 0]);
        // Killed after the swap: the new edition stays, the old one goes.
        fs::create_dir(before(out, "journal")).unwrap();
        mend(out, "journal").unwrap();
        assert_eq!(index(out), "one");
        assert_eq!(litter(out), [""; 0]);
    }

    #[test]
    fn two_runs_do_not_write_at_a_time() {
        let out = tempfile::tempdir().unwrap();
        let held = lock(out.path(), "journal").unwrap();
        let refused = publish(out.path(), "journal", [file("index.html", "one")]).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::WouldBlock);
        drop(held);
        publish(out.path(), "journal", [file("index.html", "one")]).unwrap();
    }
}
