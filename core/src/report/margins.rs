//! How much room there is along a run, for colouring it.

use super::Report;
use super::clearance::{Subject, placed_obstacles, required_mm, run_stubs_mm, stretch_of, stubs_mm, trimmed};
use crate::fab::build::PlacedSolid;
use crate::geom::{Barrel, Elbow, Solid};
use crate::model::{Item, Project, RunId};
use crate::space::scan::Scans;
use crate::space::{gap_to_shape, tightest_between};

/// Stretches that are coloured by themselves are no longer than this, mm.
const STRETCH_MM: f64 = 40.0;

/// Room beyond this is not told apart, mm.
pub const MOST_MARGIN_MM: f64 = 100.0;

/// A stretch of a run and the room it has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// The stretch.
    pub stretch: PlacedSolid,
    /// Gap to the nearest thing beyond what it should be, mm; below zero where it is too close. Not over
    /// [`MOST_MARGIN_MM`].
    pub margin_mm: f64,
    /// The thing; none where nothing is near.
    pub against: Option<Item>,
}

/// The room along a run as drawn, against obstacles and other runs, stretch by stretch; empty where it cannot be
/// built.
pub fn margins(project: &Project, scans: &Scans, report: &Report, run: RunId) -> Vec<Margin> {
    let subject = |id| {
        let (run, result) = (project.run(id)?, report.run(id)?);
        Subject::new(project, run, &result.built)
    };
    let Some(own) = subject(run) else { return Vec::new() };
    let shapes = placed_obstacles(project, scans);
    let others: Vec<(_, f64, _, Vec<Solid>)> = project
        .runs
        .iter()
        .filter(|other| other.id != run)
        .filter_map(|other| {
            let theirs = subject(other.id)?;
            let required = own.run.gap_mm.max(other.gap_mm);
            let (stubs, cut) = run_stubs_mm(&own, &theirs, required);
            let solids = trimmed(&theirs, &theirs.solids, cut.0, cut.1);
            Some((Item::Run(other.id), required, stubs, solids.iter().map(|s| s.solid).collect()))
        })
        .collect();
    let bars = project.bars.iter().zip(&report.bars).map(|(bar, made)| {
        let required = own.run.gap_mm.max(bar.gap_mm);
        let solids = made.built.solids_clear_of(bar, run, required);
        (Item::Bar(bar.id), required, (0.0, 0.0), solids)
    });
    let others: Vec<_> = others.into_iter().chain(bars).collect();
    let total_mm = own.total_mm();
    let mut out: Vec<Margin> = stretches(&own.built.solids)
        .into_iter()
        .map(|stretch| Margin { stretch, margin_mm: MOST_MARGIN_MM, against: None })
        .collect();
    for margin in &mut out {
        let mut take = |gap_mm: Option<f64>, required_mm: f64, item| {
            if let Some(room) = gap_mm.map(|g| g - required_mm).filter(|room| *room < margin.margin_mm) {
                (margin.margin_mm, margin.against) = (room, Some(item));
            }
        };
        let (from, to) = margin.stretch.span_mm;
        for (obstacle, shape) in &shapes {
            let required = behind_shield(&own, (from, to), required_mm(&own, obstacle), obstacle.gap_mm);
            let stubs = stubs_mm(&own, obstacle, required);
            if let Some(rest) = stretch_of(&margin.stretch, stubs.0, total_mm - stubs.1) {
                let gap = gap_to_shape(&rest.solid, shape, required + MOST_MARGIN_MM).map(|gap| gap.gap_mm);
                take(gap, required, Item::Obstacle(obstacle.id));
            }
        }
        for (item, required, stubs, solids) in &others {
            let Some(rest) = stretch_of(&margin.stretch, stubs.0, total_mm - stubs.1) else { continue };
            let one = std::slice::from_ref(&rest.solid);
            let near = tightest_between(one, solids, required + MOST_MARGIN_MM, &|_, _| false);
            take(near.map(|(.., gap)| gap.gap_mm), *required, *item);
        }
    }
    out
}

