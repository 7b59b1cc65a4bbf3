//! What is marked at the ends of pieces, and what meets there.

use super::Source;
use crate::fab::PieceKind;
use crate::model::JointKind;
use crate::report::{PieceReport, RunReport, WeldReport};

/// The kind of joint piece `index` is.
pub(super) fn joint<'a>(source: Source<'a>, run: &RunReport, index: usize) -> Option<&'a JointKind> {
    match run.built.pieces.get(index)?.kind {
        PieceKind::Joint(id) => source.project.joint(id),
        PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => None,
    }
}

/// Where the nut or lever of the joint that is piece `index` goes, degrees; none for other pieces and for joints that
/// are alike all round.
pub(super) fn lobe_clock_deg(source: Source<'_>, run: &RunReport, index: usize) -> Option<f64> {
    joint(source, run, index)?.lobe?;
    run.printed.get(index)?.lobe_clock_deg
}

/// What the mark that is lined up at a weld is: the heel of its cuts, the clock that a taper is set off to, or the outside
/// of an elbow.
pub(super) fn weld_word(run: &RunReport, weld: &WeldReport) -> &'static str {
    let tilted_end = |p: &PieceReport| p.end_cut_deg > 0.0;
    let before = weld.before.checked_sub(1).and_then(|i| run.printed.get(i)).is_some_and(tilted_end);
    let after = run.printed.get(weld.before).is_some_and(|p| p.start_cut_deg > 0.0);
    let elbow = |i: usize| run.printed.get(i).is_some_and(|p| p.bend.is_some());
    if before || after {
        "heel"
    } else if elbow(weld.before) || weld.before.checked_sub(1).is_some_and(elbow) {
        "outside"
    } else {
        "set off"
    }
}
