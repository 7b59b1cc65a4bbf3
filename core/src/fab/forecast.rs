//! How far the end of a pipe is likely to miss, before it is built: each error of saw, tape, mark and weld is a small
//! shift or turn at its place, and what it does at the end is proportional to it.
//!
//! The end moves by the sum of `z × (p − o)·ε` over turns ε about the axis z through o, and of `z·δ` over shifts δ along z
//! (small screws; from memory). Errors are independent, so their squares add up. One setting of the saw counts as one
//! error for all faces cut with it.

use super::build::Built;
use super::piece::{Cut, Piece, PieceKind};
use crate::geom::Frame;
use crate::model::{JointStyle, Project, Run, Scatter};
use glam::{DMat3, DVec3};
use std::f64::consts::TAU;

/// Saw angles closer than this are one setting, rad.
const SAME_SETTING_RAD: f64 = 1e-4;
/// A piece is long enough on every side 19 times of 20 with this many standard deviations of its worst side: the root of
/// the 95 % point of χ² with three degrees of freedom, 7.815 (axial and two leans; Scheffé's bound; tables, from memory).
const NINETEEN_OF_TWENTY: f64 = 2.795_5;
/// Sides that are looked at round the tube.
const SIDES: u32 = 24;

/// What an error is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ErrorOf {
    /// The length of a piece.
    Length,
    /// One setting of the saw.
    Saw,
    /// A mark round the tube.
    Clock,
    /// The angle of an elbow.
    Elbow,
    /// A weld that pulls over.
    Pull,
    /// A weld that draws together more or less.
    Shrink,
}

/// A shift or a turn of everything that follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// The axis, of length one.
    pub axis: DVec3,
    /// A place it passes, mm; none for a shift along it.
    pub through: Option<DVec3>,
}

impl Screw {
    /// How it moves a place (mm) and turns what is there (rad), for each unit: mm of shift or rad of turn.
    pub fn at(&self, place: DVec3) -> (DVec3, DVec3) {
        match self.through {
            None => (self.axis, DVec3::ZERO),
            Some(o) => (self.axis.cross(place - o), self.axis),
        }
    }
}

/// One error: what it is of, where, and how large it usually is.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What it is of.
    pub of: ErrorOf,
    /// Mark of the piece or weld; of the first piece cut with a setting of the saw.
    pub mark: String,
    /// One standard deviation, mm or rad.
    pub sigma: f64,
    /// What it does, each per unit; more than one for a setting of the saw.
    pub screws: Vec<Screw>,
}

impl Source {
    /// Shift (mm) and turn (rad) at a place for one standard deviation.
    pub fn moves(&self, place: DVec3) -> (DVec3, DVec3) {
        let sum = |(a, b): (DVec3, DVec3), s: &Screw| {
            let (shift, turn) = s.at(place);
            (a + shift, b + turn)
        };
        let (shift, turn) = self.screws.iter().fold((DVec3::ZERO, DVec3::ZERO), sum);
        (shift * self.sigma, turn * self.sigma)
    }
}

/// What is to be expected of a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// The errors.
    pub sources: Vec<Source>,
    /// Covariance of where it ends, mm².
    pub covariance: DMat3,
    /// One standard deviation of its direction there, rad.
    pub lean_rad: f64,
    /// Distance that stays where joints that turn freely are turned to where the end fits best, mm (root mean square).
    pub turned_mm: f64,
    /// Sources by what each does at the end, the most first: index and distance, mm.
    pub most: Vec<(usize, f64)>,
    /// Length to leave at the weld that is fitted last, mm; none where no weld is.
    pub trim_mm: Option<f64>,
}

impl Forecast {
    /// Root mean square of the distance the end misses by, mm.
    pub fn distance_mm(&self) -> f64 {
        (0..3).map(|i| self.covariance.col(i)[i]).sum::<f64>().sqrt()
    }

    /// The end misses by less than this at least 19 times of 20, mm: 1.96 standard deviations where all of it lies along
    /// one line, and fewer where it does not.
    pub fn rarely_more_mm(&self) -> f64 {
        1.96 * self.distance_mm()
    }
}

