//! Weld beads.

use super::builder::{Builder, Corner};
use crate::geom::{Frame, ellipse};
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Half the width of the bead: share of the outside diameter, and the least, mm.
const BEAD_SHARE: f64 = 0.03;
const BEAD_MM: f64 = 1.2;

/// One ripple of the bead is this many bead radii long.
const RIPPLE_RADII: f64 = 1.15;

/// Fewest and most ripples drawn round one seam.
const RIPPLES: (f64, f64) = (24.0, 140.0);

/// The bead is half round and sinks this far (rad) under the surface on both sides.
const SUNK_RAD: f64 = 0.25;

/// Corners across the bead, less one.
const ACROSS: u32 = 5;

/// A bead along the line where the plane through `frame.origin` with the unit `normal` cuts the tube.
pub(super) fn seam(b: &mut Builder, frame: &Frame, normal: DVec3, radius_mm: f64) {
    let bead = (2.0 * radius_mm * BEAD_SHARE).max(BEAD_MM);
    let slope = frame.travel.dot(normal);
    let long = ellipse::perimeter(radius_mm / slope.abs(), radius_mm);
    let ripples = (long / (bead * RIPPLE_RADII)).clamp(RIPPLES.0, RIPPLES.1).round() as u32;
    // a crest, and a valley behind it
    let n = ripples * 2;
    let section = |ring: u32, i: u32| {
        let c = TAU * f64::from(ring % n) / f64::from(n);
        let (out, round) = (frame.at_clock(c), frame.at_clock(c + PI / 2.0));
        let slide = |v: DVec3| v - frame.travel * (v.dot(normal) / slope);
        // the seam's own direction: along the surface, so square to `out`
        let along = slide(round);
        let side = along.cross(out).try_normalize().unwrap_or(frame.travel);
        let crest = ring.is_multiple_of(2);
        let turn = -SUNK_RAD + (PI + 2.0 * SUNK_RAD) * f64::from(i) / f64::from(ACROSS);
        let away = out * turn.sin() + side * turn.cos();
        let at = frame.origin + slide(out * radius_mm) + away * (if crest { bead } else { bead * 0.86 });
        Corner { at, normal: away, light: if crest { 1.0 } else { 0.62 } }
    };
    let first = b.mesh.positions.len() as u32;
    for ring in 0..n {
        for i in 0..=ACROSS {
            b.corner(section(ring, i));
        }
    }
    let at = |ring: u32, i: u32| first + (ring % n) * (ACROSS + 1) + i;
    for ring in 0..n {
        for i in 0..ACROSS {
            b.triangle(at(ring, i), at(ring + 1, i), at(ring + 1, i + 1));
            b.triangle(at(ring, i), at(ring + 1, i + 1), at(ring, i + 1));
        }
    }
}
