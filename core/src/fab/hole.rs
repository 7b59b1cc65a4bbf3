//! Holes that are cut into pieces for what is welded on.

use super::saddle::{HoleSize, Saddle};
use crate::model::HoleKey;
use crate::model::letters::MarkKind;
use std::sync::Arc;

/// The shape of a hole.
#[derive(Debug, Clone, PartialEq)]
pub enum HoleShape {
    /// Drilled square through the wall.
    Drilled {
        /// Its diameter, mm.
        diameter_mm: f64,
    },
    /// What a branch opens or covers.
    Branch {
        /// How the branch sits.
        saddle: Arc<Saddle>,
        /// Which edge of it is cut.
        size: HoleSize,
    },
}

/// A hole in a piece of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct HoleCut {
    /// Its mark: the run's letters, H, and its number along the run.
    pub mark: String,
    /// What it is known by.
    pub key: HoleKey,
    /// What it is for, by name.
    pub of: String,
    /// Index of the piece.
    pub piece: usize,
    /// Where the middle of what is welded on comes through the wall, along the piece's centreline from the piece's
    /// start, mm.
    pub along_mm: f64,
    /// The clock angle of that from the index line, rad.
    pub clock_rad: f64,
    /// Its shape.
    pub shape: HoleShape,
}

/// Puts holes in order along their run and marks them: by piece, along it, then by clock.
pub fn mark_in_order(holes: &mut [HoleCut], letters: &str) {
    holes.sort_by(|a, b| {
        a.piece
            .cmp(&b.piece)
            .then(a.along_mm.total_cmp(&b.along_mm))
            .then(a.clock_rad.total_cmp(&b.clock_rad))
    });
    for (i, hole) in holes.iter_mut().enumerate() {
        hole.mark = MarkKind::Hole.mark(letters, i + 1);
    }
}
