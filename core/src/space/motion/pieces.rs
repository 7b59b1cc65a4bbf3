//! The pieces of both bodies: how two of them lie to each other, and how they are cut finer.

use super::Motion;
use super::bound::{Swing, least_apart};
use super::item::Cell;
use super::turn::Turned;
use crate::geom::Solid;
use crate::space::body::{Body, Form};
use crate::space::brick::Brick;
use crate::space::meet::{Meeting, meet_by, shared_points};
use crate::space::piece::Piece;
use crate::space::scan::{PlacedScan, ScanPart};
use glam::DVec3;
use parry3d_f64::query::gjk::CsoPoint;

/// What the solids are measured to.
pub(super) enum Target<'a> {
    /// Solids, or an obstacle.
    Bodies(Vec<Body<'a>>),
    /// All below the plane through a point, with its unit normal.
    Plane {
        /// The point.
        on: DVec3,
        /// The normal.
        out: DVec3,
    },
    /// A scan.
    Scan(&'a PlacedScan),
}

/// What a piece of the second body is of.
#[derive(Debug, Clone, Copy)]
pub(super) enum Of<'a> {
    /// A body, by its place in the list.
    Body(usize, &'a Body<'a>),
    /// A half space.
    Plane { on: DVec3, out: DVec3 },
    /// A scan.
    Scan(ScanPart, &'a PlacedScan),
}

/// How two pieces lie to each other at given rolls and the shift that brings them nearest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sight {
    /// Points of the pieces nearest each other, or shared, each where its body is drawn.
    pub(super) on: [DVec3; 2],
    /// The shift that brings them together, mm.
    pub(super) shift_mm: DVec3,
    /// Unit direction from the first to the second that parts them; `None` where they overlap.
    pub(super) across: Option<DVec3>,
}

/// All pieces cut so far; the hulls of the bodies come first.
pub(super) struct Pieces<'a> {
    motion: &'a Motion,
    pub(super) solids: Vec<Body<'static>>,
    /// Pieces of the solids, each with the solid it is of.
    pub(super) firsts: Vec<(usize, Piece)>,
    /// Pieces of what they are measured to.
    pub(super) seconds: Vec<(Of<'a>, Piece)>,
}

impl<'a> Pieces<'a> {
    /// The bodies as they are.
    pub(super) fn new(motion: &'a Motion, solids: &[Solid], target: &'a Target<'a>) -> Self {
        let solids: Vec<Body<'static>> = solids.iter().map(Body::from).collect();
        let firsts = solids.iter().enumerate().map(|(i, body)| (i, body.hull.clone())).collect();
        let seconds = match target {
            Target::Bodies(bodies) => {
                bodies.iter().enumerate().map(|(i, body)| (Of::Body(i, body), body.hull.clone())).collect()
            }
            Target::Plane { on, out } => vec![(Of::Plane { on: *on, out: *out }, Piece::Point(*on))],
            Target::Scan(scan) => {
                let root = ScanPart::Node(0);
                scan.piece(root).map(|piece| (Of::Scan(root, scan), piece)).into_iter().collect()
            }
        };
        Self { motion, solids, firsts, seconds }
    }

    /// The rounding of the body that a piece of the second is of, mm.
    pub(super) fn round_mm(&self, second: usize) -> f64 {
        match self.seconds[second].0 {
            Of::Body(_, body) => body.round_mm,
            Of::Plane { .. } | Of::Scan(..) => 0.0,
        }
    }

    fn turned(&self, rolls_rad: [f64; 2]) -> [Turned; 2] {
        [0, 1].map(|side| self.motion.lines[side].turned(rolls_rad[side]))
    }

    /// How two pieces lie to each other; `None` where numbers are bad.
    pub(super) fn sight(&self, pieces: [usize; 2], rolls_rad: [f64; 2], toward: DVec3) -> Option<Sight> {
        let [first, second] = self.turned(rolls_rad);
        let (a, (of, b)) = (&self.firsts[pieces[0]].1, &self.seconds[pieces[1]]);
        let reach_mm = self.motion.reach_mm();
        let reach = Brick::new(DVec3::ZERO, DVec3::AXES, reach_mm);
        if let Of::Plane { on, out } = of {
            let down = second.direction(-*out);
            let x = a.support(first.direction_back(down));
            let shift_mm = reach.support(down);
            let moved = first.point(x) + shift_mm;
            let foot = moved + down * (second.point(*on) - moved).dot(down);
            return Some(Sight { on: [x, second.point_back(foot)], shift_mm, across: Some(down) });
        }
        let furthest = |direction: DVec3| {
            let x = a.support(first.direction_back(direction));
            let y = b.support(-second.direction_back(direction));
            let point = first.point(x) + reach.support(direction) - second.point(y);
            CsoPoint::new_with_point(point, x, y)
        };
        let (on, across) = match meet_by(furthest, toward, f64::INFINITY) {
            Meeting::Beyond => return None,
            Meeting::Apart { across, on, .. } => (on, Some(across)),
            Meeting::Overlap { simplex, .. } => (shared_points(&simplex), None),
        };
        let shift_mm = (second.point(on[1]) - first.point(on[0])).clamp(-reach_mm, reach_mm);
        Some(Sight { on, shift_mm, across })
    }

