//! Rules that read the record and its figures and raise cautions.
