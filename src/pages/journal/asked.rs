//! What viewers of a tank ask, in about the order in which they ask it, answered from the record. What it does not hold is said.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::gear::{device_href, watts};
use super::settings::{setting_line, setting_rows};
use super::view::*;
use super::{log, story, water};
use crate::figures::energy::METERED_COST_MONTH;
use crate::pages::model::*;
use crate::record::colony::SourceKind;
use crate::record::entry::EventKind;
use crate::record::tank::Floor;
use crate::record::upkeep::{Plan, in_force};
use crate::record::{Colony, Device, Parameter, Role, YesNo, days_between};

/// The first seven, and what else is short: lamp, light, who lives there, size, pumps, nutrients, age and cost.
pub fn glance(view: &View) -> Vec<Fact> {
    let as_of = view.record.as_of;
    let of_role = |role: Role| view.tank.devices_at(as_of).filter(move |device| device.role.value == role);
    let mut facts: Vec<Fact> = of_role(Role::Lamp).map(|lamp| lamp_fact(view, lamp)).collect();
    facts.extend(light(view));
    facts.extend(alive(view));
    facts.extend(size(view));
    facts.extend(pumps(view, of_role(Role::CirculationPump).chain(of_role(Role::ReturnPump)).collect()));
    facts.extend(nutrients(view));
    facts.push(running(view));
    facts.extend(cost(view));
    for (label, key, after) in [
        ("Evaporation", "water.evaporation", " a day"),
        ("Water changed", "water.changed-per-month", " a month"),
        ("Weight when filled", "load.mass-filled", ""),
        ("Work", "upkeep.minutes-per-week", " a week"),
    ] {
        facts.extend(figure(view, label, key, after));
    }
    facts
}

fn figure(view: &View, label: &str, key: &str, after: &str) -> Option<Fact> {
    let figure = view.figure(key)?;
    let value = view.value_of(figure).linked(view.href(&figure_href(key)));
    let mut runs = vec![Run::value(value)];
    if !after.is_empty() {
        runs.push(Run::text(after));
    }
    Some(Fact { basis_word: Some(figure.basis.word().into()), ..Fact::new(label, runs) })
}

/// The glass, and the water in it.
fn size(view: &View) -> Option<Fact> {
    let glass = view.tank.size.as_ref().map(|size| view.size_text(size.value));
    let Some(mut fact) = figure(view, "Size", "water.net-volume", " of water") else {
        return glass.map(|glass| Fact::new("Size", vec![Run::text(glass)]));
    };
    if let Some(glass) = glass {
        fact.runs.insert(0, Run::text(format!("{glass} of glass, ")));
    }
    Some(fact)
}

fn lamp_fact(view: &View, lamp: &Device) -> Fact {
    let mut runs = vec![Run::link(lamp.name.value.clone(), device_href(view, &lamp.key))];
    if let Some(watts) = watts(view, lamp) {
        runs.push(Run::text(", "));
        runs.push(Run::value(watts));
    }
    if let Some(settings) = lamp.settings.at(view.record.as_of) {
        let told: Vec<String> = setting_rows(view, &settings.value)
            .into_iter()
            .filter_map(|(label, text)| match label.as_str() {
                "Level" => Some(text),
                // How it rises and falls stands on its page.
                "Hours" => text.split(", with").next().map(String::from),
                "Height over the water" => Some(format!("{text} over the water")),
                _ => None,
            })
            .collect();
        if !told.is_empty() {
            runs.push(Run::text(format!("; {}", told.join(", "))));
        }
    }
    Fact::new("Lamp", runs)
}

fn light(view: &View) -> Option<Fact> {
    let midday: Vec<f64> =
        view.of.light.iter().filter_map(|light| view.figure(light.par.as_ref()?)).map(|figure| figure.value).collect();
    let daily = story::daily_light(view)?.linked(view.href("light.html"));
    let mut runs = Vec::new();
    if let Some(low) = midday.iter().copied().reduce(f64::min) {
        let high = midday.iter().copied().fold(low, f64::max);
        let text = format!("{} to {}", fixed(low, 0), fixed(high, 0));
        runs.push(Run::value(Shown::new(text, "µmol/m²/s", Basis::Computed).linked(view.href("light.html"))));
        runs.push(Run::text(" at midday, "));
    }
    runs.push(Run::value(daily));
    runs.push(Run::text(" a day"));
    Some(Fact { basis_word: Some("computed".into()), ..Fact::new("Light at the corals", runs) })
}

