//! Who was cut or budded from whom: families of colonies, drawn and as a nested list.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::colony::{ended_word, href};
use super::view::*;
use crate::pages::chart::{self, Evidence, Lineage, Member};
use crate::pages::model::colony::{FamilyBlock, LineageNode};
use crate::pages::model::*;
use crate::record::YesNo;
use crate::record::colony::{Colony, EndKind, Grade};

/// Colonies that hang together by parents of the record, mothers before daughters.
type Family<'a> = Vec<&'a Colony>;

/// Every family of at least two, the oldest first.
fn families<'a>(view: &View<'a>) -> Vec<Family<'a>> {
    let mut by_first: BTreeMap<&str, Family> = BTreeMap::new();
    for colony in view.record.colonies.values() {
        by_first.entry(first_of(view, colony)).or_default().push(colony);
    }
    let mut families: Vec<Family> = by_first.into_values().filter(|family| family.len() > 1).collect();
    families.sort_by_key(|family| family.iter().map(|colony| born(colony)).min());
    families
}

fn mother<'a>(view: &View<'a>, colony: &Colony) -> Option<&'a Colony> {
    view.record.colonies.get(&colony.parent.as_ref()?.colony.value)
}

/// Key of the first of a line.
fn first_of<'a>(view: &View<'a>, colony: &'a Colony) -> &'a str {
    let mut at = colony;
    let mut seen = BTreeSet::from([at.key.as_str()]);
    while let Some(mother) = mother(view, at) {
        if !seen.insert(&mother.key) {
            break;
        }
        at = mother;
    }
    &at.key
}

/// The day of the cut where it is known, else that of the arrival.
fn born(colony: &Colony) -> Date {
    colony.parent.as_ref().and_then(|parent| parent.on).unwrap_or(colony.arrived.value)
}

/// A family that is larger is shown near a colony: its line of mothers, its sisters, and all that came of it.
const WHOLE: usize = 24;
/// Generations from which on a list is set in no further.
const DEEPEST: u32 = 13;
/// More colonies than these are drawn a family at a time, each folded.
const DRAWN_AT_ONCE: usize = 40;

/// Of a family, the line of mothers of a colony, its sisters, itself and what came of it.
fn near<'a>(view: &View<'a>, family: &Family<'a>, colony: &'a Colony) -> Family<'a> {
    let mut kept = BTreeSet::from([colony.key.as_str()]);
    let mut at = colony;
    while let Some(above) = mother(view, at).filter(|above| !kept.contains(above.key.as_str())) {
        kept.insert(&above.key);
        at = above;
    }
    let of = |one: &'a Colony| mother(view, one).map(|mother| mother.key.as_str());
    let sisters = family.iter().filter(|one| of(one).is_some() && of(one) == of(colony));
    kept.extend(sisters.map(|one| one.key.as_str()));
    let mut below = BTreeSet::from([colony.key.as_str()]);
    // Mothers stand before their daughters in age, not in name: as often as something is found.
    loop {
        let before = below.len();
        below.extend(
            family
                .iter()
                .filter(|one| of(one).is_some_and(|key| below.contains(key)))
                .map(|one| one.key.as_str())
                .collect::<Vec<_>>(),
        );
        if below.len() == before {
            break;
        }
    }
    kept.extend(below);
    family.iter().filter(|one| kept.contains(one.key.as_str())).copied().collect()
}

/// Families a drawing and a list each, where there are too many colonies to draw at once.
pub fn folded(view: &View) -> Vec<FamilyBlock> {
    let families = families(view);
    if families.iter().map(Vec::len).sum::<usize>() <= DRAWN_AT_ONCE {
        return Vec::new();
    }
    let folded = families.iter().filter_map(|family| {
        let first = view.record.colonies.get(first_of(view, family[0]))?;
        let alive = family.iter().filter(|colony| colony.ended.is_none()).count();
        let (count, since) = (family.len(), date_text(born(first)).text);
        let title = format!("The line of {}", first.name.value);
        Some(FamilyBlock {
            summary: format!("{}: {count} colonies, {alive} alive and here, since {since}", first.name.value),
            chart: block(view, family, "", &format!("lineage-{}", first.key), &title),
            list: line(view, first, "", None),
        })
    });
    folded.collect()
}

/// What is said of a family that is not shown whole.
pub fn note(view: &View, colony: &Colony) -> String {
    let known = "How a link is known stands beside it. A name proves nothing about descent.";
    match family_of(view, colony).filter(|family| family.len() > WHOLE) {
        Some(family) => format!(
            "Its line of mothers, its sisters and all that came of it: {} of the {} colonies of its family. The whole family stands on the page of colonies. {known}",
            near(view, &family, colony_of(view, colony)).len(),
            family.len()
        ),
        None => known.into(),
    }
}

/// The same colony with the record's own life.
fn colony_of<'a>(view: &View<'a>, colony: &Colony) -> &'a Colony {
    &view.record.colonies[&colony.key]
}

/// Colonies shown on a colony's own page.
fn shown_of<'a>(view: &View<'a>, colony: &Colony) -> Option<Family<'a>> {
    let family = family_of(view, colony)?;
    Some(if family.len() > WHOLE { near(view, &family, colony_of(view, colony)) } else { family })
}

/// The family of a colony, from its first; empty for one without mother and daughters in the record.
pub fn tree(view: &View, colony: &Colony) -> Vec<LineageNode> {
    let shown = shown_of(view, colony);
    let keys = shown.as_ref().map(|family| family.iter().map(|one| one.key.as_str()).collect::<BTreeSet<_>>());
    match shown {
        Some(_) => view
            .record
            .colonies
            .get(first_of(view, colony))
            .map(|first| line(view, first, &colony.key, keys.as_ref()))
            .unwrap_or_default(),
        None => Vec::new(),
    }
}

