//! Gaps of every run against every obstacle, the other runs and itself.

use crate::fab::Built;
use crate::fab::build::PlacedSolid;
use crate::finding::{Finding, Problem};
use crate::geom::tolerance::OWN_GAP_MM;
use crate::geom::{Barrel, Drum, Elbow, Solid};
use crate::model::{Hardpoint, Item, Obstacle, Project, Run, RunEnd, RunId, UnitSystem};
use crate::space::scan::Scans;
use crate::space::{Gap, PlacedShape, gap_between, solid_bounds, tightest, tightest_between};
use glam::DVec3;
use serde::Serialize;

/// Things further away than this are not listed, mm.
const LOOK_MM: f64 = 300.0;

/// One gap.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "a row of a report: each is a column of its own")]
pub struct ClearanceReport {
    /// Name of the run.
    pub run: String,
    /// Name of what it is measured against.
    pub against: String,
    /// Gap, mm; negative where they overlap.
    pub gap_mm: f64,
    /// Gap it should have, mm.
    pub required_mm: f64,
    /// Nearest point of the run, mm.
    pub run_point_mm: DVec3,
    /// Nearest point of the other, mm.
    pub other_point_mm: DVec3,
    /// Which positions of the bodies it holds for.
    pub pose: &'static str,
    /// Whether the gap is enough.
    pub ok: bool,
    /// Id of the run.
    #[serde(skip)]
    pub run_id: RunId,
    /// The other thing.
    #[serde(skip)]
    pub other: Item,
    /// Index of the run's piece that is nearest.
    #[serde(skip)]
    pub piece: usize,
    /// What of the run is nearest: a piece or a joint's lobe, in words.
    #[serde(skip)]
    pub part: String,
    /// Whether that is a joint's lobe.
    #[serde(skip)]
    pub lobe: bool,
    /// Whether the other run's entry tells of it already.
    #[serde(skip)]
    pub told_already: bool,
    /// Whether the larger gap for heat was asked for.
    #[serde(skip)]
    pub heat: bool,
}

impl ClearanceReport {
    /// Gap beyond what is required, mm.
    pub fn margin_mm(&self) -> f64 {
        self.gap_mm - self.required_mm
    }

    pub(super) fn finding(&self, units: UnitSystem) -> Finding {
        let problem = Problem::TooClose {
            part: self.part.clone(),
            lobe: self.lobe,
            against: self.against.clone(),
            gap_mm: self.gap_mm,
            required_mm: self.required_mm,
            heat: self.heat,
        };
        Finding {
            run: Some(self.run.clone()),
            item: Some(Item::Run(self.run_id)),
            spot: Some(self.run_point_mm.midpoint(self.other_point_mm)),
            ..problem.finding(units)
        }
    }
}

/// A run with what its clearance needs.
struct Subject<'a> {
    run: &'a Run,
    solids: &'a [PlacedSolid],
    radius_mm: f64,
    total_mm: f64,
    start: Option<&'a Hardpoint>,
    end: Option<&'a Hardpoint>,
    /// Pieces, for their marks.
    marks: &'a [crate::fab::Piece],
    bounds: (DVec3, DVec3),
    hot_gap_mm: f64,
}

pub(super) fn clearance(project: &Project, scans: &Scans, built: &[Built]) -> Vec<ClearanceReport> {
    let placed =
        |o: &Obstacle| scans.placed(o).map_or_else(|| PlacedShape::new(&o.shape, &o.pose), PlacedShape::scan);
    let shapes: Vec<(&Obstacle, PlacedShape)> = project.obstacles.iter().map(|o| (o, placed(o))).collect();
    let subjects: Vec<Subject<'_>> =
        project.runs.iter().zip(built).filter_map(|(run, built)| subject(project, run, built)).collect();
    let mut lists: Vec<Vec<ClearanceReport>> = vec![Vec::new(); subjects.len()];
    for (i, subject) in subjects.iter().enumerate() {
        let mut trims = Trims { subject, made: Vec::new() };
        for (obstacle, shape) in &shapes {
            lists[i].extend(against_obstacle(&mut trims, obstacle, shape));
        }
        lists[i].extend(against_itself(subject));
        for (j, other) in subjects.iter().enumerate().skip(i + 1) {
            if let Some([mine, theirs]) = against_run(&mut trims, other) {
                lists[i].push(mine);
                lists[j].push(theirs);
            }
        }
    }
    for list in &mut lists {
        list.sort_by(|a, b| a.margin_mm().total_cmp(&b.margin_mm()));
    }
    lists.into_iter().flatten().collect()
}

/// A run's solids without its stubs, for one pair of stub lengths.
struct Trimmed {
    key: (f64, f64),
    placed: Vec<PlacedSolid>,
    bare: Vec<Solid>,
}

/// The trimmed forms of a run that have been needed so far: few, and each serves many obstacles.
struct Trims<'a, 'b> {
    subject: &'b Subject<'a>,
    made: Vec<Trimmed>,
}

