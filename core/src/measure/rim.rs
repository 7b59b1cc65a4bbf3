//! A port from points on its rim: the circle in space through or nearest to them.

use super::algebra::{Normal, Spread, descend, solve, variances};
use super::trust::{Doubt, Good, Trust};
use super::{FARTHEST_MM, Level, MeasureError, Needs, agreement, check_count, check_point, check_positive};
use crate::geom::tolerance::{SAME_OD_MM, SAME_RIM_POINT_MM};
use crate::geom::vector::{across, any_across, unit};
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// Points that go less than this far round the rim (rad, 60°) leave centre and axis doubtful.
const NARROW_RAD: f64 = PI / 3.0;
/// Less than this (rad, 30°) leaves them bad: 0.3 mm at the points is 4 mm at the centre of a 2.5 in tube.
const FAR_TOO_NARROW_RAD: f64 = PI / 6.0;
/// A hint whose part along the axis is less than this (84° off) does not say which way is out.
const HINT_ALONG: f64 = 0.1;

/// A rim this near (mm) to a size in stock is taken for it: marks on a rim stray by about that much in the diameter
/// (common practice, no source).
pub const STOCK_WITHIN_MM: f64 = 1.5;

/// The size in stock that a measured diameter stands for: the nearest one, if within [`STOCK_WITHIN_MM`]; of two as
/// near, the first.
pub fn stock_size(measured_mm: f64, sizes_mm: impl IntoIterator<Item = f64>) -> Option<f64> {
    let off = |size: &f64| (size - measured_mm).abs();
    let near = sizes_mm.into_iter().filter(|size| off(size) <= STOCK_WITHIN_MM);
    near.min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// How one point lies to the circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RimMiss {
    /// Outside (+) or inside (-) the circle, mm.
    pub radial_mm: f64,
    /// Off its plane, mm, positive to the side the axis points to.
    pub off_plane_mm: f64,
}

impl RimMiss {
    /// How far it is from the circle, mm.
    pub fn distance_mm(&self) -> f64 {
        self.radial_mm.hypot(self.off_plane_mm)
    }
}

/// A measured rim.
#[derive(Debug, Clone, PartialEq)]
pub struct Rim {
    /// Centre, mm.
    pub centre_mm: DVec3,
    /// Unit axis, out of the part.
    pub axis: DVec3,
    /// Diameter, mm.
    pub diameter_mm: f64,
    /// For each point how it lies to the circle.
    pub misses: Vec<RimMiss>,
    /// Root mean square of the points' distances from the circle, mm.
    pub rms_mm: f64,
    /// How far round the rim the points go, rad: a full turn less the widest gap.
    pub spread_rad: f64,
    /// How far the centre may be off, mm: root of the sum of its three variances.
    pub centre_sigma_mm: f64,
    /// How far the axis may be off, rad: root of the sum of its two variances.
    pub axis_sigma_rad: f64,
    /// How far the diameter may be off, mm, standard deviation.
    pub diameter_sigma_mm: f64,
    /// Measured less known diameter, mm, where one is known.
    pub size_error_mm: Option<f64>,
    /// How far to believe it.
    pub trust: Trust,
}

/// The circle through three rim points, or the one nearest to more: least squares of the distances in space.
///
/// `outward` is any vector that points out of the part, however roughly; without one, or with one across the axis,
/// the axis is taken upward and that is said. `known_mm` is the diameter the rim should have, to check by; the fit
/// does not use it. `sigma_mm` is the standard deviation of each coordinate of a point
/// ([`POINT_SIGMA_MM`](super::POINT_SIGMA_MM) is a start).
///
/// Refused: numbers that are none, fewer than three points, two points in one place, points in one line.
pub fn rim(
    points_mm: &[DVec3],
    outward: Option<DVec3>,
    known_mm: Option<f64>,
    sigma_mm: f64,
) -> Result<Rim, MeasureError> {
    let spread = check(points_mm, known_mm, sigma_mm)?;
    let start = start(points_mm, &spread).ok_or(MeasureError::RimStraight)?;
    let mut circle = if points_mm.len() == 3 {
        start
    } else {
        descend(start, |c| normal_equations(points_mm, c), Circle::moved)
    };
    if !(circle.radius > 0.0 && circle.radius < FARTHEST_MM && circle.centre.is_finite()) {
        return Err(MeasureError::RimStraight);
    }
    let side_open = circle.face(outward);
    let variances =
        variances(normal_equations(points_mm, &circle).matrix).ok_or(MeasureError::RimStraight)?;
    let misses: Vec<RimMiss> = points_mm.iter().map(|p| circle.miss(*p)).collect();
    let sum: f64 = misses.iter().map(|m| m.distance_mm().powi(2)).sum();
    let root = |variances: &[f64]| sigma_mm * variances.iter().sum::<f64>().sqrt();
    let mut out = Rim {
        centre_mm: circle.centre,
        axis: circle.axis,
        diameter_mm: 2.0 * circle.radius,
        rms_mm: (sum / points_mm.len() as f64).sqrt(),
        spread_rad: circle.spread(points_mm),
        centre_sigma_mm: root(&variances[..3]),
        axis_sigma_rad: root(&variances[3..5]),
        diameter_sigma_mm: 2.0 * root(&variances[5..]),
        size_error_mm: known_mm.map(|known| 2.0 * circle.radius - known),
        trust: Trust::new(Vec::new(), Good::AsEntered),
        misses,
    };
    out.trust = trust(&out, known_mm, sigma_mm, side_open);
    Ok(out)
}