/// How many colonies live in the tank, and of which kinds; each has its plate further down.
fn alive(view: &View) -> Option<Fact> {
    let colonies: Vec<&Colony> = view.record.colonies_in(&view.tank.key, view.record.as_of).collect();
    let kinds: BTreeSet<_> = colonies.iter().map(|colony| colony.group.value).collect();
    let names: Vec<String> = kinds.into_iter().map(|group| group.shown()).collect();
    let count = sentence_case(&water::counted(colonies.len(), "colony", "colonies"));
    let runs = vec![Run::link(count, "#live-h"), Run::text(format!(": {}", list(&names, 5)))];
    (!colonies.is_empty()).then(|| Fact::new("Who lives here", runs))
}

fn pumps(view: &View, devices: Vec<&Device>) -> Vec<Fact> {
    let mut runs = Vec::new();
    for device in devices {
        if !runs.is_empty() {
            runs.push(Run::text("; "));
        }
        runs.push(Run::link(device.name.value.clone(), device_href(view, &device.key)));
        let key = format!("flow.{}", device.key);
        if let Some(flow) = view.shown(&key) {
            runs.push(Run::text(" "));
            runs.push(Run::value(flow.linked(view.href(&figure_href(&key)))));
        }
        if let Some(settings) = device.settings.at(view.record.as_of) {
            let told = setting_line(view, &settings.value, 2);
            if !told.is_empty() {
                runs.push(Run::text(format!(" ({told})")));
            }
        }
    }
    let pumps = (!runs.is_empty()).then(|| Fact::new("Pumps", runs));
    pumps.into_iter().chain(figure(view, "Turnover", "flow.turnover", "")).collect()
}

/// Nitrate and phosphate as last read, and what is dosed and fed.
fn nutrients(view: &View) -> Option<Fact> {
    let mut runs = Vec::new();
    for parameter in [Parameter::Nitrate, Parameter::Phosphate] {
        if let Some(shown) = view.of.water.get(&parameter).and_then(|state| water::latest(view, state)) {
            if !runs.is_empty() {
                runs.push(Run::text(", "));
            }
            let href = view.href(&format!("water/{}.html", parameter.key()));
            runs.push(Run::link(lower(parameter.shown()), href));
            runs.push(Run::text(" "));
            runs.push(Run::value(shown));
        }
    }
    let dosed = given(view, &view.tank.upkeep.dosing, &view.of.budget.doses);
    if !dosed.is_empty() {
        runs.push(Run::text(if runs.is_empty() { "Dosed: " } else { "; dosed: " }));
        runs.push(Run::link(list(&dosed, 4), view.href("water/index.html")));
    }
    let fed = given(view, &view.tank.upkeep.feeding, &BTreeMap::new());
    if !fed.is_empty() {
        runs.push(Run::text(if runs.is_empty() { "Fed: " } else { "; fed: " }));
        runs.push(Run::link(list(&fed, 4), view.href("upkeep.html")));
    }
    (!runs.is_empty()).then(|| Fact::new("Nutrients", runs))
}

