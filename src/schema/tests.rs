//! The table against the readers: what it says they must take, and what they ask for it must say.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use jiff::civil::date;
use serde_json::{Map, Value, json};

use super::notation::{alternatives, call, map_name};
use super::table::{Key, Table};
use super::{files, kinds, schema};
use crate::read::{DocumentKind, read_folder};
use crate::record;

/// A path at which a file of each kind stands in the example record.
fn path_of(kind: &str) -> Option<&'static str> {
    Some(match kind {
        "tank" => "tank.yaml",
        "equipment" => "equipment/sample.yaml",
        "spec" => "specs/sample.md",
        "supply" => "supplies/sample.yaml",
        "colony" => "colonies/sample.yaml",
        "log" => "log/sample.yaml",
        "readings" => "readings/controller.yaml",
        "light" => "light/sample.yaml",
        "upkeep" => "upkeep/sample.yaml",
        "story" => "story/sample.md",
        "video" => "video/sample.yaml",
        "captions" => "photos/captions.yaml",
        // Not of `record`: a theme is read by `write`.
        "theme" => return None,
        other => panic!("a kind without a path: {other}"),
    })
}

/// The example of a key, in a file that holds besides it only what must be there.
struct Sample<'t> {
    table: &'t Table,
    map: &'t str,
    key: &'t str,
    example: &'t Value,
}

impl Sample<'_> {
    /// A value of the type `holds` that holds the sample; `outer` is an example of the whole, for the names in it.
    fn within(&self, holds: &str, outer: Option<&Value>, open: &mut BTreeSet<String>) -> Option<Value> {
        for choice in alternatives(holds) {
            if let Some(name) = map_name(choice) {
                if let Some(found) = self.map(name, open) {
                    return Some(found);
                }
            } else if let Some((outer_word, inner)) = call(choice) {
                let Some(found) = self.within(inner, None, open) else {
                    continue;
                };
                let name = outer.and_then(Value::as_object).and_then(|map| map.keys().next().cloned());
                return Some(match outer_word {
                    "each" => json!({ name.unwrap_or_else(|| "2026-10-10-front.jpg".into()): found }),
                    "array" => json!([found]),
                    // An answer needs its question.
                    "moments" => json!({
                        "2026-10-09": { "ask": { "what": "Leather open again?", "id": "leather-open" } },
                        "2026-10-10 21:10": found,
                    }),
                    _ => found,
                });
            }
        }
        None
    }

    fn map(&self, name: &str, open: &mut BTreeSet<String>) -> Option<Value> {
        if !open.insert(name.to_string()) {
            return None;
        }
        let keys = &self.table.maps[name];
        let mut map = Map::new();
        for key in keys.iter().filter(|key| key.needed) {
            map.insert(key.name.clone(), key.examples[0].clone());
        }
        let found = if name == self.map {
            map.insert(self.key.to_string(), self.example.clone());
            let beside = keys.iter().find(|key| key.name == self.key).and_then(|key| key.beside.as_ref());
            if let Some(other) = beside.and_then(|beside| keys.iter().find(|key| key.name == *beside)) {
                map.insert(other.name.clone(), other.examples[0].clone());
            }
            Some(Value::Object(map))
        } else {
            let inner = |key: &Key, open: &mut BTreeSet<String>| {
                if key.name == "(parameters)" {
                    self.within(&key.holds, None, open).map(|found| ("alkalinity".to_string(), found))
                } else {
                    self.within(&key.holds, key.examples.first(), open).map(|found| (key.name.clone(), found))
                }
            };
            keys.iter().find_map(|key| inner(key, open)).map(|(key, value)| {
                map.insert(key, value);
                Value::Object(map)
            })
        };
        open.remove(name);
        found
    }
}

