//! The surfaces of solids as patches over the unit square, and whether a point is in a solid, from the definitions.

use glam::DVec3;
use pipeloft_core::geom::{Block, Elbow, Frustum, Solid};
use std::f64::consts::TAU;

/// A part of a surface.
pub(crate) struct Patch<'a> {
    /// The point at (u, v).
    pub(crate) at: Box<dyn Fn(f64, f64) -> DVec3 + 'a>,
    /// Bounds of the second derivatives along u and along v, mm.
    pub(crate) bends_mm: [f64; 2],
}

impl<'a> Patch<'a> {
    fn new(bends_mm: [f64; 2], at: impl Fn(f64, f64) -> DVec3 + 'a) -> Self {
        Self { at: Box::new(at), bends_mm }
    }
}

/// The surface of `solid`.
pub(crate) fn patches(solid: &Solid) -> Vec<Patch<'_>> {
    match solid {
        Solid::Barrel(_) | Solid::Drum(_) => round_bar(&bar(solid)),
        Solid::Elbow(elbow) => bend(elbow),
        Solid::Frustum(f) => taper(f),
        Solid::Block(block) => [0, 1, 2].into_iter().flat_map(|i| block_sides(block, i)).collect(),
    }
}

/// A round bar between two planes: start and end of the axis, the two normals, the radius.
#[derive(Clone, Copy)]
struct Bar {
    ends: [DVec3; 2],
    normals: [DVec3; 2],
    axis: DVec3,
    radius_mm: f64,
}

fn bar(solid: &Solid) -> Bar {
    let (start, length_mm, radius_mm, normals) = match solid {
        Solid::Barrel(b) => (b.start, b.length_mm, b.radius_mm, [b.start_normal, b.end_normal]),
        Solid::Drum(d) => (d.start, d.length_mm, d.radius_mm, [d.start.travel; 2]),
        Solid::Elbow(_) | Solid::Block(_) | Solid::Frustum(_) => panic!("no bar: {solid:?}"),
    };
    let axis = start.travel;
    Bar { ends: [start.origin, start.origin + axis * length_mm], normals, axis, radius_mm }
}

impl Bar {
    /// The generator at the turn `u` cut by the plane of an end: x with (x − end)·normal = 0.
    fn rim(&self, end: usize, u: f64) -> DVec3 {
        let one = self.axis.any_orthonormal_vector();
        let (sin, cos) = (TAU * u).sin_cos();
        let out = (one * cos + self.axis.cross(one) * sin) * self.radius_mm;
        let normal = self.normals[end];
        self.ends[end] + out - self.axis * (out.dot(normal) / self.axis.dot(normal))
    }

    /// The long half axis of the steeper end's ellipse, in units of one turn squared.
    fn bend_mm(&self) -> f64 {
        let steepest = self.axis.dot(self.normals[0]).min(self.axis.dot(self.normals[1]));
        TAU * TAU * self.radius_mm / steepest
    }
}

fn round_bar(bar: &Bar) -> Vec<Patch<'static>> {
    let (bar, bends_mm) = (*bar, [bar.bend_mm(), 0.0]);
    let face =
        |end: usize| Patch::new(bends_mm, move |u, v| bar.ends[end] + (bar.rim(end, u) - bar.ends[end]) * v);
    let side = Patch::new(bends_mm, move |u, v| bar.rim(0, u) * (1.0 - v) + bar.rim(1, u) * v);
    vec![side, face(0), face(1)]
}

/// The point of a bend `along` from its start and `off` from its middle line at the turn `u` of the section.
fn in_bend(e: &Elbow, along: f64, u: f64, off: f64) -> DVec3 {
    let ((sin, cos), (up, out)) = ((e.angle_rad * along).sin_cos(), (TAU * u).sin_cos());
    let spoke = e.start.travel * sin - e.toward * cos;
    let axis = e.toward.cross(e.start.travel);
    e.start.origin + e.toward * e.clr_mm + spoke * (e.clr_mm + off * out) + axis * (off * up)
}

