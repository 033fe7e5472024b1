//! The record's folder as documents: the text of every file, parsed, with its place in the record.

use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;

use super::entries::parse_entries;
use super::node::{Content, Node};
use super::photo::{PhotoFile, read_photos};
use super::walk::{Class, FoundFile, Unused, classify, tank_folders, walk};
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

    /// Takes in the text of a document that is not on disk yet, so that it is read as it would be from there. Gives what
    /// is wrong with its notation; `None` where no document of a record has such a path.
    pub fn add_text(&mut self, path: &str, text: &str) -> Option<Vec<Diagnostic>> {
        let tanks: BTreeSet<String> = self.documents.iter().filter_map(|document| document.tank.clone()).collect();
        let Class::Document(kind, tank) = classify(path, &tanks) else {
            return None;
        };
        let read = parse_document(path.into(), text.to_string(), kind, tank);
        self.sources.insert(read.path, read.text?);
        self.documents.extend(read.document);
        Some(read.problems)
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
    let tanks = tank_folders(&files);
    let mut folder = Folder {
        root: root.to_path_buf(),
        documents: Vec::new(),
        csv: BTreeSet::new(),
        photos: Vec::new(),
        sources: Sources::default(),
    };
    let mut to_read = Vec::new();
    let mut photos = Vec::new();
    let mut unused = Unused::default();
    for file in files {
        match classify(&file.path, &tanks) {
            Class::Document(kind, tank) => to_read.push((file, kind, tank)),
            Class::Csv => drop(folder.csv.insert(file.path.as_str().into())),
            Class::Photo => photos.push(file),
            Class::Unused { group, why } => unused.add(group, &file.path, why),
            Class::Other => {}
        }
    }
    unused.tell(&mut diagnostics);
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

pub(super) fn whole_file(path: &str) -> Place {
    Place { file: path.into(), line: 1, column: 1, length: 1 }
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
            read.problems.push(Diagnostic::new(Kind::UnreadableFile { why: error.to_string() }, whole_file(&path)));
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
    parse_document(path, text, kind, tank)
}

fn parse_document(path: Arc<str>, text: String, kind: DocumentKind, tank: Option<String>) -> Read {
    let mut read = Read { path: path.clone(), text: None, document: None, problems: Vec::new() };
    let text =
        text.strip_prefix('\u{feff}').map(str::to_string).unwrap_or(text).replace("\r\n", "\n").replace('\r', "\n");
    read.text = Some(text.as_str().into());
    if text.trim().is_empty() {
        read.problems.push(Diagnostic::new(Kind::EmptyFile, whole_file(&path)));
        return read;
    }
    let name = stem(&path);
    let markdown = matches!(kind, DocumentKind::Spec | DocumentKind::Story);
    let (yaml, first_line, body) = if markdown {
        match front_matter(&text) {
            Ok((yaml, body, first_line)) => (yaml, 2, Some(Body { text: body.to_string(), first_line })),
            Err(kind) => {
                read.problems.push(Diagnostic::new(kind, whole_file(&path)));
                return read;
            }
        }
    } else {
        (text.as_str(), 1, None)
    };
    let parse = if kind == DocumentKind::Log { parse_entries } else { parse_yaml };
    if let Some(root) = parse(&path, yaml, first_line, &mut read.problems) {
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
fn front_matter(text: &str) -> Result<(&str, &str, u32), Kind> {
    let mut lines = text.split_inclusive('\n');
    let first = lines.next().unwrap_or_default();
    if first.trim_end() != "---" {
        return Err(Kind::MissingKey {
            key: "---".into(),
            within: "a Markdown file of the record".into(),
            example: "--- and `title: …` and --- on the first lines".into(),
        });
    }
    let mut end = first.len();
    for (number, line) in lines.enumerate() {
        if line.trim_end() == "---" {
            return Ok((&text[first.len()..end], &text[end + line.len()..], number as u32 + 3));
        }
        end += line.len();
    }
    Err(Kind::BadYaml { message: "the line `---` that ends the keys is missing".into() })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(files: &[(&str, &[u8])]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for (path, bytes) in files {
            let path = folder.path().join(path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, bytes).unwrap();
        }
        folder
    }

    fn told(diagnostics: &Diagnostics) -> Vec<(String, String)> {
        diagnostics.iter().map(|one| (one.place.file.to_string(), one.headline())).collect()
    }

    #[test]
    fn front_matter_ends_at_its_second_rule() {
        let text = "---\ntitle: A\norder: 1\n---\nProse\n\n---\nmore\n";
        assert_eq!(front_matter(text), Ok(("title: A\norder: 1\n", "Prose\n\n---\nmore\n", 5)));
        assert_eq!(front_matter("---\n---\nProse\n"), Ok(("", "Prose\n", 3)));
        assert_eq!(front_matter("--- \na: 1\n---"), Ok(("a: 1\n", "", 4)));
        assert!(matches!(front_matter("no rules\n"), Err(Kind::MissingKey { .. })));
        assert!(matches!(front_matter("---\na: 1\nProse\n"), Err(Kind::BadYaml { .. })));
    }

    #[test]
    fn documents_come_in_the_order_of_their_paths() {
        let folder = record(&[
            ("tank.yaml", b"name: Lagoon\n"),
            ("log/2025.yml", b"\xef\xbb\xbf2025-01-01:\r\n  note: shut\r\n"),
            ("equipment/Wave Pump.yaml", b"name: Pump\n"),
            ("jar/tank.yaml", b"name: Jar\n"),
            ("jar/log/2025.yaml", b"2025-01-02: {quiet: yes}\n"),
            ("specs/lamp.md", b"---\nname: Lamp\n---\nProse.\n"),
            ("out/journal/log/2025.yaml", b"not: read\n"),
            (".hidden/tank.yaml", b"not: read\n"),
        ]);
        let (read, diagnostics) = read_folder(folder.path()).unwrap();
        assert_eq!(told(&diagnostics), []);
        let documents: Vec<_> =
            read.documents.iter().map(|one| (&*one.path, one.kind, one.tank.as_deref(), one.name.as_str())).collect();
        assert_eq!(
            documents,
            [
                ("equipment/Wave Pump.yaml", DocumentKind::Equipment, None, "wave-pump"),
                ("jar/log/2025.yaml", DocumentKind::Log, Some("jar"), "2025"),
                ("jar/tank.yaml", DocumentKind::Tank, Some("jar"), "tank"),
                ("log/2025.yml", DocumentKind::Log, None, "2025"),
                ("specs/lamp.md", DocumentKind::Spec, None, "lamp"),
                ("tank.yaml", DocumentKind::Tank, None, "tank"),
            ]
        );
        let entry = read.documents[3].root.get("2025-01-01").unwrap();
        assert_eq!(entry.get("note").unwrap().as_text(), Some("shut"));
        assert_eq!(read.documents[4].body, Some(Body { text: "Prose.\n".into(), first_line: 4 }));
    }

    #[test]
    fn a_bad_file_does_not_hide_the_mistakes_of_others() {
        let folder = record(&[
            ("colonies/fan.yaml", b"name: [Fan\n"),
            ("equipment/lamp.yaml", b"name: Lamp\nname: again\n"),
            ("log/2025.yaml", b"2025-01-01:\n\tnote: a\n2025-01-02:\n  note: b: c\n"),
            ("supplies/kit.yaml", b"name: 5 \xb0C\n"),
            ("supplies/salt.yaml", b"\n"),
            ("tank.yaml", b"name: Lagoon\n"),
        ]);
        let (read, mut diagnostics) = read_folder(folder.path()).unwrap();
        diagnostics.sort();
        let expected = [
            ("colonies/fan.yaml", "this YAML cannot be read"),
            ("equipment/lamp.yaml", "`name` is written twice"),
            ("log/2025.yaml", "a tab is used for indentation"),
            ("log/2025.yaml", "this YAML cannot be read"),
            ("supplies/kit.yaml", "this file is not UTF-8 text"),
            ("supplies/salt.yaml", "this file is empty"),
        ];
        assert_eq!(told(&diagnostics), expected.map(|(file, headline)| (file.to_string(), headline.to_string())));
        let kit = diagnostics.iter().find(|one| one.kind == Kind::NotUtf8).unwrap();
        assert_eq!((kit.place.line, kit.place.column), (1, 9));
        assert_eq!(read.documents.len(), 2);
    }
}
