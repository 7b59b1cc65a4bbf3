//! Pieces that need no sawing: slices lying ready, and pieces that have been sawn already.

use super::piece::{Piece, PieceKind};
use crate::geom::tolerance::SAME_CLOCK_RAD;
use crate::model::{DonePiece, Project, TubeId};
use std::collections::BTreeMap;

/// A ready slice serves where its saw angle is within this (degrees) and its centreline within this (mm) of what
/// is wanted: no more than a careful cut is off.
const SAME_SAW_DEG: f64 = 0.05;
const SAME_LENGTH_MM: f64 = 0.1;
/// A piece that has been sawn still serves while its cuts are within this of what is wanted now, degrees, and its
/// length within [`DONE_MM`].
const DONE_DEG: f64 = 0.15;
/// A finer change than half of 1/32 in would not have been sawn otherwise, mm.
const DONE_MM: f64 = 0.4;

/// What is left on the shelf while runs take from it in order.
#[derive(Debug, Clone)]
pub struct Shelf {
    left: BTreeMap<TubeId, Vec<u32>>,
}

impl Shelf {
    /// The full shelf.
    pub fn new(project: &Project) -> Self {
        let counts = |t: &crate::model::Tube| (t.id, t.slices.iter().map(|s| s.count).collect());
        Self { left: project.tubes.iter().map(counts).collect() }
    }

    /// Which of `pieces` are taken from the shelf; those are gone for the next run.
    pub fn take(&mut self, project: &Project, pieces: &[Piece]) -> Vec<bool> {
        pieces.iter().map(|p| self.take_one(project, p).unwrap_or(false)).collect()
    }

    fn take_one(&mut self, project: &Project, piece: &Piece) -> Option<bool> {
        let keystone = piece.kind == PieceKind::Slice
            && piece.twist_rad().is_some_and(|t| t.abs() < SAME_CLOCK_RAD)
            && (piece.start.tilt_rad - piece.end.tilt_rad).abs() < 1e-9;
        if !keystone {
            return None;
        }
        let tube = project.tube(piece.tube)?;
        let left = self.left.get_mut(&piece.tube)?;
        let deg = piece.start.tilt_rad.to_degrees();
        let fits = |s: &crate::model::ReadySlice| {
            (s.saw_deg - deg).abs() <= SAME_SAW_DEG
                && (s.centre_mm(tube.od_mm) - piece.centre_mm).abs() <= SAME_LENGTH_MM
        };
        let at = (0..tube.slices.len()).find(|i| left[*i] > 0 && fits(&tube.slices[*i]))?;
        left[at] -= 1;
        Some(true)
    }
}

/// What is kept of a piece that has been sawn.
///
/// Of one with a shaped end that is the tube before the end is cut, which comes after sawing.
pub fn record(piece: &Piece) -> DonePiece {
    DonePiece {
        mark: piece.mark.clone(),
        tube: piece.tube,
        centre_mm: piece.blank().centre_mm,
        start_deg: piece.start.tilt_rad.to_degrees(),
        end_deg: piece.end.tilt_rad.to_degrees(),
        twist_deg: piece.twist_rad().map_or(0.0, f64::to_degrees),
    }
}

/// Whether a piece that is wanted has been sawn, and still fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sawn {
    /// Not yet.
    No,
    /// Yes, and it fits.
    Yes,
    /// One of its mark has been sawn, to another size than is wanted now.
    Otherwise,
}

/// Looks a piece up among those that have been sawn.
pub fn sawn(done: &[DonePiece], piece: &Piece) -> Sawn {
    let Some(old) = done.iter().find(|d| d.mark == piece.mark) else { return Sawn::No };
    let new = record(piece);
    let turn = (old.twist_deg - new.twist_deg + 180.0).rem_euclid(360.0) - 180.0;
    let fits = old.tube == new.tube
        && (old.centre_mm - new.centre_mm).abs() <= DONE_MM
        && (old.start_deg - new.start_deg).abs() <= DONE_DEG
        && (old.end_deg - new.end_deg).abs() <= DONE_DEG
        && turn.abs() <= 1.0;
    if fits { Sawn::Yes } else { Sawn::Otherwise }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fab::Cut;
    use crate::model::ReadySlice;
    use crate::testing::bench_project;

    fn slice(saw_deg: f64, throat_mm: f64) -> Piece {
        let cut = Cut::tilted(saw_deg.to_radians(), 0.4);
        Piece {
            mark: "A2".to_owned(),
            kind: PieceKind::Slice,
            tube: TubeId(10),
            od_mm: 63.5,
            centre_mm: throat_mm + 63.5 * saw_deg.to_radians().tan(),
            start: cut,
            end: cut,
            bend: Some(0),
            lobe_clock_rad: None,
            curves: [None, None],
        }
    }

    #[test]
    fn ready_slices_are_used_up_and_no_further() {
        let mut project = bench_project();
        project.tubes[0].slices = vec![
            ReadySlice { saw_deg: 7.5, throat_mm: 12.0, count: 2 },
            ReadySlice { saw_deg: 11.25, throat_mm: 12.0, count: 5 },
        ];
        let mut shelf = Shelf::new(&project);
        let wanted = vec![slice(7.5, 12.0), slice(7.5, 12.3), slice(7.5, 12.0), slice(7.5, 12.0)];
        assert_eq!(shelf.take(&project, &wanted), [true, false, true, false]);
        assert_eq!(shelf.take(&project, &[slice(11.25, 12.0), slice(7.5, 12.0)]), [true, false]);
    }

    #[test]
    fn a_turned_or_odd_slice_is_never_taken_from_the_shelf() {
        let mut project = bench_project();
        project.tubes[0].slices = vec![ReadySlice { saw_deg: 7.5, throat_mm: 12.0, count: 9 }];
        let mut shelf = Shelf::new(&project);
        let mut turned = slice(7.5, 12.0);
        turned.end = Cut::tilted(turned.end.tilt_rad, 1.0);
        let mut odd = slice(7.5, 12.0);
        odd.end = Cut::tilted(0.05, 0.4);
        assert_eq!(shelf.take(&project, &[turned, odd]), [false, false]);
    }

    #[test]
    fn a_sawn_piece_serves_until_it_is_changed() {
        let piece = slice(7.5, 12.0);
        let done = vec![record(&piece)];
        assert_eq!(sawn(&done, &piece), Sawn::Yes);
        assert_eq!(sawn(&done, &slice(7.5, 13.0)), Sawn::Otherwise);
        assert_eq!(sawn(&[], &piece), Sawn::No);
    }
}
