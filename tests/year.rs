//! What a year held, of a small record whose every number can be worked out by hand.

mod support;

use std::fs;

use jiff::civil::date;
use polypary::figures::growth::Model;
use polypary::figures::year::{InBand, Kept, year};
use polypary::record::Parameter;
use support::{laid, worked};

const TANK: &str = "\
name: Quiet corner
started: 2025-01-01
zone: Etc/UTC
water: 100 L, counted at fill
electricity:
  - {since: 2025-01-01, voltage: 230 V, tariff: 0.30 EUR/kWh}
  - {since: 2025-07-01, voltage: 230 V, tariff: 0.40 EUR/kWh}
bands: {nitrate: 2 to 10 mg/L NO3}
";

const LOG: &str = "\
2025-01-01: {top-off: 3 L}
2025-01-04: {top-off: 3 L}
2025-01-06: {top-off: 4 L, water-change: 10 L}
2025-01-08: {done: [glass]}
2025-01-15: {done: [glass]}
2025-01-23: {done: [glass]}
2025-02-02: {done: [glass], water-change: 10 L}
2025-02-20: {top-off: 5 L}
2025-03-01: {nitrate: {value: 5 mg/L NO3, kit: card}}
2025-03-11: {nitrate: {value: 5 mg/L NO3, kit: card}}
2025-04-21: {water-change: 10 L}
2025-05-01: {nitrate: {value: 15 mg/L NO3, kit: card}}
2025-05-11: {nitrate: {value: 15 mg/L NO3, kit: card}}
2025-05-21: {nitrate: {value: 10 mg/L NO3, kit: card}}
2025-06-01: nothing to report
2026-01-05: {note: A new year.}
";

fn record() -> tempfile::TempDir {
    laid(&[
        ("tank.yaml", TANK),
        ("log/all.yaml", LOG),
        (
            "supplies/card.yaml",
            "name: Card\nkind: kit\nmeasures: nitrate\nmethod: colour card\nuncertainty: 0.5 mg/L NO3\n",
        ),
        (
            "equipment/pump.yaml",
            "name: Pump\nrole: circulation-pump\nin-service: 2025-01-01\nwatts: 10 W\nsettings:\n  - {since: 2025-01-01, schedule: always}\n",
        ),
        (
            "equipment/lamp.yaml",
            "name: Lamp\nrole: lamp\nin-service: 2025-01-01\nwatts: 50 W\nsettings:\n  - {since: 2025-01-01, level: 100 %, schedule: \"10:00 to 20:00\"}\n  - {since: 2025-07-01, level: 50 %, schedule: \"10:00 to 20:00\"}\n",
        ),
        (
            "upkeep/tasks.yaml",
            "tasks:\n  glass: {every: 7 days, what: clean the glass, takes: 10 min, since: 2025-01-01}\n",
        ),
        (
            "colonies/leather.yaml",
            "name: Leather\ngroup: leather\narrived: 2025-01-10\nplacements:\n  - {since: 2025-01-10, tank: .}\nsizes:\n  - {on: 2025-01-10, height: 5 cm, uncertainty: 0.2 cm}\n  - {on: 2025-07-09, height: 8 cm, uncertainty: 0.2 cm}\n",
        ),
        (
            "colonies/sponge.yaml",
            "name: Sponge\ngroup: sponge\narrived: 2025-01-10\nplacements:\n  - {since: 2025-01-10, tank: .}\nsizes:\n  - {on: 2025-01-10, height: 5 cm, uncertainty: 0.5 cm}\n  - {on: 2025-07-09, height: 5.2 cm, uncertainty: 0.5 cm}\n",
        ),
    ])
}

