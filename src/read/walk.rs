//! The walk: which files a record's folder holds, and what each of them is.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use walkdir::WalkDir;

use super::folder::{DocumentKind, whole_file};
use super::photo::is_picture;
use crate::diagnostic::{Diagnostic, Diagnostics, Kind, nearest};

/// Folders of a record that hold documents.
const ROOMS: &[&str] =
    &["colonies", "equipment", "light", "log", "photos", "readings", "specs", "story", "supplies", "upkeep", "video"];

pub(super) struct FoundFile {
    /// Relative to the record's root, with `/` between folders.
    pub path: String,
    pub absolute: PathBuf,
    pub bytes: u64,
    /// Seconds and nanoseconds since 1970.
    pub modified: (u64, u32),
}

/// Every file of a record in the order of their paths, without hidden ones, `out` and `themes`. Links that lead out of
/// the record are told and left alone.
pub(super) fn walk(root: &Path, diagnostics: &mut Diagnostics) -> io::Result<Vec<FoundFile>> {
    walk_without(root, &["out", "themes"], diagnostics)
}

/// Every file that a keeper laid into a record, read by this program or not: relative path and where it lies. Hidden
/// files and `out` are left out, and links that lead out of the record.
///
/// # Errors
/// When the folder cannot be walked, or a name is not Unicode and could not be listed.
pub fn all_files(root: &Path) -> io::Result<Vec<(String, PathBuf)>> {
    let files = walk_without(root, &["out"], &mut Diagnostics::default())?;
    for file in &files {
        if file.absolute.strip_prefix(root).ok().and_then(Path::to_str).is_none() {
            let why = format!("the name of `{}` is not Unicode; rename it", file.path);
            return Err(io::Error::new(io::ErrorKind::InvalidData, why));
        }
    }
    Ok(files.into_iter().map(|file| (file.path, file.absolute)).collect())
}

fn walk_without(root: &Path, skipped: &[&str], diagnostics: &mut Diagnostics) -> io::Result<Vec<FoundFile>> {
    let inside = fs::canonicalize(root)?;
    if !inside.is_dir() {
        return Err(io::Error::new(io::ErrorKind::NotADirectory, "a record is a folder"));
    }
    let mut files = Vec::new();
    let walker = WalkDir::new(root).follow_links(false).sort_by_file_name().into_iter();
    let is_skipped = |entry: &walkdir::DirEntry| {
        let name = entry.file_name().to_string_lossy();
        entry.depth() > 0 && (name.starts_with('.') || (entry.file_type().is_dir() && skipped.contains(&name.as_ref())))
    };
    for entry in walker.filter_entry(|entry| !is_skipped(entry)) {
        let entry = entry.map_err(io::Error::from)?;
        let relative = entry.path().strip_prefix(root).unwrap_or(entry.path());
        let path: String =
            relative.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        if entry.path_is_symlink() && entry.depth() > 0 {
            if let Some(kind) = refused_link(entry.path(), &path, &inside) {
                diagnostics.push(Diagnostic::new(kind, whole_file(&path)));
                continue;
            }
        } else if !entry.file_type().is_file() {
            continue;
        }
        let metadata = fs::metadata(entry.path())?;
        // A link may lead to a pipe or a socket, which would never be read to its end.
        if !metadata.is_file() {
            continue;
        }
        let modified = metadata
            .modified()
            .ok()
            .and_then(|moment| moment.duration_since(UNIX_EPOCH).ok())
            .map_or((0, 0), |since| (since.as_secs(), since.subsec_nanos()));
        files.push(FoundFile { path, absolute: entry.path().to_path_buf(), bytes: metadata.len(), modified });
    }
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}

/// Why a link is not followed, if it is not.
fn refused_link(link: &Path, path: &str, inside: &Path) -> Option<Kind> {
    match fs::canonicalize(link) {
        Ok(target) if !target.starts_with(inside) => Some(Kind::LeavesTheRecord { path: path.into() }),
        // Its files would be read twice.
        Ok(target) if target.is_dir() => {
            Some(Kind::UnusedFile { path: path.into(), why: "a link to a folder is not followed".into() })
        }
        Ok(_) => None,
        Err(_) => Some(Kind::UnusedFile { path: path.into(), why: "this link leads nowhere".into() }),
    }
}

/// The folders below the root that hold a tank. A room of a record is none, whatever lies in it.
pub(super) fn tank_folders(files: &[FoundFile]) -> BTreeSet<String> {
    files
        .iter()
        .filter_map(|file| {
            let (parent, name) = file.path.rsplit_once('/')?;
            let in_a_room = parent.split('/').any(|part| ROOMS.contains(&part));
            (is_tank_file(name) && !in_a_room).then(|| parent.to_string())
        })
        .collect()
}

