//! What the program draws by itself: routes between two ports, cures for a run, and the piece that closes a gap.
//!
//! Stands above the core and uses only what that says in public: a project goes in, and runs that could be taken come
//! out. Whether a run can be built and is clear is said by the core's report alone. Knows no window, no file and no page;
//! never asks the clock, so that the same counted effort gives the same answers on every machine.

pub mod close;
pub mod routes;
