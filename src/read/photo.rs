//! What a photo's file says of itself before anything is decoded: size, orientation, the moment it was taken.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{BufRead, BufReader, Seek};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

use super::folder::whole_file;
use super::walk::FoundFile;
use crate::diagnostic::{Diagnostic, Diagnostics, Kind};

/// A file under `photos/`.
#[derive(Clone, Debug, PartialEq)]
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
    /// By the file's first bytes, whatever its name says.
    pub format: PhotoFormat,
    /// As stored, before the orientation is applied.
    pub width: u32,
    pub height: u32,
    /// EXIF orientation, 1 to 8.
    pub orientation: u8,
    /// As EXIF writes it: `2025:04:12 18:30:05`.
    pub taken: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhotoFormat {
    Jpeg,
    Png,
    WebP,
}

/// Extensions that are read as photos.
const READABLE: &[&str] = &["jpg", "jpeg", "png", "webp"];

/// Extensions of pictures that cannot be read: what phones, cameras and image programs write otherwise.
const UNREADABLE: &[&str] = &[
    "arw", "avif", "bmp", "cr2", "cr3", "dng", "gif", "heic", "heif", "jfif", "jp2", "jxl", "nef", "orf", "psd", "raf",
    "raw", "rw2", "svg", "tif", "tiff",
];

/// Whether an extension, in small letters, is that of a picture.
pub(super) fn is_picture(extension: &str) -> bool {
    READABLE.contains(&extension) || UNREADABLE.contains(&extension)
}

/// Reads the headers of all photos. A broken one is a warning; formats that cannot be read are one warning each.
pub(super) fn read_photos(files: Vec<FoundFile>, diagnostics: &mut Diagnostics) -> Vec<PhotoFile> {
    let read: Vec<(PhotoFile, Option<String>)> = files
        .into_par_iter()
        .map(|file| {
            let (header, why) = match header(&file.absolute) {
                Ok(header) if READABLE.contains(&extension(&file.path).as_str()) => (Some(header), None),
                Ok(_) => (None, None),
                Err(why) => (None, Some(why)),
            };
            let path = file.path.as_str().into();
            let FoundFile { absolute, bytes, modified, .. } = file;
            (PhotoFile { path, absolute, bytes, modified, header }, why)
        })
        .collect();
    let mut unreadable: BTreeMap<String, (usize, Arc<str>)> = BTreeMap::new();
    let mut photos = Vec::new();
    for (photo, why) in read {
        let extension = extension(&photo.path);
        if !READABLE.contains(&extension.as_str()) {
            unreadable.entry(extension).or_insert((0, photo.path.clone())).0 += 1;
        } else if let Some(why) = why {
            let kind = Kind::UnreadablePhoto { path: photo.path.to_string(), why };
            diagnostics.push(Diagnostic::new(kind, whole_file(&photo.path)));
        }
        photos.push(photo);
    }
    for (extension, (count, first)) in unreadable {
        let how = "exporting them from the phone or an image program as JPEG".to_string();
        diagnostics.push(Diagnostic::new(Kind::UnreadablePhotos { count, extension, how }, whole_file(&first)));
    }
    photos
}

fn extension(path: &str) -> String {
    path.rsplit_once('.').map_or(String::new(), |(_, extension)| extension.to_lowercase())
}

/// Reads only the header of a photo.
///
/// # Errors
/// Says in plain words why the file cannot be read.
fn header(path: &Path) -> Result<PhotoHeader, String> {
    let cannot_open = |error: std::io::Error| format!("it cannot be opened: {error}");
    let mut file = BufReader::new(File::open(path).map_err(cannot_open)?);
    let first = file.fill_buf().map_err(cannot_open)?;
    if first.is_empty() {
        return Err("the file is empty".into());
    }
    if first.get(4..8) == Some(b"ftyp") {
        return Err("its name is that of another format: inside it is a HEIC, AVIF or film file".into());
    }
    if first.starts_with(&[0xff, 0xd8]) { jpeg(file) } else { png_or_webp(file) }
}

