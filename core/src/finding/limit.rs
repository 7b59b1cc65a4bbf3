//! Numbers and texts that are out of their limits: what kind of problem each is.

use super::Problem;
use crate::model::limits::Fault;

impl From<Fault> for Problem {
    fn from(fault: Fault) -> Self {
        Self::Limit(fault)
    }
}

/// The fixed short name of the kind.
pub(super) fn code(fault: &Fault) -> &'static str {
    match fault {
        Fault::Length { .. }
        | Fault::Number { .. }
        | Fault::Wall { .. }
        | Fault::SameId { .. }
        | Fault::IdsTooLarge { .. }
        | Fault::SameInnerId { .. }
        | Fault::InnerIdTooLarge { .. }
        | Fault::TextTooLong { .. }
        | Fault::NoChecksum { .. } => "out-of-range",
        Fault::TooMany { .. } => "too-many",
        Fault::HardpointWithoutDirection { .. } | Fault::MergeWithoutDirection { .. } => "no-direction",
        Fault::Ring { .. } => "sits-on-itself",
    }
}
