//! The command line: parse, call, print, exit code. No logic.

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;

use clap::{Parser, Subcommand};
use jiff::civil::Date;

use crate::figures::Findings;
use crate::pipeline::{self, Failure, Request};
use crate::units::System;
use crate::write::begin;
use crate::write::enter::Now;

mod archive;
mod enter;
mod formula;
mod progress;
mod schema;
mod shell;
mod sitter;
mod watch;

/// Turns a reef keeper's folder of notes, photos and spec sheets into a static HTML record that recomputes everything
/// it claims.
#[derive(Parser)]
#[command(name = "polypary", version, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Write the journal edition into out/journal of the record
    Journal {
        #[command(flatten)]
        record: RecordArguments,
        /// Theme: a built-in one, or a folder of the record's themes/
        #[arg(long, default_value = "fieldguide")]
        theme: String,
        /// Write it into out/watch again at every change of the record, and let open pages follow
        #[arg(long)]
        watch: bool,
    },
    /// Write the archive into out/archive of the record, or verify one
    Archive(archive::ArchiveArguments),
    /// Print every mistake, overdue task, worn part and question due; write nothing
    Audit {
        #[command(flatten)]
        record: RecordArguments,
    },
    /// Print all figures as a table
    Figures {
        #[command(flatten)]
        record: RecordArguments,
        /// Print the whole graph of figures as JSON
        #[arg(long)]
        json: bool,
    },
    /// Write the sheet and calendar for whoever minds the tank into out/sitter of the record
    Sitter(Box<sitter::SitterArguments>),
    /// Add an entry, or a new colony with its identity, always as a new file; ask for it where nothing is given
    Enter(Box<enter::EnterArguments>),
    /// List the formulas, explain one, or work one out for some inputs or a whole table
    Formula(formula::FormulaArguments),
    /// List the kinds of YAML files, or print the JSON Schema of one, for editors that complete and check
    Schema(schema::SchemaArguments),
    /// Write a new record, commented, that renders at once
    Begin {
        /// A folder that is not there yet, or is empty
        folder: PathBuf,
    },
    /// Print a script that lets a shell complete commands and options
    Completions {
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
    /// Print the manual page, as roff for `man`
    Manual,
}

#[derive(Clone, clap::Args)]
struct RecordArguments {
    /// The record's folder
    #[arg(default_value = ".")]
    record: PathBuf,
    /// Let the record stand as it stood on this date
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// Units of pages, charts and texts; figures.json stays metric
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum Units {
    Metric,
    Us,
}

impl RecordArguments {
    fn request(self, theme: String) -> Request {
        let units = match self.units {
            Units::Metric => System::Metric,
            Units::Us => System::Us,
        };
        Request { folder: self.record, today: today(), as_of: self.as_of, units, theme }
    }
}

/// The clock is read here and nowhere else. `POLYPARY_TODAY` stands in for it in tests and reproducible builds.
fn today() -> Date {
    std::env::var("POLYPARY_TODAY")
        .ok()
        .and_then(|typed| typed.parse().ok())
        .unwrap_or_else(|| jiff::ZonedDateTime::now().date())
}

/// The same clock with its hour, for an entry that names no moment.
fn now() -> Now {
    let stands_in = std::env::var_os("POLYPARY_TODAY").is_some();
    Now { today: today(), instant: (!stands_in).then(jiff::Timestamp::now) }
}

const MISTAKES: u8 = 1;
const USAGE: u8 = 2;
const SYSTEM: u8 = 3;

/// Runs the program with the process's arguments.
pub fn run() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let code = if error.use_stderr() { ExitCode::from(USAGE) } else { ExitCode::SUCCESS };
            let _ = error.print();
            return code;
        }
    };
    match arguments.command {
        Command::Journal { record, theme, watch: true } => watch::run(|| record.clone().request(theme.clone())),
        Command::Journal { record, theme, watch: false } => journal(&record.request(theme)),
        Command::Archive(arguments) => archive::run(arguments),
        Command::Audit { record } => audit(&record.request(String::new())),
        Command::Figures { record, json } => figures(&record.request(String::new()), json),
        Command::Sitter(arguments) => sitter::run(*arguments),
        Command::Enter(arguments) => enter::run(*arguments),
        Command::Formula(arguments) => formula::run(&arguments),
        Command::Schema(arguments) => schema::run(&arguments),
        Command::Begin { folder } => begin(&folder),
        Command::Completions { shell } => shell::completions(shell),
        Command::Manual => shell::manual(),
    }
}

