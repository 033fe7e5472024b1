//! Charts: plain data becomes SVG whose marks carry classes, never colours, so that a style sheet dresses them.
//!
//! Every chart is drawn through Plotters onto a sheet of shapes with class names (`canvas`), and what Plotters writes
//! is turned into the SVG of a page (`dress`). Large charts are drawn twice, 940 and 340 units across; text is never
//! scaled far, and a container query in `charts.css` shows one of the two.

mod balance;
mod bars;
mod canvas;
mod contour;
mod dates;
mod day;
mod dress;
mod input;
mod labels;
mod lineage;
mod lines;
mod multiple;
mod plan;
mod plane;
mod readings;
mod rows;
mod scale;
mod sensor;
mod shares;
mod text;
mod time;
mod xy;

pub use balance::draw_balance;
pub use bars::draw_bars;
pub use day::draw_day_curve;
pub use input::*;
pub use lineage::{End, Evidence, Lineage, Member, draw_lineage};
pub use multiple::draw_multiple;
pub use plan::draw_plan;
pub use plane::draw_plane;
pub use shares::draw_shares;
pub use time::draw_time_chart;
pub use xy::draw_xy;

#[cfg(test)]
mod tests;
