//! What is fitted to a bar: the sleeve that slides over it, and the pins through the holes of its ends.

use super::pin::{PinJob, USUAL_PLAY_MM};
use super::shape::Stretch;
use super::sleeve::{Limits, closest_that_slides};
use crate::finding::{BarProblem, Fit, PinFit, Problem, Side, SleeveFit};
use crate::geom::tolerance::OVERLAP_MM;
use crate::geom::{Drum, Solid};
use crate::model::{Bar, BarEndMake, Project, Sleeve};
use crate::units::{tube_size, wall};
use glam::DVec3;

/// Sleeve and pins of a bar.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fitted {
    /// How the sleeve goes, and the sentence for it.
    pub sleeve: Option<(SleeveFit, String)>,
    /// How the pin of each end goes, and the sentence for it.
    pub pins: [Option<(PinFit, String)>; 2],
    /// The sleeve in its place, where it lies on a straight.
    pub solid: Option<Solid>,
}

/// Fits sleeve and pins to a bar whose tube is `tube`, `net_mm` long.
pub(super) fn fit(
    project: &Project,
    bar: &Bar,
    net_mm: f64,
    tube: &[Stretch],
    problems: &mut Vec<(Problem, Option<DVec3>)>,
) -> Fitted {
    let mut out = Fitted::default();
    sleeve(project, bar, net_mm, tube, &mut out, problems);
    for i in 0..2 {
        out.pins[i] = pin(project, bar, i, problems);
    }
    out
}

fn sleeve(
    project: &Project,
    bar: &Bar,
    net_mm: f64,
    tube: &[Stretch],
    out: &mut Fitted,
    problems: &mut Vec<(Problem, Option<DVec3>)>,
) {
    let units = project.settings.units;
    let Some(sleeve) = &bar.sleeve else { return };
    match sleeve.size.over(bar.od_mm, &Limits::SLEEVE) {
        Ok(fit) => {
            let instead = size_that_slides(project, bar.od_mm);
            out.sleeve = Some((fit, fit.text(units, instead.as_deref())));
            if fit.fit != Fit::Slides {
                problems.push((BarProblem::SleeveFit { fit, instead }.into(), None));
            }
        }
        Err(error) => problems.push((BarProblem::Entry { side: None, error }.into(), None)),
    }
    let (from, to) = (sleeve.station_mm, sleeve.station_mm + sleeve.length_mm);
    let on = tube.iter().find_map(|s| match s.solid {
        Solid::Barrel(b) if from >= s.span_mm.0 - OVERLAP_MM && to <= s.span_mm.1 + OVERLAP_MM => {
            Some(b.start.forward(from - s.span_mm.0))
        }
        Solid::Barrel(_) | Solid::Elbow(_) | Solid::Drum(_) | Solid::Block(_) | Solid::Frustum(_) => None,
    });
    if let Some(start) = on {
        let radius_mm = sleeve.size.od_mm / 2.0;
        out.solid = Some(Solid::Drum(Drum { start, length_mm: sleeve.length_mm, radius_mm }));
    } else if to > net_mm {
        let problem =
            BarProblem::SleeveOffEnd { by_mm: to - net_mm, latest_mm: (net_mm - sleeve.length_mm).max(0.0) };
        problems.push((problem.into(), None));
    } else if !tube.is_empty() {
        problems.push((BarProblem::SleeveOnBend.into(), None));
    }
}

/// The closest size that slides over a bar of `bar_od_mm` among the project's tubes and the tube its bars are made of,
/// by name.
pub fn size_that_slides(project: &Project, bar_od_mm: f64) -> Option<String> {
    let units = project.settings.units;
    let bars = project.bars.iter().filter_map(|b| {
        let size = Sleeve { od_mm: b.od_mm, wall_mm: b.wall_mm? };
        let (od, wall) = (tube_size(size.od_mm, units), wall(size.wall_mm, units));
        Some((size, format!("{od} × {wall} {}", b.material.name())))
    });
    let tubes =
        project.tubes.iter().map(|t| (Sleeve { od_mm: t.od_mm, wall_mm: t.wall_mm }, project.tube_name(t)));
    let (sizes, names): (Vec<Sleeve>, Vec<String>) = tubes.chain(bars).unzip();
    let best = closest_that_slides(bar_od_mm, &sizes, &Limits::SLEEVE).ok()??;
    names.into_iter().nth(best)
}

fn pin(
    project: &Project,
    bar: &Bar,
    end: usize,
    problems: &mut Vec<(Problem, Option<DVec3>)>,
) -> Option<(PinFit, String)> {
    let through = bar.ends[end].pin?;
    let (units, side) = (project.settings.units, Side::BOTH[end]);
    let mut say = |problem: BarProblem| problems.push((problem.into(), Some(bar.ends[end].position_mm)));
    match bar.ends[end].make {
        BarEndMake::RodEnd(..) | BarEndMake::Tab(_) => {}
        BarEndMake::Cope { .. } | BarEndMake::Plate { .. } => {
            say(BarProblem::PinNoHole { side });
            return None;
        }
    }
    let job = PinJob {
        hole_mm: through.hole_mm,
        over_cheeks_mm: through.over_cheeks_mm,
        washers_mm: through.washers_mm,
        play_mm: USUAL_PLAY_MM,
        limits: Limits::PIN,
    };
    match job.with(&through.pin) {
        Ok(fit) => {
            if fit.fit != Fit::Slides || fit.length != Fit::Slides {
                say(BarProblem::PinFit { side, fit });
            }
            Some((fit, fit.text(units)))
        }
        Err(error) => {
            say(BarProblem::Entry { side: Some(side), error });
            None
        }
    }
}
