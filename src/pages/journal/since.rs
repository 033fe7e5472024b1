//! What became of the tank after a date that a chapter or a video stands at.

use jiff::civil::Date;

use super::view::*;
use crate::pages::model::*;
use crate::record::colony::{CauseGrade, EndKind};

/// What happened at the tank after a date, oldest first: events, and questions that were answered.
pub fn happened(view: &View, date: Date) -> Vec<DatedText> {
    let mut found = Vec::new();
    for (index, entry) in view.tank.entries.iter().enumerate().filter(|(_, entry)| entry.date() > date) {
        let mut tell = |text: String| {
            found.push(DatedText { date: date_text(entry.date()), text, href: Some(view.entry_href(index)) });
        };
        if let Some(event) = &entry.event {
            tell(sentence_case(&event.what.value));
        }
        if let Some(answer) = &entry.answer {
            let asked = view.tank.question_of(answer).map_or(answer.to.value.as_str(), |ask| ask.what.value.as_str());
            let asked = asked.trim();
            let stop = if asked.ends_with(['?', '.', '!', ':']) { "" } else { ":" };
            tell(format!("{asked}{stop} {}", answer.say));
        }
    }
    found
}

/// Colonies that stood in the tank to their end and were there on a date, and devices that were taken out of service, oldest first.
pub fn losses(view: &View, date: Date) -> Vec<DatedText> {
    let mut found = Vec::new();
    for colony in view.record.colonies.values() {
        let ended = colony.ended_in(&view.tank.key);
        if let Some(ended) = ended.filter(|ended| ended.on > date && colony.arrived.value <= date) {
            let cause = match (&ended.cause, ended.how, ended.grade) {
                (None, _, _) => String::new(),
                // Only of a loss is it a question how sure the cause is.
                (Some(cause), EndKind::Lost, CauseGrade::Unknown) => format!(", perhaps {cause}"),
                (Some(cause), EndKind::Lost, grade) => format!(", {cause} ({})", grade.word()),
                (Some(cause), _, _) => format!(", {cause}"),
            };
            found.push(DatedText {
                date: date_text(ended.on),
                text: format!("{}: {}{cause}", colony.name.value, ended.how.word().replace('-', " ")),
                href: Some(super::colony::href(&colony.key)),
            });
        }
    }
    for device in view.tank.devices.values().filter(|device| device.in_service.value <= date) {
        if let Some(end) = device.out_of_service.as_ref().filter(|end| end.value > date) {
            found.push(DatedText {
                date: date_text(end.value),
                text: format!("{}: taken out of service", device.name.value),
                href: Some(super::gear::device_href(view, &device.key)),
            });
        }
    }
    found.sort_by(|a, b| (&a.date.iso, &a.text).cmp(&(&b.date.iso, &b.text)));
    found
}

/// What the keeper put right after a date.
pub fn corrections(view: &View, date: Date) -> Vec<DatedText> {
    let later = view.tank.entries.iter().enumerate().filter(|(_, entry)| entry.date() > date);
    later
        .filter_map(|(index, entry)| {
            let correction = entry.correction.as_ref()?;
            Some(DatedText {
                date: date_text(entry.date()),
                text: correction.value.clone(),
                href: Some(view.entry_href(index)),
            })
        })
        .collect()
}
