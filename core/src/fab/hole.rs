//! Holes that are cut into pieces for what is welded on.

use super::saddle::{HoleSize, Saddle};
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
    /// Its mark, H1 and up along the run.
    pub mark: String,
    /// What it is for, by name.
    pub of: String,
    /// Index of the piece.
    pub piece: usize,
    /// Its middle along the piece's centreline from the piece's start, mm.
    pub along_mm: f64,
    /// Its middle's clock angle from the index line, rad.
    pub clock_rad: f64,
    /// Its shape.
    pub shape: HoleShape,
}
