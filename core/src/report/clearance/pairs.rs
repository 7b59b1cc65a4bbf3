//! One run against one obstacle or one other run.

use super::moved::{moved_to_obstacle, moved_to_run, travel_mm};
use super::subject::{Subject, Trims, trimmed};
use super::{ClearanceReport, LOOK_MM, boxes_apart_mm, entry, heat, small_part};
use crate::fab::build::PlacedSolid;
use crate::fab::merge::LEAST_ARMS_RAD;
use crate::fab::saddle::LEAST_ANGLE_RAD;
use crate::fab::spot::{spot_cone, spot_tube};
use crate::finding::NearPart;
use crate::geom::vector::{angle_between, unit};
use crate::geom::{Frame, Solid};
use crate::model::{Hardpoint, Item, Obstacle, Seat};
use crate::space::lobe::LEAST_GAP_MM;
use crate::space::{PlacedShape, tightest, tightest_between};
use glam::DVec3;

/// How much of the run next to its start and its end does not count, mm.
pub(in crate::report) type Stubs = (f64, f64);

/// The gap the run should keep to an obstacle, mm: more where heat would harm it.
pub(in crate::report) fn required_mm(subject: &Subject<'_>, obstacle: &Obstacle) -> f64 {
    let heat = subject.run.service.is_hot() && obstacle.heat_sensitive;
    let hot_gap_mm = obstacle.hot_gap_mm.unwrap_or(subject.project.settings.hot_gap_mm);
    if heat { obstacle.gap_mm.max(hot_gap_mm) } else { obstacle.gap_mm }
}

/// The part a run is fixed to always touches it: the stub next to the face does not count against its body.
pub(in crate::report) fn stubs_mm(subject: &Subject<'_>, obstacle: &Obstacle, required_mm: f64) -> Stubs {
    let own = |port: Option<&Hardpoint>| {
        // what sits on a pipe is fixed to that, not to the body's parts
        port.is_some_and(|h: &Hardpoint| h.body == obstacle.body && h.seat.is_none())
    };
    let length = |port| if own(port) { subject.radius_at_mm(port) + required_mm } else { 0.0 };
    (length(subject.start), length(subject.end))
}

/// What does not count of two runs against each other: of the first one the stubs where both meet at one port, and of
/// each the stub where it sits on the other.
pub(in crate::report) fn run_stubs_mm(
    subject: &Subject<'_>,
    other: &Subject<'_>,
    required_mm: f64,
) -> (Stubs, Stubs) {
    // runs that meet at one port: the stubs there touch by design
    let meets = |a: Option<&Hardpoint>| {
        let a = a?;
        let mut theirs = [other.start, other.end].into_iter().flatten();
        theirs.find(|b| a.position_mm.distance(b.position_mm) < 1.0)
    };
    let mine = |port| {
        let sits = branch_stub_mm(subject, port, other, required_mm);
        let sits = sits.max(merge_stub_mm(subject, port, other, required_mm));
        let sits = sits.max(beside_stub_mm(subject, port, other, required_mm));
        let stub = |theirs| subject.radius_at_mm(port) + other.radius_at_mm(Some(theirs)) + required_mm;
        meets(port).map_or(sits, |theirs| stub(theirs).max(sits))
    };
    let theirs = |port| {
        let sits = branch_stub_mm(other, port, subject, required_mm);
        let sits = sits.max(merge_stub_mm(other, port, subject, required_mm));
        sits.max(beside_stub_mm(other, port, subject, required_mm))
    };
    ((mine(subject.start), mine(subject.end)), (theirs(other.start), theirs(other.end)))
}

/// How far two runs that come to one merge go from it until they are clear of each other, mm; 0 where they do not both
/// come to it at `port`.
///
/// At `s` from where the axes meet they are `2·s·sin(φ/2)` apart, `φ` the angle between them; a radius more is for the
/// faces that are left.
fn merge_stub_mm(
    subject: &Subject<'_>,
    port: Option<&Hardpoint>,
    other: &Subject<'_>,
    required_mm: f64,
) -> f64 {
    let merge_of = |h: &Hardpoint| match h.seat {
        Some(Seat::Arm { merge, .. } | Seat::Outlet { merge }) => Some(merge),
        Some(Seat::Run { .. }) | None => None,
    };
    let Some((own, merge)) = port.and_then(|h| Some((h, merge_of(h)?))) else { return 0.0 };
    let same = |h: &&Hardpoint| h.id != own.id && merge_of(h) == Some(merge);
    let Some(theirs) = [other.start, other.end].into_iter().flatten().find(same) else { return 0.0 };
    let angle =
        angle_between(unit(own.direction).unwrap_or_default(), unit(theirs.direction).unwrap_or_default())
            .max(LEAST_ARMS_RAD);
    let (mine_mm, theirs_mm) = (subject.radius_at_mm(port), other.radius_at_mm(Some(theirs)));
    (mine_mm + theirs_mm + required_mm) / (2.0 * (angle / 2.0).sin()) + mine_mm.max(theirs_mm)
}

