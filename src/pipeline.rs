//! The stages, one statement each.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use jiff::ToSpan;
use jiff::civil::Date;

mod progress;
mod sitter;

pub use progress::{Progress, Quiet};
pub use sitter::{SitterFailure, SitterOutcome, SitterRequest, sitter};

use crate::cautions::{self, Caution, Reader};
use crate::diagnostic::{Diagnostic, Diagnostics, Kind, Place};
use crate::figures::{self, Findings};
use crate::pages::journal::{self, Dates};
use crate::read::{self, Folder};
use crate::record::{self, Record};
use crate::science::sources;
use crate::units::System;
use crate::write::publish::{self, Content, Told};
use crate::write::render::{RenderError, Renderer};
use crate::write::theme::{Theme, ThemeError};
use crate::write::{alone, mark, photos, refresh};

mod archive;
mod without_private;

pub use archive::{Archived, Wanted, archive};

/// What a run is asked for.
#[derive(Clone, Debug)]
pub struct Request {
    pub folder: PathBuf,
    /// Read once, by the caller: after it nothing can have happened.
    pub today: Date,
    /// The date at which the record is to stand; by default that of the newest entry.
    pub as_of: Option<Date>,
    /// The units in which texts, pages and charts are written.
    pub units: System,
    pub theme: String,
}

/// A record that was read, with its mistakes.
pub struct Loaded {
    pub folder: Folder,
    pub record: Record,
    pub diagnostics: Diagnostics,
}

/// Why an edition was not written.
#[derive(Debug)]
pub enum Failure {
    /// The record has errors; they stand in the diagnostics.
    Mistakes(String, usize),
    Theme(ThemeError),
    Template(RenderError),
    System(io::Error),
    /// Something private was found in what should be without; each as a sentence that does not say it.
    Private(Vec<String>),
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Failure::System(error)
    }
}

/// What came of a run.
#[derive(Debug)]
pub struct Outcome {
    pub edition: PathBuf,
    /// Nothing had changed, nothing was written; the warnings are those of the run that wrote it.
    pub unchanged: bool,
    pub pages: usize,
    pub photos: usize,
    /// Warnings, as text.
    pub warnings: String,
    pub warning_count: usize,
}

/// Reads and links a record, mistakes and all.
///
/// # Errors
/// When the folder cannot be walked.
pub fn load(request: &Request) -> io::Result<Loaded> {
    let (mut folder, mut diagnostics) = read::read_folder(&request.folder)?;
    let (mut record, more) = record::build(&folder, request.today);
    record.units = request.units;
    diagnostics.extend(more);
    if record.tanks.is_empty() && !diagnostics.has_errors() {
        let kind = Kind::Contradiction {
            what: "no tank is described in this folder".into(),
            why: "a record has a file `tank.yaml` at its top".into(),
            suggestion: Some("writing one with name, started, zone and water".into()),
        };
        let place = Place { file: "tank.yaml".into(), line: 1, column: 1, length: 1 };
        diagnostics.push(Diagnostic::new(kind, place));
    }
    without_private::look_for_told(&folder, &mut diagnostics);
    diagnostics.sort();
    for diagnostic in diagnostics.iter() {
        folder.show_csv(&diagnostic.place.file);
    }
    Ok(Loaded { folder, record, diagnostics })
}

/// Lets the record stand at the asked date, or at the given one.
fn stand(loaded: &mut Loaded, request: &Request, otherwise: Date) {
    let date = request.as_of.unwrap_or(otherwise);
    loaded.record.stand_at(date);
}

/// The date of the journal: the newest entry's, and no later than `publish-lag` before today.
fn journal_date(record: &Record, request: &Request) -> Date {
    let newest = record.newest_entry().unwrap_or(request.today);
    let lag = record.tanks.values().map(|tank| tank.publish_lag_days).max().unwrap_or(0);
    newest.min(request.today.saturating_sub(lag.days()))
}

