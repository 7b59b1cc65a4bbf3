//! The section and all that stands round it, made ready for moving.

use super::super::body::Body;
use super::super::gap::{above_plane, ball_about, tightest_between};
use super::super::piece::Piece;
use super::super::scan::{Held, PlacedScan};
use super::super::search::{ClosestSearch, OnOverlap, between_bounds};
use super::super::shape::{PlacedForm, PlacedShape};
use super::Task;
use super::mate::{Mate, SKIN_MM};
use super::slide::{Contact, boxes_meet, slide};
use super::stance::Stance;
use crate::geom::Solid;
use crate::space::{solid_bounds, tightest};
use glam::DVec3;

/// A thing that is nearer than the gap asked for where the section rests may come nearer by this much, mm: parts
/// that lie side by side can slide along each other.
const RUB_MM: f64 = 0.1;

/// What counts as past: this much more than the needed gap, mm, so that faces that slide along each other do not
/// count as past each other.
const PAST_MM: f64 = 2.0 * SKIN_MM;

/// Between two poses nearer than this to each other (mm, for any point of the section) nothing is looked for.
const BETWEEN_MM: f64 = 0.08;

/// What is in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Blocker {
    /// One of the fixed solids.
    Fixed(usize),
    /// One of the shapes.
    Shape(usize),
}

/// One thing that stands still.
#[derive(Debug)]
pub(super) struct Obstruction<'a> {
    /// What it is.
    pub(super) who: Blocker,
    /// It, unless it is a half space or a scan.
    pub(super) body: Option<Body<'a>>,
    /// A scan that has been read.
    pub(super) scan: Option<&'a PlacedScan>,
    /// A half space: a point of its plane and the direction out of it.
    pub(super) plane: Option<(DVec3, DVec3)>,
    /// Which set of the section's solids counts against it.
    pub(super) set: usize,
    /// Gap it needs, mm.
    pub(super) need_mm: f64,
    /// Its gap where the section rests, mm.
    rest_mm: f64,
}

impl Obstruction<'_> {
    /// The gap it needs if `spare_mm` more is wished for, mm.
    pub(super) fn need_with(&self, spare_mm: f64) -> f64 {
        (self.need_mm + spare_mm).min(self.rest_mm - RUB_MM).max(self.need_mm)
    }
}

/// The section, as sets of solids, and the things.
#[derive(Debug)]
pub(super) struct Scene<'a> {
    /// Set 0 is the section less its skin at the faces; the others are less a stub at some of them.
    sets: Vec<Vec<Solid>>,
    /// Distance of the furthest point of each solid from the pivot, mm.
    reach_mm: Vec<Vec<f64>>,
    pub(super) things: Vec<Obstruction<'a>>,
    /// What the section is turned about: the middle of its bounds.
    pub(super) pivot: DVec3,
}

/// A pair that has to be looked at: thing and solid.
pub(super) type Pair = (usize, usize);