const NO_PHOTO: &str = "its first bytes are not those of a photo";

/// Reads no further than to the first scan, where other readers take the whole file.
fn jpeg(file: BufReader<File>) -> Result<PhotoHeader, String> {
    let no_limit = DecoderOptions::default().set_max_width(usize::from(u16::MAX)).set_max_height(usize::from(u16::MAX));
    let mut decoder = JpegDecoder::new_with_options(file, no_limit);
    decoder.decode_headers().map_err(|_| NO_PHOTO.to_string())?;
    let info = decoder.info().ok_or(NO_PHOTO)?;
    let exif = decoder.exif().and_then(|raw| sound_part(exif_reader().read_raw(raw.clone())));
    Ok(with_exif(PhotoFormat::Jpeg, info.width.into(), info.height.into(), exif.as_ref()))
}

fn png_or_webp(mut file: BufReader<File>) -> Result<PhotoHeader, String> {
    let reader = image::ImageReader::new(&mut file).with_guessed_format().map_err(|_| NO_PHOTO.to_string())?;
    let format = match reader.format() {
        Some(image::ImageFormat::Png) => PhotoFormat::Png,
        Some(image::ImageFormat::WebP) => PhotoFormat::WebP,
        _ => return Err(NO_PHOTO.into()),
    };
    let (width, height) = reader.into_dimensions().map_err(|_| NO_PHOTO.to_string())?;
    let exif = file.rewind().ok().and_then(|()| sound_part(exif_reader().read_from_container(&mut file)));
    Ok(with_exif(format, width, height, exif.as_ref()))
}

fn exif_reader() -> exif::Reader {
    let mut reader = exif::Reader::new();
    reader.continue_on_error(true);
    reader
}

/// Phones write single fields that break the standard; the others are as good as ever.
fn sound_part(read: Result<exif::Exif, exif::Error>) -> Option<exif::Exif> {
    read.or_else(|error| error.distill_partial_result(|_| {})).ok()
}

