//! Every figure worked out again from the tables alone.
//!
//! A new record is put together from nothing but the CSVs of an archive: `values` and `spec-cells` give back the files as
//! typed, `sensor-days` the sensor logs by day. Its figures must be those that the archive lists.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use polypary::figures;
use polypary::pipeline;

use super::{TODAY, WITHOUT, put, record, request};

type Rows = Vec<BTreeMap<String, String>>;

fn read(tables: &Path, name: &str) -> Rows {
    let mut reader = csv::Reader::from_path(tables.join(format!("{name}.csv"))).unwrap();
    let heads = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|row| heads.iter().map(str::to_string).zip(row.unwrap().iter().map(str::to_string)).collect())
        .collect()
}

/// A value of YAML: JSON is YAML, so a tree of JSON does.
#[derive(Default)]
struct Tree {
    text: Option<String>,
    children: Vec<(String, Tree)>,
}

impl Tree {
    fn insert(&mut self, path: &[&str], text: &str) {
        let Some((first, rest)) = path.split_first() else {
            self.text = Some(text.to_string());
            return;
        };
        let place = match self.children.iter().position(|(name, _)| name == first) {
            Some(place) => place,
            None => {
                self.children.push((first.to_string(), Tree::default()));
                self.children.len() - 1
            }
        };
        self.children[place].1.insert(rest, text);
    }

    /// In the flow notation, which keeps every scalar as typed. Numbers from 0 on are items of a list.
    fn write(&self, out: &mut String) {
        let quoted = |text: &str| serde_json::to_string(text).unwrap();
        if self.children.is_empty() {
            match self.text.as_deref() {
                None | Some("") => out.push('~'),
                Some(text) => out.push_str(&quoted(text)),
            }
            return;
        }
        let is_list = self.children.iter().enumerate().all(|(place, (name, _))| *name == place.to_string());
        out.push(if is_list { '[' } else { '{' });
        for (place, (name, child)) in self.children.iter().enumerate() {
            if place > 0 {
                out.push_str(", ");
            }
            if !is_list {
                out.push_str(&quoted(&name.replace("~1", "/").replace("~0", "~")));
                out.push_str(": ");
            }
            child.write(out);
        }
        out.push(if is_list { ']' } else { '}' });
    }

    /// Keys at the top on lines of their own.
    fn document(&self) -> String {
        let mut out = String::new();
        for (name, child) in &self.children {
            out.push_str(&serde_json::to_string(&name.replace("~1", "/").replace("~0", "~")).unwrap());
            out.push_str(": ");
            child.write(&mut out);
            out.push('\n');
        }
        out
    }
}

/// Column, header and text of the cells of each row.
type Cells = BTreeMap<u64, Vec<(usize, String, String)>>;

/// Puts a record together from tables.
fn rebuild(tables: &Path, into: &Path) {
    let mut files: BTreeMap<String, (Tree, Option<String>)> = BTreeMap::new();
    for row in read(tables, "values") {
        let file = files.entry(row["file"].clone()).or_default();
        if row["path"] == "/" {
            file.1 = Some(row["text"].clone());
        } else {
            let path: Vec<&str> = row["path"].split('/').skip(1).collect();
            file.0.insert(&path, &row["text"]);
        }
    }
    for (path, (tree, body)) in &files {
        let text = match body {
            Some(body) => format!("---\n{}---\n{body}", tree.document()),
            None => tree.document(),
        };
        put(into, path, text);
    }
    let mut cells: BTreeMap<String, Cells> = BTreeMap::new();
    for row in read(tables, "spec-cells") {
        let line = cells.entry(row["file"].clone()).or_default().entry(row["line"].parse().unwrap()).or_default();
        line.push((row["column"].parse().unwrap(), row["header"].clone(), row["text"].clone()));
    }
    for (path, lines) in cells {
        let heads: Vec<&str> = lines.values().next().unwrap().iter().map(|cell| cell.1.as_str()).collect();
        let mut text = heads.join(",") + "\n";
        for cells in lines.values() {
            let cells: Vec<&str> = cells.iter().map(|cell| cell.2.as_str()).collect();
            text += &(cells.join(",") + "\n");
        }
        put(into, &path, text);
    }
    // One log a quantity, with rows that have the day's lowest, highest, mean and count.
    let days = read(tables, "sensor-days");
    for log in read(tables, "sensor-files") {
        let sidecar = log["csv"].replace(".csv", ".yaml");
        fs::remove_file(into.join(&sidecar)).unwrap();
        let of: Vec<_> =
            days.iter().filter(|day| (&day["tank"], &day["file"]) == (&log["tank"], &log["file"])).collect();
        let mut by_quantity: BTreeMap<&str, Vec<&BTreeMap<String, String>>> = BTreeMap::new();
        of.iter().for_each(|day| by_quantity.entry(&day["quantity"]).or_default().push(day));
        for (quantity, days) in by_quantity {
            let stem = sidecar.replace(".yaml", &format!("-{quantity}"));
            let unit = if quantity == "ph" { "pH" } else { &days[0]["unit"] };
            // What the sensor is worth stands beside the log, and so among the record's own values.
            let stated = read(tables, "values")
                .into_iter()
                .find(|row| row["file"] == sidecar && row["path"] == format!("/uncertainty/{quantity}"))
                .map_or_else(String::new, |row| format!("uncertainty: {{{quantity}: {}}}\n", row["text"]));
            let sensor = if log["sensor"].is_empty() { String::new() } else { format!("sensor: {}\n", log["sensor"]) };
            put(
                into,
                &format!("{stem}.yaml"),
                format!("columns: {{when: time, value: {quantity} {unit}}}\n{sensor}{stated}"),
            );
            let mut text = String::from("when,value\n");
            for day in days {
                let number = |key: &str| day[key].parse::<f64>().unwrap();
                let (low, high, mean, count) =
                    (number("low"), number("high"), number("mean"), number("count") as usize);
                let rest = (mean * count as f64 - low - high) / (count as f64 - 2.0);
                for row in 0..count {
                    let value = match row {
                        0 => low,
                        1 => high,
                        _ => rest,
                    };
                    text += &format!("{} {:02}:{:02},{value}\n", day["on"], row / 60 % 24, row % 60);
                }
            }
            put(into, &format!("{stem}.csv"), text);
        }
    }
}

