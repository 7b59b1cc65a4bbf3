//! The skin of a header about a hole, laid flat.
//!
//! * A straight tube unrolls exactly.
//! * Slices that follow each other in mitred welds unroll exactly each by itself; they are laid end to end along the clock
//!   of the hole's middle, and paper is cut along the weld to lie up to it from both sides.
//! * A taper unrolls exactly by itself, along straight ways, as below; over its weld to tube it has no flat form.
//! * A smooth bend has no flat form. A place is drawn as far from the middle, and in the way, that one goes to it along the
//!   skin (geodesic polar coordinates): so lies paper that is held at the middle and pressed down outwards. What is round
//!   about comes out too long or too short, which slits in the paper take up.
//!
//! Ways along the skin are stepped: three places that follow each other bend only along the skin's normal at the middle one
//! (the SHAKE rule for a free particle on a surface; from memory).

use super::super::limb::Line;
use super::curve::Saddle;
use super::header::{Header, HeaderPart};
use super::hole::{Hole, HoleSize};
use crate::geom::vector::half_open_turn;
use crate::geom::{Barrel, Elbow, Frame};
use glam::{DVec2, DVec3};
use std::f64::consts::TAU;

/// Steps of a way along the skin.
const STEPS: u32 = 48;
/// A way has come to a place within this, mm.
const MET_MM: f64 = 1e-4;
/// Most corrections of a way; three are usual.
const CORRECTIONS: u32 = 12;
/// Directions are one where their product is this near 1: slices and bends that go on without a kink.
const NO_KINK: f64 = 1e-9;
/// Slits are this many in a full turn.
pub const SLITS: u32 = 12;

/// How paper lies on the skin round a hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lies {
    /// Flat.
    Flat,
    /// Flat on each side of the welds that it is cut along.
    CutAtWelds,
    /// Round a bend: once round the hole it is too long or too short by as much, mm.
    Bent {
        /// Round the hole on the skin less round it on paper, mm.
        round_mm: f64,
    },
}

/// The skin about a hole, laid flat: x round the pipe with the clock, y along its travel, both from the hole's middle, mm.
#[derive(Debug)]
pub struct Skin<'a> {
    header: &'a Header,
    /// The hole's middle, the part it lies on, its station and clock.
    middle: DVec3,
    part: usize,
    station_mm: f64,
    clock_rad: f64,
    radius_mm: f64,
    /// Ways along the middle's tangent plane: round with the clock, and along the travel.
    round: DVec3,
    along: DVec3,
    kind: Kind,
}

#[derive(Debug)]
enum Kind {
    Straight,
    Bent,
    /// What is added to places along each part, mm, from the part of the first index on.
    Kinked(usize, Vec<f64>),
}

impl<'a> Skin<'a> {
    /// The skin about the hole of a branch; `None` where the branch's axis does not come out of the header.
    pub fn new(saddle: &'a Saddle) -> Option<Self> {
        let header = saddle.header();
        let axis = saddle.branch().axis();
        let middle = axis.point(header.left_at_mm(&axis, saddle.foot_mm())?);
        let (part, ..) = header.place_of(middle);
        let (station_mm, clock_rad) = header.chart(middle, part);
        let tube = header.part(part)?;
        let frame = tube.frame_by(middle).0;
        let out = (middle - frame.origin).try_normalize()?;
        let hole = saddle.hole(HoleSize::Outside, 1.0);
        let parts = hole.edge.iter().map(|p| p.part).chain([part]);
        let (first, last) = parts.fold((part, part), |(a, b), p| (a.min(p), b.max(p)));
        let is_cone = |i: usize| matches!(header.part(i), Some(HeaderPart::Cone(_)));
        let kind = if (first..=last).any(is_cone) {
            Kind::Bent
        } else if (first..last).any(|i| header.has_kink_after(i)) {
            Kind::Kinked(first, laid_end_to_end(header, (first, last), part, (middle, clock_rad)))
        } else if (first..=last).any(|i| matches!(header.part(i), Some(HeaderPart::Elbow(_)))) {
            Kind::Bent
        } else {
            Kind::Straight
        };
        Some(Self {
            header,
            middle,
            part,
            station_mm,
            clock_rad,
            radius_mm: tube.radius_by_mm(middle),
            round: frame.travel.cross(out),
            // along the skin, which leans on a taper
            along: tube.off_and_normal(middle)?.1.cross(frame.travel.cross(out)).try_normalize()?,
            kind,
        })
    }

