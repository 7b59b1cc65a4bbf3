//! The command line: the same binary, no window system needed.

mod ask;
mod close;
mod routes;

use log::LevelFilter;
use pipeloft_core::file::{self, LoadError, SaveError};
use pipeloft_core::finding::Severity;
use pipeloft_core::model::Project;
use pipeloft_core::report::{Effort, Report};
use pipeloft_core::sheet::{self, PaperSize};
use pipeloft_core::space::scan::{Unwatched, bring_all};
use pipeloft_core::units::UnitSystem;
use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// What the command line asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Command {
    /// Open the window.
    Window {
        /// On this file, or on whatever is best.
        project: Option<PathBuf>,
        /// The least grave things that are logged.
        log: LevelFilter,
    },
    /// Print the report.
    Report(PathBuf),
    /// Print the findings.
    Check(PathBuf),
    /// Write the sheet.
    Sheet {
        /// The project.
        project: PathBuf,
        /// Folder to write into.
        out: PathBuf,
        /// Paper, else by the project's units.
        paper: Option<PaperSize>,
        /// Whether every mitred piece gets a template, not only those where it helps.
        every_template: bool,
    },
    /// Print routes for a run.
    Routes(routes::RoutesArgs),
    /// Print what closes the gap of a tacked run.
    Close(close::CloseArgs),
    /// Print the help text.
    Help,
    /// Print the version.
    Version,
}

const HELP: &str = "\
Pipeloft: mock up charge-air pipes and exhausts, then print the sheet for the saw.

  pipeloft [PROJECT.ron]                   open the window; --log off, error, warn, info, debug or trace says how
                                           much of what happens is written into the log
  pipeloft report PROJECT.ron              print the whole result as JSON
  pipeloft check PROJECT.ron               print what is wrong; exit 0 nothing, 1 something, 2 cannot be read
  pipeloft sheet PROJECT.ron --out FOLDER  write the sheet (PDF), wrap templates where they help (PDF, SVG, DXF) and
                                           lists (CSV); --paper letter or --paper a4; --templates all for every
                                           mitred piece
  pipeloft routes PROJECT.ron --run NAME   print routes that the run could take as JSON; exit 0 some, 1 none, 2 cannot
                                           be read; --effort N how long to look, --most N how many, --shortest MM the
                                           shortest straight, --take K --out NEW.ron write the project with route K
  pipeloft close PROJECT.ron --run NAME --end X,Y,Z --direction X,Y,Z
                                           print pieces that close the gap from the open face of what is tacked to
                                           the hardpoint where the run ends, as JSON; exit 0 it closes, 1 it does
                                           not, 2 cannot be read; --effort N how long to look
  pipeloft --help | --version              print this; print the version

Unsaved work is copied every few seconds, and offered at the next start if the program went down. Copies and the log
are kept in the folder for state: on Linux ~/.local/state/pipeloft.
";

/// Reads the arguments after the program's name.
///
/// # Errors
/// A sentence that says what was not understood.
pub fn parse(args: impl IntoIterator<Item = OsString>) -> Result<Command, String> {
    let args: Vec<OsString> = args.into_iter().collect();
    if let Some((verb, rest)) = args.split_first()
        && let Some(read) = match verb.to_str() {
            Some("routes") => Some(routes::parse(rest)),
            Some("close") => Some(close::parse(rest)),
            _ => None,
        }
    {
        return read;
    }
    let mut parser = lexopt::Parser::from_args(args);
    let (mut words, mut out, mut paper, mut log) = (Vec::<OsString>::new(), None, None, None);
    let mut every_template = false;
    while let Some(arg) = parser.next().map_err(|e| format!("{e}. Try pipeloft --help."))? {
        match arg {
            lexopt::Arg::Short('h') | lexopt::Arg::Long("help") => return Ok(Command::Help),
            lexopt::Arg::Short('V') | lexopt::Arg::Long("version") => return Ok(Command::Version),
            lexopt::Arg::Long("out") => {
                let value = parser.value().map_err(|e| format!("--out needs a folder after it ({e})."))?;
                out = Some(PathBuf::from(value));
            }
            lexopt::Arg::Long("templates") => {
                let value = parser.value().map_err(|e| format!("--templates needs all after it ({e})."))?;
                if value.to_string_lossy() != "all" {
                    return Err("--templates is followed by all, or left out.".to_owned());
                }
                every_template = true;
            }
            lexopt::Arg::Long("log") => {
                let levels = "off, error, warn, info, debug or trace";
                let value = parser.value().map_err(|e| format!("--log needs {levels} after it ({e})."))?;
                let wanted = value.to_string_lossy().into_owned();
                let level = wanted.parse().ok();
                log = Some(level.ok_or_else(|| format!("There is no log level {wanted}: use {levels}."))?);
            }
            lexopt::Arg::Long("paper") => {
                let value =
                    parser.value().map_err(|e| format!("--paper needs letter or a4 after it ({e})."))?;
                let wanted = value.to_string_lossy().to_lowercase();
                let found = PaperSize::ALL.into_iter().find(|p| p.name().to_lowercase() == wanted);
                paper = Some(found.ok_or_else(|| format!("There is no paper {wanted}: use letter or a4."))?);
            }
            lexopt::Arg::Value(word) => words.push(word),
            lexopt::Arg::Short(c) => return Err(format!("-{c} is not known. Try pipeloft --help.")),
            lexopt::Arg::Long(name) => return Err(format!("--{name} is not known. Try pipeloft --help.")),
        }
    }
    let mut words = words.into_iter();
    let first = words.next();
    let verb = first.as_deref().and_then(|w| w.to_str()).unwrap_or_default().to_owned();
    let command = if matches!(verb.as_str(), "report" | "check" | "sheet") {
        let project =
            PathBuf::from(words.next().ok_or_else(|| format!("pipeloft {verb} needs a project file."))?);
        match verb.as_str() {
            "report" => Command::Report(project),
            "check" => Command::Check(project),
            _ => {
                let out = out.take().ok_or("pipeloft sheet needs --out and a folder.")?;
                let every_template = std::mem::take(&mut every_template);
                Command::Sheet { project, out, paper: paper.take(), every_template }
            }
        }
    } else {
        let log = log.take().unwrap_or(LevelFilter::Info);
        Command::Window { project: first.map(PathBuf::from), log }
    };
    if let Some(extra) = words.next() {
        return Err(format!("{} is one word too many. Try pipeloft --help.", extra.to_string_lossy()));
    }
    if out.is_some() || paper.is_some() || every_template {
        return Err("--out, --paper and --templates go with pipeloft sheet only.".to_owned());
    }
    if log.is_some() {
        return Err("--log goes with the window only.".to_owned());
    }
    Ok(command)
}

