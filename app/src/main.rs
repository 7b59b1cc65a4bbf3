//! Pipeloft: command line, or the window.

use pipeloft::cli;
use std::process::ExitCode;

fn main() -> ExitCode {
    let command = match cli::parse(std::env::args_os().skip(1)) {
        Ok(command) => command,
        Err(sentence) => {
            cli::complain(&sentence);
            return ExitCode::from(2);
        }
    };
    match cli::run(&command) {
        Some(code) => ExitCode::from(code),
        None => ExitCode::SUCCESS,
    }
}
