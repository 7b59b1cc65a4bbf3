//! A drag of a handle: from pointer and keys to a place and an edit. Knows no window.

use glam::{DVec2, DVec3};
use pipeloft_core::edit::Edit;
use pipeloft_core::edit::handle::{Freedom, Handle, drag_edit, freedom, place};
use pipeloft_core::edit::snap::{SnapOptions, Snapped, snap};
use pipeloft_core::model::Project;
use pipeloft_core::seat::branch::under;
use pipeloft_core::units;
use pipeloft_core::units::UnitSystem;
use pipeloft_core::view3d::Camera;
use pipeloft_core::view3d::drag::{along_axis, best_plane_normal, in_plane, view_plane_normal};

/// How far a drag may be pulled onto a makeable angle, points on the screen.
const PULL_POINTS: f64 = 9.0;

/// A drag that is going on.
#[derive(Debug, Clone, PartialEq)]
pub struct DragState {
    /// What is dragged.
    pub handle: Handle,
    /// Where it was when the drag began, mm.
    pub start: DVec3,
    /// Where it may go.
    pub freedom: Freedom,
    /// Normal of the plane it moves in when it is free.
    pub plane: DVec3,
    /// Place of the handle minus place of the pointer at the press, points.
    grab: DVec2,
    /// The axis it is locked to: 0 X, 1 Y, 2 Z.
    pub lock: Option<usize>,
    /// What has been typed.
    pub typed: String,
    /// Where it is now, mm.
    pub target: DVec3,
    /// What it is caught on.
    pub snapped: Option<Snapped>,
    /// The edit that was previewed last.
    pub(super) shown: Option<Edit>,
}

/// What decides where a drag goes besides the pointer.
#[derive(Debug, Clone, Copy)]
pub struct DragRules {
    /// Whether to catch on makeable angles.
    pub snap: bool,
    /// What a typed number means.
    pub units: UnitSystem,
}

impl DragState {
    /// Begins a drag at pointer place `press` (points in the view). `None` where the handle is gone or not in view.
    pub fn begin(
        project: &Project,
        handle: Handle,
        press: DVec2,
        camera: &Camera,
        size: DVec2,
    ) -> Option<Self> {
        let start = place(project, handle)?;
        let (at, _) = camera.ui_from_world(start, size)?;
        // the level plane through it unless that is seen too flat: then the upright one that faces the view
        let facing = best_plane_normal(camera.forward());
        let plane = if camera.forward().z.abs() > 0.35 { DVec3::Z } else { facing };
        let plane =
            if camera.forward().dot(plane).abs() < 0.1 { view_plane_normal(camera.forward()) } else { plane };
        Some(Self {
            handle,
            start,
            freedom: freedom(project, handle),
            plane,
            grab: at - press,
            lock: None,
            typed: String::new(),
            target: start,
            snapped: None,
            shown: None,
        })
    }

    /// Unit vector of the locked axis.
    pub fn locked_axis(&self) -> Option<DVec3> {
        self.lock.map(|i| DVec3::AXES[i])
    }

    /// Locks to an axis, or lets go of it.
    pub fn toggle_lock(&mut self, axis: usize) {
        self.lock = if self.lock == Some(axis) { None } else { Some(axis) };
        self.typed.clear();
    }

