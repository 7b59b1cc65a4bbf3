//! How the ends of branches are drawn: the tube reaches into its header, and the weld follows the saddle.

use super::scene::{Glow, Part, Shade, Tint};
use crate::fab::Built;
use crate::fab::build::PlacedSolid;
use crate::fab::end_curve::Shaped;
use crate::fab::limb::Edge;
use crate::fab::saddle::Saddle;
use crate::fab::{Weld, WeldKind};
use crate::geom::{Barrel, Solid};
use std::f64::consts::TAU;

/// Rods that a weld round a branch is drawn with.
const RODS: u32 = 48;
/// Their radius for the branch's, and the least, mm.
const ROD_SHARE: f64 = 0.035;
const LEAST_ROD_MM: f64 = 0.8;

/// The saddle at the start or the end of a run, if it has one there.
fn saddle(built: &Built, at_end: bool) -> Option<&Saddle> {
    let piece = if at_end { built.pieces.last() } else { built.pieces.first() }?;
    match &piece.curves[usize::from(at_end)].as_ref()?.shaped {
        Shaped::Saddle(saddle) => Some(saddle),
        Shaped::Merged { .. } => None,
    }
}

/// The solid as it is drawn: tube that ends on a header goes on to the deepest place of its cut, inside the header.
pub(super) fn reaching(built: &Built, placed: &PlacedSolid) -> Solid {
    let Solid::Barrel(mut barrel) = placed.solid else { return placed.solid };
    let deep = |at_end: bool| {
        let curve = built.pieces.get(placed.piece)?.curves[usize::from(at_end)].as_ref()?;
        saddle(built, at_end).map(|_| (-curve.range_mm().0).max(0.0))
    };
    if let Some(more_mm) = deep(false).filter(|_| placed.piece == 0) {
        barrel =
            Barrel { start: barrel.start.forward(-more_mm), length_mm: barrel.length_mm + more_mm, ..barrel };
    }
    if let Some(more_mm) = deep(true).filter(|_| placed.piece + 1 == built.pieces.len()) {
        barrel.length_mm += more_mm;
    }
    Solid::Barrel(barrel)
}

/// The weld of a branch as rods along it; `None` for other welds.
pub(super) fn weld(built: &Built, weld: &Weld) -> Option<Vec<Part>> {
    if weld.kind == WeldKind::Seam {
        return Some(seams(built, weld.before > 0));
    }
    if weld.kind != WeldKind::Saddle {
        return None;
    }
    let saddle = saddle(built, weld.before > 0)?;
    let shade = Shade { tint: Tint::Weld, glow: Glow::None };
    let radius_mm = (saddle.branch().radius_mm * ROD_SHARE).max(LEAST_ROD_MM);
    let point = |i: u32| saddle.point(Edge::Outside, TAU * f64::from(i) / f64::from(RODS));
    let rods = (0..RODS).map(|i| Part::Rod { from: point(i), to: point(i + 1), radius_mm, shade });
    Some(rods.collect())
}

/// The edge of an arm of a merge as rods along it; none for an outlet that is cut square.
fn seams(built: &Built, at_end: bool) -> Vec<Part> {
    let piece = if at_end { built.pieces.last() } else { built.pieces.first() };
    let frames = if at_end { built.frames.last().map(|f| f.1) } else { built.frames.first().map(|f| f.0) };
    let curve = piece.and_then(|p| p.curves[usize::from(at_end)].as_ref());
    let (Some(piece), Some(frame), Some(curve)) = (piece, frames, curve) else { return Vec::new() };
    let shade = Shade { tint: Tint::Weld, glow: Glow::None };
    let r = piece.od_mm / 2.0;
    let way = if at_end { -1.0 } else { 1.0 };
    let point = |i: u32| {
        let clock = TAU * f64::from(i) / f64::from(RODS);
        let along_mm = way * curve.at_mm(Edge::Outside, clock);
        frame.origin + frame.at_clock(clock) * r + frame.travel * along_mm
    };
    let radius_mm = (r * ROD_SHARE).max(LEAST_ROD_MM);
    (0..RODS).map(|i| Part::Rod { from: point(i), to: point(i + 1), radius_mm, shade }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Item, Seat, Spot};
    use crate::report::Report;
    use crate::space::scan::Scans;
    use crate::testing::{branch, run_through};
    use crate::view3d::{Emphasis, build_scene};
    use glam::DVec3;

    #[test]
    fn a_branch_is_drawn_into_its_header_with_the_weld_on_its_skin() {
        let (mut project, run) = run_through(&[DVec3::ZERO, DVec3::X * 600.0, DVec3::new(600.0, 700.0, 0.0)]);
        let spot = Spot::Leg { leg: 0, station_mm: 250.0 };
        let seat = Seat::Run { run: run.id, spot, clock_deg: 0.0, angle_deg: 90.0, offset_mm: 0.0 };
        let id = branch(&mut project, seat, 200.0);
        let report = Report::new(&project);
        let built = build_scene(&project, &report, &Scans::default(), &Emphasis::default());
        let item = built.scene.items.iter().find(|i| i.item == Item::Run(id)).unwrap();
        assert_eq!(built.pieces[&id].len(), item.parts.len());
        let Part::Solid(Solid::Barrel(tube), _) = &item.parts[0] else { panic!("no tube first") };
        // it begins inside the header and ends where it did
        assert!(tube.start.origin.z > 0.0 && tube.start.origin.z < 31.75 - 15.0, "{}", tube.start.origin);
        assert!((tube.axis().1.z - 231.75).abs() < 1e-9);
        let rods: Vec<_> = item
            .parts
            .iter()
            .filter_map(|p| if let Part::Rod { from, .. } = p { Some(*from) } else { None })
            .collect();
        assert_eq!(rods.len(), 48);
        assert!(rods.iter().all(|p| (p.y.hypot(p.z) - 31.75).abs() < 1e-6));
    }
}
