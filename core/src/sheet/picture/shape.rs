//! A built run as filled outlines from far to near: what is nearer covers what is behind it.
//!
//! Tubes are drawn in short lengths, so that ordering them by the depth of their middles is right also where
//! the run passes over itself.

use super::parts;
use super::view::View;
use crate::fab::Built;
use crate::geom::vector::angle_between;
use crate::geom::{Barrel, Block, Drum, Elbow, Frame, Frustum, Solid};
use crate::report::RunReport;
use crate::sheet::page::{Grey, Mark, Pen, PointMm};
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Outline of tubes and bodies.
const OUTLINE: Pen = Pen::solid(0.45);
/// A seam or cut face.
const SEAM: Pen = Pen::solid(0.28);
/// The index line.
const INDEX: Pen = Pen::solid(0.75);
/// Length of tube that is drawn at once as a part of its radius.
const STEP: f64 = 0.8;
/// Angle of an elbow that is drawn at once, rad.
const ELBOW_STEP: f64 = 4.0 * PI / 180.0;
/// Points round a rim.
const RIM: u32 = 40;
/// Shortest length that is drawn, mm.
const NOTHING_MM: f64 = 0.05;

/// How an end of a tube is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rim {
    /// Not at all: the tube goes on, or ends inside a joint.
    No,
    /// A seam: the half that is on the side of the eye.
    Seam,
    /// An open end: its whole face where it can be seen.
    Face,
}

/// What is drawn of one short length or block.
#[derive(Debug)]
struct Facet {
    depth: f64,
    shape: Shape,
}

#[derive(Debug)]
enum Shape {
    /// A length of a tube; `tube` is the same for lengths that follow each other straight on.
    Length { tube: usize, part: Barrel, rims: [Rim; 2] },
    /// The faces of a block.
    Faces(Vec<Mark>),
}

/// A round spot the pipe covers on paper.
#[derive(Debug, Clone, Copy)]
pub(super) struct Disc {
    pub(super) centre: PointMm,
    pub(super) radius: f64,
}

/// Everything to draw, far things first.
pub(super) fn drawn(view: &View, built: &Built) -> Vec<Mark> {
    drawn_all(view, &[built])
}

/// The same of several runs, of which one may lie before another.
pub(super) fn drawn_all(view: &View, all: &[&Built]) -> Vec<Mark> {
    let mut out = Vec::new();
    let mut tubes = 0;
    for built in all {
        tubes = facets(view, built, tubes, &mut out);
    }
    out.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    let joined = out.into_iter().fold(Vec::new(), join);
    joined.into_iter().flat_map(|shape| marks(view, shape)).collect()
}

/// The index line where it faces the eye, along all pieces.
pub(super) fn index_line(view: &View, built: &Built) -> Vec<Mark> {
    let mut lines: Vec<Vec<PointMm>> = vec![Vec::new()];
    let mut add = |at: DVec3, out: DVec3| {
        if out.dot(view.toward) > 0.08 {
            if let Some(line) = lines.last_mut() {
                line.push(view.point(at));
            }
        } else if lines.last().is_some_and(|l| !l.is_empty()) {
            lines.push(Vec::new());
        }
    };
    for (piece, (begin, end)) in built.pieces.iter().zip(&built.frames) {
        let radius = piece.od_mm / 2.0;
        match piece.kind {
            crate::fab::PieceKind::Elbow(e) => {
                let arc = begin.forward(e.lead_mm);
                add(begin.origin + begin.index * radius, begin.index);
                for i in 0..=12 {
                    let on = arc.around(e.throat_clock_rad, e.clr_mm, e.angle_rad * f64::from(i) / 12.0);
                    add(on.origin + on.index * radius, on.index);
                }
                add(end.origin + end.index * radius, end.index);
            }
            // bodies of joints stand over the line
            crate::fab::PieceKind::Joint(_) => add(begin.origin, -view.toward),
            crate::fab::PieceKind::Straight
            | crate::fab::PieceKind::Slice
            | crate::fab::PieceKind::Taper(_) => {
                add(begin.origin + begin.index * radius, begin.index);
                add(end.origin + end.index * piece.end_od_mm() / 2.0, end.index);
            }
        }
    }
    let line = |points: Vec<PointMm>| Mark::Polyline { points, closed: false, pen: Some(INDEX), fill: None };
    lines.into_iter().filter(|l| l.len() > 1).map(line).collect()
}

