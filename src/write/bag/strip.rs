//! Pictures without what the camera wrote about them: places, times, devices, previews. The picture itself is not
//! touched: its compressed bytes stay as they are.

/// A picture without its metadata, or why it cannot be told apart from it. Which way is up stays, since the picture
/// would lie on its side otherwise; so do the colour profile and the density of pixels.
///
/// # Errors
/// For what is no JPEG, PNG or WebP, or is broken.
pub fn strip(bytes: &[u8], orientation: u8) -> Result<Vec<u8>, &'static str> {
    let pieces = pieces(bytes)?;
    let mut kept = Vec::with_capacity(bytes.len());
    match pieces.kind {
        Kind::Jpeg => {
            for (number, piece) in pieces.all.iter().enumerate() {
                if piece.stays {
                    kept.extend_from_slice(piece.bytes);
                }
                // After the start of the image, or after the header of JFIF, which has to come first.
                let next_is_jfif = pieces.all.get(number + 1).is_some_and(|next| next.name == "APP0");
                if orientation > 1 && !next_is_jfif && (number == 0 || (number == 1 && piece.name == "APP0")) {
                    kept.extend_from_slice(&upright(orientation));
                }
            }
        }
        Kind::Png => {
            pieces.all.iter().filter(|piece| piece.stays).for_each(|piece| kept.extend_from_slice(piece.bytes))
        }
        Kind::WebP => {
            kept.extend_from_slice(b"RIFF\0\0\0\0WEBP");
            for piece in pieces.all.iter().filter(|piece| piece.stays) {
                let start = kept.len();
                kept.extend_from_slice(piece.bytes);
                if piece.name == "VP8X" && kept.len() > start + 8 {
                    // The flags that tell of EXIF and XMP (WebP container specification, from memory).
                    kept[start + 8] &= !(0x08 | 0x04);
                }
            }
            let size = (kept.len() as u32 - 8).to_le_bytes();
            kept[4..8].copy_from_slice(&size);
        }
    }
    Ok(kept)
}

/// Names of the pieces of a picture that are metadata; none after [`strip`].
///
/// # Errors
/// For what is no JPEG, PNG or WebP, or is broken.
pub fn metadata(bytes: &[u8]) -> Result<Vec<String>, &'static str> {
    let found = pieces(bytes)?;
    Ok(found
        .all
        .into_iter()
        .filter(|piece| !piece.stays && !is_only_upright(piece.bytes))
        .map(|piece| piece.name)
        .collect())
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Jpeg,
    Png,
    WebP,
}

struct Piece<'a> {
    name: String,
    bytes: &'a [u8],
    stays: bool,
}

struct Pieces<'a> {
    kind: Kind,
    all: Vec<Piece<'a>>,
}

fn pieces(bytes: &[u8]) -> Result<Pieces<'_>, &'static str> {
    if bytes.starts_with(&[0xff, 0xd8]) {
        jpeg(bytes)
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        png(bytes)
    } else if bytes.len() > 12 && bytes.starts_with(b"RIFF") && &bytes[8..12] == b"WEBP" {
        webp(bytes)
    } else {
        Err("it is no JPEG, PNG or WebP")
    }
}

