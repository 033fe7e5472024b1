//! The front page: what it is, how it is in one sentence, and the ways in.

use jiff::ToSpan;

use super::view::*;
use super::water;
use crate::figures::water::{Standing, WaterState};
use crate::pages::chart;
use crate::pages::model::front::*;
use crate::pages::model::*;
use crate::record::Lane;

/// Weeks of changes shown on the front page.
const CHANGE_WEEKS: i64 = 12;

/// So many losses and faults stand on the front page; the log has them all.
const LOSSES: usize = 12;

pub fn page(view: &View, others: &[View]) -> Page {
    let tank = view.tank;
    let as_of = view.record.as_of;
    let states: Vec<&WaterState> = view.of.water.values().filter(|state| state.parameter.is_of_the_water()).collect();
    let count = tank.entries.len();
    let open: Vec<CautionBlock> = view
        .cautions
        .iter()
        .filter(|caution| caution.acknowledged.is_none() && caution.tanks.contains(&tank.key))
        .map(|caution| view.caution(caution))
        .collect();
    let rest: Vec<PlaceLink> = open
        .iter()
        .skip(3)
        .map(|block| PlaceLink::new(block.title.clone(), format!("cautions.html#{}", block.id)))
        .collect();
    let losses = super::log::losses(view);
    let newest = tank.entries.last();
    let is_main = view.prefix.is_empty();
    let body = FrontPage {
        name: tank.name.value.clone(),
        standfirst: tank.about.clone().unwrap_or_default(),
        now: now(view, &states, &open),
        in_short: in_short(view),
        hero: hero(view),
        glance: super::asked::glance(view),
        asked: super::asked::rest(view),
        water_note: "Shaded: the band the keeper wants. Bars: two standard uncertainties of the kit. Last four months."
            .into(),
        water_lead: water::lead(&states),
        water_groups: water::groups(view, &states),
        water_href: view.href("water/index.html"),
        entries_note: newest.map_or("No entry yet.".into(), |entry| {
            format!(
                "Last entry {}. Silence since then means that nobody has written, not that nothing happened.",
                entry.when.strftime("%-d %B")
            )
        }),
        entries: (0..count).rev().take(4).map(|index| view.entry_card(index)).collect(),
        log_href: view.href("log/index.html"),
        changes: changes_block(view),
        losses_note: "Kept, with the cause and how sure it is.".into(),
        losses_rest: losses.len().checked_sub(LOSSES + 1).map(|more| {
            let words =
                water::counted(more + 1, "earlier loss or fault in the log", "earlier losses and faults in the log");
            PlaceLink::new(sentence_case(&words), view.href("log/index.html#wrong-h"))
        }),
        losses: losses.into_iter().take(LOSSES).collect(),
        questions: super::log::questions(view).into_iter().filter(|question| question.answer.is_none()).collect(),
        promises: super::promises::summary(view)
            .map(|summary| PlaceLink::new(summary.trim_end_matches('.'), super::promises::href(view))),
        back_href: super::back::href(view),
        cautions_note: "What stands out for this tank. The rest stand beside the work they belong to.".into(),
        cautions_rest_summary: if rest.is_empty() {
            String::new()
        } else {
            sentence_case(&water::counted(rest.len(), "more that holds for this tank", "more that hold for this tank"))
        },
        cautions_rest: rest,
        cautions: open.into_iter().take(3).collect(),
        cautions_href: "cautions.html".into(),
        colonies_note: String::new(),
        colonies: view.record.colonies_in(&tank.key, as_of).map(|colony| super::colony::card(view, colony)).collect(),
        colonies_href: "colony/index.html".into(),
        chapters: if is_main {
            view.record.chapters.iter().rev().map(|chapter| super::story::chapter_card(view, chapter)).collect()
        } else {
            Vec::new()
        },
        story_href: (is_main && !view.record.chapters.is_empty()).then(|| "story/index.html".into()),
        other_tanks: others
            .iter()
            .filter(|other| other.tank.key != tank.key)
            .map(super::reference::tank_card)
            .collect(),
    };
    let description =
        format!("{}: how it is doing, what changed, what went wrong and what is still open.", tank.name.value);
    Page::new(view.href("index.html"), "front", tank.name.value.clone(), description, PageBody::Front(Box::new(body)))
}

/// The photo the keeper chose, else the newest photo of the whole tank, else the newest of all.
fn hero(view: &View) -> Option<Photo> {
    if let Some(hero) = &view.tank.hero {
        return view.photo(&hero.value);
    }
    if !view.prefix.is_empty() {
        return None;
    }
    let newest = |front: bool| {
        view.record
            .photos
            .values()
            .filter(|found| {
                found.header.is_some() && !found.is_private && (!front || found.view.as_deref() == Some("front"))
            })
            .max_by(|a, b| (a.date, &a.path).cmp(&(b.date, &b.path)))
    };
    newest(true).or_else(|| newest(false)).map(photo)
}

