//! The places a run can be opened at.

use super::super::RunReport;
use super::super::lobes::port_of;
use super::{end_port, is_loose};
use crate::fab::PieceKind;
use crate::model::{JointKind, JointStyle, Project, Run};

/// A place a run can be opened at, in order along it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// Its start, where nothing holds it.
    Start,
    /// The joint that is this piece.
    Joint(usize),
    /// Its end, open or held by nothing.
    End,
}

impl Place {
    /// The first piece after it.
    pub(super) fn first_piece(self) -> usize {
        match self {
            Self::Start => 0,
            Self::Joint(piece) => piece + 1,
            Self::End => usize::MAX,
        }
    }

    /// The piece that the section before it ends before, of `count`.
    pub(super) fn last_piece(self, count: usize) -> usize {
        match self {
            Self::Start => 0,
            Self::Joint(piece) => piece,
            Self::End => count,
        }
    }
}

/// A place a run can be opened at, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opening {
    /// Where.
    pub place: Place,
    /// Mark and name of the joint and where it is, or what kind of end.
    pub words: String,
}

/// Whether a joint of this kind can be opened.
pub(super) fn opens(kind: &JointKind) -> bool {
    match kind.style {
        JointStyle::ClampCoupler
        | JointStyle::VBand
        | JointStyle::HoseAndClamps
        | JointStyle::SlipJoint
        | JointStyle::Flange => true,
        JointStyle::Flexible => false,
    }
}

/// The places at which a run can be opened, from its start on; ends that are welded to a part are none.
pub fn openings(project: &Project, run: &Run, result: &RunReport) -> Vec<Opening> {
    let built = &result.built;
    let mut out = Vec::new();
    let starts = project.hardpoint(run.start).filter(|port| is_loose(port));
    if let Some(port) = starts.filter(|_| built.is_buildable()) {
        out.push(Opening { place: Place::Start, words: format!("Loose end at {}", port.name) });
    }
    for (i, piece) in built.pieces.iter().enumerate() {
        let PieceKind::Joint(id) = piece.kind else { continue };
        let Some(kind) = project.joint(id).filter(|kind| opens(kind)) else { continue };
        let at = port_of(project, run, built, i).map_or_else(String::new, |p| format!(" at {}", p.name));
        out.push(Opening { place: Place::Joint(i), words: format!("{}, {}{at}", piece.mark, kind.name) });
    }
    if built.is_buildable() {
        match end_port(project, run) {
            None => out.push(Opening { place: Place::End, words: "Open end".to_owned() }),
            Some(port) if is_loose(port) => {
                out.push(Opening { place: Place::End, words: format!("Loose end at {}", port.name) });
            }
            Some(_) => {}
        }
    }
    out
}
