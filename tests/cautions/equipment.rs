//! Cautions about power, heaters, lamps, batteries and weight, each by its answers and at its limits.

use polypary::pages::model::Danger;

use crate::{AS_OF, Folder, PUMP, heater, level, raised, why};

#[test]
fn earth_leakage_protection_by_answer_and_test() {
    let key = "electricity.no-ground-fault";
    let with = |name: &str, answer: &str, tested: Option<&str>| {
        let log = match tested {
            Some(day) => format!("{day}: {{done: [ground-fault-test]}}\n{AS_OF}"),
            None => AS_OF.to_string(),
        };
        let task = "tasks: {ground-fault-test: {what: Press the test button, every: 30 days}}\n";
        raised(name, answer, &[PUMP, ("log/2026.yaml", &log), ("upkeep/all.yaml", task)])
    };
    let no = with("gf-no", "electricity: {voltage: 230 V, ground-fault: no}\n", None);
    assert_eq!(level(&no, key), Some(Danger::People));
    assert!(why(&no, key).contains("Stream"));
    let missing = with("gf-missing", "", None);
    assert_eq!(level(&missing, key), Some(Danger::Check));
    assert!(missing.iter().find(|caution| caution.key == key).unwrap().title.ends_with('?'));
    let yes = "electricity: {voltage: 230 V, ground-fault: yes}\n";
    assert_eq!(level(&with("gf-never", yes, None), key), Some(Danger::Check));
    assert_eq!(level(&with("gf-tested", yes, Some("2026-05-15")), key), None);
    // 60 days is twice the interval, and still only a task; 61 is a caution.
    assert_eq!(level(&with("gf-60", yes, Some("2026-03-31")), key), None);
    assert_eq!(level(&with("gf-61", yes, Some("2026-03-30")), key), Some(Danger::Check));
}

#[test]
fn drip_loops_by_answer() {
    let key = "electricity.drip-loop";
    let with = |name: &str, answer: &str| {
        let tank = format!("electricity: {{voltage: 230 V, drip-loops: {answer}}}\n");
        level(&raised(name, &tank, &[PUMP]), key)
    };
    assert_eq!(with("drip-no", "no"), Some(Danger::People));
    assert_eq!(with("drip-unknown", "unknown"), Some(Danger::Check));
    assert_eq!(with("drip-yes", "yes"), None);
}

#[test]
fn a_strip_is_judged_by_its_rating_and_the_rule_of_the_country() {
    // 12 A on a 15 A, 120 V circuit is the US limit of 80 % for continuous loads: 1440 W of 1800 W.
    let key = "electricity.strip-load";
    let with = |name: &str, country: &str, watts: u32, rating: &str| {
        let tank = format!("country: {country}\nelectricity: {{voltage: 120 V}}\n");
        let strip = format!("name: Strip\nrole: power-strip\nin-service: 2023-01-10\n{rating}");
        let lamp =
            format!("name: Sun\nrole: lamp\nin-service: 2023-01-10\nwatts: {watts} W\nplugged: strip\nmains: yes\n");
        raised(name, &tank, &[("equipment/strip.yaml", &strip), ("equipment/lamp.yaml", &lamp)])
    };
    assert_eq!(level(&with("strip-us-over", "US", 1450, "rating: 15 A\n"), key), Some(Danger::People));
    assert_eq!(level(&with("strip-us-under", "US", 1430, "rating: 15 A\n"), key), None);
    assert_eq!(level(&with("strip-pt-under", "PT", 1450, "rating: 15 A\n"), key), None);
    assert_eq!(level(&with("strip-pt-over", "PT", 1850, "rating: 15 A\n"), key), Some(Danger::People));
    assert_eq!(level(&with("strip-unrated", "PT", 510, ""), key), Some(Danger::Check));
    assert_eq!(level(&with("strip-unrated-small", "PT", 490, ""), key), None);
    let over = with("strip-text", "US", 1450, "rating: 15 A\n");
    assert!(why(&over, key).contains("1450 W") && why(&over, key).contains("1440 W"), "{}", why(&over, key));
}

