//! What a route is looked for between, of what, and what it costs.

use super::line::Line;
use super::room::Room;
use glam::DVec3;

/// How bends are made, as far as laying a pipe out needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bending {
    /// Elbows cut down to the angle: one piece a bend.
    Elbow,
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
    pub fn welds(&self, angle_rad: f64) -> u32 {
        match self {
            Self::Elbow => 0,
            Self::Mitred { most_saw_rad, least_welds } => {
                // just over a whole number is that number: an angle of 45° is 45° but for its last digits
                let welds = (angle_rad / (2.0 * most_saw_rad) - 1e-6).ceil();
                (welds.max(1.0) as u32).max(*least_welds)
            }
        }
    }

    /// How much further than a smooth bend of the tube it reaches at most, mm: the heels of slices stand
    /// `(R + r)·(1/cos α − 1)` over the arc.
    pub fn over_mm(&self, angle_rad: f64, clr_mm: f64, radius_mm: f64) -> f64 {
        match self {
            Self::Elbow => 0.0,
            Self::Mitred { .. } => {
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

/// A route to look for.
#[derive(Debug, Clone)]
pub struct Task {
    /// What is in the way.
    pub room: Room,
    /// Where it starts, and the unit direction it leaves in.
    pub start: (DVec3, DVec3),
    /// Where it ends, and the unit direction it arrives in; none where any will do.
    pub end: (DVec3, Option<DVec3>),
    /// Outside radius of the tube, mm.
    pub radius_mm: f64,
    /// Radius of the bends, mm.
    pub clr_mm: f64,
    /// How they are made.
    pub bending: Bending,
    /// Largest bend, rad.
    pub most_bend_rad: f64,
    /// Shortest straight at the start and at the end, mm.
    pub ends_mm: (f64, f64),
    /// Shortest straight between bends, mm.
    pub straight_mm: f64,
    /// Most bends.
    pub most_bends: usize,
    /// Places nearer than this along the pipe do not count against each other, mm.
    pub own_near_mm: f64,
    /// Gap it keeps to itself, mm.
    pub own_gap_mm: f64,
    /// What counts.
    pub weights: Weights,
}

/// Least bend, rad (1°): less is a kink that nobody saws.
pub const LEAST_BEND_RAD: f64 = std::f64::consts::PI / 180.0;

/// A straight below this is no piece, mm.
const NO_PIECE_MM: f64 = 0.5;

impl Task {
    /// The line through vertices between the ends.
    pub fn line(&self, vertices: &[DVec3]) -> Option<Line> {
        let points = std::iter::once(self.start.0).chain(vertices.iter().copied());
        Line::new(points.chain(std::iter::once(self.end.0)).collect(), self.clr_mm)
    }

    /// Shortest straight that leg `leg` of `legs` may have, mm.
    pub fn shortest_mm(&self, leg: usize, legs: usize) -> f64 {
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
    pub fn welds(&self, line: &Line) -> f64 {
        let straights = (0..line.legs.len()).filter(|i| line.straight_mm(*i) > NO_PIECE_MM).count();
        match self.bending {
            Bending::Elbow => ((line.bends() + straights) as f64 - 1.0).max(0.0),
            Bending::Mitred { .. } => line.angles.iter().map(|a| f64::from(self.bending.welds(*a))).sum(),
        }
    }

    /// What a line costs, mm of tube, but for how tight it is.
    pub fn cost(&self, line: &Line) -> f64 {
        let w = &self.weights;
        w.weld_mm * self.welds(line) + w.bend_mm * line.bends() as f64 + self.smooth_cost(line)
    }

    /// The part of the cost that changes with every small move, mm.
    pub fn smooth_cost(&self, line: &Line) -> f64 {
        line.length_mm() + self.weights.degree_mm * line.turned_deg()
    }
}