    /// Where a point of the skin, on part `part` of the header, lies; `None` where no way leads there.
    pub fn place(&self, point: DVec3, part: usize) -> Option<DVec2> {
        let across = |clock: f64| self.radius_mm * half_open_turn(clock - self.clock_rad);
        match &self.kind {
            Kind::Straight => {
                let (station_mm, clock) = self.header.chart(point, part);
                Some(DVec2::new(across(clock), station_mm - self.station_mm))
            }
            Kind::Kinked(first, shifts) => {
                let (frame, along_mm) = self.header.part(part)?.frame_by(point);
                let shift = shifts.get(part.checked_sub(*first)?)?;
                Some(DVec2::new(across(frame.clock_of(point - frame.origin)), along_mm + shift))
            }
            Kind::Bent => self.way_to(point),
        }
    }

    /// The edge of a hole, closed, the last place not repeated.
    pub fn edge(&self, hole: &Hole) -> Vec<DVec2> {
        let mut out: Vec<DVec2> = hole.edge.iter().filter_map(|p| self.place(p.point, p.part)).collect();
        if out.len() > 1 {
            out.pop();
        }
        out
    }

    /// The line along the pipe at a clock, from `low` to `high` along the paper, mm.
    pub fn line_at(&self, clock_rad: f64, (low, high): (f64, f64)) -> Vec<DVec2> {
        let across = self.radius_mm * half_open_turn(clock_rad - self.clock_rad);
        if !matches!(self.kind, Kind::Bent) {
            return vec![DVec2::new(across, low), DVec2::new(across, high)];
        }
        let stretch = self.header.skin_per_station(self.part, clock_rad).max(0.05);
        let at = |i: u32| {
            let y = low + (high - low) * f64::from(i) / 40.0;
            let (point, part) = self.header.skin_point(self.station_mm + y / stretch, clock_rad)?;
            self.place(point, part)
        };
        (0..=40).filter_map(at).collect()
    }

    /// The welds that paper is cut along, from `left` to `right` across it, mm: for each its line on the part before and on
    /// the part after it.
    pub fn welds(&self, (left, right): (f64, f64)) -> Vec<[Vec<DVec2>; 2]> {
        let Kind::Kinked(first, shifts) = &self.kind else { return Vec::new() };
        let line = |part: usize, end: usize| -> Vec<DVec2> {
            let (Some(tube), Some(shift)) = (self.header.part(part), shifts.get(part - first)) else {
                return Vec::new();
            };
            let at = |i: u32| {
                let x = left + (right - left) * f64::from(i) / 60.0;
                let clock = self.clock_rad + x / self.radius_mm;
                Some(DVec2::new(x, tube.ends_at_mm(clock)?[end] + shift))
            };
            (0..=60).filter_map(at).collect()
        };
        (*first..first + shifts.len().saturating_sub(1)).map(|i| [line(i, 1), line(i + 1, 0)]).collect()
    }

    /// How paper lies that has a hole drawn on it.
    pub fn lies(&self, hole: &Hole) -> Lies {
        match self.kind {
            Kind::Straight => Lies::Flat,
            Kind::Kinked(..) => Lies::CutAtWelds,
            Kind::Bent => {
                let drawn: Vec<DVec2> =
                    hole.edge.iter().filter_map(|p| self.place(p.point, p.part)).collect();
                let on_skin: f64 = hole.edge.windows(2).map(|w| w[0].point.distance(w[1].point)).sum();
                let on_paper: f64 = drawn.windows(2).map(|w| w[0].distance(w[1])).sum();
                Lies::Bent { round_mm: on_skin - on_paper }
            }
        }
    }

