//! The room round the lobes of joints, worked out when it is asked for and kept as long as the result stays.

use pipeloft_core::model::{Project, RunId};
use pipeloft_core::report::Report;
use pipeloft_core::report::lobes::{LobeRoom, lobe_room};
use pipeloft_core::space::scan::Scans;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The room round one joint, if it has a lobe.
type Known = Option<Arc<LobeRoom>>;

/// The room round joints that were looked at, as long as the result stays the same.
#[derive(Debug, Default)]
pub(crate) struct LobeRooms {
    report: Option<Arc<Report>>,
    known: RefCell<BTreeMap<(RunId, usize), Known>>,
}

impl LobeRooms {
    /// Forgets what belongs to another result.
    pub(crate) fn follow(&mut self, report: &Arc<Report>) {
        if !self.report.as_ref().is_some_and(|known| Arc::ptr_eq(known, report)) {
            self.report = Some(Arc::clone(report));
            self.known.borrow_mut().clear();
        }
    }

    /// The room round the lobe of a piece of a run.
    pub(crate) fn get(
        &self,
        project: &Project,
        scans: &Scans,
        joint: (RunId, usize),
    ) -> Option<Arc<LobeRoom>> {
        let report = self.report.as_ref()?;
        let mut known = self.known.borrow_mut();
        let (run, piece) = joint;
        let room = || lobe_room(project, scans, report, run, piece).map(Arc::new);
        known.entry(joint).or_insert_with(room).clone()
    }
}
