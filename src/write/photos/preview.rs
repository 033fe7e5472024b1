//! The picture beside a link: one shape for all photos, cut to where the most is to be seen.

use std::io;

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};

use super::{Layout, Pixels, bad};

/// What a place at the very edge of a photo counts for against its middle: a photographer puts there what matters.
const EDGE: f64 = 0.7;

/// Cuts a photo to the shape of `width` by `height` and sizes it so.
pub(super) fn cut(
    from: &Pixels,
    (width, height): (u32, u32),
    into: &mut Pixels,
    resizer: &mut Resizer,
) -> io::Result<()> {
    let (left, top, across, down) = window(from, width, height);
    let pixel_type = from.layout.pixel_type();
    into.shape(width, height, from.layout);
    let source = ImageRef::new(from.width, from.height, &from.bytes, pixel_type).map_err(bad)?;
    let mut target = Image::from_slice_u8(width, height, &mut into.bytes, pixel_type).map_err(bad)?;
    let options =
        ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3)).crop(left, top, across, down);
    resizer.resize(&source, &mut target, &options).map_err(bad)
}

/// Left, top, width and height of the part that is kept: the largest of the wanted shape, moved along the longer side to
/// where brightness changes most from pixel to pixel.
fn window(from: &Pixels, width: u32, height: u32) -> (f64, f64, f64, f64) {
    let (across, down) = (f64::from(from.width), f64::from(from.height));
    let shape = f64::from(width) / f64::from(height);
    if across / down > shape {
        let kept = down * shape;
        (start(&detail(from, true), kept), 0.0, kept, down)
    } else {
        let kept = across / shape;
        (0.0, start(&detail(from, false), kept), across, kept)
    }
}

/// How much brightness changes within each column, or each row.
fn detail(from: &Pixels, by_column: bool) -> Vec<u64> {
    let (width, height, channels) = (from.width as usize, from.height as usize, from.layout.channels());
    // Green stands for brightness where there is no channel of it.
    let channel = usize::from(from.layout == Layout::Rgb);
    let at = |x: usize, y: usize| i32::from(from.bytes[(y * width + x) * channels + channel]);
    let mut lines = vec![0u64; if by_column { width } else { height }];
    for y in 1..height {
        for x in 1..width {
            let here = at(x, y);
            let change = here.abs_diff(at(x - 1, y)) + here.abs_diff(at(x, y - 1));
            lines[if by_column { x } else { y }] += u64::from(change);
        }
    }
    lines
}

/// Where a stretch of `kept` lines begins that holds the most detail; of equals the one nearest to the middle.
fn start(lines: &[u64], kept: f64) -> f64 {
    let length = (kept.floor() as usize).clamp(1, lines.len().max(1));
    let room = lines.len().saturating_sub(length);
    let mut sum: u64 = lines.iter().take(length).sum();
    let middle = room as f64 / 2.0;
    let mut best = (f64::MIN, f64::MAX, 0);
    for first in 0..=room {
        if first > 0 {
            sum = sum + lines[first + length - 1] - lines[first - 1];
        }
        let away = (first as f64 - middle).abs();
        let off = if middle > 0.0 { away / middle } else { 0.0 };
        let worth = sum as f64 * (1.0 - (1.0 - EDGE) * off * off);
        if worth > best.0 || (worth == best.0 && away < best.1) {
            best = (worth, away, first);
        }
    }
    (best.2 as f64).min((lines.len() as f64 - kept).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grey(width: u32, height: u32, value: impl Fn(u32, u32) -> u8) -> Pixels {
        let bytes = (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).map(|(x, y)| value(x, y)).collect();
        Pixels { width, height, layout: Layout::Grey, bytes }
    }

    #[test]
    fn an_even_picture_is_cut_in_its_middle() {
        assert_eq!(window(&grey(40, 40, |_, _| 90), 40, 20), (0.0, 10.0, 40.0, 20.0));
        assert_eq!(window(&grey(80, 20, |_, _| 90), 40, 20), (20.0, 0.0, 40.0, 20.0));
    }

    #[test]
    fn a_picture_is_cut_to_where_the_most_is_to_be_seen() {
        // Stripes in the lowest quarter only: every window from 20 down holds them all, and the middle draws it up to 20.
        let low = grey(40, 40, |x, y| if y >= 30 && x % 2 == 0 { 255 } else { 0 });
        assert_eq!(window(&low, 40, 20), (0.0, 20.0, 40.0, 20.0));
        let left = grey(80, 20, |x, y| if x < 10 && y % 2 == 0 { 255 } else { 0 });
        // Changes are seen from the second column on.
        assert_eq!(window(&left, 40, 20).0, 1.0);
    }

    #[test]
    fn what_is_cut_has_the_size_that_was_asked_for() {
        let mut into = Pixels::default();
        let picture = grey(64, 64, |x, _| if x < 32 { 0 } else { 200 });
        cut(&picture, (32, 16), &mut into, &mut Resizer::new()).unwrap();
        assert_eq!((into.width, into.height, into.bytes.len()), (32, 16, 512));
        assert_eq!((into.bytes[0], into.bytes[31]), (0, 200));
    }
}