    /// The way along the skin to a point: as a vector of the middle's tangent plane, as long as it.
    fn way_to(&self, point: DVec3) -> Option<DVec2> {
        let from = point - self.middle;
        let flat = DVec2::new(from.dot(self.round), from.dot(self.along));
        let mut way = flat.try_normalize().map_or(DVec2::ZERO, |d| d * from.length());
        let step = 1e-4 * self.radius_mm;
        for _ in 0..CORRECTIONS {
            let at = self.walk(way)?;
            let miss = point - at;
            if miss.length() < MET_MM {
                return Some(way);
            }
            let by = |d: DVec2| Some((self.walk(way + d * step)? - at) / step);
            let (x, y) = (by(DVec2::X)?, by(DVec2::Y)?);
            // least squares of the two: the miss is along the skin but for what the steps leave
            let (xx, xy, yy) = (x.length_squared(), x.dot(y), y.length_squared());
            let det = xx * yy - xy * xy;
            if det.abs() < 1e-12 {
                return None;
            }
            let (a, b) = (x.dot(miss), y.dot(miss));
            way += DVec2::new(a * yy - b * xy, b * xx - a * xy) / det;
        }
        None
    }

    /// Where one comes to along the skin.
    fn walk(&self, way: DVec2) -> Option<DVec3> {
        let Some(direction) = way.try_normalize() else { return Some(self.middle) };
        let step = way.length() / f64::from(STEPS);
        let ahead = self.round * direction.x + self.along * direction.y;
        let (mut before, mut at) = (self.middle, self.header.back_on_skin(self.middle, ahead * step)?);
        for _ in 1..STEPS {
            let next = self.header.back_on_skin(at, at - before)?;
            (before, at) = (at, next);
        }
        Some(at)
    }
}

/// What is added to places along the parts `first..=last`, so that the middle of the hole lies at 0 and each part begins where
/// the one before it ends, on the line at the middle's clock.
fn laid_end_to_end(
    header: &Header,
    (first, last): (usize, usize),
    part: usize,
    (middle, clock_rad): (DVec3, f64),
) -> Vec<f64> {
    let ends = |i: usize| header.part(i).and_then(|t| t.ends_at_mm(clock_rad)).unwrap_or([0.0, 0.0]);
    let mut shifts = vec![0.0; last - first + 1];
    shifts[part - first] = header.part(part).map_or(0.0, |tube| -tube.frame_by(middle).1);
    for i in part + 1..=last {
        shifts[i - first] = shifts[i - 1 - first] + ends(i - 1)[1] - ends(i)[0];
    }
    for i in (first..part).rev() {
        shifts[i - first] = shifts[i + 1 - first] + ends(i + 1)[0] - ends(i)[1];
    }
    shifts
}

impl HeaderPart {
    /// Where a part begins and ends on its line at a clock, mm along its centreline from its start; `None` where it has no
    /// ends.
    fn ends_at_mm(&self, clock_rad: f64) -> Option<[f64; 2]> {
        match self {
            Self::Straight { .. } => None,
            Self::Barrel(Barrel { start, radius_mm, length_mm, start_normal, end_normal }) => {
                let out = start.at_clock(clock_rad) * *radius_mm;
                let meets = |normal: DVec3| -out.dot(normal) / start.travel.dot(normal);
                Some([meets(*start_normal), length_mm + meets(*end_normal)])
            }
            Self::Elbow(e) => Some([0.0, e.clr_mm * e.angle_rad]),
            Self::Cone(c) => Some([0.0, c.length_mm]),
        }
    }

    /// Length along the skin at a clock for one along the centreline.
    fn skin_for_centreline(&self, clock_rad: f64) -> f64 {
        match self {
            Self::Straight { .. } | Self::Barrel(_) => 1.0,
            Self::Elbow(e) => {
                let throat = e.start.clock_of(e.toward);
                1.0 - e.radius_mm * (clock_rad - throat).cos() / e.clr_mm
            }
            Self::Cone(c) => c.edge(0.0, clock_rad).distance(c.edge(c.length_mm, clock_rad)) / c.length_mm,
        }
    }

