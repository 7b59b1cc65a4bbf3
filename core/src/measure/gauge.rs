//! A direction from two readings of an angle gauge. Three ways, which are not the same:
//!
//! - [`from_views`]: two *pictures* of the line, seen square from the side and square from above, as off photographs
//!   or with the gauge held against the picture. Neither is the true slope.
//! - [`from_incline`]: the true slope from level, as a gauge laid *along the tube* reads, and the heading as seen from
//!   above.
//! - [`from_lines`]: the true angles to two lines whose directions are known, as a bevel between tube and rail reads.
//!
//! A line 20° in the side view and 35° in the plan view is 3.4° off one of incline 20° and heading 35°.

use super::trust::{Doubt, Good, Trust};
use super::words::called;
use super::{Level, MeasureError, check_angle, check_direction, check_positive};
use crate::geom::tolerance::{BLIND_VIEW_RAD, PARALLEL_GUIDES_RAD, SAME_TURN_RAD};
use crate::geom::vector::{angle_between, unit};
use glam::DVec3;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// A gauge error that comes out this many times larger makes the direction doubtful (common practice, no source).
const MAGNIFIES: f64 = 3.0;
/// From here on it is bad.
const MAGNIFIES_BADLY: f64 = 8.0;
/// Angles to two lines that miss each other by this many standard deviations of both are still taken to touch.
const TOUCH: f64 = 2.0;

/// A direction from a gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct Aim {
    /// Unit direction.
    pub direction: DVec3,
    /// The true slope from level, rad, positive upward.
    pub incline_rad: f64,
    /// How far the direction may be off, rad: root of the sum of both readings' variances.
    pub sigma_rad: f64,
    /// How far to believe it.
    pub trust: Trust,
}

impl Aim {
    fn new(direction: DVec3, sigma_rad: f64, gauge_rad: f64, open: Option<Doubt>) -> Self {
        let level = match sigma_rad / gauge_rad {
            x if x <= MAGNIFIES => Level::Good,
            x if x <= MAGNIFIES_BADLY => Level::Doubtful,
            _ => Level::Bad,
        };
        let mut doubts = vec![Doubt::GaugeWeak { sigma_rad, level }];
        doubts.extend(open);
        let incline_rad = direction.z.atan2(direction.x.hypot(direction.y));
        Self { direction, incline_rad, sigma_rad, trust: Trust::new(doubts, Good::Gauge { sigma_rad }) }
    }
}

/// The direction seen at `side_rad` in the side view and at `above_rad` in the plan view.
///
/// `side_rad` turns from forward (X) up (towards Z), `above_rad` from forward to the left (towards Y), both in
/// (-180°, 180°]: a line that runs backward is beyond 90° in both. The direction is along
/// `(1, tan above, tan side)`. `sigma_rad` is the standard deviation of one reading.
///
/// Refused: angles that are none, views that contradict each other (forward in one, backward in the other), and a
/// line across both views (90° in both), which they do not fix.
pub fn from_views(side_rad: f64, above_rad: f64, sigma_rad: f64) -> Result<Aim, MeasureError> {
    check_angle("The angle seen from the side", side_rad)?;
    check_angle("The angle seen from above", above_rad)?;
    check_positive("What the gauge may stray", sigma_rad)?;
    let ((side_sin, side_cos), (above_sin, above_cos)) = (side_rad.sin_cos(), above_rad.sin_cos());
    let blind = BLIND_VIEW_RAD.sin();
    if side_cos.abs() < blind && above_cos.abs() < blind {
        return Err(MeasureError::ViewsBlind);
    }
    if side_cos * above_cos < 0.0 && side_cos.abs() >= blind && above_cos.abs() >= blind {
        return Err(MeasureError::ViewsContradict { side_rad, above_rad });
    }
    // (1, tan above, tan side) times both cosines, which stays finite where one view shows 90°
    let forward = if side_cos.abs() >= blind { side_cos.signum() } else { above_cos.signum() };
    let raw = DVec3::new(
        (side_cos * above_cos).abs() * forward,
        side_cos.abs() * above_sin,
        above_cos.abs() * side_sin,
    );
    let direction = check_direction("The line seen in both views", raw)?;
    // |raw| falls as the line turns across the views: each reading turns it by the other's cosine over |raw|²
    let sigma = sigma_rad * side_cos.hypot(above_cos) / raw.length_squared();
    Ok(Aim::new(direction, sigma, sigma_rad, None))
}

