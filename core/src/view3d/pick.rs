//! What lies under the pointer: rays against the plain shapes of the scene.

use super::mesh::port;
use super::ray::{Ray, Slack, Span};
use super::scene::{Part, Scene};
use crate::geom::{Barrel, Elbow, Frame, Frustum, Solid};
use crate::model::{Hole, Item, Pose, Shape};
use glam::DVec3;

/// An elbow is picked as a chain of mitred barrels, each of which turns no more than this (rad, 10°): the
/// chord is then within 0.4 % of the bend radius of the arc.
const CHAIN_RAD: f64 = 10.0 * std::f64::consts::PI / 180.0;

/// Capsules the ring of a hardpoint is picked as.
const RING_PIECES: u32 = 16;

/// A part that a ray meets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit {
    /// Whose part it is.
    pub item: Item,
    /// Which of its parts.
    pub part: usize,
    /// How far along the ray, mm.
    pub t: f64,
    /// Unit direction square to the surface there, towards the viewer; only scans tell it.
    pub normal: Option<DVec3>,
}

/// All parts the ray meets, the nearest first; the near side of each.
///
/// Half spaces cannot be picked, and holes of a panel let the ray through. `slack` widens the thin things
/// only, ports and rods, so that they can be hit from afar.
pub fn pick(scene: &Scene, ray: &Ray, slack: Slack) -> Vec<Hit> {
    let mut hits: Vec<Hit> = scene
        .items
        .iter()
        .flat_map(|i| i.parts.iter().enumerate().map(move |(n, part)| (i.item, n, part)))
        .filter_map(|(item, part, shape)| {
            if let Part::Scan(scan, _) = shape {
                let hit = scan.pick(ray.origin, ray.dir)?;
                return Some(Hit { item, part, t: hit.distance_mm, normal: Some(hit.normal) });
            }
            Some(Hit { item, part, t: part_hit(shape, ray, slack)?, normal: None })
        })
        .collect();
    hits.sort_by(|a, b| a.t.total_cmp(&b.t));
    hits
}

fn part_hit(part: &Part, ray: &Ray, slack: Slack) -> Option<f64> {
    match part {
        Part::Solid(solid, _) => solid_hit(solid, ray),
        Part::Shape(shape, pose, _) => shape_hit(shape, pose, ray),
        // the bead lies on tubes that are picked themselves; a scan tells more than how far
        Part::Seam { .. } | Part::Scan(..) => None,
        Part::Port { frame, radius_mm, .. } => {
            let (minor, tip) = (port::ring_minor_mm(*radius_mm), port::arrow_mm(*radius_mm));
            let ring = |i: u32| {
                let clock = std::f64::consts::TAU * f64::from(i) / f64::from(RING_PIECES);
                frame.origin + frame.at_clock(clock) * *radius_mm
            };
            let arrow = thin_hit(ray, frame.origin, frame.forward(tip).origin, minor, slack);
            (0..RING_PIECES)
                .map(|i| thin_hit(ray, ring(i), ring(i + 1), minor, slack))
                .chain([arrow])
                .flatten()
                .min_by(f64::total_cmp)
        }
        Part::Rod { from, to, radius_mm, .. } => thin_hit(ray, *from, *to, *radius_mm, slack),
    }
}

fn thin_hit(ray: &Ray, from: DVec3, to: DVec3, radius_mm: f64, slack: Slack) -> Option<f64> {
    let wide = radius_mm + slack.at(ray.nearest((from + to) / 2.0));
    ray.capsule(from, to, wide)
}

fn solid_hit(solid: &Solid, ray: &Ray) -> Option<f64> {
    match solid {
        Solid::Barrel(b) => barrel_hit(b, ray),
        Solid::Elbow(e) => elbow_hit(e, ray),
        Solid::Drum(d) => {
            let half = d.length_mm / 2.0;
            bar_hit(ray, d.start.forward(half).origin, d.start.travel, half, d.radius_mm)
        }
        Solid::Block(b) => ray.block(b.centre, b.axes, b.half_mm)?.first(),
        Solid::Frustum(f) => frustum_hit(f, ray),
    }
}

/// Where a ray first meets a taper: its side is `|p − c(z)| = r(z)` with centre and radius linear in the height `z`,
/// so a quadratic along the ray; and its two faces.
fn frustum_hit(f: &Frustum, ray: &Ray) -> Option<f64> {
    let travel = f.start.travel;
    let (from, way) = (ray.origin - f.start.origin, ray.dir);
    let (z0, z1) = (from.dot(travel), way.dot(travel));
    let share = |x: f64| x / f.length_mm;
    let (slant, taper) = (f.shift / f.length_mm, share(f.end_radius_mm - f.start_radius_mm));
    // across the axis, less the centre, at distance t: a + b·t; radius p + q·t
    let (a, b) = (from - travel * z0 - slant * z0, way - travel * z1 - slant * z1);
    let (p, q) = (f.start_radius_mm + taper * z0, taper * z1);
    let (qa, qb, qc) = (b.length_squared() - q * q, a.dot(b) - p * q, a.length_squared() - p * p);
    let root = qb * qb - qa * qc;
    let sides = if root >= 0.0 && qa.abs() > 1e-12 {
        [(-qb - root.sqrt()) / qa, (-qb + root.sqrt()) / qa]
    } else {
        [f64::NAN; 2]
    };
    let on_side = |t: &f64| {
        let z = z0 + z1 * t;
        z >= 0.0 && z <= f.length_mm && p + q * t >= 0.0
    };
    let faces = [0.0, f.length_mm].map(|z| if z1.abs() > 1e-12 { (z - z0) / z1 } else { f64::NAN });
    let on_face = |t: &f64| (a + b * *t).length() <= p + q * t + 1e-9;
    let hits = sides.into_iter().filter(on_side).chain(faces.into_iter().filter(on_face));
    hits.filter(|t| *t >= 0.0).min_by(f64::total_cmp)
}

