//! Movement of the water: turnover stated and derated, pump by pump.

use super::gear::device_link;
use super::settings::setting_line;
use super::view::*;
use crate::figures::flow::{Drain, GroupTurnover, PumpSystem};
use crate::pages::chart::{self, XyChart, XyLine, XyMark};
use crate::pages::model::equipment::StatedRow;
use crate::pages::model::movement::*;
use crate::pages::model::*;
use crate::record::days_between;

pub fn page(view: &View) -> Page {
    let pumps: Vec<PumpRow> = view
        .of
        .pumps
        .iter()
        .filter_map(|pump| {
            let device = view.tank.device(&pump.device)?;
            let mut remarks = Vec::new();
            match pump.from_test {
                // What a test read has the height and the dirt of that day in it.
                Some(date) => remarks.push(format!("from its flow test of {}", date_text(date).text)),
                None => remarks.extend(device.head.as_ref().map(|head| format!("lifts {}", view.typed(&head.value)))),
            }
            match pump.last_cleaned {
                Some(date) => remarks.push(format!("{} days since cleaning", days_between(date, view.record.as_of))),
                None if pump.from_test.is_some() => {}
                None => remarks.push("never logged as cleaned".into()),
            }
            Some(PumpRow {
                device: device_link(view, &pump.device),
                // A pump called by its role need not be told twice.
                role: Some(sentence_case(&device.role.value.shown()))
                    .filter(|role| *role != sentence_case(&device.name.value))
                    .unwrap_or_default(),
                setting: device
                    .settings
                    .at(view.record.as_of)
                    .map(|stretch| setting_line(view, &stretch.value, 3))
                    .unwrap_or_default(),
                stated: pump.stated.as_ref().and_then(|key| view.shown(key)),
                derated: pump.derated.as_ref().and_then(|key| view.shown(key)),
                tested: pump.last_test.map(|(date, flow)| {
                    let shift = view.shift("L/h");
                    let mut shown = Shown::new(fixed(shift.value(flow), 0), shift.unit, Basis::Measured);
                    shown.unit_title = Some(format!("tested {}", date_text(date).text));
                    shown
                }),
                remark: sentence_case(&remarks.join(", ")),
            })
        })
        .collect();
    let total = |label: &str, stated: &str, observed: &str| StatedRow {
        label: label.into(),
        stated: view.shown(stated),
        observed: view.shown(observed),
        remark: "Turnover counts pumps, not water.".into(),
    };
    let body = MovementPage {
        standfirst: "What the makers say the pumps move, and what is left after head, level and dirt.".into(),
        totals: vec![total("Turnover of all pumps", "flow.turnover-stated", "flow.turnover")],
        groups: view.of.movement.groups.iter().map(|group| group_row(view, group)).collect(),
        pumps,
        systems: view.of.movement.systems.iter().map(|system| pump_chart(view, system)).collect(),
        drain: view.of.movement.drain.as_ref().map(|drain| drain_facts(view, drain)).unwrap_or_default(),
        drain_note:
            "What runs back into the sump when the return stops, against the room left there. A rehearsal is worth \
                     more than this sum."
                .into(),
        history: None,
        figures: view.rows("flow."),
        cautions: view.cautions_of("flow"),
    };
    Page::new(
        view.href("movement.html"),
        "movement",
        "Water movement",
        "Turnover stated and derated, pump by pump.",
        PageBody::Movement(Box::new(body)),
    )
}

fn group_row(view: &View, group: &GroupTurnover) -> GroupRow {
    let figure = view.figure(&group.figure);
    let band = group.band;
    GroupRow {
        label: sentence_case(group.group.word()),
        turnover: figure.map(|figure| view.value_of(figure).linked(format!("#{}", anchor(&figure.key)))),
        band: band.map(|band| format!("{} to {}", fixed(band.low, 0), fixed(band.high, 0))),
        band_from: match (band, group.band_is_own) {
            (None, _) => "no band is recorded".into(),
            (_, true) => "the keeper’s own".into(),
            (_, false) => "common practice, no source".into(),
        },
        stands: match (band, figure) {
            (Some(band), Some(figure)) => stands(figure, band.low, band.high).into(),
            _ => "no band".into(),
        },
    }
}