impl<'a> Scene<'a> {
    /// The scene of `task` with the section's solids cut off `from_mm(mate)` past each face, and the gaps that things
    /// need as they are at rest, if those are not given. `Err` names a thing that the section runs into where it
    /// rests.
    pub(super) fn new(
        task: &Task<'a>,
        from_mm: &dyn Fn(&Mate) -> f64,
        needs: Option<&Scene<'_>>,
    ) -> Result<Self, Blocker> {
        let mut stubs: Vec<Vec<bool>> = vec![vec![false; task.mates.len()]];
        let mut things = Vec::new();
        for (i, solid) in task.fixed.iter().enumerate() {
            things.push(Obstruction {
                who: Blocker::Fixed(i),
                body: Some(solid.into()),
                scan: None,
                plane: None,
                set: 0,
                need_mm: task.need_mm,
                rest_mm: f64::INFINITY,
            });
        }
        for (i, shape) in task.shapes.iter().enumerate() {
            let own: Vec<bool> = task.mates.iter().map(|m| m.part_shapes.contains(&i)).collect();
            let set = stubs.iter().position(|s| *s == own).unwrap_or_else(|| {
                stubs.push(own);
                stubs.len() - 1
            });
            let plane = if let PlacedForm::HalfSpace(on, out) = shape.form { Some((on, out)) } else { None };
            things.push(Obstruction {
                who: Blocker::Shape(i),
                body: shape.body(),
                scan: shape.as_scan(),
                plane,
                set,
                need_mm: task.need_mm,
                rest_mm: f64::INFINITY,
            });
        }
        let sets: Vec<Vec<Solid>> = stubs.iter().map(|stub| section(task, stub, from_mm)).collect();
        let bounds = task.section.iter().map(solid_bounds);
        let (low, high) = bounds.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).unwrap_or_default();
        let pivot = low.midpoint(high);
        let reach = |solid: &Solid| {
            let (centre, radius_mm) = ball_about(solid);
            centre.distance(pivot) + radius_mm
        };
        let reach_mm: Vec<Vec<f64>> = sets.iter().map(|set| set.iter().map(reach).collect()).collect();
        let mut scene = Self { sets, reach_mm, things, pivot };
        scene.set_needs(task, needs)?;
        Ok(scene)
    }

    fn set_needs(&mut self, task: &Task<'_>, needs: Option<&Scene<'_>>) -> Result<(), Blocker> {
        if let Some(known) = needs {
            for (thing, known) in self.things.iter_mut().zip(&known.things) {
                (thing.need_mm, thing.rest_mm) = (known.need_mm, known.rest_mm);
            }
            return Ok(());
        }
        // further off than this makes no difference to any wish
        let look_mm = task.need_mm + RUB_MM + super::pull::MOST_SPARE_MM;
        for thing in &mut self.things {
            let set = &self.sets[thing.set];
            let gap = match thing.who {
                Blocker::Fixed(i) => {
                    let one = std::slice::from_ref(&task.fixed[i]);
                    tightest_between(set, one, look_mm, &|_, _| false).map(|(_, _, gap)| gap)
                }
                Blocker::Shape(i) => tightest(set, &task.shapes[i], look_mm).map(|(_, gap)| gap),
            };
            let Some(gap) = gap else { continue };
            if gap.gap_mm <= RUB_MM {
                return Err(thing.who);
            }
            thing.rest_mm = gap.gap_mm;
            thing.need_mm = task.need_mm.min(gap.gap_mm - RUB_MM);
        }
        Ok(())
    }

    /// The bodies of all sets at a stance.
    pub(super) fn bodies(&self, stance: &Stance) -> Vec<Vec<Body<'static>>> {
        let (rotation, translation) = stance.motion(self.pivot);
        let body = |solid: &Solid| Body::from(&solid.moved(rotation, translation));
        self.sets.iter().map(|set| set.iter().map(body).collect()).collect()
    }

    /// How far the section can be slid from a stance; `None` if `far_mm` can be had.
    pub(super) fn slide(&self, from: &Stance, along: DVec3, far_mm: f64, spare_mm: f64) -> Option<Contact> {
        slide(&self.bodies(from), &self.things, along, far_mm, spare_mm)
    }

    /// After how much of a slide along `along` the boxes round the section and round every other thing are clear of
    /// each other, mm; no more than `far_mm`.
    pub(super) fn clear_after_mm(&self, from: &Stance, along: DVec3, far_mm: f64) -> f64 {
        let bodies = self.bodies(from);
        let mut after_mm = 0.0_f64;
        for thing in &self.things {
            for body in &bodies[thing.set] {
                let meet = thing
                    .body
                    .as_ref()
                    .and_then(|other| boxes_meet(body.bounds, other.bounds, along, thing.need_mm + PAST_MM));
                after_mm = after_mm.max(meet.map_or(0.0, |(_, last)| last));
                if let Some(scan) = thing.scan {
                    after_mm = past_scan_mm(scan, body.bounds, along, thing.need_mm + PAST_MM, after_mm);
                }
            }
        }
        after_mm.min(far_mm)
    }

    /// The pairs of a thing and a solid that are nearer than they need by `within_mm` or less at a stance.
    ///
    /// While no point of the section moves further than that from there, no other pair can come too near.
    pub(super) fn near(&self, at: &Stance, within_mm: f64) -> Vec<Pair> {
        let (rotation, translation) = at.motion(self.pivot);
        let moved = |solid: &Solid| solid.moved(rotation, translation);
        let sets: Vec<Vec<Solid>> = self.sets.iter().map(|set| set.iter().map(moved).collect()).collect();
        let near = |(t, s): &Pair| {
            let thing = &self.things[*t];
            let near_mm = thing.need_mm + within_mm;
            gap_mm(&sets[thing.set][*s], thing, near_mm, near_mm).is_some()
        };
        self.pairs().filter(near).collect()
    }

    /// No point of the section is further than this from what it is turned about, mm.
    pub(super) fn reach_mm(&self) -> f64 {
        self.reach_mm.iter().flatten().copied().fold(0.0, f64::max)
    }

    /// All pairs of a thing and a solid that counts against it.
    fn pairs(&self) -> impl Iterator<Item = Pair> + '_ {
        let things = self.things.iter().enumerate();
        things.flat_map(|(t, thing)| (0..self.sets[thing.set].len()).map(move |s| (t, s)))
    }

    /// Whether the section can go straight from one stance to the other, its turn growing evenly with its shift,
    /// without coming nearer to anything than it may (to a twentieth of a millimetre).
    ///
    /// No point of a solid moves further than the shift and its reach times the turn; so a pair that is further
    /// apart in the middle than it needs by half of that is so all along, and only the others are looked at in
    /// halves.
    pub(super) fn is_clear(&self, a: &Stance, b: &Stance) -> bool {
        self.is_clear_among(a, b, self.pairs().collect())
    }

    /// The same where only `pairs` can come too near.
    pub(super) fn is_clear_among(&self, a: &Stance, b: &Stance, pairs: Vec<Pair>) -> bool {
        let mut open: Vec<(Stance, Stance, Vec<Pair>)> = vec![(*a, *b, pairs)];
        while let Some((a, b, pairs)) = open.pop() {
            let middle = a.middle(&b);
            let (rotation, translation) = middle.motion(self.pivot);
            let (shift_mm, turn_rad) = a.apart(&b);
            let mut left = Vec::new();
            let mut most_mm = 0.0_f64;
            for (t, s) in pairs {
                let thing = &self.things[t];
                let half_mm = 0.5 * (shift_mm + turn_rad * self.reach_mm[thing.set][s]);
                let solid = self.sets[thing.set][s].moved(rotation, translation);
                let enough_mm = thing.need_mm + half_mm;
                if let Some(gap_mm) = gap_mm(&solid, thing, enough_mm, thing.need_mm) {
                    if gap_mm < thing.need_mm {
                        return false;
                    }
                    most_mm = most_mm.max(half_mm);
                    left.push((t, s));
                }
            }
            if most_mm > BETWEEN_MM / 2.0 {
                open.push((middle, b, left.clone()));
                open.push((a, middle, left));
            }
        }
        true
    }
}

