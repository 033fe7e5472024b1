//! The words for every kind of mistake: lower case, no full stop, plain words that a keeper knows.

use super::Kind;

/// Up to this many known words are listed when none is near.
const LISTED: usize = 14;

pub fn headline(kind: &Kind) -> String {
    match kind {
        Kind::BadYaml { .. } => "this YAML cannot be read".into(),
        Kind::TabIndentation => "a tab is used for indentation".into(),
        Kind::UnreadableFile { .. } => "this file cannot be opened".into(),
        Kind::NotUtf8 => "this file is not UTF-8 text".into(),
        Kind::EmptyFile => "this file is empty".into(),
        Kind::UnknownKey { key, within, .. } => format!("unknown key `{key}` in {within}"),
        Kind::DuplicateKey { key } => format!("`{key}` is written twice"),
        Kind::MissingKey { key, within, .. } => format!("`{key}` is missing in {within}"),
        Kind::MissingUnit { quantity, .. } => format!("{quantity} without a unit"),
        Kind::UnknownUnit { unit, .. } => format!("unknown unit `{unit}`"),
        Kind::WrongDimension { quantity, .. } => format!("{quantity} in a unit of another kind"),
        Kind::AmbiguousSpecies { quantity, .. } => {
            format!("{quantity} without saying in which form")
        }
        Kind::DecimalComma { .. } => "a comma inside a number".into(),
        Kind::NotANumber { .. } => "this cannot be read".into(),
        Kind::OutOfRange { quantity, .. } => format!("{quantity} out of range"),
        Kind::BadDate { .. } => "this is not a date".into(),
        Kind::ImpossibleDate { .. } => "a date that does not exist".into(),
        Kind::FutureDate { .. } => "a date in the future".into(),
        Kind::BadTime { .. } => "this is not a time of day".into(),
        Kind::UnknownZone { typed, .. } => format!("unknown time zone `{typed}`"),
        Kind::DuplicateName { name, what } => format!("{what} `{name}` is there twice"),
        Kind::DanglingReference { what, name, .. } => format!("there is no {what} `{name}`"),
        Kind::WrongWord { what, typed, .. } => format!("`{typed}` is no word for {what}"),
        Kind::WrongShape { wanted, .. } => format!("{wanted} expected here"),
        Kind::WrongColumns { expected, found } => {
            format!("a row with {found} columns instead of {expected}")
        }
        Kind::MissingColumn { column, .. } => format!("the CSV has no column `{column}`"),
        Kind::BadCell { column, .. } => format!("a cell of column `{column}` cannot be read"),
        Kind::LeavesTheRecord { .. } => "this leads out of the record".into(),
        Kind::CommentCutsProse { .. } => "a `#` cuts this text short".into(),
        Kind::MissingPhoto { path, .. } => format!("photo `{path}` is not there"),
        Kind::UnreadablePhoto { path, .. } => format!("photo `{path}` cannot be read"),
        Kind::UnreadablePhotos { count, extension, .. } => {
            let photos = if *count == 1 { "photo" } else { "photos" };
            format!("{count} {photos} in .{extension} cannot be read and get a placeholder")
        }
        Kind::UnusedFile { path, .. } => format!("`{path}` is not used"),
        Kind::LooksMislabelled { quantity, .. } => format!("{quantity} looks as if its unit were another"),
        Kind::OutsideItsTime { what, event, .. } => format!("{what} read {event}"),
        Kind::ReadTwice { what, moment, .. } => format!("{what} of {moment} is written in two entries"),
        Kind::Disagreement { what, .. } => format!("{what}: stated and worked out do not agree"),
        Kind::ToldInTheOpen { what } => format!("{what} stands here in the open"),
        Kind::BadAddress { typed, .. } => format!("`{typed}` is not an address that can be published"),
        Kind::Contradiction { what, .. } | Kind::Implausible { what, .. } => what.clone(),
    }
}

