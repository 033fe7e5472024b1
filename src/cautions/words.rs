//! Where a record's own words speak of something.

use super::Caution;
use super::electricity::because_of;
use super::tank_life::mentions;
use crate::diagnostic::Place;
use crate::record::{Device, Tank};

/// Raises a caution where one of the phrases stands in the record's words.
pub(super) fn raise_where_told(
    tank: &Tank,
    devices: &[&Device],
    phrases: &[&str],
    mut caution: Caution,
    out: &mut Vec<Caution>,
) {
    caution.why = told_of(tank, devices, phrases);
    if !caution.why.is_empty() {
        out.push(caution);
    }
}

/// Devices and tasks in whose words one of the phrases stands, each as a reason.
fn told_of(tank: &Tank, devices: &[&Device], wanted: &[&str]) -> Vec<(String, Option<Place>)> {
    let mut why = Vec::new();
    for device in devices {
        let texts = [Some(device.name.value.as_str()), device.why.as_deref(), device.note.as_deref()];
        if texts.into_iter().flatten().any(|text| mentions(text, wanted)) {
            why.push(because_of(device, "named in its file"));
        }
    }
    for task in tank.upkeep.tasks.values() {
        if mentions(&task.what, wanted) || task.why.as_deref().is_some_and(|text| mentions(text, wanted)) {
            why.push((format!("task: {}", task.what), Some(task.place.clone())));
        }
    }
    why
}
