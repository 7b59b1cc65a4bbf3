//! Pieces that have been sawn: what was drawn then, and what was cut.

use super::id::TubeId;
use super::key::PieceKey;
use serde::{Deserialize, Serialize};

/// The shape a piece had as drawn when it was sawn, before anything was added or rounded.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrawnShape {
    /// Length along its centreline, mm.
    pub centre_mm: f64,
    /// Tilt of its start face from square, degrees.
    pub start_deg: f64,
    /// Tilt of its end face from square, degrees.
    pub end_deg: f64,
}

/// Length that was left on a piece to trim where the run is fitted last.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TrimLeft {
    /// How much, mm.
    pub trim_mm: f64,
    /// Whether at its end (else at its start).
    pub at_end: bool,
}

/// A piece that has been sawn, with the shape it was given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DonePiece {
    /// Mark written on it when it was sawn. It is only shown: which piece it is says `key`.
    pub mark: String,
    /// Which piece it is; none where an older file does not say and no piece, or more than one, has its shape.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub key: Option<PieceKey>,
    /// Tube it was cut from.
    pub tube: TubeId,
    /// Length along its centreline as sawn, mm.
    pub centre_mm: f64,
    /// Tilt of its start face from square, degrees.
    pub start_deg: f64,
    /// Tilt of its end face from square, degrees.
    pub end_deg: f64,
    /// Turn of the end's heel from the start's, degrees; 0 where one is square.
    pub twist_deg: f64,
    /// What was drawn then: it serves as long as that is what is drawn.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawn: Option<DrawnShape>,
    /// What was left on it to trim.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trim: Option<TrimLeft>,
}
