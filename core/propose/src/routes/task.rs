//! What a route is looked for between, of what, and what it costs.

use super::line::Line;
use super::room::Room;
use glam::DVec3;

/// How bends are made, as far as laying a pipe out needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Bending {
    /// Elbows cut down to the angle: one piece a bend.
    Elbow,
    /// Slices with so many welds, whatever the bend turns.
    Fixed {
        /// How many.
        welds: u32,
    },
    /// Slices: as many welds as it takes to stay under a saw angle.
    Mitred {
        /// Largest saw angle from square, rad.
        most_saw_rad: f64,
        /// Fewest welds a bend may have.
        least_welds: u32,
    },
}

impl Bending {
    /// Welds in a bend of so much; an elbow has its two ends welded, which count with the straights.
    pub(super) fn welds(&self, angle_rad: f64) -> u32 {
        match self {
            Self::Elbow => 0,
            Self::Fixed { welds } => (*welds).max(1),
            Self::Mitred { most_saw_rad, least_welds } => {
                // just over a whole number is that number: an angle of 45° is 45° but for its last digits
                let welds = (angle_rad / (2.0 * most_saw_rad) - 1e-6).ceil();
                (welds.max(1.0) as u32).max(*least_welds)
            }
        }
    }

    /// How much further than a smooth bend of the tube it reaches at most, mm: the heels of slices stand
    /// `(R + r)·(1/cos α − 1)` over the arc.
    pub(super) fn over_mm(&self, angle_rad: f64, clr_mm: f64, radius_mm: f64) -> f64 {
        match self {
            Self::Elbow => 0.0,
            Self::Mitred { .. } | Self::Fixed { .. } => {
                let saw = angle_rad / (2.0 * f64::from(self.welds(angle_rad)));
                (clr_mm + radius_mm) * (1.0 / saw.min(1.2).cos() - 1.0)
            }
        }
    }
}

/// What makes one route worse than another: all in millimetres of tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Each weld, mm.
    pub weld_mm: f64,
    /// Each bend, mm.
    pub bend_mm: f64,
    /// Each degree that is bent, mm.
    pub degree_mm: f64,
    /// Each millimetre that the tightest place has less than [`Weights::wide_mm`] to spare, mm.
    pub tight_mm: f64,
    /// A gap with so much to spare is wide enough, mm.
    pub wide_mm: f64,
}

impl Default for Weights {
    /// What a weld, a bend and a tight place are worth in tube (common practice, no source).
    fn default() -> Self {
        Self { weld_mm: 60.0, bend_mm: 0.0, degree_mm: 1.0, tight_mm: 0.0, wide_mm: 25.0 }
    }
}

/// How one bend is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BendRule {
    /// Its radius, mm.
    pub(super) clr_mm: f64,
    /// Elbow or slices.
    pub(super) bending: Bending,
    /// Most that it may turn, rad.
    pub(super) most_rad: f64,
}

/// A route to look for.
#[derive(Debug, Clone)]
pub(super) struct Task {
    /// What is in the way.
    pub(super) room: Room,
    /// Where it starts, and the unit direction it leaves in.
    pub(super) start: (DVec3, DVec3),
    /// Where it ends, and the unit direction it arrives in; none where any will do.
    pub(super) end: (DVec3, Option<DVec3>),
    /// Outside radius of the tube, mm.
    pub(super) radius_mm: f64,
    /// Radius of the bends, mm.
    pub(super) clr_mm: f64,
    /// How they are made.
    pub(super) bending: Bending,
    /// Largest bend, rad.
    pub(super) most_bend_rad: f64,
    /// How each bend of a line with just so many is made, where they differ; else empty.
    pub(super) each: Vec<BendRule>,
    /// Shortest straight at the start and at the end, mm.
    pub(super) ends_mm: (f64, f64),
    /// Shortest straight between bends, mm.
    pub(super) straight_mm: f64,
    /// Most bends.
    pub(super) most_bends: usize,
    /// Places nearer than this along the pipe do not count against each other, mm.
    pub(super) own_near_mm: f64,
    /// Gap it keeps to itself, mm.
    pub(super) own_gap_mm: f64,
    /// What counts.
    pub(super) weights: Weights,
}

/// Least bend, rad (1°): less is a kink that nobody saws.
pub(super) const LEAST_BEND_RAD: f64 = std::f64::consts::PI / 180.0;

/// A straight below this is no piece, mm.
const NO_PIECE_MM: f64 = 0.5;

impl Task {
    /// The line through vertices between the ends.
    pub(super) fn line(&self, vertices: &[DVec3]) -> Option<Line> {
        let points = std::iter::once(self.start.0).chain(vertices.iter().copied());
        let radii_mm = (0..vertices.len()).map(|i| self.bend(i, vertices.len()).clr_mm).collect();
        Line::new(points.chain(std::iter::once(self.end.0)).collect(), radii_mm)
    }

    /// How bend `i` of so many is made.
    pub(super) fn bend(&self, i: usize, bends: usize) -> BendRule {
        let own = self.each.get(i).filter(|_| self.each.len() == bends);
        own.copied().unwrap_or(BendRule {
            clr_mm: self.clr_mm,
            bending: self.bending,
            most_rad: self.most_bend_rad,
        })
    }

    /// How much further than a smooth bend of the tube bend `i` of a line reaches, mm.
    pub(super) fn over_mm(&self, line: &Line, i: usize) -> f64 {
        self.bend(i, line.bends()).bending.over_mm(line.angles[i], line.radii_mm[i], self.radius_mm)
    }

    /// Shortest straight that leg `leg` of `legs` may have, mm.
    pub(super) fn shortest_mm(&self, leg: usize, legs: usize) -> f64 {
        let mut least = if leg > 0 && leg + 1 < legs { self.straight_mm } else { 0.0 };
        if leg == 0 {
            least = least.max(self.ends_mm.0);
        }
        if leg + 1 == legs {
            least = least.max(self.ends_mm.1);
        }
        least
    }

    /// Welds of a line: between its pieces, and in its bends.
    pub(super) fn welds(&self, line: &Line) -> f64 {
        let slices = |i: usize| self.bend(i, line.bends()).bending.welds(line.angles[i]);
        let in_bends: u32 = (0..line.bends()).map(slices).sum();
        let elbows = (0..line.bends()).filter(|i| slices(*i) == 0).count();
        // the straights beside slices are cut to them: only between elbows and straights are there welds more
        let apart = (0..line.legs.len()).filter(|i| {
            let beside = |b: Option<usize>| b.is_some_and(|b| b < line.bends() && slices(b) == 0);
            line.straight_mm(*i) > NO_PIECE_MM && (beside(i.checked_sub(1)) || beside(Some(*i)))
        });
        let elbow_welds = if elbows > 0 { (elbows + apart.count()) as f64 - 1.0 } else { 0.0 };
        f64::from(in_bends) + elbow_welds.max(0.0)
    }

    /// What a line costs, mm of tube, but for how tight it is.
    pub(super) fn cost(&self, line: &Line) -> f64 {
        let w = &self.weights;
        w.weld_mm * self.welds(line) + w.bend_mm * line.bends() as f64 + self.smooth_cost(line)
    }

    /// The part of the cost that changes with every small move, mm.
    pub(super) fn smooth_cost(&self, line: &Line) -> f64 {
        line.length_mm() + self.weights.degree_mm * line.turned_deg()
    }
}
