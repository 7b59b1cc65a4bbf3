//! Least squares over any number of tapes, from both sides of the plane of their datums.

use super::meet::{Meeting, meet};
use super::{Hidden, Spot};
use crate::geom::vector::unit;
use crate::measure::algebra::{Normal, Spread, descend, eigen};
use glam::DVec3;

/// Answers nearer than this (mm) are one.
const ONE_ANSWER_MM: f64 = 1e-3;

/// Sums of squares that differ by less than this part are the same: the descent ends a little short.
const ALIKE: f64 = 1e-9;
/// Part of the squared tapes that is rounding noise in a sum of squared residuals.
const ROUNDING: f64 = 1e-20;
/// A first guess stands at least this part of the mean tape off the plane of the datums.
const OFF_PLANE: f64 = 0.1;

/// A tape as a sphere: centre and radius, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// The datum.
    pub(super) at: DVec3,
    /// The tape.
    pub(super) length: f64,
}

/// The tapes and the lie of their datums.
#[derive(Debug)]
pub(super) struct Site<'a> {
    reaches: &'a [Reach],
    spread: Spread,
    /// Normal of the plane of the datums, to the upper side.
    normal: DVec3,
}

/// The answers of least squares.
#[derive(Debug, Clone, Copy)]
pub(super) struct Answers {
    /// The one that fits best.
    pub(super) best: DVec3,
    /// The one on the other side.
    pub(super) other: Option<DVec3>,
    /// Whether the tapes barely or do not reach each other, so that there is but one answer, in the plane.
    pub(super) touching: bool,
}

impl<'a> Site<'a> {
    /// `None` where the datums lie in one line.
    pub(super) fn of(reaches: &'a [Reach]) -> Option<Self> {
        let spread = Spread::of(reaches.iter().map(|r| r.at));
        if spread.in_line() {
            return None;
        }
        Some(Self { reaches, spread, normal: upward(spread.axes[2]) })
    }

    /// The one or two places that fit best.
    pub(super) fn answers(&self) -> Answers {
        let Some(meeting) = self.widest().and_then(meet) else {
            return Answers { best: self.descend(self.spread.centre), other: None, touching: false };
        };
        let Meeting { foot, normal, height_squared } = meeting;
        if self.reaches.len() == 3 {
            if height_squared <= 0.0 {
                return Answers { best: self.descend(foot), other: None, touching: height_squared < 0.0 };
            }
            let step = normal * height_squared.sqrt();
            return Answers { best: foot + step, other: Some(foot - step), touching: false };
        }
        // a start well off the plane even where these three do not meet: the others may
        let mean = self.reaches.iter().map(|r| r.length).sum::<f64>() / self.reaches.len() as f64;
        let step = normal * height_squared.max((OFF_PLANE * mean).powi(2)).sqrt();
        let mut found: Vec<DVec3> = [foot + step, foot - step].map(|p| self.descend(p)).to_vec();
        for k in 0..2 {
            found.push(self.descend(self.mirrored(found[k])));
        }
        found.sort_by(|a, b| self.sum(*a).total_cmp(&self.sum(*b)));
        let best = found[0];
        let other = found.into_iter().find(|p| (*p - best).length() > ONE_ANSWER_MM);
        self.joined(best, other)
    }

    /// Two answers that have run together in the plane of the datums are one.
    fn joined(&self, best: DVec3, other: Option<DVec3>) -> Answers {
        let flat = self.descend(best - self.normal * self.off_plane(best));
        let scale: f64 = self.reaches.iter().map(|r| r.length * r.length).sum();
        // towards the plane the sum is as flat as a fourth power, and the descent ends short of it
        let between = self.off_plane(flat).abs() < ONE_ANSWER_MM && (flat - best).length() > ONE_ANSWER_MM;
        if other.is_some() && between && self.sum(flat) <= self.sum(best) * (1.0 + ALIKE) + ROUNDING * scale {
            return Answers { best: flat, other: None, touching: true };
        }
        Answers { best, other, touching: false }
    }

    /// The three datums that span the largest triangle.
    fn widest(&self) -> Option<[Reach; 3]> {
        let r = self.reaches;
        let mut best: Option<(f64, [Reach; 3])> = None;
        for i in 0..r.len() {
            for j in i + 1..r.len() {
                for k in j + 1..r.len() {
                    let area = (r[j].at - r[i].at).cross(r[k].at - r[i].at).length();
                    if best.is_none_or(|(most, _)| area > most) {
                        best = Some((area, [r[i], r[j], r[k]]));
                    }
                }
            }
        }
        best.map(|(_, three)| three)
    }

