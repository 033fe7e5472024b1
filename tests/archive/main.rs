//! Whole archives: what is in the bag, and what a later look at it finds.

mod again;
mod bags;
mod private;
mod sensor;
#[path = "../support/mod.rs"]
mod support;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use jiff::civil::{Date, date};
use polypary::pipeline::{Request, Wanted};
use support::put;

const TODAY: Date = date(2026, 11, 25);

/// Less everything that is private.
const WITHOUT: Wanted = Wanted { without_private: true, loss: None };

fn request(folder: &Path) -> Request {
    support::request(folder, TODAY)
}

/// A small record with one of most things in it, a photo and a file of the keeper's own.
fn record() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let files: &[(&str, &str)] = &[
        (
            "tank.yaml",
            "name: Kitchen lagoon\nstarted: 2024-09-07\nzone: Europe/Lisbon\nsize: 60 x 40 x 40 cm\nwater: 75 L ± 2 L, counted at fill\nroom: 18 to 27 °C\nelectricity: 230 V, 0.24 EUR/kWh\nusual-units: {temperature: °C, nitrate: mg/L NO3, alkalinity: dKH}\nusual-kits: {nitrate: card-a, alkalinity: drops-b}\nbands: {nitrate: 2 to 15, temperature: 24 to 26.5}\ncontacts: {neighbour: {name: Beata Quillfeather, phone: 000-555-0199}} # never ring before nine\nprivate:\n  address: \"12 Limpet Stairs\"\n",
        ),
        (
            "log/2026.yaml",
            "# bought with the money from Marrow Lane\n2026-10-03 21:10:\n  alkalinity: 7.9\n  nitrate: below 2\n  temperature: 25.1\n  top-off: 3.5 L\n  dose: {nitrate-stock: 6 mL}\n  harvest: {red-fan: 84 g}\n  done: [glass, floss]\n  note: \"Leather closed: shedding?\"\n  ask: {what: \"Leather open again?\", by: 2026-10-17}\n2026-10-05: nothing to report\n2026-10-10 20:00:\n  alkalinity: 7.7\n  nitrate: 4\n  water-change: {volume: 8 L, salinity: 35 ppt}\n  feed: {flakes: {total: 0.7 g, over: 7 days}}\n  photos: [2026-10-10-fan.png]\n",
        ),
        (
            "supplies/card-a.yaml",
            "name: Card A\nkind: kit\nmeasures: nitrate\nmethod: colour card\nlots: [{lot: N-1, since: 2024-09-07}]\n",
        ),
        ("supplies/drops-b.yaml", "name: Drops B\nkind: kit\nmeasures: alkalinity\nmethod: drop count\n"),
        (
            "supplies/nitrate-stock.yaml",
            "name: Nitrate stock\nkind: stock\nstrength: {nitrate: 34.6 g/L NO3}\nprivate: {price: 31.70 EUR}\n",
        ),
        ("supplies/flakes.yaml", "name: Flakes\nkind: food\nnitrogen: 7 %\nphosphorus: 1.2 %\n"),
        (
            "colonies/red-fan.yaml",
            "name: Red fan\nidentity: pp-7k2m9q4r8t\ngroup: macroalga\narrived: 2024-10-01\nclaims: [{called: red fan, by: the giver, on: 2024-10-01, sure: likely}]\nplacements:\n  - {since: 2024-10-01, tank: ., x: 20 cm, y: 10 cm, depth: 12 cm, where: left rock, flow: 8 cm/s}\nsizes: [{on: 2024-10-01, height: 4 cm}, {on: 2026-10-01, height: 11 cm, uncertainty: 1 cm}]\n",
        ),
        (
            "colonies/fan-two.yaml",
            "name: Second fan\ngroup: macroalga\narrived: 2025-10-01\nplacements: [{since: 2025-10-01, tank: .}]\nparent: {colony: red-fan, grade: witnessed-cut, on: 2025-10-01}\n",
        ),
        (
            "equipment/lamp.yaml",
            "name: Bar\nrole: lamp\nin-service: 2024-09-07\nwatts: 40 W\nsettings:\n- {since: 2024-09-07, level: 50 %, schedule: \"10:00 to 18:00\"}\n- {since: 2025-03-01, level: 60 %, schedule: \"10:00 to 19:30, ramp 60 min\"}\n",
        ),
        (
            "upkeep/tasks.yaml",
            "tasks: {glass: {every: 4 days, takes: 3 min}, floss: 7 days}\nfeeding: [{since: 2024-10-01, food: flakes, amount: 0.1 g, every: 1 day}]\n",
        ),
        (
            "light/2026-05-01.yaml",
            "on: 2026-05-01\nlamp: lamp\nlevel: 60 %\nfactor-applied: yes\nunits: {position: cm, light: µmol/m²/s}\nreadings: [[20, 10, 10, 120], [20, 10, 20, 80], [30, 10, 15, 95]]\n",
        ),
        ("readings/probe.yaml", "columns: {when: time, water: temperature °C}\n"),
        ("readings/probe.csv", "when,water\n2026-10-09 10:00,25.0\n2026-10-09 22:00,25.6\n2026-10-10 10:00,25.1\n"),
        ("story/01-start.md", "---\ntitle: The start\norder: 1\n---\nIt began with *water*.\n"),
        ("a paper.txt", "The keeper's own paper.\n"),
        ("100% odd.txt", "A name with a percent sign.\n"),
        (".hidden", "not the keeper's to hand on"),
    ];
    for (path, text) in files {
        put(folder.path(), path, text);
    }
    let picture = image::RgbImage::from_fn(60, 40, |x, y| image::Rgb([x as u8 * 4, y as u8 * 6, 90]));
    let mut png = Vec::new();
    picture.write_to(&mut std::io::Cursor::new(&mut png), image::ImageFormat::Png).unwrap();
    put(folder.path(), "photos/2026-10-10-fan.png", png);
    folder
}

/// Every file below a folder, by its path.
fn files(folder: &Path) -> BTreeMap<String, PathBuf> {
    walkdir::WalkDir::new(folder)
        .into_iter()
        .map(Result::unwrap)
        .filter(|entry| entry.file_type().is_file())
        .map(|entry| {
            let relative = entry.path().strip_prefix(folder).unwrap().to_string_lossy().replace('\\', "/");
            (relative, entry.path().to_path_buf())
        })
        .collect()
}

fn program(arguments: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_polypary"))
        .args(arguments)
        .arg(folder)
        .env("POLYPARY_TODAY", TODAY.to_string())
        .output()
        .unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}
