//! Merges: two or more tubes brought together into one.

use super::id::{BodyId, MergeId};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// How a tube comes into a merge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MergeArm {
    /// Angle between its axis and the outlet's, degrees; 0 runs straight in.
    pub angle_deg: f64,
    /// Clock angle about the outlet's axis that it comes from, degrees.
    pub clock_deg: f64,
}

/// How the tubes meet the outlet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum MergeJoin {
    /// Mitred to it as one more arm: for an outlet as wide as the arms.
    Mitred,
    /// Cut in a plane, the outlet's mouth over their outsides.
    Over,
    /// Cut in a plane, the outlet's mouth set against them.
    Against,
    /// Cut in a plane at this station along the outlet's axis from where the axes meet, mm.
    At {
        /// The station, mm; below zero up the flow.
        station_mm: f64,
    },
}

/// A merge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Merge {
    /// Stable id.
    pub id: MergeId,
    /// Name, free.
    pub name: String,
    /// The body it moves with.
    pub body: BodyId,
    /// Where the axes meet, mm.
    pub position_mm: DVec3,
    /// Way the flow leaves; need not be of length one.
    pub direction: DVec3,
    /// 12 o'clock of the outlet; need not be exact or of length one.
    pub clock: DVec3,
    /// The tubes that come in.
    pub arms: Vec<MergeArm>,
    /// How they meet the outlet.
    pub join: MergeJoin,
    /// Not drawn, not picked.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}
