//! Where a place on a piece is marked with a tape laid on its outside: exactly, and on the piece as it is sawn.

use crate::fab::limb::Edge;
use crate::fab::paper::Paper;
use crate::fab::{Built, Piece, PieceKind};
use crate::units::{UnitSystem, rounded_for_paper_mm};

/// A place as a length along the outside of a piece at a clock, from its edge there, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Marked {
    /// On the exact piece.
    pub(super) exact_mm: f64,
    /// On the piece as it is sawn, with what is trimmed off and what is added for welds, on a step of the tape.
    pub(super) printed_mm: f64,
    /// Whether it is measured from the piece's end: on the far leg of an elbow.
    pub(super) from_end: bool,
}

/// The pieces of a run, exactly and as they are sawn.
#[derive(Clone, Copy)]
pub(super) struct Marking<'a> {
    /// The exact pieces.
    pub(super) built: &'a Built,
    /// The same as they are sawn.
    pub(super) paper: &'a Paper,
    /// The piece that is trimmed at its start when it is fitted.
    pub(super) trimmed_at_start: Option<usize>,
    /// Units of the tape.
    pub(super) units: UnitSystem,
}

impl Marking<'_> {
    /// Where a place of a piece is marked, given by its centre line from the piece's start and its clock; `None` where
    /// there is no such piece.
    pub(super) fn of(&self, index: usize, along_mm: f64, clock_rad: f64) -> Option<Marked> {
        let piece = self.built.pieces.get(index)?;
        let from_end =
            matches!(piece.kind, PieceKind::Elbow(e) if along_mm > e.lead_mm + e.clr_mm * e.angle_rad);
        let on = |piece: &Piece| {
            if from_end { piece.centre_mm - along_mm } else { from_edge_mm(piece, along_mm, clock_rad) }
        };
        let sawn_mm = match self.paper.pieces.get(index).filter(|_| piece.is_sawn()) {
            Some(sawn) => {
                let trim = self.paper.trim_mm.get(index).copied().unwrap_or(0.0);
                // what is added for a weld lies at that weld; what rounding changes is shared by both ends
                let (start_mm, welds_mm) = self.paper.welded_mm.get(index).copied().unwrap_or_default();
                let shift_mm = start_mm + (sawn.centre_mm - trim - welds_mm - piece.centre_mm) / 2.0;
                let first = if self.trimmed_at_start == Some(index) { trim } else { 0.0 };
                on(sawn) + shift_mm + first
            }
            None => on(piece),
        };
        Some(Marked { exact_mm: on(piece), printed_mm: rounded_for_paper_mm(sawn_mm, self.units), from_end })
    }
}

/// A place along a piece's centreline as a length along its outside at a clock from the edge of its start, mm.
fn from_edge_mm(piece: &Piece, along_mm: f64, clock_rad: f64) -> f64 {
    let r = piece.od_mm / 2.0;
    match piece.kind {
        PieceKind::Elbow(e) => {
            let round_mm = (along_mm - e.lead_mm).clamp(0.0, e.clr_mm * e.angle_rad);
            let outside = 1.0 - r * (clock_rad - e.throat_clock_rad).cos() / e.clr_mm;
            along_mm - round_mm + round_mm * outside
        }
        // along the line of its side
        PieceKind::Taper(t) => {
            let away = t.offset_mm * (clock_rad - t.offset_clock_rad).cos();
            let (across, aside) = (
                away + (t.end_od_mm - piece.od_mm) / 2.0,
                t.offset_mm * (clock_rad - t.offset_clock_rad).sin(),
            );
            along_mm * piece.centre_mm.hypot(across.hypot(aside)) / piece.centre_mm
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Joint(_) => {
            let shaped = piece.curves[0].as_ref().map_or(0.0, |c| c.at_mm(Edge::Outside, clock_rad));
            along_mm + piece.start.adds_mm(r, clock_rad) - shaped
        }
    }
}

#[cfg(test)]
mod tests;
