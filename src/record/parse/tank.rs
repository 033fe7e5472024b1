//! `tank.yaml`.

use std::collections::BTreeMap;

use super::{compare, electricity, room};
use crate::diagnostic::Kind;
use crate::read::{Content, Document, Node};
use crate::record::fields::{self, Context, Fields};
use crate::record::tank::*;
use crate::record::timeline::Located;
use crate::record::{Parameter, Upkeep, YesNo};
use crate::units::{self, Dimension, Unit};

pub fn tank(document: &Document, key: &str, context: &mut Context) -> Option<Tank> {
    let mut map = Fields::of(&document.root, "a tank", context)?;
    let name = map.need("name", "name: Kitchen lagoon", context).and_then(|node| fields::text(node, context));
    let started = map.need("started", "started: 2024-09-07", context).and_then(|node| fields::past_date(node, context));
    let zone = map
        .need("zone", "zone: Europe/Lisbon", context)
        .and_then(|node| fields::text(node, context))
        .and_then(|typed| zone_named(&typed, context));
    let about = map.plain("about", context);
    let ended = map.past_date("ended", context);
    let country = map.text("country", context);
    let size = map.take("size").and_then(|node| fields::lengths::<3>(node, "size", context));
    let glass = map.quantity("glass", &[Dimension::Length], context);
    let bottom_glass = map.quantity("bottom-glass", &[Dimension::Length], context);
    let water_depth = map.quantity("water-depth", &[Dimension::Length], context);
    let (mut sand_mass, mut sand_depth) = (None, None);
    if let Some(node) = map.take("sand") {
        if matches!(node.content, Content::Map(_)) {
            if let Some(mut sand) = Fields::of(node, "sand", context) {
                sand_mass = sand.quantity("mass", &[Dimension::Mass], context);
                sand_depth = sand.quantity("depth", &[Dimension::Length], context);
                sand.finish(context);
            }
        } else {
            sand_mass = fields::quantity(node, "sand", &[Dimension::Mass], None, context);
        }
    }
    let rock = map.quantity("rock", &[Dimension::Mass], context);
    let lid = map.take("lid").and_then(|node| room::lid(node, context));
    let mat = map.quantity("mat", &[Dimension::Length], context);
    let (mut sump_size, mut sump_water_depth, mut sump_glass) = (None, None, None);
    if let Some(mut sump) = map.take("sump").and_then(|node| Fields::of(node, "a sump", context)) {
        sump_size = sump.take("size").and_then(|node| fields::lengths::<3>(node, "size", context));
        sump_water_depth = sump.quantity("water-depth", &[Dimension::Length], context);
        sump_glass = sump.quantity("glass", &[Dimension::Length], context);
        sump.finish(context);
    }
    let overflow = map.take("overflow").and_then(|node| overflow(node, context));
    let turnover = map.take("turnover").map(|node| turnover(node, context)).unwrap_or_default();
    let water = map
        .need("water", "water: 75 L, counted at fill", context)
        .map(|node| fields::timeline(node, context, |node, _, context| water_volume(node, context)))
        .unwrap_or_default();
    let temperatures: &[Dimension] = &[Dimension::Temperature];
    let room = ranges(map.take("room"), "room", temperatures, context);
    let room_humidity = ranges(map.take("room-humidity"), "room-humidity", &[Dimension::Fraction], context);
    let room_by_month = map.take("room-by-month").map(|node| room::by_month(node, context)).unwrap_or_default();
    let electricity = map
        .take("electricity")
        .map(|node| fields::timeline(node, context, electricity::electricity))
        .unwrap_or_default();
    let floor = map.word("floor", FLOORS, context);
    let floor_construction = map.text("floor-construction", context);
    let stand = map.take("stand").and_then(|node| stand(node, context));
    let kind = map.word("kind", TANK_KINDS, context);
    let usual_units = map.take("usual-units").map(|node| usual_units(node, context)).unwrap_or_default();
    let usual_kits = map.take("usual-kits").map(|node| usual_kits(node, context)).unwrap_or_default();
    let bands = map.take("bands").map(|node| bands(node, &usual_units, context)).unwrap_or_default();
    let targets = map.take("targets").map(|node| values(node, "targets", &usual_units, context)).unwrap_or_default();
    let top_off_water =
        map.take("top-off-water").map(|node| values(node, "top-off water", &usual_units, context)).unwrap_or_default();
    let salt = map.take("salt").and_then(|node| fields::name(node, context));
    let limits = map.take("limits").map(|node| limits(node, &usual_units, context)).unwrap_or_default();
    let hero = map.text("hero", context);
    let first_day = started.as_ref().map(|started| started.value);
    let compare = map.take("compare").map(|node| compare::pairs(node, first_day, context)).unwrap_or_default();
    let publish_lag_days = map.duration("publish-lag", context).map_or(0, |lag| (lag.value / 24.0).ceil() as i64);
    let site = super::site::site(&mut map, context);
    let children_under_5 = map.take("household").and_then(|node| Fields::of(node, "a household", context)).map_or(
        YesNo::Unknown,
        |mut household| {
            let children = household.yes_no_or_unknown("children-under-5", context);
            household.take("pets");
            household.finish(context);
            children
        },
    );
    let contacts = map.take("contacts").map(super::sitter::contacts).unwrap_or_default();
    let acknowledged = map.take("acknowledged").map(|node| acknowledged(node, context)).unwrap_or_default();
    let place = map.place().clone();
    map.finish(context);
    Some(Tank {
        key: key.to_string(),
        name: name?,
        about,
        started: started?,
        ended,
        zone: zone?,
        country,
        size,
        glass,
        bottom_glass,
        water_depth,
        sand_mass,
        sand_depth,
        rock,
        lid,
        mat,
        sump_size,
        sump_water_depth,
        sump_glass,
        overflow,
        turnover,
        water,
        room,
        room_humidity,
        room_by_month,
        limits,
        electricity,
        floor,
        floor_construction,
        stand,
        kind,
        usual_units,
        usual_kits,
        bands,
        targets,
        top_off_water,
        salt,
        hero,
        compare,
        publish_lag_days,
        site,
        contacts,
        children_under_5,
        acknowledged,
        place,
        devices: BTreeMap::new(),
        specs: BTreeMap::new(),
        entries: Vec::new(),
        readings: Vec::new(),
        surveys: Vec::new(),
        upkeep: Upkeep::default(),
    })
}

