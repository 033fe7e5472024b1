//! `equipment/*.yaml` and `specs/*.md`.

use std::collections::BTreeMap;

use crate::diagnostic::Kind;
use crate::read::{Content, Document, Node};
use crate::record::equipment::*;
use crate::record::fields::{self, Context, Fields};
use crate::record::timeline::Located;
use crate::science::dimming::DimmingCurve;
use crate::science::plumbing::Fitting;
use crate::units::{self, Dimension};

pub fn device(document: &Document, context: &mut Context) -> Option<Device> {
    let mut map = Fields::of(&document.root, "a device", context)?;
    let name = map.need("name", "name: Lamp", context).and_then(|node| fields::text(node, context));
    let role =
        map.need("role", "role: lamp", context).and_then(|node| fields::word(node, "role", Role::WORDS, context));
    let spec = map.take("spec").and_then(|node| fields::name(node, context));
    let in_service =
        map.need("in-service", "in-service: 2024-09-07", context).and_then(|node| fields::past_date(node, context));
    let out_of_service = map.past_date("out-of-service", context);
    let watts = map.quantity("watts", &[Dimension::Power], context);
    let standby = map.quantity("standby", &[Dimension::Power], context);
    let settings = map
        .take("settings")
        .map(|node| fields::timeline(node, context, |node, _, context| settings(node, context)))
        .unwrap_or_default();
    let head = map.quantity("head", &[Dimension::Length], context);
    let plumbing = map.take("plumbing").map(|node| plumbing(node, context)).unwrap_or_default();
    let dimming = map.take("dimming").and_then(|node| dimming(node, context));
    let position = map.word("position", Position::WORDS, context);
    let mains = map.yes_no_or_unknown("mains", context);
    let stands_in = map.word("stands-in", StandsIn::WORDS, context);
    let place_in_tank = map.take("place").and_then(|node| spot(node, context));
    let front = map.take("front").and_then(|node| super::sitter::front(node, context));
    let plugged = map.take("plugged").and_then(|node| fields::name(node, context));
    let protection = map.take("protection").and_then(|node| fields::name(node, context));
    let rating = map.quantity("rating", &[Dimension::Current, Dimension::Power], context);
    let on_extension = map.yes_no_or_unknown("on-extension", context);
    let reservoir = map.quantity("reservoir", &[Dimension::Volume], context);
    let capacity = map.quantity("capacity", &[Dimension::Energy], context);
    let runs = map
        .take("runs")
        .map(|node| fields::items(node).into_iter().filter_map(|item| fields::name(item, context)).collect())
        .unwrap_or_default();
    let forgets = map.take("forgets").and_then(|node| forgets(node, context));
    let listed_mark = map.yes_no_or_unknown("listed-mark", context);
    let home_made = map.word("made", MADE, context).is_some_and(|made| made.value);
    let bought_on = map.past_date("bought-on", context);
    let metal_hardware = map.yes_no_or_unknown("metal-hardware", context);
    let coin_cell = map.yes_no_or_unknown("coin-cell", context);
    map.take("locked");
    let why = map.plain("why", context);
    let again = map.take("again").and_then(|node| again(node, context));
    let photo = map.text("photo", context);
    let note = map.note_text(context);
    let place = map.place().clone();
    map.finish(context);
    if let (Some(start), Some(end)) = (&in_service, &out_of_service)
        && end.value < start.value
    {
        let kind = Kind::Contradiction {
            what: "out of service before it was in service".into(),
            why: format!("in service since {}", start.value),
            suggestion: None,
        };
        context.note(kind, &end.place);
    }
    Some(Device {
        key: document.name.clone(),
        name: name?,
        role: role?,
        spec,
        in_service: in_service?,
        out_of_service,
        watts,
        standby,
        settings,
        head,
        plumbing,
        dimming,
        position,
        mains,
        stands_in,
        place_in_tank,
        front,
        plugged,
        protection,
        rating,
        on_extension,
        reservoir,
        capacity,
        runs,
        forgets,
        listed_mark,
        home_made,
        bought_on,
        metal_hardware,
        coin_cell,
        why,
        again,
        photo,
        note,
        place,
    })
}

