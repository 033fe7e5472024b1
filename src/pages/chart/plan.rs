//! The tank from above at one depth: readings where they were taken and colonies where they stand.

use super::canvas::{Anchor, Canvas, Frame};
use super::contour::loops;
use super::input::{Drawn, Field, Plan};
use super::labels::{Area, Labels, Position};
use super::scale::Scale;
use super::text::{number, plain_number, short_form, text_width, wrap};
use super::time::{LABEL, mark_area, tame};

/// Draws the plan, the front pane at the bottom. Without a field nothing is filled in between the readings.
pub fn draw_plan(plan: &Plan) -> Drawn {
    Drawn { wide: draw(plan, true), narrow: draw(plan, false) }
}

fn draw(plan: &Plan, wide: bool) -> String {
    let (width, small) = if wide { (940.0, 12.0) } else { (340.0, 13.0) };
    let (length, depth) = inside(plan);
    let left = if wide { 38.0 } else { 30.0 };
    let room = if wide { 734.0 } else { 302.0 };
    // A cube fills less of the width, so that it is not taller than a screen.
    let tallest = if wide { 420.0 } else { 320.0 };
    let px = (room / length).min(tallest / depth);
    let (x0, top) = (left, 28.0);
    let (x1, base) = (x0 + length * px, top + depth * px);
    let x = |at: f64| x0 + at.clamp(0.0, length) * px;
    let y = |at: f64| base - at.clamp(0.0, depth) * px;
    let mut canvas = Canvas::new(width);
    let named = plan.field.as_ref().map(|field| draw_field(&mut canvas, field, (x0, x1, top, base)));
    canvas.rect("place", x0, top, x1 - x0, base - top);
    draw_rulers(&mut canvas, (length, depth), (x0, x1, top, base), px, small, &plan.unit_of_length);
    let mut labels = Labels::default();
    for (left, right, y) in [(x0, x1, top), (x0, x1, base)] {
        labels.reserve(Area { left, right, top: y - 0.5, bottom: y + 0.5 });
    }
    for (x, top, bottom) in [(x0, top, base), (x1, top, base)] {
        labels.reserve(Area { left: x - 0.5, right: x + 0.5, top, bottom });
    }
    let points: Vec<_> =
        plan.points.iter().filter(|p| p.x.is_finite() && p.y.is_finite() && p.value.is_finite()).collect();
    let colonies: Vec<_> = plan.colonies.iter().filter(|c| c.x.is_finite() && c.y.is_finite()).collect();
    let radius = if wide { 3.4 } else { 2.8 };
    for point in &points {
        canvas.circle("pt a", x(point.x), y(point.y), radius);
        labels.reserve(mark_area(x(point.x), y(point.y), radius));
    }
    for colony in &colonies {
        let (cx, cy) = (x(colony.x), y(colony.y));
        let r = radius * 1.3;
        let corners = vec![(cx, cy - r), (cx + r, cy), (cx, cy + r), (cx - r, cy)];
        canvas.polygon("pt-colony", corners);
        labels.reserve(mark_area(cx, cy, r));
    }
    let bounds = (0.0, width);
    // A narrow plan has no room for names: letters stand for them, and the names follow beneath.
    let letters: Vec<String> = (0..colonies.len())
        .map(|index| {
            let letter = char::from(b'A' + (index % 26) as u8);
            if index < 26 { letter.to_string() } else { format!("{letter}{}", index / 26 + 1) }
        })
        .collect();
    // What was read has its place before what it is called. A number that finds none is in the table beneath: over another
    // number neither could be read.
    for point in &points {
        let words = number(point.value, usize::from(plan.decimals));
        let (x, y) = (x(point.x), y(point.y));
        let places = [around(x, y, radius), around(x, y, radius + 5.0)].concat();
        labels.place(&mut canvas, "lab a strong halo", &words, LABEL, &places, bounds);
    }
    for (colony, letter) in colonies.iter().zip(&letters) {
        let places = around(x(colony.x), y(colony.y), radius * 1.3);
        let words = if wide { &colony.label } else { letter };
        let class = if wide { "note halo" } else { "lab strong halo" };
        let _ = labels.place(&mut canvas, class, words, LABEL, &places, bounds)
            || labels.place(&mut canvas, class, short_form(words), LABEL, &places, bounds);
    }
    name_contours(&mut canvas, &mut labels, named.unwrap_or_default(), bounds);
    let mut end = base + small * 2.0 + 16.0;
    if wide && width - x1 > 60.0 {
        let lines = wrap("Dots: readings. Diamonds: colonies.", LABEL, false, width - x1 - 12.0);
        for (row, line) in lines.iter().enumerate() {
            canvas.text("lab", x1 + 10.0, top + 12.0 + row as f64 * 16.0, Anchor::Start, line);
        }
        if let Some(field) = &plan.field {
            let y = top + 36.0 + lines.len() as f64 * 16.0;
            canvas.text("unit", x1 + 10.0, y, Anchor::Start, &plan.unit);
            draw_key(&mut canvas, field, (x1 + 10.0, y + 10.0), true);
        }
    } else if let Some(field) = &plan.field {
        canvas.text("unit", 0.0, end + 8.0, Anchor::Start, &plan.unit);
        draw_key(&mut canvas, field, (0.0, end + 16.0), false);
        end += 56.0;
    }
    if !wide {
        for (colony, letter) in colonies.iter().zip(&letters) {
            let lines = wrap(&colony.label, LABEL, false, width - 24.0);
            canvas.text("lab strong", 0.0, end + 8.0, Anchor::Start, letter);
            for line in &lines {
                canvas.text("lab", 24.0, end + 8.0, Anchor::Start, line);
                end += 17.0;
            }
        }
    }
    let id = format!("p-{}{}", tame(&plan.id), if wide { "" } else { "-n" });
    let kind = if wide { "wide" } else { "narrow" };
    let frame = Frame { kind, id, title: &plan.title, description: &plan.description };
    canvas.finish(end, &frame)
}

