//! The front page: what it is, how it is in one sentence, and the ways in.

use serde::Serialize;

use super::colony::ColonyCard;
use super::parts::*;
use super::water::Multiple;

/// `index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FrontPage {
    pub name: String,
    /// What the tank is, in one or two sentences.
    pub standfirst: String,
    /// How it is, in one sentence with links.
    pub now: Vec<Run>,
    /// The rest of the answer in ten seconds: what is new, what went wrong, what was promised.
    pub in_short: Vec<Fact>,
    pub hero: Option<Photo>,
    /// What viewers ask first: lamp, light, who lives there, size and water, pumps, nutrients, age, cost.
    pub glance: Vec<Fact>,
    /// What they ask next: the question, and its answer in a sentence with links.
    pub asked: Vec<Fact>,
    /// What is shaded and over how long, for the water's small charts.
    pub water_note: String,
    /// `Of eight quantities kept in a band, one is below it and seven are inside.`
    pub water_lead: Vec<Run>,
    /// In order: outside, too close to tell, inside, not banded; empty groups left out.
    pub water_groups: Vec<WaterGroup>,
    pub water_href: String,
    /// `Last entry 10 October. Quiet since then means nobody has written.`
    pub entries_note: String,
    pub entries: Vec<EntryCard>,
    pub log_href: String,
    /// Lanes of the last weeks.
    pub changes: Option<ChartBlock>,
    pub losses_note: String,
    /// The newest of them.
    pub losses: Vec<LossRow>,
    /// Where the others stand, where there are more.
    pub losses_rest: Option<PlaceLink>,
    pub questions: Vec<QuestionRow>,
    /// How all promises stand, with the page that lists them; none where nothing was ever asked.
    pub promises: Option<PlaceLink>,
    /// Years in review and dates side by side.
    pub back_href: String,
    pub cautions_note: String,
    /// At most three, gravest first.
    pub cautions: Vec<CautionBlock>,
    /// The other titles, folded into one line.
    pub cautions_rest: Vec<PlaceLink>,
    /// `Six more that hold for this tank`.
    pub cautions_rest_summary: String,
    pub cautions_href: String,
    pub colonies_note: String,
    pub colonies: Vec<ColonyCard>,
    pub colonies_href: String,
    /// Story chapters, newest first.
    pub chapters: Vec<super::story::ChapterCard>,
    pub story_href: Option<String>,
    /// Other tanks of the record.
    pub other_tanks: Vec<super::tanks::TankCard>,
}

/// Small charts that stand together because their latest values do.
#[derive(Debug, Clone, Default, Serialize)]
pub struct WaterGroup {
    /// `outside`, `close`, `inside` or `unbanded`; the class of the group.
    pub key: String,
    /// `Outside its band`.
    pub title: String,
    pub multiples: Vec<Multiple>,
}
