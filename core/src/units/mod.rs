//! Numbers as people write and read them: the only place that turns text into lengths and back.
//!
//! Lengths are mm and angles degrees on the number side of every function here; which unit a bare number has
//! and how a length is shown follow from [`UnitSystem`]. Knows no project and no tube.

mod error;
mod format;
mod parse;
mod scale;
mod system;
mod token;

pub use error::{EntryError, EntryProblem, Wanted};
pub use format::{
    angle, clock_and_arc, fine_length, fit_length, length, length_edit, length_paper, long_length, mass,
    paper_step_mm, plain_number, rounded_for_paper_mm, thread, tube_size, volume, wall,
};
pub use parse::{parse_angle_deg, parse_count, parse_length, parse_number};
pub use system::UnitSystem;

/// Millimetres in an inch, exact: international yard and pound agreement of 1959, from memory.
pub const MM_PER_INCH: f64 = 25.4;

/// Kilograms in a pound, exact: the same agreement, from memory.
pub const KG_PER_POUND: f64 = 0.453_592_37;
/// Litres in a cubic inch, exact: 2.54³ cm³.
pub const LITRES_PER_CUBIC_INCH: f64 = 0.016_387_064;
