//! What hangs together, what a battery carries, and what forgets.

use crate::figures::load::{ContinuousRule, Outlet, OutletKind};
use crate::pages::journal::gear::device_link;
use crate::pages::journal::view::*;
use crate::pages::model::power::StripRow;
use crate::pages::model::*;
use crate::record::YesNo;
use crate::record::equipment::PowerUp;

pub fn strips(view: &View) -> Vec<StripRow> {
    // A tank without strips, protection or a rating has nothing to compare.
    view.of
        .load
        .iter()
        .filter(|outlet| outlet.kind != OutletKind::Supply || outlet.rating.is_some())
        .map(|outlet| row(view, outlet))
        .collect()
}

fn row(view: &View, outlet: &Outlet) -> StripRow {
    let device = view.tank.device(&outlet.key).filter(|_| outlet.kind != OutletKind::Supply);
    let figure = outlet.figure.as_ref().and_then(|key| view.figure(key));
    let load = figure.map(|figure| {
        let value = view.value_of(figure);
        value.linked(format!("#{}", anchor(&figure.key)))
    });
    let protection = match (outlet.kind, device.and_then(|device| device.protection.as_ref())) {
        (OutletKind::Protection, _) => vec![Run::text("it is the protection")],
        (OutletKind::Supply, _) => vec![Run::text("–")],
        (_, Some(protection)) => {
            let link = device_link(view, &protection.value);
            vec![Run::text("protected by "), Run { text: link.text, href: link.href, ..Run::default() }]
        }
        (_, None) => vec![Run::text("no protection recorded")],
    };
    let remark = match (outlet.limit, outlet.continuous, figure) {
        (Some(limit), Some(continuous), Some(figure)) => {
            let percent = |limit: f64| format!("{}\u{a0}%", fixed(100.0 * figure.value / limit.max(1e-9), 0));
            if continuous < limit {
                format!("{} of its rating, {} of what may run for hours", percent(limit), percent(continuous))
            } else {
                format!("{} of its rating with everything on", percent(limit))
            }
        }
        (None, _, _) if outlet.rating.is_some() => "the voltage is not recorded".into(),
        (None, _, _) => "its rating is not recorded".into(),
        _ => "no watts are recorded".into(),
    };
    StripRow {
        strip: match device {
            Some(device) => device_link(view, &device.key),
            None => PlaceLink::plain(outlet.name.clone()),
        },
        on_it: if outlet.kind == OutletKind::Supply {
            vec![PlaceLink::plain("everything")]
        } else {
            outlet.devices.iter().map(|device| device_link(view, device)).collect()
        },
        load,
        rating: outlet.rating.as_ref().map(|rating| Shown::new(view.typed(rating), "", Basis::Stated)),
        protection,
        remark,
    }
}

pub fn strips_note(view: &View) -> String {
    let rule = match ContinuousRule::of(view.tank) {
        ContinuousRule::FourFifths => {
            "Loads that run for three hours or more are held to 80\u{a0}% of a circuit’s rating (NEC 210.20(A))."
        }
        ContinuousRule::None => {
            "IEC 60364 and BS 7671 know no rule of 80\u{a0}% for continuous loads; a warm plug is too much all the same."
        }
        ContinuousRule::Unknown => {
            "The country is not recorded: in the US loads that run for hours are held to 80\u{a0}% of a rating, under IEC 60364 and BS 7671 they are not."
        }
    };
    format!(
        "The local code and a licensed electrician decide; this is arithmetic. The sum of what everything can draw at once, beside what it is rated for. {rule}"
    )
}

pub fn batteries(view: &View) -> Option<Table> {
    let rows: Vec<Vec<Cell>> = view
        .of
        .batteries
        .iter()
        .map(|set| {
            let link = device_link(view, &set.device);
            let names: Vec<String> = set
                .runs
                .iter()
                .map(|device| if *device == set.device { "itself".into() } else { device_link(view, device).text })
                .collect();
            let figure = set.figure.as_ref().and_then(|key| view.figure(key));
            vec![
                Cell { href: link.href, ..Cell::header(link.text) },
                Cell::text(if names.is_empty() { "not written".into() } else { list(&names, 6) }),
                match figure {
                    Some(figure) => {
                        let value = view.value_of(figure);
                        let text = format!("{} {} {}", value.number, value.spread.unwrap_or_default(), value.unit);
                        Cell::number(text).linked(format!("#{}", anchor(&figure.key))).known(Basis::Computed)
                    }
                    None => Cell::number("not known"),
                },
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        caption: "How long a battery carries what is chosen for it".into(),
        head: vec![HeadCell::text("Battery"), HeadCell::text("Runs"), HeadCell::number("For")],
        rows,
    })
}

pub fn forgets(view: &View) -> Option<Table> {
    let rows: Vec<Vec<Cell>> = view
        .of
        .forgets
        .iter()
        .map(|device| {
            let link = device_link(view, &device.device);
            let mut lost: Vec<String> = device.loses.iter().map(|lost| (*lost).to_string()).collect();
            lost.extend(device.unknown.iter().map(|open| format!("not known: {open}")));
            let state = match device.state {
                PowerUp::On => "comes back on",
                PowerUp::Off => "stays off",
                PowerUp::Last => "comes back as it was",
                PowerUp::Full => "comes back at full",
                PowerUp::Unknown => "not known",
            };
            let state = match device.restarts {
                YesNo::No => format!("{state}, does not start by itself"),
                _ => state.to_string(),
            };
            vec![
                Cell { href: link.href, ..Cell::header(link.text) },
                Cell::text(if lost.is_empty() { "nothing".into() } else { lost.join("; ") }),
                Cell::text(state),
                Cell::text(device.by_hand.clone().unwrap_or_else(|| "–".into())),
                Cell::date(match device.tested_days {
                    Some(days) => format!("{days} days ago"),
                    None => "never written".into(),
                }),
            ]
        })
        .collect();
    (!rows.is_empty()).then(|| Table {
        caption: "After a power cut".into(),
        head: vec![
            HeadCell::text("Device"),
            HeadCell::text("Loses"),
            HeadCell::text("State"),
            HeadCell::text("By hand"),
            HeadCell::text("Tried out"),
        ],
        rows,
    })
}
