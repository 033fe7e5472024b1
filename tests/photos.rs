//! Published photos, looked at from outside: upright, in the promised sizes, without metadata. Every photo is made here.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use image::metadata::Orientation;
use image::{DynamicImage, Rgb, RgbImage, Rgba, RgbaImage};
use jpeg_encoder::{ColorType, Encoder};
use polypary::read::read_folder;
use polypary::record::Photo;
use polypary::write::photos::{Developed, develop, kept_names, placeholder, placeholders, prune};

const RED: [u8; 3] = [220, 30, 30];
const GREEN: [u8; 3] = [30, 200, 30];
const BLUE: [u8; 3] = [30, 30, 220];
const WHITE: [u8; 3] = [240, 240, 240];

/// Red at the top left, green at the top right, blue and white below.
fn quarters(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| {
        Rgb(match (x < width / 2, y < height / 2) {
            (true, true) => RED,
            (false, true) => GREEN,
            (true, false) => BLUE,
            (false, false) => WHITE,
        })
    })
}

/// An EXIF segment as a phone writes it, by hand after CIPA DC-008 and TIFF 6.0: little-endian, the orientation (tag
/// 274) in the first directory, and a GPS directory (tag 34853) with latitude reference, latitude, and a text.
fn exif(orientation: u8) -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tiff: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        tiff.extend(tag.to_le_bytes());
        tiff.extend(kind.to_le_bytes());
        tiff.extend(count.to_le_bytes());
        tiff.extend(value);
    };
    tiff.extend(2u16.to_le_bytes());
    entry(&mut tiff, 274, 3, 1, [orientation, 0, 0, 0]);
    entry(&mut tiff, 34853, 4, 1, 38u32.to_le_bytes());
    tiff.extend([0; 4]);
    assert_eq!(tiff.len(), 38);
    tiff.extend(3u16.to_le_bytes());
    entry(&mut tiff, 1, 2, 2, *b"N\0\0\0");
    entry(&mut tiff, 2, 5, 3, 80u32.to_le_bytes());
    entry(&mut tiff, 27, 7, 16, 104u32.to_le_bytes());
    tiff.extend([0; 4]);
    assert_eq!(tiff.len(), 80);
    for (number, divisor) in [(38u32, 1u32), (42, 1), (1234, 100)] {
        tiff.extend(number.to_le_bytes());
        tiff.extend(divisor.to_le_bytes());
    }
    tiff.extend(b"PLANTEDLOCATION!");
    [b"Exif\0\0".to_vec(), tiff].concat()
}

/// A JPEG with everything planted that a published photo must not have.
fn jpeg_with_metadata(picture: &RgbImage, orientation: u8) -> Vec<u8> {
    let mut jpeg = Vec::new();
    let mut encoder = Encoder::new(&mut jpeg, 95);
    encoder.add_app_segment(1, exif(orientation)).unwrap();
    encoder.add_app_segment(1, b"http://ns.adobe.com/xap/1.0/\0<x>PLANTEDXMP</x>".to_vec()).unwrap();
    encoder.add_icc_profile(b"PLANTEDPROFILE").unwrap();
    encoder.add_app_segment(13, b"Photoshop 3.0\0PLANTEDPRESS".to_vec()).unwrap();
    encoder.encode(picture, picture.width() as u16, picture.height() as u16, ColorType::Rgb).unwrap();
    // A comment segment, straight after the start of the picture.
    let text = b"PLANTEDCOMMENT";
    let length = (text.len() as u16 + 2).to_be_bytes();
    [&jpeg[..2], &[0xff, 0xfe], &length, text, &jpeg[2..]].concat()
}

/// A photo of a record of its own, its header read as the program reads it.
fn photo(folder: &Path, name: &str, bytes: &[u8]) -> Photo {
    let record = folder.join(name);
    fs::create_dir_all(record.join("photos")).unwrap();
    let absolute = record.join("photos").join(name);
    fs::write(&absolute, bytes).unwrap();
    let header = read_folder(&record).unwrap().0.photos.remove(0).header;
    Photo {
        path: format!("photos/{name}"),
        absolute,
        bytes: bytes.len() as u64,
        modified: (1_700_000_000, 0),
        header: header.map(|header| (header.width, header.height, header.orientation)),
        date: None,
        taken: None,
        caption: None,
        of: Vec::new(),
        view: None,
        lamp: None,
        place: None,
        is_private: false,
    }
}

