//! Photos as they are published: upright, in a few widths, without any metadata. Nothing here knows of pages.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io::{self, Cursor};
use std::path::{Path, PathBuf};

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use image::ImageDecoder;
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use rayon::prelude::*;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;

use crate::pages::journal::{preview_of, published_sizes, published_stem, upright};
use crate::record::Photo;

mod preview;

/// Raised whenever photos would come out differently, so that none is taken from the cache of an older version.
const SETTINGS: &str = "1600 800 400, Lanczos3 cascade, q80 4:2:0, v2";

const QUALITY: u8 = 80;

/// What stands in the place of a width in the name of a preview. A number of its own, raised when it would be cut differently.
const PREVIEW: &str = "share-1";

/// Few cameras make more pixels than this; a file that says so is not decoded.
const MOST_PIXELS: u64 = 200_000_000;

/// A file longer than this is not even read.
const MOST_BYTES: u64 = 500_000_000;

/// What a worker may keep between photos: the pixels of a photo of about 20 million.
const MOST_KEPT: usize = 64_000_000;

/// One published file: where it goes in the edition, and where it lies developed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Developed {
    pub path: String,
    pub kept: PathBuf,
}

/// Develops every readable photo that is not yet in the cache, and cuts those into a preview whose `-share.jpg` is among
/// `previews`. The results come in the order of the photos; for one that cannot be published, its path and why.
/// [`placeholders`] gives what may stand in its place. `each` is called once for
/// every photo, when it is done.
pub fn develop(
    photos: &[&Photo],
    previews: &BTreeSet<String>,
    cache: &Path,
    each: &(dyn Fn() + Sync),
) -> Vec<Result<Vec<Developed>, (String, String)>> {
    let mut owners: BTreeMap<String, &str> = BTreeMap::new();
    for photo in photos {
        owners.entry(published_stem(&photo.path)).or_insert(&photo.path);
    }
    photos
        .par_iter()
        .map(|photo| {
            let owner = owners[&published_stem(&photo.path)];
            if owner != photo.path {
                let why = format!("it would be published under the same name as `{owner}`");
                return Err((photo.path.clone(), why));
            }
            let developed = one(photo, previews, cache).map_err(|why| (photo.path.clone(), why.to_string()));
            each();
            developed
        })
        .collect()
}

/// Plain grey pictures under the names and in the sizes that pages expect of a photo, for one that cannot be
/// developed. None for a photo whose size is unknown, since no page shows it.
///
/// # Errors
/// When the encoder refuses.
pub fn placeholders(photo: &Photo, previews: &BTreeSet<String>) -> io::Result<Vec<(String, Vec<u8>)>> {
    let Some((width, height, orientation)) = photo.header else {
        return Ok(Vec::new());
    };
    let (width, height) = upright(width, height, orientation);
    let stem = published_stem(&photo.path);
    let mut files: Vec<(String, (u32, u32))> = published_sizes(width, height)
        .into_iter()
        .map(|(width, height)| (format!("{stem}-{width}.jpg"), (width, height)))
        .collect();
    files.extend(previews.get(&preview_path(&stem)).map(|path| (path.clone(), preview_of(width, height))));
    files.into_iter().map(|(path, (width, height))| Ok((path, placeholder(width, height)?))).collect()
}

/// A plain grey picture. A side longer than a JPEG can be is cut.
///
/// # Errors
/// When the encoder refuses.
pub fn placeholder(width: u32, height: u32) -> io::Result<Vec<u8>> {
    let (width, height) = (width.clamp(1, 65_535), height.clamp(1, 65_535));
    let grey = Pixels { width, height, layout: Layout::Grey, bytes: vec![0xbb; (width * height) as usize] };
    let mut jpeg = Vec::new();
    encode(&grey, &mut jpeg)?;
    Ok(jpeg)
}

/// Where the preview of a photo lies in an edition.
fn preview_path(stem: &str) -> String {
    format!("{stem}-share.jpg")
}

