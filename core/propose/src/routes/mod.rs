//! Routes between two ports, past everything in the way.

pub mod check;
mod closed;
mod field;
mod guide;
pub mod improve;
mod line;
pub mod prove;
mod random;
pub mod repair;
mod room;
mod search;
pub mod task;
#[cfg(test)]
mod vectors;

pub use line::{Line, Place};
pub use random::Random;
pub use room::{Nearest, Room, Thing};
pub use search::{Effort, Outcome, Why, search};
pub use task::{Bending, Task, Weights};
