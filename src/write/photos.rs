//! Photos as they are published: upright, in a few widths, without any metadata.

use std::cell::RefCell;
use std::fs;
use std::io::{self, Cursor};
use std::path::{Path, PathBuf};

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use rayon::prelude::*;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

use crate::pages::journal::{published_sizes, published_stem, upright};
use crate::record::Photo;

/// Raised whenever photos would come out differently, so that none is taken from the cache of an older version.
const SETTINGS: &str = "1600 800 400, Lanczos3 cascade, q80 4:2:0, v1";

const QUALITY: u8 = 80;

/// No camera makes more pixels than this; a file that says so is not decoded.
const MOST_PIXELS: u64 = 250_000_000;

/// One published file: where it goes in the edition, and where it lies developed.
pub struct Developed {
    pub path: String,
    pub kept: PathBuf,
}

/// Develops every readable photo that is not yet in the cache. The results come in the order of the photos; for one
/// that cannot be decoded, its path and why.
pub fn develop(photos: &[&Photo], cache: &Path) -> Vec<Result<Vec<Developed>, (String, String)>> {
    photos.par_iter().map(|photo| one(photo, cache).map_err(|why| (photo.path.clone(), why.to_string()))).collect()
}

fn one(photo: &Photo, cache: &Path) -> io::Result<Vec<Developed>> {
    let Some((width, height, orientation)) = photo.header else {
        return Ok(Vec::new());
    };
    let sizes = {
        let (width, height) = upright(width, height, orientation);
        published_sizes(width, height)
    };
    let stem = published_stem(&photo.path);
    let key = key_of(photo);
    let files: Vec<Developed> = sizes
        .iter()
        .map(|(width, _)| Developed {
            path: format!("{stem}-{width}.jpg"),
            kept: cache.join(format!("{key}-{width}.jpg")),
        })
        .collect();
    if files.iter().all(|file| file.kept.is_file()) {
        return Ok(files);
    }
    fs::create_dir_all(cache)?;
    let decoded = decode(&photo.absolute)?;
    ROOM.with_borrow_mut(|room| develop_sizes(decoded, orientation, &sizes, &files, room))?;
    Ok(files)
}

/// A photo is the same while its path, size and time of change are.
fn key_of(photo: &Photo) -> String {
    let text = format!("{SETTINGS}|{}|{}|{:?}", photo.path, photo.bytes, photo.modified);
    blake3::hash(text.as_bytes()).to_hex()[..32].to_string()
}

/// What a worker keeps between photos, so that memory is not asked for anew for each.
#[derive(Default)]
struct Room {
    resizer: Resizer,
    jpeg: Vec<u8>,
}

thread_local! {
    static ROOM: RefCell<Room> = RefCell::default();
}

struct Pixels {
    width: u32,
    height: u32,
    rgb: Vec<u8>,
}

fn bad(error: impl std::fmt::Display) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, error.to_string())
}

fn decode(path: &Path) -> io::Result<Pixels> {
    let bytes = fs::read(path)?;
    if bytes.starts_with(&[0xff, 0xd8]) {
        let options = DecoderOptions::default()
            .jpeg_set_out_colorspace(ColorSpace::RGB)
            .set_max_width(60_000)
            .set_max_height(60_000);
        let mut decoder = JpegDecoder::new_with_options(Cursor::new(&bytes), options);
        decoder.decode_headers().map_err(bad)?;
        if let Some((width, height)) = decoder.dimensions()
            && (width as u64) * (height as u64) <= MOST_PIXELS
            && let Ok(rgb) = decoder.decode()
            && rgb.len() == width * height * 3
        {
            return Ok(Pixels { width: width as u32, height: height as u32, rgb });
        }
    }
    // Everything odd goes the long way round.
    let mut reader = image::ImageReader::new(Cursor::new(&bytes)).with_guessed_format()?;
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(MOST_PIXELS * 8);
    reader.limits(limits);
    let decoded = reader.decode().map_err(bad)?;
    let (width, height) = (decoded.width(), decoded.height());
    let rgb = if decoded.color().has_alpha() { flatten(&decoded.to_rgba8()) } else { decoded.into_rgb8().into_raw() };
    Ok(Pixels { width, height, rgb })
}

