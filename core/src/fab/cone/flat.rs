//! The cone laid flat: the outline to cut the sheet by, and its clock marks.

use super::shape::{Cone, ConeKind};
use glam::DVec2;
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// What the chords round the longer end may fall short of its arc in all, mm; the flat of a shifted cone is built of such
/// chords, and their bulge is less still.
const SHORT_MM: f64 = 0.001;
/// Fewest steps round.
const LEAST_STEPS: f64 = 720.0;
/// Clocks nearer than this are one, rad.
const SAME_RAD: f64 = 1e-9;

/// A line on the flat at a clock that is a multiple of 45°.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClockMark {
    /// The clock, degrees in [0, 360), from the index line.
    pub clock_deg: u32,
    /// Its ends on the first and the second edge, mm.
    pub ends: [DVec2; 2],
}

/// A cone's flat, seen from what becomes the outside: the run's travel goes up in its middle, clocks grow to the right, the
/// seam is at both sides. The middle of the first edge is near the origin.
#[derive(Debug, Clone, PartialEq)]
pub struct Flat {
    /// Edge that becomes the first end, from the seam round to the seam, mm.
    pub first: Vec<DVec2>,
    /// Edge that becomes the second end, from the seam round to the seam, mm.
    pub second: Vec<DVec2>,
    /// Clock of each point of the edges, rad, rising from the seam's through a full turn.
    pub clocks_rad: Vec<f64>,
    /// The lap beyond the right side: the seam below and above, then outside above and below; `None` without one.
    pub lap: Option<[DVec2; 4]>,
    /// Marks every 45°.
    pub marks: Vec<ClockMark>,
    /// Area without the lap, mm².
    pub area_mm2: f64,
    /// What points may be off by, mm: the chords' shortfall. Parts of a ring and rectangles lie on the exact curves.
    pub off_mm: f64,
}

impl Flat {
    pub(super) fn of(cone: &Cone) -> Self {
        let clocks_rad = clocks(cone);
        let seam = cone.shape().seam_clock_rad;
        let exact = match cone.kind() {
            ConeKind::Cylinder | ConeKind::Frustum => Some(Ring::of(cone)),
            ConeKind::ObliqueCylinder | ConeKind::ObliqueCone { .. } => None,
        };
        let pairs: Vec<[DVec2; 2]> = match exact {
            Some(ring) => clocks_rad.iter().map(|c| ring.line(c - seam - PI)).collect(),
            None => upright(unroll(cone, &clocks_rad)),
        };
        let first: Vec<DVec2> = pairs.iter().map(|p| p[0]).collect();
        let second: Vec<DVec2> = pairs.iter().map(|p| p[1]).collect();
        let area_mm2 =
            exact.map_or_else(|| area(first.iter().chain(second.iter().rev())), |ring| ring.area_mm2());
        let marks = (0..8u32).filter_map(|eighth| {
            let wanted = f64::from(eighth) * FRAC_PI_4;
            let at = clocks_rad.iter().position(|c| near_turn(*c, wanted))?;
            Some(ClockMark { clock_deg: 45 * eighth, ends: pairs[at] })
        });
        Self {
            lap: lap(pairs.last(), cone.shape().lap_mm),
            marks: marks.collect(),
            first,
            second,
            clocks_rad,
            area_mm2,
            off_mm: if exact.is_some() { 0.0 } else { SHORT_MM },
        }
    }

    /// The seam's two sides from the first edge to the second, left and right, mm.
    pub fn seam_sides(&self) -> [[DVec2; 2]; 2] {
        let side = |i: usize| [self.first.get(i), self.second.get(i)].map(|p| p.copied().unwrap_or_default());
        [side(0), side(self.first.len().saturating_sub(1))]
    }

    /// What is cut out of the sheet: a closed line with the lap, its first point not repeated; along the first edge from the
    /// left, up the right side, back along the second edge.
    pub fn outline(&self) -> Vec<DVec2> {
        let mut out = self.first.clone();
        if let Some([_, _, above, below]) = self.lap {
            out.extend([below, above]);
        }
        out.extend(self.second.iter().rev());
        out
    }

    /// Least and greatest corner of the outline, mm: the sheet it needs.
    pub fn bounds(&self) -> (DVec2, DVec2) {
        self.outline()
            .iter()
            .fold((DVec2::splat(f64::INFINITY), DVec2::splat(f64::NEG_INFINITY)), |(a, b), p| {
                (a.min(*p), b.max(*p))
            })
    }
}

fn near_turn(a: f64, b: f64) -> bool {
    let off = (a - b).rem_euclid(TAU);
    off.min(TAU - off) < SAME_RAD
}

