//! New files for the keeper's record: an entry of the log, or a colony with its identity.
//!
//! What is to be written is first read by the record's own parser, with the rest of the record around it. Only a text
//! without a mistake is written, always as a new file: nothing that is there is touched.

use std::fmt::Write as _;
use std::io;
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use crate::diagnostic::{self, Diagnostic, Severity};
use crate::read::{self, Folder};
use crate::record::{self, Record};

/// What happened, as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EntryDraft {
    /// `2026-10-03` or `2026-10-03 21:10`; without one, now.
    pub at: Option<String>,
    /// Name of the tank; without one, the record's main tank.
    pub tank: Option<String>,
    /// Read quantity and reading.
    pub readings: Vec<(String, String)>,
    pub top_off: Option<String>,
    pub water_change: Option<String>,
    /// Supply and amount.
    pub doses: Vec<(String, String)>,
    pub feeds: Vec<(String, String)>,
    /// Colony and mass.
    pub harvests: Vec<(String, String)>,
    pub done: Vec<String>,
    /// Colony or device, and what was seen.
    pub seen: Vec<(String, String)>,
    pub event: Option<String>,
    pub note: Option<String>,
    /// Paths from `photos/`.
    pub photos: Vec<String>,
    pub ask: Option<String>,
    /// When to look again.
    pub ask_by: Option<String>,
}

impl EntryDraft {
    /// Whether it says nothing but when and where.
    pub fn is_blank(&self) -> bool {
        let bare = EntryDraft { at: self.at.clone(), tank: self.tank.clone(), ..EntryDraft::default() };
        *self == bare
    }

    /// The entry as YAML, under its moment. One that says nothing is a quiet entry.
    pub fn yaml(&self, at: &str) -> String {
        let mut lines = String::new();
        let mut line = |key: &str, value: String| {
            let _ = writeln!(lines, "  {key}: {value}");
        };
        for (quantity, reading) in &self.readings {
            line(&key(quantity), scalar(reading));
        }
        for (name, value) in [("top-off", &self.top_off), ("water-change", &self.water_change)] {
            if let Some(value) = value {
                line(name, scalar(value));
            }
        }
        for (name, pairs) in
            [("dose", &self.doses), ("feed", &self.feeds), ("harvest", &self.harvests), ("seen", &self.seen)]
        {
            if !pairs.is_empty() {
                line(name, flow_map(pairs));
            }
        }
        if !self.done.is_empty() {
            line("done", flow_list(&self.done));
        }
        for (name, value) in [("event", &self.event), ("note", &self.note)] {
            if let Some(value) = value {
                line(name, scalar(value));
            }
        }
        if let Some(what) = &self.ask {
            let mut pairs = vec![("what".to_string(), what.clone())];
            pairs.extend(self.ask_by.iter().map(|by| ("by".to_string(), by.clone())));
            line("ask", flow_map(&pairs));
        }
        if !self.photos.is_empty() {
            line("photos", flow_list(&self.photos));
        }
        if lines.is_empty() { format!("{at}: nothing to report\n") } else { format!("{at}:\n{lines}") }
    }
}

/// A living thing that came in, as typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ColonyDraft {
    pub name: String,
    pub group: String,
    /// Without one, today.
    pub arrived: Option<String>,
    pub tank: Option<String>,
    /// Place in the tank, in words.
    pub place: Option<String>,
    /// `wild-collected`, `mariculture`, `aquaculture`, `hitch-hiker` or `unknown`.
    pub source: Option<String>,
    /// Colony it was cut from, and the evidence for it.
    pub parent: Option<String>,
    pub grade: Option<String>,
}

impl ColonyDraft {
    /// The colony's file, with its new identity.
    pub fn yaml(&self, identity: &str, arrived: &str, tank: &str) -> String {
        let mut text = format!("name: {}\nidentity: {identity}\ngroup: {}\n", scalar(&self.name), scalar(&self.group));
        if let Some(source) = &self.source {
            let _ = writeln!(text, "source: {}", flow_map(&[("kind".into(), source.clone())]));
        }
        if let Some(parent) = &self.parent {
            let grade = self.grade.clone().unwrap_or_else(|| "unknown".into());
            let _ =
                writeln!(text, "parent: {}", flow_map(&[("colony".into(), parent.clone()), ("grade".into(), grade)]));
        }
        let mut placement = vec![("since".to_string(), arrived.to_string()), ("tank".to_string(), tank.to_string())];
        placement.extend(self.place.iter().map(|place| ("where".to_string(), place.clone())));
        let _ = writeln!(text, "arrived: {}\nplacements:\n  - {}", scalar(arrived), flow_map(&placement));
        text
    }
}

