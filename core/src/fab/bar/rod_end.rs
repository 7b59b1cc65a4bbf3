//! A rod end with a male thread, screwed into the end of a bar.
//!
//! Along the bar from the eye: the shoulder, the plain part of the shank, its thread as far as the tip. The thread
//! goes into the bar's socket by `x`; the lock nut sits on what is left of it in front of the socket:
//!
//! ```text
//!  eye ──shoulder──plain──[nut]═thread═tip
//!                              |── x ──|
//!                              face of the socket
//! ```
//!
//! So the eye stands `eye to tip − x` from the socket's face. `x` is at least the least engagement, and at most
//! what leaves the nut its thickness of thread and does not touch the bottom of a blind socket.

use super::error::{OR_NONE_MM, SIZE_MM, length_in, number_in};
use crate::finding::{BarError, BarProblem, Side};
pub use crate::model::{RodEnd, Socket};

/// Least engagement as a multiple of the thread's diameter (common practice, no source).
pub const USUAL_ENGAGEMENT: f64 = 1.5;

/// Range of the least engagement, as a multiple of the thread's diameter.
const ENGAGEMENT: (f64, f64) = (0.5, 5.0);

/// Lengths along a thread closer than this (mm) are one: far below a scribe line, far above noise.
const SAME_MM: f64 = 1e-9;

impl RodEnd {
    /// From the eye's centre to the tip, mm.
    pub fn eye_to_tip_mm(&self) -> f64 {
        self.eye_to_shoulder_mm + self.shank_mm
    }

    /// Least engagement, mm.
    pub fn least_mm(&self) -> f64 {
        self.least_engagement * self.thread_dia_mm
    }

    /// Furthest it can be screwed in, mm: the nut keeps its thread, and a blind socket is not bottomed.
    pub fn most_mm(&self) -> f64 {
        let free = self.thread_mm - self.nut_mm;
        if self.socket.through { free } else { free.min(self.socket.tapped_mm) }
    }

    /// Thread that holds when it is screwed in by `x_mm`, mm: past the end of a through socket none is added.
    pub fn engaged_mm(&self, x_mm: f64) -> f64 {
        x_mm.min(self.socket.tapped_mm)
    }

    /// From the eye's centre to the bar's sawn end when it is screwed in by `x_mm`, mm.
    pub fn take_mm(&self, x_mm: f64) -> f64 {
        self.eye_to_tip_mm() - x_mm + self.socket.stand_mm
    }

    /// Room that socket and shank need inside the bar's end when it is screwed in by `x_mm`, mm.
    pub fn inside_mm(&self, x_mm: f64) -> f64 {
        let deep = if self.socket.through { self.socket.tapped_mm.max(x_mm) } else { self.socket.tapped_mm };
        (deep - self.socket.stand_mm).max(0.0)
    }

    /// How far it is screwed in, mm: as entered, else the middle of what it can be, which leaves as much to
    /// lengthen as to shorten; where the thread does not reach the least engagement, as far as it goes.
    pub fn setting_mm(&self) -> f64 {
        let (least, most) = (self.least_mm(), self.most_mm());
        self.screwed_in_mm.unwrap_or(if least <= most { least.midpoint(most) } else { most })
    }

    /// How far it can be screwed out and in from `x_mm`, mm: what the bar can be lengthened and shortened by.
    pub fn room_mm(&self, x_mm: f64) -> (f64, f64) {
        let (least, most) = (self.least_mm(), self.most_mm());
        if self.engaged_mm(most) < least - SAME_MM {
            return (0.0, 0.0);
        }
        ((x_mm - least).max(0.0), (most - x_mm).max(0.0))
    }

    /// Whether its sizes can be worked with.
    pub fn check(&self, side: Side) -> Result<(), BarError> {
        let at = |what: &str| format!("{what} of the rod end at the {}", side.word());
        length_in(&at("The thread diameter"), self.thread_dia_mm, (1.0, 200.0))?;
        length_in(&at("The thread pitch"), self.pitch_mm, (0.1, self.thread_dia_mm / 2.0))?;
        length_in(&at("Eye centre to shoulder"), self.eye_to_shoulder_mm, OR_NONE_MM)?;
        length_in(&at("The shank"), self.shank_mm, SIZE_MM)?;
        length_in(&at("The thread length"), self.thread_mm, (SIZE_MM.0, self.shank_mm))?;
        length_in(&at("The lock nut"), self.nut_mm, (0.0, self.thread_mm))?;
        number_in(
            &at("The least engagement"),
            self.least_engagement,
            ENGAGEMENT,
            " times the thread diameter",
        )?;
        length_in(&at("The tapped depth"), self.socket.tapped_mm, SIZE_MM)?;
        length_in(&at("What the insert stands out"), self.socket.stand_mm, OR_NONE_MM)?;
        if let Some(x) = self.screwed_in_mm {
            length_in(&at("The length screwed in"), x, (0.0, self.shank_mm))?;
        }
        Ok(())
    }

    /// What is wrong with it in a bar of `bar_od_mm` when it is screwed in by `x_mm`.
    ///
    /// A socket or thread that can never give the least engagement is told once, whatever the setting.
    pub fn problems(&self, side: Side, bar_od_mm: f64, x_mm: f64) -> Vec<BarProblem> {
        let mut out = Vec::new();
        let least_mm = self.least_mm();
        if self.thread_dia_mm >= bar_od_mm {
            out.push(BarProblem::ThreadWide { side, thread_dia_mm: self.thread_dia_mm, bar_od_mm });
        }
        let shallow = self.socket.tapped_mm < least_mm - SAME_MM;
        if shallow {
            out.push(BarProblem::SocketShallow { side, tapped_mm: self.socket.tapped_mm, least_mm });
        }
        let free_mm = self.thread_mm - self.nut_mm;
        let scant = free_mm < least_mm - SAME_MM;
        if scant {
            out.push(BarProblem::ThreadShort { side, free_mm, least_mm, need_mm: self.nut_mm + least_mm });
        }
        let engaged_mm = self.engaged_mm(x_mm);
        if !shallow && !scant && engaged_mm < least_mm - SAME_MM {
            out.push(BarProblem::EngagementShort { side, engaged_mm, least_mm });
        }
        if !self.socket.through && x_mm > self.socket.tapped_mm + SAME_MM {
            let depth_mm = self.socket.tapped_mm;
            out.push(BarProblem::BottomsOut { side, in_mm: x_mm, depth_mm, most_mm: self.most_mm() });
        }
        if x_mm > free_mm + SAME_MM {
            out.push(BarProblem::NoRoomForNut {
                side,
                left_mm: (self.thread_mm - x_mm).max(0.0),
                nut_mm: self.nut_mm,
                most_mm: self.most_mm(),
            });
        }
        out
    }
}
