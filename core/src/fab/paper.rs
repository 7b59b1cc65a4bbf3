//! The pieces with the numbers that stand on paper: rounded to what a tape, a protractor and the saw can do.
//!
//! Rounding each number to the nearest step adds up along a pipe. A number may go to its other neighbour as well
//! without being any worse to cut, so the neighbours are chosen together such that the pipe built from the paper
//! ends where it should. Nothing is moved as long as the nearest ones are good enough.

mod choice;
mod laying;
mod search;

use super::piece::{Cut, Piece};
use super::route::{Bend, Make, Route};
use super::weld_plan::Added;
use crate::geom::Frame;
use crate::model::Ends;
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
    /// Pieces whose size is as drawn: ready slices.
    pub fixed: &'a [bool],
    /// Pieces that have been sawn, with the size they have.
    pub given: &'a [Option<Given>],
    /// How far each weld pushes its pieces apart, gap less shrinkage, mm; one more than there are pieces, at the
    /// index of the piece it comes before, 0 where there is no weld.
    pub apart_mm: &'a [f64],
    /// Where the pipe should end.
    pub end: Frame,
}

/// The size of a piece that has been sawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given {
    /// Length of its centreline with all that was added, mm.
    pub centre_mm: f64,
    /// Tilts of its start and its end, rad.
    pub tilts_rad: [f64; 2],
    /// What of its length is to be trimmed off, mm.
    pub trim_mm: f64,
}

impl Exact<'_> {
    /// The size piece `index` was sawn to.
    fn given(&self, index: usize) -> Option<Given> {
        self.given.get(index).copied().flatten()
    }

    /// Whether the size of a piece cannot be chosen any more.
    fn is_settled(&self, index: usize) -> bool {
        self.fixed.get(index).copied().unwrap_or(false) || self.given(index).is_some()
    }
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
    let trim = |(i, a): (usize, &Added)| {
        exact.given(i).map_or_else(|| to_step(a.trim_mm, steps.length_mm), |given| given.trim_mm)
    };
    let trim_mm: Vec<f64> = exact.added.iter().enumerate().map(trim).collect();
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
    let with = |(i, (p, a)): (usize, (&Piece, &Added))| {
        let mut q = p.clone();
        q.centre_mm = exact.given(i).map_or(q.centre_mm + a.weld_mm + a.trim_mm, |given| given.centre_mm);
        q
    };
    exact.pieces.iter().zip(exact.added).enumerate().map(with).collect()
}

/// `mm` to the nearest multiple of `step_mm`.
fn to_step(mm: f64, step_mm: f64) -> f64 {
    (mm / step_mm).round() * step_mm
}

/// Which mitred bend each face of each piece belongs to, by the order of the mitred welds along the run.
///
/// Planes are listed in order of travel; a plane of a weld has two faces, one against a square end has one.
fn planes(route: &Route, pieces: &[Piece], is_fixed: impl Fn(usize) -> bool) -> Vec<Plane> {
    let mut left: Vec<(usize, u32)> = route
        .bends
        .iter()
        .enumerate()
        .filter_map(|(i, b)| match &b.make {
            Make::Mitred(m) => Some((i, m.welds)),
            Make::Elbow(_) => None,
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
    /// Whether it is a face of a ready slice or of a sawn piece, so that its tilt is given.
    fixed: bool,
}

/// Distance of the axes of a bend's slices from its centre, mm: the radius with half ends, `R·cos α` with full ends,
/// whose slices are chords.
fn axis_mm(bend: &Bend) -> f64 {
    match &bend.make {
        Make::Mitred(m) => match m.ends {
            Ends::Half => m.clr_mm,
            Ends::Full => m.clr_mm * m.saw_rad().cos(),
        },
        Make::Elbow(_) => 0.0,
    }
}

/// How much longer the centreline of piece `index` gets where its mitred ends are cut at these tilts instead, mm, so that
/// the line of slices still runs round the same arcs: `h·tan α` for each face, `h` as by [`axis_mm`].
pub(super) fn at_tilts_mm(route: &Route, pieces: &[Piece], index: usize, tilts_rad: [f64; 2]) -> f64 {
    let at = |plane: &Plane| {
        let axis_mm = route.bends.get(plane.bend).map_or(0.0, axis_mm);
        let tilt_rad = match plane.before {
            before if before == index && plane.faces.1 => tilts_rad[0],
            before if before == index + 1 && plane.faces.0 => tilts_rad[1],
            _ => plane.tilt_rad,
        };
        axis_mm * (tilt_rad.tan() - plane.tilt_rad.tan())
    };
    planes(route, pieces, |_| false).iter().map(at).sum()
}

#[cfg(test)]
mod tests;
