//! Figures become page models (plain data) and charts, per edition.