/// As [`photo`], for one whose header tells what its body does not keep.
fn photo_that_claims(folder: &Path, name: &str, bytes: &[u8], header: (u32, u32, u8)) -> Photo {
    Photo { header: Some(header), ..photo(folder, name, bytes) }
}

fn developed(photo: &Photo, folder: &Path) -> Vec<Developed> {
    develop(&[photo], &BTreeSet::new(), &folder.join("kept"), &|| {}).remove(0).unwrap()
}

fn published(photo: &Photo, folder: &Path) -> Vec<(String, RgbImage)> {
    developed(photo, folder).into_iter().map(|file| (file.path, image::open(&file.kept).unwrap().into_rgb8())).collect()
}

fn assert_like(found: &RgbImage, (x, y): (u32, u32), wanted: [u8; 3], what: &str) {
    let found = found.get_pixel(x, y).0;
    let is_like = found.iter().zip(wanted).all(|(found, wanted)| found.abs_diff(wanted) <= 8);
    assert!(is_like, "{what}: {found:?} at {x} {y}, wanted {wanted:?}");
}

fn png(picture: impl Into<DynamicImage>) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.into().write_to(&mut bytes, image::ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// The segments of a JPEG (ITU-T T.81, annex B): marker and content, up to the end of the picture.
fn segments(jpeg: &[u8]) -> Vec<(u8, Vec<u8>)> {
    assert_eq!(jpeg[..2], [0xff, 0xd8], "start of image");
    let (mut at, mut found) = (2, Vec::new());
    loop {
        assert_eq!(jpeg[at], 0xff, "a marker at {at}");
        let marker = jpeg[at + 1];
        if marker == 0xd9 {
            assert_eq!(at + 2, jpeg.len(), "nothing after the end of the picture");
            return found;
        }
        let length = usize::from(u16::from_be_bytes([jpeg[at + 2], jpeg[at + 3]]));
        found.push((marker, jpeg[at + 4..at + 2 + length].to_vec()));
        at += 2 + length;
        if marker == 0xda {
            // Coded data runs on to the next marker that is neither a stuffed byte nor a restart.
            while jpeg[at] != 0xff || jpeg[at + 1] == 0 || (0xd0..=0xd7).contains(&jpeg[at + 1]) {
                at += 1;
            }
        }
    }
}

#[test]
fn every_orientation_is_published_upright() {
    let folder = tempfile::tempdir().unwrap();
    for (width, height) in [(1700, 400), (120, 80)] {
        for orientation in 1..=8u8 {
            // What lies stored is the upright picture, turned back: four quarter turns or two mirrorings are none.
            let back = match orientation {
                6 => 8,
                8 => 6,
                other => other,
            };
            let mut stored = DynamicImage::from(quarters(width, height));
            stored.apply_orientation(Orientation::from_exif(back).unwrap());
            let bytes = jpeg_with_metadata(&stored.into_rgb8(), orientation);
            let photo = photo(folder.path(), &format!("{width}-{orientation}.jpg"), &bytes);
            assert_eq!(photo.header.unwrap().2, orientation);
            for (path, picture) in published(&photo, folder.path()) {
                let (across, down) = picture.dimensions();
                let what = format!("orientation {orientation}, {path}");
                assert!(across > down, "{what}: {across} × {down}");
                let (left, right, top, bottom) = (across / 8, across * 7 / 8, down / 8, down * 7 / 8);
                assert_like(&picture, (left, top), RED, &what);
                assert_like(&picture, (right, top), GREEN, &what);
                assert_like(&picture, (left, bottom), BLUE, &what);
                assert_like(&picture, (right, bottom), WHITE, &what);
            }
        }
    }
}

/// Widths and heights, widest first.
type Sizes = &'static [(u32, u32)];

#[test]
fn sizes_are_those_promised_and_none_is_enlarged() {
    let folder = tempfile::tempdir().unwrap();
    let cases: [(u32, u32, u8, Sizes); 7] = [
        (2000, 1500, 1, &[(1600, 1200), (800, 600), (400, 300)]),
        (2000, 1500, 6, &[(1500, 2000), (800, 1067), (400, 533)]),
        (1600, 900, 1, &[(1600, 900), (800, 450), (400, 225)]),
        (801, 3, 1, &[(801, 3), (800, 3), (400, 1)]),
        (399, 500, 1, &[(399, 500)]),
        (500, 399, 8, &[(399, 500)]),
        (1, 1, 1, &[(1, 1)]),
    ];
    for (width, height, orientation, wanted) in cases {
        let bytes = jpeg_with_metadata(&quarters(width, height), orientation);
        let photo = photo(folder.path(), &format!("{width}-{height}-{orientation}.jpg"), &bytes);
        let found = published(&photo, folder.path());
        let sizes: Vec<_> = found.iter().map(|(_, picture)| picture.dimensions()).collect();
        assert_eq!(sizes, wanted, "{width} × {height}, orientation {orientation}");
        for ((path, _), (across, _)) in found.iter().zip(wanted) {
            assert_eq!(*path, format!("photos/{width}-{height}-{orientation}-{across}.jpg"));
        }
    }
}

#[test]
fn published_photos_hold_tables_and_picture_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let planted = jpeg_with_metadata(&quarters(900, 600), 3);
    // The checks below see what is planted when it is there.
    assert_eq!(planted.windows(7).filter(|window| *window == b"PLANTED").count(), 5);
    let markers: Vec<u8> = segments(&planted).into_iter().map(|(marker, _)| marker).collect();
    for marker in [0xe1, 0xe2, 0xed, 0xfe] {
        assert!(markers.contains(&marker), "{marker:x}");
    }
    let photo = photo(folder.path(), "a.jpg", &planted);
    let files = developed(&photo, folder.path());
    assert_eq!(files.len(), 3);
    for file in files {
        let jpeg = fs::read(&file.kept).unwrap();
        assert!(!jpeg.windows(7).any(|window| window == b"PLANTED"));
        assert!(!jpeg.windows(4).any(|window| window == b"Exif"));
        for (marker, content) in segments(&jpeg) {
            match marker {
                // JFIF's own header (ITU-T T.871), without a thumbnail.
                0xe0 => assert!(content.len() == 14 && content.starts_with(b"JFIF\0") && content.ends_with(&[0, 0])),
                // Quantisation, Huffman and restart tables, frame, scan.
                0xdb | 0xc4 | 0xdd | 0xc0 | 0xda => {}
                other => panic!("{}: segment {other:x}", file.path),
            }
        }
    }
}

