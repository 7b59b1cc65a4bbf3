//! One set of points laid over another without stretching it: a scan or a part's drawing onto the vehicle.
//!
//! The rotation is Horn's: the unit quaternion that is the eigenvector of the largest eigenvalue of a symmetric 4x4
//! matrix (B. K. P. Horn, "Closed-form solution of absolute orientation using unit quaternions", *J. Opt. Soc. Am. A*
//! 4, 629, 1987: read as an abstract, the matrix from memory). A quaternion cannot mirror, so no guard is needed; how
//! well a mirror image would fit is seen in the smallest eigenvalue.

use super::algebra::{Spread, eigen};
use super::trust::{Doubt, Good, ScaleGuess, Suspects, Trust};
use super::words::called;
use super::{Level, MeasureError, Needs, agreement, check_count, check_point, check_positive};
use glam::{DMat3, DQuat, DVec3};

/// Sizes closer than this (one part in) are the same.
const SAME_SIZE: f64 = 0.005;
/// A ratio of sizes within this part of a ratio of units is that.
const SAME_UNIT: f64 = 0.02;
/// What else an mm may have been taken for, and how many mm it is.
const UNITS: [(&str, f64); 4] =
    [("inches", 25.4), ("centimetres", 10.0), ("metres", 1000.0), ("feet", 304.8)];
/// A fit that may turn about the line of its points by more than this (rad, 0.5°) is doubtful: 9 mm at 1 m.
const NARROW_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// From here on (rad, 2°) it is bad.
const FAR_TOO_NARROW_RAD: f64 = 2.0 * std::f64::consts::PI / 180.0;
/// Above so many pairs it is not tried which two are exchanged.
const MOST_TO_EXCHANGE: usize = 15;

/// A place in both sets.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Name of the place.
    pub name: String,
    /// Where it is in the set that is laid over the other, mm.
    pub from_mm: DVec3,
    /// Where it is in the other, mm.
    pub to_mm: DVec3,
}

/// How one set lies over the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Turns `from` to `to`; a proper rotation.
    pub rotation: DMat3,
    /// Added after the turn, mm.
    pub shift_mm: DVec3,
    /// For each pair `to` less where `from` comes to lie, mm.
    pub residuals_mm: Vec<DVec3>,
    /// Root mean square of the residuals' lengths, mm.
    pub rms_mm: f64,
    /// What `from` would have to be multiplied by to fit best (S. Umeyama, *IEEE Trans. PAMI* 13, 376, 1991, from
    /// memory). It is only told, the fit leaves sizes alone.
    pub scale: f64,
    /// How far the points stray by their own testimony, mm, one standard deviation of a coordinate.
    pub spread_mm: f64,
    /// How far to believe it.
    pub trust: Trust,
    middle: Spread,
    sigma_mm: f64,
}

impl Fit {
    /// Where a point of the first set comes to lie, mm.
    pub fn apply(&self, from_mm: DVec3) -> DVec3 {
        self.rotation * from_mm + self.shift_mm
    }

    /// Which way a direction of the first set comes to point.
    pub fn turn(&self, direction: DVec3) -> DVec3 {
        self.rotation * direction
    }

    /// How far a point of the first set may come to lie off where it belongs, mm: root of the sum of the three
    /// variances, from the straying of the pairs (the larger of what was given and what they show).
    ///
    /// `σ²·3/N·(1 + ⅓·Σ d²/f²)`, with `d` the point's distance from each principal axis of the pairs and `f` the
    /// pairs' root mean square distance from it (J. M. Fitzpatrick, J. B. West, C. R. Maurer, *IEEE Trans. Med.
    /// Imaging* 17, 694, 1998, from memory; a test compares it with trials).
    pub fn sigma_at_mm(&self, from_mm: DVec3) -> f64 {
        let count = self.residuals_mm.len() as f64;
        let q = from_mm - self.middle.centre;
        let [a, b, c] = self.middle.extents.map(|x| x * x / count);
        let turning: f64 = self
            .middle
            .axes
            .iter()
            .zip([b + c, a + c, a + b])
            .map(|(axis, f)| (q.length_squared() - q.dot(*axis).powi(2)).max(0.0) / f)
            .sum();
        let sigma = self.sigma_mm.max(self.spread_mm);
        sigma * (3.0 / count * (1.0 + turning / 3.0)).sqrt()
    }
}

