//! Branches, merges and cones against the surfaces themselves: roots along rays, dense lines, sheets rolled back up.

mod cones;
mod merges;
mod saddles;

use glam::DVec3;
use pipeloft_core::fab::limb::Limb;
use pipeloft_core::geom::Frame;

/// Numbers that look random and are the same on every machine.
struct Dice(pipeloft_tests::dice::Dice);

impl Dice {
    fn new(seed: u64) -> Self {
        Self(pipeloft_tests::dice::Dice(seed))
    }

    fn roll(&mut self, low: f64, high: f64) -> f64 {
        self.0.between(low, high)
    }

    fn direction(&mut self) -> DVec3 {
        loop {
            let v = DVec3::new(self.roll(-1.0, 1.0), self.roll(-1.0, 1.0), self.roll(-1.0, 1.0));
            if (0.1..1.0).contains(&v.length()) {
                return v / v.length();
            }
        }
    }

    fn frame(&mut self) -> Frame {
        let travel = self.direction();
        Frame::new(self.direction() * 500.0, travel, self.direction())
    }
}

/// Point of a tube written out: round the axis by the clock, along by `s`.
fn on_tube(limb: &Limb, radius: f64, clock: f64, s: f64) -> DVec3 {
    let f = limb.frame;
    let three = f.travel.cross(f.index);
    f.origin + (f.index * clock.cos() + three * clock.sin()) * radius + limb.away() * s
}

/// Distance of a point from the axis of a frame.
fn from_axis(frame: &Frame, point: DVec3) -> f64 {
    (point - frame.origin).cross(frame.travel).length()
}

/// Where `outside` goes from negative to positive above its least value near `near`, by thirds and halving.
fn exit(outside: impl Fn(f64) -> f64, near: f64, reach: f64) -> f64 {
    let (mut a, mut b) = (near - reach, near + reach);
    for _ in 0..90 {
        let (c, d) = (a + (b - a) / 3.0, b - (b - a) / 3.0);
        if outside(c) < outside(d) { b = d } else { a = c }
    }
    // from inside go on in small steps to the first place outside, then halve
    let (mut low, step) = (f64::midpoint(a, b), reach / 400.0);
    while outside(low + step) < 0.0 {
        low += step;
    }
    let mut high = low + step;
    for _ in 0..50 {
        let middle = f64::midpoint(low, high);
        if outside(middle) < 0.0 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

fn polyline_mm(points: &[DVec3]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}
