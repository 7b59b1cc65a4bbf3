//! A display of its own with a window manager, a mouse and a keyboard, all gone at the end.

use std::ffi::OsStr;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Environment variable that turns missing tools from a skipped test into a failed one.
const NEED_WINDOW: &str = "PIPELOFT_NEED_WINDOW";
/// Environment variable that names the program to run.
const BIN: &str = "PIPELOFT_BIN";
/// How long anything may take before it counts as not happening; a slow machine draws few pictures a second.
const PATIENCE: Duration = Duration::from_mins(1);

/// Stops the program when it goes out of scope, whatever happened.
struct Stopped(Child);

impl Drop for Stopped {
    fn drop(&mut self) {
        // one that is gone already cannot be stopped: that is what was wanted
        let _gone = self.0.kill();
        let _gone = self.0.wait();
    }
}

/// The display and what runs on it.
pub(crate) struct Desk {
    // in the order in which they are stopped
    program: Option<Stopped>,
    _manager: Stopped,
    _server: Stopped,
    display: String,
    home: tempfile::TempDir,
    window: String,
}

fn missing_tool() -> Option<String> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let there = |tool: &str| std::env::split_paths(&path).any(|folder| folder.join(tool).is_file());
    let tools = ["Xvfb", "openbox", "xdotool", "import", "xprop"];
    tools.into_iter().find(|t| !there(t)).map(|t| format!("{t} is not installed"))
}

/// The program to test: the named one, else the release or debug build beside this test, whichever is newer.
fn program() -> Option<PathBuf> {
    if let Some(named) = std::env::var_os(BIN) {
        return Some(named.into());
    }
    let here = std::env::current_exe().ok()?;
    let target = here.ancestors().find(|a| a.join("debug").is_dir() || a.join("release").is_dir())?;
    let built = |path: &PathBuf| std::fs::metadata(path).and_then(|m| m.modified()).ok();
    let both = ["release", "debug"].map(|kind| target.join(kind).join("pipeloft"));
    both.into_iter().filter(|p| p.is_file()).max_by_key(built)
}

impl Desk {
    /// Opens the program on a file, in a window of this size. `None`, after saying so, where tools are missing.
    pub(crate) fn open(file: &Path, size: [u32; 2]) -> Option<Self> {
        let lacking = missing_tool().or_else(|| {
            program().is_none().then(|| "the program is not built: cargo build -p pipeloft".to_owned())
        });
        if let Some(lacking) = lacking {
            assert!(std::env::var_os(NEED_WINDOW).is_none(), "{NEED_WINDOW} is set, but {lacking}");
            eprintln!("skipped: {lacking}");
            return None;
        }
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1720x1100x24", "-noreset", "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let server = Stopped(server);
        let display = format!(":{}", number.trim());
        let home = tempfile::tempdir().unwrap();
        let manager = Stopped(quiet("openbox", &display, home.path()).spawn().unwrap());
        let mut desk =
            Self { program: None, _manager: manager, _server: server, display, home, window: String::new() };
        // a window that is there before its manager may be lost
        desk.wait("a window manager", |d| {
            d.tool("xprop", &["-root", "_NET_SUPPORTING_WM_CHECK"]).contains("window id").then_some(())
        });
        desk.start(file, size);
        Some(desk)
    }

    /// Starts the program on a file, in a window of this size.
    pub(crate) fn start(&mut self, file: &Path, size: [u32; 2]) {
        let program = quiet(program().unwrap(), &self.display, self.home.path()).arg(file).spawn().unwrap();
        self.program = Some(Stopped(program));
        self.window = self.wait("a window", |d| {
            let found = d.tool("xdotool", &["search", "--onlyvisible", "--name", "Pipeloft"]);
            found.lines().next().map(str::to_owned)
        });
        let [width, height] = size.map(|s| s.to_string());
        self.tool("xdotool", &["windowsize", &self.window, &width, &height]);
        self.tool("xdotool", &["windowfocus", &self.window]);
        let wanted = format!("Geometry: {width}x{height}");
        self.wait("a window of that size", |d| {
            d.tool("xdotool", &["getwindowgeometry", &d.window]).contains(&wanted).then_some(())
        });
    }

    /// Ends the program by a signal, as `kill` names it, and waits until it is gone.
    pub(crate) fn end_by(&mut self, signal: &str) {
        let mut program = self.program.take().unwrap();
        let id = program.0.id().to_string();
        assert!(Command::new("kill").args([signal, &id]).status().unwrap().success());
        let begin = Instant::now();
        while program.0.try_wait().unwrap().is_none() {
            assert!(begin.elapsed() < PATIENCE, "{signal} does not end it");
            std::thread::sleep(Duration::from_millis(20));
        }
        self.window.clear();
        // the next window is not looked for until the last is off the screen
        self.wait("an empty screen", |d| {
            d.tool("xdotool", &["search", "--onlyvisible", "--name", "Pipeloft"]).is_empty().then_some(())
        });
    }

