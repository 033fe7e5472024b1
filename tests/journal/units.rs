//! The same record in metric and in US units: every quantity on the pages, the charts and the command line.
//!
//! Expected values are worked out from 1 gal = 3.785 411 784 L, 1 in = 2.54 cm, 1 oz = 28.349 52 g and
//! °F = 1.8 °C + 32 (NIST SP 811, appendix B.8).

use std::fs;
use std::path::Path;

use polypary::pipeline::{self, Request};
use polypary::units::System;

use super::{edition, kitchen_lagoon, program, put, request, words};

/// Readings of temperature in either system, six weeks long, so that there is a chart and a trend.
const WARMTH: &str = "\
2026-08-01: {temperature: 25.0 °C, water-change: 10 L}
2026-08-08: {temperature: 25.5 °C}
2026-08-15: {temperature: 78.8 °F}
2026-08-22: {temperature: 26.0 °C, top-off: 1 gal}
";

fn written(record: &Path, units: System) -> pipeline::Outcome {
    pipeline::journal(&Request { units, ..request(record) }).expect("the record is sound")
}

fn seen(record: &Path, page: &str) -> String {
    words(&fs::read_to_string(record.join("out/journal").join(page)).unwrap())
}

fn assert_shows(record: &Path, page: &str, wanted: &[&str]) {
    let text = seen(record, page);
    for words in wanted {
        assert!(text.contains(words), "{page} lacks `{words}`:\n{text}");
    }
}

#[test]
fn pages_and_charts_are_written_in_the_units_asked_for() {
    let record = kitchen_lagoon();
    let record = record.path();
    put(record, "log/2026-summer.yaml", WARMTH);
    written(record, System::Metric);
    assert_shows(record, "index.html", &["60 × 40 × 40 cm of glass, 75 ± 4 L"]);
    assert_shows(record, "log/2026-08-15.html", &["26.0 °C"]);
    assert_shows(record, "log/2026-08-22.html", &["Topped off 4 L"]);
    assert_shows(record, "log/2026-10-03-2110.html", &["Topped off 3.5 L", "84 g", "7.9 dKH"]);
    assert_shows(record, "water/temperature.html", &["24.0 to 26.5 °C", "26.0"]);

    assert!(!written(record, System::Us).unchanged, "the units belong to what an edition was made from");
    assert_shows(record, "index.html", &["23.62 × 15.75 × 15.75 in of glass, 19.8 ± 1.0 gal"]);
    assert_shows(record, "log/2026-08-15.html", &["78.8 °F"]);
    assert_shows(record, "log/2026-08-01.html", &["77.0 °F", "Water changed 2.6 gal"]);
    assert_shows(record, "log/2026-08-22.html", &["Topped off 1 gal"]);
    assert_shows(record, "log/2026-10-03-2110.html", &["Topped off 0.92 gal", "2.96 oz", "7.9 dKH"]);
    assert_shows(record, "water/temperature.html", &["75.2 to 79.7 °F", "77.9", "78.8"]);
    // A reading by hand is good to 0.7 °C, which is 1.26 °F: without the offset of the scale.
    assert_shows(record, "water/temperature.html", &["± 1.3"]);
    assert!(written(record, System::Us).unchanged);

    for (path, bytes) in edition(record) {
        if !path.ends_with(".html") || path.starts_with("source/") || path.starts_with("sources") {
            continue;
        }
        let page = String::from_utf8(bytes).unwrap();
        assert!(!page.contains("°C</text>") && !page.contains("\u{a0}cm") && !page.contains("\u{a0}°C"), "{path}");
    }
    let page = fs::read_to_string(record.join("out/journal/water/temperature.html")).unwrap();
    assert!(page.contains(">°F</text>"), "the chart names its unit");
}

#[test]
fn the_table_of_figures_follows_and_the_graph_stays_as_it_was_worked_out() {
    let record = kitchen_lagoon();
    let table = |arguments: &[&str]| String::from_utf8(program(arguments, record.path(), "1").stdout).unwrap();
    let line = |text: &str| {
        let line = text.lines().find(|line| line.contains("water.net-volume")).unwrap_or_default();
        line.split_whitespace().map(String::from).collect::<Vec<_>>()
    };
    let metric = line(&table(&["figures"]));
    assert_eq!((metric[1].as_str(), metric[4].as_str()), ("75", "L"));
    let us = line(&table(&["figures", "--units", "us"]));
    assert_eq!((us[1].as_str(), us[4].as_str()), ("19.81", "gal"));
    assert_eq!(table(&["figures", "--json"]), table(&["figures", "--json", "--units", "us"]));
    assert_eq!(program(&["figures", "--units", "imperial"], record.path(), "1").status.code(), Some(2));
}
