//! `sitter:` of `upkeep/*.yaml`, `contacts:` of `tank.yaml`, and places as seen from in front.

use crate::diagnostic::Kind;
use crate::read::{Content, Node};
use crate::record::YesNo;
use crate::record::fields::{self, Context, Fields};
use crate::record::sitter::*;
use crate::record::timeline::Located;
use crate::units::Dimension;

pub fn sitter(node: &Node, context: &mut Context) -> Option<SitterPlan> {
    let mut map = Fields::of(node, "what a sitter needs", context)?;
    let mut plan = SitterPlan { place: Some(map.place().clone()), ..SitterPlan::default() };
    plan.reads = map.word("reads", Reads::WORDS, context);
    plan.language = map.word("language", &LANGUAGES.map(|language| (language, language)), context).map(to_owned);
    if let Some(mut visits) = map.take("visits").and_then(|node| Fields::of(node, "visits", context)) {
        plan.visit_every = days(&mut visits, "every", context);
        plan.visit_at = visits.text("at", context).and_then(|typed| {
            fields::parse_time(&typed.value, &typed.place, context).map(|time| Located::new(time, typed.place))
        });
        visits.finish(context);
    }
    plan.call = names(map.take("call"), context);
    if let Some(mut emergency) = map.take("emergency").and_then(|node| Fields::of(node, "an emergency", context)) {
        plan.emergency = Emergency {
            number: emergency.text("number", context),
            poison_centre: emergency.text("poison-centre", context),
            breaker: emergency.text("breaker", context),
            water_stop: emergency.text("water-stop", context),
        };
        emergency.finish(context);
    }
    plan.address = map.text("address", context);
    plan.alarm_code = map.text("alarm-code", context);
    if let Some(mut rehearsed) = map.take("rehearsed").and_then(|node| Fields::of(node, "rehearsals", context)) {
        plan.rehearsed = Rehearsed {
            sitter: rehearsed.past_date("sitter", context),
            alarm: rehearsed.past_date("alarm", context),
            power_cut: rehearsed.past_date("power-cut", context),
        };
        rehearsed.finish(context);
    }
    plan.level = map.take("level").and_then(|node| level(node, context));
    plan.thermometer = map.text("thermometer", context);
    plan.sound = map.text("sound", context);
    plan.looks = shots(map.take("looks"), context);
    plan.odd = shots(map.take("odd"), context);
    if let Some(mut feed) = map.take("feed").and_then(|node| Fields::of(node, "feeding by a sitter", context)) {
        plan.feed = FeedPlan {
            every: days(&mut feed, "every", context),
            portions: feed.word("portions", Portions::WORDS, context),
            spare: feed.take("spare").and_then(|node| whole(node, context)).unwrap_or(0),
        };
        feed.finish(context);
    }
    plan.doses_by_hand = map.yes_no("doses-by-hand", context).is_some_and(|answer| answer.value == YesNo::Yes);
    if let Some(mut water) = map.take("pure-water").and_then(|node| Fields::of(node, "pure water", context)) {
        plan.pure_water = Some(PureWater {
            stock: water.quantity("stock", &[Dimension::Volume], context),
            kept: water.text("kept", context),
            place: water.place().clone(),
        });
        water.finish(context);
    }
    plan.count = fields::each(map.take("count"), |item| head_count(item, context));
    plan.never = texts(map.take("never"), context);
    plan.things = fields::each(map.take("things"), |item| thing(item, context));
    map.finish(context);
    Some(plan)
}

fn to_owned(word: Located<&'static str>) -> Located<String> {
    Located::new(word.value.to_string(), word.place)
}

fn days(map: &mut Fields, key: &'static str, context: &mut Context) -> Option<Located<f64>> {
    let hours = map.duration(key, context)?;
    if hours.value < 24.0 {
        let kind =
            Kind::NotANumber { typed: format!("{} h", hours.value), wanted: "a day or more, as `2 days`".into() };
        context.note(kind, &hours.place);
        return None;
    }
    Some(Located::new((hours.value / 24.0).round(), hours.place))
}

fn whole(node: &Node, context: &mut Context) -> Option<u32> {
    let typed = fields::text(node, context)?;
    let number = typed.value.parse().ok();
    if number.is_none() {
        context.note(Kind::NotANumber { typed: typed.value, wanted: "a whole number, as `1`".into() }, &typed.place);
    }
    number
}

fn names(node: Option<&Node>, context: &mut Context) -> Vec<Located<String>> {
    fields::each(node, |item| fields::name(item, context))
}

fn texts(node: Option<&Node>, context: &mut Context) -> Vec<Located<String>> {
    fields::each(node, |item| fields::text(item, context))
}

fn level(node: &Node, context: &mut Context) -> Option<LevelMark> {
    if !matches!(node.content, Content::Map(_)) {
        let mark = fields::text(node, context)?;
        let place = mark.place.clone();
        return Some(LevelMark { mark, photo: None, low: None, front: None, place });
    }
    let mut map = Fields::of(node, "a level mark", context)?;
    let mark =
        map.need("mark", "mark: yellow tape on the left pane", context).and_then(|node| fields::text(node, context));
    let photo = map.text("photo", context);
    let low = map.quantity("low", &[Dimension::Length], context);
    let front = map.take("front").and_then(|node| front(node, context));
    let place = map.place().clone();
    map.finish(context);
    Some(LevelMark { mark: mark?, photo, low, front, place })
}

