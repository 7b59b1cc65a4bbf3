//! Where a line of sight meets a scan.

use super::placed::PlacedScan;
use crate::geom::tolerance::TOUCH_MM;
use glam::DVec3;

/// A triangle reaches beyond its edges by this part of them, so that a ray along the edge of two meets one of them:
/// more than the rounding noise of a ray from 50 m away.
const WHISKER: f64 = 1e-9;

/// A point of a scan that was pointed at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScanHit {
    /// The point, mm.
    pub point: DVec3,
    /// Unit direction square to the triangle, towards the viewer.
    pub normal: DVec3,
    /// The triangle, counted in the tree's scan.
    pub triangle: u32,
    /// How far it is from where the ray begins, mm.
    pub distance_mm: f64,
}

impl PlacedScan {
    /// The nearest point that a ray from `origin` along `direction` meets, whichever side of a triangle it is;
    /// `None` where it meets none or has no direction.
    pub fn pick(&self, origin: DVec3, direction: DVec3) -> Option<ScanHit> {
        let ray = Ray::new(self.on_bench(origin), self.direction_on_bench(direction.try_normalize()?))?;
        let nodes = self.tree().nodes();
        let mut best: Option<(f64, u32)> = None;
        let mut waiting = vec![(0.0, 0_usize)];
        while let Some((enters_mm, index)) = waiting.pop() {
            if best.is_some_and(|(nearest_mm, _)| enters_mm > nearest_mm) {
                continue;
            }
            let Some(node) = nodes.get(index) else { continue };
            if node.count == 0 {
                let first = node.first as usize;
                let mut both = [first, first + 1]
                    .map(|child| (nodes.get(child).and_then(|n| ray.enters(self.node_box(n))), child));
                // the nearer one last, to be taken first
                both.sort_by(|a, b| b.0.unwrap_or(f64::INFINITY).total_cmp(&a.0.unwrap_or(f64::INFINITY)));
                waiting.extend(both.into_iter().filter_map(|(enters, child)| Some((enters?, child))));
                continue;
            }
            for triangle in node.first..node.first + node.count {
                let met = ray.meets(self.bench_corners(triangle));
                if let Some(at_mm) = met.filter(|at| best.is_none_or(|(nearest_mm, _)| *at < nearest_mm)) {
                    best = Some((at_mm, triangle));
                }
            }
        }
        let (distance_mm, triangle) = best?;
        let [a, b, c] = self.bench_corners(triangle);
        let normal = (b - a).cross(c - a).try_normalize()?;
        let normal = if normal.dot(ray.along) > 0.0 { -normal } else { normal };
        let point = self.in_vehicle(ray.from + ray.along * distance_mm);
        Some(ScanHit { point, normal: self.direction_in_vehicle(normal), triangle, distance_mm })
    }
}

struct Ray {
    from: DVec3,
    /// Unit direction.
    along: DVec3,
}

impl Ray {
    fn new(from: DVec3, along: DVec3) -> Option<Self> {
        (from.is_finite() && along.is_finite()).then_some(Self { from, along })
    }

    /// How far on the ray comes into a box (middle and half edges), mm; `None` where it does not.
    fn enters(&self, bounds: (DVec3, DVec3)) -> Option<f64> {
        let (middle, half) = bounds;
        let (mut enters, mut leaves) = (0.0_f64, f64::INFINITY);
        for axis in 0..3 {
            let off = middle[axis] - self.from[axis];
            // rounding noise must not let a ray slip between the boxes of neighbours
            let reach = half[axis] + TOUCH_MM;
            if self.along[axis] == 0.0 {
                if off.abs() > reach {
                    return None;
                }
                continue;
            }
            let (one, other) = ((off - reach) / self.along[axis], (off + reach) / self.along[axis]);
            enters = enters.max(one.min(other));
            leaves = leaves.min(one.max(other));
        }
        (enters <= leaves).then_some(enters)
    }

    /// How far on the ray meets a triangle, mm; `None` where it does not (T. Möller and B. Trumbore, *Fast, minimum
    /// storage ray/triangle intersection*, Journal of Graphics Tools 2 (1997) 21–28).
    fn meets(&self, [a, b, c]: [DVec3; 3]) -> Option<f64> {
        let (first, second) = (b - a, c - a);
        let across = self.along.cross(second);
        let scale = first.dot(across);
        if scale == 0.0 {
            return None; // seen edge on
        }
        let from = self.from - a;
        let u = from.dot(across) / scale;
        let turned = from.cross(first);
        let v = self.along.dot(turned) / scale;
        let at_mm = second.dot(turned) / scale;
        (u >= -WHISKER && v >= -WHISKER && u + v <= 1.0 + WHISKER && at_mm >= 0.0).then_some(at_mm)
    }
}