fn overflow(node: &Node, context: &mut Context) -> Option<Overflow> {
    let mut map = Fields::of(node, "an overflow", context)?;
    let overflow = Overflow {
        edge: map.quantity("edge", &[Dimension::Length], context),
        over_edge: map.quantity("over-edge", &[Dimension::Length], context),
        siphon_depth: map.quantity("siphon-depth", &[Dimension::Length], context),
        holds: map.quantity("holds", &[Dimension::Volume], context),
        place: map.place().clone(),
    };
    map.finish(context);
    Some(overflow)
}

/// Bands of turnover in tank volumes an hour: bare numbers, as `10 to 20`.
fn turnover(node: &Node, context: &mut Context) -> BTreeMap<PumpGroup, Located<Band>> {
    let Some(mut map) = Fields::of(node, "bands of turnover", context) else {
        return BTreeMap::new();
    };
    let mut found = BTreeMap::new();
    for (word, group) in PumpGroup::WORDS {
        let band = map.take(word).and_then(|node| fields::range(node, "turnover", &[Dimension::Count], None, context));
        if let Some(band) = band {
            let value = Band { low: band.value.0.value, high: band.value.1.value };
            found.insert(*group, Located::new(value, band.place));
        }
    }
    map.finish(context);
    found
}

fn zone_named(typed: &Located<String>, context: &mut Context) -> Option<jiff::tz::TimeZone> {
    match jiff::tz::db().get(&typed.value) {
        Ok(zone) => Some(zone),
        Err(_) => {
            let known: Vec<String> = jiff::tz::db().available().map(|name| name.to_string()).collect();
            let kind = Kind::UnknownZone {
                typed: typed.value.clone(),
                nearest: crate::diagnostic::nearest(&typed.value, known.iter().map(String::as_str)),
            };
            context.note(kind, &typed.place);
            None
        }
    }
}

/// The text of a scalar, or of `value:` in a map.
fn value_of<'a>(node: &'a Node, context: &mut Context) -> Option<&'a Node> {
    match &node.content {
        Content::Map(_) => {
            let mut map = Fields::of(node, "what was set", context)?;
            map.take("since");
            let value = map.need("value", "{since: 2025-05-01, value: …}", context);
            map.finish(context);
            value
        }
        _ => Some(node),
    }
}

