//! The sitter edition: one sheet and one calendar for one tank and period.

use std::path::PathBuf;

use super::{Failure, Loaded, Request, figures_json, kept_photos, load_sound, stand};
use crate::diagnostic::{Diagnostic, Kind, Place};
use crate::figures::stay::{self, Impossible, Period};
use crate::pages::sitter::words::{Words, usual_reads, without_tags};
use crate::pages::sitter::{self, Manner};
use crate::record::sitter::Reads;
use crate::record::{Photo, Tank};
use crate::units::System;
use crate::write::publish::{self, Content};
use crate::write::render::Renderer;
use crate::write::theme::{DEFAULT_THEME, Theme};
use crate::write::{calendar, embed};

/// What a sitter's sheet is asked for, besides the record.
#[derive(Clone, Debug)]
pub struct SitterRequest {
    pub period: Period,
    /// Key of the tank; without one, the record's main tank.
    pub tank: Option<String>,
    /// Where they are not asked for, the record's own word counts.
    pub system: Option<System>,
    pub language: Option<String>,
    pub without_private: bool,
}

/// What came of it.
#[derive(Debug)]
pub struct SitterOutcome {
    pub sheet: PathBuf,
    pub calendar: PathBuf,
    /// What stands against leaving, for a terminal.
    pub readiness: Vec<String>,
    pub blockers: usize,
    pub warnings: Vec<String>,
}

/// Why there is no sheet.
#[derive(Debug)]
pub enum SitterFailure {
    Run(Failure),
    /// The period, the tank or the language makes no sense.
    Usage(String),
}

impl From<Failure> for SitterFailure {
    fn from(failure: Failure) -> Self {
        SitterFailure::Run(failure)
    }
}

impl From<std::io::Error> for SitterFailure {
    fn from(error: std::io::Error) -> Self {
        SitterFailure::Run(Failure::System(error))
    }
}

/// Writes the sitter edition into `out/sitter` of the record.
///
/// # Errors
/// When the period makes no sense, the record has errors (nothing is written then), or the system refuses.
pub fn sitter(request: &Request, wanted: &SitterRequest) -> Result<SitterOutcome, SitterFailure> {
    let mut loaded = load_sound(request)?;
    stand(&mut loaded, request, request.today);
    let key = tank_key(&loaded, wanted)?;
    check_period(&loaded.record.tanks[&key], wanted.period, loaded.record.as_of)?;
    let mut findings = crate::figures::work_out(&loaded.record);
    let tank = &loaded.record.tanks[&key];
    let manner = manner(tank, wanted)?;
    let stay = stay::work_out(&loaded.record, tank, &mut findings, wanted.period);
    let readiness = sitter::readiness(&loaded.record, tank, &findings, &stay, &manner);
    let out = request.folder.join("out");
    let photos = sitter::photos(tank, &loaded.record, &stay);
    let photos: Vec<&Photo> = photos.iter().filter_map(|typed| loaded.record.photo(typed)).collect();
    let embedded = embed::pictures(&photos, &kept_photos(&out))?;
    let sheet = sitter::sheet(&loaded.record, tank, &findings, &stay, &manner, &embedded.pictures);
    let events = sitter::calendar(&loaded.record, tank, &findings, &stay, &manner);
    let theme = Theme::load(DEFAULT_THEME, &[]).map_err(Failure::Theme)?;
    let html = Renderer::new(&theme).and_then(|renderer| renderer.sitter(&sheet)).map_err(Failure::Template)?;
    let files = [
        ("sheet.html".to_string(), Content::Bytes(html)),
        ("visits.ics".to_string(), Content::Bytes(calendar::to_ics(&events))),
        ("figures.json".to_string(), Content::Bytes(figures_json(&findings, wanted.without_private).into_bytes())),
    ];
    publish::publish(&out, "sitter", files)?;
    let mut warnings = warnings(&manner, &stay);
    if !sheet.in_full.is_empty() {
        let mut labels: Vec<String> = sheet.in_full.iter().map(|row| without_tags(&row.label)).collect();
        labels.dedup();
        let told = manner.words.plain("too_long", &[("what", &labels.join("; "))]);
        warnings.push(format!("warning: {told}"));
    }
    for (path, why) in embedded.failed {
        let place = Place { file: path.as_str().into(), line: 1, column: 1, length: 1 };
        loaded.diagnostics.push(Diagnostic::new(Kind::UnreadablePhoto { path, why }, place));
    }
    let told = loaded.diagnostics.render_all(&loaded.folder.sources);
    Ok(SitterOutcome {
        sheet: out.join("sitter/sheet.html"),
        calendar: out.join("sitter/visits.ics"),
        readiness,
        blockers: stay.needs.iter().filter(|need| need.blocker).count(),
        warnings: warnings.into_iter().chain((!told.is_empty()).then_some(told)).collect(),
    })
}

fn tank_key(loaded: &Loaded, wanted: &SitterRequest) -> Result<String, SitterFailure> {
    let tanks = &loaded.record.tanks;
    let found = match &wanted.tank {
        Some(name) => tanks.get(name),
        None => loaded.record.main_tank(),
    };
    let known: Vec<&str> = tanks.keys().map(String::as_str).collect();
    found
        .map(|tank| tank.key.clone())
        .ok_or_else(|| SitterFailure::Usage(format!("there is no such tank; the record has {}", known.join(", "))))
}

fn check_period(tank: &Tank, period: Period, today: jiff::civil::Date) -> Result<(), SitterFailure> {
    let (from, to) = (period.from, period.to);
    let why = match period.check(tank, today) {
        Ok(()) => return Ok(()),
        Err(Impossible::EndsBeforeItBegins) => format!("{to} is before {from}"),
        Err(Impossible::Over) => format!("{to} is past: the record stands at {today}"),
        Err(Impossible::BeforeTheTank) => format!("the tank was first filled on {}", tank.started.value),
        Err(Impossible::TankEnded) => "the tank is taken down by then".to_string(),
        Err(Impossible::TooLong(days)) => format!("{days} days are no absence but a handover"),
    };
    Err(SitterFailure::Usage(format!("no sheet can be made for {from} to {to}: {why}")))
}

fn manner(tank: &Tank, wanted: &SitterRequest) -> Result<Manner, SitterFailure> {
    let plan = &tank.upkeep.sitter;
    let own = plan.language.as_ref().map(|language| language.value.clone());
    let language = wanted.language.clone().or(own).unwrap_or_else(|| "en".into());
    let words = Words::of(&language)
        .ok_or_else(|| SitterFailure::Usage(format!("there is no wording in `{language}`; try en or es")))?;
    let country = tank.country.as_ref().map(|country| country.value.as_str());
    let reads = plan.reads.as_ref().map_or(usual_reads(country), |reads| reads.value);
    let own = if reads == Reads::Us { System::Us } else { System::Metric };
    Ok(Manner { words, system: wanted.system.unwrap_or(own), without_private: wanted.without_private })
}

/// What the keeper should know of the sheet itself, in the program's own language.
fn warnings(manner: &Manner, stay: &stay::Stay) -> Vec<String> {
    let mut warnings = Vec::new();
    if !stay.water.season_known && stay.water.per_day.is_some() {
        warnings.push(format!("warning: {}", manner.words.get("season_unknown")));
    }
    if stay.period.days() > 10 {
        warnings.push(format!("warning: {}", manner.words.get("many_days")));
    }
    warnings
}
