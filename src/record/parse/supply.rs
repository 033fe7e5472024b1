//! `supplies/*.yaml`.

use std::collections::BTreeMap;

use crate::diagnostic::Kind;
use crate::read::{Content, Document, Node};
use crate::record::Parameter;
use crate::record::fields::{self, Context, Fields};
use crate::record::supply::*;
use crate::record::timeline::Located;
use crate::units::{self, Dimension};

pub fn supply(document: &Document, context: &mut Context) -> Option<Supply> {
    let mut map = Fields::of(&document.root, "a supply", context)?;
    let name = map.need("name", "name: Nitrate card", context).and_then(|node| fields::text(node, context));
    let kind =
        map.need("kind", "kind: kit", context).and_then(|node| fields::word(node, "kind", SupplyKind::WORDS, context));
    let measures = map.take("measures").and_then(|node| {
        let name = fields::name(node, context)?;
        fields::parameter(&name.value, &name.place, context).map(|parameter| Located::new(parameter, name.place))
    });
    let method = map.word("method", KitMethod::WORDS, context);
    let parameter = measures.as_ref().map(|measures| measures.value);
    let resolution = map.take("resolution").and_then(|node| step(node, "resolution", parameter, context));
    let uncertainty = map.take("uncertainty").and_then(|node| kit_uncertainty(node, parameter, context));
    let detection_limit =
        map.take("detection-limit").and_then(|node| step(node, "detection-limit", parameter, context));
    let reference = map.text("reference", context);
    let lots = map.take("lots").map(|node| lots(node, context)).unwrap_or_default();
    let strength = map.take("strength").map(|node| strength(node, context)).unwrap_or_default();
    let raises = map.take("raises").map(|node| raises(node, context)).unwrap_or_default();
    let made_of = map
        .take("made-of")
        .filter(|node| matches!(node.content, Content::Map(_)))
        .and_then(|node| made_of(node, context));
    map.take("interval");
    let supply = Supply {
        key: document.name.clone(),
        place: map.place().clone(),
        nitrogen: map.fraction("nitrogen", context),
        phosphorus: map.fraction("phosphorus", context),
        substance: map.text("substance", context),
        form: map.plain("form", context),
        where_kept: map.text("where", context),
        locked: map.yes_no("locked", context),
        in_original_container: map.yes_no("in-original-container", context),
        opened: map.past_date("opened", context),
        expires: map.date("expires", context),
        until: map.date("until", context),
        bottle: map.quantity("bottle", &[Dimension::Volume, Dimension::Mass], context),
        left: map.take("left").and_then(|node| super::sitter::left(node, context)),
        spoon: map.take("spoon").and_then(|node| super::sitter::spoon(node, context)),
        note: map.note_text(context),
        measures,
        method,
        resolution,
        uncertainty,
        detection_limit,
        reference,
        lots,
        strength,
        raises,
        made_of,
        name: name?,
        kind: kind?,
    };
    map.finish(context);
    Some(supply)
}

/// A step or limit in the measured parameter's own unit.
fn step(node: &Node, what: &'static str, parameter: Option<Parameter>, context: &mut Context) -> Option<Located<f64>> {
    let Some(parameter) = parameter else {
        let example = "measures: nitrate".to_string();
        let kind = Kind::MissingKey { key: "measures".into(), within: format!("a kit with a {what}"), example };
        context.note(kind, &node.place);
        return None;
    };
    let quantity = step_quantity(node, what, parameter, context)?;
    super::log::in_own_unit(&quantity.value, parameter, None, &quantity.place, context)
        .map(|value| Located::new(value, quantity.place))
}

fn step_quantity(
    node: &Node,
    what: &str,
    parameter: Parameter,
    context: &mut Context,
) -> Option<Located<units::Quantity>> {
    let usual = (parameter == Parameter::Ph).then(|| units::unit_named("pH")).flatten();
    fields::quantity(node, what, parameter.dimensions(), usual, context)
}

/// `0.2 dKH`, `30 %` or `15 % + 0.5 mg/L NO3`.
fn kit_uncertainty(
    node: &Node,
    parameter: Option<Parameter>,
    context: &mut Context,
) -> Option<Located<KitUncertainty>> {
    let typed = fields::text(node, context)?;
    let Some(parameter) = parameter else {
        // The quantum sensor measures light, which is no water parameter: only a share makes sense.
        return match units::parse(&typed.value, &[Dimension::Fraction], None) {
            Ok(share) => Some(Located::new(KitUncertainty { share: share.value, constant: 0.0 }, typed.place)),
            Err(problem) => {
                context.note(
                    fields::problem_kind(problem, "uncertainty", &typed.value, &[Dimension::Fraction]),
                    &typed.place,
                );
                None
            }
        };
    };
    let mut found = KitUncertainty { share: 0.0, constant: 0.0 };
    let usual = (parameter == Parameter::Ph).then(|| units::unit_named("pH")).flatten();
    for part in typed.value.split('+') {
        let mut wanted = vec![Dimension::Fraction];
        if parameter != Parameter::RoomHumidity {
            wanted.extend(parameter.dimensions());
        }
        match units::parse(part.trim(), &wanted, usual) {
            Ok(quantity) if quantity.dimension == Dimension::Fraction && parameter != Parameter::RoomHumidity => {
                found.share += quantity.value;
            }
            Ok(quantity) => {
                let value = super::log::difference_in_own_unit(&quantity, parameter, &typed.place, context)?;
                found.constant += value;
            }
            Err(problem) => {
                context.note(fields::problem_kind(problem, "uncertainty", part.trim(), &wanted), &typed.place);
                return None;
            }
        }
    }
    Some(Located::new(found, typed.place))
}

