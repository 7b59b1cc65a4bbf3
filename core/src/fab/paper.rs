//! The pieces with the numbers that stand on paper: rounded to what a tape, a protractor and the saw can do.
//!
//! Rounding each number to the nearest step adds up along a pipe. A number may go to its other neighbour as well
//! without being any worse to cut, so the neighbours are chosen together such that the pipe built from the paper
//! ends where it should. Nothing is moved as long as the nearest ones are good enough.

mod choice;
mod laying;
mod search;

use super::piece::{Cut, Piece};
use super::route::Route;
use super::weld_plan::Added;
use crate::geom::Frame;
use choice::Choices;
use laying::Laying;

/// Steps of elbow angles and clock angles on paper, rad (0.1°): 0.1 mm round 4 in tube.
pub const PAPER_TURN_RAD: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// Steps of the numbers on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steps {
    /// Of lengths, mm.
    pub length_mm: f64,
    /// Of saw angles, rad.
    pub saw_rad: f64,
}

/// How far the pipe built from the paper misses its end.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Miss {
    /// Distance of the end, mm.
    pub offset_mm: f64,
    /// Angle of the end, rad.
    pub angle_rad: f64,
}

/// A miss that is good enough, mm and rad: both are less than what a tack moves.
const GOOD_MM: f64 = 0.5;
const GOOD_RAD: f64 = 0.2 * std::f64::consts::PI / 180.0;

/// What a run is rounded from.
#[derive(Debug, Clone, Copy)]
pub struct Exact<'a> {
    /// The polyline with its bends.
    pub route: &'a Route,
    /// Its pieces.
    pub pieces: &'a [Piece],
    /// What is added to each for welds and fitting.
    pub added: &'a [Added],
    /// Pieces whose size is given: ready slices.
    pub fixed: &'a [bool],
    /// How far each weld pushes its pieces apart, gap less shrinkage, mm; one more than there are pieces, at the
    /// index of the piece it comes before, 0 where there is no weld.
    pub apart_mm: &'a [f64],
    /// Where the pipe should end.
    pub end: Frame,
}

/// The numbers on paper.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Paper {
    /// The pieces as they are to be sawn, additions included.
    pub pieces: Vec<Piece>,
    /// What of each piece's length is trimmed off when it is fitted, mm.
    pub trim_mm: Vec<f64>,
    /// What is added to each piece for its weld at the start, and for both its welds, mm; below zero is taken off.
    pub welded_mm: Vec<(f64, f64)>,
    /// The miss of the pipe built from them.
    pub miss: Miss,
    /// The part of it that comes from the saw's angle steps alone.
    pub saw_miss: Miss,
}

/// Rounds a run's numbers together.
pub fn paper(exact: &Exact<'_>, steps: Steps) -> Paper {
    let trim_mm: Vec<f64> = exact.added.iter().map(|a| to_step(a.trim_mm, steps.length_mm)).collect();
    let saw = Choices::of_saw(exact, &trim_mm, steps);
    let laying =
        Laying { start: exact.route.start, trim_mm: &trim_mm, apart_mm: exact.apart_mm, wanted: exact.end };
    // first what the saw can be set to, then everything else about pieces cut like that
    let (sawn, saw_miss) = search::best(&saw, &laying);
    let (pieces, miss) = search::best(&saw.of_the_rest(sawn, steps.length_mm), &laying);
    let welded_mm = exact.added.iter().map(|a| (a.start_mm, a.weld_mm)).collect();
    Paper { pieces, trim_mm, welded_mm, miss, saw_miss }
}

/// The pieces as sawn with nothing rounded, additions included.
pub fn unrounded(exact: &Exact<'_>) -> Vec<Piece> {
    let with = |(p, a): (&Piece, &Added)| {
        let mut q = p.clone();
        q.centre_mm += a.weld_mm + a.trim_mm;
        q
    };
    exact.pieces.iter().zip(exact.added).map(with).collect()
}

/// `mm` to the nearest multiple of `step_mm`.
fn to_step(mm: f64, step_mm: f64) -> f64 {
    (mm / step_mm).round() * step_mm
}

/// Which mitred bend each face of each piece belongs to, by the order of the mitred welds along the run.
///
/// Planes are listed in order of travel; a plane of a weld has two faces, one against a square end has one.
fn planes(route: &Route, pieces: &[Piece], fixed: &[bool]) -> Vec<Plane> {
    let is_fixed = |i: usize| fixed.get(i).copied().unwrap_or(false);
    let mut left: Vec<(usize, u32)> = route
        .bends
        .iter()
        .enumerate()
        .filter_map(|(i, b)| match &b.make {
            super::route::Make::Mitred(m) => Some((i, m.welds)),
            super::route::Make::Elbow(_) => None,
        })
        .collect();
    left.reverse();
    let mut out = Vec::new();
    for i in 1..pieces.len() {
        let tilted = |c: &Cut| c.tilt_rad > 0.0;
        let (a, b) = (tilted(&pieces[i - 1].end), tilted(&pieces[i].start));
        if !(a || b) {
            continue;
        }
        let Some((bend, welds)) = left.last_mut() else { break };
        let tilt_rad = pieces[i - 1].end.tilt_rad.max(pieces[i].start.tilt_rad);
        let fixed = is_fixed(i - 1) || is_fixed(i);
        out.push(Plane { bend: *bend, before: i, faces: (a, b), tilt_rad, fixed });
        *welds -= 1;
        if *welds == 0 {
            left.pop();
        }
    }
    out
}

/// A joint plane of a mitred bend.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Plane {
    bend: usize,
    /// Index of the piece after it.
    before: usize,
    /// Whether the piece before and the piece after have a tilted face there.
    faces: (bool, bool),
    tilt_rad: f64,
    /// Whether it is a face of a ready slice, so that its tilt is given.
    fixed: bool,
}

#[cfg(test)]
mod tests;