fn one(photo: &Photo, previews: &BTreeSet<String>, cache: &Path) -> io::Result<Vec<Developed>> {
    let Some((width, height, orientation)) = photo.header else {
        return Ok(Vec::new());
    };
    let sizes = {
        let (width, height) = upright(width, height, orientation);
        published_sizes(width, height)
    };
    let stem = published_stem(&photo.path);
    let mut files: Vec<Developed> = sizes
        .iter()
        .map(|(width, _)| Developed {
            path: format!("{stem}-{width}.jpg"),
            kept: cache.join(kept_name(&key_of(photo), width)),
        })
        .collect();
    files.extend(
        previews
            .get(&preview_path(&stem))
            .map(|path| Developed { path: path.clone(), kept: cache.join(kept_name(&key_of(photo), &PREVIEW)) }),
    );
    if files.iter().all(|file| file.kept.is_file()) {
        return Ok(files);
    }
    if u64::from(width) * u64::from(height) > MOST_PIXELS || photo.bytes > MOST_BYTES {
        return Err(bad(format!("{width} × {height} pixels in {} bytes are too many", photo.bytes)));
    }
    fs::create_dir_all(cache)?;
    ROOM.with_borrow_mut(|room| {
        let developed = decode(&photo.absolute, (width, height), &mut room.full)
            .and_then(|()| develop_sizes(orientation, &sizes, &files, room));
        room.tidy();
        developed
    })?;
    Ok(files)
}

/// A photo is the same while its path, size and time of change are.
fn key_of(photo: &Photo) -> String {
    let text = format!("{SETTINGS}|{}|{}|{:?}", photo.path, photo.bytes, photo.modified);
    blake3::hash(text.as_bytes()).to_hex()[..32].to_string()
}

/// `which` is the width, or [`PREVIEW`].
fn kept_name(key: &str, which: &dyn std::fmt::Display) -> String {
    format!("{key}-{which}.jpg")
}

/// Names in the cache of all that is developed from these photos.
pub fn kept_names<'a>(photos: impl Iterator<Item = &'a Photo>) -> BTreeSet<String> {
    photos
        .filter_map(|photo| Some((key_of(photo), photo.header?)))
        .flat_map(|(key, (width, height, orientation))| {
            let (width, height) = upright(width, height, orientation);
            let preview = [kept_name(&key, &PREVIEW)];
            published_sizes(width, height).into_iter().map(move |(width, _)| kept_name(&key, &width)).chain(preview)
        })
        .collect()
}

/// Takes out of the cache what no photo of the record uses any more: photos that were taken away or changed.
///
/// # Errors
/// When the system refuses.
pub fn prune(cache: &Path, in_use: &BTreeSet<String>) -> io::Result<()> {
    if !cache.is_dir() {
        return Ok(());
    }
    for entry in fs::read_dir(cache)? {
        let entry = entry?;
        if !in_use.contains(entry.file_name().to_string_lossy().as_ref()) && entry.file_type()?.is_file() {
            fs::remove_file(entry.path())?;
        }
    }
    Ok(())
}

/// What a worker keeps between photos: asking for memory anew for each costs a sixth of the time, in page faults.
#[derive(Default)]
struct Room {
    resizer: Resizer,
    full: Pixels,
    last: Pixels,
    spare: Pixels,
    jpeg: Vec<u8>,
}

impl Room {
    /// Gives back what an uncommonly large photo took.
    fn tidy(&mut self) {
        for pixels in [&mut self.full, &mut self.last, &mut self.spare] {
            if pixels.bytes.capacity() > MOST_KEPT {
                *pixels = Pixels::default();
            }
        }
    }
}

thread_local! {
    static ROOM: RefCell<Room> = RefCell::default();
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Layout {
    Grey,
    /// As most JPEGs hold it. Sizing does not care, so it is left as it is, and two conversions are saved.
    Ycbcr,
    #[default]
    Rgb,
}

impl Layout {
    fn channels(self) -> usize {
        if self == Layout::Grey { 1 } else { 3 }
    }

    fn pixel_type(self) -> PixelType {
        if self == Layout::Grey { PixelType::U8 } else { PixelType::U8x3 }
    }
}

#[derive(Default)]
struct Pixels {
    width: u32,
    height: u32,
    layout: Layout,
    bytes: Vec<u8>,
}

impl Pixels {
    fn shape(&mut self, width: u32, height: u32, layout: Layout) {
        (self.width, self.height, self.layout) = (width, height, layout);
        self.bytes.resize(width as usize * height as usize * layout.channels(), 0);
    }
}

fn bad(error: impl std::fmt::Display) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, error.to_string())
}

