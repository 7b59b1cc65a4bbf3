//! Tapers of a run as parts: their shape, and what is wrong with them.

use super::cone::{Cone, ConeError, ConeShape};
use super::piece::{Piece, PieceKind, TaperCut};
use super::route::taper::RouteTaper;
use crate::finding::TaperProblem;
use crate::geom::tolerance::SAME_OD_MM;

/// The shape of a taper piece, or why it cannot be made; `None` for another piece.
pub fn cone_of(piece: &Piece) -> Option<Result<Cone, ConeError>> {
    let PieceKind::Taper(t) = piece.kind else { return None };
    Some(cone(piece.od_mm, piece.centre_mm, &t))
}

/// The shape of a taper that begins with `od_mm` and is `length_mm` long.
fn cone(od_mm: f64, length_mm: f64, t: &TaperCut) -> Result<Cone, ConeError> {
    let (seam_clock_rad, lap_mm) = t.rolled.unwrap_or_default();
    Cone::new(ConeShape {
        first_mm: od_mm / 2.0,
        second_mm: t.end_od_mm / 2.0,
        length_mm,
        wall_mm: t.wall_mm,
        offset_mm: t.offset_mm,
        offset_clock_rad: t.offset_clock_rad,
        seam_clock_rad,
        lap_mm,
    })
}

/// What is wrong with a taper by itself.
pub fn problems(taper: &RouteTaper) -> Vec<TaperProblem> {
    let leg = taper.taper.leg + 1;
    let mut out = Vec::new();
    let (before, after) = (&taper.before, &taper.after);
    match cone(before.od_mm, taper.taper.length_mm, &taper.cut()) {
        Err(error) => out.push(TaperProblem::Shape { leg, error }),
        // where the flow narrows it keeps to the walls by itself
        Ok(cone) if after.od_mm > before.od_mm => {
            out.extend(cone.note().map(|note| TaperProblem::Wide { leg, note }));
        }
        Ok(_) => {}
    }
    if !before.material.welds_to(after.material) {
        out.push(TaperProblem::Metal { leg, before: before.material, after: after.material });
    }
    if (before.od_mm - after.od_mm).abs() <= SAME_OD_MM && taper.taper.offset_mm.abs() <= SAME_OD_MM {
        out.push(TaperProblem::Same { leg, od_mm: before.od_mm });
    }
    out
}

#[cfg(test)]
mod tests;