fn water_volume(node: &Node, context: &mut Context) -> Option<WaterVolume> {
    let typed = fields::text(value_of(node, context)?, context)?;
    let bases = [
        ("counted at fill", VolumeBasis::CountedAtFill),
        ("tracer", VolumeBasis::Tracer),
        ("stated", VolumeBasis::Stated),
        ("geometry", VolumeBasis::Geometry),
    ];
    if typed.value.trim().eq_ignore_ascii_case("geometry") {
        return Some(WaterVolume { volume: None, by: VolumeBasis::Geometry });
    }
    // `75 L, counted at fill`: the last comma parts volume and basis; a decimal comma is caught by the units.
    let (volume, by) = match typed.value.rsplit_once(',') {
        Some((volume, by)) if by.trim().chars().next().is_some_and(char::is_alphabetic) => (volume, Some(by.trim())),
        _ => (typed.value.as_str(), None),
    };
    let by = match by {
        None => VolumeBasis::Stated,
        Some(word) => match bases.iter().find(|(known, _)| *known == word.to_lowercase()) {
            Some((_, basis)) => *basis,
            None => {
                let kind = Kind::WrongWord {
                    what: "how the water volume is known".into(),
                    typed: word.into(),
                    allowed: bases.iter().map(|(known, _)| known.to_string()).collect(),
                    nearest: crate::diagnostic::nearest(word, bases.iter().map(|(known, _)| *known)),
                };
                context.note(kind, &typed.place);
                return None;
            }
        },
    };
    match units::parse(volume, &[Dimension::Volume], None) {
        Ok(volume) if volume.value > 0.0 => Some(WaterVolume { volume: Some(volume), by }),
        Ok(volume) => {
            fields::in_range("water volume", &volume, &typed.place, (0.1, 1e6), context);
            None
        }
        Err(problem) => {
            context.note(fields::problem_kind(problem, "water", volume, &[Dimension::Volume]), &typed.place);
            None
        }
    }
}

fn ranges(
    node: Option<&Node>,
    what: &'static str,
    wanted: &'static [Dimension],
    context: &mut Context,
) -> crate::record::Timeline<(units::Quantity, units::Quantity)> {
    node.map(|node| {
        fields::timeline(node, context, |node, _, context| {
            let node = value_of(node, context)?;
            fields::range(node, what, wanted, None, context).map(|range| range.value)
        })
    })
    .unwrap_or_default()
}

fn stand(node: &Node, context: &mut Context) -> Option<Stand> {
    let mut map = Fields::of(node, "a stand", context)?;
    let stand = Stand {
        mass: map.quantity("mass", &[Dimension::Mass], context),
        footprint: map.take("footprint").and_then(|node| fields::lengths::<2>(node, "footprint", context)),
        home_built: map.word("built", BUILT, context).map(|built| built.value),
        height: map.quantity("height", &[Dimension::Length], context),
        place: map.place().clone(),
    };
    map.take("age");
    map.finish(context);
    Some(stand)
}

fn usual_units(node: &Node, context: &mut Context) -> BTreeMap<Parameter, &'static Unit> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, "usual units", context) else {
        return found;
    };
    for (name, key, value) in map.rest() {
        let (Some(parameter), Some(typed)) =
            (fields::parameter(&name, &key.place, context), fields::text(value, context))
        else {
            continue;
        };
        match units::usual_unit(&typed.value) {
            Ok(unit) if parameter.dimensions().contains(&unit.dimension) => {
                found.insert(parameter, unit);
            }
            Ok(unit) => {
                let kind = Kind::WrongDimension {
                    quantity: parameter.key().into(),
                    wanted: parameter.dimension().name().to_string(),
                    got: unit.dimension.name().to_string(),
                    example: format!("{}: {}", parameter.key(), parameter.unit()),
                };
                context.note(kind, &typed.place);
            }
            Err(problem) => {
                let kind = fields::problem_kind(problem, parameter.key(), &typed.value, parameter.dimensions());
                context.note(kind, &typed.place);
            }
        }
    }
    found
}

