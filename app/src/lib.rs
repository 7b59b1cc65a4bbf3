//! The window of Pipeloft and its command line.

pub mod cli;
