//! Windows that are killed while they change and save projects, by twos and alone: what is lost is told from what each
//! of them noted down.
//!
//! The windows are this same program, started again: they hand their work to the copies and write their files by the
//! calls the real window uses, at the pace of the real window. `PIPELOFT_KILLS` says how many are killed, else 20.
#![expect(clippy::unwrap_used, clippy::print_stderr, reason = "tests")]

mod worker;

use pipeloft::platform::Recovery;
use pipeloft_core::file::{load, save};
use pipeloft_tests::dice::Dice;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use worker::{Notes, number_of};

/// The most that may be lost, seconds.
const MOST_LOST_S: f64 = 5.0;

/// How the windows of a group are set up.
#[derive(Debug, Clone, Copy)]
enum Group {
    Alone,
    TwoFiles,
    OneFile,
}

/// A window that works until it is killed.
struct Window {
    name: String,
    file: PathBuf,
    notes: PathBuf,
    process: Child,
}

impl Window {
    fn start(folder: &Path, name: &str, file: &str, seed: u64, end: Option<&str>) -> Self {
        let file = folder.join(file);
        if !file.exists() {
            save(&file, &pipeloft::demos::ALL[0].open().unwrap()).unwrap();
        }
        let notes = folder.join(format!("{name}.txt"));
        let process = Command::new(std::env::current_exe().unwrap())
            .env(worker::NAME, name)
            .args([state(folder).as_os_str(), file.as_os_str(), notes.as_os_str()])
            .arg(seed.to_string())
            .envs(end.map(|end| (worker::END, end)))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        Self { name: name.to_owned(), file, notes, process }
    }

    /// Kills it where it stands. Returns when, seconds since 1970.
    fn kill(&mut self) -> f64 {
        assert!(self.process.try_wait().unwrap().is_none(), "{} ended by itself", self.name);
        let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_secs_f64();
        self.process.kill().unwrap();
        self.process.wait().unwrap();
        now
    }

    /// What is lost of its work, seconds, now that it is gone; everything that lies about is whole.
    fn lost_s(&self, killed_s: f64, recovery: &Recovery) -> f64 {
        let notes = Notes::read(&self.notes);
        let in_file = load(&self.file).unwrap_or_else(|e| panic!("the file is not whole: {e}"));
        let before = pipeloft_core::disk::before_path(&self.file);
        if before.exists() {
            load(&before).unwrap_or_else(|e| panic!("the earlier file is not whole: {e}"));
        }
        let mut kept = notes.saved;
        for copy in recovery.left_behind() {
            let project = copy.project.as_ref().unwrap_or_else(|e| panic!("a copy is not whole: {e}"));
            if let Some(number) = number_of(&self.name, &project.name) {
                assert_eq!(copy.file.as_ref(), Some(&self.file), "a copy knows its file");
                kept = kept.max(number);
            }
        }
        if let Some(number) = number_of(&self.name, &in_file.name) {
            assert!(number >= notes.saved, "the file holds {number}, and {} was saved", notes.saved);
            kept = kept.max(number);
        }
        let first_lost = notes.made.iter().find(|(number, _)| *number > kept);
        first_lost.map_or(0.0, |(_, at)| killed_s - at)
    }
}

fn state(folder: &Path) -> PathBuf {
    folder.join("state")
}

