//! Tube: mitred barrels and elbows, with open ends where nothing is joined.

use super::builder::{Builder, Corner, clock, corners_round};
use crate::geom::{Barrel, Elbow, Frame, Frustum, Solid};
use crate::view3d::scene::Part;
use glam::DVec3;

/// Faces closer than this (mm) with radii as close are joined to each other.
const JOINED_MM: f64 = 0.5;

/// The wall as drawn, as a share of the radius, and its bounds, mm. The true wall is thinner and would vanish.
const WALL_SHARE: f64 = 0.06;
const WALL_MM: (f64, f64) = (1.2, 3.0);

/// An open end is drawn this many radii deep, and no deeper than this share of the tube.
const BORE_RADII: f64 = 1.6;
const BORE_SHARE: f64 = 0.45;

/// Light just inside an open end and at its bottom.
const BORE_LIGHT: (f64, f64) = (0.38, 0.03);

/// Rings of a bore from its mouth to its bottom.
const RINGS: u32 = 4;

/// An elbow is drawn in steps of at most this angle (rad, 3.75°).
const STEP_RAD: f64 = 3.75 * std::f64::consts::PI / 180.0;

/// The end faces of an item's solids that touch another's: nothing is drawn there.
#[derive(Debug, Default)]
pub(super) struct JoinedFaces(Vec<(DVec3, f64)>);

impl JoinedFaces {
    /// All faces of the parts.
    pub(super) fn of<'a>(parts: impl Iterator<Item = &'a Part>) -> Self {
        let mut faces = Vec::new();
        for part in parts {
            match part {
                Part::Solid(Solid::Barrel(b), _) => {
                    let (start, end) = b.axis();
                    faces.extend([(start, b.radius_mm), (end, b.radius_mm)]);
                }
                Part::Solid(Solid::Elbow(e), _) => {
                    let end = e.frame_at(e.angle_rad).origin;
                    faces.extend([(e.start.origin, e.radius_mm), (end, e.radius_mm)]);
                }
                Part::Solid(Solid::Drum(d), _) => {
                    let end = d.start.forward(d.length_mm).origin;
                    faces.extend([(d.start.origin, d.radius_mm), (end, d.radius_mm)]);
                }
                Part::Solid(Solid::Frustum(f), _) => {
                    let end = f.frame_at(f.length_mm).origin;
                    faces.extend([(f.start.origin, f.start_radius_mm), (end, f.end_radius_mm)]);
                }
                Part::Solid(Solid::Block(_), _)
                | Part::Shape(..)
                | Part::Scan(..)
                | Part::Seam { .. }
                | Part::Port { .. }
                | Part::Rod { .. } => {}
            }
        }
        Self(faces)
    }

    /// Whether another face at least as wide stands at the same place.
    fn covers(&self, at: DVec3, radius_mm: f64) -> bool {
        let there = |(p, r): &&(DVec3, f64)| p.distance(at) < JOINED_MM && r + JOINED_MM > radius_mm;
        // the face itself is one of them
        self.0.iter().filter(there).count() > 1
    }
}

/// One end of a tube, seen from outside: where its surface runs as one goes in.
struct End<F> {
    radius_mm: f64,
    /// How deep one may go, mm.
    depth_mm: f64,
    /// Unit normal of the face, outward.
    out: DVec3,
    /// Point at (clock, radius, depth), and the direction away from the axis there. Corners turn right-handed
    /// about the outward direction.
    at: F,
}

pub(super) fn barrel(b: &mut Builder, barrel: &Barrel, faces: &JoinedFaces) {
    let n = corners_round(barrel.radius_mm);
    b.skin(2, n, |ring, i| {
        let c = clock(i, n);
        Corner::new(barrel.edge(ring == 1, c), barrel.start.at_clock(c))
    });
    let (start, end) = barrel.axis();
    let travel = barrel.start.travel;
    let lean = |normal: DVec3| {
        let along = normal.dot(travel);
        barrel.radius_mm * (1.0 - along * along).max(0.0).sqrt() / along
    };
    let shortest = barrel.length_mm - lean(barrel.start_normal) - lean(barrel.end_normal);
    let depth_mm = (BORE_SHARE * shortest).min(BORE_RADII * barrel.radius_mm).max(0.0);
    for (at_end, point, normal) in [(false, start, barrel.start_normal), (true, end, barrel.end_normal)] {
        if faces.covers(point, barrel.radius_mm) {
            continue;
        }
        let turn = if at_end { 1.0 } else { -1.0 };
        let at = |c: f64, radius: f64, depth: f64| {
            let away = barrel.start.at_clock(turn * c);
            let side = away * radius;
            let slid = side - travel * (side.dot(normal) / travel.dot(normal));
            (point + slid - travel * (turn * depth), away)
        };
        open_end(b, &End { radius_mm: barrel.radius_mm, depth_mm, out: normal * turn, at });
    }
}

