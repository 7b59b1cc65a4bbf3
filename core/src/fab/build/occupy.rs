//! Joints and tapers on their legs, and what tube is left between them.

use super::{Problems, beyond_mm};
use crate::fab::route::Route;
use crate::fab::taper;
use crate::finding::{Problem, RouteProblem, TaperProblem};
use crate::geom::tolerance::{OVERLAP_MM, SAME_OD_MM};
use crate::model::{Attachment, JointId, JointKind, JointPlace, Project, Run, RunEnd};

/// What takes up length on a leg.
#[derive(Debug, Clone, Copy)]
pub(super) enum Taker {
    /// Which joint of the run, of which kind, with the clock angle of its lobe, rad.
    Joint(JointPlace, JointId, f64),
    /// A taper of the route, by its place in order.
    Taper(usize),
}

/// A joint or a taper on a leg: from and to along the leg from its start vertex.
#[derive(Debug, Clone)]
pub(super) struct Occupied {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    pub(super) what: Taker,
}

impl Occupied {
    /// What it is called.
    fn name(&self, project: &Project) -> String {
        match self.what {
            Taker::Joint(_, id, _) => project.joint(id).map_or_else(String::new, |j| j.name.clone()),
            Taker::Taper(_) => "The taper".to_owned(),
        }
    }

    /// How far its body reaches beyond each end, mm.
    fn body_mm(&self, project: &Project) -> f64 {
        match self.what {
            Taker::Joint(_, id, _) => {
                project.joint(id).map_or(0.0, |j| (j.body_width_mm - j.make_up_mm) / 2.0)
            }
            Taker::Taper(_) => 0.0,
        }
    }
}

/// A stretch of tube on a leg with what meets it at each end.
pub(super) struct Stretch {
    pub(super) length_mm: f64,
    /// Index of the bend it touches at its start, if it does.
    pub(super) bend_before: Option<usize>,
    /// Index of the bend it touches at its end, if it does.
    pub(super) bend_after: Option<usize>,
}

/// One leg in order: tube, joints and tapers.
pub(super) enum Item {
    Tube(Stretch),
    Taken(Occupied),
}

/// Puts joints and tapers on their legs and finds what tube is left between them.
pub(super) fn occupy(project: &Project, run: &Run, route: &Route, problems: &mut Problems) -> Vec<Vec<Item>> {
    // (leg, middle from the leg's start vertex, which joint, its kind, lobe clock in degrees)
    let mut wanted: Vec<(usize, f64, JointPlace, JointId, f64)> = Vec::new();
    let make_up = |id| project.joint(id).map_or(0.0, |j: &JointKind| j.make_up_mm);
    if let Some(Attachment::Joint { joint, lobe_clock_deg }) =
        project.hardpoint(run.start).map(|h| h.attachment)
    {
        wanted.push((0, make_up(joint) / 2.0, JointPlace::Start, joint, lobe_clock_deg));
    }
    for fitting in &run.fittings {
        if let Some(place) = route.places.get(fitting.leg) {
            let middle = place.offset_mm + fitting.station_mm;
            let which = JointPlace::Fitting(fitting.id);
            wanted.push((place.leg, middle, which, fitting.joint, fitting.lobe_clock_deg));
        } else {
            let joint = project.joint(fitting.joint).map_or_else(String::new, |j| j.name.clone());
            let (leg, legs) = (fitting.leg + 1, route.places.len());
            problems.push((Problem::Route(RouteProblem::NoSuchLeg { joint, leg, legs }), None, None));
        }
    }
    if let RunEnd::Hardpoint { hardpoint, .. } = run.end
        && let Some(Attachment::Joint { joint, lobe_clock_deg }) =
            project.hardpoint(hardpoint).map(|h| h.attachment)
    {
        let last = route.legs.len() - 1;
        let middle = route.legs[last].length_mm - make_up(joint) / 2.0;
        wanted.push((last, middle, JointPlace::End, joint, lobe_clock_deg));
    }
    let mut taken: Vec<Vec<Occupied>> = vec![Vec::new(); route.legs.len()];
    for (leg, middle, which, joint, clock_deg) in wanted {
        let Some(kind) = project.joint(joint) else {
            problems.push((Problem::Route(RouteProblem::Missing { what: "joint", id: joint.0 }), None, None));
            continue;
        };
        let tube = route.tube_at(leg, middle);
        let spot = route.at(leg, middle).map(|frame| frame.origin);
        if (kind.od_mm - tube.od_mm).abs() > SAME_OD_MM {
            let problem = Problem::Route(RouteProblem::JointSize {
                joint: kind.name.clone(),
                joint_od_mm: kind.od_mm,
                tube_od_mm: tube.od_mm,
                fits: project
                    .joints
                    .iter()
                    .filter(|j| (j.od_mm - tube.od_mm).abs() <= SAME_OD_MM)
                    .max_by_key(|j| j.style == kind.style)
                    .map(|j| j.name.clone()),
            });
            problems.push((problem, spot, None));
        }
        if run.service.is_pressurised() && kind.hose.is_some_and(|h| h.bead_mm.is_none()) {
            let problem = Problem::Route(RouteProblem::NoBead { joint: kind.name.clone() });
            problems.push((problem, spot, None));
        }
        taken[leg].push(Occupied {
            from_mm: middle - kind.make_up_mm / 2.0,
            to_mm: middle + kind.make_up_mm / 2.0,
            what: Taker::Joint(which, joint, clock_deg.to_radians()),
        });
    }
    for (i, taper) in route.tapers.iter().enumerate() {
        let (from_mm, to_mm) = (taper.from_mm, taper.to_mm());
        taken[taper.leg].push(Occupied { from_mm, to_mm, what: Taker::Taper(i) });
        for problem in taper::problems(taper) {
            let spot = route.at(taper.leg, from_mm.midpoint(to_mm)).map(|frame| frame.origin);
            problems.push((problem.into(), spot, None));
        }
    }
    taken.into_iter().enumerate().map(|(leg, list)| divide(project, route, leg, list, problems)).collect()
}

