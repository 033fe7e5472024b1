//! `log/*.yaml`: entries.

use std::collections::BTreeMap;

use crate::diagnostic::{Kind, Place};
use crate::read::{Content, Document, Node};
use crate::record::entry::*;
use crate::record::fields::{self, Context, Fields};
use crate::record::supply::KitMethod;
use crate::record::timeline::Located;
use crate::record::{Parameter, Tank};
use crate::units::{self, Bound, Dimension, Quantity, Species, Unit};

/// Entries of one file, each with the tank it names, if it names one.
pub fn entries(document: &Document, tank: &Tank, context: &mut Context) -> Vec<(Option<Located<String>>, Entry)> {
    let mut found = Vec::new();
    let Content::Map(pairs) = &document.root.content else {
        if !matches!(document.root.content, Content::Null) {
            let wanted = "entries, each under its date, as `2026-10-03 21:10:`".to_string();
            context.note(Kind::WrongShape { wanted, got: document.root.content.words().into() }, &document.root.place);
        }
        return found;
    };
    for (key, value) in pairs {
        let Some(typed) = fields::text(key, context) else {
            continue;
        };
        let Some((when, has_time)) = fields::parse_moment(&typed.value, &typed.place, context) else {
            continue;
        };
        fields::not_ahead(when.date(), &typed.place, context);
        if let Some(entry) = entry(value, when, has_time, &typed.place, tank, context) {
            found.push(entry);
        }
    }
    found
}

fn entry(
    node: &Node,
    when: jiff::civil::DateTime,
    has_time: bool,
    place: &Place,
    tank: &Tank,
    context: &mut Context,
) -> Option<(Option<Located<String>>, Entry)> {
    let mut entry = blank(when, has_time, place.clone());
    match &node.content {
        // A date with nothing under it: "nothing to report".
        Content::Null => {
            entry.quiet = true;
            return Some((None, entry));
        }
        Content::Scalar { text, .. } => {
            if text.trim().eq_ignore_ascii_case("nothing to report") {
                entry.quiet = true;
            } else {
                entry.note = Some(Located::new(text.trim().to_string(), node.place.clone()));
            }
            return Some((None, entry));
        }
        _ => {}
    }
    let mut map = Fields::of(node, "an entry", context)?;
    for parameter in Parameter::ALL {
        if let Some(node) = map.take(parameter.key())
            && let Some(reading) = reading(node, parameter, tank, context)
        {
            entry.readings.push(reading);
        }
    }
    entry.top_off = map.quantity("top-off", &[Dimension::Volume], context);
    entry.skimmate = map.quantity("skimmate", &[Dimension::Volume], context);
    entry.water_change = map.take("water-change").and_then(|node| water_change(node, context));
    entry.doses = map.take("dose").map(|node| amounts(node, "a dose", context)).unwrap_or_default();
    entry.feeds = map.take("feed").map(|node| amounts(node, "a feed", context)).unwrap_or_default();
    entry.harvests = map.take("harvest").map(|node| amounts(node, "a harvest", context)).unwrap_or_default();
    entry.done = fields::each(map.take("done"), |item| fields::name(item, context));
    entry.seen = map.take("seen").map(|node| seen(node, context)).unwrap_or_default();
    entry.note = map.text("note", context);
    entry.event = map.take("event").and_then(|node| event(node, context));
    entry.changed = map.take("changed").map(|node| changed(node, context)).unwrap_or_default();
    entry.meter = map.quantity("meter", &[Dimension::Energy], context);
    entry.flow_tests = map.take("flow-test").map(|node| flow_tests(node, context)).unwrap_or_default();
    entry.ask = map.take("ask").and_then(|node| question(node, context));
    entry.answer = map.take("answer").and_then(|node| answer(node, context));
    entry.photos = fields::each(map.take("photos"), |item| photo_use(item, context));
    entry.quiet = map.yes_no("quiet", context).is_some_and(|quiet| quiet.value == crate::record::YesNo::Yes);
    entry.correction = map.text("correction", context);
    let tank = map.take("tank").and_then(|node| fields::name(node, context));
    map.finish(context);
    Some((tank, entry))
}

