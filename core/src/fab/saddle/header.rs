//! The header as a surface: where a line along the branch leaves it, and where on it a point lies.

use super::super::limb::{Line, is_frame};
use crate::finding::SaddleError;
use crate::geom::roots::{bisect, sign_changes};
use crate::geom::tolerance::COINCIDENT_MM;
use crate::geom::vector::across;
use crate::geom::{Barrel, Elbow, Frame, Frustum, Solid};
use glam::DVec3;

/// One tube of a header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeaderPart {
    /// A straight tube without an end.
    Straight {
        /// Its axis and index line.
        frame: Frame,
        /// Outside radius, mm.
        radius_mm: f64,
    },
    /// A tube between two cut planes: a straight or a slice.
    Barrel(Barrel),
    /// A smooth bend.
    Elbow(Elbow),
    /// A taper, on one axis or set off.
    Cone(Frustum),
}

/// A header: one tube, or several one after another along the travel.
#[derive(Debug, Clone, PartialEq)]
pub struct Header {
    /// The parts with the station of their start, mm.
    parts: Vec<(HeaderPart, f64)>,
}

/// Part of a line that lies in the header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Inside {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    /// Part that it is left through.
    pub(super) part: usize,
}

/// Where a line leaves the header.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Leaves {
    pub(super) at_mm: f64,
    pub(super) part: usize,
}

impl HeaderPart {
    /// Outside radius, mm; of a taper at its wide end.
    pub fn radius_mm(&self) -> f64 {
        match self {
            Self::Straight { radius_mm, .. } => *radius_mm,
            Self::Barrel(b) => b.radius_mm,
            Self::Elbow(e) => e.radius_mm,
            Self::Cone(c) => c.start_radius_mm.max(c.end_radius_mm),
        }
    }

    /// Outside radius at a place along it, mm.
    pub(super) fn radius_at_mm(&self, along_mm: f64) -> f64 {
        match self {
            Self::Straight { .. } | Self::Barrel(_) | Self::Elbow(_) => self.radius_mm(),
            Self::Cone(c) => c.radius_at(along_mm),
        }
    }

    /// Outside radius of the section that a point lies in, mm.
    pub(super) fn radius_by_mm(&self, point: DVec3) -> f64 {
        self.radius_at_mm(self.frame_by(point).1)
    }

    pub(super) fn length_mm(&self) -> f64 {
        match self {
            Self::Straight { .. } => 0.0,
            Self::Barrel(b) => b.length_mm,
            Self::Elbow(e) => e.clr_mm * e.angle_rad,
            Self::Cone(c) => c.length_mm,
        }
    }

    fn is_sound(&self) -> bool {
        let own = match self {
            Self::Straight { frame, .. } => is_frame(frame),
            Self::Barrel(b) => Solid::Barrel(*b).is_finite() && is_frame(&b.start) && b.length_mm > 0.0,
            Self::Elbow(e) => {
                Solid::Elbow(*e).is_finite()
                    && is_frame(&e.start)
                    && e.angle_rad > 0.0
                    && e.clr_mm >= e.radius_mm
            }
            Self::Cone(c) => {
                Solid::Frustum(*c).is_finite()
                    && is_frame(&c.start)
                    && c.length_mm > 0.0
                    && c.start_radius_mm.min(c.end_radius_mm) > 0.0
            }
        };
        own && self.radius_mm() > 0.0 && self.radius_mm().is_finite()
    }

    /// How far round the bend a point lies, rad from its start in (−π, π].
    fn round_rad(e: &Elbow, point: DVec3) -> f64 {
        let from = point - e.centre();
        from.dot(e.start.travel).atan2(-from.dot(e.toward))
    }

    /// Frame on the centreline next to a point, as if the part went on; with the length along the part, mm.
    pub(super) fn frame_by(&self, point: DVec3) -> (Frame, f64) {
        match self {
            Self::Straight { frame, .. } | Self::Barrel(Barrel { start: frame, .. }) => {
                let along = (point - frame.origin).dot(frame.travel);
                (frame.forward(along), along)
            }
            Self::Elbow(e) => {
                let angle = Self::round_rad(e, point);
                (e.frame_at(angle), e.clr_mm * angle)
            }
            Self::Cone(c) => {
                let along = (point - c.start.origin).dot(c.start.travel);
                (c.frame_at(along), along)
            }
        }
    }

    /// Distance of a point from the skin, mm, negative inside; the part goes on beyond its ends.
    fn outside_by_mm(&self, point: DVec3) -> f64 {
        match self {
            Self::Cone(c) => cone_off(c, point).0,
            Self::Straight { .. } | Self::Barrel(_) | Self::Elbow(_) => {
                point.distance(self.nearest_middle(point)) - self.radius_mm()
            }
        }
    }