/// One leg as tube and joints in order. A joint that runs into a bend or another joint is a problem.
fn divide(
    project: &Project,
    route: &Route,
    leg: usize,
    mut taken: Vec<Occupied>,
    problems: &mut Problems,
) -> Vec<Item> {
    taken.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
    let straight = &route.legs[leg];
    let bend_before = leg.checked_sub(1);
    let bend_after = (leg < route.bends.len()).then_some(leg);
    let mut out = Vec::with_capacity(2 * taken.len() + 1);
    let mut at = straight.begin_mm;
    let count = taken.len();
    let room_mm = straight.straight_mm() - taken.iter().map(|t| t.to_mm - t.from_mm).sum::<f64>();
    for (i, joint) in taken.into_iter().enumerate() {
        let mut over = at - joint.from_mm;
        if i + 1 == count {
            over = over.max(joint.to_mm - straight.finish_mm);
        }
        let spot = route.at(leg, f64::midpoint(joint.from_mm, joint.to_mm)).map(|frame| frame.origin);
        if over > OVERLAP_MM {
            let problem = match joint.what {
                Taker::Joint(..) => Problem::Route(RouteProblem::JointOffLeg {
                    joint: joint.name(project),
                    leg: leg + 1,
                    by_mm: over,
                }),
                Taker::Taper(_) => {
                    let most_mm = room_mm + joint.to_mm - joint.from_mm;
                    TaperProblem::OffLeg { leg: leg + 1, by_mm: over, most_mm }.into()
                }
            };
            problems.push((problem, spot, None));
        }
        // the body may reach past the make-up, but not onto a bend
        let body = joint.body_mm(project);
        let onto = [
            bend_before.map(|b| straight.begin_mm - beyond_mm(route, b, true) - (joint.from_mm - body)),
            bend_after.map(|b| joint.to_mm + body - straight.finish_mm - beyond_mm(route, b, false)),
        ];
        let onto = onto.into_iter().flatten().fold(0.0, f64::max);
        if over <= OVERLAP_MM && onto > OVERLAP_MM && matches!(joint.what, Taker::Joint(..)) {
            let problem = Problem::Route(RouteProblem::JointBodyOnBend {
                joint: joint.name(project),
                leg: leg + 1,
                by_mm: onto,
            });
            problems.push((problem, spot, None));
        }
        out.push(Item::Tube(Stretch {
            length_mm: joint.from_mm - at,
            bend_before: bend_before.filter(|_| i == 0),
            bend_after: None,
        }));
        at = joint.to_mm;
        out.push(Item::Taken(joint));
    }
    out.push(Item::Tube(Stretch {
        length_mm: straight.finish_mm - at,
        bend_before: bend_before.filter(|_| count == 0),
        bend_after,
    }));
    out
}
