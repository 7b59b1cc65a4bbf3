//! How far off what is sawn, marked and welded usually is: the shop's own numbers, each one standard deviation.

use serde::{Deserialize, Serialize};

/// Scatter of the shop. About two of three pieces are off by less than each of these.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[serde(default)]
pub struct Scatter {
    /// Of the saw's angle each time it is set, degrees (0.15°: common practice, no source).
    pub saw_deg: f64,
    /// Of a sawn length, mm (0.5 mm: common practice, no source).
    pub length_mm: f64,
    /// Of a mark round the tube, mm on its outside (0.7 mm: common practice, no source).
    pub clock_mm: f64,
    /// Of the angle of an elbow, degrees (0.3°: common practice, no source).
    pub elbow_deg: f64,
    /// How far a weld pulls the pipe over, either way, degrees (0.25°: common practice, no source).
    pub pull_deg: f64,
    /// Of how much a weld draws its pieces together, mm (0.25 mm: common practice, no source).
    pub shrink_mm: f64,
}

impl Default for Scatter {
    fn default() -> Self {
        Self { saw_deg: 0.15, length_mm: 0.5, clock_mm: 0.7, elbow_deg: 0.3, pull_deg: 0.25, shrink_mm: 0.25 }
    }
}

impl Scatter {
    /// Whether these are the starting values, which need not be filed.
    pub fn is_usual(&self) -> bool {
        *self == Self::default()
    }
}