    /// Frame on the centreline at a place along it, mm.
    fn frame_along(&self, along_mm: f64) -> Frame {
        match self {
            Self::Straight { frame, .. } | Self::Barrel(Barrel { start: frame, .. }) => {
                frame.forward(along_mm)
            }
            Self::Elbow(Elbow { clr_mm, .. }) if *clr_mm <= 0.0 => self.start(),
            Self::Elbow(e) => e.frame_at(along_mm / e.clr_mm),
            Self::Cone(c) => c.frame_at(along_mm),
        }
    }

    fn start(&self) -> Frame {
        match self {
            Self::Straight { frame, .. } => *frame,
            Self::Barrel(b) => b.start,
            Self::Elbow(e) => e.start,
            Self::Cone(c) => c.start,
        }
    }
}

impl Header {
    /// Whether two parts that follow each other meet at an angle.
    fn has_kink_after(&self, index: usize) -> bool {
        let (Some(a), Some(b)) = (self.part(index), self.part(index + 1)) else { return false };
        a.frame_along(a.length_mm()).travel.dot(b.start().travel) < 1.0 - NO_KINK
    }

    fn skin_per_station(&self, part: usize, clock_rad: f64) -> f64 {
        self.part(part).map_or(1.0, |tube| tube.skin_for_centreline(clock_rad))
    }

    /// The point of the skin at a station and clock, and its part; parts at the ends go on.
    fn skin_point(&self, station_mm: f64, clock_rad: f64) -> Option<(DVec3, usize)> {
        let after = (0..self.len()).take_while(|i| self.begins_mm(*i) <= station_mm).last().unwrap_or(0);
        let tube = self.part(after)?;
        let along_mm = station_mm - self.begins_mm(after);
        let frame = tube.frame_along(along_mm);
        Some((frame.origin + frame.at_clock(clock_rad) * tube.radius_at_mm(along_mm), after))
    }

    /// How far a point of the skin lies along the pipe from the square section at a station of a part, mm along the skin at
    /// the point's own clock.
    pub(super) fn along_skin_mm(
        &self,
        point: DVec3,
        part: usize,
        (from_part, station_mm): (usize, f64),
    ) -> f64 {
        let (at_mm, clock) = self.chart(point, part);
        // from the part's own edge at that clock
        let within = |i: usize, station: f64| {
            self.part(i).map_or(0.0, |tube| {
                let begins = tube.ends_at_mm(clock).map_or(0.0, |ends| ends[0]);
                (station - self.begins_mm(i)) * tube.skin_for_centreline(clock) - begins
            })
        };
        let whole = |i: usize| {
            self.part(i).map_or(0.0, |tube| {
                let ends = tube.ends_at_mm(clock).unwrap_or([0.0, 0.0]);
                (ends[1] - ends[0]) * tube.skin_for_centreline(clock)
            })
        };
        let between: f64 = (part.min(from_part)..part.max(from_part)).map(whole).sum();
        let between = if part >= from_part { between } else { -between };
        between + within(part, at_mm) - within(from_part, station_mm)
    }

    /// The place of the skin ahead of one by `step`, moved only along the skin's normal where it stands.
    fn back_on_skin(&self, at: DVec3, step: DVec3) -> Option<DVec3> {
        let (_, normal) = self.part(self.outside_by(at).1)?.off_and_normal(at)?;
        let line = Line { origin: at + step, along: normal };
        let mut mm = 0.0;
        for _ in 0..6 {
            let point = line.point(mm);
            let (off_mm, out) = self.part(self.outside_by(point).1)?.off_and_normal(point)?;
            let lean = out.dot(normal);
            if lean < 0.1 {
                return None;
            }
            mm -= off_mm / lean;
            if off_mm.abs() < 1e-10 {
                break;
            }
        }
        Some(line.point(mm))
    }
}

/// Ways out from the middle of a hole along which paper is slit, rad.
pub fn slit_ways() -> impl Iterator<Item = f64> {
    (0..SLITS).map(|i| TAU * (f64::from(i) + 0.5) / f64::from(SLITS))
}
