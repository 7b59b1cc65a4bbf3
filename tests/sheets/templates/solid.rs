//! A tube cut by planes in space, found by root finding: no formula of an unrolled cut is used here.

use glam::DVec3;
use pipeloft_core::fab::{Cut, Piece, PieceKind};
use pipeloft_core::model::TubeId;
use std::f64::consts::TAU;

/// A straight tube from one corner of a pipe to the next, and the planes it is cut by.
pub(super) struct Tube {
    pub(super) od_mm: f64,
    from: DVec3,
    to: DVec3,
    travel: DVec3,
    index: DVec3,
    start_normal: DVec3,
    end_normal: DVec3,
    /// The same tube in the program's terms.
    pub(super) piece: Piece,
}

impl Tube {
    /// The tube between `from` and `to`; the pipe comes from `before` and goes on to `after`, or ends square.
    pub(super) fn new(
        od_mm: f64,
        (before, from): (Option<DVec3>, DVec3),
        (to, after): (DVec3, Option<DVec3>),
    ) -> Self {
        let unit = |v: DVec3| v.try_normalize().unwrap();
        let travel = unit(to - from);
        let index = unit(DVec3::new(0.2, -0.3, 0.9).reject_from(travel));
        // two tubes of one size meet in the plane that halves the corner
        let came = before.map_or(travel, |b| unit(from - b));
        let goes = after.map_or(travel, |a| unit(a - to));
        let (start_normal, end_normal) = (unit(came + travel), unit(travel + goes));
        // the long side lies on the outside of the corner
        let cut = |other: DVec3, outside: DVec3| {
            let side = outside.reject_from(travel);
            let Some(side) = side.try_normalize() else { return Cut::SQUARE };
            let clock = side.dot(travel.cross(index)).atan2(side.dot(index));
            Cut::tilted(travel.dot(other).clamp(-1.0, 1.0).acos() / 2.0, clock)
        };
        let piece = Piece {
            mark: "A1".to_owned(),
            key: None,
            kind: PieceKind::Straight,
            tube: TubeId(1),
            od_mm,
            centre_mm: from.distance(to),
            start: cut(came, came),
            end: cut(goes, -goes),
            bend: None,
            lobe_clock_rad: None,
            curves: [None, None],
        };
        Self { od_mm, from, to, travel, index, start_normal, end_normal, piece }
    }

    /// Where the generator at clock `clock_rad` leaves through the start and the end plane, mm along the tube from
    /// the first corner: by bisection.
    pub(super) fn generator_mm(&self, clock_rad: f64) -> (f64, f64) {
        let (sin, cos) = clock_rad.sin_cos();
        let outward = self.index * cos + self.travel.cross(self.index) * sin;
        let line = |t: f64| self.from + outward * (self.od_mm / 2.0) + self.travel * t;
        let root = |corner: DVec3, normal: DVec3| {
            let (mut low, mut high) = (-20_000.0, 20_000.0);
            for _ in 0..80 {
                let middle = f64::midpoint(low, high);
                if (line(middle) - corner).dot(normal) < 0.0 { low = middle } else { high = middle }
            }
            f64::midpoint(low, high)
        };
        (root(self.from, self.start_normal), root(self.to, self.end_normal))
    }

    /// The furthest any generator reaches back at the start and on at the end, mm.
    pub(super) fn long_points_mm(&self) -> (f64, f64) {
        let all = (0..7_200).map(|i| self.generator_mm(TAU * f64::from(i) / 7_200.0));
        all.fold((f64::MAX, f64::MIN), |m, g| (m.0.min(g.0), m.1.max(g.1)))
    }
}

/// Tubes with one cut, two cuts in one plane, and two that are turned against each other.
pub(super) fn tubes() -> Vec<Tube> {
    let at = |length: f64| DVec3::new(0.6, 0.64, 0.48) * length;
    let mut out = Vec::new();
    for od in [5.0, 50.8, 76.2, 101.6, 300.0] {
        let long = at(od);
        let (left, up) = (DVec3::new(-1.3, 0.2, 0.4) * od, DVec3::new(0.5, -0.1, 1.1) * od);
        out.push(Tube::new(od, (None, DVec3::ZERO), (long, Some(long * 2.0 + left * 0.4))));
        out.push(Tube::new(
            od,
            (Some(-long + left * 0.4), DVec3::ZERO),
            (long, Some(long * 2.0 + left * 0.4)),
        ));
        out.push(Tube::new(od, (Some(-long + up * 0.5), DVec3::ZERO), (long, Some(long * 2.0 + left * 0.3))));
        out.push(Tube::new(od, (Some(-long + left * 0.2), DVec3::ZERO), (long, None)));
        let far = at(6.0 * od + 300.0);
        out.push(Tube::new(od, (Some(up - far), DVec3::ZERO), (far, Some(far * 2.0 + left * 3.0))));
    }
    // as high as two sheets, so that four meet at a corner
    let long = at(220.0);
    let (left, up) = (DVec3::new(-300.0, 60.0, 100.0), DVec3::new(100.0, -30.0, 260.0));
    out.push(Tube::new(300.0, (Some(up * 0.5 - long), DVec3::ZERO), (long, Some(long * 2.0 + left * 0.7))));
    out
}