/// Level to light: `{25 %: 20 %, 50 %: 46 %, 100 %: 100 %}`, or the light read at one place at each level.
fn dimming(node: &Node, context: &mut Context) -> Option<Located<DimmingCurve>> {
    let Content::Map(pairs) = &node.content else {
        if let Some(map) = Fields::of(node, "a dimming curve", context) {
            map.finish(context);
        }
        return None;
    };
    let lights = [Dimension::Fraction, Dimension::PhotonFlux, Dimension::Illuminance];
    let mut points = Vec::new();
    let mut read_in: Option<Dimension> = None;
    for (level, light) in pairs {
        let level = fields::quantity(level, "level", &[Dimension::Fraction], None, context)?;
        let light =
            fields::quantity(light, "light", read_in.as_ref().map_or(&lights, std::slice::from_ref), None, context)?;
        read_in = Some(light.value.dimension);
        points.push((level.value.value, light.value.value));
    }
    match DimmingCurve::of_points(&points) {
        Ok(curve) => Some(Located::new(curve, node.place.clone())),
        Err(refusal) => {
            let kind = Kind::Contradiction {
                what: "these levels and lights are no dimming curve".into(),
                why: refusal.to_string(),
                suggestion: Some(
                    "levels up to 100 %, and light that rises with each: `{50 %: 46 %, 100 %: 100 %}`".into(),
                ),
            };
            context.note(kind, &node.place);
            None
        }
    }
}

fn plumbing(node: &Node, context: &mut Context) -> Vec<Pipe> {
    fields::items(node).into_iter().filter_map(|item| pipe(item, context)).collect()
}

fn pipe(node: &Node, context: &mut Context) -> Option<Pipe> {
    let mut map = Fields::of(node, "a run of pipe", context)?;
    let length = |key: &'static str, example: &str, limits: (f64, f64), map: &mut Fields, context: &mut Context| {
        let node = map.need(key, example, context)?;
        let length = fields::quantity(node, key, &[Dimension::Length], None, context)?;
        fields::in_range(key, &length.value, &length.place, limits, context).then_some(length)
    };
    let bore = length("bore", "bore: 20 mm", (0.2, 30.0), &mut map, context);
    let run = length("length", "length: 1.5 m", (0.0, 10_000.0), &mut map, context);
    let fittings = map.take("fittings").map(|node| fittings(node, context)).unwrap_or_default();
    let place = map.place().clone();
    map.finish(context);
    Some(Pipe { bore: bore?, length: run?, fittings, place })
}

fn fittings(node: &Node, context: &mut Context) -> Vec<(Fitting, u32)> {
    let Content::Map(pairs) = &node.content else {
        // The wrong shape is told by the fields.
        if let Some(map) = Fields::of(node, "fittings", context) {
            map.finish(context);
        }
        return Vec::new();
    };
    let mut found = Vec::new();
    for (key, value) in pairs {
        let (Some(kind), Some(typed)) =
            (fields::word(key, "fitting", Fitting::WORDS, context), fields::text(value, context))
        else {
            continue;
        };
        match typed.value.parse::<u32>() {
            Ok(count) if count <= 1000 => found.push((kind.value, count)),
            _ => {
                let wanted = "how many there are, as `elbow-90: 3`".to_string();
                context.note(Kind::NotANumber { typed: typed.value, wanted }, &typed.place);
            }
        }
    }
    found
}

fn settings(node: &Node, context: &mut Context) -> Option<Settings> {
    let mut map = Fields::of(node, "settings", context)?;
    map.take("since");
    let settings = Settings {
        level: map.fraction("level", context),
        schedule: map.take("schedule").and_then(|node| schedule(node, context)),
        duty: map.fraction("duty", context),
        temperature: map.quantity("temperature", &[Dimension::Temperature], context),
        thermostat: map.quantity("thermostat", &[Dimension::Temperature], context),
        height: map.quantity("height", &[Dimension::Length], context),
        flow: map.quantity("flow", &[Dimension::VolumeRate], context),
        alarm: map
            .take("alarm")
            .and_then(|node| fields::range(node, "alarm", &[Dimension::Temperature], None, context)),
        longest_run: map.duration("longest-run", context),
        mode: map.plain("mode", context),
        channels: map.take("channels").map(|node| channels(node, context)).unwrap_or_default(),
        why: map.plain("why", context),
    };
    map.finish(context);
    Some(settings)
}

