//! Wholes parted into shares, one bar each, all of one length: how many days of a year stood where.

use super::canvas::{Anchor, Canvas, Frame};
use super::input::{Drawn, Shares};
use super::text::{text_width, wrap};
use super::time::{LABEL, tame};

/// How each share is drawn, in order: in the tint of a band, hatched as what cannot be told, solid, and as bare paper. The four
/// part in grey print too.
const PARTS: [&str; 4] = ["share in", "gap", "share out", "place"];

/// Height of a bar.
const TALL: f64 = 16.0;

/// Draws each whole from end to end. Wide, its name stands before it; narrow, above it.
pub fn draw_shares(shares: &Shares) -> Drawn {
    Drawn { wide: draw(shares, true), narrow: draw(shares, false) }
}

fn draw(shares: &Shares, wide: bool) -> String {
    let width = if wide { 940.0 } else { 340.0 };
    let small = if wide { 12.0 } else { 13.0 };
    let mut canvas = Canvas::new(width);
    let name_room = shares.rows.iter().map(|row| text_width(&row.label, LABEL, false)).fold(0.0, f64::max);
    let said_room = shares.rows.iter().map(|row| text_width(&row.note, small, false)).fold(0.0, f64::max) * 1.1;
    let x0 = if wide { name_room.min(width * 0.24) + 14.0 } else { 1.0 };
    let x1 = if wide { (width - said_room - 14.0).max(x0 + 160.0) } else { width - 1.0 };
    let mut y = draw_key(&mut canvas, shares, x0, width);
    for row in &shares.rows {
        let total: f64 = row.parts.iter().filter(|part| part.is_finite()).sum();
        if total <= 0.0 {
            continue;
        }
        let top = if wide { y } else { y + 18.0 };
        if wide {
            let lines = wrap(&row.label, LABEL, false, x0 - 12.0);
            canvas.text("lab", x0 - 10.0, top + 12.5, Anchor::End, lines.first().map_or("", |line| line.as_str()));
            canvas.text("note", x1 + 10.0, top + 12.5, Anchor::Start, &row.note);
        } else {
            canvas.text("lab", 0.0, y + 12.0, Anchor::Start, &row.label);
            // The words give way to a long name.
            if text_width(&row.label, LABEL, false) * 1.1 + said_room + 10.0 < width {
                canvas.text("note", width, y + 12.0, Anchor::End, &row.note);
            }
        }
        let mut left = x0;
        for (part, class) in row.parts.iter().zip(PARTS) {
            let long = part.max(0.0) / total * (x1 - x0);
            if long <= 0.0 {
                continue;
            }
            canvas.rect(class, left, top, long, TALL);
            let words = format!("{part:.0}");
            if long > text_width(&words, small, true) * 1.2 + 8.0 {
                let text = if class == "share out" { "share-no" } else { "note strong halo" };
                canvas.text(text, left + long / 2.0, top + 12.5, Anchor::Middle, &words);
            }
            left += long;
        }
        y = top + TALL + if wide { 10.0 } else { 12.0 };
    }
    let id = format!("s-{}{}", tame(&shares.id), if wide { "" } else { "-n" });
    let kind = if wide { "wide" } else { "narrow" };
    let frame = Frame { kind, id, title: &shares.title, description: &shares.description };
    canvas.finish(y.max(60.0), &frame)
}

/// What each kind of share is called, on as many lines as it takes. Returns where the bars begin.
fn draw_key(canvas: &mut Canvas, shares: &Shares, x0: f64, width: f64) -> f64 {
    let (mut x, mut y) = (x0, 2.0);
    for (name, class) in shares.names.iter().zip(PARTS) {
        let long = 20.0 + text_width(name, LABEL, false) * 1.1 + 16.0;
        if x + long > width && x > x0 {
            (x, y) = (x0, y + 20.0);
        }
        canvas.rect(class, x, y, 14.0, 12.0);
        canvas.text("lab", x + 20.0, y + 11.0, Anchor::Start, name);
        x += long;
    }
    y + 30.0
}
