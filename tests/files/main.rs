//! Files: demos, bad files, damaged files, and the command line that reads them.

#![expect(clippy::unwrap_used, reason = "tests")]

mod again;
mod bad_files;
mod command_line;
mod damage;
mod demos;
mod everything;
mod hostile;
mod numbers;
mod sample;
mod sawn;
