//! What gaps the report asks of one run, to each thing it is measured against: for whoever lays a run out before there is
//! one to measure.

use super::pairs::{required_mm, run_stubs_mm, stubs_mm};
use super::subject::{Subject, trimmed};
use crate::geom::Solid;
use crate::model::{BodyId, Item, Project, RunId};
use crate::report::Report;
use std::sync::Arc;

/// The gap a run has to keep to one thing.
#[derive(Debug, Clone, PartialEq)]
pub struct AskedGap {
    /// The thing.
    pub other: Item,
    /// The gap, mm, between bare pipe and the thing.
    pub required_mm: f64,
    /// How much of the run next to its start and its end does not count against it, mm along the centreline.
    pub stubs_mm: (f64, f64),
    /// What the thing is made of, as far as it counts; none for an obstacle, which has its shape.
    pub solids: Vec<Solid>,
    /// The bodies it moves with.
    pub bodies: Vec<BodyId>,
}

/// The gaps that are asked of a run, obstacles first, then other runs that can be built, then bars. `report` is that of
/// `project`. Empty where there is no such run.
///
/// Small parts on the run, shields and the room for tools are not looked at: those are checked by the report alone.
pub fn asked_gaps(project: &Project, report: &Report, run: RunId) -> Vec<AskedGap> {
    let Some(index) = project.runs.iter().position(|r| r.id == run) else { return Vec::new() };
    let built: Vec<_> = report.runs.iter().map(|r| Arc::clone(&r.built)).collect();
    let Some(own_built) = built.get(index) else { return Vec::new() };
    let own_run = &project.runs[index];
    let own = Subject::new(project, own_run, own_built)
        .unwrap_or_else(|| Subject::unbuilt(project, own_run, own_built));
    let mut out: Vec<AskedGap> = Vec::new();
    for obstacle in &project.obstacles {
        let required_mm = required_mm(&own, obstacle);
        out.push(AskedGap {
            other: Item::Obstacle(obstacle.id),
            required_mm,
            stubs_mm: stubs_mm(&own, obstacle, required_mm),
            solids: Vec::new(),
            bodies: vec![obstacle.body],
        });
    }
    for (other_run, other_built) in project.runs.iter().zip(&built).filter(|(r, _)| r.id != run) {
        let Some(other) = Subject::new(project, other_run, other_built) else { continue };
        let required_mm = own_run.gap_mm.max(other_run.gap_mm);
        let (stubs_mm, theirs_mm) = run_stubs_mm(&own, &other, required_mm);
        let placed = trimmed(&other, &other.solids, theirs_mm.0, theirs_mm.1);
        let bodies: Vec<BodyId> = other.bodies().iter().map(|b| b.id).collect();
        let one = |required_mm: f64, solids: Vec<Solid>| AskedGap {
            other: Item::Run(other_run.id),
            required_mm,
            stubs_mm,
            solids,
            bodies: bodies.clone(),
        };
        out.push(one(required_mm, placed.iter().map(|p| p.solid).collect()));
        let hot_mm = project.settings.hot_gap_mm;
        if own_run.service.is_hot() && hot_mm > required_mm {
            let hoses = other_built.solids.iter().filter(|s| !s.lobe && other.is_hose(s.piece));
            out.extend(hoses.map(|hose| one(hot_mm, vec![hose.solid])));
        }
    }
    let bars = crate::report::bars::built(project, &built, None);
    for (bar, made) in project.bars.iter().zip(&bars) {
        let required_mm = own_run.gap_mm.max(bar.gap_mm);
        let [first, last] = bar.ends.each_ref().map(|e| e.body);
        out.push(AskedGap {
            other: Item::Bar(bar.id),
            required_mm,
            stubs_mm: (0.0, 0.0),
            solids: made.solids_clear_of(bar, run, required_mm),
            bodies: if first == last { vec![first] } else { vec![first, last] },
        });
    }
    out
}

/// Places of a run's centreline that are nearer than this along the pipe do not count against each other, mm.
pub fn own_near_mm(widest_od_mm: f64, asked_mm: f64) -> f64 {
    super::along::near_mm(widest_od_mm / 2.0, asked_mm)
}
