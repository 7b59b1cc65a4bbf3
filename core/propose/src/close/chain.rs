//! Chains of slices turned on their faces between two straights, and cuts on the saw's steps.

use super::gap::Gap;
use super::lay::tube;
use glam::DVec3;
use pipeloft_core::fab::lay::through;
use pipeloft_core::fab::{Cut, Piece};
use pipeloft_core::geom::Frame;

/// The pieces with the cuts that are sawn set to the nearest step of the saw.
pub(super) fn on_steps(gap: &Gap, pieces: &[Piece], ready: &[bool]) -> Vec<Piece> {
    let step = gap.saw_step_rad;
    let round = |cut: Cut| match cut.heel_clock_rad {
        Some(heel) if step > 0.0 => Cut::tilted((cut.tilt_rad / step).round() * step, heel),
        _ => cut,
    };
    let one = |(i, p): (usize, &Piece)| {
        let is_ready = ready.get(i).copied().unwrap_or(false);
        if is_ready { p.clone() } else { Piece { start: round(p.start), end: round(p.end), ..p.clone() } }
    };
    pieces.iter().enumerate().map(one).collect()
}

/// A slice as it lies ready.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slice {
    /// Tilt of both its faces, rad.
    pub(super) tilt_rad: f64,
    /// Along its centreline, mm.
    pub(super) centre_mm: f64,
}

/// How a chain is set: `[length of the first straight, clock of its cut, turn of each slice on the face before it…,
/// length of the last straight]`, mm and rad. The last straight's cut follows the last slice.
pub(super) type Setting = Vec<f64>;

/// One way an end can still be moved: a shift along, or a turn about an axis through a point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Screw {
    /// The axis, of length one.
    pub(super) axis: DVec3,
    /// Where it passes; none for a shift.
    pub(super) through: Option<DVec3>,
}

/// Slices in order between two straights.
#[derive(Debug, Clone, Copy)]
pub(super) struct Chain<'a> {
    /// The gap it stands in.
    pub(super) gap: &'a Gap,
    /// Its slices.
    pub(super) slices: &'a [Slice],
}

impl Chain<'_> {
    /// Where it ends when laid from `from`, and how each number of its setting moves that.
    pub(super) fn lay(&self, from: &Frame, q: &[f64]) -> (Frame, Vec<Screw>) {
        let turn = |frame: &Frame| Screw { axis: frame.travel, through: Some(frame.origin) };
        let mut screws = vec![Screw { axis: from.travel, through: None }, turn(from)];
        let mut frame = from.forward(q[0]);
        let mut clock = q[1];
        let mut face = Cut { tilt_rad: self.slices[0].tilt_rad, heel_clock_rad: Some(clock) };
        for (slice, psi) in self.slices.iter().zip(&q[2..]) {
            frame = through(&frame, &face);
            screws.push(turn(&frame));
            clock += psi;
            face = Cut { tilt_rad: slice.tilt_rad, heel_clock_rad: Some(clock) };
            frame = through(&frame, &face).forward(slice.centre_mm);
        }
        frame = through(&through(&frame, &face), &face);
        screws.push(Screw { axis: frame.travel, through: None });
        (frame.forward(q[q.len() - 1]), screws)
    }

    /// Its pieces.
    pub(super) fn pieces(&self, q: &[f64]) -> Vec<Piece> {
        let mut clock = q[1];
        let first = Cut::tilted(self.slices[0].tilt_rad, clock);
        let mut out = vec![tube(self.gap, q[0], [Cut::SQUARE, first])];
        let mut last = first;
        for (slice, psi) in self.slices.iter().zip(&q[2..]) {
            clock += psi;
            last = Cut::tilted(slice.tilt_rad, clock);
            out.push(tube(self.gap, slice.centre_mm, [last, last]));
        }
        out.push(tube(self.gap, q[q.len() - 1], [last, Cut::SQUARE]));
        out
    }

    /// The least lengths of its two straights, mm.
    pub(super) fn least_mm(&self) -> [f64; 2] {
        let stub = |s: Option<&Slice>| s.map_or(0.0, |s| self.gap.stub_mm(s.tilt_rad, self.gap.least_mm));
        [stub(self.slices.first()), stub(self.slices.last())]
    }
}