    /// The same distance with the way out of the skin; `None` on the centreline.
    pub(super) fn off_and_normal(&self, point: DVec3) -> Option<(f64, DVec3)> {
        if let Self::Cone(c) = self {
            let (off_mm, normal) = cone_off(c, point);
            return Some((off_mm, normal?));
        }
        let from = point - self.nearest_middle(point);
        let mm = from.length();
        (mm > 0.0).then(|| (mm - self.radius_mm(), from / mm))
    }

    /// The point of the centreline next to a point; the part goes on beyond its ends.
    fn nearest_middle(&self, point: DVec3) -> DVec3 {
        match self {
            Self::Straight { frame, .. } | Self::Barrel(Barrel { start: frame, .. }) => {
                frame.origin + frame.travel * (point - frame.origin).dot(frame.travel)
            }
            Self::Elbow(e) => {
                let from = point - e.centre();
                let (along, across) = (from.dot(e.start.travel), -from.dot(e.toward));
                let flat = along.hypot(across);
                if flat == 0.0 {
                    return e.start.origin;
                }
                e.centre() + (e.start.travel * along - e.toward * across) * (e.clr_mm / flat)
            }
            Self::Cone(_) => self.frame_by(point).0.origin,
        }
    }

    /// Whether a point lies between the planes that end it, or beyond one by no more than `by_mm`.
    pub(super) fn is_between_ends(&self, point: DVec3, by_mm: f64) -> bool {
        self.ends().into_iter().flatten().all(|(end, normal)| (point - end).dot(normal) <= by_mm)
    }

    /// The planes that end it, as points with normals that point out of it.
    fn ends(&self) -> [Option<(DVec3, DVec3)>; 2] {
        match self {
            Self::Straight { .. } => [None, None],
            Self::Barrel(b) => {
                let (start, end) = b.axis();
                [Some((start, -b.start_normal)), Some((end, b.end_normal))]
            }
            Self::Elbow(e) => {
                let end = e.frame_at(e.angle_rad);
                [Some((e.start.origin, -e.start.travel)), Some((end.origin, end.travel))]
            }
            Self::Cone(c) => {
                let travel = c.start.travel;
                [Some((c.start.origin, -travel)), Some((c.frame_at(c.length_mm).origin, travel))]
            }
        }
    }

    /// Parts of the line within the tube as if it had no ends.
    fn spans(&self, line: &Line) -> Vec<(f64, f64)> {
        match self {
            Self::Straight { frame, radius_mm } | Self::Barrel(Barrel { start: frame, radius_mm, .. }) => {
                let Some((middle, sin, past)) = nearest(frame, line) else {
                    // along the tube it is in it all the way, or not at all
                    let from = line.origin - frame.origin;
                    let off_mm = (from - frame.travel * from.dot(frame.travel)).length();
                    return if off_mm < *radius_mm { vec![(-FAR_MM, FAR_MM)] } else { Vec::new() };
                };
                let square = (radius_mm - past.abs()) * (radius_mm + past.abs());
                if square < 0.0 {
                    return Vec::new();
                }
                let half = square.sqrt() / sin;
                vec![(middle - half, middle + half)]
            }
            Self::Elbow(e) => torus_spans(self, e, line),
            Self::Cone(c) => cone_spans(c, line),
        }
    }

    /// Parts of the line within the tube.
    fn inside(&self, line: &Line) -> Vec<(f64, f64)> {
        let cut = |(mut from, mut to): (f64, f64)| {
            for (point, normal) in self.ends().into_iter().flatten() {
                let (lean, beyond) = (line.along.dot(normal), (line.origin - point).dot(normal));
                if lean > 0.0 {
                    to = to.min(-beyond / lean);
                } else if lean < 0.0 {
                    from = from.max(-beyond / lean);
                } else if beyond > 0.0 {
                    return None;
                }
            }
            (from <= to).then_some((from, to))
        };
        self.spans(line).into_iter().filter_map(cut).collect()
    }
}

/// Place on `line` next to the axis of `frame`, mm; sine of the angle between them; distance of the two with its sign.
/// `None` where they run along each other.
fn nearest(frame: &Frame, line: &Line) -> Option<(f64, f64, f64)> {
    let side = frame.travel.cross(line.along);
    let sin = side.length();
    if sin <= 1e-9 {
        return None;
    }
    let from = line.origin - frame.origin;
    let from = from - frame.travel * from.dot(frame.travel);
    let along = line.along - frame.travel * line.along.dot(frame.travel);
    Some((-from.dot(along) / (sin * sin), sin, from.dot(side) / sin))
}

