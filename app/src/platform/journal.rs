//! The log: what happened and when, in a file of its own, for whoever has to find out why something went wrong.

use log::{LevelFilter, Log, Metadata, Record};
use std::fs::{File, OpenOptions};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::{SystemTime, UNIX_EPOCH};

/// A file that is longer is put aside and begun anew, bytes; so two of them are the most there is.
const MOST_BYTES: u64 = 256_000;

/// How the crates of this program begin; of others, only what they warn of is written.
const OURS: &str = "pipeloft";

/// Writes the log.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    level: LevelFilter,
    file: Mutex<Option<File>>,
}

impl Journal {
    /// Into the file at `path`, up to that level. Nothing is written, and nothing said, where that cannot be: a log is
    /// no reason to stop work.
    pub fn at(path: PathBuf, level: LevelFilter) -> Self {
        Self { path, level, file: Mutex::default() }
    }

    fn write(&self, line: &str) {
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let full = file.as_ref().and_then(|f| f.metadata().ok()).is_some_and(|m| m.len() > MOST_BYTES);
        if full {
            *file = None;
        }
        if file.is_none() {
            *file = opened(&self.path);
        }
        if let Some(file) = file.as_mut() {
            // in one piece, for other windows write into the same file
            let _unheard = file.write_all(line.as_bytes());
        }
    }
}

/// The file, put aside first where it is full.
fn opened(path: &Path) -> Option<File> {
    std::fs::create_dir_all(path.parent()?).ok()?;
    if std::fs::metadata(path).is_ok_and(|m| m.len() > MOST_BYTES) {
        // where that fails it grows on
        let _full = std::fs::rename(path, path.with_extension("log.before"));
    }
    OpenOptions::new().append(true).create(true).open(path).ok()
}

impl Log for Journal {
    fn enabled(&self, about: &Metadata<'_>) -> bool {
        let most =
            if about.target().starts_with(OURS) { self.level } else { self.level.min(LevelFilter::Warn) };
        about.level() <= most
    }

    fn log(&self, record: &Record<'_>) {
        if self.enabled(record.metadata()) {
            let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
            let (at, process) = (utc(now), std::process::id());
            self.write(&format!(
                "{at} {process} {:5} {}: {}\n",
                record.level(),
                record.target(),
                record.args()
            ));
        }
    }

    fn flush(&self) {}
}

/// Date and time of the world clock, from seconds since 1970. Years as the Gregorian calendar counts them; from 1 March
/// on, so that a leap day is a year's last (own arithmetic, tested against known dates).
fn utc(seconds: u64) -> String {
    let (days, rest) = (seconds / 86_400, seconds % 86_400);
    // 400 years have 146 097 days; 719 468 lie between 1 March of year 0 and 1970
    let shifted = days + 719_468;
    let (era, day) = (shifted / 146_097, shifted % 146_097);
    let year_of_era = (day - day / 1_460 + day / 36_524 - day / 146_096) / 365;
    let day_of_year = day - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + 400 * era + u64::from(month <= 2);
    let (hour, minute, second) = (rest / 3600, rest / 60 % 60, rest % 60);
    format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
}

/// The day of the world clock, as it stands on prints: `2026-12-01`.
pub fn today() -> String {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    utc(now).split('T').next().unwrap_or_default().to_owned()
}

/// Begins the log in the folder the system has for it.
pub fn start_log(level: LevelFilter) {
    let Some(folder) = super::state_folder() else { return };
    let journal = Journal::at(folder.join("pipeloft.log"), level);
    // a program that has a log already keeps it
    if log::set_boxed_logger(Box::new(journal)).is_ok() {
        log::set_max_level(level);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use log::Level;

    #[test]
    fn dates_are_those_of_the_calendar() {
        // from the calendar: leap years by 4, not by 100, but by 400
        for (seconds, wanted) in [
            (0, "1970-01-01T00:00:00Z"),
            (951_782_399, "2000-02-28T23:59:59Z"),
            (951_782_400, "2000-02-29T00:00:00Z"),
            (951_868_800, "2000-03-01T00:00:00Z"),
            (1_000_000_000, "2001-09-09T01:46:40Z"),
            (1_709_164_800, "2024-02-29T00:00:00Z"),
            (4_107_542_400, "2100-03-01T00:00:00Z"),
        ] {
            assert_eq!(utc(seconds), wanted);
        }
    }

    #[test]
    fn levels_count_and_a_full_file_is_put_aside_once() {
        let folder = std::env::temp_dir().join(format!("pipeloft-log-{}", std::process::id()));
        let path = folder.join("state").join("pipeloft.log");
        let journal = Journal::at(path.clone(), LevelFilter::Info);
        let say = |target: &str, level, words: &str| {
            journal.log(&Record::builder().target(target).level(level).args(format_args!("{words}")).build());
        };
        say("pipeloft::app", Level::Info, "opened");
        say("pipeloft::app", Level::Debug, "too much");
        say("other", Level::Info, "chatter");
        say("other", Level::Warn, "trouble");
        let text = std::fs::read_to_string(&path).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 2, "{text}");
        assert!(lines[0].ends_with("INFO  pipeloft::app: opened") && lines[1].ends_with("other: trouble"));
        for _ in 0..1000 {
            say("pipeloft::app", Level::Info, &"x".repeat(1000));
        }
        let long = |path: &Path| std::fs::metadata(path).unwrap().len();
        assert!(long(&path) < MOST_BYTES + 2_000);
        assert!(long(&path.with_extension("log.before")) < MOST_BYTES + 2_000);
        assert_eq!(std::fs::read_dir(path.parent().unwrap()).unwrap().count(), 2);
        std::fs::remove_dir_all(folder).unwrap();
    }
}