impl Trims<'_, '_> {
    /// The solids without the first `start_mm` and the last `end_mm`.
    fn get(&mut self, start_mm: f64, end_mm: f64) -> &Trimmed {
        let same = |t: &Trimmed| t.key.0.total_cmp(&start_mm).is_eq() && t.key.1.total_cmp(&end_mm).is_eq();
        let index = self.made.iter().position(same).unwrap_or_else(|| {
            let placed = trimmed(self.subject, start_mm, end_mm);
            let bare = placed.iter().map(|p| p.solid).collect();
            self.made.push(Trimmed { key: (start_mm, end_mm), placed, bare });
            self.made.len() - 1
        });
        &self.made[index]
    }
}

fn subject<'a>(project: &'a Project, run: &'a Run, built: &'a Built) -> Option<Subject<'a>> {
    let last = built.solids.last()?;
    let mut bounds = solid_bounds(&last.solid);
    for placed in &built.solids {
        let (low, high) = solid_bounds(&placed.solid);
        bounds = (bounds.0.min(low), bounds.1.max(high));
    }
    Some(Subject {
        run,
        solids: &built.solids,
        marks: &built.pieces,
        radius_mm: built.route.as_ref()?.tube.od_mm / 2.0,
        total_mm: built.pieces.iter().map(|p| p.centre_mm).sum(),
        start: project.hardpoint(run.start),
        end: match run.end {
            RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
            RunEnd::Open { .. } => None,
        },
        bounds,
        hot_gap_mm: project.settings.hot_gap_mm,
    })
}

fn entry(
    subject: &Subject<'_>,
    against: &str,
    other: Item,
    required_mm: f64,
    nearest: &PlacedSolid,
    gap: &Gap,
) -> ClearanceReport {
    let mark = subject.marks.get(nearest.piece).map_or("", |p| p.mark.as_str());
    ClearanceReport {
        run: subject.run.name.clone(),
        against: against.to_owned(),
        gap_mm: gap.gap_mm,
        required_mm,
        run_point_mm: gap.on_first,
        other_point_mm: gap.on_second,
        pose: "as drawn",
        ok: gap.gap_mm >= required_mm,
        run_id: subject.run.id,
        other,
        piece: nearest.piece,
        part: if nearest.lobe { format!("The lobe of {mark}") } else { format!("Piece {mark}") },
        lobe: nearest.lobe,
        told_already: false,
        heat: false,
    }
}

fn against_obstacle(
    trims: &mut Trims<'_, '_>,
    obstacle: &Obstacle,
    shape: &PlacedShape,
) -> Option<ClearanceReport> {
    let subject = trims.subject;
    let heat = subject.run.service.is_hot() && obstacle.heat_sensitive;
    let hot_gap = subject.hot_gap_mm;
    let required = if heat { obstacle.gap_mm.max(hot_gap) } else { obstacle.gap_mm };
    if shape.bounds().is_some_and(|b| boxes_apart_mm(subject.bounds, b) > LOOK_MM) {
        return None;
    }
    // the part a run is fixed to always touches it: the stub next to the face does not count against its body
    let stub = subject.radius_mm + required;
    let own = |port: Option<&Hardpoint>| port.is_some_and(|h: &Hardpoint| h.body == obstacle.body);
    let length = |port| if own(port) { stub } else { 0.0 };
    let solids = trims.get(length(subject.start), length(subject.end));
    let (index, gap) = tightest(&solids.bare, shape, LOOK_MM)?;
    let mut entry =
        entry(subject, &obstacle.name, Item::Obstacle(obstacle.id), required, &solids.placed[index], &gap);
    entry.heat = heat && obstacle.gap_mm < hot_gap;
    Some(entry)
}

/// The gap between two runs as each of them lists it. Only the first makes a finding of it.
fn against_run(trims: &mut Trims<'_, '_>, other: &Subject<'_>) -> Option<[ClearanceReport; 2]> {
    let subject = trims.subject;
    let required = subject.run.gap_mm.max(other.run.gap_mm);
    if boxes_apart_mm(subject.bounds, other.bounds) > LOOK_MM {
        return None;
    }
    // runs that meet at one port: the stubs there touch by design
    let meets = |a: Option<&Hardpoint>| {
        a.is_some_and(|a| {
            [other.start, other.end]
                .into_iter()
                .flatten()
                .any(|b| a.position_mm.distance(b.position_mm) < 1.0)
        })
    };
    let stub = subject.radius_mm + other.radius_mm + required;
    let length = |port| if meets(port) { stub } else { 0.0 };
    let solids = trims.get(length(subject.start), length(subject.end));
    let others: Vec<Solid> = other.solids.iter().map(|s| s.solid).collect();
    let (mine, theirs, gap) = tightest_between(&solids.bare, &others, LOOK_MM, &|_, _| false)?;
    let back = gap.turned_round();
    Some([
        entry(subject, &other.run.name, Item::Run(other.run.id), required, &solids.placed[mine], &gap),
        ClearanceReport {
            told_already: true,
            ..entry(
                other,
                &subject.run.name,
                Item::Run(subject.run.id),
                required,
                &other.solids[theirs],
                &back,
            )
        },
    ])
}

