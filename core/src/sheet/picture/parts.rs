//! Small parts in the picture: round bodies and blocks as what they are, shields as outlines the pipe is seen through.

use super::label::Wanted;
use super::view::View;
use crate::fab::part::BuiltPart;
use crate::geom::{Block, Drum, Frame, Solid};
use crate::report::RunReport;
use crate::sheet::page::{Grey, Mark, Pen, PointMm};
use std::f64::consts::PI;

/// Outline of a block.
const OUTLINE: Pen = Pen::solid(0.35);
/// Outline of a shield.
const SHIELD: Pen = Pen::solid(0.28);
/// Font size of their marks, mm.
const TEXT: f64 = 3.8;
/// Points of the rim of a shield.
const RIM: u32 = 48;

/// What of a part is drawn as a round body, on both its solids and what is screwed in.
pub(super) fn drums(part: &BuiltPart) -> impl Iterator<Item = Drum> + '_ {
    let round = |solid: &Solid| match solid {
        Solid::Drum(d) => Some(*d),
        Solid::Barrel(_) | Solid::Elbow(_) | Solid::Block(_) | Solid::Frustum(_) => None,
    };
    part.all_solids().filter(|_| part.shield.is_none()).filter_map(round)
}

/// The faces of a bracket that are seen, with how near they are.
pub(super) fn blocks<'a>(view: &'a View, part: &'a BuiltPart) -> impl Iterator<Item = (f64, Vec<Mark>)> + 'a {
    part.solids.iter().filter(|_| part.shield.is_none()).filter_map(|solid| match solid {
        Solid::Block(b) => Some((view.depth(b.centre), faces(view, b))),
        Solid::Barrel(_) | Solid::Elbow(_) | Solid::Drum(_) | Solid::Frustum(_) => None,
    })
}

fn faces(view: &View, block: &Block) -> Vec<Mark> {
    let mut marks = Vec::new();
    let halves = [0, 1, 2].map(|i| block.axes[i] * block.half_mm[i]);
    for (i, axis) in block.axes.into_iter().enumerate() {
        let sign = if axis.dot(view.toward) > 0.0 { 1.0 } else { -1.0 };
        let (face, u, v) = (block.centre + halves[i] * sign, halves[(i + 1) % 3], halves[(i + 2) % 3]);
        let points = [u + v, u - v, -u - v, v - u].map(|d| view.point(face + d)).to_vec();
        marks.push(Mark::Polyline { points, closed: true, pen: Some(OUTLINE), fill: Some(Grey::LIGHT) });
    }
    marks
}

/// The outline of a shield: its two rims as far as it goes round, and lines between them.
pub(super) fn shield(view: &View, part: &BuiltPart) -> Vec<Mark> {
    let Some(shield) = part.shield else { return Vec::new() };
    let (from, to) = part.span_mm;
    let half_mm = (to - from) / 2.0;
    let ends: [Frame; 2] = [-half_mm, half_mm].map(|mm| part.frame.forward(mm));
    let whole = shield.half_rad >= PI - 1e-9;
    let at = |frame: &Frame, clock: f64| view.point(frame.origin + frame.at_clock(clock) * shield.radius_mm);
    let rim = |frame: &Frame| -> Vec<PointMm> {
        let share = |i: u32| f64::from(i) / f64::from(RIM) * 2.0 - 1.0;
        (0..=RIM).map(|i| at(frame, part.clock_rad + shield.half_rad * share(i))).collect()
    };
    let mut marks: Vec<Mark> = ends
        .iter()
        .map(|frame| Mark::Polyline { points: rim(frame), closed: false, pen: Some(SHIELD), fill: None })
        .collect();
    let side = part.frame.clock_of(part.frame.travel.cross(view.toward));
    let edges = if whole {
        [side, side + PI]
    } else {
        [part.clock_rad - shield.half_rad, part.clock_rad + shield.half_rad]
    };
    for clock in edges {
        marks.push(Mark::Line { from: at(&ends[0], clock), to: at(&ends[1], clock), pen: SHIELD });
    }
    marks
}

/// The marks of the parts.
pub(super) fn wanted<'a>(view: &'a View, run: &'a RunReport) -> impl Iterator<Item = Wanted> + 'a {
    run.built.parts.iter().map(|part| {
        let tip = part.solids.last().map(|solid| match solid {
            Solid::Drum(d) if part.stands_out() => d.start.forward(d.length_mm).origin,
            Solid::Block(b) if part.shield.is_none() => b.centre,
            Solid::Barrel(_) | Solid::Elbow(_) | Solid::Drum(_) | Solid::Block(_) | Solid::Frustum(_) => {
                part.frame.origin + part.frame.at_clock(part.clock_rad) * part.reach_mm()
            }
        });
        let start = view.point(tip.unwrap_or(part.frame.origin));
        Wanted {
            words: part.mark.clone(),
            size_mm: TEXT,
            bold: true,
            starts: vec![start],
            on_pipe_mm: part.reach_mm() * view.scale,
            dot: true,
        }
    })
}
