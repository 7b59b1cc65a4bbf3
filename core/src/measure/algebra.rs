//! The little linear algebra the fits need: symmetric eigenvectors, Cholesky, and a damped Gauss-Newton descent.

use glam::DVec3;

/// Rounds of Jacobi rotations: a 4x4 matrix is done in five or six, the rest is for what is no number.
const SWEEPS: usize = 40;
/// A matrix is diagonal when the squares off its diagonal are less than this part of all.
const DIAGONAL: f64 = 1e-34;
/// Damping that a descent starts with.
const SOFT: f64 = 1e-4;
/// Least damping of an unknown, as part of the trace: keeps one that no reading speaks about from going wild.
const LEAST_DAMPED: f64 = 1e-9;
/// Steps of the descent, refused ones included.
const STEPS: usize = 200;
/// A descent is over when the damping has grown to this without the sum getting smaller.
const STIFFEST: f64 = 1e14;
/// A descent is over when a step lowers the sum by less than this part of it.
const STILL: f64 = 1e-15;

/// Eigenvalues, largest first, and the unit eigenvector of each.
#[derive(Debug, Clone, Copy)]
pub(super) struct Eigen<const N: usize> {
    /// Largest first.
    pub(super) values: [f64; N],
    /// `vectors[k]` belongs to `values[k]`.
    pub(super) vectors: [[f64; N]; N],
}

/// Eigenvalues and vectors of a symmetric matrix by cyclic Jacobi rotations (Golub and Van Loan, *Matrix
/// Computations*, section on Jacobi methods, from memory).
pub(super) fn eigen<const N: usize>(mut a: [[f64; N]; N]) -> Eigen<N> {
    let mut vectors = [[0.0; N]; N];
    for (k, v) in vectors.iter_mut().enumerate() {
        v[k] = 1.0;
    }
    for _ in 0..SWEEPS {
        let (mut off, mut all) = (0.0, 0.0);
        for (i, row) in a.iter().enumerate() {
            for (j, x) in row.iter().enumerate() {
                all += x * x;
                off += if i == j { 0.0 } else { x * x };
            }
        }
        // also ends where something is no number
        if off.partial_cmp(&(DIAGONAL * all)) != Some(std::cmp::Ordering::Greater) {
            break;
        }
        for p in 0..N {
            for q in p + 1..N {
                rotate(&mut a, &mut vectors, p, q);
            }
        }
    }
    let mut order: Vec<usize> = (0..N).collect();
    order.sort_by(|i, j| a[*j][*j].total_cmp(&a[*i][*i]));
    let mut out = Eigen { values: [0.0; N], vectors };
    for (k, i) in order.into_iter().enumerate() {
        out.values[k] = a[i][i];
        out.vectors[k] = vectors[i];
    }
    out
}

/// One Jacobi rotation that makes `a[p][q]` zero. The eigenvectors are rows.
fn rotate<const N: usize>(a: &mut [[f64; N]; N], vectors: &mut [[f64; N]; N], p: usize, q: usize) {
    if a[p][q] == 0.0 {
        return;
    }
    let theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
    let t = theta.signum() / (theta.abs() + theta.hypot(1.0));
    let c = 1.0 / t.hypot(1.0);
    let s = t * c;
    for row in a.iter_mut() {
        (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
    }
    for matrix in [a, vectors] {
        let (rp, rq) = (matrix[p], matrix[q]);
        for k in 0..N {
            matrix[p][k] = c * rp[k] - s * rq[k];
            matrix[q][k] = s * rp[k] + c * rq[k];
        }
    }
}

/// How points are spread about their middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spread {
    /// Mean of the points, mm.
    pub(super) centre: DVec3,
    /// Extents along the axes: singular values of the centred points, mm, largest first.
    pub(super) extents: [f64; 3],
    /// Unit axes; the last is across the plane that fits the points best.
    pub(super) axes: [DVec3; 3],
}

