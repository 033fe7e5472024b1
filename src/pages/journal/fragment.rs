//! The card that goes along with a fragment: one file, one sheet of A6, nothing private, and of use when the giver's
//! record is long gone. What is not known is said to be not known: an empty life history is honest, a smooth one is not.

use jiff::ToSpan;
use jiff::civil::Date;

use super::view::*;
use crate::cautions::Caution;
use crate::figures::Findings;
use crate::figures::growth::growth;
use crate::figures::light::moves_about;
use crate::pages::model::sheet::{Sheet, SheetPicture, SheetSection};
use crate::read::Folder;
use crate::record::colony::{Colony, Flow, Group, Placement, SourceKind};
use crate::record::{Parameter, Record};

/// Readings of so many days say in what it lived.
const DAYS: i64 = 90;

const NOT_KNOWN: &str = "not known";

pub fn href(key: &str) -> String {
    format!("card/{key}.html")
}

/// A card for every colony that is here, with the path of the published photo that belongs on it.
pub fn cards(
    record: &Record,
    findings: &Findings,
    cautions: &[Caution],
    folder: &Folder,
) -> Vec<(String, Sheet, Option<String>)> {
    let views = super::views(record, findings, cautions, folder);
    record
        .colonies
        .values()
        .filter(|colony| colony.is_here_on(record.as_of))
        .filter_map(|colony| {
            let tank = &colony.placement_on(record.as_of)?.tank.value;
            let view = views.iter().find(|view| view.tank.key == *tank)?;
            let photo = super::colony::portrait(view, colony).filter(|photo| !photo.missing);
            let path = photo.as_ref().and_then(|photo| photo.variants.first()).map(|variant| variant.path.clone());
            let mut sheet = card(view, colony);
            if let Some(photo) = photo {
                let date = photo.date.as_ref().map_or("date not known".to_string(), |date| date.text.clone());
                let lamp = photo.lamp.clone().unwrap_or_else(|| "light of the photo not recorded".into());
                let shown = if is_cut(colony.group.value) { "The mother colony, " } else { "" };
                let picture = SheetPicture {
                    data: String::new(),
                    alt: format!("{}, {date}", colony.name.value),
                    caption: sentence_case(&format!("{shown}{date}; {}.", lower(&lamp))),
                };
                sheet.sections[0].pictures.push(picture);
            }
            Some((href(&colony.key), sheet, path))
        })
        .collect()
}

/// Whether a piece of it is handed on. The others go as a whole.
pub fn is_cut(group: Group) -> bool {
    use Group::*;
    match group {
        Leather | Zoanthid | Mushroom | Gorgonian | Soft | LargePolypStony | SmallPolypStony | Macroalga | Seagrass
        | Sponge => true,
        Clam | Anemone | Snail | Crab | Shrimp | Urchin | Fish | Other => false,
    }
}

/// Whether it lives on light, as far as its kind tells.
fn lives_on_light(group: Group) -> bool {
    is_cut(group) && group != Group::Sponge || matches!(group, Group::Clam | Group::Anemone)
}

fn card(view: &View, colony: &Colony) -> Sheet {
    let as_of = date_text(view.record.as_of).text;
    let (title, standfirst) = if is_cut(colony.group.value) {
        let by_hand = "Of the fragment itself, by hand: cut on ____________, size ______ cm, fixed to ____________.";
        (
            format!("A fragment of {}", colony.name.value),
            format!("Life history of the mother colony as of {as_of}. {by_hand}"),
        )
    } else {
        let by_hand = "By hand: passed on on ____________, how many ______.";
        (format!("{}, passed on", colony.name.value), format!("Life history as of {as_of}. {by_hand}"))
    };
    Sheet {
        kind: "card".into(),
        title,
        standfirst,
        sections: vec![who(view, colony), conditions(view, colony), settling(colony), health(view, colony), law(colony)],
        foot: vec![
            "A way back: tell the giver in a year whether it lives, with the identity string above. Keep this card, and pass \
             it on with what it tells of."
                .into(),
        ],
    }
}

fn who(view: &View, colony: &Colony) -> SheetSection {
    let called: Vec<String> = colony.claims.iter().filter_map(|claim| claim.called.clone()).collect();
    let thought: Vec<String> = colony
        .claims
        .iter()
        .filter_map(|claim| {
            let name = claim.thought_to_be.as_ref()?;
            let sure = claim.sure.clone().unwrap_or_else(|| "how sure is not recorded".into());
            let by = claim.by.as_ref().map_or(String::new(), |by| format!(", by {by}"));
            Some(format!("{name} ({sure}{by})"))
        })
        .collect();
    let or_not = |list: Vec<String>| if list.is_empty() { NOT_KNOWN.into() } else { list.join("; ") };
    let identity = colony.identity.as_ref().map_or("none given".into(), |identity| {
        format!("{} (goes with it for life; fragments may add to it)", identity.value)
    });
    SheetSection::new("")
        .fact(if is_cut(colony.group.value) { "Mother’s identity" } else { "Identity" }, identity)
        .fact("Kind", sentence_case(&colony.group.value.shown()))
        .fact("Called", or_not(called))
        .fact("Thought to be", or_not(thought))
        .fact("Line", line(view, colony))
}

