//! The end of a tube as a small circle, with what is marked round it.

use crate::sheet::page::{Grey, Page, Pen, PointMm};

/// The place at a clock angle and a distance from the centre, clockwise from the top.
pub(super) fn at_clock(centre: PointMm, deg: f64, radius: f64) -> PointMm {
    let (sin, cos) = deg.to_radians().sin_cos();
    (centre.0 + radius * sin, centre.1 - radius * cos)
}

/// The plain circle of a tube's end.
pub(super) fn tube(page: &mut Page, centre: PointMm, radius: f64) {
    page.circle(centre, radius, Some(Pen::solid(0.45)), Some(Grey::WHITE));
}

/// A grey sector from one clock angle to another, degrees.
pub(super) fn sector(page: &mut Page, centre: PointMm, radius: f64, (from, to): (f64, f64)) {
    let steps = ((to - from).abs() / 6.0).ceil().max(1.0) as u32;
    let mut points = vec![centre];
    points.extend(
        (0..=steps).map(|i| at_clock(centre, from + (to - from) * f64::from(i) / f64::from(steps), radius)),
    );
    page.polygon(points, None, Some(Grey(198)));
}

/// A heavy part of the rim about a clock angle: the long side of a slanted cut.
pub(super) fn heavy_rim(page: &mut Page, centre: PointMm, radius: f64, deg: f64) {
    let points: Vec<PointMm> = (-5..=5).map(|i| at_clock(centre, deg + 6.0 * f64::from(i), radius)).collect();
    page.polyline(points, Pen::solid(1.5));
}

/// A short stroke across the rim: the index line.
pub(super) fn index(page: &mut Page, centre: PointMm, radius: f64, deg: f64) {
    page.line(at_clock(centre, deg, radius - 1.6), at_clock(centre, deg, radius + 1.3), Pen::solid(0.9));
}

/// A mark on the rim, pointing at it from inside.
pub(super) fn mark(page: &mut Page, centre: PointMm, radius: f64, deg: f64) {
    let tip = at_clock(centre, deg, radius);
    let side = |by: f64| at_clock(centre, deg + by, radius * 0.52);
    page.polygon([tip, side(-24.0), side(24.0)], None, Some(Grey::BLACK));
}

/// A block on the outside of the rim: a nut or lever.
pub(super) fn lobe(page: &mut Page, centre: PointMm, radius: f64, deg: f64) {
    let (near, far, half) = (radius, radius + 2.4, 1.3);
    let side = |radius: f64, to: f64| at_clock(centre, deg + (to / radius).to_degrees(), radius);
    page.polygon(
        [side(near, -half), side(far, -half), side(far, half), side(near, half)],
        None,
        Some(Grey::BLACK),
    );
}

/// An arrow along an arc outside the rim, from one clock angle to another.
pub(super) fn turn_arrow(page: &mut Page, centre: PointMm, radius: f64, (from, to): (f64, f64)) {
    let steps = ((to - from).abs() / 8.0).ceil().max(2.0) as u32;
    let points: Vec<PointMm> = (0..=steps)
        .map(|i| at_clock(centre, from + (to - from) * f64::from(i) / f64::from(steps), radius))
        .collect();
    page.polyline(points, Pen::solid(0.4));
    let sign = if to > from { 1.0 } else { -1.0 };
    let tip = at_clock(centre, to + sign * 12.0, radius);
    page.polygon(
        [
            tip,
            at_clock(centre, to - sign * 4.0, radius + 1.0),
            at_clock(centre, to - sign * 4.0, radius - 1.0),
        ],
        None,
        Some(Grey::BLACK),
    );
}

/// A straight arrow with a filled head at `to`.
pub(super) fn arrow(page: &mut Page, from: PointMm, to: PointMm, width_mm: f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let long = dx.hypot(dy).max(1e-6);
    let (ux, uy) = (dx / long, dy / long);
    let head = (3.2 * width_mm + 0.9).min(long);
    let base = (to.0 - ux * head, to.1 - uy * head);
    let side = head * 0.45;
    page.line(from, base, Pen::solid(width_mm));
    page.polygon(
        [to, (base.0 - uy * side, base.1 + ux * side), (base.0 + uy * side, base.1 - ux * side)],
        None,
        Some(Grey::BLACK),
    );
}
