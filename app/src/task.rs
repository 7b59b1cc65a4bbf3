//! Work beside the window that says how far it is and can be stopped.

use eframe::egui;
use pipeloft_core::watch::Watch;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::Duration;

/// How often the window looks how far it is.
pub(crate) const LOOK: Duration = Duration::from_millis(80);

/// What the thread and the window share.
#[derive(Debug, Default)]
struct Shared {
    /// Part that is done, as bits.
    part: AtomicU64,
    stopped: AtomicBool,
}

impl Watch for Shared {
    fn progress(&self, part: f64) {
        self.part.store(part.to_bits(), Ordering::Relaxed);
    }

    fn is_cancelled(&self) -> bool {
        self.stopped.load(Ordering::Relaxed)
    }
}

/// How a task stands.
#[derive(Debug)]
pub(crate) enum Done<T> {
    /// Not done.
    NotYet,
    /// Done, with what came of it.
    With(T),
    /// It will never be done: its thread came to an end without an answer.
    Never,
}

/// Work on a thread of its own. Dropped, it is stopped.
#[derive(Debug)]
pub(crate) struct Task<T> {
    shared: Arc<Shared>,
    result: Receiver<T>,
}

impl<T: Send + 'static> Task<T> {
    /// Begins the work; `None` where the system gives no thread.
    pub(crate) fn begin(
        name: &str,
        ctx: &egui::Context,
        work: impl FnOnce(&dyn Watch) -> T + Send + 'static,
    ) -> Option<Self> {
        let ctx = ctx.clone();
        Self::begin_waking(name, move || ctx.request_repaint(), work)
    }

    /// As [`Task::begin`], where what is to be called in the end is known and not the window.
    pub(crate) fn begin_waking(
        name: &str,
        wake: impl FnOnce() + Send + 'static,
        work: impl FnOnce(&dyn Watch) -> T + Send + 'static,
    ) -> Option<Self> {
        let shared = Arc::<Shared>::default();
        let (send, result) = channel();
        let watch = Arc::clone(&shared);
        let spawned = std::thread::Builder::new().name(name.to_owned()).spawn(move || {
            let found = work(&*watch);
            // where nobody waits any more the window need not wake
            if send.send(found).is_ok() {
                wake();
            }
        });
        spawned.ok().map(|_| Self { shared, result })
    }

    /// Looks how it stands, and sees to it that the window looks again.
    pub(crate) fn look(&self, ctx: &egui::Context) -> Done<T> {
        let done = self.state();
        if matches!(done, Done::NotYet) {
            ctx.request_repaint_after(LOOK);
        }
        done
    }

    /// How it stands. The window is woken when it is done, but not before.
    pub(crate) fn state(&self) -> Done<T> {
        match self.result.try_recv() {
            Ok(found) => Done::With(found),
            Err(TryRecvError::Disconnected) => Done::Never,
            Err(TryRecvError::Empty) => Done::NotYet,
        }
    }

    /// Asks the work to come to an end with what it has.
    pub(crate) fn stop(&self) {
        self.shared.stopped.store(true, Ordering::Relaxed);
    }

    /// The part that is done, 0 to 1.
    pub(crate) fn part(&self) -> f64 {
        f64::from_bits(self.shared.part.load(Ordering::Relaxed)).clamp(0.0, 1.0)
    }
}

impl<T> Drop for Task<T> {
    fn drop(&mut self) {
        self.shared.stopped.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_task_tells_how_far_it_is_and_stops_when_it_is_dropped() {
        let ctx = egui::Context::default();
        let (begun, is_begun) = channel();
        let (ended, is_ended) = channel();
        let task = Task::begin("test", &ctx, move |watch| {
            watch.progress(0.25);
            begun.send(()).unwrap();
            while !watch.is_cancelled() {
                std::thread::yield_now();
            }
            ended.send(()).unwrap();
        })
        .unwrap();
        is_begun.recv().unwrap();
        assert!(matches!(task.look(&ctx), Done::NotYet));
        assert!((task.part() - 0.25).abs() < 1e-12);
        drop(task);
        is_ended.recv_timeout(Duration::from_secs(20)).unwrap();
    }

    #[test]
    fn a_task_hands_over_what_came_of_it_or_says_that_nothing_will() {
        let ctx = egui::Context::default();
        let wait = |task: &Task<u32>| loop {
            match task.look(&ctx) {
                Done::NotYet => std::thread::yield_now(),
                done => return done,
            }
        };
        let task = Task::begin("test", &ctx, |_| 7_u32).unwrap();
        assert!(matches!(wait(&task), Done::With(7)));
        assert!(matches!(wait(&task), Done::Never));
    }
}
