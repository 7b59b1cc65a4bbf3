//! The same pipe again: a copy beside it, its mirror image on the other side, and the same pipe the other way round.

mod duplicate;
mod mirror;
mod renew;
mod swap;

pub use duplicate::duplicate;
pub use mirror::mirror;
pub use swap::swap_ends;

use super::Edit;
use crate::model::Item;

/// Copies that could be made: one edit, and what it adds or changes, for the selection.
#[derive(Debug, Clone, PartialEq)]
pub struct Again {
    /// What is to be applied.
    pub edit: Edit,
    /// The runs and bars that come out of it, in the order they were asked for.
    pub items: Vec<Item>,
    /// Hardpoints that sat on a pipe that is not copied: their copies stand free where they came to be, by name.
    pub set_free: Vec<String>,
}

/// Why a pipe cannot be had again that way. `Display` is a sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[expect(missing_docs, reason = "the sentence explains each field")]
pub enum AgainError {
    #[error("It is not in the project any more.")]
    Gone,
    #[error("Select the runs and bars first that are wanted on the other side.")]
    Nothing,
    #[error("{hardpoint} has no direction, so its mirror image has none: give it one first.")]
    NoDirection { hardpoint: String },
    #[error(
        "{bar} sits on {on}, which is not among what is mirrored: select both, or set the end of {bar} on a tube of the \
         car first."
    )]
    SitsOnOther { bar: String, on: String },
    #[error("{run} ends in the open: put a hardpoint where it ends, let it end there, and swap then.")]
    OpenEnd { run: String },
    #[error(
        "{mark} of {run} has been sawn for the way the pipe runs now: take it back to not sawn first, or leave the ends."
    )]
    Sawn { run: String, mark: String },
    #[error("{run} has a taper that is set off to a side: set its offset to 0, swap, and set it off again.")]
    OffsetTaper { run: String },
    #[error(
        "The joint at {hardpoint} is {other}'s too, and its clock counts along both: weld the pipe there or leave it loose, \
         swap, and put the joint back."
    )]
    SharedJoint { hardpoint: String, other: String },
    #[error("{run} has no way yet: mend what is wrong with it, and swap then.")]
    NoWay { run: String },
}
