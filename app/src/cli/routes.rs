//! `pipeloft routes`: proposes routes for a run of a project, and takes one.

use super::ask::{count, named, text};
use super::{Command, Failed};
use pipeloft_core::edit::apply;
use pipeloft_core::file;
use pipeloft_core::model::Project;
use pipeloft_core::report::{Effort as ReportEffort, Report};
use pipeloft_core::space::scan::{Unwatched, bring_all, with_folder};
use pipeloft_core::watch;
use pipeloft_propose::routes::{Ask, Before, Effort, Proposals, propose};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct RoutesArgs {
    project: PathBuf,
    run: String,
    effort: Option<usize>,
    most: Option<usize>,
    shortest_mm: Option<f64>,
    take: Option<(usize, PathBuf)>,
}

// numbers that were read are never NaN
impl Eq for RoutesArgs {}

/// More guides than this take hours.
const MOST_EFFORT: usize = 100_000;

/// Reads the arguments after the verb.
///
/// # Errors
/// A sentence that says what was not understood.
pub(super) fn parse(args: &[OsString]) -> Result<Command, String> {
    let mut parser = lexopt::Parser::from_args(args.iter().cloned());
    let (mut project, mut run, mut take, mut out) = (None, None, None, None);
    let (mut effort, mut most, mut shortest_mm) = (None, None, None);
    while let Some(arg) = parser.next().map_err(|e| format!("{e}. Try pipeloft --help."))? {
        match arg {
            lexopt::Arg::Short('h') | lexopt::Arg::Long("help") => return Ok(Command::Help),
            lexopt::Arg::Long("run") => run = Some(text(&mut parser, "--run", "the name of a run")?),
            lexopt::Arg::Long("effort") => {
                effort = Some(count(&mut parser, "--effort", MOST_EFFORT)?);
            }
            lexopt::Arg::Long("most") => most = Some(count(&mut parser, "--most", 100)?),
            lexopt::Arg::Long("take") => take = Some(count(&mut parser, "--take", 100)?),
            lexopt::Arg::Long("shortest") => {
                let words = text(&mut parser, "--shortest", "a length in mm")?;
                let mm = words.parse::<f64>().ok().filter(|mm| (0.0..=10_000.0).contains(mm));
                shortest_mm = Some(
                    mm.ok_or_else(|| format!("--shortest needs a length in mm after it, not {words}."))?,
                );
            }
            lexopt::Arg::Long("out") => {
                let value = parser.value().map_err(|e| format!("--out needs a file after it ({e})."))?;
                out = Some(PathBuf::from(value));
            }
            lexopt::Arg::Value(word) if project.is_none() => project = Some(PathBuf::from(word)),
            lexopt::Arg::Value(word) => {
                return Err(format!("{} is one word too many. Try pipeloft --help.", word.to_string_lossy()));
            }
            lexopt::Arg::Short(c) => return Err(format!("-{c} is not known. Try pipeloft --help.")),
            lexopt::Arg::Long(name) => {
                return Err(format!("--{name} does not go with pipeloft routes. Try pipeloft --help."));
            }
        }
    }
    let project = project.ok_or("pipeloft routes needs a project file.")?;
    let run = run.ok_or("pipeloft routes needs --run and the name of a run.")?;
    let take = match (take, out) {
        (None, None) => None,
        (Some(number), Some(file)) => Some((number, file)),
        (Some(_), None) => return Err("--take needs --out and a file to write the project to.".to_owned()),
        (None, Some(_)) => return Err("--out needs --take and the number of a route.".to_owned()),
    };
    Ok(Command::Routes(RoutesArgs { project, run, effort, most, shortest_mm, take }))
}

/// How long is looked at first where the command line does not say: enough for most spaces.
const FIRST_EFFORT: usize = 10;

/// Prints routes, and takes one where that was asked for: 0 where there are some, 1 where there are none.
pub(super) fn run(args: &RoutesArgs, out: &mut impl std::io::Write) -> Result<u8, Failed> {
    let project = file::load(&args.project)?;
    let run = named(&project, &args.run).map_err(Failed)?;
    let scans = bring_all(&project, args.project.parent(), &Unwatched);
    let report = Report::of(&project, &scans, ReportEffort::Quick);
    let usual = Ask::of(run);
    let ask = Ask {
        shortest_mm: args.shortest_mm,
        most: args.most.unwrap_or(usual.most),
        effort: Effort::of(args.effort.unwrap_or(FIRST_EFFORT)),
        ..usual
    };
    let before = Before { project: &project, scans: &scans, report: &report };
    let mut found = propose(before, &ask, &watch::Unwatched, &mut |_| {});
    if found.routes.is_empty() && args.effort.is_none() {
        // hard spaces get as long a look as in the window
        let ask = Ask { effort: Effort::default(), ..ask };
        found = propose(before, &ask, &watch::Unwatched, &mut |_| {});
    }
    if let Some((number, target)) = &args.take
        && !found.routes.is_empty()
    {
        take(&project, &found, *number, (&args.project, target)).map_err(Failed)?;
    }
    let text = found
        .to_json(&project)
        .map_err(|e| Failed(format!("{}: the routes cannot be written ({e}).", args.project.display())))?;
    out.write_all(text.as_bytes())?;
    Ok(u8::from(found.routes.is_empty()))
}

/// Writes the project with route `number`, counted from 1.
fn take(
    project: &Project,
    found: &Proposals,
    number: usize,
    (from, to): (&Path, &Path),
) -> Result<(), String> {
    let route = found.routes.get(number - 1).ok_or_else(|| {
        format!("There is no route {number}: {} were found. Nothing was written.", found.routes.len())
    })?;
    let next = apply(project, &route.edit()).map_err(|e| e.to_string())?;
    let folder = |path: &Path| path.parent().map(Path::to_path_buf);
    let next = with_folder(&next, folder(from).as_deref(), folder(to).as_deref()).unwrap_or(next);
    file::save(to, &next).map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(args: &[&str]) -> Result<Command, String> {
        parse(&args.iter().map(OsString::from).collect::<Vec<_>>())
    }

    #[test]
    fn what_is_asked_for_is_read() {
        let args = [
            "a.ron",
            "--run",
            "Hot side",
            "--effort",
            "9",
            "--shortest=12.5",
            "--take",
            "2",
            "--out",
            "b.ron",
        ];
        let wanted = RoutesArgs {
            project: "a.ron".into(),
            run: "Hot side".to_owned(),
            effort: Some(9),
            most: None,
            shortest_mm: Some(12.5),
            take: Some((2, "b.ron".into())),
        };
        assert_eq!(read(&args), Ok(Command::Routes(wanted)));
        assert_eq!(read(&["--help"]), Ok(Command::Help));
    }

    #[test]
    fn what_is_not_understood_is_said() {
        for (args, part) in [
            (vec!["--run", "x"], "needs a project file"),
            (vec!["a.ron"], "needs --run"),
            (vec!["a.ron", "b.ron", "--run", "x"], "one word too many"),
            (vec!["a.ron", "--run", "x", "--take", "1"], "--take needs --out"),
            (vec!["a.ron", "--run", "x", "--out", "b.ron"], "--out needs --take"),
            (vec!["a.ron", "--run", "x", "--effort", "0"], "from 1 to"),
            (vec!["a.ron", "--run", "x", "--shortest", "wide"], "not wide"),
            (vec!["a.ron", "--run", "x", "--paper", "a4"], "does not go with"),
        ] {
            let error = read(&args).unwrap_err();
            assert!(error.contains(part), "{args:?}: {error}");
        }
    }
}
