//! Whether a section of a run comes off when it is opened at two places, and how.
//!
//! It may take many seconds, so it is no part of the report: it is worked out when it is asked for.

mod halves;
mod opening;
#[cfg(test)]
mod tests;
mod words;

pub use opening::{Opening, Place, openings};

use super::lobes::{meets, placed, port_of};
use super::{Report, RunReport};
use crate::fab::{Built, Piece};
use crate::geom::Solid;
use crate::model::{Attachment, Hardpoint, Item, ObstacleId, Onto, Project, Run, RunEnd, RunId, Seat, Shape};
use crate::space::scan::Scans;
use crate::space::way_out::{
    Answer, Blocker, GoOn, Mate, MateKind, Outcome, Stance, Stop, Task, USUAL_POSES, Way, find_way_out,
};
use crate::space::{PlacedShape, solid_bounds};
use crate::units::UnitSystem;
use glam::DVec3;
use halves::{Opened, open_joint};
use std::ops::Range;

/// Gap that is kept on the way out unless another is asked for, mm: round in the given units (common practice, no
/// source).
pub fn usual_need_mm(units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Millimetre => 3.0,
        UnitSystem::InchFraction | UnitSystem::InchDecimal => 3.175,
    }
}

/// A section moved further than anything in the project is out, but it is followed this far at least and at most, mm.
const FAR_MM: (f64, f64) = (500.0, 20_000.0);

/// How far a section is shown moving on once it is past everything, mm.
const SHOW_ON_MM: f64 = 150.0;

/// A solid that stays where it is, and what it belongs to.
#[derive(Debug, Clone, PartialEq)]
struct Still {
    solid: Solid,
    /// What it is called in a sentence.
    words: String,
    item: Item,
    /// Which piece of the run that is opened.
    piece: Option<usize>,
}

/// A section of a run, ready to be taken off.
#[derive(Debug, Clone)]
pub struct TakeOff {
    /// The run.
    pub run: RunId,
    /// The pieces that come off.
    pub pieces: Range<usize>,
    /// Joints that are opened: their clamps come off first.
    pub opened: Vec<usize>,
    /// Halves of opened joints, and hoses slid back, that come off with the section.
    pub moving: Vec<Solid>,
    /// Halves of opened joints, and hoses slid back, that stay.
    pub staying: Vec<Solid>,
    /// What has to be done first, one sentence each.
    pub first: Vec<String>,
    /// Scans that could not be counted, because they have not been read.
    pub unread: Vec<String>,
    /// Gap to keep on the way, mm.
    pub need_mm: f64,
    section: Vec<Solid>,
    mates: Vec<Mate>,
    /// What each mate is called in a sentence.
    mate_words: Vec<String>,
    /// Hoses that cannot be slid back: which mate, and how much straight is lacking, mm.
    tight_hoses: Vec<(usize, f64)>,
    still: Vec<Still>,
    fixed: Vec<Solid>,
    shapes: Vec<PlacedShape>,
    shape_names: Vec<(ObstacleId, String)>,
    far_mm: f64,
    units: UnitSystem,
}

/// Where a section is opened, and the gap it has to keep while it moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// The run.
    pub run: RunId,
    /// Nearer to the start.
    pub from: Place,
    /// Nearer to the end.
    pub to: Place,
    /// Gap to keep, mm; what is nearer where the section rests may stay as near.
    pub need_mm: f64,
}