/// The gap a stretch of bare pipe has to keep: in a shield that goes all round, what leaves the shield its own.
fn behind_shield(own: &Subject<'_>, (from, to): (f64, f64), hot_mm: f64, cold_mm: f64) -> f64 {
    if hot_mm <= cold_mm {
        return hot_mm;
    }
    let middle = f64::midpoint(from, to);
    let over = own
        .built
        .parts
        .iter()
        .find(|p| p.shield.is_some() && !p.stands_out() && (p.span_mm.0..=p.span_mm.1).contains(&middle));
    let shield = over.and_then(|p| Some((p, p.shield?)));
    shield.map_or(hot_mm, |(part, shield)| {
        let tube_mm = own.built.pieces.get(part.piece).map_or(0.0, |p| p.od_mm / 2.0);
        (cold_mm.max(shield.hot_gap_mm) + shield.radius_mm - tube_mm).min(hot_mm)
    })
}

/// The solids cut into stretches across the pipe.
fn stretches(solids: &[PlacedSolid]) -> Vec<PlacedSolid> {
    let mut out = Vec::new();
    for placed in solids {
        let (from, to) = placed.span_mm;
        let count = ((to - from) / STRETCH_MM).ceil().max(1.0);
        let step_mm = (to - from) / count;
        for i in 0..count as usize {
            let lead = step_mm * i as f64;
            let (first, last) = (i == 0, i + 1 == count as usize);
            let solid = match placed.solid {
                Solid::Barrel(b) => Solid::Barrel(Barrel {
                    start: b.start.forward(lead),
                    length_mm: step_mm,
                    start_normal: if first { b.start_normal } else { b.start.travel },
                    end_normal: if last { b.end_normal } else { b.start.travel },
                    ..b
                }),
                Solid::Elbow(e) => {
                    let start = e.frame_at(lead / e.clr_mm);
                    Solid::Elbow(Elbow {
                        start,
                        toward: start.at_clock(e.start.clock_of(e.toward)),
                        angle_rad: e.angle_rad / count,
                        ..e
                    })
                }
                Solid::Frustum(f) => Solid::Frustum(f.part(lead, lead + step_mm)),
                Solid::Drum(_) | Solid::Block(_) if first => placed.solid,
                Solid::Drum(_) | Solid::Block(_) => break,
            };
            let span_mm = match placed.solid {
                Solid::Barrel(_) | Solid::Elbow(_) | Solid::Frustum(_) => {
                    (from + lead, from + lead + step_mm)
                }
                Solid::Drum(_) | Solid::Block(_) => placed.span_mm,
            };
            out.push(PlacedSolid { solid, span_mm, ..*placed });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::edit::new_item;
    use crate::model::Shape;
    use crate::testing::run_through;
    use glam::DVec3;

    #[test]
    fn the_least_margin_along_the_run_is_the_one_of_the_report_and_the_stretches_make_up_the_pipe() {
        let points =
            [DVec3::ZERO, DVec3::X * 400.0, DVec3::new(400.0, 400.0, 0.0), DVec3::new(800.0, 400.0, 0.0)];
        let (mut project, run) = run_through(&points);
        for (at, gap_mm) in [(DVec3::new(150.0, 0.0, 90.0), 12.0), (DVec3::new(620.0, 470.0, 30.0), 6.0)] {
            let ball = new_item::obstacle(&mut project, Shape::Sphere { diameter_mm: 60.0 }, at);
            // of no body that carries the run, so that no stub is left out
            project.obstacles.push(crate::model::Obstacle { gap_mm, body: crate::model::BodyId(9), ..ball });
        }
        let report = Report::new(&project);
        let found = margins(&project, &Scans::default(), &report, run.id);
        let least = found.iter().map(|m| m.margin_mm).fold(f64::INFINITY, f64::min);
        let told = report.clearance.iter().filter(|c| matches!(c.other, Item::Obstacle(_)));
        let told = told.map(super::super::ClearanceReport::margin_mm).fold(f64::INFINITY, f64::min);
        assert!((least - told).abs() < 0.02, "{least} {told}");
        let length: f64 = found.iter().map(|m| m.stretch.span_mm.1 - m.stretch.span_mm.0).sum();
        assert!((length - report.runs[0].centreline_mm).abs() < 1e-6, "{length}");
        assert!(found.iter().all(|m| m.stretch.span_mm.1 - m.stretch.span_mm.0 <= STRETCH_MM + 1e-9));
        assert!(found.iter().any(|m| m.against.is_none()), "some of it is in the open");
    }
}
