//! `colonies/*.yaml`.

use crate::diagnostic::Kind;
use crate::read::{Document, Node};
use crate::record::colony::*;
use crate::record::fields::{self, Context, Fields};
use crate::record::timeline::Located;
use crate::units::{self, Dimension};

pub fn colony(document: &Document, context: &mut Context) -> Option<Colony> {
    let mut map = Fields::of(&document.root, "a colony", context)?;
    let name = map.need("name", "name: Finger leather", context).and_then(|node| fields::text(node, context));
    let group = map
        .need("group", "group: leather", context)
        .and_then(|node| fields::word(node, "group", Group::WORDS, context));
    let arrived = map.need("arrived", "arrived: 2025-01-18", context).and_then(|node| fields::past_date(node, context));
    let identity = map.text("identity", context);
    if let Some(identity) = &identity {
        check_identity(identity, context);
    }
    let mut placements: Vec<Placement> = fields::each(
        map.need("placements", "placements: [{since: 2025-01-18, tank: ., where: \"left slab\"}]", context),
        |item| placement(item, context),
    );
    placements.sort_by_key(|placement| placement.since);
    let mut sizes: Vec<Size> = fields::each(map.take("sizes"), |item| sizes(item, context));
    sizes.sort_by_key(|size| size.on);
    let mut events: Vec<ColonyEvent> = fields::each(map.take("events"), |item| event(item, context));
    events.sort_by_key(|event| event.on);
    let mut told: Vec<Heard> = fields::each(map.take("heard"), |item| heard(item, context));
    told.sort_by_key(|heard| heard.on);
    let claims = fields::each(map.take("claims"), |item| claim(item, context));
    let (mut needs_light, mut needs_flow) = (None, None);
    if let Some(mut needs) = map.take("needs").and_then(|node| Fields::of(node, "a colony's needs", context)) {
        needs_light = needs.take("light").and_then(|node| span(node, "light", Dimension::PhotonFlux, context));
        needs_flow = needs.take("flow").and_then(|node| span(node, "flow", Dimension::Speed, context));
        needs.finish(context);
    }
    let colony = Colony {
        key: document.name.clone(),
        place: map.place().clone(),
        identity,
        claims,
        source: map.take("source").and_then(|node| source(node, context)),
        parent: map.take("parent").and_then(|node| parent(node, context)),
        quarantine: map.take("quarantine").and_then(|node| quarantine(node, context)),
        placements,
        needs_light,
        needs_flow,
        sizes,
        events,
        heard: told,
        ended: map.take("ended").and_then(|node| ended(node, context)),
        story: map.plain("story", context),
        photo: map.text("photo", context),
        note: map.note_text(context),
        name: name?,
        group: group?,
        arrived: arrived?,
    };
    map.finish(context);
    check_order(&colony, context);
    Some(colony)
}

fn check_identity(identity: &Located<String>, context: &mut Context) {
    let body = identity.value.strip_prefix("pp-");
    let letters = |c: char| c.is_ascii_digit() || (c.is_ascii_lowercase() && !"iloua".contains(c)) || c == 'a';
    if !body.is_some_and(|body| body.len() == 10 && body.chars().all(letters)) {
        let kind = Kind::NotANumber {
            typed: identity.value.clone(),
            wanted: "an identity: `pp-` and ten digits or small letters (no i, l, o, u)".into(),
        };
        context.note(kind, &identity.place);
    }
}

fn check_order(colony: &Colony, context: &mut Context) {
    if let Some(ended) = &colony.ended
        && ended.on < colony.arrived.value
    {
        let kind = Kind::Contradiction {
            what: "ended before it arrived".into(),
            why: format!("arrived {}", colony.arrived.value),
            suggestion: None,
        };
        context.note(kind, &ended.place);
    }
}

fn span(node: &Node, what: &str, dimension: Dimension, context: &mut Context) -> Option<Located<(f64, f64)>> {
    let range = fields::range(node, what, &[dimension], None, context)?;
    Some(Located::new((range.value.0.value, range.value.1.value), range.place))
}

fn claim(node: &Node, context: &mut Context) -> Option<Claim> {
    let mut map = Fields::of(node, "a claim about a name", context)?;
    let claim = Claim {
        called: map.plain("called", context),
        thought_to_be: map.plain("thought-to-be", context),
        by: map.plain("by", context),
        on: map.past_date("on", context).map(|date| date.value),
        sure: map.word("sure", &SURE.map(|word| (word, word)), context).map(|word| word.value.to_string()),
        place: map.place().clone(),
    };
    map.finish(context);
    Some(claim)
}

fn source(node: &Node, context: &mut Context) -> Option<Source> {
    let mut map = Fields::of(node, "where it came from", context)?;
    let kind = map
        .need("kind", "kind: aquaculture", context)
        .and_then(|node| fields::word(node, "source", SourceKind::WORDS, context));
    let from = map.plain("from", context);
    let light = map.quantity("light", &[crate::units::Dimension::PhotonFlux], context);
    let papers = map.yes_no_or_unknown("papers", context);
    let place = map.place().clone();
    map.finish(context);
    Some(Source { kind: kind?, from, light, papers, place })
}

fn parent(node: &Node, context: &mut Context) -> Option<Parent> {
    let mut map = Fields::of(node, "a parent", context)?;
    let colony = map.need("colony", "colony: mother-mushroom", context).and_then(|node| fields::name(node, context));
    let grade = map.word("grade", Grade::WORDS, context).map_or(Grade::Unknown, |grade| grade.value);
    let on = map.past_date("on", context).map(|date| date.value);
    let place = map.place().clone();
    map.finish(context);
    Some(Parent { colony: colony?, grade, on, place })
}

