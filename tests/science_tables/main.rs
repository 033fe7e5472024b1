//! The formulas against tables made by independent libraries and printed in papers; see
//! `tests/reference/science/README.md`.

mod bibliography;
mod chemistry;
mod dissolved;
mod photons;
mod physics;
mod table;
mod tank;
mod trend;
mod water;