#[test]
fn colours_come_through_every_kind_of_file() {
    let folder = tempfile::tempdir().unwrap();
    let picture = quarters(420, 280);
    let corners = |name: &str, bytes: &[u8], wanted: [[u8; 3]; 4]| {
        for (path, found) in published(&photo(folder.path(), name, bytes), folder.path()) {
            let (across, down) = found.dimensions();
            let (left, right, top, bottom) = (across / 8, across * 7 / 8, down / 8, down * 7 / 8);
            for (place, wanted) in [(left, top), (right, top), (left, bottom), (right, bottom)].into_iter().zip(wanted)
            {
                assert_like(&found, place, wanted, &path);
            }
        }
    };
    let jpeg = |kind: ColorType, data: &[u8], is_progressive: bool| {
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, 95);
        encoder.set_progressive(is_progressive);
        encoder.encode(data, 420, 280, kind).unwrap();
        bytes
    };
    let all = [RED, GREEN, BLUE, WHITE];
    corners("progressive.jpg", &jpeg(ColorType::Rgb, &picture, true), all);
    corners("plain.jpeg", &jpeg(ColorType::Rgb, &picture, false), all);
    corners("plain.png", &png(picture.clone()), all);
    corners("deep.png", &png(DynamicImage::from(picture.clone()).into_rgb16()), all);
    let mut webp = std::io::Cursor::new(Vec::new());
    DynamicImage::from(picture.clone()).write_to(&mut webp, image::ImageFormat::WebP).unwrap();
    corners("plain.webp", &webp.into_inner(), all);

    // Four inks, as print shops send them: stored inverted, as the encoder and every reader expect of Adobe's files.
    let inks: Vec<u8> = picture.pixels().flat_map(|Rgb([r, g, b])| [255 - r, 255 - g, 255 - b, 0]).collect();
    corners("inks.jpg", &jpeg(ColorType::Cmyk, &inks, false), all);
    corners("inks-coded.jpg", &jpeg(ColorType::CmykAsYcck, &inks, false), all);

    let grey: Vec<u8> =
        (0..280u32).flat_map(|y| (0..420u32).map(move |x| if x < 210 && y < 140 { 40 } else { 200 })).collect();
    let greys = [[40; 3], [200; 3], [200; 3], [200; 3]];
    corners("grey.jpg", &jpeg(ColorType::Luma, &grey, false), greys);
    corners("grey.png", &png(image::GrayImage::from_raw(420, 280, grey).unwrap()), greys);

    // A quarter that cannot be seen, whatever colour it hides, is white; half seen is half way to white.
    let alpha = RgbaImage::from_fn(420, 280, |x, y| {
        let Rgb([r, g, b]) = *picture.get_pixel(x, y);
        Rgba([r, g, b, if x < 210 { if y < 140 { 0 } else { 128 } } else { 255 }])
    });
    corners("alpha.png", &png(alpha), [[255; 3], GREEN, [142, 142, 237], WHITE]);
}

