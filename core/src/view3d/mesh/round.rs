//! Round bars with flat or ball ends, and cones.

use super::builder::{Builder, Corner, clock, corners_round};
use crate::geom::Frame;
use glam::DVec3;
use std::f64::consts::FRAC_PI_2;

/// A frame along the line; upright where the ends are one point.
fn along(from: DVec3, to: DVec3) -> Frame {
    Frame::new(from, (to - from).try_normalize().unwrap_or(DVec3::Z), DVec3::Z)
}

/// A bar with flat ends.
pub(super) fn bar(b: &mut Builder, from: DVec3, to: DVec3, radius_mm: f64) {
    let (n, frame) = (corners_round(radius_mm), along(from, to));
    let edge = |base: DVec3, i: u32| base + frame.at_clock(clock(i, n)) * radius_mm;
    b.skin(2, n, |ring, i| {
        Corner::new(edge(if ring == 0 { from } else { to }, i), frame.at_clock(clock(i, n)))
    });
    b.fan(Corner::new(from, -frame.travel), n, |i| Corner::new(edge(from, n - i), -frame.travel));
    b.fan(Corner::new(to, frame.travel), n, |i| Corner::new(edge(to, i), frame.travel));
}

/// A bar with ball ends; a ball where the ends are one point.
pub(super) fn capsule(b: &mut Builder, from: DVec3, to: DVec3, radius_mm: f64) {
    let (n, frame) = (corners_round(radius_mm), along(from, to));
    let quarter = (n / 4).max(4);
    // rings from pole to pole; the two equators are the bar
    b.skin(2 * quarter + 2, n, |ring, i| {
        let (base, step) = if ring <= quarter { (from, ring) } else { (to, ring - 1) };
        let (sin, cos) = (FRAC_PI_2 * (f64::from(step) / f64::from(quarter) - 1.0)).sin_cos();
        let away = frame.at_clock(clock(i, n)) * cos + frame.travel * sin;
        Corner::new(base + away * radius_mm, away)
    });
}

/// A cone with a flat foot at `foot` and its point at `tip`.
pub(super) fn cone(b: &mut Builder, foot: DVec3, tip: DVec3, radius_mm: f64) {
    let (n, frame) = (corners_round(radius_mm), along(foot, tip));
    let lean = radius_mm / foot.distance(tip);
    b.skin(2, n, |ring, i| {
        let away = frame.at_clock(clock(i, n));
        Corner::new(if ring == 0 { foot + away * radius_mm } else { tip }, away + frame.travel * lean)
    });
    b.fan(Corner::new(foot, -frame.travel), n, |i| {
        Corner::new(foot + frame.at_clock(clock(n - i, n)) * radius_mm, -frame.travel)
    });
}

/// A ring about the frame's travel, of a round section of radius `minor_mm`.
pub(super) fn ring(b: &mut Builder, frame: &Frame, major_mm: f64, minor_mm: f64) {
    const SECTION: u32 = 10;
    let n = corners_round(major_mm);
    b.skin(n + 1, SECTION, |ring, i| {
        let out = frame.at_clock(clock(ring, n));
        let (sin, cos) = clock(i, SECTION).sin_cos();
        let away = out * cos - frame.travel * sin;
        Corner::new(frame.origin + out * major_mm + away * minor_mm, away)
    });
}
