//! Reading a reference table, and comparing to its tolerance.

use std::path::PathBuf;

/// One row of a table, its cells named by the header.
pub struct Row {
    header: csv::StringRecord,
    cells: csv::StringRecord,
    place: String,
}

impl Row {
    pub fn text(&self, column: &str) -> &str {
        let index = self.header.iter().position(|name| name == column);
        let index = index.unwrap_or_else(|| panic!("{} has no column {column}", self.place));
        &self.cells[index]
    }

    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{}, {column}: {text:?} is not a number", self.place))
    }

    /// Fails where `got` is further from the column's number than `tolerance`.
    pub fn close(&self, column: &str, got: f64, tolerance: f64) {
        let expected = self.number(column);
        assert!(
            (got - expected).abs() <= tolerance,
            "{}, {column}: {got} where the table has {expected}, allowed {tolerance}",
            self.place
        );
    }

    /// Fails where `got` differs from the column's number by more than `tolerance` of it.
    pub fn relatively_close(&self, column: &str, got: f64, tolerance: f64) {
        self.close(column, got, tolerance * self.number(column).abs());
    }
}

/// The rows of a table of `tests/reference/science/`; a table without rows fails.
pub fn rows(file: &str) -> Vec<Row> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference/science").join(file);
    let mut reader = csv::Reader::from_path(&path).unwrap_or_else(|error| panic!("{file}: {error}"));
    let header = reader.headers().expect("a table starts with a header").clone();
    let rows: Vec<Row> = reader
        .records()
        .enumerate()
        .map(|(index, record)| Row {
            header: header.clone(),
            cells: record.unwrap_or_else(|error| panic!("{file}: {error}")),
            place: format!("{file}, row {}", index + 1),
        })
        .collect();
    assert!(!rows.is_empty(), "{file} has no rows");
    rows
}
