//! Tapers on the polyline: which tube a run is of where, and how an offset one sets the rest of the run aside.
//!
//! Everything about directions, lengths and bends is worked out on the *plain* line: the run as if every taper were
//! concentric, so that what comes after an offset one is pushed back into line. The true line is the plain one with
//! the offsets added again.

use super::{Leg, LegPlace, Route};
use crate::fab::piece::TaperCut;
use crate::finding::{RouteProblem, TaperProblem};
use crate::geom::vector::{half_open_turn, unit};
use crate::geom::{Frame, Frustum};
use crate::model::{Project, Run, Taper, TaperMake, Tube};
use glam::DVec3;
use std::f64::consts::PI;

/// Rounds in which the offsets settle: each brings them nearer by the share that an offset is of its leg.
const ROUNDS: u32 = 60;
/// Offsets that change by less are settled, mm: far below what can be cut, above the rounding of 50 m.
const SETTLED_MM: f64 = 1e-10;

/// A taper in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct RouteTaper {
    /// The taper as entered.
    pub taper: Taper,
    /// Which leg of the route it is on.
    pub leg: usize,
    /// Where it begins along that leg from its start vertex, mm.
    pub from_mm: f64,
    /// How far it sets the line aside, mm.
    pub shift: DVec3,
    /// The tube before it.
    pub before: Tube,
    /// The tube after it.
    pub after: Tube,
}

impl RouteTaper {
    /// Where it ends along its leg, mm.
    pub fn to_mm(&self) -> f64 {
        self.from_mm + self.taper.length_mm
    }

    /// As a piece; an offset below zero is one the other way.
    pub fn cut(&self) -> TaperCut {
        let t = &self.taper;
        let turned = if t.offset_mm < 0.0 { PI } else { 0.0 };
        TaperCut {
            taper: t.id,
            end_od_mm: self.after.od_mm,
            wall_mm: t.wall_mm,
            offset_mm: t.offset_mm.abs(),
            offset_clock_rad: half_open_turn(t.offset_clock_deg.to_radians() + turned),
            rolled: match t.make {
                TaperMake::Bought => None,
                TaperMake::Rolled { seam_clock_deg, lap_mm } => Some((seam_clock_deg.to_radians(), lap_mm)),
            },
        }
    }
}

/// Where the run as entered has its points, without what offset tapers do.
pub(super) struct Base {
    /// Faces, corners and waypoints in order.
    pub(super) points: Vec<DVec3>,
    /// Whether the last but one is the corner next to an end hardpoint.
    pub(super) end_corner: bool,
}

impl Base {
    /// The points on the plain line for offsets of the legs.
    pub(super) fn plain(&self, shifts: &[DVec3]) -> Vec<DVec3> {
        let count = self.points.len();
        let total: DVec3 = shifts.iter().sum();
        let mut before = DVec3::ZERO;
        let mut out = Vec::with_capacity(count);
        for (i, point) in self.points.iter().enumerate() {
            let off = if i == 1 {
                // the corner next to the start keeps to the axis of what lies before it
                DVec3::ZERO
            } else if i + 1 == count || (self.end_corner && i + 2 == count) {
                total
            } else {
                before
            };
            out.push(*point - off);
            before += shifts.get(i).copied().unwrap_or(DVec3::ZERO);
        }
        out
    }

    /// How far the true line is off the plain one at each point, mm.
    pub(super) fn off(&self, shifts: &[DVec3]) -> Vec<DVec3> {
        let mut sum = DVec3::ZERO;
        let mut out = vec![DVec3::ZERO];
        for shift in shifts {
            sum += *shift;
            out.push(sum);
        }
        out.truncate(self.points.len());
        out
    }
}

/// How far each leg as entered is set aside, mm. Whether that has settled.
pub(super) fn shifts(run: &Run, base: &Base, face: &Frame) -> (Vec<DVec3>, bool) {
    let legs = base.points.len().saturating_sub(1);
    let mut now = vec![DVec3::ZERO; legs];
    let offset: Vec<&Taper> = run.tapers.iter().filter(|t| t.offset_mm != 0.0 && t.leg < legs).collect();
    if offset.is_empty() {
        return (now, true);
    }
    for _ in 0..ROUNDS {
        let frames = leg_frames(&base.plain(&now), face);
        let mut next = vec![DVec3::ZERO; legs];
        for taper in &offset {
            next[taper.leg] +=
                frames[taper.leg].at_clock(taper.offset_clock_deg.to_radians()) * taper.offset_mm;
        }
        let moved = now.iter().zip(&next).map(|(a, b)| a.distance(*b)).fold(0.0, f64::max);
        now = next;
        if moved <= SETTLED_MM {
            return (now, true);
        }
    }
    (now, false)
}

/// Travel and index line along each leg between points; a leg without length goes on as the one before.
fn leg_frames(points: &[DVec3], face: &Frame) -> Vec<Frame> {
    let mut frame = *face;
    let ways = points.windows(2).map(|p| unit(p[1] - p[0]));
    ways.enumerate()
        .map(|(i, way)| {
            if let Some(way) = way {
                let clock = frame.clock_of(way);
                let angle = crate::geom::vector::angle_between(frame.travel, way);
                let index = if i == 0 { frame.index } else { frame.tilted(clock, angle).index };
                frame = Frame::new(points[i], way, index);
            }
            frame
        })
        .collect()
}

