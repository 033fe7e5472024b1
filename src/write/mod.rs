//! Page models become files. The only stage that writes to disk.

/// Page models become HTML.
pub mod render;
/// Numbers tied to their units.
mod typeset;

/// Colours, type, style sheets and templates.
pub mod theme;

/// The icon.
pub mod mark;

/// Photos, upright and without metadata, in a few widths.
pub mod photos;

/// Pages that stand alone.
pub mod alone;

/// The archive's folder with its lists of checksums.
pub mod bag;

/// Photos inside a page.
pub mod embed;

/// Events for a calendar.
pub mod calendar;

/// Knowing when nothing has changed.
pub mod cache;

/// Swapping an edition in.
pub mod publish;

/// Letting open pages follow a record that is being worked on.
pub mod refresh;

/// Several texts into one folder.
pub mod texts;

/// A new record for a new keeper.
pub mod begin;

/// A new entry or colony in the keeper's own record.
pub mod enter;
/// Asking for what an entry holds, line by line.
pub mod prompt;