/// Distance of a point from the skin of a cone that goes on beyond its ends, mm, negative inside, and the skin's normal there;
/// no normal on its axis.
///
/// A section at `z` is a circle of radius `r + k·z` about the axis shifted by `o·z/L`, so the skin is where
/// `g = |p − o·z/L| − r − k·z` is nought. Along a line of the skin the normal stays, so `g/|∇g|` is the distance from the plane
/// that touches it there: exact on one axis, near the skin on any.
fn cone_off(c: &Frustum, point: DVec3) -> (f64, Option<DVec3>) {
    let along = (point - c.start.origin).dot(c.start.travel);
    let from = point - c.frame_at(along).origin;
    let across = from - c.start.travel * from.dot(c.start.travel);
    let g = across.length() - c.radius_at(along);
    let Some(out) = across.try_normalize() else { return (g, None) };
    let rises = (out.dot(c.shift) + c.end_radius_mm - c.start_radius_mm) / c.length_mm;
    let gradient = out - c.start.travel * rises;
    (g / gradient.length(), gradient.try_normalize())
}

/// A line that goes on inside a tube or a cone is followed this far, mm.
const FAR_MM: f64 = 1e6;

/// Parts of a line inside a whole cone: where `|q(s)|² < ρ(s)²` with `q` from the shifted axis and the radius `ρ` above
/// nought, both linear in `s`.
fn cone_spans(c: &Frustum, line: &Line) -> Vec<(f64, f64)> {
    let (from, travel) = (line.origin - c.start.origin, c.start.travel);
    let (z0, z1) = (from.dot(travel), line.along.dot(travel));
    let lean = c.shift / c.length_mm;
    let grows = (c.end_radius_mm - c.start_radius_mm) / c.length_mm;
    let (q0, q1) = (from - travel * z0 - lean * z0, line.along - travel * z1 - lean * z1);
    let (r0, r1) = (c.start_radius_mm + grows * z0, grows * z1);
    let (a, b, k) = (q1.length_squared() - r1 * r1, q0.dot(q1) - r0 * r1, q0.length_squared() - r0 * r0);
    let mut places = vec![-FAR_MM, FAR_MM];
    if a.abs() > 1e-14 {
        let square = b * b - a * k;
        if square >= 0.0 {
            // the root without cancelling first, the other from the product of both
            let sum = -(b + square.sqrt().copysign(b));
            places.push(sum / a);
            places.extend((sum != 0.0).then(|| k / sum));
        }
    } else if b != 0.0 {
        places.push(-k / (2.0 * b));
    }
    // where its radius is nought
    places.extend((r1 != 0.0).then(|| -r0 / r1));
    places.retain(|s| s.abs() <= FAR_MM);
    places.sort_by(f64::total_cmp);
    let is_in = |s: f64| r0 + r1 * s > 0.0 && (q0 + q1 * s).length() < r0 + r1 * s;
    let mut out: Vec<(f64, f64)> = Vec::new();
    for pair in places.windows(2) {
        if pair[1] > pair[0] && is_in(pair[0].midpoint(pair[1])) {
            match out.last_mut() {
                Some(last) if last.1 >= pair[0] => last.1 = pair[1],
                _ => out.push((pair[0], pair[1])),
            }
        }
    }
    out
}

/// Parts of a line inside a whole torus.
///
/// With `q` the line's point next to the bend centre and `s` from there: `(s² + A)² − 4R²·|flat(q + s·d)|² = 0`,
/// `A = q² + R² − r²`, flat = without the part along the bend's axis. Each change of sign is then taken to the last digit
/// on the distance itself.
fn torus_spans(part: &HeaderPart, e: &Elbow, line: &Line) -> Vec<(f64, f64)> {
    let (clr, r) = (e.clr_mm, e.radius_mm);
    let axis = e.start.travel.cross(e.toward);
    let from = line.origin - e.centre();
    let shift = -from.dot(line.along);
    let q = from + line.along * shift;
    let (qa, da) = (q.dot(axis), line.along.dot(axis));
    let a = q.length_squared() + clr * clr - r * r;
    let four = 4.0 * clr * clr;
    let flat = [q.length_squared() - qa * qa, -2.0 * qa * da, 1.0 - da * da];
    let polynomial = [a * a - four * flat[0], -four * flat[1], 2.0 * a - four * flat[2], 0.0, 1.0];
    let reach = clr + 2.0 * r;
    let outside = |s: f64| part.outside_by_mm(line.point(s));
    let fine = 1e-5 * reach;
    let mut places: Vec<f64> = sign_changes(&polynomial, -reach, reach)
        .into_iter()
        .map(|s| s + shift)
        .map(|s| bisect(outside, s - fine, s + fine))
        .collect();
    places.sort_by(f64::total_cmp);
    places.windows(2).map(|w| (w[0], w[1])).filter(|(from, to)| outside(from.midpoint(*to)) < 0.0).collect()
}