/// All figures and cautions of a sound record, as it stands on a date.
///
/// # Errors
/// When the record has errors, or cannot be read.
pub fn work_out(request: &Request, at_today: bool) -> Result<(Loaded, Findings, Vec<Caution>), Failure> {
    let mut loaded = load_sound(request)?;
    let (findings, cautions) = work_out_loaded(&mut loaded, request, at_today);
    Ok((loaded, findings, cautions))
}

/// A record without errors.
fn load_sound(request: &Request) -> Result<Loaded, Failure> {
    let loaded = load(request)?;
    if loaded.diagnostics.has_errors() { Err(mistakes(&loaded)) } else { Ok(loaded) }
}

/// All figures and cautions of a record that was read and is sound. It stands at its date from then on.
pub fn work_out_loaded(loaded: &mut Loaded, request: &Request, at_today: bool) -> (Findings, Vec<Caution>) {
    let date = if at_today { request.today } else { journal_date(&loaded.record, request) };
    stand(loaded, request, date);
    let findings = figures::work_out(&loaded.record);
    let cautions = cautions::raise(&loaded.record, &findings, Reader::Everybody);
    (findings, cautions)
}

fn mistakes(loaded: &Loaded) -> Failure {
    Failure::Mistakes(loaded.diagnostics.render_all(&loaded.folder.sources), loaded.diagnostics.error_count())
}

/// The edition that follows a record while it is being worked on, in `out/watch`.
pub const WATCHED: &str = "watch";

/// Writes the journal edition into `out/journal` of the record.
///
/// # Errors
/// When the record has errors (nothing is written then), a theme or template is wrong, or the system refuses.
pub fn journal(request: &Request) -> Result<Outcome, Failure> {
    journal_telling(request, &Quiet)
}

/// The same, telling how far it has come.
///
/// # Errors
/// As [`journal`].
pub fn journal_telling(request: &Request, progress: &dyn Progress) -> Result<Outcome, Failure> {
    write_journal(request, "journal", progress, None, |_| {})
}

/// Writes the journal into `out/watch`, with pages that load themselves anew when another one lies there. `past` goes
/// from one run to the next.
///
/// # Errors
/// As [`journal`].
pub fn watched(request: &Request, past: &mut Dates) -> Result<Outcome, Failure> {
    write_journal(request, WATCHED, &Quiet, Some(past), refresh::add)
}

/// A hash of all that an edition of the journal is made from.
///
/// # Errors
/// When the record cannot be walked.
pub fn fingerprint(request: &Request, edition: &str) -> io::Result<String> {
    let options = format!("{edition} {:?} {:?} {} {}", request.as_of, request.units, request.theme, request.today);
    publish::fingerprint(&request.folder, &options)
}

fn write_journal(
    request: &Request,
    name: &str,
    progress: &dyn Progress,
    past: Option<&mut Dates>,
    complete: impl FnOnce(&mut Vec<(String, Content)>),
) -> Result<Outcome, Failure> {
    let out = request.folder.join("out");
    let edition = out.join(name);
    let fingerprint = fingerprint(request, name)?;
    if let Some(Told { warnings, warning_count }) = publish::unchanged(&out, name, &fingerprint) {
        return Ok(Outcome { edition, unchanged: true, pages: 0, photos: 0, warnings, warning_count });
    }
    progress.begin("reading the record", 0);
    let mut loaded = load_sound(request)?;
    // Of all photos of the record, also of those that are later than the date it will stand at.
    let in_use = photos::kept_names(loaded.record.photos.values());
    progress.begin("working out the figures", 0);
    let (findings, cautions) = work_out_loaded(&mut loaded, request, false);
    let look = Look::of(request)?;
    progress.begin("drawing the pages", 0);
    let (mut files, previews) = pages_of_journal(&loaded, &findings, &cautions, &look, past)?;
    let photos = develop(&mut loaded, &previews, &out, &mut files, progress)?;
    files.extend(cards(&loaded, &findings, &cautions, &look, &files)?);
    complete(&mut files);
    let pages = files.iter().filter(|(path, _)| path.ends_with(".html")).count();
    progress.begin("writing the files", 0);
    publish::publish(&out, name, files)?;
    photos::prune(&kept_photos(&out), &in_use)?;
    let told = Told {
        warnings: loaded.diagnostics.render_all(&loaded.folder.sources),
        warning_count: loaded.diagnostics.warning_count(),
    };
    publish::remember(&out, name, &fingerprint, &told)?;
    let Told { warnings, warning_count } = told;
    Ok(Outcome { edition, unchanged: false, pages, photos, warnings, warning_count })
}

