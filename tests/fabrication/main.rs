//! Whole jobs against tables, hand calculation and an outside checker of the report.

#![expect(clippy::doc_markdown, reason = "the names of publishers and tools are not code")]

mod after_edits;
mod again;
mod batches;
mod checker;
mod closure;
mod curves;
mod edges;
mod elbows;
mod hand_worked;
mod identity;
mod joints;
mod masses;
mod nesting;
mod sticks;
mod tube_sizes;