/// Decodes a photo of the size that its header gave when the record was read.
fn decode(path: &Path, size: (u32, u32), into: &mut Pixels) -> io::Result<()> {
    let bytes = fs::read(path)?;
    if bytes.starts_with(&[0xff, 0xd8]) {
        // Decoders fill what a half-copied file lacks with grey, unless they are told to be strict.
        let whole = has_its_end(&bytes);
        if decode_jpeg(&bytes, size, !whole, into).is_ok() {
            return Ok(());
        }
        if !whole {
            return Err(bad("it breaks off: copy it again from where it came"));
        }
    }
    // Everything odd goes the long way round.
    let mut reader = image::ImageReader::new(Cursor::new(&bytes)).with_guessed_format()?;
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(MOST_PIXELS * 8);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(bad)?;
    same_size(decoder.dimensions(), size)?;
    let decoded = image::DynamicImage::from_decoder(decoder).map_err(bad)?;
    into.bytes =
        if decoded.color().has_alpha() { flatten(&decoded.to_rgba8()) } else { decoded.into_rgb8().into_raw() };
    (into.width, into.height, into.layout) = (size.0, size.1, Layout::Rgb);
    Ok(())
}

fn same_size(found: (u32, u32), told: (u32, u32)) -> io::Result<()> {
    if found == told { Ok(()) } else { Err(bad("it changed while the record was read")) }
}

/// Whether a marker ends the picture (ITU-T T.81, B.2.1). Headers before it may hold a small picture with an end of its own;
/// what follows it, such as a film, is not looked at.
fn has_its_end(jpeg: &[u8]) -> bool {
    let mut at = 2;
    // Every header begins with a marker and its length (B.1.1.4); after that of a scan come the pixels.
    while let [0xff, kind, high, low, ..] = jpeg[at.min(jpeg.len())..] {
        if kind == 0xff {
            // Any number of these may stand before a marker (B.1.1.2).
            at += 1;
            continue;
        }
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
        if kind == 0xda {
            return jpeg.get(at..).is_some_and(|scan| scan.windows(2).rev().any(|pair| pair == [0xff, 0xd9]));
        }
    }
    false
}

/// The common road. What is neither grey, YCbCr nor RGB is refused.
fn decode_jpeg(bytes: &[u8], size: (u32, u32), strict: bool, into: &mut Pixels) -> io::Result<()> {
    let options = DecoderOptions::default().set_max_width(65_535).set_max_height(65_535).set_strict_mode(strict);
    let mut decoder = JpegDecoder::new_with_options(Cursor::new(bytes), options);
    decoder.decode_headers().map_err(bad)?;
    let (width, height) = decoder.dimensions().ok_or_else(|| bad("no size"))?;
    same_size((width as u32, height as u32), size)?;
    let (colours, layout) = match decoder.input_colorspace() {
        Some(ColorSpace::YCbCr) => (ColorSpace::YCbCr, Layout::Ycbcr),
        Some(ColorSpace::Luma) => (ColorSpace::Luma, Layout::Grey),
        Some(ColorSpace::RGB) => (ColorSpace::RGB, Layout::Rgb),
        other => return Err(bad(format!("colours {other:?}"))),
    };
    decoder.set_options(options.jpeg_set_out_colorspace(colours));
    into.shape(size.0, size.1, layout);
    if decoder.output_buffer_size() != Some(into.bytes.len()) {
        return Err(bad("an unforeseen number of channels"));
    }
    decoder.decode_into(&mut into.bytes).map_err(bad)
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

fn develop_sizes(orientation: u8, sizes: &[(u32, u32)], files: &[Developed], room: &mut Room) -> io::Result<()> {
    std::mem::swap(&mut room.full, &mut room.last);
    for (index, ((width, height), file)) in sizes.iter().zip(files).enumerate() {
        // The first, widest size is made lying as stored, then turned: turning a small picture is cheap.
        let is_lying = index == 0 && orientation >= 5;
        let (across, down) = if is_lying { (*height, *width) } else { (*width, *height) };
        if (across, down) != (room.last.width, room.last.height) {
            resize(&room.last, across, down, &mut room.spare, &mut room.resizer)?;
            std::mem::swap(&mut room.last, &mut room.spare);
            if index == 0 {
                // The large buffer goes back to its place, to be decoded into again.
                std::mem::swap(&mut room.full, &mut room.spare);
            }
        }
        if index == 0 && orientation != 1 {
            turn(&room.last, orientation, &mut room.spare);
            std::mem::swap(&mut room.last, &mut room.spare);
        }
        room.jpeg.clear();
        encode(&room.last, &mut room.jpeg)?;
        keep(&file.kept, &room.jpeg)?;
        if let Some(preview) = files.get(sizes.len()).filter(|_| index == 0) {
            let size = preview_of(room.last.width, room.last.height);
            preview::cut(&room.last, size, &mut room.spare, &mut room.resizer)?;
            room.jpeg.clear();
            encode(&room.spare, &mut room.jpeg)?;
            keep(&preview.kept, &room.jpeg)?;
        }
    }
    Ok(())
}

fn resize(from: &Pixels, width: u32, height: u32, into: &mut Pixels, resizer: &mut Resizer) -> io::Result<()> {
    let pixel_type = from.layout.pixel_type();
    into.shape(width, height, from.layout);
    let source = ImageRef::new(from.width, from.height, &from.bytes, pixel_type).map_err(bad)?;
    let mut target = Image::from_slice_u8(width, height, &mut into.bytes, pixel_type).map_err(bad)?;
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3));
    resizer.resize(&source, &mut target, &options).map_err(bad)
}

