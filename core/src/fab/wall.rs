//! Where the pieces of a run have their wall: between their faces at each clock, shaped ends included.
//!
//! What sits on a pipe (a branch, a bar, a small part) asks here whether there is tube under it.

use super::build::{Built, PlacedSolid};
use super::limb::Edge;
use super::piece::Piece;
use super::saddle::{HoleSize, Saddle};
use crate::geom::search::largest;
use crate::geom::vector::half_open_turn;
use glam::DVec3;
use std::f64::consts::PI;

/// Clocks at which the place that a shaped end reaches furthest is looked for before closing in.
const CLOCKS: u32 = 36;
/// A foot is followed within this, mm: half of what it may reach over the edge unnoticed.
const CHORD_MM: f64 = 0.1;
/// A place of a foot is on the tube of a piece where it is as far from its axis as the skin, within this, mm: noise of laying
/// pieces, far less than to another tube.
const ON_AXIS_MM: f64 = 0.1;
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
///
/// Only the first and the last piece have such ends, and both are straight, so each place of the foot is looked up along
/// their axes. Flat faces are seen when the foot is fitted; here it is about what was cut afterwards.
pub(super) fn lack(built: &Built, saddle: &Saddle) -> Option<Lack> {
    if !has_shaped_end(built) {
        return None;
    }
    let foot = saddle.hole(HoleSize::Outside, CHORD_MM);
    lack_under(built, foot.edge.iter().map(|p| p.point), foot.header_radius_mm)
}

fn has_shaped_end(built: &Built) -> bool {
    built.pieces.iter().any(Piece::is_shaped)
}

/// The same for places of the skin of a pipe of `radius_mm`.
pub(super) fn lack_under(built: &Built, places: impl Iterator<Item = DVec3>, radius_mm: f64) -> Option<Lack> {
    let last = built.pieces.len().checked_sub(1)?;
    let ends = [(0, 0), (last, 1)].into_iter().filter(|(i, end)| built.pieces[*i].curves[*end].is_some());
    let ends: Vec<(usize, usize)> = ends.collect();
    if ends.is_empty() {
        return None;
    }
    let mut worst: Option<Lack> = None;
    for point in places {
        for (index, end) in &ends {
            let (piece, frame) = (&built.pieces[*index], built.frames[*index].0);
            let from = point - frame.origin;
            let along_mm = from.dot(frame.travel);
            let off_mm = (from - frame.travel * along_mm).length();
            if (off_mm - radius_mm).abs() > ON_AXIS_MM {
                continue;
            }
            let clock_rad = frame.clock_of(from);
            let from_end_mm = if *end == 0 { along_mm } else { piece.centre_mm - along_mm };
            let by_mm = missing_mm(piece, *end, clock_rad, from_end_mm);
            if by_mm > ON_MM && worst.is_none_or(|w| by_mm > w.by_mm) {
                let lost_mm = [0, 1].map(|end| short_mm(piece, end, clock_rad, 0.0));
                let left_mm = (piece.centre_mm - lost_mm[0] - lost_mm[1]).max(0.0);
                worst = Some(Lack { piece: *index, clock_rad, by_mm, at_start: *end == 0, left_mm });
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