    /// Where the program keeps copies of unsaved work and the log.
    pub(crate) fn state(&self) -> PathBuf {
        self.home.path().join("state").join("pipeloft")
    }

    /// Runs a tool on the display and gives what it says.
    fn tool(&self, name: &str, args: &[&str]) -> String {
        let mut tool = quiet(name, &self.display, self.home.path());
        let output = tool.args(args).stdout(Stdio::piped()).output().unwrap();
        String::from_utf8_lossy(&output.stdout).into_owned()
    }

    /// Waits until there is an answer.
    pub(crate) fn wait<T>(&mut self, what: &str, mut look: impl FnMut(&Self) -> Option<T>) -> T {
        let begin = Instant::now();
        loop {
            if let Some(found) = look(self) {
                return found;
            }
            if let Some(program) = &mut self.program {
                let ended = program.0.try_wait().unwrap();
                assert_eq!(ended, None, "the program ended before there was {what}");
            }
            assert!(begin.elapsed() < PATIENCE, "{what} never came; the title is {:?}", self.title());
            std::thread::sleep(Duration::from_millis(100));
        }
    }

    /// Lets the window catch up with what the hand did.
    pub(crate) fn pause(&mut self) {
        let mut last = self.ticks();
        // a window that draws nothing has caught up
        self.wait("rest", |d| {
            std::thread::sleep(Duration::from_millis(300));
            let now = d.ticks();
            let rests = now <= last + 1;
            last = now;
            rests.then_some(())
        });
    }

    pub(crate) fn title(&self) -> String {
        if self.window.is_empty() {
            return String::new();
        }
        self.tool("xprop", &["-id", &self.window, "-notype", "_NET_WM_NAME"])
    }

    pub(crate) fn wait_for_star(&mut self, starred: bool) {
        self.wait(if starred { "a star" } else { "a clean title" }, |d| {
            let title = d.title();
            (title.contains("Pipeloft") && title.contains('*') == starred).then_some(())
        });
    }

    /// Presses a key, as xdotool names it.
    pub(crate) fn key(&self, key: &str) {
        self.tool("xdotool", &["key", key]);
    }

    pub(crate) fn point(&self, [x, y]: [i32; 2]) {
        self.tool("xdotool", &["mousemove", "--window", &self.window, &x.to_string(), &y.to_string()]);
    }

    /// Clicks there and lets the window catch up.
    pub(crate) fn click(&mut self, at: [i32; 2]) {
        self.point(at);
        std::thread::sleep(Duration::from_millis(300));
        self.tool("xdotool", &["mousedown", "1"]);
        std::thread::sleep(Duration::from_millis(150));
        self.tool("xdotool", &["mouseup", "1"]);
        self.pause();
    }

    /// Presses, moves in steps, lets go.
    pub(crate) fn drag(&mut self, from: [i32; 2], by: [i32; 2]) {
        self.point(from);
        self.pause();
        self.tool("xdotool", &["mousedown", "1"]);
        std::thread::sleep(Duration::from_millis(300));
        for step in 1..=10 {
            self.point([0, 1].map(|i| from[i] + by[i] * step / 10));
            std::thread::sleep(Duration::from_millis(60));
        }
        self.tool("xdotool", &["mouseup", "1"]);
    }

    /// What the window looks like.
    pub(crate) fn picture(&self, name: &str) -> image::RgbaImage {
        let folder = concat!(env!("CARGO_TARGET_TMPDIR"), "/window");
        std::fs::create_dir_all(folder).unwrap();
        let path = format!("{folder}/{name}.png");
        self.tool("import", &["-window", &self.window, &path]);
        image::open(&path).unwrap().into_rgba8()
    }

    /// Processor time the program has used, in hundredths of a second.
    pub(crate) fn ticks(&self) -> u64 {
        let Some(program) = &self.program else { return 0 };
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", program.0.id())).unwrap();
        // user and system time, counted after the name in brackets
        let after: Vec<&str> = stat.rsplit(')').next().unwrap().split_whitespace().collect();
        after[11].parse::<u64>().unwrap() + after[12].parse::<u64>().unwrap()
    }
}

/// A command that knows only this display and this home.
fn quiet(program: impl AsRef<OsStr>, display: &str, home: &Path) -> Command {
    let mut command = Command::new(program);
    command.env("DISPLAY", display).env("HOME", home).env("LIBGL_ALWAYS_SOFTWARE", "1");
    command.env("WINIT_X11_SCALE_FACTOR", "1");
    for (name, folder) in [
        ("XDG_CONFIG_HOME", "config"),
        ("XDG_DATA_HOME", "data"),
        ("XDG_STATE_HOME", "state"),
        ("XDG_CACHE_HOME", "cache"),
        ("XDG_RUNTIME_DIR", "run"),
    ] {
        command.env(name, home.join(folder));
    }
    for name in ["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DBUS_SESSION_BUS_ADDRESS"] {
        command.env_remove(name);
    }
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}
