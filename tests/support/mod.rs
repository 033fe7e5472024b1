//! What the tests of whole records share: small records on disk, read, built and worked out.

// Each test program takes what it needs of this.
#![allow(dead_code)]

use std::fs;
use std::path::Path;

use jiff::civil::Date;
use polypary::figures::Findings;
use polypary::pipeline::Request;
use polypary::record::Record;
use polypary::units::System;
use tempfile::TempDir;

/// Writes one file of a record, with the folders above it.
pub fn put(folder: &Path, path: &str, bytes: impl AsRef<[u8]>) {
    let path = folder.join(path);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, bytes).unwrap();
}

/// A record of these files, in a folder of its own that goes when it is dropped.
pub fn laid(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        put(folder.path(), path, text);
    }
    folder
}

/// What a run is asked for, in metric units and the default theme.
pub fn request(folder: &Path, today: Date) -> Request {
    Request { folder: folder.to_path_buf(), today, as_of: None, units: System::Metric, theme: "fieldguide".into() }
}

/// A record that was read, with its figures and what was told of it.
pub struct Worked {
    pub record: Record,
    pub findings: Findings,
    /// As a terminal shows it.
    pub told: String,
    pub has_errors: bool,
}

/// Reads and works out a record as on a day.
pub fn worked(folder: &Path, today: Date) -> Worked {
    let (read, mut told) = polypary::read::read_folder(folder).unwrap();
    let (record, more) = polypary::record::build(&read, today);
    told.extend(more);
    let findings = polypary::figures::work_out(&record);
    Worked { record, findings, told: told.render_all(&read.sources), has_errors: told.has_errors() }
}
