//! Bars that carry turbos and pipes: straight or simply bent, between two points.

use super::id::{BarId, BodyId};
use super::stock::Material;
use glam::DVec3;
use serde::{Deserialize, Serialize};

/// How an end of a bar is made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum BarEndMake {
    /// Sawn square against a plate; the point lies in or behind the plate's face.
    Plate {
        /// From the point to where the bar ends, mm.
        stand_off_mm: f64,
    },
}

/// One end of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarPoint {
    /// The point it goes to: eye, hole, axis of a tube or face of a plate, mm.
    pub position_mm: DVec3,
    /// The body that point is on.
    pub body: BodyId,
    /// How the end is made.
    pub make: BarEndMake,
}

/// A corner of a bent bar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BarCorner {
    /// Where, mm.
    pub position_mm: DVec3,
    /// Centreline radius of the finished bend, mm.
    pub clr_mm: f64,
}

/// A bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bar {
    /// Stable id.
    pub id: BarId,
    /// Name, free.
    pub name: String,
    /// Material.
    pub material: Material,
    /// Outside diameter, mm.
    pub od_mm: f64,
    /// Wall, mm; none for solid bar.
    #[serde(default)]
    pub wall_mm: Option<f64>,
    /// Length it is bought in, mm.
    pub stick_mm: f64,
    /// Its two ends.
    pub ends: [BarPoint; 2],
    /// Its bends, in order from the first end.
    #[serde(default)]
    pub corners: Vec<BarCorner>,
    /// Gap it keeps to pipes, mm.
    pub gap_mm: f64,
    /// Not drawn, not picked.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub hidden: bool,
}