/// Lays the points `from` over the points `to` as nearly as can be by turning and shifting alone.
///
/// `sigma_mm` is the standard deviation of each coordinate of a point, both sets together
/// ([`POINT_SIGMA_MM`](super::POINT_SIGMA_MM) is a start). Refused: numbers that are none, fewer than three pairs, and
/// pairs in one line or one place in either set.
pub fn fit(pairs: &[Pair], sigma_mm: f64) -> Result<Fit, MeasureError> {
    let (from, to) = check(pairs, sigma_mm)?;
    let turned = Turned::of(pairs.iter().map(|p| (p.from_mm, p.to_mm)), from.centre, to.centre);
    let rotation = turned.rotation;
    let shift_mm = to.centre - rotation * from.centre;
    let residuals_mm: Vec<DVec3> = pairs.iter().map(|p| p.to_mm - rotation * p.from_mm - shift_mm).collect();
    let sum: f64 = residuals_mm.iter().map(|r| r.length_squared()).sum();
    let mut out = Fit {
        rotation,
        shift_mm,
        rms_mm: (sum / pairs.len() as f64).sqrt(),
        scale: turned.most / turned.from_squares,
        spread_mm: spread(sum, pairs.len()),
        trust: Trust::new(Vec::new(), Good::AsEntered),
        residuals_mm,
        middle: from,
        sigma_mm,
    };
    let mut doubts = diagnosis(pairs, turned.size(), sigma_mm / turned.from_squares.sqrt(), sigma_mm);
    let about_line = sigma_mm / (from.extents[1].hypot(from.extents[2]));
    let level = match about_line {
        x if x <= NARROW_RAD => Level::Good,
        x if x <= FAR_TOO_NARROW_RAD => Level::Doubtful,
        _ => Level::Bad,
    };
    doubts.push(Doubt::FitNarrow { sigma_rad: about_line, level });
    out.trust = Trust::new(doubts, Good::FitAgrees { pairs: pairs.len(), rms_mm: out.rms_mm });
    Ok(out)
}

fn check(pairs: &[Pair], sigma_mm: f64) -> Result<(Spread, Spread), MeasureError> {
    check_positive("What a point may stray", sigma_mm)?;
    check_count(Needs::Pairs, pairs.len())?;
    let name = |i: usize| called(&pairs[i].name, "pair", i);
    for (i, pair) in pairs.iter().enumerate() {
        check_point(&format!("{}, as fitted", name(i)), pair.from_mm)?;
        check_point(&format!("{}, as fitted to", name(i)), pair.to_mm)?;
    }
    let sets = [Spread::of(pairs.iter().map(|p| p.from_mm)), Spread::of(pairs.iter().map(|p| p.to_mm))];
    if sets.iter().any(Spread::in_line) {
        let names = (0..pairs.len()).map(name).collect();
        return Err(MeasureError::InLine { names, kind: Needs::Pairs });
    }
    let [from, to] = sets;
    Ok((from, to))
}

/// Standard deviation of a coordinate from the sum of squares of the residuals.
fn spread(sum: f64, pairs: usize) -> f64 {
    (sum / (3 * pairs - 6) as f64).sqrt()
}

/// The best rotation and what it leaves.
#[derive(Debug, Clone, Copy)]
struct Turned {
    rotation: DMat3,
    /// Sum of the products of turned `from` and `to` about their middles: the largest eigenvalue.
    most: f64,
    /// The same for the best mirror image.
    most_mirrored: f64,
    /// Sum of the squares of `from` about its middle.
    from_squares: f64,
    /// Sum of the squares of `to` about its middle.
    to_squares: f64,
}