fn is_tank_file(name: &str) -> bool {
    let name = name.to_lowercase();
    name == "tank.yaml" || name == "tank.yml"
}

#[derive(Debug, PartialEq)]
pub(super) enum Class {
    Document(DocumentKind, Option<String>),
    Csv,
    Photo,
    /// Told once for each group.
    Unused {
        group: String,
        why: String,
    },
    /// Not a record's business, as a README.
    Other,
}

pub(super) fn classify(path: &str, tanks: &BTreeSet<String>) -> Class {
    let tank = tanks
        .iter()
        .filter(|tank| path.strip_prefix(tank.as_str()).is_some_and(|rest| rest.starts_with('/')))
        .max_by_key(|tank| tank.len())
        .cloned();
    let rest = tank.as_ref().map_or(path, |tank| &path[tank.len() + 1..]);
    let name = rest.rsplit('/').next().unwrap_or(rest);
    let extension = name.rsplit_once('.').map_or(String::new(), |(_, extension)| extension.to_lowercase());
    let yaml = extension == "yaml" || extension == "yml";
    let room = rest.split_once('/').map_or("", |(room, _)| room);
    let document = |kind| Class::Document(kind, tank.clone());
    let unused = |what: &str| Class::Unused { group: path.into(), why: format!("`{room}/` holds {what}") };
    match room {
        "" if is_tank_file(name) => document(DocumentKind::Tank),
        "" if yaml || extension == "csv" => Class::Unused {
            group: path.into(),
            why: "beside `tank.yaml` a record has its files in folders, as `log/` or `equipment/`".into(),
        },
        "equipment" if yaml => document(DocumentKind::Equipment),
        "equipment" => unused("YAML files"),
        "specs" if extension == "md" => document(DocumentKind::Spec),
        "specs" | "readings" if extension == "csv" => Class::Csv,
        "specs" => unused("Markdown files with front matter, and CSVs"),
        "supplies" if yaml => document(DocumentKind::Supply),
        "supplies" => unused("YAML files"),
        "colonies" if yaml => document(DocumentKind::Colony),
        "colonies" => unused("YAML files"),
        "log" if yaml => document(DocumentKind::Log),
        "log" => unused("YAML files"),
        "readings" if yaml => document(DocumentKind::Readings),
        "readings" => unused("CSVs, each with a YAML file of its name"),
        "light" if yaml => document(DocumentKind::LightSurvey),
        "light" => unused("YAML files"),
        "upkeep" if yaml => document(DocumentKind::Upkeep),
        "upkeep" => unused("YAML files"),
        "story" if extension == "md" => document(DocumentKind::Story),
        "story" => unused("Markdown files with front matter"),
        "video" if yaml => document(DocumentKind::Video),
        "photos" if rest == "photos/captions.yaml" || rest == "photos/captions.yml" => document(DocumentKind::Captions),
        "photos" if is_picture(&extension) => Class::Photo,
        // Phones lay files beside their photos, one for each.
        "photos" => Class::Unused {
            group: format!("photos/*.{extension}"),
            why: "`photos/` holds JPEG, PNG and WebP pictures, and `captions.yaml`".into(),
        },
        _ => elsewhere(room, &extension),
    }
}

/// A file in a folder that is no room of a record: a keeper's own business, unless it looks as if it were meant.
fn elsewhere(room: &str, extension: &str) -> Class {
    let meant = nearest(room, ROOMS.iter().copied());
    let ours = matches!(extension, "yaml" | "yml" | "csv");
    let could_be = ours || extension == "md" || is_picture(extension);
    match meant {
        Some(meant) if could_be => Class::Unused {
            group: format!("{room}/"),
            why: format!("`{room}/` is no folder of a record; `{meant}/` is"),
        },
        None if ours => Class::Unused {
            group: format!("{room}/"),
            why: format!("`{room}/` is no folder of a record, and no tank's: it has no `tank.yaml`"),
        },
        _ => Class::Other,
    }
}

/// Files that nothing uses, gathered so that a folder of them is told once.
#[derive(Default)]
pub(super) struct Unused {
    groups: BTreeMap<String, (String, String, usize)>,
}

impl Unused {
    pub fn add(&mut self, group: String, path: &str, why: String) {
        self.groups.entry(group).or_insert_with(|| (path.to_string(), why, 0)).2 += 1;
    }

