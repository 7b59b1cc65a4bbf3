//! Pieces from a polyline, pieces laid from the open face, and what they leave at the hardpoint.

use super::gap::Gap;
use glam::DVec3;
use pipeloft_core::fab::lay::{along, through};
use pipeloft_core::fab::{Cut, Piece, PieceKind};
use pipeloft_core::geom::Frame;
use pipeloft_core::geom::tolerance::{NO_LENGTH_MM, PARALLEL_RAD};
use pipeloft_core::geom::vector::{angle_between, unit};
use serde::Serialize;
use std::f64::consts::PI;

/// What closes is no further off than this, mm and rad: a tenth of what a scribed line is wide.
pub(super) const CLOSED_MM: f64 = 0.01;
pub(super) const CLOSED_RAD: f64 = 0.01 * PI / 180.0;

/// A miss that is less than what a tack moves, mm and rad (common practice, no source).
pub(super) const TACK_MM: f64 = 0.5;
pub(super) const TACK_RAD: f64 = 0.2 * PI / 180.0;

/// What an offer leaves at the hardpoint.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Left {
    /// How far the last face stays away along the axis of the hardpoint, mm; below zero it would go into the part.
    pub gap_mm: f64,
    /// How far it is off that axis, mm.
    pub offset_mm: f64,
    /// How far it leans, degrees.
    pub angle_deg: f64,
}

impl Left {
    /// What tube that ends at `end` leaves to `to`.
    pub fn between(end: &Frame, to: &Frame) -> Self {
        let miss = to.origin - end.origin;
        let gap_mm = miss.dot(to.travel);
        Self {
            gap_mm,
            offset_mm: (miss - to.travel * gap_mm).length(),
            angle_deg: angle_between(end.travel, to.travel).to_degrees(),
        }
    }

    /// Whether nothing is left that could be measured: 0.01 mm and 0.01°.
    pub fn is_closed(&self) -> bool {
        self.gap_mm.hypot(self.offset_mm) <= CLOSED_MM && self.angle_deg.to_radians() <= CLOSED_RAD
    }

    /// Whether no more is left than a tack moves: 0.5 mm and 0.2°.
    pub fn is_tacked_out(&self) -> bool {
        self.gap_mm.hypot(self.offset_mm) <= TACK_MM && self.angle_deg.to_radians() <= TACK_RAD
    }

    /// One number for how bad it is, mm: the distance, and the wedge that the lean opens across the tube.
    pub fn mismatch_mm(&self, od_mm: f64) -> f64 {
        self.gap_mm.hypot(self.offset_mm).hypot(2.0 * od_mm * (self.angle_deg.to_radians() / 2.0).sin())
    }
}

/// Where pieces end that are laid one after the other from a square face: each turns by its own cuts.
pub fn end_of(from: &Frame, pieces: &[Piece]) -> Frame {
    pieces.iter().fold(*from, |frame, p| through(&along(&through(&frame, &p.start), p), &p.end))
}

/// What `pieces`, laid from the open face of `gap`, leave where the tube has to end.
pub fn left_by(gap: &Gap, pieces: &[Piece]) -> Left {
    Left::between(&end_of(&gap.from, pieces), &gap.to)
}

/// A piece of the tube of the gap.
pub(super) fn tube(gap: &Gap, centre_mm: f64, [start, end]: [Cut; 2]) -> Piece {
    let both = start.tilt_rad > 0.0 && end.tilt_rad > 0.0;
    Piece {
        mark: String::new(),
        key: None,
        kind: if both { PieceKind::Slice } else { PieceKind::Straight },
        tube: gap.tube.id,
        od_mm: gap.tube.od_mm,
        centre_mm,
        start,
        end,
        bend: None,
        lobe_clock_rad: None,
        curves: [None, None],
    }
}

/// The pieces along `points`, from the open face on, each corner a mitre; the tube ends travelling along `arrival`.
/// `None` where two points coincide.
pub(super) fn along_points(gap: &Gap, points: &[DVec3], arrival: DVec3) -> Option<Vec<Piece>> {
    let ways: Option<Vec<DVec3>> = points.windows(2).map(|w| unit(w[1] - w[0])).collect();
    let ways = ways?;
    let mut frame = gap.from;
    let mut cuts: Vec<[Cut; 2]> = Vec::with_capacity(ways.len() + 1);
    for (i, way) in ways.iter().chain(std::iter::once(&arrival)).enumerate() {
        let kink_rad = angle_between(frame.travel, *way);
        // against a square face the piece has all of it
        let at_face = i == 0 || i == ways.len();
        let (before, after) = if kink_rad <= PARALLEL_RAD {
            (Cut::SQUARE, Cut::SQUARE)
        } else {
            let heel_rad = frame.clock_of(*way) + PI;
            let tilted = |share: f64| Cut::tilted(kink_rad * share, heel_rad);
            let clock_rad = heel_rad + PI;
            frame = frame.tilted(clock_rad, kink_rad);
            match (at_face, i == 0) {
                (true, true) => (Cut::SQUARE, tilted(1.0)),
                (true, false) => (tilted(1.0), Cut::SQUARE),
                (false, _) => (tilted(0.5), tilted(0.5)),
            }
        };
        if let Some(last) = cuts.last_mut() {
            last[1] = before;
        }
        cuts.push([after, Cut::SQUARE]);
    }
    let lengths = points.windows(2).map(|w| w[0].distance(w[1]));
    let pieces: Vec<Piece> = lengths.zip(cuts).map(|(mm, cuts)| tube(gap, mm, cuts)).collect();
    Some(pieces)
}

/// Whether a piece can be sawn and welded: its short side is long enough and the saw reaches its cuts.
pub(super) fn can_be_made(gap: &Gap, piece: &Piece) -> bool {
    let (_, short_mm) = piece.long_short_mm();
    let most = piece.start.tilt_rad.max(piece.end.tilt_rad);
    short_mm >= gap.least_mm - NO_LENGTH_MM && most <= gap.most_saw_rad + PARALLEL_RAD
}
