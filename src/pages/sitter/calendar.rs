//! Events for a calendar, in the tank's own zone.

use jiff::civil::{Date, DateTime};

/// A calendar of events.
#[derive(Debug, Clone)]
pub struct Calendar {
    /// Its name.
    pub name: String,
    /// The zone that every time is in.
    pub zone: jiff::tz::TimeZone,
    /// The day at which the record stands: when the events were last right.
    pub stamp: Date,
    /// By time.
    pub events: Vec<CalendarEvent>,
}

/// One event.
#[derive(Debug, Clone)]
pub struct CalendarEvent {
    /// What makes it this event and no other: the same for every sheet made of one period.
    pub identity: String,
    /// Wall clock of the calendar's zone.
    pub start: DateTime,
    /// How long it takes.
    pub minutes: i64,
    /// What it is.
    pub summary: String,
    /// What to do, line by line.
    pub lines: Vec<String>,
    /// Minutes before its start at which it calls.
    pub alarm_minutes: Option<i64>,
}