/// Why nothing was written.
#[derive(Debug)]
pub enum Refused {
    /// What was typed has mistakes; as text, with their number.
    Mistakes(String, usize),
    /// What was asked for cannot be done.
    Usage(String),
    System(io::Error),
}

impl From<io::Error> for Refused {
    fn from(error: io::Error) -> Self {
        Refused::System(error)
    }
}

/// A file that was written, relative to the record, and warnings about it as text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entered {
    pub path: String,
    pub warnings: String,
}

/// The moment of an entry that names none, and the day after which nothing can have happened.
#[derive(Clone, Copy, Debug)]
pub struct Now {
    pub today: Date,
    /// Where the hour is known.
    pub instant: Option<jiff::Timestamp>,
}

impl Now {
    /// As an entry's key, in the tank's zone.
    fn typed(self, zone: &jiff::tz::TimeZone) -> String {
        match self.instant {
            Some(instant) => zone.to_datetime(instant).strftime("%Y-%m-%d %H:%M").to_string(),
            None => self.today.to_string(),
        }
    }
}

/// Writes an entry as a new file of the tank's log.
///
/// # Errors
/// When the entry has a mistake, its tank is not there, or the system refuses. Nothing is written then.
pub fn entry(root: &Path, draft: &EntryDraft, now: Now) -> Result<Entered, Refused> {
    let record = read_record(root, now)?;
    let (tank, zone) = tank_of(&record, draft.tank.as_deref())?;
    let at = draft.at.clone().unwrap_or_else(|| now.typed(&zone));
    let stem: String = at.trim().chars().map(|c| if c == ' ' || c == '\u{a0}' { '-' } else { c }).collect();
    let stem: String = stem.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    let folder = if tank == "." { "log".to_string() } else { format!("{tank}/log") };
    let text = with_schema(root, &folder, "log", draft.yaml(at.trim()));
    write_new(root, &folder, &stem, &text, now)
}

/// Writes a colony with a new identity as a new file of the record.
///
/// # Errors
/// As [`entry`].
pub fn colony(root: &Path, draft: &ColonyDraft, now: Now) -> Result<Entered, Refused> {
    let record = read_record(root, now)?;
    let (tank, zone) = tank_of(&record, draft.tank.as_deref())?;
    let arrived = draft.arrived.clone().unwrap_or_else(|| now.typed(&zone)[..10].to_string());
    let stem = key(&draft.name).chars().filter(|c| c.is_alphanumeric() || *c == '-').collect::<String>();
    let taken: Vec<&str> =
        record.colonies.values().filter_map(|c| c.identity.as_ref()).map(|i| i.value.as_str()).collect();
    let identity = loop {
        let minted = mint()?;
        if !taken.contains(&minted.as_str()) {
            break minted;
        }
    };
    let text = with_schema(root, "colonies", "colony", draft.yaml(&identity, arrived.trim(), &tank));
    write_new(root, "colonies", &stem, &text, now)
}

/// The digits and letters of an identity: none that is taken for another when it is read aloud or off a label.
const LETTERS: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

/// A new identity: opaque, from the system's own randomness. Of fifty bits a thousand records with a thousand colonies
/// each share one with a chance of about four in ten thousand (birthday bound, n² ∕ 2⁵¹).
fn mint() -> io::Result<String> {
    use rand::TryRng;
    let mut bytes = [0u8; 10];
    rand::rngs::SysRng.try_fill_bytes(&mut bytes).map_err(io::Error::other)?;
    Ok(format!(
        "pp-{}",
        bytes.map(|byte| char::from(LETTERS[usize::from(byte) % LETTERS.len()])).iter().collect::<String>()
    ))
}

fn read_folder(root: &Path) -> Result<Folder, Refused> {
    if !root.is_dir() {
        return Err(Refused::Usage(format!("{} is no folder", root.display())));
    }
    Ok(read::read_folder(root)?.0)
}

/// The day after which nothing can have happened is that of the place that is furthest ahead: the tank may be there.
fn latest_day(now: Now) -> Date {
    match now.instant {
        Some(instant) => now.today.max(jiff::tz::offset(14).to_datetime(instant).date()),
        None => now.today,
    }
}

fn read_record(root: &Path, now: Now) -> Result<Record, Refused> {
    Ok(record::build(&read_folder(root)?, latest_day(now)).0)
}

