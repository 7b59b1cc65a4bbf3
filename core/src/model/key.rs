//! What pieces, welds and holes are known by: what they are of, not where they come in a list.
//!
//! The marks written on them ("A7") count along the run, so they change when a bend before gets one more slice. A key
//! does not: it is made of ids, and everything that is remembered from one edit to the next is remembered by key.

use super::id::{FittingId, PartId, RunId, TaperId};
use super::run::Vertex;
use serde::{Deserialize, Serialize};

/// Which joint of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum JointPlace {
    /// The one of the hardpoint it starts from.
    Start,
    /// One along a leg.
    Fitting(FittingId),
    /// The one of the hardpoint it ends at.
    End,
}

/// What a length of tube on a leg comes after.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum TubeAfter {
    /// Nothing: it begins the run.
    Start,
    /// The bend at this vertex.
    Bend(Vertex),
    /// This joint.
    Joint(JointPlace),
    /// This taper.
    Taper(TaperId),
}

/// Which piece of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum PiecePlace {
    /// The tube on a leg after this; between two of these there is never more than one length of tube.
    Tube(TubeAfter),
    /// A slice of the bend at this vertex, counted from 0 along the run; an elbow is the only one of its bend.
    Bend(Vertex, u32),
    /// A joint.
    Joint(JointPlace),
    /// A taper.
    Taper(TaperId),
}

/// A piece of a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PieceKey {
    /// Which run.
    pub run: RunId,
    /// Which of its pieces.
    pub place: PiecePlace,
}

/// What a weld of a run joins on one of its sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum WeldSide {
    /// What the run starts from.
    Start,
    /// A piece of the run.
    Piece(PiecePlace),
    /// What the run ends at.
    End,
}

impl WeldSide {
    /// Whether it stays the same end when the bends beside it are made another way: slices do not.
    fn is_lasting(self) -> bool {
        match self {
            Self::Piece(PiecePlace::Bend(..)) => false,
            Self::Start | Self::End | Self::Piece(_) => true,
        }
    }
}

/// A weld of a run, by the two ends it joins in order of travel: the end of the first, the start of the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WeldKey {
    /// What ends at it.
    pub before: WeldSide,
    /// What begins at it.
    pub after: WeldSide,
}

impl WeldKey {
    /// Which of the welds of a run it is: the one between the same two ends; where a bend beside it is made another way, the one
    /// at the end that stayed.
    pub fn find(self, welds: &[Option<Self>]) -> Option<usize> {
        let at = |is: &dyn Fn(&Self) -> bool| welds.iter().position(|w| w.as_ref().is_some_and(is));
        at(&|w| *w == self)
            .or_else(|| self.before.is_lasting().then(|| at(&|w| w.before == self.before)).flatten())
            .or_else(|| self.after.is_lasting().then(|| at(&|w| w.after == self.after)).flatten())
    }
}

/// What a hole is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HoleKey {
    /// A small part of the run.
    Part(PartId),
    /// The start of a run that sits there.
    StartOf(RunId),
    /// The end of a run that sits there.
    EndOf(RunId),
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::WaypointId;

    #[test]
    fn a_weld_is_found_by_the_end_that_stayed_when_its_bend_is_made_another_way() {
        let bend = Vertex::Way(WaypointId(7));
        let tube = WeldSide::Piece(PiecePlace::Tube(TubeAfter::Bend(bend)));
        let slice = |n| WeldSide::Piece(PiecePlace::Bend(bend, n));
        let start = WeldSide::Piece(PiecePlace::Tube(TubeAfter::Start));
        let weld = |before, after| WeldKey { before, after };
        let last = weld(slice(1), tube);
        let between = weld(slice(0), slice(1));
        let three = [weld(start, slice(0)), between, last].map(Some);
        let two = [weld(start, slice(0)), weld(slice(0), tube)].map(Some);
        assert_eq!(between.find(&three), Some(1));
        assert_eq!(last.find(&two), Some(1), "the tube's own end");
        assert_eq!(between.find(&two), None, "between two slices nothing stayed");
        assert_eq!(weld(WeldSide::Start, start).find(&two), None);
    }
}
