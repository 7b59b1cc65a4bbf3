//! Numbers by chance for tests, the same ones every time.

use glam::DVec3;

/// A small generator (xorshift64*, Marsaglia and Vigna, from memory).
#[derive(Debug)]
pub(super) struct Chance(u64);

impl Chance {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// Even in [least, most).
    pub(super) fn even(&mut self, least: f64, most: f64) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        least + (most - least) * bits as f64 / (1_u64 << 53) as f64
    }

    /// Normal with mean 0 and standard deviation 1 (Box and Muller, from memory).
    pub(super) fn normal(&mut self) -> f64 {
        let u = self.even(f64::MIN_POSITIVE, 1.0);
        let angle = self.even(0.0, std::f64::consts::TAU);
        (-2.0 * u.ln()).sqrt() * angle.cos()
    }

    /// A point within `half` of the origin along each axis.
    pub(super) fn point(&mut self, half: f64) -> DVec3 {
        DVec3::new(self.even(-half, half), self.even(-half, half), self.even(-half, half))
    }

    /// A vector of three normal numbers.
    pub(super) fn normal_point(&mut self) -> DVec3 {
        DVec3::new(self.normal(), self.normal(), self.normal())
    }

    /// A unit vector, every direction as likely.
    pub(super) fn direction(&mut self) -> DVec3 {
        loop {
            if let Some(d) = self.normal_point().try_normalize() {
                return d;
            }
        }
    }

    /// A whole number below `count`.
    pub(super) fn index(&mut self, count: usize) -> usize {
        (self.even(0.0, count as f64) as usize).min(count - 1)
    }
}

/// Numbers that a form should never pass on but may.
pub(super) const NASTY: [f64; 9] =
    [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.0, -1.0, 1e-300, 1e300, f64::MAX, -5e4];
