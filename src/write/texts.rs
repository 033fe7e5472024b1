//! Several texts into one folder.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Writes texts at their paths below a folder, with the folders in between; gives where they stand now.
///
/// # Errors
/// When the system refuses.
pub fn write_texts(folder: &Path, texts: &[(String, String)]) -> io::Result<Vec<PathBuf>> {
    let mut written = Vec::new();
    for (path, text) in texts {
        let target = folder.join(path);
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent)?;
        }
        fs::write(&target, text)?;
        written.push(target);
    }
    Ok(written)
}