/// The files of an edition, by path.
type Files = Vec<(String, Content)>;

/// The theme that was asked for, with its templates ready.
struct Look {
    theme: Theme,
    renderer: Renderer,
}

impl Look {
    fn of(request: &Request) -> Result<Look, Failure> {
        let own = own_theme(&request.folder, &request.theme)?;
        let theme = Theme::load(&request.theme, &own).map_err(Failure::Theme)?;
        let renderer = Renderer::new(&theme).map_err(Failure::Template)?;
        Ok(Look { theme, renderer })
    }
}

/// The journal without its photos: pages, style sheets, figures; and the previews that its pages name.
fn pages_of_journal(
    loaded: &Loaded,
    findings: &Findings,
    cautions: &[Caution],
    look: &Look,
    past: Option<&mut Dates>,
) -> Result<(Files, BTreeSet<String>), Failure> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let sections_with = |past: &mut Dates| journal::sections(&loaded.record, findings, cautions, &loaded.folder, past);
    let sections = match past {
        Some(past) => sections_with(past),
        // The past of a long record takes room, which the pages want next.
        None => sections_with(&mut Dates::default()),
    };
    let previews = journal::previews(&sections);
    for section in sections {
        files.extend(look.renderer.pages(&section.pages, &section.site).map_err(Failure::Template)?);
        files.extend(section.files.into_iter().map(|(path, text)| (path, text.into_bytes())));
    }
    files.extend(look.theme.style_files());
    files.push((mark::PATH.into(), mark::svg(&look.theme).into_bytes()));
    files.push(("figures.json".into(), figures_json(findings, true).into_bytes()));
    Ok((files.into_iter().map(|(path, bytes)| (path, Content::Bytes(bytes))).collect(), previews))
}

/// The cards for whoever gets a fragment, each with its photo inside.
fn cards(
    loaded: &Loaded,
    findings: &Findings,
    cautions: &[Caution],
    look: &Look,
    files: &[(String, Content)],
) -> Result<Vec<(String, Content)>, Failure> {
    let published: BTreeMap<&str, &Content> = files.iter().map(|(path, content)| (path.as_str(), content)).collect();
    let mut sheets = Vec::new();
    for (path, mut sheet, photo) in journal::cards(&loaded.record, findings, cautions, &loaded.folder) {
        let bytes = match photo.and_then(|photo| published.get(photo.as_str()).copied()) {
            Some(Content::Bytes(bytes)) => Some(bytes.clone()),
            Some(Content::Kept(kept)) => Some(fs::read(kept)?),
            None => None,
        };
        for picture in sheet.sections.iter_mut().flat_map(|section| &mut section.pictures) {
            picture.data = bytes.as_deref().map(alone::jpeg).unwrap_or_default();
        }
        sheet.sections.iter_mut().for_each(|section| section.pictures.retain(|picture| !picture.data.is_empty()));
        sheets.push((path, sheet));
    }
    let rendered = look.renderer.sheets(&sheets).map_err(Failure::Template)?;
    Ok(rendered.into_iter().map(|(path, bytes)| (path, Content::Bytes(bytes))).collect())
}

/// Where developed photos lie between runs.
fn kept_photos(out: &Path) -> PathBuf {
    out.join(".kept").join("photos")
}

