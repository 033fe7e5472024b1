//! A folder on disk becomes documents with their places (file, line, column). The only stage that opens input.

mod csv_rows;
mod explain;
mod folder;
mod node;
mod photo;
mod redact;
mod walk;
mod yaml;

pub use csv_rows::for_each_row;
pub use folder::{Body, Document, DocumentKind, Folder, read_folder};
pub use node::{Content, Node, key_name};
pub use photo::{PhotoFile, PhotoFormat, PhotoHeader};
pub use redact::{is_private, private_lines, redacted_lines};
pub use walk::all_files;
pub use yaml::{cut_by_comment, parse_entries, parse_yaml};
