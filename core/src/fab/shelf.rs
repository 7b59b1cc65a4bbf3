//! Slices lying ready, which need no sawing.

use super::piece::{Piece, PieceKind};
use crate::geom::tolerance::SAME_CLOCK_RAD;
use crate::model::{Project, TubeId};
use std::collections::BTreeMap;

/// A ready slice serves where its saw angle is within this (degrees) and its centreline within this (mm) of what
/// is wanted: no more than a careful cut is off.
const SAME_SAW_DEG: f64 = 0.05;
const SAME_LENGTH_MM: f64 = 0.1;

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

    /// Which of `pieces` are taken from the shelf; those are gone for the next run. Of those that have been `sawn` none is.
    pub fn take(&mut self, project: &Project, pieces: &[Piece], sawn: &[bool]) -> Vec<bool> {
        let is_sawn = |i: usize| sawn.get(i).copied().unwrap_or(false);
        let mut one = |(i, p)| !is_sawn(i) && self.take_one(project, p).unwrap_or(false);
        pieces.iter().enumerate().map(&mut one).collect()
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
            key: None,
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
        assert_eq!(shelf.take(&project, &wanted, &[]), [true, false, true, false]);
        assert_eq!(
            shelf.take(&project, &[slice(11.25, 12.0), slice(7.5, 12.0)], &[true, false]),
            [false, false]
        );
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
        assert_eq!(shelf.take(&project, &[turned, odd], &[]), [false, false]);
    }
}
