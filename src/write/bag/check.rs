//! Verifying a bag: every missing, added or altered file by its name. Nothing outside the bag is opened, whatever its
//! lists say.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::fs;
use std::io;
use std::path::Path;

use rayon::prelude::*;
use walkdir::WalkDir;

use super::{Algorithm, Manifest, Sums, encode_path, parse_manifest, sum_up};

/// What is wrong with a bag.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// The folder, or a file that every bag has, is not as RFC 8493 asks.
    NotABag(String),
    Missing(String),
    Added(String),
    Altered(String),
    /// Listed in one manifest and not in another.
    ListedInOneOnly {
        path: String,
        not_in: String,
    },
    /// A line of a list that is refused.
    BadLine {
        file: String,
        line: usize,
        why: String,
    },
    /// A link or a device where a file should be: it could lead out of the bag.
    NotAFile(String),
    Unreadable {
        path: String,
        why: String,
    },
    /// `Payload-Oxum` does not fit.
    WrongSize {
        told: String,
        found: String,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::NotABag(why) => write!(out, "not a sound bag: {why}"),
            Fault::Missing(path) => write!(out, "missing: {}", encode_path(path)),
            Fault::Added(path) => write!(out, "added: {}", encode_path(path)),
            Fault::Altered(path) => write!(out, "altered: {}", encode_path(path)),
            Fault::ListedInOneOnly { path, not_in } => {
                write!(out, "not listed everywhere: {} is missing from {not_in}", encode_path(path))
            }
            Fault::BadLine { file, line, why } => write!(out, "refused: {file}, line {line}: {why}"),
            Fault::NotAFile(path) => write!(out, "not a plain file: {}", encode_path(path)),
            Fault::Unreadable { path, why } => write!(out, "cannot be read: {}: {why}", encode_path(path)),
            Fault::WrongSize { told, found } => {
                write!(out, "Payload-Oxum says {told}, the payload is {found} (bytes.files)")
            }
        }
    }
}

/// What came of a verification.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    pub faults: Vec<Fault>,
    /// Files whose checksums were compared.
    pub files: usize,
    pub bytes: u64,
    /// `Bagging-Date` of `bag-info.txt`.
    pub date: Option<String>,
    /// Lists in checksums that this program does not know, left unread.
    pub unread: Vec<String>,
}

/// Verifies a bag.
///
/// # Errors
/// When the folder itself cannot be read.
pub fn check(bag: &Path) -> io::Result<Checked> {
    let mut checked = Checked::default();
    if !fs::metadata(bag)?.is_dir() {
        return Err(io::Error::new(io::ErrorKind::NotADirectory, "a bag is a folder"));
    }
    let found = files(bag, &mut checked.faults)?;
    declaration(bag, &mut checked.faults);
    if found.contains("fetch.txt") {
        let why = "`fetch.txt` names files to be fetched from elsewhere; they are not in the bag and are not fetched";
        checked.faults.push(Fault::NotABag(why.into()));
    }
    let mut payload: BTreeMap<String, Manifest> = BTreeMap::new();
    let mut tags: BTreeMap<String, Manifest> = BTreeMap::new();
    let mut algorithms: BTreeMap<String, Algorithm> = BTreeMap::new();
    for name in found.iter().filter(|name| !name.contains('/') && name.ends_with(".txt")) {
        let (of, into) = if let Some(of) = name.strip_prefix("manifest-") {
            (of, &mut payload)
        } else if let Some(of) = name.strip_prefix("tagmanifest-") {
            (of, &mut tags)
        } else {
            continue;
        };
        let known = Algorithm::ALL.into_iter().find(|algorithm| of == format!("{}.txt", algorithm.name()));
        let Some(algorithm) = known else {
            checked.unread.push(name.clone());
            continue;
        };
        match fs::read_to_string(bag.join(name)) {
            Ok(text) => {
                into.insert(name.clone(), parse_manifest(&text, algorithm));
                algorithms.insert(name.clone(), algorithm);
            }
            Err(error) => {
                checked.faults.push(Fault::Unreadable { path: name.clone(), why: error.to_string() });
            }
        }
    }
    if payload.is_empty() {
        let why = "it has no list of its payload, `manifest-sha256.txt` or `manifest-sha512.txt`";
        checked.faults.push(Fault::NotABag(why.into()));
    }
    lists(&payload, &tags, &found, &mut checked.faults);
    let wanted: BTreeSet<&String> =
        payload.values().chain(tags.values()).flat_map(|manifest| manifest.sums.keys()).collect();
    let sums: Vec<(&String, io::Result<Sums>)> = wanted
        .into_par_iter()
        .filter(|path| found.contains(*path))
        .map(|path| (path, sum_up(&bag.join(path))))
        .collect();
    let (mut octets, mut count) = (0, 0);
    for (path, sums) in sums {
        match sums {
            Ok(sums) => {
                checked.files += 1;
                checked.bytes += sums.bytes;
                if path.starts_with("data/") {
                    octets += sums.bytes;
                    count += 1;
                }
                let differs = payload.iter().chain(&tags).any(|(name, manifest)| {
                    manifest.sums.get(path).is_some_and(|sum| sum != sums.of(algorithms[name]))
                });
                if differs {
                    checked.faults.push(Fault::Altered(path.clone()));
                }
            }
            Err(error) => checked.faults.push(Fault::Unreadable { path: path.clone(), why: error.to_string() }),
        }
    }
    let info = fs::read_to_string(bag.join("bag-info.txt")).unwrap_or_default();
    let said = |label: &str| {
        info.lines().find_map(|line| {
            let (found, value) = line.split_once(':')?;
            found.trim().eq_ignore_ascii_case(label).then(|| value.trim().to_string())
        })
    };
    checked.date = said("Bagging-Date");
    let oxum = format!("{octets}.{count}");
    if let Some(told) = said("Payload-Oxum").filter(|told| *told != oxum) {
        checked.faults.push(Fault::WrongSize { told, found: oxum });
    }
    checked.faults.sort();
    checked.faults.dedup();
    Ok(checked)
}

