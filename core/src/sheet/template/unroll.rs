//! The outside of a piece of tube unrolled into the plane.

use crate::fab::end_curve::{EndCurve, Shaped};
use crate::fab::limb::Edge as WallEdge;
use crate::fab::rim::Rim;
use crate::fab::saddle::Saddle;
use crate::fab::{Cut, Piece};
use crate::geom::polyline::Place;
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::model::SawScale;
use crate::sheet::PointMm;
use crate::units::{MM_PER_INCH, UnitSystem};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// How far a chord of the drawn edge may be off the true curve, mm: half of what is promised (0.01), the other
/// half is for the digits of the files.
const CHORD_MM: f64 = 0.005;
/// Fewest steps an edge is drawn in, so that a shallow cut is a curve too.
const LEAST_STEPS: f64 = 72.0;
/// Most steps an edge is drawn in: enough for the steepest cut through the widest tube.
const MOST_STEPS: f64 = 20_000.0;
/// Tube that is whole all round for longer than this (mm) is not wrapped over its full length.
const WHOLE_BELOW_MM: f64 = 120.0;
/// How far a band goes on beyond the short point of its cut, mm, before it is lengthened to a round figure.
const BAND_MM: f64 = 40.0;
/// Width of the tab that the seam is glued with, mm.
const TAB_MM: f64 = 8.0;
/// The tab is no more than this part of the way round.
const TAB_PART: f64 = 1.0 / 6.0;
/// The tab keeps this far from the cut (mm), so that it never shows beyond it.
const TAB_SHY_MM: f64 = 1.0;
/// Two long sides nearer than this (rad, 0.05°) are one line: clocks are printed to 0.1°.
const ONE_LINE_RAD: f64 = 0.05 * TAU / 360.0;
/// Thickest paper or card that is allowed for, mm.
const THICKEST_MM: f64 = 3.0;

/// What a strip is made of, and the units its figures are in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wrap {
    /// Thickness of the paper, mm; what is below 0, above 3 or no number counts as the nearest of the two or 0.
    pub paper_mm: f64,
    /// Units of the figures printed on it.
    pub units: UnitSystem,
    /// Which edge of the wall an end follows that is shaped to another pipe.
    pub wall_edge: WallEdge,
    /// What the saw's scale reads.
    pub scale: SawScale,
    /// Steps its angle can be set to, degrees.
    pub step_deg: f64,
}

impl Wrap {
    /// Thickness of ordinary office paper, mm (common practice, no source).
    pub const OFFICE_PAPER_MM: f64 = 0.1;

    /// Distances of bands are whole multiples of this, mm: a figure that a tape shows exactly.
    fn round_mm(&self) -> f64 {
        match self.units {
            UnitSystem::InchFraction => MM_PER_INCH / 4.0,
            UnitSystem::InchDecimal => MM_PER_INCH / 10.0,
            UnitSystem::Millimetre => 5.0,
        }
    }

    fn thickness_mm(&self) -> f64 {
        if self.paper_mm.is_nan() { 0.0 } else { self.paper_mm.clamp(0.0, THICKEST_MM) }
    }
}

/// What a shaped end comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShapedTo {
    /// A branch sits on a header.
    Header,
    /// An arm comes into a merge.
    Merge,
    /// A bar sits on a tube.
    Tube,
}

/// The curve of an end that is shaped to another pipe, drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapedEdge {
    /// Clock, rad from 0 to a full turn, and how much of the tube is lost there, mm; what lies between two places is on
    /// their chord within [`CHORD_MM`].
    places: Arc<[(f64, f64)]>,
    /// The whole cut, with what it does not give as one place a clock.
    rim: Arc<Rim>,
    /// What it comes to.
    pub to: ShapedTo,
    /// Which edge of the wall it is.
    pub wall_edge: WallEdge,
}

