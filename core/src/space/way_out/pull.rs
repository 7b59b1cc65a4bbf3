//! Straight pulls.

use super::mate::allowed;
use super::stance::Stance;
use super::{Drawn, GoOn, MateKind, Stop, Task, Way};
use glam::DVec3;
use std::f64::consts::PI;

/// Directions spread evenly over the sphere.
const SPREAD: usize = 200;

/// Gaps beyond the needed one that are tried for, mm.
const SPARES_MM: [f64; 5] = [2.0, 5.0, 10.0, 20.0, MOST_SPARE_MM];

/// The most of them.
pub(super) const MOST_SPARE_MM: f64 = 50.0;

/// Share of the work that straight pulls are.
pub(super) const SHARE: f64 = 0.3;

/// Two directions nearer than this are one.
const SAME: f64 = 1e-6;

/// A straight pull that comes out.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// Unit direction.
    pub direction: DVec3,
    /// How far it has to be pulled until it is past everything, mm; the whole of what was asked for where it stays
    /// beside something all the way.
    pub clear_after_mm: f64,
    /// Gap beyond the needed one that it keeps all the way from what is not as near already at rest, mm; one of
    /// 0, 2, 5, 10, 20 and 50, the largest it has.
    pub spare_mm: f64,
    /// The way, spigots drawn first.
    pub way: Way,
}

/// All straight pulls tried.
pub(super) struct Pulls {
    pub(super) best: Option<Pull>,
    pub(super) stop: Stop,
    pub(super) allowed: usize,
    pub(super) free: usize,
}

/// What makes one pull better than another.
#[derive(Debug, Clone, Copy)]
struct Rank {
    /// It gets past everything, not only far along it.
    past: bool,
    /// Gap to spare, mm.
    spare_mm: f64,
    /// Largest part along an axis: 1 along one.
    axis: f64,
}

impl Rank {
    fn is_better_than(&self, other: &Self) -> bool {
        if self.past != other.past {
            return self.past;
        }
        let spare = self.spare_mm.total_cmp(&other.spare_mm);
        spare.is_gt() || (spare.is_eq() && self.axis > other.axis + SAME)
    }
}

/// Tries all directions; `None` if told to stop.
pub(super) fn pulls(task: &Task<'_>, drawn: &Drawn<'_>, go_on: &mut GoOn<'_>) -> Option<Pulls> {
    let from = *drawn.stances.last()?;
    // faces that were left behind when spigots were drawn allow everything
    let touching = task.mates.iter().filter(|m| m.kind == MateKind::Flat && m.out.dot(from.shift_mm) < 1.0);
    let touching: Vec<_> = touching.collect();
    let directions: Vec<DVec3> =
        directions(task).into_iter().filter(|u| allowed(touching.iter().copied(), *u)).collect();
    let scene = &drawn.scene;
    let bodies = scene.bodies(&from);
    let mut pulls = Pulls { best: None, stop: Stop::Faces, allowed: directions.len(), free: 0 };
    let mut furthest_mm = f64::NEG_INFINITY;
    let mut best: Option<(Rank, DVec3, f64)> = None;
    for (i, &along) in directions.iter().enumerate() {
        if !go_on(SHARE * i as f64 / directions.len() as f64) {
            return None;
        }
        let slide = |spare_mm| super::slide::slide(&bodies, &scene.things, along, task.far_mm, spare_mm);
        if let Some(contact) = slide(0.0) {
            if contact.at_mm > furthest_mm {
                furthest_mm = contact.at_mm;
                pulls.stop = Stop::Runs { direction: along, distance_mm: contact.at_mm, into: contact.by };
            }
            continue;
        }
        pulls.free += 1;
        let clear_after_mm = scene.clear_after_mm(&from, along, task.far_mm);
        let mut rank = Rank {
            past: clear_after_mm < task.far_mm,
            spare_mm: f64::INFINITY,
            axis: along.abs().max_element(),
        };
        // not worth a closer look if it would not be better with any gap to spare
        if best.as_ref().is_some_and(|(known, ..)| !rank.is_better_than(known)) {
            continue;
        }
        rank.spare_mm = SPARES_MM.into_iter().take_while(|s| slide(*s).is_none()).last().unwrap_or(0.0);
        if best.as_ref().is_none_or(|(known, ..)| rank.is_better_than(known)) {
            best = Some((rank, along, clear_after_mm));
        }
    }
    pulls.best = best.map(|(rank, direction, clear_after_mm)| {
        let mut stances = drawn.stances.clone();
        stances.push(from.shifted(direction * task.far_mm));
        Pull { direction, clear_after_mm, spare_mm: rank.spare_mm, way: Way { pivot: scene.pivot, stances } }
    });
    Some(pulls)
}

/// The directions to try, the likeliest first: the faces' normals and their sums, the axes and the diagonals
/// between them, and a spread over the sphere.
fn directions(task: &Task<'_>) -> Vec<DVec3> {
    let outs: Vec<DVec3> = task.mates.iter().map(|m| m.out).collect();
    let mut out: Vec<DVec3> = Vec::new();
    let pairs = outs.iter().enumerate().flat_map(|(i, a)| outs[..i].iter().map(move |b| *a + *b));
    let sums = pairs.chain(std::iter::once(outs.iter().sum()));
    let wanted = outs.iter().copied().chain(sums).chain(lattice()).chain(sphere());
    for direction in wanted.filter_map(|u: DVec3| if u.length() > SAME { u.try_normalize() } else { None }) {
        if out.iter().all(|known| known.distance(direction) > SAME) {
            out.push(direction);
        }
    }
    out
}

/// The 26 directions to the neighbours on a cubic lattice: the axes first, up before all.
pub(super) fn lattice() -> impl Iterator<Item = DVec3> {
    let all =
        || (0..27).map(|i| DVec3::ONE - DVec3::new(f64::from(i % 3), f64::from(i / 3 % 3), f64::from(i / 9)));
    (1..=3).flat_map(move |n| all().filter(move |u| (u.length_squared() - f64::from(n)).abs() < 0.5))
}

/// Directions spread evenly by the golden angle, a step of height each.
fn sphere() -> impl Iterator<Item = DVec3> {
    let golden = PI * (3.0 - 5.0_f64.sqrt());
    (0..SPREAD).map(move |i| {
        let z = 1.0 - (2 * i + 1) as f64 / SPREAD as f64;
        let (sin, cos) = (golden * i as f64).sin_cos();
        let flat = (1.0 - z * z).sqrt();
        DVec3::new(cos * flat, sin * flat, z)
    })
}

/// Directions worth a try from a pose: the axes, and out of the faces as they are turned.
pub(super) fn exits(task: &Task<'_>, stance: &Stance) -> Vec<DVec3> {
    let (rotation, _) = stance.motion(DVec3::ZERO);
    lattice().take(6).chain(task.mates.iter().map(|m| rotation * m.out)).collect()
}