/// Every plain file of the bag, relative, with `/`. Links are told and never followed.
fn files(bag: &Path, faults: &mut Vec<Fault>) -> io::Result<BTreeSet<String>> {
    let mut found = BTreeSet::new();
    for entry in WalkDir::new(bag).follow_links(false).min_depth(1).sort_by_file_name() {
        let entry = entry.map_err(io::Error::from)?;
        let relative = entry.path().strip_prefix(bag).unwrap_or(entry.path());
        let path: Vec<_> = relative.components().map(|part| part.as_os_str().to_string_lossy()).collect();
        let path = path.join("/");
        if entry.file_type().is_file() {
            found.insert(path);
        } else if !entry.file_type().is_dir() {
            faults.push(Fault::NotAFile(path));
        }
    }
    Ok(found)
}

fn declaration(bag: &Path, faults: &mut Vec<Fault>) {
    let text = match fs::read_to_string(bag.join("bagit.txt")) {
        Ok(text) => text.replace("\r\n", "\n"),
        Err(_) => {
            faults.push(Fault::NotABag("it has no `bagit.txt`".into()));
            return;
        }
    };
    let mut lines = text.lines();
    let version = lines.next().and_then(|line| line.strip_prefix("BagIt-Version: "));
    if !version.is_some_and(|version| matches!(version.trim(), "1.0" | "0.97")) {
        faults.push(Fault::NotABag("`bagit.txt` does not begin with `BagIt-Version: 1.0`".into()));
    }
    let encoding = lines.next().and_then(|line| line.strip_prefix("Tag-File-Character-Encoding: "));
    if !encoding.is_some_and(|encoding| encoding.trim().eq_ignore_ascii_case("UTF-8")) {
        let why = "the second line of `bagit.txt` is not `Tag-File-Character-Encoding: UTF-8`";
        faults.push(Fault::NotABag(why.into()));
    }
}

/// What the lists say against what is there, and against each other.
fn lists(
    payload: &BTreeMap<String, Manifest>,
    tags: &BTreeMap<String, Manifest>,
    found: &BTreeSet<String>,
    faults: &mut Vec<Fault>,
) {
    for (file, manifest) in payload.iter().chain(tags) {
        for (line, why) in &manifest.bad {
            faults.push(Fault::BadLine { file: file.clone(), line: *line, why: why.clone() });
        }
        faults.extend(manifest.sums.keys().filter(|path| !found.contains(*path)).cloned().map(Fault::Missing));
    }
    for (kind, manifests) in [("manifest-", payload), ("tagmanifest-", tags)] {
        let all: BTreeSet<&String> = manifests.values().flat_map(|manifest| manifest.sums.keys()).collect();
        for (file, manifest) in manifests {
            for path in &all {
                let is_payload = path.starts_with("data/");
                if is_payload != (kind == "manifest-") {
                    let why = format!("`{}` is not what this list is for", encode_path(path));
                    faults.push(Fault::NotABag(format!("{file}: {why}")));
                } else if !manifest.sums.contains_key(*path) {
                    faults.push(Fault::ListedInOneOnly { path: (*path).clone(), not_in: file.clone() });
                }
            }
        }
        for path in found {
            // A list of the lists cannot hold its own checksum; without one, the files beside the lists are not known.
            let is_own = path.starts_with("tagmanifest-") && !path.contains('/');
            let is_ours = path.starts_with("data/") == (kind == "manifest-");
            if is_ours && !is_own && !manifests.is_empty() && !all.contains(path) {
                faults.push(Fault::Added(path.clone()));
            }
        }
    }
}
