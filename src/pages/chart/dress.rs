//! Turns what Plotters wrote into the SVG of a page: classes for placeholder colours, tenths of a unit for pixels, no
//! fonts, no widths, neighbours of one kind joined in one path, and a title and description in front.

use std::fmt::Write as _;

use super::canvas::{Frame, placeholder};
use crate::pages::markup::escape;

/// Marks of one shape in a row from this count on become one path with a marker, a quarter of the size.
const MARKERS_FROM: usize = 5;

#[derive(Debug, Clone, PartialEq)]
struct Element {
    class: usize,
    shape: Shape,
}

/// All lengths in tenths of a unit.
#[derive(Debug, Clone, PartialEq)]
enum Shape {
    Line([i64; 4]),
    Rect([i64; 4]),
    Circle([i64; 3]),
    Path(Vec<(i64, i64)>),
    Polygon(Vec<(i64, i64)>),
    /// Position, `text-anchor`, escaped content.
    Text(i64, i64, String, String),
}

pub(super) fn dress(raw: &str, classes: &[String], frame: &Frame) -> String {
    let (width, height, elements) = parse(raw, classes.len());
    let id = &frame.id;
    let mut body = String::new();
    let mut definitions = String::new();
    if classes.iter().any(|class| is_hatched(class)) {
        let _ = write!(
            definitions,
            "<pattern id=\"{id}-h\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate(45)\"><line class=\"hatch\" x1=\"0\" y1=\"0\" x2=\"0\" y2=\"6\"/></pattern>"
        );
    }
    let mut markers = 0;
    let mut rest = elements.as_slice();
    while let Some(first) = rest.first() {
        let mark = is_mark(&classes[first.class]);
        let run = rest.iter().take_while(|next| joins(first, next, mark)).count().max(1);
        let (together, after) = rest.split_at(run);
        rest = after;
        let class = escape(&classes[first.class]);
        match &first.shape {
            Shape::Line(_) if run > 1 => push_lines(&mut body, &class, together),
            Shape::Rect(_) if run > 1 && !mark && !is_hatched(&class) => push_rects(&mut body, &class, together),
            _ if run >= MARKERS_FROM && mark => {
                let marker = format!("{id}-m{markers}");
                markers += 1;
                push_marker(&mut definitions, &marker, &class, &first.shape);
                push_marked(&mut body, &marker, together);
            }
            _ => {
                for element in together {
                    push_element(&mut body, &class, id, &element.shape);
                }
            }
        }
    }
    let mut svg = format!(
        "<svg class=\"chart {}\" viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"{id}-t {id}-d\">\
         <title id=\"{id}-t\">{}</title><desc id=\"{id}-d\">{}</desc>",
        escape(frame.kind),
        tenths(width),
        tenths(height),
        escape(frame.title),
        escape(frame.description),
    );
    if !definitions.is_empty() {
        let _ = write!(svg, "<defs>{definitions}</defs>");
    }
    svg.push('\n');
    svg.push_str(&body);
    svg.push_str("</svg>\n");
    svg
}

fn is_mark(class: &str) -> bool {
    matches!(class.split(' ').next(), Some("pt" | "cens"))
}

fn is_hatched(class: &str) -> bool {
    matches!(class.split(' ').next(), Some("gap"))
}

/// Whether a neighbour may share a path or a marker.
fn joins(first: &Element, next: &Element, mark: bool) -> bool {
    first.class == next.class
        && match (&first.shape, &next.shape) {
            (Shape::Line(_), Shape::Line(_)) | (Shape::Text(..), Shape::Text(..)) => true,
            (Shape::Rect(one), Shape::Rect(other)) => !mark || one[2..] == other[2..],
            (Shape::Circle(one), Shape::Circle(other)) => one[2] == other[2],
            (Shape::Polygon(one), Shape::Polygon(other)) => offsets(one) == offsets(other),
            _ => false,
        }
}

/// A polygon's corners relative to its first.
fn offsets(points: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let origin = points.first().copied().unwrap_or_default();
    points.iter().map(|point| (point.0 - origin.0, point.1 - origin.1)).collect()
}

/// The point of a mark that its marker is hung on.
fn hook(shape: &Shape) -> (i64, i64) {
    match shape {
        Shape::Circle([x, y, _]) | Shape::Rect([x, y, ..]) | Shape::Line([x, y, ..]) => (*x, *y),
        Shape::Path(points) | Shape::Polygon(points) => points.first().copied().unwrap_or_default(),
        Shape::Text(x, y, ..) => (*x, *y),
    }
}

