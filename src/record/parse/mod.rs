//! Documents become typed values, one file a kind. Nothing here looks at another document: links come after.

pub(super) mod colony;
mod compare;
mod electricity;
pub(super) mod equipment;
pub(super) mod log;
mod room;
mod sheet_power;
mod site;
pub(super) mod sitter;
pub(super) mod story;
pub(super) mod supply;
pub(super) mod survey;
pub(super) mod tank;
pub(super) mod upkeep;
