//! `enter`: what is written reads back as what was typed, and nothing that is there is touched.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use jiff::civil::{Date, date};
use polypary::pipeline::{self, Loaded, Request};
use polypary::record::Parameter;
use polypary::write::enter::{self, ColonyDraft, EntryDraft, Now, Refused};
use polypary::write::prompt;

const TODAY: Date = date(2026, 10, 20);
const NOW: Now = Now { today: TODAY, instant: None };

const TANK: &str = "\
name: Kitchen lagoon
started: 2024-09-07
zone: Europe/Lisbon
water: 75 L, counted at fill
usual-units: {temperature: °C, alkalinity: dKH}
";

fn record() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in [
        ("tank.yaml", TANK),
        ("upkeep/tasks.yaml", "tasks: {glass: 3 days, sock: 7 days}\n"),
        ("supplies/nitrate-stock.yaml", "name: Nitrate stock\nkind: stock\n"),
        ("supplies/dry-flake.yaml", "name: Dry flake\nkind: food\n"),
        ("equipment/lamp.yaml", "name: Lamp\nrole: lamp\nin-service: 2024-09-07\n"),
        ("log/2026.yaml", "2026-10-18:\n  temperature: 25.2\n"),
    ] {
        let path = folder.path().join(path);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    folder
}

fn load(folder: &Path) -> Loaded {
    let request = Request {
        folder: folder.to_path_buf(),
        today: TODAY,
        as_of: None,
        units: polypary::units::System::Metric,
        theme: String::new(),
    };
    pipeline::load(&request).unwrap()
}

fn pairs(of: &[(&str, &str)]) -> Vec<(String, String)> {
    of.iter().map(|(name, value)| (name.to_string(), value.to_string())).collect()
}

/// Everything an entry can hold, with text that YAML would take for something else.
fn full() -> EntryDraft {
    EntryDraft {
        at: Some("2026-10-20 21:10".into()),
        tank: None,
        readings: pairs(&[("temperature", "25.1"), ("alkalinity", "7.9"), ("nitrate", "below 2 mg/L NO3")]),
        top_off: Some("3.5 L".into()),
        water_change: Some("8 L".into()),
        doses: pairs(&[("nitrate-stock", "6 mL")]),
        feeds: pairs(&[("dry-flake", "0.13 g")]),
        harvests: Vec::new(),
        done: vec!["glass".into(), "sock".into()],
        seen: pairs(&[("lamp", "flickers: once, at dusk")]),
        event: Some("power cut".into()),
        note: Some("He said: \"closed\" # and shedding? \\ yes".into()),
        photos: Vec::new(),
        ask: Some("Leather open, again?".into()),
        ask_by: Some("2026-11-03".into()),
    }
}

#[test]
fn an_entry_reads_back_as_it_was_typed() {
    let folder = record();
    let entered = enter::entry(folder.path(), &full(), NOW).unwrap();
    assert_eq!(entered.path, "log/2026-10-20-2110.yaml");
    assert_eq!(entered.warnings, "");
    let loaded = load(folder.path());
    assert!(loaded.diagnostics.is_empty(), "{}", loaded.diagnostics.render_all(&loaded.folder.sources));
    let entry = loaded.record.tanks["."].entries.last().unwrap();
    assert_eq!(entry.when, date(2026, 10, 20).at(21, 10, 0, 0));
    let value = |parameter| entry.readings.iter().find(|one| one.parameter == parameter).unwrap();
    assert_eq!(value(Parameter::Temperature).quantity.value, 25.1);
    assert_eq!(value(Parameter::Alkalinity).quantity.as_typed(), "7.9\u{a0}dKH");
    assert_eq!(value(Parameter::Nitrate).bound, polypary::units::Bound::Below);
    assert_eq!(entry.top_off.as_ref().unwrap().value.value, 3.5);
    assert_eq!(entry.water_change.as_ref().unwrap().volume.value.value, 8.0);
    assert_eq!(entry.doses[0].of.value, "nitrate-stock");
    assert!((entry.doses[0].amount.value.value - 0.006).abs() < 1e-12);
    assert!((entry.feeds[0].amount.value.value - 0.13).abs() < 1e-12);
    assert_eq!(entry.done.iter().map(|done| done.value.as_str()).collect::<Vec<_>>(), ["glass", "sock"]);
    assert_eq!(entry.seen[0].1, "flickers: once, at dusk");
    assert_eq!(entry.event.as_ref().unwrap().kind, polypary::record::entry::EventKind::PowerCut);
    assert_eq!(entry.note.as_ref().unwrap().value, "He said: \"closed\" # and shedding? \\ yes");
    let ask = entry.ask.as_ref().unwrap();
    assert_eq!((ask.what.value.as_str(), ask.by.as_ref().unwrap().value), ("Leather open, again?", date(2026, 11, 3)));
}

