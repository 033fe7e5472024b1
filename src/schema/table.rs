//! The table that the schemas are made of: `kinds/*.yaml`, one file a kind.
//!
//! A kind has a `title`, the `files` it stands in, what it is `about`, a `root` and the `maps` that it is made of. A map bears the
//! name by which the readers call it when they tell a mistake, and lists its keys (a star marks what must be there, `+KEY` what must stand beside it), each
//! with its type, what it is about, and examples. The notation of types stands in [`notation`](super::notation).

use std::collections::BTreeMap;

use include_dir::{Dir, include_dir};
use serde::Deserialize;
use serde_json::Value;

static KINDS: Dir = include_dir!("$CARGO_MANIFEST_DIR/src/schema/kinds");

/// A kind of file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileKind {
    pub title: String,
    /// Where files of the kind stand.
    pub files: String,
    pub about: String,
    /// The type of the whole file.
    pub root: String,
    maps: serde_yaml::Mapping,
}

/// A key of a map.
pub struct Key {
    pub name: String,
    pub needed: bool,
    /// A key that must be there too where this one is.
    pub beside: Option<String>,
    pub holds: String,
    pub about: String,
    pub examples: Vec<Value>,
}

/// All kinds by name, and all maps by the name that readers give them.
pub struct Table {
    pub kinds: BTreeMap<String, FileKind>,
    pub maps: BTreeMap<String, Vec<Key>>,
}

impl Table {
    /// # Errors
    /// When a file of the table is not as described above; the tests hold that none is.
    pub fn read() -> Result<Table, String> {
        let mut table = Table { kinds: BTreeMap::new(), maps: BTreeMap::new() };
        for file in KINDS.files() {
            let name = file.path().file_stem().and_then(|stem| stem.to_str()).unwrap_or_default().to_string();
            let text = file.contents_utf8().unwrap_or_default();
            let kind: FileKind = serde_yaml::from_str(text).map_err(|error| format!("{name}: {error}"))?;
            for (map, keys) in &kind.maps {
                let (Some(map), Some(keys)) = (map.as_str(), keys.as_mapping()) else {
                    return Err(format!("{name}: a map has a name and keys"));
                };
                let keys = keys
                    .iter()
                    .map(|(key, value)| read_key(key, value).ok_or_else(|| format!("{name}: {map}: {key:?}")));
                if table.maps.insert(map.to_string(), keys.collect::<Result<_, _>>()?).is_some() {
                    return Err(format!("{name}: `{map}` is there twice"));
                }
            }
            table.kinds.insert(name, kind);
        }
        Ok(table)
    }
}

/// `name*: [type, "what it is about", example, …]`.
fn read_key(key: &serde_yaml::Value, value: &serde_yaml::Value) -> Option<Key> {
    let (key, beside) = match key.as_str()?.split_once(" +") {
        Some((key, beside)) => (key, Some(beside.to_string())),
        None => (key.as_str()?, None),
    };
    let parts = value.as_sequence()?;
    let examples = parts.get(2..)?.iter().map(serde_json::to_value).collect::<Result<_, _>>().ok()?;
    Some(Key {
        name: key.trim_end_matches('*').to_string(),
        needed: key.ends_with('*'),
        beside,
        holds: parts.first()?.as_str()?.to_string(),
        about: parts.get(1)?.as_str()?.to_string(),
        examples,
    })
}
