//! The walk: which files there are, what each is, and their text.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::UNIX_EPOCH;

use rayon::prelude::*;
use walkdir::WalkDir;

use super::node::{Content, Node};
use super::photo::{self, PhotoFile};
use super::yaml::parse_yaml;
use crate::diagnostic::{Diagnostic, Diagnostics, Kind, Place, Sources};

/// What lies in a record's folder.
#[derive(Debug)]
pub struct Folder {
    pub root: PathBuf,
    /// By path.
    pub documents: Vec<Document>,
    /// CSVs, relative to the root. Their rows are read when somebody asks.
    pub csv: BTreeSet<Arc<str>>,
    /// By path.
    pub photos: Vec<PhotoFile>,
    pub sources: Sources,
}

impl Folder {
    /// Takes the text of a CSV among the sources, so that a diagnostic can show its line. CSVs are read row by row
    /// otherwise: only one with a mistake is held as a whole.
    pub fn show_csv(&mut self, file: &Arc<str>) {
        if self.csv.contains(file)
            && self.sources.get(file).is_none()
            && let Ok(bytes) = fs::read(self.root.join(file.as_ref()))
        {
            let text = String::from_utf8_lossy(&bytes);
            let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
            self.sources.insert(file.clone(), text.into());
        }
    }
}