    fn descend(&self, start: DVec3) -> DVec3 {
        descend(start, |p| self.normal_at(*p), |p, step| *p + DVec3::from_array(step))
    }

    fn normal_at(&self, p: DVec3) -> Normal<3> {
        let mut normal = Normal::new();
        for r in self.reaches {
            let q = p - r.at;
            // on a datum itself any direction is as good
            let toward = unit(q).unwrap_or(self.normal);
            normal.add(q.length() - r.length, toward.to_array());
        }
        normal
    }

    fn mirrored(&self, p: DVec3) -> DVec3 {
        p - self.normal * (2.0 * self.off_plane(p))
    }

    fn off_plane(&self, p: DVec3) -> f64 {
        (p - self.spread.centre).dot(self.normal)
    }

    fn sum(&self, p: DVec3) -> f64 {
        self.reaches.iter().map(|r| ((p - r.at).length() - r.length).powi(2)).sum()
    }

    /// Root mean square of the residuals at `p`, mm.
    pub(super) fn rms(&self, p: DVec3) -> f64 {
        (self.sum(p) / self.reaches.len() as f64).sqrt()
    }

    /// How far a point across all tapes may move before they lengthen by `sigma_mm` together: `h²/2L` each.
    ///
    /// No first-order standard deviation is larger than that: beyond it the second order takes over.
    pub(super) fn second_order_mm(&self, sigma_mm: f64) -> f64 {
        let sum: f64 = self.reaches.iter().map(|r| r.length.powi(-2)).sum();
        (4.0 * sigma_mm * sigma_mm / sum).powf(0.25)
    }

    /// For each tape how far its error moves the place `p`, as a multiple of the error: the columns of `(JᵀJ)⁻¹·Jᵀ`.
    pub(super) fn gains(&self, p: DVec3) -> Vec<f64> {
        let eigen = eigen(self.normal_at(p).matrix);
        let gain = |r: &Reach| {
            let toward = unit(p - r.at).unwrap_or(self.normal);
            let parts = eigen.values.iter().zip(eigen.vectors).map(|(x, v)| {
                let along = toward.dot(DVec3::from_array(v));
                if along == 0.0 { 0.0 } else { along / x.max(0.0) }
            });
            parts.map(|part| part * part).sum::<f64>().sqrt()
        };
        self.reaches.iter().map(gain).collect()
    }

    /// Everything that is said about the place `p`; what a wrong tape could hide is left open.
    pub(super) fn spot(&self, p: DVec3, sigma_mm: f64) -> Spot {
        // variances are the inverse eigenvalues of JᵀJ, along its eigenvectors
        let eigen = eigen(self.normal_at(p).matrix);
        let most = self.second_order_mm(sigma_mm);
        let gdop = eigen.values.iter().map(|x| 1.0 / x.max(0.0)).sum::<f64>().sqrt();
        let sigmas = eigen.values.map(|x| (sigma_mm / x.max(0.0).sqrt()).min(most));
        let mut variance = DVec3::ZERO;
        for (sigma, v) in sigmas.iter().zip(eigen.vectors) {
            let part = DVec3::from_array(v) * *sigma;
            variance += part * part;
        }
        Spot {
            position_mm: p,
            residuals_mm: self.reaches.iter().map(|r| r.length - (p - r.at).length()).collect(),
            rms_mm: self.rms(p),
            off_plane_mm: self.off_plane(p),
            sigma_mm: DVec3::new(variance.x.sqrt(), variance.y.sqrt(), variance.z.sqrt()),
            worst_sigma_mm: sigmas[2],
            worst_direction: DVec3::from_array(eigen.vectors[2]),
            gdop,
            hidden: Hidden { most_mm: None, datums: Vec::new(), times: f64::INFINITY, side: None },
        }
    }
}

/// `v` or its opposite: up, of a level one to the left, of one along X forward.
fn upward(v: DVec3) -> DVec3 {
    const LEVEL: f64 = 1e-9;
    let down = if v.z.abs() > LEVEL {
        v.z < 0.0
    } else if v.y.abs() > LEVEL {
        v.y < 0.0
    } else {
        v.x < 0.0
    };
    if down { -v } else { v }
}
