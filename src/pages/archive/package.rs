//! Tables as CSV (RFC 4180) and the Data Package descriptor that says what every column is.

use serde_json::{Map, Value, json};

use super::tidy::{Field, FieldKind, TidyTable};

/// The CSV of every table and the descriptor, by name below the folder of tables.
///
/// # Errors
/// When a cell cannot be written, which only a lack of memory can bring about.
pub fn files(
    tables: &[TidyTable],
    title: &str,
    about: &str,
    as_of: &str,
) -> Result<Vec<(String, Vec<u8>)>, csv::Error> {
    let mut files = Vec::with_capacity(tables.len() + 1);
    for table in tables {
        files.push((format!("{}.csv", table.name), to_csv(table)?));
    }
    let text = serde_json::to_string_pretty(&descriptor(tables, title, about, as_of)).expect("JSON can be written");
    files.push(("datapackage.json".into(), format!("{text}\n").into_bytes()));
    Ok(files)
}

fn to_csv(table: &TidyTable) -> Result<Vec<u8>, csv::Error> {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::with_capacity(1 << 12));
    writer.write_record(table.fields.iter().map(|field| field.name))?;
    for row in &table.rows {
        writer.write_record(row)?;
    }
    writer.into_inner().map_err(|error| error.into_error().into())
}

/// The descriptor: Data Package and Table Schema, version 1 of both.
pub fn descriptor(tables: &[TidyTable], title: &str, about: &str, as_of: &str) -> Value {
    json!({
        "profile": "tabular-data-package",
        "name": "reef-record",
        "title": title,
        "description": about,
        "created": format!("{as_of}T00:00:00Z"),
        "resources": tables.iter().map(resource).collect::<Vec<_>>(),
    })
}

fn resource(table: &TidyTable) -> Value {
    let mut schema = Map::new();
    schema.insert("fields".into(), table.fields.iter().map(field).collect());
    schema.insert("missingValues".into(), json!([""]));
    if !table.primary.is_empty() {
        schema.insert("primaryKey".into(), json!(table.primary));
    }
    if !table.foreign.is_empty() {
        let keys: Vec<Value> = table
            .foreign
            .iter()
            .map(|foreign| {
                // A table that refers to itself has no name in the standard.
                let resource = if foreign.table == table.name { "" } else { foreign.table };
                json!({"fields": foreign.fields, "reference": {"resource": resource, "fields": foreign.of}})
            })
            .collect();
        schema.insert("foreignKeys".into(), json!(keys));
    }
    json!({
        "profile": "tabular-data-resource",
        "name": table.name,
        "title": table.title,
        "description": table.about,
        "path": format!("{}.csv", table.name),
        "format": "csv",
        "mediatype": "text/csv",
        "encoding": "utf-8",
        "dialect": {"delimiter": ",", "quoteChar": "\"", "doubleQuote": true, "lineTerminator": "\r\n", "header": true},
        "schema": schema,
    })
}

fn field(field: &Field) -> Value {
    let mut value = Map::new();
    value.insert("name".into(), json!(field.name));
    let (kind, format) = match field.kind {
        FieldKind::Text => ("string", None),
        FieldKind::Number => ("number", None),
        FieldKind::Whole => ("integer", None),
        FieldKind::Day => ("date", None),
        FieldKind::Moment => ("datetime", Some("%Y-%m-%dT%H:%M")),
        FieldKind::YesNo => ("boolean", None),
    };
    value.insert("type".into(), json!(kind));
    if let Some(format) = format {
        value.insert("format".into(), json!(format));
    }
    let about =
        if field.unit.is_empty() { field.about.to_string() } else { format!("{}. Unit: {}", field.about, field.unit) };
    value.insert("description".into(), json!(about));
    if !field.unit.is_empty() {
        value.insert("unit".into(), json!(field.unit));
    }
    if let Some(term) = &field.term {
        value.insert("rdfType".into(), json!(term));
    }
    if field.required {
        value.insert("constraints".into(), json!({"required": true}));
    }
    Value::Object(value)
}
