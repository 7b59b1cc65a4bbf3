//! What panels and tools ask for; one place answers.

use crate::actions::Action;
use crate::job_kind::JobKind;
use crate::selection::Selection;
use pipeloft_core::edit::Edit;
use pipeloft_core::model::{Item, ScanFile};
use pipeloft_core::space::scan::ScanTree;
use std::sync::Arc;

/// A wish of the user.
#[derive(Debug, Clone, PartialEq)]
pub enum Request {
    /// Change the project, as one step of that name.
    Edit(String, Edit),
    /// Begin a gesture of that name.
    Begin(String),
    /// Show what an edit would do to the project the gesture began with.
    Preview(Edit),
    /// End the gesture and keep it.
    Keep,
    /// End the gesture and put everything back.
    Cancel,
    /// Select.
    Select(Selection),
    /// Select an item beside what is selected, or no longer.
    SelectAlso(Item),
    /// Stop looking for better layouts on sticks, and keep the best so far.
    StopLooking,
    /// Do what a menu item or key says.
    Act(Action),
    /// What is under the pointer in a table or the strip.
    Hover(Selection),
    /// Bring a place into view, mm.
    Show(glam::DVec3),
    /// Open a form in place of the right-hand panel.
    Open(JobKind),
    /// Say something in the status line.
    Say(String),
    /// Say there what went wrong.
    Complain(String),
    /// Keep a scan that a form has read, so that it need not be read again.
    KeepTree(ReadScan),
}

/// A scan that has been read.
#[derive(Debug, Clone)]
pub struct ReadScan {
    /// What it is read from.
    pub file: ScanFile,
    /// Its triangles.
    pub tree: Arc<ScanTree>,
}

impl PartialEq for ReadScan {
    /// Whether both are the same tree in memory.
    fn eq(&self, other: &Self) -> bool {
        self.file == other.file && Arc::ptr_eq(&self.tree, &other.tree)
    }
}

/// The wishes of one frame, in order.
#[derive(Debug, Default)]
pub struct Requests(pub Vec<Request>);

impl Requests {
    /// Adds a wish.
    pub fn push(&mut self, request: Request) {
        self.0.push(request);
    }

    /// Adds several wishes.
    pub(crate) fn extend(&mut self, requests: impl IntoIterator<Item = Request>) {
        self.0.extend(requests);
    }

    /// Changes the project as one step.
    pub fn edit(&mut self, label: impl Into<String>, edit: Edit) {
        self.push(Request::Edit(label.into(), edit));
    }

    /// Does what a menu item says.
    pub fn act(&mut self, action: Action) {
        self.push(Request::Act(action));
    }

    /// Selects.
    pub fn select(&mut self, selection: Selection) {
        self.push(Request::Select(selection));
    }

    /// Selects what was clicked; beside what is selected where `also`, the key for that, was held.
    pub(crate) fn select_clicked(&mut self, selection: Selection, also: bool) {
        match selection.item {
            Some(item) if also => self.push(Request::SelectAlso(item)),
            // a click on nothing with the key held is a miss
            None if also => {}
            Some(_) | None => self.select(selection),
        }
    }
}
