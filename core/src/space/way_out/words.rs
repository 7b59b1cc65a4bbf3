//! A way out in words, for who stands beside the car.

use super::{Stance, Way};
use glam::DVec3;

/// Parts of a move smaller than this share of its largest part are not told.
const SMALL: f64 = 0.2;

/// A turn by a radian takes as long as a shift by this when a way is shown, mm.
const PACE_MM: f64 = 300.0;

/// One move of a way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Shift, mm.
    pub shift_mm: DVec3,
    /// Change of the rotation vector, rad.
    pub turn_rad: DVec3,
}

impl Way {
    /// The moves between the stances.
    pub fn moves(&self) -> Vec<Move> {
        self.stances
            .windows(2)
            .map(|s| Move {
                shift_mm: s[1].shift_mm - s[0].shift_mm,
                turn_rad: s[1].turn_rad - s[0].turn_rad,
            })
            .collect()
    }

    /// Where the section is when this share (0 to 1) of the way is done, all of it at an even pace.
    pub fn at(&self, share: f64) -> Stance {
        let length = |pair: &[Stance]| {
            let (shift_mm, turn_rad) = pair[0].apart(&pair[1]);
            shift_mm + turn_rad * PACE_MM
        };
        let whole: f64 = self.stances.windows(2).map(length).sum();
        let mut left = whole * share.clamp(0.0, 1.0);
        for pair in self.stances.windows(2) {
            let leg = length(pair);
            if left <= leg {
                return pair[0].toward(&pair[1], if leg > 0.0 { left / leg } else { 1.0 });
            }
            left -= leg;
        }
        self.stances.last().copied().unwrap_or_default()
    }

    /// The way as a sentence without its capital and stop; `length` writes a length given in mm. The last move has
    /// no length: it goes on until the section is out.
    pub fn in_words(&self, length: &dyn Fn(f64) -> String) -> String {
        let moves = self.moves();
        let Some((last, before)) = moves.split_last() else { return String::new() };
        let mut parts: Vec<String> = before.iter().map(|m| one(m, length)).collect();
        parts.push(format!("pull it out {}", join(&told(last.shift_mm, SHIFTS))));
        parts.join(", then ")
    }
}

/// A direction in words, such as “up and back”; empty for none.
pub fn direction_in_words(direction: DVec3) -> String {
    join(&told(direction, SHIFTS))
}

/// Words for a shift along each axis and against it.
pub(in crate::space) const SHIFTS: [[&str; 2]; 3] =
    [["forward", "back"], ["to the left", "to the right"], ["up", "down"]];

/// Words for a turn about each axis, right-handed and left-handed.
pub(in crate::space) const TURNS: [[&str; 2]; 3] = [
    ["left side up", "right side up"],
    ["front end down", "front end up"],
    ["front end to the left", "front end to the right"],
];

fn one(m: &Move, length: &dyn Fn(f64) -> String) -> String {
    let shift = || {
        let parts = parts(m.shift_mm, SHIFTS);
        let told: Vec<String> =
            parts.iter().map(|(size, word)| format!("{} {word}", length(*size))).collect();
        format!("move it {}", join(&told))
    };
    let turn = || {
        let parts = parts(m.turn_rad, TURNS);
        let told: Vec<String> =
            parts.iter().map(|(size, word)| format!("{:.0}° {word}", size.to_degrees())).collect();
        format!("turn it {}", join(&told))
    };
    match (m.shift_mm != DVec3::ZERO, m.turn_rad != DVec3::ZERO) {
        (true, true) => format!("{} and {} together", shift(), turn()),
        (true, false) => shift(),
        (false, _) => turn(),
    }
}

/// The parts of a vector worth telling, the largest first.
fn parts(v: DVec3, words: [[&'static str; 2]; 3]) -> Vec<(f64, &'static str)> {
    let most = v.abs().max_element();
    let mut out: Vec<(f64, &str)> = (0..3)
        .filter(|i| v[*i].abs() > SMALL * most)
        .map(|i| (v[i].abs(), words[i][usize::from(v[i] < 0.0)]))
        .collect();
    out.sort_by(|a, b| b.0.total_cmp(&a.0));
    out
}

fn told(v: DVec3, words: [[&'static str; 2]; 3]) -> Vec<String> {
    parts(v, words).iter().map(|(_, word)| (*word).to_owned()).collect()
}

pub(in crate::space) fn join(parts: &[String]) -> String {
    match parts {
        [first @ .., last] if first.len() > 1 => format!("{} and {last}", first.join(", ")),
        _ => parts.join(" and "),
    }
}
