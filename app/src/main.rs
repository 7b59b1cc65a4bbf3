//! Pipeloft: command line, or the window.

use pipeloft::{cli, platform};
use std::process::ExitCode;

fn main() -> ExitCode {
    let command = match cli::parse(std::env::args_os().skip(1)) {
        Ok(command) => command,
        Err(sentence) => {
            cli::complain(&sentence);
            return ExitCode::from(2);
        }
    };
    let (project, level) = match command {
        cli::Command::Window { ref project, log } => (project.clone(), log),
        _ => return ExitCode::from(cli::run(&command).unwrap_or(2)),
    };
    platform::start_log(level);
    match pipeloft::open_window(project) {
        Ok(()) => ExitCode::SUCCESS,
        Err(sentence) => {
            log::error!("{sentence}");
            cli::complain(&sentence);
            ExitCode::from(2)
        }
    }
}
