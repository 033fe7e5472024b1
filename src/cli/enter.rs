//! `polypary enter`: its arguments, and what is said of the outcome.

use std::io::{self, IsTerminal};
use std::path::PathBuf;
use std::process::ExitCode;

use super::{Failure, MISTAKES, USAGE, counted, fail, now};
use crate::pipeline::{self, Request};
use crate::units::System;
use crate::write::enter::{self, ColonyDraft, Entered, EntryDraft, Now, Refused};
use crate::write::prompt;

#[derive(clap::Args)]
pub struct EnterArguments {
    /// The record's folder
    #[arg(default_value = ".")]
    record: PathBuf,
    /// When it was: 2026-10-03, or "2026-10-03 21:10"; by default now
    #[arg(long, value_name = "MOMENT")]
    at: Option<String>,
    /// The tank, where the record has several
    #[arg(long, value_name = "NAME")]
    tank: Option<String>,
    /// A reading, as temperature=25.1 or "nitrate=below 2 mg/L NO3"; may be repeated
    #[arg(short, long, value_name = "WHAT=VALUE", value_parser = pair)]
    reading: Vec<(String, String)>,
    /// Water topped off, as "3.5 L"
    #[arg(long, value_name = "VOLUME")]
    top_off: Option<String>,
    /// Water changed, as "11 L"
    #[arg(long, value_name = "VOLUME")]
    water_change: Option<String>,
    /// A dose, as "nitrate-stock=6 mL"; may be repeated
    #[arg(long, value_name = "SUPPLY=AMOUNT", value_parser = pair)]
    dose: Vec<(String, String)>,
    /// A feed, as "dry-flake=0.13 g"; may be repeated
    #[arg(long, value_name = "FOOD=AMOUNT", value_parser = pair)]
    feed: Vec<(String, String)>,
    /// A harvest, as "red-fan=84 g"; may be repeated
    #[arg(long, value_name = "COLONY=MASS", value_parser = pair)]
    harvest: Vec<(String, String)>,
    /// A task that was done; may be repeated
    #[arg(long, value_name = "TASK")]
    done: Vec<String>,
    /// What was seen of a colony or device, as "lamp=flickers"; may be repeated
    #[arg(long, value_name = "NAME=TEXT", value_parser = pair)]
    seen: Vec<(String, String)>,
    /// What happened, as "power cut"
    #[arg(long, value_name = "TEXT")]
    event: Option<String>,
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// A photo of photos/; may be repeated
    #[arg(long, value_name = "FILE")]
    photo: Vec<String>,
    /// A question left open
    #[arg(long, value_name = "TEXT")]
    ask: Option<String>,
    /// When to look at it again
    #[arg(long, value_name = "DATE", requires = "ask")]
    ask_by: Option<String>,
    /// Nothing to report: a quiet entry
    #[arg(long)]
    quiet: bool,
    /// Add a colony of this name instead, and mint its identity
    #[arg(long, value_name = "NAME", requires = "group")]
    new_colony: Option<String>,
    /// What the colony is: leather, zoanthid, gorgonian, macroalga, fish …
    #[arg(long, value_name = "GROUP", requires = "new_colony")]
    group: Option<String>,
    /// When it arrived; by default today
    #[arg(long, value_name = "DATE", requires = "new_colony")]
    arrived: Option<String>,
    /// Where in the tank it stands, in words
    #[arg(long, value_name = "TEXT", requires = "new_colony")]
    place: Option<String>,
    /// How it came to be: aquaculture, mariculture, wild-collected, hitch-hiker, unknown
    #[arg(long, value_name = "KIND", requires = "new_colony")]
    source: Option<String>,
    /// The colony it was cut from
    #[arg(long, value_name = "COLONY", requires = "new_colony")]
    parent: Option<String>,
    /// The evidence for that: witnessed-cut, givers-record, givers-statement, sellers-statement, name-only
    #[arg(long, value_name = "GRADE", requires = "parent")]
    grade: Option<String>,
}

fn pair(typed: &str) -> Result<(String, String), String> {
    match typed.split_once('=') {
        Some((name, value)) if !name.trim().is_empty() && !value.trim().is_empty() => {
            Ok((name.trim().to_string(), value.trim().to_string()))
        }
        _ => Err("as name=value".into()),
    }
}

impl EnterArguments {
    fn colony(&self) -> Option<ColonyDraft> {
        Some(ColonyDraft {
            name: self.new_colony.clone()?,
            group: self.group.clone().unwrap_or_default(),
            arrived: self.arrived.clone(),
            tank: self.tank.clone(),
            place: self.place.clone(),
            source: self.source.clone(),
            parent: self.parent.clone(),
            grade: self.grade.clone(),
        })
    }

    fn entry(self) -> EntryDraft {
        EntryDraft {
            at: self.at,
            tank: self.tank,
            readings: self.reading,
            top_off: self.top_off,
            water_change: self.water_change,
            doses: self.dose,
            feeds: self.feed,
            harvests: self.harvest,
            done: self.done,
            seen: self.seen,
            event: self.event,
            note: self.note,
            photos: self.photo,
            ask: self.ask,
            ask_by: self.ask_by,
        }
    }
}

pub fn run(arguments: EnterArguments) -> ExitCode {
    let (root, now) = (arguments.record.clone(), now());
    if let Some(colony) = arguments.colony() {
        return tell(&root, enter::colony(&root, &colony, now));
    }
    let quiet = arguments.quiet;
    let mut draft = arguments.entry();
    if draft.is_blank() && !quiet {
        if !io::stdin().is_terminal() {
            eprintln!("nothing is given to enter; `--quiet` enters that there was nothing to report");
            return ExitCode::from(USAGE);
        }
        match ask(&root, &draft, now) {
            Ok(answered) => draft = answered,
            Err(error) => return fail(Failure::System(error)),
        }
    }
    tell(&root, enter::entry(&root, &draft, now))
}

fn ask(root: &std::path::Path, draft: &EntryDraft, now: Now) -> io::Result<EntryDraft> {
    let request = Request {
        folder: root.to_path_buf(),
        today: now.today,
        as_of: None,
        units: System::Metric,
        theme: String::new(),
    };
    let loaded = pipeline::load(&request)?;
    let named = draft.tank.as_ref().and_then(|name| loaded.record.tanks.get(name));
    match named.or_else(|| loaded.record.main_tank()) {
        Some(tank) => {
            let answered = prompt::entry(tank, &mut io::stdin().lock(), &mut io::stdout())?;
            Ok(EntryDraft { at: draft.at.clone().or(answered.at), ..answered })
        }
        None => Ok(draft.clone()),
    }
}

fn tell(root: &std::path::Path, outcome: Result<Entered, Refused>) -> ExitCode {
    match outcome {
        Ok(entered) => {
            if !entered.warnings.is_empty() {
                eprintln!("{}", entered.warnings);
            }
            println!("{}", root.join(entered.path).display());
            ExitCode::SUCCESS
        }
        Err(Refused::Mistakes(text, count)) => {
            eprintln!("{text}");
            eprintln!("{}; nothing was written", counted(count, "error"));
            ExitCode::from(MISTAKES)
        }
        Err(Refused::Usage(why)) => {
            eprintln!("{why}; nothing was written");
            ExitCode::from(USAGE)
        }
        Err(Refused::System(error)) => fail(Failure::System(error)),
    }
}