/// Compares the figures of a record that was put together from tables with those the tables list.
fn compare(folder: &Path, least: usize) {
    let edition = pipeline::archive(&request(folder), WITHOUT).unwrap().edition;
    let tables = edition.join("data/tables");
    // Nothing but the tables is at hand.
    let alone = tempfile::tempdir().unwrap();
    let record = alone.path().join("record");
    fs::create_dir(&record).unwrap();
    rebuild(&tables, &record);
    let (folder, read_back) = polypary::read::read_folder(&record).unwrap();
    assert!(!read_back.has_errors(), "{}", read_back.render_all(&folder.sources));
    let (mut built, problems) = polypary::record::build(&folder, TODAY);
    assert!(!problems.has_errors(), "{}", problems.render_all(&folder.sources));
    let date = built.newest_entry().unwrap();
    built.stand_at(date);
    let findings = figures::work_out(&built);
    // A sensor beside the hand needs the hour of its rows, which the tables sum up by day: those figures are in the record's
    // own log, untouched, and not in the tables.
    let listed: Vec<_> =
        read(&tables, "figures").into_iter().filter(|row| !row["figure"].starts_with("sensor.")).collect();
    let mut wrong = Vec::new();
    for row in &listed {
        let Some(found) = findings.figures.get(&row["tank"], &row["figure"]) else {
            wrong.push(format!("{} of {} is not there", row["figure"], row["tank"]));
            continue;
        };
        for (column, value) in [("value", found.value), ("u", found.uncertainty)] {
            let told: f64 = row[column].parse().unwrap_or(f64::NAN);
            let near = (value - told).abs() <= 1e-9 * told.abs().max(1e-9);
            if !(near || value.is_nan() && told.is_nan()) {
                wrong.push(format!("{} of {}: {column} {value} here, {told} there", row["figure"], row["tank"]));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of {}: {wrong:#?}", wrong.len(), listed.len());
    assert_eq!(findings.figures.public().count(), listed.len(), "as many figures as are listed");
    assert!(listed.len() >= least, "only {} figures", listed.len());
}

#[test]
fn every_figure_of_a_small_record_comes_out_of_its_tables() {
    let folder = record();
    compare(folder.path(), 20);
}

#[test]
fn every_figure_of_the_example_comes_out_of_its_tables() {
    let folder = tempfile::tempdir().unwrap();
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank");
    for entry in walkdir::WalkDir::new(&example).into_iter().filter_entry(|entry| entry.file_name() != "out") {
        let entry = entry.unwrap();
        let relative = entry.path().strip_prefix(&example).unwrap().to_string_lossy().into_owned();
        // Photos have no part in any figure and take their time.
        let is_photo = relative.starts_with("photos/") && !relative.ends_with(".yaml");
        if entry.file_type().is_file() && !is_photo {
            put(folder.path(), &relative, fs::read(entry.path()).unwrap());
        }
    }
    compare(folder.path(), 100);
}
