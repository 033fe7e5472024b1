//! A bar on the terminal for work that takes a while. Where nobody looks on, and for short work, there is none.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::pipeline::Progress;

/// Work shorter than this is done before anyone wonders.
const PATIENCE: Duration = Duration::from_millis(500);

pub struct Bar {
    bar: ProgressBar,
    since: Instant,
}

impl Bar {
    pub fn new() -> Bar {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        Bar { bar, since: Instant::now() }
    }

    /// The bar hides by itself where standard error is no terminal.
    fn show_if_long(&self) {
        if self.bar.is_hidden() && self.since.elapsed() > PATIENCE {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
    }
}

impl Progress for Bar {
    fn begin(&self, stage: &'static str, of: usize) {
        self.show_if_long();
        let shape = if of > 0 { "{msg} {wide_bar} {pos} of {len}" } else { "{msg}" };
        if let Ok(style) = ProgressStyle::with_template(shape) {
            self.bar.set_style(style.progress_chars("━╸ "));
        }
        self.bar.set_length(of as u64);
        self.bar.set_position(0);
        self.bar.set_message(stage);
    }

    fn step(&self) {
        self.show_if_long();
        self.bar.inc(1);
    }
}

impl Drop for Bar {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
