//! The hole in the header, as it is drawn on a template wrapped round the header.

use super::curve::Saddle;
use crate::geom::polyline::draw;
use crate::geom::vector::half_open_turn;
use glam::DVec3;

/// Which hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HoleSize {
    /// What the branch's bore opens: for a branch that sits on the header.
    Bore,
    /// What its outside covers: the line to weld along.
    Outside,
}

/// A point of a hole's edge on the header's outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HolePoint {
    /// Clock of the branch there, rad.
    pub clock_rad: f64,
    /// Station along the header, mm; along a bend on its centreline.
    pub station_mm: f64,
    /// Clock of the header, rad; within half a turn of where the branch leaves, so it never jumps.
    pub header_clock_rad: f64,
    /// Which part of the header it lies on, from 0. Where a slice follows a slice the station jumps between their charts.
    pub part: usize,
    /// The point in space.
    pub point: DVec3,
    /// How far along the pipe from the section square through the hole's middle, mm along the skin at its own clock.
    pub along_skin_mm: f64,
}

/// A hole in the header.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Its edge, closed: the last point is the first one.
    pub edge: Vec<HolePoint>,
    /// Radius of the header's outside at its middle, mm: arcs are this times the clock.
    pub header_radius_mm: f64,
}

impl Hole {
    /// Least and greatest station, mm.
    pub fn stations_mm(&self) -> (f64, f64) {
        range(self.edge.iter().map(|p| p.station_mm))
    }

    /// How far it goes along the pipe, mm: along the skin, each place of its edge at its own clock.
    pub fn along_mm(&self) -> f64 {
        let (low, high) = range(self.edge.iter().map(|p| p.along_skin_mm));
        high - low
    }

    /// Least and greatest clock of the header, rad.
    pub fn clocks_rad(&self) -> (f64, f64) {
        range(self.edge.iter().map(|p| p.header_clock_rad))
    }
}

fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
}

impl Saddle {
    /// The part and the station of the hole's middle.
    fn hole_middle(&self) -> (usize, f64) {
        let axis = self.branch().axis();
        let out_mm = self.header().left_at_mm(&axis, self.foot_mm()).unwrap_or_else(|| self.foot_mm());
        let point = axis.point(out_mm);
        let (part, ..) = self.header().place_of(point);
        (part, self.header().chart(point, part).0)
    }

    /// Radius of the header's outside where the branch's axis comes out, mm.
    fn header_radius_mm(&self) -> f64 {
        let axis = self.branch().axis();
        let out_mm = self.header().left_at_mm(&axis, self.foot_mm()).unwrap_or_else(|| self.foot_mm());
        let point = axis.point(out_mm);
        let (part, ..) = self.header().place_of(point);
        self.header().part(part).map_or(0.0, |tube| tube.radius_by_mm(point))
    }

    fn hole_point(&self, radius_mm: f64, clock_rad: f64, from: (usize, f64)) -> HolePoint {
        let leaves = self.leaves(radius_mm, clock_rad);
        let point = self.branch().generator(radius_mm, clock_rad).point(leaves.at_mm);
        let (station_mm, clock) = self.header().chart(point, leaves.part);
        let middle = self.header_clock_rad();
        let header_clock_rad = middle + half_open_turn(clock - middle);
        let along_skin_mm = self.header().along_skin_mm(point, leaves.part, from);
        HolePoint { clock_rad, station_mm, header_clock_rad, part: leaves.part, point, along_skin_mm }
    }

    /// The hole in the header, its edge in chords of the unrolled header that it leaves by `chord_mm` at most.
    pub fn hole(&self, size: HoleSize, chord_mm: f64) -> Hole {
        let radius_mm = match size {
            HoleSize::Bore => self.branch().bore_mm(),
            HoleSize::Outside => self.branch().radius_mm,
        };
        let middle = self.hole_middle();
        let header_radius_mm = self.header_radius_mm();
        let at = |clock: f64| {
            let p = self.hole_point(radius_mm, clock, middle);
            (header_radius_mm * p.header_clock_rad, p.station_mm)
        };
        let mut edge: Vec<HolePoint> = draw(at, &self.breaks(), 12, chord_mm)
            .iter()
            .map(|place| self.hole_point(radius_mm, place.t, middle))
            .collect();
        // a turn on is the same place, and the line closes on it to the last digit
        if let (Some(first), Some(last)) = (edge.first().copied(), edge.last_mut()) {
            *last = HolePoint { clock_rad: last.clock_rad, ..first };
        }
        Hole { edge, header_radius_mm }
    }
}