/// Why a command failed, as a sentence.
#[derive(Debug)]
struct Failed(String);

impl From<LoadError> for Failed {
    fn from(error: LoadError) -> Self {
        Self(error.to_string())
    }
}

impl From<SaveError> for Failed {
    fn from(error: SaveError) -> Self {
        Self(error.to_string())
    }
}

impl From<std::io::Error> for Failed {
    fn from(error: std::io::Error) -> Self {
        Self(format!("The result cannot be printed ({error})."))
    }
}

/// Runs a command that needs no window. Returns the exit code; `None` where a window is wanted.
pub fn run(command: &Command) -> Option<u8> {
    let mut out = std::io::stdout().lock();
    let result = match command {
        Command::Window { .. } => return None,
        Command::Help => write!(out, "{HELP}").map_err(Failed::from).map(|()| 0),
        Command::Version => {
            writeln!(out, "pipeloft {}", env!("CARGO_PKG_VERSION")).map_err(Failed::from).map(|()| 0)
        }
        Command::Report(path) => report(path, &mut out),
        Command::Check(path) => check(path, &mut out),
        Command::Routes(args) => routes::run(args, &mut out),
        Command::Sheet { project, out: folder, paper, every_template } => {
            write_sheet(project, folder, (*paper, *every_template), &mut out)
        }
        Command::Close(args) => close::run(args, &mut out),
    };
    Some(result.unwrap_or_else(|failed| {
        complain(&failed.0);
        2
    }))
}

/// Writes a sentence to standard error; there is nowhere left to say it if that fails.
pub fn complain(sentence: &str) {
    let _unheard = writeln!(std::io::stderr().lock(), "{sentence}");
}

/// The whole result, with gaps to the scans that the project names.
fn full_report(path: &Path, project: &Project) -> Report {
    Report::of(project, &bring_all(project, path.parent(), &Unwatched), Effort::Thorough)
}

fn report(path: &Path, out: &mut impl std::io::Write) -> Result<u8, Failed> {
    let project = file::load(path)?;
    let text = full_report(path, &project)
        .to_json()
        .map_err(|e| Failed(format!("{}: the report cannot be written ({e}).", path.display())))?;
    out.write_all(text.as_bytes())?;
    Ok(0)
}

fn check(path: &Path, out: &mut impl std::io::Write) -> Result<u8, Failed> {
    let project = file::load(path)?;
    let report = full_report(path, &project);
    for finding in &report.findings {
        // one finding, one line, whatever stands in a name
        let text = format!("{}{}", finding.lead(), finding.text).replace(['\n', '\r'], " ");
        writeln!(out, "{} [{}] {text}", finding.severity.word(), finding.code)?;
    }
    Ok(u8::from(matches!(report.worst(), Some(Severity::Stop | Severity::Warn))))
}

/// Paper for a project where none is asked for: A4 for millimetres, Letter for inches.
pub fn paper_for(project: &Project) -> PaperSize {
    match project.settings.units {
        UnitSystem::Millimetre => PaperSize::A4,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => PaperSize::Letter,
    }
}

