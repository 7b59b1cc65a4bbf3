//! Where pieces lie and how their shaped ends run, for programs that check what is drawn.

use super::names::PieceEnd;
use crate::fab::end_curve::{EndCurve, Shaped};
use crate::fab::limb::Edge;
use crate::fab::saddle::Saddle;
use crate::fab::{Built, Piece};
use crate::geom::Frame;
use glam::DVec3;
use serde::ser::SerializeStruct as _;
use serde::{Serialize, Serializer};
use std::f64::consts::TAU;
use std::sync::Arc;

/// Clocks at which a shaped end is written: every five degrees.
const CLOCKS: u32 = 72;

/// A place on a centreline with the way it runs and its index line, in the project's axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FrameReport {
    /// The place, mm.
    pub at_mm: DVec3,
    /// Unit direction of the travel.
    pub travel: DVec3,
    /// Unit direction of the index line, clock 0.
    pub index: DVec3,
}

impl From<Frame> for FrameReport {
    fn from(frame: Frame) -> Self {
        Self { at_mm: frame.origin, travel: frame.travel, index: frame.index }
    }
}

/// Where an exact piece lies.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidReport {
    /// Mark of the piece.
    pub mark: String,
    /// Where its centreline starts.
    pub start: FrameReport,
    /// Where it ends.
    pub end: FrameReport,
}

/// The exact pieces of a run as they lie.
pub(super) fn laid(built: &Built) -> Vec<LaidReport> {
    let one = |(piece, (start, end)): (&Piece, &(Frame, Frame))| LaidReport {
        mark: piece.mark.clone(),
        start: (*start).into(),
        end: (*end).into(),
    };
    built.pieces.iter().zip(&built.frames).map(one).collect()
}

/// An end that is shaped to another pipe.
///
/// It is written with what a square end at the centreline's end would lose at every five degrees of clock, mm: on the
/// outside, at the bore, and at the seat, which is what a cut square to the wall follows. Notches are what lies in the bores of
/// branches beside it: closed lines of clock, degrees, and the same length, mm, on the outside.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapedEndReport {
    /// Which end of the piece.
    pub end: PieceEnd,
    /// Its curve.
    curve: Arc<EndCurve>,
}

impl Serialize for ShapedEndReport {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let clock = |i: u32| TAU * f64::from(i) / f64::from(CLOCKS);
        let along = |edge| (0..CLOCKS).map(|i| self.curve.at_mm(edge, clock(i))).collect::<Vec<f64>>();
        let deg = |line: Vec<(f64, f64)>| -> Vec<[f64; 2]> {
            line.into_iter().map(|(clock, mm)| [clock.to_degrees(), mm]).collect()
        };
        let notches: Vec<Vec<[f64; 2]>> = self.curve.bitten_out(Edge::Outside).into_iter().map(deg).collect();
        let mut out = serializer.serialize_struct("ShapedEndReport", 7)?;
        out.serialize_field("end", &self.end)?;
        let to = match self.curve.shaped {
            Shaped::Saddle(_) => "side",
            Shaped::Merged { .. } => "merge",
        };
        out.serialize_field("to", to)?;
        out.serialize_field("step_deg", &(360.0 / f64::from(CLOCKS)))?;
        out.serialize_field("outside_mm", &along(Edge::Outside))?;
        out.serialize_field("bore_mm", &along(Edge::Inside))?;
        out.serialize_field("seat_mm", &along(Edge::Seat))?;
        out.serialize_field("notches", &notches)?;
        out.end()
    }
}

/// The cut of a tube or bar that sits on the side of a round one, by itself: of a flange's stub, or of a coped bar.
///
/// It is written with how far along the tube from `from` the cut runs at every five degrees of its clock, mm, positive the way
/// the tube lies: on the outside, at the bore, and at the seat. Solid bar has its outside only.
#[derive(Debug, Clone, PartialEq)]
pub struct CopeReport {
    saddle: Arc<Saddle>,
    has_bore: bool,
}

impl CopeReport {
    /// The cut of `saddle`; of a solid bar where it has no bore.
    pub(super) fn new(saddle: &Arc<Saddle>, has_bore: bool) -> Self {
        Self { saddle: Arc::clone(saddle), has_bore }
    }

    /// A place of its axis, with the travel and the index line that its clocks count from.
    pub fn from(&self) -> FrameReport {
        self.saddle.branch().frame.into()
    }

    /// Unit direction the tube lies in from the cut.
    pub fn along(&self) -> DVec3 {
        self.saddle.branch().away()
    }

    /// A place of the axis of what it sits on, next to its own, with the way that runs; none where it has none.
    pub fn onto(&self) -> Option<FrameReport> {
        self.saddle.header_axis().map(FrameReport::from)
    }
}

impl Serialize for CopeReport {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let clock = |i: u32| TAU * f64::from(i) / f64::from(CLOCKS);
        let along = |edge| (0..CLOCKS).map(|i| self.saddle.met(edge, clock(i)).at_mm).collect::<Vec<f64>>();
        let bored = |edge| self.has_bore.then(|| along(edge));
        let mut out = serializer.serialize_struct("CopeReport", 9)?;
        out.serialize_field("from", &self.from())?;
        out.serialize_field("along", &self.along())?;
        out.serialize_field("onto", &self.onto())?;
        out.serialize_field("angle_deg", &self.saddle.angle_rad().to_degrees())?;
        out.serialize_field("offset_mm", &self.saddle.offset_mm())?;
        out.serialize_field("step_deg", &(360.0 / f64::from(CLOCKS)))?;
        out.serialize_field("outside_mm", &along(Edge::Outside))?;
        out.serialize_field("bore_mm", &bored(Edge::Inside))?;
        out.serialize_field("seat_mm", &bored(Edge::Seat))?;
        out.end()
    }
}

/// The shaped ends of a piece.
pub(super) fn shaped_ends(piece: &Piece) -> Vec<ShapedEndReport> {
    let end = |(i, curve): (usize, &Option<Arc<EndCurve>>)| {
        Some(ShapedEndReport { end: PieceEnd::of(i == 1), curve: Arc::clone(curve.as_ref()?) })
    };
    piece.curves.iter().enumerate().filter_map(end).collect()
}