/// What is drawn of a run, its tubes numbered from `tubes` on; the number after them.
fn facets(view: &View, built: &Built, mut tubes: usize, out: &mut Vec<Facet>) -> usize {
    let bodies = bodies(built);
    for (i, placed) in built.solids.iter().enumerate() {
        let rims = [rim(built, i, i.checked_sub(1)), rim(built, i, Some(i + 1))];
        tubes += 1;
        match placed.solid {
            Solid::Barrel(b) => {
                if let Some((part, cut)) = outside(&b, begin_mm(built, i), &bodies) {
                    let rims = [0, 1].map(|end| if cut[end] { Rim::No } else { rims[end] });
                    out.extend(tube(view, &part, tubes, rims));
                }
            }
            Solid::Elbow(e) => {
                let parts = elbow(view, &e, tubes, rims);
                tubes += parts.len();
                out.extend(parts);
            }
            Solid::Drum(Drum { start, length_mm, radius_mm }) => {
                let (start_normal, end_normal) = (start.travel, start.travel);
                let body = Barrel { start, length_mm, radius_mm, start_normal, end_normal };
                out.extend(tube(view, &body, tubes, [Rim::Face, Rim::Face]));
            }
            Solid::Frustum(f) => {
                out.extend(frustum(view, &f, rims));
            }
            Solid::Block(b) => {
                let body = built.solids[..i].iter().rev().find_map(|s| match s.solid {
                    Solid::Drum(d) => Some(d.radius_mm),
                    _ => None,
                });
                out.extend(block(view, &b, built.frames[placed.piece].0.origin, body.unwrap_or(0.0)));
            }
        }
    }
    for part in &built.parts {
        for Drum { start, length_mm, radius_mm } in parts::drums(part) {
            tubes += 1;
            let (start_normal, end_normal) = (start.travel, start.travel);
            let body = Barrel { start, length_mm, radius_mm, start_normal, end_normal };
            out.extend(tube(view, &body, tubes, [Rim::Face, Rim::Face]));
        }
        let faces = parts::blocks(view, part);
        out.extend(faces.map(|(depth, marks)| Facet { depth, shape: Shape::Faces(marks) }));
    }
    tubes + 1
}

/// How solid `own` ends where `other` comes next to it.
fn rim(built: &Built, own: usize, other: Option<usize>) -> Rim {
    match other.and_then(|o| built.solids.get(o)) {
        None => Rim::Face,
        Some(o) if o.piece == built.solids[own].piece => Rim::No,
        Some(_) => Rim::Seam,
    }
}

/// Where on the run a solid begins, mm: its piece's begin and the piece's solids before it.
fn begin_mm(built: &Built, index: usize) -> f64 {
    let piece = built.solids[index].piece;
    let start: f64 = built.pieces[..piece].iter().map(|p| p.centre_mm).sum();
    let before = built.solids[..index].iter().filter(|s| s.piece == piece);
    let lengths = before.map(|s| match s.solid {
        Solid::Barrel(Barrel { length_mm, .. }) | Solid::Drum(Drum { length_mm, .. }) => length_mm,
        Solid::Elbow(e) => e.clr_mm * e.angle_rad,
        Solid::Frustum(f) => f.length_mm,
        Solid::Block(_) => 0.0,
    });
    start + lengths.sum::<f64>()
}

/// Joins a length to the one drawn before it where one goes straight on from the other: their outline is one
/// line then, not many short ones.
fn join(mut done: Vec<Shape>, next: Facet) -> Vec<Shape> {
    if let (
        Some(Shape::Length { tube, part, rims }),
        Shape::Length { tube: next_tube, part: next_part, rims: next_rims },
    ) = (done.last_mut(), &next.shape)
        && tube == next_tube
    {
        let travel = part.start.travel;
        let later = (next_part.start.origin - part.start.origin).dot(travel) > 0.0;
        let (first, second) = if later { (*part, *next_part) } else { (*next_part, *part) };
        *rims = if later { [rims[0], next_rims[1]] } else { [next_rims[0], rims[1]] };
        let length_mm = first.length_mm + second.length_mm;
        *part = Barrel { length_mm, end_normal: second.end_normal, ..first };
        return done;
    }
    done.push(next.shape);
    done
}