/// How far a branch goes until it is clear of the header it sits on, mm, and a radius more; 0 where it does not sit on
/// that one.
///
/// With `s` along the branch from where its axis leaves the skin, the side next to the header stands
/// `s·sin β − b·|cos β| − (h − √(h² − e²))` above it (own vector, on a straight).
fn branch_stub_mm(
    branch: &Subject<'_>,
    port: Option<&Hardpoint>,
    header: &Subject<'_>,
    required_mm: f64,
) -> f64 {
    let Some(Seat::Run { run, spot, clock_deg, angle_deg, offset_mm }) = port.and_then(|h| h.seat) else {
        return 0.0;
    };
    if run != header.run.id {
        return 0.0;
    }
    let Some(route) = header.built.route.as_ref() else { return 0.0 };
    // the side of a taper leans towards the branch or away from it
    let (header_mm, leans_rad) = match spot_cone(route, spot) {
        Some(cone) => {
            let out = cone.start.at_clock(clock_deg.to_radians());
            let widens = out.dot(cone.shift) + cone.end_radius_mm - cone.start_radius_mm;
            (cone.start_radius_mm.max(cone.end_radius_mm), widens.atan2(cone.length_mm))
        }
        None => (spot_tube(route, spot).od_mm / 2.0, 0.0),
    };
    let (sin, cos) = (angle_deg.to_radians() - leans_rad).sin_cos();
    let branch_mm = branch.radius_at_mm(port);
    let square = (header_mm - offset_mm) * (header_mm + offset_mm);
    let sunk_mm = header_mm - square.max(0.0).sqrt();
    let up_mm = required_mm + branch_mm * cos.abs() + sunk_mm;
    up_mm / sin.max(LEAST_ANGLE_RAD.sin()) + branch_mm
}

/// Furthest that it is looked where two branches beside each other are clear, mm.
const BESIDE_MM: u32 = 2000;

/// How far a branch goes until it is clear of another one that it meets beside their header, mm, and a radius more; 0 where
/// they do not meet.
fn beside_stub_mm(
    subject: &Subject<'_>,
    port: Option<&Hardpoint>,
    other: &Subject<'_>,
    required_mm: f64,
) -> f64 {
    let on = |h: &Hardpoint| match h.seat {
        Some(Seat::Run { run, .. }) => Some(run),
        Some(Seat::Arm { .. } | Seat::Outlet { .. }) | None => None,
    };
    if !subject.built.meets.contains(&other.run.id) {
        return 0.0;
    }
    let Some((own, header)) = port.and_then(|h| Some((h, on(h)?))) else { return 0.0 };
    let beside = |h: &&Hardpoint| on(h) == Some(header);
    let Some(theirs) = [other.start, other.end].into_iter().flatten().find(beside) else { return 0.0 };
    let (Some(mine), Some(way)) = (unit(own.direction), unit(theirs.direction)) else { return 0.0 };
    let (mine_mm, theirs_mm) = (subject.radius_at_mm(port), other.radius_at_mm(Some(theirs)));
    let apart_mm = |along_mm: u32| {
        let from = own.position_mm + mine * f64::from(along_mm) - theirs.position_mm;
        from.distance(way * from.dot(way))
    };
    let clear = (0..BESIDE_MM).find(|mm| apart_mm(*mm) >= mine_mm + theirs_mm + required_mm);
    f64::from(clear.unwrap_or(BESIDE_MM)) + mine_mm
}

