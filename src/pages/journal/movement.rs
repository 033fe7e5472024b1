//! Movement of the water: turnover stated and derated, pump by pump.

use super::gear::{device_link, setting_line};
use super::view::*;
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
            if let Some(head) = &device.head {
                remarks.push(format!("lifts {}", view.typed(&head.value)));
            }
            match pump.last_cleaned {
                Some(date) => remarks.push(format!("{} days since cleaning", days_between(date, view.record.as_of))),
                None => remarks.push("never logged as cleaned".into()),
            }
            Some(PumpRow {
                device: device_link(view, &pump.device),
                role: sentence_case(&device.role.value.shown()),
                setting: device
                    .settings
                    .at(view.record.as_of)
                    .map(|stretch| setting_line(view, &stretch.value))
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
        pumps,
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