/// The spans along the run that joint bodies cover, mm.
fn bodies(built: &Built) -> Vec<(f64, f64)> {
    let spans = built.solids.iter().filter_map(|s| match s.solid {
        Solid::Drum(d) => {
            let middle = f64::midpoint(s.span_mm.0, s.span_mm.1);
            Some((middle - d.length_mm / 2.0, middle + d.length_mm / 2.0))
        }
        _ => None,
    });
    spans.collect()
}

/// The part of a tube that no joint body covers, and which of its ends a body covers.
fn outside(barrel: &Barrel, begin_mm: f64, bodies: &[(f64, f64)]) -> Option<(Barrel, [bool; 2])> {
    let (mut from, mut to) = (begin_mm, begin_mm + barrel.length_mm);
    let mut cut = [false, false];
    for (begin, finish) in bodies {
        if *begin <= from + NOTHING_MM && *finish > from {
            (from, cut[0]) = (*finish, true);
        }
        if *finish >= to - NOTHING_MM && *begin < to {
            (to, cut[1]) = (*begin, true);
        }
    }
    let part = Barrel {
        start: barrel.start.forward(from - begin_mm),
        length_mm: to - from,
        start_normal: if cut[0] { barrel.start.travel } else { barrel.start_normal },
        end_normal: if cut[1] { barrel.start.travel } else { barrel.end_normal },
        ..*barrel
    };
    (part.length_mm > NOTHING_MM).then_some((part, cut))
}

/// A tube in short lengths.
fn tube(view: &View, barrel: &Barrel, tube: usize, rims: [Rim; 2]) -> Vec<Facet> {
    let travel = barrel.start.travel;
    let step = STEP * barrel.radius_mm;
    // the first and last length hold the whole slant of their ends
    let slant = |normal: DVec3| (angle_between(normal, travel).tan() * barrel.radius_mm * 1.05).max(step);
    let (head, tail) = (slant(barrel.start_normal), slant(barrel.end_normal));
    let mut stations = vec![0.0];
    let inner = barrel.length_mm - head - tail;
    if inner > 0.0 {
        let count = (inner / step).ceil().clamp(1.0, 500.0) as u32;
        stations.extend((0..=count).map(|i| head + inner * f64::from(i) / f64::from(count)));
    }
    stations.push(barrel.length_mm);
    let last = stations.len() - 2;
    stations
        .windows(2)
        .enumerate()
        .map(|(i, pair)| {
            let part = Barrel {
                start: barrel.start.forward(pair[0]),
                length_mm: pair[1] - pair[0],
                radius_mm: barrel.radius_mm,
                start_normal: if i == 0 { barrel.start_normal } else { travel },
                end_normal: if i == last { barrel.end_normal } else { travel },
            };
            let rims = [if i == 0 { rims[0] } else { Rim::No }, if i == last { rims[1] } else { Rim::No }];
            length(view, part, tube, rims)
        })
        .collect()
}

/// A taper as one filled outline with its rims.
fn frustum(view: &View, f: &Frustum, rims: [Rim; 2]) -> Vec<Facet> {
    let rim = |along_mm: f64| -> Vec<PointMm> {
        (0..RIM).map(|i| view.point(f.edge(along_mm, TAU * f64::from(i) / f64::from(RIM)))).collect()
    };
    let ends = [rim(0.0), rim(f.length_mm)];
    let outline = hull(ends.concat());
    let mut marks =
        vec![Mark::Polyline { points: outline, closed: true, pen: Some(OUTLINE), fill: Some(Grey::WHITE) }];
    for ((points, how), toward) in ends.into_iter().zip(rims).zip([-1.0, 1.0]) {
        let seen = toward * f.start.travel.dot(view.toward) > 1e-9;
        if how != Rim::No && seen {
            marks.push(Mark::Polyline { points, closed: true, pen: Some(SEAM), fill: Some(Grey::WHITE) });
        }
    }
    let middle = f.frame_at(f.length_mm / 2.0).origin;
    vec![Facet { depth: view.depth(middle), shape: Shape::Faces(marks) }]
}

