//! The calendar, read by a reader written for this test from RFC 5545 alone: unfolding, parameters, zones.

use std::collections::BTreeMap;
use std::fs;

use jiff::civil::{DateTime, date};
use polypary::figures::stay::Period;

use super::{PERIOD, TODAY, put, traps, wanted, write};

/// A content line: name, parameters, value.
struct Line {
    name: String,
    parameters: BTreeMap<String, String>,
    value: String,
}

/// Section 3.1: a line break before a blank is no line break.
fn lines(ics: &str) -> Vec<Line> {
    assert!(ics.ends_with("\r\n"));
    for raw in ics.split("\r\n") {
        assert!(raw.len() <= 75, "{} octets: {raw}", raw.len());
        assert!(!raw.contains('\n') && !raw.contains('\r'));
    }
    ics.replace("\r\n ", "")
        .split("\r\n")
        .filter(|line| !line.is_empty())
        .map(|line| {
            let (head, value) = line.split_once(':').expect("a colon");
            let mut parts = head.split(';');
            Line {
                name: parts.next().unwrap().to_string(),
                parameters: parts
                    .map(|part| part.split_once('=').unwrap())
                    .map(|(k, v)| (k.into(), v.into()))
                    .collect(),
                value: value.to_string(),
            }
        })
        .collect()
}

/// One event, with its own lines and those of its alarm apart.
#[derive(Default)]
struct Event {
    own: BTreeMap<String, String>,
    zone: String,
    alarm: BTreeMap<String, String>,
}

fn events(ics: &str) -> Vec<Event> {
    let mut found = Vec::new();
    let mut event: Option<Event> = None;
    let mut in_alarm = false;
    for line in lines(ics) {
        match (line.name.as_str(), line.value.as_str()) {
            ("BEGIN", "VEVENT") => event = Some(Event::default()),
            ("END", "VEVENT") => found.push(event.take().unwrap()),
            ("BEGIN", "VALARM") => in_alarm = true,
            ("END", "VALARM") => in_alarm = false,
            _ => {
                let Some(event) = &mut event else { continue };
                if let Some(zone) = line.parameters.get("TZID") {
                    event.zone = zone.clone();
                }
                let into = if in_alarm { &mut event.alarm } else { &mut event.own };
                assert!(into.insert(line.name.clone(), line.value).is_none(), "{} twice", line.name);
            }
        }
    }
    found
}

fn moment(typed: &str) -> DateTime {
    DateTime::strptime("%Y%m%dT%H%M%S", typed).unwrap()
}

#[test]
fn tasks_stand_on_their_days_and_keep_their_hour_when_the_clocks_change() {
    let folder = traps();
    let ics = fs::read_to_string(write(folder.path(), &wanted(PERIOD)).calendar).unwrap();
    let events = events(&ics);
    let on = |summary: &str| -> Vec<String> {
        let events = events.iter().filter(|event| event.own["SUMMARY"] == summary);
        events.map(|event| event.own["DTSTART"].clone()).collect()
    };
    // Every second day from the 23rd at 18:30, before and after 25 October alike.
    let visits = ["20261023T183000", "20261025T183000", "20261027T183000", "20261029T183000", "20261031T183000"];
    assert_eq!(on("Tank visit"), visits);
    assert_eq!(on("Tank: change the filter sock"), ["20261029T183000"]);
    // Every fourth day after the 22nd: due on the 26th, done at the visit before, then on the 29th.
    assert_eq!(on("Tank: wipe the glass"), ["20261025T183000", "20261029T183000"]);
    assert_eq!(on("Tank: visit together with the keeper"), ["20261022T183000"]);
    assert_eq!(on("Tank: hand over to the keeper"), ["20261102T183000"]);
    for event in &events {
        assert_eq!(event.zone, "Europe/Lisbon");
        assert_eq!(event.own["DTSTAMP"], format!("{}T000000Z", TODAY.strftime("%Y%m%d")));
        assert!(moment(&event.own["DTEND"]) > moment(&event.own["DTSTART"]));
        assert_eq!(event.alarm["ACTION"], "DISPLAY");
        assert!(event.alarm.contains_key("TRIGGER") && event.alarm.contains_key("DESCRIPTION"));
    }
    let clocks: Vec<&Event> = events
        .iter()
        .filter(|event| event.own.get("DESCRIPTION").is_some_and(|text| text.contains("clocks go back")))
        .collect();
    assert_eq!(clocks.len(), 1);
    assert!(clocks[0].own["DTSTART"].starts_with("20261025"));
}