impl Turned {
    fn of(pairs: impl Iterator<Item = (DVec3, DVec3)>, from: DVec3, to: DVec3) -> Self {
        let mut s = [[0.0; 3]; 3];
        let (mut from_squares, mut to_squares) = (0.0, 0.0);
        for (a, b) in pairs {
            let (a, b) = (a - from, b - to);
            from_squares += a.length_squared();
            to_squares += b.length_squared();
            for (row, x) in s.iter_mut().zip(a.to_array()) {
                for (cell, y) in row.iter_mut().zip(b.to_array()) {
                    *cell += x * y;
                }
            }
        }
        let [[xx, xy, xz], [yx, yy, yz], [zx, zy, zz]] = s;
        let eigen = eigen([
            [xx + yy + zz, yz - zy, zx - xz, xy - yx],
            [yz - zy, xx - yy - zz, xy + yx, zx + xz],
            [zx - xz, xy + yx, yy - xx - zz, yz + zy],
            [xy - yx, zx + xz, yz + zy, zz - xx - yy],
        ]);
        let [w, x, y, z] = eigen.vectors[0];
        Self {
            rotation: DMat3::from_quat(DQuat::from_xyzw(x, y, z, w)),
            most: eigen.values[0],
            // mirroring one set changes every sign of the matrix
            most_mirrored: -eigen.values[3],
            from_squares,
            to_squares,
        }
    }

    /// About the middles of both sets.
    fn about_middles(sets: &[(DVec3, DVec3)]) -> Self {
        let count = sets.len() as f64;
        let (from, to) = sets.iter().fold((DVec3::ZERO, DVec3::ZERO), |(a, b), (x, y)| (a + *x, b + *y));
        Self::of(sets.iter().copied(), from / count, to / count)
    }

    /// Size of `to` as a multiple of `from`, whichever way they are turned (Horn, as above).
    fn size(&self) -> f64 {
        (self.to_squares / self.from_squares).sqrt()
    }

    /// Sum of squares that is left with `product` for the products; good to about 1e-15 of the sets' own.
    fn left(&self, product: f64) -> f64 {
        (self.from_squares + self.to_squares - 2.0 * product).max(0.0)
    }
}

/// Whether the sets are of one size; `sigma` is how far `size` strays.
fn size_doubt(size: f64, sigma: f64) -> Option<Doubt> {
    let off = (size - 1.0).abs();
    if off <= SAME_SIZE.max(3.0 * sigma) {
        return None;
    }
    let near = |ratio: f64| (size / ratio - 1.0).abs() < SAME_UNIT;
    let guess = UNITS
        .iter()
        .find_map(|(unit, mm)| {
            if near(*mm) {
                Some(ScaleGuess::Fitted(unit))
            } else if near(1.0 / mm) {
                Some(ScaleGuess::Others(unit))
            } else {
                None
            }
        })
        .unwrap_or(ScaleGuess::Unknown);
    let level = if off < 4.0 * SAME_SIZE { Level::Doubtful } else { Level::Bad };
    Some(Doubt::FitScale { scale: size, guess, level })
}

/// What is wrong with the sizes and the fit; `size_sigma` is how far `size` strays.
///
/// A unit taken for another is looked past, or a scan in inches would hide what else is wrong. Sizes that differ by
/// anything else are told only where no mirror, exchange or wrong pair explains them.
fn diagnosis(pairs: &[Pair], size: f64, size_sigma: f64, sigma_mm: f64) -> Vec<Doubt> {
    let Some(sizes) = size_doubt(size, size_sigma) else {
        return poor(pairs, sigma_mm).into_iter().collect();
    };
    let sized: Vec<Pair> = pairs.iter().map(|p| Pair { from_mm: p.from_mm * size, ..p.clone() }).collect();
    let no_unit = matches!(sizes, Doubt::FitScale { guess: ScaleGuess::Unknown, .. });
    if no_unit && let Some(poor) = poor(pairs, sigma_mm).filter(explains) {
        return vec![poor];
    }
    std::iter::once(sizes).chain(poor(&sized, sigma_mm)).collect()
}

/// Whether a doubt names what is wrong.
fn explains(doubt: &Doubt) -> bool {
    match doubt {
        Doubt::FitMirrored | Doubt::FitSwapped { .. } => true,
        Doubt::FitPoor { suspects, .. } => {
            matches!(suspects, Suspects::One { .. } | Suspects::Several { .. })
        }
        Doubt::TapesUnchecked
        | Doubt::MirrorOpen { .. }
        | Doubt::NearPlane { .. }
        | Doubt::TapesDisagree { .. }
        | Doubt::TapesWeak { .. }
        | Doubt::RimUnchecked
        | Doubt::RimNarrow { .. }
        | Doubt::RimUneven { .. }
        | Doubt::RimSize { .. }
        | Doubt::RimSideOpen
        | Doubt::GaugeWeak { .. }
        | Doubt::AnglesOpen { .. }
        | Doubt::FitScale { .. }
        | Doubt::FitNarrow { .. } => false,
    }
}

