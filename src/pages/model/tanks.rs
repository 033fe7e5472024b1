//! The tanks of a record, when it holds several.

use serde::Serialize;

use super::parts::*;

/// `tanks.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct TanksPage {
    pub standfirst: String,
    pub tanks: Vec<TankCard>,
    /// Colonies that moved from one to another.
    pub moves: Vec<DatedText>,
}

/// A tank in a list.
#[derive(Debug, Clone, Default, Serialize)]
pub struct TankCard {
    pub name: String,
    pub href: String,
    pub about: String,
    pub photo: Option<Photo>,
    /// Size, water, since when, until when.
    pub facts: Vec<Fact>,
}
