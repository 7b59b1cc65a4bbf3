//! Progress of reading and preparing scans.

use crate::watch::Watch;
use std::cell::Cell;

/// The work was stopped because it was asked to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("stopped as asked")]
pub struct Cancelled;

/// Progress is told in steps of this part of the whole.
const STEP: f64 = 0.002;

/// The steps of one piece of work, spread over the stages it has.
pub(super) struct Steps<'a> {
    watch: &'a dyn Watch,
    told: Cell<f64>,
    stage: Cell<[f64; 2]>,
}

impl<'a> Steps<'a> {
    /// Work told to `watch`, in one stage until others are named.
    pub(super) fn new(watch: &'a dyn Watch) -> Self {
        watch.progress(0.0);
        Self { watch, told: Cell::new(0.0), stage: Cell::new([0.0, 1.0]) }
    }

    /// What follows is the stage between the given parts of the whole.
    pub(super) fn stage(&self, from: f64, to: f64) {
        self.stage.set([from, to]);
    }

    /// Tells how much of the stage is done; an error where the work is to stop.
    pub(super) fn at(&self, done: f64) -> Result<(), Cancelled> {
        let [from, to] = self.stage.get();
        let part = (from + (to - from) * done.clamp(0.0, 1.0)).min(1.0);
        if part >= self.told.get() + STEP {
            self.told.set(part);
            self.watch.progress(part);
        }
        if self.watch.is_cancelled() { Err(Cancelled) } else { Ok(()) }
    }

    /// All is done.
    pub(super) fn finish(&self) {
        self.watch.progress(1.0);
    }
}