fn usual_kits(node: &Node, context: &mut Context) -> BTreeMap<Parameter, Located<String>> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, "usual kits", context) else {
        return found;
    };
    for (name, key, value) in map.rest() {
        if let (Some(parameter), Some(kit)) =
            (fields::parameter(&name, &key.place, context), fields::name(value, context))
        {
            found.insert(parameter, kit);
        }
    }
    found
}

fn bands(
    node: &Node,
    usual: &BTreeMap<Parameter, &'static Unit>,
    context: &mut Context,
) -> BTreeMap<Parameter, crate::record::Timeline<Band>> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, "bands", context) else {
        return found;
    };
    for (name, key, value) in map.rest() {
        let Some(parameter) = fields::parameter(&name, &key.place, context) else {
            continue;
        };
        let usual = usual.get(&parameter).copied();
        let timeline = fields::timeline(value, context, |node, _, context| {
            band(value_of(node, context)?, parameter, usual, context)
        });
        found.insert(parameter, timeline);
    }
    found
}

/// A value for each of some parameters, in their own units, each one value or a list with `since`.
fn values(
    node: &Node,
    within: &str,
    usual: &BTreeMap<Parameter, &'static Unit>,
    context: &mut Context,
) -> BTreeMap<Parameter, crate::record::Timeline<f64>> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, within, context) else {
        return found;
    };
    for (name, key, value) in map.rest() {
        let Some(parameter) = fields::parameter(&name, &key.place, context) else {
            continue;
        };
        let usual = usual.get(&parameter).copied().or_else(|| super::log::unit_of_ph(parameter));
        let timeline = fields::timeline(value, context, |node, _, context| {
            let node = value_of(node, context)?;
            let quantity = fields::quantity(node, parameter.key(), parameter.dimensions(), usual, context)?;
            super::log::in_own_unit(&quantity.value, parameter, usual, &quantity.place, context)
        });
        found.insert(parameter, timeline);
    }
    found
}

/// As bands, without dates: where harm begins does not change with the keeper's aims.
fn limits(
    node: &Node,
    usual: &BTreeMap<Parameter, &'static Unit>,
    context: &mut Context,
) -> BTreeMap<Parameter, Located<Band>> {
    let mut found = BTreeMap::new();
    let Some(mut map) = Fields::of(node, "limits", context) else {
        return found;
    };
    for (name, key, value) in map.rest() {
        if let Some(parameter) = fields::parameter(&name, &key.place, context)
            && let Some(limit) = band(value, parameter, usual.get(&parameter).copied(), context)
        {
            found.insert(parameter, Located::new(limit, value.place.clone()));
        }
    }
    found
}

fn band(node: &Node, parameter: Parameter, usual: Option<&'static Unit>, context: &mut Context) -> Option<Band> {
    // pH is a pure number: a band of it needs no unit.
    let usual = usual.or_else(|| super::log::unit_of_ph(parameter));
    let range = fields::range(node, parameter.key(), parameter.dimensions(), usual, context)?;
    let mut ends = [0.0; 2];
    for (end, quantity) in ends.iter_mut().zip([&range.value.0, &range.value.1]) {
        *end = super::log::in_own_unit(quantity, parameter, usual, &range.place, context)?;
    }
    if ends[0] > ends[1] {
        let typed = fields::text(node, context)?.value;
        let kind = Kind::NotANumber { typed, wanted: "a band from low to high, as `2 to 15`".into() };
        context.note(kind, &range.place);
        return None;
    }
    Some(Band { low: ends[0], high: ends[1] })
}

fn acknowledged(node: &Node, context: &mut Context) -> Vec<Acknowledged> {
    let mut found = Vec::new();
    for item in fields::items(node) {
        let Some(mut map) = Fields::of(item, "an acknowledged caution", context) else {
            continue;
        };
        let caution = map.need("caution", "caution: load.floor", context).and_then(|node| fields::text(node, context));
        let reason = map.need("reason", "reason: …", context).and_then(|node| fields::text(node, context));
        let on = map.need("on", "on: 2025-01-31", context).and_then(|node| fields::past_date(node, context));
        map.finish(context);
        if let (Some(caution), Some(reason), Some(on)) = (caution, reason, on) {
            found.push(Acknowledged { caution, reason: reason.value, on: on.value });
        }
    }
    found
}
