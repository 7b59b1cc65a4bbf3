//! The direction a run is looked at from, and where its points come to lie on paper.

use crate::fab::PieceKind;
use crate::geom::Solid;
use crate::geom::vector::unit;
use crate::report::RunReport;
use crate::sheet::area::Area;
use crate::sheet::page::PointMm;
use glam::DVec3;

/// Room for marks round the pipe, left and right, mm on paper.
const SIDE_MM: f64 = 24.0;
/// The same above and below.
const ABOVE_MM: f64 = 15.0;
/// Largest scale: half size is large enough for the shortest pipe.
const MOST_SCALE: f64 = 0.5;
/// Azimuths tried, in a full turn.
const AZIMUTHS: u32 = 24;
/// Heights of the eye above the horizon that are tried, degrees.
const ELEVATIONS_DEG: [f64; 3] = [20.0, 35.0, 50.0];

/// A parallel projection onto the page. Z always points up the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    right: DVec3,
    up: DVec3,
    /// Unit vector from the scene to the eye.
    pub(super) toward: DVec3,
    /// mm on paper for a mm of pipe.
    pub(super) scale: f64,
    middle: DVec3,
    centre: PointMm,
}

impl View {
    fn looking(azimuth_deg: f64, elevation_deg: f64) -> Self {
        let (az, el) = (azimuth_deg.to_radians(), elevation_deg.to_radians());
        let toward = DVec3::new(el.cos() * az.cos(), el.cos() * az.sin(), el.sin());
        let up = unit(DVec3::Z - toward * toward.z).unwrap_or(DVec3::X);
        let right = up.cross(toward);
        Self { right, up, toward, scale: 1.0, middle: DVec3::ZERO, centre: (0.0, 0.0) }
    }

    /// The same view, sized and placed so that all of `path` with `reach_mm` round it fits the area.
    fn fitted(mut self, path: &[DVec3], reach_mm: f64, area: Area) -> Self {
        let spread = |axis: DVec3| {
            let (low, high) = path
                .iter()
                .map(|p| p.dot(axis))
                .fold((f64::MAX, f64::MIN), |(low, high), x| (low.min(x), high.max(x)));
            (f64::midpoint(low, high), high - low + 2.0 * reach_mm)
        };
        let (x, wide) = spread(self.right);
        let (y, high) = spread(self.up);
        let room = (area.width - 2.0 * SIDE_MM, area.height - 2.0 * ABOVE_MM);
        self.scale = (room.0 / wide.max(1.0)).min(room.1 / high.max(1.0)).clamp(1e-6, MOST_SCALE);
        self.middle = self.right * x + self.up * y;
        self.centre = area.centre();
        self
    }

    /// The view that shows the path most spread out.
    ///
    /// Counted are the length of the path as drawn, so that no leg points at the eye and the drawing fills its
    /// area, and how little of it lies over other parts of it.
    pub(super) fn best(path: &[DVec3], reach_mm: f64, area: Area) -> Self {
        let views = ELEVATIONS_DEG.into_iter().flat_map(|elevation| {
            // half a step off, so that no axis of the vehicle lies level
            (0..AZIMUTHS)
                .map(move |i| (f64::from(i) + 0.5) * 360.0 / f64::from(AZIMUTHS))
                .map(move |azimuth| Self::looking(azimuth, elevation))
        });
        let fitted = views.map(|v| v.fitted(path, reach_mm, area)).map(|v| (v.worth(path, reach_mm), v));
        let better = |a: (f64, Self), b: (f64, Self)| if b.0 > a.0 + 1e-9 { b } else { a };
        fitted.reduce(better).map_or_else(|| Self::looking(-60.0, 35.0).fitted(path, reach_mm, area), |b| b.1)
    }

