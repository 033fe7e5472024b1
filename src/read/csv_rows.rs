//! CSV rows one at a time, each with its line, so that memory does not grow with the file.

use std::fs::File;
use std::io::BufReader;

use csv::{ReaderBuilder, StringRecord};

use super::folder::Folder;
use crate::diagnostic::{Diagnostic, Kind, Place};

/// At most this many rows with wrong columns are told one by one.
const TOLD_AT_MOST: usize = 20;

/// Calls `visit` with the headers, the line and the row of every sound row of a CSV of the folder.
///
/// # Errors
/// Rows with wrong columns or bytes that are not UTF-8, each with its line; sound rows are visited all the same.
pub fn for_each_row(
    folder: &Folder,
    file: &str,
    delimiter: u8,
    visit: &mut dyn FnMut(&StringRecord, u64, &StringRecord),
) -> Result<(), Vec<Diagnostic>> {
    let place = |line: u64, length: usize| Place {
        file: file.into(),
        line: line.max(1) as u32,
        column: 1,
        length: length.max(1) as u32,
    };
    if !folder.csv.contains(file) {
        return Ok(());
    }
    let opened = match File::open(folder.root.join(file)) {
        Ok(opened) => opened,
        Err(error) => {
            let kind = Kind::BadYaml { message: format!("this file cannot be opened: {error}") };
            return Err(vec![Diagnostic::new(kind, place(1, 1))]);
        }
    };
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .buffer_capacity(1 << 17)
        .from_reader(BufReader::new(opened));
    let mut problems = Vec::new();
    let headers = match reader.headers() {
        Ok(headers) if headers.is_empty() => {
            return Err(vec![Diagnostic::new(Kind::EmptyFile, place(1, 1))]);
        }
        Ok(headers) => {
            let mut headers = headers.clone();
            // Spreadsheets put a byte order mark before the first header.
            if let Some(first) = headers.get(0).and_then(|first| first.strip_prefix('\u{feff}').map(String::from)) {
                headers = std::iter::once(first.as_str()).chain(headers.iter().skip(1)).collect();
            }
            headers
        }
        Err(_) => return Err(vec![Diagnostic::new(Kind::NotUtf8, place(1, 1))]),
    };
    let mut row = StringRecord::new();
    loop {
        match reader.read_record(&mut row) {
            Ok(false) => break,
            Ok(true) => {
                let line = row.position().map_or(0, csv::Position::line);
                if row.len() != headers.len() {
                    if problems.len() < TOLD_AT_MOST {
                        let kind = Kind::WrongColumns { expected: headers.len(), found: row.len() };
                        problems
                            .push(Diagnostic::new(kind, place(line, row.as_slice().chars().count() + row.len() - 1)));
                    }
                } else {
                    visit(&headers, line, &row);
                }
            }
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line);
                problems.push(Diagnostic::new(Kind::NotUtf8, place(line, 1)));
                if problems.len() >= TOLD_AT_MOST || !matches!(error.kind(), csv::ErrorKind::Utf8 { .. }) {
                    break;
                }
            }
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}
