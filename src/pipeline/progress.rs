//! How far long work has come, for whoever waits for it.

/// Told by the stages as they go. Photos are developed by several threads, so it is shared.
pub trait Progress: Sync {
    /// A stage begins; it will be told `of` steps, or none where they cannot be counted.
    fn begin(&self, stage: &'static str, of: usize);
    fn step(&self);
}

/// Tells nobody.
pub struct Quiet;

impl Progress for Quiet {
    fn begin(&self, _: &'static str, _: usize) {}
    fn step(&self) {}
}