    /// The gap of the bodies themselves where `sight` brings their pieces nearest, or a little more than that; `None`
    /// where a piece is of no body but a box round many triangles.
    pub(super) fn real_gap_mm(&self, pieces: [usize; 2], rolls_rad: [f64; 2], sight: &Sight) -> Option<f64> {
        let [first, second] = self.turned(rolls_rad);
        let body = &self.solids[self.firsts[pieces[0]].0];
        let [x, y] = sight.on;
        let is_hull = |body: &Body<'_>| matches!(body.form, Form::Hull);
        // the point of a convex piece is real; else the nearest one of the body to what is over against it
        let real_x = || {
            if is_hull(body) {
                x
            } else {
                body.real_point(first.point_back(second.point(y) - sight.shift_mm))
            }
        };
        let apart_mm = |x: DVec3, y: DVec3| (first.point(x) + sight.shift_mm).distance(second.point(y));
        match self.seconds[pieces[1]].0 {
            Of::Scan(ScanPart::Node(_), _) => None,
            Of::Scan(ScanPart::Triangle(_), _) => Some(apart_mm(real_x(), y)),
            Of::Plane { on, .. } => {
                let below = second.point(on) - first.point(x) - sight.shift_mm;
                sight.across.map(|down| below.dot(down))
            }
            Of::Body(_, other) if is_hull(other) => Some(apart_mm(real_x(), y) - other.round_mm),
            Of::Body(_, other) => {
                let x = body.real_point(x);
                let y = other.real_point(second.point_back(first.point(x) + sight.shift_mm));
                Some(apart_mm(x, y) - other.round_mm)
            }
        }
    }

    /// What the gap of a pair can not be less than in a cell, mm, as `across` proves it; and at which rolls it may be.
    pub(super) fn bound(&self, pieces: [usize; 2], cell: &Cell, across: DVec3) -> (f64, [f64; 2]) {
        let [first, second] = self.turned(cell.middle_rad);
        let (a, (of, b)) = (&self.firsts[pieces[0]].1, &self.seconds[pieces[1]]);
        let height = |piece: &Piece, turned: &Turned, direction: DVec3| {
            let own = turned.direction_back(direction);
            own.dot(piece.support(own) - turned.about)
        };
        let first_mm = |direction: DVec3| height(a, &first, direction);
        let second_mm = |direction: DVec3| height(b, &second, direction);
        let [own, other] =
            [0, 1].map(|side| Swing { axis: self.motion.lines[side].axis, half_rad: cell.half_rad[side] });
        let reach_mm = self.motion.reach_mm();
        let offset = first.about - second.about;
        let mut least = least_apart(across, second_mm(-across), &first_mm, (offset, reach_mm), [own, other]);
        // a half space has a height along its own normal only
        if !matches!(of, Of::Plane { .. }) {
            let (held_mm, [other_rad, own_rad]) =
                least_apart(-across, first_mm(across), &second_mm, (-offset, reach_mm), [other, own]);
            if held_mm > least.0 {
                least = (held_mm, [own_rad, other_rad]);
            }
        }
        let at_rad = [0, 1].map(|side| cell.middle_rad[side] + least.1[side]);
        (least.0 - self.round_mm(pieces[1]), at_rad)
    }

    /// How far the points of `sight` are from the bodies that the pieces are of, mm.
    pub(super) fn off_mm(&self, pieces: [usize; 2], sight: &Sight) -> [f64; 2] {
        let [x, y] = sight.on;
        let (of, piece) = &self.seconds[pieces[1]];
        let second_mm = match of {
            Of::Body(_, body) => body.real_point(y).distance(y),
            Of::Scan(ScanPart::Node(_), _) => {
                let (low, high) = piece.bounds();
                low.distance(high) / 2.0
            }
            Of::Scan(ScanPart::Triangle(_), _) | Of::Plane { .. } => 0.0,
        };
        [self.solids[self.firsts[pieces[0]].0].real_point(x).distance(x), second_mm]
    }

    /// Cuts a piece of one side finer; the places of what comes of it. `None` where it can not be cut.
    ///
    /// `at` is a point of it that its body does not have; `rise_mm` is how much further off the finer pieces have to
    /// be for the search to end, where that is known.
    pub(super) fn cut(
        &mut self,
        side: usize,
        place: usize,
        at: DVec3,
        rise_mm: Option<f64>,
    ) -> Option<std::ops::Range<usize>> {
        if side == 0 {
            let (owner, piece) = &self.firsts[place];
            let (owner, parts) = (*owner, self.solids[*owner].split(piece, at, rise_mm)?);
            let from = self.firsts.len();
            self.firsts.extend(parts.into_iter().map(|part| (owner, part)));
            return Some(from..self.firsts.len());
        }
        let (of, piece) = &self.seconds[place];
        let of = *of;
        let parts: Vec<(Of<'a>, Piece)> = match of {
            Of::Body(_, body) => body.split(piece, at, rise_mm)?.into_iter().map(|part| (of, part)).collect(),
            Of::Scan(part, scan) => {
                let parts = scan.parts_of(part).into_iter();
                parts.filter_map(|part| Some((Of::Scan(part, scan), scan.piece(part)?))).collect()
            }
            Of::Plane { .. } => return None,
        };
        let from = self.seconds.len();
        self.seconds.extend(parts);
        Some(from..self.seconds.len())
    }
}
