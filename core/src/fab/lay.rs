//! Laying pieces end to end, as they will be welded, and the solids they fill.

use super::piece::{Cut, Piece, PieceKind};
use crate::geom::{Barrel, Elbow, Frame, Frustum, Solid};
use std::f64::consts::PI;

/// The frame after a joint plane: turned by the tilt of one face, away from its heel.
pub fn through(frame: &Frame, cut: &Cut) -> Frame {
    match cut.heel_clock_rad {
        Some(heel) => frame.tilted(heel + PI, cut.tilt_rad),
        None => *frame,
    }
}

/// The frame at the end of a piece's own centreline, from the one at its start.
pub fn along(frame: &Frame, piece: &Piece) -> Frame {
    match piece.kind {
        PieceKind::Elbow(e) => {
            frame.forward(e.lead_mm).around(e.throat_clock_rad, e.clr_mm, e.angle_rad).forward(e.tail_mm)
        }
        PieceKind::Taper(t) => {
            let end = frame.forward(piece.centre_mm);
            Frame { origin: end.origin + end.at_clock(t.offset_clock_rad) * t.offset_mm, ..end }
        }
        PieceKind::Straight | PieceKind::Slice | PieceKind::Joint(_) => frame.forward(piece.centre_mm),
    }
}

/// Start and end frames of every piece, each laid against the one before.
///
/// Only the pieces' own numbers are used, so the last frame shows where the pipe really ends.
pub fn lay(start: Frame, pieces: &[Piece]) -> Vec<(Frame, Frame)> {
    let mut out = Vec::with_capacity(pieces.len());
    let mut frame = start;
    for (i, piece) in pieces.iter().enumerate() {
        if i > 0 {
            frame = through(&frame, &pieces[i - 1].end);
        }
        // the first piece's own start tilt leans its face, not its axis
        let begin = if i > 0 { through(&frame, &piece.start) } else { frame };
        let end = along(&begin, piece);
        out.push((begin, end));
        frame = end;
    }
    out
}

/// The solids of a piece laid from `begin`: tube as barrel, elbow as leg, arc and leg.
///
/// A joint has its own body and is placed by the caller.
pub fn solids(begin: &Frame, piece: &Piece) -> Vec<Solid> {
    let radius_mm = piece.od_mm / 2.0;
    let square = |start: Frame, length_mm: f64| {
        Solid::Barrel(Barrel {
            start,
            length_mm,
            radius_mm,
            start_normal: start.travel,
            end_normal: start.travel,
        })
    };
    match piece.kind {
        PieceKind::Straight | PieceKind::Slice => vec![Solid::Barrel(Barrel {
            start: *begin,
            length_mm: piece.centre_mm,
            radius_mm,
            start_normal: face_normal(begin, &piece.start, 1.0),
            end_normal: face_normal(begin, &piece.end, -1.0),
        })],
        PieceKind::Elbow(e) => {
            let arc = begin.forward(e.lead_mm);
            let mut parts = Vec::with_capacity(3);
            if e.lead_mm > 0.0 {
                parts.push(square(*begin, e.lead_mm));
            }
            parts.push(Solid::Elbow(Elbow {
                start: arc,
                toward: arc.at_clock(e.throat_clock_rad),
                clr_mm: e.clr_mm,
                angle_rad: e.angle_rad,
                radius_mm,
            }));
            if e.tail_mm > 0.0 {
                parts.push(square(arc.around(e.throat_clock_rad, e.clr_mm, e.angle_rad), e.tail_mm));
            }
            parts
        }
        PieceKind::Taper(t) => vec![Solid::Frustum(Frustum {
            start: *begin,
            length_mm: piece.centre_mm,
            start_radius_mm: radius_mm,
            end_radius_mm: t.end_od_mm / 2.0,
            shift: begin.at_clock(t.offset_clock_rad) * t.offset_mm,
        })],
        PieceKind::Joint(_) => Vec::new(),
    }
}

/// Unit normal of a face: the heel reaches back at the start (`lean` +1) and on at the end (`lean` −1).
fn face_normal(frame: &Frame, cut: &Cut, lean: f64) -> glam::DVec3 {
    let (sin, cos) = cut.tilt_rad.sin_cos();
    frame.travel * cos + frame.at_clock(cut.heel_clock_rad.unwrap_or(0.0)) * (lean * sin)
}
