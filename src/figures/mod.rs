//! The record becomes figures, using science: values with provenance and uncertainty.