fn with_exif(format: PhotoFormat, width: u32, height: u32, exif: Option<&exif::Exif>) -> PhotoHeader {
    let field = |tag| exif.and_then(|exif| exif.get_field(tag, exif::In::PRIMARY));
    let orientation = field(exif::Tag::Orientation)
        .and_then(|field| field.value.get_uint(0))
        .filter(|value| (1..=8).contains(value))
        .map_or(1, |value| value as u8);
    // The moment of the exposure; a scanned picture has only that of the scan, which is no date of what it shows.
    let taken = field(exif::Tag::DateTimeOriginal).and_then(|field| match &field.value {
        exif::Value::Ascii(parts) => parts.first().map(|bytes| String::from_utf8_lossy(bytes).trim().to_string()),
        _ => None,
    });
    // A camera whose clock was never set writes blanks or zeros (Exif 2.32, DateTimeOriginal: unknown is blank).
    let taken = taken.filter(|text| text.starts_with(|c: char| c.is_ascii_digit() && c != '0'));
    PhotoHeader { format, width, height, orientation, taken }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    /// A JPEG of 3 × 2 pixels with an APP1 segment laid out by Exif 2.32, section 4.6: little-endian TIFF, orientation
    /// 6 in the first directory, DateTimeOriginal in the Exif directory.
    fn jpeg_with_exif(taken: &[u8; 20]) -> Vec<u8> {
        let mut tiff: Vec<u8> = b"II\x2a\0\x08\0\0\0".to_vec();
        tiff.extend(2u16.to_le_bytes());
        tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, 6, 0, 0, 0]);
        tiff.extend([0x69, 0x87, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
        tiff.extend([0; 4]);
        tiff.extend(1u16.to_le_bytes());
        tiff.extend([0x03, 0x90, 2, 0, 20, 0, 0, 0, 56, 0, 0, 0]);
        tiff.extend([0; 4]);
        tiff.extend(taken);
        let mut segment = b"Exif\0\0".to_vec();
        segment.extend(tiff);
        let mut plain = Vec::new();
        let encoder = jpeg_encoder::Encoder::new(&mut plain, 90);
        encoder.encode(&[120; 18], 3, 2, jpeg_encoder::ColorType::Rgb).unwrap();
        let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1];
        bytes.extend((segment.len() as u16 + 2).to_be_bytes());
        bytes.extend(segment);
        bytes.extend(&plain[2..]);
        bytes
    }

    fn read(files: &[(&str, &[u8])]) -> (Vec<PhotoFile>, Vec<String>) {
        let folder = tempfile::tempdir().unwrap();
        let found = files.iter().map(|(path, bytes)| {
            let absolute = folder.path().join(path);
            fs::write(&absolute, bytes).unwrap();
            FoundFile { path: format!("photos/{path}"), absolute, bytes: bytes.len() as u64, modified: (0, 0) }
        });
        let mut diagnostics = Diagnostics::default();
        let photos = read_photos(found.collect(), &mut diagnostics);
        let told = diagnostics.iter().map(|one| format!("{}: {}", one.headline(), one.label())).collect();
        (photos, told)
    }

    #[test]
    fn size_orientation_and_date_come_from_the_header() {
        let whole = jpeg_with_exif(b"2025:04:12 18:30:05\0");
        // The picture itself is not looked at: a header is read from a file that ends early.
        let scan = whole.windows(2).position(|two| two == [0xff, 0xda]).unwrap();
        let (photos, told) = read(&[("whole.jpg", &whole), ("cut.jpg", &whole[..scan + 14])]);
        assert_eq!(told, [""; 0]);
        let expected = PhotoHeader {
            format: PhotoFormat::Jpeg,
            width: 3,
            height: 2,
            orientation: 6,
            taken: Some("2025:04:12 18:30:05".into()),
        };
        for photo in photos {
            assert_eq!(photo.header.as_ref(), Some(&expected), "{}", photo.path);
        }
    }

    #[test]
    fn a_clock_that_was_never_set_gives_no_date() {
        for blank in [b"    :  :     :  :  \0", b"0000:00:00 00:00:00\0"] {
            let (photos, _) = read(&[("a.jpg", &jpeg_with_exif(blank))]);
            assert_eq!(photos[0].header.as_ref().unwrap().taken, None);
        }
    }

    #[test]
    fn png_and_webp_are_known_by_their_bytes() {
        let mut png = std::io::Cursor::new(Vec::new());
        let mut webp = std::io::Cursor::new(Vec::new());
        let picture = image::RgbImage::new(5, 4);
        picture.write_to(&mut png, image::ImageFormat::Png).unwrap();
        picture.write_to(&mut webp, image::ImageFormat::WebP).unwrap();
        let (photos, told) = read(&[("a.png", png.get_ref()), ("b.jpg", webp.get_ref())]);
        assert_eq!(told, [""; 0]);
        let seen: Vec<_> = photos
            .iter()
            .map(|photo| photo.header.as_ref().map(|header| (header.format, header.width, header.height)))
            .collect();
        assert_eq!(seen, [Some((PhotoFormat::Png, 5, 4)), Some((PhotoFormat::WebP, 5, 4))]);
    }

    #[test]
    fn what_cannot_be_read_is_a_warning() {
        // ISO/IEC 23008-12: a file type box with the brand `heic`.
        let heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic";
        let (photos, told) = read(&[
            ("1.heic", heic),
            ("2.HEIC", heic),
            ("3.jpg", heic),
            ("4.jpg", b""),
            ("5.png", b"no picture at all"),
            ("6.jpg", b"\xff\xd8\xff"),
        ]);
        assert!(photos.iter().all(|photo| photo.header.is_none()));
        assert_eq!(
            told,
            [
                "photo `photos/3.jpg` cannot be read: its name is that of another format: inside it is a HEIC, AVIF or film file",
                "photo `photos/4.jpg` cannot be read: the file is empty",
                "photo `photos/5.png` cannot be read: its first bytes are not those of a photo",
                "photo `photos/6.jpg` cannot be read: its first bytes are not those of a photo",
                "2 photos in .heic cannot be read and get a placeholder: ",
            ]
        );
    }
}