#[test]
fn a_year_adds_up() {
    let folder = record();
    let worked = worked(folder.path(), date(2026, 2, 1));
    assert!(!worked.has_errors, "{}", worked.told);
    let tank = &worked.record.tanks["."];
    let found = year(&worked.record, tank, &worked.findings.tanks["."], 2025).expect("the record covers it");
    assert_eq!((found.from, found.to, found.days), (Some(date(2025, 1, 1)), Some(date(2025, 12, 31)), 365));
    assert_eq!((found.entries, found.quiet, found.readings), (15, 1, 5));

    // Pump 0.24 kWh a day for 365 days; lamp 0.5 kWh for the 181 days to the end of June, 0.25 for the 184 after.
    let energy = found.energy.expect("watts are there");
    assert!((energy.value - (87.6 + 90.5 + 46.0)).abs() < 1e-9, "{energy:?}");
    // Three per cent of each device, which stays wrong the same way all year; two devices in quadrature.
    assert!((energy.u - (0.03 * 87.6f64).hypot(0.03 * 136.5)).abs() < 1e-9, "{energy:?}");
    // 133.94 kWh at 0.30 and 90.16 kWh at 0.40.
    let cost = found.cost["EUR"];
    assert!((cost.value - (133.94 * 0.30 + 90.16 * 0.40)).abs() < 1e-9, "{cost:?}");
    assert_eq!(cost.days, 365);
    assert!(found.metered.is_none());

    assert_eq!((found.changed.value, found.changed.times), (30.0, 3));
    // 3 L made up for three days, 4 L for two; the 45 days before the last top-off are a silence.
    assert_eq!((found.evaporated.value, found.evaporated.days), (7.0, 5));

    // Due on 8, 15, 22 and 30 January and 9 February; a day of grace.
    let kept = Kept { task: "glass".into(), due: 5, on_time: 3, late: 1, not_done: 1, done: 4, minutes: Some(40.0) };
    assert_eq!(found.upkeep, [kept]);

    // 3 cm in 180 days, each end with a standard uncertainty of 0.2 cm.
    let [(colony, growth)] = found.growth.as_slice() else { panic!("{:?}", found.growth) };
    assert_eq!((colony.as_str(), growth.model), ("leather", Model::Linear));
    assert!((growth.rate - 3.0 / 180.0 * 365.25).abs() < 1e-9);
    assert!((growth.high - growth.rate - 1.96 * 0.08f64.sqrt() / 180.0 * 365.25).abs() < 1e-9);
    assert_eq!(found.hardly, 1);
}

#[test]
fn days_in_band_leave_doubt_where_there_is_some() {
    let folder = record();
    let worked = worked(folder.path(), date(2026, 2, 1));
    let tank = &worked.record.tanks["."];
    let found = year(&worked.record, tank, &worked.findings.tanks["."], 2025).expect("the record covers it");
    // 1 to 11 March inside. 51 days without a reading say nothing. 1 to 11 May outside, and eight days more while the line
    // from 15 to 10 lies over 10 + 1.645 · 0.5; then two days too close to tell.
    let wanted = InBand { parameter: Parameter::Nitrate, inside: 11, outside: 19, too_close: 2, unknown: 333 };
    assert_eq!(found.bands, [wanted]);
}

#[test]
fn a_year_counts_only_the_days_there_were() {
    let folder = record();
    let worked = worked(folder.path(), date(2026, 2, 1));
    let tank = &worked.record.tanks["."];
    let found = &worked.findings.tanks["."];
    assert!(year(&worked.record, tank, found, 2024).is_none(), "before the first fill");
    assert!(year(&worked.record, tank, found, 2027).is_none(), "after the newest entry");
    let running = year(&worked.record, tank, found, 2026).expect("five days of it");
    assert_eq!((running.days, running.entries), (5, 1));
    // Five days of 0.24 and 0.25 kWh.
    assert!((running.energy.expect("watts are there").value - 5.0 * 0.49).abs() < 1e-9);
    assert!(running.growth.is_empty() && running.evaporated.days == 0);
}

