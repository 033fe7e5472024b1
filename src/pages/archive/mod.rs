//! The archive: the record as tidy tables that explain themselves, and the texts that go with them.

mod darwin;
mod package;
mod readme;
mod tables;
mod tidy;

pub use package::{descriptor, files};
pub use readme::{Contents, readme};
pub use tables::tables;
pub use tidy::{Field, FieldKind, Foreign, TidyTable};
