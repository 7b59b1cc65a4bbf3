//! The solids of a bar: its tube between the sawn ends, and what is on them.

use super::bent::FeedMark;
use super::end::EndSet;
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::geom::vector::unit;
use crate::geom::{Barrel, Block, Drum, Elbow, Frame, Solid};
use crate::model::{BarEndMake, BarPoint};
use glam::DVec3;

/// Across the corners of a lock nut, as a multiple of the thread's diameter (from memory, for drawing and gaps).
const NUT_ACROSS: f64 = 1.8;

/// A stretch of a bar's middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// The tube.
    pub solid: Solid,
    /// From the first sawn end, along the middle, to where it begins and ends, mm.
    pub span_mm: (f64, f64),
}

/// The middle of a bar as it is bent: the points between which it is straight, and the bends at those between.
#[derive(Debug, Clone, PartialEq)]
pub struct Middle {
    /// End, bent corners, end, mm.
    pub points_mm: Vec<DVec3>,
    /// Centreline radius and angle of each bend.
    pub bends: Vec<(f64, f64)>,
}

impl Middle {
    /// From a bar's points and the bends it is fed to.
    pub fn new(points_mm: &[DVec3], clr_mm: &[f64], marks: &[FeedMark]) -> Self {
        let ends = (points_mm.first(), points_mm.last());
        let corners = marks.iter().filter_map(|m| points_mm.get(m.bend));
        Self {
            points_mm: ends.0.into_iter().chain(corners).chain(ends.1).copied().collect(),
            bends: marks
                .iter()
                .filter_map(|m| Some((*clr_mm.get(m.bend.checked_sub(1)?)?, m.angle_rad)))
                .collect(),
        }
    }

    /// Frame at the first point, along the bar, 12 o'clock up (forward on an upright bar).
    pub fn start(&self) -> Option<Frame> {
        let way = unit(*self.points_mm.get(1)? - *self.points_mm.first()?)?;
        Some(Frame::new(self.points_mm[0], way, DVec3::Z))
    }

    /// The tube between the places `takes_mm` from its points, and the frames at the two points, both along the bar.
    ///
    /// `None` where a straight between is less than nothing.
    pub fn tube(&self, radius_mm: f64, takes_mm: [f64; 2]) -> Option<(Vec<Stretch>, [Frame; 2])> {
        let first = self.start()?;
        let mut out = Vec::new();
        let mut frame = first.forward(takes_mm[0]);
        let mut station = 0.0;
        let setback = |i: usize| self.bends.get(i).map_or(0.0, |(clr, angle)| clr * (angle / 2.0).tan());
        let last = self.points_mm.len().checked_sub(2)?;
        for leg in 0..=last {
            let whole = self.points_mm[leg].distance(self.points_mm[leg + 1]);
            let before = if leg == 0 { takes_mm[0] } else { setback(leg - 1) };
            let after = if leg == last { takes_mm[1] } else { setback(leg) };
            let length_mm = whole - before - after;
            if length_mm < -NO_LENGTH_MM {
                return None;
            }
            if length_mm > NO_LENGTH_MM {
                let (start_normal, end_normal) = (frame.travel, frame.travel);
                let barrel = Barrel { start: frame, length_mm, radius_mm, start_normal, end_normal };
                let span_mm = (station, station + length_mm);
                out.push(Stretch { solid: Solid::Barrel(barrel), span_mm });
                frame = frame.forward(length_mm);
                station += length_mm;
            }
            if leg < last {
                let (clr_mm, angle_rad) = *self.bends.get(leg)?;
                let next = unit(self.points_mm[leg + 2] - self.points_mm[leg + 1])?;
                let toward = crate::geom::vector::across(next, frame.travel)?;
                if clr_mm < radius_mm {
                    return None;
                }
                let elbow = Elbow { start: frame, toward, clr_mm, angle_rad, radius_mm };
                let span_mm = (station, station + clr_mm * angle_rad);
                out.push(Stretch { solid: Solid::Elbow(elbow), span_mm });
                frame = elbow.frame_at(angle_rad);
                station = span_mm.1;
            }
        }
        Some((out, [first, frame.forward(takes_mm[1])]))
    }

    /// Straight tubes from point to point, for a bar that cannot be made as entered: it is still seen and picked.
    pub fn sketch(points_mm: &[DVec3], radius_mm: f64) -> Vec<Solid> {
        let leg = |p: &[DVec3]| {
            let (travel, length_mm) = (unit(p[1] - p[0])?, p[0].distance(p[1]));
            let start = Frame::new(p[0], travel, DVec3::Z);
            let barrel = Barrel { start, length_mm, radius_mm, start_normal: travel, end_normal: travel };
            Some(Solid::Barrel(barrel)).filter(Solid::is_finite)
        };
        points_mm.windows(2).filter_map(leg).collect()
    }
}

/// The solids on one end. `away` is the frame at its point, along the bar and away from the point.
pub fn end_solids(end: &BarPoint, set: &EndSet, away: &Frame, bar_radius_mm: f64) -> Vec<Solid> {
    let hole = away.at_clock(end.clock_deg.to_radians());
    match end.make {
        BarEndMake::RodEnd(rod, eye) => {
            let eye_start = Frame::new(away.origin - hole * (eye.width_mm / 2.0), hole, away.travel);
            let drum = |from_mm: f64, to_mm: f64, radius_mm: f64| {
                let length_mm = to_mm - from_mm;
                let drum = Drum { start: away.forward(from_mm), length_mm, radius_mm };
                (length_mm > NO_LENGTH_MM).then_some(Solid::Drum(drum))
            };
            let thread_mm = rod.thread_dia_mm / 2.0;
            let face_mm = set.take_mm - rod.socket.stand_mm;
            let eye_drum = Drum { start: eye_start, length_mm: eye.width_mm, radius_mm: eye.od_mm / 2.0 };
            [
                Some(Solid::Drum(eye_drum)),
                drum(0.0, face_mm, thread_mm),
                drum(face_mm - rod.nut_mm, face_mm, thread_mm * NUT_ACROSS),
                drum(face_mm, set.take_mm, bar_radius_mm),
            ]
            .into_iter()
            .flatten()
            .collect()
        }
        BarEndMake::Tab(tab) => {
            let length_mm = tab.hole_to_bar_mm + tab.width_mm / 2.0;
            let middle = away.forward(tab.hole_to_bar_mm - length_mm / 2.0).origin;
            let axes = [away.travel, hole, away.travel.cross(hole)];
            let half_mm = DVec3::new(length_mm, tab.thick_mm, tab.width_mm) / 2.0;
            vec![Solid::Block(Block { centre: middle, axes, half_mm })]
        }
        BarEndMake::Cope { .. } | BarEndMake::Plate { .. } => Vec::new(),
    }
}
