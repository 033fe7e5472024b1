//! `polypary formula`: its arguments, and what is said of the outcome.

use std::fs::File;
use std::io::{self, BufWriter, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::{MISTAKES, SYSTEM, USAGE};
use crate::diagnostic::nearest;
use crate::formula::{self, Failure, Formula, Typed, Unreadable, Work};

#[derive(clap::Args)]
#[command(after_help = "A value may carry its unit (temperature_c=77F) and an uncertainty (temperature_c=25±0.1, +/- \
    will do, or digits in brackets: 25.0(1)).\n\n\
    --table prints CSV: the inputs, the outputs, and a column `refused` with the reason of each row that is out of the \
    formula's range; other columns are passed over. key=value beside it fills in for a column that is not there.\n\n\
    Exit code: 0 done; 1 out of the formula's range (of a table: every row); 2 wrong usage; 3 a file cannot be read.")]
pub struct FormulaArguments {
    /// The formula; without it all are listed
    name: Option<String>,
    /// Inputs as key=value; without any the formula is explained
    #[arg(value_name = "KEY=VALUE")]
    inputs: Vec<String>,
    /// Work out every row of a CSV file; - reads standard input
    #[arg(long, value_name = "FILE")]
    table: Option<PathBuf>,
}

pub fn run(arguments: &FormulaArguments) -> ExitCode {
    let Some(name) = &arguments.name else {
        return match arguments.table {
            Some(_) => usage("--table wants the name of a formula"),
            None => print(&formula::list()),
        };
    };
    let Some(formula) = formula::find(name) else {
        return usage(&match nearest(name, formula::names()) {
            Some(near) => format!("no formula `{name}`; did you mean `{near}`?"),
            None => format!("no formula `{name}`; `polypary formula` lists them"),
        });
    };
    let given = match pairs(formula, &arguments.inputs) {
        Ok(given) => given,
        Err(why) => return usage(&why),
    };
    match &arguments.table {
        Some(path) => over_table(formula, &given, path),
        None if given.is_empty() => print(&formula::explanation(formula)),
        None => work_out(formula, &given),
    }
}

/// `key=value` for the formula's keys, each once.
fn pairs(formula: &Formula, typed: &[String]) -> Result<Vec<(String, String)>, String> {
    let mut pairs: Vec<(String, String)> = Vec::new();
    for typed in typed {
        let Some((key, value)) = typed.split_once('=') else {
            return Err(format!("`{typed}` is not key=value"));
        };
        let plain = key.trim().to_lowercase().replace('-', "_");
        let Some(input) = formula.input(&plain) else {
            let keys = formula.inputs.iter().map(|input| input.key);
            return Err(match nearest(&plain, keys.clone()) {
                Some(near) => format!("{} has no input `{key}`; did you mean `{near}`?", formula.name),
                None => {
                    let keys: Vec<&str> = keys.collect();
                    format!("{} has no input `{key}`; it has: {}", formula.name, keys.join(", "))
                }
            });
        };
        if pairs.iter().any(|(key, _)| key == input.key) {
            return Err(format!("{} is given twice", input.key));
        }
        pairs.push((input.key.to_string(), value.to_string()));
    }
    Ok(pairs)
}

fn work_out(formula: &Formula, given: &[(String, String)]) -> ExitCode {
    let mut inputs = Vec::new();
    let mut missing = Vec::new();
    for input in formula.inputs {
        let typed = given.iter().find(|(key, _)| key == input.key).map(|(_, value)| value.as_str());
        match Typed::of(input, typed) {
            Ok(typed) => inputs.push(typed),
            Err(Unreadable::Empty) => missing.push(format!("{} ({})", input.key, input.meaning)),
            Err(why @ Unreadable::NoNumber(_)) => return refused(&format!("{}: {why}", input.key)),
            Err(why @ Unreadable::Wrong(_)) => return usage(&format!("{}: {why}", input.key)),
        }
    }
    if !missing.is_empty() {
        return usage(&format!("{} still wants: {}", formula.name, missing.join("; ")));
    }
    match formula::work_out(formula, &inputs) {
        Ok(outcome) => print(&formula::result(formula, &inputs, &outcome)),
        Err(why) => refused(&format!("{}: {why}\nvalid: {}", formula.name, formula.valid)),
    }
}

fn over_table(formula: &Formula, given: &[(String, String)], path: &Path) -> ExitCode {
    let unreadable = |error: &io::Error| {
        eprintln!("{} cannot be read: {error}", path.display());
        ExitCode::from(SYSTEM)
    };
    let table: Box<dyn Read> = if path.as_os_str() == "-" {
        Box::new(io::stdin().lock())
    } else {
        match File::open(path) {
            Ok(file) => Box::new(file),
            Err(error) => return unreadable(&error),
        }
    };
    let out = BufWriter::new(io::stdout().lock());
    match formula::over_table(formula, given, table, out) {
        Ok(summary) if summary.refused > 0 => {
            let (refused, rows) = (summary.refused, summary.rows);
            match formula.work {
                Work::Row(_) => eprintln!("{refused} of {rows} rows gave no result; the last column says why"),
                _ => eprintln!("the series gave no result; the last column says why"),
            }
            if refused == rows { ExitCode::from(MISTAKES) } else { ExitCode::SUCCESS }
        }
        Ok(_) => ExitCode::SUCCESS,
        Err(Failure::Unfit(why)) => usage(&format!("{}: {why}", path.display())),
        Err(Failure::Reading(error)) => unreadable(&error),
        Err(Failure::Writing(error)) => written(Err(error)),
    }
}

fn print(text: &str) -> ExitCode {
    let mut out = io::stdout().lock();
    written(out.write_all(text.as_bytes()).and_then(|()| out.flush()))
}

/// A reader that has seen enough closes the pipe; that is no failure.
fn written(outcome: io::Result<()>) -> ExitCode {
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("nothing more can be written: {error}");
            ExitCode::from(SYSTEM)
        }
    }
}

fn usage(why: &str) -> ExitCode {
    eprintln!("{why}");
    ExitCode::from(USAGE)
}

fn refused(why: &str) -> ExitCode {
    eprintln!("{why}");
    ExitCode::from(MISTAKES)
}