fn lots(node: &Node, context: &mut Context) -> Vec<Lot> {
    let mut lots = Vec::new();
    for item in fields::items(node) {
        let Some(mut map) = Fields::of(item, "a lot", context) else {
            continue;
        };
        let lot = map.need("lot", "lot: A-17", context).and_then(|node| fields::text(node, context));
        let since = map.need("since", "since: 2025-05-01", context).and_then(|node| fields::past_date(node, context));
        let expires = map.date("expires", context);
        let place = map.place().clone();
        map.finish(context);
        if let (Some(lot), Some(since)) = (lot, since) {
            lots.push(Lot { lot: lot.value, since: since.value, expires: expires.map(|date| date.value), place });
        }
    }
    lots.sort_by_key(|lot| lot.since);
    lots
}

fn strength(node: &Node, context: &mut Context) -> BTreeMap<Parameter, Located<units::Quantity>> {
    let Some(mut map) = Fields::of(node, "a stock's strength", context) else {
        return BTreeMap::new();
    };
    map.rest()
        .into_iter()
        .filter_map(|(name, key, value)| {
            let parameter = fields::parameter(&name, &key.place, context)?;
            let wanted = [Dimension::Concentration, Dimension::Alkalinity];
            let quantity = fields::quantity(value, "strength", &wanted, None, context)?;
            super::log::check_form(&quantity.value, parameter, None, &quantity.place, context)?;
            Some((parameter, quantity))
        })
        .collect()
}

fn made_of(node: &Node, context: &mut Context) -> Option<MadeOf> {
    let mut map = Fields::of(node, "what a stock is made of", context)?;
    let substance =
        map.need("substance", "substance: sodium nitrate", context).and_then(|node| fields::text(node, context));
    let mut part = |key: &'static str, example: &str, dimension: Dimension, context: &mut Context| {
        let node = map.need(key, example, context)?;
        let quantity = fields::quantity(node, key, &[dimension], None, context)?;
        if quantity.value.value > 0.0 {
            return Some(quantity);
        }
        let typed = fields::text(node, context)?.value;
        context.note(Kind::NotANumber { typed, wanted: "more than nothing".into() }, &quantity.place);
        None
    };
    let mass = part("mass", "mass: 47.4 g", Dimension::Mass, context);
    let volume = part("volume", "volume: 1 L", Dimension::Volume, context);
    map.finish(context);
    Some(MadeOf { substance: substance?, mass: mass?, volume: volume? })
}

fn raises(node: &Node, context: &mut Context) -> BTreeMap<Parameter, Located<Raise>> {
    let Some(mut map) = Fields::of(node, "what a dose raises", context) else {
        return BTreeMap::new();
    };
    map.rest()
        .into_iter()
        .filter_map(|(name, key, value)| {
            let parameter = fields::parameter(&name, &key.place, context)?;
            Some((parameter, raise(value, parameter, context)?))
        })
        .collect()
}

/// `1 mL raises 100 L by 0.1 dKH`
fn raise(node: &Node, parameter: Parameter, context: &mut Context) -> Option<Located<Raise>> {
    let typed = fields::text(node, context)?;
    let parts = typed.value.split_once(" raises ").and_then(|(dose, rest)| {
        let (water, by) = rest.split_once(" by ")?;
        Some((dose.trim(), water.trim(), by.trim()))
    });
    let Some((dose, water, by)) = parts else {
        let wanted =
            format!("a dose, the water it raises and by how much, as `1 mL raises 100 L by 0.1 {}`", parameter.unit());
        context.note(Kind::NotANumber { typed: typed.value, wanted }, &typed.place);
        return None;
    };
    let part =
        |text: &str, what: &str, wanted: &[Dimension], context: &mut Context| match units::parse(text, wanted, None) {
            Ok(quantity) if quantity.value > 0.0 => Some(quantity),
            Ok(_) => {
                let kind = Kind::NotANumber { typed: text.into(), wanted: "more than nothing".into() };
                context.note(kind, &typed.place);
                None
            }
            Err(problem) => {
                context.note(fields::problem_kind(problem, what, text, wanted), &typed.place);
                None
            }
        };
    let dose = part(dose, "dose", &[Dimension::Volume, Dimension::Mass], context)?;
    let litres = part(water, "water", &[Dimension::Volume], context)?.value;
    let by = part(by, parameter.key(), parameter.dimensions(), context)?;
    let by = super::log::difference_in_own_unit(&by, parameter, &typed.place, context)?;
    Some(Located::new(Raise { dose, litres, by }, typed.place))
}