impl ShapedEdge {
    fn of(curve: &EndCurve, radius_mm: f64, wall_edge: WallEdge) -> Self {
        let to = match curve.shaped {
            Shaped::Saddle(_) => ShapedTo::Header,
            Shaped::Merged { .. } => ShapedTo::Merge,
        };
        let rim = curve.rim(wall_edge, radius_mm, CHORD_MM);
        Self { rim: Arc::new(rim), ..Self::along(&curve.unrolled(wall_edge, CHORD_MM), to, wall_edge) }
    }

    /// The end of a bar that sits on a tube.
    pub(super) fn coped(saddle: &Saddle, wall_edge: WallEdge) -> Self {
        Self::along(&saddle.unrolled(wall_edge, CHORD_MM), ShapedTo::Tube, wall_edge)
    }

    fn along(places: &[Place], to: ShapedTo, wall_edge: WallEdge) -> Self {
        let line: Vec<(f64, f64)> = places.iter().map(|p| (p.t, p.y_mm)).collect();
        Self { places: line.as_slice().into(), rim: Arc::new(Rim { line, ..Rim::default() }), to, wall_edge }
    }

    /// What is lost at a clock in [0, 2π], mm.
    fn at_mm(&self, clock_rad: f64) -> f64 {
        let next = self.places.partition_point(|(clock, _)| *clock < clock_rad);
        match (next.checked_sub(1).and_then(|i| self.places.get(i)), self.places.get(next)) {
            (Some((c0, y0)), Some((c1, y1))) if c1 > c0 => y0 + (y1 - y0) * (clock_rad - c0) / (c1 - c0),
            (_, Some((_, y))) | (Some((_, y)), None) => *y,
            (None, None) => 0.0,
        }
    }
}

/// The edge of a strip that runs round the tube.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// Where its plane meets the centreline, mm along the travel from where the piece starts on its centreline.
    pub at_mm: f64,
    /// The cut it follows; square where the strip just ends.
    pub cut: Cut,
    /// The curve it follows where it is shaped to another pipe.
    pub shaped: Option<ShapedEdge>,
    /// Radius of the outside of the tube, mm.
    radius_mm: f64,
    /// +1 where the long side reaches on along the travel (an end), −1 where it reaches back (a start).
    lean: f64,
}

impl Edge {
    /// Where a piece starts, square or shaped.
    pub(super) fn start(shaped: Option<ShapedEdge>, radius_mm: f64) -> Self {
        Self { at_mm: 0.0, cut: Cut::SQUARE, shaped, radius_mm, lean: -1.0 }
    }

    /// Where a piece ends that is `at_mm` long, square or shaped.
    pub(super) fn end(at_mm: f64, shaped: Option<ShapedEdge>, radius_mm: f64) -> Self {
        Self { at_mm, cut: Cut::SQUARE, shaped, radius_mm, lean: 1.0 }
    }

    /// Place along the travel at clock `clock_rad`, mm: the share of this cut in the length of the generator.
    pub fn y_mm(&self, clock_rad: f64) -> f64 {
        let lost_mm = self.shaped.as_ref().map_or(0.0, |s| s.at_mm(clock_rad));
        self.at_mm + self.lean * (self.cut.adds_mm(self.radius_mm, clock_rad) - lost_mm)
    }

    /// Whether it is cut to a line of its own, so that a template is needed.
    pub fn is_cut(&self) -> bool {
        self.is_mitred() || self.shaped.is_some()
    }

    /// Whether it is a mitre.
    pub fn is_mitred(&self) -> bool {
        self.cut.heel_clock_rad.is_some()
    }

    /// Half the depth of a plane cut, mm: from the centreline to its long point along the tube.
    fn reach_mm(&self) -> f64 {
        self.cut.heel_clock_rad.map_or(0.0, |heel| self.cut.adds_mm(self.radius_mm, heel))
    }