#[test]
fn another_yaml_reader_reads_the_same() {
    // serde_yaml is the second opinion on what a YAML file says.
    let read: serde_yaml::Value = serde_yaml::from_str(&full().yaml("2026-10-20 21:10")).unwrap();
    let entry = &read["2026-10-20 21:10"];
    assert_eq!(entry["temperature"], serde_yaml::Value::from(25.1));
    assert_eq!(entry["note"], serde_yaml::Value::from("He said: \"closed\" # and shedding? \\ yes"));
    assert_eq!(entry["seen"]["lamp"], serde_yaml::Value::from("flickers: once, at dusk"));
    assert_eq!(entry["ask"]["by"], serde_yaml::Value::from("2026-11-03"));
    assert_eq!(entry["done"][1], serde_yaml::Value::from("sock"));
}

#[test]
fn nothing_that_is_there_is_touched() {
    let folder = record();
    let before = fs::read(folder.path().join("log/2026.yaml")).unwrap();
    let again = EntryDraft { at: Some("2026-10-19".into()), note: Some("one".into()), ..EntryDraft::default() };
    let first = enter::entry(folder.path(), &again, NOW).unwrap().path;
    let second = enter::entry(folder.path(), &EntryDraft { note: Some("two".into()), ..again }, NOW).unwrap().path;
    assert_eq!((first.as_str(), second.as_str()), ("log/2026-10-19.yaml", "log/2026-10-19-2.yaml"));
    assert_eq!(fs::read_to_string(folder.path().join(&first)).unwrap(), "2026-10-19:\n  note: one\n");
    assert_eq!(fs::read(folder.path().join("log/2026.yaml")).unwrap(), before);
    assert_eq!(load(folder.path()).record.tanks["."].entries.len(), 3);
}

#[test]
fn a_mistake_writes_nothing() {
    let bad = [
        EntryDraft { readings: pairs(&[("temperature", "255")]), ..EntryDraft::default() },
        EntryDraft { readings: pairs(&[("nitrate", "5 mg/L")]), ..EntryDraft::default() },
        EntryDraft { readings: pairs(&[("temperatur", "25")]), ..EntryDraft::default() },
        EntryDraft { done: vec!["glas".into()], ..EntryDraft::default() },
        EntryDraft { top_off: Some("3,5 L".into()), ..EntryDraft::default() },
        EntryDraft { at: Some("2026-10-21".into()), note: Some("tomorrow".into()), ..EntryDraft::default() },
        EntryDraft { at: Some("20.10.2026".into()), note: Some("which".into()), ..EntryDraft::default() },
        EntryDraft { photos: vec!["../secret.jpg".into()], ..EntryDraft::default() },
    ];
    for draft in bad {
        let folder = record();
        match enter::entry(folder.path(), &draft, NOW) {
            Err(Refused::Mistakes(text, 1)) => assert!(text.starts_with("log/2"), "{text}"),
            other => panic!("{draft:?}: {other:?}"),
        }
        let files: Vec<PathBuf> =
            fs::read_dir(folder.path().join("log")).unwrap().map(|file| file.unwrap().path()).collect();
        assert_eq!(files, [folder.path().join("log/2026.yaml")], "{draft:?}");
    }
}