fn bend(e: &Elbow) -> Vec<Patch<'_>> {
    let across_mm = TAU * TAU * e.radius_mm;
    let along_mm = e.angle_rad * e.angle_rad * (e.clr_mm + e.radius_mm);
    let face =
        move |along: f64| Patch::new([across_mm, 0.0], move |u, v| in_bend(e, along, u, e.radius_mm * v));
    let side = Patch::new([across_mm, along_mm], move |u, v| in_bend(e, v, u, e.radius_mm));
    vec![side, face(0.0), face(1.0)]
}

/// The point of a taper at the turn `u`, `v` of the way along, `off` of the radius out.
fn in_taper(f: &Frustum, u: f64, v: f64, off: f64) -> DVec3 {
    let (sin, cos) = (TAU * u).sin_cos();
    let out = f.start.index * cos + f.start.travel.cross(f.start.index) * sin;
    let radius_mm = f.start_radius_mm * (1.0 - v) + f.end_radius_mm * v;
    f.start.origin + f.start.travel * (f.length_mm * v) + f.shift * v + out * (radius_mm * off)
}

fn taper(f: &Frustum) -> Vec<Patch<'_>> {
    let bends_mm = [TAU * TAU * f.start_radius_mm.max(f.end_radius_mm), 0.0];
    let face = move |end: f64| Patch::new(bends_mm, move |u, v| in_taper(f, u, end, v));
    vec![Patch::new(bends_mm, move |u, v| in_taper(f, u, v, 1.0)), face(0.0), face(1.0)]
}

fn block_sides(b: &Block, i: usize) -> [Patch<'_>; 2] {
    let (j, k) = ((i + 1) % 3, (i + 2) % 3);
    [-1.0, 1.0].map(|side| {
        Patch::new([0.0; 2], move |u, v| {
            let own = [(i, side), (j, 2.0 * u - 1.0), (k, 2.0 * v - 1.0)];
            own.iter().fold(b.centre, |at, &(axis, part)| at + b.axes[axis] * (b.half_mm[axis] * part))
        })
    })
}

/// Whether `solid`, grown by `by_mm` along its own measures, holds `p`.
pub(crate) fn holds(solid: &Solid, p: DVec3, by_mm: f64) -> bool {
    match solid {
        Solid::Barrel(_) | Solid::Drum(_) => {
            let bar = bar(solid);
            let from = p - bar.ends[0];
            let off_mm = (from - bar.axis * from.dot(bar.axis)).length();
            let past = [-from.dot(bar.normals[0]), (p - bar.ends[1]).dot(bar.normals[1])];
            off_mm <= bar.radius_mm + by_mm && past[0] <= by_mm && past[1] <= by_mm
        }
        Solid::Elbow(e) => {
            let from = p - (e.start.origin + e.toward * e.clr_mm);
            let (x, y) = (-from.dot(e.toward), from.dot(e.start.travel));
            let up = from.dot(e.toward.cross(e.start.travel));
            let angle = y.atan2(x);
            // how far beyond the plane of an end
            let (sin, cos) = e.angle_rad.sin_cos();
            let within = (0.0..=e.angle_rad).contains(&angle)
                || (y.abs() <= by_mm && x > 0.0)
                || ((y * cos - x * sin).abs() <= by_mm && x * cos + y * sin > 0.0);
            within && (x.hypot(y) - e.clr_mm).hypot(up) <= e.radius_mm + by_mm
        }
        Solid::Frustum(f) => {
            let from = p - f.start.origin;
            let along = from.dot(f.start.travel);
            let share = (along / f.length_mm).clamp(0.0, 1.0);
            let radius_mm = f.start_radius_mm * (1.0 - share) + f.end_radius_mm * share;
            let off_mm = (from - f.start.travel * along - f.shift * share).length();
            off_mm <= radius_mm + by_mm && -along <= by_mm && along - f.length_mm <= by_mm
        }
        Solid::Block(b) => {
            let from = p - b.centre;
            (0..3).all(|i| from.dot(b.axes[i]).abs() <= b.half_mm[i] + by_mm)
        }
    }
}
