//! Page models become files. The only stage that writes to disk.

/// Page models become HTML.
pub mod render;
/// Colours, type, style sheets and templates.
pub mod theme;
