//! Bars of a project worked out: from what is entered to lengths, ends, bends, solids and what is wrong.

use super::bent::{BentBar, FeedMark, Springback};
use super::end::{BarEnd, EndSet};
use super::fitted::{self, Fitted};
use super::laid_plate::LaidPlate;
use super::saddle_plate::PlateSize;
use super::seat::{Seated, clear_from_mm, seat};
use super::shape::{Middle, Stretch, end_solids};
use super::stock::BarStock;
use super::straight::{Adjusting, StraightBar};
use crate::fab::Built;
use crate::fab::lra::Lra;
use crate::finding::{BarError, BarProblem, Problem, Severity, Side};
use crate::geom::{Frame, Solid};
use crate::model::{Bar, BarEndMake, BarId, Item, Onto, Project, RunId};
use crate::units::UnitSystem;
use glam::DVec3;
use std::sync::Arc;

/// The numbers of a bar that can be worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct BarNumbers {
    /// Along its middle from point to point, mm: eye to eye of a straight bar.
    pub developed_mm: f64,
    /// Of that the bar itself, mm, from sawn end to sawn end; with a cope to the longest side.
    pub net_mm: f64,
    /// Length to saw, mm: with what is left on to grip.
    pub blank_mm: f64,
    /// How the ends are set.
    pub ends: [EndSet; 2],
    /// How it is adjusted.
    pub adjusting: Adjusting,
    /// Bending data from sawn end to sawn end; no rows for a straight bar.
    pub lra: Lra,
    /// One mark a bend.
    pub marks: Vec<FeedMark>,
    /// Coped ends that seat.
    pub seats: [Option<Seated>; 2],
    /// Saddle plates under them, with what to cut, in words.
    pub pads: [Option<(PlateSize, String)>; 2],
    /// Sleeve and pins.
    pub fitted: Fitted,
}

/// A bar worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct BuiltBar {
    /// Which it is.
    pub id: BarId,
    /// Its numbers; `None` where it cannot be worked out at all.
    pub numbers: Option<BarNumbers>,
    /// Its solids, for drawing and gaps. Those of a bar that cannot be made are straight legs from point to point.
    pub solids: Vec<Solid>,
    /// What is wrong and where in space.
    pub problems: Vec<(Problem, Option<DVec3>)>,
    /// Its middle, as far as it has one.
    middle: Option<Middle>,
}

impl BuiltBar {
    /// Distance of its two points, as a tape held from one to the other reads it, mm; `None` for a bar without numbers.
    pub fn apart_mm(&self) -> Option<f64> {
        let points = &self.middle.as_ref()?.points_mm;
        Some(points.first()?.distance(*points.last()?))
    }

    /// Whether it can be made as entered.
    pub fn is_buildable(&self) -> bool {
        self.numbers.is_some() && self.problems.iter().all(|(p, _)| p.severity() != Severity::Stop)
    }

    /// Its solids for the gap to `run`: an end that is coped onto it touches it, so that the bar counts from where it is
    /// clear of it by `gap_mm`.
    pub fn solids_clear_of(&self, bar: &Bar, run: RunId, gap_mm: f64) -> Vec<Solid> {
        self.solids_from(bar, [0, 1].map(|i| self.clear_of_mm(bar, i, Onto::Run(run), gap_mm)))
    }

    /// How far from its point an end that is coped onto `onto` is clear of it by `gap_mm`, mm; `None` where it is not coped
    /// onto that.
    pub fn clear_of_mm(&self, bar: &Bar, end: usize, onto: Onto, gap_mm: f64) -> Option<f64> {
        let seated = self.numbers.as_ref()?.seats.get(end)?.as_ref()?;
        (bar.ends[end].make.onto() == Some(onto)).then(|| clear_from_mm(seated, gap_mm))
    }

    /// Its solids from places along it on, mm from its two points: without what is on an end that has one.
    pub fn solids_from(&self, bar: &Bar, from_mm: [Option<f64>; 2]) -> Vec<Solid> {
        if from_mm.iter().all(Option::is_none) {
            return self.solids.clone();
        }
        let (Some(numbers), Some(middle)) = (&self.numbers, &self.middle) else { return Vec::new() };
        let takes = [0, 1].map(|i| from_mm[i].unwrap_or(numbers.ends[i].take_mm));
        let radius_mm = bar.od_mm / 2.0;
        let Some((tube, frames)) = middle.tube(radius_mm, takes) else { return Vec::new() };
        let others = [0, 1].into_iter().filter(|i| from_mm[*i].is_none());
        let on_others = others.flat_map(|i| {
            let plate = numbers.seats[i].iter().flat_map(plate_solids);
            end_solids(&bar.ends[i], &numbers.ends[i], &away(&frames, i), radius_mm).into_iter().chain(plate)
        });
        tube.iter().map(|s| s.solid).chain(on_others).chain(numbers.fitted.solid).collect()
    }

