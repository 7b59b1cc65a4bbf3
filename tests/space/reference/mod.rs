//! Gaps by dense sampling, with nothing of the program in them but the numbers that describe the solids.
//!
//! The surface of every solid is cut into cells. Each has a sample in its middle, and a number that the distance of no
//! point of it can be below; the cells that can still hold the least are cut in four. So the least found is never
//! below the truth, and above it by [`SAMPLED_MM`](search::SAMPLED_MM) at most.

mod dice;
mod plate;
mod scenes;
mod search;
mod surface;
mod target;

pub(crate) use dice::Dice;
pub(crate) use plate::Plate;
pub(crate) use scenes::{chain, obstacle, shards, sheet, solid};
pub(crate) use search::{SAMPLED_MM, Sampled, least};
pub(crate) use surface::{Patch, holds, patches};
pub(crate) use target::{Place, Target, turned};