fn blank(when: jiff::civil::DateTime, has_time: bool, place: Place) -> Entry {
    Entry {
        when,
        has_time,
        readings: Vec::new(),
        top_off: None,
        skimmate: None,
        water_change: None,
        doses: Vec::new(),
        feeds: Vec::new(),
        harvests: Vec::new(),
        done: Vec::new(),
        seen: Vec::new(),
        note: None,
        event: None,
        changed: BTreeMap::new(),
        meter: None,
        flow_tests: Vec::new(),
        ask: None,
        answer: None,
        photos: Vec::new(),
        quiet: false,
        correction: None,
        place,
    }
}

fn reading(node: &Node, parameter: Parameter, tank: &Tank, context: &mut Context) -> Option<Reading> {
    let (value, kit, lot, method) = match &node.content {
        Content::Map(_) => {
            let mut map = Fields::of(node, "a reading", context)?;
            let value = map.need("value", "value: 7.9 dKH", context);
            let kit = map.take("kit").and_then(|node| fields::name(node, context));
            let lot = map.plain("lot", context);
            let method = map.word("method", KitMethod::WORDS, context);
            map.finish(context);
            (value?, kit, lot, method)
        }
        _ => (node, None, None, None),
    };
    let typed = fields::text(value, context)?;
    let usual = usual_unit(parameter, tank);
    let (bound, mut quantity) = match units::parse_bounded(&typed.value, parameter.dimensions(), usual) {
        Ok(parsed) => parsed,
        Err(problem) => {
            let what = parameter.key();
            context.note(fields::problem_kind(problem, what, &typed.value, parameter.dimensions()), &typed.place);
            return None;
        }
    };
    check_form(&quantity, parameter, usual, &typed.place, context)?;
    // `5 mg/L` beside a usual unit of `mg/L NO3-N` is nitrogen: the form goes with the reading from here on.
    if quantity.dimension == Dimension::Concentration && quantity.species.is_none() {
        quantity.species = usual.and_then(|unit| unit.species);
    }
    check_physical(&quantity, parameter, &typed.place, context)?;
    // A reading by another method than the usual kit's is not that kit's.
    let kit = kit.or_else(|| method.is_none().then(|| tank.usual_kits.get(&parameter).cloned()).flatten());
    Some(Reading { parameter, bound, quantity, kit, lot, method, place: typed.place })
}

/// The unit that a bare number of this parameter is in.
pub fn usual_unit(parameter: Parameter, tank: &Tank) -> Option<&'static Unit> {
    tank.usual_units.get(&parameter).copied().or_else(|| unit_of_ph(parameter))
}

/// pH has one unit only; writing it is never needed.
pub fn unit_of_ph(parameter: Parameter) -> Option<&'static Unit> {
    (parameter == Parameter::Ph).then(|| units::unit_named("pH")).flatten()
}

fn check_physical(quantity: &Quantity, parameter: Parameter, place: &Place, context: &mut Context) -> Option<()> {
    let limits = match quantity.dimension {
        Dimension::SpecificGravity => (0.99, 1.06),
        Dimension::Conductivity => (0.0, 100.0),
        _ => parameter.physical_range(),
    };
    let what = match parameter {
        Parameter::Temperature => "water temperature",
        other => other.key(),
    };
    fields::in_range(what, quantity, place, limits, context).then_some(())
}

/// `mg/L` alone does not say whether NO3 or NO3-N is meant; the usual unit may.
pub fn check_form(
    quantity: &Quantity,
    parameter: Parameter,
    usual: Option<&'static Unit>,
    place: &Place,
    context: &mut Context,
) -> Option<()> {
    let settled = quantity.species.is_some() || usual.is_some_and(|unit| unit.species.is_some());
    if quantity.dimension != Dimension::Concentration || settled || !parameter.has_several_forms() {
        return Some(());
    }
    let forms: &[&str] = match parameter {
        Parameter::Nitrate => &["NO3", "NO3-N"],
        Parameter::Nitrite => &["NO2", "NO2-N"],
        Parameter::Phosphate => &["PO4", "P"],
        _ => &["NH3", "N"],
    };
    let number = format!("{} {}", quantity.typed, quantity.unit.symbol);
    let kind = Kind::AmbiguousSpecies {
        quantity: parameter.key().into(),
        typed: number.clone(),
        choices: forms.iter().map(|form| format!("{number} {form}")).collect(),
    };
    context.note(kind, place);
    None
}

