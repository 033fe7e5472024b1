//! Asking for what an entry holds, line by line. An empty line leaves a thing out; nothing is asked twice.

use std::io::{self, BufRead, Write};

use super::enter::EntryDraft;
use crate::record::Tank;

/// Asks for an entry of a tank: what it is usually read for, top-off, what was done, and a note.
///
/// # Errors
/// When the terminal cannot be read or written.
pub fn entry(tank: &Tank, input: &mut impl BufRead, output: &mut impl Write) -> io::Result<EntryDraft> {
    let mut draft = EntryDraft { tank: (!tank.is_root()).then(|| tank.key.clone()), ..EntryDraft::default() };
    writeln!(output, "An entry for {}. An empty line leaves a thing out.", tank.name.value)?;
    draft.at = ask("When, as 2026-10-03 or 2026-10-03 21:10 (empty: now)", input, output)?;
    let mut read: Vec<&str> = tank.usual_units.keys().map(|parameter| parameter.key()).collect();
    if read.is_empty() {
        read = vec!["temperature", "salinity"];
    }
    for quantity in read {
        let unit = tank.usual_units.iter().find(|(parameter, _)| parameter.key() == quantity);
        let question = match unit {
            Some((_, unit)) => format!("{quantity}, in {}", unit.symbol),
            None => format!("{quantity}, with its unit"),
        };
        draft.readings.extend(ask(&question, input, output)?.map(|typed| (quantity.to_string(), typed)));
    }
    draft.top_off = ask("Topped off, as 3.5 L", input, output)?;
    draft.doses = pairs(ask("Dosed, as nitrate-stock 6 mL, alkalinity-stock 4 mL", input, output)?);
    let tasks: Vec<&str> = tank.upkeep.tasks.keys().map(String::as_str).collect();
    let question = if tasks.is_empty() { "Done".to_string() } else { format!("Done, of {}", tasks.join(" ")) };
    let done = ask(&question, input, output)?.unwrap_or_default();
    draft.done = done.split([' ', ',']).filter(|name| !name.is_empty()).map(str::to_string).collect();
    draft.note = ask("Note", input, output)?;
    let photos = ask("Photos, from photos/", input, output)?.unwrap_or_default();
    draft.photos = photos.split([' ', ',']).filter(|name| !name.is_empty()).map(str::to_string).collect();
    draft.ask = ask("A question to look at again", input, output)?;
    if draft.ask.is_some() {
        draft.ask_by = ask("Look again on, as 2026-10-17", input, output)?;
    }
    Ok(draft)
}

fn ask(question: &str, input: &mut impl BufRead, output: &mut impl Write) -> io::Result<Option<String>> {
    write!(output, "{question}: ")?;
    output.flush()?;
    let mut line = String::new();
    input.read_line(&mut line)?;
    let typed = line.trim();
    Ok((!typed.is_empty()).then(|| typed.to_string()))
}

/// `nitrate-stock 6 mL, alkalinity-stock 4 mL`: a name up to the first blank, then an amount.
fn pairs(typed: Option<String>) -> Vec<(String, String)> {
    typed
        .unwrap_or_default()
        .split(',')
        .filter_map(|part| part.trim().split_once([' ', '=']))
        .map(|(name, amount)| (name.trim().to_string(), amount.trim().to_string()))
        .collect()
}
