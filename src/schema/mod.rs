//! JSON Schema (draft 2020-12) of every kind of YAML file of a record, so that an editor completes keys and marks mistakes while
//! one types.
//!
//! What a file may hold stands in one table, `kinds/`; the readers in `record` say what they ask for, and a test compares the
//! two. An editor sees one file only: links between files, order of dates and physical limits stay with `audit`.

mod notation;
mod table;
#[cfg(test)]
mod tests;
mod words;

use serde_json::{Map, Value, json};

use notation::Writer;
use table::Table;

/// A kind of file: its name, where such files stand, and what it is about.
pub struct Kind {
    pub name: String,
    pub files: String,
    pub about: String,
}

/// All kinds, by name.
///
/// # Errors
/// When the built-in table is broken; a test holds that it is not.
pub fn kinds() -> Result<Vec<Kind>, String> {
    let kinds = Table::read()?.kinds.into_iter();
    Ok(kinds.map(|(name, kind)| Kind { name, files: kind.files, about: kind.about }).collect())
}

/// The schema of a kind as JSON, with a line end behind it; `None` for a kind that is not there.
///
/// # Errors
/// When the built-in table is broken; a test holds that it is not.
pub fn schema(kind: &str) -> Result<Option<String>, String> {
    let table = Table::read()?;
    let Some(file) = table.kinds.get(kind) else {
        return Ok(None);
    };
    let mut writer = Writer::new(&table);
    let root = match notation::map_name(&file.root) {
        Some(name) => writer.map(name)?,
        None => writer.of(&file.root, None)?,
    };
    let mut whole = Map::new();
    whole.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    whole.insert("title".into(), json!(file.title));
    whole.insert("description".into(), json!(format!("{} Files: {}.", file.about, file.files)));
    if let Value::Object(root) = root {
        whole.extend(root);
    }
    whole.insert("$defs".into(), json!(writer.defs));
    let text = serde_json::to_string_pretty(&Value::Object(whole)).map_err(|error| error.to_string())?;
    Ok(Some(text + "\n"))
}

/// Every kind's schema under the name of its file: `tank.json`.
///
/// # Errors
/// When the built-in table is broken; a test holds that it is not.
pub fn files() -> Result<Vec<(String, String)>, String> {
    let mut files = Vec::new();
    for kind in kinds()? {
        files.extend(schema(&kind.name)?.map(|text| (format!("{}.json", kind.name), text)));
    }
    Ok(files)
}