/// Every example of the table, put into the example record, is read without a word; and what the readers ask for on the
/// way is what the table lists, no key more and no key less.
#[test]
fn the_readers_take_every_example_and_ask_for_every_key() {
    let table = Table::read().unwrap();
    let (mut folder, told) = read_folder(&Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank")).unwrap();
    assert!(!told.has_errors());
    let sound: Vec<_> = folder.documents.drain(..).collect();
    let mut wrong = Vec::new();
    let mut asked: BTreeMap<String, BTreeSet<&'static str>> = BTreeMap::new();
    let mut tried = 0;
    let mut left = sound;
    for (kind, file) in &table.kinds {
        let Some(path) = path_of(kind) else { continue };
        for (map, keys) in &table.maps {
            let parameters = Key {
                name: "alkalinity".into(),
                needed: false,
                beside: None,
                holds: String::new(),
                about: String::new(),
                examples: vec![
                    json!("8.1 dKH"),
                    json!("below 2 dKH"),
                    json!({ "value": "8.1 dKH", "kit": "alkalinity-drops" }),
                ],
            };
            for key in keys {
                let key = if key.name == "(parameters)" { &parameters } else { key };
                for example in &key.examples {
                    let sample = Sample { table: &table, map, key: &key.name, example };
                    let Some(value) = sample.within(&file.root, None, &mut BTreeSet::new()) else {
                        continue;
                    };
                    let yaml = serde_yaml::to_string(&value).unwrap();
                    let text = if path.ends_with(".md") { format!("---\n{yaml}---\nProse.\n") } else { yaml };
                    // The log and the sensor's CSV are large, and no example leans on them; tasks have their names once.
                    folder.documents = left
                        .drain(..)
                        .filter(|one| {
                            !matches!(one.kind, DocumentKind::Log | DocumentKind::Readings)
                                && (kind != "upkeep" || one.kind != DocumentKind::Upkeep)
                        })
                        .collect();
                    let replaced = folder
                        .documents
                        .iter()
                        .position(|one| &*one.path == path)
                        .map(|at| folder.documents.remove(at));
                    let mut told: Vec<String> =
                        folder.add_text(path, &text).unwrap().iter().map(|one| one.label()).collect();
                    let (more, diagnostics) = record::asked_keys(&folder, date(2026, 11, 26));
                    told.extend(
                        diagnostics
                            .iter()
                            .filter(|one| &*one.place.file == path)
                            .map(|one| format!("{}: {}", one.headline(), one.label())),
                    );
                    if !told.is_empty() {
                        wrong.push(format!("{map}, {}: {}\n{text}", key.name, told.join("; ")));
                    }
                    for (within, keys) in more {
                        asked.entry(within).or_default().extend(keys);
                    }
                    tried += 1;
                    folder.documents.retain(|one| &*one.path != path);
                    folder.documents.extend(replaced);
                    left = folder.documents.drain(..).collect();
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
    assert!(tried > 250, "only {tried} examples were tried");
    let plain = |key: &&str| !matches!(*key, "private" | "note");
    for (within, keys) in &asked {
        // A value that was set is a type of the notation, `since`.
        if within == "what was set" {
            assert_eq!(keys.iter().copied().filter(|key| plain(key)).collect::<Vec<_>>(), ["since", "value"]);
            continue;
        }
        let listed = table.maps.get(within).unwrap_or_else(|| panic!("the table lacks `{within}`: {keys:?}"));
        let mut listed: BTreeSet<&str> = listed.iter().map(|key| key.name.as_str()).collect();
        if listed.remove("(parameters)") {
            listed.extend(record::Parameter::ALL.map(record::Parameter::key));
        }
        let keys: BTreeSet<&str> = keys.iter().copied().filter(|key| plain(key)).collect();
        assert_eq!(keys, listed, "keys of `{within}`: asked for by the reader, and listed by the table");
    }
    // The examples reach every map: none is left out of the types that refer to it.
    let read_elsewhere = ["a theme", "a theme's colours"];
    for map in table.maps.keys().filter(|map| !read_elsewhere.contains(&map.as_str())) {
        assert!(asked.contains_key(map), "no reader asks for the keys of `{map}`");
    }
}

#[test]
fn every_reference_leads_somewhere_and_every_key_is_described() {
    fn look(value: &Value, root: &Value, properties: &mut usize) {
        match value {
            Value::Object(map) => {
                if let Some(reference) = map.get("$ref").and_then(Value::as_str) {
                    assert!(
                        root.pointer(reference.trim_start_matches('#')).is_some_and(Value::is_object),
                        "{reference}"
                    );
                }
                if let Some(Value::Object(keys)) = map.get("properties") {
                    assert_eq!(map["additionalProperties"], json!(false), "{keys:?}");
                    *properties += keys.len();
                }
                map.values().for_each(|value| look(value, root, properties));
            }
            Value::Array(items) => items.iter().for_each(|value| look(value, root, properties)),
            _ => {}
        }
    }
    let all = files().unwrap();
    assert_eq!(all.len(), kinds().unwrap().len());
    let mut properties = 0;
    for (name, text) in &all {
        let root: Value = serde_json::from_str(text).unwrap();
        assert_eq!(root["$schema"], "https://json-schema.org/draft/2020-12/schema", "{name}");
        look(&root, &root, &mut properties);
    }
    assert!(properties > 400, "{properties}");
    let tank: Value = serde_json::from_str(&schema("tank").unwrap().unwrap()).unwrap();
    assert_eq!(tank["required"], json!(["name", "started", "zone", "water"]));
    assert_eq!(tank["properties"]["glass"]["description"], "Thickness of the panes.");
    assert!(schema("tanks").unwrap().is_none());
}