/// Clocks of the lines, from the seam through a full turn: even steps, and the marks between them.
///
/// Chords of steps `δ` fall short of an arc by the part `δ²/24`.
fn clocks(cone: &Cone) -> Vec<f64> {
    let s = cone.shape();
    let round = TAU * s.first_mm.max(s.second_mm);
    let steps = (TAU / (24.0 * SHORT_MM / round).sqrt()).max(LEAST_STEPS).ceil() as u32;
    let seam = s.seam_clock_rad;
    let mut out: Vec<f64> = (0..=steps).map(|i| seam + TAU * f64::from(i) / f64::from(steps)).collect();
    out.extend((0..8u32).map(|i| seam + (f64::from(i) * FRAC_PI_4 - seam).rem_euclid(TAU)));
    out.sort_by(f64::total_cmp);
    out.dedup_by(|b, a| *b - *a < SAME_RAD);
    out
}

/// The flat of a cone on one axis: part of a ring, or a rectangle.
#[derive(Clone, Copy)]
struct Ring {
    /// Radii of the middle fibre at the two ends, mm.
    ends: [f64; 2],
    slant_mm: f64,
}

impl Ring {
    fn of(cone: &Cone) -> Self {
        let [a, b] = cone.middle_line(0.0);
        Self { ends: [a.x, b.x], slant_mm: a.distance(b) }
    }

    /// The line `from_middle_rad` of clock from the one opposite the seam.
    ///
    /// The slant from the apex is `radius/sin a`, the flat's angle the clock times `sin a`; apex above where it narrows,
    /// below where it widens. `1 − cos` as twice the square of the half sine, so that a cone that is nearly a cylinder
    /// keeps its digits.
    fn line(&self, from_middle_rad: f64) -> [DVec2; 2] {
        let narrows = (self.ends[0] - self.ends[1]) / self.slant_mm;
        let turn = from_middle_rad * narrows;
        let bulge = if turn.abs() < 1e-6 { turn / 2.0 } else { 2.0 * (turn / 2.0).sin().powi(2) / turn };
        let sinc = if turn.abs() < 1e-6 { 1.0 } else { turn.sin() / turn };
        [(0, 0.0), (1, self.slant_mm)].map(|(end, up)| {
            let arc = self.ends[end] * from_middle_rad;
            DVec2::new(arc * sinc, up + arc * bulge)
        })
    }

    fn area_mm2(&self) -> f64 {
        PI * (self.ends[0] + self.ends[1]) * self.slant_mm
    }
}

/// Triangles between neighbouring lines laid one beside the other, each with its true lengths.
fn unroll(cone: &Cone, clocks_rad: &[f64]) -> Vec<[DVec2; 2]> {
    let lines: Vec<_> = clocks_rad.iter().map(|c| cone.middle_line(*c)).collect();
    let mut out: Vec<[DVec2; 2]> = Vec::with_capacity(lines.len());
    for (i, [a, b]) in lines.iter().enumerate() {
        let next = match (i.checked_sub(1).map(|before| lines[before]), out.last()) {
            (Some([a0, b0]), Some([flat_a, flat_b])) => {
                let p = beside(*flat_a, *flat_b, a.distance(a0), a.distance(b0));
                [p, beside(p, *flat_b, b.distance(*a), b.distance(b0))]
            }
            _ => [DVec2::ZERO, DVec2::Y * a.distance(*b)],
        };
        out.push(next);
    }
    out
}

/// The point to the right of the way from `a` to `b` at the given distances from them.
fn beside(a: DVec2, b: DVec2, from_a: f64, from_b: f64) -> DVec2 {
    let way = b - a;
    let long = way.length();
    let along = (from_a * from_a - from_b * from_b + long * long) / (2.0 * long);
    let aside = (from_a * from_a - along * along).max(0.0).sqrt();
    a + (way * along - way.perp() * aside) / long
}

/// Turned so that the two seam corners of the first edge are level, with the middle of that edge at the origin's height.
fn upright(pairs: Vec<[DVec2; 2]>) -> Vec<[DVec2; 2]> {
    let (Some(first), Some(last)) = (pairs.first(), pairs.last()) else { return pairs };
    let level = (last[0] - first[0]).try_normalize().unwrap_or(DVec2::X);
    let turn = DVec2::new(level.x, -level.y);
    let origin = first[0].midpoint(last[0]);
    let turned: Vec<[DVec2; 2]> = pairs.iter().map(|p| p.map(|q| turn.rotate(q - origin))).collect();
    let up = turned[turned.len() / 2][0].y;
    turned.into_iter().map(|p| p.map(|q| q - DVec2::Y * up)).collect()
}

fn lap(right: Option<&[DVec2; 2]>, lap_mm: f64) -> Option<[DVec2; 4]> {
    let [below, above] = *right?;
    let out = -(above - below).try_normalize()?.perp() * lap_mm;
    (lap_mm > 0.0).then_some([below, above, above + out, below + out])
}

/// Area inside a closed line, mm² (the surveyor's formula).
fn area<'a>(points: impl Iterator<Item = &'a DVec2>) -> f64 {
    let points: Vec<DVec2> = points.copied().collect();
    let next = points.iter().cycle().skip(1);
    (points.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>() / 2.0).abs()
}