    /// Least and greatest place along the travel from clock `from_rad` to `to_rad`, mm.
    pub(super) fn range_mm(&self, from_rad: f64, to_rad: f64) -> (f64, f64) {
        let ends = [self.y_mm(from_rad), self.y_mm(to_rad)];
        let mut range = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        if let Some(shaped) = &self.shaped {
            for (clock, lost_mm) in shaped.rim.places() {
                if (from_rad..=to_rad).contains(clock) {
                    let y = self.at_mm - self.lean * lost_mm;
                    range = (range.0.min(y), range.1.max(y));
                }
            }
            let first = shaped.places.partition_point(|(clock, _)| *clock < from_rad);
            for (_, lost_mm) in shaped.places[first..].iter().take_while(|(clock, _)| *clock <= to_rad) {
                let y = self.at_mm - self.lean * lost_mm;
                range = (range.0.min(y), range.1.max(y));
            }
        }
        if let Some(heel) = self.cut.heel_clock_rad {
            // the first highest or lowest place at or after `from_rad`; they follow each other by half a turn
            let mut still = from_rad + (heel - from_rad).rem_euclid(PI);
            for _ in 0..2 {
                if still <= to_rad {
                    let y = self.y_mm(still);
                    range = (range.0.min(y), range.1.max(y));
                }
                still += PI;
            }
        }
        range
    }

    /// Clock angles to draw it at, from 0 to a full turn: a cosine of amplitude `A` drawn in chords of `δ` radians is
    /// off by `A·δ²/8` at most.
    fn clocks_rad(&self) -> Vec<f64> {
        if let Some(shaped) = &self.shaped {
            return shaped.places.iter().map(|(clock, _)| *clock).collect();
        }
        let needed = if self.is_mitred() {
            (TAU / (8.0 * CHORD_MM / self.reach_mm().abs()).sqrt()).clamp(LEAST_STEPS, MOST_STEPS)
        } else {
            1.0
        };
        let steps = needed.ceil() as u32;
        (0..=steps).map(|i| TAU * f64::from(i) / f64::from(steps)).collect()
    }
}

impl Edge {
    /// The edge from clock 0 to a full turn: clock and place along the travel, mm. Beside notches it may turn back.
    fn line(&self) -> Vec<(f64, f64)> {
        match &self.shaped {
            Some(shaped) => self.placed(&shaped.rim.line),
            None => self.clocks_rad().into_iter().map(|clock| (clock, self.y_mm(clock))).collect(),
        }
    }

    /// Closed lines beside it: holes, and wall that is joined to the rest across the seam.
    fn closed_lines(&self) -> Vec<Vec<(f64, f64)>> {
        let rims = self.shaped.iter().map(|shaped| &shaped.rim);
        rims.flat_map(|rim| rim.holes.iter().chain(&rim.beyond_seam)).map(|line| self.placed(line)).collect()
    }

    /// A line of a shaped end along the travel.
    fn placed(&self, line: &[(f64, f64)]) -> Vec<(f64, f64)> {
        line.iter().map(|(clock, lost_mm)| (*clock, self.at_mm - self.lean * lost_mm)).collect()
    }
}

/// The end of the piece that a band does not reach: what its far edge is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OtherEnd {
    /// It is square.
    Square,
    /// It is mitred: measured from its long point.
    LongPoint,
    /// The bar is bent there.
    Bend,
}

/// How much of the piece a strip covers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// All of it.
    Whole,
    /// A band at its start; the upper edge is square to the tube.
    Start {
        /// Distance of the upper edge from the piece's end along the tube, mm.
        far_mm: f64,
        /// What that is measured from.
        from: OtherEnd,
    },
    /// A band at its end; the lower edge is square to the tube.
    End {
        /// Distance of the lower edge from the piece's start along the tube, mm.
        far_mm: f64,
        /// What that is measured from.
        from: OtherEnd,
    },
}

