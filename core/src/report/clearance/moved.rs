//! The same gaps where bodies move.
use super::ClearanceReport;
use super::pairs::Stubs;
use super::subject::Subject;
use crate::model::{Obstacle, Project};
use crate::space::PlacedShape;
pub(super) fn most_shift_mm(_project: &Project) -> f64 {
    0.0
}
pub(super) fn moved_to_obstacle(
    _s: &Subject<'_>,
    _o: &Obstacle,
    _sh: &PlacedShape,
    _st: Stubs,
    _r: f64,
    drawn: Option<ClearanceReport>,
) -> Option<ClearanceReport> {
    drawn
}
pub(super) fn moved_to_run(
    _s: &Subject<'_>,
    _o: &Subject<'_>,
    _st: Stubs,
    _r: f64,
    drawn: Option<[ClearanceReport; 2]>,
) -> Option<[ClearanceReport; 2]> {
    drawn
}
