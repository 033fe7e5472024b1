//! Tables as CSV (RFC 4180) and the Data Package descriptor that says what every column is.

use std::io::{self, Write};

use serde_json::{Map, Value, json};

use super::tidy::{Field, FieldKind, Rows, TidyTable};

impl TidyTable<'_> {
    /// Name of its file.
    pub fn file(&self) -> String {
        format!("{}.csv", self.name)
    }

    /// Writes it as RFC 4180 has it.
    ///
    /// # Errors
    /// When `to` refuses, or what the rows are read from.
    pub fn write_csv(&self, to: &mut dyn Write) -> io::Result<()> {
        let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(to);
        writer.write_record(self.fields.iter().map(|field| field.name))?;
        match &self.rows {
            Rows::Here(rows) => rows.iter().try_for_each(|row| writer.write_record(row))?,
            Rows::Passing { each, .. } => each(&mut |row| Ok(writer.write_record(row)?))?,
        }
        writer.flush()
    }
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
        "path": table.file(),
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
        FieldKind::Second => ("datetime", Some("%Y-%m-%dT%H:%M:%S")),
        FieldKind::Instant => ("datetime", Some("%Y-%m-%dT%H:%M:%SZ")),
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
