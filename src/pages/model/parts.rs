//! What several pages share: a shown value, a figure that opens to its working, a photo, a chart, a caution, an entry.

use serde::Serialize;

pub use crate::cautions::Danger;

/// HTML or SVG that trusted code of this program made and escaped. Only these fields pass the templates unescaped.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Html(String);

impl Html {
    /// Takes markup as it is. Nothing typed by a keeper may get here without having been escaped.
    pub fn trusted(markup: impl Into<String>) -> Html {
        Html(markup.into())
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// How a number is known. The word always stands beside it, and a rule under the number says the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Basis {
    /// Read by the keeper or an instrument: a solid rule.
    Measured,
    /// Said by a maker or a giver: a double rule.
    Stated,
    /// Worked out from the record: a dotted rule.
    Computed,
    /// Taken for want of a reading: a dashed rule.
    Assumed,
}

/// A date as a machine and as a reader wants it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct DateText {
    /// `2026-10-11` or `2026-10-11T21:40`, for the `datetime` attribute.
    pub iso: String,
    /// `11 October 2026`.
    pub text: String,
}

/// A value as shown: number, spread and unit already formatted.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Shown {
    /// `114`, `below 0.02`, `2.4 to 7.9`.
    pub number: String,
    /// `± 2` or `(9 to 36)`.
    pub spread: Option<String>,
    /// `L`; empty when the value has none.
    pub unit: String,
    /// What the unit stands for where that helps: `grams of nitrate per litre`.
    pub unit_title: Option<String>,
    pub basis: Option<Basis>,
    /// Where the value's working stands.
    pub href: Option<String>,
}

impl Shown {
    pub fn new(number: impl Into<String>, unit: impl Into<String>, basis: Basis) -> Shown {
        Shown { number: number.into(), unit: unit.into(), basis: Some(basis), ..Shown::default() }
    }

    pub fn spread(mut self, spread: impl Into<String>) -> Shown {
        self.spread = Some(spread.into());
        self
    }

    pub fn linked(mut self, href: impl Into<String>) -> Shown {
        self.href = Some(href.into());
        self
    }
}

/// A piece of a sentence: plain text, a link, or a value with its rule. Exactly one of `text` and `value` is filled.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Run {
    pub text: String,
    pub href: Option<String>,
    pub value: Option<Shown>,
    /// Whether the text is set strong.
    pub strong: bool,
}

impl Run {
    pub fn text(text: impl Into<String>) -> Run {
        Run { text: text.into(), ..Run::default() }
    }

    pub fn strong(text: impl Into<String>) -> Run {
        Run { text: text.into(), strong: true, ..Run::default() }
    }

    pub fn link(text: impl Into<String>, href: impl Into<String>) -> Run {
        Run { text: text.into(), href: Some(href.into()), ..Run::default() }
    }

    pub fn value(value: Shown) -> Run {
        Run { value: Some(value), ..Run::default() }
    }
}

/// A label with what is known under it: one row of a definition list.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Fact {
    /// `Lamp`.
    pub label: String,
    /// What is said of it, as pieces of a sentence.
    pub runs: Vec<Run>,
    /// Further things of the same kind, each said for itself: the second dose, the third.
    pub more: Vec<Vec<Run>>,
    /// Word printed after the value in small: `measured, counted at fill`.
    pub basis_word: Option<String>,
}

impl Fact {
    pub fn new(label: impl Into<String>, runs: Vec<Run>) -> Fact {
        Fact { label: label.into(), runs, more: Vec::new(), basis_word: None }
    }

    /// Several things under one label; nothing when there are none.
    pub fn of_each(label: impl Into<String>, each: impl IntoIterator<Item = Vec<Run>>) -> Option<Fact> {
        let mut each = each.into_iter();
        let first = each.next()?;
        Some(Fact { more: each.collect(), ..Fact::new(label, first) })
    }
}

/// A link with its words; without `href` only the words are shown.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PlaceLink {
    /// `log/2026.yaml, line 611`.
    pub text: String,
    /// `source/log/2026.yaml.html#L611`.
    pub href: Option<String>,
}

impl PlaceLink {
    pub fn new(text: impl Into<String>, href: impl Into<String>) -> PlaceLink {
        PlaceLink { text: text.into(), href: Some(href.into()) }
    }

    pub fn plain(text: impl Into<String>) -> PlaceLink {
        PlaceLink { text: text.into(), href: None }
    }
}

/// A table of text. Wrapped so that it scrolls by itself on a narrow screen.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Table {
    pub caption: String,
    pub head: Vec<HeadCell>,
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A column in which nothing is said takes room from the others.
    pub fn without_empty_columns(mut self) -> Table {
        let is_told: Vec<bool> = (0..self.head.len())
            .map(|column| self.rows.iter().any(|row| row.get(column).is_some_and(|cell| !cell.text.is_empty())))
            .collect();
        let mut told = is_told.iter();
        self.head.retain(|_| *told.next().unwrap_or(&true));
        for row in &mut self.rows {
            let mut told = is_told.iter();
            row.retain(|_| *told.next().unwrap_or(&true));
        }
        self
    }
}