/// Classes of the tints from the least to the most; `charts.css` mixes them from the theme's colours.
const TINTS: [&str; 7] = ["tint t0", "tint t1", "tint t2", "tint t3", "tint t4", "tint t5", "tint t6"];

/// Fills the plan in tints that part at the field's levels, and returns each line of a level with the words for it.
fn draw_field(
    canvas: &mut Canvas,
    field: &Field,
    (x0, x1, top, base): (f64, f64, f64, f64),
) -> Vec<(String, Vec<(f64, f64)>)> {
    let columns = field.rows.first().map_or(0, Vec::len);
    if field.rows.len() < 2 || columns < 2 || field.rows.iter().any(|row| row.len() != columns) {
        return Vec::new();
    }
    let along = (x1 - x0) / (columns - 1) as f64;
    let up = (base - top) / (field.rows.len() - 1) as f64;
    let on_sheet = |(column, row): &(f64, f64)| (x0 + column * along, base - row * up);
    let tint = |above: usize| TINTS[above.min(TINTS.len() - 1)];
    canvas.rect(tint(0), x0, top, x1 - x0, base - top);
    let mut named = Vec::new();
    let loops = loops(&field.rows, &field.levels);
    for each in &loops {
        let class = tint(each.level + usize::from(each.is_above));
        canvas.polygon(class, each.points.iter().map(on_sheet).collect());
    }
    for each in &loops {
        for part in &each.inner {
            let line: Vec<_> = part.iter().map(on_sheet).collect();
            canvas.path("contour", line.clone());
            named.push((plain_number(field.levels[each.level], 0), line));
        }
    }
    named
}

/// Writes the value on each line of a level, where there is room.
fn name_contours(canvas: &mut Canvas, labels: &mut Labels, named: Vec<(String, Vec<(f64, f64)>)>, bounds: (f64, f64)) {
    for (words, line) in named {
        let places: Vec<Position> = [2, 3, 5, 8]
            .iter()
            .flat_map(|part| [line.len() / part, line.len() - 1 - line.len() / part])
            .map(|at| (line[at].0, line[at].1 + 4.0, Anchor::Middle))
            .collect();
        labels.place(canvas, "lab b halo", &words, LABEL, &places, bounds);
    }
}

