//! Hardpoints: a ring round the mouth, an arrow out of it, and a tick at 12 o'clock.

use super::builder::Builder;
use super::{fitting, round};
use crate::geom::Frame;
use glam::DVec3;

/// Radius of the ring's own section, for a mouth of `radius_mm`, mm.
pub(in crate::view3d) fn ring_minor_mm(radius_mm: f64) -> f64 {
    (0.06 * radius_mm).max(1.0)
}

/// Length of the arrow, mm.
pub(in crate::view3d) fn arrow_mm(radius_mm: f64) -> f64 {
    (1.7 * radius_mm).clamp(25.0, 120.0)
}

/// The whole sign.
pub(super) fn port(b: &mut Builder, frame: &Frame, radius_mm: f64) {
    let minor = ring_minor_mm(radius_mm);
    round::ring(b, frame, radius_mm, minor);
    let long = arrow_mm(radius_mm);
    let head = (4.5 * minor).max(0.25 * long);
    let neck = frame.forward(long - head).origin;
    round::bar(b, frame.origin, neck, minor * 0.8);
    round::cone(b, neck, frame.forward(long).origin, head * 0.42);
    let tick = radius_mm * 0.32;
    let three = frame.travel.cross(frame.index);
    let centre = frame.origin + frame.index * (radius_mm + tick / 2.0);
    fitting::block(
        b,
        centre,
        [frame.index, three, frame.index.cross(three)],
        DVec3::new(tick / 2.0, minor * 0.9, minor * 0.9),
    );
}
