//! What the verbs about one run read from the command line and find in the project alike.

use pipeloft_core::model::{Project, Run, RunId};

/// The text after an option.
///
/// # Errors
/// A sentence that says what is wanted there.
pub(super) fn text(parser: &mut lexopt::Parser, option: &str, what: &str) -> Result<String, String> {
    let value = parser.value().map_err(|e| format!("{option} needs {what} after it ({e})."))?;
    Ok(value.to_string_lossy().into_owned())
}

/// The whole number from 1 to `most` after an option.
///
/// # Errors
/// A sentence that says what is wanted there.
pub(super) fn count(parser: &mut lexopt::Parser, option: &str, most: usize) -> Result<usize, String> {
    let words = text(parser, option, "a number")?;
    let number = words.parse::<usize>().ok().filter(|n| (1..=most).contains(n));
    number.ok_or_else(|| format!("{option} needs a whole number from 1 to {most} after it, not {words}."))
}

/// The one run of that name.
///
/// # Errors
/// A sentence that says which runs there are.
pub(super) fn named(project: &Project, name: &str) -> Result<RunId, String> {
    let all: Vec<&Run> = project.runs.iter().filter(|r| r.name == name).collect();
    match all[..] {
        [run] => Ok(run.id),
        [] => {
            let names: Vec<&str> = project.runs.iter().map(|r| r.name.as_str()).collect();
            let there = if names.is_empty() {
                "the project has no runs".to_owned()
            } else {
                format!("its runs are {}", names.join(", "))
            };
            Err(format!("There is no run named {name}: {there}."))
        }
        _ => Err(format!("There are {} runs named {name}: give them names of their own.", all.len())),
    }
}