#[test]
fn what_cannot_be_developed_is_told_and_stops_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let whole = jpeg_with_metadata(&quarters(300, 200), 1);
    let good = photo(folder, "good.jpg", &whole);
    let size = (300, 200, 1);
    let no_picture = photo_that_claims(folder, "no-picture.jpg", b"\xff\xd8 not a photo", size);
    let empty = photo_that_claims(folder, "empty.jpg", b"", size);
    let text = photo_that_claims(folder, "text.png", b"a text that was named wrongly", size);
    let cut_png = png(quarters(300, 200));
    let cut = photo_that_claims(folder, "cut.png", &cut_png[..cut_png.len() / 2], size);
    let other_size = photo_that_claims(folder, "other-size.jpg", &whole, (400, 200, 1));
    let huge = photo_that_claims(folder, "huge.jpg", &whole, (65_000, 65_000, 1));
    let mut gone = photo(folder, "gone.jpg", &whole);
    gone.absolute = folder.join("no such file.jpg");
    let same_name = photo(folder, "go od.jpg", &whole);
    let same_name_again = photo(folder, "go-od.jpg", &whole);

    let bad = [&no_picture, &empty, &text, &cut, &other_size, &huge, &gone];
    let mut all = vec![&good];
    all.extend(bad);
    all.extend([&same_name, &same_name_again]);
    let results = develop(&all, &BTreeSet::new(), &folder.join("kept"), &|| {});
    assert_eq!(results[0].as_ref().unwrap().len(), 1);
    for (photo, result) in bad.iter().zip(&results[1..]) {
        let (path, why) = result.as_ref().unwrap_err();
        assert_eq!(*path, photo.path);
        assert!(!why.is_empty());
    }
    assert!(results[6].as_ref().unwrap_err().1.contains("65000 × 65000"));
    assert!(results[8].is_ok());
    assert!(results[9].as_ref().unwrap_err().1.contains("photos/go od.jpg"));
    // What was refused left nothing in the cache.
    assert_eq!(fs::read_dir(folder.join("kept")).unwrap().count(), 2);
    // A photo that is gone from the record leaves the cache, the other stays.
    prune(&folder.join("kept"), &kept_names([&good].into_iter())).unwrap();
    let left: Vec<_> = fs::read_dir(folder.join("kept")).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(left, [results[0].as_ref().unwrap()[0].kept.clone()]);
    prune(&folder.join("no cache yet"), &kept_names([&good].into_iter())).unwrap();
}

#[test]
fn damaged_photos_never_panic() {
    let folder = tempfile::tempdir().unwrap();
    let whole = jpeg_with_metadata(&quarters(64, 48), 6);
    let mut photos = Vec::new();
    for at in (0..whole.len()).step_by(7) {
        let mut bytes = whole.clone();
        bytes[at] ^= 0x5a;
        photos.push(photo_that_claims(folder.path(), &format!("flipped-{at}.jpg"), &bytes, (64, 48, 6)));
        photos.push(photo_that_claims(folder.path(), &format!("cut-{at}.jpg"), &whole[..at], (64, 48, 6)));
    }
    let photos: Vec<&Photo> = photos.iter().collect();
    let results = develop(&photos, &BTreeSet::new(), &folder.path().join("kept"), &|| {});
    assert_eq!(results.len(), photos.len());
    // Cut within its header, a photo gives nothing; flipped in what is not read, it gives its picture.
    assert!(results[1].is_err());
    for file in results.into_iter().flatten().flatten() {
        assert_eq!(image::open(&file.kept).unwrap().into_rgb8().dimensions(), (48, 64));
    }
}

