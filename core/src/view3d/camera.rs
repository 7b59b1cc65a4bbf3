//! The camera: a turntable about a target, with Z up.

use super::ray::{Ray, Slack};
use crate::geom::vector::half_open_turn;
use glam::dcamera::rh::proj::opengl;
use glam::{DMat3, DMat4, DVec2, DVec3};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

/// Height of the view, rad (35°): near enough to how a bench is seen that round things look round.
pub const FOV_RAD: f64 = 35.0 * PI / 180.0;

/// Turn for each point of an orbiting drag, rad (0.4°): half a turn in 450 points.
const ORBIT_RAD_PER_POINT: f64 = 0.4 * PI / 180.0;

/// The camera comes no nearer to its target than this (mm): a tube's wall then fills the view.
const NEAREST_MM: f64 = 5.0;

/// The camera goes no further away than this (mm): a ship's engine room is a dot by then.
const FURTHEST_MM: f64 = 1.0e6;

/// Rays of a parallel view start this far (mm) before the target, so that nothing lies behind them.
const PARALLEL_BACK_MM: f64 = 2.0e5;

/// A fitted box is taken as at least this large (mm): one point has no size to fit.
const LEAST_FIT_MM: f64 = 50.0;

/// A fitted box fills this share of the view.
const FIT_SHARE: f64 = 0.88;

/// The near plane is never nearer than this share of the far plane: a 24 bit depth buffer then still tells
/// 0.1 mm apart at 1 m in a scene of 10 m.
const NEAR_SHARE: f64 = 2.0e-4;

/// Least distance of the near plane, mm.
const LEAST_NEAR_MM: f64 = 0.1;

/// How depth is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Projection {
    /// Further is smaller.
    #[default]
    Perspective,
    /// Equal lengths look equal: for measuring and for the sheet.
    Parallel,
}

/// A direction to look from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NamedView {
    /// From ahead of the vehicle, looking back.
    Front,
    /// From behind, looking ahead.
    Back,
    /// From the left: the front is on the left of the picture.
    Left,
    /// From the right: the front is on the right of the picture.
    Right,
    /// From above, the front at the top of the picture.
    Top,
    /// From below, the front at the top of the picture.
    Bottom,
    /// From ahead, the left and above.
    Free,
}

/// A turntable camera; plain data.
#[derive(Debug, Clone, PartialEq)]
pub struct Camera {
    /// What it turns about and looks at, mm.
    pub target: DVec3,
    /// Turn about Z of the direction from the target to the eye; 0 is from ahead (+X), rad.
    pub yaw_rad: f64,
    /// Height of the eye over the target's level, rad in [−π/2, π/2].
    pub pitch_rad: f64,
    /// From the eye to the target, mm. In a parallel view it sets the scale alone.
    pub distance_mm: f64,
    /// How depth is drawn.
    pub projection: Projection,
}

impl Default for Camera {
    fn default() -> Self {
        let mut camera = Self {
            target: DVec3::ZERO,
            yaw_rad: 0.0,
            pitch_rad: 0.0,
            distance_mm: 2000.0,
            projection: Projection::Perspective,
        };
        camera.look_from(NamedView::Free);
        camera
    }
}

impl Camera {
    /// Unit vectors of the picture: right, up, and toward the viewer.
    pub fn basis(&self) -> (DVec3, DVec3, DVec3) {
        let (sin_yaw, cos_yaw) = finite_or(self.yaw_rad, 0.0).sin_cos();
        let (sin_pitch, cos_pitch) = finite_or(self.pitch_rad, 0.0).sin_cos();
        let back = DVec3::new(cos_pitch * cos_yaw, cos_pitch * sin_yaw, sin_pitch);
        let right = DVec3::new(-sin_yaw, cos_yaw, 0.0);
        (right, back.cross(right), back)
    }

    /// Unit direction of view through the middle of the picture.
    pub fn forward(&self) -> DVec3 {
        -self.basis().2
    }

    /// Where the viewer is, mm. In a parallel view only the direction to it means anything.
    pub fn eye(&self) -> DVec3 {
        self.target + self.basis().2 * self.distance_mm
    }

    /// World to view: X right, Y up, Z toward the viewer, the eye at the origin.
    pub fn view_from_world(&self) -> DMat4 {
        let (right, up, back) = self.basis();
        let turn = DMat3::from_cols(right, up, back).transpose();
        DMat4::from_mat3(turn) * DMat4::from_translation(-self.eye())
    }

    /// View to clip space (−1 to 1 in all three, as OpenGL has it), for a view of `size` points.
    ///
    /// `low` and `high` are the corners of all that is to be drawn; the near and far planes hug them.
    pub fn clip_from_view(&self, size: DVec2, low: DVec3, high: DVec3) -> DMat4 {
        let size = usable_size(size);
        let aspect = size.x / size.y;
        let (near, far) = self.depth_range(low, high);
        match self.projection {
            Projection::Perspective => opengl::perspective(FOV_RAD, aspect, near, far),
            Projection::Parallel => {
                let half = half_height_mm(self.distance_mm);
                opengl::orthographic(-half * aspect, half * aspect, -half, half, near, far)
            }
        }
    }