/// The pump’s curve, what its plumbing asks for, and where they meet.
pub fn pump_chart(view: &View, system: &PumpSystem) -> ChartBlock {
    let (flow, head) = (view.shift("L/h"), view.shift("m"));
    let flow_text = |value: f64| fixed(flow.value(value), flow.decimals(0));
    let head_text = |value: f64| fixed(head.value(value), head.decimals(2));
    let name = view.tank.device(&system.device).map_or(system.device.clone(), |device| device.name.value.clone());
    let title = format!("{name}: pump and plumbing");
    let how = if system.two_ends {
        "a parabola through the two ends its maker states"
    } else {
        "the points its maker states"
    };
    let needs =
        if system.has_pipes { "the height and the pipes" } else { "the height alone, since no plumbing is recorded" };
    let sentence = format!(
        "The pump gives {} {} at {} {} of head, where its curve ({how}) meets what {needs} ask for; 95 in 100 between {} and {} {}.",
        flow_text(system.flow),
        flow.unit,
        head_text(system.head),
        head.unit,
        flow_text(system.flow_interval.0),
        flow_text(system.flow_interval.1),
        flow.unit
    );
    let scaled = |(q, h): (f64, f64)| (flow.value(q), head.value(h));
    let test = view.of.pumps.iter().find(|pump| pump.device == system.device).and_then(|pump| pump.last_test).and_then(
        |(date, tested)| {
            let at = scaled((tested, at(&system.system, tested)?));
            let label = format!("test of {}", date_text(date).text);
            Some(XyMark { at, span: (0.9 * at.0, 1.1 * at.0), label, is_reading: true })
        },
    );
    let mut marks = vec![XyMark {
        at: scaled((system.flow, system.head)),
        span: (flow.value(system.flow_interval.0), flow.value(system.flow_interval.1)),
        label: "works here".into(),
        is_reading: false,
    }];
    marks.extend(test);
    // What the pipes ask for far above the pump's head would flatten the picture.
    let highest = system.curve.first().map_or(1.0, |point| point.1) * 1.15;
    let asked = system.system.iter().copied().filter(|point| point.1 <= highest).map(scaled).collect();
    let drawn = chart::draw_xy(&XyChart {
        id: format!("pump-{}", system.device),
        title: title.clone(),
        description: sentence.clone(),
        x_unit: format!("flow, {}", flow.unit),
        y_unit: format!("head, {}", head.unit),
        lines: vec![
            XyLine { label: "what the pump gives".into(), points: system.curve.iter().copied().map(scaled).collect() },
            XyLine { label: "what the plumbing asks for".into(), points: asked },
        ],
        marks,
        ..XyChart::default()
    });
    let rows = system
        .curve
        .iter()
        .step_by(5)
        .map(|(q, h)| {
            vec![
                Cell::number(flow_text(*q)),
                Cell::number(head_text(*h)),
                Cell::number(at(&system.system, *q).map_or("–".into(), head_text)),
            ]
        })
        .collect();
    ChartBlock {
        id: format!("chart-pump-{}", system.device),
        title,
        wide: Html::trusted(drawn.wide),
        narrow: Html::trusted(drawn.narrow),
        sentence,
        key: "Diamond: worked out, with its 95 in 100. Dot: a flow test.".into(),
        table_summary: "The two curves as a table".into(),
        table: Table {
            caption: "Head by flow".into(),
            head: vec![
                HeadCell::number(format!("Flow, {}", flow.unit)),
                HeadCell::number(format!("Pump gives, {}", head.unit)),
                HeadCell::number(format!("Plumbing asks for, {}", head.unit)),
            ],
            rows,
        },
        ..ChartBlock::default()
    }
}

/// A drawn curve read between its points.
fn at(curve: &[(f64, f64)], x: f64) -> Option<f64> {
    let pair = curve.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&x))?;
    let share = if pair[1].0 > pair[0].0 { (x - pair[0].0) / (pair[1].0 - pair[0].0) } else { 0.0 };
    Some(pair[0].1 + share * (pair[1].1 - pair[0].1))
}

fn drain_facts(view: &View, drain: &Drain) -> Vec<Fact> {
    let mut facts = Vec::new();
    for (label, key, missing) in [
        ("Running water over the overflow’s edge", &drain.over_edge, "flow.over-edge"),
        ("Runs back when the return stops", &drain.drain_back, "flow.drain-back"),
        ("Room in the sump over its running level", &drain.headroom, "flow.drain-headroom"),
        ("Room left after that", &drain.margin, "flow.drain-margin"),
    ] {
        let runs = match key.as_ref().and_then(|key| view.figure(key)) {
            Some(figure) => vec![Run::value(view.value_of(figure).linked(format!("#{}", anchor(&figure.key))))],
            None if missing == "flow.drain-margin" => continue,
            None => vec![Run::link("not known: what to record", format!("#{}", anchor(missing)))],
        };
        facts.push(Fact::new(label, runs));
    }
    if let Some((litres, place, is_measured)) = &drain.reservoir {
        let link = view.place_link(place);
        let basis = if *is_measured { Basis::Measured } else { Basis::Stated };
        facts.push(Fact::new(
            "A top-off could add besides",
            vec![
                Run::value({
                    let shift = view.shift("L");
                    Shown::new(crate::figures::number(shift.value(*litres)), shift.unit, basis)
                }),
                Run::text(", "),
                Run { text: link.text, href: link.href, ..Run::default() },
            ],
        ));
    }
    facts
}
