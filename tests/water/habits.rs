//! What recurs: water changes and doses.

use jiff::civil::{Date, date};

use super::support;

/// A habit that never changes has one rate, however a window of 90 days falls: 20 L every 14 days are 20/14 × 30.44 L a
/// month, and 98 mL logged every seven days for seven are 14 mL a day, 420 in thirty days.
#[test]
fn a_steady_habit_has_one_rate_whatever_the_day() {
    let first = date(2026, 1, 3);
    let on_a_day = |today: Date| {
        let mut log: String = (0..40)
            .map(|week| (week, first.saturating_add(jiff::Span::new().days(7 * week))))
            .filter(|(_, on)| *on <= today)
            .map(|(week, on)| {
                let change = if week % 2 == 0 { ", water-change: 20 L" } else { "" };
                format!("{on}: {{dose: {{stock: {{total: 98 mL, over: 7 days}}}}{change}}}\n")
            })
            .collect();
        // A record stands as of its last entry.
        log.push_str(&format!("{today} 20:00: {{note: all well}}\n"));
        let folder = support::laid(&[
            ("tank.yaml", "name: Basin\nstarted: 2025-01-01\nzone: UTC\nwater: 168 L, counted at fill\n"),
            ("supplies/stock.yaml", "name: Stock\nkind: stock\nstrength: {alkalinity: 1000 meq/L}\n"),
            ("log/2026.yaml", &log),
        ]);
        let found = support::worked(folder.path(), today);
        assert!(!found.has_errors, "{}", found.told);
        found
    };
    // The days of one fortnight: just after a change, between two, just before one.
    for on in 4..=17 {
        let found = on_a_day(date(2026, 8, on));
        let figure = |key: &str| found.findings.figures.get(".", key).unwrap().clone();
        let changed = figure("water.changed-per-month");
        assert!((changed.value - 20.0 / 14.0 * 146_097.0 / 4800.0).abs() < 1e-9, "{on}: {}", changed.value);
        // The jug's scale is common to all: 3 %, beside what is read off its marks.
        assert!(changed.uncertainty > 0.03 * changed.value && changed.uncertainty < 0.032 * changed.value);
        let dosed = figure("dose.stock.last-30-days");
        assert!((dosed.value - 420.0).abs() < 1e-9, "{on}: {}", dosed.value);
        assert!((dosed.uncertainty - 0.03 * 420.0).abs() < 1e-9);
    }
    // The last change was on 26 September: 65 days later the habit has stopped, and that counts. So it is with the doses,
    // of which the log is silent since 3 October.
    let stopped = on_a_day(date(2026, 11, 30));
    let changed = stopped.findings.figures.get(".", "water.changed-per-month").unwrap();
    // Two of 20 L after that of 29 August, the last before the 90 days, in the 93 days since it.
    assert!((changed.value - 40.0 / 93.0 * 146_097.0 / 4800.0).abs() < 1e-9, "{}", changed.value);
    assert!(stopped.findings.figures.get(".", "dose.stock.last-30-days").is_none());
}
