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
    let project = match command {
        cli::Command::Window(ref project) => project.clone(),
        _ => return ExitCode::from(cli::run(&command).unwrap_or(2)),
    };
    match pipeloft::open_window(project) {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            cli::complain(&sentence);
            ExitCode::from(2)
        }
    }
}