/// Name of the sheet file for a project at `path`.
pub fn sheet_name(path: &Path) -> String {
    let stem = path.file_stem().map_or_else(|| "project".into(), |s| s.to_string_lossy());
    format!("{stem}{SHEET}")
}

/// How the name of a sheet ends.
const SHEET: &str = "-sheet.pdf";

/// Writes the sheet, the cut list and the templates of `project`. The sheet goes to `sheet`, the others beside it
/// under the same name but for its ending. Returns the files in the order they are written.
///
/// # Errors
/// One sentence; what was written by then stays.
pub fn write_papers(
    project: &Project,
    report: &Report,
    (paper, every_template): (PaperSize, bool),
    sheet: &Path,
) -> Result<Vec<PathBuf>, String> {
    let name = sheet.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    let stem = name.strip_suffix(SHEET).or_else(|| name.strip_suffix(".pdf")).unwrap_or(&name);
    let folder = sheet.parent().map(Path::to_path_buf).unwrap_or_default();
    let date = crate::platform::today();
    let wanted = sheet::Wanted { paper, date: &date, every_template };
    let files = sheet::bundle(project, report, wanted, stem).map_err(|e| e.to_string())?;
    let mut written = Vec::with_capacity(files.len());
    for (i, file) in files.into_iter().enumerate() {
        let target = if i == 0 { sheet.to_path_buf() } else { folder.join(&file.name) };
        // the folder of the sheet is there or is a mistake; that of the templates is ours to make
        if let Some(parent) = target.parent().filter(|_| i > 0) {
            make_folder(parent)?;
        }
        file::write_atomic(&target, &file.content).map_err(|e| e.to_string())?;
        written.push(target);
    }
    Ok(written)
}

fn make_folder(folder: &Path) -> Result<(), String> {
    std::fs::create_dir_all(folder)
        .map_err(|e| format!("{}: the folder cannot be made ({e}). Choose another.", folder.display()))
}

fn write_sheet(
    path: &Path,
    folder: &Path,
    (paper, every_template): (Option<PaperSize>, bool),
    out: &mut impl std::io::Write,
) -> Result<u8, Failed> {
    let project = file::load(path)?;
    let report = full_report(path, &project);
    let paper = paper.unwrap_or_else(|| paper_for(&project));
    let target = folder.join(sheet_name(path));
    make_folder(folder).map_err(Failed)?;
    let written = write_papers(&project, &report, (paper, every_template), &target).map_err(Failed)?;
    for path in written {
        writeln!(out, "{}", path.display())?;
    }
    Ok(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(args: &[&str]) -> Result<Command, String> {
        parse(args.iter().map(OsString::from))
    }

    #[test]
    fn each_form_is_read() {
        let window =
            |project: Option<&str>, log| Command::Window { project: project.map(PathBuf::from), log };
        assert_eq!(read(&[]), Ok(window(None, LevelFilter::Info)));
        assert_eq!(read(&["a b.ron"]), Ok(window(Some("a b.ron"), LevelFilter::Info)));
        assert_eq!(read(&["a.ron", "--log", "debug"]), Ok(window(Some("a.ron"), LevelFilter::Debug)));
        assert_eq!(read(&["--log=off"]), Ok(window(None, LevelFilter::Off)));
        assert_eq!(read(&["report", "x.ron"]), Ok(Command::Report("x.ron".into())));
        let sheet = |paper, every_template| Command::Sheet {
            project: "x.ron".into(),
            out: "d".into(),
            paper,
            every_template,
        };
        assert_eq!(
            read(&["sheet", "x.ron", "--out", "d", "--paper", "A4"]),
            Ok(sheet(Some(PaperSize::A4), false))
        );
        let all = ["sheet", "x.ron", "--out", "d", "--templates", "all"];
        assert_eq!(read(&all), Ok(sheet(None, true)));
        assert_eq!(read(&["--help"]), Ok(Command::Help));
    }

    #[test]
    fn what_is_not_understood_is_said() {
        for (args, part) in [
            (vec!["report"], "needs a project file"),
            (vec!["sheet", "x.ron"], "needs --out"),
            (vec!["sheet", "x.ron", "--out"], "needs a folder"),
            (vec!["sheet", "x.ron", "--out", "d", "--paper", "b5"], "no paper b5"),
            (vec!["check", "x.ron", "y.ron"], "one word too many"),
            (vec!["--log", "loud"], "no log level loud"),
            (vec!["--log"], "--log needs"),
            (vec!["check", "x.ron", "--log", "warn"], "goes with the window"),
            (vec!["--frob"], "--frob is not known"),
            (vec!["x.ron", "--out", "d"], "go with pipeloft sheet"),
        ] {
            let error = read(&args).unwrap_err();
            assert!(error.contains(part), "{args:?}: {error}");
        }
    }
}