/// Segments of a JPEG (ITU-T T.81, annex B). What comes after the end of the image, as a second picture or a clip of
/// film, goes.
fn jpeg(bytes: &[u8]) -> Result<Pieces<'_>, &'static str> {
    const BROKEN: &str = "it ends within a segment";
    let mut all = vec![Piece { name: "SOI".into(), bytes: &bytes[..2], stays: true }];
    let mut at = 2;
    loop {
        let start = at;
        if *bytes.get(at).ok_or(BROKEN)? != 0xff {
            return Err("a segment does not begin with a marker");
        }
        // Any number of fill bytes may come before a marker.
        while *bytes.get(at + 1).ok_or(BROKEN)? == 0xff {
            at += 1;
        }
        let marker = bytes[at + 1];
        if marker == 0xd9 {
            all.push(Piece { name: "EOI".into(), bytes: &bytes[at..at + 2], stays: true });
            if at + 2 < bytes.len() {
                all.push(Piece { name: "what follows the picture".into(), bytes: &bytes[at + 2..], stays: false });
            }
            return Ok(Pieces { kind: Kind::Jpeg, all });
        }
        let length =
            usize::from(u16::from_be_bytes([*bytes.get(at + 2).ok_or(BROKEN)?, *bytes.get(at + 3).ok_or(BROKEN)?]));
        let mut end = at + 2 + length;
        if length < 2 || end > bytes.len() {
            return Err(BROKEN);
        }
        let body = &bytes[at + 4..end];
        if marker == 0xda {
            // The compressed picture runs to the next marker that is neither stuffing nor a restart.
            while *bytes.get(end).ok_or(BROKEN)? != 0xff
                || matches!(*bytes.get(end + 1).ok_or(BROKEN)?, 0x00 | 0xd0..=0xd7)
            {
                end += 1;
            }
        }
        let (name, stays) = match marker {
            0xe0 => ("APP0".to_string(), body.starts_with(b"JFIF\0")),
            0xe2 => ("APP2".to_string(), body.starts_with(b"ICC_PROFILE\0")),
            0xee => ("APP14".to_string(), body.starts_with(b"Adobe")),
            0xe1..=0xef => (format!("APP{}", marker - 0xe0), false),
            0xfe => ("COM".to_string(), false),
            _ => (format!("{marker:02X}"), true),
        };
        all.push(Piece { name, bytes: &bytes[start..end], stays });
        at = end;
    }
}

/// Chunks of a PNG (PNG specification, third edition, 5.3).
fn png(bytes: &[u8]) -> Result<Pieces<'_>, &'static str> {
    const STAYS: &[&[u8; 4]] = &[
        b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"bKGD", b"pHYs",
        b"hIST", b"cICP",
    ];
    let mut all = vec![Piece { name: "signature".into(), bytes: &bytes[..8], stays: true }];
    let mut at = 8;
    while at < bytes.len() {
        let head = bytes.get(at..at + 8).ok_or("it ends within a chunk")?;
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        let chunk = bytes.get(at..at + 12 + length).ok_or("it ends within a chunk")?;
        let name = &head[4..8];
        let stays = STAYS.iter().any(|known| known.as_slice() == name);
        all.push(Piece { name: String::from_utf8_lossy(name).into_owned(), bytes: chunk, stays });
        at += 12 + length;
        if name == b"IEND" {
            if at < bytes.len() {
                all.push(Piece { name: "what follows the picture".into(), bytes: &bytes[at..], stays: false });
            }
            return Ok(Pieces { kind: Kind::Png, all });
        }
    }
    Err("it has no end")
}

