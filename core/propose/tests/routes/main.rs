//! Routes for whole projects: pipes hidden among obstacles and in scans, cures for runs, and what is said where there is
//! none.
//!
//! Twenty scenes are made in an ordinary run, as many as `PIPELOFT_SCENES` says otherwise. `PIPELOFT_TIMES` prints how
//! long each took. What is found is walked along with formulas of this file's own.

#![expect(clippy::unwrap_used, reason = "tests")]

mod cures;
mod gaps;
mod hidden;
mod planted;
mod scans;
mod shapes;
mod walk;