impl TakeOff {
    /// Makes a section ready.
    ///
    /// # Errors
    /// The sentence why that cannot be asked.
    pub fn new(project: &Project, scans: &Scans, report: &Report, section: Section) -> Result<Self, String> {
        let gone = || "The run is not there any more.".to_owned();
        let run = project.run(section.run).ok_or_else(gone)?;
        let result = report.run(section.run).ok_or_else(gone)?;
        if !result.built.is_buildable() {
            return Err(format!("{} cannot be built as drawn. Solve its problems first.", run.name));
        }
        let count = result.built.pieces.len();
        let (first, last) = (section.from.first_piece(), section.to.last_piece(count));
        if section.from >= section.to || first >= last {
            return Err("There is no pipe between these two places. Choose two others.".to_owned());
        }
        let mut out = Self {
            run: run.id,
            pieces: first..last,
            opened: Vec::new(),
            moving: Vec::new(),
            staying: Vec::new(),
            first: Vec::new(),
            unread: Vec::new(),
            need_mm: section.need_mm,
            section: result
                .built
                .all_solids()
                .iter()
                .filter(|s| (first..last).contains(&s.piece))
                .map(|s| s.solid)
                .collect(),
            mates: Vec::new(),
            mate_words: Vec::new(),
            tight_hoses: Vec::new(),
            still: Vec::new(),
            fixed: Vec::new(),
            shapes: Vec::new(),
            shape_names: Vec::new(),
            far_mm: FAR_MM.0,
            units: project.settings.units,
        };
        for obstacle in &project.obstacles {
            out.shapes.push(placed(scans, obstacle));
            out.shape_names.push((obstacle.id, obstacle.name.clone()));
            if matches!(obstacle.shape, Shape::Scan(_)) && scans.placed(obstacle).is_none() {
                out.unread.push(obstacle.name.clone());
            }
        }
        for (place, into) in [(section.from, 1.0), (section.to, -1.0)] {
            out.open(project, (run, result), place, into)?;
        }
        out.add_fixed(project, report, run, result);
        out.far_mm = out.far_mm();
        Ok(out)
    }

    /// Opens the run at `place`; the section lies from there along the travel times `into`.
    fn open(
        &mut self,
        project: &Project,
        (run, result): (&Run, &RunReport),
        place: Place,
        into: f64,
    ) -> Result<(), String> {
        let built = &result.built;
        let Place::Joint(piece) = place else {
            let port = if into > 0.0 { project.hardpoint(run.start) } else { end_port(project, run) };
            if let Some(port) = port {
                let frame = if into > 0.0 { built.frames.first().map(|f| f.0) } else { built.end() };
                let frame = frame.ok_or("The run has no pieces.")?;
                let out = frame.travel * into;
                let mate = Mate {
                    part_shapes: self.shapes_of(project, port),
                    ..Mate::flat(frame.origin, out, end_radius_mm(built, into < 0.0))
                };
                self.mates.push(mate);
                self.mate_words.push(port.name.clone());
            }
            return Ok(());
        };
        let port = port_of(project, run, built, piece);
        let opened = open_joint(project, built, piece, into, port.is_none(), &self.shapes)?;
        let Opened { mut mate, moving, staying, first, lacks_mm } = opened;
        self.tight_hoses.extend(lacks_mm.map(|mm| (self.mates.len(), mm)));
        if let Some(port) = port {
            mate.part_shapes = self.shapes_of(project, port);
        }
        let mark = built.pieces.get(piece).map_or("", |p| p.mark.as_str());
        for solid in &staying {
            let words = format!("the other half of {mark}");
            self.still.push(Still { solid: *solid, words, item: Item::Run(run.id), piece: Some(piece) });
        }
        self.section.extend(&moving);
        self.moving.extend(moving);
        self.staying.extend(staying);
        self.opened.push(piece);
        self.first.push(first);
        self.mates.push(mate);
        self.mate_words.push(mark.to_owned());
        Ok(())
    }

    /// The obstacles of the body that a hardpoint is on.
    fn shapes_of(&self, project: &Project, port: &Hardpoint) -> Vec<usize> {
        let of_body = |id| project.obstacle(id).is_some_and(|o| o.body == port.body);
        (0..self.shape_names.len()).filter(|i| of_body(self.shape_names[*i].0)).collect()
    }

