//! Tapers along a leg: where a run goes from one size of tube to another.

use super::id::{TaperId, TubeId};
use serde::{Deserialize, Serialize};

/// How a taper is come by.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum TaperMake {
    /// Bought ready made.
    Bought,
    /// Rolled from sheet and welded along a seam.
    Rolled {
        /// Clock angle of the seam from the index line, degrees.
        seam_clock_deg: f64,
        /// Lap beyond one side of the seam, mm; 0 for a butt weld.
        lap_mm: f64,
    },
}

/// A taper (reducer, cone) along a leg. From it on the run is of another tube.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Taper {
    /// Stable id.
    pub id: TaperId,
    /// On which leg, 0 is the one at the start hardpoint.
    pub leg: usize,
    /// Middle of the taper from where the leg's straight begins, mm.
    pub station_mm: f64,
    /// Length along the run, mm.
    pub length_mm: f64,
    /// The tube the run goes on in.
    pub tube: TubeId,
    /// Its own wall, mm.
    pub wall_mm: f64,
    /// How far its end is set off across the run, mm; 0 for a concentric one.
    pub offset_mm: f64,
    /// Clock angle towards which it is set off, from the index line, degrees.
    pub offset_clock_deg: f64,
    /// How it is come by.
    pub make: TaperMake,
}
