//! Setting a chain so that it ends at the hardpoint: damped least squares from many starts.

use super::chain::{Chain, Setting};
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Most steps of one search.
const MOST_STEPS: usize = 80;
/// A search ends where the sum of squares falls below this, mm²: a ten-thousandth of a millimetre.
const GOOD_MM2: f64 = 1e-10;

/// Numbers that look random and are the same everywhere: G. L. Steele, D. Lea and C. H. Flood, *Fast splittable
/// pseudorandom number generators*, OOPSLA 2014; constants from memory.
#[derive(Debug, Clone)]
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(super) fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * ((self.word() >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

/// How far a setting is off, as residuals, mm: place, direction across the tube, and lips times `lip_weight`.
fn residuals(chain: &Chain<'_>, q: &[f64], lip_weight: f64) -> (Vec<f64>, Vec<Vec<f64>>) {
    let gap = chain.gap;
    let (end, screws) = chain.lay(&gap.from, q);
    let od_mm = gap.tube.od_mm;
    let place = end.origin - gap.to.origin;
    let lean = (end.travel - gap.to.travel) * od_mm;
    let mut rows = vec![place.x, place.y, place.z, lean.x, lean.y, lean.z];
    let column = |axis: DVec3, through: Option<DVec3>| {
        let (shift, turn) = match through {
            None => (axis, DVec3::ZERO),
            Some(at) => (axis.cross(end.origin - at), axis.cross(end.travel) * od_mm),
        };
        vec![shift.x, shift.y, shift.z, turn.x, turn.y, turn.z]
    };
    let mut columns: Vec<Vec<f64>> = screws.iter().map(|s| column(s.axis, s.through)).collect();
    if lip_weight > 0.0 {
        for (i, slice) in chain.slices.iter().enumerate() {
            let lip_mm = lip_weight * gap.radius_mm() * (1.0 / slice.tilt_rad.cos() - 1.0);
            rows.push(lip_mm * q[2 + i].sin());
            for (j, column) in columns.iter_mut().enumerate() {
                column.push(if j == 2 + i { lip_mm * q[j].cos() } else { 0.0 });
            }
        }
    }
    (rows, columns)
}

fn sum(rows: &[f64]) -> f64 {
    rows.iter().map(|r| r * r).sum()
}

/// `x` of `a·x = b` by elimination with pivots; `None` where `a` is singular.
fn solved(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Option<Vec<f64>> {
    let n = b.len();
    for i in 0..n {
        let pivot = (i..n).max_by(|x, y| a[*x][i].abs().total_cmp(&a[*y][i].abs()))?;
        if a[pivot][i].abs() < 1e-14 {
            return None;
        }
        a.swap(i, pivot);
        b.swap(i, pivot);
        for j in i + 1..n {
            let share = a[j][i] / a[i][i];
            let pivot = a[i].clone();
            for (x, y) in a[j].iter_mut().zip(&pivot).skip(i) {
                *x -= share * y;
            }
            b[j] -= share * b[i];
        }
    }
    for i in (0..n).rev() {
        let rest: f64 = (i + 1..n).map(|k| a[i][k] * b[k]).sum();
        b[i] = (b[i] - rest) / a[i][i];
    }
    Some(b)
}

/// Moves a setting to where it is least off; the straights stay at least as long as they have to be.
fn settle(chain: &Chain<'_>, mut q: Setting, lip_weight: f64) -> Setting {
    let [least_a, least_c] = chain.least_mm();
    let last = q.len() - 1;
    let clamp = |q: &mut Setting| {
        q[0] = q[0].max(least_a);
        q[last] = q[last].max(least_c);
    };
    clamp(&mut q);
    let mut damping = 1e-2;
    let (mut rows, mut columns) = residuals(chain, &q, lip_weight);
    for _ in 0..MOST_STEPS {
        let now = sum(&rows);
        if now < GOOD_MM2 || damping > 1e12 {
            break;
        }
        let dot = |a: &[f64], b: &[f64]| -> f64 { a.iter().zip(b).map(|(x, y)| x * y).sum() };
        // a straight at its least that wants to be shorter stays out
        let held = |j: usize, q: &Setting| {
            let pull = -dot(&columns[j], &rows);
            (j == 0 && q[0] <= least_a && pull < 0.0) || (j == last && q[last] <= least_c && pull < 0.0)
        };
        let free: Vec<usize> = (0..q.len()).filter(|j| !held(*j, &q)).collect();
        let normal = |damping: f64| -> (Vec<Vec<f64>>, Vec<f64>) {
            let a = free.iter().map(|i| {
                let row = free.iter().map(|j| {
                    let value = dot(&columns[*i], &columns[*j]);
                    if i == j { value * (1.0 + damping) + 1e-9 } else { value }
                });
                row.collect()
            });
            (a.collect(), free.iter().map(|i| -dot(&columns[*i], &rows)).collect())
        };
        let (a, b) = normal(damping);
        let Some(step) = solved(a, b) else { break };
        let mut next = q.clone();
        for (j, by) in free.iter().zip(&step) {
            let most = if *j == 0 || *j == last { 200.0 } else { FRAC_PI_2 };
            next[*j] += by.clamp(-most, most);
        }
        clamp(&mut next);
        let (new_rows, new_columns) = residuals(chain, &next, lip_weight);
        if sum(&new_rows) < now {
            let gained = now - sum(&new_rows);
            (q, rows, columns) = (next, new_rows, new_columns);
            damping = (damping * 0.3).max(1e-12);
            if gained < 1e-13 * (1.0 + now) {
                break;
            }
        } else {
            damping *= 4.0;
        }
    }
    q
}

/// Settings found from `starts` starts, each with what it is off, mm (root of the sum of squares): first with lips held
/// small, then for the place alone.
pub(super) fn settings(chain: &Chain<'_>, starts: u32, seed: u64) -> Vec<(Setting, f64)> {
    let gap = chain.gap;
    let [least_a, least_c] = chain.least_mm();
    let mut dice = Dice(seed);
    let slices_mm: f64 = chain.slices.iter().map(|s| s.centre_mm).sum();
    let spare_mm = (gap.span_mm().length() - slices_mm).max(20.0);
    let toward = gap.from.clock_of(gap.span_mm());
    let turned = gap.from.clock_of(gap.to.travel);
    let mut out = Vec::new();
    for nth in 0..starts {
        let share = dice.between(0.0, 1.0);
        // a cut whose heel lies opposite bends that way
        let heel = match nth % 4 {
            0 => toward + PI,
            1 => turned + PI,
            2 => toward,
            _ => dice.between(-PI, PI),
        };
        let mut q = vec![least_a.max(spare_mm * share), heel];
        for i in 0..chain.slices.len() {
            let flip = if (nth / 4) & (1 << i) == 0 { 0.0 } else { PI };
            let loose = if nth < 8 { 0.0 } else { dice.between(-0.8, 0.8) };
            q.push(if nth < 16 { flip + loose } else { dice.between(0.0, TAU) });
        }
        q.push(least_c.max(spare_mm * (1.0 - share)));
        let gentle = settle(chain, q, 1.0);
        let exact = settle(chain, gentle, 0.0);
        let off = sum(&residuals(chain, &exact, 0.0).0).sqrt();
        out.push((exact, off));
    }
    out
}