    /// World to clip space: `clip_from_view` after `view_from_world`.
    pub fn clip_from_world(&self, size: DVec2, low: DVec3, high: DVec3) -> DMat4 {
        self.clip_from_view(size, low, high) * self.view_from_world()
    }

    /// Distances of the near and far planes before the eye that hold the box, mm; near < far always.
    pub fn depth_range(&self, low: DVec3, high: DVec3) -> (f64, f64) {
        let (_, _, back) = self.basis();
        let eye = self.eye();
        let mut range = (f64::INFINITY, f64::NEG_INFINITY);
        for corner in corners(low, high) {
            let depth = (eye - corner).dot(back);
            if depth.is_finite() {
                range = (range.0.min(depth), range.1.max(depth));
            }
        }
        let (nearest, furthest) =
            if range.0 <= range.1 { range } else { (self.distance_mm, self.distance_mm) };
        let room = 0.05 * (furthest - nearest) + 1.0;
        match self.projection {
            Projection::Parallel => (nearest - room, furthest + room),
            Projection::Perspective => {
                let far = (furthest + room).max(LEAST_NEAR_MM * 10.0);
                ((nearest - room).max(far * NEAR_SHARE).max(LEAST_NEAR_MM), far)
            }
        }
    }

    /// Where a world point appears, in points from the top left corner, and its depth before the eye, mm.
    ///
    /// `None` behind the viewer, and for anything not finite.
    pub fn ui_from_world(&self, point: DVec3, size: DVec2) -> Option<(DVec2, f64)> {
        let size = usable_size(size);
        let (right, up, back) = self.basis();
        let away = point - self.eye();
        let depth = -away.dot(back);
        let mm_per_point = match self.projection {
            Projection::Perspective if depth < LEAST_NEAR_MM => return None,
            Projection::Perspective => 2.0 * half_height_mm(depth) / size.y,
            Projection::Parallel => 2.0 * half_height_mm(self.distance_mm) / size.y,
        };
        let ui = size / 2.0 + DVec2::new(away.dot(right), -away.dot(up)) / mm_per_point;
        (ui.is_finite() && depth.is_finite()).then_some((ui, depth))
    }

    /// The ray under a point of the view.
    pub fn ray_in_world(&self, ui_pos: DVec2, size: DVec2) -> Ray {
        let size = usable_size(size);
        let (right, up, back) = self.basis();
        let ui_pos = if ui_pos.is_finite() { ui_pos } else { size / 2.0 };
        let off = (ui_pos - size / 2.0) * (2.0 * half_height_mm(self.distance_mm) / size.y);
        let at_target = self.target + right * off.x - up * off.y;
        match self.projection {
            Projection::Perspective => {
                let eye = self.eye();
                Ray { origin: eye, dir: (at_target - eye).try_normalize().unwrap_or(-back) }
            }
            Projection::Parallel => Ray { origin: at_target + back * PARALLEL_BACK_MM, dir: -back },
        }
    }

    /// What one point of the screen is worth at a place in the world, mm.
    pub fn mm_per_point_at(&self, world: DVec3, size: DVec2) -> f64 {
        let depth = match self.projection {
            Projection::Perspective => (self.eye() - world).dot(self.basis().2),
            Projection::Parallel => self.distance_mm,
        };
        2.0 * half_height_mm(finite_or(depth, self.distance_mm).max(LEAST_NEAR_MM)) / usable_size(size).y
    }

    /// The cone round a ray of this camera that is `radius_points` wide on the screen.
    pub fn slack(&self, radius_points: f64, size: DVec2) -> Slack {
        let per_mm = radius_points * 2.0 * half_height_mm(1.0) / usable_size(size).y;
        match self.projection {
            Projection::Perspective => Slack { at_origin_mm: 0.0, per_mm },
            Projection::Parallel => Slack { at_origin_mm: per_mm * self.distance_mm, per_mm: 0.0 },
        }
    }

    /// Turns about `pivot` by a drag of `delta` points; the pivot stays where it is on the screen.
    pub fn orbit(&mut self, delta: DVec2, pivot: DVec3) {
        if !delta.is_finite() || !pivot.is_finite() {
            return;
        }
        let old = self.basis();
        let away = pivot - self.eye();
        let in_view = DVec3::new(away.dot(old.0), away.dot(old.1), away.dot(old.2));
        self.yaw_rad = half_open_turn(self.yaw_rad - delta.x * ORBIT_RAD_PER_POINT);
        self.pitch_rad = (self.pitch_rad + delta.y * ORBIT_RAD_PER_POINT).clamp(-FRAC_PI_2, FRAC_PI_2);
        let (right, up, back) = self.basis();
        let eye = pivot - right * in_view.x - up * in_view.y - back * in_view.z;
        self.target = eye - back * self.distance_mm;
    }

