//! The straight stretches of a leg that a small part can sit on, and what each of them ends at.

use super::super::piece::{Piece, PieceKind};
use super::super::route::Route;
use super::super::wall::short_mm;
use crate::finding;
use crate::geom::Frame;
use crate::geom::tolerance::NO_LENGTH_MM;
use crate::model::Project;

/// A piece lies on a leg where its axis is off the line there by no more than this, mm: noise of laying many pieces.
const ON_LEG_MM: f64 = 0.01;

/// What a stretch ends at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Limit {
    /// The weld to a piece.
    Weld(String),
    /// The bend of the piece itself.
    Bend,
    /// A joint, by its mark.
    Joint(String),
    /// The end of the pipe.
    End,
}

/// A straight stretch of one piece; places count along the leg from its start vertex, mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Bed {
    /// Index of the piece.
    pub(super) piece: usize,
    /// Where it begins on its axis.
    pub(super) from_mm: f64,
    /// Where it ends on its axis.
    pub(super) to_mm: f64,
    /// Centre line of the piece before it, mm.
    pub(super) before_mm: f64,
    /// What it begins and ends at.
    pub(super) limits: [Limit; 2],
    /// How far the body of a joint beside it reaches over its start and its end, mm.
    pub(super) over_mm: [f64; 2],
}

/// What of the leg is no bed: a joint or a taper, from and to along the leg, mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Block {
    pub(super) from_mm: f64,
    pub(super) to_mm: f64,
    pub(super) mark: String,
    /// What it is, in a word.
    pub(super) what: finding::Block,
}

/// The beds of leg `number` of the route in order, and what lies between them.
pub(super) fn beds(
    project: &Project,
    (route, number): (&Route, usize),
    pieces: &[Piece],
    frames: &[(Frame, Frame)],
) -> (Vec<Bed>, Vec<Block>) {
    let Some(leg) = route.legs.get(number) else { return (Vec::new(), Vec::new()) };
    let (mut beds, mut blocks) = (Vec::new(), Vec::new());
    let on_leg = |frame: &Frame| {
        let along_mm = (frame.origin - leg.frame.origin).dot(leg.frame.travel);
        // an offset taper sets the line aside
        let off_mm =
            route.at(number, along_mm).map_or(f64::INFINITY, |line| line.origin.distance(frame.origin));
        let is_on = off_mm <= ON_LEG_MM
            && frame.travel.dot(leg.frame.travel) > 0.0
            && frame.travel.cross(leg.frame.travel).length() <= 1e-6
            && (-ON_LEG_MM..=leg.length_mm + ON_LEG_MM).contains(&along_mm);
        is_on.then_some(along_mm)
    };
    let beside = |other: Option<usize>| -> (Limit, f64) {
        let Some(piece) = other.and_then(|i| pieces.get(i)) else { return (Limit::End, 0.0) };
        match piece.kind {
            PieceKind::Joint(id) => {
                let body = project.joint(id).map_or(0.0, |j| (j.body_width_mm - j.make_up_mm) / 2.0);
                (Limit::Joint(piece.mark.clone()), body.max(0.0))
            }
            PieceKind::Straight | PieceKind::Slice | PieceKind::Elbow(_) | PieceKind::Taper(_) => {
                (Limit::Weld(piece.mark.clone()), 0.0)
            }
        }
    };
    for (i, (piece, (begin, end))) in pieces.iter().zip(frames).enumerate() {
        let (before, after) = (beside(i.checked_sub(1)), beside(Some(i + 1)));
        let mut add = |at: &Frame, length_mm: f64, before_mm: f64, limits: [(Limit, f64); 2]| {
            let Some(from_mm) = on_leg(at).filter(|_| length_mm > NO_LENGTH_MM) else { return };
            let over_mm = [limits[0].1, limits[1].1];
            let limits = limits.map(|l| l.0);
            beds.push(Bed { piece: i, from_mm, to_mm: from_mm + length_mm, before_mm, limits, over_mm });
        };
        let bend = || (Limit::Bend, 0.0);
        match piece.kind {
            PieceKind::Straight | PieceKind::Slice => add(begin, piece.centre_mm, 0.0, [before, after]),
            PieceKind::Elbow(e) => {
                add(begin, e.lead_mm, 0.0, [before, bend()]);
                add(&end.forward(-e.tail_mm), e.tail_mm, piece.centre_mm - e.tail_mm, [bend(), after]);
            }
            PieceKind::Joint(_) | PieceKind::Taper(_) => {
                if let Some(from_mm) = on_leg(begin) {
                    let is_joint = matches!(piece.kind, PieceKind::Joint(_));
                    let what = if is_joint { finding::Block::Joint } else { finding::Block::Taper };
                    let to_mm = from_mm + piece.centre_mm;
                    blocks.push(Block { from_mm, to_mm, mark: piece.mark.clone(), what });
                }
            }
        }
    }
    (beds, blocks)
}

impl Bed {
    /// From where to where a part may reach that goes `half_rad` to either side of a clock, mm along the leg; a part
    /// that goes under a hose may lie under the body of a joint.
    pub(super) fn room(
        &self,
        piece: &Piece,
        clock_rad: f64,
        half_rad: f64,
        under_joints: bool,
    ) -> (f64, f64) {
        let lost = |end: usize| {
            let body = if under_joints { 0.0 } else { self.over_mm[end] };
            if self.limits[end] == Limit::Bend {
                return 0.0;
            }
            short_mm(piece, end, clock_rad, half_rad) + body
        };
        (self.from_mm + lost(0), self.to_mm - lost(1))
    }
}
