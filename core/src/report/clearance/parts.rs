//! The small parts of a run against each other and against what is beside them, which gaps along the run leave out.

use super::along::{Along, near_mm};
use super::subject::Subject;
use super::{ClearanceReport, boxes_apart_mm, entry};
use crate::fab::PieceKind;
use crate::fab::build::PlacedSolid;
use crate::geom::Solid;
use crate::model::Item;
use crate::space::lobe::LEAST_GAP_MM;
use crate::space::{Gap, gap_between, solid_bounds};

/// Parts that run into each other or into a joint of the run, and rooms to take things out that the run itself blocks.
pub(super) fn against_itself(subject: &Subject<'_>) -> Vec<ClearanceReport> {
    let parts = &subject.built.parts;
    let mut out = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        let own: Vec<&PlacedSolid> = subject.solids.iter().filter(|s| s.part == Some(i)).collect();
        // the later ones, so that each pair is told once
        let beside = subject.solids.iter().filter(|s| match s.part {
            Some(j) => j > i && collide(subject, i, j),
            None => is_joint(subject, s.piece) && part.weld_mm > 0.0,
        });
        let touching = beside.filter_map(|other| {
            let nearest = own.iter().filter_map(|mine| near(&mine.solid, &other.solid));
            nearest.min_by(|a, b| a.gap_mm.total_cmp(&b.gap_mm)).map(|gap| (other, gap))
        });
        if let Some((other, gap)) = touching.min_by(|a, b| a.1.gap_mm.total_cmp(&b.1.gap_mm))
            && let Some(mine) = own.first()
        {
            out.push(told(subject, mine, other, &gap));
        }
        if let Some(room) = &part.removal {
            let others = subject.solids.iter().filter(|s| match s.part {
                Some(j) => j != i && parts[j].shield.is_none(),
                None => true,
            });
            // its own piece only where that comes back to it
            let near_mm = near_mm(subject.widest_mm(), LEAST_GAP_MM);
            let (from_mm, to_mm) = (part.span_mm.0 - near_mm, part.span_mm.1 + near_mm);
            let blocked = others.filter_map(|other| {
                if other.part.is_some() || other.piece != part.piece {
                    return Some((other, near(room, &other.solid)?));
                }
                let own = Along::whole(other, parts);
                let away = [own.between(f64::NEG_INFINITY, from_mm), own.between(to_mm, f64::INFINITY)];
                let gaps = away.into_iter().flatten().filter_map(|stretch| near(room, &stretch.solid));
                Some((other, gaps.min_by(|a, b| a.gap_mm.total_cmp(&b.gap_mm))?))
            });
            if let Some((other, gap)) = blocked.min_by(|a, b| a.1.gap_mm.total_cmp(&b.1.gap_mm))
                && let Some(mine) = own.first()
            {
                out.push(ClearanceReport { tool: true, removal: true, ..told(subject, mine, other, &gap) });
            }
        }
    }
    out
}

/// Whether two parts must not touch: what stands in a shield goes through it, and a bead lies under what it likes.
fn collide(subject: &Subject<'_>, a: usize, b: usize) -> bool {
    let [a, b] = [a, b].map(|i| &subject.built.parts[i]);
    a.shield.is_some() == b.shield.is_some()
}

fn is_joint(subject: &Subject<'_>, piece: usize) -> bool {
    subject.built.pieces.get(piece).is_some_and(|p| matches!(p.kind, PieceKind::Joint(_)))
}

/// The gap of two solids that touch.
fn near(a: &Solid, b: &Solid) -> Option<Gap> {
    let apart = boxes_apart_mm(solid_bounds(a), solid_bounds(b)) >= LEAST_GAP_MM;
    if apart { None } else { gap_between(a, b, LEAST_GAP_MM) }
}

fn told(subject: &Subject<'_>, mine: &PlacedSolid, other: &PlacedSolid, gap: &Gap) -> ClearanceReport {
    let against = match other.part {
        Some(j) => format!("{} ({})", subject.built.parts[j].name, subject.built.parts[j].mark),
        None if other.lobe => format!("the lobe of {} of the same run", subject.mark(other.piece)),
        None => format!("{} of the same run", subject.mark(other.piece)),
    };
    let found = entry(subject, &against, Item::Run(subject.run.id), LEAST_GAP_MM, mine, gap);
    // a part can be slid along, so that it is no clash of pipes
    ClearanceReport { clash: false, ..found }
}