pub(super) fn elbow(b: &mut Builder, elbow: &Elbow, faces: &JoinedFaces) {
    let n = corners_round(elbow.radius_mm);
    let steps = (elbow.angle_rad / STEP_RAD).ceil().clamp(1.0, 96.0) as u32;
    let frames: Vec<Frame> =
        (0..=steps).map(|i| elbow.frame_at(elbow.angle_rad * f64::from(i) / f64::from(steps))).collect();
    b.skin(steps + 1, n, |ring, i| {
        let frame = &frames[ring as usize];
        let away = frame.at_clock(clock(i, n));
        Corner::new(frame.origin + away * elbow.radius_mm, away)
    });
    let depth_mm = (BORE_SHARE * elbow.angle_rad * elbow.clr_mm).min(BORE_RADII * elbow.radius_mm).max(0.0);
    for (at_end, frame) in [(false, frames[0]), (true, frames[steps as usize])] {
        if faces.covers(frame.origin, elbow.radius_mm) {
            continue;
        }
        let turn = if at_end { 1.0 } else { -1.0 };
        let at = |c: f64, radius: f64, depth: f64| {
            let swept = depth / elbow.clr_mm;
            let inside = elbow.frame_at(if at_end { elbow.angle_rad - swept } else { swept });
            let away = inside.at_clock(turn * c);
            (inside.origin + away * radius, away)
        };
        open_end(b, &End { radius_mm: elbow.radius_mm, depth_mm, out: frame.travel * turn, at });
    }
}

pub(super) fn frustum(b: &mut Builder, f: &Frustum, faces: &JoinedFaces) {
    let n = corners_round(f.start_radius_mm.max(f.end_radius_mm));
    b.skin(2, n, |ring, i| {
        let c = clock(i, n);
        Corner::new(f.edge(f.length_mm * f64::from(ring), c), f.normal(c))
    });
    for (at_end, radius_mm) in [(false, f.start_radius_mm), (true, f.end_radius_mm)] {
        let (along_mm, turn) = if at_end { (f.length_mm, 1.0) } else { (0.0, -1.0) };
        if faces.covers(f.frame_at(along_mm).origin, radius_mm) {
            continue;
        }
        let depth_mm = (BORE_SHARE * f.length_mm).min(BORE_RADII * radius_mm).max(0.0);
        let at = |c: f64, radius: f64, depth: f64| {
            let inside = f.frame_at(along_mm - turn * depth);
            let away = inside.at_clock(turn * c);
            (inside.origin + away * (radius * f.radius_at(along_mm - turn * depth) / radius_mm), away)
        };
        open_end(b, &End { radius_mm, depth_mm, out: f.start.travel * turn, at });
    }
}

/// The rim of an open end, the bore behind it and a dark bottom.
fn open_end<F: Fn(f64, f64, f64) -> (DVec3, DVec3)>(b: &mut Builder, end: &End<F>) {
    let n = corners_round(end.radius_mm);
    let inner =
        end.radius_mm - (end.radius_mm * WALL_SHARE).clamp(WALL_MM.0, WALL_MM.1).min(end.radius_mm / 2.0);
    b.skin(2, n, |ring, i| {
        let radius = if ring == 0 { end.radius_mm } else { inner };
        Corner::new((end.at)(clock(i, n), radius, 0.0).0, end.out)
    });
    let light = |ring: u32| {
        let share = f64::from(ring) / f64::from(RINGS - 1);
        BORE_LIGHT.1 + (BORE_LIGHT.0 - BORE_LIGHT.1) * (1.0 - share).powi(2)
    };
    let depth = |ring: u32| end.depth_mm * f64::from(ring) / f64::from(RINGS - 1);
    b.skin(RINGS, n, |ring, i| {
        let (at, away) = (end.at)(clock(i, n), inner, depth(ring));
        Corner { at, normal: -away, light: light(ring) }
    });
    let bottom = |at: DVec3| Corner { at, normal: end.out, light: BORE_LIGHT.1 };
    b.fan(bottom((end.at)(0.0, 0.0, end.depth_mm).0), n, |i| {
        bottom((end.at)(clock(i, n), inner, end.depth_mm).0)
    });
}
