//! Photos inside a page: small, as `data:` addresses, so that one file is all there is.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::Path;

use super::{alone, photos};
use crate::pages::journal::{published_sizes, upright};
use crate::pages::sitter::Picture;
use crate::record::Photo;

/// Pixels across: enough for a quarter of a printed page.
const ACROSS: u32 = 800;

/// Photos made small.
#[derive(Debug, Default)]
pub struct Embedded {
    /// By path.
    pub pictures: BTreeMap<String, Picture>,
    /// Path of each that cannot be developed, and why.
    pub failed: Vec<(String, String)>,
}

/// Every readable photo.
///
/// # Errors
/// When a developed photo cannot be read back.
pub fn pictures(wanted: &[&Photo], cache: &Path) -> io::Result<Embedded> {
    let mut embedded = Embedded::default();
    for (photo, developed) in wanted.iter().zip(photos::develop(wanted, &BTreeSet::new(), cache, &|| {})) {
        let (files, header) = match (developed, photo.header) {
            (Ok(files), Some(header)) => (files, header),
            (Err(why), _) => {
                embedded.failed.push(why);
                continue;
            }
            (Ok(_), None) => continue,
        };
        let (width, height) = upright(header.0, header.1, header.2);
        let sizes = published_sizes(width, height);
        // The largest that is no larger than wanted; of a small photo its only size.
        let fitting = sizes.iter().position(|(across, _)| *across <= ACROSS).unwrap_or(sizes.len().saturating_sub(1));
        let (Some(file), Some((width, height))) = (files.get(fitting), sizes.get(fitting)) else {
            continue;
        };
        let address = alone::jpeg(&fs::read(&file.kept)?);
        embedded.pictures.insert(photo.path.clone(), Picture { address, width: *width, height: *height });
    }
    Ok(embedded)
}