    /// What a typed number stands for, in words.
    pub fn typed_meaning(&self) -> &'static str {
        match (self.freedom, self.lock) {
            (Freedom::Axis(..), _) => "along its axis",
            (Freedom::Free, Some(0)) => "along X",
            (Freedom::Free, Some(1)) => "along Y",
            (Freedom::Free, Some(_)) => "along Z",
            (Freedom::Free, None) => "press X, Y or Z first",
        }
    }

    /// The place the typed number says, if it says one.
    fn typed_target(&self, units: UnitSystem) -> Option<DVec3> {
        let mm = units::parse_length(&self.typed, units).ok()?;
        match (self.freedom, self.locked_axis()) {
            (Freedom::Axis(origin, axis), _) => Some(origin + axis * mm),
            (Freedom::Free, Some(axis)) => Some(self.start + axis * mm),
            (Freedom::Free, None) => None,
        }
    }

    /// Moves with the pointer. `project` is the one the drag began with; returns the edit to preview.
    ///
    /// Where the view looks along the axis or the plane, the handle stays where it was.
    pub fn update(
        &mut self,
        project: &Project,
        pointer: DVec2,
        camera: &Camera,
        size: DVec2,
        rules: DragRules,
    ) -> Option<Edit> {
        self.snapped = None;
        if let Some(target) = self.typed_target(rules.units) {
            self.target = target;
            return drag_edit(project, self.handle, target);
        }
        let ray = camera.ray_in_world(pointer + self.grab, size);
        let (moved, free): (Option<DVec3>, Vec<DVec3>) = match (self.freedom, self.locked_axis()) {
            (Freedom::Axis(origin, axis), _) => {
                (along_axis(&ray, origin, axis).map(|t| origin + axis * t), vec![axis])
            }
            (Freedom::Free, Some(axis)) => {
                (along_axis(&ray, self.start, axis).map(|t| self.start + axis * t), vec![axis])
            }
            (Freedom::Free, None) => {
                let across = pipeloft_core::geom::vector::any_across(self.plane);
                // rounding must not lift a level drag off its level
                let level = |mut p: DVec3| {
                    for i in 0..3 {
                        if self.plane[i].abs() >= 1.0 {
                            p[i] = self.start[i];
                        }
                    }
                    p
                };
                (in_plane(&ray, self.start, self.plane).map(level), vec![across, self.plane.cross(across)])
            }
        };
        let seated = match self.handle {
            Handle::Hardpoint(id) => project.hardpoint(id).and_then(|h| h.seat),
            Handle::Vertex(..)
            | Handle::LegMiddle(..)
            | Handle::Fitting(..)
            | Handle::Obstacle(_)
            | Handle::Merge(_)
            | Handle::Part(..)
            | Handle::BarPoint(..) => None,
        };
        // what sits on a pipe follows the pointer over its skin; beside it, in the plane that faces the view
        let over = seated.filter(|_| self.lock.is_none()).and_then(|seat| {
            let beside = || in_plane(&ray, self.start, view_plane_normal(camera.forward()));
            under(project, seat, ray.origin, ray.dir).or_else(beside)
        });
        let mut target = over.or(moved)?;
        if rules.snap
            && let Handle::Vertex(run, vertex) = self.handle
            && let Some(run) = project.run(run)
        {
            let options = SnapOptions {
                step_deg: project.settings.angle_snap_deg,
                pull_mm: PULL_POINTS * camera.mm_per_point_at(target, size),
            };
            self.snapped = snap(project, run, vertex, target, &free, options);
            if let Some(caught) = &self.snapped {
                target = caught.position;
            }
        }
        self.target = target;
        drag_edit(project, self.handle, target)
    }

    /// What is said next to the pointer while dragging.
    pub fn caption(&self, units: UnitSystem) -> String {
        if !self.typed.is_empty() {
            return format!("{}▏ {}", self.typed, self.typed_meaning());
        }
        let moved = self.target - self.start;
        let mut words = match self.freedom {
            Freedom::Axis(origin, axis) => {
                format!("{} from the face", units::length((self.target - origin).dot(axis), units))
            }
            Freedom::Free => match self.lock {
                Some(i) => format!("{} {}", ["X", "Y", "Z"][i], units::length(moved[i], units)),
                None => format!("moved {}", units::length(moved.length(), units)),
            },
        };
        if let Some(snapped) = &self.snapped {
            let bends: Vec<String> = snapped
                .caught
                .iter()
                .map(|(bend, deg)| format!("bend {bend} at {}", units::angle(*deg, 1)))
                .collect();
            words.push_str(" · ");
            words.push_str(&bends.join(", "));
        }
        words
    }
}
