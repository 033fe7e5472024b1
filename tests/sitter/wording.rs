//! The strings of the sheet: every language has them all, and no wording stands outside them.

use std::collections::{BTreeMap, BTreeSet};

use polypary::figures::{self, stay};
use polypary::pages::sitter::words::{LANGUAGES, Words};
use polypary::pages::sitter::{self, Manner};
use polypary::pipeline;
use polypary::units::System;
use polypary::write::render::Renderer;
use polypary::write::theme::{DEFAULT_THEME, Theme};

use super::{PERIOD, request, seen, traps};

fn blanks(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).map(|rest| rest.split('}').next().unwrap()).collect()
}

#[test]
fn every_language_has_every_string_with_the_same_blanks() {
    let (_, english) = LANGUAGES[0];
    let english = Words::from_yaml("en", english);
    for (language, text) in &LANGUAGES[1..] {
        let other = Words::from_yaml(language, text);
        let keys = |words: &Words| words.strings().keys().cloned().collect::<BTreeSet<_>>();
        assert_eq!(keys(&other), keys(&english), "{language}");
        let mut same = Vec::new();
        for (key, text) in english.strings() {
            let translated = other.get(key);
            assert_eq!(blanks(translated), blanks(text), "{language}: {key}");
            let has_words =
                text.split('{').map(|part| part.split('}').next_back().unwrap()).any(|part| part.trim().len() > 3);
            if translated == text && has_words {
                same.push(key.as_str());
            }
        }
        assert_eq!(same, ["blank", "power_forgets", "quarters_24"], "{language}: not translated");
    }
}

/// A language in which every letter is `ж`: any Latin letter on the sheet then comes from the record or from a unit.
fn nowhere() -> Words {
    let (_, english) = LANGUAGES[0];
    let mut text = String::new();
    for (key, value) in Words::from_yaml("en", english).strings() {
        let mut inside = 0;
        let masked: String = value
            .chars()
            .map(|c| {
                match c {
                    '{' | '<' => inside += 1,
                    '}' | '>' => inside -= 1,
                    _ => {}
                }
                if inside == 0 && c.is_alphabetic() { 'ж' } else { c }
            })
            .collect();
        text.push_str(&format!("{key}: {}\n", serde_json::Value::from(masked)));
    }
    Words::from_yaml("xx", &text)
}

#[test]
fn no_wording_stands_outside_the_strings() {
    let folder = traps();
    let mut loaded = pipeline::load(&request(folder.path())).unwrap();
    loaded.record.stand_at(super::TODAY);
    let mut findings = figures::work_out(&loaded.record);
    let tank = &loaded.record.tanks["."];
    let stay = stay::work_out(&loaded.record, tank, &mut findings, PERIOD);
    let manner = Manner { words: nowhere(), system: System::Metric, without_private: false };
    let sheet = sitter::sheet(&loaded.record, tank, &findings, &stay, &manner, &BTreeMap::new());
    let renderer = Renderer::new(&Theme::load(DEFAULT_THEME, &[]).unwrap()).unwrap();
    let html = String::from_utf8(renderer.sitter(&sheet).unwrap()).unwrap();
    let mut text = seen(&html);
    // What the record says, its places, and how a line is entered, are no wording of the sheet.
    let mut known: Vec<String> = Vec::new();
    for (_, source) in loaded.folder.sources.files() {
        known.extend(source.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase));
    }
    known.extend(
        loaded.folder.sources.files().flat_map(|(path, _)| {
            path.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase).collect::<Vec<_>>()
        }),
    );
    known.extend(
        sheet.slip.iter().flat_map(|line| line.flag.split(|c: char| !c.is_alphanumeric()).map(str::to_lowercase)),
    );
    for unit in ["c", "l", "ml", "g", "h", "min", "cm", "d", "max"] {
        known.push(unit.into());
    }
    text = text.to_lowercase();
    let left: BTreeSet<&str> = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| word.chars().any(|c| c.is_ascii_alphabetic()))
        .filter(|word| !known.iter().any(|known| known == word))
        .collect();
    assert!(left.is_empty(), "not in the strings: {left:?}");
}

/// A misspelt name in a condition would be false for ever instead of failing.
#[test]
fn templates_ask_only_for_what_the_sheet_has() {
    let model = include_str!("../../src/pages/sitter/model.rs");
    let fields: BTreeSet<&str> = model
        .lines()
        .filter_map(|line| line.trim().strip_prefix("pub ")?.split_once(": ").map(|(name, _)| name))
        .collect();
    let strings = Words::of("en").unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/sitter");
    for file in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        for tag in text.split("{{").skip(1).chain(text.split("{%").skip(1)) {
            let tag = tag.split("}}").next().unwrap().split("%}").next().unwrap();
            for word in tag.split(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.')) {
                match word.split_once('.') {
                    Some(("w", key)) => assert!(strings.strings().contains_key(key), "{tag}"),
                    Some(("loop", _)) | None => {}
                    Some((_, field)) if tag.contains("include") => assert!(field == "html", "{tag}"),
                    Some((_, path)) => assert!(path.split('.').all(|field| fields.contains(field)), "{tag}"),
                }
            }
        }
    }
}

#[test]
fn what_a_keeper_typed_stays_text() {
    let folder = traps();
    for path in ["equipment/heater-one.yaml", "upkeep/sitter.yaml", "tank.yaml", "supplies/flake.yaml"] {
        let text = std::fs::read_to_string(folder.path().join(path)).unwrap();
        let text = text.replace("Heater one", "<i>Heater</i> one").replace("wipe the glass", "<i>wipe</i> the glass");
        let text = text.replace("red tape", "<i>red</i> tape").replace("hall cupboard", "<i>hall</i> cupboard");
        let text = text.replace("white can", "<i>white</i> can").replace("red spoon", "<i>red</i> spoon");
        let text = text.replace("Ada Example", "<i>Ada</i> Example").replace("name: Flake", "name: <i>Flake</i>");
        super::put(folder.path(), path, &text);
    }
    let html = std::fs::read_to_string(super::write(folder.path(), &super::wanted(PERIOD)).sheet).unwrap();
    assert!(!html.contains("<i>"));
    for word in ["Heater", "wipe", "red", "hall", "white", "Ada", "Flake"] {
        assert!(
            html.contains(&format!("&lt;i&gt;{word}&lt;")) || html.contains(&format!("&lt;i&gt;{word}&lt;/i")),
            "{word}"
        );
    }
}