impl Spread {
    /// Of the given points; of none, all zero.
    pub(super) fn of(points: impl Iterator<Item = DVec3> + Clone) -> Self {
        let count = points.clone().count().max(1) as f64;
        let centre = points.clone().sum::<DVec3>() / count;
        let mut scatter = [[0.0; 3]; 3];
        for p in points {
            let q = (p - centre).to_array();
            for (row, x) in scatter.iter_mut().zip(q) {
                for (cell, y) in row.iter_mut().zip(q) {
                    *cell += x * y;
                }
            }
        }
        let eigen = eigen(scatter);
        Self {
            centre,
            extents: eigen.values.map(|x| x.max(0.0).sqrt()),
            axes: eigen.vectors.map(DVec3::from_array),
        }
    }

    /// Whether the points lie in one line, or all in one place.
    pub(super) fn in_line(&self) -> bool {
        // no number counts as in line too
        !(self.extents[0] > 0.0 && self.extents[1] >= super::IN_LINE * self.extents[0])
    }
}

/// Normal equations of a least-squares problem in `P` unknowns, at one point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Normal<const P: usize> {
    /// Sum of the squared residuals.
    pub(super) sum: f64,
    /// Half the gradient of the sum.
    gradient: [f64; P],
    /// Jacobian transposed times Jacobian.
    pub(super) matrix: [[f64; P]; P],
}

impl<const P: usize> Normal<P> {
    /// Without any residual yet.
    pub(super) fn new() -> Self {
        Self { sum: 0.0, gradient: [0.0; P], matrix: [[0.0; P]; P] }
    }

    /// Adds a residual with its derivatives by the unknowns.
    pub(super) fn add(&mut self, residual: f64, by: [f64; P]) {
        self.sum += residual * residual;
        for i in 0..P {
            self.gradient[i] += by[i] * residual;
            for j in 0..P {
                self.matrix[i][j] += by[i] * by[j];
            }
        }
    }
}

/// Walks down from `start` to where the sum of squares is least, by Gauss-Newton steps that are damped where they
/// would climb (Levenberg and Marquardt, from memory). Ends at the best state found, also where nothing improves.
pub(super) fn descend<S: Clone, const P: usize>(
    start: S,
    normal: impl Fn(&S) -> Normal<P>,
    moved: impl Fn(&S, [f64; P]) -> S,
) -> S {
    let mut state = start;
    let mut now = normal(&state);
    let mut damping = SOFT;
    for _ in 0..STEPS {
        if now.sum == 0.0 || damping > STIFFEST {
            break;
        }
        let trace: f64 = (0..P).map(|i| now.matrix[i][i]).sum();
        let mut matrix = now.matrix;
        for (i, row) in matrix.iter_mut().enumerate() {
            row[i] += damping * row[i].max(LEAST_DAMPED * trace);
        }
        let step = solve(matrix, now.gradient.map(|g| -g));
        let next = step.map(|step| moved(&state, step));
        let there = next.as_ref().map(&normal);
        match (next, there) {
            (Some(next), Some(there)) if there.sum < now.sum => {
                let still = now.sum - there.sum <= STILL * now.sum;
                (state, now) = (next, there);
                damping *= 0.1;
                if still {
                    break;
                }
            }
            (Some(_) | None, Some(_) | None) => damping *= 10.0,
        }
    }
    state
}

/// Lower triangle `L` with `L·Lᵀ` the given symmetric matrix; `None` where that is not positive.
fn cholesky<const P: usize>(a: [[f64; P]; P]) -> Option<[[f64; P]; P]> {
    let mut l = [[0.0; P]; P];
    for i in 0..P {
        for j in 0..=i {
            let sum: f64 = a[i][j] - (0..j).map(|k| l[i][k] * l[j][k]).sum::<f64>();
            if i == j {
                if !(sum > 0.0 && sum.is_finite()) {
                    return None;
                }
                l[i][i] = sum.sqrt();
            } else {
                l[i][j] = sum / l[j][j];
            }
        }
    }
    Some(l)
}

