//! The merges of a project, in the units of the report file.

use super::RunReport;
use super::names::MergeForm;
use crate::fab::ends::kept::Kept;
use crate::fab::ends::merged::{self, arm_frame, lay_out, outlet_frame};
use crate::fab::limb::Edge;
use crate::fab::merge::Outlet;
use crate::finding::{Finding, MergeFault, MergeProblem, Problem};
use crate::model::{Item, Merge, MergeId, MergeJoin, Project, Run, Seat, Tube};
use glam::DVec3;
use serde::Serialize;
use std::sync::Arc;

/// A tube that comes into a merge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MergeArmReport {
    /// Name of its run; none while there is none.
    pub run: Option<String>,
    /// Angle between its axis and the outlet's, degrees.
    pub angle_deg: f64,
    /// Clock angle about the outlet's axis that it comes from, degrees.
    pub clock_deg: f64,
    /// Outside diameter, mm; none while there is no run.
    pub od_mm: Option<f64>,
    /// Its wall, mm; none while there is no run.
    pub wall_mm: Option<f64>,
    /// Unit direction from the merge up the tube.
    pub up: Option<DVec3>,
    /// Depth of its cut along the tube, mm.
    pub cut_depth_mm: Option<f64>,
}

/// A seam between two arms.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MergeSeamReport {
    /// The arms, from 1.
    pub arms: [usize; 2],
    /// Length on the outside, mm.
    pub length_mm: f64,
}

/// A merge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MergeReport {
    /// Name.
    pub name: String,
    /// Where the axes meet, mm.
    pub position_mm: DVec3,
    /// Unit direction that the flow leaves in; none without one.
    pub direction: Option<DVec3>,
    /// Unit direction of clock 0 about that.
    pub index: Option<DVec3>,
    /// Outside diameter of the outlet, mm; none while there is no run.
    pub outlet_od_mm: Option<f64>,
    /// Wall of the outlet, mm; none while there is no run.
    pub outlet_wall_mm: Option<f64>,
    /// The tubes that come in.
    pub arms: Vec<MergeArmReport>,
    /// Name of the run it lets out into; none while there is none.
    pub outlet: Option<String>,
    /// How the tubes meet the outlet.
    pub join: MergeForm,
    /// Where the outlet's plane stands from where the axes meet, mm, below zero up the flow; none where it is mitred.
    pub outlet_station_mm: Option<f64>,
    /// Seams between arms.
    pub seams: Vec<MergeSeamReport>,
    /// Weld round the outlet, mm.
    pub outlet_weld_mm: f64,
    /// Bores of all arms, mm².
    pub arms_area_mm2: f64,
    /// Bore of the outlet, mm².
    pub outlet_area_mm2: f64,
    /// Outlet over arms; none until it is laid out.
    pub area_ratio: Option<f64>,
    /// Widest gap between the tubes and the mouth that has to be closed, mm; none where it is mitred, or a weld closes it.
    pub to_close_mm: Option<f64>,
    /// Whether a hole is left in the middle between the tubes.
    pub open_middle: bool,
    /// Whether it has been laid out.
    pub laid_out: bool,
    /// Whether it has, and all runs that come to it can be built.
    #[serde(skip)]
    pub can_be_made: bool,
    /// Which it is.
    #[serde(skip)]
    pub id: MergeId,
}

/// A gap of no more than this is closed by the weld, mm (common practice, no source).
const WELD_CLOSES_MM: f64 = 0.5;

/// All merges of the project; those that come out as before are taken over from `known`.
pub(super) fn merges(
    project: &Project,
    runs: &[Arc<RunReport>],
    known: Option<(&Kept, &[MergeReport])>,
) -> Vec<MergeReport> {
    let old = |merge: &Merge| {
        let (kept, old) = known?;
        old.iter().find(|m| m.id == merge.id && kept.merges.contains(&m.id)).cloned()
    };
    project.merges.iter().map(|m| old(m).unwrap_or_else(|| report(project, m, runs))).collect()
}

fn run_at(project: &Project, seat: Seat) -> Option<(&Run, &Tube)> {
    let port = project.hardpoints.iter().find(|h| h.seat == Some(seat))?.id;
    let (run, _, tube) = merged::run_at(project, port)?;
    Some((run, tube))
}

