//! What panels and tools may look at; nothing here can be changed.

use crate::lobe_rooms::LobeRooms;
use crate::platform::Prefs;
use crate::selection::Selection;
use pipeloft_core::model::Item;
use pipeloft_core::model::{Project, Run};
use pipeloft_core::report::{Report, RunReport};
use pipeloft_core::space::scan::Scans;
use pipeloft_core::units::UnitSystem;

/// The settled state of this frame.
#[derive(Debug, Clone, Copy)]
pub struct UiCtx<'a> {
    /// The project.
    pub project: &'a Project,
    /// Its result.
    pub report: &'a Report,
    /// The scans that have been read.
    pub scans: &'a Scans,
    /// Room round the lobes of joints, worked out when asked for.
    pub(crate) lobes: &'a LobeRooms,
    /// The folder that the project's file lies in, where it has one.
    pub folder: Option<&'a std::path::Path>,
    /// What is selected.
    pub selection: Selection,
    /// What is selected beside it.
    pub also: &'a [Item],
    /// What is under the pointer, as of the last frame.
    pub hover: Selection,
    /// Preferences.
    pub prefs: &'a Prefs,
    /// How far the look for better layouts on sticks is, 0 to 1, while there is one.
    pub(crate) looking: Option<f64>,
    /// Unit direction from what is looked at to the viewer, as of the last frame.
    pub toward_viewer: glam::DVec3,
}

impl UiCtx<'_> {
    /// How lengths are shown.
    pub fn units(&self) -> UnitSystem {
        self.project.settings.units
    }

    /// The index of the selected piece in the selected run.
    pub fn selected_piece(&self) -> Option<usize> {
        self.selection.piece_index(self.report)
    }

    /// The index of the piece under the pointer in its run.
    pub fn hovered_piece(&self) -> Option<usize> {
        self.hover.piece_index(self.report)
    }

    /// The selected run with its result.
    pub fn selected_run(&self) -> Option<(&Run, &RunReport)> {
        match self.selection.item {
            Some(Item::Run(id)) => Some((self.project.run(id)?, self.report.run(id)?)),
            _ => None,
        }
    }
}