/// Why a fit is poor: mirrored, two places exchanged, one pair wrong, or it cannot be said. `None` where it is not.
fn poor(pairs: &[Pair], sigma_mm: f64) -> Option<Doubt> {
    let sets: Vec<(DVec3, DVec3)> = pairs.iter().map(|p| (p.from_mm, p.to_mm)).collect();
    let turned = Turned::about_middles(&sets);
    let spread_mm = spread(turned.left(turned.most), pairs.len());
    let level = agreement(spread_mm, sigma_mm);
    if level == Level::Good {
        return None;
    }
    let fits = |sum: f64, count: usize| agreement(spread(sum, count), sigma_mm) == Level::Good;
    // flat sets are their own mirror image, turned over: those fit here only if they fit at all
    if fits(turned.left(turned.most_mirrored), pairs.len()) {
        return Some(Doubt::FitMirrored);
    }
    let name = |i: usize| called(&pairs[i].name, "pair", i);
    if let Some((i, k)) = exchanged(&sets, &fits) {
        return Some(Doubt::FitSwapped { first: name(i), second: name(k) });
    }
    Some(Doubt::FitPoor { spread_mm, suspects: suspects(pairs, &fits), level })
}

/// The two places whose exchange lets the sets fit, where that is one exchange alone.
fn exchanged(sets: &[(DVec3, DVec3)], fits: &impl Fn(f64, usize) -> bool) -> Option<(usize, usize)> {
    if sets.len() > MOST_TO_EXCHANGE {
        return None;
    }
    let mut found = Vec::new();
    for i in 0..sets.len() {
        for k in i + 1..sets.len() {
            let mut swapped = sets.to_vec();
            (swapped[i].1, swapped[k].1) = (sets[k].1, sets[i].1);
            if fits(left(&swapped), swapped.len()) {
                found.push((i, k));
            }
        }
    }
    if let [one] = found[..] { Some(one) } else { None }
}

/// Sum of squares that the best fit of two sets leaves.
fn left(sets: &[(DVec3, DVec3)]) -> f64 {
    let turned = Turned::about_middles(sets);
    turned.left(turned.most)
}

/// The pairs without which the rest fits.
fn suspects(pairs: &[Pair], fits: &impl Fn(f64, usize) -> bool) -> Suspects {
    if pairs.len() < 4 {
        return Suspects::Unknown;
    }
    let mut found: Vec<(f64, usize)> = Vec::new();
    for i in 0..pairs.len() {
        let rest: Vec<Pair> =
            pairs.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, p)| p.clone()).collect();
        let sets: Vec<(DVec3, DVec3)> = rest.iter().map(|p| (p.from_mm, p.to_mm)).collect();
        if Spread::of(rest.iter().map(|p| p.from_mm)).in_line() {
            continue;
        }
        let sum = left(&sets);
        if fits(sum, rest.len()) {
            found.push((sum, i));
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    match found[..] {
        [] => Suspects::NoSingle,
        [(_, i)] => Suspects::One { name: called(&pairs[i].name, "pair", i), off_mm: off_without(pairs, i) },
        _ => Suspects::Several {
            names: found.iter().map(|(_, i)| called(&pairs[*i].name, "pair", *i)).collect(),
        },
    }
}

/// How far pair `i` is apart when the others are fitted without it, mm.
fn off_without(pairs: &[Pair], i: usize) -> f64 {
    let rest = || pairs.iter().enumerate().filter(move |(k, _)| *k != i).map(|(_, p)| (p.from_mm, p.to_mm));
    let from = Spread::of(rest().map(|p| p.0)).centre;
    let to = Spread::of(rest().map(|p| p.1)).centre;
    let rotation = Turned::of(rest(), from, to).rotation;
    (pairs[i].to_mm - to - rotation * (pairs[i].from_mm - from)).length()
}

#[cfg(test)]
mod tests;