    /// Everything of the pipes that stays.
    fn add_fixed(&mut self, project: &Project, report: &Report, run: &Run, result: &RunReport) {
        for placed in &result.built.all_solids() {
            if self.pieces.contains(&placed.piece) || self.opened.contains(&placed.piece) {
                continue;
            }
            let mark = result.built.pieces.get(placed.piece).map_or("", |p| p.mark.as_str());
            let small = placed.part.and_then(|i| result.built.parts.get(i));
            let words = if let Some(part) = small {
                format!("{} ({})", part.name, part.mark)
            } else if placed.lobe {
                format!("the lobe of {mark}")
            } else {
                format!("piece {mark} of the same pipe")
            };
            let (item, piece) = (Item::Run(run.id), Some(placed.piece));
            self.still.push(Still { solid: placed.solid, words, item, piece });
        }
        let start = (self.pieces.start <= 1).then(|| project.hardpoint(run.start)).flatten();
        let count = result.built.pieces.len();
        let end = (self.pieces.end + 1 >= count).then(|| end_port(project, run)).flatten();
        for (other, theirs) in project.runs.iter().zip(&report.runs).filter(|(r, _)| r.id != run.id) {
            if self.carries(project, result, other) {
                self.first.push(format!(
                    "Take {} off first, or cut it free: it is welded to this one. It does not count here.",
                    other.name
                ));
                continue;
            }
            // pipes that meet at one port touch there by design
            let widest =
                |r: &RunReport| r.built.pieces.iter().map(|p| p.od_mm.max(p.end_od_mm())).fold(0.0, f64::max);
            let stub_mm = f64::midpoint(widest(result), widest(theirs)) + self.need_mm;
            let shared: Vec<&Hardpoint> =
                [start, end].into_iter().flatten().filter(|p| meets(project, other, p)).collect();
            for placed in &theirs.built.all_solids() {
                let at_port = shared.iter().any(|port| {
                    let (low, high) = solid_bounds(&placed.solid);
                    let nearest = port.position_mm.clamp(low, high);
                    nearest.distance(port.position_mm) < stub_mm
                });
                if at_port {
                    continue;
                }
                let mark = theirs.built.pieces.get(placed.piece).map_or("", |p| p.mark.as_str());
                let words = format!("{} ({mark})", other.name);
                self.still.push(Still { solid: placed.solid, words, item: Item::Run(other.id), piece: None });
            }
        }
        self.add_bars(project, report, run);
        self.fixed = self.still.iter().map(|s| s.solid).collect();
    }

    /// Bars; one that sits on the run has to be freed first, and counts from where it is clear of it.
    fn add_bars(&mut self, project: &Project, report: &Report, run: &Run) {
        for (bar, made) in project.bars.iter().zip(&report.bars) {
            if bar.ends.iter().any(|end| end.make.onto() == Some(Onto::Run(run.id))) {
                self.first.push(format!("Cut {} free first: it is welded to this pipe.", bar.name));
            }
            for solid in made.built.solids_clear_of(bar, run.id, self.need_mm) {
                let item = Item::Bar(bar.id);
                self.still.push(Still { solid, words: bar.name.clone(), item, piece: None });
            }
        }
    }

    /// Whether another run is welded on the side of a piece that comes off.
    fn carries(&self, project: &Project, result: &RunReport, other: &Run) -> bool {
        let ports = [project.hardpoint(other.start), end_port(project, other)];
        let sits = ports.into_iter().flatten().filter(|port| {
            matches!(port.seat, Some(Seat::Run { run, .. }) if run == self.run) && port.is_welded()
        });
        sits.into_iter().any(|port| {
            let off = |s: &&crate::fab::build::PlacedSolid| {
                s.solid.nearest_on_middle(port.position_mm).map_or(f64::INFINITY, |(_, off_mm)| off_mm)
            };
            let pipes = result.built.solids.iter().filter(|s| !s.lobe);
            let on = pipes.min_by(|a, b| off(a).total_cmp(&off(b)));
            on.is_some_and(|s| self.pieces.contains(&s.piece))
        })
    }

