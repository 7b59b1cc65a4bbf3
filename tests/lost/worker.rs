//! The work of a window that is to be killed, and what it notes down of it.

use pipeloft::platform::{Recovery, Work, guard};
use pipeloft_core::file::{Stamp, load_stamped, save_text, to_text};
use pipeloft_core::model::Project;
use pipeloft_tests::dice::Dice;
use std::ffi::OsString;
use std::fs::{File, OpenOptions};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// Environment variable with the name of a window that is to work.
pub(crate) const NAME: &str = "PIPELOFT_LOST_WINDOW";

/// Environment variable that says to make one change and then to go down so, not to work on.
pub(crate) const END: &str = "PIPELOFT_LOST_END";

/// The change that stands in the name of a project, where that window made it.
pub(crate) fn number_of(window: &str, project: &str) -> Option<u64> {
    project.strip_prefix(window)?.trim().parse().ok()
}

/// What a window noted down.
pub(crate) struct Notes {
    /// Each change and when it was made, seconds since 1970.
    pub(crate) made: Vec<(u64, f64)>,
    /// The last change that was saved.
    pub(crate) saved: u64,
    /// Whether it waits to be ended.
    pub(crate) is_ready: bool,
}

impl Notes {
    /// A line that was cut off by the kill is none.
    pub(crate) fn read(path: &Path) -> Self {
        let text = std::fs::read_to_string(path).unwrap_or_default();
        let whole = text.rfind('\n').map_or("", |end| &text[..end]);
        let mut notes = Self { made: Vec::new(), saved: 0, is_ready: false };
        for line in whole.lines() {
            let parts: Vec<&str> = line.split(' ').collect();
            match parts[..] {
                ["made", number, at] => notes.made.push((number.parse().unwrap(), at.parse().unwrap())),
                ["ready"] => notes.is_ready = true,
                ["saved", number] => notes.saved = number.parse().unwrap(),
                _ => panic!("a note is {line}"),
            }
        }
        notes
    }
}

/// Makes changes as fast as a drag does, rests now and then, saves now and then, for a minute at the most.
pub(crate) fn work(name: &str, args: &mut dyn Iterator<Item = OsString>) {
    let mut next = || args.next().unwrap();
    let (state, file, notes) = (PathBuf::from(next()), PathBuf::from(next()), PathBuf::from(next()));
    let mut dice = Dice(next().to_string_lossy().parse().unwrap());
    let mut notes: File = OpenOptions::new().append(true).create(true).open(notes).unwrap();
    let mut recovery = Recovery::at(state);
    let (base, stamp) = load_stamped(&file).unwrap();
    let mut stamp = Some(stamp);
    let seconds = || SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_secs_f64();
    let end = std::env::var(END).ok();
    if end.is_some() {
        guard(&recovery.last_chance());
    }
    let (begin, mut number) = (seconds(), 0_u64);
    while seconds() < begin + 60.0 {
        number += 1;
        let project = Arc::new(Project { name: format!("{name} {number}"), ..base.clone() });
        // in one piece, so that a kill leaves whole lines
        notes.write_all(format!("made {number} {}\n", seconds()).as_bytes()).unwrap();
        recovery.follow(Some(Work {
            project: Arc::clone(&project),
            folder: file.parent().map(PathBuf::from),
            file: Some(file.clone()),
            stamp,
        }));
        match end.as_deref() {
            Some("panic") => {
                let panicked = std::thread::spawn(|| panic!("as the test wants it")).join();
                assert!(panicked.is_err());
                // nothing else gets to tidy up
                std::process::abort();
            }
            Some(_) => {
                notes.write_all(b"ready\n").unwrap();
                std::thread::sleep(Duration::from_mins(1));
            }
            None => {}
        }
        if dice.between(0.0, 1.0) < 0.01 {
            let text = to_text(&project).unwrap();
            save_text(&file, &text).unwrap();
            notes.write_all(format!("saved {number}\n").as_bytes()).unwrap();
            stamp = Some(Stamp::of(text.as_bytes()));
            recovery.follow(None);
        }
        let rest_s =
            if dice.between(0.0, 1.0) < 0.01 { dice.between(0.5, 3.0) } else { dice.between(0.01, 0.06) };
        std::thread::sleep(Duration::from_secs_f64(rest_s));
    }
}
