//! Page models become files. The only stage that writes to disk.