/// A smooth bend in short straight lengths, numbered from `tube` up.
fn elbow(view: &View, elbow: &Elbow, tube: usize, rims: [Rim; 2]) -> Vec<Facet> {
    let count = (elbow.angle_rad / ELBOW_STEP).ceil().clamp(1.0, 90.0) as u32;
    let at = |i: u32| elbow.frame_at(elbow.angle_rad * f64::from(i) / f64::from(count));
    (0..count)
        .filter_map(|i| {
            let (from, to) = (at(i), at(i + 1));
            let chord = to.origin - from.origin;
            let part = Barrel {
                start: Frame::new(from.origin, crate::geom::vector::unit(chord)?, from.index),
                length_mm: chord.length(),
                radius_mm: elbow.radius_mm,
                start_normal: from.travel,
                end_normal: to.travel,
            };
            let rims =
                [if i == 0 { rims[0] } else { Rim::No }, if i + 1 == count { rims[1] } else { Rim::No }];
            Some(length(view, part, tube + i as usize, rims))
        })
        .collect()
}

fn length(view: &View, part: Barrel, tube: usize, rims: [Rim; 2]) -> Facet {
    let (a, b) = part.axis();
    Facet { depth: view.depth(a.midpoint(b)), shape: Shape::Length { tube, part, rims } }
}

/// A length filled white, its outline where the surface turns away from the eye, and its rims.
fn marks(view: &View, shape: Shape) -> Vec<Mark> {
    let (part, rims) = match shape {
        Shape::Faces(marks) => return marks,
        Shape::Length { part, rims, .. } => (part, rims),
    };
    let rim_of = |part: &Barrel, at_end: bool| -> Vec<PointMm> {
        (0..RIM).map(|i| view.point(part.edge(at_end, TAU * f64::from(i) / f64::from(RIM)))).collect()
    };
    // half an outline thinner, so as not to cover the outline of the length it joins
    let thin = (part.radius_mm - 0.5 * OUTLINE.width_mm / view.scale).max(0.0);
    let inner = Barrel { radius_mm: thin, ..part };
    let all = [rim_of(&inner, false), rim_of(&inner, true)].concat();
    let ends = [rim_of(&part, false), rim_of(&part, true)];
    let white = Some(Grey::WHITE);
    let mut marks = vec![Mark::Polyline { points: hull(all), closed: true, pen: None, fill: white }];
    let side = part.start.travel.cross(view.toward);
    if side.length() > 1e-3 {
        let clock = part.start.clock_of(side);
        for clock in [clock, clock + PI] {
            let [from, to] = [false, true].map(|at_end| view.point(part.edge(at_end, clock)));
            marks.push(Mark::Line { from: past(to, from), to: past(from, to), pen: OUTLINE });
        }
    }
    let normals = [-part.start_normal, part.end_normal];
    for ((rim, normal), (points, at_end)) in
        rims.into_iter().zip(normals).zip(ends.into_iter().zip([false, true]))
    {
        match rim {
            Rim::No => {}
            Rim::Face if normal.dot(view.toward) > 1e-9 => {
                marks.push(Mark::Polyline { points, closed: true, pen: Some(SEAM), fill: white });
            }
            Rim::Face | Rim::Seam => marks.push(near_half(view, &part, at_end)),
        }
    }
    marks
}

/// `to` moved on by a hair as seen from `from`, so that lines that meet at an angle leave no gap.
fn past(from: PointMm, to: PointMm) -> PointMm {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let on = 0.1 / dx.hypot(dy).max(0.1);
    (to.0 + dx * on, to.1 + dy * on)
}