/// All families, each from its first.
pub fn trees(view: &View) -> Vec<LineageNode> {
    if !folded(view).is_empty() {
        return Vec::new();
    }
    families(view)
        .iter()
        .filter_map(|family| view.record.colonies.get(first_of(view, family[0])))
        .flat_map(|first| line(view, first, "", None))
        .collect()
}

/// A colony and after it its daughters, in order of date, each with what came of her: all of them, or those among the keys.
fn line<'a>(view: &View<'a>, first: &'a Colony, here: &str, among: Option<&BTreeSet<&str>>) -> Vec<LineageNode> {
    let mut of: BTreeMap<&str, Vec<&'a Colony>> = BTreeMap::new();
    for colony in view.record.colonies.values() {
        if let Some(parent) = &colony.parent
            && among.is_none_or(|keys| keys.contains(colony.key.as_str()))
        {
            of.entry(&parent.colony.value).or_default().push(colony);
        }
    }
    let mut nodes = Vec::new();
    let mut seen = BTreeSet::new();
    let mut ahead = vec![(first, 1)];
    while let Some((colony, generation)) = ahead.pop() {
        if !seen.insert(colony.key.as_str()) {
            continue;
        }
        let grade = colony.parent.as_ref().map(|parent| parent.grade);
        nodes.push(LineageNode {
            colony: PlaceLink::new(colony.name.value.clone(), href(&colony.key)),
            here: colony.key == here,
            on: date_text(born(colony)),
            grade: grade.map(|grade| grade.word().into()).unwrap_or_default(),
            grade_word: grade.map_or("the first of its line here".into(), |grade| grade.shown().into()),
            fate: fate(view, colony),
            generation,
            indent: generation.min(DEEPEST),
        });
        let mut daughters = of.get(colony.key.as_str()).cloned().unwrap_or_default();
        daughters.sort_by_key(|daughter| born(daughter));
        // The last one pushed comes next.
        ahead.extend(daughters.into_iter().rev().map(|daughter| (daughter, generation + 1)));
    }
    nodes
}

/// The last news of one that left.
pub fn last_heard(colony: &Colony) -> Option<String> {
    let heard = colony.heard.last()?;
    let state = match heard.alive {
        YesNo::Yes => "alive",
        YesNo::No => "dead",
        YesNo::Unknown => "heard of",
    };
    let from = heard.from.as_ref().map_or(String::new(), |from| format!(", says {from}"));
    Some(format!("{state} {}{from}", date_text(heard.on).text))
}

fn fate(view: &View, colony: &Colony) -> String {
    match &colony.ended {
        Some(ended) => {
            let news = last_heard(colony).map_or(String::new(), |news| format!("; {news}"));
            format!("{} {}{news}", ended_word(ended.how), date_text(ended.on).text)
        }
        None => {
            let tank = colony
                .placement_on(view.record.as_of)
                .and_then(|placement| view.record.tanks.get(&placement.tank.value));
            tank.map_or("alive".into(), |tank| format!("alive in {}", tank.name.value))
        }
    }
}

fn family_of<'a>(view: &View<'a>, colony: &Colony) -> Option<Family<'a>> {
    families(view).into_iter().find(|family| family.iter().any(|other| other.key == colony.key))
}

/// The family of a colony over time.
pub fn drawing(view: &View, colony: &Colony) -> Option<ChartBlock> {
    let title = format!("The line of {}", colony.name.value);
    Some(block(view, &shown_of(view, colony)?, &colony.key, &format!("lineage-{}", colony.key), &title))
}

/// All families over time.
pub fn drawing_of_all(view: &View) -> Option<ChartBlock> {
    let all: Family = families(view).into_iter().flatten().collect();
    (!all.is_empty() && all.len() <= DRAWN_AT_ONCE).then(|| block(view, &all, "", "lineage", "Lineages of the record"))
}

fn block(view: &View, family: &[&Colony], here: &str, id: &str, title: &str) -> ChartBlock {
    let place_of = |key: &str| family.iter().position(|colony| colony.key == key);
    let members: Vec<Member> = family
        .iter()
        .map(|colony| Member {
            name: colony.name.value.clone(),
            fate: fate(view, colony),
            mother: colony.parent.as_ref().and_then(|parent| place_of(&parent.colony.value)),
            born: born(colony),
            ended: colony.ended.as_ref().map(|ended| chart::End { on: ended.on, lost: ended.how == EndKind::Lost }),
            evidence: match colony.parent.as_ref().map(|parent| parent.grade) {
                Some(Grade::WitnessedCut) => Evidence::Witnessed,
                Some(Grade::GiversRecord) => Evidence::Written,
                Some(Grade::GiversStatement | Grade::SellersStatement) => Evidence::Said,
                Some(Grade::NameOnly | Grade::Unknown) | None => Evidence::Unknown,
            },
            here: colony.key == here,
        })
        .collect();
    let from = members.iter().map(|member| member.born).min().unwrap_or(view.record.as_of);
    let alive = members.iter().filter(|member| member.ended.is_none()).count();
    let sentence = format!("{} colonies, {alive} of them alive and here.", members.len());
    let drawn = chart::draw_lineage(&Lineage {
        id: id.into(),
        title: title.into(),
        description: format!("{sentence} The list beside the drawing says the same."),
        from,
        to: view.record.as_of,
        members,
    });
    ChartBlock {
        id: format!("chart-{id}"),
        title: title.into(),
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        key: "Each line runs from birth to end. Circle: alive; cross: lost; bar across: given away, removed or cut up. Link to the mother: unbroken if the cut was witnessed, long dashes for the giver’s record, short for what was said, dots for less.".into(),
        ..ChartBlock::default()
    }
}
