//! Numbers that are the same on every run.

use glam::DVec3;
use pipeloft_tests::dice::Dice as Numbers;

/// Numbers, and the points, directions and frames made of them.
pub(crate) struct Dice {
    numbers: Numbers,
    /// Whether directions lie along the axes and points on a grid.
    square: bool,
}

/// What points of square dice are whole numbers of, mm.
const STEP_MM: f64 = 5.0;

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self { numbers: Numbers(seed), square: false }
    }

    /// Dice for things that stand square: directions along the axes, quarter turns, points on a grid.
    pub(crate) fn square(seed: u64) -> Self {
        Self { numbers: Numbers(seed), square: true }
    }

    /// A number in [least, most).
    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        self.numbers.between(least, most)
    }

    /// A whole number below `end`.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        self.numbers.below(end as u64) as usize
    }

    /// A point in the cube [−reach, reach]³.
    pub(crate) fn point(&mut self, reach: f64) -> DVec3 {
        let mut along = || self.between(-reach, reach);
        let point = DVec3::new(along(), along(), along());
        if self.square { (point / STEP_MM).round() * STEP_MM } else { point }
    }

    /// A unit vector, all directions alike.
    pub(crate) fn direction(&mut self) -> DVec3 {
        if self.square {
            return DVec3::AXES[self.below(3)] * [1.0, -1.0][self.below(2)];
        }
        loop {
            let p = self.point(1.0);
            if (0.1..1.0).contains(&p.length()) {
                return p / p.length();
            }
        }
    }

    /// Three turns, degrees.
    pub(crate) fn turns(&mut self) -> DVec3 {
        if !self.square {
            return self.point(180.0);
        }
        let mut quarter = || [-90.0, 0.0, 90.0, 180.0][self.below(4)];
        DVec3::new(quarter(), quarter(), quarter())
    }
}
