//! What is marked at the ends of pieces, and what meets there.

use super::Source;
use crate::fab::PieceKind;
use crate::model::JointKind;
use crate::report::{PieceReport, RunReport, WeldReport};

/// A mark round the end of a piece.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct EndMark {
    /// Clock angle from the index line, degrees.
    pub(super) clock_deg: f64,
    /// The joint it is for, or what else it is; nothing for the heel of a cut and the inside of an elbow.
    pub(super) word: String,
}

/// The mark at the start (or end) of piece `index`; none where only the index line is needed.
pub(super) fn mark(source: Source<'_>, run: &RunReport, index: usize, at_end: bool) -> Option<EndMark> {
    let piece = run.printed.get(index)?;
    let heel = if at_end { piece.end_heel_clock_deg } else { piece.start_heel_clock_deg };
    if let Some(clock_deg) = heel {
        return Some(EndMark { clock_deg, word: String::new() });
    }
    if let Some(clock_deg) = piece.taper.as_ref().and_then(|t| t.offset_clock_deg) {
        return Some(EndMark { clock_deg, word: "set off".to_owned() });
    }
    if let Some(bend) = piece.bend {
        return Some(EndMark { clock_deg: bend.throat_clock_deg, word: String::new() });
    }
    if piece.joint.is_some() {
        return None;
    }
    let beside = if at_end { index.checked_add(1)? } else { index.checked_sub(1)? };
    let clock_deg = lobe_clock_deg(source, run, beside)?;
    Some(EndMark { clock_deg, word: run.printed.get(beside)?.mark.clone() })
}

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

/// What lies before piece `index`, as `end of A3`; the part the run starts from before the first.
pub(super) fn before(run: &RunReport, index: usize) -> String {
    match index.checked_sub(1).and_then(|i| run.printed.get(i)) {
        Some(piece) if piece.joint.is_some() => piece.mark.clone(),
        Some(piece) => format!("end of {}", piece.mark),
        None => run.from.clone(),
    }
}

/// What lies after piece `index`, as `start of A4`; the part the run ends at after the last.
pub(super) fn after(run: &RunReport, index: usize) -> String {
    match run.printed.get(index + 1) {
        Some(piece) if piece.joint.is_some() => piece.mark.clone(),
        Some(piece) => format!("start of {}", piece.mark),
        None if run.ends_open => "the open end".to_owned(),
        None => run.to.clone(),
    }
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