/// The direction that rises `incline_rad` from level and heads `heading_rad` from forward (X) to the left (Y), as
/// seen from above.
///
/// `incline_rad` is positive upward, from -90° to 90°; of a line straight up or down the heading says nothing and does
/// no harm. `sigma_rad` is the standard deviation of one reading.
pub fn from_incline(incline_rad: f64, heading_rad: f64, sigma_rad: f64) -> Result<Aim, MeasureError> {
    check_angle("The incline", incline_rad)?;
    check_angle("The heading", heading_rad)?;
    check_positive("What the gauge may stray", sigma_rad)?;
    // 90° typed in degrees is a hair off here
    if incline_rad.abs() > FRAC_PI_2 + SAME_TURN_RAD {
        return Err(MeasureError::Incline { incline_rad });
    }
    let ((rise, level), (left, ahead)) = (incline_rad.sin_cos(), heading_rad.sin_cos());
    let level = level.max(0.0);
    let direction = check_direction("The line", DVec3::new(level * ahead, level * left, rise))?;
    Ok(Aim::new(direction, sigma_rad * level.hypot(1.0), sigma_rad, None))
}

/// A line whose direction is known, and the angle of the tube to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    /// Name of the line.
    pub name: String,
    /// Which way it runs; any length.
    pub direction: DVec3,
    /// Angle between that way and the tube's, rad, from 0 to 180°.
    pub angle_rad: f64,
}

/// The directions that make the read angles with two known lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Aims {
    /// The one that points higher.
    pub first: Aim,
    /// The other, mirrored in the plane of the two lines; `None` where the tube lies in that plane.
    pub second: Option<Aim>,
}

/// The one or two directions at `first.angle_rad` to one line and `second.angle_rad` to another.
///
/// Two cones about the lines meet in two directions, in one where they touch (also where they miss by no more than
/// the gauge may stray, `sigma_rad` being the standard deviation of one reading), or in none. Refused: angles outside
/// 0 to 180°, lines without direction or closer than 5° to parallel, and angles that no direction makes.
pub fn from_lines(first: &Guide, second: &Guide, sigma_rad: f64) -> Result<Aims, MeasureError> {
    check_positive("What the gauge may stray", sigma_rad)?;
    let names = [called(&first.name, "line", 0), called(&second.name, "line", 1)];
    let mut lines = [DVec3::ZERO; 2];
    for ((line, guide), name) in lines.iter_mut().zip([first, second]).zip(&names) {
        check_angle(&format!("The angle to {name}"), guide.angle_rad)?;
        *line = check_direction(name, guide.direction)?;
        if !(-SAME_TURN_RAD..=PI + SAME_TURN_RAD).contains(&guide.angle_rad) {
            return Err(MeasureError::LineAngle { line: name.clone(), angle_rad: guide.angle_rad });
        }
    }
    let [a, b] = lines;
    let [first_name, second_name] = names;
    let between = angle_between(a, b);
    let apart_rad = between.min(PI - between);
    if apart_rad < PARALLEL_GUIDES_RAD {
        return Err(MeasureError::LinesParallel { first: first_name, second: second_name, apart_rad });
    }
    let (alpha, beta) = (first.angle_rad.clamp(0.0, PI), second.angle_rad.clamp(0.0, PI));
    let small = between - alpha - beta;
    let large = ((alpha - beta).abs() - between).max(alpha + beta + between - TAU);
    let by_rad = small.max(large);
    if by_rad > TOUCH * std::f64::consts::SQRT_2 * sigma_rad {
        let short = small > large;
        return Err(MeasureError::AnglesDoNotMeet { first: first_name, second: second_name, by_rad, short });
    }
    // d = p·a + q·b ± w·(a×b)/|a×b|
    let (g, normal) = (a.dot(b), a.cross(b));
    let sine = normal.length();
    let p = (alpha.cos() - g * beta.cos()) / (sine * sine);
    let q = (beta.cos() - g * alpha.cos()) / (sine * sine);
    let flat = a * p + b * q;
    let w = (1.0 - flat.length_squared()).max(0.0).sqrt();
    // both readings turn the direction by sin α·sin β over the volume of the three; where that goes to nothing the
    // second order holds it
    let turn = alpha.sin() * beta.sin() / sine;
    let sigma = (std::f64::consts::SQRT_2 * turn * sigma_rad / w)
        .min((2.0 * std::f64::consts::SQRT_2 * turn * sigma_rad).sqrt())
        .max(sigma_rad);
    if w == 0.0 || by_rad >= 0.0 {
        let direction = check_direction("The tube", flat)?;
        return Ok(Aims { first: Aim::new(direction, sigma, sigma_rad, None), second: None });
    }
    let step = normal * (w / sine);
    let mut both = [flat + step, flat - step].map(|d| unit(d).unwrap_or(a));
    if both[0].z < both[1].z {
        both.reverse();
    }
    let open = Doubt::AnglesOpen { apart_rad: angle_between(both[0], both[1]) };
    let [first, other] = both.map(|d| Aim::new(d, sigma, sigma_rad, Some(open.clone())));
    Ok(Aims { first, second: Some(other) })
}

#[cfg(test)]
mod tests;