/// The way back through its mothers, each with its evidence.
fn line(view: &View, colony: &Colony) -> String {
    let mut steps = Vec::new();
    let mut at = colony;
    // A record that got here has no loops; the card is small all the same.
    for _ in 0..4 {
        let Some(parent) = &at.parent else { break };
        let Some(mother) = view.record.colonies.get(&parent.colony.value) else { break };
        let on = parent.on.map_or(String::new(), |on| format!(", {}", month_text(on)));
        steps.push(format!("from {} ({}{on})", mother.name.value, parent.grade.shown()));
        at = mother;
    }
    let source = at.source.as_ref();
    let kind = source.map_or(NOT_KNOWN.to_string(), |source| source.kind.value.word().to_string());
    steps.push(format!("here since {}, source: {kind}", month_text(at.arrived.value)));
    sentence_case(&steps.join(", "))
}

fn conditions(view: &View, colony: &Colony) -> SheetSection {
    let as_of = view.record.as_of;
    let tank = &view.tank.key;
    let light = |what: &str| {
        let figure = view.findings.figures.get(tank, &format!("light.{}.{what}", colony.key));
        figure.filter(|figure| !figure.private).map(|figure| {
            let shown = view.value_of(figure);
            format!("{}{}\u{a0}{}", shown.number, shown.spread.map_or(String::new(), |s| format!(" {s}")), shown.unit)
        })
    };
    let light = match (light("par"), light("dli")) {
        (Some(par), Some(dli)) => format!("{par} at midday, {dli}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => NOT_KNOWN.into(),
    };
    let placement = colony.placement_on(as_of);
    let flow =
        placement.and_then(|placement| placement.flow.as_ref()).map_or(NOT_KNOWN.to_string(), |flow| match flow {
            Flow::Speed(speed) => view.typed(speed),
            Flow::Word(word) => word.clone(),
        });
    let depth = placement.and_then(|placement| placement.depth).map(|depth| {
        let shift = view.shift("cm");
        format!(", {}\u{a0}{} deep", fixed(shift.value(depth), shift.decimals(0)), shift.unit)
    });
    let place = placement.and_then(|placement| placement.where_text.clone()).unwrap_or_else(|| NOT_KNOWN.into());
    let from = as_of.saturating_sub(DAYS.days());
    let water: Vec<String> = [
        Parameter::Temperature,
        Parameter::Salinity,
        Parameter::Alkalinity,
        Parameter::Calcium,
        Parameter::Nitrate,
        Parameter::Phosphate,
    ]
    .into_iter()
    .filter_map(|parameter| {
        let points = &view.of.water.get(&parameter)?.series.points;
        let values: Vec<f64> = points
            .iter()
            .filter(|point| point.when.date() >= from)
            .map(|point| point.value * parameter.shown_factor())
            .collect();
        let (low, high) = (values.iter().copied().reduce(f64::min)?, values.iter().copied().reduce(f64::max)?);
        let shift = view.shift(parameter.unit());
        let decimals = usize::from(parameter.decimals());
        let (low, high) = (fixed(shift.value(low), decimals), fixed(shift.value(high), decimals));
        let range = if low == high { low } else { format!("{low} to {high}") };
        Some(format!("{} {range}\u{a0}{}", lower(parameter.shown()), shift.unit))
    })
    .collect();
    let size = colony.sizes.last().map_or(NOT_KNOWN.to_string(), |size| {
        let shown = super::growth::size_shown(view, size);
        let what = if size.measure.is_count() { "counted" } else { size.measure.word() };
        format!("{}\u{a0}{} ({what}, {})", shown.number, shown.unit, month_text(size.on))
    });
    let grown =
        growth(view.record, colony).map_or(NOT_KNOWN.to_string(), |found| super::growth::sentence_of(view, &found));
    let mut section = SheetSection::new("What it lives in");
    // Light, flow and growth at one place say nothing of what goes where it likes.
    let stays = !moves_about(colony);
    if stays {
        section = section.fact("Light", light).fact("Flow", flow);
    }
    if stays || place != NOT_KNOWN {
        section = section.fact("Place", format!("{place}{}", depth.unwrap_or_default()));
    }
    let section = section
        .fact(format!("Water, {DAYS} days"), if water.is_empty() { NOT_KNOWN.into() } else { water.join(", ") })
        .fact(if is_cut(colony.group.value) { "Size of mother" } else { "Size" }, size);
    if stays || grown != NOT_KNOWN { section.fact("Growth", grown) } else { section }
}

fn settling(colony: &Colony) -> SheetSection {
    let mut text = vec!["The shock is the difference: compare these numbers with yours."];
    if lives_on_light(colony.group.value) {
        text.push("Start at about half of the light above and raise it over six weeks; give it the flow above.");
    }
    text.push(if is_cut(colony.group.value) {
        "Fix it, then leave it alone. Quarantine and dip it as any arrival."
    } else {
        "Bring it from its water to yours slowly. Quarantine it as any arrival."
    });
    let mut section = SheetSection::new("Settling in (common practice, no source)").say(text.join(" "));
    if let Some(needs) = &colony.needs_light {
        section = section.say(format!(
            "The giver aims at {} to {}\u{a0}µmol/m²/s.",
            fixed(needs.value.0, 0),
            fixed(needs.value.1, 0)
        ));
    }
    section
}

fn health(view: &View, colony: &Colony) -> SheetSection {
    let dips = colony.quarantine.as_ref().map(|quarantine| quarantine.dips.join(", ")).filter(|dips| !dips.is_empty());
    let arrival = last_arrival(view).map_or(NOT_KNOWN.to_string(), |newest| date_text(newest).text);
    let events: Vec<String> =
        colony.events.iter().rev().take(2).map(|event| format!("{}: {}", month_text(event.on), event.what)).collect();
    SheetSection::new("Health and habits")
        .fact(
            if is_cut(colony.group.value) { "Dips of mother" } else { "Dips" },
            dips.unwrap_or_else(|| NOT_KNOWN.into()),
        )
        .fact("Pests seen", "not known: the record has no list of pests, which is not the same as none")
        .fact("Last arrival there", arrival)
        .fact("Has happened", if events.is_empty() { "nothing recorded".into() } else { events.join("; ") })
}

fn law(colony: &Colony) -> SheetSection {
    let mut items = Vec::new();
    match colony.group.value {
        Group::LargePolypStony | Group::SmallPolypStony | Group::Clam => items.push(
            "Stony corals and giant clams stand in the lists of CITES: sending one abroad, even a fragment, may need a permit. \
             Ask your authority first."
                .to_string(),
        ),
        Group::Zoanthid => items.push(
            "Zoanthids can hold palytoxin, a strong poison: gloves and goggles, never cut dry, never boil, scrape or dry them. \
             Keep it from children and pets."
                .to_string(),
        ),
        Group::Macroalga | Group::Seagrass => items.push(
            "Some algae and plants are forbidden in some countries: ask before you pass it on, and freeze what you throw away."
                .to_string(),
        ),
        _ => {}
    }
    if colony.source.as_ref().is_some_and(|source| source.kind.value == SourceKind::WildCollected) {
        items.push("The line was collected in the sea: papers may be asked for.".into());
    }
    if !matches!(colony.group.value, Group::LargePolypStony | Group::SmallPolypStony | Group::Clam) {
        items.push("Sending it abroad may need a permit, whatever it is: ask your authority first.".into());
    }
    items.push("Never release it, or the water it came in. Local law comes first.".into());
    SheetSection::new("Law and safety").items(items)
}

/// When an animal last came into this tank, whatever became of it: the question is what it may have brought. What was cut or
/// born in the tank brought nothing.
fn last_arrival(view: &View) -> Option<Date> {
    let here = |placement: &Placement| placement.tank.value == view.tank.key;
    let arrivals = |colony: &Colony| -> Vec<Date> {
        let mother = colony.parent.as_ref().and_then(|parent| view.record.colonies.get(&parent.colony.value));
        let mother_is_here =
            |on: Date| mother.is_some_and(|mother| mother.is_here_on(on) && mother.placement_on(on).is_some_and(here));
        let mut before: Option<&Placement> = None;
        let mut found = Vec::new();
        for placement in &colony.placements {
            let came_with_its_mother = before.is_none() && mother_is_here(placement.since);
            let is_new = before.is_none_or(|before| !here(before)) && !came_with_its_mother;
            if here(placement) && is_new {
                found.push(placement.since);
            }
            before = Some(placement);
        }
        found
    };
    view.record.colonies.values().flat_map(arrivals).filter(|on| *on <= view.record.as_of).max()
}
