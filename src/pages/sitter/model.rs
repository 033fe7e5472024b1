//! The sitter's sheet. Sentences arrive as HTML, from the strings of the sheet's language; nothing is left to work out.

use std::collections::BTreeMap;

use serde::Serialize;

/// The whole sheet.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterSheet {
    /// Fixed wording by key, for headings and labels.
    pub words: BTreeMap<String, String>,
    /// Language of the wording: `en`.
    pub language: String,
    /// Name of the browser's tab.
    pub title: String,
    /// One sentence on what the sheet is.
    pub description: String,
    /// Name of the tank.
    pub tank: String,
    /// First and last day: `Fri 23 Oct to Sun 1 Nov 2026`.
    pub when: String,
    /// What is said of the private data on top.
    pub private_line: String,
    /// How old the record is.
    pub age: String,
    /// Whom to call, in order.
    pub calls: Vec<SitterCall>,
    /// Photos of normal.
    pub shots: Vec<SitterShot>,
    /// Range of the thermometer.
    pub temperature: String,
    /// Where the water stands.
    pub level: String,
    /// What is heard.
    pub sound: Option<String>,
    /// The lamp's hours, one line a lamp.
    pub lamps: Vec<SitterLamp>,
    /// What is done at each visit.
    pub ticks: Vec<SitterTick>,
    /// Heading of the thermometer's column.
    pub read_unit: String,
    /// The days that fit on the first page.
    pub days: Vec<SitterDay>,
    /// Where the other days stand.
    pub days_note: Option<String>,
    /// Heading of the other days.
    pub days_rest_head: String,
    /// The days that do not fit.
    pub days_rest: Vec<SitterDay>,
    /// What is fed when.
    pub feeding: String,
    /// What one portion is.
    pub portions: Vec<SitterPortion>,
    /// More about food.
    pub feeding_more: Vec<String>,
    /// What is said about topping up.
    pub topping: Vec<String>,
    /// What is never done.
    pub never: Vec<String>,
    /// The emergency block, ten lines.
    pub emergency: Vec<String>,
    /// What to do when it is not normal.
    pub cases: Vec<SitterCase>,
    /// Tank and cabinet from in front; empty when no place is known.
    pub plan: String,
    /// What the numbers on it are.
    pub places: Vec<SitterPlace>,
    /// What is longer than its place on the two pages.
    pub in_full: Vec<SitterNote>,
    /// What looks alarming but is normal.
    pub odd: Vec<SitterShot>,
    /// What the devices of the plan look like.
    pub looks: Vec<SitterShot>,
    /// Animals to count.
    pub animals: Vec<SitterShot>,
    /// Tasks in full.
    pub tasks: Vec<SitterTask>,
    /// Doses, one row a stock.
    pub doses: Vec<SitterDose>,
    /// One card a device.
    pub cards: Vec<SitterCard>,
    /// Until when the sheet holds.
    pub longer_note: String,
    /// What changes when the trip grows.
    pub longer: Vec<SitterLonger>,
    /// What happens when nobody can come.
    pub nobody: Vec<String>,
    /// Lines to fill in and send back.
    pub slip: Vec<SitterSlip>,
    /// What stands against leaving, blockers first.
    pub needs: Vec<SitterNeeds>,
    /// Heading of what is done before leaving.
    pub before_note: String,
    /// Tasks done before leaving.
    pub before: Vec<String>,
    /// Tasks that wait.
    pub waits: Vec<String>,
    /// Where the amounts come from.
    pub workings: Vec<SitterWorking>,
}

/// Somebody to call.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterCall {
    /// Rank: `Call first`.
    pub rank: String,
    /// Who.
    pub who: String,
    /// The number, or a blank to fill in.
    pub phone: String,
    /// What they are called for.
    pub about: Option<String>,
}

/// A photo with its caption, inside the file; or a caption alone.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterShot {
    /// The picture as a `data:` address; empty without one.
    pub picture: String,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// What is seen, for who cannot see it.
    pub alt: String,
    /// What stands beneath.
    pub caption: String,
}

/// A lamp's day.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterLamp {
    /// Its hours in words.
    pub text: String,
    /// The day as a bar.
    pub bar: String,
    /// What a change of the clocks does to it.
    pub clock: Option<String>,
}

/// One thing done at each visit.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterTick {
    /// What to do.
    pub text: String,
    /// What to beware of while doing it.
    pub care: Option<String>,
}

/// A row of the table of days.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterDay {
    /// The day: `Sat 24`.
    pub date: String,
    /// `visit`, `hand` (with the keeper) or `off`.
    pub kind: String,
    /// What is fed.
    pub food: String,
    /// How much water.
    pub water: String,
    /// What else.
    pub also: String,
}

/// What a portion of one food is.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterPortion {
    /// Spoons as a picture; empty where it is weighed.
    pub picture: String,
    /// The same in words.
    pub text: String,
}

/// What to do in one case.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterCase {
    /// What is seen.
    pub title: String,
    /// What to do, in order.
    pub steps: Vec<String>,
    /// A fact that helps to decide.
    pub facts: Vec<String>,
    /// When to call.
    pub stop: String,
    /// Heading of what is looked at afterwards.
    pub after_head: Option<String>,
    /// What is looked at afterwards.
    pub after: Vec<String>,
}

/// A numbered place of the plan.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterPlace {
    /// Its number.
    pub number: usize,
    /// What is there.
    pub text: String,
}

/// A task of the sitter.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterTask {
    /// What to do, in the keeper's words.
    pub what: String,
    /// Why, in the keeper's words.
    pub why: Option<String>,
    /// Step by step, in the keeper's words.
    pub how: Option<String>,
    /// A photo of it.
    pub shot: Option<SitterShot>,
    /// On which visits.
    pub dates: String,
}

/// One stock that is dosed.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterDose {
    /// The stock.
    pub what: String,
    /// How much each time, and by what.
    pub each: String,
    /// In the period.
    pub total: String,
    /// There on the first day.
    pub left: String,
    /// How long that lasts.
    pub lasts: String,
}

/// How one device is set.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterCard {
    /// Its name and number on the plan.
    pub name: String,
    /// Photo of it.
    pub shot: Option<SitterShot>,
    /// How it is set.
    pub settings: Vec<SitterRow>,
    /// What it forgets.
    pub forgets: Vec<SitterRow>,
    /// What to press.
    pub press: String,
}

/// A label and its value.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterRow {
    /// What it is.
    pub label: String,
    /// What stands there.
    pub value: String,
}

/// A label and all that is said under it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterNote {
    /// What it is.
    pub label: String,
    /// What stands there, each for itself.
    pub values: Vec<String>,
}

/// One way the trip may grow.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterLonger {
    /// By how much.
    pub head: String,
    /// What that changes.
    pub lines: Vec<String>,
}

/// A blank line of the return slip.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterSlip {
    /// What to write.
    pub label: String,
    /// How the keeper enters it.
    pub flag: String,
}

/// What is to be settled by one day before leaving.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterNeeds {
    /// `14 days before`.
    pub head: String,
    /// Whether nobody should leave before.
    pub blocker: bool,
    /// What, with its place in the record.
    pub lines: Vec<String>,
}

/// Where an amount comes from.
#[derive(Debug, Clone, Default, Serialize)]
pub struct SitterWorking {
    /// Which amount.
    pub what: String,
    /// Its value, with one standard uncertainty.
    pub value: String,
    /// The formula with its numbers.
    pub how: String,
    /// The lines of the record.
    pub from: String,
}