/// What is to be expected of a built run. `fit_before` is the index of the piece that the weld fitted last comes before.
/// `None` where it cannot be built.
pub fn forecast(project: &Project, run: &Run, built: &Built, fit_before: Option<usize>) -> Option<Forecast> {
    let end = built.end()?;
    let sources = sources(project, built);
    let moved: Vec<(DVec3, DVec3)> = sources.iter().map(|s| s.moves(end.origin)).collect();
    let outer = |v: DVec3| DMat3::from_cols(v * v.x, v * v.y, v * v.z);
    let covariance = moved.iter().fold(DMat3::ZERO, |sum, (shift, _)| sum + outer(*shift));
    let lean_rad = moved.iter().map(|(_, t)| t.cross(end.travel).length_squared()).sum::<f64>().sqrt();
    let od_mm = built.pieces.last().map_or(0.0, Piece::end_od_mm);
    let turned_mm = after_turning_mm(&moved, &free_turns(project, run, built), (&end, od_mm));
    let mut most: Vec<(usize, f64)> = moved.iter().map(|(shift, _)| shift.length()).enumerate().collect();
    most.sort_by(|a, b| b.1.total_cmp(&a.1));
    let trim_mm = fit_before.and_then(|before| {
        let at = built.frames.get(before).map_or(end, |f| f.0);
        let r = built.pieces.get(before).or(built.pieces.last())?.od_mm / 2.0;
        Some(project.settings.saw.kerf_mm + NINETEEN_OF_TWENTY * worst_side_mm(&sources, &at, r))
    });
    Some(Forecast { sources, covariance, lean_rad, turned_mm, most, trim_mm })
}

/// The greatest standard deviation of how far the two halves stand apart at `at`, over all sides of the tube, mm.
fn worst_side_mm(sources: &[Source], at: &Frame, radius_mm: f64) -> f64 {
    let moved: Vec<(DVec3, DVec3)> = sources.iter().map(|s| s.moves(at.origin)).collect();
    let side = |i: u32| {
        let arm = at.at_clock(TAU * f64::from(i) / f64::from(SIDES)) * radius_mm;
        let apart = |(shift, turn): &(DVec3, DVec3)| (*shift + turn.cross(arm)).dot(at.travel);
        moved.iter().map(|m| apart(m) * apart(m)).sum::<f64>()
    };
    (0..SIDES).map(side).fold(0.0, f64::max).sqrt()
}

/// What a joint allows: all but a flange, whose bolts hold it, turn until they are tightened.
fn turns_freely(project: &Project, piece: &Piece) -> bool {
    match piece.kind {
        PieceKind::Joint(id) => project.joint(id).is_some_and(|j| j.style != JointStyle::Flange),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => false,
    }
}

/// Turns that are left to who fits the pipe: about each joint that turns, and about the start where it only passes there.
fn free_turns(project: &Project, run: &Run, built: &Built) -> Vec<Screw> {
    let joints = built.pieces.iter().zip(&built.frames).filter(|(p, _)| turns_freely(project, p));
    let mut out: Vec<Screw> =
        joints.map(|(_, (begin, _))| Screw { axis: begin.travel, through: Some(begin.origin) }).collect();
    let loose = project.hardpoint(run.start).is_some_and(|h| {
        !h.is_welded() && built.pieces.first().is_some_and(|p| !matches!(p.kind, PieceKind::Joint(_)))
    });
    if let (true, Some((begin, _))) = (loose, built.frames.first()) {
        out.push(Screw { axis: begin.travel, through: Some(begin.origin) });
    }
    out
}

/// The distance left at the end where `free` turns are used as well as can be, mm (root mean square): what of each error
/// lies across all that they can do. Turns count with the tube's diameter as their arm.
fn after_turning_mm(moved: &[(DVec3, DVec3)], free: &[Screw], (end, od_mm): (&Frame, f64)) -> f64 {
    let six = |(shift, turn): (DVec3, DVec3)| {
        // a roll about its own axis does not count at a round end
        let lean = turn.cross(end.travel) * od_mm;
        [shift.x, shift.y, shift.z, lean.x, lean.y, lean.z]
    };
    let dot = |a: &[f64; 6], b: &[f64; 6]| -> f64 { a.iter().zip(b).map(|(x, y)| x * y).sum() };
    let across = |mut v: [f64; 6], basis: &[[f64; 6]]| {
        for b in basis {
            let share = dot(&v, b);
            for (x, y) in v.iter_mut().zip(b) {
                *x -= share * y;
            }
        }
        v
    };
    let mut basis: Vec<[f64; 6]> = Vec::new();
    for screw in free {
        let whole = six(screw.at(end.origin));
        let rest = across(whole, &basis);
        let long = dot(&rest, &rest).sqrt();
        if long > 1e-6 * dot(&whole, &whole).sqrt().max(1.0) {
            basis.push(rest.map(|x| x / long));
        }
    }
    let left = |m: &(DVec3, DVec3)| {
        let v = across(six(*m), &basis);
        v[0] * v[0] + v[1] * v[1] + v[2] * v[2]
    };
    moved.iter().map(left).sum::<f64>().sqrt()
}