#[test]
fn heaters() {
    // 300 W on 120 L: 2.5 W/L × 0.88 = 2.2 °C/h, 5 °C from 25 to 30 °C in 2.27 h.
    let hot = heater("watts: 300 W\nbought-on: 2022-01-01\non-extension: yes\nsettings: {temperature: 25 °C}\n");
    let log = "2026-05-30: {water-change: 12 L}\n";
    let hot = raised("heater-hot", "", &[("equipment/rod.yaml", &hot), ("log/a.yaml", log)]);
    assert_eq!(level(&hot, "heater.no-cutoff"), Some(Danger::Animals));
    assert!(why(&hot, "heater.no-cutoff").contains("about 2.3 h"), "{}", why(&hot, "heater.no-cutoff"));
    assert_eq!(level(&hot, "heater.out-of-water"), Some(Danger::Check));
    assert_eq!(level(&hot, "heater.recall-age"), Some(Danger::Check));
    assert_eq!(level(&hot, "electricity.strip-load"), Some(Danger::People));

    // 50 W: 0.367 °C/h, 13.6 h: longer than the 8 h.
    let mild = heater("watts: 50 W\nbought-on: 2026-01-01\nsettings: {temperature: 25 °C}\n");
    let mild = raised("heater-mild", "", &[("equipment/rod.yaml", &mild), ("log/a.yaml", AS_OF)]);
    for key in ["heater.no-cutoff", "heater.out-of-water", "heater.recall-age"] {
        assert_eq!(level(&mild, key), None, "{key}");
    }

    let dial = |name: &str, dial: u32| {
        let rod = heater(&format!("watts: 300 W\nsettings: {{temperature: 25 °C, thermostat: {dial} °C}}\n"));
        level(&raised(name, "", &[("equipment/rod.yaml", &rod)]), "heater.no-cutoff")
    };
    assert_eq!(dial("dial-below", 24), Some(Danger::Animals));
    assert_eq!(dial("dial-above", 26), None);
    assert_eq!(dial("dial-far", 29), Some(Danger::Animals));

    let unknown = raised("heater-unknown", "", &[("equipment/rod.yaml", &heater(""))]);
    assert_eq!(level(&unknown, "heater.no-cutoff"), Some(Danger::Check));
    assert_eq!(level(&unknown, "heater.recall-age"), Some(Danger::Check));
}

#[test]
fn flow_and_heat_on_one_supply() {
    let key = "electricity.two-supplies";
    let with = |name: &str, first: &str, second: &str| {
        let pump = format!("{}{first}", PUMP.1);
        let guard = "name: Guard\nrole: ground-fault-protection\nin-service: 2023-01-10\n";
        let files = [
            ("equipment/pump.yaml", pump.as_str()),
            ("equipment/rod.yaml", &heater(second)),
            ("equipment/guard-a.yaml", guard),
            ("equipment/guard-b.yaml", guard),
        ];
        level(&raised(name, "", &files), key)
    };
    assert_eq!(with("one-guard", "protection: guard-a\n", "protection: guard-a\n"), Some(Danger::Animals));
    assert_eq!(with("two-guards", "protection: guard-a\n", "protection: guard-b\n"), None);
    assert_eq!(with("no-guards", "", ""), Some(Danger::Check));
}

#[test]
fn marks_and_home_made_equipment() {
    let key = "electricity.diy-mains";
    let with = |name: &str, lines: &str| {
        let lamp = format!("name: Sun\nrole: lamp\nin-service: 2026-01-10\n{lines}");
        level(&raised(name, "", &[("equipment/lamp.yaml", &lamp)]), key)
    };
    assert_eq!(with("diy", "made: home-made\nmains: yes\n"), Some(Danger::People));
    assert_eq!(with("unmarked", "listed-mark: no\nmains: yes\n"), Some(Danger::People));
    assert_eq!(with("mark-missing", "mains: yes\n"), Some(Danger::Check));
    assert_eq!(with("marked", "listed-mark: yes\nmains: yes\n"), None);
    assert_eq!(with("diy-low-voltage", "made: home-made\nmains: no\n"), None);
}

