//! Runs against bars. Heat does not harm a bar, so no larger gap is asked for hot runs.

use super::moved::{NEAR_MM, at_worst, held, motion, travel_mm, words};
use super::pairs::tools_against;
use super::subject::Subject;
use super::{ClearanceReport, LOOK_MM, boxes_apart_mm, entry};
use crate::fab::bar::built::BuiltBar;
use crate::geom::Solid;
use crate::model::{Bar, BodyId, Item, Project};
use crate::space::lobe::LEAST_GAP_MM;
use crate::space::motion::{Motion, SweptGap};
use crate::space::{solid_bounds, tightest_between};

/// How a bar moves against a body, by one of the bodies at its ends.
pub(in crate::report) struct Moving {
    /// The movement.
    pub(in crate::report) motion: Motion,
    own: BodyId,
    other: BodyId,
}

impl Moving {
    /// The positions of a gap in words.
    pub(in crate::report) fn words(&self, project: &Project, swept: &SweptGap) -> String {
        words(project, swept, self.own, self.other)
    }
}

/// The bodies at the ends of a bar, each once.
fn bodies_of(bar: &Bar) -> impl Iterator<Item = BodyId> {
    let [first, last] = bar.ends.map(|e| e.body);
    std::iter::once(first).chain((last != first).then_some(last))
}

/// How a bar moves against `other`: with each body that it is fixed to.
pub(in crate::report) fn motions_of<'a>(
    project: &'a Project,
    bar: &'a Bar,
    other: BodyId,
) -> impl Iterator<Item = Moving> + 'a {
    bodies_of(bar).filter_map(move |own| {
        let motion = motion(project, project.body(own)?, other)?;
        Some(Moving { motion, own, other })
    })
}

/// The gap of a run to a bar: the larger of the gaps that the two keep. Between bodies that move, a bar counts with both
/// bodies at its ends, as a run does that gives nowhere.
///
/// Small parts on the run count, and what a bar keeps from being got at: tools, what is screwed in.
pub(super) fn against_bar(subject: &Subject<'_>, bar: &Bar, made: &BuiltBar) -> Vec<ClearanceReport> {
    let item = Item::Bar(bar.id);
    let mut out: Vec<ClearanceReport> = gap(subject, bar, made).into_iter().collect();
    out.extend(tools_against(subject, &bar.name, item, &|room| {
        tightest_between(room, &made.solids, LEAST_GAP_MM, &|_, _| false).map(|(.., gap)| gap)
    }));
    out
}

fn gap(subject: &Subject<'_>, bar: &Bar, made: &BuiltBar) -> Option<ClearanceReport> {
    let project = subject.project;
    let required_mm = subject.run.gap_mm.max(bar.gap_mm);
    let others = made.solids_clear_of(bar, subject.run.id, required_mm);
    let bounds = others.iter().map(solid_bounds).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
    let look_mm = LOOK_MM + required_mm;
    let reach_mm = travel_mm(project, subject.bounds);
    if boxes_apart_mm(subject.bounds, bounds) > look_mm + reach_mm {
        return None;
    }
    let item = Item::Bar(bar.id);
    let mine: Vec<Solid> = subject.solids.iter().map(|s| s.solid).collect();
    let drawn = tightest_between(&mine, &others, look_mm, &|_, _| false)
        .map(|(i, _, gap)| entry(subject, &bar.name, item, required_mm, &subject.solids[i], &gap));
    let as_drawn_mm = drawn.as_ref().map_or(look_mm, |d| d.gap_mm);
    if reach_mm <= 0.0 || as_drawn_mm - reach_mm > required_mm + NEAR_MM {
        let bodies = subject.bodies();
        let moves = bodies.iter().any(|own| bodies_of(bar).any(|body| motion(project, own, body).is_some()));
        return drawn.map(|d| if moves { held(project, d, reach_mm) } else { d });
    }
    let mut best = drawn;
    for (own, placed) in subject.carriers() {
        let bare: Vec<Solid> = placed.iter().map(|p| p.solid).collect();
        for body in bodies_of(bar) {
            let Some(motion) = motion(project, own, body) else { continue };
            let limit_mm = best.as_ref().map_or(look_mm, |b| b.gap_mm);
            let Some((_, swept)) = motion.tightest_between(&bare, &others, limit_mm) else { continue };
            let pose = words(project, &swept, own.id, body);
            let found = entry(subject, &bar.name, item, required_mm, &placed[swept.solid], &swept.gap);
            best = Some(at_worst(found, pose, &swept, as_drawn_mm));
        }
    }
    best
}
