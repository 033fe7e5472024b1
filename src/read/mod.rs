//! A folder on disk becomes documents with their places (file, line, column). The only stage that opens input.