#[test]
fn a_colony_gets_an_identity_of_its_own() {
    let folder = record();
    let draft = ColonyDraft {
        name: "Finger leather".into(),
        group: "leather".into(),
        place: Some("right rock, \"top\"".into()),
        source: Some("aquaculture".into()),
        ..ColonyDraft::default()
    };
    let mut identities = BTreeSet::new();
    for path in ["colonies/finger-leather.yaml", "colonies/finger-leather-2.yaml"] {
        assert_eq!(enter::colony(folder.path(), &draft, NOW).unwrap().path, path);
    }
    let loaded = load(folder.path());
    assert!(loaded.diagnostics.is_empty(), "{}", loaded.diagnostics.render_all(&loaded.folder.sources));
    for colony in loaded.record.colonies.values() {
        assert_eq!(colony.arrived.value, TODAY);
        assert_eq!(colony.placements[0].where_text.as_deref(), Some("right rock, \"top\""));
        let identity = colony.identity.as_ref().unwrap().value.clone();
        assert!(identity.len() == 13 && identity.starts_with("pp-"), "{identity}");
        assert!(!identity[3..].contains(['i', 'l', 'o', 'u']), "{identity}");
        identities.insert(identity);
    }
    assert_eq!(identities.len(), 2);
    let first_lines =
        |path: &str| fs::read_to_string(folder.path().join(path)).unwrap().lines().next().unwrap().to_owned();
    assert_eq!(first_lines("colonies/finger-leather.yaml"), "name: Finger leather");
    // A record that keeps its schemas has each new file name its own.
    let schemas = folder.path().join("schema");
    fs::create_dir_all(&schemas).unwrap();
    fs::write(schemas.join("colony.json"), "{}").unwrap();
    let third = enter::colony(folder.path(), &draft, NOW).unwrap().path;
    let schema = "../schema/colony.json";
    assert_eq!(first_lines(&third), format!("# yaml-language-server: $schema={schema}"));
    assert!(folder.path().join(&third).parent().unwrap().join(schema).is_file());
    let entered = enter::entry(folder.path(), &EntryDraft::default(), NOW).unwrap().path;
    assert_eq!(first_lines(&entered), format!("{TODAY}: nothing to report"), "the schema of a log is not kept here");
    assert!(load(folder.path()).diagnostics.is_empty());
    let wrong = ColonyDraft { group: "lether".into(), ..draft };
    assert!(matches!(enter::colony(folder.path(), &wrong, NOW), Err(Refused::Mistakes(_, 1))));
}

#[test]
fn an_entry_for_another_tank_goes_into_its_log() {
    let folder = record();
    fs::create_dir_all(folder.path().join("jar")).unwrap();
    fs::write(folder.path().join("jar/tank.yaml"), TANK).unwrap();
    let draft = EntryDraft { tank: Some("jar".into()), top_off: Some("0.2 L".into()), ..EntryDraft::default() };
    assert_eq!(enter::entry(folder.path(), &draft, NOW).unwrap().path, "jar/log/2026-10-20.yaml");
    assert_eq!(load(folder.path()).record.tanks["jar"].entries.len(), 1);
    let nowhere = EntryDraft { tank: Some("jug".into()), ..draft };
    assert!(matches!(enter::entry(folder.path(), &nowhere, NOW), Err(Refused::Usage(_))));
}

#[test]
fn what_is_asked_for_becomes_the_entry() {
    let folder = record();
    let loaded = load(folder.path());
    // When; temperature, alkalinity; top-off; doses; done; note; photos; a question.
    let typed = "\n25.4\n\n2 L\nnitrate-stock 6 mL\nglass, sock\nAll open.\n\n\n";
    let mut asked = Vec::new();
    let draft = prompt::entry(&loaded.record.tanks["."], &mut typed.as_bytes(), &mut asked).unwrap();
    let wanted = EntryDraft {
        readings: pairs(&[("temperature", "25.4")]),
        top_off: Some("2 L".into()),
        doses: pairs(&[("nitrate-stock", "6 mL")]),
        done: vec!["glass".into(), "sock".into()],
        note: Some("All open.".into()),
        ..EntryDraft::default()
    };
    assert_eq!(draft, wanted);
    assert!(String::from_utf8(asked).unwrap().contains("temperature, in °C"));
}

fn polypary(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_polypary"))
        .env("POLYPARY_TODAY", TODAY.to_string())
        .arg("enter")
        .arg(folder)
        .args(arguments)
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap()
}

#[test]
fn the_command_tells_what_it_wrote_and_how_it_ended() {
    let folder = record();
    let good = polypary(folder.path(), &["-r", "temperature=25.1", "--done", "glass", "--note", "calm"]);
    assert_eq!(good.status.code(), Some(0), "{}", String::from_utf8_lossy(&good.stderr));
    let path = String::from_utf8(good.stdout).unwrap();
    let text = fs::read_to_string(path.trim()).unwrap();
    assert_eq!(text, "2026-10-20:\n  temperature: 25.1\n  done: [glass]\n  note: calm\n");
    assert_eq!(polypary(folder.path(), &["-r", "temperature=255"]).status.code(), Some(1));
    assert_eq!(polypary(folder.path(), &[]).status.code(), Some(2));
    assert_eq!(polypary(folder.path(), &["--new-colony", "Rod"]).status.code(), Some(2));
    assert_eq!(polypary(&folder.path().join("nowhere"), &["--quiet"]).status.code(), Some(2));
    assert_eq!(polypary(folder.path(), &["--quiet"]).status.code(), Some(0));
    assert!(load(folder.path()).record.tanks["."].entries.iter().any(|entry| entry.quiet));
}