fn check(points_mm: &[DVec3], known_mm: Option<f64>, sigma_mm: f64) -> Result<Spread, MeasureError> {
    check_positive("What a rim point may stray", sigma_mm)?;
    if let Some(known) = known_mm {
        check_positive("The known diameter", known)?;
    }
    check_count(Needs::RimPoints, points_mm.len())?;
    let name = |i: usize| format!("Rim points {}", i + 1);
    for (i, p) in points_mm.iter().enumerate() {
        check_point(&format!("rim point {}", i + 1), *p)?;
        for (k, before) in points_mm[..i].iter().enumerate() {
            let apart_mm = (*p - *before).length();
            if apart_mm < SAME_RIM_POINT_MM {
                return Err(MeasureError::SamePoint {
                    first: name(k),
                    second: format!("{}", i + 1),
                    apart_mm,
                });
            }
        }
    }
    let spread = Spread::of(points_mm.iter().copied());
    if spread.in_line() {
        let names = if points_mm.len() > 4 {
            vec!["The rim points".to_owned()]
        } else {
            (0..points_mm.len()).map(|i| if i == 0 { name(0) } else { format!("{}", i + 1) }).collect()
        };
        return Err(MeasureError::InLine { names, kind: Needs::RimPoints });
    }
    Ok(spread)
}

/// A circle in space with two directions in its plane.
#[derive(Debug, Clone, Copy)]
struct Circle {
    centre: DVec3,
    axis: DVec3,
    one: DVec3,
    two: DVec3,
    radius: f64,
}

impl Circle {
    fn new(centre: DVec3, axis: DVec3, radius: f64) -> Self {
        let one = any_across(axis);
        Self { centre, axis, one, two: axis.cross(one), radius }
    }

    /// Moved by centre (3), tilt about both directions (2) and radius.
    fn moved(&self, step: [f64; 6]) -> Self {
        let [x, y, z, a, b, radius] = step;
        let axis = unit(self.axis + self.one * a + self.two * b).unwrap_or(self.axis);
        let one = across(self.one, axis).unwrap_or_else(|| any_across(axis));
        Self {
            centre: self.centre + DVec3::new(x, y, z),
            axis,
            one,
            two: axis.cross(one),
            radius: self.radius + radius,
        }
    }

    /// Turns the axis to the side of the hint; true where the hint does not tell.
    fn face(&mut self, outward: Option<DVec3>) -> bool {
        let along = outward.and_then(unit).map_or(0.0, |o| o.dot(self.axis));
        let open = along.abs() < HINT_ALONG;
        let turned =
            if open { (self.axis.z, self.axis.y, self.axis.x) < (0.0, 0.0, 0.0) } else { along < 0.0 };
        if turned {
            *self = Self::new(self.centre, -self.axis, self.radius);
        }
        open
    }

    /// Part of `p - centre` in the plane, and height over it.
    fn split(&self, p: DVec3) -> (DVec3, f64) {
        let q = p - self.centre;
        let height = q.dot(self.axis);
        (q - self.axis * height, height)
    }

    fn miss(&self, p: DVec3) -> RimMiss {
        let (flat, height) = self.split(p);
        RimMiss { radial_mm: flat.length() - self.radius, off_plane_mm: height }
    }

    /// A full turn less the widest gap between neighbours.
    fn spread(&self, points_mm: &[DVec3]) -> f64 {
        let mut angles: Vec<f64> = points_mm
            .iter()
            .map(|p| {
                let q = *p - self.centre;
                q.dot(self.two).atan2(q.dot(self.one))
            })
            .collect();
        angles.sort_by(f64::total_cmp);
        let round = angles.first().map_or(0.0, |first| first + TAU);
        let next = angles.iter().skip(1).copied().chain([round]);
        let widest = angles.iter().zip(next).map(|(a, b)| b - a).fold(0.0, f64::max);
        TAU - widest
    }
}

