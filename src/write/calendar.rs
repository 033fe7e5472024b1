//! iCalendar (RFC 5545): times in the tank's zone with the rules of that zone beside them, lines folded at 75 octets,
//! every event with an identity that stays when the file is written anew.

use std::fmt::Write;

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};

use crate::pages::sitter::calendar::{Calendar, CalendarEvent};

/// The calendar as the bytes of an `.ics` file.
pub fn to_ics(calendar: &Calendar) -> Vec<u8> {
    let mut ics = String::new();
    line(&mut ics, "BEGIN:VCALENDAR");
    line(&mut ics, "VERSION:2.0");
    line(&mut ics, "PRODID:-//polypary//sitter//EN");
    line(&mut ics, "CALSCALE:GREGORIAN");
    line(&mut ics, "METHOD:PUBLISH");
    line(&mut ics, &format!("X-WR-CALNAME:{}", text(&calendar.name)));
    let zone = calendar.zone.iana_name().unwrap_or("UTC").to_string();
    if let (Some(first), Some(last)) = (calendar.events.first(), calendar.events.last()) {
        timezone(&mut ics, &calendar.zone, &zone, first.start, last.start);
    }
    for event in &calendar.events {
        write_event(&mut ics, event, &zone, calendar.stamp);
    }
    line(&mut ics, "END:VCALENDAR");
    ics.into_bytes()
}

fn write_event(ics: &mut String, event: &CalendarEvent, zone: &str, stamp: Date) {
    line(ics, "BEGIN:VEVENT");
    let hash = blake3::hash(event.identity.as_bytes()).to_hex();
    line(ics, &format!("UID:{}@polypary.invalid", &hash[..32]));
    line(ics, &format!("DTSTAMP:{}T000000Z", compact(stamp)));
    line(ics, &format!("DTSTART;TZID={zone}:{}", moment(event.start)));
    let end = event.start.saturating_add(event.minutes.minutes());
    line(ics, &format!("DTEND;TZID={zone}:{}", moment(end)));
    line(ics, &format!("SUMMARY:{}", text(&event.summary)));
    if !event.lines.is_empty() {
        line(ics, &format!("DESCRIPTION:{}", text(&event.lines.join("\n"))));
    }
    // A calendar that is shared says that somebody is busy, not with what.
    line(ics, "CLASS:PRIVATE");
    if let Some(minutes) = event.alarm_minutes {
        line(ics, "BEGIN:VALARM");
        line(ics, "ACTION:DISPLAY");
        line(ics, &format!("TRIGGER:-PT{minutes}M"));
        line(ics, &format!("DESCRIPTION:{}", text(&event.summary)));
        line(ics, "END:VALARM");
    }
    line(ics, "END:VEVENT");
}

/// The rules of the zone around the events: one part for each stretch of one offset, from the one in force at the first
/// event on.
fn timezone(ics: &mut String, zone: &TimeZone, name: &str, first: DateTime, last: DateTime) {
    line(ics, "BEGIN:VTIMEZONE");
    line(ics, &format!("TZID:{name}"));
    let instant = |at: DateTime| zone.to_ambiguous_timestamp(at).compatible().unwrap_or(Timestamp::UNIX_EPOCH);
    let (start, end) = (instant(first.saturating_sub(2.days())), instant(last.saturating_add(2.days())));
    let mut changes: Vec<Timestamp> = zone.preceding(start).take(1).map(|change| change.timestamp()).collect();
    changes.extend(zone.following(start).map(|change| change.timestamp()).take_while(|change| *change <= end));
    if changes.is_empty() {
        let info = zone.to_offset_info(start);
        stretch(ics, info.dst().is_dst(), "19700101T000000", info.offset(), info.offset(), info.abbreviation());
    }
    for change in changes {
        let before = zone.to_offset(change.saturating_sub(1.second()).unwrap_or(change));
        let info = zone.to_offset_info(change);
        // The moment of change is told by the clock that was right until then.
        let onset = moment(before.to_datetime(change));
        stretch(ics, info.dst().is_dst(), &onset, before, info.offset(), info.abbreviation());
    }
    line(ics, "END:VTIMEZONE");
}

fn stretch(ics: &mut String, summer: bool, onset: &str, from: jiff::tz::Offset, to: jiff::tz::Offset, name: &str) {
    let kind = if summer { "DAYLIGHT" } else { "STANDARD" };
    line(ics, &format!("BEGIN:{kind}"));
    line(ics, &format!("DTSTART:{onset}"));
    line(ics, &format!("TZOFFSETFROM:{}", offset(from)));
    line(ics, &format!("TZOFFSETTO:{}", offset(to)));
    line(ics, &format!("TZNAME:{name}"));
    line(ics, &format!("END:{kind}"));
}

fn offset(offset: jiff::tz::Offset) -> String {
    let seconds = offset.seconds();
    let sign = if seconds < 0 { '-' } else { '+' };
    let seconds = seconds.abs();
    let mut text = format!("{sign}{:02}{:02}", seconds / 3600, seconds / 60 % 60);
    if seconds % 60 != 0 {
        let _ = write!(text, "{:02}", seconds % 60);
    }
    text
}

fn compact(date: Date) -> String {
    date.strftime("%Y%m%d").to_string()
}

fn moment(at: DateTime) -> String {
    at.strftime("%Y%m%dT%H%M%S").to_string()
}

/// RFC 5545, section 3.3.11.
fn text(text: &str) -> String {
    let text = text.replace('\\', "\\\\").replace(';', "\\;").replace(',', "\\,");
    text.replace("\r\n", "\\n").replace(['\n', '\r'], "\\n").chars().filter(|c| !c.is_control()).collect()
}

/// A content line, folded so that none is longer than 75 octets (section 3.1) and no character is cut.
fn line(ics: &mut String, content: &str) {
    let mut length = 0;
    for character in content.chars() {
        if length + character.len_utf8() > 75 {
            ics.push_str("\r\n ");
            length = 1;
        }
        ics.push(character);
        length += character.len_utf8();
    }
    ics.push_str("\r\n");
}
