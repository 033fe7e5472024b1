//! Colonies: the list, and the life history of each.

use serde::Serialize;

use super::parts::*;

/// `colony/index.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ColoniesPage {
    pub standfirst: String,
    /// Living colonies by group.
    pub groups: Vec<ColonyGroup>,
    /// Lost, given away, removed: kept, with the cause.
    pub ended: Vec<EndedRow>,
    /// Survival by source and year.
    pub survival: Option<Table>,
    /// Families over time.
    pub lineage: Option<ChartBlock>,
    /// The same as a nested list, a tree for each family.
    pub lineages: Vec<LineageNode>,
    /// Where there are too many to draw at once: each family folded.
    pub families: Vec<FamilyBlock>,
    pub cautions: Vec<CautionBlock>,
}

/// A family of colonies, folded.
#[derive(Debug, Clone, Default, Serialize)]
pub struct FamilyBlock {
    /// `Finger leather: 34 colonies, 12 alive and here, since 8 January 2011`.
    pub summary: String,
    pub chart: ChartBlock,
    pub list: Vec<LineageNode>,
}

/// Colonies of one kind.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ColonyGroup {
    /// `Leather corals`.
    pub title: String,
    /// How many they are.
    pub count: String,
    pub colonies: Vec<ColonyCard>,
    /// Those without a photo.
    pub unpictured: Vec<ColonyCard>,
}

/// A colony in a row of plates.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ColonyCard {
    pub name: String,
    pub href: String,
    pub photo: Option<Photo>,
    /// `2`, the plate's number on this page; empty for none.
    pub plate: String,
    /// `since January 2025`.
    pub since: String,
    /// Latest size.
    pub size: Option<Shown>,
    /// `hardly grown`, `in the jar tank`.
    pub remark: String,
}

/// A colony that is no longer here.
#[derive(Debug, Clone, Default, Serialize)]
pub struct EndedRow {
    pub colony: PlaceLink,
    pub date: DateText,
    /// `lost`, `given away`, `removed`, `cut up`.
    pub how: String,
    pub cause: String,
    /// `known`, `likely`, `unknown`.
    pub grade: String,
}

/// `colony/NAME.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ColonyPage {
    pub name: String,
    pub standfirst: String,
    /// Where it came from, where it lived, and what became of it, in sentences.
    pub in_short: String,
    pub photo: Option<Photo>,
    /// The random string that outlives tanks: `pp-k7q2m9xd41`.
    pub identity: String,
    /// `Leather coral`.
    pub group: String,
    pub claims: Vec<Claim>,
    /// Where it came from, when, its papers, quarantine and dips; `not known` for every empty item.
    pub origin: Vec<Fact>,
    pub ended: Option<EndedRow>,
    /// Rows of photos, one a view.
    pub series: Vec<PhotoSeries>,
    pub growth: Option<ChartBlock>,
    pub sizes: Option<Table>,
    /// Its kin's growth beside its own.
    pub siblings: Option<Table>,
    pub lineage_chart: Option<ChartBlock>,
    /// The whole family, from the first of its line.
    pub lineage: Vec<LineageNode>,
    pub lineage_note: String,
    /// Where it has lived, newest first.
    pub placements: Vec<PlacementRow>,
    pub light_chart: Option<ChartBlock>,
    pub needs: Vec<NeedRow>,
    pub events: Vec<DatedText>,
    /// The keeper's words on it, plain text, a paragraph each.
    pub story: Vec<String>,
    /// Six weeks before something happened to it.
    pub before: Vec<ChangesBefore>,
    pub figures: Vec<FigureRow>,
    pub cautions: Vec<CautionBlock>,
    /// The card for whoever gets a fragment of it.
    pub card: Option<PlaceLink>,
    pub source: Option<PlaceLink>,
}

/// A name somebody gave it.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Claim {
    /// `Called`, `Thought to be`.
    pub kind: String,
    pub text: String,
    /// Whether the text is a scientific name, set in italics.
    pub scientific: bool,
    /// `by the giver, 2025, likely`.
    pub by: String,
}

/// A colony of a lineage. Its daughters follow it, each with what came of her: a list, since families run deeper than
/// templates nest.
#[derive(Debug, Clone, Default, Serialize)]
pub struct LineageNode {
    pub colony: PlaceLink,
    /// Whether the page is about this one.
    pub here: bool,
    /// Cut or budded, or arrived where that is not known.
    pub on: DateText,
    /// `witnessed-cut`, `givers-record`, `givers-statement`, `sellers-statement`, `name-only`, `unknown`; the class.
    /// Empty for the first of a line.
    pub grade: String,
    /// `cut here, witnessed`.
    pub grade_word: String,
    /// What became of it: `alive in the jar tank`.
    pub fate: String,
    /// Generations from the first of the line, which is 1.
    pub generation: u32,
    /// The same, no deeper than lists are set in: the class `g13`.
    pub indent: u32,
}

/// A place it lived in.
#[derive(Debug, Clone, Default, Serialize)]
pub struct PlacementRow {
    pub since: DateText,
    pub until: String,
    pub tank: PlaceLink,
    pub place: String,
    /// `24 cm`.
    pub depth: String,
    pub light: Option<Shown>,
    pub flow: String,
}

/// What it wants beside what it gets today.
#[derive(Debug, Clone, Default, Serialize)]
pub struct NeedRow {
    pub need: String,
    pub wanted: String,
    pub today: Option<Shown>,
    /// `inside`, `below`, `above`, `too close to tell`, `not known`.
    pub verdict: String,
}

/// Everything that changed in the weeks before an event.
#[derive(Debug, Clone, Default, Serialize)]
pub struct ChangesBefore {
    /// `The six weeks before 14 June 2025, shedding`.
    pub title: String,
    /// What stood out, the most unusual first.
    pub unusual: Option<Table>,
    /// How the ranking was made, and how much of it chance would bring.
    pub standing: String,
    pub changes: Vec<Change>,
    /// What a long list of changes is called while folded; empty where it is short and stands open.
    pub changes_summary: String,
    /// `Standing next to something is not causing it.`
    pub note: String,
}
