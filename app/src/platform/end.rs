//! The end of the program that nobody asked for: a panic, or the system that stops it. Unsaved work is copied first.

use super::recovery::LastChance;

/// From now on, work is copied and a line logged before the program goes down.
pub fn guard(last_chance: &LastChance) {
    let (at_panic, at_signal) = (last_chance.clone(), last_chance.clone());
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |panic| {
        // what is being worked on comes first; saying what happened may fail too
        at_panic.write();
        let thread = std::thread::current();
        let trace = std::backtrace::Backtrace::force_capture();
        log::error!("thread {}: {panic}\n{trace}", thread.name().unwrap_or("without a name"));
        before(panic);
    }));
    watch_signals(at_signal);
}

/// Waits in a thread for the signals that end a program, and lets them do so when the work is copied.
#[cfg(unix)]
fn watch_signals(last_chance: LastChance) {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    let mut signals = match signal_hook::iterator::Signals::new([SIGHUP, SIGINT, SIGTERM]) {
        Ok(signals) => signals,
        Err(error) => {
            log::warn!("signals are not waited for: {error}");
            return;
        }
    };
    let wait = move || {
        for signal in signals.forever() {
            last_chance.write();
            log::warn!("ended by signal {signal}");
            if let Err(error) = signal_hook::low_level::emulate_default_handler(signal) {
                log::error!("signal {signal} could not end the program: {error}");
            }
        }
    };
    if let Err(error) = std::thread::Builder::new().name("signals".to_owned()).spawn(wait) {
        log::warn!("signals are not waited for: {error}");
    }
}

/// Elsewhere, the copy that is written every few seconds has to do.
#[cfg(not(unix))]
fn watch_signals(_last_chance: LastChance) {}
