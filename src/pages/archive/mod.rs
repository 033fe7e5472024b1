//! The archive: the record as tidy tables that explain themselves, and the texts that go with them.

mod darwin;
mod hand_over;
mod loss;
mod package;
mod plain;
mod readme;
mod sheet_text;
mod spoken;
mod statement;
mod tables;
mod tidy;

pub use hand_over::hand_over;
pub use loss::{LossReport, loss_report, with_checksums};
pub use package::descriptor;
pub use readme::{Contents, readme};
pub use sheet_text::sheet_text;
pub use statement::{LeftOut, statement};
pub use tables::tables;
pub use tidy::{Field, FieldKind, Foreign, TidyTable};
