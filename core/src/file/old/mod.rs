//! Files of older formats, brought to the present one.
//!
//! Formats 1 to 4 know runs by their place in the list, sawn pieces by the mark written on them, and the weld fitted last
//! by its number. Reading gives the project with letters for its runs; what else goes by place is turned into keys once
//! the project is whole, as that takes its geometry.

mod align;
mod done;
mod format_4;
mod marks;

use crate::fab::build_all;
use crate::model::{Project, RunId};
use ron::error::SpannedError;

/// The newest of the older formats.
pub(super) const NEWEST: u32 = 4;

/// What an older file says by place, still to be turned into keys.
#[derive(Debug, Clone, Default)]
pub(super) struct ByPlace {
    /// Runs with the number of the weld that is fitted last, counted from 1.
    fit_welds: Vec<(RunId, u32)>,
}

/// Reads a file of an older format.
pub(super) fn read(text: &str) -> Result<(Project, ByPlace), SpannedError> {
    let old: format_4::Project4 = super::save::options().from_str(text)?;
    Ok(old.brought_up())
}

impl ByPlace {
    /// Turns what goes by place into keys. `project` has passed the limits and its seats are settled.
    pub(super) fn into_keys(self, project: &mut Project) {
        if self.fit_welds.is_empty() && project.done.is_empty() {
            return;
        }
        let built = build_all(project);
        for (run, built) in project.runs.iter_mut().zip(&built) {
            let number = self.fit_welds.iter().find(|(id, _)| *id == run.id).map(|(_, n)| *n as usize);
            let weld = number.and_then(|n| built.welds.get(n.checked_sub(1)?));
            run.fit_weld = weld.and_then(|w| w.key);
        }
        if !project.done.is_empty() {
            project.done = done::keyed(project, &built);
        }
    }
}
