//! Files: demos, bad files, damaged files, and the command line that reads them.

mod bad_files;
mod command_line;
mod damage;
mod demos;
mod sample;
mod sawn;
