//! Amounts side by side from zero, each named and numbered where it stands.

use super::canvas::{Anchor, Canvas, Frame};
use super::input::{BarBasis, Bars, Drawn};
use super::text::{text_width, value_with_u, wrap};
use super::time::{LABEL, tame};

/// Draws horizontal bars. Wide, a label stands before its bar; narrow, above it. The word for how the amount is known
/// follows the value.
pub fn draw_bars(bars: &Bars) -> Drawn {
    Drawn { wide: draw(bars, true), narrow: draw(bars, false) }
}

/// Room for a value whose digits run wider than those of Helvetica.
const WIDER: f64 = 1.16;

/// Where the words above a bar begin in a narrow drawing: off the line that the bars stand on.
const BESIDE_AXIS: f64 = 5.0;

/// A value with its uncertainty; one too small for its digits is `under 0.01`, since nothing is not what it is.
fn said_value(value: f64, u: f64, decimals: usize) -> String {
    let least = 10f64.powi(-(decimals as i32));
    if value != 0.0 && value.abs() < 0.5 * least {
        return format!("under\u{a0}{}", super::text::number(least, decimals));
    }
    value_with_u(value, u, decimals)
}

fn draw(bars: &Bars, wide: bool) -> String {
    let width = if wide { 940.0 } else { 340.0 };
    let rows: Vec<_> = bars.rows.iter().filter(|row| row.value.is_finite()).collect();
    let reach = |row: &super::input::Bar| {
        let u = if row.u.is_finite() { row.u.abs() } else { 0.0 };
        (row.value - 2.0 * u, row.value + 2.0 * u)
    };
    let high = rows.iter().map(|row| reach(row).1).fold(0.0, f64::max);
    let low = rows.iter().map(|row| reach(row).0.min(row.value)).fold(0.0, f64::min);
    // Error bars below zero matter only where an amount itself is below zero.
    let low = if rows.iter().all(|row| row.value >= 0.0) { 0.0 } else { low };
    let span = if high - low > 0.0 && (high - low).is_finite() { high - low } else { 1.0 };
    let decimals = usize::from(bars.decimals);
    // Where all are known in the same way, the word stands once, beside the unit.
    let basis = rows.first().map(|row| row.basis.word());
    let same = basis.filter(|word| rows.len() > 1 && rows.iter().all(|row| row.basis.word() == *word));
    let said: Vec<(String, String)> = rows
        .iter()
        .map(|row| {
            let value = said_value(row.value, row.u, decimals);
            let word = if same.is_some() { "" } else { row.basis.word() };
            let parts = [word, row.note.as_str()];
            let tail = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
            (value, tail)
        })
        .collect();
    let label_room = rows.iter().map(|row| text_width(&row.label, LABEL, false)).fold(0.0, f64::max).min(width * 0.24);
    let x0 = if wide { label_room + 14.0 } else { 0.0 };
    let said_room = said
        .iter()
        .map(|(value, tail)| {
            WIDER * text_width(value, LABEL, true) + 8.0 + text_width(tail, if wide { 12.0 } else { 13.0 }, false)
        })
        .fold(0.0, f64::max);
    // Narrow, the words stand above the bar, so the bar may have the whole width.
    let x1 = if wide { (width - said_room - 14.0).max(x0 + 120.0) } else { width - 4.0 };
    let x = |value: f64| x0 + (value.clamp(low, high.max(low)) - low) / span * (x1 - x0);
    let mut canvas = Canvas::new(width);
    canvas.text("unit", 0.0, 16.0, Anchor::Start, &bars.unit);
    if let Some(word) = same {
        let after = WIDER * text_width(&bars.unit, LABEL, true) + 8.0;
        canvas.text("note", after, 16.0, Anchor::Start, word);
    }
    let mut y = 26.0;
    let top = y;
    for (row, (value, tail)) in rows.iter().zip(&said) {
        let lines = wrap(&row.label, LABEL, false, if wide { label_room + 2.0 } else { width * 0.5 });
        let text_height = lines.len().max(1) as f64 * 15.0;
        let (bar_top, step) = if wide {
            (y + (text_height.max(20.0) - 14.0) / 2.0, text_height.max(20.0) + 8.0)
        } else {
            (y + text_height + 4.0, text_height + 30.0)
        };
        for (index, line) in lines.iter().enumerate() {
            let first = if wide { bar_top + 11.0 - (lines.len() as f64 - 1.0) * 7.5 } else { y + 12.0 };
            let (at, anchor) = if wide { (x0 - 10.0, Anchor::End) } else { (BESIDE_AXIS, Anchor::Start) };
            canvas.text("lab", at, first + index as f64 * 15.0, anchor, line);
        }
        draw_bar(&mut canvas, row.basis, (x(0.0), x(row.value)), bar_top);
        let (far_low, far_high) = reach(row);
        let has_bar = row.u.is_finite() && row.u > 0.0;
        if has_bar {
            let (middle, u) = (bar_top + 7.0, row.u);
            canvas.line("err ink", x(far_low), middle, x(far_high), middle);
            canvas.line("err2 ink", x(row.value - u), middle, x(row.value + u), middle);
        }
        if wide {
            let at = x(if has_bar { far_high } else { row.value.max(0.0) }) + 8.0;
            canvas.text("lab strong", at, bar_top + 11.0, Anchor::Start, value);
            // A reader's bold may run a sixth wider than is reckoned with.
            let after = at + WIDER * text_width(value, LABEL, true) + 6.0;
            canvas.text("note", after, bar_top + 11.0, Anchor::Start, tail);
        } else {
            // Value and word at the right end of the label's line, the word only if all three fit.
            let label_end = lines.iter().map(|line| text_width(line, LABEL, false)).fold(0.0, f64::max);
            let words = if same.is_some() { row.note.as_str() } else { row.basis.word() };
            let word_room = WIDER * text_width(words, 13.0, false);
            let value_room = WIDER * text_width(value, LABEL, true);
            let with_word = BESIDE_AXIS + WIDER * label_end + value_room + word_room + 18.0 <= width;
            let value_end = if with_word { width - word_room - 6.0 } else { width };
            canvas.text("lab strong", value_end, y + 12.0, Anchor::End, value);
            if with_word {
                canvas.text("note", width, y + 12.0, Anchor::End, words);
            }
        }
        y += step;
    }
    canvas.line("axis", x(0.0), top, x(0.0), y.max(top + 20.0));
    let id = format!("b-{}{}", tame(&bars.id), if wide { "" } else { "-n" });
    let kind = if wide { "wide" } else { "narrow" };
    let frame = Frame { kind, id, title: &bars.title, description: &bars.description };
    canvas.finish((y + 6.0).max(60.0), &frame)
}

/// Measured solid, computed in the colour of what is worked out, stated a double line, assumed an outline over
/// hatching: the same order as under the numbers.
fn draw_bar(canvas: &mut Canvas, basis: BarBasis, (from, to): (f64, f64), top: f64) {
    let (left, width) = (from.min(to), (to - from).abs());
    match basis {
        BarBasis::Measured => canvas.rect("bar a", left, top, width, 14.0),
        BarBasis::Computed => canvas.rect("bar b", left, top, width, 14.0),
        BarBasis::Stated => {
            canvas.rect("bar stated", left, top + 2.0, width, 3.5);
            canvas.rect("bar stated", left, top + 8.5, width, 3.5);
        }
        BarBasis::Assumed => {
            canvas.rect("gap", left, top, width, 14.0);
            canvas.rect("guess b", left, top, width, 14.0);
        }
    }
}
