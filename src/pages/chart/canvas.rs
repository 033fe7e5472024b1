//! The sheet a chart is drawn on: shapes with class names, handed to Plotters and dressed as SVG at the end.
//!
//! Plotters draws in whole pixels and in colours. The sheet is therefore ten times the size of the drawing, which
//! gives a tenth of a unit, and every class has a colour of its own that `dress` turns back into the class.

use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, IntoFont, RGBColor, ShapeStyle, TextStyle};

use super::dress;

/// Where a text stands relative to its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// What frames a finished drawing.
pub(super) struct Frame<'a> {
    /// `wide`, `narrow` or `multiple`.
    pub kind: &'a str,
    /// Stem of every id in the drawing.
    pub id: String,
    pub title: &'a str,
    pub description: &'a str,
}

/// Shapes in the order in which they cover one another.
pub(super) struct Canvas {
    width: f64,
    classes: Vec<String>,
    shapes: Vec<(usize, Shape)>,
}

enum Shape {
    Line([f64; 4]),
    Rect([f64; 4]),
    Circle([f64; 3]),
    Path(Vec<(f64, f64)>),
    Polygon(Vec<(f64, f64)>),
    Text(f64, f64, Anchor, String),
}

/// Pixels of the sheet to a unit of the drawing.
const SCALE: f64 = 10.0;

impl Canvas {
    pub fn new(width: f64) -> Canvas {
        Canvas { width, classes: Vec::new(), shapes: Vec::new() }
    }

    pub fn line(&mut self, class: &str, x1: f64, y1: f64, x2: f64, y2: f64) {
        self.push(class, Shape::Line([x1, y1, x2, y2]));
    }

    pub fn rect(&mut self, class: &str, x: f64, y: f64, width: f64, height: f64) {
        self.push(class, Shape::Rect([x, y, width, height]));
    }

    pub fn circle(&mut self, class: &str, x: f64, y: f64, radius: f64) {
        self.push(class, Shape::Circle([x, y, radius]));
    }

    pub fn path(&mut self, class: &str, points: Vec<(f64, f64)>) {
        self.push(class, Shape::Path(points));
    }

    pub fn polygon(&mut self, class: &str, points: Vec<(f64, f64)>) {
        self.push(class, Shape::Polygon(points));
    }

    /// `y` is the baseline.
    pub fn text(&mut self, class: &str, x: f64, y: f64, anchor: Anchor, text: &str) {
        if !text.trim().is_empty() {
            let text = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            self.push(class, Shape::Text(x, y, anchor, text));
        }
    }

    fn push(&mut self, class: &str, shape: Shape) {
        let index = match self.classes.iter().position(|known| known == class) {
            Some(index) => index,
            None => {
                self.classes.push(class.to_string());
                self.classes.len() - 1
            }
        };
        self.shapes.push((index, shape));
    }

    /// The drawing as SVG, `height` units high.
    pub fn finish(self, height: f64, frame: &Frame) -> String {
        let mut raw = String::new();
        let size = (pixel(self.width).max(1) as u32, pixel(height).max(1) as u32);
        let mut backend = SVGBackend::with_string(&mut raw, size);
        for (class, shape) in &self.shapes {
            draw(&mut backend, *class, shape);
        }
        // What is not presented is finished when dropped, and neither can fail on a string.
        drop(backend);
        dress::dress(&raw, &self.classes, frame)
    }
}

fn draw(backend: &mut SVGBackend, class: usize, shape: &Shape) {
    let color = placeholder(class);
    let line = ShapeStyle { color: color.to_rgba(), filled: false, stroke_width: 1 };
    let filled = ShapeStyle { filled: true, ..line };
    let point = |(x, y): &(f64, f64)| (pixel(*x), pixel(*y));
    let drawn = match shape {
        Shape::Line([x1, y1, x2, y2]) => backend.draw_line((pixel(*x1), pixel(*y1)), (pixel(*x2), pixel(*y2)), &line),
        Shape::Rect([x, y, width, height]) => {
            let corner = (pixel(x + width), pixel(y + height));
            backend.draw_rect((pixel(*x), pixel(*y)), corner, &filled, true)
        }
        Shape::Circle([x, y, radius]) => {
            let radius = pixel(*radius).max(0) as u32;
            backend.draw_circle((pixel(*x), pixel(*y)), radius, &filled, true)
        }
        Shape::Path(points) => backend.draw_path(points.iter().map(point), &line),
        Shape::Polygon(points) => backend.fill_polygon(points.iter().map(point), &filled),
        Shape::Text(x, y, anchor, text) => {
            let position = match anchor {
                Anchor::Start => HPos::Left,
                Anchor::Middle => HPos::Center,
                Anchor::End => HPos::Right,
            };
            let style =
                TextStyle::from(("sans-serif", 12).into_font()).color(&color).pos(Pos::new(position, VPos::Bottom));
            backend.draw_text(text, &style, (pixel(*x), pixel(*y)))
        }
    };
    debug_assert!(drawn.is_ok(), "drawing into a string cannot fail");
}

/// The colour that stands for a class until `dress` names it.
pub(super) fn placeholder(class: usize) -> RGBColor {
    RGBColor((class >> 16) as u8, (class >> 8) as u8, class as u8)
}

/// Beyond these the drawing would lie far outside any screen; sums of pixels must not overflow.
const FARTHEST: f64 = 1e7;

fn pixel(unit: f64) -> i32 {
    let pixel = (unit * SCALE).round();
    if pixel.is_finite() { pixel.clamp(-FARTHEST, FARTHEST) as i32 } else { 0 }
}