fn now(view: &View, states: &[&WaterState], cautions: &[CautionBlock]) -> Vec<Run> {
    let banded = states.iter().filter(|state| state.band.is_some()).count();
    let inside = states.iter().filter(|state| state.standing == Standing::Inside).count();
    let mut runs = Vec::new();
    if banded > 0 {
        let quantities = if banded == 1 { "quantity stands in its band" } else { "quantities stand in their bands" };
        runs.push(Run::text(format!(
            "{} of {} {quantities}",
            if inside == 0 { "None".into() } else { sentence_case(&water::word_number(inside)) },
            water::word_number(banded)
        )));
        let outside: Vec<&&WaterState> = states
            .iter()
            .filter(|state| matches!(state.standing, Standing::Below | Standing::Above | Standing::TooCloseToTell))
            .collect();
        for (place, state) in outside.iter().take(4).enumerate() {
            runs.push(Run::text(if place == 0 { "; " } else { ", " }));
            let words = match state.standing {
                Standing::Below => "below it",
                Standing::Above => "above it",
                _ => "on its edge",
            };
            let href = view.href(&format!("water/{}.html", state.parameter.key()));
            runs.push(Run::link(format!("{} {words}", lower(state.parameter.shown())), href));
        }
        runs.push(Run::text(". "));
    }
    let people = cautions.iter().filter(|caution| caution.class == Danger::People).count();
    if people > 0 {
        let text = sentence_case(&water::counted(people, "danger to people", "dangers to people"));
        runs.push(Run::link(text, "cautions.html"));
        runs.push(Run::text(" to look at. "));
    }
    let overdue = view.of.tasks.iter().filter(|task| task.overdue_days.is_some()).count();
    if overdue > 0 {
        runs.push(Run::link(
            sentence_case(&water::counted(overdue, "task is overdue", "tasks are overdue")),
            view.href("upkeep.html"),
        ));
        runs.push(Run::text(". "));
    }
    runs
}

/// What is new, what went wrong and what is open, each in one line with its way in.
fn in_short(view: &View) -> Vec<Fact> {
    let as_of = view.record.as_of;
    let mut facts = Vec::new();
    if let Some((index, entry)) = view.tank.entries.iter().enumerate().next_back() {
        let mut runs = vec![
            Run::link(date_text(entry.date()).text, view.entry_href(index)),
            Run::text(format!(", {}", lower_first(&heading(entry)))),
        ];
        let weeks = view.changes(as_of.saturating_sub(28.days()), as_of, usize::MAX);
        if let Some((_, change)) = weeks.last() {
            let count = water::counted(weeks.len(), "change", "changes");
            runs.push(Run::text(format!("; {count} in four weeks, the latest: ")));
            let href = change.href.clone();
            runs.push(Run { text: lower_first(change.text.trim_end_matches('.')), href, ..Run::default() });
        }
        facts.push(Fact::new("New", runs));
    }
    let losses = super::log::losses(view);
    let year_ago = as_of.saturating_sub(365.days()).to_string();
    let runs = match losses.first() {
        None => vec![Run::text("nothing that the record tells of")],
        Some(newest) => {
            let recent = losses.iter().filter(|loss| loss.date.iso > year_ago).count();
            let mut runs = newest.what.clone();
            let all = water::counted(losses.len(), "loss or fault", "losses and faults");
            runs.push(Run::text(format!(
                ", {}; {} in the last year, {all} in all",
                newest.date.text,
                water::word_number(recent)
            )));
            runs
        }
    };
    facts.push(Fact::new("Went wrong", runs));
    if let Some(summary) = super::promises::summary(view) {
        let words = summary.trim_end_matches('.').to_string();
        facts.push(Fact::new("Promised", vec![Run::link(words, super::promises::href(view))]));
    }
    facts
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

fn changes_block(view: &View) -> Option<ChartBlock> {
    let to = view.record.as_of;
    let from = to.saturating_sub((7 * CHANGE_WEEKS).days());
    let changes = view.changes(from, to, 20);
    if changes.is_empty() {
        return None;
    }
    let drawn = super::curves::draw(&chart::TimeChart {
        id: "changes".into(),
        title: "What changed in the last twelve weeks".into(),
        description: format!(
            "{} changes in seven lanes: lamp, flow, dose, food, arrivals, losses and work.",
            changes.len()
        ),
        from,
        to,
        lanes: super::curves::lanes(&changes),
        ..chart::TimeChart::default()
    });
    Some(ChartBlock {
        id: "chart-changes".into(),
        title: "What changed".into(),
        wide: drawn.wide,
        narrow: drawn.narrow,
        sentence: changes_sentence(&changes),
        // The numbered list says all that a table could.
        changes_summary: changes_summary(changes.len()),
        changes: changes.into_iter().map(|(_, change)| change).collect(),
        ..ChartBlock::default()
    })
}

/// How many changes, in which lanes, and the newest of them.
fn changes_sentence(changes: &[(crate::figures::Change, Change)]) -> String {
    let mut lanes: std::collections::BTreeMap<Lane, usize> = std::collections::BTreeMap::new();
    for (change, _) in changes {
        *lanes.entry(change.lane).or_default() += 1;
    }
    let counts: Vec<String> =
        lanes.iter().map(|(lane, count)| format!("{} in {}", water::word_number(*count), lane.word())).collect();
    let count = sentence_case(&water::counted(changes.len(), "change", "changes"));
    let newest = changes.last().map_or(String::new(), |(_, change)| {
        format!(" The newest, {}: {}.", change.date.text, change.text.trim_end_matches('.'))
    });
    format!("{count} in the last twelve weeks: {}.{newest}", list(&counts, 7))
}
