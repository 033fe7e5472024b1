//! How the devices of a tank were set on two dates: what differs in one table, the rest named.

use jiff::civil::Date;

use super::gear::{DUTY, device_link, setting_rows, side_by_side};
use super::view::*;
use crate::pages::model::equipment::{ChangedSetting, SettingsThen};
use crate::pages::model::*;
use crate::record::{Device, Role};

/// The later of two dates, as a heading of what came and went before it says it.
#[derive(Clone, Copy)]
pub enum Until {
    Today,
    Later,
}

pub fn between(view: &View, before: Date, after: Date, until: Until) -> SettingsThen {
    let (mut alike, mut came, mut gone) = (Vec::new(), Vec::new(), Vec::new());
    let mut found = SettingsThen::default();
    let mut devices: Vec<&Device> = view.tank.devices.values().collect();
    devices.sort_by_key(|device| device.role.value != Role::Lamp);
    for device in devices {
        let link = device_link(view, &device.key);
        let dated =
            |date: Date| PlaceLink { text: format!("{} ({})", link.text, date_text(date).text), ..link.clone() };
        match (device.in_service_on(before), device.in_service_on(after)) {
            (false, false) => {}
            (false, true) => came.push(dated(device.in_service.value)),
            (true, false) => gone.push(device.out_of_service.as_ref().map_or(link.clone(), |end| dated(end.value))),
            (true, true) => {
                let on = |date| device.settings.at(date).map(|set| setting_rows(view, &set.value)).unwrap_or_default();
                let mut rows = side_by_side(on(before), on(after));
                // How much a heater runs is no decision of the keeper's: it follows the room.
                rows.retain(|row| device.role.value != Role::Heater || row.label != DUTY);
                if rows.iter().all(|row| !row.changed) {
                    alike.push(link);
                    continue;
                }
                let changed = rows.into_iter().filter(|row| row.changed);
                found.changed.extend(changed.map(|row| ChangedSetting {
                    device: link.clone(),
                    label: row.label,
                    then: row.filmed,
                    now: row.today,
                }));
            }
        }
    }
    let labels = match until {
        Until::Today => ["As today", "Come since", "Taken out since"],
        Until::Later => ["Set alike", "Came in between", "Went in between"],
    };
    let groups = labels.into_iter().zip([alike, came, gone]).filter(|(_, devices)| !devices.is_empty());
    found.others = groups.map(|(label, devices)| Fact::new(label, joined(devices))).collect();
    found
}

/// Links with commas between them.
pub fn joined(links: Vec<PlaceLink>) -> Vec<Run> {
    let mut runs = Vec::new();
    for (place, link) in links.into_iter().enumerate() {
        if place > 0 {
            runs.push(Run::text(", "));
        }
        runs.push(Run { text: link.text, href: link.href, ..Run::default() });
    }
    runs
}