fn push_marker(definitions: &mut String, marker: &str, class: &str, shape: &Shape) {
    let mut at_origin = shape.clone();
    match &mut at_origin {
        Shape::Circle(circle) => (circle[0], circle[1]) = (0, 0),
        Shape::Rect(rect) => (rect[0], rect[1]) = (0, 0),
        Shape::Polygon(points) => *points = offsets(points),
        _ => {}
    }
    let _ = write!(
        definitions,
        "<marker id=\"{marker}\" markerUnits=\"userSpaceOnUse\" markerWidth=\"9\" markerHeight=\"9\" overflow=\"visible\">"
    );
    push_element(definitions, class, marker, &at_origin);
    definitions.truncate(definitions.trim_end().len());
    definitions.push_str("</marker>");
}

fn push_marked(body: &mut String, marker: &str, together: &[Element]) {
    let points: Vec<_> = together.iter().map(|element| hook(&element.shape)).collect();
    let _ = writeln!(
        body,
        "<path class=\"marks\" fill=\"none\" marker-start=\"url(#{marker})\" marker-mid=\"url(#{marker})\" \
         marker-end=\"url(#{marker})\" d=\"{}\"/>",
        path_data(&points, false)
    );
}

fn push_lines(body: &mut String, class: &str, together: &[Element]) {
    let mut data = String::new();
    let mut pen = (0, 0);
    for element in together {
        let Shape::Line([x1, y1, x2, y2]) = element.shape else {
            continue;
        };
        push_move(&mut data, pen, (x1, y1));
        match (x2 - x1, y2 - y1) {
            (0, dy) => push_numbers(&mut data, 'v', &[dy]),
            (dx, 0) => push_numbers(&mut data, 'h', &[dx]),
            (dx, dy) => push_numbers(&mut data, 'l', &[dx, dy]),
        }
        pen = (x2, y2);
    }
    let _ = writeln!(body, "<path class=\"{class}\" d=\"{data}\"/>");
}

fn push_rects(body: &mut String, class: &str, together: &[Element]) {
    let mut data = String::new();
    let mut pen = (0, 0);
    for element in together {
        let Shape::Rect([x, y, width, height]) = element.shape else {
            continue;
        };
        push_move(&mut data, pen, (x, y));
        push_numbers(&mut data, 'h', &[width]);
        push_numbers(&mut data, 'v', &[height]);
        push_numbers(&mut data, 'h', &[-width]);
        data.push('z');
        pen = (x, y);
    }
    let _ = writeln!(body, "<path class=\"{class}\" d=\"{data}\"/>");
}

fn push_move(data: &mut String, pen: (i64, i64), to: (i64, i64)) {
    if data.is_empty() {
        push_numbers(data, 'M', &[to.0, to.1]);
    } else {
        push_numbers(data, 'm', &[to.0 - pen.0, to.1 - pen.1]);
    }
}

fn push_numbers(data: &mut String, command: char, numbers: &[i64]) {
    data.push(command);
    for (index, value) in numbers.iter().enumerate() {
        // A minus divides two numbers as well as a space does.
        if index > 0 && *value >= 0 {
            data.push(' ');
        }
        data.push_str(&tenths(*value));
    }
}

fn path_data(points: &[(i64, i64)], closed: bool) -> String {
    let mut data = String::new();
    let mut pen = (0, 0);
    for (index, point) in points.iter().enumerate() {
        if index == 0 {
            push_numbers(&mut data, 'M', &[point.0, point.1]);
        } else {
            push_numbers(&mut data, 'l', &[point.0 - pen.0, point.1 - pen.1]);
        }
        pen = *point;
    }
    if closed {
        data.push('z');
    }
    data
}

/// How far a point may lie off a straight line and still be left out, in tenths of a unit: less than can be seen.
const STRAIGHT: f64 = 0.6;

/// The points less those on the way between their neighbours.
fn straightened(points: &[(i64, i64)]) -> Vec<(i64, i64)> {
    let mut kept: Vec<(i64, i64)> = Vec::with_capacity(points.len());
    // Those passed over since the last one that was kept.
    let mut passed: Vec<(i64, i64)> = Vec::new();
    for point in points {
        let Some(from) = kept.last().copied() else {
            kept.push(*point);
            continue;
        };
        let is_on_the_way = |middle: &(i64, i64)| {
            let (ax, ay) = ((point.0 - from.0) as f64, (point.1 - from.1) as f64);
            let (bx, by) = ((middle.0 - from.0) as f64, (middle.1 - from.1) as f64);
            let (length, along) = (ax.hypot(ay), ax * bx + ay * by);
            length > 0.0 && (0.0..=length * length).contains(&along) && (ax * by - ay * bx).abs() <= STRAIGHT * length
        };
        if !passed.iter().all(is_on_the_way) {
            kept.extend(passed.last());
            passed.clear();
        }
        passed.push(*point);
    }
    kept.extend(passed.last());
    kept
}

