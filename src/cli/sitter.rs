//! `polypary sitter`: its arguments, and what is said of the outcome.

use std::path::PathBuf;
use std::process::ExitCode;

use jiff::civil::Date;

use super::{USAGE, Units, counted, fail, today};
use crate::figures::stay::Period;
use crate::pipeline::{self, Request, SitterFailure, SitterRequest};
use crate::units::System;

#[derive(clap::Args)]
pub struct SitterArguments {
    /// The record's folder
    #[arg(default_value = ".")]
    record: PathBuf,
    /// Let the record stand as it stood on this date
    #[arg(long, value_name = "DATE")]
    as_of: Option<Date>,
    /// First day that the sitter answers for the tank
    #[arg(long, value_name = "DATE")]
    from: Date,
    /// Last such day
    #[arg(long, value_name = "DATE")]
    to: Date,
    /// The tank, where the record has several
    #[arg(long, value_name = "NAME")]
    tank: Option<String>,
    /// Units that the sitter reads; by default as the record says
    #[arg(long, value_enum)]
    units: Option<Units>,
    /// Language of the sheet's wording: en or es
    #[arg(long, value_name = "LANGUAGE")]
    language: Option<String>,
    /// Leave names, phones, address and switches blank
    #[arg(long)]
    without_private: bool,
}

pub fn run(arguments: SitterArguments) -> ExitCode {
    let wanted = SitterRequest {
        period: Period { from: arguments.from, to: arguments.to },
        tank: arguments.tank,
        system: arguments.units.map(|units| match units {
            Units::Metric => System::Metric,
            Units::Us => System::Us,
        }),
        language: arguments.language,
        without_private: arguments.without_private,
    };
    let request = Request {
        folder: arguments.record,
        today: today(),
        as_of: arguments.as_of,
        // The texts of the figures, which the sheet words anew.
        units: System::Metric,
        theme: String::new(),
    };
    match pipeline::sitter(&request, &wanted) {
        Err(SitterFailure::Run(failure)) => fail(failure),
        Err(SitterFailure::Usage(why)) => {
            eprintln!("{why}; nothing was written");
            ExitCode::from(USAGE)
        }
        Ok(outcome) => {
            for warning in &outcome.warnings {
                eprintln!("{warning}");
            }
            for line in &outcome.readiness {
                println!("{line}");
            }
            println!(
                "{}: print {}, import {}",
                counted(outcome.blockers, "blocker"),
                outcome.sheet.display(),
                outcome.calendar.display()
            );
            ExitCode::SUCCESS
        }
    }
}
