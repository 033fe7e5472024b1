//! What a photo's file says of itself before anything is decoded: size, orientation, the moment it was taken.

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A file under `photos/`.
#[derive(Clone, Debug)]
pub struct PhotoFile {
    /// Relative to the record's root.
    pub path: Arc<str>,
    pub absolute: PathBuf,
    pub bytes: u64,
    /// Seconds and nanoseconds since 1970.
    pub modified: (u64, u32),
    /// `None` when the file cannot be read as a photo.
    pub header: Option<PhotoHeader>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct PhotoHeader {
    /// As stored, before the orientation is applied.
    pub width: u32,
    pub height: u32,
    /// EXIF orientation, 1 to 8.
    pub orientation: u8,
    /// As EXIF writes it: `2025:04:12 18:30:05`.
    pub taken: Option<String>,
}

/// Extensions that are read as photos.
pub const READABLE: &[&str] = &["jpg", "jpeg", "png", "webp"];

/// Reads only the header of a photo.
///
/// # Errors
/// Says in plain words why the file cannot be read.
pub fn header(path: &Path) -> Result<PhotoHeader, String> {
    let reader = image::ImageReader::open(path)
        .and_then(|reader| reader.with_guessed_format())
        .map_err(|error| format!("it cannot be opened: {error}"))?;
    let (width, height) =
        reader.into_dimensions().map_err(|_| "its first bytes are not those of a photo".to_string())?;
    let exif =
        File::open(path).ok().and_then(|file| exif::Reader::new().read_from_container(&mut BufReader::new(file)).ok());
    let orientation = exif
        .as_ref()
        .and_then(|exif| exif.get_field(exif::Tag::Orientation, exif::In::PRIMARY))
        .and_then(|field| field.value.get_uint(0))
        .filter(|value| (1..=8).contains(value))
        .map_or(1, |value| value as u8);
    let taken = exif.as_ref().and_then(|exif| exif.get_field(exif::Tag::DateTimeOriginal, exif::In::PRIMARY)).and_then(
        |field| match &field.value {
            exif::Value::Ascii(parts) => parts.first().map(|bytes| String::from_utf8_lossy(bytes).into_owned()),
            _ => None,
        },
    );
    Ok(PhotoHeader { width, height, orientation, taken })
}
