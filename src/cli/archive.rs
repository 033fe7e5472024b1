//! `polypary archive`.

use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use jiff::civil::Date;

use super::{MISTAKES, RecordArguments, SYSTEM, USAGE, counted, fail};
use crate::pipeline::{self, Wanted};
use crate::write::bag::{self, Changed};

#[derive(clap::Args)]
pub struct ArchiveArguments {
    #[command(flatten)]
    record: RecordArguments,
    /// Theme of the journal inside: a built-in one, or a folder of the record's themes/
    #[arg(long, default_value = "fieldguide")]
    theme: String,
    /// Leave out private values and what cameras wrote into photos, and prove it
    #[arg(long)]
    without_private: bool,
    /// Add a loss report of a period, from this date to that of --loss-to
    #[arg(long, value_name = "DATE", requires = "loss_to")]
    loss_from: Option<Date>,
    #[arg(long, value_name = "DATE", requires = "loss_from")]
    loss_to: Option<Date>,
    /// Verify an archive instead, and name each missing, added or altered file
    #[arg(long, value_name = "DIR", conflicts_with_all = ["as_of", "theme", "units", "without_private", "loss_from"])]
    recheck: Option<PathBuf>,
}

pub fn run(arguments: ArchiveArguments) -> ExitCode {
    match arguments.recheck {
        Some(folder) => recheck(&folder),
        None => archive(arguments),
    }
}

/// At most this many changed files of a kind are named.
const NAMED: usize = 20;

fn archive(arguments: ArchiveArguments) -> ExitCode {
    let start = Instant::now();
    let loss = arguments.loss_from.zip(arguments.loss_to);
    if let Some((from, to)) = loss.filter(|(from, to)| from > to) {
        eprintln!("a loss report from {from} to {to} has no day in it");
        return ExitCode::from(USAGE);
    }
    let wanted = Wanted { without_private: arguments.without_private, loss };
    match pipeline::archive(&arguments.record.request(arguments.theme), wanted) {
        Err(failure) => fail(failure),
        Ok(outcome) => {
            if outcome.warning_count > 0 {
                eprintln!("{}", outcome.warnings);
            }
            if let Some(changed) = &outcome.changed {
                tell(changed);
            }
            println!(
                "{}, {}, {} in {:.1} s: {}",
                counted(outcome.files, "file"),
                counted(outcome.tables, "table"),
                counted(outcome.warning_count, "warning"),
                start.elapsed().as_secs_f64(),
                outcome.edition.display()
            );
            ExitCode::SUCCESS
        }
    }
}

fn tell(changed: &Changed) {
    if changed.is_empty() {
        println!("nothing has changed since the archive that stood here");
        return;
    }
    println!("since the archive that stood here:");
    for (word, paths) in [("added", &changed.added), ("altered", &changed.altered), ("gone", &changed.removed)] {
        // The record's own files first: the rest follows from them.
        let (own, made): (Vec<&String>, Vec<&String>) = paths.iter().partition(|path| path.starts_with("data/record/"));
        for path in own.iter().take(NAMED) {
            println!("  {word}: {path}");
        }
        if own.len() > NAMED {
            println!("  {word}: and {} more of the record", own.len() - NAMED);
        }
        if !made.is_empty() {
            println!("  {word}: {} made from the record", counted(made.len(), "file"));
        }
    }
}

fn recheck(folder: &Path) -> ExitCode {
    let checked = match bag::check(folder) {
        Ok(checked) => checked,
        Err(error) => {
            eprintln!("the system refused: {error}");
            return ExitCode::from(SYSTEM);
        }
    };
    for name in &checked.unread {
        println!("not looked at: {name} lists checksums of a kind that this program does not know");
    }
    for fault in &checked.faults {
        println!("{fault}");
    }
    let of = checked.date.map_or(String::new(), |date| format!(" of {date}"));
    let seen = format!("{}, {} bytes", counted(checked.files, "file"), checked.bytes);
    if checked.faults.is_empty() {
        println!("unharmed: the archive{of}, {seen}");
        ExitCode::SUCCESS
    } else {
        println!("{} in the archive{of}, {seen}", counted(checked.faults.len(), "fault"));
        ExitCode::from(MISTAKES)
    }
}