/// Whether a gap that is wide enough is one to where a branch was cut off next to its header: it says nothing.
fn is_at_cut(subject: &Subject<'_>, stubs: Stubs, on: DVec3, placed: &[PlacedSolid]) -> bool {
    let sits = |port: Option<&Hardpoint>| port.is_some_and(|h: &Hardpoint| h.seat.is_some());
    let faces = [
        (sits(subject.start) && stubs.0 > 0.0).then(|| (placed.first(), false, subject.start)),
        (sits(subject.end) && stubs.1 > 0.0).then(|| (placed.last(), true, subject.end)),
    ];
    faces.into_iter().flatten().any(|(placed, at_end, port)| {
        placed.and_then(|p| face(&p.solid, at_end)).is_some_and(|frame| {
            let from = on - frame.origin;
            from.dot(frame.travel).abs() < CUT_MM && from.length() < subject.radius_at_mm(port) + CUT_MM
        })
    })
}

/// A gap ends at a cut when it ends this near to it, mm.
const CUT_MM: f64 = 1.0;

/// The face of a stretch of tube at its start or its end.
fn face(solid: &Solid, at_end: bool) -> Option<Frame> {
    match solid {
        Solid::Barrel(b) => Some(b.start.forward(if at_end { b.length_mm } else { 0.0 })),
        Solid::Elbow(e) => Some(e.frame_at(if at_end { e.angle_rad } else { 0.0 })),
        Solid::Frustum(f) => Some(f.frame_at(if at_end { f.length_mm } else { 0.0 })),
        Solid::Drum(_) | Solid::Block(_) => None,
    }
}

/// The gap to an obstacle, and those of tools that it keeps from getting on.
pub(super) fn against_obstacle(
    trims: &mut Trims<'_, '_>,
    obstacle: &Obstacle,
    shape: &PlacedShape,
) -> Vec<ClearanceReport> {
    let subject = trims.subject;
    let required = required_mm(subject, obstacle);
    let look_mm = LOOK_MM + heat::most_asked_mm(subject, obstacle, required);
    let reach_mm = look_mm + travel_mm(subject.project, subject.bounds);
    if shape.bounds().is_some_and(|b| boxes_apart_mm(subject.bounds, b) > reach_mm) {
        return Vec::new();
    }
    let stubs = stubs_mm(subject, obstacle, required);
    let item = Item::Obstacle(obstacle.id);
    let drawn = if heat::is_shielded(subject, obstacle, required) {
        let groups =
            heat::groups(subject, trims.get(stubs.0, stubs.1).placed.clone(), (required, obstacle.gap_mm));
        heat::tightest_of(&groups, &|bare| tightest(bare, shape, look_mm), subject).map(
            |(group, index, gap, required)| {
                entry(subject, &obstacle.name, item, required, &group.placed[index], &gap)
            },
        )
    } else {
        let solids = trims.get(stubs.0, stubs.1);
        tightest(&solids.bare, shape, look_mm)
            .map(|(index, gap)| entry(subject, &obstacle.name, item, required, &solids.placed[index], &gap))
    };
    let found = moved_to_obstacle(subject, obstacle, shape, (stubs, required, look_mm), drawn);
    let mut out: Vec<ClearanceReport> =
        found.into_iter().map(|e| ClearanceReport { heat: e.required_mm > obstacle.gap_mm, ..e }).collect();
    out.extend(tools_against(subject, &obstacle.name, item, &|solids| {
        tightest(solids, shape, LEAST_GAP_MM).map(|(_, gap)| gap)
    }));
    out
}

/// Tools of the run's joints that cannot get on because of what `nearest` measures to.
pub(super) fn tools_against(
    subject: &Subject<'_>,
    against: &str,
    item: Item,
    nearest: &dyn Fn(&[Solid]) -> Option<crate::space::Gap>,
) -> Vec<ClearanceReport> {
    let blocked = subject.tools.iter().filter_map(|tool| {
        let gap = nearest(&tool.solids)?;
        let solid = subject.built.solids.iter().find(|s| s.piece == tool.piece)?;
        let small = tool.part.and_then(|i| subject.built.parts.get(i));
        Some(ClearanceReport {
            part: match small {
                Some(part) => small_part(part),
                None => NearPart::Tool(subject.mark(tool.piece).to_owned()),
            },
            tool: true,
            removal: small.is_some(),
            lobe: false,
            clash: false,
            ..entry(subject, against, item, LEAST_GAP_MM, solid, &gap)
        })
    });
    blocked.collect()
}

