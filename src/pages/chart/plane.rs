//! Two quantities against each other: the bands as a box, time as a path.

use super::canvas::{Anchor, Canvas, Frame};
use super::input::{Drawn, Plane, PlanePoint};
use super::labels::{Area, Labels, Position};
use super::scale::Scale;
use super::text::{number, text_width};
use super::time::{LABEL, mark_area, tame};

/// Draws the plane.
pub fn draw_plane(plane: &Plane) -> Drawn {
    Drawn { wide: draw(plane, true), narrow: draw(plane, false) }
}

fn draw(plane: &Plane, wide: bool) -> String {
    let (width, small) = if wide { (940.0, 12.0) } else { (340.0, 13.0) };
    let (x0, x1) = if wide { (56.0, 700.0) } else { (46.0, 332.0) };
    let (top, base) = if wide { (34.0, 420.0) } else { (34.0, 300.0) };
    let points: Vec<&PlanePoint> =
        plane.points.iter().filter(|point| point.at.0.is_finite() && point.at.1.is_finite()).collect();
    let scale = |values: Vec<f64>, top: f64, base: f64| Scale::fitting(&values, true, top, base);
    let reach = |value: f64, u: f64| if u.is_finite() { value + 2.0 * u } else { value };
    let across: Vec<f64> = points.iter().map(|p| reach(p.at.0, p.u.0)).chain(edges(plane.across.band)).collect();
    let up: Vec<f64> = points.iter().map(|p| reach(p.at.1, p.u.1)).chain(edges(plane.up.band)).collect();
    // The scale counts heights downwards; across it runs from left to right.
    let across = scale(across, x1, x0);
    let up = scale(up, top, base);
    let (x, y) = (|value: f64| across.y(value), |value: f64| up.y(value));
    let mut canvas = Canvas::new(width);
    let mut labels = Labels::default();
    if let (Some((left, right)), Some((low, high))) = (plane.across.band, plane.up.band) {
        let (bx0, bx1, by0, by1) = (x(left), x(right), y(high), y(low));
        canvas.rect("band", bx0, by0, bx1 - bx0, by1 - by0);
        for (from, to) in
            [((bx0, by0), (bx1, by0)), ((bx0, by1), (bx1, by1)), ((bx0, by0), (bx0, by1)), ((bx1, by0), (bx1, by1))]
        {
            canvas.line("band-edge", from.0, from.1, to.0, to.1);
        }
        let words = if wide { "both inside their bands" } else { "both in band" };
        // Outside the box: the path of the months runs about inside it.
        let spots = [(bx1, by0 - 6.0, Anchor::End), (bx1 - 6.0, by0 + 15.0, Anchor::End)];
        labels.place(&mut canvas, "band-t halo", words, LABEL, &spots, (0.0, width));
    }
    axes(&mut canvas, plane, (&across, &up), (x0, x1, top, base), small, wide);
    let path: Vec<(f64, f64)> = points.iter().map(|point| (x(point.at.0), y(point.at.1))).collect();
    // A path of years is a tangle: what is older stands as it was, unjoined.
    let joined = points.len().saturating_sub(JOINED);
    if path.len() > 1 {
        canvas.path("trace a passed", path[joined..].to_vec());
    }
    let radius = if wide { 3.4 } else { 2.8 };
    let last = points.len().saturating_sub(1);
    for (place, (point, at)) in points.iter().zip(&path).enumerate() {
        if place == last {
            bars(&mut canvas, point, (&across, &up), *at);
        }
        let class = match (point.limit, place < joined) {
            (true, _) => "pt a open",
            (false, true) => "pt a old",
            (false, false) => "pt a",
        };
        canvas.circle(class, at.0, at.1, if place == last { radius * 1.4 } else { radius });
        labels.reserve(mark_area(at.0, at.1, radius));
    }
    labels.reserve(Area { left: x0, right: x1, top: base - 0.5, bottom: base + small * 2.0 });
    // The last word first: where the tank is now matters most, then where it came from.
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by_key(|&place| (place != last, place != joined, place != 0, place));
    for place in order {
        let at = path[place];
        let class = if place == last { "lab strong halo" } else { "note halo" };
        labels.place(&mut canvas, class, &points[place].label, LABEL, &around(at, radius), (0.0, width));
    }
    if points.is_empty() {
        canvas.text("note", (x0 + x1) / 2.0, (top + base) / 2.0, Anchor::Middle, "no readings of both on one day");
    }
    let id = format!("n-{}{}", tame(&plane.id), if wide { "" } else { "-n" });
    let frame =
        Frame { kind: if wide { "wide" } else { "narrow" }, id, title: &plane.title, description: &plane.description };
    canvas.finish(base + small * 2.0 + 22.0, &frame)
}

/// So many of the newest points are joined.
const JOINED: usize = 13;

fn edges(band: Option<(f64, f64)>) -> impl Iterator<Item = f64> {
    band.into_iter().flat_map(|(low, high)| [low, high])
}

fn axes(
    canvas: &mut Canvas,
    plane: &Plane,
    (across, up): (&Scale, &Scale),
    (x0, x1, top, base): (f64, f64, f64, f64),
    small: f64,
    wide: bool,
) {
    canvas.line("axis", x0, base, x1, base);
    canvas.line("axis", x0, top, x0, base);
    let (ticks, decimals) = across.ticks(if wide { 8 } else { 4 });
    for tick in ticks {
        let x = across.y(tick);
        canvas.line("axis", x, base, x, base + 5.0);
        canvas.text("tick", x, base + small + 6.0, Anchor::Middle, &number(tick, decimals));
    }
    let (ticks, decimals) = up.ticks(if wide { 6 } else { 4 });
    for tick in ticks {
        let y = up.y(tick);
        canvas.line("axis", x0 - 5.0, y, x0, y);
        canvas.text("tick", x0 - 8.0, y + 4.0, Anchor::End, &number(tick, decimals));
    }
    canvas.text("unit", if wide { 4.0 } else { 0.0 }, 16.0, Anchor::Start, &plane.up.label);
    let half = text_width(&plane.across.label, 12.5, false) / 2.0;
    let middle = ((x0 + x1) / 2.0).max(half);
    canvas.text("unit", middle, base + small * 2.0 + 14.0, Anchor::Middle, &plane.across.label);
}

/// Two standard uncertainties either way, as on every chart of readings.
fn bars(canvas: &mut Canvas, point: &PlanePoint, (across, up): (&Scale, &Scale), (x, y): (f64, f64)) {
    let (ux, uy) = point.u;
    if ux.is_finite() && ux > 0.0 {
        canvas.line("err a", across.y(point.at.0 - 2.0 * ux), y, across.y(point.at.0 + 2.0 * ux), y);
    }
    if uy.is_finite() && uy > 0.0 {
        canvas.line("err a", x, up.y(point.at.1 - 2.0 * uy), x, up.y(point.at.1 + 2.0 * uy));
    }
}

fn around((x, y): (f64, f64), radius: f64) -> Vec<Position> {
    let away = radius + 5.0;
    vec![
        (x + away, y + 4.0, Anchor::Start),
        (x - away, y + 4.0, Anchor::End),
        (x, y - away - 2.0, Anchor::Middle),
        (x, y + away + 10.0, Anchor::Middle),
    ]
}
