//! An upright rectangle on a page.

use super::page::PointMm;

/// A rectangle, mm from the left and top edge of the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    /// Left edge.
    pub(super) left: f64,
    /// Top edge.
    pub(super) top: f64,
    /// Width.
    pub(super) width: f64,
    /// Height.
    pub(super) height: f64,
}

impl Area {
    pub(super) fn new(left: f64, top: f64, width: f64, height: f64) -> Self {
        Self { left, top, width, height }
    }

    /// The rectangle of that size about `centre`.
    pub(super) fn about(centre: PointMm, width: f64, height: f64) -> Self {
        Self::new(centre.0 - width / 2.0, centre.1 - height / 2.0, width, height)
    }

    pub(super) fn right(&self) -> f64 {
        self.left + self.width
    }

    pub(super) fn bottom(&self) -> f64 {
        self.top + self.height
    }

    pub(super) fn centre(&self) -> PointMm {
        (self.left + self.width / 2.0, self.top + self.height / 2.0)
    }

    /// The rectangle made larger by `by` on all sides; smaller where negative, down to nothing.
    pub(super) fn grown(&self, by: f64) -> Self {
        let (width, height) = ((self.width + 2.0 * by).max(0.0), (self.height + 2.0 * by).max(0.0));
        Self::about(self.centre(), width, height)
    }

    pub(super) fn holds(&self, other: &Self) -> bool {
        other.left >= self.left
            && other.top >= self.top
            && other.right() <= self.right()
            && other.bottom() <= self.bottom()
    }

    pub(super) fn meets(&self, other: &Self) -> bool {
        self.left < other.right()
            && other.left < self.right()
            && self.top < other.bottom()
            && other.top < self.bottom()
    }

    /// Whether a point is nearer than `distance` to the rectangle or in it.
    pub(super) fn is_near(&self, point: PointMm, distance: f64) -> bool {
        let dx = (self.left - point.0).max(point.0 - self.right()).max(0.0);
        let dy = (self.top - point.1).max(point.1 - self.bottom()).max(0.0);
        dx.hypot(dy) < distance
    }

    /// Whether the straight line from `a` to `b` runs through the rectangle: clipped edge by edge.
    pub(super) fn is_crossed(&self, a: PointMm, b: PointMm) -> bool {
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        let axes = [(a.0, b.0 - a.0, self.left, self.right()), (a.1, b.1 - a.1, self.top, self.bottom())];
        for (from, step, min, max) in axes {
            if step.abs() < 1e-12 {
                if from < min || from > max {
                    return false;
                }
            } else {
                let (enter, leave) = ((min - from) / step, (max - from) / step);
                low = low.max(enter.min(leave));
                high = high.min(enter.max(leave));
            }
        }
        low <= high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_crosses_a_rectangle_it_passes_through_even_with_both_ends_outside() {
        let area = Area::new(10.0, 10.0, 20.0, 10.0);
        assert!(area.is_crossed((0.0, 15.0), (50.0, 15.0)));
        assert!(area.is_crossed((5.0, 5.0), (35.0, 25.0)));
        assert!(!area.is_crossed((0.0, 15.0), (9.0, 15.0)));
        assert!(!area.is_crossed((0.0, 5.0), (50.0, 5.0)));
        assert!(!area.is_crossed((0.0, 14.0), (14.0, 0.0)));
    }

    #[test]
    fn near_counts_from_the_edge() {
        let area = Area::new(0.0, 0.0, 10.0, 10.0);
        assert!(area.is_near((5.0, 5.0), 0.1));
        assert!(area.is_near((13.0, 14.0), 5.1));
        assert!(!area.is_near((13.0, 14.0), 4.9));
    }
}