/// The head of one column.
#[derive(Debug, Clone, Default, Serialize)]
pub struct HeadCell {
    pub text: String,
    /// Numbers stand to the right.
    pub numeric: bool,
}

impl HeadCell {
    pub fn text(text: impl Into<String>) -> HeadCell {
        HeadCell { text: text.into(), numeric: false }
    }

    pub fn number(text: impl Into<String>) -> HeadCell {
        HeadCell { text: text.into(), numeric: true }
    }
}

/// One cell of a table.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Cell {
    pub text: String,
    pub href: Option<String>,
    pub numeric: bool,
    /// Whether the cell is the head of its row.
    pub header: bool,
    /// Kept on one line: dates and places.
    pub nowrap: bool,
    /// Draws the basis rule under the text.
    pub basis: Option<Basis>,
}

impl Cell {
    pub fn text(text: impl Into<String>) -> Cell {
        Cell { text: text.into(), ..Cell::default() }
    }

    pub fn number(text: impl Into<String>) -> Cell {
        Cell { text: text.into(), numeric: true, nowrap: true, ..Cell::default() }
    }

    pub fn header(text: impl Into<String>) -> Cell {
        Cell { text: text.into(), header: true, ..Cell::default() }
    }

    pub fn date(text: impl Into<String>) -> Cell {
        Cell { text: text.into(), nowrap: true, ..Cell::default() }
    }

    pub fn linked(mut self, href: impl Into<String>) -> Cell {
        self.href = Some(href.into());
        self
    }

    pub fn known(mut self, basis: Basis) -> Cell {
        self.basis = Some(basis);
        self
    }
}

/// A figure: one row that opens to its working.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FigureRow {
    /// Stable key: `water.net-volume`.
    pub key: String,
    /// Anchor on the page, the key with its dots as hyphens: `figure-water-net-volume`.
    pub id: String,
    /// The whole address of its place, where the journal has one, to be copied.
    pub address: Option<String>,
    /// `Net water volume`.
    pub label: String,
    /// Missing when the record does not hold enough; then `missing` says what to record.
    pub value: Option<Shown>,
    /// `measured`, or with a remark: `measured, counted at fill`.
    pub basis_word: String,
    /// The formula in words or symbols, as plain text.
    pub formula: Option<String>,
    /// The formula with the numbers put in.
    pub numbers: Option<String>,
    pub inputs: Vec<InputRow>,
    /// Inputs that workings further up list already.
    pub others: Vec<OtherInputs>,
    /// Why the shares of the inputs do not add up to 100 %, where they do not.
    pub shares_note: Option<String>,
    /// Sentences on the uncertainty, the interval and what it rests on.
    pub how_sure: Vec<String>,
    /// Where the formula was published.
    pub sources: Vec<PlaceLink>,
    /// What the figure leaves out or where it stops being valid.
    pub notes: Vec<String>,
    /// Why there is no value and what would give one.
    pub missing: Option<Missing>,
    /// Whether the row starts opened.
    pub open: bool,
}

/// One input of a figure.
#[derive(Debug, Clone, Default, Serialize)]
pub struct InputRow {
    /// `Reading, 15 August`.
    pub label: String,
    pub value: Shown,
    /// `measured`.
    pub basis_word: String,
    /// Share of the figure's variance: `5 %`.
    pub share: Option<String>,
    /// Where it was written, or the figure it comes from.
    pub place: PlaceLink,
}

/// Inputs that a working does not list again.
#[derive(Debug, Clone, Default, Serialize)]
pub struct OtherInputs {
    /// `14 more inputs, none of which weighs 1 %, are the same as under`.
    pub words: String,
    pub figure: PlaceLink,
}

/// Why a figure is missing and what to record to get it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Missing {
    pub why: String,
    /// `write a flow-test of the pump in an entry`.
    pub record: Vec<String>,
}

/// One width of a published photo.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Variant {
    /// `photos/2026-10-10-front-800.jpg`.
    pub path: String,
    pub width: u32,
    pub height: u32,
}

/// A photograph with what stands under it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Photo {
    /// What the picture shows, for those who cannot see it. Empty when the caption beside it says it all.
    pub alt: String,
    /// The sentence under it; empty for none.
    pub caption: String,
    /// `Plate 1`; set by the page that shows it.
    pub plate: Option<String>,
    pub date: Option<DateText>,
    /// State of the lamp: `lamp at full level`.
    pub lamp: Option<String>,
    /// Size of what it shows.
    pub size: Option<Shown>,
    /// `77 days later`, in rows of the same view.
    pub days_between: Option<String>,
    /// Every published width, smallest first. Empty when the photo is missing.
    pub variants: Vec<Variant>,
    /// The variant browsers without `srcset` take.
    pub path: String,
    /// Size of that variant.
    pub width: u32,
    pub height: u32,
    /// Where the picture leads when chosen.
    pub href: Option<String>,
    /// The file could not be read; a placeholder says so.
    pub missing: bool,
}