    pub fn tell(self, diagnostics: &mut Diagnostics) {
        for (path, mut why, count) in self.groups.into_values() {
            if count > 1 {
                why.push_str(&format!("; so are {} more like it", count - 1));
            }
            let place = whole_file(&path);
            diagnostics.push(Diagnostic::new(Kind::UnusedFile { path, why }, place));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_belongs_to_which_tank() {
        let tanks: BTreeSet<String> = ["jar".to_string()].into();
        for (path, kind, tank) in [
            ("log/2024.yaml", DocumentKind::Log, None),
            ("jar/log/2024.yaml", DocumentKind::Log, Some("jar")),
            ("jar/tank.yaml", DocumentKind::Tank, Some("jar")),
            ("Tank.yml", DocumentKind::Tank, None),
            ("log/tank.yaml", DocumentKind::Log, None),
            ("photos/captions.yaml", DocumentKind::Captions, None),
        ] {
            assert_eq!(classify(path, &tanks), Class::Document(kind, tank.map(String::from)), "{path}");
        }
        assert_eq!(classify("readings/probe.csv", &tanks), Class::Csv);
        assert_eq!(classify("photos/2024/front.JPG", &tanks), Class::Photo);
        assert_eq!(classify("photos/front.heic", &tanks), Class::Photo);
        for path in ["README.md", "docs/plan.md", "jars/tank.txt", "drawings/stand.png"] {
            assert_eq!(classify(path, &tanks), Class::Other, "{path}");
        }
    }

    #[test]
    fn files_that_look_as_if_they_were_meant_are_told() {
        let tanks = BTreeSet::new();
        for (path, part) in [
            ("log/notes.txt", "`log/` holds YAML files"),
            ("log.yaml", "in folders"),
            ("tank.old.yaml", "in folders"),
            ("logs/2024.yaml", "`log/` is"),
            ("photo/front.jpg", "`photos/` is"),
            ("nursery/log/2024.yaml", "it has no `tank.yaml`"),
            ("photos/IMG_1.AAE", "JPEG, PNG and WebP"),
        ] {
            let Class::Unused { why, .. } = classify(path, &tanks) else {
                panic!("{path}");
            };
            assert!(why.contains(part), "{path}: {why}");
        }
        let mut unused = Unused::default();
        for path in ["photos/1.aae", "photos/2.aae", "photos/3.aae"] {
            unused.add("photos/*.aae".into(), path, "no picture".into());
        }
        let mut diagnostics = Diagnostics::default();
        unused.tell(&mut diagnostics);
        let told: Vec<String> = diagnostics.iter().map(Diagnostic::label).collect();
        assert_eq!(told, ["no picture; so are 2 more like it"]);
    }

    #[test]
    fn a_room_is_no_tank() {
        let found = |path: &str| FoundFile { path: path.into(), absolute: path.into(), bytes: 0, modified: (0, 0) };
        let files: Vec<FoundFile> =
            ["log/tank.yaml", "jar/tank.yaml", "racks/left/Tank.yml", "tank.yaml"].map(found).into();
        let tanks: Vec<String> = tank_folders(&files).into_iter().collect();
        assert_eq!(tanks, ["jar", "racks/left"]);
    }

    #[cfg(unix)]
    #[test]
    fn links_are_followed_only_to_files_inside() {
        use std::os::unix::fs::symlink;
        let outer = tempfile::tempdir().unwrap();
        let root = outer.path().join("record");
        fs::create_dir_all(root.join("log")).unwrap();
        fs::write(root.join("log/2024.yaml"), "a: 1\n").unwrap();
        fs::write(outer.path().join("secret.yaml"), "b: 2\n").unwrap();
        symlink("2024.yaml", root.join("log/inside.yaml")).unwrap();
        symlink("../../secret.yaml", root.join("log/outside.yaml")).unwrap();
        symlink("gone.yaml", root.join("log/nowhere.yaml")).unwrap();
        symlink("log", root.join("upkeep")).unwrap();
        let mut diagnostics = Diagnostics::default();
        let files: Vec<String> = walk(&root, &mut diagnostics).unwrap().into_iter().map(|file| file.path).collect();
        assert_eq!(files, ["log/2024.yaml", "log/inside.yaml"]);
        diagnostics.sort();
        let told: Vec<(&str, String)> = diagnostics.iter().map(|one| (&*one.place.file, one.label())).collect();
        assert_eq!(
            told,
            [
                ("log/nowhere.yaml", "this link leads nowhere".to_string()),
                ("log/outside.yaml", "only files inside the record are read".to_string()),
                ("upkeep", "a link to a folder is not followed".to_string()),
            ]
        );
    }
}