/// A strip to wrap round the tube.
///
/// In the plane x runs across from the index line at clock 0, to the right with the clock, and y along the travel,
/// up. With the printed side out and the travel up, who looks at the outside of the tube sees the clock (right-hand
/// about the travel) run to the right. Both sides of the strip are the index line.
///
/// The strip is `π·(OD + paper)` wide, as the middle of the paper lies half its thickness outside the tube; its
/// edges are the cuts on the tube's outside, which the thickness does not change. The tab below the seam makes one
/// side stand off by one more thickness, which is not allowed for.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// Marks of all pieces it is for.
    pub names: Vec<String>,
    /// Name of their run; of all their runs.
    pub run: String,
    /// Outside diameter of the tube, mm.
    pub od_mm: f64,
    /// Thickness of paper that is allowed for, mm.
    pub paper_mm: f64,
    /// Units of its figures.
    pub units: UnitSystem,
    /// What the saw's scale reads.
    pub scale: SawScale,
    /// Steps its angle can be set to, degrees.
    pub step_deg: f64,
    /// How much of the piece it covers.
    pub part: Part,
    /// Its edge towards the start.
    pub lower: Edge,
    /// Its edge towards the end.
    pub upper: Edge,
    /// Longest side of the piece, mm.
    pub long_mm: f64,
    /// Shortest side of the piece, mm.
    pub short_mm: f64,
    /// Clock of the inside of the bend that the piece of a bar ends at, rad.
    pub bend_clock_rad: Option<f64>,
}

/// A length of tube between two edges.
pub(super) struct Between {
    pub(super) od_mm: f64,
    pub(super) lower: Edge,
    pub(super) upper: Edge,
    /// Longest and shortest side, mm.
    pub(super) sides_mm: (f64, f64),
}

impl Template {
    /// The strips for a piece: none for joints, elbows and pieces with two square ends, nor where the two cuts meet;
    /// one for a short piece; for a long one a band at each mitred end.
    ///
    /// `names` are the marks of all pieces it serves, `run` the name of their run.
    pub fn of_piece(piece: &Piece, names: &[String], run: &str, wrap: &Wrap) -> Vec<Self> {
        let radius_mm = piece.od_mm / 2.0;
        let shaped = |i: usize| {
            let curve = piece.curves[i].as_ref()?;
            Some(ShapedEdge::of(curve, radius_mm, wrap.wall_edge))
        };
        let lower = Edge { cut: piece.start, ..Edge::start(shaped(0), radius_mm) };
        let upper = Edge { cut: piece.end, ..Edge::end(piece.centre_mm, shaped(1), radius_mm) };
        if !piece.is_sawn() {
            return Vec::new();
        }
        let between = Between { od_mm: piece.od_mm, lower, upper, sides_mm: piece.long_short_mm() };
        Self::strips(between, names, run, wrap)
    }

    /// The strips for what lies between two edges.
    pub(super) fn strips(between: Between, names: &[String], run: &str, wrap: &Wrap) -> Vec<Self> {
        let Between { od_mm, lower, upper, sides_mm: (long_mm, short_mm) } = between;
        let radius_mm = od_mm / 2.0;
        let sound = radius_mm > 0.0 && long_mm.is_finite() && short_mm > NO_LENGTH_MM;
        if !sound || !(lower.is_cut() || upper.is_cut()) {
            return Vec::new();
        }
        let strip = |part, lower, upper| Self {
            names: names.to_vec(),
            run: run.to_owned(),
            od_mm,
            paper_mm: wrap.thickness_mm(),
            units: wrap.units,
            scale: wrap.scale,
            step_deg: wrap.step_deg,
            part,
            lower,
            upper,
            long_mm,
            short_mm,
            bend_clock_rad: None,
        };
        // long and short point of both cuts
        let (low, high) = (lower.range_mm(0.0, TAU), upper.range_mm(0.0, TAU));
        if high.0 - low.1 <= WHOLE_BELOW_MM {
            return vec![strip(Part::Whole, lower, upper)];
        }
        let square = |at_mm, lean| Edge { at_mm, cut: Cut::SQUARE, shaped: None, radius_mm, lean };
        let round = |mm: f64| (mm / wrap.round_mm()).floor() * wrap.round_mm();
        let other = |edge: &Edge| if edge.is_cut() { OtherEnd::LongPoint } else { OtherEnd::Square };
        let (from_upper, from_lower) = (other(&upper), other(&lower));
        let mut out = Vec::with_capacity(2);
        if lower.is_cut() {
            let far_mm = round(high.1 - low.1 - BAND_MM);
            let part = Part::Start { far_mm, from: from_upper };
            out.push(strip(part, lower, square(high.1 - far_mm, 1.0)));
        }
        if upper.is_cut() {
            let far_mm = round(high.0 - BAND_MM - low.0);
            out.push(strip(Part::End { far_mm, from: from_lower }, square(low.0 + far_mm, -1.0), upper));
        }
        out
    }

