//! Progress and cancelling of work that takes a while. Knows no project and no work of its own.

/// Somebody who waits for work to be done.
///
/// Both are asked on the thread that works, many times a second; neither may take long.
pub trait Watch {
    /// Told how much of the work is done, from 0 to 1; never less than before.
    fn progress(&self, part: f64);

    /// Whether to stop as soon as possible.
    fn is_cancelled(&self) -> bool;
}

/// Nobody waits.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Watch for Unwatched {
    fn progress(&self, _part: f64) {}

    fn is_cancelled(&self) -> bool {
        false
    }
}

/// A stage of the work of somebody who waits for more: its progress goes from one part of the whole to another.
pub struct Stage<'a> {
    /// Who waits for the whole.
    pub watch: &'a dyn Watch,
    /// The part of the whole that is done before it.
    pub from: f64,
    /// The part of the whole that is done after it.
    pub to: f64,
}

impl std::fmt::Debug for Stage<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Stage").field("from", &self.from).field("to", &self.to).finish_non_exhaustive()
    }
}

impl Watch for Stage<'_> {
    fn progress(&self, part: f64) {
        self.watch.progress(self.from + (self.to - self.from) * part);
    }

    fn is_cancelled(&self) -> bool {
        self.watch.is_cancelled()
    }
}