/// Solution of `a·x = b` for a symmetric positive `a`.
pub(super) fn solve<const P: usize>(a: [[f64; P]; P], b: [f64; P]) -> Option<[f64; P]> {
    let l = cholesky(a)?;
    let mut x = b;
    for i in 0..P {
        x[i] = (x[i] - (0..i).map(|k| l[i][k] * x[k]).sum::<f64>()) / l[i][i];
    }
    for i in (0..P).rev() {
        x[i] = (x[i] - (i + 1..P).map(|k| l[k][i] * x[k]).sum::<f64>()) / l[i][i];
    }
    x.iter().all(|x| x.is_finite()).then_some(x)
}

/// Diagonal of the inverse of a symmetric positive matrix: the variances, for readings that stray by one.
pub(super) fn variances<const P: usize>(a: [[f64; P]; P]) -> Option<[f64; P]> {
    let mut out = [0.0; P];
    for (i, x) in out.iter_mut().enumerate() {
        let mut unit = [0.0; P];
        unit[i] = 1.0;
        *x = solve(a, unit)?[i];
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn eigenvectors_stretch_by_their_eigenvalue() {
        // 2, -1, 0 / -1, 2, -1 / 0, -1, 2 has 2 and 2 ± √2
        let a = [[2.0, -1.0, 0.0], [-1.0, 2.0, -1.0], [0.0, -1.0, 2.0]];
        let e = eigen(a);
        let root = std::f64::consts::SQRT_2;
        for (got, want) in e.values.iter().zip([2.0 + root, 2.0, 2.0 - root]) {
            assert_relative_eq!(*got, want, epsilon = 1e-14);
        }
        for (value, v) in e.values.iter().zip(e.vectors) {
            for (row, x) in a.iter().zip(v) {
                let image: f64 = row.iter().zip(v).map(|(a, v)| a * v).sum();
                assert_relative_eq!(image, value * x, epsilon = 1e-14);
            }
        }
    }

    #[test]
    fn equal_eigenvalues_and_no_numbers_do_no_harm() {
        let e = eigen([[3.0, 0.0], [0.0, 3.0]]);
        assert_relative_eq!(e.values[1], 3.0);
        let nan = eigen([[f64::NAN, 1.0], [1.0, 2.0]]);
        assert!(nan.values.iter().any(|x| x.is_nan()));
        assert!(Spread::of(std::iter::empty()).in_line());
    }

    #[test]
    fn a_system_is_solved_and_a_singular_one_refused() {
        let a = [[4.0, 2.0, 0.0], [2.0, 5.0, 1.0], [0.0, 1.0, 3.0]];
        let x = solve(a, [8.0, 15.0, 11.0]).unwrap();
        for (got, want) in x.iter().zip([1.0, 2.0, 3.0]) {
            assert_relative_eq!(*got, want, epsilon = 1e-14);
        }
        assert!(solve([[1.0, 1.0], [1.0, 1.0]], [1.0, 2.0]).is_none());
        let v = variances([[4.0, 0.0], [0.0, 16.0]]).unwrap();
        assert_relative_eq!(v[1], 1.0 / 16.0);
    }

    #[test]
    fn a_descent_finds_the_bottom_of_a_curved_valley() {
        // Rosenbrock's valley as two residuals; its bottom is at (1, 1)
        let end = descend(
            [-1.2, 1.0],
            |x: &[f64; 2]| {
                let mut n = Normal::new();
                n.add(10.0 * (x[1] - x[0] * x[0]), [-20.0 * x[0], 10.0]);
                n.add(1.0 - x[0], [-1.0, 0.0]);
                n
            },
            |x, d| [x[0] + d[0], x[1] + d[1]],
        );
        assert_relative_eq!(end[0], 1.0, epsilon = 1e-9);
        assert_relative_eq!(end[1], 1.0, epsilon = 1e-9);
    }
}