/// Develops the photos that the record holds at its date into the edition's files, and counts them. One that fails is a
/// warning and a placeholder.
fn develop(
    loaded: &mut Loaded,
    previews: &BTreeSet<String>,
    out: &Path,
    files: &mut Vec<(String, Content)>,
    progress: &dyn Progress,
) -> io::Result<usize> {
    let shown = |photo: &&record::Photo| photo.header.is_some() && !photo.is_private;
    let wanted: Vec<&record::Photo> = loaded.record.photos.values().filter(shown).collect();
    let mut count = 0;
    progress.begin("developing photos", wanted.len());
    for (photo, result) in wanted.iter().zip(photos::develop(&wanted, previews, &kept_photos(out), &|| progress.step()))
    {
        match result {
            Ok(developed) => {
                count += 1;
                files.extend(developed.into_iter().map(|photo| (photo.path, Content::Kept(photo.kept))));
            }
            Err((path, why)) => {
                let grey = photos::placeholders(photo, previews)?;
                files.extend(grey.into_iter().map(|(path, bytes)| (path, Content::Bytes(bytes))));
                let place = Place { file: path.as_str().into(), line: 1, column: 1, length: 1 };
                loaded.diagnostics.push(Diagnostic::new(Kind::UnreadablePhoto { path, why }, place));
            }
        }
    }
    Ok(count)
}

/// The whole graph of figures as JSON.
pub fn figures_json(findings: &Findings, public_only: bool) -> String {
    let cite = |key: &str| sources::source(key).map(|source| format!("{} ({})", source.citation, source.standing));
    figures::json::to_json(&findings.figures, public_only, &cite)
}

/// The record's own files for a theme, by path below `themes/NAME/`.
fn own_theme(folder: &Path, name: &str) -> io::Result<Vec<(String, Vec<u8>)>> {
    let root = folder.join("themes").join(name);
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    if !root.is_dir() || name.contains(['/', '\\']) || name.contains("..") {
        return Ok(Vec::new());
    }
    for entry in walkdir::WalkDir::new(&root).sort_by_file_name() {
        let entry = entry.map_err(io::Error::from)?;
        if entry.file_type().is_file()
            && let Ok(relative) = entry.path().strip_prefix(&root)
        {
            let path: Vec<_> =
                relative.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
            files.insert(path.join("/"), fs::read(entry.path())?);
        }
    }
    Ok(files.into_iter().collect())
}

/// Overdue tasks and questions due, one line each, for a sound record.
pub fn due(record: &Record, findings: &Findings) -> Vec<String> {
    let mut lines = Vec::new();
    for tank in record.tanks.values() {
        let whose = if record.tanks.len() > 1 { format!("{}: ", tank.name.value) } else { String::new() };
        if let Some(of) = findings.tanks.get(&tank.key) {
            for task in &of.tasks {
                let Some(days) = task.overdue_days else {
                    continue;
                };
                let unit = if days == 1 { "day" } else { "days" };
                let place = &tank.upkeep.tasks[&task.key].place;
                let never = if task.done.is_empty() { " and was never logged" } else { "" };
                lines.push(format!(
                    "{}:{}: {whose}task `{}` is {days} {unit} overdue{never}",
                    place.file, place.line, task.key
                ));
            }
        }
        for (device, lifetime) in &tank.upkeep.lifetimes {
            let Some(found) = tank.device(device).filter(|found| found.in_service_on(record.as_of)) else { continue };
            let end = lifetime.value.after(found.in_service.value);
            if end < record.as_of {
                let place = &lifetime.place;
                lines.push(format!(
                    "{}:{}: {whose}`{device}` was to be replaced by {end}: in service since {}, meant to last {}",
                    place.file,
                    place.line,
                    found.in_service.value,
                    lifetime.value.words()
                ));
            }
        }
        for entry in &tank.entries {
            let Some(ask) = &entry.ask else { continue };
            let Some(by) = ask.by.as_ref().filter(|by| by.value <= record.as_of) else {
                continue;
            };
            let answered =
                tank.entries.iter().filter_map(|entry| entry.answer.as_ref()).any(|answer| answer.is_to(ask));
            if !answered {
                let place = &ask.what.place;
                lines.push(format!(
                    "{}:{}: {whose}question due {}: {}",
                    place.file, place.line, by.value, ask.what.value
                ));
            }
        }
    }
    lines.sort();
    lines
}