/// What is given by plan, and what was logged in the last 30 days without one, with amounts.
fn given(view: &View, plans: &[Plan], logged: &BTreeMap<String, (f64, f64, &'static str)>) -> Vec<String> {
    let name = |supply: &str| view.record.supplies.get(supply).map(|supply| lower(&supply.name.value));
    let planned = in_force(plans, view.record.as_of);
    let by_plan =
        planned.iter().filter_map(|(supply, plan)| Some(format!("{} {}", name(supply)?, super::upkeep::portion(plan))));
    let by_log = logged
        .iter()
        .filter(|(supply, (recent, ..))| *recent > 0.0 && !planned.contains_key(supply.as_str()))
        .filter_map(|(supply, (recent, _, unit))| {
            let recent = crate::units::round_sig(*recent, 2);
            Some(format!("{} {}\u{a0}{unit} in 30 days", name(supply)?, crate::figures::number(recent)))
        });
    by_plan.chain(by_log).collect()
}

fn running(view: &View) -> Fact {
    let (began, as_of) = (view.tank.started.value, view.record.as_of);
    let mut runs = vec![Run::text(format!("since {}, {} days", date_text(began).text, days_between(began, as_of)))];
    for (index, entry) in view.tank.entries.iter().enumerate() {
        let Some(event) = entry.event.as_ref().filter(|event| is_algae(event.kind)) else {
            continue;
        };
        let until =
            event.until.filter(|until| *until <= as_of).map_or(String::new(), |until| format!(" to {}", short(until)));
        runs.push(Run::text("; "));
        let what = event.kind.word().replace('-', " ");
        runs.push(Run::link(format!("{what} {}{until}", short(entry.date())), view.entry_href(index)));
    }
    Fact::new("Running", runs)
}

fn is_algae(kind: EventKind) -> bool {
    matches!(kind, EventKind::Diatoms | EventKind::GreenFilm)
}

fn short(date: Date) -> String {
    date.strftime("%b %Y").to_string()
}

/// By the meter where it has spoken lately, with what was worked out beside it.
fn cost(view: &View) -> Option<Fact> {
    const WORKED_OUT: (&str, &str) = ("power.cost-per-month", "power.energy-per-day");
    let mut fact = match figure(view, "Cost", METERED_COST_MONTH, " a month by the meter") {
        Some(mut fact) => {
            energy_of(view, "power.metered-per-day", &mut fact);
            fact
        }
        None => {
            let mut fact = figure(view, "Cost", WORKED_OUT.0, " a month")?;
            energy_of(view, WORKED_OUT.1, &mut fact);
            fact
        }
    };
    if let Some(prices) = view.tank.electricity.at(view.record.as_of).map(|stretch| &stretch.value)
        && let Some(tariff) = &prices.tariff
    {
        fact.runs.push(Run::text(format!(" at {}", view.typed(&tariff.value))));
        // With one price alone, whoever multiplies finds another sum.
        for cheap in &prices.off_peak {
            let (from, to) = (cheap.from.strftime("%H:%M"), cheap.to.strftime("%H:%M"));
            fact.runs.push(Run::text(format!(", from {from} to {to} at {}", view.typed(&cheap.price.value))));
        }
    }
    if view.figure(METERED_COST_MONTH).is_some()
        && let Some(beside) = figure(view, "", WORKED_OUT.0, "")
    {
        fact.runs.push(Run::text("; worked out from the devices "));
        fact.runs.extend(beside.runs);
        energy_of(view, WORKED_OUT.1, &mut fact);
    }
    Some(fact)
}

fn energy_of(view: &View, key: &str, fact: &mut Fact) {
    if let Some(energy) = view.shown(key) {
        fact.runs.push(Run::text(", for "));
        fact.runs.push(Run::value(energy.linked(view.href(&figure_href(key)))));
        fact.runs.push(Run::text(" a day"));
    }
}

/// The others, each as its question.
pub fn rest(view: &View) -> Vec<Fact> {
    vec![
        Fact::new("How much work is it?", work(view)),
        Fact::new("What went wrong, and what died?", wrong(view)),
        Fact::new("What does summer do to it? How heavy is it, and on what does it stand?", heat_and_weight(view)),
        Fact::new("Where is the rock from?", rock(view)),
        Fact::new("Is it safe?", safe(view)),
        Fact::new("Where did you get the corals?", sources(view)),
        Fact::new("What happened after the video?", after(view)),
    ]
}

fn not_recorded(what: &str) -> Vec<Run> {
    vec![Run::text(format!("Not in this record: {what}."))]
}

fn work(view: &View) -> Vec<Run> {
    let key = "upkeep.minutes-per-week";
    let Some(minutes) = view.shown(key) else {
        return not_recorded("how long the tasks take");
    };
    vec![
        Run::value(minutes.linked(view.href(&figure_href(key)))),
        Run::text(" a week, in "),
        Run::link(water::counted(view.of.tasks.len(), "task", "tasks"), view.href("upkeep.html")),
        Run::text("."),
    ]
}

fn wrong(view: &View) -> Vec<Run> {
    let losses = log::lost_colonies(view);
    let faults = view
        .tank
        .entries
        .iter()
        .filter_map(|entry| entry.event.as_ref())
        .filter(|event| log::is_fault(event.kind))
        .count();
    if losses.is_empty() && faults == 0 {
        return vec![
            Run::text("No loss and no fault is written down. "),
            Run::link("The log", view.href("log/index.html")),
        ];
    }
    let mut runs = vec![Run::link(
        sentence_case(&water::counted(losses.len(), "colony was lost", "colonies were lost")),
        "#wrong-h",
    )];
    if losses.is_empty() {
        runs = vec![Run::text("No colony was lost")];
    }
    for (place, loss) in losses.iter().take(3).enumerate() {
        runs.push(Run::text(if place == 0 { ": " } else { ", " }));
        runs.extend(loss.what.iter().cloned());
        runs.push(Run::text(format!(" ({})", loss.cause)));
    }
    runs.push(Run::text(format!(
        ". {} of gear, power and water {} in the ",
        sentence_case(&water::counted(faults, "fault", "faults")),
        if faults == 1 { "stands" } else { "stand" }
    )));
    runs.push(Run::link("log", view.href("log/index.html")));
    runs.push(Run::text("."));
    runs
}

fn heat_and_weight(view: &View) -> Vec<Run> {
    let mut runs = Vec::new();
    let mut tell = |before: &str, key: &str| {
        if let Some(value) = view.shown(key) {
            runs.push(Run::text(if runs.is_empty() { sentence_case(before) } else { format!("; {before}") }));
            runs.push(Run::value(value.linked(view.href(&figure_href(key)))));
        }
    };
    tell("on the hottest day ", "heat.hottest-day");
    tell("mass when filled ", "load.mass-filled");
    tell("load on its footprint ", "load.floor");
    if let Some(floor) = &view.tank.floor {
        let words = match floor.value {
            Floor::Ground => "; on a ground floor",
            Floor::Upper => "; on an upper floor",
            Floor::Unknown => "; the kind of floor is not known",
        };
        runs.push(Run::text(words));
    }
    if runs.is_empty() {
        return not_recorded("the room through the year, and the masses of glass, stand, sand and rock");
    }
    runs.push(Run::text(
        ". Whether a floor bears it is for a structural engineer to say. Noise and smell are not measured.",
    ));
    runs
}

fn rock(view: &View) -> Vec<Run> {
    let Some(rock) = &view.tank.rock else {
        return not_recorded("the rock");
    };
    let mut runs =
        vec![Run::text(format!("{} of rock; where it came from is told, if anywhere, ", view.typed(&rock.value)))];
    match view.record.chapters.first() {
        Some(_) => runs.push(Run::link("in the story", "story/index.html")),
        None => runs.push(Run::link("in the log", view.href("log/index.html"))),
    }
    runs.push(Run::text("."));
    runs
}

fn safe(view: &View) -> Vec<Run> {
    let of_people = view
        .cautions
        .iter()
        .filter(|caution| caution.acknowledged.is_none() && caution.tanks.contains(&view.tank.key))
        .filter(|caution| view.caution(caution).class == Danger::People)
        .count();
    let protected =
        view.tank.electricity.at(view.record.as_of).map_or(YesNo::Unknown, |stretch| stretch.value.ground_fault);
    let words = match protected {
        YesNo::Yes => "The circuit has earth-leakage protection. ",
        YesNo::No => "The circuit has no earth-leakage protection. ",
        YesNo::Unknown => "Whether the circuit has earth-leakage protection is not recorded. ",
    };
    let count = if of_people == 0 {
        "No caution for people stands open".to_string()
    } else {
        sentence_case(&water::counted(of_people, "caution for people stands open", "cautions for people stand open"))
    };
    vec![
        Run::text(words),
        Run::link(count, "cautions.html"),
        Run::text(". A record cannot say that a tank is safe: local codes and licensed trades do."),
    ]
}

fn sources(view: &View) -> Vec<Run> {
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for colony in view.record.colonies_in(&view.tank.key, view.record.as_of) {
        let word = match colony.source.as_ref().map(|source| source.kind.value) {
            Some(SourceKind::WildCollected) => "collected in the wild",
            Some(SourceKind::Mariculture) => "grown in the sea",
            Some(SourceKind::Aquaculture) => "grown in tanks",
            Some(SourceKind::HitchHiker) => "came in with something else",
            Some(SourceKind::Unknown) => "of unknown source",
            None if colony.parent.is_some() => "cut or born here",
            None => "of a source that is not recorded",
        };
        *kinds.entry(word).or_default() += 1;
    }
    if kinds.is_empty() {
        return not_recorded("any colony");
    }
    let mut kinds: Vec<(&str, usize)> = kinds.into_iter().collect();
    kinds.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let told: Vec<String> =
        kinds.into_iter().map(|(word, count)| format!("{} {word}", super::water::word_number(count))).collect();
    vec![
        Run::text(format!("Of what lives here now: {}. ", told.join(", "))),
        Run::link("Each page tells from whom, and how that is known", "colony/index.html"),
        Run::text("."),
    ]
}

fn after(view: &View) -> Vec<Run> {
    match view.record.videos.last() {
        Some(video) => {
            let page = format!("video/{}.html", video.key);
            vec![
                Run::text(format!("Since the video filmed {}: ", date_text(video.filmed.value).text)),
                Run::link("settings and figures as filmed and today", page.clone()),
                Run::text(", "),
                Run::link("losses and corrections", page),
                Run::text("."),
            ]
        }
        None => vec![
            Run::text("The newest notes stand "),
            Run::link("in the log", view.href("log/index.html")),
            Run::text("."),
        ],
    }
}
