//! `pipeloft close`: what closes the gap between a tacked pipe and the hardpoint where its run ends.

use super::ask::{count, named, text};
use super::{Command, Failed};
use glam::DVec3;
use pipeloft_core::file;
use pipeloft_propose::close::{MOST_EFFORT, OpenFace, USUAL_EFFORT, close, written};
use std::ffi::OsString;
use std::path::PathBuf;

/// What is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct CloseArgs {
    project: PathBuf,
    run: String,
    end_mm: DVec3,
    direction: DVec3,
    effort: u32,
}

// numbers that were read are never NaN
impl Eq for CloseArgs {}

/// Reads the arguments after the verb.
///
/// # Errors
/// A sentence that says what was not understood.
pub(super) fn parse(args: &[OsString]) -> Result<Command, String> {
    let mut parser = lexopt::Parser::from_args(args.iter().cloned());
    let (mut project, mut run, mut end, mut direction, mut effort) = (None, None, None, None, USUAL_EFFORT);
    while let Some(arg) = parser.next().map_err(|e| format!("{e}. Try pipeloft --help."))? {
        match arg {
            lexopt::Arg::Short('h') | lexopt::Arg::Long("help") => return Ok(Command::Help),
            lexopt::Arg::Long("run") => run = Some(text(&mut parser, "--run", "the name of a run")?),
            lexopt::Arg::Long("end") => end = Some(three(&mut parser, "--end")?),
            lexopt::Arg::Long("direction") => direction = Some(three(&mut parser, "--direction")?),
            lexopt::Arg::Long("effort") => {
                effort = count(&mut parser, "--effort", MOST_EFFORT as usize)? as u32;
            }
            lexopt::Arg::Value(word) if project.is_none() => project = Some(PathBuf::from(word)),
            lexopt::Arg::Value(word) => {
                return Err(format!("{} is one word too many. Try pipeloft --help.", word.to_string_lossy()));
            }
            lexopt::Arg::Short(c) => return Err(format!("-{c} is not known. Try pipeloft --help.")),
            lexopt::Arg::Long(name) => {
                return Err(format!("--{name} does not go with pipeloft close. Try pipeloft --help."));
            }
        }
    }
    let project = project.ok_or("pipeloft close needs a project file.")?;
    let run = run.ok_or("pipeloft close needs --run and the name of a run.")?;
    let end_mm = end.ok_or("pipeloft close needs --end and where the open face is: X,Y,Z in mm.")?;
    let direction =
        direction.ok_or("pipeloft close needs --direction and where the open face points: X,Y,Z.")?;
    Ok(Command::Close(CloseArgs { project, run, end_mm, direction, effort }))
}

/// Three numbers with commas between them.
fn three(parser: &mut lexopt::Parser, option: &str) -> Result<DVec3, String> {
    let words = text(parser, option, "three numbers")?;
    let numbers: Vec<f64> = words
        .split(',')
        .filter_map(|part| part.trim().parse::<f64>().ok().filter(|n| n.is_finite()))
        .collect();
    match numbers[..] {
        [x, y, z] if words.split(',').count() == 3 => Ok(DVec3::new(x, y, z)),
        _ => Err(format!(
            "{option} needs three numbers with commas between them, as 120,-35.5,0, not {words}."
        )),
    }
}

/// Prints what closes the gap: 0 where something does, 1 where nothing does.
pub(super) fn run(args: &CloseArgs, out: &mut impl std::io::Write) -> Result<u8, Failed> {
    let project = file::load(&args.project)?;
    let run = named(&project, &args.run).map_err(Failed)?;
    let face = OpenFace { point_mm: args.end_mm, direction: args.direction };
    let answer = close(&project, run, face, args.effort).map_err(|why| Failed(why.to_string()))?;
    let text = written(&project, &args.run, &answer)
        .map_err(|e| Failed(format!("{}: the pieces cannot be written ({e}).", args.project.display())))?;
    out.write_all(text.as_bytes())?;
    Ok(u8::from(!answer.closes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &[&str]) -> Result<Command, String> {
        parse(&words.iter().map(OsString::from).collect::<Vec<_>>())
    }

    #[test]
    fn all_of_it_is_read() {
        let words =
            ["a.ron", "--run", "Feed", "--end", "1,-2.5,3", "--direction", "-1, 0,0", "--effort", "9"];
        let wanted = CloseArgs {
            project: "a.ron".into(),
            run: "Feed".to_owned(),
            end_mm: DVec3::new(1.0, -2.5, 3.0),
            direction: DVec3::NEG_X,
            effort: 9,
        };
        assert_eq!(read(&words), Ok(Command::Close(wanted.clone())));
        // what begins with a minus is no option
        let minus = ["a.ron", "--run", "Feed", "--end", "-1,2,3", "--direction=-1,0,0"];
        let wanted = CloseArgs { end_mm: DVec3::new(-1.0, 2.0, 3.0), effort: USUAL_EFFORT, ..wanted };
        assert_eq!(read(&minus), Ok(Command::Close(wanted)));
    }

    #[test]
    fn what_is_not_understood_is_said() {
        for (words, part) in [
            (vec!["--run", "A"], "needs a project file"),
            (vec!["a.ron"], "needs --run"),
            (vec!["a.ron", "--run", "A"], "needs --end"),
            (vec!["a.ron", "--run", "A", "--end", "1,2,3"], "needs --direction"),
            (vec!["a.ron", "--end", "1,2"], "three numbers"),
            (vec!["a.ron", "--end", "1,2,x,3"], "three numbers"),
            (vec!["a.ron", "--end", "1,2,inf"], "three numbers"),
            (vec!["a.ron", "--effort", "0"], "whole number from 1"),
            (vec!["a.ron", "b.ron"], "one word too many"),
            (vec!["a.ron", "--paper", "a4"], "does not go with pipeloft close"),
        ] {
            let error = read(&words).unwrap_err();
            assert!(error.contains(part), "{words:?}: {error}");
        }
    }
}
