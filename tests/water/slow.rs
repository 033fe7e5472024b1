//! What moves slowly: ripening, the purified water, salinity, a probe against the hand; and how substances go together.

use jiff::civil::date;
use polypary::figures::Findings;
use polypary::record::Parameter;

use super::{CARD, DROPS, TANK, missing, value, worked};

fn found(log: &str, more: &[(&str, &str)]) -> Findings {
    let mut files =
        vec![("tank.yaml", TANK), ("supplies/card.yaml", CARD), ("supplies/drops.yaml", DROPS), ("log/2026.yaml", log)];
    files.extend_from_slice(more);
    worked(&files).1
}

/// A thermometer whose uncertainty is written.
const STICK: &str = "name: Stick\nkind: kit\nmeasures: temperature\nmethod: thermometer\nuncertainty: 0.1 °C\n";

#[test]
fn a_tank_ripens_when_ammonia_and_nitrite_are_gone() {
    let log = "\
2025-01-02: {ammonia: 2 mg/L NH3, nitrite: below 0.05 mg/L NO2, nitrate: below 2}
2025-01-09: {ammonia: 1 mg/L NH3, nitrite: 1 mg/L NO2, nitrate: 3}
2025-01-16: {ammonia: below 0.25 mg/L NH3, nitrite: 3 mg/L NO2, nitrate: 6}
2025-01-23: {ammonia: below 0.25 mg/L NH3, nitrite: 0.5 mg/L NO2}
2025-01-30: {ammonia: below 0.25 mg/L NH3, nitrite: below 0.05 mg/L NO2}
2025-02-06: {ammonia: below 0.25 mg/L NH3, nitrite: below 0.05 mg/L NO2}
2025-09-01: {ammonia: 0.5 mg/L NH3}
";
    let findings = found(log, &[]);
    let ripening = findings.tanks["."].ripening.clone().unwrap();
    assert_eq!(ripening.ammonia.peak, (date(2025, 1, 2), 2.0));
    assert_eq!(ripening.ammonia.gone, Some((date(2025, 1, 9), date(2025, 1, 16))));
    assert_eq!(ripening.nitrite.as_ref().unwrap().peak, (date(2025, 1, 16), 3.0));
    assert_eq!(ripening.nitrate, Some(date(2025, 1, 9)));
    assert_eq!(ripening.ripe, Some((date(2025, 1, 23), date(2025, 1, 30))));
    assert_eq!(ripening.again, [(date(2025, 9, 1), 0.5)]);
    // Between day 22 and day 29, any of them: 25.5, and 7/√12.
    let figure = findings.figures.get(".", "water.ripe-after").unwrap();
    assert_eq!(figure.value, 25.5);
    assert!((figure.uncertainty - 7.0 / 12f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_tank_that_is_not_ripe_says_what_to_read() {
    let findings = found("2025-01-02: {ammonia: 2 mg/L NH3}\n2025-01-09: {ammonia: 1 mg/L NH3}\n", &[]);
    assert_eq!(findings.tanks["."].ripening.as_ref().unwrap().ripe, None);
    assert!(missing(&findings, "water.ripe-after").starts_with("ammonia and nitrite until both"));
}

#[test]
fn purified_water_that_creeps_up_is_seen_and_a_new_cartridge_starts_anew() {
    let readings = [0, 2, 5, 8, 12, 1, 2, 4, 6, 8, 10, 12];
    let log: String =
        readings.iter().enumerate().map(|(n, tds)| format!("2026-{:02}-10: {{tds: {tds} mg/L}}\n", n + 1)).collect();
    // The tank's day is the newest entry; the year's last two months lie after "today" of these tests.
    let log: String = log.lines().take(11).map(|line| format!("{line}\n")).collect();
    let findings = found(&log, &[]);
    let creep = findings.tanks["."].drifts.creep.clone().unwrap();
    assert_eq!((creep.since, creep.first, creep.readings), (date(2026, 6, 10), 1.0, 6));
    assert!(creep.rising);
    assert_eq!(creep.latest, (date(2026, 11, 10), 10.0));
    // Two a month from July on.
    assert!((value(&findings, "water.tds.creep") - 2.0).abs() < 0.05);
}

#[test]
fn salinity_that_falls_is_told_in_litres() {
    let log: String = (0..9)
        .map(|week| {
            let day = date(2026, 4, 1).saturating_add(jiff::Span::new().weeks(week));
            format!("{day}:\n  salinity: {:.1} ppt ± 0.1 ppt\n", 36.0 - 0.35 * week as f64)
        })
        .collect();
    let findings = found(&log, &[]);
    let drift = findings.tanks["."].drifts.salinity.clone().unwrap();
    assert!(drift.visible);
    // −0.35 ppt a week of 120 L at 33.2 ppt: 1.27 L of salt water a week.
    assert!((drift.litres_a_week + 0.35 * 120.0 / 33.2).abs() < 0.03, "{}", drift.litres_a_week);
}

/// A probe that sinks by 0.02 °C a day beside a thermometer that does not, in a log of every hour.
#[test]
fn a_probe_that_drifts_is_found_beside_the_hand() {
    let mut log = String::new();
    let mut csv = String::from("when,water\n");
    for day in 0..60 {
        let date = date(2026, 4, 1).saturating_add(jiff::Span::new().days(day));
        for hour in 0..24 {
            csv += &format!("{date} {hour:02}:00,{:.2}\n", 25.3 - 0.02 * day as f64);
        }
        if day % 5 == 0 {
            log += &format!("{date} 20:10: {{temperature: 25.0}}\n");
        }
    }
    let tank = TANK.replace("usual-kits: {", "usual-kits: {temperature: stick, ");
    let findings = worked(&[
        ("tank.yaml", &tank),
        ("supplies/card.yaml", CARD),
        ("supplies/drops.yaml", DROPS),
        ("supplies/stick.yaml", STICK),
        ("log/2026.yaml", &log),
        ("readings/probe.csv", &csv),
        ("readings/probe.yaml", "columns: {when: time, water: temperature °C}\nzone: UTC\n"),
    ])
    .1;
    let probe = &findings.tanks["."].drifts.probes[0];
    assert_eq!((probe.parameter, probe.differences.len(), probe.reset), (Parameter::Temperature, 12, None));
    assert!(probe.drifts);
    assert!((probe.trend.as_ref().unwrap().slope + 0.02).abs() < 1e-6);
    // Differences from +0.30 down to −0.80: the middle of twelve.
    assert!((probe.offset + 0.25).abs() < 1e-6, "{}", probe.offset);
    assert!((probe.differences[1].1 - 0.2).abs() < 1e-9);
    // A difference of −0.25 °C is one of −0.45 °F: no zero is shifted (NIST SP 811, B.8: 1 °C of difference is 1.8 °F).
    let offset = findings.figures.get(".", "sensor.probe.temperature.offset").unwrap();
    let us = polypary::units::System::Us.of(&offset.unit);
    assert_eq!((offset.unit.as_str(), us.unit.as_str()), ("°C of difference", "°F of difference"));
    assert!((us.value(offset.value) + 0.45).abs() < 1e-6, "{}", us.value(offset.value));
}

/// The smallest change that shows is a difference as well: 1.96 √2 of the thermometer's 0.1 °C, 0.277 °C, are 0.499 °F and not 32.5.
#[test]
fn a_change_of_temperature_is_a_difference_in_every_unit() {
    let mut log = String::new();
    for week in 0..12i64 {
        let date = date(2026, 4, 1).saturating_add(jiff::Span::new().days(7 * week));
        log += &format!("{date} 20:10: {{temperature: {:.2}}}\n", 25.0 - 0.03 * week as f64);
    }
    let tank = TANK.replace("usual-kits: {", "usual-kits: {temperature: stick, ");
    let findings = worked(&[
        ("tank.yaml", &tank),
        ("supplies/card.yaml", CARD),
        ("supplies/drops.yaml", DROPS),
        ("supplies/stick.yaml", STICK),
        ("log/2026.yaml", &log),
    ])
    .1;
    let shows = findings.figures.get(".", "water.temperature.visible-change").unwrap();
    let us = polypary::units::System::Us.of(&shows.unit);
    assert!((us.value(shows.value) - 0.499).abs() < 1e-3, "{} {}", us.value(shows.value), us.unit);
}