/// One YAML file, or the front matter of a Markdown file with its body.
#[derive(Debug)]
pub struct Document {
    pub path: Arc<str>,
    pub kind: DocumentKind,
    /// The folder of the tank it belongs to; `None` for what stands at the root.
    pub tank: Option<String>,
    /// The file's stem.
    pub name: String,
    pub root: Node,
    pub body: Option<Body>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Body {
    pub text: String,
    pub first_line: u32,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DocumentKind {
    Tank,
    Equipment,
    Spec,
    Supply,
    Colony,
    Log,
    Readings,
    LightSurvey,
    Upkeep,
    Story,
    Video,
    Captions,
}

/// Reads every document of a record. Mistakes in one file do not hide those of another.
///
/// # Errors
/// Only when the folder itself cannot be walked.
pub fn read_folder(root: &Path) -> io::Result<(Folder, Diagnostics)> {
    let mut diagnostics = Diagnostics::default();
    let files = walk(root, &mut diagnostics)?;
    let tanks: BTreeSet<String> = files
        .iter()
        .filter_map(|file| {
            let parent = file.path.strip_suffix("tank.yaml").or_else(|| file.path.strip_suffix("tank.yml"))?;
            Some(parent.trim_end_matches('/').to_string())
        })
        .filter(|parent| !parent.is_empty())
        .collect();
    let mut folder = Folder {
        root: root.to_path_buf(),
        documents: Vec::new(),
        csv: BTreeSet::new(),
        photos: Vec::new(),
        sources: Sources::default(),
    };
    let mut to_read = Vec::new();
    let mut photos = Vec::new();
    for file in files {
        match classify(&file.path, &tanks) {
            Class::Document(kind, tank) => to_read.push((file, kind, tank)),
            Class::Csv => drop(folder.csv.insert(file.path.as_str().into())),
            Class::Photo => photos.push(file),
            Class::Unused(why) => {
                let kind = Kind::UnusedFile { path: file.path.clone(), why };
                diagnostics.push(Diagnostic::new(kind, whole_file(&file.path)));
            }
            Class::Other => {}
        }
    }
    let read: Vec<Read> = to_read.into_par_iter().map(|(file, kind, tank)| read_document(file, kind, tank)).collect();
    for one in read {
        if let Some(text) = one.text {
            folder.sources.insert(one.path, text);
        }
        one.problems.into_iter().for_each(|problem| diagnostics.push(problem));
        folder.documents.extend(one.document);
    }
    folder.photos = read_photos(photos, &mut diagnostics);
    Ok((folder, diagnostics))
}

struct FoundFile {
    path: String,
    absolute: PathBuf,
    bytes: u64,
    modified: (u64, u32),
}

fn whole_file(path: &str) -> Place {
    Place { file: path.into(), line: 1, column: 1, length: 1 }
}

fn walk(root: &Path, diagnostics: &mut Diagnostics) -> io::Result<Vec<FoundFile>> {
    let inside = fs::canonicalize(root)?;
    if !inside.is_dir() {
        return Err(io::Error::new(io::ErrorKind::NotADirectory, "a record is a folder"));
    }
    let mut files = Vec::new();
    let walker = WalkDir::new(root).follow_links(false).sort_by_file_name().into_iter();
    let is_skipped = |entry: &walkdir::DirEntry| {
        let name = entry.file_name().to_string_lossy();
        entry.depth() > 0
            && (name.starts_with('.') || (entry.file_type().is_dir() && (name == "out" || name == "themes")))
    };
    for entry in walker.filter_entry(|entry| !is_skipped(entry)) {
        let entry = entry.map_err(io::Error::from)?;
        let relative = entry.path().strip_prefix(root).unwrap_or(entry.path());
        let path: String =
            relative.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/");
        if entry.path_is_symlink() && entry.depth() > 0 {
            let target = fs::canonicalize(entry.path());
            if !target.as_ref().is_ok_and(|target| target.starts_with(&inside)) {
                let kind = Kind::LeavesTheRecord { path: path.clone() };
                diagnostics.push(Diagnostic::new(kind, whole_file(&path)));
                continue;
            }
            // A link to a folder inside would read its files twice.
            if target.is_ok_and(|target| target.is_dir()) {
                continue;
            }
        } else if !entry.file_type().is_file() {
            continue;
        }
        let metadata = fs::metadata(entry.path())?;
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

enum Class {
    Document(DocumentKind, Option<String>),
    Csv,
    Photo,
    Unused(String),
    Other,
}

fn classify(path: &str, tanks: &BTreeSet<String>) -> Class {
    let tank = tanks
        .iter()
        .filter(|tank| path.strip_prefix(tank.as_str()).is_some_and(|rest| rest.starts_with('/')))
        .max_by_key(|tank| tank.len())
        .cloned();
    let rest = tank.as_ref().map_or(path, |tank| &path[tank.len() + 1..]);
    let extension = rest.rsplit_once('.').map_or(String::new(), |(_, extension)| extension.to_lowercase());
    let yaml = extension == "yaml" || extension == "yml";
    let room = rest.split_once('/').map_or("", |(room, _)| room);
    let document = |kind| Class::Document(kind, tank.clone());
    let unused = |what: &str| Class::Unused(format!("`{room}/` holds {what}"));
    match room {
        "" if yaml && rest.starts_with("tank.") => document(DocumentKind::Tank),
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
        "photos" => Class::Photo,
        _ => Class::Other,
    }
}

struct Read {
    path: Arc<str>,
    text: Option<Arc<str>>,
    document: Option<Document>,
    problems: Vec<Diagnostic>,
}

fn read_document(file: FoundFile, kind: DocumentKind, tank: Option<String>) -> Read {
    let path: Arc<str> = file.path.as_str().into();
    let mut read = Read { path: path.clone(), text: None, document: None, problems: Vec::new() };
    let bytes = match fs::read(&file.absolute) {
        Ok(bytes) => bytes,
        Err(error) => {
            let message = format!("this file cannot be opened: {error}");
            read.problems.push(Diagnostic::new(Kind::BadYaml { message }, whole_file(&path)));
            return read;
        }
    };
    let text = match String::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let sound = &error.as_bytes()[..error.utf8_error().valid_up_to()];
            let line = sound.iter().filter(|byte| **byte == b'\n').count() as u32 + 1;
            let start = sound.iter().rposition(|byte| *byte == b'\n').map_or(0, |place| place + 1);
            let column = String::from_utf8_lossy(&sound[start..]).chars().count() as u32 + 1;
            let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
            read.text = Some(text.into());
            let place = Place { file: path.clone(), line, column, length: 1 };
            read.problems.push(Diagnostic::new(Kind::NotUtf8, place));
            return read;
        }
    };
    let text = text.strip_prefix('\u{feff}').map(str::to_string).unwrap_or(text).replace("\r\n", "\n");
    read.text = Some(text.as_str().into());
    if text.trim().is_empty() {
        read.problems.push(Diagnostic::new(Kind::EmptyFile, whole_file(&path)));
        return read;
    }
    let name = stem(&file.path);
    let markdown = matches!(kind, DocumentKind::Spec | DocumentKind::Story);
    let (yaml, first_line, body) = if markdown {
        match front_matter(&text) {
            Some((yaml, body, first_body_line)) => {
                (yaml, 2, Some(Body { text: body.to_string(), first_line: first_body_line }))
            }
            None => {
                let kind = Kind::MissingKey {
                    key: "---".into(),
                    within: "a Markdown file of the record".into(),
                    example: "--- and `title: …` and --- on the first lines".into(),
                };
                read.problems.push(Diagnostic::new(kind, whole_file(&path)));
                return read;
            }
        }
    } else {
        (text.as_str(), 1, None)
    };
    if let Some(root) = parse_yaml(&path, yaml, first_line, &mut read.problems) {
        if matches!(root.content, Content::Null) && body.is_none() {
            read.problems.push(Diagnostic::new(Kind::EmptyFile, whole_file(&path)));
            return read;
        }
        read.document = Some(Document { path, kind, tank, name, root, body });
    }
    read
}

/// The name of a thing: its file's stem, with `-` for spaces and small letters.
fn stem(path: &str) -> String {
    let file = path.rsplit('/').next().unwrap_or(path);
    file.rsplit_once('.').map_or(file, |(stem, _)| stem).to_lowercase().replace([' ', '_'], "-")
}

/// YAML between two lines of `---` at the top, then the body and its first line.
fn front_matter(text: &str) -> Option<(&str, &str, u32)> {
    let rest = text.strip_prefix("---\n")?;
    let end = if rest.starts_with("---\n") { 0 } else { rest.find("\n---\n").map(|place| place + 1)? };
    let yaml = &rest[..end];
    let body = &rest[end + 4..];
    Some((yaml, body, yaml.lines().count() as u32 + 3))
}

fn read_photos(files: Vec<FoundFile>, diagnostics: &mut Diagnostics) -> Vec<PhotoFile> {
    let read: Vec<(PhotoFile, Option<String>, String)> = files
        .into_par_iter()
        .map(|file| {
            let extension = file.path.rsplit_once('.').map_or(String::new(), |(_, extension)| extension.to_lowercase());
            let readable = photo::READABLE.contains(&extension.as_str());
            let (header, why) = match photo::header(&file.absolute) {
                Ok(header) if readable => (Some(header), None),
                Ok(_) => (None, Some(String::new())),
                Err(why) => (None, Some(why)),
            };
            let photo = PhotoFile {
                path: file.path.as_str().into(),
                absolute: file.absolute,
                bytes: file.bytes,
                modified: file.modified,
                header,
            };
            (photo, why, extension)
        })
        .collect();
    let mut unreadable: BTreeMap<String, (usize, Arc<str>)> = BTreeMap::new();
    let mut photos = Vec::new();
    for (photo, why, extension) in read {
        if let Some(why) = why {
            if photo::READABLE.contains(&extension.as_str()) {
                let kind = Kind::UnreadablePhoto { path: photo.path.to_string(), why };
                diagnostics.push(Diagnostic::new(kind, whole_file(&photo.path)));
            } else {
                unreadable.entry(extension).or_insert((0, photo.path.clone())).0 += 1;
            }
        }
        photos.push(photo);
    }
    for (extension, (count, first)) in unreadable {
        let how = "exporting them from the phone or an image program as JPEG".to_string();
        diagnostics.push(Diagnostic::new(Kind::UnreadablePhotos { count, extension, how }, whole_file(&first)));
    }
    photos
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn front_matter_ends_at_its_second_rule() {
        let text = "---\ntitle: A\norder: 1\n---\nProse\n";
        assert_eq!(front_matter(text), Some(("title: A\norder: 1\n", "Prose\n", 5)));
        assert_eq!(front_matter("no rules\n"), None);
        assert_eq!(front_matter("---\n---\nProse\n"), Some(("", "Prose\n", 3)));
    }

    #[test]
    fn what_belongs_to_which_tank() {
        let tanks: BTreeSet<String> = ["jar".to_string()].into();
        let class = |path: &str| match classify(path, &tanks) {
            Class::Document(kind, tank) => Some((kind, tank)),
            _ => None,
        };
        assert_eq!(class("log/2024.yaml"), Some((DocumentKind::Log, None)));
        assert_eq!(class("jar/log/2024.yaml"), Some((DocumentKind::Log, Some("jar".into()))));
        assert_eq!(class("jar/tank.yaml"), Some((DocumentKind::Tank, Some("jar".into()))));
        assert_eq!(class("jars/tank.txt"), None);
        assert!(matches!(classify("log/notes.txt", &tanks), Class::Unused(_)));
    }
}