    fn worth(&self, path: &[DVec3], reach_mm: f64) -> f64 {
        let drawn: Vec<PointMm> = path.iter().map(|p| self.point(*p)).collect();
        let (mut length, mut shortest) = (0.0, 1.0_f64);
        for (p, q) in path.windows(2).zip(drawn.windows(2)) {
            let (true_mm, drawn_mm) = (p[0].distance(p[1]), distance(q[0], q[1]));
            if true_mm > 1e-9 {
                length += drawn_mm;
                shortest = shortest.min(drawn_mm / (true_mm * self.scale));
            }
        }
        let (mut over, mut pairs) = (0_u32, 0_u32);
        for i in 0..path.len() {
            for j in i + 1..path.len() {
                if path[i].distance(path[j]) > 3.0 * reach_mm {
                    pairs += 1;
                    over += u32::from(distance(drawn[i], drawn[j]) < 2.0 * reach_mm * self.scale);
                }
            }
        }
        let covered = f64::from(over) / f64::from(pairs.max(1));
        let spread = (0.4 + 0.6 * shortest.min(0.7)) * (1.0 - 4.0 * covered).max(0.1);
        // of two views as good, the one in which the run starts on the left, as one reads
        let starts_left = drawn.first().zip(drawn.last()).is_some_and(|(a, b)| a.0 <= b.0);
        length * spread * (0.6 + 0.4 * self.clarity()) * if starts_left { 1.05 } else { 1.0 }
    }

    /// How far apart the three axes of the vehicle lie on paper: 1 for well, 0 for one over another.
    fn clarity(&self) -> f64 {
        let [x, y, z] = [DVec3::X, DVec3::Y, DVec3::Z].map(|axis| self.direction(axis));
        let apart = |a: PointMm, b: PointMm| (a.0 * b.1 - a.1 * b.0).abs() / 0.35;
        apart(x, y).min(apart(y, z)).min(apart(x, z)).min(1.0)
    }

    /// Where a point lies on paper.
    pub(super) fn point(&self, p: DVec3) -> PointMm {
        let d = p - self.middle;
        (self.centre.0 + self.scale * d.dot(self.right), self.centre.1 - self.scale * d.dot(self.up))
    }

    /// A unit direction on paper, as long as it is foreshortened.
    pub(super) fn direction(&self, d: DVec3) -> PointMm {
        (d.dot(self.right), -d.dot(self.up))
    }

    /// How near to the eye a point is, mm.
    pub(super) fn depth(&self, p: DVec3) -> f64 {
        p.dot(self.toward)
    }
}

pub(super) fn distance(a: PointMm, b: PointMm) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

/// The centreline as points: the faces of all pieces, elbows and long straights with some between.
pub(super) fn path_of(run: &RunReport) -> Vec<DVec3> {
    let mut path: Vec<DVec3> = run.built.frames.first().map(|f| f.0.origin).into_iter().collect();
    for (piece, (begin, end)) in run.built.pieces.iter().zip(&run.built.frames) {
        if let PieceKind::Elbow(e) = piece.kind {
            let arc = begin.forward(e.lead_mm);
            path.push(arc.origin);
            path.extend(
                [0.25, 0.5, 0.75, 1.0]
                    .map(|part| arc.around(e.throat_clock_rad, e.clr_mm, e.angle_rad * part).origin),
            );
        } else {
            let between = (piece.centre_mm / (2.0 * piece.od_mm.max(1.0))).floor().clamp(0.0, 20.0) as u32;
            path.extend(
                (1..=between).map(|i| begin.origin.lerp(end.origin, f64::from(i) / f64::from(between + 1))),
            );
        }
        path.push(end.origin);
    }
    path
}

/// How far anything of the run reaches from its centreline, mm.
pub(super) fn reach_mm(run: &RunReport) -> f64 {
    let reach = |solid: &Solid| match solid {
        Solid::Barrel(b) => b.radius_mm,
        Solid::Elbow(e) => e.radius_mm,
        Solid::Drum(d) => d.radius_mm,
        Solid::Frustum(f) => f.start_radius_mm.max(f.end_radius_mm),
        // lobes are few and small: they may use the room for marks
        Solid::Block(_) => 0.0,
    };
    // parts that stand out need room as well, but no more than a pipe's width of it
    let parts = run.built.parts.iter().map(|p| p.reach_mm().min(run.tube.od_mm));
    run.built.solids.iter().map(|s| reach(&s.solid)).chain(parts).fold(1.0, f64::max)
}