/// The tints with the values at which they part: upright beside a wide plan, level under a narrow one.
fn draw_key(canvas: &mut Canvas, field: &Field, (x, y): (f64, f64), upright: bool) {
    let count = (field.levels.len() + 1).min(TINTS.len());
    for (index, class) in TINTS.iter().enumerate().take(count) {
        // The most light stands on top, or at the right.
        let step = if upright { (count - 1 - index) as f64 } else { index as f64 };
        let (left, top) = if upright { (x, y + step * 22.0) } else { (x + step * 44.0, y) };
        let (width, height) = if upright { (26.0, 22.0) } else { (44.0, 14.0) };
        canvas.rect(class, left, top, width, height);
        canvas.rect("place", left, top, width, height);
        if let Some(level) = field.levels.get(index).filter(|_| index + 1 < count) {
            let words = plain_number(*level, 0);
            if upright {
                canvas.text("tick", left + width + 6.0, top + 4.0, Anchor::Start, &words);
            } else {
                canvas.text("tick", left + width, top + height + 14.0, Anchor::Middle, &words);
            }
        }
    }
}

/// Length and width of the plan; where they are missing, as far as its places reach.
fn inside(plan: &Plan) -> (f64, f64) {
    let places = plan.points.iter().map(|p| (p.x, p.y));
    let places = places.chain(plan.colonies.iter().map(|c| (c.x, c.y)));
    let (mut length, mut depth) = (plan.length, plan.width);
    if !(length.is_finite() && length > 0.0 && depth.is_finite() && depth > 0.0) {
        (length, depth) = places
            .filter(|(x, y)| x.is_finite() && y.is_finite())
            .fold((10.0_f64, 10.0_f64), |most, place| (most.0.max(place.0), most.1.max(place.1)));
    }
    (length, depth)
}

/// Lengths along the front pane and up the left one.
fn draw_rulers(
    canvas: &mut Canvas,
    (length, depth): (f64, f64),
    (x0, x1, top, base): (f64, f64, f64, f64),
    px: f64,
    small: f64,
    unit: &str,
) {
    let along = Scale { low: 0.0, high: length, top: 0.0, base: x1 - x0 };
    for tick in along.ticks(((x1 - x0) / 70.0).max(2.0) as usize).0 {
        let x = x0 + tick * px;
        canvas.line("axis", x, base, x, base + 5.0);
        canvas.text("tick", x, base + small + 6.0, Anchor::Middle, &number(tick, 0));
    }
    canvas.text("note", 0.0, 16.0, Anchor::Start, &format!("{unit} from the front pane"));
    let up = Scale { low: 0.0, high: depth, top, base };
    for tick in up.ticks(((base - top) / 50.0).max(2.0) as usize).0 {
        let y = base - tick * px;
        canvas.line("axis", x0 - 5.0, y, x0, y);
        canvas.text("tick", x0 - 8.0, y + 4.0, Anchor::End, &number(tick, 0));
    }
    let words = format!("front pane, {unit} from its left end");
    let half = text_width(&words, small, false) / 2.0;
    let middle = ((x0 + x1) / 2.0).max(half);
    canvas.text("note", middle, base + 2.0 * small + 9.0, Anchor::Middle, &words);
}

fn around(x: f64, y: f64, radius: f64) -> Vec<Position> {
    let away = radius + 4.0;
    vec![
        (x + away, y + 4.0, Anchor::Start),
        (x - away, y + 4.0, Anchor::End),
        (x, y - away - 1.0, Anchor::Middle),
        (x, y + away + 10.0, Anchor::Middle),
        (x + away, y - 9.0, Anchor::Start),
        (x + away, y + 17.0, Anchor::Start),
        (x - away, y - 9.0, Anchor::End),
        (x - away, y + 17.0, Anchor::End),
    ]
}
