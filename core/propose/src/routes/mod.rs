//! Routes between two ports, past everything in the way, and cures for a run as it is drawn.
//!
//! [`propose`] lays out lines in a stand-in for the project's room (`scene.rs`): closed forms for up to two bends, then
//! rough guides down two trees of shortest ways, each repaired by least squares with exact gaps and polished. What comes
//! out is put into the run and judged by the core's report alone; what that finds missing is asked for in addition, and
//! the line repaired again. [`mend`] and [`tidy`] start the same repair from the run as it is drawn. All methods are our
//! own but where another is named.

mod ask;
mod check;
mod closed;
mod field;
mod guide;
mod improve;
mod json;
mod judge;
mod line;
mod mend;
mod prove;
mod put;
mod random;
mod repair;
mod room;
mod scene;
mod search;
mod task;
#[cfg(test)]
mod tests;
mod ways;

pub use ask::{Ask, Proposals, propose};
pub use judge::{Before, Proposal, ProposedBend};
pub use mend::{mend, tidy};
pub use search::Effort;
pub use task::Weights;
pub use ways::Way;