    /// Longer than anything it could still run into.
    fn far_mm(&self) -> f64 {
        let solids = self.section.iter().chain(&self.fixed).map(solid_bounds);
        let all = solids.chain(self.shapes.iter().filter_map(PlacedShape::bounds));
        let (low, high) = all.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).unwrap_or_default();
        let across_mm = low.distance(high);
        if across_mm.is_finite() { across_mm.clamp(FAR_MM.0, FAR_MM.1) } else { FAR_MM.1 }
    }

    /// What is looked into.
    pub fn task(&self) -> Task<'_> {
        Task {
            section: &self.section,
            mates: &self.mates,
            fixed: &self.fixed,
            shapes: &self.shapes,
            need_mm: self.need_mm,
            far_mm: self.far_mm,
            most_poses: USUAL_POSES,
        }
    }

    /// Finds out whether it comes off; `go_on` is told how far the work is and says whether to go on.
    ///
    /// Where a hose cannot be slid back, the section is drawn out of it; if that leads nowhere, the hose is the
    /// reason told.
    pub fn find(&self, go_on: &mut GoOn<'_>) -> Outcome {
        let outcome = find_way_out(&self.task(), go_on);
        let stays_on = matches!(outcome.answer, Answer::NoWay(_) | Answer::Cannot);
        match self.tight_hoses.first().filter(|_| stays_on) {
            Some(&(mate, lacks_mm)) => {
                Outcome { answer: Answer::NoWay(Stop::Hose { mate, lacks_mm }), ..outcome }
            }
            None => outcome,
        }
    }

    /// The middle of the box round the section where it rests, mm.
    pub fn middle(&self) -> DVec3 {
        let (low, high) = self.bounds();
        low.midpoint(high)
    }

    fn bounds(&self) -> (DVec3, DVec3) {
        let all = self.section.iter().map(solid_bounds);
        all.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))).unwrap_or_default()
    }

    /// The item that stops the section, and which piece of its own run that is.
    pub fn stopped_by(&self, outcome: &Outcome) -> Option<(Item, Option<usize>)> {
        let Answer::NoWay(Stop::Runs { into, .. } | Stop::AtRest(into)) = &outcome.answer else {
            return None;
        };
        match *into {
            Blocker::Fixed(i) => self.still.get(i).map(|s| (s.item, s.piece)),
            Blocker::Shape(i) => self.shape_names.get(i).map(|(id, _)| (Item::Obstacle(*id), None)),
        }
    }

    /// The way to show: out and a little on, or as far as the best pull gets. `None` where nothing moves.
    pub fn to_show(&self, outcome: &Outcome) -> Option<Way> {
        let (low, high) = self.bounds();
        let size_mm = low.distance(high);
        let cut = |way: &Way, last_mm: f64| {
            let mut way = way.clone();
            if let [.., before, last] = way.stances.as_mut_slice() {
                let leg_mm = before.shift_mm.distance(last.shift_mm);
                let share = if leg_mm > last_mm { last_mm / leg_mm } else { 1.0 };
                *last = before.toward(last, share);
            }
            way
        };
        match &outcome.answer {
            Answer::Pull(pull) => Some(cut(&pull.way, pull.clear_after_mm + SHOW_ON_MM)),
            Answer::Way(way) => Some(cut(way, size_mm + SHOW_ON_MM)),
            Answer::NoWay(Stop::Runs { direction, distance_mm, .. }) => {
                let drawn = self.mates.iter().any(|m| matches!(m.kind, MateKind::Spigot { .. }));
                let last = Stance { shift_mm: *direction * *distance_mm, turn_rad: DVec3::ZERO };
                (!drawn && *distance_mm > 0.0)
                    .then(|| Way { pivot: DVec3::ZERO, stances: vec![Stance::REST, last] })
            }
            Answer::NoWay(_) | Answer::Cannot | Answer::Nothing | Answer::Unsound | Answer::Stopped => None,
        }
    }
}

/// Outside radius of a run at its start or end, mm.
fn end_radius_mm(built: &Built, at_end: bool) -> f64 {
    let end = if at_end {
        built.pieces.last().map(Piece::end_od_mm)
    } else {
        built.pieces.first().map(|p| p.od_mm)
    };
    end.unwrap_or_default() / 2.0
}

/// The hardpoint a run ends at.
fn end_port<'a>(project: &'a Project, run: &Run) -> Option<&'a Hardpoint> {
    match run.end {
        RunEnd::Hardpoint { hardpoint, .. } => project.hardpoint(hardpoint),
        RunEnd::Open { .. } => None,
    }
}

/// Whether nothing holds the tube at a hardpoint.
fn is_loose(port: &Hardpoint) -> bool {
    match port.attachment {
        Attachment::Loose => !port.is_welded(),
        Attachment::Welded | Attachment::Joint { .. } => false,
    }
}
