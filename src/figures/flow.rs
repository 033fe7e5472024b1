//! Turnover: what the pumps are said to move, and what is left of it after head, level and dirt.

use jiff::civil::Date;

use super::figure::Figures;
use super::graph::NodeId;
use super::inputs::{assumed_between, measured, number, set, stated};
use crate::record::{Device, Record, Tank, days_between};

/// One pump as it works today.
#[derive(Clone, Debug)]
pub struct PumpFlow {
    pub device: String,
    pub stated: Option<String>,
    pub derated: Option<String>,
    pub last_cleaned: Option<Date>,
    pub last_test: Option<(Date, f64)>,
}

/// Days for which a flow test stands for the pump before dirt counts again.
const TEST_STANDS_DAYS: i32 = 30;

pub fn work_out(record: &Record, tank: &Tank, volume: Option<NodeId>, figures: &mut Figures) -> Vec<PumpFlow> {
    let mut pumps = Vec::new();
    let (mut stated_nodes, mut derated_nodes) = (Vec::new(), Vec::new());
    for device in tank.devices_at(record.as_of).filter(|device| device.role.value.moves_water()) {
        let (pump, stated, derated) = pump(record, tank, device, figures);
        stated_nodes.extend(stated);
        derated_nodes.extend(derated);
        pumps.push(pump);
    }
    if pumps.is_empty() {
        return pumps;
    }
    let Some(volume) = volume else { return pumps };
    for (key, label, nodes) in [
        ("flow.turnover-stated", "Turnover as stated", stated_nodes),
        ("flow.turnover", "Turnover, derated", derated_nodes),
    ] {
        if nodes.is_empty() {
            continue;
        }
        let graph = &mut figures.graph;
        let total = graph.sum("Flow of all pumps", "L/h", &nodes);
        let node = graph.compute(label, "volumes an hour", &[total, volume], |x| x[0] / x[1]);
        let numbers = format!("n = {} L/h ∕ {} L", number(graph.value(total)), number(graph.value(volume)));
        figures
            .define(&tank.key, key, label)
            .method("n = Σ Q ∕ V", numbers, &[])
            .inputs(&nodes)
            .inputs(&["water.net-volume"])
            .note("turnover counts pumps, not water: jets, rock and where an animal sits are not in it")
            .finish(node);
    }
    pumps
}

