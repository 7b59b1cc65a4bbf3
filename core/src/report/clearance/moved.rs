//! The same gaps where bodies move: the tightest over all positions they can take against each other.

use super::pairs::Stubs;
use super::subject::{Subject, trimmed};
use super::{AS_DRAWN, ClearanceReport, entry, heat};
use crate::geom::Solid;
use crate::geom::tolerance::GAP_MM;
use crate::geom::vector::unit;
use crate::model::{Body, BodyId, Item, Movement, Obstacle, Project};
use crate::space::motion::{Motion, SweptGap, WITHIN_MM};
use crate::space::{PlacedShape, tightest, tightest_between};
use crate::units::length;
use glam::DVec3;

/// Where bodies can not bring a gap to less than this beyond what is required, mm, the gap as drawn is told.
pub(super) const NEAR_MM: f64 = 25.0;

/// The most that bodies can carry a point of the box against another body, mm.
pub(in crate::report) fn travel_mm(project: &Project, bounds: (DVec3, DVec3)) -> f64 {
    let of = |movement: &Movement| {
        let roll_mm = movement.roll.map_or(0.0, |roll| {
            let Some(axis) = unit(roll.axis) else { return 0.0 };
            let middle = bounds.0.midpoint(bounds.1) - roll.through_mm;
            let reach_mm = middle.cross(axis).length() + bounds.0.distance(bounds.1) / 2.0;
            reach_mm * roll.turn_deg.to_radians().abs()
        });
        movement.shift_mm.length() + roll_mm
    };
    let most =
        |of: &dyn Fn(&Movement) -> f64| project.bodies.iter().map(|b| of(&b.movement)).fold(0.0, f64::max);
    // the one forth, the other back; the other's roll takes hold where the one has been carried to
    let turn_rad = most(&|m| m.roll.map_or(0.0, |roll| roll.turn_deg.to_radians().abs()));
    2.0 * most(&of) * (1.0 + turn_rad)
}

/// How the two move against each other; `None` where they do not.
pub(super) fn motion(project: &Project, own: &Body, other: BodyId) -> Option<Motion> {
    let still = Movement::default();
    let theirs = project.body(other).map_or(&still, |b| &b.movement);
    if own.id == other { None } else { Motion::between(&own.movement, theirs) }
}

pub(super) fn words(project: &Project, swept: &SweptGap, own: BodyId, other: BodyId) -> String {
    let name = |id| project.body(id).map_or("", |b| b.name.as_str());
    swept.at.in_words([name(own), name(other)], &|mm| length(mm, project.settings.units))
}

/// A gap as drawn of things that move against each other by no more than `travel_mm`, and what it says of all positions.
pub(super) fn held(project: &Project, drawn: ClearanceReport, travel_mm: f64) -> ClearanceReport {
    let never_below_mm = drawn.gap_mm - travel_mm;
    let least = length(never_below_mm, project.settings.units);
    let pose = format!("{AS_DRAWN}; no position brings it under {least}");
    ClearanceReport { never_below_mm, pose, tightest: false, ..drawn }
}

/// A search ends with a position whose gap is proved to be the least but for this, mm, unless it was given up.
const PROVED_MM: f64 = 2.0 * WITHIN_MM;

/// The entry for the tightest position.
pub(super) fn at_worst(
    found: ClearanceReport,
    pose: String,
    swept: &SweptGap,
    as_drawn_mm: f64,
) -> ClearanceReport {
    // how deep an overlap is is not looked for: that there is one is enough
    let never_below_mm = swept.never_below_mm.min(found.gap_mm);
    let never_below_mm = if never_below_mm.is_finite() { never_below_mm } else { found.gap_mm };
    let clash = as_drawn_mm < -GAP_MM;
    let found = ClearanceReport { as_drawn_mm, never_below_mm, clash, moved: true, ..found };
    if found.gap_mm - never_below_mm <= PROVED_MM {
        return ClearanceReport { pose, ..found };
    }
    // given up: only what is proved may be relied on
    let pose = format!("{pose}, or a position not looked at");
    ClearanceReport { pose, gap_mm: never_below_mm, ok: never_below_mm >= found.required_mm, ..found }
}

