//! CSV rows one at a time, each with its line, so that memory does not grow with the file.

use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};

use csv::{ByteRecord, ReaderBuilder, StringRecord};

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
            return Err(vec![Diagnostic::new(Kind::UnreadableFile { why: error.to_string() }, place(1, 1))]);
        }
    };
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .has_headers(false)
        .buffer_capacity(1 << 17)
        .from_reader(LineFeeds::new(BufReader::with_capacity(1 << 17, opened)));
    let mut problems = Vec::new();
    let mut headers: Option<StringRecord> = None;
    let mut bytes = ByteRecord::new();
    let mut untold: Option<(usize, u64)> = None;
    loop {
        match reader.read_byte_record(&mut bytes) {
            Ok(true) => {}
            Ok(false) => break,
            Err(error) => {
                problems.push(Diagnostic::new(Kind::UnreadableFile { why: error.to_string() }, place(1, 1)));
                break;
            }
        }
        // The reader counts from the blank lines before a row; a row ends with its line feed, and its cells may hold
        // some too.
        let inside = bytes.as_slice().iter().filter(|byte| **byte == b'\n').count() as u64;
        let line = reader.position().line().saturating_sub(1 + inside);
        let (kind, length) = match StringRecord::from_byte_record(std::mem::take(&mut bytes)) {
            Ok(row) => match &headers {
                None => {
                    headers = Some(row.iter().map(|name| name.trim_start_matches('\u{feff}').trim()).collect());
                    continue;
                }
                Some(headers) if row.len() == headers.len() => {
                    visit(headers, line, &row);
                    bytes = row.into_byte_record();
                    continue;
                }
                Some(headers) => {
                    let kind = Kind::WrongColumns { expected: headers.len(), found: row.len() };
                    (kind, row.as_slice().chars().count() + row.len().saturating_sub(1))
                }
            },
            // Without the names of its columns the rest of a file means nothing.
            Err(_) if headers.is_none() => return Err(vec![Diagnostic::new(Kind::NotUtf8, place(line, 1))]),
            Err(_) => (Kind::NotUtf8, 1),
        };
        if problems.len() < TOLD_AT_MOST {
            problems.push(Diagnostic::new(kind, place(line, length)));
        } else {
            untold = Some((untold.map_or(0, |(count, _)| count) + 1, line));
        }
    }
    if headers.is_none() && problems.is_empty() {
        problems.push(Diagnostic::new(Kind::EmptyFile, place(1, 1)));
    }
    if let Some((count, line)) = untold
        && let Some(last) = problems.pop()
    {
        problems.push(last.with_related(place(line, 1), format!("the last of {count} more rows that cannot be read")));
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

/// Every way to end a line becomes a line feed, and the last line has one too.
struct LineFeeds<R> {
    inner: R,
    after_return: bool,
    last: u8,
}

impl<R: BufRead> LineFeeds<R> {
    fn new(inner: R) -> Self {
        LineFeeds { inner, after_return: false, last: b'\n' }
    }
}

impl<R: BufRead> Read for LineFeeds<R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        loop {
            let from = self.inner.fill_buf()?;
            if from.is_empty() {
                if self.last == b'\n' || into.is_empty() {
                    return Ok(0);
                }
                self.last = b'\n';
                into[0] = b'\n';
                return Ok(1);
            }
            let taken = from.len().min(into.len());
            let mut written = 0;
            for byte in &from[..taken] {
                let second_of_two = self.after_return && *byte == b'\n';
                self.after_return = *byte == b'\r';
                if !second_of_two {
                    into[written] = if self.after_return { b'\n' } else { *byte };
                    self.last = into[written];
                    written += 1;
                }
            }
            self.inner.consume(taken);
            if written > 0 || taken == 0 {
                return Ok(written);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::read_folder;

    type Rows = Vec<(u64, Vec<String>)>;

    fn rows(csv: &[u8], delimiter: u8) -> (Vec<String>, Rows, Vec<Diagnostic>) {
        let root = tempfile::tempdir().unwrap();
        std::fs::create_dir(root.path().join("readings")).unwrap();
        std::fs::write(root.path().join("readings/probe.csv"), csv).unwrap();
        let (folder, _) = read_folder(root.path()).unwrap();
        let (mut names, mut rows) = (Vec::new(), Vec::new());
        let result = for_each_row(&folder, "readings/probe.csv", delimiter, &mut |headers, line, row| {
            names = headers.iter().map(String::from).collect();
            rows.push((line, row.iter().map(String::from).collect()));
        });
        (names, rows, result.err().unwrap_or_default())
    }

    fn row(line: u64, cells: &[&str]) -> (u64, Vec<String>) {
        (line, cells.iter().map(|cell| cell.to_string()).collect())
    }

    #[test]
    fn every_row_knows_its_line() {
        for csv in [
            "\u{feff}when;water\n1;25.4\n\n2;\"25\n.5\"\n3;25.6\n",
            "\u{feff}when;water\r1;25.4\r\r2;\"25\r.5\"\r3;25.6",
            "\u{feff}when;water\r\n1;25.4\r\n\r\n2;\"25\n.5\"\r\n3;25.6",
        ] {
            let (names, rows, problems) = rows(csv.as_bytes(), b';');
            assert_eq!(names, ["when", "water"]);
            assert_eq!(rows, [row(2, &["1", "25.4"]), row(4, &["2", "25\n.5"]), row(6, &["3", "25.6"])], "{csv:?}");
            assert_eq!(problems, []);
        }
    }

    #[test]
    fn bad_rows_are_told_and_the_others_read() {
        let (_, rows, problems) = rows(b"when,water\n1,25.4\n2,25,4\n3,\xb0\n4,25.7\n", b',');
        assert_eq!(rows, [row(2, &["1", "25.4"]), row(5, &["4", "25.7"])]);
        let told: Vec<_> = problems.iter().map(|one| (one.kind.clone(), one.place.line, one.place.length)).collect();
        assert_eq!(told, [(Kind::WrongColumns { expected: 2, found: 3 }, 3, 6), (Kind::NotUtf8, 4, 1)]);
    }

    #[test]
    fn many_bad_rows_are_counted() {
        let csv = format!("when,water\n{}1,2\n", "1,2,3\n".repeat(500));
        let (_, rows, problems) = rows(csv.as_bytes(), b',');
        assert_eq!(rows.len(), 1);
        assert_eq!(problems.len(), TOLD_AT_MOST);
        let (place, role) = &problems[TOLD_AT_MOST - 1].related[0];
        assert_eq!((place.line, role.as_str()), (501, "the last of 480 more rows that cannot be read"));
    }

    #[test]
    fn an_empty_file_is_told() {
        let (_, rows, problems) = rows(b"", b',');
        assert!(rows.is_empty());
        assert_eq!(problems[0].kind, Kind::EmptyFile);
    }
}