fn push_element(body: &mut String, class: &str, id: &str, shape: &Shape) {
    let t = |value: &i64| tenths(*value);
    let _ = match shape {
        Shape::Line([x1, y1, x2, y2]) => writeln!(
            body,
            "<line class=\"{class}\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"/>",
            t(x1),
            t(y1),
            t(x2),
            t(y2)
        ),
        Shape::Rect([x, y, width, height]) => {
            let fill = if is_hatched(class) { format!(" fill=\"url(#{id}-h)\"") } else { String::new() };
            writeln!(
                body,
                "<rect class=\"{class}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{fill}/>",
                t(x),
                t(y),
                t(width),
                t(height)
            )
        }
        Shape::Circle([x, y, radius]) => {
            writeln!(body, "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>", t(x), t(y), t(radius))
        }
        Shape::Path(points) => {
            writeln!(body, "<path class=\"{class}\" d=\"{}\"/>", path_data(&straightened(points), false))
        }
        Shape::Polygon(points) => {
            let fill = if is_hatched(class) { format!(" fill=\"url(#{id}-h)\"") } else { String::new() };
            writeln!(body, "<path class=\"{class}\" d=\"{}\"{fill}/>", path_data(&straightened(points), true))
        }
        Shape::Text(x, y, anchor, content) => {
            let anchor = match anchor.as_str() {
                "start" => String::new(),
                other => format!(" text-anchor=\"{other}\""),
            };
            writeln!(body, "<text class=\"{class}\" x=\"{}\" y=\"{}\"{anchor}>{content}</text>", t(x), t(y))
        }
    };
}

/// Tenths of a unit as a number: 591 is `59.1`, 5910 is `591`.
fn tenths(value: i64) -> String {
    let sign = if value < 0 { "-" } else { "" };
    let (whole, tenth) = (value.abs() / 10, value.abs() % 10);
    if tenth == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{tenth}") }
}

/// Reads Plotters' own output: one tag a line, a text's content on the line below its tag.
fn parse(raw: &str, class_count: usize) -> (i64, i64, Vec<Element>) {
    let colors: Vec<String> = (0..class_count)
        .map(|class| {
            let color = placeholder(class);
            format!("#{:02X}{:02X}{:02X}", color.0, color.1, color.2)
        })
        .collect();
    let (mut width, mut height) = (0, 0);
    let mut elements = Vec::new();
    let mut lines = raw.lines();
    while let Some(line) = lines.next() {
        let Some(tag) = line.strip_prefix('<').filter(|tag| !tag.starts_with('/')) else {
            continue;
        };
        let name = tag.split([' ', '>']).next().unwrap_or_default();
        let attribute = |key: &str| {
            let start = tag.find(&format!(" {key}=\""))? + key.len() + 3;
            let length = tag[start..].find('"')?;
            Some(&tag[start..start + length])
        };
        let length = |key: &str| attribute(key).and_then(|text| text.parse().ok()).unwrap_or(0i64);
        if name == "svg" {
            (width, height) = (length("width"), length("height"));
            continue;
        }
        let color = [attribute("stroke"), attribute("fill")].into_iter().flatten().find(|color| *color != "none");
        let Some(class) = colors.iter().position(|known| Some(known.as_str()) == color) else {
            continue;
        };
        let points = || {
            attribute("points")
                .unwrap_or_default()
                .split_whitespace()
                .filter_map(|pair| {
                    let (x, y) = pair.split_once(',')?;
                    Some((x.parse().ok()?, y.parse().ok()?))
                })
                .collect::<Vec<(i64, i64)>>()
        };
        let shape = match name {
            "line" => Shape::Line([length("x1"), length("y1"), length("x2"), length("y2")]),
            "rect" => Shape::Rect([length("x"), length("y"), length("width"), length("height")]),
            "circle" => Shape::Circle([length("cx"), length("cy"), length("r")]),
            "polyline" => Shape::Path(points()),
            "polygon" => Shape::Polygon(points()),
            "text" => Shape::Text(
                length("x"),
                length("y"),
                attribute("text-anchor").unwrap_or("start").to_string(),
                lines.next().unwrap_or_default().replace("&apos;", "'").to_string(),
            ),
            _ => continue,
        };
        elements.push(Element { class, shape });
    }
    (width, height, elements)
}