impl Header {
    /// A straight header without ends; stations count from the frame's origin.
    pub fn straight(frame: Frame, radius_mm: f64) -> Result<Self, SaddleError> {
        Self::of_parts(vec![HeaderPart::Straight { frame, radius_mm }])
    }

    /// A header of the solids of a run in order, its slices, bends and tapers; joints on the way are no header and are left out,
    /// their length counts. Stations count from the first solid's start, along the centreline as built.
    pub fn of_solids(solids: &[Solid]) -> Result<Self, SaddleError> {
        let (mut parts, mut station) = (Vec::new(), 0.0);
        for solid in solids {
            let part = match solid {
                Solid::Barrel(b) => HeaderPart::Barrel(*b),
                Solid::Elbow(e) => HeaderPart::Elbow(*e),
                Solid::Drum(drum) => {
                    station += drum.length_mm;
                    continue;
                }
                Solid::Frustum(taper) => HeaderPart::Cone(*taper),
                Solid::Block(_) => continue,
            };
            parts.push((part, station));
            station += part.length_mm();
        }
        Self { parts }.checked()
    }

    /// A header of parts that follow each other; stations count from the first one's start.
    pub fn of_parts(parts: Vec<HeaderPart>) -> Result<Self, SaddleError> {
        let mut station = 0.0;
        let mut place = |part: HeaderPart| {
            let at = station;
            station += part.length_mm();
            (part, at)
        };
        Self { parts: parts.into_iter().map(&mut place).collect() }.checked()
    }

    /// The same with more tubes beside it, after its own.
    pub(super) fn with(&self, others: &[HeaderPart]) -> Self {
        let ends = self.parts.last().map_or(0.0, |(part, begins)| begins + part.length_mm());
        let others = others.iter().map(|part| (*part, ends));
        Self { parts: self.parts.iter().copied().chain(others).collect() }
    }

    fn checked(self) -> Result<Self, SaddleError> {
        let sound = !self.parts.is_empty() && self.parts.iter().all(|(part, _)| part.is_sound());
        if sound { Ok(self) } else { Err(SaddleError::NoHeader) }
    }

    /// Where a line comes into it first from where it begins on, mm along the line. `None` where it misses.
    pub fn entered_at_mm(&self, line: &Line) -> Option<f64> {
        self.inside(line).iter().map(|i| i.from_mm).find(|mm| *mm >= 0.0)
    }

    /// Where a line leaves it, mm along the line: of its parts inside, at the end of the one next to `near_mm`. `None`
    /// where it misses.
    pub fn left_at_mm(&self, line: &Line, near_mm: f64) -> Option<f64> {
        self.leaves(line, near_mm).map(|l| l.at_mm)
    }

    /// The one straight tube without ends that it is, if it is.
    pub(super) fn as_straight(&self) -> Option<(&Frame, f64)> {
        match self.parts.as_slice() {
            [(HeaderPart::Straight { frame, radius_mm }, _)] => Some((frame, *radius_mm)),
            _ => None,
        }
    }

    /// How many parts it has.
    pub(super) fn len(&self) -> usize {
        self.parts.len()
    }

    /// Station of the start of a part, mm.
    pub(super) fn begins_mm(&self, index: usize) -> f64 {
        self.parts.get(index).map_or(0.0, |(_, begins)| *begins)
    }

    pub(super) fn part(&self, index: usize) -> Option<&HeaderPart> {
        self.parts.get(index).map(|(part, _)| part)
    }

    /// Parts of a line inside the header, rising; tubes that share a face are one.
    pub(super) fn inside(&self, line: &Line) -> Vec<Inside> {
        let mut all: Vec<Inside> = Vec::new();
        for (part, (tube, _)) in self.parts.iter().enumerate() {
            all.extend(tube.inside(line).into_iter().map(|(from_mm, to_mm)| Inside { from_mm, to_mm, part }));
        }
        all.sort_by(|a, b| a.from_mm.total_cmp(&b.from_mm));
        let mut out: Vec<Inside> = Vec::with_capacity(all.len());
        for next in all {
            match out.last_mut() {
                Some(last) if next.from_mm <= last.to_mm + COINCIDENT_MM => {
                    if next.to_mm > last.to_mm {
                        (last.to_mm, last.part) = (next.to_mm, next.part);
                    }
                }
                _ => out.push(next),
            }
        }
        out
    }

