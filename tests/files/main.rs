//! Files: demos, bad files, damaged files, and the command line that reads them.

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
