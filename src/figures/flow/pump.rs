//! One pump: what its maker states, and what is left of it after plumbing, level and dirt, or after a test.

use jiff::civil::Date;

use super::plumbing::{self, PumpSystem};
use super::{Figures, NodeId, PumpFlow};
use crate::diagnostic::Place;
use crate::figures::energy::MONTH;
use crate::figures::inputs::{assumed_between, measured, number, set, stated};
use crate::record::tank::PumpGroup;
use crate::record::{Device, Record, Tank, days_between};
use crate::science::flow::derating_by_dirt;

/// A pump with its figures' nodes.
pub(super) struct Worked {
    pub pump: PumpFlow,
    pub stated: Option<NodeId>,
    pub derated: Option<NodeId>,
    /// Its flow without dirt, the most that it may move.
    pub clean: Option<NodeId>,
    pub system: Option<PumpSystem>,
}

/// Days for which a flow test counts: what was true a year ago is not known today.
const TEST_COUNTS_DAYS: i32 = 365;

/// A bucket, or a drifting speck timed by hand: 10 % (common practice, no source).
const TEST_U: f64 = 0.10;

pub(super) fn work_out(
    record: &Record,
    tank: &Tank,
    device: &Device,
    group: PumpGroup,
    figures: &mut Figures,
) -> Worked {
    let as_of = record.as_of;
    let spec = record.spec_of(tank, device);
    let name = &device.name.value;
    let last_cleaned = last_cleaned(tank, &device.key);
    let last_test = last_test(tank, &device.key);
    let pump = PumpFlow {
        device: device.key.clone(),
        group,
        stated: None,
        derated: None,
        last_cleaned,
        last_test: last_test.as_ref().map(|test| (test.0, test.1)),
        from_test: None,
    };
    let mut worked = Worked { pump, stated: None, derated: None, clean: None, system: None };
    let label_stated = format!("{name}: flow as stated");
    let key_stated = format!("flow.{}.stated", device.key);
    match spec.and_then(|spec| spec.flow.as_ref()) {
        Some(flow) => {
            let maker = stated(&mut figures.graph, "Flow at zero head", flow.value.value, 0.0, "L/h", &flow.place);
            figures
                .define(&tank.key, &key_stated, &label_stated)
                .method("Q as the maker states it", format!("Q = {} L/h", number(flow.value.value)), &[])
                .finish(maker);
            worked.pump.stated = Some(key_stated);
            worked.stated = Some(maker);
        }
        None => figures.miss(
            &tank.key,
            &key_stated,
            &label_stated,
            "`flow: 4000 L/h` in its spec sheet, or `flow-test:` with its name in the log",
        ),
    }
    let lifts = group == PumpGroup::Return || device.head.is_some() || !device.plumbing.is_empty();
    let clean = if lifts { plumbing::operating_point(record, tank, device, figures) } else { None };
    worked.system = clean.as_ref().map(|clean| clean.system.clone());

    let key = format!("flow.{}", device.key);
    let label = format!("{name}: flow as it works");
    let mut inputs = Vec::new();
    let mut formula = Vec::new();
    let mut sources = vec!["common-practice"];
    let mut notes = Vec::new();
    let mut dirt_from = last_cleaned.unwrap_or(device.in_service.value);
    let level_on = |date: Date| {
        let settings = &device.settings.at(date)?.value;
        settings.level.as_ref()
    };
    let graph = &mut figures.graph;
    let counts = |test: &&(Date, f64, Place)| days_between(test.0, as_of) <= TEST_COUNTS_DAYS && test.0 >= dirt_from;
    let base = if let Some((date, tested, place)) = last_test.as_ref().filter(counts) {
        dirt_from = *date;
        worked.pump.from_test = Some(*date);
        formula.push("Q tested");
        let mut node = measured(graph, &format!("Flow test of {date}"), *tested, TEST_U * tested, "L/h", place);
        inputs.push(node);
        if let (Some(then), Some(now)) = (level_on(*date), level_on(as_of))
            && then.value > 0.0
            && then.value != now.value
        {
            let then = set(graph, "Level at the test", then.value, "1", &then.place);
            let now = set(graph, "Level now", now.value, "1", &now.place);
            inputs.extend([then, now]);
            node = graph.compute("Flow at today’s level", "L/h", &[node, now, then], |x| x[0] * x[1] / x[2]);
            formula.push("level ∕ level(test)");
        }
        node
    } else if let Some(clean) = clean {
        inputs.extend(&clean.inputs);
        formula.push("Q where the pump’s curve meets the plumbing");
        sources.extend(clean.sources);
        clean.flow
    } else if let Some(maker) = worked.stated {
        let honest = assumed_between(
            graph,
            "Real share of a stated flow",
            0.75,
            1.0,
            "1",
            "makers state flow without guard and fittings (common practice, no source)",
        );
        inputs.extend([maker, honest]);
        formula.extend(["Q₀", "share"]);
        let mut node = graph.compute("Flow with guard", "L/h", &[maker, honest], |x| x[0] * x[1]);
        if let Some(level) = level_on(as_of).filter(|level| level.value < 1.0) {
            let level = set(graph, "Level", level.value, "1", &level.place);
            inputs.push(level);
            formula.push("level");
            node = graph.compute("Flow at this level", "L/h", &[node, level], |x| x[0] * x[1]);
        }
        node
    } else {
        return worked;
    };
    worked.clean = Some(base);
    let mut node = base;
    let days = days_between(dirt_from, as_of).max(0);
    let months = f64::from(days) / MONTH;
    if months > 12.0 {
        notes.push("nobody knows what more than a year without cleaning leaves: worked with twelve months".to_string());
    }
    if days > 0
        && let Ok(dirt) = derating_by_dirt(months.min(12.0))
    {
        let half = dirt.standard_uncertainty * 3f64.sqrt();
        let what = if formula[0] == "Q tested" { "since the test" } else { "since it was cleaned" };
        let dirty = assumed_between(
            graph,
            &format!("Share left {days} days {what}"),
            dirt.fraction - half,
            dirt.fraction + half,
            "1",
            "a clean pump keeps 70 to 90 % after three months, 40 to 80 % after six to twelve (common practice, no source)",
        );
        inputs.push(dirty);
        node = graph.compute(&label, "L/h", &[base, dirty], |x| x[0] * x[1]);
        formula.push("dirt");
    }
    let node = graph.linear(&label, "L/h", &[(node, 1.0)]);
    let numbers = inputs
        .iter()
        .map(|input| format!("{} {}", number(graph.value(*input)), graph.unit(*input)).trim_end_matches(" 1").into())
        .collect::<Vec<String>>()
        .join(", ");
    let result = number(graph.value(node));
    let mut built = figures
        .define(&tank.key, &key, &label)
        .method(format!("Q = {}", formula.join(" · ")), format!("{numbers} → {result} L/h"), &sources)
        .inputs(&inputs);
    for note in notes {
        built = built.note(note);
    }
    worked.derated = Some(built.finish(node));
    worked.pump.derated = Some(key);
    worked
}

/// The last day on which a task of this device was done whose name speaks of cleaning or service.
fn last_cleaned(tank: &Tank, device: &str) -> Option<Date> {
    let tasks: Vec<&str> = tank
        .upkeep
        .tasks
        .values()
        .filter(|task| task.device.as_ref().is_some_and(|named| named.value == device))
        .map(|task| task.key.as_str())
        .collect();
    tank.entries
        .iter()
        .rev()
        .find(|entry| entry.done.iter().any(|done| tasks.contains(&done.value.as_str())))
        .map(|entry| entry.date())
}

fn last_test(tank: &Tank, device: &str) -> Option<(Date, f64, Place)> {
    tank.entries.iter().rev().find_map(|entry| {
        let (name, flow) = entry.flow_tests.iter().rev().find(|(name, _)| name.value == device)?;
        Some((entry.date(), flow.value, name.place.clone()))
    })
}
