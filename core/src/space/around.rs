//! All that stands round a part, as one thing to measure to.

use super::gap::{tightest, tightest_between};
use super::shape::PlacedShape;
use crate::geom::Solid;

/// Obstacles and solids that stand still.
#[derive(Debug, Clone, Copy)]
pub struct Around<'a> {
    shapes: &'a [PlacedShape],
    solids: &'a [Solid],
}

impl<'a> Around<'a> {
    /// What stands round.
    pub fn new(shapes: &'a [PlacedShape], solids: &'a [Solid]) -> Self {
        Self { shapes, solids }
    }

    /// The gap from the nearest of `moved` to the nearest of all this, mm; `None` if it is not less than
    /// `closer_than_mm`. Below zero they overlap.
    pub fn nearest_mm(&self, moved: &[Solid], closer_than_mm: f64) -> Option<f64> {
        let mut limit_mm = closer_than_mm;
        let mut least = None;
        for shape in self.shapes {
            if let Some((_, gap)) = tightest(moved, shape, limit_mm) {
                limit_mm = gap.gap_mm;
                least = Some(limit_mm);
            }
        }
        let solids = tightest_between(moved, self.solids, limit_mm, &|_, _| false);
        solids.map(|(_, _, gap)| gap.gap_mm).or(least)
    }
}
