//! The cut of the branch: its curves along the branch by clock, its extremes, the weld.

use super::super::limb::{Edge, Limb};
use super::LEAST_ANGLE_RAD;
use super::guide::Guide;
use super::header::{Header, Leaves, leaving};
use crate::finding::SaddleError;
use crate::geom::Frame;
use crate::geom::polyline::{Place, draw};
use crate::geom::quadrature::{Integral, integrate};
use crate::geom::roots::bisect;
use crate::geom::search::{both, smallest};
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::vector::angle_between;
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Clocks at which a branch on a bend or on slices is tried all round: every degree.
const CLOCKS: u32 = 360;
/// Clocks at which a branch that does not seat is looked at to say where and by how much.
const WRONG_CLOCKS: u32 = 72;
/// Places in the wall at which the seat on a bend or on slices is looked for before closing in.
const IN_WALL: u32 = 4;
/// Fewest clocks at which extremes are looked for before closing in.
const FOR_EXTREMES: u32 = 180;
/// The length of the weld is worked out to within this, mm.
const WELD_MM: f64 = 1e-5;
/// Step of a clock where a slope is taken from two places, rad.
const SLOPE_STEP_RAD: f64 = 1e-6;
/// Fewest steps in a quarter of a drawn edge.
const LEAST_STEPS: u32 = 12;

/// A place on one of the branch's curves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Met {
    /// Distance along the branch from its frame's origin, mm, positive away from the header.
    pub at_mm: f64,
    /// How `at_mm` grows with the branch's clock, mm a radian; the one on the side of growing clock at a kink.
    pub slope_mm: f64,
    /// Distance from the branch's axis at which the curve runs, mm: outside, bore, or between for the seat.
    pub radius_mm: f64,
}

/// A clock and a place along the branch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Clock of the branch, rad in [0, 2π).
    pub clock_rad: f64,
    /// Distance along the branch from its frame's origin, mm.
    pub at_mm: f64,
}

/// The ends of a curve along the branch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// Where the branch reaches deepest: its longest generator.
    pub longest: Spot,
    /// Where it is cut back furthest: its shortest generator.
    pub shortest: Spot,
}

impl Extremes {
    /// Depth of the cut along the branch, mm.
    pub fn depth_mm(&self) -> f64 {
        self.shortest.at_mm - self.longest.at_mm
    }
}

/// A branch that fits its header.
#[derive(Debug, Clone, PartialEq)]
pub struct Saddle {
    branch: Limb,
    header: Header,
    /// Place along the branch in the middle of the header, mm.
    near_mm: f64,
    /// Clock of the branch across the header, rad: where the curves of a full-size branch have their kink.
    across_rad: f64,
    angle_rad: f64,
    offset_mm: f64,
    station_mm: f64,
    header_clock_rad: f64,
    /// On a bend or on slices, where the outside leaves the header.
    guide: Guide,
    /// Clocks at which a branch that is cut to others as well goes over from one tube to the next, rad.
    changes_rad: Vec<f64>,
}

impl Saddle {
    /// Fits a branch to a header, or says why it does not.
    ///
    /// The branch goes away from the header. Where its axis meets the header more than once, the meeting next to the
    /// origin of its frame counts. On a straight header the checks are exact; on others every degree is tried.
    pub fn new(branch: Limb, header: Header) -> Result<Self, SaddleError> {
        branch.check().map_err(SaddleError::Branch)?;
        let axis = branch.axis();
        let near_mm = match header.as_straight() {
            Some((frame, _)) => foot_mm(frame.origin, frame.travel, &branch),
            None => axis_middle(&header, &branch),
        };
        let (frame, station_mm, header_mm) =
            header.frame_by(axis.point(near_mm)).ok_or(SaddleError::NoHeader)?;
        let away = branch.away();
        let (angle_rad, least_rad) = (angle_between(frame.travel, away), LEAST_ANGLE_RAD);
        let flat = angle_rad.min(PI - angle_rad);
        let out = leaving(&frame, away).filter(|_| flat >= least_rad - 1e-9);
        let Some(out) = out else {
            return Err(SaddleError::TooFlat { angle_rad: flat, least_rad });
        };
        let side = frame.travel.cross(out);
        let offset_mm = (axis.point(near_mm) - frame.origin).dot(side);
        let radius_mm = branch.radius_mm;
        if radius_mm > header_mm + COINCIDENT_MM {
            return Err(SaddleError::BranchTooLarge { radius_mm, header_mm });
        }
        let saddle = Self {
            across_rad: branch.frame.clock_of(side),
            header_clock_rad: frame.clock_of(out),
            branch,
            header,
            near_mm,
            angle_rad,
            offset_mm,
            station_mm,
            guide: Guide::default(),
            changes_rad: Vec::new(),
        };
        match saddle.header.as_straight() {
            Some(_) if offset_mm.abs() + radius_mm > header_mm + COINCIDENT_MM => {
                Err(SaddleError::OffSide { offset_mm, radius_mm, header_mm })
            }
            Some(_) => Ok(saddle),
            None => saddle.tried_all_round(),
        }
    }

