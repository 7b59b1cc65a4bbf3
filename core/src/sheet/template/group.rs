//! One template for all pieces of one shape.

use super::unroll::{Template, Wrap};
use crate::fab::{Cut, Piece};
use std::f64::consts::{PI, TAU};

/// Lengths nearer than this (mm) are one on paper.
const SAME_MM: f64 = 0.001;
/// Angles nearer than this (rad, 0.001°) are one on paper: 0.01 mm on the widest tube.
const SAME_RAD: f64 = 0.001 * TAU / 360.0;

/// Templates for all pieces that are cut at an angle, in the order of their first piece.
///
/// `runs` gives the name and the pieces of each run. Pieces of the same tube, length, tilts and clocks share a
/// template that lists all their marks.
pub fn templates<'a>(runs: impl IntoIterator<Item = (&'a str, &'a [Piece])>, wrap: &Wrap) -> Vec<Template> {
    let mut groups: Vec<(&Piece, Vec<String>, Vec<&str>)> = Vec::new();
    for (run, pieces) in runs {
        for piece in pieces.iter().filter(|p| p.is_sawn()) {
            match groups.iter_mut().find(|(first, ..)| is_same(first, piece)) {
                Some((_, marks, names)) => {
                    marks.push(piece.mark.clone());
                    if !names.contains(&run) {
                        names.push(run);
                    }
                }
                None => groups.push((piece, vec![piece.mark.clone()], vec![run])),
            }
        }
    }
    let strips = |(piece, marks, names): (&Piece, Vec<String>, Vec<&str>)| {
        Template::of_piece(piece, &marks, &names.join(", "), wrap)
    };
    groups.into_iter().flat_map(strips).collect()
}

fn is_same(a: &Piece, b: &Piece) -> bool {
    a.tube == b.tube
        && (a.od_mm - b.od_mm).abs() < SAME_MM
        && (a.centre_mm - b.centre_mm).abs() < SAME_MM
        && is_same_cut(&a.start, &b.start)
        && is_same_cut(&a.end, &b.end)
        // what is shaped to another pipe has a template of its own
        && !a.is_shaped()
        && !b.is_shaped()
}

fn is_same_cut(a: &Cut, b: &Cut) -> bool {
    let clocks = match (a.heel_clock_rad, b.heel_clock_rad) {
        (Some(a), Some(b)) => {
            let apart = (a - b).rem_euclid(TAU);
            apart.min(TAU - apart) < SAME_RAD
        }
        (None, None) => true,
        (Some(_), None) | (None, Some(_)) => false,
    };
    clocks && (a.tilt_rad - b.tilt_rad).abs() < SAME_RAD
}

/// A saw is hard to set and tube hard to hold beyond this tilt, rad (common practice, no source).
const STEEP_RAD: f64 = 25.0 * TAU / 360.0;

impl Template {
    /// Whether the saw and a tape alone do not do as well: an end shaped to another tube, two cuts that are turned
    /// against each other by anything but half a turn, or a steep cut.
    pub fn helps(&self) -> bool {
        let edges = [&self.lower, &self.upper];
        let is_twisted = match edges.map(|e| e.cut.heel_clock_rad) {
            [Some(a), Some(b)] => {
                let apart = (a - b).rem_euclid(PI);
                apart.min(PI - apart) > TWIST_RAD
            }
            _ => false,
        };
        is_twisted || edges.iter().any(|e| e.shaped.is_some() || e.cut.tilt_rad > STEEP_RAD)
    }
}

/// Cuts turned against each other by less than this (rad, half a degree) are not turned for a saw.
const TWIST_RAD: f64 = 0.5 * TAU / 360.0;
