//! Where the pieces of a run have their wall: between their faces at each clock, shaped ends included.
//!
//! What sits on a pipe (a branch, a bar, a small part) asks here whether there is tube under it.

use super::build::{Built, PlacedSolid};
use super::limb::Edge;
use super::piece::Piece;
use super::saddle::{HoleSize, Saddle};
use crate::geom::Solid;
use crate::geom::search::largest;
use crate::geom::vector::half_open_turn;
use glam::DVec3;
use std::f64::consts::PI;

/// Clocks at which the place that a shaped end reaches furthest is looked for before closing in.
const CLOCKS: u32 = 36;
/// A foot is followed within this, mm: half of what it may reach over the edge unnoticed.
const CHORD_MM: f64 = 0.1;
/// What counts as on the wall beyond its edge, mm: rounding noise.
const ON_MM: f64 = 1e-6;

/// How far a face leaves the pipe short of the end of its centreline at the shortest of the clocks within `half_rad` of
/// `clock_rad`, right through the wall, mm; below zero where it goes on. `end` is 0 for the start of the piece, 1 for its
/// end.
pub(super) fn short_mm(piece: &Piece, end: usize, clock_rad: f64, half_rad: f64) -> f64 {
    match &piece.curves[end] {
        Some(curve) if half_rad >= PI => curve.range_mm().1,
        Some(curve) if half_rad <= 0.0 => curve.at_mm(Edge::Seat, clock_rad),
        Some(curve) => {
            let at = |clock: f64| curve.at_mm(Edge::Seat, clock);
            largest(at, clock_rad - half_rad, clock_rad + half_rad, CLOCKS).1
        }
        None => {
            let cut = if end == 0 { &piece.start } else { &piece.end };
            let Some(heel) = cut.heel_clock_rad else { return 0.0 };
            // the further from the heel the shorter
            let away = (half_open_turn(clock_rad - heel).abs() + half_rad).min(PI);
            -piece.od_mm / 2.0 * cut.tilt_rad.tan() * away.cos()
        }
    }
}

/// What can be sat on of a run, in order: all its solids but the lobes of joints.
pub(super) fn tubes(built: &Built) -> Vec<&PlacedSolid> {
    built.solids.iter().filter(|s| !s.lobe).collect()
}

/// The same without joints and tapers: the parts of the header that all of a run makes.
pub(super) fn bare_tubes(built: &Built) -> Vec<&PlacedSolid> {
    let is_tube = |s: &&PlacedSolid| matches!(s.solid, Solid::Barrel(_) | Solid::Elbow(_));
    tubes(built).into_iter().filter(is_tube).collect()
}

/// Where the wall of a piece is missing under a foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lack {
    /// Index of the piece.
    pub(super) piece: usize,
    /// Clock of the place where most is missing, rad.
    pub(super) clock_rad: f64,
    /// How far the foot reaches over the edge there, along the piece, mm.
    pub(super) by_mm: f64,
    /// Whether it is cut away at the start of the piece, else at its end.
    pub(super) at_start: bool,
    /// Length of the wall that is left at that clock, mm.
    pub(super) left_mm: f64,
}

/// Where a foot on a run reaches over an edge that shaped ends have cut; `None` where it lies on wall all round.
/// `parts` are the tubes that its header is made of, in order.
///
/// Flat faces are seen when the foot is fitted; here it is about what was cut afterwards.
pub(super) fn lack(built: &Built, parts: &[&PlacedSolid], saddle: &Saddle) -> Option<Lack> {
    let first = built.pieces.first()?;
    let last = built.pieces.len() - 1;
    let shaped = [first.curves[0].is_some(), built.pieces[last].curves[1].is_some()];
    if shaped == [false; 2] {
        return None;
    }
    let begins_mm = |piece: usize| built.pieces.iter().take(piece).map(|p| p.centre_mm).sum::<f64>();
    let mut worst: Option<Lack> = None;
    for point in saddle.hole(HoleSize::Outside, CHORD_MM).edge {
        let (part, along_mm, clock_rad) = saddle.header().place_of(point.point);
        let Some(placed) = parts.get(part) else { continue };
        let piece = &built.pieces[placed.piece];
        let at_mm = placed.span_mm.0 - begins_mm(placed.piece) + along_mm;
        for (end, at_run_end) in [placed.piece == 0, placed.piece == last].into_iter().enumerate() {
            if !(at_run_end && shaped[end]) {
                continue;
            }
            let from_end_mm = if end == 0 { at_mm } else { piece.centre_mm - at_mm };
            let by_mm = missing_mm(piece, end, clock_rad, from_end_mm);
            if by_mm > ON_MM && worst.is_none_or(|w| by_mm > w.by_mm) {
                let lost_mm = [0, 1].map(|end| short_mm(piece, end, clock_rad, 0.0));
                let left_mm = (piece.centre_mm - lost_mm[0] - lost_mm[1]).max(0.0);
                worst = Some(Lack { piece: placed.piece, clock_rad, by_mm, at_start: end == 0, left_mm });
            }
        }
    }
    worst
}

/// How far a place `from_end_mm` from an end of a piece lies off its wall at a clock, mm: how far one has to go from that
/// end to come to wall.
fn missing_mm(piece: &Piece, end: usize, clock_rad: f64, from_end_mm: f64) -> f64 {
    let edge_mm = short_mm(piece, end, clock_rad, 0.0);
    if from_end_mm < edge_mm {
        return edge_mm - from_end_mm;
    }
    let gaps = piece.curves[end].as_ref().map_or_else(Vec::new, |curve| curve.gaps_mm(clock_rad));
    let within = gaps.into_iter().find(|(from, to)| (*from..*to).contains(&from_end_mm));
    within.map_or(0.0, |(_, to)| to - from_end_mm)
}

/// Whether two feet on one pipe share a place of its skin.
pub(super) fn feet_meet(a: &Saddle, b: &Saddle) -> bool {
    let lies_in = |point: DVec3, other: &Saddle| {
        let axis = other.branch().axis();
        let along_mm = (point - axis.origin).dot(axis.along);
        // the side of the pipe that the other leaves from, not the one behind it
        along_mm > other.foot_mm() && axis.point(along_mm).distance(point) < other.branch().radius_mm - ON_MM
    };
    let reaches = |of: &Saddle, other: &Saddle| {
        let edge = of.hole(HoleSize::Outside, 1.0).edge;
        // one that lies in the other whole has its middle there
        let axis = of.branch().axis();
        let middle = of.header().left_at_mm(&axis, of.foot_mm()).map(|mm| axis.point(mm));
        edge.iter().map(|p| p.point).chain(middle).any(|point| lies_in(point, other))
    };
    reaches(a, b) || reaches(b, a)
}