    /// The same branch on another header that its axis leaves at the same place: the one it is on with more beside.
    pub(super) fn on(&self, header: Header) -> Result<Self, SaddleError> {
        // nothing guides where tubes lie in each other: the next place along one of them may not be the last
        let on = Self { header, guide: Guide::default(), ..self.clone() };
        let clocks = (0..CLOCKS).map(|i| TAU * f64::from(i) / f64::from(CLOCKS));
        match clocks.into_iter().find(|clock| !on.leaves_skin(on.branch.radius_mm, *clock)) {
            None => Ok(on),
            Some(clock_rad) => {
                let line = on.branch.generator(on.branch.radius_mm, clock_rad);
                let beyond_mm = on.header.beyond_end(&line, on.near_mm).unwrap_or(0.0).max(0.0);
                Err(SaddleError::OffEnd { clock_rad, beyond_mm })
            }
        }
    }

    /// The same with the clocks at which it goes over from one tube to another.
    pub(super) fn with_changes(mut self) -> Self {
        let part = |clock: f64| self.leaves(self.branch.radius_mm, clock).part;
        // begin off the round angles that symmetric branches change at
        let clock = |i: u32| TAU * (f64::from(i) + 0.137) / f64::from(2 * CLOCKS);
        let parts: Vec<usize> = (0..=2 * CLOCKS).map(|i| part(clock(i))).collect();
        let changes = (0..2 * CLOCKS).filter(|i| parts[*i as usize] != parts[*i as usize + 1]);
        let exact = |i: u32| {
            let before = parts[i as usize];
            bisect(|c| if part(c) == before { -1.0 } else { 1.0 }, clock(i), clock(i + 1))
        };
        let changes: Vec<f64> = changes.map(exact).collect();
        self.changes_rad = changes;
        self
    }