/// The gap to an obstacle over all positions, given the one as drawn.
pub(super) fn moved_to_obstacle(
    subject: &Subject<'_>,
    obstacle: &Obstacle,
    shape: &PlacedShape,
    (stubs, required_mm, look_mm): (Stubs, f64, f64),
    drawn: Option<ClearanceReport>,
) -> Option<ClearanceReport> {
    let project = subject.project;
    let reach_mm = travel_mm(project, subject.bounds);
    let as_drawn_mm = drawn.as_ref().map_or(look_mm, |d| d.gap_mm);
    if reach_mm <= 0.0 || as_drawn_mm - reach_mm > required_mm + NEAR_MM {
        let moves = subject.bodies().iter().any(|own| motion(project, own, obstacle.body).is_some());
        return drawn.map(|d| if moves { held(project, d, reach_mm) } else { d });
    }
    let mut best = drawn;
    for (body, solids) in subject.carriers() {
        let Some(motion) = motion(project, body, obstacle.body) else { continue };
        let placed = trimmed(subject, &solids, stubs.0, stubs.1);
        for group in heat::groups(subject, placed, (required_mm, obstacle.gap_mm)) {
            // what has to keep less may come nearer before it is the worst
            let limit_mm = best.as_ref().map_or(look_mm, |b| b.gap_mm + (group.required_mm - b.required_mm));
            let swept = match shape.as_scan() {
                Some(scan) => motion.tightest_to_scan(&group.bare, scan, limit_mm),
                None => motion.tightest(&group.bare, shape, limit_mm),
            };
            let Some(swept) = swept else { continue };
            let required_mm = group.required_for(&swept.gap, subject);
            if best.as_ref().is_some_and(|b| swept.gap.gap_mm - required_mm > b.margin_mm()) {
                continue;
            }
            let pose = words(project, &swept, body.id, obstacle.body);
            let item = Item::Obstacle(obstacle.id);
            let nearest = &group.placed[swept.solid];
            let found = entry(subject, &obstacle.name, item, required_mm, nearest, &swept.gap);
            let drawn_mm = if as_drawn_mm < look_mm {
                as_drawn_mm
            } else {
                tightest(&group.bare, shape, f64::INFINITY).map_or(look_mm, |(_, gap)| gap.gap_mm)
            };
            best = Some(at_worst(found, pose, &swept, drawn_mm));
        }
    }
    best
}

/// The gap between two runs over all positions, as each of them lists it, given the one as drawn.
pub(super) fn moved_to_run(
    subject: &Subject<'_>,
    other: &Subject<'_>,
    (stubs, required_mm, look_mm): ([Stubs; 2], f64, f64),
    drawn: Option<[ClearanceReport; 2]>,
) -> Option<[ClearanceReport; 2]> {
    let project = subject.project;
    let reach_mm = travel_mm(project, subject.bounds);
    let as_drawn_mm = drawn.as_ref().map_or(look_mm, |d| d[0].gap_mm);
    if reach_mm <= 0.0 || as_drawn_mm - reach_mm > required_mm + NEAR_MM {
        let theirs = other.bodies();
        let moves = |own| theirs.iter().any(|body| motion(project, own, body.id).is_some());
        let moves = subject.bodies().into_iter().any(moves);
        return drawn.map(|pair| pair.map(|d| if moves { held(project, d, reach_mm) } else { d }));
    }
    let mut best = drawn;
    for (own_body, own_solids) in subject.carriers() {
        let placed = trimmed(subject, &own_solids, stubs[0].0, stubs[0].1);
        let bare: Vec<Solid> = placed.iter().map(|p| p.solid).collect();
        for (body, theirs) in other.carriers() {
            let Some(motion) = motion(project, own_body, body.id) else { continue };
            let theirs = trimmed(other, &theirs, stubs[1].0, stubs[1].1);
            let others: Vec<Solid> = theirs.iter().map(|p| p.solid).collect();
            let limit_mm = best.as_ref().map_or(look_mm, |b| b[0].gap_mm);
            let Some((at, swept)) = motion.tightest_between(&bare, &others, limit_mm) else { continue };
            let pose = words(project, &swept, own_body.id, body.id);
            let (me, them) = (Item::Run(subject.run.id), Item::Run(other.run.id));
            let back = swept.gap.turned_round();
            let mine = entry(subject, &other.run.name, them, required_mm, &placed[swept.solid], &swept.gap);
            let yours = entry(other, &subject.run.name, me, required_mm, &theirs[at], &back);
            let drawn_mm = if as_drawn_mm < look_mm {
                as_drawn_mm
            } else {
                let gap = tightest_between(&bare, &others, f64::INFINITY, &|_, _| false);
                gap.map_or(look_mm, |(.., gap)| gap.gap_mm)
            };
            best = Some([mine, yours].map(|e| at_worst(e, pose.clone(), &swept, drawn_mm)));
        }
    }
    best
}