/// The gaps between two runs as each of them lists them. Only one of the two makes a finding of each.
pub(super) fn against_run(
    trims: &mut Trims<'_, '_>,
    other: &Subject<'_>,
) -> (Vec<ClearanceReport>, Vec<ClearanceReport>) {
    let subject = trims.subject;
    let required = subject.run.gap_mm.max(other.run.gap_mm);
    let look_mm = LOOK_MM + required;
    let hot_mm = [subject, other].into_iter().filter(|s| s.run.service.is_hot());
    let hot_mm = hot_mm.map(|s| s.project.settings.hot_gap_mm).fold(0.0, f64::max);
    let reach_mm = look_mm.max(hot_mm) + travel_mm(subject.project, subject.bounds);
    if boxes_apart_mm(subject.bounds, other.bounds) > reach_mm {
        return (Vec::new(), Vec::new());
    }
    let (stubs, their_stubs) = run_stubs_mm(subject, other, required);
    let solids = trims.get(stubs.0, stubs.1);
    let placed_others = trimmed(other, &other.solids, their_stubs.0, their_stubs.1);
    let others: Vec<Solid> = placed_others.iter().map(|s| s.solid).collect();
    let (my_item, their_item) = (Item::Run(subject.run.id), Item::Run(other.run.id));
    let drawn = tightest_between(&solids.bare, &others, look_mm, &|_, _| false).map(|(mine, theirs, gap)| {
        let back = gap.turned_round();
        [
            entry(subject, &other.run.name, their_item, required, &solids.placed[mine], &gap),
            entry(other, &subject.run.name, my_item, required, &placed_others[theirs], &back),
        ]
    });
    let drawn = drawn.filter(|[mine, theirs]| {
        let at_cut = is_at_cut(subject, stubs, mine.run_point_mm, &solids.placed)
            || is_at_cut(other, their_stubs, theirs.run_point_mm, &placed_others);
        !(mine.ok && at_cut)
    });
    let (mut mine, mut theirs) = (Vec::new(), Vec::new());
    if let Some([a, b]) = moved_to_run(subject, other, ([stubs, their_stubs], required, look_mm), drawn) {
        let (my_part, their_part) = (a.part.clone(), b.part.clone());
        mine.push(ClearanceReport { other_part: Some(their_part), ..a });
        theirs.push(ClearanceReport { mirrored: true, other_part: Some(my_part), ..b });
    }
    let bare = |s: &Subject<'_>| s.solids.iter().map(|p| p.solid).collect::<Vec<_>>();
    let to = |solids: Vec<Solid>| {
        move |tool: &[Solid]| {
            tightest_between(tool, &solids, LEAST_GAP_MM, &|_, _| false).map(|(.., gap)| gap)
        }
    };
    mine.extend(tools_against(subject, &other.run.name, their_item, &to(bare(other))));
    theirs.extend(tools_against(other, &subject.run.name, my_item, &to(bare(subject))));
    mine.extend(hot_to_hoses(subject, other, stubs));
    theirs.extend(hot_to_hoses(other, subject, their_stubs));
    (mine, theirs)
}

/// A hot run against the hoses of another: heat harms them, whatever they carry.
fn hot_to_hoses(hot: &Subject<'_>, other: &Subject<'_>, stubs: Stubs) -> Vec<ClearanceReport> {
    let required = hot.project.settings.hot_gap_mm;
    if !hot.run.service.is_hot() || required <= hot.run.gap_mm.max(other.run.gap_mm) {
        return Vec::new();
    }
    let mine = super::subject::trimmed(hot, &hot.solids, stubs.0, stubs.1);
    let cold = hot.run.gap_mm.max(other.run.gap_mm);
    let groups = heat::groups(hot, mine, (required, cold));
    let hoses = other.built.solids.iter().filter(|s| !s.lobe && other.is_hose(s.piece));
    let close = hoses.filter_map(|hose| {
        let nearest = |bare: &[Solid]| {
            tightest_between(bare, &[hose.solid], required, &|_, _| false).map(|(i, _, gap)| (i, gap))
        };
        let (group, index, gap, required) = heat::tightest_of(&groups, &nearest, hot)?;
        if gap.gap_mm >= required || required <= cold {
            return None;
        }
        let against = format!("hose {} of {}", other.mark(hose.piece), other.run.name);
        let found = entry(hot, &against, Item::Run(other.run.id), required, &group.placed[index], &gap);
        Some(ClearanceReport { heat: true, other_run: Some(other.run.name.clone()), clash: false, ..found })
    });
    close.collect()
}
