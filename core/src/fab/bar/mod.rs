//! Bars that carry turbos, pipes and silencers: straight or simply bent, their ends, sleeves, pins and saddle plates.
//!
//! Everything here is a pure function of what was entered: lengths mm, angles rad, temperatures °C. What cannot be
//! worked with is a [`BarError`]; what can be worked out but not built like that is a [`BarProblem`] with the
//! nearest that can. Both say so in one sentence.
//!
//! All of it is layout. Nothing here sizes a bar, a thread, a pin or a weld for a load: see [`note`].

pub mod bent;
pub mod built;
pub mod end;
mod error;
pub mod expansion;
pub mod fitted;
pub mod hot;
pub mod laid_plate;
pub mod note;
pub mod pin;
pub mod rod_end;
pub mod saddle_plate;
pub mod seat;
pub mod shape;
pub mod sleeve;
pub mod stock;
pub mod straight;

#[cfg(test)]
mod tests;

pub use crate::finding::{BarError, BarProblem, Fit, PinFit, Side, SleeveFit};
pub use bent::{Bent, BentBar, FeedMark, Springback};
pub use end::{BarEnd, Cope, EndSet};
pub use hot::{Hold, HotRun, HotSpan, Support};
pub use note::BarNote;
pub use pin::{Pin, PinJob};
pub use rod_end::{RodEnd, Socket};
pub use saddle_plate::{PlateSize, SaddlePlate};
pub use sleeve::{Limits, Sleeve};
pub use stock::BarStock;
pub use straight::{Adjusting, Straight, StraightBar};
