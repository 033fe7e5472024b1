//! Charts: plain data becomes SVG whose marks carry classes, never colours, so that a style sheet dresses them.

mod input;

pub use input::*;