/// The value in the parameter's own unit. Salinity written as specific gravity or conductivity is left to the figures,
/// which know the instrument; a band in such a unit is refused.
pub fn in_own_unit(
    quantity: &Quantity,
    parameter: Parameter,
    usual: Option<&'static Unit>,
    place: &Place,
    context: &mut Context,
) -> Option<f64> {
    check_form(quantity, parameter, usual, place, context)?;
    if quantity.dimension != parameter.dimension() {
        let kind = Kind::WrongDimension {
            quantity: parameter.key().into(),
            wanted: parameter.dimension().name().to_string(),
            got: quantity.dimension.name().to_string(),
            example: format!("35 {}", parameter.unit()),
        };
        context.note(kind, place);
        return None;
    }
    Some(ion_value(quantity, usual))
}

/// A difference (an uncertainty) in the parameter's own unit: specific gravity is turned by 0.00075 a ppt.
pub fn difference_in_own_unit(
    quantity: &Quantity,
    parameter: Parameter,
    place: &Place,
    context: &mut Context,
) -> Option<f64> {
    match quantity.dimension {
        // 1 ppt is 0.00075 in specific gravity near 35 (practice of the trade; EOS-80 gives 0.00074 to 0.00076).
        Dimension::SpecificGravity => Some(quantity.value / 0.00075),
        // Near 35 and 25 °C, 1 mS/cm is 0.74 in practical salinity (PSS-78, by difference).
        Dimension::Conductivity => Some(quantity.value * 0.74),
        // `0.2 °C` was parsed as a temperature; as a difference its zero is the same for Celsius only.
        Dimension::Temperature if quantity.unit.symbol.contains('F') => Some(quantity.typed / 1.8),
        _ => {
            check_form(quantity, parameter, None, place, context)?;
            Some(ion_value(quantity, None))
        }
    }
}

/// A concentration as the parameter's own ion; anything else as it is.
pub fn ion_value(quantity: &Quantity, usual: Option<&'static Unit>) -> f64 {
    if quantity.dimension != Dimension::Concentration {
        return quantity.value;
    }
    let species: Option<Species> = quantity.species.or_else(|| usual.and_then(|unit| unit.species));
    let mut as_species = quantity.clone();
    as_species.species = species;
    units::to_canonical_ion(&as_species)
}

fn water_change(node: &Node, context: &mut Context) -> Option<WaterChange> {
    if !matches!(node.content, Content::Map(_)) {
        let volume = fields::quantity(node, "water-change", &[Dimension::Volume], None, context)?;
        return Some(WaterChange { volume, salinity: None, temperature: None, salt: None });
    }
    let mut map = Fields::of(node, "a water change", context)?;
    let volume = map
        .need("volume", "volume: 11 L", context)
        .and_then(|node| fields::quantity(node, "water-change", &[Dimension::Volume], None, context));
    let salinity = map.quantity("salinity", Parameter::Salinity.dimensions(), context);
    let temperature = map.quantity("temperature", &[Dimension::Temperature], context);
    let salt = map.take("salt").and_then(|node| fields::name(node, context));
    map.finish(context);
    Some(WaterChange { volume: volume?, salinity, temperature, salt })
}

fn amounts(node: &Node, what: &str, context: &mut Context) -> Vec<Amount> {
    let Some(mut map) = Fields::of(node, what, context) else {
        return Vec::new();
    };
    let wanted = [Dimension::Volume, Dimension::Mass];
    let mut found = Vec::new();
    for (name, key, value) in map.rest() {
        let (total, over_days) = match &value.content {
            Content::Map(_) => {
                let Some(mut map) = Fields::of(value, what, context) else {
                    continue;
                };
                let total = map.need("total", "total: 8.4 mL", context);
                let over = map.duration("over", context).map_or(1.0, |over| over.value / 24.0);
                map.finish(context);
                let Some(total) = total else { continue };
                (total, over)
            }
            _ => (value, 1.0),
        };
        if let Some(amount) = fields::quantity(total, what, &wanted, None, context) {
            found.push(Amount { of: Located::new(name, key.place.clone()), amount, over_days });
        }
    }
    found
}