/// A row of photos of one subject, in order of date.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PhotoSeries {
    /// `From the front`.
    pub title: String,
    /// What may mislead the eye between them.
    pub note: String,
    /// How many photos there are to step through; none where they are too few for that.
    pub steps: Option<u32>,
    pub photos: Vec<Photo>,
}

/// A chart with everything that belongs to it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ChartBlock {
    /// Anchor on the page: `chart-nitrate`.
    pub id: String,
    /// `Figure 1`; empty for none.
    pub number: String,
    pub title: String,
    /// The SVG for wide places, 940 units across, with its own title and description.
    pub wide: Html,
    /// The SVG for narrow places, 340 units across.
    pub narrow: Html,
    /// What the chart shows, in words; stands under it.
    pub sentence: String,
    /// How to read its marks, in small.
    pub key: String,
    /// What the numbers table is called while folded: `The 42 readings as a table`.
    pub table_summary: String,
    pub table: Table,
    /// What changed, numbered as in the lanes of the chart.
    pub changes: Vec<Change>,
    /// What the list of changes is called while folded: `The 40 changes by number`; empty where it is short and stands open.
    pub changes_summary: String,
}

/// One change, numbered by date in the lanes under a chart and in the list below it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Change {
    pub number: u32,
    pub date: DateText,
    /// `lamp`, `flow`, `dose`, `food`, `arrivals`, `losses` or `work`.
    pub lane: String,
    pub text: String,
    /// The entry that says so.
    pub href: Option<String>,
}

/// A safety note.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CautionBlock {
    /// Stable key, for `acknowledged` and for links: `floor-load`.
    pub key: String,
    /// `caution-floor-load`.
    pub id: String,
    /// Class of the block: people, animals or check.
    pub class: Danger,
    /// [`Danger::words`].
    pub severity_word: String,
    pub title: String,
    /// What it is about, a paragraph each.
    pub text: Vec<String>,
    /// What to do, in order.
    pub steps: Vec<String>,
    /// What in the record raised it.
    pub why: Vec<PlaceLink>,
    /// Whom it defers to: `The rules of your place and a licensed electrician come first.`
    pub defer: Option<String>,
    pub sources: Vec<PlaceLink>,
    /// The keeper has read it and says why it stands.
    pub acknowledged: Option<Acknowledged>,
    /// The page that tells more.
    pub href: Option<String>,
}

/// A caution the keeper has answered.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Acknowledged {
    pub on: DateText,
    pub reason: String,
}

/// An entry in short, wherever entries are listed.
#[derive(Debug, Clone, Default, Serialize)]
pub struct EntryCard {
    pub date: DateText,
    /// `21:10`.
    pub time: Option<String>,
    pub href: String,
    /// What happened, in a few words.
    pub heading: String,
    /// The note, shortened or whole, as plain text.
    pub text: String,
    /// Readings and amounts.
    pub facts: Vec<Fact>,
    pub photo: Option<Photo>,
    /// `nothing to report`: a look without a change, which is not the same as no entry.
    pub quiet: bool,
}

/// A question an entry left open.
#[derive(Debug, Clone, Default, Serialize)]
pub struct QuestionRow {
    pub id: String,
    pub question: String,
    pub asked: DateText,
    /// The entry that asked.
    pub asked_href: Option<String>,
    pub look_again: DateText,
    /// `13 days from now`, `was due a day ago`.
    pub when: String,
    pub overdue: bool,
    pub answer: Option<Answer>,
}

/// The answer a later entry gave.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Answer {
    pub text: String,
    pub on: DateText,
    pub href: Option<String>,
}

/// A trend in words.
#[derive(Debug, Clone, Default, Serialize)]
pub struct TrendText {
    /// `rose by 0.27 mg/L a week, more than the card's error`, `cannot be told from no change`.
    pub sentence: String,
    /// The window it was worked over: `60 days to 10 October 2026, 11 readings`.
    pub window: String,
    /// `Test again on 7 November 2026 to see a change of 0.4 mg/L.`
    pub test_again: Option<String>,
    /// The slope's figure row on this page.
    pub href: Option<String>,
}

/// Something lost or gone wrong, with the cause as told and how sure it is.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LossRow {
    pub date: DateText,
    pub what: Vec<Run>,
    /// `colony lost`, `power cut`.
    pub kind: String,
    /// `salt spray`, `not known`; `in the entry` of what an entry tells.
    pub cause: String,
    /// `known`, `likely`, `unknown`.
    pub grade: String,
}

/// Something that happened at a date, in a list by date.
#[derive(Debug, Clone, Default, Serialize)]
pub struct DatedText {
    pub date: DateText,
    pub text: String,
    pub href: Option<String>,
}
