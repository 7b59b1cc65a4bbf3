//! Datums: places that are easy to find again, which everything else is measured from.

use super::id::{BodyId, DatumId};
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// A punch mark, a bolt head, a corner of the frame: a place that tapes are held to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Datum {
    /// Stable id.
    pub id: DatumId,
    /// Name, free.
    pub name: String,
    /// The body it is on.
    pub body: BodyId,
    /// Where it is, mm.
    pub position_mm: DVec3,
    /// Not drawn, not picked.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}