/// Key and zone of the tank that an entry is for.
fn tank_of(record: &Record, named: Option<&str>) -> Result<(String, jiff::tz::TimeZone), Refused> {
    let known: Vec<&str> = record.tanks.keys().map(String::as_str).collect();
    let found = match named {
        Some(name) => record.tanks.get(name),
        None if record.tanks.len() > 1 && !record.tanks.contains_key(".") => None,
        None => record.main_tank(),
    };
    match (found, known.is_empty()) {
        (Some(tank), _) => Ok((tank.key.clone(), tank.zone.clone())),
        (None, true) => Err(Refused::Usage("no tank is described in this folder".into())),
        (None, false) => Err(Refused::Usage(format!("name the tank with --tank: {}", known.join(", ")))),
    }
}

/// Where the record keeps its schemas, a new file names its own in the first line, as the others there do.
fn with_schema(root: &Path, folder: &str, kind: &str, text: String) -> String {
    if !root.join(format!("schema/{kind}.json")).is_file() {
        return text;
    }
    let up = "../".repeat(folder.split('/').count());
    format!("# yaml-language-server: $schema={up}schema/{kind}.json\n{text}")
}

/// Checks the text as part of the record and writes it under the first free name.
fn write_new(root: &Path, folder: &str, stem: &str, text: &str, now: Now) -> Result<Entered, Refused> {
    if stem.is_empty() {
        return Err(Refused::Usage("a name or a date with letters or digits is wanted".into()));
    }
    let path = free_path(root, folder, stem);
    let (mut with_it, _) = read::read_folder(root)?;
    let mut problems = with_it.add_text(&path, text).unwrap_or_default();
    let (_, found) = record::build(&with_it, latest_day(now));
    problems.extend(found.iter().filter(|one| one.place.file.as_ref() == path).cloned());
    let show = |of: &[&Diagnostic]| {
        of.iter().map(|one| diagnostic::render(one, &with_it.sources)).collect::<Vec<_>>().join("\n")
    };
    let (errors, warnings): (Vec<&Diagnostic>, Vec<&Diagnostic>) =
        problems.iter().partition(|one| one.severity() == Severity::Error);
    if !errors.is_empty() {
        return Err(Refused::Mistakes(show(&errors), errors.len()));
    }
    let written = place_new(root, folder, stem, text)?;
    Ok(Entered { path: written, warnings: show(&warnings) })
}

fn free_path(root: &Path, folder: &str, stem: &str) -> String {
    (1u32..)
        .map(|number| numbered(folder, stem, number))
        .find(|path| !root.join(path).exists())
        .expect("there are more numbers than files")
}

fn numbered(folder: &str, stem: &str, number: u32) -> String {
    if number == 1 { format!("{folder}/{stem}.yaml") } else { format!("{folder}/{stem}-{number}.yaml") }
}

/// Written aside, then given its name only if nobody has it: a killed run leaves no half entry, two runs at a time get
/// two files.
fn place_new(root: &Path, folder: &str, stem: &str, text: &str) -> io::Result<String> {
    let within: PathBuf = root.join(folder);
    std::fs::create_dir_all(&within)?;
    let mut builder = tempfile::Builder::new();
    builder.prefix(".new-");
    #[cfg(unix)]
    let everybody = {
        use std::os::unix::fs::PermissionsExt;
        std::fs::Permissions::from_mode(0o666)
    };
    #[cfg(unix)]
    builder.permissions(everybody);
    let mut aside = builder.tempfile_in(&within)?;
    io::Write::write_all(&mut aside, text.as_bytes())?;
    for number in 1u32.. {
        let path = numbered(folder, stem, number);
        match aside.persist_noclobber(root.join(&path)) {
            Ok(_) => return Ok(path),
            Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => aside = error.file,
            Err(error) => return Err(error.error),
        }
    }
    Err(io::Error::other("no name is free"))
}

fn key(typed: &str) -> String {
    typed.trim().to_lowercase().replace(['\u{a0}', ' ', '_'], "-")
}

/// A text as YAML: plain where that is the same text, else in double quotes, which YAML shares with JSON.
fn scalar(text: &str) -> String {
    let text = text.trim();
    let plain_start = text.starts_with(|c: char| c.is_alphanumeric());
    let plain = text.chars().all(|c| c.is_alphanumeric() || " ./%°µ±²³-+_²".contains(c));
    if plain_start && plain { text.to_string() } else { serde_json::Value::from(text).to_string() }
}

fn flow_list(items: &[String]) -> String {
    format!("[{}]", items.iter().map(|item| scalar(item)).collect::<Vec<_>>().join(", "))
}

fn flow_map(pairs: &[(String, String)]) -> String {
    let pairs: Vec<String> =
        pairs.iter().map(|(name, value)| format!("{}: {}", scalar(&key(name)), scalar(value))).collect();
    format!("{{{}}}", pairs.join(", "))
}