#[test]
fn a_placeholder_has_the_names_and_sizes_of_the_photo() {
    let folder = tempfile::tempdir().unwrap();
    let lost = photo_that_claims(folder.path(), "lost.jpg", b"", (1000, 2000, 8));
    let files = placeholders(&lost, &BTreeSet::new()).unwrap();
    let sizes: Vec<_> = files
        .iter()
        .map(|(path, jpeg)| (path.as_str(), image::load_from_memory(jpeg).unwrap().into_rgb8().dimensions()))
        .collect();
    let wanted = [
        ("photos/lost-1600.jpg", (1600, 800)),
        ("photos/lost-800.jpg", (800, 400)),
        ("photos/lost-400.jpg", (400, 200)),
    ];
    assert_eq!(sizes, wanted);
    let grey = image::load_from_memory(&placeholder(30, 20).unwrap()).unwrap().into_rgb8();
    assert_eq!(grey.dimensions(), (30, 20));
    assert_like(&grey, (29, 19), [0xbb; 3], "placeholder");
    assert!(placeholders(&Photo { header: None, ..lost }, &BTreeSet::new()).unwrap().is_empty());
}

#[test]
fn one_thread_and_two_give_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let photos: Vec<Photo> = (1..=8u8)
        .map(|n| {
            let picture = RgbImage::from_fn(900 + 100 * u32::from(n), 700, |x, y| {
                let hash = (x * 31 + y * 17 + u32::from(n)).wrapping_mul(2_654_435_761);
                Rgb([(x / 4) as u8, (y / 3) as u8, (hash >> 24) as u8])
            });
            photo(folder.path(), &format!("{n}.jpg"), &jpeg_with_metadata(&picture, n))
        })
        .collect();
    let photos: Vec<&Photo> = photos.iter().collect();
    let run = |threads: usize| {
        let cache = folder.path().join(format!("kept-{threads}"));
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let results = pool.install(|| develop(&photos, &BTreeSet::new(), &cache, &|| {}));
        let files = results.into_iter().flat_map(Result::unwrap);
        files.map(|file| (file.path, fs::read(file.kept).unwrap())).collect::<Vec<_>>()
    };
    let one = run(1);
    // Lying on their sides, the second four are 700 wide and have no size of 800.
    assert_eq!(one.len(), 4 * 3 + 4 * 2);
    assert!(one == run(2));
}

#[test]
fn a_photo_is_developed_again_only_when_it_changed() {
    let folder = tempfile::tempdir().unwrap();
    let bytes = jpeg_with_metadata(&quarters(500, 400), 1);
    let mut photo = photo(folder.path(), "a.jpg", &bytes);
    let first = developed(&photo, folder.path());
    fs::remove_file(&photo.absolute).unwrap();
    assert_eq!(developed(&photo, folder.path()), first, "taken from the cache");
    photo.modified.1 += 1;
    assert!(develop(&[&photo], &BTreeSet::new(), &folder.path().join("kept"), &|| {})[0].is_err(), "changed, and gone");
    fs::write(&photo.absolute, &bytes).unwrap();
    let second = developed(&photo, folder.path());
    assert_eq!(second[0].path, first[0].path);
    assert_ne!(second[0].kept, first[0].kept);
    assert_eq!(fs::read(&second[0].kept).unwrap(), fs::read(&first[0].kept).unwrap());
}

#[cfg(unix)]
#[test]
fn published_photos_are_as_open_as_any_other_file() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let photo = photo(folder.path(), "a.jpg", &jpeg_with_metadata(&quarters(50, 40), 1));
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode();
    let kept = developed(&photo, folder.path()).remove(0).kept;
    assert_eq!(mode(&kept), mode(&photo.absolute));
}