/// After how much of a slide a box is clear of the boxes round all triangles of a scan, mm; at least `least_mm`.
fn past_scan_mm(scan: &PlacedScan, moving: (DVec3, DVec3), along: DVec3, need_mm: f64, least_mm: f64) -> f64 {
    let mut after_mm = least_mm;
    let mut open = vec![0];
    while let Some(node) = open.pop() {
        let last = |bounds| boxes_meet(moving, bounds, along, need_mm).map_or(0.0, |(_, last)| last);
        // a box that is passed by then holds nothing that is passed later
        if scan.brick(node).is_none_or(|brick| last(brick.bounds()) <= after_mm) {
            continue;
        }
        match scan.held(node) {
            Some(Held::Boxes(two)) => open.extend(two),
            Some(Held::Triangles(range)) => {
                let corners = range.filter_map(|i| scan.corners(i));
                after_mm = corners.map(|c| last(Piece::Triangle(c).bounds())).fold(after_mm, f64::max);
            }
            None => {}
        }
    }
    after_mm
}

/// The gap from a solid to a thing if it is less than `closer_than_mm`; or, where it is below `enough_mm`, any number
/// below that.
fn gap_mm(solid: &Solid, thing: &Obstruction<'_>, closer_than_mm: f64, enough_mm: f64) -> Option<f64> {
    let body = &Body::from(solid);
    if let Some((on, out)) = thing.plane {
        return Some(above_plane(body, on, out).gap_mm).filter(|gap| *gap < closer_than_mm);
    }
    if let Some(scan) = thing.scan {
        if between_bounds(body.bounds, scan.bounds()) >= closer_than_mm {
            return None;
        }
        return scan
            .tightest(std::slice::from_ref(solid), closer_than_mm, None)
            .map(|found| found.gap.gap_mm);
    }
    let other = thing.body.as_ref()?;
    if between_bounds(body.bounds, other.bounds) >= closer_than_mm {
        return None;
    }
    let one = std::slice::from_ref;
    let search = ClosestSearch::new(one(body), one(other), closer_than_mm, OnOverlap::Tell, &|_, _| false);
    search.content_with(enough_mm).run().map(|found| found.gap.gap_mm)
}

/// The section's solids less what is cut off at the faces, and less the stub at those where `stub` says so.
fn section(task: &Task<'_>, stub: &[bool], from_mm: &dyn Fn(&Mate) -> f64) -> Vec<Solid> {
    let cut = |solid: &Solid| {
        task.mates.iter().zip(stub).try_fold(*solid, |left, (mate, stub)| {
            let from_mm = if *stub { mate.radius_mm + task.need_mm.max(SKIN_MM) } else { from_mm(mate) };
            mate.cut(&left, from_mm)
        })
    };
    task.section.iter().filter_map(cut).collect()
}

/// Whether `shape` has only numbers that can be measured to.
pub(super) fn is_finite(shape: &PlacedShape) -> bool {
    match shape.form {
        PlacedForm::HalfSpace(on, out) => on.is_finite() && out.is_finite(),
        // placed scans are finite from the start; what has not been read is not measured to
        PlacedForm::Scan(_) | PlacedForm::Unread => true,
        PlacedForm::Box(_) | PlacedForm::Cylinder(_) | PlacedForm::Capsule(..) | PlacedForm::Panel(_) => {
            shape.bounds().is_some_and(|(low, high)| low.is_finite() && high.is_finite())
        }
    }
}