/// Transparent pixels are shown on white.
fn flatten(rgba: &image::RgbaImage) -> Vec<u8> {
    rgba.pixels()
        .flat_map(|pixel| {
            let [r, g, b, a] = pixel.0.map(u32::from);
            [r, g, b].map(|channel| ((channel * a + 255 * (255 - a) + 127) / 255) as u8)
        })
        .collect()
}

fn develop_sizes(
    decoded: Pixels,
    orientation: u8,
    sizes: &[(u32, u32)],
    files: &[Developed],
    room: &mut Room,
) -> io::Result<()> {
    let mut last = decoded;
    let mut is_turned = orientation == 1;
    for ((width, height), file) in sizes.iter().zip(files) {
        // The first, widest size is made lying as stored, then turned: turning a small picture is cheap.
        let (across, down) = if is_turned || orientation < 5 { (*width, *height) } else { (*height, *width) };
        if (across, down) != (last.width, last.height) {
            last = resize(&last, across, down, &mut room.resizer)?;
        }
        if !is_turned {
            last = turn(&last, orientation);
            is_turned = true;
        }
        room.jpeg.clear();
        let mut encoder = Encoder::new(&mut room.jpeg, QUALITY);
        encoder.set_sampling_factor(SamplingFactor::F_2_2);
        let (across, down) = (last.width as u16, last.height as u16);
        encoder.encode(&last.rgb, across, down, ColorType::Rgb).map_err(bad)?;
        keep(&file.kept, &room.jpeg)?;
    }
    Ok(())
}

fn resize(from: &Pixels, width: u32, height: u32, resizer: &mut Resizer) -> io::Result<Pixels> {
    let source = ImageRef::new(from.width, from.height, &from.rgb, PixelType::U8x3).map_err(bad)?;
    let mut target = Image::new(width, height, PixelType::U8x3);
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3));
    resizer.resize(&source, &mut target, &options).map_err(bad)?;
    Ok(Pixels { width, height, rgb: target.into_vec() })
}

/// Turns and mirrors by the EXIF orientation (CIPA DC-008, table of tag 274, from memory).
fn turn(from: &Pixels, orientation: u8) -> Pixels {
    let (width, height) = (from.width as usize, from.height as usize);
    let (across, down) = if orientation >= 5 { (height, width) } else { (width, height) };
    let mut rgb = vec![0; from.rgb.len()];
    for y in 0..down {
        for x in 0..across {
            let (sx, sy) = match orientation {
                2 => (width - 1 - x, y),
                3 => (width - 1 - x, height - 1 - y),
                4 => (x, height - 1 - y),
                5 => (y, x),
                6 => (y, height - 1 - x),
                7 => (width - 1 - y, height - 1 - x),
                8 => (width - 1 - y, x),
                _ => (x, y),
            };
            let (to, at) = ((y * across + x) * 3, (sy * width + sx) * 3);
            rgb[to..to + 3].copy_from_slice(&from.rgb[at..at + 3]);
        }
    }
    Pixels { width: across as u32, height: down as u32, rgb }
}