/// What was never done does not vanish: it falls due, stays due, and stands first among what is late.
#[test]
fn a_task_that_was_never_done_is_not_done_in_every_year() {
    let folder = laid(&[
        ("tank.yaml", "name: Basin\nstarted: 2025-03-01\nzone: UTC\nwater: 100 L, counted at fill\n"),
        ("equipment/skimmer.yaml", "name: Skimmer\nrole: skimmer\nin-service: 2025-04-01\nbought-on: 2025-03-05\n"),
        ("equipment/heater.yaml", "name: Heater\nrole: heater\nin-service: 2024-11-02\nwatts: 100 W\n"),
        (
            "upkeep/all.yaml",
            "tasks:\n  cup: {every: 5 days, takes: 4 min, what: empty the cup, device: skimmer}\n  pump: {every: 3 months, what: clean the pump}\nlifetimes: {heater: 2 years, skimmer: 3 years}\n",
        ),
        ("log/all.yaml", "2026-09-12: {done: [pump]}\n2026-11-20: {note: quiet}\n"),
    ]);
    let worked = worked(folder.path(), date(2026, 11, 24));
    assert!(!worked.has_errors, "{}", worked.told);
    let (tank, found) = (&worked.record.tanks["."], &worked.findings.tanks["."]);
    let cup = found.tasks.iter().find(|task| task.key == "cup").unwrap();
    // Five days after the skimmer went into service; from 6 April 2025 to the last entry, 20 November 2026, are 593 days.
    assert_eq!((cup.due, cup.overdue_days), (date(2025, 4, 6), Some(593)));
    let work = worked.findings.figures.get(".", "upkeep.minutes-per-week").unwrap();
    // Four minutes every five days.
    assert!((work.value - 4.0 * 7.0 / 5.0).abs() < 1e-9);
    assert!(work.notes.contains(&"never logged and counted as meant: empty the cup".to_string()), "{:?}", work.notes);
    // By the calendar.
    let pump = found.tasks.iter().find(|task| task.key == "pump").unwrap();
    assert_eq!((pump.due, pump.every.every()), (date(2026, 12, 12), "every 3 months".to_string()));
    for number in [2025, 2026] {
        let kept = year(&worked.record, tank, found, number).unwrap().upkeep;
        let cup = kept.iter().find(|kept| kept.task == "cup").expect("it does not vanish");
        assert_eq!((cup.due, cup.not_done, cup.done), (1, 1, 0), "{number}");
    }
    let lines = polypary::pipeline::due(&worked.record, &worked.findings);
    assert_eq!(
        lines,
        [
            "upkeep/all.yaml:2: task `cup` is 593 days overdue and was never logged",
            "upkeep/all.yaml:4: `heater` was to be replaced by 2026-11-02: in service since 2024-11-02, meant to last 2 years",
        ]
    );
}

/// A coral that sheds and shrinks on its way from 5 to 13 cm has grown all the same: 8 cm in 330 days by its ends.
#[test]
fn a_step_back_on_the_way_does_not_hide_growth() {
    let folder = record();
    let sizes = [("2025-01-15", 5), ("2025-04-12", 7), ("2025-06-14", 6), ("2025-08-16", 10), ("2025-12-11", 13)]
        .map(|(on, height)| format!("  - {{on: {on}, height: {height} cm, uncertainty: 0.5 cm}}\n"));
    let colony =
        "name: Shedder\ngroup: leather\narrived: 2025-01-15\nplacements: [{since: 2025-01-15, tank: .}]\nsizes:\n";
    fs::write(folder.path().join("colonies/shedder.yaml"), colony.to_string() + &sizes.concat()).unwrap();
    let worked = worked(folder.path(), date(2026, 2, 1));
    let tank = &worked.record.tanks["."];
    let found = year(&worked.record, tank, &worked.findings.tanks["."], 2025).unwrap();
    let (_, growth) = found.growth.iter().find(|(key, _)| key == "shedder").expect("it grew");
    assert!((growth.rate - 8.0 / 330.0 * 365.25).abs() < 1e-9, "{growth:?}");
    assert!((growth.high - growth.rate - 1.96 * 0.5f64.sqrt() / 330.0 * 365.25).abs() < 1e-9, "{growth:?}");
}
