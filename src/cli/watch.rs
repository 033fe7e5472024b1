//! Writing the journal again whenever a file of the record changes.

use std::process::ExitCode;
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{SYSTEM, counted, fail};
use crate::pages::journal::Dates;
use crate::pipeline::{self, Request};

/// Looking at path, size and time of ten thousand files takes some 30 ms, so this is often enough and costs little.
const PAUSE: Duration = Duration::from_millis(150);

/// Runs until it is stopped from outside. A mistake is told, and the next change is waited for.
pub fn run(request_now: impl Fn() -> Request) -> ExitCode {
    let edition = request_now().folder.join("out").join(pipeline::WATCHED);
    eprintln!("open {}; it follows every change until Ctrl-C", edition.join("index.html").display());
    let mut shown = String::new();
    let mut seen = String::new();
    let mut past = Dates::default();
    loop {
        let request = request_now();
        let print = match pipeline::fingerprint(&request, pipeline::WATCHED) {
            Ok(print) => print,
            Err(error) => {
                eprintln!("the system refused: {error}");
                return ExitCode::from(SYSTEM);
            }
        };
        // An editor may write a file in several goes: a change counts once it has stood for one look.
        if print != shown && print == seen {
            write(&request, &mut past);
            shown.clone_from(&print);
        }
        seen = print;
        sleep(PAUSE);
    }
}

fn write(request: &Request, past: &mut Dates) {
    let start = Instant::now();
    match pipeline::watched(request, past) {
        Err(failure) => {
            fail(failure);
        }
        Ok(outcome) => {
            if outcome.warning_count > 0 {
                eprintln!("{}", outcome.warnings);
            }
            if !outcome.unchanged {
                let seconds = start.elapsed().as_secs_f64();
                println!("{}, {} in {seconds:.1} s", counted(outcome.pages, "page"), counted(outcome.photos, "photo"));
            }
        }
    }
}