#[test]
fn lamps_and_batteries() {
    let lamp = |metal: &str| {
        format!(
            "name: Sun\nrole: lamp\nin-service: 2024-01-10\nposition: over-water\nmains: no\nmetal-hardware: {metal}\n"
        )
    };
    let with = |name: &str, metal: &str, log: &str| {
        let files = [("equipment/lamp.yaml", lamp(metal)), ("log/a.yaml", log.to_string())];
        let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (*path, text.as_str())).collect();
        level(&raised(name, "", &files), "lamp.hot-or-falling")
    };
    assert_eq!(with("lamp-metal", "yes", AS_OF), Some(Danger::Check));
    assert_eq!(with("lamp-rust", "yes", "2026-05-30: {note: Rust on the lamp hanger}\n"), Some(Danger::People));
    assert_eq!(with("lamp-plastic", "no", AS_OF), None);

    let pack = "name: Pack\nrole: battery\nin-service: 2025-01-10\nposition: under-tank\nmains: no\n";
    let cell = "name: Dial\nrole: thermometer\nin-service: 2025-01-10\nmains: no\ncoin-cell: yes\n";
    let files = [
        ("equipment/pack.yaml", pack),
        ("equipment/dial.yaml", cell),
        ("log/a.yaml", "2026-05-30: {water-change: 10 L}\n"),
    ];
    for (answer, expected) in [("yes", Some(Danger::People)), ("unknown", Some(Danger::Check)), ("no", None)] {
        let tank = format!("household: {{children-under-5: {answer}}}\n");
        let all = raised(&format!("children-{answer}"), &tank, &files);
        assert_eq!(level(&all, "battery.button-cell"), expected, "{answer}");
        assert_eq!(level(&all, "child.bucket"), expected, "{answer}");
        assert_eq!(level(&all, "battery.lithium"), Some(Danger::People));
        // The household is private: no reason points into it.
        assert!(all.iter().flat_map(|caution| &caution.why).all(|(reason, _)| !reason.contains("child")));
    }
}

#[test]
fn the_floor_is_asked_about_by_mass_and_never_by_pressure() {
    // 120 L of sea water is 123 kg, 27 kg of rock more and the glass on top pass 150 kg.
    let with = |name: &str, lines: &str| {
        raised(name, &format!("rock: 27 kg\nglass: 10 mm\n{lines}"), &[("log/a.yaml", AS_OF)])
    };
    let upper = with("floor-upper", "floor: upper\nstand: {mass: 30 kg, footprint: 90 x 45 cm}\n");
    assert_eq!(level(&upper, "load.floor"), Some(Danger::Check));
    let text = &upper.iter().find(|caution| caution.key == "load.floor").unwrap().text[0];
    assert!(text.contains("kPa") && text.contains("uncertainty") && text.contains("0.405 m²"), "{text}");
    assert_eq!(level(&with("floor-missing", ""), "load.floor"), Some(Danger::Check));
    assert_eq!(level(&with("floor-ground", "floor: ground\n"), "load.floor"), None);
    assert_eq!(
        level(&with("floor-timber", "floor: ground\nfloor-construction: timber joists\n"), "load.floor"),
        Some(Danger::Check)
    );

    // A small tank on a small stand presses harder than homes are designed for, and raises nothing.
    let nano = Folder::new(
        "floor-nano",
        &[(
            "tank.yaml",
            "name: Pool\nstarted: 2024-01-10\nzone: Europe/Lisbon\nsize: 40 x 40 x 40 cm\nglass: 8 mm\nwater: 50 L, counted at fill\nfloor: upper\nstand: {mass: 20 kg, footprint: 40 x 40 cm}\n",
        )],
    );
    assert_eq!(level(&nano.raised(), "load.floor"), None);
    let wet = raised("lift", "", &[("log/a.yaml", "2026-05-30: {water-change: 10 L}\n")]);
    assert_eq!(level(&wet, "glass.lift"), Some(Danger::Check));
    assert_eq!(level(&with("no-lift", ""), "glass.lift"), None);
}