    /// Width of the strip, once round, mm.
    pub fn width_mm(&self) -> f64 {
        PI * (self.od_mm + self.paper_mm)
    }

    /// Place across the strip of clock `clock_rad` in [0, 2π], mm.
    pub fn x_mm(&self, clock_rad: f64) -> f64 {
        clock_rad / TAU * self.width_mm()
    }

    /// Clock angle at a place across the strip, rad.
    pub(super) fn clock_rad(&self, x_mm: f64) -> f64 {
        x_mm / self.width_mm() * TAU
    }

    /// Lowest and highest place of the strip along the travel, mm.
    pub fn extent_mm(&self) -> (f64, f64) {
        (self.lower.range_mm(0.0, TAU).0, self.upper.range_mm(0.0, TAU).1)
    }

    /// The outline as a closed line without its last point repeated: along the lower edge from the left, up the
    /// right side, back along the upper edge; round the notches that other tubes leave beside an edge. No chord is off the
    /// true curve by more than 0.01 mm.
    pub fn outline(&self) -> Vec<PointMm> {
        let along = |edge: &Edge| -> Vec<PointMm> {
            edge.line().into_iter().map(|(c, y)| (self.x_mm(c), y)).collect()
        };
        along(&self.lower).into_iter().chain(along(&self.upper).into_iter().rev()).collect()
    }

    /// The holes that other tubes leave inside the outline, and parts that are joined to it only across the seam; closed
    /// without their last points repeated.
    pub fn closed_lines(&self) -> Vec<Vec<PointMm>> {
        let holes = |edge: &Edge| -> Vec<Vec<PointMm>> {
            let closed = edge.closed_lines().into_iter();
            closed.map(|line| line.into_iter().map(|(c, y)| (self.x_mm(c), y)).collect()).collect()
        };
        let mut out = holes(&self.lower);
        out.extend(holes(&self.upper));
        out
    }

    /// Corners of the tab beyond the right side: on the seam below and above, then outside above and below.
    ///
    /// It lies under the strip's left side when glued and keeps inside both cuts there. `None` where the strip is
    /// too low at the seam.
    pub fn tab(&self) -> Option<[PointMm; 4]> {
        let tab_mm = TAB_MM.min(self.width_mm() * TAB_PART);
        let clock = self.clock_rad(tab_mm);
        let high = self.upper.range_mm(0.0, clock).0 - TAB_SHY_MM;
        let low = self.lower.range_mm(0.0, clock).1 + TAB_SHY_MM;
        let (right, slant) = (self.width_mm(), (0.15 * (high - low)).min(tab_mm / 2.0));
        let out = right + tab_mm;
        (high - low > TAB_SHY_MM).then_some([
            (right, low),
            (right, high),
            (out, high - slant),
            (out, low + slant),
        ])
    }

    /// Whether the long sides of both its cuts lie at one clock, so that one line shows both.
    pub(super) fn has_one_heel(&self) -> bool {
        match (self.lower.cut.heel_clock_rad, self.upper.cut.heel_clock_rad) {
            (Some(a), Some(b)) => {
                let apart = (a - b).rem_euclid(TAU);
                apart.min(TAU - apart) < ONE_LINE_RAD
            }
            (Some(_), None) | (None, Some(_)) => true,
            (None, None) => false,
        }
    }

    /// A name for its file, of letters, digits and dashes: the first mark, and which end where it is a band.
    pub fn file_stem(&self) -> String {
        let mark = self.names.first().map_or("template", String::as_str);
        let safe: String = mark.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
        match self.part {
            Part::Whole => safe,
            Part::Start { .. } => format!("{safe}-start"),
            Part::End { .. } => format!("{safe}-end"),
        }
    }
}
