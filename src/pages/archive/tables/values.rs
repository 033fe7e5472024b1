//! Every value of the record as typed, one a row with the way to it: what the other tables were made from, so that
//! nothing which a later program may want is lost on the way. Private values are left out.

use std::sync::Arc;

use crate::pages::archive::tidy::FieldKind::*;
use crate::pages::archive::tidy::{Columns, TidyTable};
use crate::read::{Content, Folder, Node, for_each_row, is_private, key_name};

/// One scalar of the record.
struct Value {
    file: Arc<str>,
    number: usize,
    line: u32,
    path: String,
    text: Option<String>,
}

pub fn tables(folder: &Folder) -> Vec<TidyTable<'static>> {
    let mut values: Vec<Value> = Vec::new();
    let mut cells = Vec::new();
    for document in &folder.documents {
        let start = values.len();
        gather(&document.path, &document.root, String::new(), &mut values);
        if let Some(body) = &document.body {
            let text = Some(body.text.clone());
            values.push(Value {
                file: document.path.clone(),
                number: 0,
                line: body.first_line,
                path: "/".into(),
                text,
            });
        }
        for (number, value) in values[start..].iter_mut().enumerate() {
            value.number = number + 1;
        }
    }
    // Sensor logs can have millions of rows; the curves and spectra of makers' sheets have dozens.
    for file in folder.csv.iter().filter(|file| in_specs(file)) {
        let told = for_each_row(folder, file, b',', &mut |headers, line, row| {
            for (column, cell) in row.iter().enumerate() {
                let header = headers.get(column).unwrap_or_default().to_string();
                cells.push((file.clone(), line, column + 1, header, cell.to_string()));
            }
        });
        // A sheet's CSV with mistakes was refused long before.
        debug_assert!(told.is_ok());
    }
    let about = "Every value of the record as it was typed, in the order of its files. The way to it is the keys from the top of the file, joined by `/`, items of a list by their number from 0; in a key `~` is written `~0` and `/` is written `~1` (JSON Pointer, RFC 6901). The way `/` alone is the prose of a Markdown file.";
    let values = Columns::of("values", "Values as typed", about, &values)
        .key("file", Text, "File, from the record's root", |one| one.file.to_string())
        .key("number", Whole, "Number of the value in its file", |one| one.number)
        .need("line", Whole, "", "Line it begins on", |one| i64::from(one.line))
        .column("path", Text, "", "The way to it", |one| &one.path)
        .column("text", Text, "", "As typed; empty for nothing", |one| one.text.as_ref())
        .done();
    let about = "Curves and spectra beside the makers' sheets, cell by cell.";
    let cells = Columns::of("spec-cells", "Cells of makers' tables", about, &cells)
        .key("file", Text, "File, from the record's root", |one| one.0.to_string())
        .key("line", Whole, "Line", |one| one.1 as i64)
        .key("column", Whole, "Number of the column, from 1", |one| one.2)
        .need("header", Text, "", "Head of the column", |one| &one.3)
        .column("text", Text, "", "As typed", |one| &one.4)
        .done();
    vec![values, cells]
}

fn in_specs(file: &str) -> bool {
    file.starts_with("specs/") || file.contains("/specs/")
}

fn gather(file: &Arc<str>, node: &Node, path: String, into: &mut Vec<Value>) {
    let mut add = |text: Option<&str>, path: String| {
        into.push(Value { file: file.clone(), number: 0, line: node.place.line, path, text: text.map(str::to_string) });
    };
    match &node.content {
        Content::Null => add(None, path),
        Content::Scalar { text, .. } => add(Some(text), path),
        Content::List(items) => {
            for (number, item) in items.iter().enumerate() {
                gather(file, item, format!("{path}/{number}"), into);
            }
        }
        Content::Map(pairs) => {
            for (key, value) in pairs {
                if is_private(&key_name(key)) {
                    continue;
                }
                let name = key.as_text().unwrap_or_default().replace('~', "~0").replace('/', "~1");
                gather(file, value, format!("{path}/{name}"), into);
            }
        }
    }
}
