//! The water of whole records: uptake and level against simulated tanks whose truth is known, outlook and advice, and
//! what a reading is worth.

mod advice;
mod coverage;
mod habits;
mod readings;
mod slow;
#[path = "../support/mod.rs"]
mod support;

use jiff::civil::date;
use polypary::figures::Findings;
use polypary::record::Record;

/// Works out a sound record of these files.
fn worked(files: &[(&str, &str)]) -> (Record, Findings) {
    let worked = support::worked(support::laid(files).path(), date(2026, 12, 1));
    assert!(!worked.has_errors, "{}", worked.told);
    (worked.record, worked.findings)
}

const TANK: &str = "name: Basin\nstarted: 2025-01-01\nzone: UTC\nwater: 120 L ± 3 L, counted at fill\n\
    usual-units: {alkalinity: dKH, calcium: mg/L, nitrate: mg/L NO3, phosphate: mg/L PO4, salinity: ppt, temperature: °C}\n\
    usual-kits: {alkalinity: drops, nitrate: card}\n";

const DROPS: &str = "name: Drops\nkind: kit\nmeasures: alkalinity\nmethod: titration\nuncertainty: 0.2 dKH\n";
const CARD: &str = "name: Card\nkind: kit\nmeasures: nitrate\nmethod: colour card\nuncertainty: 0.5 mg/L NO3\ndetection-limit: 2 mg/L NO3\n";
const STOCK: &str = "name: Stock\nkind: stock\nstrength: {alkalinity: 1000 meq/L}\n";
const SALT: &str = "name: Mix\nkind: salt\nstrength: {alkalinity: 8.6 dKH}\n";

fn value(findings: &Findings, key: &str) -> f64 {
    findings.figures.get(".", key).unwrap_or_else(|| panic!("no figure {key}: {:?}", findings.figures.missing)).value
}

fn missing(findings: &Findings, key: &str) -> String {
    findings.figures.missing.iter().find(|missing| missing.key == key).unwrap().what_to_record.clone()
}