/// The circle through three points, or through more in the plane nearest to them by the linear fit of
/// `x² + y² = 2·a·x + 2·b·y + c` (Kasa's, from memory).
fn start(points_mm: &[DVec3], spread: &Spread) -> Option<Circle> {
    if let [a, b, c] = points_mm {
        let (ab, ac) = (*b - *a, *c - *a);
        let n = ab.cross(ac);
        let to_centre = (n.cross(ab) * ac.length_squared() + ac.cross(n) * ab.length_squared())
            / (2.0 * n.length_squared());
        return Some(Circle::new(*a + to_centre, unit(n)?, to_centre.length()));
    }
    let [one, two, axis] = spread.axes;
    let mut matrix = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    // in units of the first extent, so that the three columns are of one size
    let scale = spread.extents[0];
    for p in points_mm {
        let q = (*p - spread.centre) / scale;
        let row = [q.dot(one), q.dot(two), 1.0];
        let square = row[0] * row[0] + row[1] * row[1];
        for (i, x) in row.iter().enumerate() {
            right[i] += x * square;
            for (j, y) in row.iter().enumerate() {
                matrix[i][j] += x * y;
            }
        }
    }
    let [a, b, c] = solve(matrix, right)?;
    let radius = (c + (a * a + b * b) / 4.0).max(0.0).sqrt() * scale;
    Some(Circle::new(spread.centre + (one * a + two * b) * (scale / 2.0), axis, radius))
}

/// Residuals are the height over the plane and the distance from the circle in it; unknowns as in
/// [`Circle::moved`].
fn normal_equations(points_mm: &[DVec3], circle: &Circle) -> Normal<6> {
    let mut normal = Normal::new();
    for p in points_mm {
        let (flat, height) = circle.split(*p);
        let (a, b) = (flat.dot(circle.one), flat.dot(circle.two));
        let n = circle.axis;
        normal.add(height, [-n.x, -n.y, -n.z, a, b, 0.0]);
        let long = flat.length();
        // on the axis itself any direction is as good
        let w = unit(flat).unwrap_or(circle.one);
        let lean = if long > 0.0 { -height / long } else { 0.0 };
        normal.add(long - circle.radius, [-w.x, -w.y, -w.z, lean * a, lean * b, -1.0]);
    }
    normal
}

fn trust(rim: &Rim, known_mm: Option<f64>, sigma_mm: f64, side_open: bool) -> Trust {
    let mut doubts = Vec::new();
    let points = rim.misses.len();
    if points > 3 {
        let spread_mm = rim.rms_mm * (points as f64 / (2 * points - 6) as f64).sqrt();
        let worst = rim
            .misses
            .iter()
            .enumerate()
            .max_by(|a, b| a.1.distance_mm().total_cmp(&b.1.distance_mm()))
            .map_or((0, 0.0), |(i, m)| (i, m.distance_mm()));
        let level = agreement(spread_mm, sigma_mm);
        doubts.push(Doubt::RimUneven { spread_mm, worst: worst.0 + 1, off_mm: worst.1, level });
    }
    if let Some(known_mm) = known_mm {
        let off = (rim.diameter_mm - known_mm).abs();
        let level = match off / rim.diameter_sigma_mm.max(SAME_OD_MM / 2.0) {
            x if x <= 2.0 => Level::Good,
            x if x <= 4.0 => Level::Doubtful,
            _ => Level::Bad,
        };
        doubts.push(Doubt::RimSize { diameter_mm: rim.diameter_mm, known_mm, level });
    }
    let level = match rim.spread_rad {
        x if x < FAR_TOO_NARROW_RAD => Level::Bad,
        x if x < NARROW_RAD => Level::Doubtful,
        _ => Level::Good,
    };
    doubts.push(Doubt::RimNarrow {
        spread_rad: rim.spread_rad,
        centre_sigma_mm: rim.centre_sigma_mm,
        axis_sigma_rad: rim.axis_sigma_rad,
        level,
    });
    if side_open {
        doubts.push(Doubt::RimSideOpen);
    }
    if points == 3 && known_mm.is_none() {
        doubts.push(Doubt::RimUnchecked);
    }
    let good = match known_mm {
        // three points lie on their circle whatever they are worth
        Some(known_mm) if points == 3 => Good::RimSize { diameter_mm: rim.diameter_mm, known_mm },
        Some(_) | None => Good::RimAgrees { points, rms_mm: rim.rms_mm },
    };
    Trust::new(doubts, good)
}

#[cfg(test)]
mod tests;
