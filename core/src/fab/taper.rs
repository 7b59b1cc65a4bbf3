//! Tapers of a run as parts: their shape, and what is wrong with them.

use super::cone::{Cone, ConeError, ConeShape};
use super::piece::{Piece, PieceKind, TaperCut};
use super::route::taper::RouteTaper;
use crate::finding::{Problem, Severity};
use crate::geom::tolerance::SAME_OD_MM;
use crate::model::Project;
use crate::units::{length, tube_size};

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
pub fn problems(project: &Project, taper: &RouteTaper) -> Vec<Problem> {
    let units = project.settings.units;
    let place = format!("leg {}", taper.taper.leg + 1);
    let say = |severity, code, text| Problem::Said { severity, code, place: place.clone(), text };
    let mut out = Vec::new();
    let (before, after) = (&taper.before, &taper.after);
    match cone(before.od_mm, taper.taper.length_mm, &taper.cut()) {
        Err(error) => out.push(say(Severity::Stop, "taper-shape", error.text(units))),
        // where the flow narrows it keeps to the walls by itself
        Ok(cone) if after.od_mm > before.od_mm => {
            out.extend(cone.note().map(|note| say(Severity::Note, "taper-wide", note.text(units))));
        }
        Ok(_) => {}
    }
    if !before.material.welds_to(after.material) {
        let text = format!(
            "The taper on {place} goes from {} to {}, which cannot be welded to each other: take a tube of the same metal.",
            before.material.name(),
            after.material.name()
        );
        out.push(say(Severity::Stop, "taper-metal", text));
    }
    if (before.od_mm - after.od_mm).abs() <= SAME_OD_MM && taper.taper.offset_mm.abs() <= SAME_OD_MM {
        let text = format!(
            "The taper on {place} goes from {size} to {size}, so it does nothing: choose the tube after it, or delete it.",
            size = tube_size(before.od_mm, units)
        );
        out.push(say(Severity::Note, "taper-same", text));
    }
    out
}

/// A taper that runs `by_mm` into a bend or what else is on its leg, where `most_mm` is left for it.
pub fn off_leg(project: &Project, leg: usize, by_mm: f64, most_mm: f64) -> Problem {
    let units = project.settings.units;
    let cure = if most_mm > 0.0 {
        format!("slide it along, make the straight longer, or take one of at most {}", length(most_mm, units))
    } else {
        "make the straight longer, or put it on another leg".to_owned()
    };
    Problem::Said {
        severity: Severity::Stop,
        code: "taper-off-leg",
        place: format!("leg {leg}"),
        text: format!(
            "The taper does not fit on the straight of leg {leg}: it runs {} into a bend or what else is there. To mend it, {cure}.",
            length(by_mm, units)
        ),
    }
}

#[cfg(test)]
mod tests;
