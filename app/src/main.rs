//! Pipeloft.
fn main() {}
