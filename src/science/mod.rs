//! Pure formulas with their sources, one file a topic. Knows nothing of records, files or pages.