fn fail(failure: Failure) -> ExitCode {
    match failure {
        Failure::Mistakes(text, count) => {
            eprintln!("{text}");
            eprintln!("{}; nothing was written", counted(count, "error"));
            ExitCode::from(MISTAKES)
        }
        Failure::Theme(error) => {
            eprintln!("{error}");
            ExitCode::from(MISTAKES)
        }
        Failure::Template(error) => {
            eprintln!("{error}");
            ExitCode::from(MISTAKES)
        }
        Failure::Private(found) => {
            for line in &found {
                eprintln!("{line}");
            }
            eprintln!(
                "what is private was found {}; nothing was written. Reword the open part, or the private one",
                if found.len() == 1 { "once".into() } else { format!("{} times", found.len()) }
            );
            ExitCode::from(MISTAKES)
        }
        Failure::System(error) => {
            eprintln!("the system refused: {error}");
            ExitCode::from(SYSTEM)
        }
    }
}

fn counted(count: usize, word: &str) -> String {
    if count == 1 { format!("1 {word}") } else { format!("{count} {word}s") }
}

fn journal(request: &Request) -> ExitCode {
    let start = Instant::now();
    let bar = progress::Bar::new();
    let done = pipeline::journal_telling(request, &bar);
    drop(bar);
    match done {
        Err(failure) => fail(failure),
        Ok(outcome) if outcome.unchanged => {
            if outcome.warning_count > 0 {
                eprintln!("{}", outcome.warnings);
            }
            println!("nothing has changed; the journal stands in {}", outcome.edition.join("index.html").display());
            ExitCode::SUCCESS
        }
        Ok(outcome) => {
            if outcome.warning_count > 0 {
                eprintln!("{}", outcome.warnings);
            }
            println!(
                "{}, {}, {} in {:.1} s: open {}",
                counted(outcome.pages, "page"),
                counted(outcome.photos, "photo"),
                counted(outcome.warning_count, "warning"),
                start.elapsed().as_secs_f64(),
                outcome.edition.join("index.html").display()
            );
            ExitCode::SUCCESS
        }
    }
}

fn audit(request: &Request) -> ExitCode {
    let mut loaded = match pipeline::load(request) {
        Ok(loaded) => loaded,
        Err(error) => return fail(Failure::System(error)),
    };
    if !loaded.diagnostics.is_empty() {
        println!("{}", loaded.diagnostics.render_all(&loaded.folder.sources));
    }
    let (errors, warnings) = (loaded.diagnostics.error_count(), loaded.diagnostics.warning_count());
    if errors > 0 {
        println!("{}, {}", counted(errors, "error"), counted(warnings, "warning"));
        return ExitCode::from(MISTAKES);
    }
    let (findings, _) = pipeline::work_out_loaded(&mut loaded, request, true);
    for line in pipeline::due(&loaded.record, &findings) {
        println!("{line}");
    }
    println!("no errors, {}", counted(warnings, "warning"));
    ExitCode::SUCCESS
}

fn figures(request: &Request, json: bool) -> ExitCode {
    match pipeline::work_out(request, false) {
        Err(failure) => fail(failure),
        Ok((_, findings, _)) if json => {
            println!("{}", pipeline::figures_json(&findings, false));
            ExitCode::SUCCESS
        }
        Ok((_, findings, _)) => {
            print_figures(&findings, request.units);
            ExitCode::SUCCESS
        }
    }
}

fn print_figures(findings: &Findings, units: System) {
    for tank in findings.tanks.keys() {
        println!("tank {tank}");
        for figure in findings.figures.of_tank(tank) {
            let shift = units.of(&figure.unit);
            let number = crate::figures::number;
            let spread = match figure.lopsided() {
                Some((low, high)) => format!("({} to {})", number(shift.value(low)), number(shift.value(high))),
                None => format!("± {}", number(shift.spread(figure.uncertainty))),
            };
            println!(
                "  {:<44} {:>12} {spread:<20} {:<16} {}",
                figure.key,
                number(shift.value(figure.value)),
                shift.unit,
                figure.basis.word()
            );
        }
        for missing in findings.figures.missing.iter().filter(|missing| missing.tank == *tank) {
            println!("  {:<44} not known; to record: {}", missing.key, missing.what_to_record);
        }
    }
}

fn begin(folder: &std::path::Path) -> ExitCode {
    let schemas = match crate::schema::files() {
        Ok(schemas) => schemas,
        Err(broken) => return schema::broken(&broken),
    };
    match begin::begin(folder, today(), &schemas) {
        Ok(written) => {
            for path in written {
                println!("{}", folder.join(path).display());
            }
            println!("now: polypary journal {}", folder.display());
            ExitCode::SUCCESS
        }
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            eprintln!("{error}; nothing is overwritten");
            ExitCode::from(USAGE)
        }
        Err(error) => fail(Failure::System(error)),
    }
}