#[cfg(test)]
mod tests {
    use super::super::canvas::{Anchor, Canvas};
    use super::*;

    fn frame() -> Frame<'static> {
        Frame { kind: "wide", id: "c-x".into(), title: "A & B", description: "" }
    }

    #[test]
    fn colours_become_classes_and_pixels_tenths() {
        let mut canvas = Canvas::new(100.0);
        canvas.line("axis", 0.0, 10.04, 20.06, 10.0);
        canvas.text("tick", 5.0, 5.0, Anchor::Middle, "a < 'b'");
        let svg = canvas.finish(50.0, &frame());
        assert_eq!(
            svg,
            "<svg class=\"chart wide\" viewBox=\"0 0 100 50\" role=\"img\" aria-labelledby=\"c-x-t c-x-d\">\
             <title id=\"c-x-t\">A &amp; B</title><desc id=\"c-x-d\"></desc>\n\
             <line class=\"axis\" x1=\"0\" y1=\"10\" x2=\"20.1\" y2=\"10\"/>\n\
             <text class=\"tick\" x=\"5\" y=\"5\" text-anchor=\"middle\">a &lt; 'b'</text>\n</svg>\n"
        );
    }

    #[test]
    fn points_on_a_straight_line_are_left_out_and_no_other() {
        // Round a frame, in steps that rounding makes uneven.
        let frame = [(0, 0), (167, 0), (333, 0), (500, 0), (500, 163), (500, 327), (0, 327), (0, 164), (0, 0)];
        assert_eq!(straightened(&frame), [(0, 0), (500, 0), (500, 327), (0, 327), (0, 0)]);
        let there_and_back = [(0, 0), (300, 0), (100, 0)];
        assert_eq!(straightened(&there_and_back), there_and_back);
        assert_eq!(straightened(&[(5, 5)]), [(5, 5)]);
        // A wide arc: no point that is left out lies further than the limit from what is drawn.
        let arc: Vec<(i64, i64)> = (0..=900)
            .map(|step| f64::from(step).to_radians() / 10.0)
            .map(|angle| ((4000.0 * angle.cos()).round() as i64, (4000.0 * angle.sin()).round() as i64))
            .collect();
        let drawn = straightened(&arc);
        assert!(drawn.len() < arc.len() / 2, "{} of {}", drawn.len(), arc.len());
        let off = |point: &(i64, i64)| {
            drawn
                .windows(2)
                .map(|pair| {
                    let (ax, ay) = ((pair[1].0 - pair[0].0) as f64, (pair[1].1 - pair[0].1) as f64);
                    let (bx, by) = ((point.0 - pair[0].0) as f64, (point.1 - pair[0].1) as f64);
                    let share = ((ax * bx + ay * by) / (ax * ax + ay * ay)).clamp(0.0, 1.0);
                    (bx - share * ax).hypot(by - share * ay)
                })
                .fold(f64::INFINITY, f64::min)
        };
        assert!(arc.iter().all(|point| off(point) <= STRAIGHT + 1e-9));
    }

    #[test]
    fn a_row_of_marks_becomes_one_path_that_ends_where_the_last_mark_stands() {
        let mut canvas = Canvas::new(100.0);
        for step in 0..6 {
            canvas.circle("pt a", 10.0 + f64::from(step) * 3.3, 20.0 - f64::from(step), 3.4);
        }
        let svg = canvas.finish(50.0, &frame());
        assert!(svg.contains("<circle class=\"pt a\" cx=\"0\" cy=\"0\" r=\"3.4\"/></marker>"));
        assert!(svg.contains("d=\"M10 20l3.3-1l3.3-1l3.3-1l3.3-1l3.3-1\""), "{svg}");
    }

    #[test]
    fn lines_of_one_class_share_a_path() {
        let mut canvas = Canvas::new(100.0);
        canvas.line("err a", 10.0, 30.0, 10.0, 20.0);
        canvas.line("err a", 15.5, 30.0, 15.5, 25.0);
        let svg = canvas.finish(50.0, &frame());
        assert!(svg.contains("<path class=\"err a\" d=\"M10 30v-10m5.5 10v-5\"/>"), "{svg}");
    }
}