/// In Portugal summer time ended on 25 October 2026 at 02:00 (01:00 UTC), after it had begun on 29 March at 01:00
/// (Directive 2000/84/EC: the last Sundays of March and October, 01:00 UTC).
#[test]
fn the_zone_comes_with_its_rules() {
    let folder = traps();
    let ics = fs::read_to_string(write(folder.path(), &wanted(PERIOD)).calendar).unwrap();
    let zone: Vec<String> = ics
        .split("\r\n")
        .skip_while(|line| *line != "BEGIN:VTIMEZONE")
        .take_while(|line| *line != "END:VTIMEZONE")
        .map(str::to_string)
        .collect();
    assert_eq!(
        zone,
        [
            "BEGIN:VTIMEZONE",
            "TZID:Europe/Lisbon",
            "BEGIN:DAYLIGHT",
            "DTSTART:20260329T010000",
            "TZOFFSETFROM:+0000",
            "TZOFFSETTO:+0100",
            "TZNAME:WEST",
            "END:DAYLIGHT",
            "BEGIN:STANDARD",
            "DTSTART:20261025T020000",
            "TZOFFSETFROM:+0100",
            "TZOFFSETTO:+0000",
            "TZNAME:WET",
            "END:STANDARD",
        ]
    );
}

/// Spring in New York: clocks went forward on 8 March 2026 at 02:00 (Energy Policy Act of 2005: second Sunday of March).
#[test]
fn a_zone_of_the_west_in_spring() {
    let folder = traps();
    let tank = fs::read_to_string(folder.path().join("tank.yaml")).unwrap();
    put(folder.path(), "tank.yaml", tank.replace("Europe/Lisbon", "America/New_York"));
    let period = Period { from: date(2027, 3, 10), to: date(2027, 3, 19) };
    let ics = fs::read_to_string(write(folder.path(), &wanted(period)).calendar).unwrap();
    // 14 March 2027 is the second Sunday.
    assert!(
        ics.contains("BEGIN:DAYLIGHT\r\nDTSTART:20270314T020000\r\nTZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400\r\n"),
        "{ics}"
    );
    assert!(
        ics.contains("BEGIN:STANDARD\r\nDTSTART:20261101T020000\r\nTZOFFSETFROM:-0400\r\nTZOFFSETTO:-0500\r\n"),
        "{ics}"
    );
}

#[test]
fn an_event_keeps_its_identity_and_shares_it_with_none() {
    let folder = traps();
    let identities = |ics: &str| events(ics).iter().map(|event| event.own["UID"].clone()).collect::<Vec<_>>();
    let first = identities(&fs::read_to_string(write(folder.path(), &wanted(PERIOD)).calendar).unwrap());
    let mut sorted = first.clone();
    sorted.sort();
    sorted.dedup();
    assert_eq!(sorted.len(), first.len());
    // Another word in the record, the same visits.
    put(folder.path(), "log/later.yaml", "2026-10-17 20:00:\n  note: another line\n");
    let again = identities(&fs::read_to_string(write(folder.path(), &wanted(PERIOD)).calendar).unwrap());
    assert_eq!(again, first);
}

#[test]
fn text_is_escaped_and_folded_between_characters() {
    let folder = traps();
    let sitter = fs::read_to_string(folder.path().join("upkeep/sitter.yaml")).unwrap();
    let what = "\"wipe; the glass, all four panes, \\\\ with the ñandú’s soft cloth and nothing else at all äöü\"";
    put(folder.path(), "upkeep/sitter.yaml", sitter.replace("wipe the glass", what));
    let ics = fs::read_to_string(write(folder.path(), &wanted(PERIOD)).calendar).unwrap();
    let glass = events(&ics).into_iter().find(|event| event.own["SUMMARY"].contains("glass")).unwrap();
    let wanted =
        "Tank: wipe\\; the glass\\, all four panes\\, \\\\ with the ñandú’s soft cloth and nothing else at all äöü";
    assert_eq!(glass.own["SUMMARY"], wanted);
}
