//! A flat plate with round holes: its outline as straight edges and arcs, and the distance to what they enclose.

use glam::{DVec2, DVec3};
use std::f64::consts::TAU;

/// A point this far beyond an edge or within a hole still counts as on it, mm: rounding.
const ON_MM: f64 = 1e-9;

/// A rectangle about the origin, a thickness, and holes by centre and radius.
pub(crate) struct Plate {
    half: DVec3,
    holes: Vec<(DVec2, f64)>,
    edges: Vec<[DVec2; 2]>,
    /// Which hole, first angle, last angle.
    arcs: Vec<(usize, f64, f64)>,
}

impl Plate {
    pub(crate) fn new(size_mm: DVec3, holes: Vec<(DVec2, f64)>) -> Self {
        let mut plate = Self { half: size_mm / 2.0, holes, edges: Vec::new(), arcs: Vec::new() };
        plate.find_edges();
        plate.find_arcs();
        assert!(!plate.edges.is_empty() || !plate.arcs.is_empty(), "the holes leave nothing");
        plate
    }

    /// Half edges of the plate without its holes.
    pub(crate) fn half(&self) -> DVec3 {
        self.half
    }

    /// A point of the material.
    pub(crate) fn point(&self) -> DVec3 {
        let on_arc = |&(hole, first, _): &(usize, f64, f64)| {
            let (centre, radius) = self.holes[hole];
            centre + DVec2::from_angle(first) * radius
        };
        let on = self.edges.first().map(|edge| edge[0]).or_else(|| self.arcs.first().map(on_arc));
        on.unwrap_or(DVec2::ZERO).extend(0.0)
    }

    /// Distance from a point in the plate's own axes; zero in the material.
    pub(crate) fn distance(&self, p: DVec3) -> f64 {
        self.in_plane(p.truncate()).hypot((p.z.abs() - self.half.z).max(0.0))
    }

    fn in_plane(&self, p: DVec2) -> f64 {
        if self.has(p) {
            return 0.0;
        }
        let to_edge = |[a, b]: &[DVec2; 2]| {
            let along = *b - *a;
            let part = (p - *a).dot(along) / along.length_squared().max(f64::MIN_POSITIVE);
            p.distance(*a + along * part.clamp(0.0, 1.0))
        };
        let to_arc = |&(hole, first, last): &(usize, f64, f64)| {
            let (centre, radius) = self.holes[hole];
            let from = p - centre;
            let turn = (from.y.atan2(from.x) - first).rem_euclid(TAU);
            if turn <= last - first {
                return (from.length() - radius).abs();
            }
            let end = |angle: f64| p.distance(centre + DVec2::from_angle(angle) * radius);
            end(first).min(end(last))
        };
        let edges = self.edges.iter().map(to_edge);
        edges.chain(self.arcs.iter().map(to_arc)).fold(f64::INFINITY, f64::min)
    }

    fn has(&self, p: DVec2) -> bool {
        let within = p.x.abs() <= self.half.x + ON_MM && p.y.abs() <= self.half.y + ON_MM;
        within && self.holes.iter().all(|&(centre, radius)| p.distance(centre) >= radius - ON_MM)
    }

    /// What the holes leave of the four sides of the rectangle.
    fn find_edges(&mut self) {
        let (x, y) = (self.half.x, self.half.y);
        let corners = [DVec2::new(-x, -y), DVec2::new(x, -y), DVec2::new(x, y), DVec2::new(-x, y)];
        for i in 0..4 {
            let (a, b) = (corners[i], corners[(i + 1) % 4]);
            let along = b - a;
            let mut stops = vec![0.0, 1.0];
            for &(centre, radius) in &self.holes {
                // |a + along·t − centre| = radius
                let (q, r, s) = (
                    along.length_squared(),
                    (a - centre).dot(along),
                    (a - centre).length_squared() - radius * radius,
                );
                if r * r > q * s {
                    let root = (r * r - q * s).sqrt();
                    stops.extend([(-r - root) / q, (-r + root) / q]);
                }
            }
            stops.retain(|t| (0.0..=1.0).contains(t));
            stops.sort_by(f64::total_cmp);
            for pair in stops.windows(2) {
                if self.has(a + along * f64::midpoint(pair[0], pair[1])) {
                    self.edges.push([a + along * pair[0], a + along * pair[1]]);
                }
            }
        }
    }

    /// What the rectangle and the other holes leave of the rim of each hole.
    fn find_arcs(&mut self) {
        for (hole, &(centre, radius)) in self.holes.iter().enumerate() {
            let mut stops = vec![0.0, TAU];
            // where the rim's x or y is that of a side
            for side in [-1.0, 1.0] {
                let cos = (side * self.half.x - centre.x) / radius;
                if cos.abs() <= 1.0 {
                    stops.extend([cos.acos(), -cos.acos()]);
                }
                let sin = (side * self.half.y - centre.y) / radius;
                if sin.abs() <= 1.0 {
                    stops.extend([sin.asin(), TAU / 2.0 - sin.asin()]);
                }
            }
            for (other, &(off, wide)) in self.holes.iter().enumerate() {
                let way = off - centre;
                let apart = way.length();
                // law of cosines in the triangle of the two centres and a crossing
                let cos = (apart * apart + radius * radius - wide * wide) / (2.0 * apart * radius);
                if other != hole && cos.abs() <= 1.0 {
                    stops.extend([way.to_angle() + cos.acos(), way.to_angle() - cos.acos()]);
                }
            }
            stops[2..].iter_mut().for_each(|angle| *angle = angle.rem_euclid(TAU));
            stops.sort_by(f64::total_cmp);
            for pair in stops.windows(2) {
                let middle = f64::midpoint(pair[0], pair[1]);
                if pair[1] > pair[0] && self.has(centre + DVec2::from_angle(middle) * radius) {
                    self.arcs.push((hole, pair[0], pair[1]));
                }
            }
        }
    }
}
