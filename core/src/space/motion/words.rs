//! Positions in words.

use super::place::{Moved, Position};
use crate::space::way_out::words::{SHIFTS, TURNS, join};
use glam::DVec3;

/// Shifts that are not told, mm: nobody sees them.
const UNSEEN_MM: f64 = 0.05;

/// Turns that are not told, degrees.
const UNSEEN_DEG: f64 = 0.05;

/// A line within this cosine (30°) of an axis is told as that axis.
const ALONG: f64 = 0.866;

impl Position {
    /// The position as words without capital and stop, such as "Engine 10 mm forward and rolled 3° left side up".
    ///
    /// `names` are those of the first and the second body; `length` writes a length given in mm. A body that is
    /// where it is drawn is not named unless both are.
    pub fn in_words(&self, names: [&str; 2], length: &dyn Fn(f64) -> String) -> String {
        let told: Vec<String> = [(names[0], &self.own), (names[1], &self.other)]
            .iter()
            .filter_map(|(name, moved)| {
                let parts = parts(moved, length);
                (!parts.is_empty()).then(|| format!("{name} {}", join(&parts)))
            })
            .collect();
        if told.is_empty() { "both where they are drawn".to_owned() } else { told.join(", ") }
    }
}

fn parts(moved: &Moved, length: &dyn Fn(f64) -> String) -> Vec<String> {
    let shift = |i: usize| {
        let by_mm = moved.shift_mm[i];
        (by_mm.abs() >= UNSEEN_MM)
            .then(|| format!("{} {}", length(by_mm.abs()), SHIFTS[i][usize::from(by_mm < 0.0)]))
    };
    let mut parts: Vec<String> = (0..3).filter_map(shift).collect();
    let turn_deg = moved.roll_rad.to_degrees();
    if turn_deg.abs() >= UNSEEN_DEG {
        let size = format!("{:.1}", turn_deg.abs());
        let size = size.strip_suffix(".0").unwrap_or(&size);
        parts.push(format!("rolled {size}°{}", sense(moved.axis * turn_deg.signum())));
    }
    parts
}

/// Which way a right-handed turn about `axis` goes; nothing where it is about no axis of the vehicle.
fn sense(axis: DVec3) -> String {
    let i = axis.abs().max_position();
    if axis[i].abs() < ALONG { String::new() } else { format!(" {}", TURNS[i][usize::from(axis[i] < 0.0)]) }
}