fn channels(node: &Node, context: &mut Context) -> BTreeMap<String, f64> {
    let Some(mut map) = Fields::of(node, "channels", context) else {
        return BTreeMap::new();
    };
    map.rest()
        .into_iter()
        .filter_map(|(name, _, value)| {
            fields::quantity(value, "channel level", &[Dimension::Fraction], None, context)
                .map(|level| (name, level.value.value))
        })
        .collect()
}

fn schedule(node: &Node, context: &mut Context) -> Option<Located<Schedule>> {
    if let Content::List(items) = &node.content {
        let mut points = Vec::new();
        for item in items {
            let Some(mut map) = Fields::of(item, "a point of a schedule", context) else {
                continue;
            };
            let at = map.need("at", "at: \"10:00\"", context).and_then(|node| fields::text(node, context));
            let level = map.fraction("level", context);
            map.finish(context);
            if let (Some(at), Some(level)) = (at, level)
                && let Some(time) = fields::parse_time(&at.value, &at.place, context)
            {
                points.push((time, level.value));
            }
        }
        points.sort_by_key(|(time, _)| *time);
        return Some(Located::new(Schedule::Points(points), node.place.clone()));
    }
    let typed = fields::text(node, context)?;
    let wanted = "`always`, `off`, `10:00 to 19:30` or `10:00 to 19:30, ramp 60 min`";
    let lower = typed.value.to_lowercase();
    if lower == "always" || lower == "off" {
        let schedule = if lower == "always" { Schedule::Always } else { Schedule::Off };
        return Some(Located::new(schedule, typed.place));
    }
    let (span, ramp) = match lower.split_once(',') {
        Some((span, ramp)) => (span.to_string(), Some(ramp.trim().to_string())),
        None => (lower.clone(), None),
    };
    let Some((from, to)) = span.split_once(" to ").or_else(|| span.split_once('–')).or_else(|| span.split_once('-'))
    else {
        context.note(Kind::NotANumber { typed: typed.value.clone(), wanted: wanted.into() }, &typed.place);
        return None;
    };
    let from = fields::parse_time(from, &typed.place, context)?;
    let to = fields::parse_time(to, &typed.place, context)?;
    let ramp = match ramp {
        None => 0.0,
        Some(ramp) => {
            let length = ramp.strip_prefix("ramp").or_else(|| ramp.strip_suffix("ramp")).map(str::trim);
            match length.map(units::parse_duration) {
                Some(Ok(hours)) => hours,
                _ => {
                    context.note(Kind::NotANumber { typed: ramp, wanted: wanted.into() }, &typed.place);
                    return None;
                }
            }
        }
    };
    let reach = hour_of(to) - hour_of(from);
    if 2.0 * ramp > if reach > 0.0 { reach } else { reach + 24.0 } {
        let kind = Kind::Contradiction {
            what: format!("two ramps take longer than from {} to {}", from.strftime("%H:%M"), to.strftime("%H:%M")),
            why: "one goes up and one goes down between the two times".into(),
            suggestion: None,
        };
        context.note(kind, &typed.place);
        return None;
    }
    Some(Located::new(Schedule::Span { from, to, ramp }, typed.place))
}

fn spot(node: &Node, context: &mut Context) -> Option<Spot> {
    let mut map = Fields::of(node, "a place in the tank", context)?;
    let x = map.quantity("x", &[Dimension::Length], context);
    let y = map.quantity("y", &[Dimension::Length], context);
    let depth = map.quantity("depth", &[Dimension::Length], context);
    map.finish(context);
    Some(Spot { x: x?.value.value, y: y?.value.value, depth: depth.map(|depth| depth.value.value) })
}

fn forgets(node: &Node, context: &mut Context) -> Option<Forgets> {
    let mut map = Fields::of(node, "what a device forgets", context)?;
    let forgets = Forgets {
        keeps_settings: map.yes_no_or_unknown("keeps-settings", context),
        keeps_clock: map.yes_no_or_unknown("keeps-clock", context),
        restarts_itself: map.yes_no_or_unknown("restarts-itself", context),
        state_at_power_up: map
            .word("state-at-power-up", PowerUp::WORDS, context)
            .map_or(PowerUp::Unknown, |state| state.value),
        follows_summer_time: map.yes_no_or_unknown("follows-summer-time", context),
        needs_hand: map.plain("needs-hand", context),
        tested_on: map.past_date("tested-on", context),
        place: map.place().clone(),
    };
    map.finish(context);
    Some(forgets)
}

