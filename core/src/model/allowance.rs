//! What is added to lengths for the weld, and rules of thumb for wire, gas and paper.

use serde::{Deserialize, Serialize};

/// Which line the templates of ends have that are shaped to another pipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum ShapedLine {
    /// For a cut square to the wall: it touches without cutting into the other pipe.
    Seat,
    /// Where the outside of the wall meets it.
    Outside,
    /// Where the bore meets it.
    Inside,
}

/// Allowances of the shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[serde(default)]
pub struct Allowances {
    /// Gap left between two pieces when they are tacked, mm. 0 is a close fit, usual for thin tube.
    pub weld_gap_mm: f64,
    /// How much a weld draws the two pieces together, mm (0.2 to 0.5 mm in thin tube: common practice, no source).
    pub shrink_mm: f64,
    /// Extra length on the joint that is fitted last, mm (6 mm: common practice, no source).
    pub trim_mm: f64,
    /// Drops at least this long go back to the rack, mm (150 mm: common practice, no source).
    pub keep_mm: f64,
    /// Thickness of the paper that templates are printed on, mm (0.1 mm: 80 g/m² office paper, common practice).
    pub paper_mm: f64,
    /// The line that shaped ends are drawn by.
    pub shaped_edge: ShapedLine,
    /// Cross-section of a weld bead, mm² (3 mm² in thin tube: common practice, no source).
    pub bead_mm2: f64,
    /// Diameter of the filler wire, mm.
    pub wire_mm: f64,
    /// How often the gas in the pipe is changed before welding (about 5: makers of purging gear; the plan of the
    /// welds names the source).
    pub purge_changes: f64,
    /// Gas flow while purging, litres a minute (about 20, as above).
    pub purge_l_min: f64,
}

impl Default for Allowances {
    fn default() -> Self {
        Self {
            weld_gap_mm: 0.0,
            shrink_mm: 0.0,
            trim_mm: 6.0,
            keep_mm: 150.0,
            paper_mm: 0.1,
            shaped_edge: ShapedLine::Seat,
            bead_mm2: 3.0,
            wire_mm: 1.6,
            purge_changes: 5.0,
            purge_l_min: 20.0,
        }
    }
}
