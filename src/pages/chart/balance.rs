//! What comes in and what goes out, drawn as streams whose widths are the amounts.

use super::canvas::{Anchor, Canvas, Frame};
use super::input::{Balance, Drawn, Stream};
use super::text::text_width;
use super::time::{LABEL, tame};

/// Draws the streams into and out of a box; both sides add up to the same height.
pub fn draw_balance(balance: &Balance) -> Drawn {
    Drawn { wide: draw(balance, true), narrow: draw(balance, false) }
}

/// The words of a stream need this much height, however thin it is.
const WORDS: f64 = 20.0;
const GAP: f64 = 10.0;
/// From one line of words to the next.
const LINE: f64 = 15.0;
/// A reader's sans may run wider than the one that is measured here.
const ROOMY: f64 = 1.1;

fn draw(balance: &Balance, wide: bool) -> String {
    let (width, tallest) = if wide { (940.0, 190.0) } else { (340.0, 170.0) };
    let flows = |streams: &[Stream]| streams.iter().map(|stream| stream.value.max(0.0)).sum::<f64>();
    let most = flows(&balance.gains).max(flows(&balance.losses)).max(1e-9);
    let mut canvas = Canvas::new(width);
    canvas.text("unit", 0.0, 16.0, Anchor::Start, &balance.unit);
    let top = 34.0;
    // The box stands in the middle; where the streams meet it they lie without gaps.
    let box_width = if wide { 150.0 } else { 64.0 };
    let (left, right) = ((width - box_width) / 2.0, (width + box_width) / 2.0);
    // Words above a stream stay beside the box.
    let room = left - 6.0;
    let words = |stream: &Stream| WORDS + LINE * (lines_of(stream, room).len() as f64 - 1.0);
    let height = |streams: &[Stream]| {
        streams.iter().map(|stream| words(stream) + GAP + stream.value.max(0.0) / most * tallest).sum::<f64>()
    };
    let high = height(&balance.gains).max(height(&balance.losses)).max(tallest + 60.0);
    let box_top = top + (high - tallest) / 2.0;
    for (streams, outer, inner, class) in
        [(&balance.gains, 0.0, left, "flow in"), (&balance.losses, width, right, "flow out")]
    {
        let mut at = top + (high - height(streams)) / 2.0;
        let mut meets = box_top;
        for stream in streams {
            let thick = stream.value.max(0.0) / most * tallest;
            let begins = at + words(stream);
            // A stream is drawn from its words to the box, with a bend on the way.
            let knee = outer + (inner - outer) * 0.55;
            let corners = vec![
                (outer, begins),
                (knee, begins),
                (inner, meets),
                (inner, meets + thick.max(0.6)),
                (knee, begins + thick.max(0.6)),
                (outer, begins + thick.max(0.6)),
            ];
            canvas.polygon(class, corners);
            let anchor = if outer < inner { Anchor::Start } else { Anchor::End };
            let lines = lines_of(stream, room);
            for (row, line) in lines.iter().enumerate() {
                let up = LINE * (lines.len() - 1 - row) as f64;
                canvas.text("lab", outer, begins - 5.0 - up, anchor, line);
            }
            at = begins + thick + GAP;
            meets += thick;
        }
    }
    canvas.rect("hold", left, box_top - 6.0, box_width, tallest + 12.0);
    let middle = (left + right) / 2.0;
    let lines = super::text::wrap(&balance.holds, LABEL, true, box_width - 8.0);
    let first = box_top + tallest / 2.0 - (lines.len() as f64 - 1.0) * 8.0 + 4.0;
    for (row, line) in lines.iter().enumerate() {
        canvas.text("lab strong", middle, first + row as f64 * 16.0, Anchor::Middle, line);
    }
    let id = format!("f-{}{}", tame(&balance.id), if wide { "" } else { "-n" });
    let frame = Frame {
        kind: if wide { "wide" } else { "narrow" },
        id,
        title: &balance.title,
        description: &balance.description,
    };
    canvas.finish(top + high + 6.0, &frame)
}

/// Name and amount over a stream, at its outer end: on one line where they find room, else the amount under the name, and
/// a long name on several lines.
fn lines_of(stream: &Stream, room: f64) -> Vec<String> {
    let room = room / ROOMY;
    let one = format!("{}\u{a0} {}", stream.label, stream.said);
    if text_width(&one, LABEL, false) <= room {
        return vec![one];
    }
    let mut lines = super::text::wrap(&stream.label, LABEL, false, room);
    lines.push(stream.said.clone());
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stream(label: &str, value: f64) -> Stream {
        Stream { label: label.into(), value, said: format!("{value} ±\u{a0}1") }
    }

    #[test]
    fn streams_are_as_wide_as_their_amounts_and_named() {
        let balance = Balance {
            id: "heat".into(),
            title: "Balance".into(),
            description: "What comes in and goes out".into(),
            unit: "W".into(),
            holds: "Water, 25.2 °C".into(),
            gains: vec![stream("Pumps", 20.0), stream("Heaters", 60.0)],
            losses: vec![stream("Evaporation", 80.0)],
        };
        let drawn = draw_balance(&balance);
        for words in ["Pumps", "Heaters", "Evaporation", "Balance"] {
            assert!(drawn.wide.contains(words) && drawn.narrow.contains(words), "{words}");
        }
        // 60 of 80 W of 190 units are 142.5, and the whole is as high as what goes out.
        assert!(drawn.wide.contains("142.5"), "{}", drawn.wide);
        assert!(drawn.wide.contains("class=\"flow out\"") && drawn.wide.contains("class=\"flow in\""));
    }

    #[test]
    fn long_names_stand_on_lines_of_their_own() {
        let lines = lines_of(&stream("Heater in the sump, the second", 20.0), 130.0);
        assert_eq!(lines, ["Heater in the sump,", "the second", "20 ±\u{a0}1"]);
        assert_eq!(lines_of(&stream("Pumps", 20.0), 130.0), ["Pumps\u{a0} 20 ±\u{a0}1"]);
    }

    #[test]
    fn nothing_is_drawn_as_nothing() {
        let drawn = draw_balance(&Balance { id: "x".into(), ..Balance::default() });
        assert!(drawn.wide.starts_with("<svg"));
        assert!(!drawn.wide.contains("NaN"));
    }
}
