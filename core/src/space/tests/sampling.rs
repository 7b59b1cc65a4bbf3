//! Distances by dense sampling of surfaces, sharpened round the best samples.

use crate::geom::{Barrel, Block, Drum, Elbow, Frustum, Solid};
use glam::DVec3;
use std::f64::consts::TAU;

type Patch<'a> = Box<dyn Fn(f64, f64) -> DVec3 + 'a>;

/// The surface of a solid as patches over the unit square.
fn patches(solid: &Solid) -> Vec<Patch<'_>> {
    match solid {
        Solid::Barrel(b) => barrel_patches(*b),
        Solid::Drum(d) => barrel_patches(as_barrel(d)),
        Solid::Elbow(e) => elbow_patches(e),
        Solid::Block(b) => (0..3).flat_map(|i| [-1.0, 1.0].map(|side| block_patch(b, i, side))).collect(),
        Solid::Frustum(f) => frustum_patches(*f),
    }
}

fn as_barrel(d: &Drum) -> Barrel {
    let normal = d.start.travel;
    Barrel {
        start: d.start,
        length_mm: d.length_mm,
        radius_mm: d.radius_mm,
        start_normal: normal,
        end_normal: normal,
    }
}

fn barrel_patches(b: Barrel) -> Vec<Patch<'static>> {
    let side = move |u: f64, v: f64| b.edge(false, TAU * u).lerp(b.edge(true, TAU * u), v);
    let face = move |at_end: bool| {
        move |u: f64, v: f64| {
            let (start, end) = b.axis();
            let (clock, off) = on_unit_disc(u, v);
            (if at_end { end } else { start }).lerp(b.edge(at_end, clock), off)
        }
    };
    vec![Box::new(side), Box::new(face(false)), Box::new(face(true))]
}

fn frustum_patches(f: Frustum) -> Vec<Patch<'static>> {
    let rim = move |at_end: bool, clock: f64, off: f64| {
        let (at, radius) = if at_end {
            (f.start.origin + f.start.travel * f.length_mm + f.shift, f.end_radius_mm)
        } else {
            (f.start.origin, f.start_radius_mm)
        };
        at + f.start.at_clock(clock) * (radius * off)
    };
    let side = move |u: f64, v: f64| rim(false, TAU * u, 1.0).lerp(rim(true, TAU * u, 1.0), v);
    let face = move |at_end: bool| {
        move |u: f64, v: f64| {
            let (clock, off) = on_unit_disc(u, v);
            rim(at_end, clock, off)
        }
    };
    vec![Box::new(side), Box::new(face(false)), Box::new(face(true))]
}

fn elbow_patches(e: &Elbow) -> Vec<Patch<'_>> {
    let at = |angle: f64, clock: f64, off: f64| {
        let frame = e.frame_at(angle);
        frame.origin + frame.at_clock(clock) * off
    };
    let face = move |angle: f64| {
        move |u: f64, v: f64| {
            let (clock, off) = on_unit_disc(u, v);
            at(angle, clock, e.radius_mm * off)
        }
    };
    vec![
        Box::new(move |u, v| at(e.angle_rad * v, TAU * u, e.radius_mm)),
        Box::new(face(0.0)),
        Box::new(face(e.angle_rad)),
    ]
}

/// Angle and radius on the unit disc of a point of the unit square; the square's edge becomes the rim.
fn on_unit_disc(u: f64, v: f64) -> (f64, f64) {
    let (x, y) = (2.0 * u - 1.0, 2.0 * v - 1.0);
    (y.atan2(x), x.abs().max(y.abs()))
}

fn block_patch(b: &Block, i: usize, side: f64) -> Patch<'_> {
    let (j, k) = ((i + 1) % 3, (i + 2) % 3);
    Box::new(move |u, v| {
        b.centre
            + b.axes[i] * (b.half_mm[i] * side)
            + b.axes[j] * (b.half_mm[j] * (2.0 * u - 1.0))
            + b.axes[k] * (b.half_mm[k] * (2.0 * v - 1.0))
    })
}

/// Points of the surface of `solid`: a grid of `cells` by `cells` cells on every patch.
pub(in crate::space) fn surface_points(solid: &Solid, cells: usize) -> Vec<DVec3> {
    let at = |i: usize| i as f64 / cells as f64;
    let grid = || (0..=cells).flat_map(|i| (0..=cells).map(move |j| (i, j)));
    patches(solid).iter().flat_map(|patch| grid().map(|(i, j)| patch(at(i), at(j)))).collect()
}

/// The least of `distance` over the surface of `solid`: a grid on every patch, then finer grids round the
/// best few places of each.
pub(in crate::space) fn least_over_surface(solid: &Solid, distance: &dyn Fn(DVec3) -> f64) -> f64 {
    const GRID: usize = 20;
    let mut least = f64::INFINITY;
    for patch in patches(solid) {
        let mut seen = Vec::new();
        for i in 0..=GRID {
            for j in 0..=GRID {
                let (u, v) = (i as f64 / GRID as f64, j as f64 / GRID as f64);
                seen.push((distance(patch(u, v)), u, v));
            }
        }
        seen.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut starts: Vec<(f64, f64, f64)> = Vec::new();
        for s in seen {
            let new = starts.iter().all(|t| (s.1 - t.1).hypot(s.2 - t.2) > 2.5 / GRID as f64);
            if new && starts.len() < 3 {
                starts.push(s);
            }
        }
        for start in starts {
            least = least.min(sharpen(&patch, distance, start, 1.0 / GRID as f64));
        }
    }
    least
}