    fn tried_all_round(mut self) -> Result<Self, SaddleError> {
        if let Ok(guide) = Guide::new(&self.header, &self.branch, self.near_mm) {
            self.guide = guide;
            return Ok(self);
        }
        let clocks = || (0..WRONG_CLOCKS).map(|i| TAU * f64::from(i) / f64::from(WRONG_CLOCKS));
        let beyond = |clock: &f64| {
            let line = self.branch.generator(self.branch.radius_mm, *clock);
            let skin = self.leaves_skin(self.branch.radius_mm, *clock);
            if skin { None } else { self.header.beyond_end(&line, self.near_mm).map(|mm| (*clock, mm)) }
        };
        if let Some((clock_rad, beyond_mm)) =
            clocks().filter_map(|c| beyond(&c)).max_by(|a, b| a.1.total_cmp(&b.1))
        {
            return Err(SaddleError::OffEnd { clock_rad, beyond_mm: beyond_mm.max(0.0) });
        }
        let missed = |radius_mm: f64| {
            let by = clocks().map(|c| (c, self.misses_by_mm(radius_mm, c)));
            by.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, by)| *by > COINCIDENT_MM)
        };
        let Some((clock_rad, by_mm)) = missed(self.branch.radius_mm) else { return Ok(self) };
        let (mut fits, mut too_large) = (0.0, self.branch.radius_mm);
        while too_large - fits > 0.01 {
            let middle = f64::midpoint(fits, too_large);
            let seats = clocks().all(|c| self.leaves_skin(middle, c));
            *(if seats { &mut fits } else { &mut too_large }) = middle;
        }
        Err(SaddleError::Misses { clock_rad, by_mm, largest_mm: Some(fits).filter(|mm| *mm > 0.0) })
    }

    fn leaves_skin(&self, radius_mm: f64, clock_rad: f64) -> bool {
        let line = self.branch.generator(radius_mm, clock_rad);
        self.header
            .leaves(&line, self.near_mm)
            .is_some_and(|l| self.header.is_skin(line.point(l.at_mm), l.part))
    }

    /// Next to the header's middle, the place of the generator where it comes nearest, and by how much it misses there.
    fn nearest(&self, radius_mm: f64, clock_rad: f64) -> (f64, f64) {
        let line = self.branch.generator(radius_mm, clock_rad);
        // the furthest that a generator's own foot lies from the axis's is b·cot β, under four radii
        let reach = 5.0 * self.branch.radius_mm;
        let off = |s: f64| self.header.outside_by(line.point(s)).0;
        smallest(off, self.near_mm - reach, self.near_mm + reach, CLOCKS)
    }

    fn misses_by_mm(&self, radius_mm: f64, clock_rad: f64) -> f64 {
        if self.leaves_skin(radius_mm, clock_rad) {
            0.0
        } else {
            self.nearest(radius_mm, clock_rad).1.max(0.0)
        }
    }

    /// The branch.
    pub fn branch(&self) -> &Limb {
        &self.branch
    }

    /// The header.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// The header's centreline next to the branch's axis; `None` where there is no header.
    pub fn header_axis(&self) -> Option<Frame> {
        self.header.frame_by(self.branch.axis().point(self.near_mm)).map(|(frame, ..)| frame)
    }

    /// Angle from the header's travel to the branch as it leaves, rad.
    pub fn angle_rad(&self) -> f64 {
        self.angle_rad
    }

    /// Offset of the axes, mm, positive towards growing header clock; measured in the middle of the branch on a bend.
    pub fn offset_mm(&self) -> f64 {
        self.offset_mm
    }

    /// Place along the header that the branch's axis leaves from, mm.
    pub fn station_mm(&self) -> f64 {
        self.station_mm
    }

    /// Clock of the header that the branch leaves towards, rad.
    pub fn header_clock_rad(&self) -> f64 {
        self.header_clock_rad
    }

    /// Place along the branch from where its curves are measured in the formulas, the point next to the header's axis,
    /// mm from the branch frame's origin; on a bend or on slices the middle of the branch's axis in the header.
    pub fn foot_mm(&self) -> f64 {
        self.near_mm
    }

    /// Where the generator at `radius_mm` from the axis and at `clock_rad` leaves the header.
    pub(super) fn leaves(&self, radius_mm: f64, clock_rad: f64) -> Leaves {
        if let Some(found) = self.guide.leaves(&self.header, &self.branch, radius_mm, clock_rad) {
            return found;
        }
        let line = self.branch.generator(radius_mm, clock_rad);
        self.header.leaves(&line, self.near_mm).unwrap_or_else(|| {
            // it only touches: rounding decides whether that is a meeting
            let at_mm = match self.header.as_straight() {
                Some((frame, _)) => {
                    let at = Limb {
                        frame: crate::geom::Frame { origin: line.origin, ..self.branch.frame },
                        ..self.branch
                    };
                    foot_mm(frame.origin, frame.travel, &at)
                }
                None => self.nearest(radius_mm, clock_rad).0,
            };
            Leaves { at_mm, part: self.header.outside_by(line.point(at_mm)).1 }
        })
    }

    /// A curve of the branch at clock `clock_rad` of its own.
    pub fn met(&self, edge: Edge, clock_rad: f64) -> Met {
        let radius_mm = match edge {
            Edge::Outside => self.branch.radius_mm,
            Edge::Inside => self.branch.bore_mm(),
            Edge::Seat => self.seat_radius(clock_rad),
        };
        let leaves = self.leaves(radius_mm, clock_rad);
        let point = self.branch.generator(radius_mm, clock_rad).point(leaves.at_mm);
        // the seat's radius is a maximum, so that moving it changes nothing at first order
        let slope = self.branch.slope(radius_mm, clock_rad, self.header.normal(point, leaves.part));
        let slope_mm = slope.unwrap_or_else(|| {
            let next = self.leaves(radius_mm, clock_rad + SLOPE_STEP_RAD).at_mm;
            (next - leaves.at_mm) / SLOPE_STEP_RAD
        });
        Met { at_mm: leaves.at_mm, slope_mm, radius_mm }
    }

    /// Distance from the axis in the wall where the branch must be cut back furthest at a clock, mm.
    fn seat_radius(&self, clock_rad: f64) -> f64 {
        let (bore, out) = (self.branch.bore_mm(), self.branch.radius_mm);
        match self.header.as_straight() {
            Some((frame, header_mm)) => {
                // at_mm = linear(ρ) + √(h² − u²)/sin β with u linear in ρ: its one peak in closed form
                let (travel, away) = (frame.travel, self.branch.away());
                let sin = self.angle_rad.sin();
                let side = travel.cross(away) / sin;
                let toward = self.branch.frame.at_clock(clock_rad);
                let u0 = (self.branch.frame.origin - frame.origin).dot(side);
                let (along, a) = (away - travel * away.dot(travel), toward.dot(side));
                let c = -toward.dot(along) / sin;
                if a == 0.0 {
                    return if c > 0.0 { out } else { bore };
                }
                let u = header_mm * c * a.signum() / a.hypot(c);
                ((u - u0) / a).clamp(bore, out)
            }
            None => self.searched_seat_radius(clock_rad),
        }
    }

    /// The same on a bend or on slices: where the cut rises in the wall before and falls after, between a few places, and at
    /// the two skins.
    fn searched_seat_radius(&self, clock_rad: f64) -> f64 {
        let (bore, out) = (self.branch.bore_mm(), self.branch.radius_mm);
        let toward = self.branch.frame.at_clock(clock_rad);
        let away = self.branch.away();
        // how the cut grows with the distance from the axis, by the surface's normal; times a number above zero
        let grows = |mm: f64| {
            let leaves = self.leaves(mm, clock_rad);
            let point = self.branch.generator(mm, clock_rad).point(leaves.at_mm);
            let normal = self.header.normal(point, leaves.part);
            (-toward.dot(normal) * away.dot(normal).signum(), leaves.at_mm)
        };
        let step = (out - bore) / f64::from(IN_WALL);
        let places: Vec<(f64, (f64, f64))> =
            (0..=IN_WALL).map(|i| bore + step * f64::from(i)).map(|mm| (mm, grows(mm))).collect();
        let peaks = places.windows(2).filter(|w| w[0].1.0 > 0.0 && w[1].1.0 < 0.0);
        let peaks = peaks.map(|w| bisect(|mm| grows(mm).0, w[0].0, w[1].0));
        let peaks = peaks.map(|mm| (mm, self.leaves(mm, clock_rad).at_mm));
        let skins = [places.first(), places.last()].into_iter().flatten().map(|p| (p.0, p.1.1));
        peaks.chain(skins).max_by(|a, b| a.1.total_cmp(&b.1)).map_or(bore, |(mm, _)| mm)
    }

    /// Clocks at which the curves of a branch as wide as its header have kinks, and those at which it goes over from one tube
    /// to another, rising, from one to the same a turn on.
    pub(super) fn breaks(&self) -> Vec<f64> {
        let first = self.across_rad;
        let mut out: Vec<f64> = (0..=4).map(|quarter| first + f64::from(quarter) * FRAC_PI_2).collect();
        out.extend(self.changes_rad.iter().map(|c| first + (c - first).rem_euclid(TAU)));
        out.sort_by(f64::total_cmp);
        out.dedup_by(|b, a| *b - *a < 1e-12);
        out
    }

    /// Longest and shortest generator of a curve; a distance is good to 1e-6 mm, a place to about 1e-6 rad.
    pub fn extremes(&self, edge: Edge) -> Extremes {
        let at = |clock: f64| self.met(edge, clock).at_mm;
        let (from, to) = (self.across_rad, self.across_rad + TAU);
        let spot = |(clock, at_mm): (f64, f64)| Spot { clock_rad: clock.rem_euclid(TAU), at_mm };
        let (least, most) = both(at, from, to, FOR_EXTREMES);
        Extremes { longest: spot(least), shortest: spot(most) }
    }

    /// Length of the curve where the branch's outside meets the header, mm, and what it may be off by:
    /// `∫ √(b² + s′²) dφ`, to about 1e-5 mm.
    pub fn weld(&self) -> Integral {
        let b = self.branch.radius_mm;
        integrate(|clock| b.hypot(self.met(Edge::Outside, clock).slope_mm), &self.breaks(), WELD_MM)
    }

    /// A curve unrolled once round from clock 0 to a full turn, `x` round the outside of the branch and `y` along it, in
    /// chords that leave it by `chord_mm` at most.
    pub fn unrolled(&self, edge: Edge, chord_mm: f64) -> Vec<Place> {
        let mut breaks: Vec<f64> = self.breaks().iter().map(|c| c.rem_euclid(TAU)).collect();
        breaks.extend([0.0, TAU]);
        breaks.sort_by(f64::total_cmp);
        draw(
            |clock| (self.branch.radius_mm * clock, self.met(edge, clock).at_mm),
            &breaks,
            LEAST_STEPS,
            chord_mm,
        )
    }

    /// Point in space of a curve.
    pub fn point(&self, edge: Edge, clock_rad: f64) -> DVec3 {
        let met = self.met(edge, clock_rad);
        self.branch.generator(met.radius_mm, clock_rad).point(met.at_mm)
    }
}

/// Place along the branch next to a straight header's axis, mm; its own origin where they run along each other.
fn foot_mm(origin: DVec3, travel: DVec3, branch: &Limb) -> f64 {
    let along = branch.away() - travel * branch.away().dot(travel);
    let from = branch.frame.origin - origin;
    let square = along.length_squared();
    if square > 1e-12 { -from.dot(along) / square } else { 0.0 }
}

/// Middle of the part of the branch's axis in the header that is next to the frame's origin, mm; where it misses, the
/// place next to the header.
fn axis_middle(header: &Header, branch: &Limb) -> f64 {
    let axis = branch.axis();
    let off = |i: &super::header::Inside| i.from_mm.max(-i.to_mm).max(0.0);
    let spans = header.inside(&axis);
    let span = spans.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    span.map_or_else(
        || {
            let reach = 20.0 * branch.radius_mm;
            smallest(|s| header.outside_by(axis.point(s)).0, -reach, reach, CLOCKS).0
        },
        |i| i.from_mm.midpoint(i.to_mm),
    )
}
