//! Cautions that the figures of heat and top-off raise.

use super::*;

const ROOM: &str = "lid: open\nroom: 18 to 25 °C\nroom-humidity: 40 to 60 %\n";

#[test]
fn a_hot_room_is_told_by_how_far_it_goes() {
    let hot = |room: &str, limits: &str| {
        let tank = format!("lid: open\nroom-humidity: 50 to 60 %\n{room}\n{limits}");
        raised(&format!("hot-{}-{}", room.len(), limits.len()), &tank, &[PUMP])
    };
    let far = hot("room: 18 to 34 °C", "");
    assert_eq!(level(&far, "heat.hottest-day"), Some(Danger::Animals));
    assert!(why(&far, "heat.hottest-day").contains("upper limit: 30\u{a0}°C, assumed"));
    assert_eq!(level(&hot("room: 18 to 23 °C", ""), "heat.hottest-day"), None);
    // The keeper's own limit is the one that counts.
    let own = hot("room: 18 to 28 °C", "limits: {temperature: 20 to 25 °C}\n");
    assert!(
        why(&own, "heat.hottest-day").contains("upper limit: 25\u{a0}°C, measured"),
        "{}",
        why(&own, "heat.hottest-day")
    );
}

#[test]
fn weak_heaters_are_told_for_the_coldest_day() {
    let with = |watts: &str| {
        let file = heater(&format!("watts: {watts}\nsettings: {{temperature: 25 °C, thermostat: 26 °C}}\n"));
        raised(&format!("weak-{}", watts.len()), ROOM, &[("equipment/rod.yaml", &file)])
    };
    assert_eq!(level(&with("50 W"), "heat.too-cold"), Some(Danger::Check));
    assert!(why(&with("50 W"), "heat.too-cold").contains("heaters in service: 50 W"));
    assert_eq!(level(&with("300 W"), "heat.too-cold"), None);
    assert_eq!(level(&raised("no-heater", ROOM, &[PUMP]), "heat.too-cold"), None);
}

#[test]
fn a_jug_is_judged_by_what_it_can_dilute() {
    let jug = |litres: &str| {
        let file = format!("name: Jug\nrole: top-off\nin-service: 2023-01-10\nreservoir: {litres}\n");
        raised(&format!("jug-{}", litres.len()), ROOM, &[("equipment/jug.yaml", &file)])
    };
    // 120 L at an assumed 35 ppt: 120 × (35/33 − 1) = 7.27 L.
    let large = jug("25 L");
    assert_eq!(level(&large, "topup.reservoir"), Some(Danger::Animals));
    assert!(why(&large, "topup.reservoir").contains("7.27 L"), "{}", why(&large, "topup.reservoir"));
    // Too close to tell is a question; so much less that no doubt is left is none.
    assert_eq!(level(&jug("7 L"), "topup.reservoir"), Some(Danger::Check));
    assert_eq!(level(&jug("4.5 L"), "topup.reservoir"), None);
}

#[test]
fn a_power_cut_is_asked_about_unless_something_helps() {
    assert_eq!(level(&raised("cut", ROOM, &[PUMP]), "heat.power-cut"), Some(Danger::Check));
    let air = "name: Air\nrole: air-pump\nin-service: 2023-01-10\nwatts: 2 W\ncapacity: 30 Wh\n";
    let helped = raised("cut-air", ROOM, &[PUMP, ("equipment/air.yaml", air)]);
    assert_eq!(level(&helped, "heat.power-cut"), None);
}

/// The stuck heater's caution carries the figures of this tank.
#[test]
fn a_stuck_heater_is_told_with_its_temperature_and_hours() {
    let file = heater("watts: 200 W\nsettings: {temperature: 25 °C, thermostat: 24 °C}\n");
    let raised = raised("stuck", ROOM, &[("equipment/rod.yaml", &file)]);
    assert_eq!(level(&raised, "heater.no-cutoff"), Some(Danger::Animals));
    let why = why(&raised, "heater.no-cutoff");
    assert!(why.contains("stands below the controller's 25.0\u{a0}°C"), "{why}");
    assert!(why.contains("Temperature if the heaters stick on, at most: ") && why.contains(" h"), "{why}");
}

#[test]
fn a_chiller_keeps_its_distance_from_the_heaters() {
    let with = |holds: &str| {
        let rod = heater("watts: 300 W\nsettings: {temperature: 25 °C, thermostat: 26 °C}\n");
        let chiller = format!("name: Cold box\nrole: chiller\nin-service: 2023-01-10\nwatts: 60 W\n{holds}");
        let files = [("equipment/rod.yaml", rod.as_str()), ("equipment/box.yaml", chiller.as_str())];
        raised(&format!("chiller-{}", holds.len()), ROOM, &files)
    };
    let close = with("settings: {temperature: 25.4 °C}\n");
    assert_eq!(level(&close, "heat.chiller-fights"), Some(Danger::Animals));
    assert!(why(&close, "heat.chiller-fights").contains("holds 25.4"), "{}", why(&close, "heat.chiller-fights"));
    assert_eq!(level(&with("settings: {temperature: 26.0 °C, why: apart}\n"), "heat.chiller-fights"), None);
    // A setting that nobody wrote down is no fight that anybody saw.
    assert_eq!(level(&with(""), "heat.chiller-fights"), None);
}