    /// Moves the picture by `delta` points; what was grabbed at `grabbed` stays under the pointer.
    pub fn pan(&mut self, delta: DVec2, grabbed: DVec3, size: DVec2) {
        let (right, up, _) = self.basis();
        let step = (up * delta.y - right * delta.x) * self.mm_per_point_at(grabbed, size);
        if step.is_finite() {
            self.target += step;
        }
    }

    /// Comes nearer by `factor` (> 1) or goes away (< 1); the point under the cursor stays there.
    ///
    /// `under` is what is seen under the cursor; without it the point at the target's depth is taken. The
    /// distance to the target stays within bounds, so the camera neither passes it nor runs away.
    pub fn zoom_to(&mut self, factor: f64, cursor: DVec2, size: DVec2, under: Option<DVec3>) {
        if !factor.is_finite() || factor <= 0.0 {
            return;
        }
        let distance = (self.distance_mm / factor).clamp(NEAREST_MM, FURTHEST_MM);
        let share = distance / self.distance_mm;
        let back = self.basis().2;
        let ray = self.ray_in_world(cursor, size);
        let anchor = under
            .filter(|p| p.is_finite() && (self.eye() - *p).dot(back) > 0.0)
            .unwrap_or_else(|| ray.at(ray.plane(self.target, back).unwrap_or(self.distance_mm)));
        self.target = anchor + (self.target - anchor) * share;
        self.distance_mm = distance;
    }

    /// Moves so that the whole box is in view, without turning.
    pub fn fit(&mut self, low: DVec3, high: DVec3, size: DVec2) {
        let centre = (low + high) / 2.0;
        if !centre.is_finite() {
            return;
        }
        let half = ((high - low) / 2.0).max(DVec3::splat(LEAST_FIT_MM / 2.0));
        let size = usable_size(size);
        let tan_up = (FOV_RAD / 2.0).tan() * FIT_SHARE;
        let tan_right = tan_up * size.x / size.y;
        let (right, up, back) = self.basis();
        let mut distance = NEAREST_MM;
        for corner in corners(-half, half) {
            let spread = (corner.dot(right).abs() / tan_right).max(corner.dot(up).abs() / tan_up);
            let nearer = match self.projection {
                Projection::Perspective => corner.dot(back),
                Projection::Parallel => 0.0,
            };
            distance = distance.max(spread + nearer);
        }
        self.target = centre;
        self.distance_mm = distance.clamp(NEAREST_MM, FURTHEST_MM);
    }

    /// Turns to a named direction; target and scale stay.
    pub fn look_from(&mut self, view: NamedView) {
        (self.yaw_rad, self.pitch_rad) = match view {
            NamedView::Front => (0.0, 0.0),
            NamedView::Back => (PI, 0.0),
            NamedView::Left => (FRAC_PI_2, 0.0),
            NamedView::Right => (-FRAC_PI_2, 0.0),
            NamedView::Top => (PI, FRAC_PI_2),
            NamedView::Bottom => (0.0, -FRAC_PI_2),
            NamedView::Free => (FRAC_PI_4, (1.0 / 2.0_f64.sqrt()).atan()),
        };
    }

    /// Changes between perspective and parallel; what lies at the target keeps its size.
    pub fn toggle_projection(&mut self) {
        self.projection = match self.projection {
            Projection::Perspective => Projection::Parallel,
            Projection::Parallel => Projection::Perspective,
        };
    }

    /// A camera on the way from this one to `end`, `share` (0 to 1) of the way, the short way round.
    #[must_use]
    pub fn toward(&self, end: &Self, share: f64) -> Self {
        let s = finite_or(share, 1.0).clamp(0.0, 1.0);
        let turn = half_open_turn(end.yaw_rad - self.yaw_rad);
        Self {
            target: self.target.lerp(end.target, s),
            yaw_rad: half_open_turn(self.yaw_rad + turn * s),
            pitch_rad: self.pitch_rad + (end.pitch_rad - self.pitch_rad) * s,
            distance_mm: self.distance_mm * (end.distance_mm / self.distance_mm).powf(s),
            projection: end.projection,
        }
    }
}

/// Half the height of what is in view at a depth, mm.
fn half_height_mm(depth_mm: f64) -> f64 {
    (FOV_RAD / 2.0).tan() * depth_mm
}

fn corners(low: DVec3, high: DVec3) -> impl Iterator<Item = DVec3> {
    (0..8).map(move |i| DVec3::select(glam::BVec3::new(i & 1 == 0, i & 2 == 0, i & 4 == 0), low, high))
}

fn finite_or(value: f64, otherwise: f64) -> f64 {
    if value.is_finite() { value } else { otherwise }
}

/// A size one can divide by: at least one point each way.
fn usable_size(size: DVec2) -> DVec2 {
    DVec2::new(finite_or(size.x, 1.0).max(1.0), finite_or(size.y, 1.0).max(1.0))
}

#[cfg(test)]
mod tests;