/// What bright, ultraviolet and ozone-making devices, engines, flames and damp rooms bring with them, and that they say
/// nothing where nothing raises them.
#[test]
fn devices_that_bring_a_danger_of_their_own() {
    let of = |name: &str, tank: &str, device: &str| {
        let files = [("equipment/thing.yaml", device)];
        raised(name, tank, if device.is_empty() { &[] } else { &files })
    };
    let lamp = |watts: u32, more: &str| {
        format!("name: Bar\nrole: lamp\nin-service: 2026-01-10\nwatts: {watts} W\nmetal-hardware: no\n{more}")
    };
    assert_eq!(level(&of("bright", "", &lamp(140, "")), "light.blue-bright"), Some(Danger::Check));
    assert_eq!(level(&of("dim", "", &lamp(60, "")), "light.blue-bright"), None);
    let violet = lamp(60, "settings: {level: 50 %, channels: {violet: 40 %, white: 20 %}}\n");
    assert_eq!(level(&of("violet", "", &violet), "light.blue-bright"), Some(Danger::Check));
    let uv = "name: Clear\nrole: uv-steriliser\nin-service: 2026-01-10\n";
    assert_eq!(level(&of("uv", "", uv), "uv.lamp"), Some(Danger::People));
    assert_eq!(level(&of("uv-none", "", uv), "ozone.leak"), None);
    let ozone = "name: Fresh\nrole: ozone-generator\nin-service: 2026-01-10\n";
    let ozone = of("ozone", "", ozone);
    assert_eq!(level(&ozone, "ozone.leak"), Some(Danger::People));
    assert_eq!(level(&ozone, "outage.generator"), None);
    let engine = "name: Petrol generator\nrole: other\nin-service: 2026-01-10\n";
    assert_eq!(level(&of("engine", "", engine), "outage.generator"), Some(Danger::People));
    let flame =
        "name: Box\nrole: other\nin-service: 2026-01-10\nnote: \"candles and a camping stove for the next cut\"\n";
    let flame = of("flame", "", flame);
    assert_eq!((level(&flame, "outage.open-flame"), level(&flame, "outage.generator")), (Some(Danger::People), None));
    let damp = of("damp", "room: 18 to 25 °C\nroom-humidity: 45 to 72 %\n", "");
    assert_eq!(level(&damp, "mould.humidity"), Some(Danger::Check));
    assert!(why(&damp, "mould.humidity").contains("72 %") && why(&damp, "mould.humidity").contains("Evaporation"));
    assert_eq!(level(&of("dry", "room: 18 to 25 °C\nroom-humidity: 35 to 55 %\n", ""), "mould.humidity"), None);
    // A pump with a pack of its own holds a pack like any other.
    let pump = "name: Airy\nrole: air-pump\nin-service: 2026-01-10\ncapacity: 18 Wh\n";
    assert_eq!(level(&of("pack", "", pump), "battery.lithium"), Some(Danger::Check));
}

/// 1 L of a stock of 1 mol/L at 3 L/h into 120 L: from 8 to 12 dKH in minutes; 20 mL of it never.
#[test]
fn a_dosing_bottle_is_judged_by_what_a_stuck_head_makes_of_it() {
    let with = |bottle: &str, flow: &str| {
        let soda = format!("name: Soda\nkind: stock\nstrength: {{alkalinity: 1000 meq/L}}\nbottle: {bottle}\n");
        let sheet = format!("---\nname: Heads\nkind: dosing-pump\n{flow}---\n");
        let files = [
            ("equipment/doser.yaml", "name: Heads\nrole: dosing-pump\nin-service: 2023-01-10\nspec: heads\n"),
            ("specs/heads.md", sheet.as_str()),
            ("supplies/soda.yaml", soda.as_str()),
            (
                "upkeep/plans.yaml",
                "dosing:\n  - {since: 2026-01-01, supply: soda, amount: 4 mL, every: 1 day, by: doser}\n",
            ),
            ("log/2026.yaml", "2026-05-30: {alkalinity: 8.0 dKH}\n"),
        ];
        raised(&format!("doser-{}-{}", bottle.len(), flow.len()), "", &files)
    };
    let large = with("1 L", "flow: 3 L/h\n");
    assert_eq!(level(&large, "dosing.stuck-head"), Some(Danger::Animals));
    assert!(why(&large, "dosing.stuck-head").contains("minutes"));
    assert_eq!(level(&with("20 mL", "flow: 3 L/h\n"), "dosing.stuck-head"), None);
    assert_eq!(level(&with("1 L", ""), "dosing.stuck-head"), Some(Danger::Check));
}
