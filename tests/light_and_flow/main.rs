//! Small records on disk: what their lamps, surveys, pumps and pipes are worth, against numbers worked out by hand.

mod flow;
mod light;
#[path = "../support/mod.rs"]
mod support;

use std::path::Path;

use jiff::civil::date;
use polypary::figures::{Figure, Findings};
use polypary::record::Record;

/// A record that was read, with what was found wrong in it.
struct Read {
    record: Record,
    findings: Findings,
    /// What was told about it, as a terminal shows it.
    told: String,
}

impl Read {
    fn figure(&self, key: &str) -> &Figure {
        self.findings.figures.get(".", key).unwrap_or_else(|| panic!("no `{key}`; {:?}", self.missing(key)))
    }

    /// What to record for a figure that is not there.
    fn missing(&self, key: &str) -> Option<&str> {
        let missing = self.findings.figures.missing.iter().find(|missing| missing.key == key)?;
        Some(&missing.what_to_record)
    }

    /// Asserts a figure's value to a hundred-thousandth.
    fn is(&self, key: &str, value: f64) {
        let found = self.figure(key).value;
        assert!((found - value).abs() <= 1e-5 * value.abs().max(1e-3), "{key}: {found} is not {value}");
    }
}

const TANK: &str = "name: Bay\nstarted: 2025-01-10\nzone: Europe/Lisbon\nsize: 100 x 50 x 50 cm\nglass: 10 mm\n\
                    water: \"200 L ± 0 L, counted at fill\"\nkind: soft\n";

/// Reads a tank with some more lines, besides some more files; its log ends on the last day of May 2026.
fn read(tank: &str, files: &[(&str, &str)]) -> Read {
    let folder = support::laid(files);
    support::put(folder.path(), "tank.yaml", format!("{TANK}{tank}"));
    support::put(folder.path(), "log/2026.yaml", "2026-05-31: {note: all quiet}\n");
    read_folder(folder.path())
}

fn read_folder(root: &Path) -> Read {
    let worked = support::worked(root, date(2026, 6, 1));
    assert!(!worked.has_errors, "{}", worked.told);
    Read { record: worked.record, findings: worked.findings, told: worked.told }
}