    /// The straight of a bent bar at one of its ends: its length from the sawn end to where the bend begins, mm, and the
    /// clock of the bend's inside, rad. `None` where the bar has no bend, or it is bent right from there.
    pub fn end_straight(&self, bar: &Bar, end: usize) -> Option<(f64, f64)> {
        let takes = self.numbers.as_ref()?.ends.map(|e| e.take_mm);
        let (mut tube, _) = self.middle.as_ref()?.tube(bar.od_mm / 2.0, takes)?;
        if end == 1 {
            tube.reverse();
        }
        let [Stretch { solid: Solid::Barrel(b), .. }, Stretch { solid: Solid::Elbow(e), .. }, ..] =
            tube.as_slice()
        else {
            return None;
        };
        // the index line keeps its clock to the bend's inside all the way round
        Some((b.length_mm, e.start.clock_of(e.toward)))
    }
}

fn plate_solids(seated: &Seated) -> Vec<Solid> {
    seated.plate.as_ref().map_or_else(Vec::new, LaidPlate::solids)
}

/// The stock of a bar.
pub fn stock(bar: &Bar) -> BarStock {
    BarStock { material: bar.material, od_mm: bar.od_mm, wall_mm: bar.wall_mm }
}

/// Works out all bars, in order; `runs` are the project's. What `known` has is taken over.
pub fn build_bars(
    project: &Project,
    runs: &[Arc<Built>],
    known: impl Fn(&Bar) -> Option<BuiltBar>,
) -> Vec<BuiltBar> {
    project.bars.iter().map(|bar| known(bar).unwrap_or_else(|| build_bar(project, runs, bar))).collect()
}

/// Centreline radius at each corner, mm.
pub(super) fn radii_mm(bar: &Bar) -> Vec<f64> {
    bar.corners.iter().map(|c| c.clr_mm).collect()
}

fn bent(bar: &Bar, ends: [BarEnd; 2]) -> BentBar {
    BentBar {
        stock: stock(bar),
        points: bar.points_mm(),
        clr_mm: radii_mm(bar),
        ends,
        springback: Springback { share: bar.springback_share },
        least_straight_mm: bar.least_straight_mm,
        spare_mm: bar.spare_mm,
    }
}

/// The bends of a bar, whatever its ends; `None` where it cannot be worked out.
pub(super) fn bends_of(bar: &Bar) -> Option<Vec<FeedMark>> {
    if bar.corners.is_empty() {
        return Some(Vec::new());
    }
    Some(bent(bar, [BarEnd::Plate { stand_off_mm: 0.0 }; 2]).work_out().ok()?.marks)
}

/// The frame at an end's point, along the bar and away from the point, with the bar's own index line.
fn away(frames: &[Frame; 2], end: usize) -> Frame {
    let frame = frames[end];
    if end == 0 { frame } else { Frame { travel: -frame.travel, ..frame } }
}

fn build_bar(project: &Project, runs: &[Arc<Built>], bar: &Bar) -> BuiltBar {
    let units = project.settings.units;
    let points = bar.points_mm();
    let radius_mm = bar.od_mm / 2.0;
    let mut out = BuiltBar {
        id: bar.id,
        numbers: None,
        solids: Middle::sketch(&points, radius_mm),
        problems: Vec::new(),
        middle: None,
    };
    let marks = bends_of(bar).unwrap_or_default();
    let middle = Middle::new(&points, &radii_mm(bar), &marks);
    let frames = middle.tube(radius_mm, [0.0; 2]).map(|(_, frames)| frames).or_else(|| loose_frames(&points));
    let mut seats = [None, None];
    let ends = [0, 1].map(|i| {
        let side = Side::BOTH[i];
        match (bar.ends[i].make, &frames) {
            (BarEndMake::RodEnd(rod, _), _) => BarEnd::RodEnd(rod),
            (BarEndMake::Tab(tab), _) => BarEnd::Tab { hole_to_bar_mm: tab.hole_to_bar_mm },
            (BarEndMake::Plate { stand_off_mm }, _) => BarEnd::Plate { stand_off_mm },
            (BarEndMake::Cope { onto, pad }, Some(frames)) => {
                match seat(project, runs, bar, (side, onto, pad), frames[i]) {
                    Ok(seated) => {
                        let cope = seated.cope;
                        seats[i] = Some(seated);
                        BarEnd::Cope(cope)
                    }
                    Err(fault) => {
                        let problem = BarProblem::Cope { side, fault };
                        out.problems.push((problem.into(), Some(bar.ends[i].position_mm)));
                        BarEnd::Plate { stand_off_mm: 0.0 }
                    }
                }
            }
            // two points in one place, which is told below
            (BarEndMake::Cope { .. }, None) => BarEnd::Plate { stand_off_mm: 0.0 },
        }
    });
    let worked = if bar.corners.is_empty() { straight(bar, ends) } else { curved(bar, ends) };
    let (mut numbers, problems) = match worked {
        Ok(worked) => worked,
        Err(error) => {
            out.problems.push((BarProblem::Entry { side: None, error }.into(), None));
            return out;
        }
    };
    out.problems.extend(problems.into_iter().map(|p| placed(bar, p)));
    straight_only(bar, &mut out.problems);
    numbers.pads = pads(bar, &seats, &mut out.problems, units);
    numbers.seats = seats;
    let takes = [numbers.ends[0].take_mm, numbers.ends[1].take_mm];
    let mut tube: Vec<Stretch> = Vec::new();
    // a bar that is not there at all has no tube to lay
    if numbers.net_mm > 0.0
        && let Some((stretches, frames)) = middle.tube(radius_mm, takes)
    {
        tube = stretches;
        out.solids = tube.iter().map(|s| s.solid).collect();
        for (i, (end, set)) in bar.ends.iter().zip(&numbers.ends).enumerate() {
            out.solids.extend(end_solids(end, set, &away(&frames, i), radius_mm));
            out.solids.extend(numbers.seats[i].iter().flat_map(plate_solids));
        }
        out.middle = Some(middle);
    }
    numbers.fitted = fitted::fit(project, bar, numbers.net_mm, &tube, &mut out.problems);
    out.solids.extend(numbers.fitted.solid);
    out.numbers = Some(numbers);
    out
}