/// The tapers that are on the run, in order.
pub(in crate::fab) fn ordered(run: &Run, legs: usize) -> Vec<&Taper> {
    let mut out: Vec<&Taper> = run.tapers.iter().filter(|t| t.leg < legs).collect();
    out.sort_by(|a, b| a.leg.cmp(&b.leg).then(a.station_mm.total_cmp(&b.station_mm)));
    out
}

/// The tubes after each taper.
pub(super) fn tubes<'a>(project: &'a Project, tapers: &[&Taper]) -> Result<Vec<&'a Tube>, RouteProblem> {
    let of = |t: &&Taper| project.tube(t.tube).ok_or(RouteProblem::Missing { what: "tube", id: t.tube.0 });
    tapers.iter().map(of).collect()
}

/// The tapers in their places.
pub(super) fn placed(
    tapers: &[&Taper],
    tubes: &[&Tube],
    places: &[LegPlace],
    legs: &[Leg],
    (first, shifts): (&Tube, &[DVec3]),
) -> Vec<RouteTaper> {
    let befores = std::iter::once(first).chain(tubes.iter().copied());
    let one = |((taper, after), before): ((&&Taper, &&Tube), &Tube)| {
        let place = places[taper.leg];
        // of a leg with one taper it is the very offset that was settled on, to the last digit
        let alone = tapers.iter().filter(|t| t.leg == taper.leg).count() == 1;
        let toward = legs[place.leg].frame.at_clock(taper.offset_clock_deg.to_radians());
        RouteTaper {
            taper: **taper,
            leg: place.leg,
            from_mm: place.offset_mm + taper.station_mm - taper.length_mm / 2.0,
            shift: if alone { shifts[taper.leg] } else { toward * taper.offset_mm },
            before: before.clone(),
            after: (*after).clone(),
        }
    };
    tapers.iter().zip(tubes).zip(befores).map(one).collect()
}

/// Tapers on legs that are not there, and offsets that do not settle.
pub(super) fn problems(run: &Run, legs: usize, settled: bool) -> Vec<TaperProblem> {
    let astray = run.tapers.iter().filter(|t| t.leg >= legs);
    let mut out: Vec<TaperProblem> =
        astray.map(|taper| TaperProblem::NoSuchLeg { leg: taper.leg + 1, legs }).collect();
    if !settled {
        let most_mm = run.tapers.iter().map(|t| t.offset_mm.abs()).fold(0.0, f64::max);
        out.push(TaperProblem::Offset { most_mm });
    }
    out
}

impl Route {
    /// The centre line `along_mm` along a leg from its start vertex, offsets of tapers included.
    pub fn at(&self, leg: usize, along_mm: f64) -> Option<Frame> {
        let line = self.legs.get(leg)?.at(along_mm);
        let share = |t: &RouteTaper| ((along_mm - t.from_mm) / t.taper.length_mm).clamp(0.0, 1.0);
        let off: DVec3 = self.tapers.iter().filter(|t| t.leg == leg).map(|t| t.shift * share(t)).sum();
        Some(Frame { origin: line.origin + off, ..line })
    }

    /// The taper at a place along a leg, if there is one.
    pub fn taper_at(&self, leg: usize, along_mm: f64) -> Option<&RouteTaper> {
        self.tapers.iter().find(|t| t.leg == leg && (t.from_mm..=t.to_mm()).contains(&along_mm))
    }

    /// A taper in space.
    pub fn cone(&self, taper: &RouteTaper) -> Option<Frustum> {
        Some(Frustum {
            start: self.at(taper.leg, taper.from_mm)?,
            length_mm: taper.taper.length_mm,
            start_radius_mm: taper.before.od_mm / 2.0,
            end_radius_mm: taper.after.od_mm / 2.0,
            shift: taper.shift,
        })
    }

    /// Its end: the centre of its last face, with the travel there. `None` where it has no leg.
    pub fn end(&self) -> Option<Frame> {
        self.at(self.legs.len().checked_sub(1)?, self.legs.last()?.length_mm)
    }

    /// The tube at a place along a leg; within a taper that before it.
    pub fn tube_at(&self, leg: usize, along_mm: f64) -> &Tube {
        let past = |t: &&RouteTaper| t.leg < leg || (t.leg == leg && t.to_mm() <= along_mm);
        self.tapers.iter().take_while(past).last().map_or(&self.tube, |t| &t.after)
    }

    /// The tube at a station of a leg as entered; `None` where there is no such leg.
    pub fn tube_on_leg(&self, leg: usize, station_mm: f64) -> Option<&Tube> {
        let place = self.places.get(leg)?;
        Some(self.tube_at(place.leg, place.offset_mm + station_mm))
    }

    /// The tube that a bend is made of.
    pub fn tube_of_bend(&self, bend: usize) -> &Tube {
        self.tube_at(bend, f64::INFINITY)
    }

    /// The tube it ends in.
    pub fn last_tube(&self) -> &Tube {
        self.tapers.last().map_or(&self.tube, |t| &t.after)
    }
}