/// Lets a group of windows work, and kills one after the other. Returns what was lost of each, seconds.
fn round(group: Group, seed: u64) -> Vec<f64> {
    let mut dice = Dice(seed);
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().canonicalize().unwrap();
    let names: &[(&str, &str)] = match group {
        Group::Alone => &[("one", "one.ron")],
        Group::TwoFiles => &[("one", "one.ron"), ("two", "two.ron")],
        Group::OneFile => &[("one", "both.ron"), ("two", "both.ron")],
    };
    let start =
        |(i, (name, file)): (usize, &(&str, &str))| Window::start(&root, name, file, seed + i as u64, None);
    let mut windows: Vec<Window> = names.iter().enumerate().map(start).collect();
    let recovery = Recovery::at(state(&root));
    let mut lost = Vec::new();
    while let Some(mut window) = windows.pop() {
        std::thread::sleep(Duration::from_secs_f64(dice.between(0.2, 9.0)));
        let killed_s = window.kill();
        lost.push(window.lost_s(killed_s, &recovery));
        for living in &windows {
            for copy in recovery.left_behind() {
                let name = &copy.project.as_ref().unwrap().name;
                assert_eq!(number_of(&living.name, name), None, "{} lives", living.name);
            }
        }
    }
    // what killed windows were writing is cleared away by the next that writes there
    for (_, file) in names {
        let project = load(&root.join(file)).unwrap();
        save(&root.join(file), &project).unwrap();
    }
    drop(recovery.left_behind());
    for place in [root.clone(), state(&root)] {
        let entries = std::fs::read_dir(&place).into_iter().flatten();
        let left: Vec<_> = entries
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .filter(|name| name.starts_with('.'))
            .collect();
        assert!(left.is_empty(), "{}: {left:?}", place.display());
    }
    lost
}

/// A window that is ended by a signal or a panic in the moment after its first change: nothing is lost, and it ends as
/// programs do. `None` where it panics by itself.
#[cfg(unix)]
fn ended(signal: Option<(&str, i32)>) {
    use std::os::unix::process::ExitStatusExt as _;
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().canonicalize().unwrap();
    let end = if signal.is_some() { "wait" } else { "panic" };
    let mut window = Window::start(&root, "one", "one.ron", 1, Some(end));
    if let Some((name, _)) = signal {
        let begin = Instant::now();
        while !Notes::read(&window.notes).is_ready {
            assert!(begin.elapsed() < Duration::from_secs(30), "it never began");
            std::thread::sleep(Duration::from_millis(5));
        }
        let id = window.process.id().to_string();
        assert!(Command::new("kill").args([name, &id]).status().unwrap().success());
    }
    let status = window.process.wait().unwrap();
    let abort = 6;
    assert_eq!(status.signal(), Some(signal.map_or(abort, |(_, number)| number)), "{signal:?}: {status}");
    let copies = Recovery::at(state(&root)).left_behind();
    let names: Vec<_> = copies.iter().map(|c| c.project.as_ref().unwrap().name.clone()).collect();
    assert_eq!(names, ["one 1"], "{signal:?}");
}

fn main() {
    if let Some(name) = std::env::var_os(worker::NAME) {
        worker::work(&name.to_string_lossy(), &mut std::env::args_os().skip(1));
        return;
    }
    #[cfg(unix)]
    for signal in [None, Some(("-HUP", 1)), Some(("-INT", 2)), Some(("-TERM", 15))] {
        ended(signal);
    }
    let wanted = std::env::var("PIPELOFT_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(20);
    let begin = Instant::now();
    let (mut all, mut seed) = (Vec::new(), 1);
    while all.len() < wanted {
        let groups = [Group::Alone, Group::TwoFiles, Group::OneFile].iter().cycle().take(6);
        let threads: Vec<_> = groups
            .map(|group| {
                seed += 10;
                let (group, seed) = (*group, seed);
                (group, seed, std::thread::spawn(move || round(group, seed)))
            })
            .collect();
        for (group, seed, thread) in threads {
            let lost = thread.join().unwrap_or_else(|_| panic!("{group:?}, seed {seed}"));
            assert!(lost.iter().all(|s| *s <= MOST_LOST_S), "{group:?}, seed {seed}: lost {lost:?} s");
            all.extend(lost);
        }
    }
    all.sort_by(f64::total_cmp);
    let (median, most) = (all[all.len() / 2], all[all.len() - 1]);
    eprintln!(
        "{} windows killed in {:.0} s: lost {median:.2} s of work in the middle, {most:.2} s at the most",
        all.len(),
        begin.elapsed().as_secs_f64()
    );
}
