//! A folder on disk becomes documents with their places (file, line, column). The only stage that opens input.

mod csv_rows;
mod entries;
mod explain;
mod folder;
mod node;
mod notation;
mod photo;
mod redact;
mod walk;
mod yaml;

pub use csv_rows::for_each_row;
pub use entries::parse_entries;
pub use explain::is_curly_quoted;
pub use folder::{Body, Document, DocumentKind, Folder, read_folder};
pub use node::{Content, Node, key_name};
pub use notation::cut_by_comment;
pub use photo::{PhotoFile, PhotoFormat, PhotoHeader};
pub use redact::{is_private, private_lines, private_values, public_lines, redacted_lines};
pub use walk::all_files;
pub use yaml::parse_yaml;