pub fn label(kind: &Kind) -> String {
    match kind {
        Kind::BadYaml { message } => message.clone(),
        Kind::TabIndentation => "YAML is indented with spaces only".into(),
        Kind::UnreadableFile { why } => why.clone(),
        Kind::NotUtf8 => "the first bytes that are not UTF-8 are in this line".into(),
        Kind::EmptyFile => "nothing in it".into(),
        Kind::UnknownKey { nearest: Some(_), .. } => "not a key that means anything here".into(),
        Kind::UnknownKey { known, .. } => format!("known here: {}", list(known)),
        Kind::DuplicateKey { .. } => "only one of the two could count".into(),
        Kind::MissingKey { within, .. } => format!("{within} needs it"),
        Kind::MissingUnit { typed, .. } => format!("`{typed}` of what?"),
        Kind::UnknownUnit { .. } => "not a unit this program knows".into(),
        Kind::WrongDimension { wanted, got, .. } => format!("this is {got}; {wanted} is wanted"),
        Kind::AmbiguousSpecies { choices, .. } => {
            format!("{} are different amounts", choices.join(" and "))
        }
        Kind::DecimalComma { .. } => "a decimal comma and a thousands comma look alike".into(),
        Kind::NotANumber { typed, wanted } => format!("`{typed}` is not {wanted}"),
        Kind::OutOfRange { read_as, low, high, .. } => {
            format!("read as {read_as}; it is expected between {low} and {high}")
        }
        Kind::BadDate { typed } => format!("`{typed}`: dates are written year-month-day"),
        Kind::ImpossibleDate { why, .. } => why.clone(),
        Kind::FutureDate { as_of, .. } => format!("today is {as_of}"),
        Kind::BadTime { typed } => {
            format!("`{typed}`: times are written hour:minute, from 00:00 to 23:59")
        }
        Kind::UnknownZone { .. } => "zones are named by area and city".into(),
        Kind::DuplicateName { .. } => "this one is not used".into(),
        Kind::DanglingReference { nearest: Some(_), .. } => "no file or key of this name".into(),
        Kind::DanglingReference { known, .. } if known.is_empty() => "the record has none yet".into(),
        Kind::DanglingReference { known, .. } => format!("there are: {}", list(known)),
        Kind::WrongWord { allowed, .. } => format!("one of: {}", list(allowed)),
        Kind::WrongShape { got, .. } => format!("this is {got}"),
        Kind::WrongColumns { .. } => "a delimiter too many or too few".into(),
        Kind::MissingColumn { found, .. } => format!("its columns are: {}", list(found)),
        Kind::BadCell { typed, wanted, .. } => format!("`{typed}` is not {wanted}"),
        Kind::LeavesTheRecord { .. } => "only files inside the record are read".into(),
        Kind::CommentCutsProse { cut } => format!("YAML takes `{cut}` for a comment"),
        Kind::MissingPhoto { .. } => "a placeholder stands in for it".into(),
        Kind::UnreadablePhoto { why, .. } => why.clone(),
        Kind::UnreadablePhotos { .. } => String::new(),
        Kind::UnusedFile { why, .. } => why.clone(),
        Kind::LooksMislabelled { read_as, usual, would_be, suggestion, .. } => {
            format!("read as {read_as}, and its neighbours are about {usual}; `{suggestion}` would be {would_be}")
        }
        Kind::OutsideItsTime { on, .. } => format!("this entry is of {on}"),
        Kind::ReadTwice { value, .. } => format!("here it is {value}; both count"),
        Kind::Disagreement { stated, computed, difference, .. } => {
            format!("stated {stated}, worked out {computed}: a difference of {difference}")
        }
        Kind::ToldInTheOpen { .. } => "the journal publishes this".into(),
        Kind::Contradiction { why, .. } | Kind::Implausible { why, .. } | Kind::BadAddress { why, .. } => why.clone(),
    }
}

pub fn suggestion(kind: &Kind) -> Option<String> {
    match kind {
        Kind::TabIndentation => Some("two spaces for each level".into()),
        Kind::NotUtf8 => Some("saving the file again as UTF-8".into()),
        Kind::EmptyFile => Some("deleting it, or writing what belongs in it".into()),
        // Which of the two is never guessed.
        Kind::UnknownUnit { unit, .. } if unit == "°" => Some("`°C` or `°F`".into()),
        Kind::UnknownKey { nearest, .. } | Kind::UnknownUnit { nearest, .. } => quoted(nearest),
        Kind::UnknownZone { nearest: None, .. } => Some("`Europe/Lisbon` or another zone of the tz database".into()),
        Kind::UnknownZone { nearest, .. }
        | Kind::DanglingReference { nearest, .. }
        | Kind::WrongWord { nearest, .. }
        | Kind::MissingPhoto { nearest, .. } => quoted(nearest),
        Kind::DuplicateKey { .. } => Some("keeping one of them, or a list".into()),
        Kind::MissingKey { example, .. } | Kind::WrongDimension { example, .. } if !example.is_empty() => {
            Some(format!("`{example}`"))
        }
        Kind::MissingUnit { examples, .. } if !examples.is_empty() => Some(either(examples)),
        Kind::AmbiguousSpecies { choices, .. } => Some(either(choices)),
        Kind::DecimalComma { suggestion, .. } => Some(format!("`{suggestion}`")),
        Kind::OutOfRange { suggestion, .. } | Kind::BadAddress { suggestion, .. } => quoted(suggestion),
        Kind::BadDate { .. } => Some("`2026-10-03`, or `2026-10-03 21:10` with a time".into()),
        Kind::BadTime { .. } => Some("`21:10`".into()),
        Kind::CommentCutsProse { .. } => Some("quotes around the whole text".into()),
        Kind::OutsideItsTime { key, .. } => Some(format!("the right date, or another `{key}` in tank.yaml")),
        Kind::ReadTwice { .. } => Some("keeping one of them, or writing the time at which each was read".into()),
        Kind::Implausible { suggestion, .. } => Some(suggestion.clone()),
        Kind::ToldInTheOpen { .. } => Some("taking it out here, or no longer keeping it private there".into()),
        Kind::UnreadablePhotos { how, .. } => Some(how.clone()),
        Kind::Contradiction { suggestion, .. } => suggestion.clone(),
        _ => None,
    }
}

fn quoted(word: &Option<String>) -> Option<String> {
    word.as_ref().map(|word| format!("`{word}`"))
}

fn either(words: &[String]) -> String {
    words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(" or ")
}

fn list(words: &[String]) -> String {
    let shown = words.iter().take(LISTED).map(String::as_str).collect::<Vec<_>>().join(", ");
    if words.len() > LISTED { format!("{shown} and {} more", words.len() - LISTED) } else { shown }
}