fn shots(node: Option<&Node>, context: &mut Context) -> Vec<Shot> {
    let mut found = Vec::new();
    for item in node.map(fields::items).unwrap_or_default() {
        if !matches!(item.content, Content::Map(_)) {
            found.extend(fields::text(item, context).map(|what| Shot { what, photo: None }));
            continue;
        }
        let Some(mut map) = Fields::of(item, "a picture", context) else {
            continue;
        };
        let what = map.need("what", "what: all open", context).and_then(|node| fields::text(node, context));
        let photo = map.text("photo", context);
        map.finish(context);
        found.extend(what.map(|what| Shot { what, photo }));
    }
    found
}

fn head_count(node: &Node, context: &mut Context) -> Option<HeadCount> {
    if !matches!(node.content, Content::Map(_)) {
        return fields::name(node, context).map(|colony| HeadCount { colony, number: None, hides: None });
    }
    let mut map = Fields::of(node, "animals to count", context)?;
    let colony = map.need("colony", "colony: sand-gobies", context).and_then(|node| fields::name(node, context));
    let number = map.quantity("number", &[Dimension::Count], context).map(|number| {
        let value = number.value.value;
        Located::new(value, number.place)
    });
    let hides = map.plain("hides", context);
    map.finish(context);
    Some(HeadCount { colony: colony?, number, hides })
}

fn thing(node: &Node, context: &mut Context) -> Option<Thing> {
    let mut map = Fields::of(node, "a thing on the plan", context)?;
    let what = map.need("what", "what: food bags", context).and_then(|node| fields::text(node, context));
    let front = map.take("front").and_then(|node| front(node, context));
    map.finish(context);
    Some(Thing { what: what?, front })
}

/// `{x: 12 cm, up: 40 cm}`. What hangs beside the stand is written with `x` beyond its ends.
pub fn front(node: &Node, context: &mut Context) -> Option<Front> {
    let mut map = Fields::of(node, "a place seen from in front", context)?;
    let x = map.need("x", "x: 12 cm", context).and_then(|node| signed_length(node, context));
    let up = map.need("up", "up: 40 cm", context).and_then(|node| signed_length(node, context));
    map.finish(context);
    Some(Front { x: x?, up: up? })
}

fn signed_length(node: &Node, context: &mut Context) -> Option<f64> {
    let typed = fields::text(node, context)?;
    let (sign, size) = match typed.value.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest.trim()),
        None => (1.0, typed.value.as_str()),
    };
    match crate::units::parse(size, &[Dimension::Length], None) {
        Ok(length) => Some(sign * length.value),
        Err(problem) => {
            let kind = fields::problem_kind(problem, "place", &typed.value, &[Dimension::Length]);
            context.note(kind, &typed.place);
            None
        }
    }
}

/// `contacts:` may hold anything; what is there of a name, a phone and what they are called for is read.
pub fn contacts(node: &Node) -> Contacts {
    let Content::Map(pairs) = &node.content else {
        return Contacts::new();
    };
    let text = |node: &Node, key: &str| node.get(key).and_then(Node::as_text).map(|text| text.trim().to_string());
    pairs
        .iter()
        .map(|(name, value)| {
            let key = fields::name_of(name.as_text().unwrap_or_default());
            let contact = Contact {
                name: text(value, "name"),
                phone: text(value, "phone"),
                about: text(value, "for"),
                place: value.place.clone(),
                key: key.clone(),
            };
            (key, contact)
        })
        .collect()
}

/// `{what: small white spoon, holds: 0.13 g}`.
pub fn spoon(node: &Node, context: &mut Context) -> Option<Spoon> {
    let mut map = Fields::of(node, "a spoon", context)?;
    let what = map.need("what", "what: small white spoon", context).and_then(|node| fields::text(node, context));
    let holds = map
        .need("holds", "holds: 0.13 g", context)
        .and_then(|node| fields::quantity(node, "holds", &[Dimension::Mass, Dimension::Volume], None, context));
    map.finish(context);
    let holds = holds?;
    if holds.value.value <= 0.0 {
        context.note(
            Kind::NotANumber { typed: "0".into(), wanted: "more than nothing, as `0.13 g`".into() },
            &holds.place,
        );
        return None;
    }
    Some(Spoon { what: what?, holds })
}

/// `{amount: 300 mL, on: 2026-10-17}`.
pub fn left(node: &Node, context: &mut Context) -> Option<Left> {
    let mut map = Fields::of(node, "what is left", context)?;
    let amount = map
        .need("amount", "amount: 300 mL", context)
        .and_then(|node| fields::quantity(node, "left", &[Dimension::Volume, Dimension::Mass], None, context));
    let on = map.need("on", "on: 2026-10-17", context).and_then(|node| fields::past_date(node, context));
    map.finish(context);
    Some(Left { amount: amount?, on: on?.value })
}
