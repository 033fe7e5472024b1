//! Every caution the record raises, gravest first.

use serde::Serialize;

use super::parts::*;

/// `cautions.html`.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CautionsPage {
    pub standfirst: String,
    pub people: Vec<CautionBlock>,
    pub animals: Vec<CautionBlock>,
    pub check: Vec<CautionBlock>,
    /// Read and answered by the keeper.
    pub acknowledged: Vec<CautionBlock>,
    /// Chemicals, where they stand and whether locked.
    pub chemicals: Option<Table>,
    /// Whom the page defers to.
    pub defer: Vec<String>,
    pub figures: Vec<FigureRow>,
}