fn seen(node: &Node, context: &mut Context) -> Vec<(Located<String>, String)> {
    if matches!(node.content, Content::Scalar { .. }) {
        return Vec::new();
    }
    let Some(mut map) = Fields::of(node, "what was seen", context) else {
        return Vec::new();
    };
    map.rest()
        .into_iter()
        .filter_map(|(name, key, value)| {
            fields::text(value, context).map(|text| (Located::new(name, key.place.clone()), text.value))
        })
        .collect()
}

fn event(node: &Node, context: &mut Context) -> Option<Event> {
    if !matches!(node.content, Content::Map(_)) {
        let what = fields::text(node, context)?;
        let kind = kind_in_words(&what.value);
        return Some(Event { what, kind, lasted_hours: None, until: None });
    }
    let mut map = Fields::of(node, "an event", context)?;
    let what = map.need("what", "what: power cut", context).and_then(|node| fields::text(node, context));
    let kind = map.word("kind", EventKind::WORDS, context).map(|kind| kind.value);
    let lasted_hours = map.duration("lasted", context).map(|lasted| lasted.value);
    let until = map.past_date("until", context).map(|until| until.value);
    map.finish(context);
    let what = what?;
    let kind = kind.unwrap_or_else(|| kind_in_words(&what.value));
    Some(Event { what, kind, lasted_hours, until })
}

/// `event: power cut, two hours` names its kind in its first words.
fn kind_in_words(what: &str) -> EventKind {
    let name = fields::name_of(what);
    EventKind::WORDS.iter().find(|(word, _)| name.starts_with(word)).map_or(EventKind::Other, |(_, kind)| *kind)
}

fn changed(node: &Node, context: &mut Context) -> BTreeMap<Lane, Located<String>> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, "what changed", context) else {
        return found;
    };
    for (word, lane) in Lane::WORDS {
        if let Some(text) = map.text(word, context) {
            found.insert(*lane, text);
        }
    }
    map.finish(context);
    found
}

fn flow_tests(node: &Node, context: &mut Context) -> Vec<(Located<String>, Quantity)> {
    let Some(mut map) = Fields::of(node, "a flow test", context) else {
        return Vec::new();
    };
    map.rest()
        .into_iter()
        .filter_map(|(name, key, value)| {
            let flow = fields::quantity(value, "flow", &[Dimension::VolumeRate], None, context)?;
            Some((Located::new(name, key.place.clone()), flow.value))
        })
        .collect()
}

fn question(node: &Node, context: &mut Context) -> Option<Question> {
    if !matches!(node.content, Content::Map(_)) {
        return fields::text(node, context).map(|what| Question { what, by: None, id: None });
    }
    let mut map = Fields::of(node, "a question", context)?;
    let what = map.need("what", "what: \"Leather open again?\"", context).and_then(|node| fields::text(node, context));
    let by = map.date("by", context);
    let id = map.plain("id", context);
    map.finish(context);
    Some(Question { what: what?, by, id })
}

fn answer(node: &Node, context: &mut Context) -> Option<Answer> {
    let mut map = Fields::of(node, "an answer", context)?;
    let to = map.need("to", "to: \"Leather open again?\"", context).and_then(|node| fields::text(node, context));
    let say = map.need("say", "say: \"Yes, after nine days.\"", context).and_then(|node| fields::text(node, context));
    map.finish(context);
    Some(Answer { to: to?, say: say?.value })
}

fn photo_use(node: &Node, context: &mut Context) -> Option<PhotoUse> {
    let bare = |file| PhotoUse { file, caption: None, of: Vec::new(), view: None, lamp: None };
    if !matches!(node.content, Content::Map(_)) {
        return fields::text(node, context).map(bare);
    }
    let mut map = Fields::of(node, "a photo", context)?;
    let file = map.need("file", "file: 2026-10-03-front.jpg", context).and_then(|node| fields::text(node, context));
    let mut photo = bare(file?);
    photo.caption = map.plain("caption", context);
    photo.of = super::story::names(&mut map, context);
    photo.view = map.plain("view", context);
    photo.lamp = map.plain("lamp", context);
    map.finish(context);
    Some(photo)
}
/// Readers outside the log turn bounds into words.
pub fn bound_word(bound: Bound) -> &'static str {
    match bound {
        Bound::Exactly => "",
        Bound::Below => "below ",
        Bound::Above => "above ",
    }
}