/// Chunks of a WebP (RFC 9649, from memory).
fn webp(bytes: &[u8]) -> Result<Pieces<'_>, &'static str> {
    const STAYS: &[&[u8; 4]] = &[b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ANIM", b"ANMF", b"ICCP"];
    let mut all = Vec::new();
    let mut at = 12;
    while at < bytes.len() {
        let head = bytes.get(at..at + 8).ok_or("it ends within a chunk")?;
        let length = u32::from_le_bytes([head[4], head[5], head[6], head[7]]) as usize;
        // Chunks are padded to an even length; some programs leave the last one unpadded.
        let end = (at + 8 + length + length % 2).min(bytes.len());
        if at + 8 + length > bytes.len() {
            return Err("it ends within a chunk");
        }
        let stays = STAYS.iter().any(|known| known.as_slice() == &head[..4]);
        all.push(Piece { name: String::from_utf8_lossy(&head[..4]).into_owned(), bytes: &bytes[at..end], stays });
        at = end;
    }
    Ok(Pieces { kind: Kind::WebP, all })
}

/// An APP1 segment with EXIF that says which way is up and nothing else (CIPA DC-008, tag 274, from memory).
fn upright(orientation: u8) -> Vec<u8> {
    let mut segment = vec![0xff, 0xe1, 0, 34];
    segment.extend_from_slice(b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0");
    segment.extend_from_slice(&[orientation, 0, 0, 0, 0, 0, 0]);
    segment
}

fn is_only_upright(segment: &[u8]) -> bool {
    (2..=8).any(|orientation| segment == upright(orientation))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
        let mut bytes = vec![0xff, marker];
        bytes.extend_from_slice(&(body.len() as u16 + 2).to_be_bytes());
        bytes.extend_from_slice(body);
        bytes
    }

    /// A small JPEG as an encoder writes it, with segments put in after its start.
    fn jpeg_with(extra: &[Vec<u8>], after: &[u8]) -> Vec<u8> {
        let mut plain = Vec::new();
        let pixels: Vec<u8> = (0..64 * 48 * 3).map(|n| (n * 7 % 251) as u8).collect();
        jpeg_encoder::Encoder::new(&mut plain, 80).encode(&pixels, 64, 48, jpeg_encoder::ColorType::Rgb).unwrap();
        let mut bytes = plain[..2].to_vec();
        extra.iter().for_each(|segment| bytes.extend_from_slice(segment));
        bytes.extend_from_slice(&plain[2..]);
        bytes.extend_from_slice(after);
        bytes
    }

    #[test]
    fn a_jpeg_loses_what_the_camera_wrote_and_nothing_of_the_picture() {
        let camera = [
            segment(0xe1, b"Exif\0\0MM\0*GPS 38.7 N 9.1 W"),
            segment(0xe1, b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta/>"),
            segment(0xed, b"Photoshop 3.0\08BIM"),
            segment(0xe2, b"MPF\0more pictures"),
            segment(0xfe, b"taken at Limpet Stairs"),
        ];
        let whole = jpeg_with(&camera, b"a clip of film with its own place");
        assert_eq!(metadata(&whole).unwrap(), ["APP1", "APP1", "APP13", "APP2", "COM", "what follows the picture"]);
        let bare = strip(&whole, 1).unwrap();
        assert_eq!(bare, jpeg_with(&[], b""), "the picture's own bytes are as they were");
        assert_eq!(metadata(&bare).unwrap(), [""; 0]);

        let turned = strip(&whole, 6).unwrap();
        assert_eq!(metadata(&turned).unwrap(), [""; 0]);
        let exif = exif::Reader::new().read_from_container(&mut std::io::Cursor::new(&turned)).unwrap();
        let fields: Vec<String> = exif.fields().map(|field| format!("{} {:?}", field.tag, field.value)).collect();
        assert_eq!(fields, ["Orientation Short([6])"], "a reader of EXIF finds this and nothing else");
        let decode = |bytes: &[u8]| image::load_from_memory(bytes).unwrap().into_rgb8().into_raw();
        assert!(decode(&turned) == decode(&whole));
    }

    #[test]
    fn a_png_and_a_webp_lose_theirs() {
        let picture = image::RgbImage::from_fn(20, 10, |x, y| image::Rgb([x as u8, y as u8, 7]));
        let write = |format| {
            let mut bytes = Vec::new();
            picture.write_to(&mut std::io::Cursor::new(&mut bytes), format).unwrap();
            bytes
        };
        let png = write(image::ImageFormat::Png);
        // A text chunk before the end; its checksum is not looked at here.
        let mut noted = png[..png.len() - 12].to_vec();
        noted.extend_from_slice(b"\0\0\0\x0atEXtPlace\0Home\0\0\0\0");
        noted.extend_from_slice(&png[png.len() - 12..]);
        assert_eq!(metadata(&noted).unwrap(), ["tEXt"]);
        assert_eq!(strip(&noted, 1).unwrap(), png);

        let webp = write(image::ImageFormat::WebP);
        let mut noted = webp.clone();
        noted.extend_from_slice(b"EXIF\x06\0\0\0secret");
        let size = (noted.len() as u32 - 8).to_le_bytes();
        noted[4..8].copy_from_slice(&size);
        assert_eq!(metadata(&noted).unwrap(), ["EXIF"]);
        assert_eq!(strip(&noted, 1).unwrap(), webp);
    }

    #[test]
    fn what_is_broken_or_no_picture_is_refused() {
        assert!(strip(b"GIF89a", 1).is_err());
        let whole = jpeg_with(&[], b"");
        for length in [3, 20, whole.len() - 2] {
            assert!(strip(&whole[..length], 1).is_err(), "{length}");
        }
    }
}