/// Writes the picture and the tables it needs, nothing else.
fn encode(pixels: &Pixels, into: &mut Vec<u8>) -> io::Result<()> {
    let side = |length: u32| u16::try_from(length).map_err(|_| bad(format!("{length} pixels on a side are too many")));
    let (across, down) = (side(pixels.width)?, side(pixels.height)?);
    let colours = match pixels.layout {
        Layout::Grey => ColorType::Luma,
        Layout::Ycbcr => ColorType::Ycbcr,
        Layout::Rgb => ColorType::Rgb,
    };
    let mut encoder = Encoder::new(into, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_2_2);
    encoder.encode(&pixels.bytes, across, down, colours).map_err(bad)
}

/// Turns and mirrors by the EXIF orientation (CIPA DC-008, table of tag 274, from memory).
fn turn(from: &Pixels, orientation: u8, into: &mut Pixels) {
    let (width, height) = (from.width as usize, from.height as usize);
    let (across, down) = if orientation >= 5 { (height, width) } else { (width, height) };
    into.shape(across as u32, down as u32, from.layout);
    let channels = from.layout.channels();
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
            let (to, at) = ((y * across + x) * channels, (sy * width + sx) * channels);
            into.bytes[to..to + channels].copy_from_slice(&from.bytes[at..at + channels]);
        }
    }
}

/// Written aside and renamed, so that a killed run leaves no half photo in the cache.
fn keep(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".new-");
    #[cfg(unix)]
    let everybody = {
        // Temporary files are closed to others; a published photo is as open as any file that is written here.
        use std::os::unix::fs::PermissionsExt;
        fs::Permissions::from_mode(0o666)
    };
    #[cfg(unix)]
    builder.permissions(everybody);
    let mut aside = builder.tempfile_in(folder)?;
    io::Write::write_all(&mut aside, bytes)?;
    aside.persist(path).map_err(|error| error.error)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two by three pixels, numbered as stored; the first row is 1 2.
    fn turned(orientation: u8) -> (u32, u32, Vec<u8>) {
        let bytes = (1..=6).flat_map(|n| [n; 3]).collect();
        let numbered = Pixels { width: 2, height: 3, layout: Layout::Rgb, bytes };
        let mut pixels = Pixels::default();
        turn(&numbered, orientation, &mut pixels);
        (pixels.width, pixels.height, pixels.bytes.chunks(3).map(|pixel| pixel[0]).collect())
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

    #[test]
    fn transparent_pixels_lie_on_white() {
        let rgba = image::RgbaImage::from_raw(3, 1, vec![10, 20, 30, 255, 0, 0, 0, 0, 0, 100, 200, 128]).unwrap();
        assert_eq!(flatten(&rgba), [10, 20, 30, 255, 255, 255, 127, 177, 227]);
    }

    #[test]
    fn a_side_longer_than_a_jpeg_can_be_is_refused() {
        let pixels = Pixels { width: 1, height: 70_000, layout: Layout::Grey, bytes: vec![0; 70_000] };
        assert!(encode(&pixels, &mut Vec::new()).is_err());
    }
}