    /// Where a line leaves the header: at the end of its part inside that is next to `near_mm`. `None` where it misses.
    pub(super) fn leaves(&self, line: &Line, near_mm: f64) -> Option<Leaves> {
        let off = |i: &Inside| (i.from_mm - near_mm).max(near_mm - i.to_mm).max(0.0);
        let spans = self.inside(line);
        let span = spans.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
        Some(Leaves { at_mm: span.to_mm, part: span.part })
    }

    /// Distance of a point from the header's skin, mm, negative inside, and the part it was measured from.
    ///
    /// A part counts with its ends going on, for as much as the point lies beyond them: enough to say by how much a line
    /// misses.
    pub(super) fn outside_by(&self, point: DVec3) -> (f64, usize) {
        let far = |part: &HeaderPart| {
            let beyond = part.ends().into_iter().flatten().map(|(end, normal)| (point - end).dot(normal));
            beyond.fold(part.outside_by_mm(point), f64::max)
        };
        let all = self.parts.iter().enumerate().map(|(i, (part, _))| (far(part), i));
        all.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((f64::INFINITY, 0))
    }

    /// Distance of a point from its skin, mm, negative inside; beyond the ends of its tubes from those.
    pub fn off_skin_mm(&self, point: DVec3) -> f64 {
        self.outside_by(point).0
    }

    /// Whether the line leaves the header there through its skin, not through the open end of a tube.
    pub(super) fn is_skin(&self, point: DVec3, part: usize) -> bool {
        self.part(part).is_some_and(|tube| tube.outside_by_mm(point).abs() <= COINCIDENT_MM)
    }

    /// How far beyond the ends of its tubes a line would leave the header if they went on, mm, the least of them; `None`
    /// where it would still miss.
    pub(super) fn beyond_end(&self, line: &Line, near_mm: f64) -> Option<f64> {
        let over = |tube: &HeaderPart| {
            let off = |s: &(f64, f64)| (s.0 - near_mm).max(near_mm - s.1).max(0.0);
            let span = tube.spans(line).into_iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
            let point = line.point(span.1);
            tube.ends().into_iter().flatten().map(|(end, normal)| (point - end).dot(normal)).reduce(f64::max)
        };
        self.parts.iter().filter_map(|(tube, _)| over(tube)).reduce(f64::min)
    }

    /// Unit normal of the skin of `part` at a point of it, out of the header.
    pub(super) fn normal(&self, point: DVec3, part: usize) -> DVec3 {
        self.part(part).and_then(|tube| tube.off_and_normal(point)).map_or(DVec3::ZERO, |(_, normal)| normal)
    }

    /// Station and clock of a point on `part`.
    pub(super) fn chart(&self, point: DVec3, part: usize) -> (f64, f64) {
        self.parts.get(part).map_or((0.0, 0.0), |(tube, from_mm)| {
            let (frame, along) = tube.frame_by(point);
            (from_mm + along, frame.clock_of(point - frame.origin))
        })
    }

    /// The part that a point of the skin lies on, from 0, how far along that part's centreline, mm, and its clock, rad.
    pub fn place_of(&self, point: DVec3) -> (usize, f64, f64) {
        let part = self.outside_by(point).1;
        let from_mm = self.parts.get(part).map_or(0.0, |p| p.1);
        let (station_mm, clock_rad) = self.chart(point, part);
        (part, station_mm - from_mm, clock_rad)
    }

    /// Station and clock of the place of the skin next to a point: those that holes are given by.
    pub fn station_and_clock(&self, point: DVec3) -> (f64, f64) {
        self.chart(point, self.outside_by(point).1)
    }

    /// Frame of the centreline next to a point, of the part that the point lies deepest in; with its station.
    pub(super) fn frame_by(&self, point: DVec3) -> Option<(Frame, f64, f64)> {
        let (tube, from_mm) = self.parts.get(self.outside_by(point).1)?;
        let (frame, along) = tube.frame_by(point);
        Some((frame, from_mm + along, tube.radius_at_mm(along)))
    }
}

/// The way a branch leaves a centreline: across it, towards the branch.
pub(super) fn leaving(frame: &Frame, away: DVec3) -> Option<DVec3> {
    across(away, frame.travel)
}