type Worked = Result<(BarNumbers, Vec<BarProblem>), BarError>;

fn straight(bar: &Bar, ends: [BarEnd; 2]) -> Worked {
    let [first, last] = bar.ends.map(|e| e.position_mm);
    let (sawn_mm, wanted_mm) = (bar.sawn_mm, bar.wanted_mm);
    let bar = StraightBar { stock: stock(bar), points: [first, last], ends, sawn_mm, wanted_mm };
    let done = bar.work_out()?;
    let numbers = BarNumbers {
        developed_mm: done.eye_to_eye_mm,
        net_mm: done.cut_mm,
        blank_mm: done.cut_mm,
        ends: done.ends,
        adjusting: done.adjusting,
        lra: Lra { rows: Vec::new(), last_mm: done.cut_mm },
        marks: Vec::new(),
        seats: [None, None],
        pads: [None, None],
        fitted: Fitted::default(),
    };
    Ok((numbers, done.problems))
}

fn curved(bar: &Bar, ends: [BarEnd; 2]) -> Worked {
    let done = bent(bar, ends).work_out()?;
    let numbers = BarNumbers {
        developed_mm: done.developed_mm,
        net_mm: done.net_mm,
        blank_mm: done.blank_mm,
        ends: done.ends,
        adjusting: done.adjusting,
        lra: done.lra,
        marks: done.marks,
        seats: [None, None],
        pads: [None, None],
        fitted: Fitted::default(),
    };
    Ok((numbers, done.problems))
}

/// Frames at the two points of a bar whose bends do not work out.
fn loose_frames(points: &[DVec3]) -> Option<[Frame; 2]> {
    let (n, way) = (points.len(), |a: DVec3, b: DVec3| crate::geom::vector::unit(b - a));
    let first = Frame::new(*points.first()?, way(points[0], *points.get(1)?)?, DVec3::Z);
    let last = Frame::new(points[n - 1], way(points[n - 2], points[n - 1])?, DVec3::Z);
    Some([first, last])
}

/// A problem with where it is in space.
fn placed(bar: &Bar, problem: BarProblem) -> (Problem, Option<DVec3>) {
    let end = problem.side().and_then(|side| Side::BOTH.iter().position(|s| *s == side));
    (problem.into(), end.map(|i| bar.ends[i].position_mm))
}

fn straight_only(bar: &Bar, problems: &mut Vec<(Problem, Option<DVec3>)>) {
    if !bar.corners.is_empty() && (bar.sawn_mm.is_some() || bar.wanted_mm > 0.0) {
        problems.push((BarProblem::StraightOnly.into(), None));
    }
}

/// Saddle plates under the ends that seat.
fn pads(
    bar: &Bar,
    seats: &[Option<Seated>; 2],
    problems: &mut Vec<(Problem, Option<DVec3>)>,
    units: UnitSystem,
) -> [Option<(PlateSize, String)>; 2] {
    [0, 1].map(|i| {
        let seated = seats[i].as_ref()?;
        let plate = seated.plate.as_ref()?;
        match plate.shape().work_out() {
            Ok(size) => Some((size, plate.text(&size, units))),
            Err(error) => {
                let problem = BarProblem::Entry { side: Some(Side::BOTH[i]), error };
                problems.push((problem.into(), Some(bar.ends[i].position_mm)));
                None
            }
        }
    })
}

/// Whether what the bar's ends sit on is the same in both projects; `same_run` tells of runs.
pub fn same_under(before: &Project, now: &Project, bar: &Bar, same_run: &dyn Fn(RunId) -> bool) -> bool {
    bar.ends.iter().all(|end| match end.make.onto() {
        Some(Onto::Bar(id)) => before.bar(id) == now.bar(id),
        Some(Onto::Run(id)) => same_run(id) && now.name_of(Item::Run(id)) == before.name_of(Item::Run(id)),
        Some(Onto::Tube { .. }) | None => true,
    }) && now.name_of(Item::Bar(bar.id)) == before.name_of(Item::Bar(bar.id))
}
