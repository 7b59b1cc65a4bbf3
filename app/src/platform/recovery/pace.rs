//! When a copy of unsaved work is due: soon after work comes to rest, and soon after it began to differ, rest or not.

use std::time::{Duration, Instant};

/// How long the work has to rest before it is copied.
pub(super) const REST: Duration = Duration::from_secs(1);

/// How long a change waits at most; with what writing takes it is in the copy 5 s after it was made.
pub(super) const MOST: Duration = Duration::from_secs(4);

/// Changes that are not in the copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Pace {
    /// When the first and the last of them were made.
    since: Option<(Instant, Instant)>,
}

impl Pace {
    /// Notes a change.
    pub(super) fn changed(&mut self, now: Instant) {
        self.since = Some((self.since.map_or(now, |(first, _)| first), now));
    }

    /// Notes that the copy is being written with all changes up to now, or that there is nothing to copy.
    pub(super) fn done(&mut self) {
        self.since = None;
    }

    /// When the copy is to be written, where anything is not in it.
    pub(super) fn due(&self) -> Option<Instant> {
        self.since.map(|(first, last)| (first + MOST).min(last + REST))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// When copies are written while changes come every `every`, for `whole`.
    fn written(every: Duration, whole: Duration) -> Vec<Duration> {
        let (start, mut pace, mut out) = (Instant::now(), Pace::default(), Vec::new());
        let step = Duration::from_millis(10);
        let (mut at, mut next) = (Duration::ZERO, Duration::ZERO);
        while at <= whole {
            if at >= next {
                pace.changed(start + at);
                next += every;
            }
            if pace.due().is_some_and(|due| due <= start + at) {
                pace.done();
                out.push(at);
            }
            at += step;
        }
        out
    }

    #[test]
    fn a_drag_without_rest_is_copied_every_few_seconds() {
        let copies = written(Duration::from_millis(10), Duration::from_secs(30));
        assert_eq!(copies.len(), 7, "{copies:?}");
        let gaps = std::iter::once(copies[0]).chain(copies.windows(2).map(|w| w[1].abs_diff(w[0])));
        assert!(gaps.into_iter().all(|gap| gap <= MOST + Duration::from_millis(20)), "{copies:?}");
    }

    #[test]
    fn a_change_every_two_seconds_is_copied_each_time() {
        let copies = written(Duration::from_secs(2), Duration::from_secs(42));
        assert_eq!(copies.len(), 21, "{copies:?}");
        assert_eq!(copies[0], REST);
    }

    #[test]
    fn nothing_is_due_without_a_change() {
        let mut pace = Pace::default();
        assert_eq!(pace.due(), None);
        pace.changed(Instant::now());
        pace.done();
        assert_eq!(pace.due(), None);
    }
}
