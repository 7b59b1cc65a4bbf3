//! Joint bodies and blocks.

use super::builder::{Builder, Corner, clock, corners_round};
use crate::geom::Drum;
use glam::DVec3;

/// Edge broken off a joint body: share of its length, and the most, mm.
const CHAMFER_SHARE: f64 = 0.12;
const CHAMFER_MM: f64 = 2.0;

/// A joint body with its edges broken, as turned parts are.
pub(super) fn drum(b: &mut Builder, drum: &Drum) {
    let n = corners_round(drum.radius_mm);
    let chamfer = (drum.length_mm * CHAMFER_SHARE).clamp(0.0, CHAMFER_MM).min(drum.radius_mm / 4.0);
    let at = |along: f64, inset: f64, i: u32| {
        let frame = drum.start.forward(along);
        frame.origin + frame.at_clock(clock(i, n)) * (drum.radius_mm - inset)
    };
    let travel = drum.start.travel;
    let wall = |i: u32, lean: f64| drum.start.at_clock(clock(i, n)) + travel * lean;
    let long = drum.length_mm;
    for (from, to, lean) in [
        ((0.0, chamfer), (chamfer, 0.0), -1.0),
        ((chamfer, 0.0), (long - chamfer, 0.0), 0.0),
        ((long - chamfer, 0.0), (long, chamfer), 1.0),
    ] {
        b.skin(2, n, |ring, i| {
            let (along, inset) = if ring == 0 { from } else { to };
            Corner::new(at(along, inset, i), wall(i, lean))
        });
    }
    b.fan(Corner::new(drum.start.origin, -travel), n, |i| Corner::new(at(0.0, chamfer, n - i), -travel));
    let end = drum.start.forward(long).origin;
    b.fan(Corner::new(end, travel), n, |i| Corner::new(at(long, chamfer, i), travel));
}

/// A block with flat faces; `axes` right-handed.
pub(super) fn block(b: &mut Builder, centre: DVec3, axes: [DVec3; 3], half: DVec3) {
    let edges = [axes[0] * half.x, axes[1] * half.y, axes[2] * half.z];
    for k in 0..3 {
        for side in [1.0, -1.0] {
            let (out, u, v) = (edges[k] * side, edges[(k + 1) % 3] * side, edges[(k + 2) % 3]);
            let at = [centre + out - u - v, centre + out + u - v, centre + out + u + v, centre + out - u + v];
            b.quad(at, axes[k] * side);
        }
    }
}