fn pump(
    record: &Record,
    tank: &Tank,
    device: &Device,
    figures: &mut Figures,
) -> (PumpFlow, Option<NodeId>, Option<NodeId>) {
    let as_of = record.as_of;
    let spec = record.spec_of(tank, device);
    let settings = device.settings.at(as_of).map(|stretch| &stretch.value);
    let name = &device.name.value;
    let last_cleaned = last_cleaned(tank, &device.key);
    let last_test = last_test(tank, &device.key);
    let mut pump = PumpFlow {
        device: device.key.clone(),
        stated: None,
        derated: None,
        last_cleaned,
        last_test: last_test.as_ref().map(|test| (test.0, test.1)),
    };
    let label_stated = format!("{name}: flow as stated");
    let key_stated = format!("flow.{}.stated", device.key);
    let Some(flow) = spec.and_then(|spec| spec.flow.as_ref()) else {
        figures.miss(&tank.key, &key_stated, &label_stated, "`flow: 4000 L/h` in its spec sheet");
        return (pump, None, None);
    };
    let maker = stated(&mut figures.graph, "Flow at zero head", flow.value.value, 0.0, "L/h", &flow.place);
    figures
        .define(&tank.key, &key_stated, &label_stated)
        .method("Q as the maker states it", format!("Q = {} L/h", number(flow.value.value)), &[])
        .finish(maker);
    pump.stated = Some(key_stated);

    let key = format!("flow.{}", device.key);
    let label = format!("{name}: flow as it works");
    let mut inputs = Vec::new();
    let mut formula = Vec::new();
    let graph = &mut figures.graph;
    let mut dirt_from = last_cleaned.unwrap_or(device.in_service.value);
    let base = match &last_test {
        Some((date, tested, place)) if days_between(*date, as_of) <= 365 && *date >= dirt_from => {
            // A bucket or a drifting speck timed by hand: 10 % (common practice, no source).
            dirt_from = *date;
            formula.push("Q tested".to_string());
            let node = measured(graph, &format!("Flow test of {date}"), *tested, 0.10 * tested, "L/h", place);
            inputs.push(node);
            node
        }
        _ => {
            inputs.push(maker);
            formula.push("Q₀".to_string());
            let mut node = maker;
            // A circulation pump has no head to lift; a return pump has, and loses flow along its curve.
            if let (Some(head), Some(spec)) = (&device.head, spec) {
                let lifted = measured(
                    graph,
                    "Head lifted",
                    head.value.value / 100.0,
                    0.05 * head.value.value / 100.0,
                    "m",
                    &head.place,
                );
                inputs.push(lifted);
                if spec.curve.len() >= 2 {
                    let curve = spec.curve.clone();
                    node = graph.compute("Flow at this head", "L/h", &[node, lifted], move |x| on_curve(&curve, x[1]));
                    formula.push("curve(H)".to_string());
                } else if let Some(most) = &spec.head {
                    let most = stated(graph, "Head at zero flow", most.value.value / 100.0, 0.0, "m", &most.place);
                    inputs.push(most);
                    node = graph.compute("Flow at this head", "L/h", &[node, lifted, most], |x| {
                        if x[1] >= x[2] { 0.0 } else { x[0] * (1.0 - x[1] / x[2]).sqrt() }
                    });
                    formula.push("√(1 − H ∕ H₀)".to_string());
                }
            } else {
                let honest = assumed_between(
                    graph,
                    "Real share of a stated flow",
                    0.75,
                    1.0,
                    "1",
                    "makers state flow without guard and fittings (common practice, no source)",
                );
                inputs.push(honest);
                node = graph.compute("Flow with guard", "L/h", &[node, honest], |x| x[0] * x[1]);
                formula.push("share".to_string());
            }
            if let Some(level) = settings.and_then(|settings| settings.level.as_ref())
                && level.value < 1.0
            {
                let set_level = set(graph, "Level", level.value, "1", &level.place);
                inputs.push(set_level);
                node = graph.compute("Flow at this level", "L/h", &[node, set_level], |x| x[0] * x[1]);
                formula.push("level".to_string());
            }
            node
        }
    };
    let days = days_between(dirt_from, as_of);
    let mut node = base;
    if days > TEST_STANDS_DAYS {
        let (low, high, why) = dirt(days);
        let dirty = assumed_between(graph, &format!("Share left after {days} days uncleaned"), low, high, "1", why);
        inputs.push(dirty);
        node = graph.compute(&label, "L/h", &[base, dirty], |x| x[0] * x[1]);
        formula.push("dirt".to_string());
    }
    let node = graph.linear(&label, "L/h", &[(node, 1.0)]);
    let numbers = inputs
        .iter()
        .map(|input| format!("{} {}", number(graph.value(*input)), graph.unit(*input)))
        .collect::<Vec<_>>()
        .join(", ");
    let result = number(graph.value(node));
    figures
        .define(&tank.key, &key, &label)
        .method(format!("Q = {}", formula.join(" · ")), format!("{numbers} → {result} L/h"), &["common-practice"])
        .inputs(&inputs)
        .finish(node);
    pump.derated = Some(key);
    (pump, Some(maker), Some(node))
}

/// Share of the clean flow left, as limits (common practice, no source): 70 to 90 % after three months, 40 to 80 %
/// after six to twelve.
fn dirt(days: i32) -> (f64, f64, &'static str) {
    match days {
        ..=60 => (0.80, 1.0, "one to two months uncleaned: a little"),
        61..=150 => (0.70, 0.90, "about three months uncleaned: 70 to 90 % of clean"),
        _ => (0.40, 0.80, "half a year or more uncleaned: 40 to 80 % of clean"),
    }
}

/// Straight lines between a curve's points (head in m, flow in L/h, rising head).
fn on_curve(curve: &[(f64, f64)], head: f64) -> f64 {
    let last = curve[curve.len() - 1];
    if head >= last.0 {
        return last.1.min(0.0).max(if head > last.0 { 0.0 } else { last.1 });
    }
    curve
        .windows(2)
        .find(|pair| head <= pair[1].0)
        .map_or(curve[0].1, |pair| pair[0].1 + (pair[1].1 - pair[0].1) * (head - pair[0].0) / (pair[1].0 - pair[0].0))
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

fn last_test(tank: &Tank, device: &str) -> Option<(Date, f64, crate::diagnostic::Place)> {
    tank.entries.iter().rev().find_map(|entry| {
        let (name, flow) = entry.flow_tests.iter().rev().find(|(name, _)| name.value == device)?;
        Some((entry.date(), flow.value, name.place.clone()))
    })
}

#[cfg(test)]
mod tests {
    use super::on_curve;

    #[test]
    fn a_curve_is_joined_by_straight_lines() {
        let curve = [(0.0, 2000.0), (1.0, 1200.0), (2.0, 0.0)];
        assert_eq!(on_curve(&curve, 0.5), 1600.0);
        assert_eq!(on_curve(&curve, 1.5), 600.0);
        assert_eq!(on_curve(&curve, 2.5), 0.0);
    }
}