fn quarantine(node: &Node, context: &mut Context) -> Option<Quarantine> {
    let mut map = Fields::of(node, "a quarantine", context)?;
    let quarantine = Quarantine {
        from: map.past_date("from", context).map(|date| date.value),
        to: map.past_date("to", context).map(|date| date.value),
        dips: map
            .take("dips")
            .map(fields::items)
            .unwrap_or_default()
            .into_iter()
            .filter_map(|item| fields::text(item, context).map(|dip| dip.value))
            .collect(),
        place: map.place().clone(),
    };
    map.finish(context);
    Some(quarantine)
}

fn placement(node: &Node, context: &mut Context) -> Option<Placement> {
    let mut map = Fields::of(node, "a placement", context)?;
    let since = map.need("since", "since: 2025-01-18", context).and_then(|node| fields::past_date(node, context));
    let tank = map
        .take("tank")
        .and_then(|node| fields::name(node, context))
        .unwrap_or_else(|| Located::new(".".into(), map.place().clone()));
    let mut length = |key: &'static str, context: &mut Context| {
        map.quantity(key, &[Dimension::Length], context).map(|length| length.value.value)
    };
    let (x, y, depth) = (length("x", context), length("y", context), length("depth", context));
    let where_text = map.plain("where", context);
    let flow = map.text("flow", context).and_then(|typed| {
        if typed.value.starts_with(|c: char| c.is_ascii_digit()) {
            match units::parse(&typed.value, &[Dimension::Speed], None) {
                Ok(speed) => Some(Flow::Speed(speed)),
                Err(problem) => {
                    let kind = fields::problem_kind(problem, "flow", &typed.value, &[Dimension::Speed]);
                    context.note(kind, &typed.place);
                    None
                }
            }
        } else {
            Some(Flow::Word(typed.value))
        }
    });
    let place = map.place().clone();
    map.finish(context);
    Some(Placement { since: since?.value, tank, x, y, depth, where_text, flow, place })
}

fn sizes(node: &Node, context: &mut Context) -> Vec<Size> {
    let mut found = Vec::new();
    let Some(mut map) = Fields::of(node, "a size", context) else {
        return found;
    };
    let on = map.need("on", "on: 2025-04-12", context).and_then(|node| fields::past_date(node, context));
    let uncertainty = map.take("uncertainty").and_then(|node| {
        let typed = fields::text(node, context)?;
        match typed.value.parse::<f64>() {
            Ok(count) => Some(count),
            Err(_) => fields::quantity(
                node,
                "uncertainty",
                &[Dimension::Length, Dimension::Mass, Dimension::Area],
                None,
                context,
            )
            .map(|quantity| quantity.value.value),
        }
    });
    let photo = map.text("photo", context);
    for (word, measure) in Measure::WORDS {
        let Some(node) = map.take(word) else { continue };
        let value = if measure.is_count() { count(node, word, context) } else { size(node, word, *measure, context) };
        if let (Some(on), Some(value)) = (&on, value) {
            let place = node.place.clone();
            found.push(Size { on: on.value, measure: *measure, value, uncertainty, photo: photo.clone(), place });
        }
    }
    map.finish(context);
    found
}

fn count(node: &Node, what: &str, context: &mut Context) -> Option<f64> {
    let typed = fields::text(node, context)?;
    match typed.value.parse::<u32>() {
        Ok(count) => Some(f64::from(count)),
        Err(_) => {
            context.note(
                Kind::NotANumber { typed: typed.value, wanted: format!("a whole number of {what}") },
                &typed.place,
            );
            None
        }
    }
}

fn size(node: &Node, what: &str, measure: Measure, context: &mut Context) -> Option<f64> {
    let wanted = match measure {
        Measure::Area => Dimension::Area,
        Measure::Mass => Dimension::Mass,
        _ => Dimension::Length,
    };
    fields::quantity(node, what, &[wanted], None, context).map(|quantity| quantity.value.value)
}

fn event(node: &Node, context: &mut Context) -> Option<ColonyEvent> {
    let mut map = Fields::of(node, "an event of a colony", context)?;
    let on = map.need("on", "on: 2025-06-14", context).and_then(|node| fields::past_date(node, context));
    let what = map.need("what", "what: shedding", context).and_then(|node| fields::text(node, context));
    let place = map.place().clone();
    map.finish(context);
    Some(ColonyEvent { on: on?.value, what: what?.value, place })
}

fn heard(node: &Node, context: &mut Context) -> Option<Heard> {
    let mut map = Fields::of(node, "news of a colony", context)?;
    let on = map.need("on", "on: 2026-02-01", context).and_then(|node| fields::past_date(node, context));
    let what = map.need("what", "what: a hand wide", context).and_then(|node| fields::text(node, context));
    let alive = map.yes_no_or_unknown("alive", context);
    let from = map.plain("from", context);
    let place = map.place().clone();
    map.finish(context);
    Some(Heard { on: on?.value, what: what?.value, alive, from, place })
}

fn ended(node: &Node, context: &mut Context) -> Option<Ended> {
    let mut map = Fields::of(node, "an end", context)?;
    let on = map.need("on", "on: 2025-11-02", context).and_then(|node| fields::past_date(node, context));
    let how = map.need("how", "how: lost", context).and_then(|node| fields::word(node, "how", EndKind::WORDS, context));
    let cause = map.plain("cause", context);
    let grade = map.word("cause-grade", CauseGrade::WORDS, context).map_or(CauseGrade::Unknown, |grade| grade.value);
    let place = map.place().clone();
    map.finish(context);
    Some(Ended { on: on?.value, how: how?.value, cause, grade, place })
}
