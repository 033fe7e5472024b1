//! The typed record, with links between documents resolved and every mistake turned into a diagnostic.
