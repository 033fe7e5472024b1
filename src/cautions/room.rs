//! Cautions about the place a tank stands in: its stand, the room below, sand that has gone bad, purified water.

use super::electricity::paragraphs;
use super::tank_life::{mentions, text_of};
use super::{Caution, Danger, caution};
use crate::record::equipment::Role;
use crate::record::tank::Floor;
use crate::record::{Parameter, Record, Tank, YesNo};

/// Sand deeper than this may hold sulfide, cm (common practice, no source).
const DEEP_SAND: f64 = 7.0;
/// A stand this many times as high as deep falls more easily (common practice, no source).
const TALL: f64 = 3.0;

pub(super) fn raise(record: &Record, tank: &Tank, children: YesNo, out: &mut Vec<Caution>) {
    stand(tank, children, out);
    leak(record, tank, out);
    sulfide(tank, out);
    not_drinkable(tank, out);
}

/// The household is private: the reasons name the stand only.
fn stand(tank: &Tank, children: YesNo, out: &mut Vec<Caution>) {
    let Some(stand) = &tank.stand else { return };
    let place = Some(stand.place.clone());
    let mut why = Vec::new();
    if stand.home_built == Some(true) {
        why.push(("the stand is home-built".to_string(), place.clone()));
    }
    if stand.home_built.is_none() {
        why.push(("the record does not say who built the stand".to_string(), place.clone()));
    }
    if let (Some(height), Some(footprint)) = (&stand.height, &stand.footprint)
        && height.value.value > TALL * footprint.value[0].min(footprint.value[1])
        && children != YesNo::No
    {
        why.push(("the stand is more than three times as high as it is deep".to_string(), place));
    }
    if why.is_empty() {
        return;
    }
    let who = "The maker of the tank, and for a home-built stand a carpenter or engineer, decide what it has to carry.";
    let mut raised = caution("load.stand", Danger::Check, "Look at the stand before it gives way", who);
    raised.text = paragraphs(&[
        "Level, dry, and the tank held up as its maker says, on its rim or on the whole of its bottom. Particle board swells \
         where it was wet: look at edges and feet, and press a thumb on them.",
        "Anchor a tall stand to the wall where children climb or the ground shakes.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "US Consumer Product Safety Commission, Anchor It! — from memory, to be checked",
        "common practice, no source",
    ];
    raised.topics = vec!["equipment"];
    out.push(raised);
}

fn leak(record: &Record, tank: &Tank, out: &mut Vec<Caution>) {
    let Some(floor) = tank.floor.as_ref().filter(|floor| floor.value == Floor::Upper) else { return };
    if tank.devices_at(record.as_of).any(|device| device.role.value == Role::LeakAlarm) {
        return;
    }
    let who = "The house's rules and the insurer decide who pays; a plumber about pipes and valves.";
    let mut raised =
        caution("water.leak-damage", Danger::Check, "Water that leaves the tank reaches the neighbour below", who);
    raised.text = paragraphs(&[
        "Write down where the house's water is shut off. Never leave a container that is being filled. Keep towels, and \
         whatever sucks up water, where you would want them.",
        "A sensor on the floor beside the stand costs little. Keep sockets and strips off that floor.",
    ]);
    raised.why = vec![("upper floor, and no device that watches for water on it".into(), Some(floor.place.clone()))];
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["equipment", "water"];
    out.push(raised);
}

fn sulfide(tank: &Tank, out: &mut Vec<Caution>) {
    let mut why = Vec::new();
    if let Some(depth) = tank.sand_depth.as_ref().filter(|depth| depth.value.value > DEEP_SAND) {
        why.push((format!("sand {} cm deep", crate::figures::number(depth.value.value)), Some(depth.place.clone())));
    }
    let mut smelled =
        tank.entries.iter().filter(|entry| mentions(&text_of(entry), &["rotten egg", "rotten eggs", "sulfide"]));
    if let Some(entry) = smelled.next_back() {
        why.push((format!("{}: the entry tells of the smell", entry.date()), Some(entry.place.clone())));
    }
    if why.is_empty() {
        return;
    }
    let who = "A doctor or the emergency number decides for anyone who feels dizzy or faint.";
    let mut raised =
        caution("chemical.hydrogen-sulfide", Danger::Check, "Old deep sand can let out a poisonous gas", who);
    raised.text = paragraphs(&[
        "When deep sand or old sludge is moved and it smells of rotten eggs: stop, open the windows, and leave the room if you \
         feel dizzy. Small closed rooms are worst. The nose soon stops noticing it, so less smell does not mean less gas.",
        "Move a little at a time with air in the room, and never all of it in one go: the animals are poisoned by it too.",
    ]);
    raised.why = why;
    raised.sources = vec![
        "NIOSH Pocket Guide, hydrogen sulfide: ceiling 10 ppm — from memory, to be checked",
        "common practice, no source",
    ];
    raised.topics = vec!["upkeep"];
    out.push(raised);
}

fn not_drinkable(tank: &Tank, out: &mut Vec<Caution>) {
    let Some(entry) =
        tank.entries.iter().rev().find(|entry| entry.readings.iter().any(|r| r.parameter == Parameter::Tds))
    else {
        return;
    };
    let who = "The local water authority decides what is drinking water.";
    let mut raised =
        caution("water.not-drinkable", Danger::Check, "Purified water for the tank is not for drinking", who);
    raised.text = paragraphs(&[
        "Label the can “aquarium, do not drink”: it stands for weeks, and nobody keeps it clean as food is kept.",
        "Pour salt mix slowly and away from the face; its dust irritates.",
    ]);
    raised.why = vec![(format!("{}: the purified water was tested", entry.date()), Some(entry.place.clone()))];
    raised.sources = vec!["common practice, no source"];
    raised.topics = vec!["water"];
    out.push(raised);
}