/// A round bar with flat ends about its centre.
fn bar_hit(ray: &Ray, centre: DVec3, axis: DVec3, half_mm: f64, radius_mm: f64) -> Option<f64> {
    bar_span(ray, centre, axis, half_mm, radius_mm)?.first()
}

fn bar_span(ray: &Ray, centre: DVec3, axis: DVec3, half_mm: f64, radius_mm: f64) -> Option<Span> {
    ray.cylinder(centre, axis, radius_mm)?
        .and(ray.below(centre + axis * half_mm, axis)?)?
        .and(ray.below(centre - axis * half_mm, -axis)?)
}

fn barrel_hit(barrel: &Barrel, ray: &Ray) -> Option<f64> {
    let (start, end) = barrel.axis();
    ray.cylinder(start, barrel.start.travel, barrel.radius_mm)?
        .and(ray.below(start, -barrel.start_normal)?)?
        .and(ray.below(end, barrel.end_normal)?)?
        .first()
}

fn elbow_hit(elbow: &Elbow, ray: &Ray) -> Option<f64> {
    // the ball that holds the whole elbow spares most rays the chain
    let middle = elbow.frame_at(elbow.angle_rad / 2.0).origin;
    let reach = elbow.frame_at(elbow.angle_rad).origin.distance(middle) + elbow.radius_mm;
    ray.ball(middle, reach)?;
    let pieces = (elbow.angle_rad / CHAIN_RAD).ceil().clamp(1.0, 36.0) as u32;
    let at = |i: u32| elbow.frame_at(elbow.angle_rad * f64::from(i) / f64::from(pieces));
    (0..pieces)
        .filter_map(|i| {
            let (a, b) = (at(i), at(i + 1));
            let chord = b.origin - a.origin;
            let start = Frame { travel: chord.try_normalize()?, ..a };
            let (start_normal, end_normal) = (a.travel, b.travel);
            let length_mm = chord.length();
            let radius_mm = elbow.radius_mm;
            barrel_hit(&Barrel { start, length_mm, radius_mm, start_normal, end_normal }, ray)
        })
        .min_by(f64::total_cmp)
}

fn shape_hit(shape: &Shape, pose: &Pose, ray: &Ray) -> Option<f64> {
    let turn = pose.rotation();
    let axes = [turn * DVec3::X, turn * DVec3::Y, turn * DVec3::Z];
    let centre = pose.position_mm;
    match shape {
        Shape::Box { size_mm } => ray.block(centre, axes, *size_mm / 2.0)?.first(),
        Shape::Cylinder { diameter_mm, length_mm } => {
            bar_hit(ray, centre, axes[2], length_mm / 2.0, diameter_mm / 2.0)
        }
        Shape::Capsule { diameter_mm, length_mm } => {
            let half = axes[2] * (length_mm / 2.0);
            ray.capsule(centre - half, centre + half, diameter_mm / 2.0)
        }
        Shape::Sphere { diameter_mm } => ray.ball(centre, diameter_mm / 2.0)?.first(),
        Shape::Panel { width_mm, height_mm, thickness_mm, holes } => {
            let half = DVec3::new(*width_mm, *height_mm, *thickness_mm) / 2.0;
            let plate = ray.block(centre, axes, half)?;
            panel_hit(ray, plate, holes, |h| centre + axes[0] * h.x_mm + axes[1] * h.y_mm, axes[2])
        }
        Shape::HalfSpace => None,
        // until it is read it is drawn as nothing; then as a part of its own
        Shape::Scan(_) => None,
    }
}

/// The first point of the plate that lies in no hole.
fn panel_hit(
    ray: &Ray,
    plate: Span,
    holes: &[Hole],
    place: impl Fn(&Hole) -> DVec3,
    axis: DVec3,
) -> Option<f64> {
    let mut t = plate.first()?;
    // each hole can push the point on but once
    for _ in 0..=holes.len() {
        let through = holes
            .iter()
            .filter_map(|h| ray.cylinder(place(h), axis, h.diameter_mm / 2.0))
            .find(|span| span.enter <= t && t < span.leave);
        let Some(span) = through else { return Some(t) };
        t = span.leave;
        if t >= plate.leave {
            return None;
        }
    }
    None
}

#[cfg(test)]
mod tests;