fn sharpen(patch: &Patch<'_>, distance: &dyn Fn(DVec3) -> f64, start: (f64, f64, f64), step: f64) -> f64 {
    let (mut best, mut step) = (start, step / 2.0);
    while step > 1e-5 {
        let middle = best;
        for i in -1..=1 {
            for j in -1..=1 {
                let (u, v) =
                    (middle.1 + step * f64::from(i), (middle.2 + step * f64::from(j)).clamp(0.0, 1.0));
                let u = if (-1.0..=2.0).contains(&u) { u } else { middle.1 };
                let u = if is_closed(patch) { u } else { u.clamp(0.0, 1.0) };
                let d = distance(patch(u, v));
                if d < best.0 {
                    best = (d, u, v);
                }
            }
        }
        if (best.1 - middle.1).abs().max((best.2 - middle.2).abs()) < 0.5 * step {
            step *= 0.5;
        }
    }
    best.0
}

/// Whether a patch goes round: its first and last column are the same.
fn is_closed(patch: &Patch<'_>) -> bool {
    patch(0.0, 1.0).distance(patch(1.0, 1.0)) < 1e-6
}

/// Distance from a point outside to a solid, from the definition of each solid.
pub(in crate::space) fn point_to_solid(solid: &Solid, p: DVec3) -> f64 {
    match solid {
        Solid::Barrel(b) => point_to_barrel(b, p),
        Solid::Drum(d) => point_to_barrel(&as_barrel(d), p),
        Solid::Elbow(e) => point_to_elbow(e, p),
        Solid::Block(b) => {
            let past = |i: usize| ((p - b.centre).dot(b.axes[i]).abs() - b.half_mm[i]).max(0.0);
            DVec3::new(past(0), past(1), past(2)).length()
        }
        Solid::Frustum(f) => point_to_frustum(f, p),
    }
}

fn point_to_barrel(b: &Barrel, p: DVec3) -> f64 {
    let (start, end) = b.axis();
    let from = p - start;
    let along = from.dot(b.start.travel);
    let across = from - b.start.travel * along;
    let (below, above) = ((start - p).dot(b.start_normal), (p - end).dot(b.end_normal));
    if across.length() <= b.radius_mm && below <= 0.0 && above <= 0.0 {
        return 0.0;
    }
    let within = |q: DVec3| {
        let off = q - start - b.start.travel * (q - start).dot(b.start.travel);
        off.length() <= b.radius_mm + 1e-9
            && (start - q).dot(b.start_normal) <= 1e-9
            && (q - end).dot(b.end_normal) <= 1e-9
    };
    let on_side = start + b.start.travel * along + across * (b.radius_mm / across.length().max(1e-12));
    let feet = [on_side, p + b.start_normal * below, p - b.end_normal * above];
    let flat = feet.into_iter().filter(|&q| within(q)).map(|q| q.distance(p)).fold(f64::INFINITY, f64::min);
    if flat.is_finite() {
        return flat; // the solid is convex: a foot on it is its nearest point
    }
    let to_edge = |at_end: bool, centre: DVec3| {
        // an ellipse is centre + A cos c + B sin c
        let (a, b) = (b.edge(at_end, 0.0) - centre, b.edge(at_end, TAU / 4.0) - centre);
        least_on_circle(&|c| (centre + a * c.cos() + b * c.sin()).distance(p))
    };
    to_edge(false, start).min(to_edge(true, end))
}

/// The distance to the disc at a height is convex in the height, as the solid is: golden section.
fn point_to_frustum(f: &Frustum, p: DVec3) -> f64 {
    let to_disc = |share: f64| {
        let centre = f.start.origin + f.start.travel * (f.length_mm * share) + f.shift * share;
        let radius = f.start_radius_mm * (1.0 - share) + f.end_radius_mm * share;
        let past = (p - centre).dot(f.start.travel);
        let off = (p - centre - f.start.travel * past).length();
        past.hypot((off - radius).max(0.0))
    };
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..60 {
        let (c, d) = (b - (b - a) * 0.618_033_988_75, a + (b - a) * 0.618_033_988_75);
        if to_disc(c) < to_disc(d) { b = d } else { a = c }
    }
    to_disc(f64::midpoint(a, b))
}

fn point_to_elbow(e: &Elbow, p: DVec3) -> f64 {
    let from = p - e.centre();
    let angle = from.dot(e.start.travel).atan2(-from.dot(e.toward));
    let to_disc = |angle: f64| {
        let frame = e.frame_at(angle);
        let past = (p - frame.origin).dot(frame.travel);
        let off = (p - frame.origin - frame.travel * past).length();
        past.hypot((off - e.radius_mm).max(0.0))
    };
    if (0.0..=e.angle_rad).contains(&angle) { to_disc(angle) } else { to_disc(0.0).min(to_disc(e.angle_rad)) }
}

/// The least of a function on a circle: 16 samples, then golden section round the best two.
fn least_on_circle(f: &dyn Fn(f64) -> f64) -> f64 {
    const N: usize = 16;
    let mut seen: Vec<(f64, f64)> = (0..N).map(|i| TAU * i as f64 / N as f64).map(|a| (f(a), a)).collect();
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    let golden = |middle: f64| {
        let (mut a, mut b) = (middle - TAU / N as f64, middle + TAU / N as f64);
        for _ in 0..18 {
            let (c, d) = (b - (b - a) * 0.618_033_988_75, a + (b - a) * 0.618_033_988_75);
            if f(c) < f(d) { b = d } else { a = c }
        }
        f(f64::midpoint(a, b))
    };
    golden(seen[0].1).min(golden(seen[1].1))
}