/// All errors along a run, in the order of travel; those of the saw last.
fn sources(project: &Project, built: &Built) -> Vec<Source> {
    let scatter = &project.settings.scatter;
    let mut out = Vec::new();
    let mut settings: Vec<(f64, Source)> = Vec::new();
    for (i, (piece, (begin, end))) in built.pieces.iter().zip(&built.frames).enumerate() {
        let mark = || piece.mark.clone();
        // the weld before it; that at the end is the one that closes, and pulls nothing after it
        for weld in built.welds.iter().filter(|w| w.before == i) {
            let before = i.checked_sub(1).and_then(|b| built.pieces.get(b));
            let face = i.checked_sub(1).and_then(|b| Some(face_after(&built.frames.get(b)?.1, &before?.end)));
            let face = face.unwrap_or(*begin);
            let free = turns_freely(project, piece) || before.is_some_and(|b| turns_freely(project, b));
            weld_sources(scatter, (&weld.mark, piece.od_mm, free), &face, &mut out);
        }
        match piece.kind {
            PieceKind::Straight | PieceKind::Slice | PieceKind::Taper(_) => {
                let screws = vec![Screw { axis: end.travel, through: None }];
                out.push(Source { of: ErrorOf::Length, mark: mark(), sigma: scatter.length_mm, screws });
            }
            PieceKind::Elbow(e) => {
                let arc = begin.forward(e.lead_mm);
                let toward = arc.at_clock(e.throat_clock_rad);
                let axis = arc.travel.cross(toward);
                let screws = vec![Screw { axis, through: Some(arc.origin + toward * e.clr_mm) }];
                let sigma = scatter.elbow_deg.to_radians();
                out.push(Source { of: ErrorOf::Elbow, mark: mark(), sigma, screws });
            }
            PieceKind::Joint(_) => {}
        }
        // an end that is shaped is laid out, not sawn at an angle; the face where the run begins or ends leans nothing
        let last = i + 1 == built.pieces.len();
        for (frame, cut, counts) in [(begin, &piece.start, i > 0), (end, &piece.end, !last)] {
            let Some(heel) = cut.heel_clock_rad.filter(|_| counts && piece.is_sawn()) else { continue };
            let axis = frame.at_clock(heel).cross(frame.travel);
            let screw = Screw { axis, through: Some(frame.origin) };
            let same = settings.iter_mut().find(|(tilt, _)| (tilt - cut.tilt_rad).abs() < SAME_SETTING_RAD);
            if let Some((_, source)) = same {
                source.screws.push(screw);
            } else {
                let sigma = scatter.saw_deg.to_radians();
                let source = Source { of: ErrorOf::Saw, mark: mark(), sigma, screws: vec![screw] };
                settings.push((cut.tilt_rad, source));
            }
        }
    }
    out.extend(settings.into_iter().map(|(_, source)| source));
    out
}

/// The face a piece ends with, travelling square through it.
fn face_after(end: &Frame, cut: &Cut) -> Frame {
    super::lay::through(end, cut)
}

/// What a weld does at its face: it pulls over two ways, draws together, and is marked a little off where the mark counts.
fn weld_sources(
    scatter: &Scatter,
    (mark, od_mm, free): (&str, f64, bool),
    face: &Frame,
    out: &mut Vec<Source>,
) {
    let turn = |axis: DVec3| vec![Screw { axis, through: Some(face.origin) }];
    let mut add = |of, sigma, screws| out.push(Source { of, mark: mark.to_owned(), sigma, screws });
    if !free {
        add(ErrorOf::Clock, scatter.clock_mm / (od_mm / 2.0), turn(face.travel));
    }
    let pull_rad = scatter.pull_deg.to_radians();
    add(ErrorOf::Pull, pull_rad, turn(face.index));
    add(ErrorOf::Pull, pull_rad, turn(face.travel.cross(face.index)));
    add(ErrorOf::Shrink, scatter.shrink_mm, vec![Screw { axis: face.travel, through: None }]);
}

#[cfg(test)]
mod tests;
