//! `upkeep/*.yaml`: tasks, feeding, dosing, lifetimes.

use crate::diagnostic::{Diagnostic, Kind};
use crate::read::{Content, Document, Node};
use crate::record::YesNo;
use crate::record::fields::{self, Context, Fields};
use crate::record::timeline::Located;
use crate::record::upkeep::*;
use crate::units::{CalendarSpan, Dimension};

/// Adds one file to what is known of a tank's upkeep.
pub fn upkeep(document: &Document, into: &mut Upkeep, context: &mut Context) {
    let Some(mut map) = Fields::of(&document.root, "upkeep", context) else {
        return;
    };
    if let Some(mut tasks) = map.take("tasks").and_then(|node| Fields::of(node, "tasks", context)) {
        for (name, key, value) in tasks.rest() {
            let Some(task) = task(&name, value, context) else {
                continue;
            };
            if let Some(earlier) = into.tasks.get(&name) {
                let kind = Kind::DuplicateName { name: name.clone(), what: "task".into() };
                let diagnostic = Diagnostic::new(kind, key.place.clone());
                context.diagnostics.push(diagnostic.with_related(earlier.place.clone(), "the other one".to_string()));
                continue;
            }
            into.tasks.insert(name, task);
        }
    }
    if let Some(node) = map.take("feeding") {
        into.feeding.extend(plans(node, ("a plan of feeding", "food"), "amount: 0.4 g", Dimension::Mass, context));
    }
    if let Some(node) = map.take("dosing") {
        into.dosing.extend(plans(node, ("a plan of dosing", "supply"), "amount: 1.2 mL", Dimension::Volume, context));
    }
    if let Some(mut lifetimes) = map.take("lifetimes").and_then(|node| Fields::of(node, "lifetimes", context)) {
        for (name, _, value) in lifetimes.rest() {
            if let Some(span) = fields::calendar_span(value, "lifetime", context) {
                into.lifetimes.insert(name, span);
            }
        }
    }
    for item in map.take("away").map(fields::items).unwrap_or_default() {
        let Some(mut away) = Fields::of(item, "an absence", context) else {
            continue;
        };
        let from = away.date("from", context);
        let to = away.date("to", context);
        away.finish(context);
        if let (Some(from), Some(to)) = (from, to) {
            into.away.push((from.value, to.value));
        }
    }
    if let Some(node) = map.take("sitter") {
        match &into.sitter.place {
            Some(earlier) => {
                let kind = Kind::DuplicateName { name: "sitter".into(), what: "key".into() };
                let diagnostic = Diagnostic::new(kind, node.place.clone());
                context.diagnostics.push(diagnostic.with_related(earlier.clone(), "the other one".to_string()));
            }
            None => into.sitter = super::sitter::sitter(node, context).unwrap_or_default(),
        }
    }
    map.finish(context);
}

fn task(name: &str, node: &Node, context: &mut Context) -> Option<Task> {
    // `glass: 3 days` is enough.
    if !matches!(node.content, Content::Map(_)) {
        let every = fields::calendar_span(node, "every", context)?;
        return Some(Task {
            key: name.to_string(),
            what: name.replace('-', " "),
            place: every.place.clone(),
            every,
            takes: None,
            sitter: false,
            hands_in_water: YesNo::Unknown,
            lowers_water: YesNo::Unknown,
            since: None,
            until: None,
            device: None,
            why: None,
            how: None,
            photo: None,
        });
    }
    let mut map = Fields::of(node, "a task", context)?;
    let every =
        map.need("every", "every: 3 days", context).and_then(|node| fields::calendar_span(node, "every", context));
    let task = Task {
        key: name.to_string(),
        what: map.plain("what", context).unwrap_or_else(|| name.replace('-', " ")),
        takes: map.duration("takes", context).map(|takes| Located::new(takes.value * 60.0, takes.place)),
        sitter: map.word("who", WHO, context).is_some_and(|who| who.value),
        hands_in_water: map.yes_no_or_unknown("hands-in-water", context),
        lowers_water: map.yes_no_or_unknown("lowers-water", context),
        since: map.past_date("since", context),
        until: map.date("until", context),
        device: map.take("device").and_then(|node| fields::name(node, context)),
        why: map.plain("why", context),
        how: map.plain("how", context),
        photo: map.text("photo", context),
        place: map.place().clone(),
        every: Located::new(CalendarSpan::of_days(0.0), map.place().clone()),
    };
    map.finish(context);
    let every = every?;
    if every.value.days() <= 0.0 {
        let kind = Kind::NotANumber { typed: "0".into(), wanted: "a length of time above zero, as `3 days`".into() };
        context.note(kind, &every.place);
        return None;
    }
    Some(Task { every, ..task })
}

fn plans(
    node: &Node,
    (within, what_key): (&str, &'static str),
    example: &str,
    dimension: Dimension,
    context: &mut Context,
) -> Vec<Plan> {
    fields::items(node)
        .into_iter()
        .filter_map(|item| {
            let mut map = Fields::of(item, within, context)?;
            let since = map.past_date("since", context).map(|since| since.value);
            let of = map.need(what_key, "the name of a supply", context).and_then(|node| fields::name(node, context));
            let amount = map.need("amount", example, context).and_then(|node| {
                fields::quantity(node, "amount", &[dimension, Dimension::Mass, Dimension::Volume], None, context)
            });
            let every_days = map.duration("every", context).map_or(1.0, |every| every.value / 24.0);
            let at = map.text("at", context).and_then(|typed| fields::parse_time(&typed.value, &typed.place, context));
            let by = map.take("by").and_then(|node| fields::name(node, context));
            map.plain("why", context);
            let place = map.place().clone();
            map.finish(context);
            Some(Plan { since, of: of?, amount: amount?, every_days, at, by, place })
        })
        .collect()
}
