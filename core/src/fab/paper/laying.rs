//! Where a pipe ends that is built from numbers on paper, and how far one changed number moves that end.

use super::{GOOD_MM, GOOD_RAD, Miss};
use crate::fab::lay::{along, through};
use crate::fab::piece::Piece;
use crate::geom::Frame;
use crate::geom::vector::angle_between;
use glam::{DMat3, DVec3};
use std::ops::Range;

/// A miss as shift and turn, each as a part of what is good enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Offset {
    shift: DVec3,
    turn: DVec3,
}

impl Offset {
    /// From a shift in mm and a turn in rad.
    pub(super) fn new(shift_mm: DVec3, turn_rad: DVec3) -> Self {
        Self { shift: shift_mm / GOOD_MM, turn: turn_rad / GOOD_RAD }
    }

    /// The same as numbers to read.
    pub(super) fn miss(self) -> Miss {
        Miss { offset_mm: self.shift.length() * GOOD_MM, angle_rad: self.turn.length() * GOOD_RAD }
    }

    pub(super) fn squared(self) -> f64 {
        self.shift.length_squared() + self.turn.length_squared()
    }

    pub(super) fn plus(self, other: Self, sign: f64) -> Self {
        Self { shift: self.shift + other.shift * sign, turn: self.turn + other.turn * sign }
    }

    /// The same the other way.
    pub(super) fn turned_round(self) -> Self {
        Self { shift: -self.shift, turn: -self.turn }
    }
}

/// How pieces are put together, and where the last one should end.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laying<'a> {
    /// Face the first piece starts at.
    pub(super) start: Frame,
    /// What is trimmed off each piece when it is fitted, mm.
    pub(super) trim_mm: &'a [f64],
    /// How far each weld pushes its pieces apart, mm: see [`super::Exact::apart_mm`].
    pub(super) apart_mm: &'a [f64],
    /// Where the pipe should end.
    pub(super) wanted: Frame,
}

impl Laying<'_> {
    /// The frames before each piece and after the last, when they are trimmed, tacked and welded.
    pub(super) fn frames(&self, pieces: &[Piece]) -> Vec<Frame> {
        let mut frames = vec![self.start.forward(self.apart(0))];
        for i in 0..pieces.len() {
            let before = i.checked_sub(1).map(|b| &pieces[b]);
            let next = self.after(&frames[i], before, &pieces[i], i);
            frames.push(next);
        }
        if let Some(last) = frames.last_mut() {
            *last = last.forward(self.apart(pieces.len()));
        }
        frames
    }

    /// The miss of pieces that are put together so.
    pub(super) fn miss(&self, pieces: &[Piece]) -> Offset {
        self.frames(pieces).last().map_or(Offset::new(DVec3::ZERO, DVec3::ZERO), |end| self.offset(end))
    }

    /// The miss when of `pieces`, which lie in `frames`, those of `range` are replaced by `others`.
    ///
    /// What follows the last one that differs moves along as one rigid body, so it need not be laid again.
    pub(super) fn miss_with(
        &self,
        pieces: &[Piece],
        frames: &[Frame],
        range: Range<usize>,
        others: &[Piece],
    ) -> Offset {
        let end = frames[pieces.len()];
        let piece = |i: usize| {
            let changed = range.contains(&i).then(|| &others[i - range.start]);
            changed.unwrap_or(&pieces[i])
        };
        let mut frame = frames[range.start];
        // the piece after them leans on the last one's face
        let until = (range.end + 1).min(pieces.len());
        for i in range.start..until {
            frame = self.after(&frame, i.checked_sub(1).map(piece), piece(i), i);
        }
        if until == pieces.len() {
            return self.offset(&frame.forward(self.apart(until)));
        }
        let was = frames[until];
        let moved = axes(&frame) * axes(&was).transpose();
        let origin = frame.origin + moved * (end.origin - was.origin);
        self.offset(&Frame { origin, travel: moved * end.travel, index: moved * end.index })
    }

    /// The frame after piece `i`, from the one before it.
    fn after(&self, frame: &Frame, before: Option<&Piece>, piece: &Piece, i: usize) -> Frame {
        let begin = match before {
            Some(before) => through(&through(frame, &before.end).forward(self.apart(i)), &piece.start),
            None => *frame,
        };
        along(&begin, piece).forward(-self.trim_mm.get(i).copied().unwrap_or(0.0))
    }

    fn apart(&self, i: usize) -> f64 {
        self.apart_mm.get(i).copied().unwrap_or(0.0)
    }

    fn offset(&self, reached: &Frame) -> Offset {
        let angle_rad = angle_between(reached.travel, self.wanted.travel);
        let turn = self.wanted.travel.cross(reached.travel).normalize_or_zero() * angle_rad;
        Offset::new(reached.origin - self.wanted.origin, turn)
    }
}

fn axes(frame: &Frame) -> DMat3 {
    DMat3::from_cols(frame.travel, frame.index, frame.travel.cross(frame.index))
}