fn again(node: &Node, context: &mut Context) -> Option<Again> {
    if !matches!(node.content, Content::Map(_)) {
        return fields::text(node, context).map(|answer| Again { answer: answer.value, because: None });
    }
    let mut map = Fields::of(node, "whether it would be chosen again", context)?;
    let answer = map.need("answer", "answer: yes", context).and_then(|node| fields::text(node, context));
    let because = map.plain("because", context);
    map.finish(context);
    Some(Again { answer: answer?.value, because })
}

/// Keys of a spec sheet that hold quantities, with what they may be.
const STATED: &[(&str, &[Dimension])] = &[
    ("power", &[Dimension::Power]),
    ("voltage", &[Dimension::Voltage]),
    ("current", &[Dimension::Current]),
    ("flow", &[Dimension::VolumeRate]),
    ("head", &[Dimension::Length]),
    ("luminous-flux", &[Dimension::LuminousFlux]),
    ("cooling", &[Dimension::Power]),
    ("length", &[Dimension::Length]),
    ("diameter", &[Dimension::Length]),
    ("volume", &[Dimension::Volume]),
    ("rating", &[Dimension::Current, Dimension::Power]),
    ("capacity", &[Dimension::Energy]),
];

/// Keys of a spec sheet that are kept as the maker's words.
const WORDS: &[&str] = &["accuracy", "resolution", "lifetime", "spectrum", "immersion-factor", "protection-class"];

pub fn spec_sheet(document: &Document, context: &mut Context) -> Option<SpecSheet> {
    let mut map = Fields::of(&document.root, "a spec sheet", context)?;
    let name = map.need("name", "name: LED bar 86", context).and_then(|node| fields::text(node, context));
    let kind = map.word("kind", Role::WORDS, context);
    let mut stated = Vec::new();
    let mut quantities = BTreeMap::new();
    for (key, wanted) in STATED {
        if let Some(node) = map.take(key)
            && let Some(quantity) = fields::quantity(node, key, wanted, None, context)
        {
            if let Some(text) = fields::text(node, context) {
                stated.push((key.to_string(), text));
            }
            quantities.insert(*key, quantity);
        }
    }
    for key in WORDS {
        if let Some(text) = map.text(key, context) {
            stated.push((key.to_string(), text));
        }
    }
    // A curve in a file is read with the links, where files can be looked up.
    let curve = match map.take("curve") {
        Some(node) if matches!(node.content, Content::Map(_)) => curve(node, context),
        Some(node) => {
            if let Some(text) = fields::text(node, context) {
                stated.push(("curve".into(), text));
            }
            Vec::new()
        }
        None => Vec::new(),
    };
    stated.sort_by_key(|(_, text)| text.place.line);
    let place = map.place().clone();
    map.finish(context);
    super::sheet_power::check(kind.as_ref().map(|kind| kind.value), &quantities, context);
    let prose = document.body.as_ref().map(|body| body.text.clone()).unwrap_or_default();
    Some(SpecSheet {
        key: document.name.clone(),
        name: name?,
        kind,
        power: quantities.remove("power"),
        voltage: quantities.remove("voltage"),
        current: quantities.remove("current"),
        flow: quantities.remove("flow"),
        head: quantities.remove("head"),
        luminous_flux: quantities.remove("luminous-flux"),
        cooling: quantities.remove("cooling"),
        volume: quantities.remove("volume"),
        rating: quantities.remove("rating"),
        capacity: quantities.remove("capacity"),
        curve,
        spectrum: None,
        stated,
        prose,
        place,
    })
}

fn curve(node: &Node, context: &mut Context) -> Vec<(f64, f64)> {
    let Content::Map(pairs) = &node.content else {
        return Vec::new();
    };
    let mut points: Vec<(f64, f64)> = pairs
        .iter()
        .filter_map(|(head, flow)| {
            let head = fields::quantity(head, "head", &[Dimension::Length], None, context)?;
            let flow = fields::quantity(flow, "flow", &[Dimension::VolumeRate], None, context)?;
            Some((head.value.value / 100.0, flow.value.value))
        })
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}