/// Written aside and renamed, so that a killed run leaves no half photo in the cache.
fn keep(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut aside = tempfile::NamedTempFile::new_in(folder)?;
    io::Write::write_all(&mut aside, bytes)?;
    aside.persist(path).map_err(|error| error.error)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two by three pixels, numbered as stored; the first row is 1 2.
    fn numbered() -> Pixels {
        Pixels { width: 2, height: 3, rgb: (1..=6).flat_map(|n| [n; 3]).collect() }
    }

    fn turned(orientation: u8) -> (u32, u32, Vec<u8>) {
        let pixels = turn(&numbered(), orientation);
        (pixels.width, pixels.height, pixels.rgb.chunks(3).map(|pixel| pixel[0]).collect())
    }

    #[test]
    fn every_orientation_comes_out_upright() {
        assert_eq!(turned(1), (2, 3, vec![1, 2, 3, 4, 5, 6]));
        assert_eq!(turned(2), (2, 3, vec![2, 1, 4, 3, 6, 5]));
        assert_eq!(turned(3), (2, 3, vec![6, 5, 4, 3, 2, 1]));
        assert_eq!(turned(4), (2, 3, vec![5, 6, 3, 4, 1, 2]));
        assert_eq!(turned(5), (3, 2, vec![1, 3, 5, 2, 4, 6]));
        assert_eq!(turned(6), (3, 2, vec![5, 3, 1, 6, 4, 2]));
        assert_eq!(turned(7), (3, 2, vec![6, 4, 2, 5, 3, 1]));
        assert_eq!(turned(8), (3, 2, vec![2, 4, 6, 1, 3, 5]));
    }

    fn noisy_photo(folder: &Path, name: &str, width: u32, height: u32, orientation: u8) -> Photo {
        let rgb: Vec<u8> = (0..width * height * 3).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
        let mut jpeg = Vec::new();
        let mut encoder = Encoder::new(&mut jpeg, 90);
        encoder.add_app_segment(1, b"Exif\0\0GPS 38.7 N 9.1 W".to_vec()).unwrap();
        encoder.encode(&rgb, width as u16, height as u16, ColorType::Rgb).unwrap();
        let absolute = folder.join(name);
        fs::write(&absolute, &jpeg).unwrap();
        Photo {
            path: format!("photos/{name}"),
            absolute,
            bytes: jpeg.len() as u64,
            modified: (1, 0),
            header: Some((width, height, orientation)),
            date: None,
            taken: None,
            caption: None,
            of: Vec::new(),
            view: None,
            lamp: None,
            place: None,
        }
    }

    /// Markers of a JPEG up to its first scan.
    fn markers(jpeg: &[u8]) -> Vec<u8> {
        let (mut at, mut found) = (2, Vec::new());
        while at + 4 <= jpeg.len() && jpeg[at] == 0xff {
            found.push(jpeg[at + 1]);
            if jpeg[at + 1] == 0xda {
                break;
            }
            at += 2 + usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
        }
        found
    }

    #[test]
    fn published_photos_hold_nothing_but_the_picture() {
        let folder = tempfile::tempdir().unwrap();
        let photo = noisy_photo(folder.path(), "a.jpg", 900, 600, 6);
        let cache = folder.path().join("kept");
        let files = develop(&[&photo], &cache).remove(0).unwrap();
        let sizes: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
        assert_eq!(sizes, ["photos/a-600.jpg", "photos/a-400.jpg"]);
        for file in files {
            let jpeg = fs::read(&file.kept).unwrap();
            assert!(!jpeg.windows(3).any(|window| window == b"GPS"));
            // JFIF's own segment is all that may stand beside tables, frame and scan.
            assert!(
                markers(&jpeg).iter().all(|marker| [0xe0, 0xdb, 0xc0, 0xc4, 0xda].contains(marker)),
                "{:x?}",
                markers(&jpeg)
            );
            let (width, height) = image::load_from_memory(&jpeg).map(|image| (image.width(), image.height())).unwrap();
            assert!(width < height, "turned upright");
        }
    }

    #[test]
    fn a_broken_photo_is_told_and_stops_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let good = noisy_photo(folder.path(), "good.jpg", 64, 64, 1);
        let mut broken = noisy_photo(folder.path(), "broken.jpg", 64, 64, 1);
        fs::write(&broken.absolute, b"\xff\xd8 not a photo").unwrap();
        broken.bytes = 15;
        let results = develop(&[&broken, &good], &folder.path().join("kept"));
        assert!(results[0].is_err());
        assert_eq!(results[1].as_ref().unwrap().len(), 1);
    }

    #[test]
    fn a_photo_that_has_not_changed_is_not_developed_again() {
        let folder = tempfile::tempdir().unwrap();
        let photo = noisy_photo(folder.path(), "a.jpg", 500, 400, 1);
        let cache = folder.path().join("kept");
        develop(&[&photo], &cache);
        fs::remove_file(&photo.absolute).unwrap();
        assert!(develop(&[&photo], &cache)[0].is_ok());
    }
}
