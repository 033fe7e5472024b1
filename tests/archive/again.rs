//! Every figure worked out again from the tables alone.
//!
//! A new record is put together from nothing but the CSVs of an archive: `values` and `spec-cells` give back the files as
//! typed, `sensor-readings` the sensor logs. Its figures must be those that the archive lists.

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
    let readings = read(tables, "sensor-readings");
    for log in read(tables, "sensor-files") {
        let of = readings.iter().filter(|row| (&row["tank"], &row["file"]) == (&log["tank"], &log["file"]));
        // Heads of the columns with what they hold, and the rows by their lines in the log as it was.
        let mut columns: BTreeMap<&str, String> = BTreeMap::new();
        let mut lines: BTreeMap<u64, (&str, BTreeMap<&str, &str>)> = BTreeMap::new();
        for row in of {
            // A pH has no unit that could be told.
            let unit = if row["quantity"] == "ph" { "" } else { &row["unit"] };
            columns.insert(&row["column"], format!("{} {unit}", row["quantity"]));
            let line = lines.entry(row["line"].parse().unwrap()).or_insert((&row["when"], BTreeMap::new()));
            line.1.insert(&row["column"], &row["value"]);
        }
        // What the sensor is, and what it is worth, stands beside the log, and so among the record's own values.
        let sidecar = log["csv"].replace(".csv", ".yaml");
        let mut told = Tree::default();
        for (column, holds) in &columns {
            told.insert(&["columns", column], holds);
        }
        told.insert(&["columns", "moment of the row"], "time");
        for key in ["sensor", "uncertainty"] {
            if let Some((tree, _)) = files.get_mut(&sidecar)
                && let Some(place) = tree.children.iter().position(|(name, _)| name == key)
            {
                told.children.push(tree.children.remove(place));
            }
        }
        put(into, &sidecar, told.document());
        let mut text = format!("moment of the row,{}\n", columns.keys().copied().collect::<Vec<_>>().join(","));
        for (when, cells) in lines.values() {
            let cells: Vec<&str> = columns.keys().map(|column| cells.get(column).copied().unwrap_or("")).collect();
            text += &format!("{when},{}\n", cells.join(","));
        }
        put(into, &log["csv"], text);
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
    let listed = read(&tables, "figures");
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