/// Solids in one group.
const GROUP: usize = 16;

/// Neighbouring solids with the box round them.
struct Group<'a> {
    solids: &'a [PlacedSolid],
    boxes: Vec<(DVec3, DVec3)>,
    low: DVec3,
    high: DVec3,
}

/// Distance of two boxes, mm.
fn boxes_apart_mm(a: (DVec3, DVec3), b: (DVec3, DVec3)) -> f64 {
    (a.0 - b.1).max(b.0 - a.1).max(DVec3::ZERO).length()
}

impl<'a> Group<'a> {
    fn new(solids: &'a [PlacedSolid]) -> Self {
        let boxes: Vec<(DVec3, DVec3)> = solids.iter().map(|s| solid_bounds(&s.solid)).collect();
        let low = boxes.iter().map(|b| b.0).reduce(DVec3::min).unwrap_or_default();
        let high = boxes.iter().map(|b| b.1).reduce(DVec3::max).unwrap_or_default();
        Self { solids, boxes, low, high }
    }

    fn apart_mm(&self, other: &Self) -> f64 {
        boxes_apart_mm((self.low, self.high), (other.low, other.high))
    }

    /// The tightest gap under `limit_mm` between solids that are at least `near_mm` apart along the pipe.
    fn tightest(&self, other: &Self, near_mm: f64, mut limit_mm: f64) -> Option<(&'a PlacedSolid, Gap)> {
        let mut best = None;
        for (a, box_a) in self.solids.iter().zip(&self.boxes) {
            for (b, box_b) in other.solids.iter().zip(&other.boxes) {
                let neighbours = b.span_mm.0 - a.span_mm.1 < near_mm;
                if neighbours || boxes_apart_mm(*box_a, *box_b) >= limit_mm {
                    continue;
                }
                if let Some(gap) = gap_between(&a.solid, &b.solid, limit_mm) {
                    limit_mm = gap.gap_mm;
                    best = Some((a, gap));
                }
            }
        }
        best
    }
}

fn against_itself(subject: &Subject<'_>) -> Option<ClearanceReport> {
    let required = subject.run.gap_mm;
    // along the pipe, parts within a quarter turn of a tight bend are neighbours, not obstacles
    let near = std::f64::consts::FRAC_PI_2 * 2.0 * subject.radius_mm + required;
    let groups: Vec<Group<'_>> = subject.solids.chunks(GROUP).map(Group::new).collect();
    let mut pairs: Vec<(f64, usize, usize)> = (0..groups.len())
        .flat_map(|i| (i..groups.len()).map(move |j| (i, j)))
        .map(|(i, j)| (groups[i].apart_mm(&groups[j]), i, j))
        .filter(|(apart, ..)| *apart < LOOK_MM)
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(&PlacedSolid, Gap)> = None;
    for (apart, i, j) in pairs {
        let limit = best.as_ref().map_or(OWN_GAP_MM.max(required), |(_, g)| g.gap_mm);
        if apart >= limit {
            break;
        }
        let closer = groups[i].tightest(&groups[j], near, limit);
        best = closer.or(best);
    }
    let (nearest, gap) = best?;
    Some(entry(subject, "itself", Item::Run(subject.run.id), required, nearest, &gap))
}

/// The solids without the first `start_mm` and the last `end_mm` of the run's centreline.
fn trimmed(subject: &Subject<'_>, start_mm: f64, end_mm: f64) -> Vec<PlacedSolid> {
    if start_mm <= 0.0 && end_mm <= 0.0 {
        return subject.solids.to_vec();
    }
    let stop = subject.total_mm - end_mm;
    subject
        .solids
        .iter()
        .filter_map(|placed| {
            let (from, to) = placed.span_mm;
            let (begin, finish) = (from.max(start_mm), to.min(stop));
            if begin <= from && finish >= to {
                return Some(*placed);
            }
            if finish - begin <= crate::geom::tolerance::NO_LENGTH_MM {
                return None;
            }
            let (lead, tail) = (begin - from, to - finish);
            let solid = match placed.solid {
                Solid::Barrel(b) => Solid::Barrel(Barrel {
                    start: b.start.forward(lead),
                    length_mm: b.length_mm - lead - tail,
                    start_normal: if lead > 0.0 { b.start.travel } else { b.start_normal },
                    end_normal: if tail > 0.0 { b.start.travel } else { b.end_normal },
                    ..b
                }),
                Solid::Elbow(e) => {
                    let start = e.frame_at(lead / e.clr_mm);
                    Solid::Elbow(Elbow {
                        start,
                        toward: start.at_clock(e.start.clock_of(e.toward)),
                        angle_rad: e.angle_rad - (lead + tail) / e.clr_mm,
                        ..e
                    })
                }
                // a joint at the face belongs to the part
                Solid::Drum(Drum { .. }) | Solid::Block(_) => return None,
            };
            Some(PlacedSolid { solid, span_mm: (begin, finish), ..*placed })
        })
        .collect()
}