fn report(project: &Project, merge: &Merge, runs: &[Arc<RunReport>]) -> MergeReport {
    let laid = lay_out(project, merge, &|_| None).and_then(Result::ok);
    let frame = outlet_frame(merge);
    let seats = (0..merge.arms.len()).map(|arm| Seat::Arm { merge: merge.id, arm });
    let mut come = seats.chain([Seat::Outlet { merge: merge.id }]).filter_map(|s| run_at(project, s));
    let is_built = |run: &Run| runs.iter().any(|told| told.id == run.id && told.built.is_buildable());
    let all_built = come.all(|(run, _)| is_built(run));
    let arms = merge.arms.iter().enumerate().map(|(i, arm)| {
        let run = run_at(project, Seat::Arm { merge: merge.id, arm: i });
        let own = laid.as_ref().and_then(|l| {
            let limb = l.arms.iter().position(|a| *a == i)?;
            Some(l.merge.extremes(limb, Edge::Seat)?.depth_mm())
        });
        MergeArmReport {
            od_mm: run.as_ref().map(|r| r.1.od_mm),
            wall_mm: run.as_ref().map(|r| r.1.wall_mm),
            up: frame.map(|frame| arm_frame(&frame, arm).travel),
            run: run.map(|r| r.0.name.clone()),
            angle_deg: arm.angle_deg,
            clock_deg: arm.clock_deg,
            cut_depth_mm: own,
        }
    });
    let arms: Vec<MergeArmReport> = arms.collect();
    let seams = laid.as_ref().map(|l| l.merge.seams()).unwrap_or_default();
    let count = laid.as_ref().map_or(0, |l| l.arms.len());
    let number = |limb: usize| laid.as_ref().and_then(|l| l.arms.get(limb)).map_or(0, |a| a + 1);
    let between = seams.iter().filter(|s| s.arms[1] < count && s.length.value > 0.0);
    let with_outlet: f64 = seams.iter().filter(|s| s.arms[1] == count).map(|s| s.length.value).sum();
    let edges: f64 = laid.as_ref().map_or(0.0, |l| (0..count).map(|a| l.merge.outlet_edge(a).value).sum());
    let areas = laid.as_ref().map(|l| l.merge.areas());
    let outline = laid.as_ref().and_then(|l| l.merge.outline().copied());
    let mouth_mm = laid.as_ref().and_then(|l| match l.merge.outlet() {
        Outlet::Plane(plane) => Some(plane.radius_mm),
        Outlet::Tube(_) => None,
    });
    let outlet = run_at(project, Seat::Outlet { merge: merge.id });
    MergeReport {
        name: merge.name.clone(),
        position_mm: merge.position_mm,
        direction: frame.map(|frame| frame.travel),
        index: frame.map(|frame| frame.index),
        outlet_od_mm: outlet.map(|(_, tube)| tube.od_mm),
        outlet_wall_mm: outlet.map(|(_, tube)| tube.wall_mm),
        outlet: outlet.map(|(run, _)| run.name.clone()),
        join: match merge.join {
            MergeJoin::Mitred => MergeForm::Mitred,
            MergeJoin::Over => MergeForm::Over,
            MergeJoin::Against => MergeForm::Against,
            MergeJoin::At { .. } => MergeForm::At,
        },
        outlet_station_mm: outline.map(|o| o.station_mm),
        seams: between
            .map(|s| MergeSeamReport { arms: s.arms.map(number), length_mm: s.length.value })
            .collect(),
        outlet_weld_mm: edges + with_outlet,
        arms_area_mm2: areas.map_or(0.0, |a| a.arms_mm2),
        outlet_area_mm2: areas.map_or(0.0, |a| a.outlet_mm2),
        area_ratio: areas.map(|a| a.ratio()),
        to_close_mm: outline
            .zip(mouth_mm)
            .map(|(o, mouth)| mouth - o.least_mm)
            .filter(|gap| *gap > WELD_CLOSES_MM),
        open_middle: outline.is_some_and(|o| o.open_middle),
        laid_out: laid.is_some(),
        can_be_made: laid.is_some() && all_built,
        arms,
        id: merge.id,
    }
}

/// What is missing from merges that are not laid out yet.
pub(super) fn findings(project: &Project, merges: &[MergeReport]) -> Vec<Finding> {
    let units = project.settings.units;
    let missing = |m: &MergeReport| {
        let open = m.arms.iter().enumerate().filter(|(_, a)| a.run.is_none());
        let (inlets, outlet): (Vec<usize>, bool) = (open.map(|(i, _)| i + 1).collect(), m.outlet.is_none());
        if inlets.is_empty() && !outlet {
            return None;
        }
        let fault = MergeFault::Open { inlets, outlet };
        let problem = MergeProblem { id: m.id, merge: m.name.clone(), fault };
        Some(Finding { item: Some(Item::Merge(m.id)), ..Problem::from(problem).finding(units) })
    };
    let mut out: Vec<Finding> = merges.iter().filter_map(missing).collect();
    for merge in merges.iter().filter(|m| m.arms.len() == 1) {
        let fault = MergeFault::OneInlet;
        let problem = MergeProblem { id: merge.id, merge: merge.name.clone(), fault };
        out.push(Finding { item: Some(Item::Merge(merge.id)), ..Problem::from(problem).finding(units) });
    }
    out
}