/// The half of a rim that is on the side of the eye.
fn near_half(view: &View, part: &Barrel, at_end: bool) -> Mark {
    let middle = part.start.clock_of(view.toward);
    let half = RIM / 2;
    let points = (0..=half)
        .map(|i| middle - PI / 2.0 + PI * f64::from(i) / f64::from(half))
        .map(|clock| view.point(part.edge(at_end, clock)))
        .collect();
    Mark::Polyline { points, closed: false, pen: Some(SEAM), fill: None }
}

/// The faces of a lobe that are seen, without the part inside its round body about `axis`.
fn block(view: &View, block: &Block, on_axis: DVec3, body_radius_mm: f64) -> Option<Facet> {
    let [along, out, across] = block.axes;
    let middle = (block.centre - on_axis).dot(out);
    let high = middle + block.half_mm.y;
    let low = (middle - block.half_mm.y).max(body_radius_mm * 0.95);
    if high - low < NOTHING_MM {
        return None;
    }
    let centre = block.centre + out * (f64::midpoint(low, high) - middle);
    let halves = [along * block.half_mm.x, out * ((high - low) / 2.0), across * block.half_mm.z];
    let mut marks = Vec::new();
    for (i, axis) in [along, out, across].into_iter().enumerate() {
        let sign = if axis.dot(view.toward) > 0.0 { 1.0 } else { -1.0 };
        let (face, u, v) = (centre + halves[i] * sign, halves[(i + 1) % 3], halves[(i + 2) % 3]);
        let points = [u + v, u - v, -u - v, v - u].map(|d| view.point(face + d)).to_vec();
        marks.push(Mark::Polyline { points, closed: true, pen: Some(OUTLINE), fill: Some(Grey::LIGHT) });
    }
    Some(Facet { depth: view.depth(centre), shape: Shape::Faces(marks) })
}

/// Convex hull, by the monotone chain.
fn hull(mut points: Vec<PointMm>) -> Vec<PointMm> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let chain = |points: &mut dyn Iterator<Item = PointMm>| {
        let mut out: Vec<PointMm> = Vec::new();
        for p in points {
            while let [.., a, b] = out[..] {
                if (b.0 - a.0) * (p.1 - a.1) - (b.1 - a.1) * (p.0 - a.0) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut out = chain(&mut points.iter().copied());
    out.extend(chain(&mut points.iter().rev().copied()));
    out
}

/// What the run covers on paper, as overlapping discs.
pub(super) fn discs(view: &View, run: &RunReport) -> Vec<Disc> {
    let mut out = Vec::new();
    let mut add = |at: DVec3, radius_mm: f64| {
        out.push(Disc { centre: view.point(at), radius: radius_mm * view.scale });
    };
    for placed in run.built.all_solids() {
        match placed.solid {
            Solid::Barrel(Barrel { start, length_mm, radius_mm, .. })
            | Solid::Drum(Drum { start, length_mm, radius_mm }) => {
                let count = (length_mm / (0.6 * radius_mm)).ceil().clamp(1.0, 500.0) as u32;
                for i in 0..=count {
                    add(start.forward(length_mm * f64::from(i) / f64::from(count)).origin, radius_mm);
                }
            }
            Solid::Elbow(e) => {
                for i in 0..=20 {
                    add(e.frame_at(e.angle_rad * f64::from(i) / 20.0).origin, e.radius_mm);
                }
            }
            Solid::Frustum(f) => {
                for i in 0..=10 {
                    let along_mm = f.length_mm * f64::from(i) / 10.0;
                    add(f.frame_at(along_mm).origin, f.radius_at(along_mm));
                }
            }
            Solid::Block(b) => add(b.centre, b.half_mm.x.max(b.half_mm.y).max(b.half_mm.z) * 1.2),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hull_of_a_square_with_points_in_it_is_its_corners() {
        let points = vec![(0.0, 0.0), (2.0, 0.0), (1.0, 1.0), (2.0, 2.0), (0.0, 2.0), (1.0, 0.0)];
        let mut corners = hull(points);
        corners.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        assert_eq!(corners, [(0.0, 0.0), (0.0, 2.0), (2.0, 0.0), (2.0, 2.0)]);
    }
}
